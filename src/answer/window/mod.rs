//! The answer to `window`.

mod data;
mod keys;
mod levers;
mod map;
mod valves;
mod words;

use crate::answer::bucket::bucket;
use crate::answer::plan::plan_section;
use crate::answer::{At, Block, Column, Document, Place, Row, Section, Table, Text, said};
use crate::assessment::{Status, Verdict};
use crate::model::System;
use crate::report::Advice;
use crate::simulation::Run;
use crate::study::map::RegimeMap;
use crate::study::valves::ValvePlan;
use crate::study::widen::Levers;
use crate::study::window::{BedWindow, Windows};
use crate::units::UnitSystem;
use crate::units::display::join;

pub(super) use keys::KEYS;
use keys::{BEST_TOTAL, NAME, PUMP, TOTAL};
pub use map::series as map_series;

/// Everything there is to say about the windows of a system.
#[derive(Debug, Clone, Copy)]
pub struct WindowReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What it did.
    pub run: &'a Run,
    /// The windows.
    pub windows: &'a Windows,
    /// Valve settings.
    pub plan: &'a ValvePlan,
    /// What widens each bed's window, in file order.
    pub levers: &'a [Levers],
    /// The map, if one was made.
    pub map: Option<&'a RegimeMap>,
    /// What to do where something of the whole system fails.
    pub advice: Option<Advice<'a>>,
    /// Units of text and page; results and series are SI.
    pub units: UnitSystem,
}

impl WindowReport<'_> {
    /// Windows, valve settings and levers. `source` names the scenario on the page.
    pub fn document(&self, source: &str) -> Document {
        let mut sections: Vec<Section> = (0..self.system.beds.len()).map(|i| self.bed(i)).collect();
        if self.system.beds.len() > 1 {
            let rows = Block::Rows(self.system_rows());
            sections.push(Section::new("All beds together").with(rows));
        }
        sections.push(self.valves());
        sections.extend(self.widening());
        sections.extend(self.map.map(|map| {
            Section::new("Map")
                .with(Block::Sentence(words::map(
                    map,
                    &self.top().part(keys::MAP.name),
                )))
                .with(Block::Data(map::figures(map, self.units)))
                .with(Block::Series(map::series(map)))
        }));
        sections.extend(plan_section(self.advice, self.system, self.units));
        sections.push(Section::data(data::figures(self)));
        sections.push(
            Section::new("How far to trust this")
                .at(Place::Back)
                .with(Block::List(words::trust(self))),
        );
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(self.verdict()),
            headline: words::headline(self),
            opening: said!(
                "This page answers at which inflow each siphon of the system described in `{}` \
                 starts, runs on and stalls, how to set the valves, and what widens the window.",
                source
            ),
            remarks: Vec::new(),
            sections,
        }
    }

    /// Failed where today's inflow cannot work with any coefficients, a warning where nobody can
    /// say, or where a bed does not cycle all the same.
    pub fn verdict(&self) -> Status {
        let beds = &self.windows.beds;
        if beds.iter().any(BedWindow::certainly_fails) {
            Status::Fail
        } else if beds
            .iter()
            .all(|bed| is_certain(bed) && !words::is_otherwise(bed))
        {
            Status::Pass
        } else {
            Status::Warn
        }
    }

    fn top(&self) -> At {
        At::top(self.units)
    }

    fn bed(&self, i: usize) -> Section {
        let at = self.top().item("beds", i);
        let (bed, found) = (&self.system.beds[i], &self.windows.beds[i]);
        let mut rows = vec![
            Row::new("Pipe", words::pipe(bed, &at)),
            Row::new("Starts above", at.band(&keys::START, found.window.start)),
            Row::new("Runs on above", at.band(&keys::RUN_ON, found.window.run_on)),
            Row::new("Stalls above", at.band(&keys::STALL, found.window.stall)),
            Row::new("Outlet looks at", words::tail(bed, found, &at)),
        ];
        rows.extend(words::widest(bed, found, &at).map(|text| Row::new("At the best", text)));
        rows.extend([
            Row::new("Inflow today", words::today(found, &at)),
            Row::new(
                "To the start",
                words::margin(
                    &at,
                    &keys::TO_START,
                    found.margin_to_start(),
                    ["over", "short of"],
                ),
            ),
            Row::new(
                "To running on",
                words::margin(
                    &at,
                    &keys::TO_RUN_ON,
                    found.margin_to_run_on(),
                    ["under", "past"],
                ),
            ),
            Row::new(
                "To stalling",
                words::margin(
                    &at,
                    &keys::TO_STALL,
                    found.margin_to_stall(),
                    ["under", "past"],
                ),
            ),
            Row::new(
                "Will it start",
                words::verdict(&at, &keys::WILL_START, found.will_start),
            ),
            Row::new(
                "Will it break",
                words::verdict(&at, &keys::WILL_BREAK, found.will_break),
            ),
            Row::new("Best inflow", words::best(found, &at)),
            Row::new("Published beside", words::cross_checks(found, &at)),
        ]);
        Section::new(format!("Bed {}", words::name(bed)))
            .keyed(format!("bed-{i}"))
            .with(Block::Rows(rows))
            .with(Block::Data(vec![at.word(&NAME, &*bed.name)]))
    }

    fn system_rows(&self) -> Vec<Row> {
        let (at, all) = (self.top().part("system"), &self.windows.system);
        let nominal = at.part("nominal_at_todays_split");
        let certain = at.part("certain_at_todays_split");
        vec![
            Row::new("Pump gives", at.spread(&PUMP, all.pump)),
            Row::new(
                "Into the beds",
                said!("{} in all", at.figure(&TOTAL, all.total)),
            ),
            Row::new(
                "Works between",
                words::split(self, &nominal, all.nominal, "with the nominal coefficients"),
            ),
            Row::new(
                "Beyond doubt",
                words::split(self, &certain, all.certain, "whatever the coefficients are"),
            ),
            Row::new(
                "Best in all",
                said!(
                    "{}, each bed at its best inflow",
                    at.figure(&BEST_TOTAL, all.best_total)
                ),
            ),
        ]
    }

    fn valves(&self) -> Section {
        let at = self.top().part("valves");
        let plan = self.plan;
        let (_, bucket) = bucket(self.units);
        let beds = self.system.beds.iter().zip(&plan.beds).enumerate();
        let table = Table {
            columns: columns(["Bed", "Set", "Gives", &format!("{bucket} takes"), "Window"]),
            rows: beds
                .map(|(i, (bed, setting))| valves::setting(bed, setting, &at.item("beds", i)))
                .collect(),
        };
        let mut notes: Vec<Text> = (plan.shortfalls.iter().enumerate())
            .map(|(i, short)| valves::shortfall(self, short, &at.item("short", i)))
            .collect();
        notes.extend(valves::bypass(self, &at.part("bypass")));
        notes.extend(valves::how_to_set(self, &at));
        Section::new("Setting the valves")
            .with(Block::Sentence(valves::plan_verdict(self, &at)))
            .with(Block::Table(table))
            .with(Block::List(notes))
    }

    /// One section for all beds whose levers do the same.
    fn widening(&self) -> Vec<Section> {
        let mut groups: Vec<(Vec<String>, usize, Vec<String>)> = Vec::new();
        for (i, bed) in self.system.beds.iter().enumerate() {
            let said = self.levering(i).as_printed();
            match groups.iter_mut().find(|(_, _, known)| *known == said) {
                Some((names, ..)) => names.push(words::name(bed)),
                None => groups.push((vec![words::name(bed)], i, said)),
            }
        }
        groups
            .into_iter()
            .map(|(names, i, _)| {
                let levering = self.levering(i);
                let listed = join(&names, "and");
                let table = Table {
                    columns: columns([
                        "Step",
                        "Starts above",
                        "Runs on above",
                        "Stalls above",
                        "Certain window",
                        "Whole system",
                    ]),
                    rows: levering.rows,
                };
                Section::new(format!("What widens the window of {listed}, most first"))
                    .keyed(format!("levers-{i}"))
                    .with(Block::Table(table))
                    .with(Block::List(levering.notes))
            })
            .collect()
    }

    fn levering(&self, i: usize) -> Levering {
        let at = self.top().item("beds", i);
        let (bed, found) = (&self.system.beds[i], &self.windows.beds[i]);
        let levers = &self.levers[i];
        let mut rows = vec![levers::as_built(found, &at)];
        let mut notes = levers::lever_notes(bed, found, levers, &at);
        for (k, lever) in levers.levers.iter().enumerate() {
            let at = at.item("levers", k);
            match &lever.effect {
                Ok(effect) => rows.push(levers::lever(bed, lever, effect, &at)),
                Err(why) => notes.push(said!(
                    "Not possible: {} ({}).",
                    levers::step(bed, lever.step, &at.part("step")),
                    at.word(&keys::NOT_POSSIBLE, why.words(self.units))
                )),
            }
        }
        Levering { rows, notes }
    }
}

/// The levers of one bed.
struct Levering {
    rows: Vec<Vec<Text>>,
    notes: Vec<Text>,
}

impl Levering {
    fn as_printed(&self) -> Vec<String> {
        let texts = self.rows.iter().flatten().chain(&self.notes);
        texts.map(Text::to_string).collect()
    }
}

/// Today's inflow starts and breaks it whatever the coefficients are.
fn is_certain(found: &BedWindow) -> bool {
    found.will_start == Verdict::Will && found.will_break == Verdict::Will
}

/// The first column of words, the others of figures.
fn columns<const N: usize>(heads: [&str; N]) -> Vec<Column> {
    Column::names_and_figures(heads)
}
