//! A sweep in words.

use crate::answer::vary::keys;
use crate::answer::{
    At, Block, Column, Document, Piece, Place, Section, Table, Text, said, status_word,
};
use crate::assessment::Status;
use crate::model::System;
use crate::report::regime_key;
use crate::study::map::MapAxis;
use crate::study::map::quantity::{MapQuantity, MapUnit};
use crate::study::vary::sweep::{Sweep, SweepPoint};
use crate::units::UnitSystem;

/// Most rows of the table of one quantity, and values of each of two; with more
/// points, evenly spaced ones are shown.
const MOST_ROWS: usize = 25;
const MOST_ALONG: usize = 5;

/// Everything there is to say about a sweep.
#[derive(Debug, Clone, Copy)]
pub struct SweepReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub found: &'a Sweep,
    /// Units of what people read; results and series are SI.
    pub units: UnitSystem,
}

impl SweepReport<'_> {
    /// What the bed does over the swept quantities. `source` names the scenario on the page.
    pub fn document(&self, source: &str) -> Document {
        let notes = self.notes().into_iter().map(Text::from).collect();
        Document {
            keys: &keys::SWEEP,
            title: self.system.title.clone(),
            verdict: None,
            headline: self.headline(),
            opening: said!(
                "This page is a sweep over the system described in `{}`.",
                source
            ),
            remarks: Vec::new(),
            sections: vec![
                Section::data(self.all()),
                Section::new("Point by point")
                    .with(Block::Table(self.table()))
                    .with(Block::Series(self.series())),
                Section::new("Notes")
                    .at(Place::Back)
                    .with(Block::List(notes)),
            ],
        }
    }

    fn headline(&self) -> Text {
        let top = At::top(self.units);
        let ranges = self.found.axes.iter().enumerate().map(|(i, axis)| {
            let at = top.item("axes", i);
            said!(
                "{} from {} to {}",
                axis.quantity.words(),
                at.shown(&keys::FROM, axis.from, shown(axis, axis.from, self.units)),
                at.shown(&keys::TO, axis.to, shown(axis, axis.to, self.units))
            )
        });
        let count = |status: Status| {
            let cells = self.found.cells.iter();
            let of = |cell: &&SweepPoint| cell.reading.as_ref().is_ok_and(|r| r.verdict == status);
            cells.filter(of).count().to_string()
        };
        said!(
            "Bed \"{}\": {}, {} points. {} pass every check, {} warn, {} fail.",
            top.word(&keys::BED, self.system.beds[self.found.bed].name.as_str()),
            Text::joined(ranges, " and "),
            self.found.cells.len().to_string(),
            count(Status::Pass),
            count(Status::Warn),
            count(Status::Fail)
        )
    }

    /// Which points the table shows, by their places: ends included, so that the whole range
    /// is seen.
    fn told(&self) -> impl Iterator<Item = (usize, &SweepPoint)> {
        let (points, two) = (self.found.points, self.found.axes.len() > 1);
        let along = if two { MOST_ALONG } else { MOST_ROWS };
        let shown = move |place: usize| {
            let steps = points.min(along).saturating_sub(1).max(1);
            (0..=steps).any(|step| step * points.saturating_sub(1) / steps == place)
        };
        let cells = self.found.cells.iter().enumerate();
        cells.filter(move |(k, _)| shown(k % points) && (!two || shown(k / points)))
    }

    fn table(&self) -> Table {
        let axes = self.found.axes.iter().map(|axis| axis.quantity.key());
        let head = axes.chain(["regime", "period", "dry gravel", "verdict"]);
        let columns: Vec<Column> = head.map(Column::figures).collect();
        let rows = self.told().map(|(k, cell)| {
            let at = At::top(self.units).item("points", k);
            let mut row = self.row(&at, cell);
            row.resize(columns.len(), Text::default());
            row
        });
        let rows = rows.collect();
        Table { columns, rows }
    }

    fn row(&self, at: &At, cell: &SweepPoint) -> Vec<Text> {
        let axes = self.found.axes.iter().zip(&cell.values).enumerate();
        let values = axes.map(|(i, (axis, &value))| {
            let figure = at.named(&keys::VALUES, &i.to_string(), value);
            Text::from(figure.said(shown(axis, value, self.units)))
        });
        let mut row: Vec<Text> = values.collect();
        match &cell.reading {
            Ok(reading) => {
                let period = reading
                    .period
                    .map(|period| at.figure(&keys::PERIOD, period));
                let verdict = reading.verdict;
                row.extend([
                    at.word(&keys::REGIME, regime_key(reading.regime)).into(),
                    period.map_or_else(|| "none".into(), Text::from),
                    at.figure(&keys::DRY_LAYER, reading.dry_layer).into(),
                    Piece::Status(verdict, status_word(verdict)).into(),
                ]);
            }
            Err(_) => row.push("no answer".into()),
        }
        row
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "Every point is a run of the whole system as described, with nominal coefficients; \
             the verdict is that of all checks of all beds."
                .to_owned(),
        ];
        let (all, told) = (self.found.cells.len(), self.told().count());
        if all > told {
            notes.push(format!(
                "The table shows {told} of {all} points; sweep.csv has them all."
            ));
        }
        let cells = self.found.cells.iter();
        let unanswered: Vec<&String> = cells
            .filter_map(|cell| cell.reading.as_ref().err())
            .collect();
        if let Some(why) = unanswered.first() {
            notes.push(format!(
                "{} points have no answer; the first because: {why}",
                unanswered.len()
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
