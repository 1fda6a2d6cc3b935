//! A rim under the water that a siphon takes to start.

use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{enough_cut, higher_wall, wider_slots};
use crate::assessment::window::{LowRim, starts_under_rim};
use crate::model::Bed;
use crate::units::amounts::{self, Side};

/// Why the start flow cannot be had under the rim, or may not.
#[derive(Debug, Clone, PartialEq)]
pub struct LowRimWhy {
    /// Least that runs over the lip with the bed full to its rim `[m3/s]`.
    pub passed: f64,
    /// Area of all slots of the bell, where they hold the water back `[m2]`.
    pub by_slots: Option<f64>,
    /// Whether it never starts, whatever the coefficients are.
    pub certain: bool,
}

impl LowRimWhy {
    pub(super) fn new(facts: &Facts, i: usize, low: &LowRim) -> Self {
        let area = facts.parts.beds()[i].siphon.bell.slots.area();
        Self {
            passed: low.passed,
            by_slots: low.by_slots.then_some(area),
            certain: low.certain,
        }
    }
}

/// Wider slots, a shorter standpipe or a higher wall, so that it starts under its rim.
pub(super) fn low_rim_fixes(facts: &Facts, i: usize, low: &LowRim) -> Vec<Fix> {
    let parts = &facts.parts;
    let starts = |bed: &Bed| starts_under_rim(parts, i, bed);
    let mut ways = Vec::new();
    if low.by_slots {
        ways.extend(wider_slots(facts, i, starts));
    }
    ways.extend(enough_cut(facts, i, starts));
    let short = parts.least[i].standing_head(facts.beds[i].window.start.high);
    let over_lip = parts.beds()[i].rim_level() - parts.nominal[i].lip();
    let by = amounts::length(parts.tape, short - over_lip, Side::Up);
    if by > 0.0 {
        ways.extend(higher_wall(facts, i, by));
    }
    if ways.is_empty() {
        ways.push(Fix::hint(Hint::MoreSlots(i)));
    }
    ways
}
