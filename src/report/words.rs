//! Wording shared by the terminal text and the page.

use crate::assessment::{Check, CheckId, CheckUnit, Status, Verdict};
use crate::model::{Band, Bed, Coefficient, Duration};
use crate::report::Report;
use crate::simulation::{Regime, RunEnd, Spread};
use crate::units::UnitSystem;
use crate::units::display::between;
pub(super) use crate::units::display::plain;

/// The word for a status, readable without colour.
pub(super) const fn status_word(status: Status) -> &'static str {
    match status {
        Status::Pass => "PASS",
        Status::Warn => "WARN",
        Status::Fail => "FAIL",
    }
}

/// Fixed key of a regime.
pub(super) const fn regime_key(regime: Regime) -> &'static str {
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
pub(super) fn regime_phrase(regime: Regime) -> String {
    format!("{}: {}", regime_key(regime), regime_meaning(regime))
}

/// Fixed key of a three-valued verdict.
pub(super) const fn verdict_key(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Will => "will",
        Verdict::Uncertain => "uncertain",
        Verdict::WillNot => "will-not",
    }
}

/// The word for a check; one that only informs is neither passed nor failed.
pub(super) fn check_word(check: &Check) -> &'static str {
    if check.informs() {
        "INFO"
    } else {
        status_word(check.status)
    }
}

/// One line of verdict in plain words.
pub(super) fn headline(report: &Report) -> String {
    let checks = &report.assessment.checks;
    let of = |status| checks.iter().filter(move |check| check.status == status);
    let (fails, warns) = (of(Status::Fail).count(), of(Status::Warn).count());
    let judging = checks.iter().filter(|check| !check.informs());
    let total = counted(judging.count(), "check");
    let points = format!(
        "{} to look at ({})",
        counted(warns, "point"),
        list(of(Status::Warn))
    );
    let does = troubled_beds(report);
    let beds = &report.run.beds;
    let at_work = |regime| matches!(regime, Regime::Cycles | Regime::Unfinished);
    let fine = beds.iter().all(|bed| at_work(bed.regime));
    let judged = match (fails, warns) {
        (0, 0) if fine => format!("It works as described: {total} passed."),
        (0, 0) => format!("It does not do what it is for, though {total} passed."),
        (0, _) if fine => format!("It works on paper, with {points}."),
        (0, _) => format!("It may well not work: {points}."),
        _ => {
            let failed = list(of(Status::Fail));
            let more = if warns > 0 {
                format!("; beside that {points}")
            } else {
                String::new()
            };
            format!("Something has to change: {fails} of {total} failed ({failed}){more}.")
        }
    };
    format!("{judged}{does}")
}

/// Beds that do not cycle, in words; empty when all do.
fn troubled_beds(report: &Report) -> String {
    report
        .system
        .beds
        .iter()
        .zip(&report.run.beds)
        .filter(|(_, outcome)| outcome.regime != Regime::Cycles)
        .map(|(bed, outcome)| format!(" {} {}.", bed_title(bed), regime_sentence(outcome.regime)))
        .collect()
}

/// `Bed "north"`.
pub(super) fn bed_title(bed: &Bed) -> String {
    format!("Bed \"{}\"", plain(&bed.name))
}

const fn regime_sentence(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "cycles",
        Regime::Dribbles => "dribbles: its siphon never starts",
        Regime::Stalls => "stalls: its siphon runs full and never gets down to its break level",
        Regime::RunsOn => "runs on: its siphon never breaks",
        Regime::Overflows => "overflows: water goes over its wall",
        Regime::NeverFills => "never fills: water does not reach its lip",
        Regime::Unfinished => "has not completed a cycle in this run",
    }
}

/// `1 point`, `3 points`.
fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// `breaks: north, south; sump-high: sump`.
fn list<'a>(checks: impl Iterator<Item = &'a Check>) -> String {
    let mut groups: Vec<(CheckId, String)> = Vec::new();
    for check in checks {
        match groups.iter_mut().find(|(id, _)| *id == check.id) {
            Some((_, subjects)) => *subjects += &format!(", {}", plain(&check.subject)),
            None => groups.push((check.id, check_name(check))),
        }
    }
    groups
        .into_iter()
        .map(|(_, group)| group)
        .collect::<Vec<_>>()
        .join("; ")
}

/// A check and what it is about.
pub(super) fn check_name(check: &Check) -> String {
    format!("{}: {}", check.id.key(), plain(&check.subject))
}

/// How long was simulated and why it ended.
pub(super) fn ending(report: &Report) -> String {
    let units = report.units;
    let simulated = units.time(report.run.duration);
    match report.run.ended {
        RunEnd::TimeReached if matches!(report.system.duration, Duration::UntilSettled { .. }) => {
            format!("Simulated {simulated}, the longest that a run goes on by itself.")
        }
        RunEnd::TimeReached => format!("Simulated {simulated}, the time asked for."),
        RunEnd::Settled { at } => format!(
            "Simulated {simulated}; from {} on every cycle is like the one before.",
            units.time(at)
        ),
        RunEnd::Standing { since } => format!(
            "Simulated {simulated}; from {} on no level changes any more.",
            units.time(since)
        ),
    }
}

/// `9.8 L/min`, or with its extremes where they differ as printed.
pub(super) fn spread(of: Spread, show: impl Fn(f64) -> String) -> String {
    let (mean, min, max) = (show(of.mean), show(of.min), show(of.max));
    if min == max {
        mean
    } else {
        format!("{mean} ({})", between(&min, "to", &max))
    }
}

/// Mean and extremes; `None` without values.
pub(super) fn spread_of(values: impl Iterator<Item = f64>) -> Option<Spread> {
    let (mut count, mut sum) = (0.0, 0.0);
    let (mut min, mut max) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values {
        count += 1.0;
        sum += value;
        min = min.min(value);
        max = max.max(value);
    }
    (count > 0.0).then(|| Spread {
        mean: sum / count,
        min,
        max,
    })
}

/// `8.2 L/min (band 5.5 to 11.0 L/min)`.
pub(super) fn flow_band(band: Band, units: UnitSystem) -> String {
    let (low, nominal, high) = (
        units.flow(band.low),
        units.flow(band.nominal),
        units.flow(band.high),
    );
    if low == high {
        nominal
    } else {
        format!("{nominal} (band {})", between(&low, "to", &high))
    }
}

/// A check's value, limit or margin in the reader's units; a limit that does
/// not exist is "none".
pub(super) fn check_figure(value: f64, unit: CheckUnit, units: UnitSystem) -> String {
    if !value.is_finite() {
        return "none".to_owned();
    }
    match unit {
        CheckUnit::Metre => units.length(value),
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

/// Failed checks, then warnings, each in the order of the design.
pub(super) fn by_trouble(checks: &[Check]) -> Vec<&Check> {
    let mut troubled: Vec<_> = checks
        .iter()
        .filter(|check| check.status != Status::Pass)
        .collect();
    troubled.sort_by_key(|check| std::cmp::Reverse(check.status));
    troubled
}

/// What a soft coefficient is, and its unit.
pub(super) const fn coefficient_meaning(which: Coefficient) -> (&'static str, &'static str) {
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
    use crate::report::sample::Sample;

    #[test]
    fn the_headline_fits_both_checks_and_beds() {
        let said = |sample: &Sample| headline(&sample.report(UnitSystem::Metric));
        let mut sample = Sample::passing();
        assert_eq!(said(&sample), "It works as described: 2 checks passed.");
        sample.assessment.checks[0].status = Status::Warn;
        assert_eq!(
            said(&sample),
            "It works on paper, with 1 point to look at (dry-layer: north)."
        );
        sample.run.beds[0].regime = Regime::RunsOn;
        let runs_on = "Bed \"north\" runs on: its siphon never breaks.";
        assert_eq!(
            said(&sample),
            format!("It may well not work: 1 point to look at (dry-layer: north). {runs_on}")
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
        sample.assessment.checks[1].subject = "south".to_owned();
        assert_eq!(
            said(&sample),
            format!(
                "Something has to change: 3 of 3 checks failed \
                 (breaks: north, south, a bed with a long name). {runs_on}"
            )
        );
    }

    #[test]
    fn a_spread_without_values_is_none() {
        assert_eq!(spread_of(std::iter::empty()), None);
        let found = spread_of([3.0, 1.0, 2.0].into_iter());
        assert_eq!(
            found,
            Some(Spread {
                mean: 2.0,
                min: 1.0,
                max: 3.0
            })
        );
    }

    #[test]
    fn extremes_that_print_alike_are_left_out() {
        let even = Spread {
            mean: 0.2,
            min: 0.1999,
            max: 0.2001,
        };
        assert_eq!(spread(even, |v| UnitSystem::Metric.length(v)), "200 mm");
        let wide = Spread {
            mean: 0.2,
            min: 0.19,
            max: 0.21,
        };
        assert_eq!(
            spread(wide, |v| UnitSystem::Metric.length(v)),
            "200 mm (190 to 210 mm)"
        );
    }
}
