//! The greatest flows that can come into beds and fish tank, whatever the timing.

use crate::model::{Band, Bed, Coefficient, Disturbance, Inlet, System, Tank, TankFeed};
use crate::network::supply::{OutletEnd, SupplyTree, Surroundings};
use crate::network::tank::TankLaw;
use crate::numerics::root::brent;

/// Greatest flow into each bed, and the fish tank's part in it.
///
/// The sump stands at its overflow, every other inlet that a vessel's water can reach
/// is drowned to that vessel's wall, and valves that an incident shuts are shut:
/// each sends the flow elsewhere.
#[derive(Debug, Clone)]
pub(super) struct MostInflow {
    /// Into each bed, in file order `[m3/s]`.
    pub(super) beds: Vec<f64>,
    /// Highest water of the tank, where there is one.
    pub(super) tank: Option<TankTop>,
}

/// Highest water of the fish tank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TankTop {
    /// Elevation, at most its wall `[m]`.
    pub(super) level: f64,
    /// Whether water may go over the wall.
    pub(super) may_spill: bool,
}

impl MostInflow {
    pub(super) fn new(system: &System, tree: &SupplyTree) -> Self {
        let mut most = Self {
            beds: (0..system.beds.len())
                .map(|i| most_into(system, tree, OutletEnd::Bed(i)))
                .collect(),
            tank: None,
        };
        if let Some(tank) = &system.tank {
            most.add_tank(system, tank, most_into(system, tree, OutletEnd::Tank));
        }
        most
    }

    /// The tank's highest water at a greatest inflow of `into` `[m3/s]`, and what
    /// the beds get of it.
    fn add_tank(&mut self, system: &System, tank: &Tank, into: f64) {
        let at_end = |end: fn(Band) -> f64| {
            let soft = &system.coefficients;
            [Coefficient::LipWeir, Coefficient::LipOrifice]
                .into_iter()
                .fold(soft.nominal(), |values, which| {
                    values.with(which, end(soft[which]))
                })
        };
        let (slow, fast) = (at_end(|band| band.low), at_end(|band| band.high));
        let (Some(slow), Some(fast)) = (TankLaw::new(system, &slow), TankLaw::new(system, &fast))
        else {
            return;
        };
        let tops = [slow.clone(), with_shut(&slow, system, None)]
            .map(|law| highest_water(system, tank, &law, into));
        let top = if tops[1].level > tops[0].level {
            tops[1]
        } else {
            tops[0]
        };
        let may_spill = tops.iter().any(|top| top.may_spill);
        self.tank = Some(TankTop { may_spill, ..top });
        if !fast.feeds_beds() {
            return;
        }
        // Where nothing holds the water back no more goes over the lip than comes in.
        let unhindered = !system.beds.iter().any(reachable) && !shuts_any(system);
        let held = |law: &TankLaw| {
            let most = into.max(free(law, tank.start_level));
            rising(|level| free(law, level), most, law.overflow_level, law.rim)
        };
        for i in 0..self.beds.len() {
            if !fast.feeds(i) {
                continue;
            }
            let others = |j: usize| {
                if j == i {
                    f64::NEG_INFINITY
                } else {
                    drowned(system, j)
                }
            };
            let mut flows = vec![0.0; self.beds.len()];
            self.beds[i] = if unhindered {
                let _ = fast.overflow(held(&fast), &|_| f64::NEG_INFINITY, &mut flows);
                flows[i]
            } else {
                let alone = with_shut(&fast, system, Some(i));
                let _ = alone.overflow(top.level, &others, &mut flows);
                flows[i]
            };
        }
    }
}

/// What goes over the lip of a tank that nothing holds back `[m3/s]`.
fn free(law: &TankLaw, level: f64) -> f64 {
    let mut flows = vec![0.0; law.beds()];
    law.overflow(level, &|_| f64::NEG_INFINITY, &mut flows)
}

/// The law with every inlet shut that an incident shuts, but for that of bed `but`.
fn with_shut(law: &TankLaw, system: &System, but: Option<usize>) -> TankLaw {
    let mut law = law.clone();
    for i in shut(system).filter(|i| Some(*i) != but) {
        law.shut(i);
    }
    law
}

/// Beds whose valve an incident shuts.
fn shut(system: &System) -> impl Iterator<Item = usize> + '_ {
    system
        .incidents
        .iter()
        .filter_map(|incident| match incident.what {
            Disturbance::ValveShut(i) => Some(i),
            _ => None,
        })
}

fn shuts_any(system: &System) -> bool {
    shut(system).next().is_some()
}

/// Level at which the tank sends on all that comes in while its beds stand at their rims.
fn highest_water(system: &System, tank: &Tank, law: &TankLaw, into: f64) -> TankTop {
    let passed = |level: f64| {
        let mut flows = vec![0.0; system.beds.len()];
        law.overflow(level, &|j| drowned(system, j), &mut flows)
    };
    TankTop {
        level: rising(passed, into, law.overflow_level, law.rim).max(tank.start_level),
        may_spill: passed(law.rim) < into,
    }
}

/// Where the rising `f` comes to `wanted` between `low` and `high`; `high` if nowhere.
fn rising(f: impl Fn(f64) -> f64, wanted: f64, low: f64, high: f64) -> f64 {
    if f(high) <= wanted {
        return high;
    }
    // Up by what the root may be off: a bound must not lie under the truth.
    brent(|x| f(x) - wanted, low, high, 1e-9).map_or(high, |x| (x + 1e-9).min(high))
}

/// Whether the water of `bed` can cover its inlet.
fn reachable(bed: &Bed) -> bool {
    matches!(&bed.inlet, Inlet::Piped(branch) if branch.level < bed.rim_level())
}

/// Water over the inlet of bed `j` at worst `[m]`.
fn drowned(system: &System, j: usize) -> f64 {
    let bed = &system.beds[j];
    if reachable(bed) {
        bed.rim_level()
    } else {
        f64::NEG_INFINITY
    }
}

/// What the tank's branch ends in at worst.
fn tank_drowned(system: &System) -> Surroundings {
    let Some(tank) = &system.tank else {
        return Surroundings::Air;
    };
    match &tank.fed_by {
        TankFeed::PumpBranch(branch) if branch.level < tank.top() => {
            Surroundings::under(tank.top())
        }
        _ => Surroundings::Air,
    }
}

/// Greatest flow out of the tree to `end` `[m3/s]`.
fn most_into(system: &System, tree: &SupplyTree, end: OutletEnd) -> f64 {
    let highest = system.sump.overflow_level;
    let flow = |tree: &SupplyTree, under: bool| {
        let duty = tree.duty_in(highest, |other| match other {
            OutletEnd::Bed(j) if under && other != end && reachable(&system.beds[j]) => {
                Surroundings::under(drowned(system, j))
            }
            OutletEnd::Tank if under && other != end => tank_drowned(system),
            _ => Surroundings::Air,
        });
        match end {
            OutletEnd::Bed(i) => duty.bed_flows[i],
            OutletEnd::Tank => duty.tank_flow,
            OutletEnd::Bypass => duty.bypass_flow,
            OutletEnd::Settler => duty.settler_flow,
        }
    };
    let covered = system.beds.iter().any(reachable)
        || matches!(
            system.tank.as_ref().map(|tank| &tank.fed_by),
            Some(TankFeed::PumpBranch(_))
        );
    let mut most = flow(tree, false);
    if covered {
        most = most.max(flow(tree, true));
    }
    if shuts_any(system) {
        let mut alone = tree.clone();
        for i in shut(system).filter(|i| OutletEnd::Bed(*i) != end) {
            alone.shut(i);
        }
        most = most.max(flow(&alone, false)).max(flow(&alone, covered));
    }
    most
}
