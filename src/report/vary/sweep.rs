//! A sweep in words.

use crate::assessment::Status;
use crate::model::System;
use crate::report::markdown::{Page, escaped, link};
use crate::report::text::Page as Text;
use crate::report::words::{plain, regime_key};
use crate::report::{Look, Picture};
use crate::study::map::MapAxis;
use crate::study::map_quantity::{MapQuantity, MapUnit};
use crate::study::vary::sweep::{Sweep, SweepPoint};
use crate::units::UnitSystem;

/// Most rows of the table; with more points, evenly spaced ones are shown.
const MOST_ROWS: usize = 25;

/// Everything there is to say about a sweep.
#[derive(Debug, Clone, Copy)]
pub struct SweepReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub found: &'a Sweep,
    /// Units of text and page; JSON and CSV are SI.
    pub units: UnitSystem,
}

impl SweepReport<'_> {
    /// The answer as a terminal shows it.
    pub fn text(&self, look: Look) -> String {
        let mut page = Text::new(look);
        page.paragraph(0, &plain(&self.system.title));
        page.gap();
        page.paragraph(0, &self.headline());
        page.gap();
        for cells in [self.head()].into_iter().chain(self.table()) {
            let line = cells
                .iter()
                .fold(String::new(), |line, cell| line + &format!("{cell:>13}"));
            page.out.push_str(line.trim_end());
            page.gap();
        }
        page.list("Notes", self.notes().into_iter());
        page.out
    }

    /// The answer in Markdown. `source` is the scenario's file name.
    pub fn markdown(&self, source: &str, picture: &Picture) -> String {
        let mut page = Page::default();
        page.line(&format!("# A sweep: {}", escaped(&self.system.title)));
        page.paragraph(&format!(
            "For the system in `{}`. {}",
            source.replace('`', "'"),
            escaped(&self.headline())
        ));
        page.paragraph(&format!(
            "![{}]({})",
            escaped(picture.caption),
            link(picture.file)
        ));
        let head = self.head();
        let head: Vec<&str> = head.iter().map(String::as_str).collect();
        page.table(
            &head,
            self.table()
                .into_iter()
                .map(|cells| cells.iter().map(|cell| escaped(cell)).collect()),
        );
        page.list("Notes", self.notes().into_iter());
        page.0
    }

    fn headline(&self) -> String {
        let ranges: Vec<String> = self
            .found
            .axes
            .iter()
            .map(|axis| {
                format!(
                    "{} from {} to {}",
                    axis.quantity.words(),
                    shown(axis, axis.from, self.units),
                    shown(axis, axis.to, self.units)
                )
            })
            .collect();
        let count = |status: Status| {
            self.found
                .cells
                .iter()
                .filter(|cell| cell.reading.as_ref().is_ok_and(|r| r.verdict == status))
                .count()
        };
        format!(
            "Bed \"{}\": {}, {} points. {} pass every check, {} warn, {} fail.",
            plain(&self.system.beds[self.found.bed].name),
            ranges.join(" and "),
            self.found.cells.len(),
            count(Status::Pass),
            count(Status::Warn),
            count(Status::Fail)
        )
    }

    fn head(&self) -> Vec<String> {
        let mut head: Vec<String> = self
            .found
            .axes
            .iter()
            .map(|axis| axis.quantity.key().to_owned())
            .collect();
        head.extend(["regime", "period", "peak water", "dry gravel", "verdict"].map(str::to_owned));
        head
    }

    fn table(&self) -> Vec<Vec<String>> {
        let cells = &self.found.cells;
        let every = cells.len().div_ceil(MOST_ROWS).max(1);
        cells
            .iter()
            .step_by(every)
            .map(|cell| self.row(cell))
            .collect()
    }

    fn row(&self, cell: &SweepPoint) -> Vec<String> {
        let units = self.units;
        let values = self.found.axes.iter().zip(&cell.values);
        let mut row: Vec<String> = values
            .map(|(axis, &value)| shown(axis, value, units))
            .collect();
        match &cell.reading {
            Ok(reading) => row.extend([
                regime_key(reading.regime).to_owned(),
                reading
                    .period
                    .map_or_else(|| "none".to_owned(), |period| units.time(period)),
                units.length(reading.peak),
                units.length(reading.dry_layer),
                super::random::status_key(reading.verdict).to_uppercase(),
            ]),
            Err(_) => row.push("no answer".to_owned()),
        }
        row
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "Every point is a run of the whole system as described, with nominal coefficients; \
             the verdict is that of all checks of all beds."
                .to_owned(),
        ];
        if self.found.cells.len() > MOST_ROWS {
            notes.push(format!(
                "The table shows {} of {} points; sweep.csv has them all.",
                self.table().len(),
                self.found.cells.len()
            ));
        }
        let why = self
            .found
            .cells
            .iter()
            .find_map(|cell| cell.reading.as_ref().err());
        if let Some(why) = why {
            let none = self.found.cells.iter().filter(|cell| cell.reading.is_err());
            notes.push(format!(
                "{} points have no answer; the first because: {why}",
                none.count()
            ));
        }
        notes
    }
}

/// A value of an axis with its unit.
fn shown(axis: &MapAxis, value: f64, units: UnitSystem) -> String {
    match axis.quantity.unit() {
        MapUnit::Flow => units.flow(value),
        MapUnit::Length if axis.quantity == MapQuantity::SumpLevel => units.elevation(value),
        MapUnit::Length => units.bore(value),
        MapUnit::Area => units.area(value),
        MapUnit::Temperature => match units {
            UnitSystem::Metric => format!("{value:.1} degC"),
            UnitSystem::Us => format!("{:.1} degF", 1.8 * value + 32.0),
        },
        MapUnit::Number => format!("{value:.3}"),
    }
}
