//! Inflow over siphon flow at the break.

use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    cleared, held_by_water, others_opened, outlet_drop, slots_and_drop, throttle, wider_slots,
};
use crate::assessment::parts::nominal_law;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::model::Bed;
use crate::simulation::Regime;
use crate::units::amounts::{self, Side};

/// Share of the ratio's limit at which a fix aims: the siphon flow moves with the sump.
const RATIO_AIM: f64 = 0.98;

/// How much of its siphon's flow a bed's inflow is.
#[derive(Debug, Clone, PartialEq)]
pub struct InflowRatioWhy {
    /// Greatest inflow at the break level `[m3/s]`.
    pub inflow: f64,
    /// Siphon flow just before the break, nothing where water at its outlet holds it `[m3/s]`.
    pub siphon: f64,
    /// Share that leaves it room `[-]`.
    pub limit: f64,
    /// Share above which little is left `[-]`.
    pub most: f64,
    /// Water over its outlet at the break `[m]`.
    pub over_outlet: f64,
}

/// Inflow over siphon flow at the break.
pub(super) fn inflow_ratio(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let limits = &parts.system.thresholds;
    let siphon = siphon_flow(facts, i);
    let inflow = judged.at_break.flow;
    let value = if siphon > 0.0 {
        inflow / siphon
    } else {
        f64::INFINITY
    };
    let cycles = parts.run.beds[i].regime_powered == Regime::Cycles;
    let status = if value <= limits.inflow_ratio {
        Status::Pass
    } else if value <= limits.inflow_ratio_most || cycles {
        // A rule of thumb, while the run copes.
        Status::Warn
    } else {
        Status::Fail
    };
    Check {
        id: CheckId::InflowRatio,
        subject: Subject::Bed(i),
        status,
        value,
        limit: limits.inflow_ratio,
        margin: limits.inflow_ratio - value,
        unit: CheckUnit::Ratio,
        why: Why::InflowRatio(InflowRatioWhy {
            inflow,
            siphon,
            limit: limits.inflow_ratio,
            most: limits.inflow_ratio_most,
            over_outlet: judged.tail - parts.outlets[i],
        }),
        basis: "derived here: draining slows without limit as the ratio nears one",
    }
}

/// Siphon flow just before the break, from the run where it broke `[m3/s]`.
fn siphon_flow(facts: &Facts, i: usize) -> f64 {
    let law = &facts.parts.nominal[i];
    facts.parts.run.beds[i]
        .siphon_flow_at_break
        .unwrap_or_else(|| law.stall_flow(facts.beds[i].tail))
}

/// Ways to leave the siphon room.
pub(super) fn fixes(facts: &Facts, i: usize) -> Vec<Fix> {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let limits = &parts.system.thresholds;
    let siphon = siphon_flow(facts, i);
    let inflow = judged.at_break.flow;
    let free = parts.nominal[i].stall_flow(parts.outlets[i]);
    if inflow <= limits.inflow_ratio * free
        && let Some(clear) = cleared(facts, i)
    {
        return vec![clear];
    }
    if let Some(open) = others_opened(facts, i, limits.inflow_ratio * siphon) {
        return vec![open];
    }
    if let Some(first) = held_by_water(facts, i) {
        return vec![first];
    }
    let to = amounts::flow(
        parts.tape,
        RATIO_AIM * limits.inflow_ratio * siphon,
        Side::Down,
    );
    let throttled = throttle(facts, i, inflow, to);
    let starts = to >= judged.window.start.high;
    let mut ways = if starts {
        throttled.clone()
    } else {
        Vec::new()
    };
    // What the run saw beside what the siphon gives alone: others may drain with it.
    let seen = siphon / parts.nominal[i].stall_flow(judged.tail);
    let enough = |bed: &Bed| {
        let law = nominal_law(parts.system, bed);
        let flow = law.stall_flow(parts.tail_at_break(i, &law));
        inflow <= RATIO_AIM * limits.inflow_ratio * flow * seen
    };
    ways.extend(outlet_drop(facts, i, enough));
    ways.extend(wider_slots(facts, i, enough));
    if ways.is_empty() {
        ways.extend(slots_and_drop(facts, i, enough));
    }
    if ways.is_empty() {
        let may_not = |fix: Fix| fix.noting(Hint::MayNotStart);
        ways.extend(throttled.into_iter().map(may_not));
    }
    ways
}
