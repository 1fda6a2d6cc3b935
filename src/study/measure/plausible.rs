//! Whether measured figures can be true at all: each alone, and each against the others.

use crate::hydraulics::constants::GRAVITY;
use crate::model::{Bed, BedStorage, PumpSource, System};
use crate::study::measure::{Measurable, Measured, Measurement, Seen};
use crate::units::UnitSystem;

/// Two figures that differ by more than this many standard deviations disagree.
const DISAGREE: f64 = 3.0;
/// Least drainable void of anything that plants grow in `[-]`; common practice, no source.
const LEAST_VOID: f64 = 0.05;
/// Least void of gravel when a drain is held against a free pipe `[-]`; common practice, no source.
const LEAST_GRAVEL_VOID: f64 = 0.15;
/// Largest total loss coefficient of a siphon that still runs, as in the scenario `[-]`.
const MOST_LOSS: f64 = 200.0;
/// How far below the openings that let air in a siphon can still draw `[m]`: the ragged
/// break of a small bed; common practice, no source.
const UNDERSHOOT: f64 = 0.015;

/// A measurement that cannot be true, or not together with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nonsense {
    /// Index of the bed.
    pub bed: usize,
    /// The figure that disagrees.
    pub what: Measurable,
    /// Its value, SI.
    pub value: f64,
    /// With what.
    pub kind: NonsenseKind,
}

/// What a measurement disagrees with. Lengths are heights above the bed's floor `[m]`,
/// times `[s]`, flows `[m3/s]`, volumes `[m3]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NonsenseKind {
    /// Outside what any such system shows.
    OutOfRange {
        /// Least.
        least: f64,
        /// Most.
        most: f64,
    },
    /// A level above the wall.
    AboveRim {
        /// The wall's height.
        rim: f64,
    },
    /// More is left than the highest level.
    LeftAboveHighest {
        /// The highest level.
        highest: f64,
    },
    /// The siphon would have stopped above its own lip.
    LeftAboveLip {
        /// The lip's height.
        lip: f64,
    },
    /// The siphon would have gone on drawing with its openings in air.
    LeftBelowOpenings {
        /// Crown of the slots.
        opening: f64,
    },
    /// The siphon would have started below its lip.
    HighestBelowLip {
        /// The lip's height.
        lip: f64,
    },
    /// More water came in than the bed holds without any gravel.
    TooMuchWater {
        /// Inflow times fill time.
        water: f64,
        /// What the empty bed holds.
        holds: f64,
    },
    /// Less water came in than any gravel leaves room for.
    TooLittleWater {
        /// Inflow times fill time.
        water: f64,
        /// Room at a void of 5 %.
        least: f64,
    },
    /// Faster than water falls through a pipe without any loss.
    DrainTooFast {
        /// Shortest drain.
        least: f64,
    },
    /// Slower than the worst siphon that still runs.
    DrainTooSlow {
        /// Mean discharge that follows from inflow, fill and drain.
        flow: f64,
        /// What passes at the largest loss coefficient that a scenario accepts.
        least: f64,
    },
    /// The period is not fill and drain together.
    PeriodNotSum {
        /// Fill plus drain.
        sum: f64,
    },
    /// It would stop breaking before it starts.
    BreaksBelowStart {
        /// Inflow at which it just starts.
        starts_at: f64,
    },
    /// It cycles with less inflow than it needs to start.
    InflowBelowStart {
        /// Inflow at which it just starts.
        starts_at: f64,
    },
    /// It cycles with more inflow than it can break against.
    InflowAboveBreak {
        /// Inflow at which it just stops breaking.
        breaks_up_to: f64,
    },
    /// More than the pump gives without any height or pipe.
    InflowAbovePump {
        /// Measured inflows of all beds together.
        total: f64,
        /// The pump's open flow.
        open: f64,
    },
    /// A figure that only a cycling bed shows, from one that does not cycle.
    NotCycling {
        /// What the bed was seen to do.
        seen: Seen,
    },
    /// A standing level from a bed that cycles.
    Cycling,
    /// More water than the beds hold without any gravel.
    SwingTooLarge {
        /// Water in that much of the sump.
        water: f64,
        /// What all beds hold, empty of gravel, up to their walls.
        holds: f64,
    },
}

/// Every figure of `measured` that cannot be true on `system`, in order of beds and kinds.
///
/// Each is held against its range, the bed's own heights and volumes, and the other
/// figures with three standard deviations to spare. Nothing here simulates. Figures of
/// beds that are not there are left out.
pub fn examine(system: &System, measured: &Measured) -> Vec<Nonsense> {
    let mut found = Vec::new();
    for (i, bed) in system.beds.iter().enumerate() {
        Examination {
            system,
            bed,
            i,
            measured,
            found: &mut found,
        }
        .all();
    }
    pump_gives_it(system, measured, &mut found);
    found.sort_by_key(|one| (one.bed, one.what));
    // One contradiction for each figure is enough to look at.
    found.dedup_by_key(|one| (one.bed, one.what));
    found
}

/// The measured inflows of all beds against the pump's open flow.
fn pump_gives_it(system: &System, measured: &Measured, found: &mut Vec<Nonsense>) {
    let PumpSource::Curve(curve) = &system.pump.source else {
        return;
    };
    let inflows: Vec<&Measurement> = measured
        .figures
        .iter()
        .filter(|figure| figure.what == Measurable::Inflow && figure.bed < system.beds.len())
        .collect();
    let Some(largest) = inflows.iter().max_by(|a, b| a.value.total_cmp(&b.value)) else {
        return;
    };
    let total: f64 = inflows.iter().map(|figure| figure.value).sum();
    let sigma: f64 = inflows.iter().map(|f| f.sigma.powi(2)).sum::<f64>().sqrt();
    let open = curve.open_flow();
    if total - DISAGREE * sigma > open {
        found.push(Nonsense {
            bed: largest.bed,
            what: Measurable::Inflow,
            value: largest.value,
            kind: NonsenseKind::InflowAbovePump { total, open },
        });
    }
}

struct Examination<'a> {
    system: &'a System,
    bed: &'a Bed,
    i: usize,
    measured: &'a Measured,
    found: &'a mut Vec<Nonsense>,
}

impl Examination<'_> {
    fn get(&self, what: Measurable) -> Option<Measurement> {
        self.measured.get(self.i, what).copied()
    }

    fn report(&mut self, figure: Measurement, kind: NonsenseKind) {
        self.found.push(Nonsense {
            bed: self.i,
            what: figure.what,
            value: figure.value,
            kind,
        });
    }

    fn all(&mut self) {
        for what in Measurable::ALL {
            let Some(figure) = self.get(what) else {
                continue;
            };
            let (least, most) = what.allowed();
            if !(least..=most).contains(&figure.value) {
                self.report(figure, NonsenseKind::OutOfRange { least, most });
                return;
            }
        }
        self.regimes();
        self.levels();
        self.volumes();
        self.drain();
        self.times();
        self.window();
        self.swing();
    }

    fn regimes(&mut self) {
        let seen = self.measured.seen(self.i);
        for what in [
            Measurable::Fill,
            Measurable::Drain,
            Measurable::Period,
            Measurable::Left,
            Measurable::SumpSwing,
        ] {
            if let (Some(figure), Some(seen)) = (self.get(what), seen)
                && seen != Seen::Cycles
            {
                self.report(figure, NonsenseKind::NotCycling { seen });
            }
        }
        if let Some(figure) = self.get(Measurable::Standing)
            && seen == Some(Seen::Cycles)
        {
            self.report(figure, NonsenseKind::Cycling);
        }
    }

    fn levels(&mut self) {
        let rim = self.bed.rim - self.bed.floor;
        let lip = self.bed.siphon.standpipe.lip - self.bed.floor;
        for what in [Measurable::Highest, Measurable::Left, Measurable::Standing] {
            if let Some(figure) = self.get(what)
                && figure.value - DISAGREE * figure.sigma > rim
            {
                self.report(figure, NonsenseKind::AboveRim { rim });
            }
        }
        if let Some(left) = self.get(Measurable::Left) {
            if let Some(highest) = self.get(Measurable::Highest)
                && left.value - highest.value > DISAGREE * left.sigma.hypot(highest.sigma)
            {
                let highest = highest.value;
                self.report(left, NonsenseKind::LeftAboveHighest { highest });
            }
            if left.value - DISAGREE * left.sigma > lip {
                self.report(left, NonsenseKind::LeftAboveLip { lip });
            }
            let opening = self.opening();
            if left.value + DISAGREE * left.sigma + UNDERSHOOT < opening {
                self.report(left, NonsenseKind::LeftBelowOpenings { opening });
            }
        }
        if let Some(highest) = self.get(Measurable::Highest)
            && self.measured.seen(self.i) == Some(Seen::Cycles)
            && highest.value + DISAGREE * highest.sigma < lip
        {
            self.report(highest, NonsenseKind::HighestBelowLip { lip });
        }
    }

    /// Height of the crown of the slots, below which air enters the bell for certain.
    fn opening(&self) -> f64 {
        self.bed.siphon.bell.slots.crown - self.bed.floor
    }

    /// Height down to which it drains: measured, else the crown of the slots.
    fn low(&self) -> f64 {
        let left = self.get(Measurable::Left);
        left.map_or_else(|| self.opening(), |figure| figure.value)
    }

    /// Water between two heights at a drainable void of `void`.
    fn water(&self, void: f64, from: f64, to: f64) -> f64 {
        let mut bed = self.bed.clone();
        bed.media.void = void;
        let storage = BedStorage::new(&bed);
        let at = |height: f64| storage.volume(bed.floor + height.min(bed.rim - bed.floor));
        at(to) - at(from)
    }

    fn volumes(&mut self) {
        let (Some(inflow), Some(fill)) = (self.get(Measurable::Inflow), self.get(Measurable::Fill))
        else {
            return;
        };
        let water = inflow.value * fill.value;
        let sigma = (inflow.sigma / inflow.value).hypot(fill.sigma / fill.value) * water;
        let rim = self.bed.rim - self.bed.floor;
        let lip = self.bed.siphon.standpipe.lip - self.bed.floor;
        let top = self.get(Measurable::Highest);
        let holds = self.water(1.0, self.low(), top.map_or(rim, |figure| figure.value));
        let least = self.water(LEAST_VOID, self.low(), lip);
        if water - DISAGREE * sigma > holds {
            self.report(fill, NonsenseKind::TooMuchWater { water, holds });
        } else if water + DISAGREE * sigma < least {
            self.report(fill, NonsenseKind::TooLittleWater { water, least });
        }
    }

    fn drain(&mut self) {
        let Some(drain) = self.get(Measurable::Drain) else {
            return;
        };
        let siphon = &self.bed.siphon;
        let bore = siphon.standpipe.bore;
        let area = std::f64::consts::FRAC_PI_4 * bore * bore;
        let lip = siphon.standpipe.lip - self.bed.floor;
        let drop = self.bed.floor - siphon.drain.outlet;
        let flow = |height: f64, loss: f64| {
            area * (2.0 * GRAVITY * (height + drop).max(0.0) / (1.0 + loss)).sqrt()
        };
        let water = self.water(LEAST_GRAVEL_VOID, self.low(), lip);
        let least = water / flow(self.bed.rim - self.bed.floor, 0.0);
        if drain.value + DISAGREE * drain.sigma < least {
            self.report(drain, NonsenseKind::DrainTooFast { least });
        }
        if let (Some(inflow), Some(fill)) =
            (self.get(Measurable::Inflow), self.get(Measurable::Fill))
        {
            let mean = inflow.value * (1.0 + fill.value / drain.value);
            let least = flow(self.low(), MOST_LOSS);
            let spread = (inflow.sigma / inflow.value).hypot(drain.sigma / drain.value);
            if mean * (1.0 + DISAGREE * spread) < least {
                self.report(drain, NonsenseKind::DrainTooSlow { flow: mean, least });
            }
        }
    }

    fn times(&mut self) {
        let (Some(period), Some(fill), Some(drain)) = (
            self.get(Measurable::Period),
            self.get(Measurable::Fill),
            self.get(Measurable::Drain),
        ) else {
            return;
        };
        let sum = fill.value + drain.value;
        let sigma = period.sigma.hypot(fill.sigma).hypot(drain.sigma);
        if (period.value - sum).abs() > DISAGREE * sigma {
            self.report(period, NonsenseKind::PeriodNotSum { sum });
        }
    }

    fn window(&mut self) {
        let (inflow, starts, breaks) = (
            self.get(Measurable::Inflow),
            self.get(Measurable::StartsAt),
            self.get(Measurable::BreaksUpTo),
        );
        let above = |a: &Measurement, b: &Measurement| {
            a.value - b.value > DISAGREE * a.sigma.hypot(b.sigma)
        };
        if let (Some(starts), Some(breaks)) = (starts, breaks)
            && above(&starts, &breaks)
        {
            let starts_at = starts.value;
            self.report(breaks, NonsenseKind::BreaksBelowStart { starts_at });
        }
        let cycles = self.measured.seen(self.i) == Some(Seen::Cycles);
        if let (Some(inflow), true) = (inflow, cycles) {
            if let Some(starts) = starts.filter(|starts| above(starts, &inflow)) {
                let starts_at = starts.value;
                self.report(inflow, NonsenseKind::InflowBelowStart { starts_at });
            }
            if let Some(breaks) = breaks.filter(|breaks| above(&inflow, breaks)) {
                let breaks_up_to = breaks.value;
                self.report(inflow, NonsenseKind::InflowAboveBreak { breaks_up_to });
            }
        }
    }

    fn swing(&mut self) {
        let Some(swing) = self.get(Measurable::SumpSwing) else {
            return;
        };
        let sump = &self.system.sump;
        let high = sump.start_level - sump.floor;
        let low = (high - swing.value + DISAGREE * swing.sigma).max(0.0);
        let water = sump.shape.volume(high) - sump.shape.volume(low);
        let holds: f64 = self
            .system
            .beds
            .iter()
            .map(|bed| {
                let mut open = bed.clone();
                open.media.void = 1.0;
                BedStorage::new(&open).volume(open.rim)
            })
            .sum();
        // The sump cannot swing farther than it is deep, whatever it holds.
        let deep = swing.value - DISAGREE * swing.sigma > sump.overflow_level - sump.floor;
        if water > holds || deep {
            self.report(swing, NonsenseKind::SwingTooLarge { water, holds });
        }
    }
}

impl Nonsense {
    /// What is wrong, as one sentence that begins with the bed's name and the measurement.
    pub fn sentence(&self, system: &System, units: UnitSystem) -> String {
        let bed = system.beds.get(self.bed).map_or("?", |bed| &bed.name);
        let value = self.what.text(self.value, units);
        format!(
            "{} of \"{bed}\", {value}, {}",
            self.what.words(),
            self.against(units)
        )
    }

    fn against(&self, units: UnitSystem) -> String {
        match self.kind {
            NonsenseKind::OutOfRange { least, most } => format!(
                "is outside what such a bed shows, {} to {}",
                self.what.text(least, units),
                self.what.text(most, units)
            ),
            NonsenseKind::AboveRim { rim } => {
                format!("is above the bed's wall, {}", units.length(rim))
            }
            NonsenseKind::LeftAboveHighest { highest } => {
                format!("is above the highest level, {}", units.length(highest))
            }
            NonsenseKind::LeftAboveLip { lip } => format!(
                "is above the lip, {}: a siphon that runs draws the water below its lip",
                units.length(lip)
            ),
            NonsenseKind::LeftBelowOpenings { opening } => format!(
                "is below the crown of the bell's slots, {}: there the siphon takes in air and stops",
                units.length(opening)
            ),
            NonsenseKind::HighestBelowLip { lip } => format!(
                "is below the lip, {}: no siphon starts before water stands over its lip",
                units.length(lip)
            ),
            NonsenseKind::TooMuchWater { water, holds } => format!(
                "with the measured inflow brings in {}, more than the bed holds without any \
                 gravel, {}: the void would be over 1",
                units.volume(water),
                units.volume(holds)
            ),
            NonsenseKind::TooLittleWater { water, least } => format!(
                "with the measured inflow brings in {}, less than the {} that gravel with a void \
                 of only {LEAST_VOID} takes",
                units.volume(water),
                units.volume(least)
            ),
            NonsenseKind::DrainTooFast { least } => format!(
                "is shorter than the {} that the water needs through this pipe without any loss",
                units.time(least)
            ),
            NonsenseKind::DrainTooSlow { flow, least } => format!(
                "with inflow and fill time gives a discharge of {}, less than the {} of this pipe \
                 with a loss coefficient of {MOST_LOSS}",
                units.flow(flow),
                units.flow(least)
            ),
            NonsenseKind::PeriodNotSum { sum } => format!(
                "is not the fill and drain time together, {}",
                units.time(sum)
            ),
            NonsenseKind::BreaksBelowStart { starts_at } => format!(
                "is less than the {} at which it just starts: it would never cycle",
                units.flow(starts_at)
            ),
            NonsenseKind::InflowBelowStart { starts_at } => format!(
                "is less than the {} at which it just starts, and yet the bed cycles",
                units.flow(starts_at)
            ),
            NonsenseKind::InflowAboveBreak { breaks_up_to } => format!(
                "is more than the {} at which it just stops breaking, and yet the bed cycles",
                units.flow(breaks_up_to)
            ),
            NonsenseKind::InflowAbovePump { total, open } => format!(
                "makes {} for all measured beds, more than the {} that the pump gives without \
                 any height or pipe",
                units.flow(total),
                units.flow(open)
            ),
            NonsenseKind::NotCycling { seen } => format!(
                "can only be had from a bed that cycles, but this one was seen: {}",
                seen.words()
            ),
            NonsenseKind::Cycling => {
                "cannot be had from a bed that cycles; its water never stands".to_owned()
            }
            NonsenseKind::SwingTooLarge { water, holds } => format!(
                "is {} of water, more than all beds hold without any gravel, {}, or more than the \
                 sump is deep",
                units.volume(water),
                units.volume(holds)
            ),
        }
    }

    /// What to check, as one sentence.
    pub fn check(&self) -> &'static str {
        match self.kind {
            NonsenseKind::OutOfRange { .. } => "Check the unit and the decimal point.",
            NonsenseKind::AboveRim { .. }
            | NonsenseKind::LeftAboveHighest { .. }
            | NonsenseKind::LeftAboveLip { .. }
            | NonsenseKind::LeftBelowOpenings { .. }
            | NonsenseKind::HighestBelowLip { .. } => {
                "Check that the tape stood on the bed's floor, and that heights in the scenario \
                 count from there too."
            }
            NonsenseKind::TooMuchWater { .. } => {
                "Time the bucket again, and the fill from the gurgle that ends one drain to the \
                 rush that begins the next; then the bed's length and width in the scenario. If \
                 water runs over the lip for long before the siphon starts, leave the fill time \
                 out and give starts-at."
            }
            NonsenseKind::TooLittleWater { .. } => {
                "Time the bucket again, and the fill from the gurgle that ends one drain to the \
                 rush that begins the next; then the bed's length and width in the scenario."
            }
            NonsenseKind::DrainTooFast { .. } | NonsenseKind::DrainTooSlow { .. } => {
                "Time the drain again, from the rush to the gurgle; then the standpipe's bore and \
                 the outlet's elevation in the scenario."
            }
            NonsenseKind::PeriodNotSum { .. } => {
                "Time a whole cycle again, gurgle to gurgle, without the pump's timer in between."
            }
            NonsenseKind::BreaksBelowStart { .. }
            | NonsenseKind::InflowBelowStart { .. }
            | NonsenseKind::InflowAboveBreak { .. } => {
                "Time the bucket again at each valve setting; the three inflows must rise from \
                 starts-at over inflow to breaks-up-to."
            }
            NonsenseKind::InflowAbovePump { .. } => {
                "Time the bucket again, and read the pump's plate again."
            }
            NonsenseKind::NotCycling { .. } | NonsenseKind::Cycling => {
                "Leave one of the two out; a bed either cycles or stands."
            }
            NonsenseKind::SwingTooLarge { .. } => {
                "Check the unit, and that no top-off ran meanwhile."
            }
        }
    }
}
