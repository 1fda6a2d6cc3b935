//! Valves solved together, and what the supply lacks.

use super::super::sizes;
use super::{Ask, Move};
use crate::model::{
    BedPart, BranchPart, Change, Inlet, Outlet, Pipe, PipePart, PumpPart, PumpSource, Quantity,
    System,
};
use crate::study::valves::{Shortfall, solved};
use crate::study::window::windows;
use crate::units::UnitSystem;
use crate::units::amounts::{self, Side};

/// Greatest ratio of a new pump's speed to the old one's: beyond it another kind is meant.
const FASTEST: f64 = 3.0;
/// Steps in that ratio.
const SPEED_STEP: f64 = 0.05;

/// The settings that put every bed nearest to its best inflow, and what keeps them from it.
pub(super) struct Solved {
    pub(super) settings: Vec<Move>,
    pub(super) shortfalls: Vec<Shortfall>,
}

/// All valves, shares and measured inflows solved on the supply tree.
pub(super) fn valves(ask: &Ask) -> Solved {
    let (run, found) = (&ask.judged.run, &ask.judged.assessment);
    let plan = solved(ask.system, run, found, &windows(ask.system, run, found));
    let all = differences(ask.system, &plan.system, ask.units);
    let failing = ask.beds(&super::OF_FLOW);
    let mut settings = Vec::new();
    if !all.is_empty() {
        // Beds that do well may stay as they are.
        let own: Move = all
            .iter()
            .filter(|one| of_one(one, &failing))
            .cloned()
            .collect();
        if !own.is_empty() && own.len() < all.len() {
            settings.push(together(own));
        }
        settings.extend(one_setting(ask.system, &all));
        settings.push(together(all));
    }
    Solved {
        settings,
        shortfalls: plan.shortfalls,
    }
}

/// Valves that stood alike and come out nearly alike, all at one opening: a hand sets no
/// single per cent.
fn one_setting(system: &System, changes: &[Change]) -> Option<Move> {
    const NEARLY: f64 = 0.05;
    let turn = |change: &Change| match change {
        Change::Set {
            what: what @ Quantity::Branch(outlet @ Outlet::Bed(_), BranchPart::Opening),
            to,
        } => Some((*outlet, what.value(system)?, *to)),
        _ => None,
    };
    let turns: Vec<(Outlet, f64, f64)> = changes.iter().map(turn).collect::<Option<_>>()?;
    let (_, was, first) = *turns.first()?;
    let alike = turns
        .iter()
        .all(|(_, now, to)| (now - was).abs() < 1e-9 && (to - first).abs() <= NEARLY);
    let mean = percent(turns.iter().map(|one| one.2).sum::<f64>() / turns.len() as f64);
    (alike && turns.len() > 1).then(|| {
        vec![Change::Valves(
            turns.iter().map(|one| (one.0, mean)).collect(),
        )]
    })
}

fn of_one(change: &Change, beds: &[usize]) -> bool {
    match change {
        Change::Set {
            what:
                Quantity::Branch(Outlet::Bed(i), _) | Quantity::Bed(i, BedPart::Share | BedPart::Flow),
            ..
        }
        | Change::FitValve {
            outlet: Outlet::Bed(i),
            ..
        } => beds.contains(i),
        _ => false,
    }
}

/// Valves that are turned become one change.
fn together(changes: Move) -> Move {
    let turned: Vec<(Outlet, f64)> = changes
        .iter()
        .filter_map(|one| match one {
            Change::Set {
                what: Quantity::Branch(outlet, BranchPart::Opening),
                to,
            } => Some((*outlet, *to)),
            _ => None,
        })
        .collect();
    if turned.len() < 2 {
        return changes;
    }
    let is_turn = |one: &Change| {
        matches!(
            one,
            Change::Set {
                what: Quantity::Branch(_, BranchPart::Opening),
                ..
            }
        )
    };
    let mut all: Move = changes.into_iter().filter(|one| !is_turn(one)).collect();
    all.push(Change::Valves(turned));
    all
}

/// A whole per cent, at least one.
fn percent(opening: f64) -> f64 {
    (100.0 * opening).round().clamp(1.0, 100.0) / 100.0
}

/// What leads from `before` to the settings of `after`.
fn differences(before: &System, after: &System, units: UnitSystem) -> Move {
    let mut changes = Vec::new();
    for (i, (was, is)) in before.beds.iter().zip(&after.beds).enumerate() {
        match (&was.inlet, &is.inlet) {
            (Inlet::Piped(was), Inlet::Piped(is)) => match (&was.valve, &is.valve) {
                (Some(old), Some(new)) if percent(old.opening) != percent(new.opening) => {
                    changes.push(Change::turn(Outlet::Bed(i), percent(new.opening)));
                }
                (None, Some(new)) => changes.push(Change::FitValve {
                    outlet: Outlet::Bed(i),
                    kind: new.kind,
                    opening: percent(new.opening),
                }),
                _ => {}
            },
            (Inlet::Share(was), Inlet::Share(is)) => {
                // Rounded down: shares must not add up to more than the pump gives.
                let share = (1e3 * is).floor() / 1e3;
                if (share - was).abs() > 1e-9 {
                    changes.push(Change::of_bed(i, BedPart::Share, share));
                }
            }
            (Inlet::Measured(was), Inlet::Measured(is)) => {
                // As a bucket tells it: nobody sets the third figure.
                let flow = amounts::flow(units, *is, Side::Down);
                if (flow - was).abs() > 0.01 * was {
                    changes.push(Change::of_bed(i, BedPart::Flow, flow));
                }
            }
            _ => {}
        }
    }
    if let Some(now) = before
        .supply
        .bypass
        .as_ref()
        .and_then(|branch| branch.valve.as_ref())
    {
        let then = after.supply.bypass.as_ref().map_or(0.0, |branch| {
            branch.valve.as_ref().map_or(1.0, |valve| valve.opening)
        });
        let then = (100.0 * then).round() / 100.0;
        // Less than half a per cent is none on a handle.
        if (then - now.opening).abs() > 5e-3 {
            changes.push(Change::turn(Outlet::Bypass, then));
        }
    }
    changes
}

/// What the supply lacks: wider pipes, another pump.
pub(super) fn moves(ask: &Ask) -> Vec<Move> {
    let mut moves = Vec::new();
    let short = valves(ask).shortfalls;
    let branches: Move = short
        .iter()
        .filter_map(|one| match one {
            Shortfall::Branch { bed, needed, .. } => {
                bore(ask, Pipe::Branch(Outlet::Bed(*bed)), *needed)
            }
            _ => None,
        })
        .collect();
    if !branches.is_empty() {
        moves.push(branches);
    }
    for one in &short {
        match one {
            Shortfall::Trunk { needed, .. } => {
                moves.extend(bore(ask, Pipe::Trunk, *needed).map(|change| vec![change]));
            }
            Shortfall::Pump { flow, head, .. } => {
                moves.extend(other_pump(ask.system, *flow, *head).map(|change| vec![change]));
            }
            _ => {}
        }
    }
    moves
}

fn bore(ask: &Ask, pipe: Pipe, needed: f64) -> Option<Change> {
    let size = sizes::at_least(needed, ask.units)?;
    Some(Change::set(Quantity::Pipe(pipe, PipePart::Bore), size.bore))
}

/// A pump that gives this flow at this head, by the similarity of pumps.
fn other_pump(system: &System, flow: f64, head: Option<f64>) -> Option<Change> {
    match &system.pump.source {
        PumpSource::Steady(_) => Some(Change::set(
            Quantity::Pump(PumpPart::SteadyFlow),
            1.05 * flow,
        )),
        PumpSource::Curve(curve) => {
            let head = head?;
            let mut ratio = 1.0 + SPEED_STEP;
            while ratio <= FASTEST {
                let faster = curve.at_speed(ratio).ok()?;
                if flow < faster.open_flow() && faster.head(flow) >= head {
                    return Some(Change::Pump(PumpSource::Curve(faster)));
                }
                ratio += SPEED_STEP;
            }
            None
        }
    }
}
