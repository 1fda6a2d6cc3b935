//! Long series cut to a window and thinned to what a panel can show.

use super::axis::Panel;
use super::sheet::Point;
use crate::numerics::in_order::InOrder;

/// The path of a series inside the panel `[px]`: cut at the panel's edges, and
/// in each pixel column reduced to its first, lowest, highest and last value,
/// so that no peak is lost.
pub(super) fn path(panel: &Panel, time: &[f64], value: impl Fn(usize) -> f64) -> Vec<Point> {
    let inside = window(time, panel.across, &value);
    let mut thin = Vec::new();
    let mut column: Vec<Point> = Vec::new();
    let mut number = f64::NAN;
    for point in inside.into_iter().map(|p| panel.point(p)) {
        if point.0.floor() != number {
            flush(&mut column, &mut thin);
            number = point.0.floor();
        }
        column.push(point);
    }
    flush(&mut column, &mut thin);
    thin
}

/// The band between the lowest and the highest value `[px]`, in columns of equal
/// width, `width` px or a little more and never under a pixel, in which thousands of
/// cycles are one: upper edge, lower edge.
pub(super) fn band(
    panel: &Panel,
    time: &[f64],
    value: impl Fn(usize) -> f64,
    width: f64,
) -> (Vec<Point>, Vec<Point>) {
    let columns = ((panel.right - panel.left) / width.max(1.0))
        .floor()
        .max(1.0);
    let width = (panel.right - panel.left) / columns;
    let points = path(panel, time, value);
    let (mut upper, mut lower) = (Vec::new(), Vec::new());
    let mut start = 0;
    let mut n = 0.0;
    while n < columns {
        let left = panel.left + n * width;
        let right = left + width;
        let end = start + points[start..].partition_point(|p| p.0 < right);
        // The point before and after belong to lines that cross the column.
        let around = &points[start.saturating_sub(1)..(end + 1).min(points.len())];
        let low = around.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let high = around.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        if high <= low {
            upper.extend([(left, high), (right, high)]);
            lower.extend([(left, low), (right, low)]);
        }
        start = end;
        n += 1.0;
    }
    (upper, lower)
}

/// Stretches of equal state within a range of time: from, to, state.
pub(super) fn stretches<S: Copy + PartialEq>(
    time: &[f64],
    states: &[S],
    (from, to): (f64, f64),
) -> Vec<(f64, f64, S)> {
    let mut found: Vec<(f64, f64, S)> = Vec::new();
    for (i, (&t, &state)) in time.iter().zip(states).enumerate() {
        // A state holds until the next sample.
        let until = time.get(i + 1).copied().unwrap_or(t).min(to);
        let since = t.max(from);
        if until <= since {
            continue;
        }
        match found.last_mut() {
            Some(last) if last.2 == state && last.1 >= since => last.1 = until,
            _ => found.push((since, until, state)),
        }
    }
    found
}

/// Samples inside a range of time, with interpolated ends.
fn window(time: &[f64], (from, to): (f64, f64), value: &impl Fn(usize) -> f64) -> Vec<Point> {
    let between = |i: usize, t: f64| {
        let (t0, t1) = (time[i], time[i + 1]);
        let share = if t1 > t0 { (t - t0) / (t1 - t0) } else { 0.0 };
        value(i) + share * (value(i + 1) - value(i))
    };
    let first = time.partition_point(|&t| t < from);
    let past = time.partition_point(|&t| t <= to);
    let mut points = Vec::with_capacity(past.saturating_sub(first) + 2);
    if first > 0 && first < time.len() {
        points.push((from, between(first - 1, from)));
    }
    points.extend((first..past).map(|i| (time[i], value(i))));
    if past > 0 && past < time.len() {
        points.push((to, between(past - 1, to)));
    }
    points.retain(|&(_, v)| v.is_finite());
    points
}

fn flush(column: &mut Vec<Point>, thin: &mut Vec<Point>) {
    if column.len() > 4 {
        let extreme = |better: fn(f64, f64) -> bool| {
            let mut best = 0;
            for i in 1..column.len() {
                if better(column[i].1, column[best].1) {
                    best = i;
                }
            }
            best
        };
        let mut keep = [
            0,
            extreme(|a, b| a < b),
            extreme(|a, b| a > b),
            column.len() - 1,
        ];
        keep.order_by(Ord::cmp);
        let mut last = usize::MAX;
        for i in keep {
            if i != last {
                thin.push(column[i]);
            }
            last = i;
        }
    } else {
        thin.append(column);
    }
    column.clear();
}

#[cfg(test)]
mod tests {
    use super::*;

    const PANEL: Panel = Panel {
        left: 0.0,
        right: 10.0,
        top: 0.0,
        bottom: 100.0,
        across: (0.0, 10.0),
        up: (0.0, 100.0),
    };

    #[test]
    fn a_spike_between_pixels_survives_thinning() {
        let time: Vec<f64> = (0..10_000).map(|i| f64::from(i) / 1000.0).collect();
        let thin = path(&PANEL, &time, |i| if i == 4321 { 90.0 } else { 10.0 });
        assert!(thin.len() <= 44, "{}", thin.len());
        let peak = thin.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        assert!(
            (peak - 10.0).abs() < 1e-9,
            "90 of 100 is 10 px from the top"
        );
    }

    #[test]
    fn a_window_ends_where_the_panel_ends() {
        let panel = Panel {
            across: (2.5, 7.5),
            ..PANEL
        };
        let points = path(&panel, &[0.0, 5.0, 10.0], |i| [0.0, 50.0, 0.0][i]);
        assert_eq!(points, [(0.0, 75.0), (5.0, 50.0), (10.0, 75.0)]);
    }

    #[test]
    fn a_band_holds_every_peak_of_its_columns() {
        // Ten swings between 20 and 80 over the panel, drawn in five columns.
        let time: Vec<f64> = (0..=20).map(|i| f64::from(i) / 2.0).collect();
        let (upper, lower) = band(&PANEL, &time, |i| if i % 2 == 0 { 20.0 } else { 80.0 }, 2.0);
        assert_eq!((upper.len(), lower.len()), (10, 10));
        assert!(upper.iter().all(|p| p.1 == 20.0) && lower.iter().all(|p| p.1 == 80.0));
        assert_eq!((upper[0].0, upper[9].0), (0.0, 10.0));
    }

    // A year of cycles had hundreds of columns in a pixel: 120 MB of flows.svg.
    #[test]
    fn a_band_has_no_more_columns_than_pixels() {
        let time: Vec<f64> = (0..=20_000).map(|i| f64::from(i) / 2000.0).collect();
        let swings = |i: usize| if i.is_multiple_of(2) { 20.0 } else { 80.0 };
        let (upper, lower) = band(&PANEL, &time, swings, 0.001);
        assert_eq!((upper.len(), lower.len()), (20, 20));
        assert!(upper.iter().all(|p| p.1 == 20.0) && lower.iter().all(|p| p.1 == 80.0));
    }

    #[test]
    fn stretches_join_equal_states_and_end_at_the_window() {
        let time = [0.0, 1.0, 2.0, 2.0, 5.0];
        let states = ["a", "a", "a", "b", "b"];
        assert_eq!(
            stretches(&time, &states, (0.5, 4.0)),
            [(0.5, 2.0, "a"), (2.0, 4.0, "b")]
        );
    }
}
