//! What a person with a tape, a bucket and a stopwatch can measure on a running bed,
//! what the model says to the same, and whether the figures can be true at all.

mod cut;
mod fact;
mod plausible;
mod predict;
pub mod sheet;

pub use cut::{Against, Cut, CutBand, Cutter, Disagreement};
pub(in crate::study) use fact::side_deviance;
pub use fact::{Fact, FactKind, SCATTER};
pub use plausible::{Nonsense, NonsenseKind, examine};
pub(in crate::study) use predict::outlook_by;
pub use predict::{Forecast, NoValue, Outlook, outlook, predict};

use crate::numerics::in_order::InOrder;
use crate::units::DAY;
use crate::units::UnitSystem;
use crate::units::table::Quantity;

/// Error of one press of a stopwatch `[s]`; common practice, no source.
const STOPWATCH: f64 = 2.0;
/// Error of one reading of a tape on a water surface `[m]`; common practice, no source.
const TAPE: f64 = 0.003;
/// Relative error of a flow timed into a bucket `[-]`; common practice, no source.
const BUCKET: f64 = 0.05;
/// Error of a time read in tenths off a thing that happens suddenly, both presses `[s]`; ours, no source.
const QUICK: f64 = 0.4;
/// Error of the distance of two marks, as a share `[-]`; ours, from a rule read to 1.5 mm.
const MARKS: f64 = 0.015;
/// How far one cycle differs from the next `[-]`; common practice, no source.
const CYCLE: f64 = 0.01;

/// What can be measured on a bed, in the order in which it is asked for.
///
/// Levels are heights above the bed's floor, as in the scenario; times are those of a
/// bed that cycles steadily.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measurable {
    /// Flow into the bed, timed into a bucket while the pump runs `[m3/s]`.
    Inflow,
    /// From the gurgle that ends one drain to the rush that begins the next: filling,
    /// spilling and priming together `[s]`.
    Fill,
    /// From that rush to the gurgle: pipe full to break `[s]`.
    Drain,
    /// Gurgle to gurgle `[s]`.
    Period,
    /// Highest level of the cycle; of a bed that no longer moves, the level it stands at,
    /// unless it stood higher before `[m]`.
    Highest,
    /// Level left when the siphon has just stopped `[m]`.
    Left,
    /// Level at which the water stands that neither fills nor empties the bed `[m]`.
    Standing,
    /// Highest less lowest sump level over a cycle `[m]`.
    SumpSwing,
    /// Inflow at which the siphon just starts, found by opening the valve slowly `[m3/s]`.
    StartsAt,
    /// Inflow at which the siphon just stops breaking `[m3/s]`.
    BreaksUpTo,
    /// Time in which the bed fills from the lower to the upper [mark](sheet::marks), pump on,
    /// siphon dry `[s]`.
    Rise,
    /// Time in which the full siphon empties it from the upper to the lower mark, pump off `[s]`.
    Fall,
    /// How much longer it primes with the bell 50 mm taller `[s]`.
    PrimingGain,
    /// Height of the water over the lip at the last dribble before it starts `[m]`.
    DribbleHead,
}

impl Measurable {
    /// All of them.
    pub const ALL: [Self; 14] = [
        Self::Inflow,
        Self::Fill,
        Self::Drain,
        Self::Period,
        Self::Highest,
        Self::Left,
        Self::Standing,
        Self::SumpSwing,
        Self::StartsAt,
        Self::BreaksUpTo,
        Self::Rise,
        Self::Fall,
        Self::PrimingGain,
        Self::DribbleHead,
    ];

    /// Whether it belongs to the protocol that `measure` prints, rather than to a bed as it runs.
    pub const fn is_of_sheet(self) -> bool {
        matches!(
            self,
            Self::Rise | Self::Fall | Self::PrimingGain | Self::DribbleHead
        )
    }

    /// Name of its option on the command line and of its key in a file.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Inflow => "inflow",
            Self::Fill => "fill",
            Self::Drain => "drain",
            Self::Period => "period",
            Self::Highest => "highest",
            Self::Left => "left",
            Self::Standing => "standing",
            Self::SumpSwing => "sump-swing",
            Self::StartsAt => "starts-at",
            Self::BreaksUpTo => "breaks-up-to",
            Self::Rise => "rise",
            Self::Fall => "fall",
            Self::PrimingGain => "priming-gain",
            Self::DribbleHead => "dribble-head",
        }
    }

    /// The measurable with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.key() == key)
    }

    /// What it is, in words, for tables.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Inflow => "inflow",
            Self::Fill => "fill time",
            Self::Drain => "drain time",
            Self::Period => "period",
            Self::Highest => "highest level",
            Self::Left => "level left",
            Self::Standing => "standing level",
            Self::SumpSwing => "sump swing",
            Self::StartsAt => "least inflow to start",
            Self::BreaksUpTo => "most inflow to break",
            Self::Rise => "rise between the marks",
            Self::Fall => "fall between the marks",
            Self::PrimingGain => "longer priming with a taller bell",
            Self::DribbleHead => "height over the lip at the last dribble",
        }
    }

    /// How to measure it, as one sentence without its full stop.
    pub const fn how(self) -> &'static str {
        match self {
            Self::Inflow => {
                "hold a bucket under the bed's inlet and time how long it takes to fill"
            }
            Self::Fill => {
                "start the stopwatch at the gurgle that ends one drain and stop it at the rush \
                 that begins the next"
            }
            Self::Drain => {
                "start the stopwatch at the rush and stop it at the gurgle that ends the drain"
            }
            Self::Period => "time one whole cycle, gurgle to gurgle",
            Self::Highest => {
                "push a tape down to the bed's floor, inside the guard if there is one, and read \
                 the highest level of a cycle"
            }
            Self::Left => "read the tape at the moment the siphon has stopped",
            Self::Standing => "read the tape once the level has not moved for ten minutes",
            Self::SumpSwing => "mark the sump's highest and lowest level over a few cycles",
            Self::StartsAt => {
                "start with too little inflow, open the valve a little every ten minutes until \
                 the siphon starts, then time the inflow into a bucket"
            }
            Self::Rise => {
                "with the pump on and the siphon dry, time the water from the lower to the upper \
                 mark of the sheet"
            }
            Self::Fall => {
                "with the siphon full, stop the pump and time the water from the upper to the \
                 lower mark of the sheet"
            }
            Self::PrimingGain => {
                "time from the first gulp to the full jet three times, with the bell as it is and \
                 50 mm taller, and take one mean from the other"
            }
            Self::DribbleHead => {
                "read how high the water stands over the lip at the last flow that only dribbled"
            }
            Self::BreaksUpTo => {
                "open the valve a little every cycle until the siphon no longer stops, then time \
                 the inflow into a bucket"
            }
        }
    }

    /// The kind of quantity.
    pub const fn quantity(self) -> Quantity {
        match self {
            Self::Inflow | Self::StartsAt | Self::BreaksUpTo => Quantity::Flow,
            Self::Fill
            | Self::Drain
            | Self::Period
            | Self::Rise
            | Self::Fall
            | Self::PrimingGain => Quantity::Time,
            Self::Highest | Self::Left | Self::Standing | Self::SumpSwing | Self::DribbleHead => {
                Quantity::Length
            }
        }
    }

    /// Least and greatest value that any hobby system shows, SI.
    pub const fn allowed(self) -> (f64, f64) {
        match self.quantity() {
            // 0.02 to 500 L/min.
            Quantity::Flow => (0.02 / 60_000.0, 500.0 / 60_000.0),
            Quantity::Time if matches!(self, Self::PrimingGain) => (0.1, 600.0),
            Quantity::Time => (1.0, 7.0 * DAY),
            _ => match self {
                Self::SumpSwing => (0.0005, 2.0),
                _ => (0.0, 2.0),
            },
        }
    }

    /// Uncertainty where none is given, one standard deviation, SI.
    ///
    /// From a stopwatch pressed within 2 s at each end and 1 % from cycle to cycle, a tape
    /// read to 3 mm, a bucket to 5 %; a level just after the break settles for some seconds,
    /// hence 5 mm, and an edge of the window is found by steps, hence 7 %. All common
    /// practice, no source.
    pub fn usual_sigma(self, value: f64) -> f64 {
        match self {
            Self::Inflow => BUCKET * value,
            Self::Fill | Self::Drain | Self::Period => {
                (2.0 * STOPWATCH * STOPWATCH + (CYCLE * value).powi(2)).sqrt()
            }
            Self::Highest | Self::Standing => TAPE,
            Self::Left => 0.005,
            Self::SumpSwing => TAPE * std::f64::consts::SQRT_2,
            // A mark is passed within a millimetre and a half, so 1.5 % over 140 mm.
            Self::Rise => (QUICK * QUICK + (MARKS * value).powi(2)).sqrt(),
            Self::Fall => (QUICK * QUICK + (2.0 * MARKS * value).powi(2)).sqrt(),
            Self::PrimingGain => (QUICK * QUICK + (0.08 * value).powi(2)).sqrt(),
            Self::DribbleHead => 0.001,
            Self::StartsAt | Self::BreaksUpTo => BUCKET * std::f64::consts::SQRT_2 * value,
        }
    }

    /// A value of it with its unit.
    pub fn text(self, value: f64, units: UnitSystem) -> String {
        match self.quantity() {
            Quantity::Flow => units.flow(value),
            Quantity::Time => units.time(value),
            _ => units.length(value),
        }
    }
}

/// One measured figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measurement {
    /// Index of the bed.
    pub bed: usize,
    /// What was measured.
    pub what: Measurable,
    /// Its value, SI.
    pub value: f64,
    /// One standard deviation, SI: two of three repeats fall this close to the mean.
    pub sigma: f64,
    /// Whether `sigma` was given rather than taken as usual.
    pub sigma_given: bool,
}

impl Measurement {
    /// A figure with its own uncertainty, or the usual one.
    pub fn new(bed: usize, what: Measurable, value: f64, sigma: Option<f64>) -> Self {
        Self {
            bed,
            what,
            value,
            sigma: sigma.unwrap_or_else(|| what.usual_sigma(value)),
            sigma_given: sigma.is_some(),
        }
    }
}

/// What a bed was seen to do while somebody watched it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Seen {
    /// It flooded, started, emptied and stopped.
    Cycles,
    /// Water ran over the lip and the siphon did not start during the watch.
    NeverStarted,
    /// The siphon ran and did not stop during the watch.
    NeverBroke,
}

impl Seen {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Cycles, Self::NeverStarted, Self::NeverBroke];

    /// Word on the command line and in a file.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Cycles => "cycles",
            Self::NeverStarted => "never-starts",
            Self::NeverBroke => "never-breaks",
        }
    }

    /// What it means, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Cycles => "starts and stops by itself",
            Self::NeverStarted => "never starts",
            Self::NeverBroke => "starts and never stops",
        }
    }
}

/// Everything measured on a system.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Measured {
    /// The figures, by bed and in the order of [`Measurable`].
    pub figures: Vec<Measurement>,
    /// What beds were seen to do: index of the bed, and what.
    pub seen: Vec<(usize, Seen)>,
    /// At which flows siphons started, dribbled, broke or ran on, by bed and kind.
    pub facts: Vec<Fact>,
}

impl Measured {
    /// The figure of this kind on this bed.
    pub fn get(&self, bed: usize, what: Measurable) -> Option<&Measurement> {
        self.figures
            .iter()
            .find(|figure| figure.bed == bed && figure.what == what)
    }

    /// What this bed was seen to do: as told, else what its figures imply. A fill time, a
    /// drain time, a period or a level left can only be had from a bed that cycles.
    pub fn seen(&self, bed: usize) -> Option<Seen> {
        let told = self.seen.iter().find(|seen| seen.0 == bed);
        told.map(|seen| seen.1).or_else(|| {
            CYCLE_ONLY
                .iter()
                .any(|what| self.get(bed, *what).is_some())
                .then_some(Seen::Cycles)
        })
    }

    /// With what a bed tells that is said to cycle at an inflow that was read: its siphon started and
    /// broke at that flow, which bounds its window on both sides.
    pub fn with_told_by_cycling(mut self) -> Self {
        let cycling = self.seen.iter().filter(|seen| seen.1 == Seen::Cycles);
        let flows = cycling.filter_map(|seen| self.get(seen.0, Measurable::Inflow));
        let told: Vec<Fact> = flows
            .flat_map(|flow| {
                let spread = flow.sigma_given.then_some(flow.sigma);
                [FactKind::Started, FactKind::Broke]
                    .map(|kind| Fact::new(flow.bed, kind, flow.value, spread))
            })
            .filter(|fact| !self.facts.contains(fact))
            .collect();
        self.facts.extend(told);
        self.sort();
        self
    }

    /// Whether nothing at all was measured or seen.
    pub fn is_empty(&self) -> bool {
        self.figures.is_empty() && self.seen.is_empty() && self.facts.is_empty()
    }

    /// Indices of the beds that anything is known of, rising.
    pub fn beds(&self) -> Vec<usize> {
        let mut beds: Vec<usize> = self
            .figures
            .iter()
            .map(|figure| figure.bed)
            .chain(self.seen.iter().map(|seen| seen.0))
            .chain(self.facts.iter().map(|fact| fact.bed))
            .collect();
        beds.order_by(Ord::cmp);
        beds.dedup();
        beds
    }

    /// Puts figures and facts in order of beds and kinds.
    pub fn sort(&mut self) {
        self.figures
            .order_by_key(|figure| (figure.bed, figure.what));
        self.seen.order_by_key(|seen| seen.0);
        self.facts.order_by(|a, b| {
            let place = |fact: &Fact| (fact.bed, fact.kind);
            place(a).cmp(&place(b)).then(a.flow.total_cmp(&b.flow))
        });
    }
}

/// What only a bed that cycles shows.
const CYCLE_ONLY: [Measurable; 4] = [
    Measurable::Fill,
    Measurable::Drain,
    Measurable::Period,
    Measurable::Left,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_and_words_are_told_apart() {
        for (i, one) in Measurable::ALL.into_iter().enumerate() {
            assert_eq!(Measurable::from_key(one.key()), Some(one));
            let (least, most) = one.allowed();
            assert!(least < most);
            for other in &Measurable::ALL[i + 1..] {
                assert_ne!(one.words(), other.words());
            }
        }
    }

    #[test]
    fn usual_spreads_are_those_of_bucket_tape_and_stopwatch() {
        // 5 % of 6 L/min, and 2 s twice beside 1 % of 300 s: sqrt(8 + 9) s.
        let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
        assert!(near(Measurable::Inflow.usual_sigma(1e-4), 5e-6));
        assert!(near(Measurable::Drain.usual_sigma(300.0), 17.0_f64.sqrt()));
        assert!(near(Measurable::Highest.usual_sigma(0.2), 0.003));
    }

    #[test]
    fn a_bed_with_a_drain_time_cycles_unless_told_otherwise() {
        let mut measured = Measured::default();
        assert_eq!(measured.seen(0), None);
        measured
            .figures
            .push(Measurement::new(0, Measurable::Drain, 180.0, None));
        assert_eq!(measured.seen(0), Some(Seen::Cycles));
        assert_eq!(measured.seen(1), None);
        measured.seen.push((1, Seen::NeverBroke));
        assert_eq!(measured.seen(1), Some(Seen::NeverBroke));
        assert_eq!(measured.beds(), [0, 1]);
    }

    #[test]
    fn a_bed_told_to_cycle_started_and_broke_at_its_inflow() {
        let read = |bed| Measurement::new(bed, Measurable::Inflow, 1e-4, None);
        let started = Fact::new(0, FactKind::Started, 1e-4, None);
        let measured = Measured {
            figures: vec![read(0), read(1), read(2)],
            seen: vec![(0, Seen::Cycles), (1, Seen::NeverStarted)],
            facts: vec![started],
        };
        // What was told already is not told twice, and of a bed that was not seen to cycle nothing is.
        let broke = Fact::new(0, FactKind::Broke, 1e-4, None);
        assert_eq!(measured.with_told_by_cycling().facts, [started, broke]);
    }
}
