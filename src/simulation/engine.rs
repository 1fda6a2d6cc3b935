//! The run loop: smooth stretches joined by located events.

use crate::model::{CoefficientValues, Duration, System};
use crate::numerics::integrate::{Span, StepEnd, Stepper, Tolerance, Trajectory, integrate};
use crate::numerics::root::brent;
use crate::simulation::modes::Modes;
use crate::simulation::observer::{self, Observer};
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::stretch::{Beginning, Clock, LONGEST_STEP, StepHints, Stretch};
use crate::simulation::watch::{Reads, Watch, watches};
use crate::simulation::{EventKind, Run, RunEnd, Sampling, SimulationError, SiphonMode};
use nalgebra::SVector;
use std::collections::VecDeque;

/// Events closer than this happen together [s].
const TOGETHER: f64 = 1e-6;
/// Share of the usual tolerance where beds share a line: its grade has bends, at the
/// change from normal depth to pressure, that steps meet unlocated.
const LINE_SHARE: f64 = 0.03;
/// Event times are bracketed to this [s].
const EVENT_WIDTH: f64 = 1e-9;
/// More events than this within [`CHATTER_WINDOW`] is chatter.
const CHATTER_COUNT: usize = 400;
const CHATTER_WINDOW: f64 = 20.0;
/// Slower than this everywhere a run that may settle ends [m/s]: a tenth of what counts
/// as standing, so that the level has by then stood for 10 min and more.
const ENDING_RATE: f64 = 0.1 * observer::STANDING_RATE;
/// No run ends for want of movement before this long after the last event [s].
const STANDING_TIME: f64 = 3600.0;
/// Largest share of the water that rounding may create or destroy.
const LARGEST_RESIDUAL: f64 = 1e-9;

/// Simulates `system` with its nominal coefficients.
///
/// # Errors
/// [`SimulationError`] when events chatter or the integration fails.
pub fn simulate(system: &System, sampling: Sampling) -> Result<Run, SimulationError> {
    simulate_with(system, &system.coefficients.nominal(), sampling)
}

/// Simulates `system` with the given coefficient values.
///
/// # Errors
/// [`SimulationError`] when events chatter or the integration fails.
pub fn simulate_with(
    system: &System,
    values: &CoefficientValues,
    sampling: Sampling,
) -> Result<Run, SimulationError> {
    simulate_by(system, values, sampling, Stepping::default())
}

/// Which stepper runs, and how closely.
///
/// The default keeps event times within 1e-6 of a period; it is what
/// [`simulate`] uses. Anything else is for checking that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stepping {
    /// The stepper.
    pub stepper: Stepper,
    /// Error that one step may make, absolute in [m3].
    pub tolerance: Tolerance,
}

impl Default for Stepping {
    fn default() -> Self {
        Self {
            stepper: Stepper::Own,
            tolerance: Tolerance {
                relative: 1e-7,
                absolute: 1e-9,
            },
        }
    }
}

/// Simulates `system` with the given coefficient values and stepper.
///
/// # Errors
/// [`SimulationError`] when events chatter or the integration fails.
pub fn simulate_by(
    system: &System,
    values: &CoefficientValues,
    sampling: Sampling,
    stepping: Stepping,
) -> Result<Run, SimulationError> {
    // The state lives in vectors of fixed size: three times faster than on the heap.
    match system.beds.len() {
        0..=1 => Engine::<1, { Layout::<1>::STATES }>::new(system, values, stepping).run(sampling),
        2 => Engine::<2, { Layout::<2>::STATES }>::new(system, values, stepping).run(sampling),
        3..=4 => Engine::<4, { Layout::<4>::STATES }>::new(system, values, stepping).run(sampling),
        5..=8 => Engine::<8, { Layout::<8>::STATES }>::new(system, values, stepping).run(sampling),
        9..=32 => {
            Engine::<32, { Layout::<32>::STATES }>::new(system, values, stepping).run(sampling)
        }
        33..=256 => {
            Engine::<256, { Layout::<256>::STATES }>::new(system, values, stepping).run(sampling)
        }
        beds => Err(SimulationError::TooManyBeds { beds, most: 256 }),
    }
}

struct Engine<'a, const B: usize, const N: usize> {
    system: &'a System,
    plant: Plant,
    stepping: Stepping,
    modes: Modes<B>,
    /// Time and state now, with the rates that hold from here on.
    here: StepEnd<N, Moment<B>>,
    recent: VecDeque<(f64, EventKind)>,
    steps: StepHints,
    /// The bed whose level came over its lip last, and when [s].
    lip_reached: Option<(usize, f64)>,
}

/// A point at which a trajectory was looked at, `t` as its clock reads.
#[derive(Clone, Copy)]
struct Sight<const B: usize> {
    t: f64,
    now: Moment<B>,
}

/// Lists that every stretch fills anew, kept so that none has to be allocated.
struct Lists<const B: usize> {
    watches: Vec<Watch>,
    /// Whether each watch has been seen positive.
    armed: Vec<bool>,
    /// The same while the stepper looks ahead.
    ahead: Vec<bool>,
    turns: Vec<Sight<B>>,
    fired: Vec<usize>,
}

impl<'a, const B: usize, const N: usize> Engine<'a, B, N> {
    fn new(system: &'a System, values: &CoefficientValues, stepping: Stepping) -> Self {
        let plant = Plant::new(system, values);
        let mut y = SVector::<f64, N>::zeros();
        let sump = &system.sump;
        y[Layout::<B>::SUMP] = sump.shape.volume(sump.start_level - sump.floor);
        let mut modes = Modes::at_rest();
        modes.pump.covered = sump.start_level > plant.dry_level;
        for (i, bed) in system.beds.iter().enumerate() {
            let level = bed.start_level.unwrap_or_else(|| {
                let law = &plant.laws[i];
                law.break_level(law.outlet().max(sump.start_level))
            });
            y[Layout::<B>::bed(i)] = plant.storages[i].volume(level);
        }
        let here = StepEnd {
            t: 0.0,
            y,
            dy: SVector::zeros(),
            sight: Moment::blank(),
        };
        Self {
            system,
            plant,
            stepping,
            modes,
            here,
            recent: VecDeque::new(),
            steps: StepHints::new(),
            lip_reached: None,
        }
    }

    /// Brings rates and flows up to date with state and modes.
    fn look(&mut self) {
        let StepEnd { y, dy, sight, .. } = &mut self.here;
        self.plant.rates(y, &self.modes, dy, sight);
    }

    fn run(mut self, sampling: Sampling) -> Result<Run, SimulationError> {
        let (end, may_settle) = match self.system.duration {
            Duration::Fixed(seconds) => (seconds, false),
            Duration::UntilSettled { at_most } => (at_most, true),
        };
        if !(end > 0.0 && end.is_finite()) {
            return Err(SimulationError::NoTime { seconds: end });
        }
        let mut observer = Observer::new(self.system, &self.plant, &self.here.y, sampling);
        let mut lists = Lists {
            watches: Vec::new(),
            armed: Vec::new(),
            ahead: Vec::new(),
            turns: Vec::new(),
            fired: Vec::new(),
        };
        let mut trajectory = Trajectory::new();
        let mut ended = RunEnd::TimeReached;
        self.refresh_statuses(&mut observer)?;
        while self.here.t < end {
            let since = self.here.t;
            observer.see(&self.plant, &self.modes, since, &self.here.sight);
            watches(&self.plant, &self.modes, &mut lists.watches);
            lists.armed.clear();
            let start = &self.here.sight;
            lists.armed.extend(
                lists
                    .watches
                    .iter()
                    .map(|w| w.value(&self.plant, start) > 0.0),
            );
            let overdue = self.overdue(&lists);
            if !overdue.is_empty() {
                self.happen(&overdue, &mut observer)?;
                continue;
            }
            let clock = self.clock();
            let limit = self.next_timed().min(end);
            if limit - since > 1e-9 {
                let until = limit.min(clock.limit());
                self.stretch(clock, until, &mut lists, may_settle, &mut trajectory)?;
                observer.work.evaluations += trajectory.evaluations;
                observer.work.steps += trajectory.ends.len() as u64;
                let fired = self.follow(clock, &trajectory, &mut lists, &mut observer);
                if !fired.is_empty() {
                    self.happen(&fired, &mut observer)?;
                    if may_settle && let Some(at) = observer.settled() {
                        ended = RunEnd::Settled { at };
                        break;
                    }
                    continue;
                }
                if self.here.t < until - 1e-9 {
                    ended = RunEnd::Standing { since };
                    break;
                }
                if until < limit {
                    continue;
                }
            }
            self.here.t = limit;
            if limit < end {
                self.timed(limit, &mut observer)?;
            }
        }
        observer.see(&self.plant, &self.modes, self.here.t, &self.here.sight);
        self.close(observer, ended)
    }

    /// The clock that suits the stretch from here.
    fn clock(&self) -> Clock {
        match self.lip_reached {
            // Less than the whole reach, so that the stretch is not a sliver.
            Some((i, since))
                if self.modes.siphons[i] == SiphonMode::Spilling
                    && self.here.t - since < 0.5 * LONGEST_STEP =>
            {
                Clock::Rooted { since }
            }
            _ => Clock::Plain,
        }
    }

    /// What the stretch from here begins with.
    fn beginning(&self, clock: Clock) -> Beginning {
        let at_lip = |mode: &SiphonMode| matches!(mode, SiphonMode::Spilling | SiphonMode::Priming);
        let siphons = &self.modes.siphons[..self.plant.laws.len()];
        if clock == (Clock::Rooted { since: self.here.t }) {
            Beginning::OverLip
        } else if siphons.iter().any(at_lip) {
            Beginning::Onward
        } else if siphons.contains(&SiphonMode::FullBore) {
            Beginning::FullBore
        } else {
            Beginning::Smooth
        }
    }

    /// Integrates up to `limit` [s], or a little past the first event.
    fn stretch(
        &mut self,
        clock: Clock,
        limit: f64,
        lists: &mut Lists<B>,
        stop_when_standing: bool,
        trajectory: &mut Trajectory<N, Moment<B>>,
    ) -> Result<(), SimulationError> {
        let stretch = Stretch {
            plant: &self.plant,
            modes: &self.modes,
            clock,
        };
        let since = self.here.t;
        let from = clock.reading(since);
        let beginning = self.beginning(clock);
        let start = StepEnd {
            t: from,
            dy: self.here.dy * clock.pace(from),
            ..self.here
        };
        let span = Span {
            to: clock.reading(limit),
            first_step: self.steps.first(beginning, clock, since),
            longest_step: LONGEST_STEP,
        };
        let Lists {
            watches,
            armed,
            ahead,
            ..
        } = lists;
        ahead.clone_from(armed);
        let stop = |end: &StepEnd<N, Moment<B>>| {
            let mut fired = false;
            for (watch, armed) in watches.iter().zip(ahead.iter_mut()) {
                let positive = watch.value(&self.plant, &end.sight) > 0.0;
                fired |= *armed && !positive;
                *armed |= positive;
            }
            fired
                || (stop_when_standing
                    && clock.time(end.t) - since > STANDING_TIME
                    && self.stands(&end.sight))
        };
        let Stepping {
            stepper,
            mut tolerance,
        } = self.stepping;
        if self.plant.line.is_some() {
            tolerance.relative *= LINE_SHARE;
            tolerance.absolute *= LINE_SHARE;
        }
        integrate(stepper, &stretch, span, &start, tolerance, trajectory, stop)?;
        self.steps.learn(beginning, clock, since, trajectory);
        Ok(())
    }

    /// Whether no level moves by more than 0.01 mm in 10 min.
    fn stands(&self, now: &Moment<B>) -> bool {
        let sump_area = self
            .plant
            .sump_shape
            .area(now.sump_level - self.plant.sump_floor);
        let sump_stands =
            self.modes.sump_spilling || now.sump_net.abs() <= ENDING_RATE * sump_area;
        sump_stands
            && (0..self.plant.laws.len()).all(|i| {
                let area = self.plant.storages[i].area(now.level[i]);
                let net = now.inflow[i] - now.outflow[i];
                self.modes.held(i) || net.abs() <= ENDING_RATE * area
            })
    }

    /// Walks the steps in order, looking also where a level turns inside a step.
    /// Leaves time and state at the first events, which it returns, or at the end.
    fn follow(
        &mut self,
        clock: Clock,
        trajectory: &Trajectory<N, Moment<B>>,
        lists: &mut Lists<B>,
        observer: &mut Observer<B>,
    ) -> Vec<Watch> {
        let Lists {
            watches,
            armed,
            ahead,
            turns,
            fired,
        } = lists;
        let mut turned = false;
        let mut before = Sight {
            t: clock.reading(self.here.t),
            now: self.here.sight,
        };
        for (step, end) in trajectory.ends.iter().enumerate() {
            turns.clear();
            let sight = Sight {
                t: end.t,
                now: end.sight,
            };
            self.turning_points(trajectory, step, &before, &sight, turns);
            if !turned && !turns.is_empty() {
                turned = true;
                for end in &trajectory.ends[..step] {
                    arm(&self.plant, watches, armed, &end.sight);
                }
            }
            turns.push(sight);
            for here in turns.iter() {
                fired.clear();
                // Nothing fired at any end but the last, or the stretch would have
                // stopped there: only turns make it worth looking again.
                if turned || step + 1 == trajectory.ends.len() {
                    let armed = if turned { &*armed } else { &*ahead };
                    let value = |k: &usize| watches[*k].value(&self.plant, &here.now);
                    fired.extend((0..watches.len()).filter(|k| armed[*k] && value(k) <= 0.0));
                }
                if turned {
                    arm(&self.plant, watches, armed, &here.now);
                }
                if !fired.is_empty() {
                    let watches = fired.iter().map(|&k| watches[k]);
                    let (t, events) = self.locate(clock, trajectory, step, watches, before.t, here);
                    let since = clock.time(before.t);
                    self.here.t = clock.time(t);
                    self.here.y = trajectory.state(step, t);
                    self.look();
                    let state = |t: f64| trajectory.state(step, clock.reading(t));
                    observer.fill_in(&self.plant, &self.modes, &state, since, self.here.t);
                    observer.see(&self.plant, &self.modes, self.here.t, &self.here.sight);
                    return events;
                }
                let (since, until) = (clock.time(before.t), clock.time(here.t));
                let state = |t: f64| trajectory.state(step, clock.reading(t));
                observer.fill_in(&self.plant, &self.modes, &state, since, until);
                observer.see(&self.plant, &self.modes, until, &here.now);
                before = *here;
            }
            self.here = StepEnd {
                t: clock.time(end.t),
                dy: end.dy / clock.pace(end.t),
                ..*end
            };
        }
        Vec::new()
    }

    /// Moments inside a step at which a bed's or the sump's volume turns.
    fn turning_points(
        &self,
        trajectory: &Trajectory<N, Moment<B>>,
        step: usize,
        from: &Sight<B>,
        to: &Sight<B>,
        turns: &mut Vec<Sight<B>>,
    ) {
        let n = self.plant.laws.len();
        let net = |now: &Moment<B>, k: usize| {
            if k < n {
                now.inflow[k] - now.outflow[k]
            } else {
                now.sump_net
            }
        };
        for k in 0..=n {
            let held = if k < n {
                self.modes.held(k)
            } else {
                self.modes.sump_spilling
            };
            if held || net(&from.now, k) * net(&to.now, k) >= 0.0 {
                continue;
            }
            let at = |t: f64| self.plant.moment(&trajectory.state(step, t), &self.modes);
            if let Ok(t) = brent(|t| net(&at(t), k), from.t, to.t, EVENT_WIDTH)
                && t > from.t
                && t < to.t
            {
                turns.push(Sight { t, now: at(t) });
            }
        }
        turns.sort_by(|a, b| a.t.total_cmp(&b.t));
    }

    /// Finds when the fired watches fell to zero between `from` and `to`; returns the
    /// time just past the first and all that fall together, in order of precedence.
    fn locate(
        &self,
        clock: Clock,
        trajectory: &Trajectory<N, Moment<B>>,
        step: usize,
        fired: impl Iterator<Item = Watch>,
        from: f64,
        to: &Sight<B>,
    ) -> (f64, Vec<Watch>) {
        let mut scratch = to.now;
        let width = clock.width(EVENT_WIDTH);
        let mut times: Vec<(f64, Watch)> = fired
            .map(|watch| {
                let plant = &self.plant;
                // Most watches look at a level or two; the others need every flow.
                let free = match watch.reads() {
                    Reads::Sump => Some(None),
                    Reads::Bed(i) if !plant.on_line[i] => Some(Some(i)),
                    Reads::Bed(_) | Reads::Flows => None,
                };
                let time = match free {
                    Some(bed) => {
                        let sump = trajectory.curve(step, Layout::<B>::SUMP);
                        let bed = bed.map(|i| (i, trajectory.curve(step, Layout::<B>::bed(i))));
                        let value = |t: f64| {
                            let bed = bed.as_ref().map(|(i, volume)| (*i, volume(t)));
                            plant.glance(sump(t), bed, &mut scratch);
                            watch.value(plant, &scratch)
                        };
                        past_zero(value, from, to.t, width)
                    }
                    None => {
                        let value = |t: f64| {
                            let now = plant.moment(&trajectory.state(step, t), &self.modes);
                            watch.value(plant, &now)
                        };
                        past_zero(value, from, to.t, width)
                    }
                };
                (time, watch)
            })
            .collect();
        times.sort_by(|a, b| a.0.total_cmp(&b.0));
        let first = times[0].0;
        times.retain(|(t, _)| *t <= first + TOGETHER);
        let last = times[times.len() - 1].0;
        let mut events: Vec<Watch> = times.into_iter().map(|(_, watch)| watch).collect();
        events.sort();
        (last, events)
    }

    /// Watches already past zero and still falling: a jump took them there.
    fn overdue(&self, lists: &Lists<B>) -> Vec<Watch> {
        if lists.armed.iter().all(|&a| a) {
            return Vec::new();
        }
        let soon = self
            .plant
            .moment(&(self.here.y + self.here.dy * 1e-3), &self.modes);
        lists
            .watches
            .iter()
            .zip(&lists.armed)
            .filter(|(_, armed)| !**armed)
            .filter(|(watch, _)| {
                let value = watch.value(&self.plant, &self.here.sight);
                value < -1e-9 || watch.value(&self.plant, &soon) < value
            })
            .map(|(watch, _)| *watch)
            .collect()
    }

    /// Applies events, then brings the statuses that follow from flows up to date.
    fn happen(
        &mut self,
        events: &[Watch],
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        for (k, &watch) in events.iter().enumerate() {
            if k > 0 {
                self.look();
            }
            let now = self.here.sight;
            self.apply(watch, &now, observer)?;
        }
        self.refresh_statuses(observer)
    }

    fn apply(
        &mut self,
        watch: Watch,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        let mut runs_on = false;
        match watch {
            Watch::PumpRunsDry => self.modes.pump.covered = false,
            Watch::PumpRecovers => self.modes.pump.covered = true,
            Watch::SumpSpills => self.modes.sump_spilling = true,
            Watch::SumpSettles => self.modes.sump_spilling = false,
            Watch::BedBrims(i) => self.modes.brimming[i] = true,
            Watch::BedSettles(i) => self.modes.brimming[i] = false,
            Watch::InletCovered(i) => self.modes.inlet_covered[i] = true,
            Watch::InletUncovered(i) => self.modes.inlet_covered[i] = false,
            Watch::LineSurcharges => self.modes.line_surcharged = true,
            Watch::LineRelieved => self.modes.line_surcharged = false,
            Watch::LipReached(i) | Watch::PrimingLost(i) => {
                self.modes.siphons[i] = SiphonMode::Spilling;
                if watch == Watch::LipReached(i) {
                    self.lip_reached = Some((i, self.here.t));
                    self.modes.lip_drowned[i] = false;
                }
                self.modes.primed_at[i] = f64::INFINITY;
            }
            Watch::LipLeft(i) | Watch::RunOnStarves(i) => {
                self.modes.siphons[i] = SiphonMode::Filling;
            }
            Watch::LipDrowns(i) => self.modes.lip_drowned[i] = true,
            Watch::LipFreed(i) => self.modes.lip_drowned[i] = false,
            Watch::PrimingBegins(i) => {
                self.modes.siphons[i] = SiphonMode::Priming;
                self.modes.primed_at[i] =
                    self.here.t + self.plant.laws[i].priming_time().unwrap_or(f64::INFINITY);
            }
            Watch::Breaks(i) => {
                runs_on = now.inflow[i] > self.plant.laws[i].run_on_flow(now.tail[i]);
                self.modes.siphons[i] = if runs_on {
                    SiphonMode::RunningOn
                } else {
                    SiphonMode::Filling
                };
            }
            Watch::RunOnFills(i) => self.modes.siphons[i] = SiphonMode::FullBore,
        }
        match watch.event(runs_on) {
            Some(kind) => self.note(kind, now, observer),
            None => Ok(()),
        }
    }

    /// Records an event and refuses chatter.
    fn note(
        &mut self,
        kind: EventKind,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        let t = self.here.t;
        observer.event(&self.plant, t, kind, now, &self.here.y);
        self.recent.push_back((t, kind));
        if self.recent.len() > CHATTER_COUNT
            && let Some((first, _)) = self.recent.pop_front()
            && t - first < CHATTER_WINDOW
        {
            let names: Vec<String> = self
                .recent
                .iter()
                .rev()
                .take(4)
                .rev()
                .map(|(_, kind)| kind.in_words(self.system))
                .collect();
            return Err(SimulationError::Chatter {
                time: t,
                count: CHATTER_COUNT,
                window: CHATTER_WINDOW,
                sequence: names.join(", "),
                last: kind,
            });
        }
        Ok(())
    }

    /// Works the flows out anew, and the statuses that jump with them when another
    /// part changes its mode.
    fn refresh_statuses(&mut self, observer: &mut Observer<B>) -> Result<(), SimulationError> {
        self.look();
        let now = self.here.sight;
        let events_before = observer.work.events;
        let status = if self.modes.line_surcharged {
            Watch::LineRelieved
        } else {
            Watch::LineSurcharges
        };
        if now.line.is_some() && status.value(&self.plant, &now) < 0.0 {
            self.apply(status, &now, observer)?;
        }
        if self.modes.sump_spilling && now.sump_net < 0.0 {
            self.apply(Watch::SumpSettles, &now, observer)?;
        }
        for i in 0..self.plant.laws.len() {
            if self.modes.brimming[i] && now.inflow[i] < now.outflow[i] {
                self.apply(Watch::BedSettles(i), &now, observer)?;
            }
            if self.modes.siphons[i] == SiphonMode::RunningOn {
                for watch in [Watch::RunOnStarves(i), Watch::RunOnFills(i)] {
                    if watch.value(&self.plant, &now) < 0.0 {
                        self.apply(watch, &now, observer)?;
                        break;
                    }
                }
            }
        }
        if observer.work.events > events_before {
            self.look();
        }
        Ok(())
    }

    /// The next moment known in advance.
    fn next_timed(&self) -> f64 {
        self.modes
            .primed_at
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min)
    }

    /// What happens at a moment known in advance.
    fn timed(&mut self, t: f64, observer: &mut Observer<B>) -> Result<(), SimulationError> {
        for i in 0..self.plant.laws.len() {
            if self.modes.primed_at[i] <= t + TOGETHER {
                let now = self.plant.moment(&self.here.y, &self.modes);
                self.modes.primed_at[i] = f64::INFINITY;
                self.modes.siphons[i] = SiphonMode::FullBore;
                self.note(EventKind::FullBoreBegan(i), &now, observer)?;
            }
        }
        self.refresh_statuses(observer)
    }

    fn close(self, observer: Observer<B>, ended: RunEnd) -> Result<Run, SimulationError> {
        let run = observer.finish(
            self.system,
            &self.plant,
            &self.modes,
            self.here.t,
            &self.here.y,
            ended,
        );
        if run.residual.abs() > LARGEST_RESIDUAL * run.water_at_start {
            return Err(SimulationError::WaterLost {
                time: run.duration,
                litres: 1000.0 * run.residual,
            });
        }
        Ok(run)
    }
}

/// Arms every watch that is positive at `now`.
fn arm<const B: usize>(plant: &Plant, watches: &[Watch], armed: &mut [bool], now: &Moment<B>) {
    for (watch, armed) in watches.iter().zip(armed) {
        *armed |= watch.value(plant, now) > 0.0;
    }
}

/// The earliest reading in `(from, to]`, to `width`, at which `value` is no longer
/// positive; it is positive at `from` and not at `to`.
fn past_zero(mut value: impl FnMut(f64) -> f64, from: f64, to: f64, mut width: f64) -> f64 {
    let mut t = brent(&mut value, from, to, width).unwrap_or(to);
    while t < to && value(t) > 0.0 {
        t = (t + width).min(to);
        width *= 2.0;
    }
    t
}
