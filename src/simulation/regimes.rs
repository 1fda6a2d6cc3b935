//! What a bed does, from what its siphon did.

use crate::simulation::{Regime, RegimeSpan, SiphonMode};

/// A stretch of one siphon mode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ModeSpan {
    pub(super) mode: SiphonMode,
    pub(super) brimming: bool,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Since when the level has stood, if it does at the end of the stretch.
    pub(super) still_since: Option<f64>,
}

/// A level must stand this long to count as standing [s].
const STILL: f64 = 600.0;
/// Longer than this in one mode is that regime even if the level still moves,
/// as under an inflow that other beds swing [s].
const LONG: f64 = 3600.0;

impl ModeSpan {
    /// The lasting regime this stretch amounts to, and since when.
    fn lasting(&self) -> Option<(Regime, f64)> {
        if self.brimming {
            return Some((Regime::Overflows, self.from));
        }
        let since = match self.still_since {
            Some(still) if self.to - still >= STILL => Some(still),
            _ if self.to - self.from >= LONG => Some(self.from),
            _ => None,
        };
        let stands = self.still_since.filter(|still| self.to - still >= STILL);
        match self.mode {
            SiphonMode::Filling => None,
            SiphonMode::Spilling | SiphonMode::Priming => since.map(|t| (Regime::Dribbles, t)),
            // A large bed may well take an hour to drain: only a level that stands is a stall.
            SiphonMode::FullBore => stands.map(|t| (Regime::Stalls, t)),
            SiphonMode::RunningOn => Some((Regime::RunsOn, self.from)),
        }
    }
}

/// Regimes in time order, without gaps, over a run of `duration` [s].
pub(super) fn classify(spans: &[ModeSpan], duration: f64) -> Vec<RegimeSpan> {
    let mut list: Vec<RegimeSpan> = Vec::new();
    let mut push = |from: f64, to: f64, regime: Regime| {
        if to <= from {
            return;
        }
        match list.last_mut() {
            Some(last) if last.regime == regime => last.to = to,
            _ => list.push(RegimeSpan { from, to, regime }),
        }
    };
    let fills = spans.iter().any(|span| span.mode != SiphonMode::Filling || span.brimming);
    if !fills {
        push(0.0, duration, Regime::NeverFills);
        return list;
    }
    for (k, span) in spans.iter().enumerate() {
        let to = spans.get(k + 1).map_or(duration, |next| next.from);
        match span.lasting() {
            Some((regime, since)) => {
                push(span.from, since, Regime::Cycles);
                push(since, to, regime);
            }
            None => push(span.from, to, Regime::Cycles),
        }
    }
    list
}

/// The regime at the end. Overflow since the last break outranks all.
pub(super) fn last_regime(
    regimes: &[RegimeSpan],
    spans: &[ModeSpan],
    overflowed_since_break: bool,
) -> Regime {
    if overflowed_since_break {
        return Regime::Overflows;
    }
    // A run too short to tell still says what the siphon was doing.
    let undecided = |mode| match mode {
        Some(SiphonMode::RunningOn) => Regime::RunsOn,
        _ => Regime::Cycles,
    };
    regimes
        .last()
        .map_or_else(|| undecided(spans.last().map(|span| span.mode)), |span| span.regime)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(mode: SiphonMode, from: f64, to: f64, still_since: Option<f64>) -> ModeSpan {
        ModeSpan { mode, brimming: false, from, to, still_since }
    }

    #[test]
    fn a_short_spill_is_part_of_the_fill() {
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 1200.0, Some(1000.0)),
            span(SiphonMode::FullBore, 1200.0, 1400.0, None),
        ];
        let list = classify(&spans, 1400.0);
        assert_eq!(list, [RegimeSpan { from: 0.0, to: 1400.0, regime: Regime::Cycles }]);
    }

    #[test]
    fn a_standing_spill_dribbles_from_when_it_stood() {
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 5000.0, Some(1000.0)),
        ];
        let list = classify(&spans, 5000.0);
        assert_eq!(list[1], RegimeSpan { from: 1000.0, to: 5000.0, regime: Regime::Dribbles });
        assert_eq!(last_regime(&list, &spans, false), Regime::Dribbles);
        assert_eq!(last_regime(&list, &spans, true), Regime::Overflows);
    }

    #[test]
    fn a_bed_that_never_reaches_its_lip_never_fills() {
        let spans = [span(SiphonMode::Filling, 0.0, 900.0, None)];
        assert_eq!(classify(&spans, 900.0)[0].regime, Regime::NeverFills);
    }

    #[test]
    fn a_spill_that_goes_on_for_an_hour_dribbles_even_while_it_swings() {
        let spans = [span(SiphonMode::Spilling, 0.0, 4000.0, None)];
        assert_eq!(classify(&spans, 4000.0)[0].regime, Regime::Dribbles);
    }
}
