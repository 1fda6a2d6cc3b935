//! The search: of moments spread over the time those that volumes cannot rule out are simulated
//! roughly, of these the ones near the worst exactly; jumps and peaks are closed in.

use crate::model::Disturbance;
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::simulation::engine::{Engine, Pass, Task};
use crate::simulation::timetable::Due;
use crate::simulation::worst::{AFTERMATH, SumpExtreme};
use crate::simulation::{EventKind, Run, RunEnd, Sampling, SimulationError};
use std::collections::VecDeque;
use std::ops::ControlFlow;

/// Moments tried between two events at least, and in all.
const BETWEEN_EVENTS: usize = 3;
const IN_ALL: usize = 240;
/// Moments this close before and after each event are tried `[s]`.
const BESIDE: f64 = 1e-5;
/// Jumps of the answer are closed in to this `[s]`, smooth peaks to the next.
const JUMP_WIDTH: f64 = 1e-5;
const PEAK_WIDTH: f64 = 1e-2;
/// Levels closer than this are one level `[m]`.
const SAME_LEVEL: f64 = 1e-8;
/// The moments are sifted with steps this many times less exact, ...
const ROUGHLY: f64 = 100.0;
/// ... which moves levels by much less than this `[m]`.
const ROUGH_LEVEL: f64 = 2e-4;
/// A rough trial ends when the sump can rise by no more than this `[m]`; looked at as often
/// `[s]`.
const NO_MORE: f64 = 0.1 * ROUGH_LEVEL;
const LOOK_EVERY: f64 = 240.0;

/// Stretches, the last of the run, in which moments are tried.
const STRETCHES: usize = 4000;
/// Moments tried for one goal at most, evenly thinned where there would be more.
const MOMENTS: usize = 4000;
/// Effort after which no more are tried for it; `whole-loop` takes a tenth.
const MOST_EFFORT: u64 = 120_000_000;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Goal {
    /// The highest sump level.
    Highest,
    /// The lowest sump level.
    Lowest,
}

/// What was found.
pub(super) struct Found {
    pub(super) from: f64,
    pub(super) to: f64,
    extremes: Vec<(Goal, SumpExtreme)>,
}

impl Found {
    /// The extreme that was looked for.
    pub(super) fn extreme(&self, goal: Goal) -> Option<SumpExtreme> {
        let mut found = self.extremes.iter().filter(|found| found.0 == goal);
        found.next().map(|found| found.1)
    }
}

pub(super) struct Search<'g> {
    pub(super) what: Disturbance,
    pub(super) goals: &'g [Goal],
}

/// What follows an incident at one moment.
#[derive(Clone)]
struct Trial {
    at: f64,
    lowest: f64,
    highest: f64,
    /// Events that follow: where they change, the answer may jump.
    events: Vec<EventKind>,
    how: How,
    /// Whether it ended when the sump could rise no more: then its lowest level is not known,
    /// and events are those until then.
    cut_short: bool,
}

/// How the harm at a moment is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    /// Simulated with the usual tolerance.
    Exactly,
    /// Simulated with a coarser one.
    Roughly,
    /// Only that it is less than what was found: its levels are bounds.
    RuledOut,
}

impl Trial {
    /// The greater, the worse.
    fn harm(&self, goal: Goal) -> f64 {
        match goal {
            Goal::Highest => self.highest,
            Goal::Lowest => -self.lowest,
        }
    }

    /// A moment that was not simulated: `highest` is a bound.
    fn ruled_out(at: f64, highest: f64) -> Self {
        Self {
            at,
            lowest: f64::NAN,
            highest,
            events: Vec::new(),
            how: How::RuledOut,
            cut_short: true,
        }
    }

    /// Whether the same follows, as far as both were followed.
    fn goes_like(&self, other: &Self) -> bool {
        let (mine, theirs) = (&self.events[..], &other.events[..]);
        let both = mine.len().min(theirs.len());
        let ruled_out = [self.how, other.how].contains(&How::RuledOut);
        !ruled_out
            && mine[..both] == theirs[..both]
            && (mine.len() == both || other.cut_short)
            && (theirs.len() == both || self.cut_short)
    }
}

impl Task for Search<'_> {
    type Answer = Found;

    fn run<const B: usize, const N: usize>(
        self,
        mut engine: Engine<'_, B, N>,
    ) -> Result<Found, SimulationError> {
        let (end, may_settle) = engine.duration()?;
        let period = engine
            .system
            .pump
            .schedule
            .map_or(0.0, |timer| timer.on + timer.off);
        // One engine for each stretch: every moment in it goes on from its copy.
        let mut starts: VecDeque<Engine<'_, B, N>> = VecDeque::new();
        let run = engine.run(Sampling::None, end, may_settle, &mut |here, _| {
            if starts.len() == STRETCHES {
                starts.pop_front();
            }
            starts.push_back(here.clone());
            ControlFlow::Continue(())
        })?;
        let starts = Vec::from(starts);
        let (from, to) = window(&run, period);
        let known = starts.first().map_or(from, |first| first.here.t);
        let from = from.max(known).min(to);
        let mut trials = Trials {
            what: self.what,
            starts,
            list: Vec::new(),
        };
        let mut extremes = Vec::new();
        for &goal in self.goals {
            let worst = trials.worst_within(from, to, goal)?;
            let level = match goal {
                Goal::Highest => worst.highest,
                Goal::Lowest => worst.lowest,
            };
            extremes.push((
                goal,
                SumpExtreme {
                    at: worst.at,
                    level,
                },
            ));
        }
        Ok(Found { from, to, extremes })
    }
}

/// The time to search in a run without the incident `[s]`.
fn window(run: &Run, timer: f64) -> (f64, f64) {
    if let RunEnd::Settled { at } = run.ended {
        let cycles = run.beds.iter().filter_map(|bed| bed.cycles.last());
        let longest = cycles.map(|cycle| cycle.period()).fold(timer, f64::max);
        return ((at - longest).max(0.0), at);
    }
    let first = run
        .beds
        .iter()
        .filter_map(|bed| bed.cycles.first())
        .map(|cycle| cycle.began)
        .fold(0.0, f64::max);
    let from = if first < run.duration { first } else { 0.0 };
    (from, run.duration)
}

struct Trials<'a, const B: usize, const N: usize> {
    what: Disturbance,
    /// Where each stretch begins.
    starts: Vec<Engine<'a, B, N>>,
    /// By rising moment.
    list: Vec<Trial>,
}

impl<'a, const B: usize, const N: usize> Trials<'a, B, N> {
    /// The stretch that holds `at` `[s]`.
    fn stretch(&self, at: f64) -> usize {
        let after = self.starts.partition_point(|engine| engine.here.t <= at);
        after.max(1) - 1
    }

    /// The engine at `at` `[s]`, going on from `before` where that is in the same stretch.
    ///
    /// On which side of an event a moment lies must not be left to rough steps.
    fn arrive(
        &self,
        at: f64,
        before: Option<Engine<'a, B, N>>,
    ) -> Result<Engine<'a, B, N>, SimulationError> {
        let start = &self.starts[self.stretch(at)];
        let near = before.filter(|engine| engine.here.t >= start.here.t && engine.here.t <= at);
        let mut engine = near.unwrap_or_else(|| start.clone());
        let _ = engine.run(Sampling::None, at, false, &mut |_, _| {
            ControlFlow::Continue(())
        })?;
        Ok(engine)
    }

    /// The trial between two moments that does most harm; of those that the search came to, where
    /// all of them would take too long.
    fn worst_within(&mut self, from: f64, to: f64, goal: Goal) -> Result<Trial, SimulationError> {
        let found = effort::within(MOST_EFFORT, || {
            self.spread(from, to, goal)?;
            self.refine(goal)
        });
        match found {
            Err(SimulationError::TooMuch { .. }) => {
                self.list.order_by(|a, b| a.at.total_cmp(&b.at));
                let known = self.list.iter().filter(|trial| trial.how != How::RuledOut);
                let worst = known.max_by(|a, b| a.harm(goal).total_cmp(&b.harm(goal)));
                self.exact(worst.map_or(0.5 * (from + to), |worst| worst.at))
            }
            found => found,
        }
    }

    /// Whether volumes bound what follows.
    fn is_bounded(&self, goal: Goal) -> bool {
        self.what == Disturbance::PumpStops && goal == Goal::Highest
    }

    /// Simulates exactly what follows the incident at `at` `[s]`.
    fn exact(&self, at: f64) -> Result<Trial, SimulationError> {
        let engine = self.starts[self.stretch(at)].clone();
        self.follow(engine, at, How::Exactly, &mut |_, _| {
            ControlFlow::Continue(())
        })
    }

    /// Simulates roughly what follows it from `engine`, which is there, as long as it may do
    /// more harm than `least`.
    fn rough(
        &self,
        mut engine: Engine<'a, B, N>,
        goal: Goal,
        least: f64,
    ) -> Result<Trial, SimulationError> {
        let at = engine.here.t;
        engine.loosen(ROUGHLY);
        if !self.is_bounded(goal) {
            return self.follow(engine, at, How::Roughly, &mut |_, _| {
                ControlFlow::Continue(())
            });
        }
        engine.pause_every(LOOK_EVERY);
        let mut ruled_out = None;
        let trial = self.follow(engine, at, How::Roughly, &mut |engine, observer| {
            let Some(highest) = observer.highest_since_incident() else {
                return ControlFlow::Continue(());
            };
            let bound = engine.highest_without_pump(at + AFTERMATH).max(highest);
            if bound < least {
                ruled_out = Some(bound);
            }
            if bound < least || bound <= highest + NO_MORE {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        })?;
        Ok(ruled_out.map_or(trial, |bound| Trial::ruled_out(at, bound)))
    }

    /// Goes on from `engine`, with the incident at `at` `[s]`, until `enough`.
    fn follow(
        &self,
        mut engine: Engine<'a, B, N>,
        at: f64,
        how: How,
        enough: &mut Pass<'_, Engine<'a, B, N>, B>,
    ) -> Result<Trial, SimulationError> {
        engine.timetable.add(Due {
            at,
            index: 0,
            what: self.what,
        });
        let end = at + AFTERMATH;
        let run = engine.run(Sampling::None, end, false, enough)?;
        let after = run
            .incidents
            .iter()
            .find(|incident| (incident.time - at).abs() < BESIDE);
        let (lowest, highest) = after.map_or((f64::NAN, f64::NAN), |incident| {
            (incident.lowest, incident.highest)
        });
        let events = run
            .events
            .iter()
            .filter(|event| event.time >= at)
            .map(|event| event.kind);
        Ok(Trial {
            at,
            lowest,
            highest,
            events: events.collect(),
            how,
            cut_short: engine.here.t < end,
        })
    }

    /// Whether the moment `at` was tried for `goal` before; what was only tried for another is
    /// taken off the list.
    fn was_tried(&mut self, at: f64, goal: Goal) -> bool {
        let k = self.list.partition_point(|trial| trial.at < at);
        let Some(known) = self.list.get(k).filter(|trial| trial.at <= at) else {
            return false;
        };
        let again = known.cut_short && goal == Goal::Lowest;
        if again {
            self.list.remove(k);
        }
        !again
    }

    /// Puts a trial into the list.
    fn insert(&mut self, trial: Trial) {
        let k = self.list.partition_point(|other| other.at < trial.at);
        self.list.insert(k, trial);
    }

    /// Tries moments beside every event and between them: first those that nothing bounds, then
    /// the others from the highest bound down, so that few have to be simulated.
    fn spread(&mut self, from: f64, to: f64, goal: Goal) -> Result<(), SimulationError> {
        let inside = |t: f64| t > from && t < to;
        let mut edges: Vec<f64> = self
            .starts
            .iter()
            .map(|engine| engine.here.t)
            .filter(|&t| inside(t))
            .collect();
        edges.insert(0, from);
        edges.push(to);
        edges.dedup_by(|b, a| *b - *a < 4.0 * BESIDE);
        let least = (to - from) / IN_ALL as f64;
        let mut moments = Vec::new();
        for pair in edges.windows(2) {
            let (a, b) = (pair[0] + BESIDE, pair[1] - BESIDE);
            let count = (((b - a) / least).ceil() as usize).max(BETWEEN_EVENTS);
            moments.extend((0..=count).map(|k| a + (b - a) * k as f64 / count as f64));
        }
        let apart = moments.len().div_ceil(MOMENTS).max(1);
        let mut worst = self.worst(goal);
        let mut bounded: Vec<(f64, f64)> = Vec::new();
        let mut before: Option<Engine<'_, B, N>> = None;
        for at in moments.into_iter().step_by(apart) {
            if self.was_tried(at, goal) {
                continue;
            }
            let engine = self.arrive(at, before.take())?;
            let bound = if self.is_bounded(goal) {
                engine.highest_without_pump(at + AFTERMATH)
            } else {
                f64::INFINITY
            };
            if bound.is_finite() {
                bounded.push((bound, at));
            } else {
                let trial = self.rough(engine.clone(), goal, worst - ROUGH_LEVEL)?;
                worst = worst.max(trial.harm(goal));
                self.insert(trial);
            }
            before = Some(engine);
        }
        bounded.order_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
        for (bound, at) in bounded {
            let least = worst - ROUGH_LEVEL;
            let trial = if bound < least {
                Trial::ruled_out(at, bound)
            } else {
                self.rough(self.arrive(at, None)?, goal, least)?
            };
            if trial.how != How::RuledOut {
                worst = worst.max(trial.harm(goal));
            }
            self.insert(trial);
        }
        Ok(())
    }

    /// The greatest harm so far.
    fn worst(&self, goal: Goal) -> f64 {
        let found = self.list.iter().filter(|trial| trial.how != How::RuledOut);
        let harms = found.map(|trial| trial.harm(goal));
        harms.fold(f64::NEG_INFINITY, f64::max)
    }

    /// Makes trial `k` exact.
    fn make_exact(&mut self, k: usize) -> Result<(), SimulationError> {
        if self.list[k].how != How::Exactly {
            self.list[k] = self.exact(self.list[k].at)?;
        }
        Ok(())
    }

    /// Makes every trial exact that may be the worst.
    fn sift(&mut self, goal: Goal) -> Result<(), SimulationError> {
        let least = self.worst(goal) - ROUGH_LEVEL;
        for k in 0..self.list.len() {
            if self.list[k].harm(goal) >= least {
                self.make_exact(k)?;
            }
        }
        Ok(())
    }

    /// The trial that does most harm, jumps and peaks closed in.
    fn refine(&mut self, goal: Goal) -> Result<Trial, SimulationError> {
        self.sift(goal)?;
        for k in self.jumps(goal) {
            self.make_exact(k)?;
            self.make_exact(k + 1)?;
        }
        let pairs: Vec<(Trial, Trial)> = (self.jumps(goal).into_iter())
            .map(|k| (self.list[k].clone(), self.list[k + 1].clone()))
            .filter(|(low, high)| [low.how, high.how] == [How::Exactly; 2])
            .collect();
        for (low, high) in pairs {
            self.close_in(low, high)?;
        }
        let worst = self.worst(goal);
        let peaks: Vec<(f64, f64)> = self
            .list
            .windows(3)
            .filter(|three| {
                let [a, b, c] = [&three[0], &three[1], &three[2]].map(|trial| trial.harm(goal));
                // What a peak between the moments may add is of the order of what
                // separates them.
                three[1].how != How::RuledOut && b >= a && b >= c && b + (b - a).max(b - c) >= worst
            })
            .map(|three| (three[0].at, three[2].at))
            .collect();
        for (low, high) in peaks {
            self.climb(low, high, goal)?;
        }
        let exact = self.list.iter().filter(|trial| trial.how == How::Exactly);
        let worst = exact.max_by(|a, b| a.harm(goal).total_cmp(&b.harm(goal)));
        worst
            .cloned()
            .ok_or(SimulationError::NoTime { seconds: 0.0 })
    }

    /// Places in the list after which a jump lies that may do most harm: on either side of it
    /// the answer goes on as it came, or by as much as it jumps.
    fn jumps(&self, goal: Goal) -> Vec<usize> {
        let worst = self.worst(goal) - ROUGH_LEVEL;
        let harm = |k: usize| self.list[k].harm(goal);
        let drift = |a: usize, b: usize| {
            let alike = self.list[a].goes_like(&self.list[b]);
            alike.then(|| (harm(a) - harm(b)).abs())
        };
        let is_jump = |&k: &usize| {
            let (low, high) = (&self.list[k], &self.list[k + 1]);
            let rise = (harm(k) - harm(k + 1)).abs();
            let ruled_out = [low.how, high.how].contains(&How::RuledOut);
            if ruled_out || low.goes_like(high) || rise <= SAME_LEVEL {
                return false;
            }
            let before = k.checked_sub(1).and_then(|before| drift(before, k));
            let after = (k + 2 < self.list.len()).then(|| drift(k + 1, k + 2));
            let goes_on = |known: Option<f64>| known.map_or(rise, |drift| 2.0 * drift);
            let left = harm(k) + goes_on(before);
            let right = harm(k + 1) + goes_on(after.flatten());
            left.max(right) >= worst
        };
        let ends = self.list.len().saturating_sub(1);
        (0..ends).filter(is_jump).collect()
    }

    /// Halves between two moments after which different events follow.
    fn close_in(&mut self, mut low: Trial, mut high: Trial) -> Result<(), SimulationError> {
        while high.at - low.at > JUMP_WIDTH {
            let middle = self.exact(0.5 * (low.at + high.at))?;
            self.list.push(middle.clone());
            if middle.goes_like(&low) {
                low = middle
            } else {
                high = middle
            }
        }
        self.list.order_by(|a, b| a.at.total_cmp(&b.at));
        Ok(())
    }

    /// Golden-section search for a peak.
    fn climb(&mut self, mut low: f64, mut high: f64, goal: Goal) -> Result<(), SimulationError> {
        const SHARE: f64 = 0.381_966_011_250_105_2;
        let mut left = self.exact(low + SHARE * (high - low))?;
        let mut right = self.exact(high - SHARE * (high - low))?;
        while high - low > PEAK_WIDTH {
            if left.harm(goal) >= right.harm(goal) {
                high = right.at;
                right = left;
                left = self.exact(low + SHARE * (high - low))?;
            } else {
                low = left.at;
                left = right;
                right = self.exact(high - SHARE * (high - low))?;
            }
        }
        self.list.extend([left, right]);
        self.list.order_by(|a, b| a.at.total_cmp(&b.at));
        Ok(())
    }
}
