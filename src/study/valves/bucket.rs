//! The supply as a bucket found it: inflows that were read take the place of what pump, pipes
//! and valves were reckoned to give.

use std::fmt;

use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::valves::{opening_for_k, valve_k};
use crate::model::{
    Branch, Change, Inlet, Misfit, Outlet, Pipe, PipePart, PumpPart, PumpSource, Quantity, System,
    TankOutlet,
};
use crate::network::supply::SupplyTree;
use crate::numerics::root::{Until, least_enough};

/// Greatest ratio of the pump's speed to that of its curve: beyond it the pump is another one.
const FASTEST: f64 = 2.0;
/// A bed that gets less than this share of what is reckoned has something in its way; a bucket
/// errs by a twentieth, what stands on a pump's box by more (common practice, no source).
const LESS: f64 = 0.8;
/// A hair more than the least speed, so that rounding leaves no valve short.
const WITH_EASE: f64 = 1.000_001;

/// Why an inflow that was read cannot be put into a system.
#[derive(Debug, Clone, PartialEq)]
pub enum NotRead {
    /// The fish tank feeds the beds, not the pump.
    FromTank,
    /// Pump and pipes cannot give what was read, even with the pump at twice its speed.
    TooMuch,
    /// What the system cannot be.
    Misfit(Misfit),
}

impl fmt::Display for NotRead {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::FromTank => f.write_str(
                "the fish tank feeds the beds, so a bed's flow cannot be set by itself: change the tank's flow",
            ),
            Self::TooMuch => f.write_str(
                "the pump cannot give that much through these pipes: read the bucket again, then \
                 measure the pump's figures, the pipes' bores and the heights",
            ),
            Self::Misfit(misfit) => misfit.fmt(f),
        }
    }
}

impl From<Misfit> for NotRead {
    fn from(misfit: Misfit) -> Self {
        Self::Misfit(misfit)
    }
}

/// What an inflow that was read says of a system that is fed by a pump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tells {
    /// The bed's valve, partly shut, stands so far open, 0 to 1.
    Opening {
        /// The bed.
        bed: usize,
        /// How far.
        opening: f64,
    },
    /// Something unknown is in the way: pump, pipes and open valve would give this `[m3/s]`.
    InTheWay {
        /// The bed.
        bed: usize,
        /// What they would give.
        would: f64,
    },
    /// The pump turns so much faster than its curve has it `[-]`.
    Faster(f64),
}

/// A system's inflows as they were read.
#[derive(Debug, Clone, Default)]
pub struct AsRead {
    /// What makes the beds get them, in this order.
    pub changes: Vec<Change>,
    /// What that says.
    pub tells: Vec<Tells>,
}

/// Changes that make `system` give each bed of `readings` the inflow read there `[m3/s]`, with
/// its sump half way from the start's level to the lowest that the pump draws from; beds that were not read keep pump, pipes and valve.
///
/// A flow of its own is replaced. Behind a pump the loss that is missing stands in the bed's
/// valve where that is partly shut, for nobody reads its opening exactly, else in its branch's fittings; where
/// even open valves would give too little, the pump turns faster. Valid for positive flows.
///
/// # Errors
/// [`NotRead`] where no such setting exists.
pub fn as_read(system: &System, readings: &[(usize, f64)]) -> Result<AsRead, NotRead> {
    let piped = system
        .beds
        .iter()
        .any(|bed| matches!(bed.inlet, Inlet::Piped(_)));
    if piped {
        return behind_a_pump(system, readings);
    }
    // A flow of its own is what was read; of the only bed's share the pump gives as little.
    let inlets: Vec<&Inlet> = system.beds.iter().map(|bed| &bed.inlet).collect();
    let own = |&(bed, to): &(usize, f64)| match (inlets.as_slice(), &system.pump.source) {
        ([Inlet::Share(share)], PumpSource::Steady(_)) if bed == 0 && *share > 0.0 => {
            Change::set(Quantity::Pump(PumpPart::SteadyFlow), to / share)
        }
        _ => Change::Inflow { bed, to },
    };
    let own = readings.iter().map(own).collect::<Vec<_>>();
    Change::apply_all(&own, system)?;
    Ok(AsRead {
        changes: own,
        tells: Vec::new(),
    })
}

fn behind_a_pump(system: &System, readings: &[(usize, f64)]) -> Result<AsRead, NotRead> {
    let fed_by_tank = |tank: &crate::model::Tank| tank.overflows_to == TankOutlet::Beds;
    if system.tank.as_ref().is_some_and(fed_by_tank) {
        return Err(NotRead::FromTank);
    }
    let (mut changes, mut tells) = (Vec::new(), Vec::new());
    let mut now = system.clone();
    if let Some(total) = steady_total(system, readings) {
        changes.push(Change::set(Quantity::Pump(PumpPart::SteadyFlow), total));
    } else if spare(&now, readings) < 0.0 {
        let at = |ratio: f64| Change::PumpSpeed(ratio).apply(system);
        let enough = |ratio: f64| at(ratio).is_ok_and(|faster| spare(&faster, readings) >= 0.0);
        if !enough(FASTEST) {
            return Err(NotRead::TooMuch);
        }
        let ratio = WITH_EASE * least_enough(1.0, FASTEST, Until::Halvings(40), enough);
        changes.push(Change::PumpSpeed(ratio));
        tells.push(Tells::Faster(ratio));
    }
    if !changes.is_empty() {
        now = Change::apply_all(&changes, system)?;
    }
    let head = manifold_head(&now, readings);
    let reckoned = SupplyTree::new(system).duty(sump_level(system)).bed_flows;
    for &(bed, flow) in readings {
        let (outlet, would) = (Outlet::Bed(bed), reckoned.get(bed).copied());
        let Some((branch, would)) = system.branch_to(outlet).zip(would) else {
            continue;
        };
        let change = loss(branch, outlet, left(&now, branch, head, flow));
        match change {
            Change::Set {
                what: Quantity::Branch(..),
                to: opening,
            } => tells.push(Tells::Opening { bed, opening }),
            _ if flow < LESS * would => tells.push(Tells::InTheWay { bed, would }),
            _ => {}
        }
        changes.push(change);
    }
    Change::apply_all(&changes, system)?;
    Ok(AsRead { changes, tells })
}

/// What a pump known by its flow alone has to give, where that is not what it gives.
fn steady_total(system: &System, readings: &[(usize, f64)]) -> Option<f64> {
    let PumpSource::Steady(total) = system.pump.source else {
        return None;
    };
    let sum: f64 = readings.iter().map(|one| one.1).sum();
    let others = readings.len() < system.beds.len()
        || [Outlet::Tank, Outlet::Bypass, Outlet::Settler]
            .into_iter()
            .any(|outlet| system.branch_to(outlet).is_some());
    (sum > total || !others).then_some(sum)
}

/// The valve turned where it is partly shut, else a loss in the branch, for `k` in both `[-]`.
fn loss(branch: &Branch, outlet: Outlet, k: f64) -> Change {
    match &branch.valve {
        Some(valve) if partly_shut(branch) => Change::turn(outlet, opening_for_k(valve.kind, k)),
        _ => {
            let summed = Quantity::Pipe(Pipe::Branch(outlet), PipePart::K);
            Change::set(summed, (k - open_k(branch)).max(0.0))
        }
    }
}

/// Loss of the branch's valve wide open `[-]`.
fn open_k(branch: &Branch) -> f64 {
    let open = branch.valve.as_ref();
    open.map_or(0.0, |valve| valve_k(valve.kind, 1.0))
}

/// Whether the valve may stand anywhere; else the fittings' summed loss gives way.
fn partly_shut(branch: &Branch) -> bool {
    branch
        .valve
        .as_ref()
        .is_some_and(|valve| valve.opening < 1.0)
}

/// Loss of fittings that stays as it is told `[-]`.
fn told_k(branch: &Branch) -> f64 {
    if partly_shut(branch) {
        branch.run.k
    } else {
        0.0
    }
}

/// Loss coefficient that `head` at the manifold leaves to valve or fittings at `flow` `[-]`.
fn left(system: &System, branch: &Branch, head: f64, flow: f64) -> f64 {
    let run = PipeRun {
        k: told_k(branch) + 1.0,
        ..branch.run
    };
    let v = flow / branch.run.area();
    let velocity_head = (v * v / (2.0 * GRAVITY)).max(1e-12);
    (head - branch.level - run.head_loss(flow, &system.water)) / velocity_head
}

/// Least that is left over open valves at the beds that were read `[-]`, negative where one
/// gets too little.
fn spare(system: &System, readings: &[(usize, f64)]) -> f64 {
    let head = manifold_head(system, readings);
    let beds = readings.iter().filter_map(|&(i, flow)| {
        let branch = system.branch_to(Outlet::Bed(i))?;
        Some(left(system, branch, head, flow) - open_k(branch))
    });
    beds.fold(f64::INFINITY, f64::min)
}

/// Head at the manifold while the beds that were read take just that, as an elevation `[m]`.
fn manifold_head(system: &System, readings: &[(usize, f64)]) -> f64 {
    let mut taken = system.clone();
    for &(i, flow) in readings {
        if let Some(bed) = taken.beds.get_mut(i) {
            bed.inlet = Inlet::Measured(flow);
        }
    }
    let head = SupplyTree::new(&taken)
        .duty(sump_level(system))
        .manifold_head;
    // A flow that nothing else takes is lifted as high as the bed needs that needs most.
    head.unwrap_or_else(|| {
        let needs = readings.iter().filter_map(|&(i, flow)| {
            let branch = system.branch_to(Outlet::Bed(i))?;
            let run = PipeRun {
                k: told_k(branch) + open_k(branch) + 1.0,
                ..branch.run
            };
            Some(branch.level + run.head_loss(flow, &system.water))
        });
        needs.fold(f64::NEG_INFINITY, f64::max)
    })
}

/// Where the sump stood when the bucket was held is not told: the middle is least wrong `[m]`.
fn sump_level(system: &System) -> f64 {
    let start = system.sump.start_level;
    0.5 * (start + system.pump.least_level().min(start))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::scenario::parse;

    fn four_beds() -> System {
        let text = include_str!("../../../scenarios/four-beds-metric.toml");
        parse(text, "four-beds-metric.toml").unwrap().system
    }

    fn flows(system: &System) -> Vec<f64> {
        SupplyTree::new(system).duty(sump_level(system)).bed_flows
    }

    #[test]
    fn a_bed_gets_what_the_bucket_read_and_no_part_is_invented() {
        let system = four_beds();
        let before = flows(&system);
        let read = [(1, 0.4 * before[1]), (3, 0.8 * before[3])];
        let AsRead { changes, tells } = as_read(&system, &read).unwrap();
        let after = Change::apply_all(&changes, &system).unwrap();
        let found = flows(&after);
        for (bed, flow) in read {
            assert!(
                (found[bed] - flow).abs() < 1e-6 * flow,
                "{found:?} {read:?}"
            );
        }
        // The others share what these leave.
        assert!(found[0] > before[0] && found[2] > before[2], "{found:?}");
        assert_eq!(changes.len(), 2, "{changes:?}");
        let shut = |one: &Tells| matches!(one, Tells::Opening { opening, .. } if *opening < 0.55);
        assert!(tells.len() == 2 && tells.iter().all(shut), "{tells:?}");
    }

    #[test]
    fn more_than_open_valves_give_is_the_pump_s_doing_and_nonsense_is_refused() {
        let system = four_beds();
        let most: Vec<Change> = (0..4).map(|i| Change::turn(Outlet::Bed(i), 1.0)).collect();
        let open = Change::apply_all(&most, &system).unwrap();
        let read: Vec<(usize, f64)> = flows(&open)
            .iter()
            .enumerate()
            .map(|(i, flow)| (i, 1.2 * flow))
            .collect();
        let AsRead { changes, tells } = as_read(&system, &read).unwrap();
        assert!(matches!(tells[0], Tells::Faster(_)), "{tells:?}");
        let found = flows(&Change::apply_all(&changes, &system).unwrap());
        for (bed, flow) in read {
            assert!((found[bed] - flow).abs() < 1e-4 * flow, "{found:?}");
        }
        let flood = as_read(&system, &[(0, 1.0)]);
        assert!(matches!(flood, Err(NotRead::TooMuch)), "{flood:?}");
    }

    #[test]
    fn what_open_valves_do_not_explain_is_said_to_be_in_the_way() {
        let system = four_beds();
        let open = Change::turn(Outlet::Bed(2), 1.0).apply(&system).unwrap();
        let would = flows(&open)[2];
        let read = as_read(&open, &[(2, 0.3 * would)]).unwrap();
        assert_eq!(read.tells, [Tells::InTheWay { bed: 2, would }]);
        let found = flows(&Change::apply_all(&read.changes, &open).unwrap());
        assert!((found[2] - 0.3 * would).abs() < 1e-6 * would, "{found:?}");
    }
}
