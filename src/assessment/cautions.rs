//! Hazards beside the hydraulics, named only where they apply.

use crate::assessment::checks::heaviest;
use crate::assessment::facts::Facts;
use crate::assessment::status::Subject;

/// Least air gap over drinking water's reach `[m]`.
const LEAST_AIR_GAP: f64 = 0.025;

/// A usual caution; its words are the report's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Caution {
    /// Mains power near water.
    Mains,
    /// Top-off from drinking water.
    DrinkingWater {
        /// Air gap wanted `[m]`.
        gap: f64,
        /// Least of any `[m]`.
        least: f64,
    },
    /// A vessel heavier than dwelling floors are designed for.
    Weight {
        /// Which.
        vessel: Subject,
        /// Its load `[N/m2]`.
        load: f64,
    },
    /// Open water.
    OpenWater,
    /// What containers, gravel and glue are made of.
    Materials,
    /// Fish in a power cut.
    Fish,
    /// Local codes decide.
    LocalCodes,
}

/// Cautions that apply to this system; the last one defers to local codes.
pub(super) fn all(facts: &Facts) -> Vec<Caution> {
    let system = facts.parts.system;
    let mut list = vec![Caution::Mains];
    let mains_fed = |valve: &&crate::model::TopOff| valve.reservoir.is_none();
    if let Some(valve) = system.top_off.as_ref().filter(mains_fed) {
        list.push(Caution::DrinkingWater {
            gap: (2.0 * valve.bore).max(LEAST_AIR_GAP),
            least: LEAST_AIR_GAP,
        });
    }
    if let Some((vessel, load)) = heaviest(facts) {
        list.push(Caution::Weight { vessel, load });
    }
    list.extend([Caution::OpenWater, Caution::Materials]);
    if system.tank.is_some() || system.sump.holds_fish {
        list.push(Caution::Fish);
    }
    list.push(Caution::LocalCodes);
    list
}
