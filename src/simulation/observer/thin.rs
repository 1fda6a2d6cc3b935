//! Thins a recording by error: what straight lines between fewer rows show as well is left out.

use crate::simulation::plant::Moment;
use crate::simulation::{Recording, SiphonMode};

/// A level left out lies this close to the line between the rows kept `[m]`.
const LEVEL: f64 = 2e-4;
/// A flow or head left out lies as close as this share of its largest value so far.
const SHARE: f64 = 0.005;
/// Values of each bed in a row, two levels first.
const PER_BED: usize = 4;
/// Most numbers that a thinned recording holds: some 32 MB.
const MOST_NUMBERS: usize = 4_000_000;

/// What one row holds besides its time, in the order of the series.
#[derive(Debug, Clone, Default)]
pub(super) struct Row {
    t: f64,
    values: Vec<f64>,
    modes: Vec<SiphonMode>,
    has_tank: bool,
}

impl Row {
    /// One moment of `beds` beds.
    pub(super) fn new<const B: usize>(
        t: f64,
        now: &Moment<B>,
        modes: &[SiphonMode],
        has_tank: bool,
    ) -> Self {
        let mut row = Self {
            t,
            has_tank,
            modes: modes.to_vec(),
            ..Self::default()
        };
        row.values.reserve_exact(4 * modes.len() + 8);
        let mut put = |value: f64| row.values.push(value);
        for i in 0..modes.len() {
            put(now.level[i]);
            put(now.guard[i]);
            put(now.inflow[i]);
            put(now.outflow[i]);
        }
        put(now.sump_level);
        put(now.pump_flow);
        put(now.pump_head);
        put(now.line.map_or(0.0, |line| line.flow));
        put(now.line.map_or(0.0, |line| line.fill));
        if has_tank {
            put(now.tank_level);
            put(now.tank_in);
            put(now.tank_out);
        }
        row
    }

    /// Whether value `k` is a level.
    fn is_level(&self, k: usize) -> bool {
        let sump = PER_BED * self.modes.len();
        if k < sump {
            k % PER_BED < 2
        } else {
            k == sump || k == sump + 5
        }
    }

    /// Puts the row at the end of the series.
    pub(super) fn keep(&self, series: &mut Recording) {
        series.time.push(self.t);
        let mut values = self.values.iter().copied();
        let mut next = |list: &mut Vec<f64>| list.extend(values.next());
        for (bed, mode) in series.beds.iter_mut().zip(&self.modes) {
            next(&mut bed.level);
            next(&mut bed.guard_level);
            next(&mut bed.inflow);
            next(&mut bed.siphon_flow);
            bed.mode.push(*mode);
        }
        next(&mut series.sump_level);
        next(&mut series.pump_flow);
        next(&mut series.pump_head);
        next(&mut series.line_flow);
        next(&mut series.line_fill);
        if self.has_tank {
            next(&mut series.tank_level);
            next(&mut series.tank_inflow);
            next(&mut series.tank_outflow);
        }
    }
}

/// Decides row by row which are kept.
///
/// From the last row kept, each value has a cone of slopes whose lines pass every row since
/// closely enough; a row outside a cone keeps the one before it.
#[derive(Debug, Clone, Default)]
pub(super) struct Thinning {
    anchor: Option<Row>,
    last: Option<Row>,
    /// Lowest and highest slope of each value's line.
    cones: Vec<(f64, f64)>,
    largest: Vec<f64>,
}

impl Thinning {
    /// Takes in a row; puts into `series` what has to be kept.
    pub(super) fn offer(&mut self, row: Row, series: &mut Recording) {
        self.largest.resize(row.values.len(), 0.0);
        for (largest, value) in self.largest.iter_mut().zip(&row.values) {
            *largest = largest.max(value.abs());
        }
        let Some(anchor) = &self.anchor else {
            self.keep(row, series);
            return;
        };
        let before = self.last.as_ref().unwrap_or(anchor);
        let jumps = row.modes != before.modes || (row.t <= before.t && self.differ(&row, before));
        if jumps {
            self.flush(series);
            self.keep(row, series);
            return;
        }
        if row.t <= before.t {
            return;
        }
        let outside = self.last.is_some() && {
            let by = row.t - anchor.t;
            let values = row.values.iter().zip(&anchor.values).zip(&self.cones);
            values
                .map(|((value, from), cone)| ((value - from) / by, cone))
                .any(|(slope, cone)| slope < cone.0 || slope > cone.1)
        };
        if outside {
            self.flush(series);
        }
        self.narrow(row);
    }

    /// Keeps the row that waits, if any.
    pub(super) fn flush(&mut self, series: &mut Recording) {
        if let Some(last) = self.last.take() {
            self.keep(last, series);
        }
    }

    fn allowed(&self, row: &Row, k: usize) -> f64 {
        if row.is_level(k) {
            LEVEL
        } else {
            SHARE * self.largest[k]
        }
    }

    fn differ(&self, a: &Row, b: &Row) -> bool {
        let off = |k: usize| (a.values[k] - b.values[k]).abs();
        (0..a.values.len()).any(|k| off(k) > self.allowed(a, k))
    }

    fn keep(&mut self, row: Row, series: &mut Recording) {
        let far_enough = series
            .time
            .last()
            .is_none_or(|last| row.t >= last + series.spacing);
        if far_enough {
            row.keep(series);
            let numbers = row.values.len() + 1;
            if series.time.len() * numbers > MOST_NUMBERS {
                series.coarsen();
            }
        }
        self.cones.clear();
        self.cones
            .resize(row.values.len(), (f64::NEG_INFINITY, f64::INFINITY));
        self.anchor = Some(row);
    }

    /// Makes `row` the one that waits, and the cones those of lines that pass it.
    fn narrow(&mut self, row: Row) {
        let mut cones = std::mem::take(&mut self.cones);
        if let Some(anchor) = &self.anchor {
            let by = row.t - anchor.t;
            for (k, cone) in cones.iter_mut().enumerate() {
                let (rise, off) = (row.values[k] - anchor.values[k], self.allowed(&row, k));
                cone.0 = cone.0.max((rise - off) / by);
                cone.1 = cone.1.min((rise + off) / by);
            }
        }
        self.cones = cones;
        self.last = Some(row);
    }
}

impl Recording {
    /// Keeps only rows some way apart, twice as far as they are on average.
    fn coarsen(&mut self) {
        let (Some(first), Some(last)) = (self.time.first(), self.time.last()) else {
            return;
        };
        let spacing = (2.0 * (last - first) / self.time.len() as f64).max(2.0 * self.spacing);
        self.spacing = spacing;
        let mut since = f64::NEG_INFINITY;
        let kept: Vec<bool> = self
            .time
            .iter()
            .map(|&t| {
                let keep = t >= since + spacing;
                if keep {
                    since = t;
                }
                keep
            })
            .collect();
        only(&mut self.time, &kept);
        for bed in &mut self.beds {
            only(&mut bed.level, &kept);
            only(&mut bed.guard_level, &kept);
            only(&mut bed.inflow, &kept);
            only(&mut bed.siphon_flow, &kept);
            only(&mut bed.mode, &kept);
        }
        for list in [
            &mut self.sump_level,
            &mut self.pump_flow,
            &mut self.pump_head,
            &mut self.line_flow,
            &mut self.line_fill,
            &mut self.tank_level,
            &mut self.tank_inflow,
            &mut self.tank_outflow,
        ] {
            only(list, &kept);
        }
    }
}

/// Drops what is not kept; nothing from an empty list.
fn only<T>(list: &mut Vec<T>, kept: &[bool]) {
    let mut kept = kept.iter().copied();
    list.retain(|_| kept.next().unwrap_or(true));
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;
    use crate::numerics::maths::Maths;
    use crate::simulation::BedSeries;

    fn row(t: f64, level: f64, flow: f64) -> Row {
        let mut now = Moment::<1>::blank();
        now.level[0] = level;
        now.inflow[0] = flow;
        Row::new(t, &now, &[SiphonMode::Filling], false)
    }

    fn thinned(rows: impl Iterator<Item = (f64, f64, f64)>) -> Recording {
        let mut series = Recording {
            beds: vec![BedSeries::default()],
            ..Recording::default()
        };
        let mut thinning = Thinning::default();
        for (t, level, flow) in rows {
            thinning.offer(row(t, level, flow), &mut series);
        }
        thinning.flush(&mut series);
        series
    }

    fn between(times: &[f64], values: &[f64], t: f64) -> f64 {
        let k = times.partition_point(|&x| x <= t).clamp(1, times.len() - 1);
        let (a, b) = (times[k - 1], times[k]);
        values[k - 1] + (values[k] - values[k - 1]) * (t - a) / (b - a)
    }

    #[test]
    fn rows_left_out_lie_on_the_lines_between_those_kept() {
        let level = |t: f64| 0.1 + 0.05 * (t / 300.0).sine();
        let flow = |t: f64| 1e-4 * (1.0 + 0.5 * (t / 170.0).cosine());
        let times = || (0..2000).map(|k| 3.0 * f64::from(k));
        let series = thinned(times().map(|t| (t, level(t), flow(t))));
        let count = series.time.len();
        assert!(count > 50 && count < 500, "{count}");
        assert_eq!(*series.time.last().unwrap(), 5997.0);
        for t in times() {
            let shown = between(&series.time, &series.beds[0].level, t);
            assert!((shown - level(t)).abs() <= LEVEL * (1.0 + 1e-9), "{t}");
            let shown = between(&series.time, &series.beds[0].inflow, t);
            assert!(
                (shown - flow(t)).abs() <= SHARE * 1.5e-4 * (1.0 + 1e-9),
                "{t}"
            );
        }
    }

    #[test]
    fn what_moves_along_a_line_keeps_its_ends() {
        let series = thinned((0..1000).map(|k| (f64::from(k), 1e-4 * f64::from(k), 1e-4)));
        assert_eq!(series.time, [0.0, 999.0]);
    }

    #[test]
    fn a_jump_keeps_both_its_sides() {
        let rows = [
            (0.0, 0.1, 0.0),
            (5.0, 0.1, 0.0),
            (10.0, 0.1, 0.0),
            (10.0, 0.1, 1.0),
        ];
        let series = thinned(rows.into_iter().chain([(20.0, 0.1, 1.0)]));
        assert_eq!(series.time, [0.0, 10.0, 10.0, 20.0]);
        assert_eq!(series.beds[0].inflow, [0.0, 0.0, 1.0, 1.0]);
    }

    #[test]
    fn a_recording_that_will_not_thin_stays_bounded() {
        let rows = (0..1_500_000).map(|k| (f64::from(k), 0.1 * f64::from(k % 2), 0.0));
        let series = thinned(rows);
        assert!(
            series.time.len() * 10 <= MOST_NUMBERS,
            "{}",
            series.time.len()
        );
        assert!(series.spacing > 1.0);
        assert!(
            series
                .time
                .windows(2)
                .all(|t| t[1] - t[0] >= series.spacing || t[0] == 0.0)
        );
        assert!(*series.time.last().unwrap() > 1_400_000.0);
        assert_eq!(series.time.len(), series.beds[0].mode.len());
    }
}
