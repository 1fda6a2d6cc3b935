//! The verdict fits checks and figures, and a power cut does not change how siphons start and break.

use crate::properties::{Faults, Property};
use crate::trial::Trial;
use ebbwright::assessment::{Assessment, CheckId, Status, Subject, assess};
use ebbwright::model::{Disturbance, Duration, Incident, IncidentTime, System};
use ebbwright::simulation::{Regime, Sampling, simulate};
use std::panic::{AssertUnwindSafe, catch_unwind};

pub fn fits(trial: &Trial, found: &mut Faults) {
    let (run, assessment) = (&trial.run, &trial.assessment);
    let mut told = |text: String| found.push((Property::Verdict, text));
    let worst = assessment.checks.iter().map(|check| check.status).max();
    if worst.unwrap_or(Status::Pass) != assessment.verdict {
        told(format!(
            "{:?}, but the worst check is {worst:?}",
            assessment.verdict
        ));
    }
    for check in assessment.checks.iter().filter(|check| !check.informs()) {
        let subject = check.subject.name(&trial.system);
        if check.status == Status::Pass && check.margin < -1e-9
            || check.status != Status::Pass && check.margin.is_nan()
        {
            told(format!(
                "{} of {subject} is {:?} at a margin of {}",
                check.id.key(),
                check.status,
                check.margin
            ));
        }
    }
    if assessment.verdict != Status::Pass {
        return;
    }
    for (bed, outcome) in trial.system.beds.iter().zip(&run.beds) {
        if outcome.cycles.is_empty()
            || outcome.regime != Regime::Cycles
            || outcome.overflowed > 1e-9
        {
            told(format!(
                "passes, but {} {:?} in {} cycles, {:.3e} m3 over its wall",
                bed.name,
                outcome.regime,
                outcome.cycles.len(),
                outcome.overflowed
            ));
        }
    }
    if run.sump.overflowed > 1e-9 {
        told(format!(
            "passes, but the sump spills {:.3e} m3",
            run.sump.overflowed
        ));
    }
    if run.sump.ran_dry > 0.0 {
        told(format!(
            "passes, but the pump drew air for {:.1} s",
            run.sump.ran_dry
        ));
    }
    if let (Some(tank), Some(outcome)) = (&trial.system.tank, &run.tank)
        && outcome.level.min < tank.floor + 1e-3
    {
        told(format!(
            "passes, but the tank emptied to {:.6} m",
            outcome.level.min
        ));
    }
}

/// How long the pump stands in the run that is compared [s].
const AFTER: f64 = 7200.0;

/// The same run, its pump stopped at the end and watched on.
fn cut_at_the_end(system: &System, end: f64) -> System {
    let mut cut = system.clone();
    cut.duration = Duration::Fixed(end + AFTER);
    cut.incidents
        .retain(|incident| matches!(incident.at, IncidentTime::At(at) if at < end));
    cut.incidents.push(Incident {
        at: IncidentTime::At(end),
        what: Disturbance::PumpStops,
    });
    cut
}

pub fn outlives_a_power_cut(trial: &Trial, found: &mut Faults) {
    let end = trial.run.duration;
    let cut = cut_at_the_end(&trial.system, end);
    let mut plain = cut.clone();
    plain.duration = Duration::Fixed(end);
    plain.incidents.pop();
    let judged = |system: &System| {
        let run = catch_unwind(AssertUnwindSafe(|| simulate(system, Sampling::None)));
        let run = run
            .map_err(|_| "panic".to_owned())?
            .map_err(|error| error.to_string())?;
        Ok::<Assessment, String>(assess(system, &run))
    };
    let (before, after) = match (judged(&plain), judged(&cut)) {
        (Ok(before), Ok(after)) => (before, after),
        (before, after) => {
            let errors = [before.err(), after.err()]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join(", ");
            return found.push((
                Property::Simulated,
                format!("with a power cut after {end:.1} s: {errors}"),
            ));
        }
    };
    for id in [CheckId::Starts, CheckId::Breaks] {
        let judged = |assessment: &Assessment| -> Vec<(Subject, Status)> {
            let checks = assessment.checks.iter().filter(|check| check.id == id);
            checks.map(|check| (check.subject, check.status)).collect()
        };
        for ((bed, without), (_, with)) in judged(&before).into_iter().zip(judged(&after)) {
            if with != without {
                found.push((
                    Property::PowerCut,
                    format!(
                        "{bed:?} {}: {without:?}, with a power cut at {end:.1} s {with:?}",
                        id.key()
                    ),
                ));
            }
        }
    }
}
