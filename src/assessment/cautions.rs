//! Hazards beside the hydraulics, named only where they apply.

use crate::assessment::checks::heaviest;
use crate::assessment::facts::Facts;

/// Least air gap over drinking water's reach `[m]`.
const LEAST_AIR_GAP: f64 = 0.025;

/// Cautions that apply to this system; the last one defers to local codes.
pub(super) fn all(facts: &Facts) -> Vec<String> {
    let system = facts.parts.system;
    let units = facts.parts.units;
    let mut list = vec![
        "Mains power near water: feed the pump through residual-current protection (30 mA; a Class \
         A ground-fault interrupter in North America), test it every month, and hang every cable \
         with a drip loop."
            .to_owned(),
    ];
    if let Some(valve) = system
        .top_off
        .as_ref()
        .filter(|valve| valve.reservoir.is_none())
    {
        list.push(format!(
            "Top-off from drinking water: keep an air gap of at least {} (twice the bore, and \
             never under {}) between its outlet and the highest water, or fit the device that the \
             local code asks for.",
            units.length((2.0 * valve.bore).max(LEAST_AIR_GAP)),
            units.length(LEAST_AIR_GAP)
        ));
    }
    if let Some((name, load)) = heaviest(facts) {
        list.push(format!(
            "Weight: {name} loads its floor with {}, more than dwelling floors are commonly \
             designed for; ask somebody licensed before you build it indoors.",
            units.floor_load(load)
        ));
    }
    list.push(
        "Open water: small children drown in a few centimetres; cover the sump and every tank."
            .to_owned(),
    );
    list.push(
        "Materials: use food-grade containers and gravel that does not fizz in vinegar: put many \
         pieces from all over the heap into it for 20 minutes and look for streams of fine bubbles; \
         limestone or shells among them harden the water for years; solvent-cement vapour is \
         harmful and burns, so glue pipes in the open."
            .to_owned(),
    );
    if system.tank.is_some() || system.sump.holds_fish {
        list.push(
            "Fish: without aeration 20 kg/m3 of fish have well under an hour in a power cut; keep \
             an air pump that does not need the mains."
                .to_owned(),
        );
    }
    list.push("In all of this local codes and licensed practice decide.".to_owned());
    list
}
