//! What a person sees, and how likely it is said of what a simulation shows.

use crate::assessment::{CheckId, Subject};
use crate::numerics::maths::Maths;
use crate::simulation::Regime;
use crate::study::measure::Seen;
use crate::study::why::sight::Sight;

/// What is wrong, as a person would say it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Symptom {
    /// Water trickles over the lip and the siphon does not start.
    Dribbles,
    /// The siphon never starts, however long one waits; whether water trickles is not told.
    NeverStarts,
    /// It empties the bed but does not break: it slurps on at the bottom.
    RunsOn,
    /// It runs full but the level stops falling half-way.
    Stalls,
    /// It breaks with water still standing in the bed.
    BreaksEarly,
    /// It takes much longer to empty the bed than it should.
    SlowDrain,
    /// Water goes over the bed's wall.
    OverflowsBed,
    /// The sump spills.
    SumpOverflows,
    /// The pump draws air.
    PumpRunsDry,
    /// The shared drain line gurgles or backs up.
    LineGurgles,
    /// This bed behaves otherwise than its neighbours.
    UnevenBeds,
    /// The time from flood to flood has changed over weeks.
    PeriodDrifts,
}

/// How the symptoms are named and described: one row for each, in the order of the help.
const ROWS: [(Symptom, &str, &str); 12] = [
    (
        Symptom::Dribbles,
        "dribbles",
        "water trickles over the lip all the time and the siphon does not start",
    ),
    (
        Symptom::NeverStarts,
        "never-starts",
        "the siphon never starts: nothing trickles over the lip, or nobody has looked",
    ),
    (
        Symptom::RunsOn,
        "runs-on",
        "the siphon empties the bed but does not break",
    ),
    (
        Symptom::Stalls,
        "stalls",
        "the siphon runs full and the level stops falling half-way",
    ),
    (
        Symptom::BreaksEarly,
        "breaks-early",
        "the siphon breaks with water still standing in the bed",
    ),
    (
        Symptom::SlowDrain,
        "slow-drain",
        "the bed takes much longer to empty than it should",
    ),
    (
        Symptom::OverflowsBed,
        "overflows-bed",
        "water goes over the bed's wall",
    ),
    (Symptom::SumpOverflows, "sump-overflows", "the sump spills"),
    (Symptom::PumpRunsDry, "pump-runs-dry", "the pump draws air"),
    (
        Symptom::LineGurgles,
        "line-gurgles",
        "the shared drain line gurgles or backs up",
    ),
    (
        Symptom::UnevenBeds,
        "uneven-beds",
        "the beds no longer flood alike",
    ),
    (
        Symptom::PeriodDrifts,
        "period-drifts",
        "the time from flood to flood has changed over weeks",
    ),
];

/// Share of those who complain that choose another word than the model expects, all words alike.
/// Common practice, no source.
const MISNAMED: f64 = 0.06;
/// Weight of having nothing to complain about, beside the weights below.
const CONTENT: f64 = 0.15;
/// Line fuller than this is heard `[-]`; common practice, no source.
const HEARD_FILL: f64 = 0.80;

impl Symptom {
    /// All of them, in the order of the help.
    pub const ALL: [Self; 12] = {
        let mut all = [Self::Dribbles; 12];
        let mut k = 0;
        while k < all.len() {
            all[k] = ROWS[k].0;
            k += 1;
        }
        all
    };

    fn row(self) -> &'static (Self, &'static str, &'static str) {
        ROWS.iter().find(|row| row.0 == self).unwrap_or(&ROWS[0])
    }

    /// Word on the command line.
    pub fn key(self) -> &'static str {
        self.row().1
    }

    /// What is seen, as a clause.
    pub fn words(self) -> &'static str {
        self.row().2
    }

    /// Whether a bed of which this is said floods and empties; `None`: either may be.
    pub const fn cycles(self) -> Option<bool> {
        match self {
            Self::Dribbles
            | Self::NeverStarts
            | Self::RunsOn
            | Self::Stalls
            | Self::OverflowsBed => Some(false),
            Self::BreaksEarly | Self::SlowDrain | Self::PeriodDrifts => Some(true),
            Self::SumpOverflows | Self::PumpRunsDry | Self::LineGurgles | Self::UnevenBeds => None,
        }
    }

    /// What a bed of which this is said is seen to do; `None`: either may be, or it cycles.
    pub const fn shows(self) -> Option<Seen> {
        match self {
            Self::Dribbles | Self::NeverStarts => Some(Seen::NeverStarted),
            Self::RunsOn | Self::Stalls => Some(Seen::NeverBroke),
            _ => None,
        }
    }

    /// The check that asks after what is seen, and of what; `None`: none does.
    pub const fn check(self, bed: usize) -> Option<(CheckId, Subject)> {
        Some(match self {
            Self::Dribbles | Self::NeverStarts => (CheckId::Starts, Subject::Bed(bed)),
            Self::RunsOn | Self::Stalls => (CheckId::Breaks, Subject::Bed(bed)),
            Self::OverflowsBed => (CheckId::Rim, Subject::Bed(bed)),
            Self::SumpOverflows => (CheckId::SumpHigh, Subject::Sump),
            Self::PumpRunsDry => (CheckId::PumpCover, Subject::Pump),
            Self::LineGurgles => (CheckId::DrainLine, Subject::DrainLine),
            Self::BreaksEarly | Self::SlowDrain | Self::UnevenBeds | Self::PeriodDrifts => {
                return None;
            }
        })
    }

    /// The symptom with this word.
    pub fn from_key(key: &str) -> Option<Self> {
        ROWS.iter().find(|row| row.1 == key).map(|row| row.0)
    }

    /// How strongly a person who sees `now` would name this symptom of bed `bed`, 0 to 1,
    /// when `before` is what the file promises and `creeping` whether the cause grows over
    /// weeks. Common practice, no source.
    fn weight(self, now: &Sight, before: &Sight, bed: usize, creeping: bool) -> f64 {
        let (here, was) = (&now.beds[bed], &before.beds[bed]);
        let regime = here.regime;
        let cycles = regime == Regime::Cycles;
        // Log ratio of two figures, nothing where one is missing.
        let change = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) if a > 0.0 && b > 0.0 => (a / b).log_natural(),
            _ => 0.0,
        };
        match self {
            Self::Dribbles => by_regime(regime, &[(Regime::Dribbles, 1.0)]),
            Self::NeverStarts => by_regime(
                regime,
                &[
                    (Regime::NeverFills, 1.0),
                    (Regime::Dribbles, 0.6),
                    (Regime::Overflows, 0.3),
                ],
            ),
            Self::RunsOn => by_regime(regime, &[(Regime::RunsOn, 1.0), (Regime::Stalls, 0.4)]),
            Self::Stalls => by_regime(regime, &[(Regime::Stalls, 1.0), (Regime::RunsOn, 0.2)]),
            Self::OverflowsBed => by_regime(regime, &[(Regime::Overflows, 1.0)]),
            Self::BreaksEarly if cycles => {
                let over = here.left.zip(was.left).map_or(0.0, |(a, b)| a - b);
                step(over, 0.015, 0.004)
            }
            Self::SlowDrain => {
                let slower = if cycles {
                    0.8 * step(change(here.drain, was.drain), 0.30, 0.06)
                } else {
                    0.0
                };
                slower + by_regime(regime, &[(Regime::Stalls, 0.3), (Regime::Overflows, 0.2)])
            }
            Self::SumpOverflows => 0.8 * yes(now.sump_spills),
            Self::PumpRunsDry => 0.9 * yes(now.ran_dry > 10.0),
            Self::LineGurgles => {
                let pressed = yes(now.line_pressed > 5.0);
                0.6 * pressed.max(0.5 * step(now.line_fill, HEARD_FILL, 0.03))
            }
            Self::UnevenBeds if now.beds.len() > 1 => {
                let shifts = now.beds.iter().zip(&before.beds).enumerate();
                let others = shifts.filter(|(i, _)| *i != bed).map(|(_, (a, b))| {
                    if a.regime == regime {
                        (change(a.period, b.period) - change(here.period, was.period)).abs()
                    } else {
                        1.0
                    }
                });
                0.5 * step(others.fold(0.0, f64::max), 0.20, 0.04)
            }
            Self::PeriodDrifts if creeping && cycles => {
                0.4 * step(change(here.period, was.period).abs(), 0.18, 0.04)
            }
            Self::BreaksEarly | Self::UnevenBeds | Self::PeriodDrifts => 0.0,
        }
    }

    /// Chance of each symptom, in the order of [`Self::ALL`], to be what a person says of
    /// bed `bed` who sees `now` in place of `before`; what is missing to 1 is the chance of
    /// nothing to complain about.
    pub fn chances(now: &Sight, before: &Sight, bed: usize, creeping: bool) -> [f64; 12] {
        let weights = Self::ALL.map(|symptom| symptom.weight(now, before, bed, creeping));
        let seen: f64 = weights.iter().sum();
        let total = CONTENT + seen;
        // Who sees nothing wrong has nothing to misname.
        weights.map(|w| ((1.0 - MISNAMED) * w + MISNAMED * seen / 12.0) / total)
    }

    /// Chance of this symptom in [`Self::chances`].
    pub fn chance(self, now: &Sight, before: &Sight, bed: usize, creeping: bool) -> f64 {
        let chances = Self::chances(now, before, bed, creeping);
        let at = Self::ALL.iter().position(|&symptom| symptom == self);
        at.map_or(0.0, |at| chances[at])
    }
}

fn by_regime(regime: Regime, weights: &[(Regime, f64)]) -> f64 {
    weights
        .iter()
        .find(|(of, _)| *of == regime)
        .map_or(0.0, |(_, weight)| *weight)
}

fn yes(holds: bool) -> f64 {
    if holds { 1.0 } else { 0.0 }
}

/// 0 far below `edge`, 1 far above, over a few times `width`.
fn step(value: f64, edge: f64, width: f64) -> f64 {
    1.0 / (1.0 + ((edge - value) / width).exponential())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_symptom_has_one_row_and_is_found_by_its_word() {
        for symptom in Symptom::ALL {
            assert_eq!(Symptom::from_key(symptom.key()), Some(symptom));
            assert_eq!(ROWS.iter().filter(|row| row.0 == symptom).count(), 1);
        }
        assert_eq!(Symptom::from_key("leaks"), None);
    }
}
