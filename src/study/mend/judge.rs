//! How good a system is: what fails, by how much, and what is in doubt.

use crate::assessment::{Assessment, Check, CheckId, CheckUnit, Status, Subject, Why, assess};
use crate::model::{Duration, System};
use crate::simulation::{
    Cycle, Run, Sampling, SharedTables, SimulationError, Stepping, resolve_worst, simulate,
    simulate_sharing,
};
use crate::study::window::without_incidents;
use crate::units::HOUR;

/// A simulated and judged system.
#[derive(Debug, Clone)]
pub struct Judged {
    /// Without its events.
    pub run: Run,
    /// Of that run.
    pub assessment: Assessment,
    /// With its events, where it has any and was asked about them.
    pub disturbed: Option<Disturbed>,
}

/// What the events of a scenario do: a what-if beside the ordinary run, which they never change.
#[derive(Debug, Clone)]
pub struct Disturbed {
    /// The system with its events at their moments.
    pub system: System,
    /// Events, by their places, that were put at the worst moment.
    pub placed: Vec<usize>,
    /// With them, all in one run.
    pub run: Run,
    /// Of that run.
    pub assessment: Assessment,
}

impl Disturbed {
    fn new(system: &System, sampling: Sampling) -> Result<Self, SimulationError> {
        let (system, placed) = resolve_worst(system)?;
        let run = simulate(&system, sampling)?;
        let assessment = assess(&system, &run);
        Ok(Self {
            system,
            placed,
            run,
            assessment,
        })
    }
}

/// A check that fails, of a bed or a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Failing {
    /// Which.
    pub id: CheckId,
    /// Of what.
    pub subject: Subject,
    /// How far past its limit, as a share of the limit, at most 1.
    pub gap: f64,
    /// Only with the events of the scenario.
    pub disturbed: bool,
}

impl Failing {
    /// Whether it fails of the same thing.
    pub fn is_of(&self, id: CheckId, subject: Subject) -> bool {
        (self.id, self.subject) == (id, subject)
    }
}

/// Time that tells enough of a trial at most: several cycles of a slow bed `[s]`.
const TRIAL: f64 = 4.0 * HOUR;
/// Cycles of the slowest bed that tell as much, and least time: a bed that does not run yet has to
/// fill beside one that pulses `[s]`.
const CYCLES: f64 = 8.0;
const LEAST_TRIAL: f64 = 1.5 * HOUR;

/// What a start that only luck brings about weighs beside one in doubt: more than turning one more
/// valve costs. Ours.
const A_START_BY_LUCK: f64 = 3.0;

/// Whether the siphon of this check gets less than is expected to start it: in the run another
/// bed's water helped it over.
fn is_luck(check: &Check) -> bool {
    match &check.why {
        Why::Starts(why) => check.status == Status::Warn && why.inflow < why.needs.nominal,
        _ => false,
    }
}

impl Judged {
    /// Simulates and judges `system` for as long as it says; its events beside, where it passes
    /// without.
    ///
    /// # Errors
    /// [`SimulationError`] as the simulation gives it.
    pub fn new(system: &System) -> Result<Self, SimulationError> {
        Self::stepped(system, Stepping::default(), &SharedTables::default())
    }

    /// The same with rough steps and tables of other runs: for a verdict alone.
    pub(in crate::study) fn roughly(
        system: &System,
        tables: &SharedTables,
    ) -> Result<Self, SimulationError> {
        Self::stepped(system, Stepping::rough(), tables)
    }

    fn stepped(
        system: &System,
        stepping: Stepping,
        tables: &SharedTables,
    ) -> Result<Self, SimulationError> {
        let mut judged = Self::ordinary(system, Sampling::None, stepping, tables)?;
        if judged.assessment.verdict != Status::Fail {
            judged.disturbed = Self::what_if(system, Sampling::None)?;
        }
        Ok(judged)
    }

    /// The same with its events in any case, and a recording of both runs.
    ///
    /// # Errors
    /// [`SimulationError`] as the simulation gives it.
    pub fn recorded(system: &System, sampling: Sampling) -> Result<Self, SimulationError> {
        Ok(Self {
            disturbed: Self::what_if(system, sampling)?,
            ..Self::ordinary(
                system,
                sampling,
                Stepping::default(),
                &SharedTables::default(),
            )?
        })
    }

    fn ordinary(
        system: &System,
        sampling: Sampling,
        stepping: Stepping,
        tables: &SharedTables,
    ) -> Result<Self, SimulationError> {
        let plain = without_incidents(system);
        let values = plain.coefficients.nominal();
        let run = simulate_sharing(&plain, &values, sampling, stepping, tables)?;
        Ok(Self {
            assessment: assess(&plain, &run),
            run,
            disturbed: None,
        })
    }

    fn what_if(system: &System, sampling: Sampling) -> Result<Option<Disturbed>, SimulationError> {
        let any = !system.incidents.is_empty();
        any.then(|| Disturbed::new(system, sampling)).transpose()
    }

    /// The same over a shorter time and with rough steps, for a trial.
    pub(in crate::study) fn trial(system: &System) -> Result<Self, SimulationError> {
        Self::tried(system, TRIAL)
    }

    /// A trial of what changes make of this one: as long as its own beds need to tell enough.
    pub(super) fn trial_of(&self, changed: &System) -> Result<Self, SimulationError> {
        let cycling = self.run.beds.iter().filter_map(|bed| bed.cycles.last());
        let slowest = cycling.map(Cycle::period).fold(0.0, f64::max);
        if slowest > 0.0 && changed.is_steady() {
            Self::tried(changed, (CYCLES * slowest).clamp(LEAST_TRIAL, TRIAL))
        } else {
            Self::trial(changed)
        }
    }

    fn tried(system: &System, time: f64) -> Result<Self, SimulationError> {
        let tables = SharedTables::default();
        Self::stepped(&lasting(system, time), Stepping::roughest(), &tables)
    }

    /// Whether the shared line takes more than it carries by gravity.
    pub(super) fn line_overfull(&self) -> bool {
        let mut checks = self.judging().1.checks.iter();
        checks.any(|check| {
            check.id == CheckId::DrainLine
                && check.unit == CheckUnit::CubicMetrePerSecond
                && check.margin < 0.0
        })
    }

    /// Everything that fails, by itself or only with the events.
    pub fn failing(&self) -> Vec<Failing> {
        let ordinary = self.assessment.checks.iter().map(|check| (check, false));
        let disturbed = self.made_worse().into_iter().map(|check| (check, true));
        ordinary
            .chain(disturbed)
            .filter(|(check, _)| check.status == Status::Fail)
            .map(|(check, disturbed)| Failing {
                id: check.id,
                subject: check.subject,
                gap: gap(check.margin, check.limit),
                disturbed,
            })
            .collect()
    }

    /// What the events make worse than it is without them.
    pub fn made_worse(&self) -> Vec<&Check> {
        let disturbed = self.disturbed.iter();
        disturbed
            .flat_map(|found| &found.assessment.checks)
            .filter(|check| {
                let before = self
                    .assessment
                    .check(check.id, check.subject)
                    .map(|found| found.status);
                check.status > before.unwrap_or(Status::Pass)
            })
            .collect()
    }

    /// What this check of this subject came to: with the events where they make it worse.
    pub fn check(&self, id: CheckId, subject: Subject) -> Option<&Check> {
        let here = |check: &&Check| check.id == id && check.subject == subject;
        let worse = self.made_worse().into_iter().find(here);
        worse.or_else(|| self.assessment.check(id, subject))
    }

    /// The most by which anything misses this check `[SI]`.
    pub(super) fn worst_lack(&self, id: CheckId) -> f64 {
        self.failed(id)
            .map(|check| check.margin.abs())
            .fold(0.0, f64::max)
    }

    fn failed(&self, id: CheckId) -> impl Iterator<Item = &Check> {
        let (_, found) = self.judging();
        let failing = found.checks.iter();
        failing.filter(move |check| check.id == id && check.status == Status::Fail)
    }

    /// The run that decides, and its checks: with the events where there are any.
    pub fn judging(&self) -> (&Run, &Assessment) {
        match &self.disturbed {
            Some(found) => (&found.run, &found.assessment),
            None => (&self.run, &self.assessment),
        }
    }

    /// Worst status of all checks, those that only the events make worse among them.
    pub fn verdict(&self) -> Status {
        let worse = self.made_worse().into_iter().map(|check| check.status);
        worse.fold(self.assessment.verdict, Status::max)
    }

    /// The worst that this check came to, with the events where there are any.
    pub(super) fn worst(&self, id: CheckId) -> Status {
        let checks = self.judging().1.checks.iter();
        let of_it = checks.filter(|check| check.id == id);
        of_it
            .map(|check| check.status)
            .fold(Status::Pass, Status::max)
    }

    /// How many checks only warn; a start that is not to be expected counts as two.
    pub(super) fn warnings(&self) -> usize {
        let (_, found) = self.judging();
        let warning = |check: &&Check| check.status == Status::Warn;
        let warnings = found.checks.iter().filter(warning);
        warnings.map(|check| 1 + usize::from(is_luck(check))).sum()
    }

    /// How much of start and break is in doubt: 1 of each, more where it is not to be expected.
    pub(super) fn doubts(&self) -> f64 {
        let doubtful = |check: &&Check| {
            check.status == Status::Warn && matches!(check.id, CheckId::Starts | CheckId::Breaks)
        };
        let each = self.assessment.checks.iter().filter(doubtful);
        each.map(|check| if is_luck(check) { A_START_BY_LUCK } else { 1.0 })
            .sum()
    }
}

/// `system` for at most this time `[s]`, events and all where it has any.
pub(super) fn lasting(system: &System, most: f64) -> System {
    let mut shorter = system.clone();
    if let (Duration::Fixed(time), true) = (system.duration, system.incidents.is_empty()) {
        shorter.duration = Duration::Fixed(time.min(most));
    }
    shorter
}

pub(super) fn gap(margin: f64, limit: f64) -> f64 {
    let share = margin.abs() / limit.abs();
    if share.is_finite() {
        share.min(1.0)
    } else {
        1.0
    }
}
