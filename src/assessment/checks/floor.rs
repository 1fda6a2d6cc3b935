//! Weight on the floor, as information.

use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::garden::GRAIN_DENSITY;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::vessel::VesselShape;

/// What dwelling floors are commonly designed for at most `[N/m2]`; from memory of building codes.
const DWELLING_FLOOR: f64 = 1900.0;
/// The same at least `[N/m2]`.
const DWELLING_FLOOR_LEAST: f64 = 1400.0;
const BASIS: &str = "information only: grains of 2650 kg/m3; dwelling floors are commonly designed \
                     for 1.4 to 1.9 kN/m2 (from memory)";

/// Largest plan area of a vessel `[m2]`.
fn footprint(shape: &VesselShape) -> f64 {
    // A lying drum is widest half way up, so the area at its top will not do.
    const POINTS: u32 = 32;
    (0..=POINTS)
        .map(|k| shape.area(shape.depth() * f64::from(k) / f64::from(POINTS)))
        .fold(0.0, f64::max)
}

/// Load of bed `i` at its peak over its own plan area `[N/m2]`, container and stand left out.
fn bed_pressure(facts: &Facts, i: usize) -> f64 {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let gravel = bed.shape.volume(bed.media.depth) * (1.0 - bed.media.void) * GRAIN_DENSITY;
    let water = parts.storages[i].volume(parts.simulated_peak(i)) * parts.system.water.density;
    (gravel + water) * GRAVITY / footprint(&bed.shape)
}

fn sump_pressure(facts: &Facts) -> f64 {
    let parts = &facts.parts;
    let sump = &parts.system.sump;
    let water = parts.sump_volume(facts.balance.high_water(parts)) * parts.system.water.density;
    water * GRAVITY / (f64::from(sump.count) * footprint(&sump.shape))
}

/// What a vessel loads its floor with.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadWhy {
    /// Load over its own plan `[N/m2]`.
    pub load: f64,
    /// What dwelling floors are commonly designed for, least and most `[N/m2]`.
    pub dwelling: (f64, f64),
}

/// The heaviest vessel and its load, where it is more than a dwelling floor may carry `[N/m2]`.
pub(in crate::assessment) fn heaviest(facts: &Facts) -> Option<(Subject, f64)> {
    let beds = (0..facts.parts.count()).map(|i| (Subject::Bed(i), bed_pressure(facts, i)));
    beds.chain([(Subject::Sump, sump_pressure(facts))])
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, load)| *load > DWELLING_FLOOR_LEAST)
}

fn load(subject: Subject, load: f64, why: impl Fn(LoadWhy) -> Why) -> Check {
    Check {
        id: CheckId::FloorLoad,
        subject,
        status: Status::Pass,
        value: load,
        limit: DWELLING_FLOOR,
        margin: DWELLING_FLOOR - load,
        unit: CheckUnit::FloorLoad,
        why: why(LoadWhy {
            load,
            dwelling: (DWELLING_FLOOR_LEAST, DWELLING_FLOOR),
        }),
        basis: BASIS,
    }
}

/// Load under bed `i`.
pub(super) fn bed_load(facts: &Facts, i: usize) -> Check {
    load(Subject::Bed(i), bed_pressure(facts, i), Why::BedLoad)
}

/// Load under the sump.
pub(super) fn sump_load(facts: &Facts) -> Check {
    load(Subject::Sump, sump_pressure(facts), Why::SumpLoad)
}
