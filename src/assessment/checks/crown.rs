//! Pressure under the cap of each siphon.

use crate::assessment::facts::Facts;
use crate::assessment::levers::{least_length, with_lower_outlet};
use crate::assessment::parts::extreme_law;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::siphon::{Extreme, SiphonLaw};

/// Lowest pressure under the cap.
pub(super) fn crown_pressure(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let limit = parts.system.thresholds.crown_pressure;
    let value = parts.run.beds[i].crown_pressure_min;
    let worst = [&parts.least[i], &parts.nominal[i], &parts.most[i]]
        .map(|law| lowest_pressure(law, judged.tail))
        .into_iter()
        .fold(value, f64::min);
    // With its level over the lip a full cap need not see less than the atmosphere.
    let ran_full = parts.run.beds[i].siphon_flow_at_start.is_some();
    let status = if value < limit {
        Status::Fail
    } else if worst < limit {
        Status::Warn
    } else {
        Status::Pass
    };
    let because = if ran_full {
        format!(
            "The pressure under the cap of {} falls to {} absolute, at worst {}; below {} the \
             water column may part.",
            parts.name(i),
            units.pressure(value),
            units.pressure(worst),
            units.pressure(limit)
        )
    } else {
        format!(
            "{} never ran full in this run; running full its cap would see {} absolute at worst, \
             and {} is the least.",
            parts.name(i),
            units.pressure(worst),
            units.pressure(limit)
        )
    };
    Check {
        id: CheckId::CrownPressure,
        subject: parts.beds()[i].name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Pascal,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            crown_fix(facts, i, limit)
        },
        basis: "vapour pressure plus a margin; pressure from the loss balance, derived",
    }
}

/// Pressure under the cap at the break level, where it is lowest `[Pa]`.
fn lowest_pressure(law: &SiphonLaw, tail: f64) -> f64 {
    let level = law.break_level(tail);
    law.crown_pressure(level, law.stall_flow(tail))
}

fn crown_fix(facts: &Facts, i: usize, limit: f64) -> String {
    let parts = &facts.parts;
    let units = parts.units;
    let bed = &parts.beds()[i];
    let enough = |rise: f64| {
        let raised = with_lower_outlet(bed, -rise);
        [Extreme::LeastDischarge, Extreme::MostDischarge]
            .into_iter()
            .all(|end| {
                let law = extreme_law(parts.system, &raised, end);
                lowest_pressure(&law, parts.tail_at_break(i, &law)) >= limit
            })
    };
    let most = bed.floor - parts.outlets[i];
    if most > 0.0 && enough(most) {
        let rise = least_length(units, most, enough);
        return format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(rise)
        );
    }
    format!(
        "Shorten the siphon of {}: the cap stands too high over the water it draws from.",
        parts.name(i)
    )
}
