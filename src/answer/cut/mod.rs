//! What to cut, as a document.

mod data;
mod in_all;
mod keys;
mod length;
mod pieces;
mod refusal;
mod words;

pub(super) use keys::KEYS;
pub use refusal::{refusal_because, refusal_hint};

use crate::answer::plan::plan_section;
use crate::answer::sentence::{told_after, told_at, told_list};
use crate::answer::{At, Block, Column, Document, Finding, Place, Row, Section, Table, Text, said};
use crate::assessment::{Status, Verdict};
use crate::model::{Bed, System};
use crate::report::{Advice, Say, bed_title};
use crate::scenario::{Fittings, GuessedDrain};
use crate::study::cut::{BedCut, Cut, Cuts, Step};
use crate::units::UnitSystem;

/// Everything there is to say about standpipes to cut.
#[derive(Debug, Clone, Copy)]
pub struct CutReport<'a> {
    /// The system that is cut for.
    pub system: &'a System,
    /// What is built or planned now, where `system` has changes beside it.
    pub built: &'a System,
    /// What was found.
    pub cuts: &'a Cuts,
    /// Fittings of all pipes; what is missing is not listed.
    pub fittings: &'a Fittings,
    /// What of every bed's drain was assumed, in file order.
    pub guessed: &'a [GuessedDrain],
    /// Whether nothing of it is built yet.
    pub planned: bool,
    /// What to do where a bed has no length.
    pub advice: Option<Advice<'a>>,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl CutReport<'_> {
    /// The answer. `source` is the scenario's file name.
    pub fn document(&self, source: &str) -> Document {
        let mut sections = vec![Section::data(self.whole())];
        let beds = &self.cuts.beds;
        let told: Vec<_> = beds.iter().map(|found| self.nameless(found)).collect();
        for (found, own) in beds.iter().zip(&told) {
            let same = |(one, words): &(&BedCut, _)| {
                one.bed == found.bed || (own.is_some() && *words == own)
            };
            let alike: Vec<&BedCut> = beds
                .iter()
                .zip(&told)
                .filter(same)
                .map(|(one, _)| one)
                .collect();
            sections.extend(self.sections(found, &alike));
        }
        sections.extend(plan_section(self.advice, self.system, self.units));
        sections.push(self.in_all());
        let at = At::top(self.units);
        let notes = told_list(&at, &keys::NOTES, keys::NOTE_FIGURES, self.notes());
        sections.push(
            Section::new("Notes")
                .at(Place::Back)
                .with(Block::List(notes)),
        );
        sections.push(
            Section::new("How it was computed")
                .at(Place::Back)
                .with(Block::Sentence(self.method())),
        );
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(match (self.all_cut(), self.unsure().is_empty()) {
                (false, _) => Status::Fail,
                (true, true) if self.still_failing().is_none() && !self.any_stays() => Status::Pass,
                (true, _) => Status::Warn,
            }),
            headline: self.headline(),
            opening: said!(
                "This page says what to cut for the system described in `{}`.",
                source
            ),
            remarks: vec![self.wish()],
            sections,
        }
    }

    /// Whether every bed has its length, or one that can stay.
    pub fn all_cut(&self) -> bool {
        !self.cuts.beds.iter().any(BedCut::is_refused)
    }

    /// Whether any bed keeps its length for want of a longest one.
    fn any_stays(&self) -> bool {
        self.cuts.beds.iter().any(BedCut::can_stay)
    }

    /// Beds that have a length, with which they may not start or not break.
    fn unsure(&self) -> Vec<&BedCut> {
        let doubtful = |cut: &Cut| [cut.will_start, cut.will_break] != [Verdict::Will; 2];
        let mut unsure: Vec<&BedCut> = self.cuts.beds.iter().collect();
        unsure.retain(|found| found.answer.as_ref().is_ok_and(|cut| doubtful(cut)));
        unsure
    }

    fn say(&self) -> Say<'_> {
        Say {
            system: self.system,
            units: self.units,
        }
    }

    fn bed(&self, found: &BedCut) -> &Bed {
        &self.system.beds[found.bed]
    }

    /// The bed's place in the results.
    fn at(&self, found: &BedCut) -> At {
        let mut beds = self.cuts.beds.iter();
        let index = beds.position(|known| known.bed == found.bed);
        At::top(self.units).item("beds", index.unwrap_or_default())
    }

    /// Where the lengths rounded for the reader's tape stand.
    fn chosen(&self, found: &BedCut) -> At {
        self.at(found).part("cut").part(match Step::of(self.units) {
            Step::Millimetre => "millimetre",
            Step::Sixteenth => "sixteenth_inch",
        })
    }

    /// What is told of a bed, and of those `alike` with it where it is the first of them.
    fn sections(&self, found: &BedCut, alike: &[&BedCut]) -> Vec<Section> {
        let title = bed_title(self.bed(found));
        let section = Section::new(title.as_str()).keyed(format!("bed-{}", found.bed));
        let section = section.with(Block::Data(self.of_bed(found)));
        match &found.answer {
            Ok(cut) => {
                if alike.first().is_some_and(|first| first.bed != found.bed) {
                    // Told of the first of them.
                    let rows = self.rows(found, cut);
                    let told = rows.iter().flat_map(|row| row.text.figures()).cloned();
                    let data = self.of_bed(found).into_iter().chain(told).collect();
                    return vec![Section::data(data)];
                }
                let title = self.titled(alike, title);
                let section = Section {
                    title: title.clone(),
                    ..section
                };
                vec![
                    section
                        .with(Block::Rows(self.rows(found, cut)))
                        .with(Block::Table(self.stands(found, cut))),
                    Section::new(format!("{title}, to cut"))
                        .keyed(format!("bed-{}-to-cut", found.bed))
                        .with(Block::Table(Table {
                            columns: ["Piece", "Length", "What"].map(Column::words).to_vec(),
                            rows: self.pieces(found).into_iter().map(Vec::from).collect(),
                        })),
                ]
            }
            Err(refusal) => {
                let at = self.at(found).part("refused");
                let because = refusal_because(self.system, refusal, self.units);
                // Where what stands does, another length is no help.
                let hint = match found.can_stay() {
                    true => Text::default(),
                    false => refusal_hint(self.system, refusal, self.units),
                };
                let hint = told_after(&at, &keys::HINT, because.figures().count(), hint);
                let reason = Block::Data(vec![at.word(&keys::REASON, refusal.key())]);
                let because = told_at(&at, &keys::BECAUSE, because);
                if alike.first().is_some_and(|first| first.bed != found.bed) {
                    // Told of the first of them.
                    let told = because.figures().chain(hint.figures()).cloned();
                    let mut data = self.of_bed(found);
                    data.push(at.word(&keys::REASON, refusal.key()));
                    data.extend(told);
                    return vec![Section::data(data)];
                }
                let section = Section {
                    title: self.titled(alike, title),
                    ..section
                };
                let (title, mut rows) = if hint.is_empty() {
                    (because.and(hint), Vec::new())
                } else {
                    (because, vec![Row::new("Also", hint)])
                };
                let status = if found.can_stay() {
                    rows.insert(0, Row::new("As it stands", self.as_it_stands(found)));
                    (Status::Warn, "WARN")
                } else {
                    (Status::Fail, "FAIL")
                };
                let finding = Finding {
                    status: Some(status),
                    title,
                    rows,
                };
                vec![section.with(reason).with(Block::Findings(vec![finding]))]
            }
        }
    }

    /// The title of one bed, or of several that are told together.
    fn titled(&self, alike: &[&BedCut], title: String) -> String {
        let names = alike
            .iter()
            .map(|one| format!("\"{}\"", self.bed(one).name));
        match alike.len() {
            1 => title,
            _ => format!("Beds {}", names.collect::<Vec<_>>().join(", ")),
        }
    }

    /// What is told of a bed but its name: beds of which the same is told are told together. `None`: told
    /// by itself.
    fn nameless(&self, found: &BedCut) -> Option<Vec<String>> {
        let name = format!("\"{}\"", self.bed(found).name);
        let without = |text: &Text| text.to_string().replace(&name, "");
        match &found.answer {
            Ok(cut) => {
                let rows = self.rows(found, cut);
                let stands = self.stands(found, cut).rows.into_iter().flatten();
                let pieces = self.pieces(found).into_iter().flatten();
                let cells: Vec<Text> = stands.chain(pieces).collect();
                let texts = rows.iter().map(|row| &row.text).chain(&cells);
                Some(texts.map(without).collect())
            }
            Err(_) if found.can_stay() => None,
            Err(refusal) => Some(vec![
                without(&refusal_because(self.system, refusal, self.units)),
                without(&refusal_hint(self.system, refusal, self.units)),
            ]),
        }
    }

    /// That the length which stands does.
    fn as_it_stands(&self, found: &BedCut) -> Text {
        let at = self.at(found).part("present");
        said!(
            "with {} it floods and drains, and leaves {} dry: leave it.",
            at.figure(&keys::LENGTH, found.present.length),
            at.figure(&keys::DRY_LAYER, found.present.dry_layer)
        )
    }

    /// The standpipe that the bed has now, before changes that were tried `[m]`.
    pub(super) fn now(&self, found: &BedCut) -> f64 {
        let built = self.built.beds.get(found.bed);
        built.map_or(found.present.length, |bed| bed.siphon.standpipe.lip_height)
    }

    /// Whether the bed has its length by a change that was tried.
    pub(super) fn is_put_in(&self, found: &BedCut) -> bool {
        let tried = self.now(found) != found.present.length;
        let answer = found.answer.as_ref();
        tried && answer.is_ok_and(|cut| cut.is_as_good(found.present.length))
    }
}
