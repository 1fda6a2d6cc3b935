//! Wording of what `why` found.

use crate::report::WhyReport;
use crate::report::words::regime_phrase;
use crate::study::why::{
    ALL_CLEAR, BedSight, Diagnosis, Figure, Outcome, Reading, Scale, Step, Suspect,
};
use crate::units::UnitSystem;

/// A value of a figure with its unit.
pub(super) fn figure_text(figure: Figure, value: f64, units: UnitSystem) -> String {
    match figure.scale() {
        Scale::Flow => units.flow(value),
        Scale::Time => units.time(value),
        Scale::Level => units.length(value),
    }
}

/// A clause with a capital at its front.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

pub(super) fn percent(share: f64) -> String {
    if share < 0.01 {
        "under 1 %".to_owned()
    } else if share > 0.99 {
        "over 99 %".to_owned()
    } else {
        format!("{:.0} %", 100.0 * share)
    }
}

fn bed_name(report: &WhyReport, bed: usize) -> String {
    report
        .system
        .beds
        .get(bed)
        .map_or_else(String::new, |bed| format!("\"{}\"", bed.name))
}

pub(super) fn headline(report: &WhyReport) -> String {
    let diagnosis = report.diagnosis;
    let Some(first) = diagnosis.suspects.first() else {
        return "Nothing in the catalogue fits this system.".to_owned();
    };
    if diagnosis.other > most(diagnosis) {
        return format!(
            "Nothing in the catalogue explains this well; something else has {}. Nearest is: {} ({}). \
             Measure again what disagrees below.",
            percent(diagnosis.other),
            first.outcome.words(),
            percent(first.share)
        );
    }
    let second = diagnosis.suspects.get(1).map_or(0.0, |s| s.share);
    let sure = match first.share {
        share if share >= 0.85 => "Almost certainly",
        share if share >= 0.55 => "Most likely",
        share if share >= 0.35 && second > 0.5 * share => "Most likely, with another close behind",
        share if share >= 0.35 => "Most likely, though far from certain",
        _ => "Too little is known to say; first among many",
    };
    let mut text = format!(
        "{sure}: {} ({}).{}",
        first.outcome.words(),
        percent(first.share),
        passed_over(diagnosis, first)
    );
    match first.outcome {
        Outcome::Cause(cause) => {
            text += &format!(" Try first: {}", cause.entry().check);
        }
        Outcome::AsBuilt => text += &format!(" Try first: {}.", fix(first, report.units)),
    }
    if diagnosis.question.readings.is_empty()
        && let Some(next) = diagnosis.next.first()
    {
        text += &format!(
            " Nothing has been measured yet; measure the {} first: {}.",
            next.figure.words(),
            next.figure.how()
        );
    }
    text
}

/// The largest share in the catalogue.
fn most(diagnosis: &Diagnosis) -> f64 {
    let shares = diagnosis.suspects.iter().map(|suspect| suspect.share);
    shares.fold(0.0, f64::max)
}

/// Why a larger share is not first, where that is so.
fn passed_over(diagnosis: &Diagnosis, first: &Suspect) -> String {
    let most = most(diagnosis);
    if most <= first.share {
        return String::new();
    }
    format!(
        " \"Nothing is broken\" has more ({}), but comes first only above {}: a check costs less \
         than a false all-clear.",
        percent(most),
        percent(ALL_CLEAR)
    )
}

/// What the ranking rests on.
pub(super) fn asked(report: &WhyReport) -> String {
    let question = &report.diagnosis.question;
    let symptom = question.symptom.map_or_else(
        || "No symptom is given; the measurements alone decide.".to_owned(),
        |symptom| {
            format!(
                "Bed {}: {} ({}).",
                bed_name(report, question.bed),
                symptom.words(),
                symptom.key()
            )
        },
    );
    let readings = match question.readings.len() {
        0 => {
            "Nothing is measured: the symptom and how common each cause is decide alone.".to_owned()
        }
        1 => "One measurement.".to_owned(),
        n => format!("{n} measurements."),
    };
    let promised = if report.diagnosis.promised_to_cycle() {
        String::new()
    } else {
        format!(
            " Mind that with its nominal coefficients the file itself promises no cycle: the bed {}.",
            regime_phrase(report.diagnosis.promised.beds[question.bed].regime)
        )
    };
    format!("{symptom} {readings}{promised}")
}

pub(super) fn share(suspect: &Suspect) -> String {
    let text = percent(suspect.share);
    match suspect.severity {
        None => text,
        Some((best, (low, high))) => format!(
            "{text}; severity {best:.2} (likely {low:.2} to {high:.2}; 0 is nothing, 1 as bad as it \
             gets)"
        ),
    }
}

/// Regime, period and peak.
pub(super) fn bed_shows(bed: &BedSight, units: UnitSystem) -> String {
    let mut text = format!(
        "{}; inflow {}",
        regime_phrase(bed.regime),
        units.flow(bed.inflow)
    );
    if let Some(period) = bed.period {
        text += &format!(", period {}", units.time(period));
    }
    if let Some(drain) = bed.drain {
        text += &format!(", drain {}", units.time(drain));
    }
    text += &format!(", highest level {}", units.length(bed.peak));
    if let Some(standing) = bed.standing {
        text += &format!(", stands at {}", units.length(standing));
    }
    text
}

/// What to do, as a clause without its full stop.
pub(super) fn fix(suspect: &Suspect, units: UnitSystem) -> String {
    let steps: Vec<String> = suspect
        .remedy
        .iter()
        .flat_map(|remedy| &remedy.steps)
        .map(|step| match step {
            Step::SetInflow(flow) => {
                format!(
                    "set the inflow to {} with bucket and stopwatch",
                    units.flow(*flow)
                )
            }
            Step::LowerOutlet(by) => format!("lower the outlet by {}", units.length(*by)),
        })
        .collect();
    match (suspect.outcome, steps.is_empty()) {
        (Outcome::Cause(cause), true) => cause.entry().fix.to_owned(),
        (Outcome::Cause(cause), false) => {
            format!("{}; then {}", cause.entry().fix, steps.join(" and "))
        }
        (Outcome::AsBuilt, false) => steps.join(" and "),
        (Outcome::AsBuilt, true) => "run the window command for what widens it".to_owned(),
    }
}

/// What the simulation shows after the fix.
pub(super) fn after(suspect: &Suspect, diagnosis: &Diagnosis, units: UnitSystem) -> Option<String> {
    let remedy = suspect.remedy.as_ref()?;
    let bed = remedy.after.beds.get(diagnosis.question.bed)?;
    Some(format!(
        "{} (simulated with the nominal coefficients)",
        bed_shows(bed, units)
    ))
}

pub(super) fn reading_name(report: &WhyReport, reading: &Reading) -> String {
    let name = reading.figure.words();
    if report.system.beds.len() > 1 && reading.figure.of_a_bed() {
        format!("{name} of {}", bed_name(report, reading.bed))
    } else {
        name.to_owned()
    }
}

pub(super) fn agreement(off: f64) -> &'static str {
    match off.abs() {
        off if off <= 1.0 => "agrees",
        off if off <= 2.0 => "agrees, just",
        off if off <= 3.0 => "hardly",
        _ => "disagrees",
    }
}

pub(super) fn next(report: &WhyReport) -> Vec<String> {
    let units = report.units;
    report
        .diagnosis
        .next
        .iter()
        .map(|next| {
            let on = if report.system.beds.len() > 1 && next.figure.of_a_bed() {
                format!(" of {}", bed_name(report, next.bed))
            } else {
                String::new()
            };
            let values: Vec<String> = next
                .expected
                .iter()
                .take(3)
                .map(|(outcome, value)| {
                    format!(
                        "{} {}",
                        outcome.key(),
                        figure_text(next.figure, *value, units)
                    )
                })
                .collect();
            format!(
                "{}{on} (--{}): {}. Expected: {}.",
                sentence(next.figure.words()),
                next.figure.key(),
                next.figure.how(),
                values.join("; ")
            )
        })
        .collect()
}

pub(super) fn trust(report: &WhyReport) -> Vec<String> {
    let mut lines = vec![
        "Shares say how the causes of the catalogue compare with each other; a wrong file, a wrong \
         reading or a cause that nobody thought of makes them wrong. How often they were right in \
         simulated trials is in DEVELOPERS.md."
            .to_owned(),
        "How common each cause is, how far it can go and how a person names what is seen are common \
         practice, no source."
            .to_owned(),
        "A quick check's answer goes back in with --check NAME=yes or NAME=no.".to_owned(),
    ];
    if report.diagnosis.question.readings.len() < 3 {
        lines.push(
            "With fewer than three measurements several causes look alike; the quick checks are \
             cheaper than guessing."
                .to_owned(),
        );
    }
    lines
}
