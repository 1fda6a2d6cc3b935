//! Whether measured figures can be true at all: each alone, and each against the others.

mod nonsense;

use crate::hydraulics::constants::GRAVITY;
use crate::model::{Bed, BedStorage, Inlet, PumpSource, System};
use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::study::measure::{Measurable, Measured, Measurement, Seen};

pub use nonsense::{Nonsense, NonsenseKind};

/// A pump may be another one than the file's, but not so many times stronger `[-]`; as
/// far as `fit` goes. Common practice, no source.
const MOST_OVER_FILE: f64 = 3.0;
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
    found.order_by_key(|one| (one.bed, one.what));
    // One contradiction for each figure is enough to look at.
    found.dedup_by_key(|one| (one.bed, one.what));
    found
}

/// The measured inflows of all beds against the pump's open flow.
fn pump_gives_it(system: &System, measured: &Measured, found: &mut Vec<Nonsense>) {
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
    let at_least = total - DISAGREE * sigma;
    let told = |figure: &Measurement| match (&system.beds[figure.bed].inlet, &system.pump.source) {
        (Inlet::Measured(flow), _) => *flow,
        (Inlet::Share(share), PumpSource::Steady(all)) => share * all,
        _ => 0.0,
    };
    let kind = match &system.pump.source {
        PumpSource::Curve(curve) => {
            let open = curve.open_flow();
            (at_least > open).then_some(NonsenseKind::InflowAbovePump { total, open })
        }
        PumpSource::Steady(all) => {
            let own: f64 = inflows.iter().map(|figure| told(figure)).sum();
            let told = if own > 0.0 { own } else { *all };
            (at_least > MOST_OVER_FILE * told)
                .then_some(NonsenseKind::InflowAboveFile { total, told })
        }
    };
    found.extend(kind.map(|kind| Nonsense {
        bed: largest.bed,
        what: Measurable::Inflow,
        value: largest.value,
        kind,
    }));
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
        let rim = self.bed.rim_height;
        let lip = self.bed.siphon.standpipe.lip_height;
        for what in [Measurable::Highest, Measurable::Left, Measurable::Standing] {
            if let Some(figure) = self.get(what)
                && figure.value - DISAGREE * figure.sigma > rim
            {
                self.report(figure, NonsenseKind::AboveRim { rim });
            }
        }
        if let Some(left) = self.get(Measurable::Left) {
            if let Some(highest) = self.get(Measurable::Highest)
                && left.value - highest.value > DISAGREE * left.sigma.hypotenuse(highest.sigma)
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
        self.bed.siphon.bell.slots.height
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
        let at = |height: f64| storage.volume(bed.floor + height.min(bed.rim_height));
        at(to) - at(from)
    }

    fn volumes(&mut self) {
        let (Some(inflow), Some(fill)) = (self.get(Measurable::Inflow), self.get(Measurable::Fill))
        else {
            return;
        };
        let water = inflow.value * fill.value;
        let sigma = (inflow.sigma / inflow.value).hypotenuse(fill.sigma / fill.value) * water;
        let rim = self.bed.rim_height;
        let lip = self.bed.siphon.standpipe.lip_height;
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
        let area = siphon.standpipe.area();
        let lip = siphon.standpipe.lip_height;
        let drop = self.bed.floor - siphon.drain.outlet;
        let flow = |height: f64, loss: f64| {
            area * (2.0 * GRAVITY * (height + drop).max(0.0) / (1.0 + loss)).sqrt()
        };
        let water = self.water(LEAST_GRAVEL_VOID, self.low(), lip);
        let least = water / flow(self.bed.rim_height, 0.0);
        if drain.value + DISAGREE * drain.sigma < least {
            self.report(drain, NonsenseKind::DrainTooFast { least });
        }
        if let (Some(inflow), Some(fill)) =
            (self.get(Measurable::Inflow), self.get(Measurable::Fill))
        {
            let mean = inflow.value * (1.0 + fill.value / drain.value);
            let least = flow(self.low(), MOST_LOSS);
            let spread = (inflow.sigma / inflow.value).hypotenuse(drain.sigma / drain.value);
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
        let sigma = period.sigma.hypotenuse(fill.sigma).hypotenuse(drain.sigma);
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
            a.value - b.value > DISAGREE * a.sigma.hypotenuse(b.sigma)
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
        let high = sump.start_level;
        let low = (high - swing.value + DISAGREE * swing.sigma).max(sump.floor);
        let water = sump.volume_at(high) - sump.volume_at(low);
        let holds: f64 = self
            .system
            .beds
            .iter()
            .map(|bed| {
                let mut open = bed.clone();
                open.media.void = 1.0;
                BedStorage::new(&open).volume(open.rim_level())
            })
            .sum();
        // The sump cannot swing farther than it is deep, whatever it holds.
        let deep = swing.value - DISAGREE * swing.sigma > sump.overflow_level - sump.floor;
        if water > holds || deep {
            self.report(swing, NonsenseKind::SwingTooLarge { water, holds });
        }
    }
}
