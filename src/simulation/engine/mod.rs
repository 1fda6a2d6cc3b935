//! The run loop: smooth stretches joined by located events.

mod enough;
mod follow;
mod happen;
mod hold;

use enough::Alone;
pub use enough::simulate_until_told;
use follow::{Lists, TOGETHER, has_fired};

use crate::model::{CoefficientValues, Duration, System};
use crate::numerics::effort;
use crate::numerics::hermite::is_rough;
use crate::numerics::integrate::{Ended, Span, StepEnd, Stepper, Tolerance, Trajectory, integrate};
use crate::simulation::hang::Switches;
use crate::simulation::modes::Modes;
use crate::simulation::observer::{Observer, STANDING_RATE};
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::regimes::STILL;
use crate::simulation::stretch::{Beginning, Clock, LONGEST_STEP, Quiet, StepHints, Stretch};
use crate::simulation::tables::SharedTables;
use crate::simulation::timetable::Timetable;
use crate::simulation::watch::watches;
use crate::simulation::{EventKind, Run, RunEnd, Sampling, SimulationError, SiphonMode};
use crate::units::HOUR;
use nalgebra::SVector;
use std::collections::VecDeque;
use std::ops::ControlFlow;
use std::rc::Rc;

/// Slower than this everywhere, and for [`STILL`] not faster than what counts as standing,
/// a run that may settle ends `[m/s]`: a tenth of that, so that little is left to come.
const ENDING_RATE: f64 = 0.1 * STANDING_RATE;
/// No run ends for want of movement before this long after the last event `[s]`.
const STANDING_TIME: f64 = HOUR;
/// Largest share of the water that is there or has moved that rounding may create or destroy.
const LARGEST_RESIDUAL: f64 = 1e-9;

/// A full trajectory over less time than this `[s]` is held up by stability, whatever a single
/// step says of it: no water moves so fast for so long, and what creeps along swings about the
/// bound.
const CREEPS: f64 = 0.25;

/// Effort after which a run is given up, however short; a day of four beds takes a six-thousandth.
const MOST_EFFORT: f64 = 1.2e9;
/// The same for each bed and second of a long one: beds by themselves take 0.6 of it, thirty-two
/// of them 2.
const PER_BED_SECOND: f64 = 8.0;

/// Effort that a run of so many beds and this time `[s]` may take.
fn most_effort(beds: usize, time: f64) -> u64 {
    MOST_EFFORT.max(PER_BED_SECOND * beds as f64 * time) as u64
}

/// Simulates `system` with its nominal coefficients.
///
/// # Errors
/// [`SimulationError`] when the integration fails.
pub fn simulate(system: &System, sampling: Sampling) -> Result<Run, SimulationError> {
    simulate_with(system, &system.coefficients.nominal(), sampling)
}

/// Simulates `system` with the given coefficient values.
///
/// # Errors
/// [`SimulationError`] when the integration fails.
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
    /// Error that one step may make, absolute in `[m3]`.
    pub tolerance: Tolerance,
    /// Share of it where a line holds siphons back: its grade has bends, at the change from
    /// normal depth to pressure, that steps meet unlocated.
    pub on_a_line: f64,
}

impl Default for Stepping {
    fn default() -> Self {
        Self {
            stepper: Stepper::Own,
            tolerance: Tolerance {
                relative: 1e-7,
                absolute: 1e-9,
            },
            on_a_line: Self::LINE_SHARE,
        }
    }
}

impl Stepping {
    /// Share of the tolerance on a line with which its figures are as close as those of others.
    pub const LINE_SHARE: f64 = 0.03;

    /// A hundred times less exact: for what is only ranked, drawn or mapped.
    pub fn rough() -> Self {
        Self {
            stepper: Stepper::Own,
            tolerance: Tolerance {
                relative: 1e-5,
                absolute: 1e-7,
            },
            on_a_line: Self::LINE_SHARE,
        }
    }

    /// The same with bends of a line stepped over: for what ranks alone or is a first draft, and is
    /// simulated again before any of its figures is told.
    pub fn roughest() -> Self {
        Self {
            on_a_line: 1.0,
            ..Self::rough()
        }
    }
}

/// Simulates `system` with the given coefficient values and stepper.
///
/// # Errors
/// [`SimulationError`] when the integration fails.
pub fn simulate_by(
    system: &System,
    values: &CoefficientValues,
    sampling: Sampling,
    stepping: Stepping,
) -> Result<Run, SimulationError> {
    with_engine(system, values, stepping, None, Alone::whole(sampling))
}

/// The same with tables that runs of like systems share, for studies that take many.
///
/// # Errors
/// [`SimulationError`] when the integration fails.
pub fn simulate_sharing(
    system: &System,
    values: &CoefficientValues,
    sampling: Sampling,
    stepping: Stepping,
    tables: &SharedTables,
) -> Result<Run, SimulationError> {
    with_engine(
        system,
        values,
        stepping,
        Some(tables),
        Alone::whole(sampling),
    )
}

/// What to do with an engine, whatever its size.
pub(super) trait Task {
    type Answer;
    fn run<const B: usize, const N: usize>(
        self,
        engine: Engine<'_, B, N>,
    ) -> Result<Self::Answer, SimulationError>;
}

/// Builds the engine of the size that fits `system` and lets `task` use it.
pub(super) fn with_engine<T: Task>(
    system: &System,
    values: &CoefficientValues,
    stepping: Stepping,
    tables: Option<&SharedTables>,
    task: T,
) -> Result<T::Answer, SimulationError> {
    // The state lives in vectors of fixed size: three times faster than on the heap.
    macro_rules! sized {
        ($beds:literal) => {
            task.run(Engine::<$beds, { Layout::<$beds>::STATES }>::new(
                system, values, stepping, tables,
            )?)
        };
    }
    match system.beds.len() {
        0..=1 => sized!(1),
        2 => sized!(2),
        3..=4 => sized!(4),
        5..=8 => sized!(8),
        9..=32 => sized!(32),
        33..=256 => sized!(256),
        beds => Err(SimulationError::TooManyBeds { beds, most: 256 }),
    }
}

/// Looks at an engine where each smooth stretch begins, and says whether it has seen enough. Not a
/// type of its own for each that looks: the loop would be compiled once for each, and every size.
pub(super) type Pass<'p, E, const B: usize> = dyn FnMut(&E, &Observer<B>) -> ControlFlow<()> + 'p;

#[derive(Clone)]
pub(super) struct Engine<'a, const B: usize, const N: usize> {
    pub(super) system: &'a System,
    /// Shared by copies of the engine until an incident changes it.
    pub(super) plant: Rc<Plant>,
    stepping: Stepping,
    pub(super) modes: Modes<B>,
    /// Time and state now, with the rates that hold from here on.
    pub(super) here: StepEnd<N, Moment<B>>,
    pub(super) timetable: Timetable,
    pub(super) recent: VecDeque<(f64, EventKind)>,
    steps: StepHints,
    /// Which parts have switched to and fro.
    pub(super) switches: Vec<Switches>,
    /// The bed whose level came over its lip last, and when `[s]`.
    pub(super) lip_reached: Option<(usize, f64)>,
    /// Longest time without a pass `[s]`.
    pause: f64,
}

impl<'a, const B: usize, const N: usize> Engine<'a, B, N> {
    fn new(
        system: &'a System,
        values: &CoefficientValues,
        stepping: Stepping,
        tables: Option<&SharedTables>,
    ) -> Result<Self, SimulationError> {
        let timetable = Timetable::new(system)?;
        let plant = Plant::new(system, values, stepping.tolerance.relative, tables);
        let mut y = SVector::<f64, N>::zeros();
        let sump = &system.sump;
        y[Layout::<B>::SUMP] = sump.volume_at(sump.start_level);
        y[Layout::<B>::PIPES] = plant.pipes_full;
        if let (Some(law), Some(tank)) = (&plant.tank, &system.tank) {
            y[Layout::<B>::TANK] = law.law.volume(tank.start_level);
        }
        let mut modes = Modes::at_rest();
        modes.pump.covered = sump.start_level > plant.dry_level;
        for (i, bed) in system.beds.iter().enumerate() {
            let level = bed.start_level().unwrap_or_else(|| {
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
        let mut engine = Self {
            system,
            plant: Rc::new(plant),
            stepping,
            modes,
            here,
            timetable,
            recent: VecDeque::new(),
            steps: StepHints::new(),
            switches: Vec::new(),
            lip_reached: None,
            pause: f64::INFINITY,
        };
        engine.modes.float = engine.float_at_start();
        Ok(engine)
    }

    /// Goes on with steps `times` less exact than usual.
    pub(super) fn loosen(&mut self, times: f64) {
        self.stepping.tolerance.relative *= times;
        self.stepping.tolerance.absolute *= times;
    }

    /// Lets whoever watches a run look at least every so often `[s]`.
    pub(super) fn pause_every(&mut self, seconds: f64) {
        self.pause = seconds;
    }

    /// How long to run `[s]`, and whether it may end earlier.
    pub(super) fn duration(&self) -> Result<(f64, bool), SimulationError> {
        let (end, may_settle) = match self.system.duration {
            Duration::Fixed(seconds) => (seconds, false),
            Duration::UntilSettled { at_most } => (at_most, true),
        };
        if end > 0.0 && end.is_finite() {
            Ok((end, may_settle))
        } else {
            Err(SimulationError::NoTime { seconds: end })
        }
    }

    /// Brings rates and flows up to date with state and modes.
    pub(super) fn look(&mut self) {
        let StepEnd { y, dy, sight, .. } = &mut self.here;
        self.plant.rates(y, &self.modes, dy, sight);
    }

    /// Runs up to `end` `[s]`, or until `pass`, which sees the engine where each smooth stretch
    /// begins, has seen enough.
    pub(super) fn run(
        &mut self,
        sampling: Sampling,
        end: f64,
        may_settle: bool,
        pass: &mut Pass<'_, Self, B>,
    ) -> Result<Run, SimulationError> {
        let mut observer = Observer::new(self.system, &self.plant, &self.here, sampling);
        let mut lists = Lists::new();
        let mut trajectory = Trajectory::new();
        let mut ended = RunEnd::TimeReached;
        let mut quiet: Option<Quiet> = None;
        let (began, before) = (self.here.t, effort::so_far());
        let most = most_effort(self.plant.laws.len(), end - began);
        self.begin(&mut lists, &mut observer)?;
        while self.here.t < end {
            let mut calm = quiet.take().unwrap_or(Quiet::new(self.here.t));
            let since = calm.since;
            observer.see(&self.plant, &self.modes, self.here.t, &self.here.sight);
            self.list(&mut lists);
            let overdue = self.overdue(&lists);
            if !overdue.is_empty() {
                self.happen(&overdue, &mut observer)?;
                continue;
            }
            if pass(self, &observer).is_break() {
                break;
            }
            if effort::so_far() - before > most || effort::is_over() {
                return Err(SimulationError::TooMuch {
                    time: self.here.t,
                    asked: end,
                });
            }
            let clock = self.clock();
            let next = self.next_timed();
            let limit = next.min(end);
            // While anything is still to be switched, nothing has come to rest for good.
            let may_stand = may_settle && self.timetable.next().is_infinite();
            if limit - self.here.t > 1e-9 {
                let until = limit.min(clock.limit()).min(self.here.t + self.pause);
                let stopped = self.stretch(
                    clock,
                    until,
                    &mut lists,
                    may_stand,
                    &mut calm,
                    &mut trajectory,
                )?;
                observer.work.evaluations += trajectory.evaluations;
                observer.work.steps += trajectory.ends.len() as u64;
                let fired = self.follow(clock, &trajectory, &mut lists, &mut observer);
                if !fired.is_empty() {
                    if self.timetable.next() <= self.here.t + TOGETHER {
                        self.switch_by(self.here.t, &mut observer)?;
                        self.look();
                    }
                    self.happen(&fired, &mut observer)?;
                    if may_settle
                        && self.timetable.is_quiet()
                        && let Some(at) = observer.settled(self.one_cycle_tells())
                    {
                        ended = RunEnd::Settled { at };
                        break;
                    }
                    continue;
                }
                if stopped == Ended::Full {
                    quiet = Some(calm);
                    continue;
                }
                if self.here.t < until - 1e-9 {
                    ended = RunEnd::Standing { since };
                    break;
                }
                if until < limit {
                    if clock == Clock::Plain {
                        quiet = Some(calm);
                    }
                    continue;
                }
            }
            self.here.t = limit;
            if next <= limit && limit < end {
                self.timed(limit, &mut observer)?;
            }
        }
        observer.see(&self.plant, &self.modes, self.here.t, &self.here.sight);
        self.close(observer, ended)
    }

    /// Whether all cycles follow from one that ends as it began: nothing but one bed and the
    /// sump holds water. Exact steps still see three, as their cycles are told one by one.
    fn one_cycle_tells(&self) -> bool {
        is_rough(self.stepping.tolerance.relative)
            && self.plant.is_one_bed_alone()
            && self.system.pump.schedule.is_none()
    }

    /// Lets everything happen that is due at the very start, so that the first sample
    /// holds what the parts really do.
    fn begin(
        &mut self,
        lists: &mut Lists<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        self.refresh_statuses(observer)?;
        loop {
            self.list(lists);
            let overdue = self.overdue(lists);
            if overdue.is_empty() {
                return Ok(());
            }
            self.happen(&overdue, observer)?;
        }
    }

    /// Lists what is to be watched from here, and what of it has yet to happen.
    fn list(&self, lists: &mut Lists<B>) {
        watches(&self.plant, &self.modes, &mut lists.watches);
        lists.armed.clear();
        let here = &self.here.sight;
        lists.armed.extend(
            lists
                .watches
                .iter()
                .map(|w| w.value(&self.plant, here) > 0.0),
        );
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

    /// Integrates up to `limit` `[s]`, or a little past the first event.
    fn stretch(
        &mut self,
        clock: Clock,
        limit: f64,
        lists: &mut Lists<B>,
        stop_when_standing: bool,
        calm: &mut Quiet,
        trajectory: &mut Trajectory<N, Moment<B>>,
    ) -> Result<Ended, SimulationError> {
        let stretch = Stretch {
            plant: &self.plant,
            modes: &self.modes,
            clock,
        };
        let now = self.here.t;
        let from = clock.reading(now);
        let beginning = self.beginning(clock);
        let since = calm.since;
        let start = StepEnd {
            t: from,
            dy: self.here.dy * clock.pace(from),
            ..self.here
        };
        let span = Span {
            to: clock.reading(limit),
            first_step: calm
                .next_step
                .unwrap_or_else(|| self.steps.first(beginning, clock, now)),
            longest_step: calm.longest_step(now),
            stiff: calm.stiff,
        };
        let Lists {
            watches,
            armed,
            ahead,
            ..
        } = lists;
        ahead.clone_from(armed);
        let still_since = &mut calm.still_since;
        let stop = |end: &StepEnd<N, Moment<B>>| {
            let mut fired = false;
            for (watch, armed) in watches.iter().zip(ahead.iter_mut()) {
                let value = watch.value(&self.plant, &end.sight);
                fired |= has_fired(*armed, value);
                *armed |= value > 0.0;
            }
            let t = clock.time(end.t);
            if !stop_when_standing || t - since < STANDING_TIME - STILL {
                return fired;
            }
            // What creeps to a stand has still to count as standing when the run ends.
            if self.stands(&end.sight, STANDING_RATE) {
                still_since.get_or_insert(t);
            } else {
                *still_since = None;
            }
            fired
                || (t - since > STANDING_TIME
                    && still_since.is_some_and(|still| t - still >= STILL)
                    && self.stands(&end.sight, ENDING_RATE))
        };
        let Stepping {
            stepper,
            mut tolerance,
            on_a_line,
        } = self.stepping;
        if self.plant.line_reaches() {
            tolerance.relative *= on_a_line;
            tolerance.absolute *= on_a_line;
        }
        let ended = integrate(stepper, &stretch, span, &start, tolerance, trajectory, stop)?;
        if calm.next_step.is_none() {
            self.steps.learn(beginning, clock, now, trajectory);
        }
        calm.next_step = Some(trajectory.next_step);
        let passed = trajectory.ends.last().map(|end| clock.time(end.t) - now);
        let crept = ended == Ended::Full && passed.is_some_and(|passed| passed < CREEPS);
        calm.stiff = trajectory.stiff || crept;
        Ok(ended)
    }

    /// Whether no level moves faster than `rate` `[m/s]`.
    fn stands(&self, now: &Moment<B>, rate: f64) -> bool {
        let sump_area = self
            .plant
            .sump_shape
            .area(now.sump_level - self.plant.sump_floor);
        let sump_stands = self.modes.sump_spilling || now.sump_net.abs() <= rate * sump_area;
        let tank_stands = self.plant.tank.as_ref().is_none_or(|tank| {
            self.modes.tank_spilling || now.tank_net.abs() <= rate * tank.law.area(now.tank_level)
        });
        sump_stands
            && tank_stands
            && (0..self.plant.laws.len()).all(|i| {
                let area = self.plant.storages[i].area(now.level[i]);
                let net = now.inflow[i] - now.outflow[i];
                self.modes.held(i) || net.abs() <= rate * area
            })
    }

    fn close(&self, observer: Observer<B>, ended: RunEnd) -> Result<Run, SimulationError> {
        let y = &self.here.y;
        let run = observer.finish(self.system, &self.plant, &self.modes, &self.here, ended);
        // Sums of what goes round and round lose more digits than a little water at rest.
        let moved = y[Layout::<B>::PUMPED] + y[Layout::<B>::ADDED] + y[Layout::<B>::NET_LOST].abs();
        if run.residual.abs() > LARGEST_RESIDUAL * run.water_at_start.max(moved) {
            return Err(SimulationError::WaterLost {
                time: run.duration,
                litres: 1000.0 * run.residual.abs(),
            });
        }
        Ok(run)
    }
}
