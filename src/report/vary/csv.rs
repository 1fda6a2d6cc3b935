//! Points and draws as comma-separated values, SI units.

use crate::report::unit_symbol;
use crate::report::vary::random::status_key;
use crate::report::words::regime_key;
use crate::report::{RandomReport, SweepReport};

/// Nine significant figures, enough to simulate the point again.
fn figure(value: f64) -> String {
    format!("{value:.8e}")
}

fn bytes(writer: csv::Writer<Vec<u8>>) -> Result<Vec<u8>, csv::Error> {
    writer
        .into_inner()
        .map_err(|failed| csv::Error::from(failed.into_error()))
}

impl SweepReport<'_> {
    /// One line for each point.
    ///
    /// # Errors
    /// None that plain numbers and text can cause; the writer's error is passed on.
    pub fn csv(&self) -> Result<Vec<u8>, csv::Error> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let mut head: Vec<String> = self
            .found
            .axes
            .iter()
            .map(|axis| {
                let unit = unit_symbol(axis.quantity).replace('/', "_");
                format!("{}_{unit}", axis.quantity.key().replace('-', "_"))
            })
            .collect();
        head.extend(
            [
                "regime",
                "period_s",
                "peak_above_floor_m",
                "dry_layer_m",
                "inflow_m3_s",
                "sump_low_m",
                "sump_high_m",
                "verdict",
                "failing",
                "why_none",
            ]
            .map(str::to_owned),
        );
        writer.write_record(&head)?;
        for cell in &self.found.cells {
            let mut line: Vec<String> = cell.values.iter().map(|&value| figure(value)).collect();
            match &cell.reading {
                Ok(reading) => line.extend([
                    regime_key(reading.regime).to_owned(),
                    reading.period.map_or_else(String::new, figure),
                    figure(reading.peak),
                    figure(reading.dry_layer),
                    figure(reading.inflow),
                    figure(reading.sump.0),
                    figure(reading.sump.1),
                    status_key(reading.verdict).to_owned(),
                    reading.failing.join("; "),
                    String::new(),
                ]),
                Err(why) => {
                    line.extend(std::iter::repeat_n(String::new(), 9));
                    line.push(why.clone());
                }
            }
            writer.write_record(&line)?;
        }
        bytes(writer)
    }
}

impl RandomReport<'_> {
    /// One line for each draw: every input, then status and margin of every check.
    ///
    /// # Errors
    /// None that plain numbers and text can cause; the writer's error is passed on.
    pub fn csv(&self) -> Result<Vec<u8>, csv::Error> {
        let found = self.found;
        let mut writer = csv::Writer::from_writer(Vec::new());
        let mut head: Vec<String> = found
            .inputs
            .iter()
            .map(|input| format!("{} [{}]", input.name, input.unit))
            .collect();
        for check in &found.checks {
            let name = super::random::name_of(check);
            head.push(name.clone());
            head.push(format!("{name} margin [{}]", check.unit.symbol()));
        }
        head.push("why_none".to_owned());
        writer.write_record(&head)?;
        for draw in &found.draws {
            let mut line: Vec<String> = draw.values.iter().map(|&value| figure(value)).collect();
            match &draw.outcome {
                Ok(outcomes) => {
                    for outcome in outcomes {
                        match outcome {
                            Some(outcome) => {
                                line.push(status_key(outcome.status).to_owned());
                                line.push(figure(outcome.margin));
                            }
                            None => line.extend([String::new(), String::new()]),
                        }
                    }
                    line.push(String::new());
                }
                Err(why) => {
                    line.extend(std::iter::repeat_n(String::new(), 2 * found.checks.len()));
                    line.push(why.clone());
                }
            }
            writer.write_record(&line)?;
        }
        bytes(writer)
    }
}
