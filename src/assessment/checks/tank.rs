//! Turnover of the fish's water.

use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{done, least_percent};
use crate::assessment::status::{CheckId, CheckUnit, Subject};
use crate::model::System;
use crate::model::{BranchPart, Change, Outlet, Quantity};
use crate::network::supply::SupplyTree;
use crate::simulation::{Run, TankOutcome};
use crate::units::HOUR;
use crate::units::amounts::{self, Side};

/// Tank volumes an hour wanted; common practice, no source.
const TURNOVER: f64 = 1.0;
/// Fewer than this fail; half of it, set here.
const TURNOVER_LEAST: f64 = 0.5;

/// How often the fish's water is renewed.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnoverWhy {
    /// Mean flow through it `[m3/s]`.
    pub flow: f64,
    /// The water `[m3]`.
    pub water: f64,
    /// Times an hour.
    pub an_hour: f64,
}

/// The tank's mean flow over `part` of the run's time `[m3/s]`; nothing came in the rest.
fn over(tank: &TankOutcome, run: &Run, part: f64) -> f64 {
    if part > 0.0 {
        tank.inflow.max(0.0) * run.duration / part
    } else {
        0.0
    }
}

/// Tank volumes an hour, where there are fish; power cuts left out.
pub(super) fn turnover(facts: &Facts) -> Option<Check> {
    let (parts, run) = (&facts.parts, facts.parts.run);
    let tank = run.tank.as_ref()?;
    let (subject, water) = match &parts.system.tank {
        Some(vessel) => {
            let depth = vessel.overflow_level - vessel.floor;
            (Subject::FishTank, vessel.shape.volume(depth))
        }
        None => (Subject::Sump, parts.sump_volume(tank.level.mean)),
    };
    let inflow = over(tank, run, run.pump.powered);
    let value = HOUR * inflow / water;
    let status = graded(value, TURNOVER, TURNOVER_LEAST);
    Some(Check {
        id: CheckId::Turnover,
        subject,
        status,
        value,
        limit: TURNOVER,
        margin: value - TURNOVER,
        unit: CheckUnit::PerHour,
        why: Why::Turnover(TurnoverWhy {
            flow: inflow,
            water,
            an_hour: value,
        }),
        basis: COMMON_PRACTICE,
    })
}

/// Flow through the tank while the pump pumps `[m3/s]`.
pub(super) fn flow_while_pumping(facts: &Facts) -> Option<f64> {
    let run = facts.parts.run;
    Some(over(run.tank.as_ref()?, run, run.pump.pumping))
}

/// Ways to renew the fish's water often enough.
pub(super) fn fixes(facts: &Facts, why: &TurnoverWhy) -> Vec<Fix> {
    let parts = &facts.parts;
    let to = amounts::flow(parts.tape, TURNOVER * why.water / HOUR, Side::Up);
    let hint = Hint::TankFlow {
        to,
        timer: parts.system.pump.schedule.is_some(),
    };
    let sump = parts.run.sump.level.mean;
    let tank_flow = |system: &System| SupplyTree::new(system).duty(sump).tank_flow;
    let now = tank_flow(parts.system);
    // What the run's mean lacks, the flow while it pumps has to gain in proportion.
    let wanted = now * to / why.flow.max(f64::MIN_POSITIVE);
    let outlet = Outlet::Tank;
    let opening = Quantity::Branch(outlet, BranchPart::Opening).value(parts.system);
    let open = opening.and_then(|now| {
        least_percent(now, |open| {
            done(parts.system, &Fix::of([Change::turn(outlet, open)]))
                .is_some_and(|changed| tank_flow(&changed) >= wanted)
        })
    });
    let turned = open.map(|open| Change::turn(outlet, open));
    vec![Fix::of(turned).noting(hint)]
}
