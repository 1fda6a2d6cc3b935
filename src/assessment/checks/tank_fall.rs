//! The fall of the gravity runs from fish tank and settler.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::graded;
use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::model::{Inlet, Settler, Tank, TankOutlet};

/// What a run falls from or to.
struct End {
    words: String,
    level: f64,
}

/// Fall from the tank's overflow to what it feeds, and from a settler to the sump.
pub(super) fn tank_falls(facts: &Facts) -> Vec<Check> {
    let system = facts.parts.system;
    let Some(tank) = &system.tank else {
        return Vec::new();
    };
    let mut list = Vec::new();
    let settler = system
        .settler
        .as_ref()
        .filter(|_| tank.overflows_to == TankOutlet::Settler);
    if let Some(to) = tank_receiver(facts, tank, settler) {
        list.push(run(facts, "fish tank", tank.overflow_level, &to, None));
    }
    if let Some(settler) = settler {
        let above = tank.overflow_level - settler.overflow_level;
        let (from, to) = (settler.overflow_level, sump(facts));
        list.push(run(facts, "settler", from, &to, Some(above)));
    }
    list
}

fn tank_receiver(facts: &Facts, tank: &Tank, settler: Option<&Settler>) -> Option<End> {
    let parts = &facts.parts;
    if tank.overflows_to != TankOutlet::Beds {
        return Some(settler.map_or_else(
            || sump(facts),
            |settler| End {
                words: "the settler's water".to_owned(),
                level: settler.overflow_level,
            },
        ));
    }
    let inlets = parts
        .beds()
        .iter()
        .enumerate()
        .filter_map(|(i, bed)| match &bed.inlet {
            Inlet::Piped(branch) => Some((i, branch.level)),
            Inlet::Share(_) | Inlet::Measured(_) => None,
        });
    let (i, level) = inlets.max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(End {
        words: format!("the inlet of {}, the highest it feeds,", parts.name(i)),
        level,
    })
}

fn sump(facts: &Facts) -> End {
    End {
        words: "the sump's highest water".to_owned(),
        level: facts.balance.high_water(&facts.parts),
    }
}

/// One run; `above` is what the vessel could be raised until it stood as high as
/// the tank that feeds it.
fn run(facts: &Facts, subject: &str, from: f64, to: &End, above: Option<f64>) -> Check {
    let units = facts.parts.units;
    let value = from - to.level;
    let status = graded(value, 0.0, 0.0);
    let side = if value < 0.0 { "under" } else { "over" };
    let rise = amounts::length(units, -value, Side::Up);
    let what = match above {
        Some(room) if rise > room => format!("{subject} and fish tank"),
        _ => format!("the {subject}"),
    };
    Check {
        id: CheckId::Fall,
        subject: subject.to_owned(),
        status,
        value,
        limit: 0.0,
        margin: value,
        unit: CheckUnit::Metre,
        because: format!(
            "The overflow of the {subject} at {} is {} {side} {} at {}.",
            units.elevation(from),
            units.length(value.abs()),
            to.words,
            units.elevation(to.level)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            format!("Raise {what} by {}.", units.length(rise))
        },
        basis: "derived",
    }
}
