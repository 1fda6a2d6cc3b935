//! Wording shared by the terminal text and the page.

use crate::assessment::why::OpenHole;
use crate::assessment::{Check, CheckId, CheckUnit, Status, Subject, Verdict, open_hole};
use crate::model::{Bed, Coefficient, Duration};
use crate::report::bed_names;
use crate::report::{Figure, Report, Text, Topic, Value, said};
use crate::simulation::{Regime, RunEnd};
use crate::study::map::quantity::{MapQuantity, MapUnit};
use crate::units::UnitSystem;
use crate::units::display::capital;
pub(super) use crate::units::display::plain;

/// Fixed keys of all regimes.
pub(crate) const REGIMES: &[&str] = &[
    "cycles",
    "dribbles",
    "stalls",
    "runs-on",
    "overflows",
    "never-fills",
    "unfinished",
];

/// Fixed keys of the three-valued verdicts.
/// What a drain time read by a person has that one of the model has not.
pub(crate) const RAGGED_TAIL: &str = "A drain time read by a person includes a ragged tail of 2 to 5 s that \
     the model's sharp break leaves out (our estimate; rain-gauge siphons lose 17 to 31 % of their event \
     in tails, Cai et al. 2020): stop the watch where the pipe is no longer full.";

pub(crate) const VERDICTS: &[&str] = &["will", "uncertain", "will-not"];

/// Fixed key of a regime.
pub(crate) const fn regime_key(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "cycles",
        Regime::Dribbles => "dribbles",
        Regime::Stalls => "stalls",
        Regime::RunsOn => "runs-on",
        Regime::Overflows => "overflows",
        Regime::NeverFills => "never-fills",
        Regime::Unfinished => "unfinished",
    }
}

/// SI symbol of a quantity's unit.
pub(crate) const fn unit_symbol(quantity: MapQuantity) -> &'static str {
    match quantity.unit() {
        MapUnit::Flow => "m3/s",
        MapUnit::Length => "m",
        MapUnit::Area => "m2",
        MapUnit::Temperature => "degC",
        MapUnit::Number => "1",
    }
}

/// What a regime looks like beside the bed.
const fn regime_meaning(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "floods, starts, empties, breaks and fills again",
        Regime::Dribbles => "stands just over the lip and trickles away; the siphon never starts",
        Regime::Stalls => {
            "the siphon runs full but the level settles above the break level and stays there"
        }
        Regime::RunsOn => {
            "empties to the break level, then draws air and water together and never refills"
        }
        Regime::Overflows => "water goes over the wall",
        Regime::NeverFills => "the water never reaches the lip",
        Regime::Unfinished => "has not completed a cycle in this run",
    }
}

/// Regime and meaning in one phrase.
pub(crate) fn regime_phrase(regime: Regime) -> String {
    let does = regime_key(regime).replace('-', " ");
    format!("{does}: {}", regime_meaning(regime))
}

/// Fixed key of a three-valued verdict.
pub(crate) const fn verdict_key(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Will => "will",
        Verdict::Uncertain => "uncertain",
        Verdict::WillNot => "will-not",
    }
}

/// Checks as the headline counts them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Counts {
    /// Those that judge.
    pub(crate) judged: usize,
    /// Those that failed.
    pub(crate) failed: usize,
    /// Questions to look at: those that warn, once for each part that they belong to.
    pub(crate) points: usize,
}

impl Counts {
    pub(crate) fn of(report: &Report) -> Self {
        let checks = &report.assessment.checks;
        Self {
            judged: checks.iter().filter(|check| !check.informs()).count(),
            failed: with_status(report, Status::Fail).count(),
            points: topics(report, Status::Warn),
        }
    }
}

fn with_status<'a>(report: &Report<'a>, status: Status) -> impl Iterator<Item = &'a Check> {
    let checks = report.assessment.checks.iter();
    checks.filter(move |check| check.status == status)
}

/// One line of verdict in plain words.
pub(crate) fn headline(report: &Report) -> Text {
    let Counts {
        judged,
        failed: fails,
        points: warns,
    } = Counts::of(report);
    let say = report.say();
    let total = counted(say.count("judged", judged), "check");
    let points = said!(
        "{} to look at ({})",
        counted(say.count("points", warns), "point"),
        list(report, Status::Warn)
    );
    let does = troubled_beds(report);
    let beds = &report.run.beds;
    let at_work = |regime| matches!(regime, Regime::Cycles | Regime::Unfinished);
    let fine = beds.iter().all(|bed| at_work(bed.regime));
    let judged = match (fails, warns) {
        (0, 0) if fine => said!("It works as described: {} passed.", total),
        (0, 0) => said!("It does not do what it is for, though {} passed.", total),
        (0, _) if fine => said!("It works on paper, with {}.", points),
        (0, _) => said!("It may well not work: {}.", points),
        _ => {
            let failed = list(report, Status::Fail);
            let more = (warns > 0).then(|| said!("; beside that {}", points));
            let fails = say.count("failed", fails);
            said!(
                "Something has to change: {} of {} failed ({}){}.",
                fails,
                total,
                failed,
                more
            )
        }
    };
    judged.and(does)
}

/// Questions that checks of this status belong to.
fn topics(report: &Report, status: Status) -> usize {
    let checks = with_status(report, status).map(|check| Topic::of(check.id));
    let topics: std::collections::BTreeSet<Topic> = checks.chain(of_sump(report, status)).collect();
    topics.len()
}

/// The lowest hole in the sump's wall, where its water stands over that while the pump runs, and how bad
/// that is: the answer on the sump tells it, beside checks that pass.
pub(crate) fn drowned_hole(report: &Report) -> Option<(OpenHole, Status)> {
    let (system, run) = (report.system, &report.run.sump);
    let hole = open_hole(system).filter(|hole| hole.level < system.sump.overflow_level)?;
    let status = |id, of| Some(report.assessment.check(id, of)?.status);
    let covered = status(CheckId::PumpCover, Subject::Pump) == Some(Status::Pass);
    let plain = covered && run.overflowed == 0.0;
    let high = status(CheckId::SumpHigh, Subject::Sump).unwrap_or(Status::Warn);
    (plain && run.level.max > hole.level).then_some((hole, high.max(Status::Warn)))
}

/// The sump among the points to look at, where only its water in the run says so; what failed is
/// counted in checks, and this is none.
fn of_sump(report: &Report, status: Status) -> Option<Topic> {
    let warns = |found: &(OpenHole, Status)| status == Status::Warn && found.1 == status;
    drowned_hole(report).filter(warns).map(|_| Topic::Sump)
}

/// Beds that do not cycle, in words, those that do the same together; empty when all do.
fn troubled_beds(report: &Report) -> String {
    let mut groups: Vec<(Regime, Vec<usize>)> = Vec::new();
    for (i, outcome) in report.run.beds.iter().enumerate() {
        match groups
            .iter_mut()
            .find(|(regime, _)| *regime == outcome.regime)
        {
            Some((_, alike)) => alike.push(i),
            None => groups.push((outcome.regime, vec![i])),
        }
    }
    groups.retain(|(regime, _)| *regime != Regime::Cycles);
    let ran_dry = report.run.sump.ran_dry > 0.0;
    groups
        .iter()
        .map(|(regime, beds)| {
            let names = match (report.system.beds.len(), beds.as_slice()) {
                (1, _) => "the bed".to_owned(),
                (_, [_]) => format!("bed {}", bed_names(report.system, beds)),
                _ => bed_names(report.system, beds),
            };
            match regime {
                // What comes first in time is told first: the beds lack what the sump lacks.
                Regime::NeverFills if ran_dry => {
                    let filled = |&i: &usize| !report.run.beds[i].cycles.is_empty();
                    let fill = match beds.iter().all(filled) {
                        true => "go on filling",
                        false => "fill",
                    };
                    format!(
                        " The sump runs dry first: with the water that is in it the pump cannot \
                         {fill} {names} to the lip, the top of the standpipe."
                    )
                }
                regime if beds.len() > 1 && beds.len() < report.system.beds.len() => {
                    format!(" Of {names} each {}.", regime_sentence(*regime))
                }
                regime => format!(" {} {}.", capital(&names), regime_sentence(*regime)),
            }
        })
        .collect()
}

/// `Bed "north"`.
pub(crate) fn bed_title(bed: &Bed) -> String {
    format!("Bed \"{}\"", plain(&bed.name))
}

/// What a bed does, after its name.
pub(crate) const fn regime_sentence(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "cycles",
        Regime::Dribbles => "dribbles: its siphon never starts",
        Regime::Stalls => "stalls: its siphon runs full and never gets down to its break level",
        Regime::RunsOn => "runs on: its siphon never breaks",
        Regime::Overflows => "overflows: water goes over its wall",
        Regime::NeverFills => "never fills: water does not reach its lip, the top of the standpipe",
        Regime::Unfinished => "has not completed a cycle in this run",
    }
}

/// `1 point`, `3 points`.
fn counted(count: Figure, noun: &str) -> Text {
    let one = count.value == Value::Count(1);
    said!("{} {}{}", count, noun, if one { "" } else { "s" })
}

/// `stops: north, south; power cut`: what has this status.
fn list(report: &Report, status: Status) -> String {
    let system = report.system;
    let mut groups: Vec<(Topic, Vec<usize>)> = Vec::new();
    for check in with_status(report, status) {
        let topic = Topic::of(check.id);
        let at = match groups.iter().position(|(known, _)| *known == topic) {
            Some(at) => at,
            None => {
                groups.push((topic, Vec::new()));
                groups.len() - 1
            }
        };
        if let Subject::Bed(i) = check.subject
            && !groups[at].1.contains(&i)
        {
            groups[at].1.push(i);
        }
    }
    let told = |topic: &Topic| groups.iter().any(|(known, _)| known == topic);
    let sump = of_sump(report, status).filter(|topic| !told(topic));
    groups.extend(sump.map(|topic| (topic, Vec::new())));
    let said: Vec<String> = groups
        .into_iter()
        .map(|(topic, beds)| {
            let label = topic.label().to_lowercase();
            if beds.is_empty() {
                label
            } else {
                format!("{label}: {}", bed_names(system, &beds))
            }
        })
        .collect();
    said.join("; ")
}

/// How long was simulated and why it ended.
pub(crate) fn ending(report: &Report) -> Text {
    let say = report.say();
    let simulated = say.time("simulated", report.run.duration);
    match report.run.ended {
        RunEnd::TimeReached if matches!(report.system.duration, Duration::UntilSettled { .. }) => {
            said!(
                "Simulated {}, the longest that a run goes on by itself.",
                simulated
            )
        }
        RunEnd::TimeReached => said!("Simulated {}.", simulated),
        RunEnd::Settled { at } => said!(
            "Simulated {}; from {} on every cycle is like the one before.",
            simulated,
            say.time("ended_at", at)
        ),
        RunEnd::Standing { since } => said!(
            "Simulated {}; from {} on no level changes any more.",
            simulated,
            say.time("ended_at", since)
        ),
    }
}

/// A check's value, limit or margin in the reader's units; a limit that does
/// not exist is "none".
pub(crate) fn check_figure(value: f64, unit: CheckUnit, units: UnitSystem) -> String {
    if !value.is_finite() {
        return "none".to_owned();
    }
    match unit {
        CheckUnit::Metre => units.length(value),
        CheckUnit::Elevation => units.elevation(value),
        CheckUnit::CubicMetrePerSecond => units.flow(value),
        CheckUnit::Second => units.time(value),
        CheckUnit::Pascal => units.pressure(value),
        CheckUnit::FloorLoad => units.floor_load(value),
        CheckUnit::PerHour => units.per_hour(value),
        CheckUnit::MetrePerSecond => units.surface_loading(value),
        CheckUnit::Ratio => units.percent(value),
        CheckUnit::Stocking => units.stocking(value),
        CheckUnit::AreaFeed => units.area_feed(value),
        CheckUnit::Dissolved => units.dissolved(value),
    }
}

/// What a soft coefficient is, and its unit.
pub(crate) const fn coefficient_meaning(which: Coefficient) -> (&'static str, &'static str) {
    match which {
        Coefficient::LipWeir => ("weir at the standpipe's lip", "m^0.5/s"),
        Coefficient::LipOrifice => ("drowned lip", "no unit"),
        Coefficient::StartFroude => ("pipe Froude number at which the siphon starts", "no unit"),
        Coefficient::PrimingCarry => (
            "air carried out while priming, share of the start flow",
            "no unit",
        ),
        Coefficient::SlotOrifice => ("orifice of the bell's slots", "no unit"),
        Coefficient::CapTurn => ("loss of the turn under the cap", "no unit"),
        Coefficient::SlotDip => (
            "dip of the surface at the slots, share of their velocity head",
            "no unit",
        ),
        Coefficient::SealedVoid => ("air share up to which the down leg stays sealed", "no unit"),
        Coefficient::AirCarryVelocity => ("velocity above which the down leg carries air", "m/s"),
        Coefficient::AirCarryRatio => (
            "most air the down leg carries, share of the water",
            "no unit",
        ),
        Coefficient::LineManning => ("Manning's n of the drain line", "s/m^(1/3)"),
        Coefficient::JunctionEntry => (
            "momentum that water coming into the drain line lacks, as a share",
            "no unit",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::CheckId;
    use crate::report::sample::Sample;

    #[test]
    fn the_headline_fits_both_checks_and_beds() {
        let said = |sample: &Sample| headline(&sample.report(UnitSystem::Metric)).to_string();
        let mut sample = Sample::passing();
        assert_eq!(said(&sample), "It works as described: 2 checks passed.");
        sample.assessment.checks[0].status = Status::Warn;
        assert_eq!(
            said(&sample),
            "It works on paper, with 1 point to look at (dry gravel: \"north\")."
        );
        sample.run.beds[0].regime = Regime::RunsOn;
        let runs_on = "The bed runs on: its siphon never breaks.";
        assert_eq!(
            said(&sample),
            format!("It may well not work: 1 point to look at (dry gravel: \"north\"). {runs_on}")
        );
        sample.assessment.checks[0].status = Status::Pass;
        assert_eq!(
            said(&sample),
            format!("It does not do what it is for, though 2 checks passed. {runs_on}")
        );
        for check in &mut sample.assessment.checks {
            check.status = Status::Fail;
            check.id = CheckId::Breaks;
        }
        sample.assessment.checks[1].subject = Subject::Sump;
        assert_eq!(
            said(&sample),
            format!(
                "Something has to change: 3 of 3 checks failed \
                 (stops: \"north\"). {runs_on}"
            )
        );
    }
}
