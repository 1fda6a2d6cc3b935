//! The protocol as a sheet to print.

mod keys;
mod record;
mod words;

pub(super) use keys::KEYS;
pub use record::readings_template;

use crate::answer::{At, Block, Column, Document, Figure, Place, Row, Section, Table, Text, said};
use crate::model::System;
use crate::report::verdict_key;
use crate::study::protocol::{PLACES_TRIED, Protocol, Step, StepKind, TALLER_BY};
use crate::units::UnitSystem;

/// A line to write on.
const BLANK: &str = "________";

/// The sheet for one bed.
#[derive(Debug, Clone, Copy)]
pub struct MeasureAnswer<'a> {
    /// The system.
    pub system: &'a System,
    /// The protocol.
    pub protocol: &'a Protocol,
    /// The file to fill in.
    pub readings: &'a str,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl MeasureAnswer<'_> {
    /// The sheet; `source` is the scenario's file name.
    pub fn document(&self, source: &str) -> Document {
        let mut sections = vec![Section::data(self.all()), self.before()];
        let steps = self.protocol.steps.iter().enumerate();
        sections.extend(steps.map(|(n, step)| self.step(n, step)));
        sections.push(
            Section::new("The readings as a file")
                .with(Block::Sentence(said!(
                    "Take the # off the lines you have, write your figures in, and give the file to `ebbwright \
                     fit {} --measured FILE`; `why` takes it too. --readings FILE writes it.",
                    source
                )))
                .with(Block::Code("toml", self.readings.to_owned())),
        );
        let trust = words::TRUST.into_iter().map(Text::from).collect();
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
                "One afternoon with a bucket on \"{}\" of `{}`: what to do, what to expect, and what \
                 each step tells.",
                self.name(),
                source
            ),
            remarks: Vec::new(),
            sections,
        }
    }

    fn name(&self) -> &str {
        let bed = self.system.beds.get(self.protocol.bed);
        bed.map_or("?", |bed| &bed.name)
    }

    fn top(&self) -> At {
        At::top(self.units)
    }

    /// Minutes for all steps, or for those that the shortest useful round needs: up to tens, for
    /// what a step takes is an estimate.
    fn minutes(&self, needed: bool) -> f64 {
        let steps = self.protocol.steps.iter();
        let some = steps.filter(|step| !needed || step.kind.is_needed());
        let seconds: f64 = some.map(|step| step.takes).sum();
        (seconds / 600.0).ceil() * 10.0
    }

    fn length_of_rounds(&self) -> [Figure; 2] {
        let of = |key, minutes: f64| self.top().shown(key, minutes, format!("{minutes:.0}"));
        [
            of(&keys::SHORTEST, self.minutes(true)),
            of(&keys::ALL_STEPS, self.minutes(false)),
        ]
    }

    fn headline(&self) -> Text {
        let mut steps = self.protocol.steps.iter().enumerate();
        let doubt = steps.find_map(|(n, step)| {
            let (verdict, sure) = step.settles?;
            let at = self.top().item("steps", n);
            words::doubt(verdict, sure).then(|| {
                said!(
                    " Step {} comes first if time is short: whether it {} at its own inflow is in \
                     doubt, and it would settle that in {} of {} cases.",
                    n.to_string(),
                    if step.kind == StepKind::Start {
                        "starts"
                    } else {
                        "breaks"
                    },
                    at.count(&keys::SETTLES, sure),
                    at.count(&keys::PLACES, PLACES_TRIED)
                )
            })
        });
        let [shortest, all] = self.length_of_rounds();
        said!(
            "Seven steps on \"{}\"; steps 0, 1, 2, 4 and 5 are the shortest useful round, some {} \
             minutes, all seven some {}. Stop after any.{}",
            self.name(),
            shortest,
            all,
            doubt
        )
    }

    fn before(&self) -> Section {
        let top = self.top();
        let protocol = self.protocol;
        Section::new("Before you begin").with(Block::List(vec![
            said!(
                "Tools: a bucket filled to {} and weighed once, a watch with tenths, a rule, a clear tube in \
                 the guard that shows the bed's level, the valve of the inlet.",
                top.figure(&keys::BUCKET_HOLDS, self.protocol.bucket)
            ),
            said!(
                "Put two marks on the tube, {} and {} above the bed's floor. The lip is at {}; expect \
                 the siphon to break at {}.",
                top.figure(&keys::LOW_MARK, protocol.marks.0),
                top.figure(&keys::HIGH_MARK, protocol.marks.1),
                top.figure(&keys::LIP, protocol.lip),
                top.figure(&keys::BREAKS_AT, protocol.breaks_at)
            ),
            "Write the sizes down once: bore, lip, bell, slots, and how far the outlet lies below the \
             bed. Stay with the pump while you throttle it; pumps must not run dry, beds not over. Keep \
             mains leads and plugs out of reach of splashes; local codes decide what is allowed near \
             water."
                .into(),
        ]))
    }

    fn step(&self, n: usize, step: &Step) -> Section {
        let at = self.top().item("steps", n);
        let mut rows = vec![Row::new("Do", words::what_to_do(step.kind, &self.top()))];
        rows.extend(
            self.expected(&at, step)
                .map(|text| Row::new("Expect", text)),
        );
        let told: Vec<Text> = (step.tells.iter().enumerate())
            .map(|(k, tells)| {
                let at = at.item("tells", k);
                words::tells(tells, &at)
            })
            .collect();
        rows.push(Row::new("Tells", Text::joined(told, "; ")));
        if let Some((verdict, sure)) = step.settles {
            rows.push(Row::new(
                "For this bed",
                words::settles(step.kind, verdict, sure, &at),
            ));
        }
        if let Some(gives) = step.short_of {
            rows.push(Row::new(
                "Mind",
                said!(
                    "the pump gives this bed about {} at most, with the other valves shut; the edge may \
                     lie above that. Then write down the largest flow and what it did: that is a fact too.",
                    at.figure(&keys::PUMP_GIVES, gives)
                ),
            ));
        }
        let title = format!("Step {n}: {}", words::title(step.kind));
        let mut section = Section::new(title)
            .keyed(format!("step-{n}"))
            .with(Block::Rows(rows));
        section = section.with(match step.ladder.is_empty() {
            false => Block::Table(self.ladder(&at, step)),
            true => Block::Rows(
                words::blanks(step.kind)
                    .iter()
                    .map(|label| Row::new(*label, BLANK))
                    .collect(),
            ),
        });
        section
    }

    fn expected(&self, at: &At, step: &Step) -> Option<Text> {
        let band = step.expected?;
        let shown = |value: f64| match step.kind {
            StepKind::Start | StepKind::Break | StepKind::RaisedBreak => self.units.flow(value),
            _ if value < 100.0 => format!("{value:.1} s"),
            _ => self.units.time(value),
        };
        let [low, nominal, high] = [
            ("low", band.low),
            ("nominal", band.nominal),
            ("high", band.high),
        ]
        .map(|(name, value)| at.named(&keys::EXPECTED, name, value).said(shown(value)));
        Some(if band.low < band.high {
            said!(
                "{}, with what the bands leave open {} to {}",
                nominal,
                low,
                high
            )
        } else {
            said!("{}", nominal)
        })
    }

    /// Flows to set, with places to write.
    fn ladder(&self, at: &At, step: &Step) -> Table {
        let starts = step.kind == StepKind::Start;
        let head: &[&str] = if starts {
            &[
                "set",
                "stands over the lip",
                "bucket took",
                "height read",
                "started?",
            ]
        } else {
            &["set", "bucket took", "hangs or breaks?", "level read"]
        };
        let rows = step.ladder.iter().enumerate().map(|(k, &(flow, over))| {
            let place = k.to_string();
            let mut row: Vec<Text> = vec![at.named(&keys::FLOWS, &place, flow).into()];
            if starts {
                row.push(at.named(&keys::HEADS, &place, over).into());
            }
            row.resize(head.len(), BLANK.into());
            row
        });
        Table {
            rows: rows.collect(),
            columns: head.iter().map(|head| Column::figures(*head)).collect(),
        }
    }

    fn all(&self) -> Vec<Figure> {
        let (top, protocol) = (self.top(), self.protocol);
        let mut all = vec![
            top.word(&keys::BED, self.name()),
            top.figure(&keys::INFLOW, protocol.inflow),
            top.figure(&keys::LOW_MARK, protocol.marks.0),
            top.figure(&keys::HIGH_MARK, protocol.marks.1),
            top.figure(&keys::LIP, protocol.lip),
            top.figure(&keys::BREAKS_AT, protocol.breaks_at),
            top.word(&keys::READINGS, self.readings),
            top.figure(&keys::BUCKET_HOLDS, self.protocol.bucket),
            top.figure(&keys::TALLER, TALLER_BY),
        ];
        all.extend(self.length_of_rounds());
        for (n, step) in protocol.steps.iter().enumerate() {
            let at = top.item("steps", n);
            all.extend([
                at.word(&keys::STEP_NAME, step.kind.key()),
                at.flag(&keys::NEEDED, step.kind.is_needed()),
                at.figure(&keys::TAKES, step.takes),
            ]);
            if let Some(band) = step.expected {
                let ends = [
                    ("low", band.low),
                    ("nominal", band.nominal),
                    ("high", band.high),
                ];
                all.extend(ends.map(|(name, value)| at.named(&keys::EXPECTED, name, value)));
            }
            all.extend(at.list(&keys::FLOWS, step.ladder.iter().map(|rung| rung.0)));
            all.extend(at.list(&keys::HEADS, step.ladder.iter().map(|rung| rung.1)));
            if let Some((verdict, sure)) = step.settles {
                all.push(at.word(&keys::VERDICT_NOW, verdict_key(verdict)));
                all.push(at.count(&keys::SETTLES, sure));
                all.push(at.count(&keys::PLACES, PLACES_TRIED));
            }
            all.extend(
                step.short_of
                    .map(|gives| at.figure(&keys::PUMP_GIVES, gives)),
            );
            for (k, tells) in step.tells.iter().enumerate() {
                let at = at.item("tells", k);
                all.extend([
                    at.word(&keys::WHAT, words::key(tells.what)),
                    at.figure(&keys::ERROR, tells.error),
                    at.figure(&keys::NOW, tells.now),
                ]);
            }
        }
        all
    }
}
