//! Level of the float valve against the sump's swing.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::weir::standing_head;
use crate::model::{Coefficient, TankFeed, TopOff};

/// Float travel from shut to fully open `[m]`, as the simulation has it.
const TRAVEL: f64 = 0.005;

/// Lowest level that the sump can come to while nothing is lost and nothing added `[m]`:
/// its low bound, less what the fish tank takes to fill and to overflow.
fn lowest_normal(facts: &Facts) -> f64 {
    let parts = &facts.parts;
    let bound = facts.balance.bounds.low;
    let taken = tank_takes(facts);
    if taken == 0.0 {
        return bound;
    }
    let level = parts.sump_level(parts.sump_volume(bound) - taken);
    level.max(parts.system.sump.floor)
}

/// Water that the tank and its branch hold at most beyond what they held at t = 0 `[m3]`.
fn tank_takes(facts: &Facts) -> f64 {
    let (parts, system) = (&facts.parts, facts.parts.system);
    let Some(tank) = &system.tank else {
        return 0.0;
    };
    let band = |which| parts.band(which).low;
    let head = standing_head(
        tank.overflow_bore,
        tank.overflow_bore,
        parts.run.pump.flow.max,
        band(Coefficient::LipWeir),
        band(Coefficient::LipOrifice),
    );
    let depth = (tank.overflow_level + head - tank.floor).min(tank.shape.depth());
    let start = tank.shape.volume(tank.start_level - tank.floor);
    let pipe = match &tank.fed_by {
        TankFeed::PumpBranch(branch) => branch.run.volume(),
        TankFeed::WholePump => 0.0,
    };
    (tank.shape.volume(depth) - start).max(0.0) + pipe
}

/// Valve level at or below the lowest normal sump level, where there is a valve.
pub(super) fn top_off(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let units = parts.units;
    let valve = parts.system.top_off.as_ref()?;
    let found = parts.run.top_off.as_ref()?;
    let limit = lowest_normal(facts);
    let margin = limit - valve.level;
    let too_low = valve.level - TRAVEL < parts.dry_level();
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
            units.elevation(valve.level - TRAVEL),
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
    let least = amounts::length(units, facts.parts.dry_level() + TRAVEL, Side::Up);
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
