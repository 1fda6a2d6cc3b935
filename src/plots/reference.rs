//! Levels and limits that a panel is read against: a line across, a label beside.

use super::labels::{Label, Side, column_height, column_width, draw_column};
use super::page::TimePair;
use super::palette::{BLACK, Stroke};
use super::sheet::Sheet;

/// One such line.
#[derive(Debug, Clone)]
pub(super) struct Reference {
    /// In the unit of the axis.
    pub(super) value: f64,
    pub(super) stroke: Stroke,
    pub(super) text: String,
}

impl Reference {
    pub(super) fn new(value: f64, stroke: Stroke, text: impl Into<String>) -> Self {
        Self {
            value,
            stroke,
            text: text.into(),
        }
    }
}

/// Width that the labels of references take beside a panel `[px]`.
pub(super) fn labels_width(references: &[Reference]) -> f64 {
    let labels: Vec<Label> = references
        .iter()
        .map(|reference| Label::new(0.0, BLACK, reference.text.clone()))
        .collect();
    column_width(&labels)
}

/// Draws the lines across both panels of a pair.
pub(super) fn draw_lines(sheet: &mut Sheet, pair: &TimePair, references: &[Reference]) {
    for reference in references {
        pair.level(sheet, reference.value, reference.stroke);
    }
}

/// Draws the labels right of a pair, half of what does not fit standing out at
/// either end.
pub(super) fn draw_labels(sheet: &mut Sheet, pair: &TimePair, references: &[Reference]) {
    let panel = &pair.close;
    let labels: Vec<Label> = references
        .iter()
        .filter(|r| r.value.is_finite())
        .map(|r| Label::new(panel.y(r.value), r.stroke.color, r.text.clone()))
        .collect();
    let spare = (column_height(labels.len()) - (panel.bottom - panel.top)).max(0.0);
    draw_column(
        sheet,
        &labels,
        panel.right,
        Side::Right,
        (panel.top - 0.5 * spare, panel.bottom + 0.5 * spare),
    );
}
