//! Growing height under the ceiling.

use crate::assessment::checks::graded;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::outlet_lower;
use crate::assessment::status::{CheckId, CheckUnit, Subject};
use crate::model::Change;
use crate::model::DrainTarget;
use crate::units::amounts::{self, Side};

/// How much height plants have.
#[derive(Debug, Clone, PartialEq)]
pub struct HeadroomWhy {
    /// From rim to ceiling `[m]`.
    pub left: f64,
    /// Growing height asked for `[m]`.
    pub asked: Option<f64>,
}

/// Growing height under the ceiling, where there is one.
pub(super) fn headroom(facts: &Facts, i: usize) -> Option<Check> {
    let parts = &facts.parts;
    let value = parts.system.ceiling? - parts.beds()[i].rim_level();
    let asked = parts.system.thresholds.growing_height;
    let limit = asked.unwrap_or(0.0);
    let status = graded(value, limit, limit);
    Some(Check {
        id: CheckId::Headroom,
        subject: Subject::Bed(i),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        why: Why::Headroom(HeadroomWhy { left: value, asked }),
        basis: if asked.is_some() {
            "the height asked for in the scenario"
        } else {
            "derived: the rim must be under the ceiling"
        },
    })
}

/// The bed lower with all that goes with it, or everything.
pub(super) fn fixes(facts: &Facts, i: usize, short: f64) -> Vec<Fix> {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let by = amounts::length(parts.tape, short, Side::Up);
    let outlet = parts.outlets[i];
    let receiver = match (&parts.system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => line.invert(*at),
        _ => facts.balance.high_water(parts),
    };
    if outlet - by > receiver {
        let lower = Change::RaiseBed { bed: i, by: -by };
        let mut ways = vec![Fix::of([lower]).and(outlet_lower(facts, i, by))];
        if parts.count() > 1 {
            ways.push(Fix::of([Change::RaiseAll { by: -by }]));
        }
        return ways;
    }
    vec![Fix::hint(Hint::LowerWithSump {
        bed: i,
        by,
        fall: (outlet - receiver).max(0.0),
    })]
}
