//! What may be wrong, as a document.

mod alike;
mod cure;
mod data;
mod finding;
mod keys;
mod seen;
mod words;

pub(super) use keys::KEYS;
pub use seen::still_to_be_seen;

use crate::answer::{At, Block, Column, Document, Place, Row, Section, Table, Text, said};
use crate::model::System;
use crate::study::why::{Cause, Diagnosis, Outcome, Several, Suspect};
use crate::units::UnitSystem;
use crate::units::display::capital;
use data::reading;

/// Suspects with less than this share are only listed.
const TOLD: f64 = 0.05;
/// Most suspects told of in full.
const MOST_TOLD: usize = 4;
/// Suspects with less than this share are not listed.
const LISTED: f64 = 0.01;

/// Everything there is to say about what may be wrong.
#[derive(Debug, Clone, Copy)]
pub struct WhyReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub diagnosis: &'a Diagnosis,
    /// Units of what people read.
    pub units: UnitSystem,
    /// Its place among the beds complained of after the first; `None`: it is the first.
    pub further: Option<usize>,
}

/// Everything there is to say about several beds that are complained of.
#[derive(Debug, Clone, Copy)]
pub struct WhySeveral<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub found: &'a Several,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl<'a> WhySeveral<'a> {
    /// One answer for all beds complained of; `None` where there is no complaint. `source` is
    /// the scenario's file name.
    pub fn document(&self, source: &str) -> Option<Document> {
        let each = self.found.each.iter().enumerate();
        let reports: Vec<WhyReport<'a>> = each
            .map(|(k, diagnosis)| WhyReport {
                system: self.system,
                diagnosis,
                units: self.units,
                further: k.checked_sub(1),
            })
            .collect();
        let mut whole = reports.first()?.document(source);
        if reports.len() < 2 {
            return Some(whole);
        }
        let heads: Vec<Text> = reports
            .iter()
            .map(|report| {
                let bed = report.bed_name(report.diagnosis.question.bed);
                said!("\"{}\": {}", bed, finding::headline(report))
            })
            .collect();
        let body = |report: &WhyReport| {
            let sections = report.sections().into_iter();
            sections.filter(|one| one.place == Place::Body)
        };
        let back: Vec<Section> = whole
            .sections
            .into_iter()
            .filter(|one| one.place != Place::Body)
            .collect();
        whole.headline = words::together(self).and(" ").and(Text::joined(heads, " "));
        whole.sections = vec![words::common(self)];
        whole.sections.extend(reports.iter().flat_map(body));
        whole.sections.extend(back);
        Some(whole)
    }
}

impl WhyReport<'_> {
    fn top(&self) -> At {
        let top = At::top(self.units);
        match self.further {
            Some(k) => top.item("others", k),
            None => top,
        }
    }

    /// What the quick check of `cause` said, where it was done; the last time counts.
    fn check_of(&self, cause: Cause) -> Option<bool> {
        self.diagnosis.question.check_of(cause)
    }

    /// Whether the check of the first suspect has said yes.
    fn has_found(&self) -> bool {
        let first = self.diagnosis.suspects.first();
        first.is_some_and(|one| match one.outcome {
            Outcome::Cause(cause) => self.check_of(cause) == Some(true),
            Outcome::AsBuilt => false,
        })
    }

    /// A heading or key with the bed's name, where several are complained of.
    fn keyed(&self, key: &str) -> String {
        match self.further {
            Some(k) => format!("other-{k}-{key}"),
            None => key.to_owned(),
        }
    }

    fn sections(&self) -> Vec<Section> {
        let mut sections = vec![Section::data(self.all()), self.ranking()];
        let told = self.those_above(TOLD).take(MOST_TOLD);
        // Before the sump holds its water no cause can be told, but one that a check has found.
        let dry = self.diagnosis.runs_dry();
        let found = |suspect: &Suspect| match suspect.outcome {
            Outcome::Cause(cause) => self.check_of(cause) == Some(true),
            Outcome::AsBuilt => self.diagnosis.explains_itself(),
        };
        let told: Vec<(usize, &Suspect)> =
            told.filter(|(_, suspect)| !dry || found(suspect)).collect();
        let checked = told.iter().any(|(_, one)| one.outcome != Outcome::AsBuilt);
        sections.extend(told.into_iter().map(|(k, one)| self.suspect(k, one)));
        if !dry {
            sections.push(self.next(checked));
        }
        sections
    }

    /// Whether a quick check stands anywhere to be answered: nothing is promised without.
    fn asks_a_check(&self) -> bool {
        let mut causes = self.those_above(TOLD).take(MOST_TOLD);
        let found = self.diagnosis;
        found.contradicts_itself()
            || causes.any(|(_, one)| match one.outcome {
                Outcome::Cause(cause) => !found.runs_dry() || self.check_of(cause).is_some(),
                Outcome::AsBuilt => false,
            })
    }

    /// What to try first, suspects with their evidence, what to measure next. `source` is the
    /// scenario's file name.
    pub fn document(&self, source: &str) -> Document {
        let mut sections = self.sections();
        let trust = words::trust(self).into_iter().map(Text::from).collect();
        sections.push(
            Section::new("How far to trust this")
                .at(Place::Back)
                .with(Block::List(trust)),
        );
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: None,
            headline: finding::headline(self),
            opening: said!(
                "This page ranks what may be wrong with the system described in `{}`, each cause put \
                 into the model and held against what was seen and measured.",
                source
            ),
            remarks: Vec::new(),
            sections,
        }
    }

    fn bed_name(&self, bed: usize) -> &str {
        self.system.beds.get(bed).map_or("", |bed| &bed.name)
    }

    /// Place of a suspect in the results.
    fn at(&self, suspect: usize) -> At {
        self.top().item("suspects", suspect)
    }

    /// Suspects with such a share, with at least one.
    fn those_above(&self, share: f64) -> impl Iterator<Item = (usize, &Suspect)> {
        let list = self.diagnosis.suspects.iter().enumerate();
        let stuck = self.diagnosis.question.is_stuck_open();
        list.filter(move |(k, suspect)| {
            // Nobody is sent to bring more water to a siphon that runs on.
            *k == 0 || (suspect.share >= share && !(stuck && suspect.outcome.fix_brings_water()))
        })
    }

    fn ranking(&self) -> Section {
        let mut rows: Vec<Vec<Text>> = self
            .those_above(LISTED)
            .map(|(k, suspect)| {
                let at = self.at(k);
                vec![
                    words::cause(&at, suspect).into(),
                    words::share(&at, suspect).into(),
                ]
            })
            .collect();
        rows.push(vec![
            "something this catalogue does not hold".into(),
            words::other(self).into(),
        ]);
        let mut said = vec![words::asked(self)];
        said.extend(words::facts(self));
        said.extend(words::rare(self));
        let section = Section::new("What it may be")
            .keyed(self.keyed("what-it-may-be"))
            .with(Block::Sentence(Text::joined(said, " ")));
        if self.diagnosis.runs_dry() {
            return section;
        }
        section.with(Block::Table(Table {
            columns: Column::names_and_figures(["cause", "share"]),
            rows,
        }))
    }

    fn suspect(&self, k: usize, suspect: &Suspect) -> Section {
        let at = self.at(k);
        // What is described or read explains it whatever else may be the case.
        let plain = suspect.outcome == Outcome::AsBuilt && self.diagnosis.explains_itself();
        let mut rows = Vec::new();
        if !plain {
            rows.push(Row::new("Share", words::share_and_severity(&at, suspect)));
        }
        if let Some(shows) = &suspect.shows {
            let bed = &shows.sight.beds[self.diagnosis.question.bed];
            let complaint = words::complaint(self, &at, suspect.outcome, shows);
            let shows = cure::bed_shows(&at.part("shows"), bed);
            rows.push(Row::new("It would show", said!("{}{}", shows, complaint)));
        }
        if let Outcome::Cause(cause) = suspect.outcome {
            rows.push(Row::new(
                "Quick check",
                words::check(self, &at, cause, capital(cause.entry().check)),
            ));
            rows.push(Row::new("Check's name", cause.entry().key));
        }
        rows.push(Row::new("What to do", cure::fix(&at, self, suspect)));
        let after = cure::after(&at, suspect, self.diagnosis);
        rows.extend(after.map(|text| Row::new("After that", text)));
        let section = Section::new(capital(suspect.outcome.words()))
            .keyed(self.keyed(&format!("suspect-{k}")))
            .with(Block::Rows(rows));
        if suspect.evidence.is_empty() {
            return section;
        }
        section.with(Block::Table(self.evidence(&at, suspect)))
    }

    fn evidence(&self, at: &At, suspect: &Suspect) -> Table {
        let question = &self.diagnosis.question;
        let rows = suspect.evidence.iter().enumerate().map(|(i, one)| {
            let read = &question.readings[one.reading];
            let promised = read.figure.in_sight(&self.diagnosis.promised, read.bed);
            let measured = self.top().item("measured", one.reading);
            let at = at.item("evidence", i);
            let value = |key, value| reading(&at, key, read.figure, value);
            vec![
                words::reading_name(self, read).into(),
                reading(&measured, &keys::VALUE, read.figure, read.value).into(),
                promised.map_or_else(
                    || "none".into(),
                    |promised| value(&keys::AS_PLANNED, promised).into(),
                ),
                said!(
                    "{} ({} to {})",
                    value(&keys::EXPECTED, one.expected),
                    value(&keys::LOW, one.allowed.0),
                    value(&keys::HIGH, one.allowed.1)
                ),
                words::agreement(one.off).into(),
            ]
        });
        Table {
            columns: Column::names_and_figures([
                "figure",
                "measured",
                "as described",
                "with this cause",
                "verdict",
            ]),
            rows: rows.collect(),
        }
    }

    fn next(&self, checked: bool) -> Section {
        let section = Section::new(if self.diagnosis.question.readings.is_empty() {
            "What to measure first"
        } else {
            "What to measure next"
        });
        let key = self.keyed(&section.key);
        let section = section.keyed(key);
        let next = self.diagnosis.next.iter().enumerate();
        let items: Vec<Text> = next
            .map(|(k, one)| {
                let at = self.top().item("measure_next", k);
                words::next(self, &at, one)
            })
            .collect();
        section.with(if items.is_empty() {
            Block::Sentence(said!(
                "No further measurement would tell the leading causes apart{}.",
                if checked { "; do the quick checks" } else { "" }
            ))
        } else {
            Block::List(items)
        })
    }
}
