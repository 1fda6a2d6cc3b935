//! The answer to `run`.

mod answers;
mod beds;
mod checks;
mod elevations;
mod garden;
mod keys;
mod levels;
mod page;
mod parts;
mod second_opinion;
#[cfg(test)]
mod tests;
mod whole_loop;

use crate::answer::counts;
use crate::answer::plan::plan_section;
use crate::answer::sentence::{keyed, told_list};
use crate::answer::{At, Block, Document, Figure, Place, Section, Text};
use crate::assessment::Status;
use crate::report::{Report, ending};
use crate::simulation::{RunEnd, Spread};
use crate::study::mend::Judged;

pub(super) use keys::KEYS;
use keys::{
    CAUTION_FIGURES, CAUTIONS, COINCIDENCES, COUNTS, ENDED, ENDED_AT, MET_FIRST, MET_SECOND,
    MET_TIME, NOTE_FIGURES, NOTES, RESIDUAL, RESIDUAL_SHARE, SIMULATED, WATER_AT_START,
};

impl Report<'_> {
    /// Verdict, figures of every part, checks, what to change, cautions. `source` names the
    /// scenario on the page.
    pub fn document(&self, source: &str) -> Document {
        let at = At::top(self.units);
        let mut sections = vec![answers::section(self)];
        let plan = plan_section(self.advice, self.system, self.units);
        sections.extend(plan.map(Section::on_first_screen));
        sections.extend(beds::sections(self));
        sections.extend(parts::sections(self));
        sections.extend(whole_loop::sections(self));
        sections.extend(garden::sections(self));
        sections.push(checks::table(self));
        sections.push(checks::reasons(self));
        sections.push(elevations::section(self));
        sections.push(page::knowledge(self));
        sections.extend(second_opinion::section(self));
        let mut notes = told_list(&at, &NOTES, NOTE_FIGURES, self.notes());
        notes.push(page::balance(self, &at));
        let cautions = told_list(&at, &CAUTIONS, CAUTION_FIGURES, self.cautions());
        let notes = Section::new("Notes").with(Block::List(notes));
        sections.push(notes.at(Place::Back));
        let brief = cautions_in_brief(&cautions);
        let cautions = Section::new("Cautions").with(Block::List(cautions));
        sections.push(cautions.at(Place::Back).in_brief(brief));
        sections.push(page::method(self));
        let series = Block::Series(levels::series(self));
        sections.push(Section::data(self.data(&at)).with(series));
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(self.assessment.verdict),
            headline: counts::headline(self, &at.part(COUNTS.name)).and(self.with_events()),
            opening: page::opening(self, source),
            remarks: vec![keyed(&at, keys::TOP, ending(self))],
            sections,
        }
    }

    /// What the headline says of events that spoil it.
    fn with_events(&self) -> &'static str {
        let fails = |judged: &&Judged| {
            let worse = judged.made_worse();
            worse.iter().any(|check| check.status == Status::Fail)
        };
        match self.judged.filter(fails) {
            Some(_) => " With the events of the file something fails: see What if.",
            None => "",
        }
    }

    /// Figures that no text says.
    fn data(&self, at: &At) -> Vec<Figure> {
        let run = self.run;
        let (ended, ended_at) = match run.ended {
            RunEnd::TimeReached => ("time-reached", run.duration),
            RunEnd::Settled { at } => ("settled", at),
            RunEnd::Standing { since } => ("standing", since),
        };
        let mut out = vec![
            at.figure(&SIMULATED, run.duration),
            at.word(&ENDED, ended),
            at.figure(&ENDED_AT, ended_at),
            at.figure(&WATER_AT_START, run.water_at_start),
            at.figure(&RESIDUAL, run.residual),
            at.figure(&RESIDUAL_SHARE, run.residual.abs() / run.water_at_start),
        ];
        out.extend(counts::figures(self, &at.part(COUNTS.name)));
        for (i, met) in run.coincidences.iter().enumerate() {
            let at = at.item(COINCIDENCES.name, i);
            out.push(at.figure(&MET_TIME, met.time));
            out.extend(self.bed_named(&at, &MET_FIRST, met.first));
            out.extend(self.bed_named(&at, &MET_SECOND, met.second));
        }
        out
    }

    /// The name of bed `i`.
    fn bed_named(&self, at: &At, key: &crate::answer::Key, i: usize) -> Option<Figure> {
        let bed = self.system.beds.get(i)?;
        Some(at.word(key, &*bed.name))
    }
}

/// What each caution is about: what stands before its colon.
fn cautions_in_brief(cautions: &[Text]) -> String {
    let about: Vec<String> = cautions
        .iter()
        .filter_map(|text| {
            text.to_string()
                .split_once(':')
                .map(|(about, _)| about.to_lowercase())
        })
        .collect();
    format!(
        "Take care: {}. Local codes and licensed practice decide.",
        about.join("; ")
    )
}

/// Mean and extremes; `None` without values.
fn spread_of(values: impl Iterator<Item = f64>) -> Option<Spread> {
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
