//! What measurements tell, as a document.

mod data;
mod keys;
mod owner;
mod paste;
mod words;

pub(super) use keys::KEYS;
pub use paste::{Paste, PasteLine, fit_changes, paste};

use crate::answer::{At, Block, Column, Document, Figure, Place, Section, Table, Text, said};
use crate::model::System;
use crate::report::RAGGED_TAIL;
use crate::study::fit::{Estimate, Fit, Known};
use crate::study::measure::Measurable;
use crate::units::UnitSystem;
use data::reading;
use paste::name;

/// Everything there is to say about a fit.
#[derive(Debug, Clone, Copy)]
pub struct FitReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub fit: &'a Fit,
    /// Speed that the scenario's `[pump]` has now.
    pub speed: f64,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl FitReport<'_> {
    /// Estimates, comparison, what is open and what to measure next. `source` is the
    /// scenario's file name.
    pub fn document(&self, source: &str) -> Document {
        let mut sections = vec![Section::data(self.all())];
        sections.extend(self.windows());
        sections.extend(self.cuts());
        sections.push(
            Section::new("What the measurements say")
                .with(Block::Table(self.estimates()))
                .with(Block::List(self.remarks())),
        );
        if !self.fit.compared.is_empty() {
            sections.push(
                Section::new("Measured against simulated")
                    .with(Block::Table(self.comparison()))
                    .with(Block::Sentence(self.agreement().into())),
            );
            if self.has_drain_time() {
                let tail = Block::Sentence(RAGGED_TAIL.into());
                sections.push(Section::new("Drain times").with(tail));
            }
            sections
                .push(Section::new("Which measurement fixed what").with(Block::List(self.fixed())));
        }
        let mut advice = self.attempts();
        advice.extend(self.advice());
        sections.push(Section::new("What to measure next").with(Block::List(advice)));
        sections.push(self.lines());
        let trust = words::trust(self.fit, &At::top(self.units));
        sections.push(
            Section::new("How far to trust this")
                .at(Place::Back)
                .with(Block::List(trust)),
        );
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: None,
            headline: self.headline(),
            opening: said!(
                "This page says what measurements on the running system tell about the figures that \
                 `{}` could only assume.",
                source
            ),
            remarks: Vec::new(),
            sections,
        }
    }

    /// The lines to put into the scenario.
    pub fn paste(&self) -> Paste {
        paste(self.system, self.fit, self.speed)
    }

    fn has_drain_time(&self) -> bool {
        let mut figures = self.fit.compared.iter();
        figures.any(|one| one.measurement.what == Measurable::Drain)
    }

    fn bed(&self, i: usize) -> &str {
        self.system.beds.get(i).map_or("?", |bed| &bed.name)
    }

    /// Place of an unknown in the results.
    fn at(&self, unknown: usize) -> At {
        At::top(self.units).item("unknowns", unknown)
    }

    fn name(&self, at: &At, one: &Estimate) -> Figure {
        at.word(&keys::NAME, name(self.system, one.prior.unknown))
    }

    /// One end of the credible band, or its middle.
    fn credible(&self, at: &At, one: &Estimate, place: usize, figure: f64) -> Figure {
        at.named(&keys::CREDIBLE, &place.to_string(), figure)
            .said(self.shown(one, figure))
    }

    fn estimates(&self) -> Table {
        let head = [
            "unknown",
            "scenario",
            "fitted",
            "2 in 3 within",
            "how known",
        ];
        let rows = self.fit.estimates.iter().enumerate().map(|(i, one)| {
            let at = self.at(i);
            let estimate = |key, value| self.estimate(&at, key, one, value);
            let nominal = one.prior.scale.band().nominal;
            vec![
                self.name(&at, one).into(),
                self.credible(&at, one, 1, nominal).into(),
                estimate(&keys::VALUE, one.value()).into(),
                said!(
                    "{} to {}",
                    estimate(&keys::LOW, one.at(-1.0)),
                    estimate(&keys::HIGH, one.at(1.0))
                ),
                match one.known() {
                    Known::Determined => "determined",
                    Known::Narrowed => "narrowed",
                    Known::Cut => "cut",
                    Known::Open => "not told",
                }
                .into(),
            ]
        });
        Table {
            columns: Column::names_and_figures(head),
            rows: rows.collect(),
        }
    }

    fn comparison(&self) -> Table {
        let head = ["measured", "value", "+-", "scenario", "fitted", "off by"];
        let rows = self.fit.compared.iter().enumerate().map(|(i, one)| {
            let at = At::top(self.units).item("measurements", i);
            let measured = &one.measurement;
            let of = |key, value| Text::from(reading(&at, key, measured.what, value));
            let pull = format!("{:+.1} +-", one.pull + 0.0);
            vec![
                self.figure_name(one).into(),
                of(&keys::MEASURED, measured.value),
                of(&keys::SIGMA, measured.sigma),
                one.before
                    .map_or_else(|_| "none".into(), |value| of(&keys::SCENARIO, value)),
                of(&keys::FITTED, one.after),
                at.shown(&keys::PULL, one.pull, pull).into(),
            ]
        });
        let rows = rows.collect();
        let columns = Column::names_and_figures(head);
        Table { columns, rows }
    }

    fn lines(&self) -> Section {
        let paste = self.paste();
        let mut section = Section::new("For your scenario");
        let code = |text: String| Block::Code("toml", text);
        if !paste.coefficients.is_empty() {
            let where_to = "Put this into the scenario; where it has [coefficients] already, in \
                            place of the lines of the same name:";
            section = section
                .with(Block::Sentence(where_to.into()))
                .with(code(paste.coefficients));
        }
        for (i, other) in paste.others.into_iter().enumerate() {
            let at = At::top(self.units).item("lines", i);
            let place = said!("In {}:", at.word(&keys::PLACE, other.place));
            section = section.with(Block::Sentence(place)).with(code(other.line));
        }
        section
    }
}
