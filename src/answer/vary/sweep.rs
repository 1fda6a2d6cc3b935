//! A sweep in words.

use crate::answer::vary::keys;
use crate::answer::{
    At, Block, Column, Document, Figure, Piece, Place, Section, Table, Text, said, status_word,
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
        let notes = self.notes();
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
        let [in_all, pass, warn, fail] = self.counts();
        said!(
            "Bed \"{}\": {}, {} points. {} pass every check, {} warn, {} fail.",
            top.word(&keys::BED, self.system.beds[self.found.bed].name.as_str()),
            Text::joined(ranges, " and "),
            in_all,
            pass,
            warn,
            fail
        )
    }

    /// Points in all, and those that pass, warn and fail.
    pub(super) fn counts(&self) -> [Figure; 4] {
        let cells = &self.found.cells;
        let of = |status: Status| {
            let is = |cell: &&SweepPoint| cell.reading.as_ref().is_ok_and(|r| r.verdict == status);
            cells.iter().filter(is).count()
        };
        let at = At::top(self.units).part(keys::COUNTS.name);
        [
            at.count(&keys::IN_ALL, cells.len()),
            at.count(&keys::PASSING, of(Status::Pass)),
            at.count(&keys::WARNING, of(Status::Warn)),
            at.count(&keys::FAILING_POINTS, of(Status::Fail)),
        ]
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

    fn notes(&self) -> Vec<Text> {
        let at = At::top(self.units).part(keys::COUNTS.name);
        let (all, told) = (self.found.cells.len(), self.told().count());
        let mut notes: Vec<Text> = vec![
            "Every point is a run of the whole system as described, with nominal coefficients; \
             the verdict is that of all checks of all beds."
                .into(),
        ];
        if all > told {
            notes.push(said!(
                "The table shows {} of {} points; sweep.csv has them all.",
                at.count(&keys::SHOWN, told),
                at.count(&keys::IN_ALL, all)
            ));
        }
        let (unanswered, first) = self.unanswered();
        if let Some(why) = first {
            notes.push(said!(
                "{} points have no answer; the first because: {}",
                at.count(&keys::NO_ANSWER, unanswered),
                at.word(&keys::FIRST_WHY, why)
            ));
        }
        notes
    }

    /// How many points have no answer, and why the first has none.
    fn unanswered(&self) -> (usize, Option<&str>) {
        let cells = self.found.cells.iter();
        let mut without = cells.filter_map(|cell| cell.reading.as_ref().err());
        let first = without.next();
        let count = usize::from(first.is_some()) + without.count();
        (count, first.map(String::as_str))
    }

    /// What the notes count, whether they tell it or not.
    pub(super) fn counted(&self) -> Vec<Figure> {
        let at = At::top(self.units).part(keys::COUNTS.name);
        let (unanswered, first) = self.unanswered();
        let mut all = Vec::from(self.counts());
        all.push(at.count(&keys::SHOWN, self.told().count()));
        all.push(at.count(&keys::NO_ANSWER, unanswered));
        all.extend(first.map(|why| at.word(&keys::FIRST_WHY, why)));
        all
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
