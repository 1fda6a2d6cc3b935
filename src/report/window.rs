//! What `window` found, in sections for the terminal and the page alike.

use crate::model::{Bed, System};
use crate::report::Picture;
use crate::report::rows::Row;
use crate::report::text::Look;
use crate::report::window_page::{Block, Section, as_markdown, as_text};
use crate::report::{
    window_levers as levers_words, window_valves as valves, window_words as words,
};
use crate::simulation::Run;
use crate::study::map::RegimeMap;
use crate::study::valves::ValvePlan;
use crate::study::widen::Levers;
use crate::study::window::{BedWindow, Windows};
use crate::units::UnitSystem;

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
    /// Units of text and page; JSON and the table of the map are SI.
    pub units: UnitSystem,
}

impl WindowReport<'_> {
    /// Verdict, windows, settings and levers as a terminal shows them.
    pub fn text(&self, look: Look) -> String {
        as_text(
            &self.system.title,
            &words::headline(self),
            &self.sections(),
            look,
        )
    }

    /// The same as a page in Markdown. `source` is the scenario's file name;
    /// pictures are linked, not copied.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let opening = format!(
            "This page answers at which inflow each siphon of the system described in `{}` starts, \
             runs on and stalls, how to set the valves, and what widens the window.",
            source.replace('`', "'")
        );
        let headline = words::headline(self);
        as_markdown(
            &self.system.title,
            &[opening, headline],
            &self.sections(),
            pictures,
        )
    }

    fn sections(&self) -> Vec<Section> {
        let mut sections = Vec::new();
        for (i, bed) in self.system.beds.iter().enumerate() {
            sections.push(Section {
                heading: words::bed_heading(bed, self.units),
                blocks: vec![Block::Rows(self.bed_rows(i))],
            });
        }
        if self.system.beds.len() > 1 {
            sections.push(Section {
                heading: "All beds together".to_owned(),
                blocks: vec![Block::Rows(self.system_rows())],
            });
        }
        sections.push(self.valves());
        sections.extend(self.widening());
        if let Some(map) = self.map {
            sections.push(Section {
                heading: "Map".to_owned(),
                blocks: vec![Block::Paragraph(words::map(map, self.units))],
            });
        }
        sections.push(Section {
            heading: "How far to trust this".to_owned(),
            blocks: vec![Block::List(words::trust(self))],
        });
        sections
    }

    fn bed_rows(&self, i: usize) -> Vec<Row> {
        let (units, bed, found) = (self.units, &self.system.beds[i], &self.windows.beds[i]);
        let row = |label, value| Row { label, value };
        let mut rows = vec![
            row("Starts above", words::flow_band(found.window.start, units)),
            row(
                "Runs on above",
                words::flow_band(found.window.run_on, units),
            ),
            row("Stalls above", words::flow_band(found.window.stall, units)),
            row("Outlet looks at", words::tail(bed, found, units)),
        ];
        rows.extend(words::widest(bed, found, units).map(|text| row("At the best", text)));
        rows.extend([
            row("Inflow today", words::today(found, units)),
            row(
                "To the start",
                words::margin(found.margin_to_start(), "over", "short of", units),
            ),
            row(
                "To running on",
                words::margin(found.margin_to_run_on(), "under", "past", units),
            ),
            row(
                "To stalling",
                words::margin(found.margin_to_stall(), "under", "past", units),
            ),
            row("Will it start", words::verdict(found.will_start).to_owned()),
            row("Will it break", words::verdict(found.will_break).to_owned()),
            row("Best inflow", words::best(found, units)),
            row("Published beside", words::cross_checks(found, units)),
        ]);
        rows
    }

    fn system_rows(&self) -> Vec<Row> {
        let (units, all) = (self.units, &self.windows.system);
        let row = |label, value| Row { label, value };
        vec![
            row("Pump gives", words::spread_flow(all.pump, units)),
            row("Into the beds", format!("{} in all", units.flow(all.total))),
            row(
                "Works between",
                words::split(self, all.nominal, "with the nominal coefficients"),
            ),
            row(
                "Beyond doubt",
                words::split(self, all.certain, "whatever the coefficients are"),
            ),
            row(
                "Best in all",
                format!(
                    "{}, each bed at its best inflow",
                    units.flow(all.best_total)
                ),
            ),
        ]
    }

    fn valves(&self) -> Section {
        let plan = self.plan;
        let (_, bucket) = valves::bucket(self.units);
        let takes = format!("{bucket} takes");
        let head = ["Bed", "Set", "Gives", takes.as_str(), "Window"];
        let rows = self
            .system
            .beds
            .iter()
            .zip(&plan.beds)
            .map(|(bed, setting)| valves::setting(bed, setting, self.units).to_vec())
            .collect();
        let mut blocks = vec![
            Block::Paragraph(valves::plan_verdict(self)),
            Block::Table {
                head: head.map(str::to_owned).to_vec(),
                rows,
            },
        ];
        let mut notes: Vec<String> = plan
            .shortfalls
            .iter()
            .map(|short| valves::shortfall(self, short))
            .collect();
        notes.extend(valves::bypass(self));
        notes.extend(valves::how_to_set(self));
        if !notes.is_empty() {
            blocks.push(Block::List(notes));
        }
        Section {
            heading: "Setting the valves".to_owned(),
            blocks,
        }
    }

    /// One section for all beds whose levers do the same.
    fn widening(&self) -> Vec<Section> {
        let mut groups: Vec<(Vec<String>, Levering)> = Vec::new();
        let beds = self
            .system
            .beds
            .iter()
            .zip(&self.windows.beds)
            .zip(self.levers);
        for ((bed, found), levers) in beds {
            let levering = Levering::new(bed, found, levers, self.units);
            match groups.iter_mut().find(|(_, known)| *known == levering) {
                Some((names, _)) => names.push(words::name(bed)),
                None => groups.push((vec![words::name(bed)], levering)),
            }
        }
        let head = [
            "Step",
            "Starts above",
            "Runs on above",
            "Stalls above",
            "Certain window",
        ];
        groups
            .into_iter()
            .map(|(names, levering)| Section {
                heading: format!(
                    "What widens the window of {}, most first",
                    words::listed(&names)
                ),
                blocks: vec![
                    Block::Table {
                        head: head.map(str::to_owned).to_vec(),
                        rows: levering.rows,
                    },
                    Block::List(levering.notes),
                ],
            })
            .collect()
    }
}

/// The levers of one bed as printed.
#[derive(PartialEq)]
struct Levering {
    rows: Vec<Vec<String>>,
    notes: Vec<String>,
}

impl Levering {
    fn new(bed: &Bed, found: &BedWindow, levers: &Levers, units: UnitSystem) -> Self {
        let mut rows = vec![levers_words::as_built(found, units).to_vec()];
        let mut notes = levers_words::lever_notes(bed, found, levers, units);
        for lever in &levers.levers {
            match &lever.effect {
                Ok(effect) => rows.push(levers_words::lever(bed, lever, effect, units).to_vec()),
                Err(why) => notes.push(format!(
                    "Not possible: {} ({why}).",
                    levers_words::step(bed, lever.step, units)
                )),
            }
        }
        Self { rows, notes }
    }
}
