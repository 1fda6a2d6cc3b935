//! What a bed does, from what its siphon did.

use crate::simulation::{Regime, RegimeSpan, SiphonMode};
use crate::units::HOUR;

/// A stretch of one siphon mode.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ModeSpan {
    pub(super) mode: SiphonMode,
    pub(super) brimming: bool,
    /// The pump stands; nothing that happens then is a lasting regime.
    pub(super) idle: bool,
    pub(super) from: f64,
    pub(super) to: f64,
    /// What it was coming to when the pump stopped or the run ended.
    pub(super) cut_short: Option<Regime>,
    /// Since when the level has stood, if it does at the end of the stretch.
    pub(super) still_since: Option<f64>,
    /// Highest level `[m]`.
    pub(super) highest: f64,
    /// Level `[m]` at the start of the hour now running, and when that was `[s]`.
    pub(super) hour: (f64, f64),
    /// How far the level moved over the last whole hour `[m]`, and when that began `[s]`.
    pub(super) last_hour: Option<(f64, f64)>,
}

/// A level must stand this long to count as standing `[s]`.
pub(super) const STILL: f64 = 600.0;
/// How far it may be from where it was `[m]`.
const SWING: f64 = 1e-3;

impl ModeSpan {
    /// The lasting regime this stretch amounts to, and since when.
    fn lasting(&self) -> Option<(Regime, f64)> {
        if self.brimming {
            return Some((Regime::Overflows, self.from));
        }
        if self.idle {
            return None;
        }
        let (stood, swung) = (self.stood(), self.swung());
        let since = stood.or(swung);
        match self.mode {
            SiphonMode::Filling => stood.map(|t| (Regime::NeverFills, t)),
            SiphonMode::Spilling | SiphonMode::Priming => since.map(|t| (Regime::Dribbles, t)),
            SiphonMode::FullBore => since
                .map(|t| (Regime::Stalls, t))
                .or(self.cut_short.map(|regime| (regime, self.from))),
            SiphonMode::RunningOn => Some((Regime::RunsOn, self.from)),
        }
    }

    /// For how long it has been a lasting regime `[s]`.
    pub(super) fn lasts_for(&self) -> f64 {
        self.lasting().map_or(0.0, |(_, since)| self.to - since)
    }

    /// Since when it has stood, if long enough to tell `[s]`.
    fn stood(&self) -> Option<f64> {
        self.still_since.filter(|still| self.to - still >= STILL)
    }

    /// Since when it has come back to its level, if that can be told `[s]`: under an inflow
    /// that other beds swing a level never quite stands; a large bed may well take hours to
    /// fill or drain.
    fn swung(&self) -> Option<f64> {
        let hour = self.last_hour.filter(|hour| hour.0.abs() <= SWING)?;
        Some(hour.1)
    }

    /// The next moment of the same stretch.
    pub(super) fn go_on(&mut self, t: f64, level: f64, still: bool) {
        self.to = t;
        self.highest = self.highest.max(level);
        if !still {
            self.still_since = None;
        } else if self.still_since.is_none() {
            self.still_since = Some(t);
        }
        let (began, then) = (self.hour.1, self.hour.0);
        if t - began >= HOUR {
            self.last_hour = Some((level - then, began));
            self.hour = (level, t);
        }
    }

    /// A stretch that begins.
    pub(super) fn begin(
        mode: SiphonMode,
        brimming: bool,
        idle: bool,
        t: f64,
        level: f64,
        still: bool,
    ) -> Self {
        Self {
            mode,
            brimming,
            idle,
            from: t,
            to: t,
            cut_short: None,
            still_since: still.then_some(t),
            highest: level,
            hour: (level, t),
            last_hour: None,
        }
    }
}

/// Whether a bed has come over its lip, or to its wall.
pub(super) fn fills(spans: &[ModeSpan]) -> bool {
    let over = |span: &ModeSpan| span.mode != SiphonMode::Filling || span.brimming;
    spans.iter().any(over)
}

/// Whether a bed that has never come to its lip has stopped rising while it was fed; a
/// run that ended while it rose shows nothing.
fn stays_low(spans: &[ModeSpan]) -> bool {
    let fed: Vec<&ModeSpan> = spans.iter().filter(|span| !span.idle).collect();
    let Some(last) = fed.last() else { return true };
    if last.stood().or(last.swung()).is_some() {
        return true;
    }
    let highest = |spans: &[&ModeSpan]| {
        let levels = spans.iter().map(|span| span.highest);
        levels.fold(f64::NEG_INFINITY, f64::max)
    };
    let (earlier, later) = fed.split_at(fed.len() / 2);
    !earlier.is_empty() && highest(later) - highest(earlier) <= SWING
}

/// Regimes in time order, without gaps, over a run of `duration` `[s]` in which the bed
/// completed a cycle or not (`cycled`): without one it never cycles. `earlier`: what was told
/// of the spans before these.
pub(super) fn classify(
    earlier: Option<&Told>,
    spans: &[ModeSpan],
    duration: f64,
    cycled: bool,
) -> Vec<RegimeSpan> {
    let untold = untold(cycled);
    if earlier.is_none() && !fills(spans) {
        let regime = if stays_low(spans) {
            Regime::NeverFills
        } else {
            untold
        };
        let (from, to) = (0.0, duration);
        let lasts = to > from;
        return lasts
            .then_some(RegimeSpan { from, to, regime })
            .into_iter()
            .collect();
    }
    let mut told = earlier.cloned().unwrap_or_default();
    told.tell_all(spans, duration, untold);
    told.list
}

/// What has been told of a bed's spans up to some moment, and what that tells of the next.
#[derive(Debug, Clone, Default)]
pub(super) struct Told {
    list: Vec<RegimeSpan>,
    held: Option<Regime>,
    before: Option<ModeSpan>,
}

impl Told {
    /// Tells all of `spans` of a bed that has completed a cycle but the last, which goes on.
    pub(super) fn fold(&mut self, spans: &mut Vec<ModeSpan>) {
        if let Some(last) = spans.pop() {
            self.tell_all(spans, last.from, untold(true));
            spans.clear();
            spans.push(last);
        }
    }

    fn tell_all(&mut self, spans: &[ModeSpan], end: f64, untold: Regime) {
        for (k, span) in spans.iter().enumerate() {
            let to = spans.get(k + 1).map_or(end, |next| next.from);
            self.held = self
                .held
                .filter(|&regime| outlasts(regime, span, self.before.as_ref()));
            self.before = Some(*span);
            let until_told = self.held.unwrap_or(untold);
            match span.lasting() {
                Some((regime, since)) => {
                    self.push(span.from, since, until_told);
                    self.push(since, to, regime);
                    self.held = Some(regime);
                }
                None => self.push(span.from, to, until_told),
            }
        }
    }

    fn push(&mut self, from: f64, to: f64, regime: Regime) {
        if to <= from {
            return;
        }
        match self.list.last_mut() {
            Some(last) if last.regime == regime => last.to = to,
            _ => self.list.push(RegimeSpan { from, to, regime }),
        }
    }
}

/// What a bed does of which nothing lasting is seen.
const fn untold(cycled: bool) -> Regime {
    if cycled {
        Regime::Cycles
    } else {
        Regime::Unfinished
    }
}

/// Whether `regime` goes on in a stretch too short to tell, `before` the one before it, or
/// while the pump stands: a timer's pause does not make a bed cycle that dribbled before it
/// and dribbles after it, nor one that stalls and is emptied by the pause.
fn outlasts(regime: Regime, span: &ModeSpan, before: Option<&ModeSpan>) -> bool {
    let full = |mode| matches!(mode, SiphonMode::FullBore | SiphonMode::RunningOn);
    match regime {
        Regime::Dribbles => !full(span.mode),
        Regime::Stalls | Regime::RunsOn => {
            // A siphon that runs on breaks at the very moment at which the pump stops.
            let paused = |before: &ModeSpan| before.idle || span.idle || !full(before.mode);
            full(span.mode) || before.is_none_or(paused)
        }
        Regime::NeverFills => span.mode == SiphonMode::Filling,
        Regime::Cycles | Regime::Overflows | Regime::Unfinished => false,
    }
}

/// The regime at the end. Overflow since the last break outranks all.
pub(super) fn last_regime(
    regimes: &[RegimeSpan],
    spans: &[ModeSpan],
    overflowed_since_break: bool,
    cycled: bool,
) -> Regime {
    if overflowed_since_break {
        return Regime::Overflows;
    }
    // A run too short to tell still says what the siphon was doing.
    let undecided = |mode| match mode {
        Some(SiphonMode::RunningOn) => Regime::RunsOn,
        _ => untold(cycled),
    };
    regimes.last().map_or_else(
        || undecided(spans.last().map(|span| span.mode)),
        |span| span.regime,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(mode: SiphonMode, from: f64, to: f64, still_since: Option<f64>) -> ModeSpan {
        ModeSpan {
            to,
            still_since,
            ..ModeSpan::begin(mode, false, false, from, 0.2, false)
        }
    }

    #[test]
    fn a_short_spill_is_part_of_the_fill() {
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 1200.0, Some(1000.0)),
            span(SiphonMode::FullBore, 1200.0, 1400.0, None),
        ];
        let list = classify(None, &spans, 1400.0, true);
        assert_eq!(
            list,
            [RegimeSpan {
                from: 0.0,
                to: 1400.0,
                regime: Regime::Cycles
            }]
        );
    }

    #[test]
    fn a_standing_spill_dribbles_from_when_it_stood() {
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 5000.0, Some(1000.0)),
        ];
        let list = classify(None, &spans, 5000.0, false);
        assert_eq!(
            list[1],
            RegimeSpan {
                from: 1000.0,
                to: 5000.0,
                regime: Regime::Dribbles
            }
        );
        assert_eq!(last_regime(&list, &spans, false, false), Regime::Dribbles);
        assert_eq!(last_regime(&list, &spans, true, false), Regime::Overflows);
    }

    #[test]
    fn a_bed_that_never_reaches_its_lip_never_fills() {
        for (still_since, regime) in [
            (Some(200.0), Regime::NeverFills),
            (None, Regime::Unfinished),
        ] {
            let spans = [span(SiphonMode::Filling, 0.0, 900.0, still_since)];
            assert_eq!(classify(None, &spans, 900.0, false)[0].regime, regime);
        }
    }

    // What a timer lets in and a pause lets run back never comes to the lip; what rises from
    // one running time to the next does some day.
    #[test]
    fn pulses_that_rise_are_on_their_way_and_pulses_that_do_not_never_fill() {
        for (rise, regime) in [(0.02, Regime::Unfinished), (0.0, Regime::NeverFills)] {
            let mut spans = Vec::new();
            for k in 0..6 {
                let t = 600.0 * f64::from(k);
                let level = 0.2 + rise * f64::from(k);
                let mut fed = ModeSpan::begin(SiphonMode::Filling, false, false, t, 0.1, false);
                fed.go_on(t + 300.0, level, false);
                spans.push(fed);
                let rest = t + 300.0;
                spans.push(ModeSpan::begin(
                    SiphonMode::Filling,
                    false,
                    true,
                    rest,
                    level,
                    false,
                ));
            }
            assert_eq!(classify(None, &spans, 3600.0, false)[0].regime, regime);
        }
    }

    #[test]
    fn without_a_complete_cycle_nothing_cycles() {
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::FullBore, 900.0, 1200.0, None),
            span(SiphonMode::Filling, 1200.0, 1300.0, None),
        ];
        for (cycled, regime) in [(true, Regime::Cycles), (false, Regime::Unfinished)] {
            let list = classify(None, &spans, 1300.0, cycled);
            assert_eq!(last_regime(&list, &spans, false, cycled), regime);
            assert_eq!(list.len(), 1);
            assert_eq!(last_regime(&[], &[], false, cycled), regime);
        }
    }

    #[test]
    fn a_spill_back_at_its_level_after_an_hour_dribbles_even_while_it_swings() {
        for (level, regime) in [(0.2004, Regime::Dribbles), (0.2400, Regime::Unfinished)] {
            let mut swinging = ModeSpan::begin(SiphonMode::Spilling, false, false, 0.0, 0.2, false);
            swinging.go_on(1800.0, 0.21, false);
            swinging.go_on(3700.0, level, false);
            assert_eq!(classify(None, &[swinging], 3700.0, false)[0].regime, regime);
        }
    }

    #[test]
    fn a_large_bed_that_takes_hours_to_drain_does_not_stall() {
        let mut slow = ModeSpan::begin(SiphonMode::FullBore, false, false, 0.0, 0.30, false);
        slow.go_on(3600.0, 0.18, false);
        slow.go_on(7200.0, 0.06, false);
        assert_eq!(
            classify(None, &[slow], 7200.0, true)[0].regime,
            Regime::Cycles
        );
    }

    // What a timer makes of a bed that dribbles: the run may end in any of these stretches.
    #[test]
    fn a_pause_of_the_pump_does_not_make_a_dribbling_bed_cycle() {
        let idle = |from: f64, to: f64| ModeSpan {
            idle: true,
            ..span(SiphonMode::Spilling, from, to, Some(from))
        };
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 3600.0, Some(1000.0)),
            idle(3600.0, 4500.0),
            span(SiphonMode::Filling, 4500.0, 4520.0, None),
            span(SiphonMode::Spilling, 4520.0, 4700.0, None),
        ];
        for count in 2..=spans.len() {
            let spans = &spans[..count];
            let list = classify(None, spans, spans[count - 1].to, false);
            assert_eq!(
                last_regime(&list, spans, false, false),
                Regime::Dribbles,
                "{count}"
            );
        }
        let mut started = spans.to_vec();
        started.push(span(SiphonMode::FullBore, 4700.0, 4800.0, None));
        started.push(span(SiphonMode::Filling, 4800.0, 5000.0, None));
        let list = classify(None, &started, 5000.0, true);
        assert_eq!(last_regime(&list, &started, false, true), Regime::Cycles);
    }

    // The bed empties while the pump stands: it is what it was before that, until it breaks
    // while it is fed.
    #[test]
    fn a_siphon_that_only_a_pause_breaks_stalls_again_after_it() {
        let paused = ModeSpan {
            idle: true,
            ..span(SiphonMode::FullBore, 3600.0, 3900.0, None)
        };
        let spans = [
            span(SiphonMode::FullBore, 0.0, 3600.0, Some(1000.0)),
            paused,
            span(SiphonMode::Filling, 3900.0, 4500.0, None),
            span(SiphonMode::Spilling, 4500.0, 4600.0, None),
            span(SiphonMode::FullBore, 4600.0, 4700.0, None),
            span(SiphonMode::Filling, 4700.0, 4800.0, None),
        ];
        let end = |count: usize| {
            let list = classify(None, &spans[..count], spans[count - 1].to, true);
            last_regime(&list, &spans[..count], false, true)
        };
        assert_eq!([1, 2, 3, 4, 5].map(end), [Regime::Stalls; 5]);
        assert_eq!(end(6), Regime::Cycles);
    }

    // A year of spans is told piece by piece: dribbling, a pause of the pump, cycles, a stall
    // that another pause empties.
    #[test]
    fn spans_told_early_are_told_as_all_at_once() {
        let idle = |mode, from: f64, to: f64| ModeSpan {
            idle: true,
            ..span(mode, from, to, None)
        };
        let spans = [
            span(SiphonMode::Filling, 0.0, 900.0, None),
            span(SiphonMode::Spilling, 900.0, 3600.0, Some(1000.0)),
            idle(SiphonMode::Spilling, 3600.0, 4500.0),
            span(SiphonMode::Spilling, 4500.0, 4700.0, None),
            span(SiphonMode::FullBore, 4700.0, 4800.0, None),
            span(SiphonMode::Filling, 4800.0, 5400.0, None),
            span(SiphonMode::FullBore, 5400.0, 9000.0, Some(5500.0)),
            idle(SiphonMode::FullBore, 9000.0, 9300.0),
            span(SiphonMode::Filling, 9300.0, 9900.0, None),
            span(SiphonMode::FullBore, 9900.0, 10_000.0, None),
        ];
        let whole = classify(None, &spans, 10_000.0, true);
        assert!(whole.len() > 3, "{whole:?}");
        for first in 1..spans.len() {
            for second in first..=spans.len() {
                let mut told = Told::default();
                let mut kept = spans[..first].to_vec();
                told.fold(&mut kept);
                kept.extend(&spans[first..second]);
                told.fold(&mut kept);
                assert_eq!(kept.len(), 1);
                kept.extend(&spans[second..]);
                let pieces = classify(Some(&told), &kept, 10_000.0, true);
                assert_eq!(pieces, whole, "{first} {second}");
            }
        }
    }

    #[test]
    fn a_bed_left_without_inflow_after_a_break_no_longer_fills() {
        let spans = [
            span(SiphonMode::FullBore, 0.0, 900.0, None),
            span(SiphonMode::Filling, 900.0, 9000.0, Some(1000.0)),
        ];
        assert_eq!(
            last_regime(&classify(None, &spans, 9000.0, false), &spans, false, false),
            Regime::NeverFills
        );
    }
}
