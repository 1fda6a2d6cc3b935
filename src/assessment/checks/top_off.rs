//! Level of the float valve against the sump's swing.

use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::FLOAT_TRAVEL;
use crate::model::{Change, Quantity, TopOffPart};
use crate::units::amounts::{self, Side};

/// Where a float valve stands in the sump's swing.
#[derive(Debug, Clone, PartialEq)]
pub struct TopOffWhy {
    /// Level below which it opens `[m]`.
    pub opens: f64,
    /// Lowest normal level of the sump `[m]`.
    pub lowest: f64,
    /// What it added beyond what the air took in the run, where it did `[m3]`.
    pub gained: Option<f64>,
    /// Where it is fully open and what the pump needs, where that is too low `[m]`.
    pub needed: Option<(f64, f64)>,
}

/// Valve level at or below the lowest normal sump level, where there is a valve.
pub(super) fn top_off(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let valve = parts.system.top_off.as_ref()?;
    let found = parts.run.top_off.as_ref()?;
    let limit = facts.balance.lowest_normal;
    let margin = limit - valve.level;
    let too_low = valve.level - FLOAT_TRAVEL < parts.dry_level();
    let status = if margin < -super::ROUNDING {
        // Only what it has added in the run is a fact.
        if found.gained > 0.0 {
            Status::Fail
        } else {
            Status::Warn
        }
    } else if too_low {
        Status::Warn
    } else {
        Status::Pass
    };
    Some(Check {
        id: CheckId::TopOff,
        subject: Subject::FloatValve,
        status,
        value: valve.level,
        limit,
        margin,
        unit: CheckUnit::Elevation,
        why: Why::TopOff(TopOffWhy {
            opens: valve.level,
            lowest: limit,
            gained: (found.gained > 0.0).then_some(found.gained),
            needed: too_low.then_some((valve.level - FLOAT_TRAVEL, parts.dry_level())),
        }),
        basis: "derived: water is conserved",
    })
}

/// The valve at the nearest level that both the pump and the sump's swing allow.
pub(super) fn fixes(facts: &Facts, why: &TopOffWhy) -> Vec<Fix> {
    let tape = facts.parts.tape;
    let most = amounts::length(tape, why.lowest, Side::Down);
    let least = amounts::length(tape, facts.parts.dry_level() + FLOAT_TRAVEL, Side::Up);
    if least > most {
        let short = amounts::length(tape, least - most, Side::Up);
        let first = Hint::First(CheckId::PumpCover, Subject::Pump);
        return vec![Fix::hint(first).noting(Hint::NoRoomForFloat(short))];
    }
    let level = if why.opens > most { most } else { least };
    let valve = Quantity::TopOff(TopOffPart::Level);
    vec![Fix::of([Change::set(valve, level)])]
}
