//! Labels along an edge, moved apart so that none covers another.

use super::palette::Rgb;
use crate::numerics::in_order::InOrder;

use super::palette::{BLACK, Stroke, WHITE};
use super::sheet::{Align, BODY, Sheet, text_width};

/// Distance between the baselines of two labels `[px]`.
pub(super) const LABEL_PITCH: f64 = 15.0;
/// Room between an edge and its labels for the leader lines `[px]`.
pub(super) const LEADER: f64 = 26.0;
/// Middle of small letters above the baseline, over size.
const MIDDLE: f64 = 0.36;

/// A label that belongs to a height on the page.
#[derive(Debug, Clone)]
pub(super) struct Label {
    /// Height it points at `[px]`.
    pub(super) y: f64,
    /// What it says.
    pub(super) text: String,
    /// Colour of its leader.
    pub(super) color: Rgb,
}

impl Label {
    pub(super) fn new(y: f64, color: Rgb, text: impl Into<String>) -> Self {
        Self {
            y,
            text: text.into(),
            color,
        }
    }
}

/// Which side of an edge the labels stand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
}

/// Width that a column of labels takes, leaders included `[px]`.
pub(super) fn column_width(labels: &[Label]) -> f64 {
    let widest = labels
        .iter()
        .map(|label| text_width(&label.text, BODY))
        .fold(0.0, f64::max);
    LEADER + widest
}

/// Height that a column of labels needs `[px]`.
pub(super) fn column_height(count: usize) -> f64 {
    LABEL_PITCH * f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

/// Draws labels beside the vertical edge at `x`, between `top` and `bottom` `[px]`,
/// each joined by a leader to its height.
pub(super) fn draw_column(
    sheet: &mut Sheet,
    labels: &[Label],
    x: f64,
    side: Side,
    range: (f64, f64),
) {
    column(sheet, labels, x, side, range, false);
}

/// The same where lines pass behind the labels: each on a white ground.
pub(super) fn draw_column_on_white(
    sheet: &mut Sheet,
    labels: &[Label],
    x: f64,
    side: Side,
    range: (f64, f64),
) {
    column(sheet, labels, x, side, range, true);
}

fn column(
    sheet: &mut Sheet,
    labels: &[Label],
    x: f64,
    side: Side,
    (top, bottom): (f64, f64),
    on_white: bool,
) {
    let wanted: Vec<f64> = labels.iter().map(|label| label.y).collect();
    let placed = spread(
        &wanted,
        LABEL_PITCH,
        (top + 0.5 * LABEL_PITCH, bottom - 0.5 * LABEL_PITCH),
    );
    for (label, y) in labels.iter().zip(placed) {
        let (out, align) = match side {
            Side::Right => (1.0, Align::Left),
            Side::Left => (-1.0, Align::Right),
        };
        let leader = [
            (x, label.y),
            (x + out * 5.0, label.y),
            (x + out * (LEADER - 8.0), y),
            (x + out * (LEADER - 3.0), y),
        ];
        sheet.line(&leader, Stroke::solid(label.color, 1.0));
        if on_white {
            let near = x + out * (LEADER - 2.0);
            let far = x + out * (LEADER + text_width(&label.text, BODY) + 2.0);
            let half = 0.5 * LABEL_PITCH;
            sheet.rect((near, y - half), (far, y + half), WHITE);
        }
        sheet.text(
            (x + out * LEADER, y + MIDDLE * BODY),
            align,
            BODY,
            BLACK,
            label.text.clone(),
        );
    }
}

/// Positions nearest to the wanted ones (least squares), in the same order, at
/// least `pitch` apart and within `range` as long as that has room for all;
/// without room they run over its end rather than into each other.
///
/// Equal wishes keep the order they are given in.
pub(super) fn spread(wanted: &[f64], pitch: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.order_by(|&a, &b| wanted[a].total_cmp(&wanted[b]));

    // With the pitches taken off, "apart" becomes "not falling": pool adjacent
    // violators gives the least-squares answer.
    let mut pools: Vec<(f64, f64)> = Vec::new();
    let mut taken_off = 0.0;
    for &i in &order {
        let mut pool = (wanted[i] - taken_off, 1.0);
        while let Some(&(sum, count)) = pools.last() {
            if sum / count <= pool.0 / pool.1 {
                break;
            }
            pool = (pool.0 + sum, pool.1 + count);
            let _ = pools.pop();
        }
        pools.push(pool);
        taken_off += pitch;
    }

    let last = (high - (taken_off - pitch)).max(low);
    let mut placed = vec![0.0; wanted.len()];
    let mut next = order.iter();
    let mut put_back = 0.0;
    for (sum, count) in pools {
        let mut members = count;
        while members >= 1.0 {
            if let Some(&i) = next.next() {
                placed[i] = (sum / count).clamp(low, last) + put_back;
            }
            put_back += pitch;
            members -= 1.0;
        }
    }
    placed
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn labels_with_room_stay_where_they_are() {
        assert_eq!(
            spread(&[80.0, 20.0, 50.0], 10.0, (0.0, 100.0)),
            [80.0, 20.0, 50.0]
        );
    }

    #[test]
    fn crowded_labels_share_the_move() {
        // Two wishes at 50 with a pitch of 10: 45 and 55, first one first.
        assert_eq!(spread(&[50.0, 50.0], 10.0, (0.0, 100.0)), [45.0, 55.0]);
        // At the edge both give way inward.
        assert_eq!(spread(&[98.0, 99.0], 10.0, (0.0, 100.0)), [90.0, 100.0]);
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            failure_persistence: None,
            ..ProptestConfig::default()
        })]
        #[test]
        fn spread_labels_keep_order_distance_and_range(
            wanted in proptest::collection::vec(-50.0..150.0_f64, 0..12)
        ) {
            // Twelve at a pitch of 8 fit in 0 to 100.
            let placed = spread(&wanted, 8.0, (0.0, 100.0));
            prop_assert_eq!(placed.len(), wanted.len());
            for i in 0..wanted.len() {
                prop_assert!((-1e-9..=100.0 + 1e-9).contains(&placed[i]));
                for j in 0..i {
                    prop_assert!((placed[i] - placed[j]).abs() >= 8.0 - 1e-9);
                    if wanted[i] < wanted[j] {
                        prop_assert!(placed[i] < placed[j]);
                    }
                }
            }
        }
    }
}
