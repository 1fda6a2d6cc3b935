//! The sump as people name it.

use super::facts::{FactError, SIDE, Wanted, inside, number_of_sides, sides, unread};
use crate::hydraulics::vessel::VesselShape;
use crate::study::draft::SumpFact;
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// Ranges in which a sump makes sense; beyond them it was mistyped.
const DEPTH: (f64, f64) = (0.10, 1.5);
const VOLUME: (f64, f64) = (0.005, 50.0);
/// What is sold as a drum of 55 gallons or 200 litres holds about this much `[m3]`.
const DRUM: (f64, f64) = (0.19, 0.23);
/// Most vessels that are joined.
const MOST: u32 = 12;

const SUMP: Wanted = Wanted(
    "lying, upright or tote, a volume such as \"200 L\", a box such as \"90 x 60 x 40 cm\", or a round \
     one such as \"57 x 85 cm lying\"; with a number in front for several joined, such as \
     \"2 lying\".",
    "lying, upright or tote, a volume such as \"55 gal\", a box such as \"3 ft x 2 ft x 16 in\", or a \
     round one such as \"22 in x 34 in lying\"; with a number in front for several joined, such as \
     \"2 lying\".",
);

/// How a round vessel lies, or what else it is called.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Called {
    Lying,
    Upright,
    Tote,
    Drum,
    Round,
}

/// Words of a sump that are no measures; `None` tells nothing.
const WORDS: [(&str, Option<Called>); 20] = [
    ("lying", Some(Called::Lying)),
    ("side", Some(Called::Lying)),
    ("sideways", Some(Called::Lying)),
    ("upright", Some(Called::Upright)),
    ("round", Some(Called::Round)),
    ("standing", Some(Called::Upright)),
    ("end", Some(Called::Upright)),
    ("tote", Some(Called::Tote)),
    ("totes", Some(Called::Tote)),
    ("pallet", Some(Called::Tote)),
    ("drum", Some(Called::Drum)),
    ("drums", Some(Called::Drum)),
    ("barrel", Some(Called::Drum)),
    ("barrels", Some(Called::Drum)),
    ("tank", None),
    ("tanks", None),
    ("on", None),
    ("its", None),
    ("a", None),
    ("an", None),
];

/// A vessel for the sump, and how many there are of it.
///
/// # Errors
/// [`FactError`] for anything else.
pub fn sump_fact(text: &str) -> Result<(SumpFact, Option<u32>), FactError> {
    // A drum of which nothing else is said lies, as most do that are sumps.
    vessel(
        text,
        &Kind {
            what: "sump",
            wanted: SUMP,
            stands: false,
        },
    )
}

/// What a vessel is read for.
pub(super) struct Kind {
    /// What it is.
    pub(super) what: &'static str,
    /// What to type.
    pub(super) wanted: Wanted,
    /// Whether a drum of which nothing else is said stands upright.
    pub(super) stands: bool,
}

/// Number of vessels, where it was said.
type Many = Option<u32>;

/// A vessel, and how many there are of it.
pub(super) fn vessel(text: &str, kind: &Kind) -> Result<(SumpFact, Many), FactError> {
    let wanted = kind.wanted;
    let lower = text.to_lowercase().replace(',', " ");
    let (words, measures): (Vec<&str>, Vec<&str>) = lower
        .split_whitespace()
        .partition(|word| WORDS.iter().any(|one| one.0 == *word));
    let of = |word: &&str| WORDS.iter().find(|one| one.0 == *word)?.1;
    let called: Vec<Called> = words.iter().filter_map(of).collect();
    let is = |one: Called| called.contains(&one);
    let measures = measures.join(" ");
    if is(Called::Tote) {
        let alone = counted(&measures, |rest| rest.is_empty().then_some(SumpFact::Tote));
        return match alone {
            Some((count, tote)) => Ok((tote, count)),
            None => Err(unread(
                &format!("{text:?} names a tote and measures"),
                wanted,
            )),
        };
    }
    // A fish tank of a volume is round anyway.
    let round = is(Called::Round) && !(kind.stands && volume(&measures).is_some());
    match (is(Called::Lying), is(Called::Upright)) {
        (true, true) => Err(unread(&format!("{text:?} lies and stands"), wanted)),
        (false, false) if !is(Called::Drum) && !round => boxed(text, &measures, kind),
        (lying, upright) => {
            let lies = lying || !(upright || is(Called::Round) || kind.stands);
            drum(text, &measures, lies, wanted)
        }
    }
}

/// A round vessel: the common one, or by its measures.
fn drum(
    text: &str,
    measures: &str,
    lying: bool,
    wanted: Wanted,
) -> Result<(SumpFact, Many), FactError> {
    let common = match lying {
        true => SumpFact::LyingDrum,
        false => SumpFact::UprightDrum,
    };
    if let Some((count, ())) = counted(measures, |rest| rest.is_empty().then_some(())) {
        return Ok((common, count));
    }
    if let Some((count, held)) = counted(measures, volume) {
        return match (DRUM.0..=DRUM.1).contains(&held) {
            true => Ok((common, count)),
            false => Err(unread(
                &format!("of {text:?} the volume is no common drum's: give diameter and length"),
                wanted,
            )),
        };
    }
    let Some((count, [diameter, long])) = counted(measures, measured) else {
        return Err(mistyped(text, measures, wanted));
    };
    let across = if lying { DEPTH } else { SIDE };
    let along = if lying { SIDE } else { DEPTH };
    inside("side of a drum", text, across, &[diameter], wanted)?;
    inside("side of a drum", text, along, &[long], wanted)?;
    Ok((SumpFact::Shape(round(diameter, long, lying)), count))
}

/// A box by its volume or its measures.
fn boxed(text: &str, measures: &str, kind: &Kind) -> Result<(SumpFact, Many), FactError> {
    let (what, wanted) = (kind.what, kind.wanted);
    if let Some(volume) = volume(measures) {
        inside(
            &format!("volume of a {what}"),
            text,
            VOLUME,
            &[volume],
            wanted,
        )?;
        return Ok((SumpFact::Volume(volume), None));
    }
    let Some((count, [length, width, depth])) = counted(measures, measured) else {
        return Err(mistyped(text, measures, wanted));
    };
    inside(
        &format!("side of a {what}"),
        text,
        SIDE,
        &[length, width],
        wanted,
    )?;
    inside(&format!("depth of a {what}"), text, DEPTH, &[depth], wanted)?;
    let shape = VesselShape::Box {
        length,
        width,
        depth,
    };
    Ok((SumpFact::Shape(shape), count))
}

fn mistyped(text: &str, measures: &str, wanted: Wanted) -> FactError {
    match sides(measures) {
        Ok(read) => number_of_sides(text, read.len(), wanted),
        Err(problem) => unread(&problem, wanted),
    }
}

fn volume(text: &str) -> Option<f64> {
    parse(text, Quantity::Volume).ok()
}

/// So many measures and no more.
fn measured<const N: usize>(text: &str) -> Option<[f64; N]> {
    sides(text).ok()?.try_into().ok()
}

/// What is read of it as it stands, or after a number of vessels: `2`, `2 x`; with that number.
fn counted<T>(text: &str, read: impl Fn(&str) -> Option<T>) -> Option<(Option<u32>, T)> {
    if let Some(found) = read(text) {
        return Some((None, found));
    }
    let end = text.find(|c: char| !c.is_ascii_digit());
    let (number, rest) = text.split_at(end.unwrap_or(text.len()));
    let count = number.parse().ok().filter(|n| (1..=MOST).contains(n))?;
    let rest = rest.trim_start();
    let rest = rest.strip_prefix(['x', '\u{d7}']).unwrap_or(rest).trim();
    Some((Some(count), read(rest)?))
}

const fn round(diameter: f64, long: f64, lying: bool) -> VesselShape {
    if lying {
        VesselShape::LyingCylinder {
            diameter,
            length: long,
        }
    } else {
        VesselShape::UprightCylinder {
            diameter,
            depth: long,
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    const INCH: f64 = 0.0254;

    #[test]
    fn a_sump_is_a_word() {
        for (text, wanted) in [
            ("lying", (SumpFact::LyingDrum, None)),
            ("2 lying", (SumpFact::LyingDrum, Some(2))),
            ("Drum", (SumpFact::LyingDrum, None)),
            ("a drum on its side", (SumpFact::LyingDrum, None)),
            ("2 drums lying", (SumpFact::LyingDrum, Some(2))),
            ("55 gal drum", (SumpFact::LyingDrum, None)),
            ("2 x 55 gal drums, lying", (SumpFact::LyingDrum, Some(2))),
            ("200 L drum on its end", (SumpFact::UprightDrum, None)),
            ("3 x upright", (SumpFact::UprightDrum, Some(3))),
            ("3x upright", (SumpFact::UprightDrum, Some(3))),
            ("standing", (SumpFact::UprightDrum, None)),
            ("Tote", (SumpFact::Tote, None)),
            ("2 pallet tanks", (SumpFact::Tote, Some(2))),
        ] {
            assert_eq!(sump_fact(text).unwrap(), wanted, "{text}");
        }
    }

    #[test]
    fn a_sump_is_measured() {
        let gallons = sump_fact("55 gal").unwrap();
        assert!(matches!(gallons, (SumpFact::Volume(_), None)));
        for (text, count) in [
            ("23 in x 33 in lying", None),
            ("lying, 23 in x 33 in", None),
            ("23x33 in lying drum", None),
            ("1 x 23 in x 33 in lying", Some(1)),
            ("2 lying 23 in x 33 in", Some(2)),
            ("2 x 23 x 33 in on its side", Some(2)),
        ] {
            let found = sump_fact(text).unwrap();
            let SumpFact::Shape(VesselShape::LyingCylinder { diameter, length }) = found.0 else {
                unreachable!("{text} is no drum: {found:?}")
            };
            assert!((diameter - 23.0 * INCH).abs() < 1e-9, "{text}");
            assert!((length - 33.0 * INCH).abs() < 1e-9, "{text}");
            assert_eq!(found.1, count, "{text}");
        }
        // Three bare numbers are three sides; a fourth in front counts.
        assert_eq!(sump_fact("3 x 2 x 1.5 ft").unwrap().1, None);
        assert_eq!(sump_fact("2 x 3 ft x 2 ft x 16 in").unwrap().1, Some(2));
    }

    #[test]
    fn what_is_no_sump_says_what_to_type() {
        for (text, says) in [
            ("bucket", "Type lying"),
            ("lying upright", "lies and stands"),
            ("30 gal lying", "diameter and length"),
            ("40 ft x 2 ft x 1 ft", "no likely"),
            ("23 in lying", "1 measure"),
            ("tote 4 ft x 4 ft", "tote and measures"),
        ] {
            let error = sump_fact(text).unwrap_err().to_string();
            assert!(error.contains(says) && error.contains("Type"), "{error}");
        }
    }
}
