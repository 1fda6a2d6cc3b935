//! The run loop: smooth stretches joined by located events.

use crate::model::{CoefficientValues, Duration, System};
use crate::numerics::integrate::{Rates, Span, StepEnd, Tolerance, Trajectory, integrate};
use crate::numerics::root::brent;
use crate::simulation::modes::Modes;
use crate::simulation::observer::{Observer, STANDING_RATE};
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::watch::{Watch, watches};
use crate::simulation::{EventKind, Run, RunEnd, Sampling, SimulationError, SiphonMode};
use nalgebra::SVector;
use std::collections::VecDeque;

/// Relative and absolute [m3] error a step may make.
const TOLERANCE: Tolerance = Tolerance { relative: 1e-8, absolute: 1e-10 };
/// Longest step [s]: no level may rise and fall again unseen for longer.
const LONGEST_STEP: f64 = 120.0;
/// Events closer than this happen together [s].
const TOGETHER: f64 = 1e-6;
/// Event times are bracketed to this [s].
const EVENT_WIDTH: f64 = 1e-9;
/// More events than this within [`CHATTER_WINDOW`] is chatter.
const CHATTER_COUNT: usize = 400;
const CHATTER_WINDOW: f64 = 20.0;
/// A run that may settle also ends when nothing has moved for this long [s].
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
    // The state lives in vectors of fixed size: three times faster than on the heap.
    match system.beds.len() {
        0..=1 => Engine::<1, { Layout::<1>::STATES }>::new(system, values).run(sampling),
        2 => Engine::<2, { Layout::<2>::STATES }>::new(system, values).run(sampling),
        3..=4 => Engine::<4, { Layout::<4>::STATES }>::new(system, values).run(sampling),
        5..=8 => Engine::<8, { Layout::<8>::STATES }>::new(system, values).run(sampling),
        9..=32 => Engine::<32, { Layout::<32>::STATES }>::new(system, values).run(sampling),
        33..=256 => Engine::<256, { Layout::<256>::STATES }>::new(system, values).run(sampling),
        beds => Err(SimulationError::TooManyBeds { beds, most: 256 }),
    }
}

struct Engine<'a, const B: usize, const N: usize> {
    system: &'a System,
    plant: Plant,
    modes: Modes<B>,
    t: f64,
    y: SVector<f64, N>,
    recent: VecDeque<(f64, EventKind)>,
    step_hint: f64,
}

/// The right-hand side while no mode changes.
struct Stretch<'a, const B: usize> {
    plant: &'a Plant,
    modes: &'a Modes<B>,
}

impl<const B: usize, const N: usize> Rates<N> for Stretch<'_, B> {
    fn rates(&self, _t: f64, y: &SVector<f64, N>, dy: &mut SVector<f64, N>) {
        self.plant.rates(y, self.modes, dy);
    }
}

/// A point at which a trajectory was looked at.
#[derive(Clone, Copy)]
struct Sight<const B: usize> {
    t: f64,
    now: Moment<B>,
}

impl<'a, const B: usize, const N: usize> Engine<'a, B, N> {
    fn new(system: &'a System, values: &CoefficientValues) -> Self {
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
        Self { system, plant, modes, t: 0.0, y, recent: VecDeque::new(), step_hint: 30.0 }
    }

    fn run(mut self, sampling: Sampling) -> Result<Run, SimulationError> {
        let (end, may_settle) = match self.system.duration {
            Duration::Fixed(seconds) => (seconds, false),
            Duration::UntilSettled { at_most } => (at_most, true),
        };
        if !(end > 0.0 && end.is_finite()) {
            return Err(SimulationError::NoTime { seconds: end });
        }
        let mut observer = Observer::new(self.system, &self.plant, &self.y, sampling);
        let mut list = Vec::new();
        let mut ended = RunEnd::TimeReached;
        self.refresh_statuses(&mut observer)?;
        while self.t < end {
            watches(&self.plant, &self.modes, &mut list);
            let start = self.plant.moment(&self.y, &self.modes);
            observer.see(&self.plant, &self.modes, self.t, &start, &self.y);
            let mut armed: Vec<bool> =
                list.iter().map(|w| w.value(&self.plant, &start) > 0.0).collect();
            let overdue = self.overdue(&list, &armed, &start);
            if !overdue.is_empty() {
                self.happen(&overdue, &mut observer)?;
                continue;
            }
            let limit = self.next_timed().min(end);
            if limit - self.t > 1e-9 {
                let since = self.t;
                let (trajectory, sights) = self.stretch(limit, &list, &armed, may_settle)?;
                observer.work.evaluations += trajectory.evaluations;
                observer.work.steps += trajectory.ends.len() as u64;
                let fired =
                    self.follow(&trajectory, &sights, &list, &mut armed, start, &mut observer);
                if !fired.is_empty() {
                    self.happen(&fired, &mut observer)?;
                    if may_settle && let Some(at) = observer.settled() {
                        ended = RunEnd::Settled { at };
                        break;
                    }
                    continue;
                }
                if self.t < limit - 1e-9 {
                    ended = RunEnd::Standing { since };
                    break;
                }
            }
            self.t = limit;
            if limit < end {
                self.timed(limit, &mut observer)?;
            }
        }
        let last = self.plant.moment(&self.y, &self.modes);
        observer.see(&self.plant, &self.modes, self.t, &last, &self.y);
        self.close(observer, ended)
    }

    /// Integrates up to `limit`, or a little past the first event.
    #[allow(clippy::type_complexity)]
    fn stretch(
        &self,
        limit: f64,
        list: &[Watch],
        armed: &[bool],
        stop_when_standing: bool,
    ) -> Result<(Trajectory<N>, Vec<Sight<B>>), SimulationError> {
        let stretch = Stretch { plant: &self.plant, modes: &self.modes };
        let span =
            Span { from: self.t, to: limit, first_step: self.step_hint, longest_step: LONGEST_STEP };
        let mut armed = armed.to_vec();
        let mut sights = Vec::with_capacity(8);
        let trajectory = integrate(&stretch, span, self.y, TOLERANCE, |end: &StepEnd<N>| {
            let now = self.plant.moment(&end.y, &self.modes);
            sights.push(Sight { t: end.t, now });
            let mut fired = false;
            for (watch, armed) in list.iter().zip(&mut armed) {
                let positive = watch.value(&self.plant, &now) > 0.0;
                fired |= *armed && !positive;
                *armed |= positive;
            }
            fired
                || (stop_when_standing
                    && end.t - span.from > STANDING_TIME
                    && self.stands(&now, &end.dy))
        })?;
        Ok((trajectory, sights))
    }

    /// Whether no level moves by more than 0.1 mm in 10 min.
    fn stands(&self, now: &Moment<B>, dy: &SVector<f64, N>) -> bool {
        let sump_area = self.plant.sump_shape.area(now.sump_level - self.plant.sump_floor);
        (0..self.plant.laws.len()).all(|i| {
            let area = self.plant.storages[i].area(now.level[i]);
            dy[Layout::<B>::bed(i)].abs() <= STANDING_RATE * area
        }) && dy[Layout::<B>::SUMP].abs() <= STANDING_RATE * sump_area
    }

    /// Walks the steps in order, looking also where a level turns inside a step.
    /// Leaves time and state at the first events, which it returns, or at the end.
    fn follow(
        &mut self,
        trajectory: &Trajectory<N>,
        sights: &[Sight<B>],
        list: &[Watch],
        armed: &mut [bool],
        start: Moment<B>,
        observer: &mut Observer<B>,
    ) -> Vec<Watch> {
        let mut before = Sight { t: self.t, now: start };
        let mut turns = Vec::new();
        for (end, &sight) in trajectory.ends.iter().zip(sights) {
            turns.clear();
            self.turning_points(trajectory, &before, &sight, &mut turns);
            turns.push(sight);
            for &here in &turns {
                let fired: Vec<usize> = (0..list.len())
                    .filter(|&k| armed[k] && list[k].value(&self.plant, &here.now) <= 0.0)
                    .collect();
                if !fired.is_empty() {
                    let events = self.locate(trajectory, list, &fired, before.t, here.t);
                    let t = self.t;
                    self.y = trajectory.at(t);
                    let now = self.plant.moment(&self.y, &self.modes);
                    observer.fill_in(&self.plant, &self.modes, trajectory, before.t, t);
                    observer.see(&self.plant, &self.modes, t, &now, &self.y);
                    return events;
                }
                for (k, watch) in list.iter().enumerate() {
                    armed[k] |= watch.value(&self.plant, &here.now) > 0.0;
                }
                observer.fill_in(&self.plant, &self.modes, trajectory, before.t, here.t);
                let y = if here.t == end.t { end.y } else { trajectory.at(here.t) };
                observer.see(&self.plant, &self.modes, here.t, &here.now, &y);
                before = here;
            }
            self.t = end.t;
            self.y = end.y;
        }
        Vec::new()
    }

    /// Moments inside a step at which a bed's or the sump's volume turns.
    fn turning_points(
        &self,
        trajectory: &Trajectory<N>,
        from: &Sight<B>,
        to: &Sight<B>,
        turns: &mut Vec<Sight<B>>,
    ) {
        let n = self.plant.laws.len();
        let net = |now: &Moment<B>, k: usize| {
            if k < n { now.inflow[k] - now.outflow[k] } else { now.sump_net }
        };
        for k in 0..=n {
            let held = if k < n { self.modes.held(k) } else { self.modes.sump_spilling };
            if held || net(&from.now, k) * net(&to.now, k) >= 0.0 {
                continue;
            }
            let rate =
                |t: f64| net(&self.plant.moment(&trajectory.at(t), &self.modes), k);
            if let Ok(t) = brent(rate, from.t, to.t, EVENT_WIDTH)
                && t > from.t
                && t < to.t
            {
                turns.push(Sight { t, now: self.plant.moment(&trajectory.at(t), &self.modes) });
            }
        }
        turns.sort_by(|a, b| a.t.total_cmp(&b.t));
    }

    /// Finds when the fired watches fell to zero in `(from, to]`; sets the time to
    /// just past the first and returns all that fall together, in order of precedence.
    fn locate(
        &mut self,
        trajectory: &Trajectory<N>,
        list: &[Watch],
        fired: &[usize],
        from: f64,
        to: f64,
    ) -> Vec<Watch> {
        let mut times: Vec<(f64, Watch)> = fired
            .iter()
            .map(|&k| {
                let value = |t: f64| {
                    list[k].value(&self.plant, &self.plant.moment(&trajectory.at(t), &self.modes))
                };
                (past_zero(value, from, to), list[k])
            })
            .collect();
        times.sort_by(|a, b| a.0.total_cmp(&b.0));
        let first = times[0].0;
        times.retain(|(t, _)| *t <= first + TOGETHER);
        self.t = times[times.len() - 1].0;
        let mut events: Vec<Watch> = times.into_iter().map(|(_, watch)| watch).collect();
        events.sort();
        events
    }

    /// Watches already past zero and still falling: a jump took them there.
    fn overdue(&self, list: &[Watch], armed: &[bool], start: &Moment<B>) -> Vec<Watch> {
        if armed.iter().all(|&a| a) {
            return Vec::new();
        }
        let mut dy = SVector::<f64, N>::zeros();
        self.plant.rates(&self.y, &self.modes, &mut dy);
        let soon = self.plant.moment(&(self.y + dy * 1e-3), &self.modes);
        list.iter()
            .zip(armed)
            .filter(|(_, armed)| !**armed)
            .filter(|(watch, _)| {
                let value = watch.value(&self.plant, start);
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
        for &watch in events {
            let now = self.plant.moment(&self.y, &self.modes);
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
                self.modes.primed_at[i] = f64::INFINITY;
            }
            Watch::LipLeft(i) | Watch::RunOnStarves(i) => {
                self.modes.siphons[i] = SiphonMode::Filling;
            }
            Watch::PrimingBegins(i) => {
                self.modes.siphons[i] = SiphonMode::Priming;
                self.modes.primed_at[i] =
                    self.t + self.plant.laws[i].priming_time().unwrap_or(f64::INFINITY);
            }
            Watch::Breaks(i) => {
                runs_on = now.inflow[i] > self.plant.laws[i].run_on_flow(now.tail[i]);
                self.modes.siphons[i] =
                    if runs_on { SiphonMode::RunningOn } else { SiphonMode::Filling };
            }
            Watch::RunOnFills(i) => self.modes.siphons[i] = SiphonMode::FullBore,
        }
        self.note(watch.event(runs_on), now, observer)
    }

    /// Records an event and refuses chatter.
    fn note(
        &mut self,
        kind: EventKind,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        observer.event(&self.plant, self.t, kind, now, &self.y);
        self.recent.push_back((self.t, kind));
        if self.recent.len() > CHATTER_COUNT {
            if let Some((first, _)) = self.recent.pop_front()
                && self.t - first < CHATTER_WINDOW
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
                    time: self.t,
                    count: CHATTER_COUNT,
                    window: CHATTER_WINDOW,
                    sequence: names.join(", "),
                    last: kind,
                });
            }
        }
        Ok(())
    }

    /// Statuses that jump with the flows when another part changes its mode.
    fn refresh_statuses(&mut self, observer: &mut Observer<B>) -> Result<(), SimulationError> {
        let now = self.plant.moment(&self.y, &self.modes);
        if let Some(line) = now.line
            && line.surcharged() != self.modes.line_surcharged
        {
            let watch =
                if line.surcharged() { Watch::LineSurcharges } else { Watch::LineRelieved };
            self.apply(watch, &now, observer)?;
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
        Ok(())
    }

    /// The next moment known in advance.
    fn next_timed(&self) -> f64 {
        self.modes.primed_at.iter().copied().fold(f64::INFINITY, f64::min)
    }

    /// What happens at a moment known in advance.
    fn timed(&mut self, t: f64, observer: &mut Observer<B>) -> Result<(), SimulationError> {
        for i in 0..self.plant.laws.len() {
            if self.modes.primed_at[i] <= t + TOGETHER {
                let now = self.plant.moment(&self.y, &self.modes);
                self.modes.primed_at[i] = f64::INFINITY;
                self.modes.siphons[i] = SiphonMode::FullBore;
                self.note(EventKind::FullBoreBegan(i), &now, observer)?;
            }
        }
        self.refresh_statuses(observer)
    }

    fn close(self, observer: Observer<B>, ended: RunEnd) -> Result<Run, SimulationError> {
        let run = observer.finish(self.system, &self.plant, &self.modes, self.t, &self.y, ended);
        if run.residual.abs() > LARGEST_RESIDUAL * run.water_at_start {
            return Err(SimulationError::WaterLost {
                time: run.duration,
                litres: 1000.0 * run.residual,
            });
        }
        Ok(run)
    }
}

/// The earliest time in `(from, to]`, to [`EVENT_WIDTH`], at which `value` is no
/// longer positive; it is positive at `from` and not at `to`.
fn past_zero(value: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let mut t = brent(&value, from, to, EVENT_WIDTH).unwrap_or(to);
    let mut width = EVENT_WIDTH;
    while t < to && value(t) > 0.0 {
        t = (t + width).min(to);
        width *= 2.0;
    }
    t
}
