//! The fish tank as people name it.

use super::facts::{FactError, Wanted, inside, unread};
use super::sump::{Kind, vessel};
use crate::study::draft::TankFact;
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// Heights that a fish tank is put on `[m]`; beyond them it was mistyped.
const STAND: (f64, f64) = (0.0, 2.0);

const TANK: Wanted = Wanted(
    "none, a volume such as \"300 L\", a round one's diameter and depth such as \"90 x 60 cm round\", a \
     box such as \"120 x 60 x 60 cm\", drum or tote; with what it stands on after it, such as \
     \"300 L on 40 cm\".",
    "none, a volume such as \"80 gal\", a round one's diameter and depth such as \"36 x 24 in round\", a \
     box such as \"4 ft x 2 ft x 2 ft\", drum or tote; with what it stands on after it, such as \
     \"80 gal on 16 in\".",
);

/// A fish tank; `None` where there is none.
///
/// # Errors
/// [`FactError`] for anything else.
pub fn tank_fact(text: &str) -> Result<Option<TankFact>, FactError> {
    let lower = text.trim().to_lowercase();
    if ["none", "no", "no fish", "-"].contains(&lower.as_str()) {
        return Ok(None);
    }
    let (named, stand) = standing(&lower);
    inside("height to stand on", text, STAND, stand.as_slice(), TANK)?;
    let kind = Kind {
        what: "fish tank",
        wanted: TANK,
        stands: true,
    };
    let (vessel, many) = vessel(named, &kind)?;
    match many {
        None | Some(1) => Ok(Some(TankFact { vessel, stand })),
        Some(_) => Err(unread(&format!("{text:?} is more than one tank"), TANK)),
    }
}

/// What is said of the tank, and of the height of its bottom `[m]`: `300 L on 40 cm`.
fn standing(text: &str) -> (&str, Option<f64>) {
    let Some((named, height)) = text.rsplit_once(" on ") else {
        return (text, None);
    };
    if height.trim() == "the floor" {
        return (named, Some(0.0));
    }
    let bare = ["a stand of", "stand of", "blocks of"];
    let bare = bare
        .iter()
        .find_map(|word| height.trim().strip_prefix(word));
    let height = parse(bare.unwrap_or(height).trim(), Quantity::Length);
    // "On its end" says how a drum stands.
    height.map_or((text, None), |height| (named, Some(height)))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::hydraulics::vessel::VesselShape;
    use crate::study::draft::SumpFact;
    use crate::units::UnitSystem;

    fn read(text: &str) -> TankFact {
        tank_fact(text).unwrap().unwrap()
    }

    #[test]
    fn a_fish_tank_is_a_vessel_and_what_it_stands_on() {
        assert_eq!(tank_fact("None").unwrap(), None);
        assert_eq!(read("300 L").stand, None);
        assert!(matches!(read("300 L").vessel, SumpFact::Volume(_)));
        for text in [
            "300 L on 40 cm",
            "300 L on a stand of 40 cm",
            "300 l, on 0.4 m",
        ] {
            assert!((read(text).stand.unwrap() - 0.4).abs() < 1e-9, "{text}");
            assert_eq!(read(text).vessel, read("300 L").vessel, "{text}");
        }
        assert_eq!(read("round 300 L").vessel, read("300 L").vessel);
        assert_eq!(read("tote on the floor").stand, Some(0.0));
        // A drum stands, unless it is said to lie.
        assert_eq!(read("55 gal drum").vessel, SumpFact::UprightDrum);
        assert_eq!(
            read("drum on its end on 8 in").vessel,
            SumpFact::UprightDrum
        );
        assert_eq!(read("drum on its side").vessel, SumpFact::LyingDrum);
        let round = read("90 x 60 cm round").shape();
        assert!(
            matches!(round, VesselShape::UprightCylinder { diameter, depth }
                if (diameter - 0.9).abs() < 1e-9 && (depth - 0.6).abs() < 1e-9),
            "{round:?}"
        );
    }

    #[test]
    fn a_volume_is_a_round_tank_that_holds_it() {
        for litres in [100.0, 300.0, 1000.0] {
            let held = read(&format!("{litres} L")).shape().full_volume();
            assert!((1e3 * held - litres).abs() < 1e-6, "{held}");
        }
    }

    #[test]
    fn what_is_no_fish_tank_says_what_to_type_in_the_units_that_are_read() {
        for (text, says) in [
            ("koi", "not a number"),
            ("2 upright", "more than one tank"),
            ("300 L on 4 m", "no likely height to stand on"),
            ("90 m x 60 m round", "no likely"),
            ("0.9 m round", "1 measure"),
        ] {
            let error = tank_fact(text).unwrap_err();
            let (metric, us) = (error.told(UnitSystem::Metric), error.told(UnitSystem::Us));
            assert!(metric.contains(says), "{metric}");
            assert!(
                metric.contains("300 L") && !metric.contains("gal"),
                "{metric}"
            );
            assert!(
                us.contains("80 gal") && !us.contains(" cm ") && !us.contains("300 L\""),
                "{us}"
            );
        }
    }
}
