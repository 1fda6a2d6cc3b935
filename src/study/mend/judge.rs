//! How good a system is: what fails, by how much, and what is in doubt.

use crate::assessment::{Assessment, Check, CheckId, Status, Subject, assess};
use crate::model::{Duration, System};
use crate::simulation::{Run, Sampling, SimulationError, resolve_worst, simulate};
use crate::study::window::without_incidents;

/// A simulated and judged system.
#[derive(Debug, Clone)]
pub struct Judged {
    /// Without its events.
    pub run: Run,
    /// Of that run.
    pub assessment: Assessment,
    /// With its events, where it has any and passes without.
    pub disturbed: Option<(Run, Assessment)>,
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

/// Time that tells enough of a trial: several cycles of a slow bed `[s]`.
const TRIAL: f64 = 4.0 * 3600.0;

impl Judged {
    /// Simulates and judges `system` for as long as it says, its events beside.
    ///
    /// # Errors
    /// [`SimulationError`] as the simulation gives it.
    pub fn new(system: &System) -> Result<Self, SimulationError> {
        let plain = without_incidents(system);
        let run = simulate(&plain, Sampling::None)?;
        let assessment = assess(&plain, &run);
        let disturbed = if system.incidents.is_empty() || assessment.verdict == Status::Fail {
            None
        } else {
            let (placed, _) = resolve_worst(system)?;
            let run = simulate(&placed, Sampling::None)?;
            let found = assess(&placed, &run);
            Some((run, found))
        };
        Ok(Self {
            run,
            assessment,
            disturbed,
        })
    }

    /// The same over a shorter time, for a trial.
    pub(in crate::study) fn trial(system: &System) -> Result<Self, SimulationError> {
        let mut shorter = system.clone();
        if let (Duration::Fixed(time), true) = (system.duration, system.incidents.is_empty()) {
            shorter.duration = Duration::Fixed(time.min(TRIAL));
        }
        Self::new(&shorter)
    }

    /// Everything that fails.
    pub fn failing(&self) -> Vec<Failing> {
        let checks = self.judging().1.checks.iter();
        checks
            .filter(|check| check.status == Status::Fail)
            .map(|check| Failing {
                id: check.id,
                subject: check.subject,
                gap: gap(check.margin, check.limit),
                disturbed: self.disturbed.is_some(),
            })
            .collect()
    }

    /// By how much each bed misses this check `[SI]`.
    pub(super) fn lacking(&self, id: CheckId) -> Vec<(usize, f64)> {
        let failing = self.failed(id);
        failing
            .filter_map(|check| match check.subject {
                Subject::Bed(i) => Some((i, check.margin.abs())),
                _ => None,
            })
            .collect()
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
            Some((run, found)) => (run, found),
            None => (&self.run, &self.assessment),
        }
    }

    /// Worst status of all checks.
    pub fn verdict(&self) -> Status {
        self.judging().1.verdict
    }

    /// How many checks of start and break are in doubt.
    pub(super) fn doubts(&self) -> usize {
        let doubtful = |check: &&Check| {
            check.status == Status::Warn && matches!(check.id, CheckId::Starts | CheckId::Breaks)
        };
        self.assessment.checks.iter().filter(doubtful).count()
    }
}

fn gap(margin: f64, limit: f64) -> f64 {
    let share = margin.abs() / limit.abs();
    if share.is_finite() {
        share.min(1.0)
    } else {
        1.0
    }
}
