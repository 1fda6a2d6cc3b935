//! Level of the float valve against the sump's swing.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{FLOAT_TRAVEL, TopOff};

/// Valve level at or below the lowest normal sump level, where there is a valve.
pub(super) fn top_off(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let units = parts.units;
    let valve = parts.system.top_off.as_ref()?;
    let found = parts.run.top_off.as_ref()?;
    let limit = facts.balance.lowest_normal;
    let margin = limit - valve.level;
    let too_low = valve.level - FLOAT_TRAVEL < parts.dry_level();
    let status = if margin < -super::ROUNDING {
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
    let mut because = format!(
        "The valve opens below {}, and with every bed at its highest the sump can stand at {} \
         with nothing lost: a valve above that adds water that comes back when the beds drain.",
        units.elevation(valve.level),
        units.elevation(limit)
    );
    if found.gained > 0.0 {
        because += &format!(
            " In this run it added {} more than the air took.",
            units.volume(found.gained)
        );
    }
    if too_low {
        because += &format!(
            " The air can draw the sump down to where the valve is fully open, {}, and the pump \
             needs water up to {}.",
            units.elevation(valve.level - FLOAT_TRAVEL),
            units.elevation(parts.dry_level())
        );
    }
    Some(Check {
        id: CheckId::TopOff,
        subject: "float valve".to_owned(),
        status,
        value: valve.level,
        limit,
        margin,
        unit: CheckUnit::Metre,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            fix(facts, valve, limit)
        },
        basis: "derived: water is conserved",
    })
}

fn fix(facts: &Facts, valve: &TopOff, limit: f64) -> String {
    let units = facts.parts.units;
    let most = amounts::length(units, limit, Side::Down);
    let least = amounts::length(units, facts.parts.dry_level() + FLOAT_TRAVEL, Side::Up);
    if least > most {
        return format!(
            "Mend the pump's cover first: between the pump's need and the sump's lowest level \
             there are {} too little for a float valve.",
            units.length(amounts::length(units, least - most, Side::Up))
        );
    }
    if valve.level > most {
        format!("Set the float valve to {} or lower.", units.elevation(most))
    } else {
        format!(
            "Set the float valve to {} or higher.",
            units.elevation(least)
        )
    }
}
