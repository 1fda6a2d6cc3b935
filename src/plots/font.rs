//! The font that travels with the program, so that text shows on a machine
//! without any. Its licence is in `font/LICENSE.txt`.

use std::sync::OnceLock;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

use super::PlotError;

/// DejaVu Sans 2.37, unmodified.
static SANS: &[u8] = include_bytes!("font/DejaVuSans.ttf");

/// Families named in an SVG: viewers without the first use the next. Labels
/// are placed by the widths of the first, a wide one.
pub(super) const FAMILY: &str = "DejaVu Sans, Verdana, Helvetica, Arial, sans-serif";

/// Line height over em of the font: its ascent 1901 and descent 483 in 2048
/// units (the font's own `hhea` table). The bitmap backend sizes by it.
pub(super) const HEIGHT_OVER_EM: f64 = (1901.0 + 483.0) / 2048.0;

/// Makes the font known to the drawing library; doing so again changes nothing.
pub(super) fn register() -> Result<(), PlotError> {
    static DONE: OnceLock<bool> = OnceLock::new();
    let done = *DONE.get_or_init(|| register_font(FAMILY, FontStyle::Normal, SANS).is_ok());
    if done { Ok(()) } else { Err(PlotError::Font) }
}

/// The font at a size as the drawing library counts it.
pub(super) fn at_size(size: f64) -> FontDesc<'static> {
    FontDesc::new(FontFamily::Name(FAMILY), size, FontStyle::Normal)
}

/// Width of a text over its em. Without the font: the width of its widest
/// letters, so that nothing overlaps.
pub(super) fn width_in_em(text: &str) -> f64 {
    // The library answers in whole pixels: ask for a large size.
    const EM: f64 = 1000.0;
    at_size(EM * HEIGHT_OVER_EM).layout_box(text).map_or_else(
        |_| f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX)),
        |((left, _), (right, _))| f64::from(right - left) / EM,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_those_of_the_font() {
        let _ = register();
        // Advance widths in DejaVu Sans 2.37's `hmtx` table, 2048 units to the
        // em: zero 1303, M 1767, i 569.
        for (text, units) in [("0", 1303.0), ("000", 3909.0), ("M", 1767.0), ("i", 569.0)] {
            let error = width_in_em(text) - units / 2048.0;
            assert!(error.abs() < 0.0011, "{text}: {error}");
        }
    }
}
