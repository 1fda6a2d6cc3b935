//! Panels: data to pixels, frames, grids and round tick values.

use super::palette::{BLACK, FRAME, GREY, GRID, Stroke};
use super::sheet::{Align, Point, SMALL, Sheet, text_width};
use crate::numerics::maths::Maths;

/// How far the text of a tick may stand out past its panel `[px]`.
pub(super) const OVERHANG: f64 = 6.0;

/// A rectangle of the page with its two scales. Data are in the units shown.
#[derive(Debug, Clone, Copy)]
pub(super) struct Panel {
    /// Left and right edge `[px]`.
    pub(super) left: f64,
    pub(super) right: f64,
    /// Upper and lower edge `[px]`.
    pub(super) top: f64,
    pub(super) bottom: f64,
    /// Values at the left and right edge.
    pub(super) across: (f64, f64),
    /// Values at the lower and upper edge.
    pub(super) up: (f64, f64),
}

impl Panel {
    pub(super) fn x(&self, value: f64) -> f64 {
        let (from, to) = self.across;
        self.left + (value - from) / (to - from) * (self.right - self.left)
    }

    pub(super) fn y(&self, value: f64) -> f64 {
        let (from, to) = self.up;
        self.bottom - (value - from) / (to - from) * (self.bottom - self.top)
    }

    pub(super) fn point(&self, (x, y): Point) -> Point {
        (self.x(x), self.y(y))
    }

    pub(super) fn frame(&self, sheet: &mut Sheet) {
        let corners = [
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
        ];
        sheet.outline(&corners, FRAME);
    }

    /// A line across the panel at a value, if it is inside.
    pub(super) fn level(&self, sheet: &mut Sheet, value: f64, stroke: Stroke) {
        let y = self.y(value);
        if (self.top..=self.bottom).contains(&y) {
            sheet.line(&[(self.left, y), (self.right, y)], stroke);
        }
    }

    /// Grid lines at values on the upright scale.
    pub(super) fn grid_up(&self, sheet: &mut Sheet, ticks: &[f64]) {
        for &tick in ticks {
            self.level(sheet, tick, GRID);
        }
    }

    /// Grid lines at values on the scale across.
    pub(super) fn grid_across(&self, sheet: &mut Sheet, ticks: &[f64]) {
        for &tick in ticks {
            let x = self.x(tick);
            sheet.line(&[(x, self.top), (x, self.bottom)], GRID);
        }
    }

    /// Tick marks and figures left of the panel.
    pub(super) fn figures_up(&self, sheet: &mut Sheet, ticks: &[f64]) {
        let decimals = decimals(ticks);
        for &tick in ticks {
            let y = self.y(tick);
            sheet.line(&[(self.left - 4.0, y), (self.left, y)], FRAME);
            sheet.text(
                (self.left - 7.0, y + 0.36 * SMALL),
                Align::Right,
                SMALL,
                BLACK,
                figure(tick, decimals),
            );
        }
    }

    /// Tick marks and figures below the panel.
    pub(super) fn figures_across(&self, sheet: &mut Sheet, ticks: &[f64]) {
        let decimals = decimals(ticks);
        let texts: Vec<(f64, String)> = ticks
            .iter()
            .map(|&tick| (tick, figure(tick, decimals)))
            .collect();
        self.texts_across(sheet, &texts, 0.0);
    }

    /// Tick marks and texts below the panel, `gap` px under its edge; a text
    /// that would come too near to the one before it is left out.
    pub(super) fn texts_across(&self, sheet: &mut Sheet, ticks: &[(f64, String)], gap: f64) {
        let mut free_from = f64::NEG_INFINITY;
        for (tick, text) in ticks {
            let x = self.x(*tick);
            let y = self.bottom + gap;
            sheet.line(&[(x, y), (x, y + 4.0)], FRAME);
            let half = 0.5 * text_width(text, SMALL);
            // Texts stay over their panel: beside it may be another one.
            let most = (self.right + OVERHANG - half).max(self.left);
            let centre = x.min(most).max(self.left - OVERHANG + half);
            if centre - half >= free_from {
                sheet.text(
                    (centre, y + 16.0),
                    Align::Centre,
                    SMALL,
                    BLACK,
                    text.clone(),
                );
                free_from = centre + half + 6.0;
            }
        }
    }
}

/// Says what an axis counts.
pub(super) fn axis_name(sheet: &mut Sheet, at: Point, align: Align, text: impl Into<String>) {
    sheet.text(at, align, SMALL, GREY, text);
}

/// Round values (1, 2 or 5 times a power of ten) within a range, at most one
/// for each `room` of its length, about `most` in all; two at least where they fit.
pub(super) fn round_ticks((low, high): (f64, f64), most: f64) -> Vec<f64> {
    let span = high - low;
    if !(span > 0.0 && span.is_finite()) {
        return Vec::new();
    }
    let rough = span / most.max(1.0);
    let power = 10_f64.to_the(rough.log_decimal().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|&step| step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power);
    multiples(step, (low, high))
}

/// Multiples of a step within a range, ends included.
pub(super) fn multiples(step: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let mut ticks = Vec::new();
    let mut n = (low / step - 1e-9).ceil();
    while n * step <= high + 1e-9 * step {
        // Adding zero keeps "-0" out.
        ticks.push(n * step + 0.0);
        n += 1.0;
    }
    ticks
}

/// Decimals that tell neighbouring ticks apart.
fn decimals(ticks: &[f64]) -> usize {
    let step = match ticks {
        [a, b, ..] => (b - a).abs(),
        [a] => a.abs(),
        [] => 1.0,
    };
    (0..6)
        .find(|&d| {
            let scaled = step * 10_f64.powi(d);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0)
        })
        .and_then(|d| usize::try_from(d).ok())
        .unwrap_or(6)
}

fn figure(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}")
}

/// Steps of a clock `[s]`.
const CLOCK_STEPS: [f64; 21] = [
    1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0,
    10_800.0, 14_400.0, 21_600.0, 43_200.0, 86_400.0, 172_800.0, 432_000.0,
];

/// Ticks of a clock over a range of seconds, at most `most` of them.
pub(super) fn clock_ticks((from, to): (f64, f64), most: f64) -> Vec<(f64, String)> {
    let step = clock_step(to - from, most);
    let with_seconds = shows_seconds(to - from, most);
    multiples(step, (from, to))
        .into_iter()
        .map(|t| (t, clock(t, with_seconds)))
        .collect()
}

/// Whether such ticks need seconds.
pub(super) fn shows_seconds(span: f64, most: f64) -> bool {
    clock_step(span, most) < 60.0
}

fn clock_step(span: f64, most: f64) -> f64 {
    let rough = span / most.max(1.0);
    CLOCK_STEPS
        .into_iter()
        .find(|&step| step >= rough)
        .unwrap_or_else(|| 86_400.0 * (rough / 86_400.0).ceil())
}

/// Hours and minutes, with seconds where asked: `1:05`, `1:05:30`.
pub(super) fn clock(seconds: f64, with_seconds: bool) -> String {
    let whole = seconds.round();
    let (hours, rest) = ((whole / 3600.0).floor(), whole.rem_euclid(3600.0));
    let minutes = (rest / 60.0).floor();
    if with_seconds {
        format!("{hours:.0}:{minutes:02.0}:{:02.0}", rest % 60.0)
    } else {
        format!("{hours:.0}:{minutes:02.0}")
    }
}

/// A range that holds all finite values with some air above and below; never empty.
pub(super) fn padded(values: impl IntoIterator<Item = f64>, air: (f64, f64)) -> (f64, f64) {
    let (low, high) = values
        .into_iter()
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
    if !(low.is_finite() && high.is_finite()) {
        return (0.0, 1.0);
    }
    let span = if high > low {
        high - low
    } else {
        low.abs().max(1e-3)
    };
    (low - air.0 * span, high + air.1 * span)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(round_ticks((9.3, 13.2), 5.0), [10.0, 11.0, 12.0, 13.0]);
        assert_eq!(round_ticks((0.0, 31.0), 4.0), [0.0, 10.0, 20.0, 30.0]);
        assert_eq!(round_ticks((2.0, 2.0), 4.0), Vec::<f64>::new());
    }

    #[test]
    fn clocks_read_as_hours_and_minutes() {
        let ticks = clock_ticks((3500.0, 7300.0), 5.0);
        let texts: Vec<&str> = ticks.iter().map(|(_, text)| text.as_str()).collect();
        assert_eq!(texts, ["1:00", "1:15", "1:30", "1:45", "2:00"]);
        assert_eq!(clock(59.6, true), "0:01:00");
    }

    #[test]
    fn decimals_tell_ticks_apart() {
        assert_eq!(decimals(&[0.5, 1.0]), 1);
        assert_eq!(decimals(&[0.25, 0.5]), 2);
        assert_eq!(decimals(&[10.0, 20.0]), 0);
    }
}
