//! The answers as JSON documents with fixed keys, SI units. Keys are only ever added.

use serde::Serialize;

use crate::report::json::Number;
use crate::report::unit_symbol;
use crate::report::vary::random::status_key;
use crate::report::words::regime_key;
use crate::report::{RandomReport, SweepReport};
use crate::study::vary::leading::Lead;
use crate::study::vary::statistics::Share;

fn pretty(document: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(document)?;
    text.push('\n');
    Ok(text)
}

#[derive(Serialize)]
struct SharePart {
    hits: usize,
    of: usize,
    share: Number,
    low_95: Number,
    high_95: Number,
}

fn share(of: &Share) -> SharePart {
    SharePart {
        hits: of.hits,
        of: of.of,
        share: Number(of.share),
        low_95: Number(of.low),
        high_95: Number(of.high),
    }
}

#[derive(Serialize)]
struct RandomDocument<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    kind: &'static str,
    design: &'static str,
    seed: u64,
    draws: usize,
    tolerances: TolerancesPart,
    none_fails: SharePart,
    all_pass: SharePart,
    inputs: Vec<InputPart<'a>>,
    checks: Vec<CheckPart<'a>>,
    without_answer: usize,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct TolerancesPart {
    tape_m: Number,
    void: Number,
    pump: Number,
    bore: Number,
    coefficients: bool,
}

#[derive(Serialize)]
struct InputPart<'a> {
    name: &'a str,
    unit: &'static str,
    low: Number,
    high: Number,
}

#[derive(Serialize)]
struct CheckPart<'a> {
    id: &'static str,
    subject: &'a str,
    passes: SharePart,
    fails: SharePart,
    unit: &'static str,
    margin_5: Number,
    margin_50: Number,
    margin_95: Number,
    rank_correlations: Vec<Number>,
    noise_95: Number,
    noise_95_of_all: Number,
    leading: Vec<LeadPart>,
}

/// An input above the noise, or the same input of several beds.
#[derive(Serialize)]
struct LeadPart {
    name: String,
    rank_correlation: Number,
    inputs: Vec<usize>,
}

impl LeadPart {
    fn new(lead: Lead) -> Self {
        Self {
            name: lead.name,
            rank_correlation: Number(lead.size),
            inputs: lead.inputs,
        }
    }
}

impl RandomReport<'_> {
    /// One JSON document, indented, ending with a line break. Correlations are in
    /// the order of the inputs, and `leading` counts inputs from 0.
    ///
    /// # Errors
    /// None that plain numbers and text can cause; the serialiser's is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let found = self.found;
        let checks = found.checks.iter().map(|check| {
            let [margin_5, margin_50, margin_95] = check.margins.map(Number);
            CheckPart {
                id: check.name.id.key(),
                subject: &check.name.subject,
                passes: share(&check.passes),
                fails: share(&check.fails),
                unit: check.unit.symbol(),
                margin_5,
                margin_50,
                margin_95,
                rank_correlations: check.influence.iter().copied().map(Number).collect(),
                noise_95: Number(check.noise),
                noise_95_of_all: Number(check.noise_of_all),
                leading: found
                    .leading(check)
                    .into_iter()
                    .map(LeadPart::new)
                    .collect(),
            }
        });
        let inputs = found.inputs.iter().map(|input| InputPart {
            name: &input.name,
            unit: input.unit,
            low: Number(input.low),
            high: Number(input.high),
        });
        pretty(&RandomDocument {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &self.system.title,
            kind: "random",
            design: "latin-hypercube",
            seed: found.seed,
            draws: found.draws.len(),
            tolerances: TolerancesPart {
                tape_m: Number(found.tolerances.tape),
                void: Number(found.tolerances.void),
                pump: Number(found.tolerances.pump),
                bore: Number(found.tolerances.bore),
                coefficients: found.tolerances.coefficients,
            },
            none_fails: share(&found.none_fails),
            all_pass: share(&found.all_pass),
            inputs: inputs.collect(),
            checks: checks.collect(),
            without_answer: found.unanswered().0,
            notes: self.notes(),
        })
    }
}

#[derive(Serialize)]
struct SweepDocument<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    kind: &'static str,
    bed: &'a str,
    axes: Vec<AxisPart>,
    points: Vec<PointPart<'a>>,
}

#[derive(Serialize)]
struct AxisPart {
    quantity: &'static str,
    unit: &'static str,
    from: Number,
    to: Number,
    points: usize,
}

#[derive(Serialize)]
struct PointPart<'a> {
    values: Vec<Number>,
    regime: Option<&'static str>,
    period_s: Option<Number>,
    peak_above_floor_m: Option<Number>,
    dry_layer_m: Option<Number>,
    inflow_m3_s: Option<Number>,
    sump_low_m: Option<Number>,
    sump_high_m: Option<Number>,
    verdict: Option<&'static str>,
    failing: &'a [String],
    why_none: Option<&'a str>,
}

impl SweepReport<'_> {
    /// One JSON document, indented, ending with a line break.
    ///
    /// # Errors
    /// None that plain numbers and text can cause; the serialiser's is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let found = self.found;
        let axes = found.axes.iter().map(|axis| AxisPart {
            quantity: axis.quantity.key(),
            unit: unit_symbol(axis.quantity),
            from: Number(axis.from),
            to: Number(axis.to),
            points: found.points,
        });
        let points = found.cells.iter().map(|cell| {
            let reading = cell.reading.as_ref().ok();
            PointPart {
                values: cell.values.iter().copied().map(Number).collect(),
                regime: reading.map(|r| regime_key(r.regime)),
                period_s: reading.and_then(|r| r.period).map(Number),
                peak_above_floor_m: reading.map(|r| Number(r.peak)),
                dry_layer_m: reading.map(|r| Number(r.dry_layer)),
                inflow_m3_s: reading.map(|r| Number(r.inflow)),
                sump_low_m: reading.map(|r| Number(r.sump.0)),
                sump_high_m: reading.map(|r| Number(r.sump.1)),
                verdict: reading.map(|r| status_key(r.verdict)),
                failing: reading.map_or(&[], |r| r.failing.as_slice()),
                why_none: cell.reading.as_ref().err().map(String::as_str),
            }
        });
        pretty(&SweepDocument {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &self.system.title,
            kind: "sweep",
            bed: &self.system.beds[found.bed].name,
            axes: axes.collect(),
            points: points.collect(),
        })
    }
}
