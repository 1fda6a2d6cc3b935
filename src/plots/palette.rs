//! Colours and line styles that survive colour blindness and grey print.
//!
//! Colours are those of M. Okabe and K. Ito, "Color Universal Design" (2008):
//! eight colours chosen to be told apart with every common kind of colour
//! vision. No series relies on its colour alone: each has a dash pattern or a
//! hatch of its own and a label beside it.

/// A colour: red, green and blue of 255.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Rgb(pub(super) u8, pub(super) u8, pub(super) u8);

/// Text and frames.
pub(super) const BLACK: Rgb = Rgb(0, 0, 0);
/// Paper.
pub(super) const WHITE: Rgb = Rgb(255, 255, 255);
/// Secondary text; 7.0 : 1 on white.
pub(super) const GREY: Rgb = Rgb(89, 89, 89);
/// Leader lines and ticks.
pub(super) const MID_GREY: Rgb = Rgb(150, 150, 150);
/// Grid.
pub(super) const PALE_GREY: Rgb = Rgb(222, 222, 222);
/// Water.
pub(super) const BLUE: Rgb = Rgb(0, 114, 178);
/// Gravel.
pub(super) const ORANGE: Rgb = Rgb(230, 159, 0);
/// Limits.
pub(super) const VERMILLION: Rgb = Rgb(213, 94, 0);
/// Start of the siphon, highest of two.
pub(super) const PURPLE: Rgb = Rgb(204, 121, 167);
/// Break of the siphon, lowest of two.
pub(super) const GREEN: Rgb = Rgb(0, 158, 115);
/// Water that is always there (sky blue, thinned).
pub(super) const WATER_LOW: Rgb = Rgb(158, 209, 240);
/// Water that comes and goes (sky blue, thinned more).
pub(super) const WATER_HIGH: Rgb = Rgb(219, 238, 250);
/// Lengths of stroke and gap in turn `[px]`; empty: a solid line.
pub(super) type Dash = &'static [f64];

pub(super) const SOLID: Dash = &[];
pub(super) const LONG: Dash = &[12.0, 5.0];
pub(super) const SHORT: Dash = &[5.0, 3.5];
pub(super) const DOTS: Dash = &[1.6, 3.4];
pub(super) const DASH_DOT: Dash = &[9.0, 3.5, 1.8, 3.5];
pub(super) const DASH_DOT_DOT: Dash = &[9.0, 3.0, 1.8, 3.0, 1.8, 3.0];

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stroke {
    pub(super) color: Rgb,
    pub(super) width: f64,
    pub(super) dash: Dash,
}

impl Stroke {
    pub(super) const fn new(color: Rgb, width: f64, dash: Dash) -> Self {
        Self { color, width, dash }
    }

    pub(super) const fn solid(color: Rgb, width: f64) -> Self {
        Self::new(color, width, SOLID)
    }
}

/// Thin frame around a panel.
pub(super) const FRAME: Stroke = Stroke::solid(BLACK, 1.0);
/// Grid line.
pub(super) const GRID: Stroke = Stroke::solid(PALE_GREY, 1.0);
/// The series a panel is about.
pub(super) const SERIES: Stroke = Stroke::solid(BLUE, 2.0);
