//! Whether each siphon starts.

use crate::assessment::checks::low_rim::{LowRimWhy, low_rim_fixes};
use crate::assessment::checks::status_of;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    cleared, inlet_shut, opened, outlet_drop, raise_inflow, smaller_bore,
};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject, Verdict};
use crate::assessment::window::{starts as window_starts, window_if};
use crate::model::{Band, Bed, Coefficient, Inlet};
use crate::model::{BedPart, Change};
use crate::simulation::{Event, EventKind, Regime};
use crate::units::amounts::{self, Side};

/// Share by which an inflow is raised where the run dribbles although its window says it starts.
const NUDGE: f64 = 1.05;
/// A bell is sealed to less than what its siphon bears: to this share of it.
const SEALED: f64 = 0.999;

/// Why a siphon starts or not.
#[derive(Debug, Clone, PartialEq)]
pub struct StartsWhy {
    /// Inflow at its lip `[m3/s]`.
    pub inflow: f64,
    /// What it needs to start `[m3/s]`.
    pub needs: Band,
    /// What decides.
    pub reason: StartReason,
}

/// What decides a siphon's start.
#[derive(Debug, Clone, PartialEq)]
pub enum StartReason {
    /// Air leaks into its bell.
    LeakyBell {
        /// How much `[m3/s]`.
        air: f64,
        /// What priming carries away at least `[m3/s]`.
        carried: f64,
        /// Whether that keeps it from priming in every case.
        certain: bool,
        /// Whether its inflow is too little beside that.
        and_too_little: bool,
    },
    /// An incident of the run shut its inlet.
    ShutInRun,
    /// Its inlet valve is shut in the file.
    Shut,
    /// No water comes.
    NoWater,
    /// Its rim stands under the water that it takes to start.
    LowRim(LowRimWhy),
    /// The run never came to its lip.
    NotAtLip {
        /// Whether its water no longer rises.
        stands: bool,
    },
    /// It comes to its lip in the run only while the pump stands or draws air.
    NeverFed,
    /// It starts in the run, although its least inflow is too little.
    StartsAnyway {
        /// The greatest inflow, where that explains it `[m3/s]`.
        swings_to: Option<f64>,
    },
    /// It dribbles in the run, although its inflow is enough.
    DribblesAnyway,
    /// Its inflow is enough while the pump has water, and it dribbles in the run, whose sump runs dry.
    EnoughButDry,
    /// Its inflow is enough.
    Enough {
        /// Whether its water no longer comes to its lip at the end of the run.
        no_longer: bool,
    },
    /// Its inflow is inside the band.
    InBand(Meanwhile),
    /// Its inflow is too little.
    TooLittle,
}

/// What a siphon does in the run whose start is in doubt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meanwhile {
    /// It starts, or never gets so far.
    NoDribble,
    /// It dribbles at what it gets.
    Dribbles,
    /// What it gets would start it in the run, were there always water for the pump.
    DribblesForDrySump,
}

impl Meanwhile {
    fn of(facts: &Facts, i: usize) -> Self {
        let (run, judged) = (facts.parts.run, &facts.beds[i]);
        let would_start = judged.at_start.flow >= judged.window.start.nominal;
        match run.beds[i].regime_powered {
            Regime::Dribbles if would_start && run.sump.ran_dry > 0.0 => Self::DribblesForDrySump,
            Regime::Dribbles => Self::Dribbles,
            _ => Self::NoDribble,
        }
    }
}

/// Inflow at the lip against the start flow.
pub(super) fn starts(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    // What runs over the lip with the bed at its rim is all that can reach it.
    let passed = judged.low_rim.map_or(judged.at_start.flow, |low| {
        low.passed.min(judged.at_start.flow)
    });
    let outcome = &parts.run.beds[i];
    let dry = parts.run.sump.ran_dry > 0.0;
    let never_filled = outcome.tends_to == Regime::NeverFills;
    let shut = never_filled && inlet_shut(facts, i);
    let value = if shut { 0.0 } else { passed };
    // What a siphon does in the run counts beside what its window says.
    let status = status_of(judged.will_start).max(match outcome.regime_powered {
        Regime::Dribbles | Regime::NeverFills if !dry => Status::Fail,
        _ if never_filled => Status::Warn,
        _ => Status::Pass,
    });
    // The unfavourable end: the margin is then negative just where doubt begins.
    let limit = judged.window.start.high;
    Check {
        id: CheckId::Starts,
        subject: Subject::Bed(i),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::CubicMetrePerSecond,
        why: Why::Starts(StartsWhy {
            inflow: judged.at_start.flow,
            needs: judged.window.start,
            reason: reason(facts, i),
        }),
        basis: start_basis(facts, i),
    }
}

fn reason(facts: &Facts, i: usize) -> StartReason {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let outcome = &parts.run.beds[i];
    let never_filled = outcome.tends_to == Regime::NeverFills;
    if let Some(leak) = judged.leak {
        let starts = window_starts(judged.at_start.flow, judged.window.start);
        return StartReason::LeakyBell {
            air: leak.air,
            carried: leak.bearable,
            certain: leak.certain,
            and_too_little: starts != Verdict::Will,
        };
    }
    if never_filled && inlet_shut(facts, i) {
        return StartReason::ShutInRun;
    }
    if never_filled && is_shut(&parts.beds()[i].inlet) {
        return StartReason::Shut;
    }
    if never_filled && outcome.inflow_pumped.is_none_or(|fed| fed.1 <= 0.0) {
        return StartReason::NoWater;
    }
    if let Some(low) = judged.low_rim {
        return StartReason::LowRim(LowRimWhy::new(facts, i, &low));
    }
    if !judged.at_start.met && !outcome.cycles.is_empty() {
        return StartReason::NeverFed;
    }
    if !judged.at_start.met {
        return StartReason::NotAtLip {
            stands: outcome.regime_powered == Regime::NeverFills,
        };
    }
    if judged.starts_anyway {
        let most = outcome.inflow.max;
        return StartReason::StartsAnyway {
            swings_to: (most >= judged.window.start.low).then_some(most),
        };
    }
    let meanwhile = Meanwhile::of(facts, i);
    match judged.will_start {
        _ if judged.dribbles_anyway => StartReason::DribblesAnyway,
        Verdict::Will if meanwhile == Meanwhile::DribblesForDrySump => StartReason::EnoughButDry,
        Verdict::Will => StartReason::Enough {
            no_longer: never_filled,
        },
        Verdict::Uncertain => StartReason::InBand(meanwhile),
        Verdict::WillNot => StartReason::TooLittle,
    }
}

/// Where the start band comes from.
fn start_basis(facts: &Facts, i: usize) -> &'static str {
    let parts = &facts.parts;
    if parts.start_froude(&parts.beds()[i]) == parts.band(Coefficient::StartFroude) {
        "pipe Froude number 0.30 to 0.60 from self-venting and outlet practice (Hills 1983, \
         Simpson 1968, Davies & Taylor 1950, EN 12056-3, from memory)"
    } else {
        "pipe Froude number 0.30 to 0.60 from self-venting and outlet practice (Hills 1983, \
         Simpson 1968, Davies & Taylor 1950, EN 12056-3, from memory), changed for a narrow bore \
         by surface tension (White & Beardmore 1962, Wallis 1969, from memory) and a sealed leg's \
         carrying of air (Goda et al. 2003)"
    }
}

/// Ways to make it start.
pub(super) fn fixes(facts: &Facts, i: usize) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let outcome = &parts.run.beds[i];
    let dry = parts.run.sump.ran_dry > 0.0;
    let never_filled = outcome.tends_to == Regime::NeverFills;
    if let Some(open) = opened(facts, i) {
        vec![open]
    } else if window_starts(judged.at_start.flow, judged.window.start) == Verdict::Will
        && let Some(clear) = cleared(facts, i)
    {
        vec![clear]
    } else if runs_back(facts, i) {
        vec![Fix::of([Change::CheckValve(true)]).noting(Hint::RunsBack(i))]
    } else if never_filled && (judged.will_start == Verdict::Will || dry) {
        vec![never_fills(facts, i)]
    } else {
        gets_going(facts, i)
    }
}

fn never_fills(facts: &Facts, i: usize) -> Fix {
    let parts = &facts.parts;
    if parts.run.sump.ran_dry > 0.0 {
        return Fix::hint(Hint::First(CheckId::PumpCover, Subject::Pump));
    }
    let storage = &parts.storages[i];
    let lip = parts.nominal[i].lip();
    let missing = storage.volume(lip) - storage.volume(parts.simulated_peak(i));
    let mean = parts.run.beds[i].inflow.mean.max(1e-9);
    longer(facts, 1.05 * (parts.run.duration + missing / mean))
}

/// Whether every pause lets the water in bed `i` run back before it comes to the lip.
fn runs_back(facts: &Facts, i: usize) -> bool {
    let run = facts.parts.run;
    let pauses = run.beds[i].regime_powered == Regime::NeverFills && run.sump.ran_dry <= 0.0;
    let began = |event: &Event| event.kind == EventKind::BackSiphonBegan(i);
    pauses && run.events.iter().any(began)
}

/// A run of at least `time` `[s]`, and a pump that runs as long.
pub(super) fn longer(facts: &Facts, time: f64) -> Fix {
    let time = amounts::minutes(time, Side::Up);
    let stops =
        |event: &&Event| matches!(event.kind, EventKind::PumpStopped | EventKind::PumpStarted);
    let last = facts.parts.run.events.iter().rfind(stops);
    Fix::hint(
        if last.is_some_and(|event| event.kind == EventKind::PumpStopped) {
            Hint::RunPump(time)
        } else {
            Hint::Simulate(time)
        },
    )
}

/// Whether the valve of a branch is shut in the file.
fn is_shut(inlet: &Inlet) -> bool {
    matches!(inlet, Inlet::Piped(branch) if branch.resistance().is_none())
}

/// A bell sealed, a lip freed, or enough inflow; one of the first two with the last.
fn gets_going(facts: &Facts, i: usize) -> Vec<Fix> {
    let judged = &facts.beds[i];
    let enough = window_starts(judged.at_start.flow, judged.window.start) == Verdict::Will;
    let first = if let Some(leak) = judged.leak {
        // Less than it bears, by the last figure that is printed.
        let air = amounts::flow(facts.parts.tape, 0.99 * leak.bearable, Side::Down);
        let sealed = Change::of_bed(i, BedPart::AirLeak, SEALED * air);
        vec![Fix::of([sealed])]
    } else if let Some(low) = judged.low_rim {
        low_rim_fixes(facts, i, &low)
    } else {
        return enough_inflow(facts, i);
    };
    if enough {
        return first;
    }
    let more = enough_inflow(facts, i);
    let Some(first) = first.into_iter().next() else {
        return more;
    };
    more.into_iter()
        .map(|more| first.clone().and(more))
        .collect()
}

/// Ways to bring the inflow of bed `i` up to its start, or its start down to the inflow.
fn enough_inflow(facts: &Facts, i: usize) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let inflow = judged.at_start.flow;
    // A run that dribbles with enough inflow has seen it sag: a little more, then.
    let high = judged.window.start.high;
    let wanted = if inflow >= high { NUDGE * inflow } else { high };
    let to = amounts::flow(parts.tape, wanted, Side::Up);
    let raised = raise_inflow(facts, i, inflow, to);
    let at_break = judged.at_break.flow;
    let narrower = smaller_bore(facts, i, |bed| {
        let window = window_if(parts, i, bed);
        window.start.high <= inflow && window.breaks_below().low >= at_break
    })
    .map(|(fix, _)| fix);
    if to <= judged.breaks_below.low {
        return raised.into_iter().chain(narrower).collect();
    }
    // More inflow alone would keep it from breaking.
    let still_breaks = |bed: &Bed| window_if(parts, i, bed).breaks_below().low >= to;
    let mut ways = Vec::new();
    if let Some(drop) = outlet_drop(facts, i, still_breaks) {
        ways.extend(raised.iter().map(|raise| drop.clone().and(raise.clone())));
    }
    ways.extend(narrower);
    if ways.is_empty() {
        let may = |raise: Fix| raise.noting(Hint::MayRunOn);
        ways.extend(raised.into_iter().map(may));
    }
    ways
}
