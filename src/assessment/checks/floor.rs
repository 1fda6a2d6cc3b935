//! Weight on the floor, as information.

use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::vessel::VesselShape;

/// Density of gravel grains `[kg/m3]`; quartz and granite, from memory.
pub(in crate::assessment) const GRAIN_DENSITY: f64 = 2650.0;
/// What dwelling floors are commonly designed for at most `[N/m2]`; from memory of building codes.
const DWELLING_FLOOR: f64 = 1900.0;
/// The same at least `[N/m2]`.
const DWELLING_FLOOR_LEAST: f64 = 1400.0;
const BASIS: &str = "information only: grains of 2650 kg/m3; dwelling floors are commonly designed \
                     for 1.4 to 1.9 kN/m2 (from memory)";

/// Largest plan area of a vessel `[m2]`.
fn footprint(shape: &VesselShape) -> f64 {
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
    water * GRAVITY / footprint(&sump.shape)
}

/// Name and load of the heaviest vessel, where it is more than a dwelling floor may carry `[N/m2]`.
pub(in crate::assessment) fn heaviest(facts: &Facts) -> Option<(String, f64)> {
    let beds = (0..facts.parts.count()).map(|i| (facts.parts.name(i), bed_pressure(facts, i)));
    beds.chain([("the sump".to_owned(), sump_pressure(facts))])
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, load)| *load > DWELLING_FLOOR_LEAST)
}

fn load(subject: String, value: f64, because: String) -> Check {
    Check {
        id: CheckId::FloorLoad,
        subject,
        status: Status::Pass,
        value,
        limit: DWELLING_FLOOR,
        margin: DWELLING_FLOOR - value,
        unit: CheckUnit::FloorLoad,
        because,
        first_fix: String::new(),
        basis: BASIS,
    }
}

/// Load under bed `i`.
pub(super) fn bed_load(facts: &Facts, i: usize) -> Check {
    let units = facts.parts.units;
    let value = bed_pressure(facts, i);
    load(
        facts.parts.beds()[i].name.clone(),
        value,
        format!(
            "Wet gravel and water of {} weigh {} over its own plan, container and stand not \
             counted; dwelling floors are commonly designed for {} to {}.",
            facts.parts.name(i),
            units.floor_load(value),
            units.floor_load(DWELLING_FLOOR_LEAST),
            units.floor_load(DWELLING_FLOOR)
        ),
    )
}

/// Load under the sump.
pub(super) fn sump_load(facts: &Facts) -> Check {
    let units = facts.parts.units;
    let value = sump_pressure(facts);
    load(
        "sump".to_owned(),
        value,
        format!(
            "The sump's water at its highest weighs {} over its own plan; dwelling floors are \
             commonly designed for {} to {}.",
            units.floor_load(value),
            units.floor_load(DWELLING_FLOOR_LEAST),
            units.floor_load(DWELLING_FLOOR)
        ),
    )
}
