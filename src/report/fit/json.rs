//! What `fit` found as a JSON document with fixed keys, SI units.

use serde::Serialize;

use super::FitReport;
use super::paste::{PasteLine, name};
use crate::report::json::Number;
use crate::study::fit::Known;

impl FitReport<'_> {
    /// One JSON document, indented, ending with a line break; everything is SI.
    ///
    /// # Errors
    /// None that a document of plain numbers and text can cause; the error of the
    /// serialiser is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(&self.document())?;
        text.push('\n');
        Ok(text)
    }

    fn document(&self) -> Document<'_> {
        let paste = self.paste();
        Document {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &self.system.title,
            unknowns: self
                .fit
                .estimates
                .iter()
                .map(|one| {
                    let band = one.prior.scale.band();
                    UnknownPart {
                        name: name(self.system, one.prior.unknown),
                        credible: [band.low, band.nominal, band.high].map(Number),
                        value: Number(one.value()),
                        low: Number(one.at(-1.0)),
                        high: Number(one.at(1.0)),
                        spread_over_prior: Number(one.spread),
                        known: match one.known() {
                            Known::Determined => "determined",
                            Known::Narrowed => "narrowed",
                            Known::Open => "not-told",
                        },
                        shares: one.shares.iter().map(|share| Number(*share)).collect(),
                    }
                })
                .collect(),
            measurements: self
                .fit
                .compared
                .iter()
                .map(|one| MeasurementPart {
                    bed: self.bed(one.measurement.bed),
                    what: one.measurement.what.key(),
                    value: Number(one.measurement.value),
                    sigma: Number(one.measurement.sigma),
                    scenario: one.before.ok().map(Number),
                    fitted: Number(one.after),
                    pull: Number(one.pull),
                })
                .collect(),
            at_odds: self.fit.at_odds,
            next: self
                .fit
                .next
                .iter()
                .map(|next| NextPart {
                    bed: self.bed(next.bed),
                    what: next.what.key(),
                    expected: Number(next.expected),
                    sigma: Number(next.sigma),
                    gain: Number(next.gain),
                    spreads_over_prior: next.spreads.iter().map(|s| Number(*s)).collect(),
                })
                .collect(),
            coefficients: paste.coefficients,
            lines: paste.others.into_iter().map(LinePart::from).collect(),
        }
    }
}

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    unknowns: Vec<UnknownPart>,
    measurements: Vec<MeasurementPart<'a>>,
    at_odds: Option<usize>,
    next: Vec<NextPart<'a>>,
    coefficients: String,
    lines: Vec<LinePart>,
}

#[derive(Serialize)]
struct UnknownPart {
    name: String,
    credible: [Number; 3],
    value: Number,
    low: Number,
    high: Number,
    spread_over_prior: Number,
    known: &'static str,
    shares: Vec<Number>,
}

#[derive(Serialize)]
struct MeasurementPart<'a> {
    bed: &'a str,
    what: &'static str,
    value: Number,
    sigma: Number,
    scenario: Option<Number>,
    fitted: Number,
    pull: Number,
}

#[derive(Serialize)]
struct NextPart<'a> {
    bed: &'a str,
    what: &'static str,
    expected: Number,
    sigma: Number,
    gain: Number,
    spreads_over_prior: Vec<Number>,
}

#[derive(Serialize)]
struct LinePart {
    place: String,
    line: String,
}

impl From<PasteLine> for LinePart {
    fn from(one: PasteLine) -> Self {
        Self {
            place: one.place,
            line: one.line,
        }
    }
}
