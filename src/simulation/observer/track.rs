//! What is kept about one bed and about the float valve while a run goes on.

use crate::hydraulics::constants::STANDARD_ATMOSPHERE;
use crate::simulation::observer::cycles::Cycles;
use crate::simulation::plant::Moment;
use crate::simulation::regimes::{ModeSpan, Told, classify, fills, last_regime};
use crate::simulation::{CameUp, Cycle, Regime, SiphonMode, Spread};
use crate::units::DAY;

/// Successive periods and peaks that agree this well make a cycle `[-]`.
const CYCLE_AGREEMENT: f64 = 1e-4;
/// Sump levels at successive breaks that agree this well `[m]`.
const SUMP_AGREEMENT: f64 = 1e-4;
/// Levels at two breaks that agree this well leave the same water in the same places `[m]`.
const SAME_LEVEL: f64 = 1e-6;

/// Smallest and largest value seen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Extremes {
    pub(super) min: f64,
    pub(super) max: f64,
}

impl Extremes {
    pub(super) const NONE: Self = Self {
        min: f64::INFINITY,
        max: f64::NEG_INFINITY,
    };

    pub(super) fn see(&mut self, value: f64) {
        self.min = self.min.min(value);
        self.max = self.max.max(value);
    }

    /// Smallest and largest; `None` if nothing was seen.
    pub(super) fn range(&self) -> Option<(f64, f64)> {
        (self.min <= self.max).then_some((self.min, self.max))
    }

    pub(super) fn spread(&self, mean: f64) -> Spread {
        if self.min > self.max {
            Spread {
                mean: 0.0,
                min: 0.0,
                max: 0.0,
            }
        } else {
            // The mean comes from an integral; rounding must not carry it outside.
            Spread {
                mean: mean.clamp(self.min, self.max),
                min: self.min,
                max: self.max,
            }
        }
    }
}

/// Most spans of one bed's siphon that are kept before regimes are told of them.
const MOST_SPANS: usize = 1000;

/// Whether a bed gets what the pump gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Feed {
    /// The pump stands or draws air, its pipes fill, or the bed's inlet is shut.
    Paused,
    /// The pump runs again, but the fish tank on the way still fills up.
    CatchingUp,
    Steady,
}

/// What is kept about one bed while it runs.
#[derive(Debug, Clone)]
pub(super) struct BedTrack {
    /// What was told of the spans that are no longer kept.
    pub(super) told: Option<Told>,
    pub(super) spans: Vec<ModeSpan>,
    pub(super) cycles: Cycles,
    pub(super) last_break: Option<(f64, f64)>,
    /// Levels of bed and sump at the last two breaks `[m]`.
    pub(super) at_breaks: [Option<(f64, f64)>; 2],
    pub(super) priming_began: Option<f64>,
    /// Time since the last break in which water only went over the lip, fed `[s]`.
    pub(super) trickled: f64,
    pub(super) full_began: Option<f64>,
    pub(super) awaits_full_flow: bool,
    pub(super) cycle_peak: f64,
    /// The sump's level since the last break `[m]`.
    pub(super) cycle_sump: Extremes,
    pub(super) first_peak: f64,
    pub(super) peak: f64,
    pub(super) inflow: Extremes,
    pub(super) counted_from: (f64, f64),
    pub(super) least_at_start: Option<f64>,
    pub(super) most_at_break: Option<f64>,
    /// Inflow while the pump feeds the bed, whole run.
    pub(super) pumped: Extremes,
    pub(super) feed: Feed,
    /// Fed without a pause since its siphon ran full: what breaks then broke against its inflow.
    pub(super) unbroken: bool,
    /// An incident has shut its inlet.
    pub(super) shut: bool,
    pub(super) start_flows: (f64, u32),
    pub(super) break_flows: (f64, u32),
    pub(super) crown_pressure: f64,
    pub(super) has_broken: bool,
    pub(super) last_overflow: Option<f64>,
    pub(super) came_up: Option<CameUp>,
    /// What it did when the power was cut, until it comes back.
    pub(super) at_cut: Option<SoFar>,
}

/// What a bed has done up to a moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct SoFar {
    pub(super) regime: Regime,
    /// It has come over its lip or to its wall.
    pub(super) filled: bool,
    /// From the first break on.
    pub(super) inflow: Spread,
}

impl BedTrack {
    /// Takes in that water came up the drain into this bed, `i`, for `passed` `[s]`.
    pub(super) fn came_up<const B: usize>(&mut self, passed: f64, now: &Moment<B>, i: usize) {
        let flow = -now.outflow[i];
        let came = self.came_up.get_or_insert(CameUp {
            time: 0.0,
            peak_flow: 0.0,
            from: None,
        });
        came.time += passed;
        if flow > came.peak_flow {
            came.peak_flow = flow;
            came.from = (0..B)
                .filter(|&j| now.outflow[j] > 0.0)
                .max_by(|&a, &b| now.outflow[a].total_cmp(&now.outflow[b]));
        }
    }

    pub(super) fn new() -> Self {
        Self {
            told: None,
            spans: Vec::new(),
            cycles: Cycles::default(),
            last_break: None,
            at_breaks: [None, None],
            priming_began: None,
            trickled: 0.0,
            full_began: None,
            awaits_full_flow: false,
            cycle_peak: f64::NEG_INFINITY,
            cycle_sump: Extremes::NONE,
            first_peak: f64::NEG_INFINITY,
            peak: f64::NEG_INFINITY,
            inflow: Extremes::NONE,
            counted_from: (0.0, 0.0),
            least_at_start: None,
            most_at_break: None,
            pumped: Extremes::NONE,
            feed: Feed::CatchingUp,
            unbroken: false,
            shut: false,
            start_flows: (0.0, 0),
            break_flows: (0.0, 0),
            crown_pressure: STANDARD_ATMOSPHERE,
            has_broken: false,
            came_up: None,
            at_cut: None,
            last_overflow: None,
        }
    }

    /// What it has done up to `t` `[s]`, `water` `[m3]` having come in.
    pub(super) fn so_far(&self, t: f64, water: f64) -> SoFar {
        let cycled = !self.cycles.is_empty();
        let regimes = classify(self.told.as_ref(), &self.spans, t, cycled);
        let (since, water_then) = self.counted_from;
        let mean = if t > since {
            (water - water_then) / (t - since)
        } else {
            self.inflow.max.max(0.0)
        };
        let overflowed_since_break = self
            .last_overflow
            .is_some_and(|at| self.last_break.is_none_or(|(broke, _)| at >= broke));
        SoFar {
            regime: last_regime(&regimes, &self.spans, overflowed_since_break, cycled),
            filled: self.told.is_some() || fills(&self.spans),
            inflow: self.inflow.spread(mean),
        }
    }

    /// Whether it has done what lasts for `holds` `[s]`.
    pub(super) fn holds_for(&self, holds: f64) -> bool {
        let span = self.spans.last();
        span.is_some_and(|span| span.lasts_for() >= holds)
    }

    /// Follows whether the bed is fed: `delivers`, the pump's part; `passes_on`, whether a
    /// tank on the way gives what it gets; `inflow` `[m3/s]`.
    pub(super) fn follow_feed(&mut self, delivers: bool, passes_on: bool, inflow: f64) {
        self.feed = match self.feed {
            _ if self.shut || !delivers => Feed::Paused,
            Feed::Steady => Feed::Steady,
            _ if passes_on => Feed::Steady,
            _ => Feed::CatchingUp,
        };
        match self.feed {
            Feed::Paused => self.unbroken = false,
            Feed::CatchingUp => {}
            Feed::Steady => self.pumped.see(inflow.max(0.0)),
        }
    }

    /// Follows the siphon's mode and how still the level stands.
    pub(super) fn follow_mode(
        &mut self,
        t: f64,
        mode: SiphonMode,
        brimming: bool,
        idle: bool,
        (level, still): (f64, bool),
    ) {
        match self.spans.last_mut() {
            Some(span) if span.mode == mode && span.brimming == brimming && span.idle == idle => {
                span.go_on(t, level, still);
            }
            last => {
                if let Some(span) = last {
                    span.to = t;
                }
                self.spans
                    .push(ModeSpan::begin(mode, brimming, idle, t, level, still));
                if self.spans.len() > MOST_SPANS && !self.cycles.is_empty() {
                    self.told.get_or_insert_default().fold(&mut self.spans);
                }
            }
        }
    }

    pub(super) fn broke(
        &mut self,
        t: f64,
        water: f64,
        (level, sump_level): (f64, f64),
        left: Left,
    ) {
        self.at_breaks = [self.at_breaks[1], Some((level, sump_level))];
        if let (Some((began, water_then)), Some(primed), Some(full)) =
            (self.last_break, self.priming_began, self.full_began)
        {
            self.cycles.push(Cycle {
                began,
                fill: primed - began,
                trickle: self.trickled.min(primed - began),
                prime: full - primed,
                drain: t - full,
                peak_level: self.cycle_peak,
                water: water - water_then,
                sump_level,
                sump_range: (self.cycle_sump.min, self.cycle_sump.max),
                left_depth: left.depth,
                left_volume: left.volume,
            });
        }
        if !self.has_broken {
            self.has_broken = true;
            self.inflow = Extremes::NONE;
            self.crown_pressure = STANDARD_ATMOSPHERE;
            self.counted_from = (t, water);
        }
        self.last_break = Some((t, water));
        self.priming_began = None;
        self.trickled = 0.0;
        self.full_began = None;
        self.cycle_peak = f64::NEG_INFINITY;
        self.cycle_sump = Extremes {
            min: sump_level,
            max: sump_level,
        };
    }

    /// The end of the last cycle `[s]`, begun at `since` or later, where its bed and the sump
    /// stood then as they did when it began.
    pub(super) fn came_round(&self, since: f64) -> Option<f64> {
        let [Some(before), Some(after)] = self.at_breaks else {
            return None;
        };
        let same = |a: f64, b: f64| (a - b).abs() <= SAME_LEVEL;
        let last = self.cycles.last()?;
        let all_same = same(before.0, after.0) && same(before.1, after.1);
        (all_same && last.began >= since).then(|| last.began + last.period())
    }

    /// When three successive cycles agree: the end of the third `[s]`.
    pub(super) fn settled(&self, floor: f64, since: f64) -> Option<f64> {
        let last = self.cycles.last_three()?;
        let (a, rest) = last.split_first()?;
        let alike = rest.iter().all(|c| {
            (c.period() / a.period() - 1.0).abs() <= CYCLE_AGREEMENT
                && ((c.peak_level - floor) / (a.peak_level - floor) - 1.0).abs() <= CYCLE_AGREEMENT
                && (c.sump_level - a.sump_level).abs() <= SUMP_AGREEMENT
        });
        (alike && a.began >= since).then(|| last[2].began + last[2].period())
    }
}

/// Water left in a bed above the level at which its siphon broke: over the guard's
/// level `[m]`, and how much `[m3]`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Left {
    pub(super) depth: f64,
    pub(super) volume: f64,
}

/// What is kept about the float valve.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct TopOffTrack {
    /// When whole days had passed: time `[s]` and water added by then `[m3]`, last two.
    pub(super) days: [(f64, f64); 2],
    /// The bed that breaks first, and what the system had gained when it last broke `[m3]`.
    pub(super) at_break: Option<(usize, f64)>,
    pub(super) most_per_cycle: f64,
    pub(super) spent: Option<f64>,
}

impl TopOffTrack {
    pub(super) fn broke(&mut self, bed: usize, gained: f64) {
        match &mut self.at_break {
            None => self.at_break = Some((bed, gained)),
            Some((first, then)) if *first == bed => {
                self.most_per_cycle = self.most_per_cycle.max(gained - *then);
                *then = gained;
            }
            Some(_) => {}
        }
    }

    /// Water added a day [m3/day]: over the last whole day, or the whole run of `t` `[s]`.
    pub(super) fn per_day(&self, t: f64, added: f64) -> f64 {
        let [(from, before), (to, after)] = self.days;
        if from > 0.0 {
            (after - before) / (to - from) * DAY
        } else {
            added / t * DAY
        }
    }
}
