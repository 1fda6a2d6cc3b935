//! The font that travels with the program, so that text shows on a machine
//! without any. Its licence is in `font/LICENSE.txt`.

mod widths;

#[cfg(feature = "plots")]
use std::sync::OnceLock;

#[cfg(feature = "plots")]
use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

#[cfg(feature = "plots")]
use super::PlotError;
use widths::{ADVANCES, KERNS};

/// DejaVu Sans 2.37, unmodified.
#[cfg(feature = "plots")]
static SANS: &[u8] = include_bytes!("font/DejaVuSans.ttf");

/// Families named in an SVG: viewers without the first use the next. Labels
/// are placed by the widths of the first, a wide one.
pub(super) const FAMILY: &str = "DejaVu Sans, Verdana, Helvetica, Arial, sans-serif";

/// Units of the font's tables to an em.
const EM: f64 = 2048.0;

/// Line height over em of the font: its ascent 1901 and descent 483 (the font's own `hhea`
/// table). The bitmap backend sizes by it.
#[cfg(feature = "plots")]
pub(super) const HEIGHT_OVER_EM: f64 = (1901.0 + 483.0) / EM;

/// Makes the font known to the drawing library; doing so again changes nothing.
#[cfg(feature = "plots")]
pub(super) fn register() -> Result<(), PlotError> {
    static DONE: OnceLock<bool> = OnceLock::new();
    let done = *DONE.get_or_init(|| register_font(FAMILY, FontStyle::Normal, SANS).is_ok());
    if done { Ok(()) } else { Err(PlotError::Font) }
}

/// The font at a size as the drawing library counts it.
#[cfg(feature = "plots")]
pub(super) fn at_size(size: f64) -> FontDesc<'static> {
    FontDesc::new(FontFamily::Name(FAMILY), size, FontStyle::Normal)
}

/// Width of a text over its em, in whole thousandths. A character that the table leaves out
/// counts as wide as an em, so that nothing overlaps.
pub(super) fn width_in_em(text: &str) -> f64 {
    let mut units = 0.0;
    let mut before = None;
    for c in text.chars() {
        units += advance(c);
        if let Some(before) = before {
            units += kern(before, c);
        }
        before = Some(c);
    }
    (units * 1000.0 / EM).floor() / 1000.0
}

fn advance(c: char) -> f64 {
    let code = u32::from(c);
    let run = ADVANCES.partition_point(|(first, _)| *first <= code);
    let (first, widths) = ADVANCES[run.saturating_sub(1)];
    let index = usize::try_from(code.wrapping_sub(first)).unwrap_or(usize::MAX);
    widths.get(index).map_or(EM, |width| f64::from(*width))
}

fn kern(left: char, right: char) -> f64 {
    KERNS
        .binary_search_by(|(a, b, _)| (*a, *b).cmp(&(left, right)))
        .map_or(0.0, |found| f64::from(KERNS[found].2))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_font() {
        // Advance widths in DejaVu Sans 2.37's `hmtx` table, 2048 units to the
        // em: zero 1303, M 1767, i 569.
        for (text, units) in [("0", 1303.0), ("000", 3909.0), ("M", 1767.0), ("i", 569.0)] {
            let error = width_in_em(text) - units / 2048.0;
            assert!(error.abs() < 0.0011, "{text}: {error}");
        }
    }

    // The table is made from the font by hand; the library reads the font itself.
    #[cfg(feature = "plots")]
    #[test]
    fn the_table_lays_out_as_the_font_does() {
        register().unwrap();
        // Beyond ASCII the table has no kern pairs: a text may come out a little wider.
        for (text, wider) in [
            (
                "highest water 1.433 m above the floor, AVALON To Tea",
                0.0021,
            ),
            ("Größe, étage, größter Überlauf °C ½ in", 0.1),
            ("вода ύδωρ — “quoted” ≤ 3 mm…", 0.1),
        ] {
            let size = 1000.0 * HEIGHT_OVER_EM;
            let ((left, _), (right, _)) = at_size(size).layout_box(text).unwrap();
            let off = width_in_em(text) - f64::from(right - left) / 1000.0;
            assert!((-0.0021..wider).contains(&off), "{text}: {off}");
        }
    }
}
