//! Wording of what `why` found.

use crate::answer::why::cure::{does, fix};
use crate::answer::why::data::{self, described_as, most, reading};
use crate::answer::why::{WhyReport, WhySeveral, keys};
use crate::answer::{At, Block, Column, Figure, Section, Table, Text, said};
use crate::report::RAGGED_TAIL;
use crate::study::measure::Fact;
use crate::study::why::{
    ALL_CLEAR, Cause, Complaint, Figure as Reads, NextMeasurement, Outcome, Reading, Shows, Suspect,
};
use crate::units::display::capital;

/// A cause less likely than this is not worth a check of its own.
const WORTH_A_CHECK: f64 = 0.02;
/// One less likely than this is not looked for where nothing need be broken.
const WORTH_A_LOOK: f64 = 0.10;

fn percent(share: f64) -> String {
    // Never nothing and never all: no share here is that sure.
    if share < 0.01 {
        "under 1 %".to_owned()
    } else if share > 0.99 {
        "over 99 %".to_owned()
    } else {
        format!("{:.0} %", 100.0 * share)
    }
}

/// A suspect's share.
pub(super) fn share(at: &At, suspect: &Suspect) -> Figure {
    at.shown(&keys::SHARE, suspect.share, percent(suspect.share))
}

/// What may be the case, in words.
pub(super) fn cause(at: &At, suspect: &Suspect) -> Figure {
    at.word(&keys::CAUSE, suspect.outcome.key())
        .said(suspect.outcome.words())
}

/// Share of what the catalogue does not hold.
pub(super) fn other(answer: &WhyReport) -> Figure {
    let share = answer.diagnosis.other;
    answer.top().shown(&keys::OTHER, share, percent(share))
}

/// How the shares below go together with that.
pub(super) fn rare(answer: &WhyReport) -> Option<Text> {
    let doubt = answer.diagnosis.doubt.filter(|_| !answer.has_found());
    doubt.map(|_| "The shares below take a siphon that far from the usual for rare.".into())
}

/// How what it shows goes together with what is complained of.
pub(super) fn complaint(answer: &WhyReport, at: &At, of: Outcome, shows: &Shows) -> Text {
    // What is described or read explains it already.
    let plain = of == Outcome::AsBuilt && answer.diagnosis.explains_itself();
    let told = data::complaint(at, shows.complaint);
    if plain {
        return told.said("").into();
    }
    let drawn = data::drawn_worse(at, shows);
    let told = told.said(match shows.complaint {
        Complaint::Expected => "",
        Complaint::WithBadLuck => {
            ". This with bad luck, all that is uncertain of the siphon at its worst: in the middle it \
             would not show what is complained of"
        }
        Complaint::NotShown => ". That is not what is complained of",
    });
    match drawn {
        Some(severity) => said!(
            "{}, unless it is {} of the worst that it can be",
            told,
            severity
        ),
        None => told.into(),
    }
}

pub(super) fn ranked(answer: &WhyReport) -> Text {
    let diagnosis = answer.diagnosis;
    let Some(first) = diagnosis.suspects.first() else {
        return "Nothing in the catalogue fits this system.".into();
    };
    let at = answer.at(0);
    if diagnosis.other > most(diagnosis) && !answer.has_found() {
        return said!(
            "Nothing in the catalogue explains this well; something else has {}. Nearest is: {} ({}). {}",
            other(answer),
            cause(&at, first),
            share(&at, first),
            match (disagrees(first), diagnosis.question.readings.is_empty()) {
                (true, _) => "Measure again what disagrees below.".into(),
                (false, false) =>
                    "What was read fits it, what is seen does not: look once more at what the bed does."
                        .into(),
                // Nothing was read that could fit or not.
                (false, true) => match unchecked(answer) {
                    Some((at, cause)) => said!(
                        "Try next: {}",
                        check(answer, &at, cause, cause.entry().check)
                    ),
                    None => Text::from("Measure what is named below."),
                },
            }
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
    let mut text = said!(
        "{}: {} ({}).{} {}",
        if answer.has_found() {
            "Looked at and found"
        } else {
            sure
        },
        cause(&at, first),
        share(&at, first),
        passed_over(answer, first),
        to_try(answer, first)
    );
    if diagnosis.question.readings.is_empty()
        && !diagnosis.runs_dry()
        && let Some(next) = diagnosis.next.first()
    {
        text = text.and(format!(
            " Nothing has been measured yet; measure the {} first: {}.",
            next.figure.words(),
            answer.units.words(next.figure.how())
        ));
    }
    text
}

/// Whether a reading is not what the suspect expects.
fn disagrees(suspect: &Suspect) -> bool {
    suspect.evidence.iter().any(|one| one.off.abs() > 2.0)
}

/// What to do about the first suspect: a check that was done is not asked for again.
fn to_try(answer: &WhyReport, first: &Suspect) -> Text {
    let at = answer.at(0);
    let Outcome::Cause(cause) = first.outcome else {
        let text = said!("Try first: {}.", fix(&at, answer, first));
        return text.and(likeliest(answer).map(|one| said!(" If that does not help, {}", one)));
    };
    let check = at.word(&keys::CHECK, cause.entry().check);
    match answer.check_of(cause) {
        None => said!(
            "Try first: {}",
            self::check(answer, &at, cause, cause.entry().check)
        ),
        Some(true) => said!(
            "Its check agrees{}: {}.",
            check.said(""),
            fix(&at, answer, first)
        ),
        Some(false) => match unchecked(answer) {
            Some((at, cause)) => said!(
                "Its check{} said no: it may have been missed there. Try next: {}",
                check.said(""),
                self::check(answer, &at, cause, cause.entry().check)
            ),
            None => said!(
                "Its check{} said no, and there is none left that tells much: do it once more with care, \
                 or measure what is named below.",
                check.said("")
            ),
        },
    }
}

/// The check of a cause as it is `said`, and what it is held against.
pub(super) fn check(answer: &WhyReport, at: &At, cause: Cause, said: impl Into<String>) -> Text {
    let check = at.word(&keys::CHECK, cause.entry().check).said(said);
    match described_as(answer, at, cause) {
        Some(figure) => said!("{} (as described: {})", check, figure),
        None => check.into(),
    }
}

/// The likeliest cause whose check nobody has done, with that check.
pub(super) fn likeliest(answer: &WhyReport) -> Option<Text> {
    let (at, cause) = unchecked(answer)?;
    let mut suspects = answer.diagnosis.suspects.iter();
    let own = suspects.find(|one| one.outcome == Outcome::Cause(cause))?;
    if own.share < WORTH_A_LOOK {
        return None;
    }
    Some(said!(
        "look for the likeliest fault ({}, {}): {}",
        cause.entry().words,
        share(&at, own),
        check(answer, &at, cause, cause.entry().check)
    ))
}

/// The likeliest cause whose check nobody has done, and its place.
fn unchecked<'a>(answer: &WhyReport<'a>) -> Option<(At, Cause)> {
    let mut open = answer.those_above(WORTH_A_CHECK);
    open.find_map(|(k, suspect)| match suspect.outcome {
        Outcome::Cause(cause) if answer.check_of(cause).is_none() => Some((answer.at(k), cause)),
        _ => None,
    })
}

/// Why a larger share is not first, where that is so.
fn passed_over(answer: &WhyReport, first: &Suspect) -> Option<Text> {
    let (at, most) = (answer.top(), most(answer.diagnosis));
    let larger = at.shown(&keys::LARGEST, most, percent(most));
    if most > first.share && answer.has_found() {
        return Some(said!(
            " By itself another is likelier ({}), but nobody has found that.",
            larger
        ));
    }
    (most > first.share && !answer.diagnosis.runs_dry()).then(|| {
        said!(
            " \"Nothing is broken\" has more ({}), but comes first only above {}: a check costs less \
             than a false all-clear.",
            larger,
            at.shown(&keys::ALL_CLEAR_SHARE, ALL_CLEAR, percent(ALL_CLEAR))
        )
    })
}

/// What the ranking rests on.
pub(super) fn asked(answer: &WhyReport) -> Text {
    let question = &answer.diagnosis.question;
    let symptom = question.symptom.map_or_else(
        || "No symptom is given; the measurements alone decide.".to_owned(),
        |symptom| {
            format!(
                "Bed \"{}\": {}.",
                answer.bed_name(question.bed),
                symptom.words()
            )
        },
    );
    let readings = match question.readings.len() {
        0 if question.answers.is_empty() => {
            "Nothing is measured: the symptom and how common each cause is decide alone.".into()
        }
        0 => "Nothing is measured: the symptom, the checks that were done and how common each cause is \
              decide."
            .into(),
        1 => "One measurement.".into(),
        n => said!(
            "{} measurements.",
            answer.top().count(&keys::READING_COUNT, n)
        ),
    };
    let promised = (!answer.diagnosis.promised_to_cycle()).then(|| {
        said!(
            " Mind: as it is described it would not cycle even with nothing broken: the bed {}.",
            does(&answer.diagnosis.promised.beds[question.bed])
        )
    });
    said!("{} {}{}", symptom, readings, promised)
}

/// What the facts say of the file, where there are any.
pub(super) fn facts(answer: &WhyReport) -> Option<Text> {
    let found = answer.diagnosis;
    let facts = &found.question.facts;
    let told = |(k, fact): (usize, &Fact)| {
        let at = answer.top().item("facts", k);
        said!(
            "\"{}\" {} {}",
            answer.bed_name(fact.bed),
            fact.kind.words(),
            at.figure(&keys::FACT_FLOW, fact.flow)
        )
    };
    if facts.is_empty() {
        return None;
    }
    let all = facts.iter().enumerate().map(told);
    let wrong = facts.iter().enumerate();
    let wrong = wrong.filter(|(k, _)| found.cut.calls_wrong(*k));
    let wrong: Vec<Text> = wrong.map(told).collect();
    let with = if wrong.is_empty() {
        "the system as described explains all of it.".into()
    } else {
        said!(
            "the system as described does not explain {}: that reading is wrong, or what is broken \
             moves it.",
            Text::joined(wrong, ", ")
        )
    };
    Some(said!("Told: {}; {}", Text::joined(all, "; "), with))
}

/// Whether one cause is likelier than one each.
pub(super) fn together(answer: &WhySeveral) -> Text {
    let at = At::top(answer.units);
    let found = answer.found;
    let beds = at.count(&keys::COMPLAINED, found.each.len());
    match found.common.first() {
        Some((cause, share)) if *share > found.separate => {
            let at = at.item("one_cause_for_all", 0);
            said!(
                "One cause for all {} beds is likeliest: {} ({}).",
                beds,
                at.word(&keys::COMMON_CAUSE, cause.entry().key)
                    .said(cause.entry().words),
                at.shown(&keys::COMMON_SHARE, *share, percent(*share))
            )
        }
        _ => said!(
            "A cause of its own for each of the {} beds is likeliest ({}).",
            beds,
            at.shown(&keys::SEPARATE, found.separate, percent(found.separate))
        ),
    }
}

/// The causes that would explain all beds at once.
pub(super) fn common(answer: &WhySeveral) -> Section {
    let top = At::top(answer.units);
    let found = answer.found;
    let mut rows: Vec<Vec<Text>> = Vec::new();
    for (k, (cause, share)) in found.common.iter().enumerate() {
        let at = top.item("one_cause_for_all", k);
        rows.push(vec![
            at.word(&keys::COMMON_CAUSE, cause.entry().key)
                .said(cause.entry().words)
                .into(),
            at.shown(&keys::COMMON_SHARE, *share, percent(*share))
                .into(),
        ]);
    }
    let shown = found.common.iter().filter(|one| one.1 >= 0.01).count();
    let hidden: Vec<Figure> = rows
        .drain(shown.min(rows.len())..)
        .flatten()
        .flat_map(|text| text.figures().cloned().collect::<Vec<_>>())
        .collect();
    rows.push(vec![
        "a cause of its own on each bed, or none".into(),
        top.shown(&keys::SEPARATE, found.separate, percent(found.separate))
            .into(),
    ]);
    Section::new("One cause for all, or one each")
        .with(Block::Table(Table {
            columns: Column::names_and_figures(["cause", "share"]),
            rows,
        }))
        .with(Block::Data(hidden))
}

/// A suspect's share and severity.
pub(super) fn share_and_severity(at: &At, suspect: &Suspect) -> Text {
    let share = share(at, suspect);
    let Some((best, (low, high))) = suspect.severity else {
        return share.into();
    };
    let at = at.part("severity");
    let of = |key, value| at.shown(key, value, format!("{:.0} %", 100.0 * value));
    let [best, least, most] = [
        of(&keys::BEST, best),
        of(&keys::LEAST, low),
        of(&keys::MOST, high),
    ];
    if high - low > TELLS_NOTHING {
        // The figures stay in the results.
        let [best, least, most] = [best, least, most].map(|one| one.said(""));
        return said!(
            "{}; if so, how bad it is cannot be told from this{}{}{}",
            share,
            best,
            least,
            most
        );
    }
    said!(
        "{}; if so, how bad: {} of the worst that it can be (likely {} to {})",
        share,
        best,
        least,
        most
    )
}

/// A severity that may lie anywhere in so much of its range is not known `[-]`.
const TELLS_NOTHING: f64 = 0.5;

/// Which bed, where there are several and the figure is of one.
fn on(answer: &WhyReport, figure: Reads, bed: usize) -> String {
    if answer.system.beds.len() > 1 && figure.of_a_bed() {
        format!(" of \"{}\"", answer.bed_name(bed))
    } else {
        String::new()
    }
}

pub(super) fn reading_name(answer: &WhyReport, reading: &Reading) -> String {
    let on = on(answer, reading.figure, reading.bed);
    format!("{}{on}", reading.figure.words())
}

pub(super) fn agreement(off: f64) -> &'static str {
    // In deviations: two of three readings are off by no more than one, 95 of 100 by two.
    match off.abs() {
        off if off <= 1.0 => "agrees",
        off if off <= 2.0 => "agrees, just",
        off if off <= 3.0 => "hardly",
        _ => "disagrees",
    }
}

/// One measurement to make next.
pub(super) fn next(answer: &WhyReport, at: &At, next: &NextMeasurement) -> Text {
    // Causes that expect the same stand together: what differs is what tells.
    let mut groups: Vec<(Figure, Vec<Figure>)> = Vec::new();
    for (i, (outcome, value)) in next.expected.iter().enumerate() {
        let at = at.item("expected", i);
        let value = reading(&at, &keys::EXPECTED_VALUE, next.figure, *value);
        let key = outcome.key();
        let named = at.word(&keys::EXPECTED_BY, key).said(key.replace('-', " "));
        match groups.iter_mut().find(|one| one.0.shown == value.shown) {
            Some((_, names)) => names.push(named),
            None => groups.push((value, vec![named])),
        }
    }
    let values = groups.into_iter().map(|(value, names)| {
        let names = names.into_iter().map(Text::from);
        said!(
            "{} {}",
            Text::joined(names.collect::<Vec<_>>(), ", "),
            value
        )
    });
    said!(
        "{}{} (--{}): {}. Expected: {}.",
        capital(next.figure.words()),
        on(answer, next.figure, next.bed),
        next.figure.key(),
        answer.units.words(next.figure.how()),
        Text::joined(values, "; ")
    )
}

pub(super) fn trust(answer: &WhyReport) -> Vec<String> {
    let mut lines = vec![
        "Shares say how the causes of the catalogue compare with each other; a wrong size, a wrong \
         reading or a cause that nobody thought of makes them wrong. How often they were right in \
         simulated trials stands in DEVELOPERS.md of the sources."
            .to_owned(),
        "How common each cause is, how far it can go and how a person names what is seen are common \
         practice, no source."
            .to_owned(),
    ];
    let checks = answer.asks_a_check();
    if checks {
        lines.push(
            "A quick check's answer goes back in: on the page by its buttons, else with --check NAME=yes or \
             NAME=no."
                .to_owned(),
        );
    }
    let readings = &answer.diagnosis.question.readings;
    if readings.iter().any(|read| read.figure == Reads::DrainTime) {
        lines.push(RAGGED_TAIL.to_owned());
    }
    if readings.len() < 3 && checks {
        lines.push(
            "With fewer than three measurements several causes look alike; the quick checks are \
             cheaper than guessing."
                .to_owned(),
        );
    }
    lines
}
