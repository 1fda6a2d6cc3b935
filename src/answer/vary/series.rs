//! Points and draws, line by line.

use crate::answer::vary::{RandomReport, SweepReport};
use crate::answer::{Cells, Series, SeriesColumn, status_key};
use crate::report::{regime_key, unit_symbol};
use crate::study::vary::sweep::Reading;

fn column(key: impl Into<String>, cells: Cells) -> SeriesColumn {
    let key = key.into();
    SeriesColumn { key, cells }
}

impl SweepReport<'_> {
    /// One line for each point.
    pub(super) fn series(&self) -> Series {
        let cells = &self.found.cells;
        let mut columns: Vec<SeriesColumn> = (0..)
            .zip(&self.found.axes)
            .map(|(i, axis): (usize, _)| {
                let unit = unit_symbol(axis.quantity).replace('/', "_");
                let name = format!("{}_{unit}", axis.quantity.key().replace('-', "_"));
                let values = cells.iter().map(|cell| cell.values[i]);
                column(name, Cells::Full(values.collect()))
            })
            .collect();
        let words = |of: fn(&Reading) -> String| {
            let words = cells.iter().map(|cell| cell.reading.as_ref().map(of));
            Cells::Words(words.map(Result::unwrap_or_default).collect())
        };
        let numbers = |of: fn(&Reading) -> Option<f64>| {
            let numbers = cells.iter().map(|cell| cell.reading.as_ref().ok());
            let numbers = numbers.map(|reading| reading.and_then(of).unwrap_or(f64::NAN));
            Cells::Full(numbers.collect())
        };
        let why_none = cells.iter().map(|cell| match &cell.reading {
            Ok(_) => String::new(),
            Err(why) => why.clone(),
        });
        columns.extend([
            column("regime", words(|r| regime_key(r.regime).to_owned())),
            column("period_s", numbers(|r| r.period)),
            column("peak_above_floor_m", numbers(|r| Some(r.peak))),
            column("dry_layer_m", numbers(|r| Some(r.dry_layer))),
            column("inflow_m3_s", numbers(|r| Some(r.inflow))),
            column("sump_low_m", numbers(|r| Some(r.sump.0))),
            column("sump_high_m", numbers(|r| Some(r.sump.1))),
            column("verdict", words(|r| status_key(r.verdict).to_owned())),
            column("failing", words(|r| r.failing.join("; "))),
            column("why_none", Cells::Words(why_none.collect())),
        ]);
        Series {
            file: "sweep.csv",
            columns,
        }
    }
}

impl RandomReport<'_> {
    /// One line for each draw: every input, then status and margin of every check.
    pub(super) fn series(&self) -> Series {
        let (found, draws) = (self.found, &self.found.draws);
        let mut columns: Vec<SeriesColumn> = (0..)
            .zip(&found.inputs)
            .map(|(i, input): (usize, _)| {
                let values = draws.iter().map(|draw| draw.values[i]);
                let name = format!("{} [{}]", input.name, input.unit);
                column(name, Cells::Full(values.collect()))
            })
            .collect();
        for (k, check) in found.checks.iter().enumerate() {
            let name = super::random::name_of(check);
            let outcomes = draws.iter().map(|draw| {
                let outcomes = draw.outcome.as_ref().ok()?;
                outcomes.get(k)?.as_ref()
            });
            let (status, margin): (Vec<String>, Vec<f64>) = outcomes
                .map(|outcome| {
                    outcome.map_or((String::new(), f64::NAN), |outcome| {
                        (status_key(outcome.status).to_owned(), outcome.margin)
                    })
                })
                .unzip();
            let of_margin = format!("{name} margin [{}]", check.unit.symbol());
            columns.push(column(name, Cells::Words(status)));
            columns.push(column(of_margin, Cells::Full(margin)));
        }
        let why_none = draws.iter().map(|draw| match &draw.outcome {
            Ok(_) => String::new(),
            Err(why) => why.clone(),
        });
        columns.push(column("why_none", Cells::Words(why_none.collect())));
        Series {
            file: "draws.csv",
            columns,
        }
    }
}
