//! What every page has: size, title, and panels over time in pairs.

use super::axis::{OVERHANG, Panel, axis_name, clock_ticks, shows_seconds};
use super::palette::{BLACK, BLUE, GREY, PALE_GREY, Stroke, WATER_LOW};
use super::series::{band, path};
use super::sheet::{Align, BODY, Point, Sheet, TITLE, shorten, wrap};
use super::window::Windows;

/// Width of every page `[px]`: A4 across prints 11 px as 2.7 mm (8 points).
pub(super) const WIDTH: f64 = 1120.0;
/// Margin all round `[px]`.
pub(super) const MARGIN: f64 = 24.0;
/// Room left of a panel for its figures `[px]`.
pub(super) const FIGURES: f64 = 52.0;
/// Room for one tick on a time axis `[px]`.
const TICK: f64 = 70.0;
/// Room under a panel for ticks, figures and the axis name `[px]`.
pub(super) const TIME_AXIS: f64 = 38.0;

/// Writes title and remarks; returns the height below them `[px]`.
pub(super) fn title(sheet: &mut Sheet, title: &str, remarks: &[String]) -> f64 {
    let room = sheet.width - 2.0 * MARGIN;
    let mut y = MARGIN + TITLE;
    sheet.text(
        (MARGIN, y),
        Align::Left,
        TITLE,
        BLACK,
        shorten(title, TITLE, room),
    );
    for line in remarks.iter().flat_map(|text| wrap(text, BODY, room)) {
        y += BODY + 5.0;
        sheet.text(
            (MARGIN, y),
            Align::Left,
            BODY,
            GREY,
            shorten(&line, BODY, room),
        );
    }
    y + 12.0
}

/// Lines that [`title`] needs for its remarks.
pub(super) fn title_height(remarks: &[String]) -> f64 {
    let mut scratch = Sheet::new(WIDTH, 100.0);
    title(&mut scratch, "", remarks)
}

/// The same quantity over the whole run and, beside it, closely.
#[derive(Debug, Clone, Copy)]
pub(super) struct TimePair {
    pub(super) whole: Option<Panel>,
    pub(super) close: Panel,
}

impl TimePair {
    /// Panels between `left` and `right`, `top` and `bottom` `[px]`; figures of the
    /// upright axis go left of `left`.
    pub(super) fn new(
        windows: &Windows,
        (left, right): (f64, f64),
        (top, bottom): (f64, f64),
        up: (f64, f64),
    ) -> Self {
        let panel = |left: f64, right: f64, across: (f64, f64)| Panel {
            left,
            right,
            top,
            bottom,
            across,
            up,
        };
        match windows.detail {
            None => Self {
                whole: None,
                close: panel(left, right, windows.whole),
            },
            Some(detail) => {
                let split = left + 0.27 * (right - left);
                Self {
                    whole: Some(panel(left, split, windows.whole)),
                    close: panel(split + 2.0 * OVERHANG + 6.0, right, detail),
                }
            }
        }
    }

    /// Only the close panel.
    pub(super) fn close_only(self) -> Self {
        Self {
            whole: None,
            close: Panel {
                left: self.whole.map_or(self.close.left, |whole| whole.left),
                ..self.close
            },
        }
    }

    pub(super) fn panels(&self) -> impl Iterator<Item = Panel> {
        self.whole.into_iter().chain([self.close])
    }

    /// Background: grids and figures.
    pub(super) fn backdrop(&self, sheet: &mut Sheet, ticks: &[f64]) {
        for panel in self.panels() {
            panel.grid_up(sheet, ticks);
            let times: Vec<f64> = time_ticks(&panel).into_iter().map(|(t, _)| t).collect();
            panel.grid_across(sheet, &times);
        }
        self.whole.unwrap_or(self.close).figures_up(sheet, ticks);
    }

    /// A line across both panels.
    pub(super) fn level(&self, sheet: &mut Sheet, value: f64, stroke: Stroke) {
        for panel in self.panels() {
            panel.level(sheet, value, stroke);
        }
    }

    pub(super) fn frames(&self, sheet: &mut Sheet) {
        for panel in self.panels() {
            panel.frame(sheet);
        }
    }

    /// Times and axis names, `gap` px below the panels.
    pub(super) fn time_axis(&self, sheet: &mut Sheet, gap: f64) {
        for panel in self.panels() {
            panel.texts_across(sheet, &time_ticks(&panel), gap);
        }
        let mut name = |panel: &Panel, what: &str| {
            let at = (0.5 * (panel.left + panel.right), panel.bottom + gap + 32.0);
            let span = panel.across.1 - panel.across.0;
            let seconds = shows_seconds(span, (panel.right - panel.left) / TICK);
            let unit = if seconds { "h:min:s" } else { "h:min" };
            axis_name(sheet, at, Align::Centre, format!("{what}, {unit}"));
        };
        if let Some(whole) = &self.whole {
            name(whole, "whole run");
        }
        name(&self.close, "time since start");
    }

    /// A series in both panels, with `behind` drawn between its bands and its
    /// lines. Where cycles are too dense for a line it is the band between
    /// lowest and highest.
    pub(super) fn series(
        &self,
        sheet: &mut Sheet,
        time: &[f64],
        windows: &Windows,
        series: &[Series],
        behind: impl Fn(&mut Sheet),
    ) {
        let dense = |panel: &Panel| {
            let is_whole = panel.across == windows.whole && windows.many_cycles();
            let cycle = windows.period / windows.whole.1 * (panel.right - panel.left);
            // A little more than a cycle, so that each column holds a peak.
            is_whole.then_some(1.2 * cycle)
        };
        let mut lines: Vec<(Vec<Point>, Stroke)> = Vec::new();
        for panel in self.panels() {
            for one in series {
                let (stroke, value) = (one.stroke, |i: usize| one.at(i));
                if let Some(width) = dense(&panel) {
                    let (upper, lower) = band(&panel, time, value, width);
                    let mut outline = upper.clone();
                    outline.extend(lower.iter().rev());
                    let tint = if stroke.color == BLUE {
                        WATER_LOW
                    } else {
                        PALE_GREY
                    };
                    sheet.area(outline, tint);
                    let edge = Stroke {
                        width: 1.0,
                        ..stroke
                    };
                    lines.extend([(upper, edge), (lower, edge)]);
                } else {
                    let close = panel.across == self.close.across;
                    let width = if close { stroke.width } else { 1.0 };
                    lines.push((path(&panel, time, value), Stroke { width, ..stroke }));
                }
            }
        }
        behind(sheet);
        for (points, stroke) in lines {
            sheet.line(&points, stroke);
        }
        self.mark_close(sheet);
    }

    /// A further series in the close panel alone.
    pub(super) fn close_series(&self, sheet: &mut Sheet, time: &[f64], one: &Series) {
        sheet.line(&path(&self.close, time, |i: usize| one.at(i)), one.stroke);
    }

    /// A bar under the whole run where the close view is.
    fn mark_close(&self, sheet: &mut Sheet) {
        if let Some(whole) = self.whole {
            let (from, to) = self.close.across;
            let (left, right) = (whole.x(from), whole.x(to));
            sheet.rect(
                (left, whole.bottom + 1.5),
                (right.max(left + 2.0), whole.bottom + 6.0),
                BLACK,
            );
        }
    }
}

/// A series of SI values and how it is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Series<'a> {
    pub(super) stroke: Stroke,
    pub(super) values: &'a [f64],
    /// From SI to the unit of the axis.
    pub(super) factor: f64,
}

impl<'a> Series<'a> {
    pub(super) fn new(stroke: Stroke, values: &'a [f64], factor: f64) -> Self {
        Self {
            stroke,
            values,
            factor,
        }
    }

    /// Value of a sample in the unit of the axis.
    fn at(&self, sample: usize) -> f64 {
        self.values
            .get(sample)
            .map_or(f64::NAN, |v| v * self.factor)
    }
}

fn time_ticks(panel: &Panel) -> Vec<(f64, String)> {
    clock_ticks(panel.across, (panel.right - panel.left) / TICK)
}

/// A number of things as a number to reckon with.
pub(super) fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
