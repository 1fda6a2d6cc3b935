//! Pressure under the cap of each siphon.

use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{least_length, outlet_lower, with_lower_outlet};
use crate::assessment::parts::extreme_law;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::siphon::{Extreme, SiphonLaw};

/// How low the pressure under a cap falls.
#[derive(Debug, Clone, PartialEq)]
pub struct CrownWhy {
    /// Lowest in the run, absolute `[Pa]`.
    pub lowest: f64,
    /// Lowest with unfavourable coefficients `[Pa]`.
    pub worst: f64,
    /// Least wanted `[Pa]`.
    pub limit: f64,
    /// Whether the siphon ran full in the run.
    pub ran_full: bool,
}

/// Lowest pressure under the cap.
pub(super) fn crown_pressure(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
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
    Check {
        id: CheckId::CrownPressure,
        subject: Subject::Bed(i),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Pascal,
        why: Why::Crown(CrownWhy {
            lowest: value,
            worst,
            limit,
            ran_full,
        }),
        basis: "vapour pressure plus a margin; pressure from the loss balance, derived",
    }
}

/// Pressure under the cap at the break level, where it is lowest `[Pa]`.
fn lowest_pressure(law: &SiphonLaw, tail: f64) -> f64 {
    let level = law.break_level(tail);
    law.crown_pressure(level, law.stall_flow(tail))
}

/// The outlet up; else a lower cap.
pub(super) fn fixes(facts: &Facts, i: usize) -> Vec<Fix> {
    let parts = &facts.parts;
    let limit = parts.system.thresholds.crown_pressure;
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
        let rise = least_length(parts.tape, most, enough);
        return vec![outlet_lower(facts, i, -rise)];
    }
    vec![Fix::hint(Hint::ShorterSiphon(i))]
}
