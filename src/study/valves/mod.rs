//! Valve openings that put every bed inside its window at once.
//!
//! All beds are solved together on the supply tree: for wanted flows the pump
//! fixes the head at the manifold, and what a branch does not use of it its valve
//! has to take. The settings hold at the highest and at the lowest sump level.

use crate::assessment::Assessment;
use crate::hydraulics::valves::ValveKind;
use crate::model::{Inlet, PumpSource, System};
use crate::network::supply::SupplyTree;
use crate::numerics::effort;
use crate::simulation::{Regime, Run, Sampling, simulate};
use crate::study::map::lasting_regime;
use crate::study::window::{Trust, Windows, without_incidents};

mod balance;
mod bucket;
mod search;
mod setting;

pub use bucket::{AsRead, NotRead, Tells, as_read};
pub use setting::{Setting, Shortfall, least_opening};

pub(in crate::study) use search::Found;
use search::{Goal, opening_of, piped, shared};

/// Effort that the run with the settings may take; 32 beds on a line of 2 mm end within a minute.
const MOST_EFFORT: u64 = 240_000_000;

/// Settings for every bed, and what is missing where they do not do.
#[derive(Debug, Clone)]
pub struct ValvePlan {
    /// Lowest and highest sump level that the settings must hold at `[m]`.
    pub sump: (f64, f64),
    /// One per bed, in file order.
    pub beds: Vec<BedSetting>,
    /// The bypass, where there is one.
    pub bypass: Option<BypassSetting>,
    /// What is short; empty when every bed is inside its window.
    pub shortfalls: Vec<Shortfall>,
    /// What each bed does with these settings, simulated with nominal coefficients
    /// and without incidents; empty when the simulation gave up.
    pub regimes: Vec<Regime>,
    /// Whether the pump draws air in that simulation.
    pub draws_air: bool,
    /// The system with these settings.
    pub system: System,
}

/// How one bed is set.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSetting {
    /// What to turn.
    pub setting: Setting,
    /// Inflows that put the bed inside its window `[m3/s]`; equal when it has none.
    pub window: (f64, f64),
    /// How far that window can be trusted.
    pub trust: Trust,
    /// Inflow at the lowest and at the highest sump level `[m3/s]`.
    pub flow: (f64, f64),
}

impl BedSetting {
    /// Whether the inflow stays inside the window from the lowest to the highest sump level.
    pub fn is_inside(&self) -> bool {
        self.trust <= Trust::Nominal && self.window.0 <= self.flow.0 && self.flow.1 <= self.window.1
    }
}

/// How the bypass is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BypassSetting {
    /// Kind of its valve; `None`: it has none.
    pub kind: Option<ValveKind>,
    /// Opening today, 0 to 1.
    pub now: f64,
    /// Opening to set, 0 to 1; 0 is shut.
    pub opening: f64,
    /// Flow at the lowest and the highest sump level `[m3/s]`.
    pub flow: (f64, f64),
}

impl ValvePlan {
    /// Whether every bed is inside its window.
    pub fn works(&self) -> bool {
        self.beds.iter().all(BedSetting::is_inside)
    }
}

/// The openings, shares and measured inflows of [`settings`], by themselves.
pub(super) fn solved(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    windows: &Windows,
) -> Found {
    let goals: Vec<Goal> = windows.beds.iter().map(Goal::new).collect();
    let mut found = match &system.pump.source {
        _ if system
            .beds
            .iter()
            .any(|bed| matches!(bed.inlet, Inlet::Piped(_))) =>
        {
            piped(system, sump_range(system, run, assessment), &goals)
        }
        PumpSource::Steady(total) => shared(system, *total, &goals),
        PumpSource::Curve(_) => shared(system, f64::INFINITY, &goals),
    };
    for (i, goal) in goals.iter().enumerate() {
        if goal.trust > Trust::Nominal {
            found.shortfalls.insert(0, Shortfall::NoWindow { bed: i });
        }
    }
    found
}

/// Settings for all beds of `system` together.
///
/// Each bed is aimed at the best inflow of its window, or as near to it as the
/// pump reaches. `run`, `assessment` and `windows` are those of `system`.
/// Outlets are taken as free, not under a bed's water.
pub fn settings(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    windows: &Windows,
) -> ValvePlan {
    let goals: Vec<Goal> = windows.beds.iter().map(Goal::new).collect();
    let sump = sump_range(system, run, assessment);
    let mut found = solved(system, run, assessment, windows);
    let tree = SupplyTree::new(&found.system);
    let (low, high) = (tree.duty(sump.0), tree.duty(sump.1));
    let mut beds = Vec::new();
    for (i, goal) in goals.iter().enumerate() {
        let setting = found.setting(system, i);
        let flow = (low.bed_flows[i], high.bed_flows[i]);
        let (window, trust) = ((goal.low, goal.high), goal.trust);
        let (swing, width) = (flow.1 - flow.0, goal.high - goal.low);
        if trust <= Trust::Nominal && swing > width {
            found.shortfalls.push(Shortfall::Swing {
                bed: i,
                swing,
                width,
            });
        }
        beds.push(BedSetting {
            setting,
            window,
            trust,
            flow,
        });
    }
    let bypass = system.supply.bypass.as_ref().map(|branch| BypassSetting {
        kind: branch.valve.as_ref().map(|valve| valve.kind),
        now: opening_of(Some(branch)),
        opening: opening_of(found.system.supply.bypass.as_ref()),
        flow: (low.bypass_flow, high.bypass_flow),
    });
    let with_them = without_incidents(&found.system);
    let simulated = effort::within(MOST_EFFORT, || simulate(&with_them, Sampling::None)).ok();
    let regimes = simulated.as_ref().map_or_else(Vec::new, |run| {
        (0..run.beds.len())
            .map(|i| lasting_regime(run, i))
            .collect()
    });
    ValvePlan {
        sump,
        beds,
        bypass,
        shortfalls: found.shortfalls,
        regimes,
        draws_air: simulated.is_some_and(|run| run.sump.ran_dry > 0.0),
        system: found.system,
    }
}

/// Sump levels that the pump may draw from: from every bed at its highest to
/// every bed at its break level `[m]`.
fn sump_range(system: &System, run: &Run, assessment: &Assessment) -> (f64, f64) {
    let dry = system.pump.least_level();
    let low = assessment.sump.low.max(dry).min(run.sump.level.max);
    (low, run.sump.level.max)
}
