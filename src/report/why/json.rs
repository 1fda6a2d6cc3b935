//! What `why` found as a JSON document with fixed keys, SI units.

use serde::Serialize;

use crate::report::WhyReport;
use crate::report::json::Number;
use crate::report::words::regime_key;
use crate::study::why::{BedSight, Figure, NextMeasurement, Outcome, Scale, Step, Suspect};

impl WhyReport<'_> {
    /// One JSON document, indented, ending with a line break; everything is SI.
    ///
    /// # Errors
    /// None that a document of plain numbers and text can cause; the error of the
    /// serialiser is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(&Document::new(self))?;
        text.push('\n');
        Ok(text)
    }
}

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    bed: &'a str,
    symptom: Option<&'static str>,
    measured: Vec<ReadingPart<'a>>,
    as_in_file: ShowsPart,
    suspects: Vec<SuspectPart>,
    something_else_share: Number,
    measure_next: Vec<NextPart<'a>>,
}

#[derive(Serialize)]
struct ReadingPart<'a> {
    figure: String,
    bed: Option<&'a str>,
    value: Number,
    sigma: Number,
}

#[derive(Serialize)]
struct ShowsPart {
    regime: &'static str,
    inflow_m3_s: Number,
    fill_s: Option<Number>,
    drain_s: Option<Number>,
    period_s: Option<Number>,
    highest_m: Number,
    left_m: Option<Number>,
    standing_m: Option<Number>,
}

#[derive(Serialize)]
struct SuspectPart {
    cause: &'static str,
    share: Number,
    severity: Option<SeverityPart>,
    evidence: Vec<EvidencePart>,
    shows: Option<ShowsPart>,
    check: Option<&'static str>,
    fix: Option<&'static str>,
    set_inflow_m3_s: Option<Number>,
    lower_outlet_m: Option<Number>,
    after: Option<ShowsPart>,
}

#[derive(Serialize)]
struct SeverityPart {
    best: Number,
    low: Number,
    high: Number,
}

#[derive(Serialize)]
struct EvidencePart {
    measured: usize,
    expected: Number,
    low: Number,
    high: Number,
    off_by_sigmas: Number,
}

#[derive(Serialize)]
struct NextPart<'a> {
    figure: String,
    bed: Option<&'a str>,
    worth: Number,
    expected: Vec<ExpectedPart>,
}

#[derive(Serialize)]
struct ExpectedPart {
    cause: &'static str,
    value: Number,
}

/// Fixed key of a figure, its unit at the end.
fn figure_key(figure: Figure) -> String {
    let name = figure.key().replace('-', "_");
    let unit = match figure.scale() {
        Scale::Flow => "m3_s",
        Scale::Time => "s",
        Scale::Level => "m",
    };
    format!("{name}_{unit}")
}

impl<'a> Document<'a> {
    fn new(report: &WhyReport<'a>) -> Self {
        let (system, found) = (report.system, report.diagnosis);
        let name = |figure: Figure, bed: usize| {
            figure
                .of_a_bed()
                .then(|| system.beds.get(bed).map(|bed| bed.name.as_str()))
                .flatten()
        };
        let bed = found.question.bed;
        let next = |next: &NextMeasurement| NextPart {
            figure: figure_key(next.figure),
            bed: name(next.figure, next.bed),
            worth: Number(next.worth),
            expected: next
                .expected
                .iter()
                .map(|&(outcome, value)| ExpectedPart {
                    cause: outcome.key(),
                    value: Number(value),
                })
                .collect(),
        };
        Self {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &system.title,
            bed: system.beds.get(bed).map_or("", |bed| bed.name.as_str()),
            symptom: found.question.symptom.map(|symptom| symptom.key()),
            measured: found
                .question
                .readings
                .iter()
                .map(|reading| ReadingPart {
                    figure: figure_key(reading.figure),
                    bed: name(reading.figure, reading.bed),
                    value: Number(reading.value),
                    sigma: Number(reading.sigma),
                })
                .collect(),
            as_in_file: shows(&found.promised.beds[bed]),
            suspects: found.suspects.iter().map(|s| suspect(s, bed)).collect(),
            something_else_share: Number(found.other),
            measure_next: found.next.iter().map(next).collect(),
        }
    }
}

fn shows(bed: &BedSight) -> ShowsPart {
    ShowsPart {
        regime: regime_key(bed.regime),
        inflow_m3_s: Number(bed.inflow),
        fill_s: bed.fill.map(Number),
        drain_s: bed.drain.map(Number),
        period_s: bed.period.map(Number),
        highest_m: Number(bed.peak),
        left_m: bed.left.map(Number),
        standing_m: bed.standing.map(Number),
    }
}

fn suspect(suspect: &Suspect, bed: usize) -> SuspectPart {
    let entry = match suspect.outcome {
        Outcome::AsBuilt => None,
        Outcome::Cause(cause) => Some(cause.entry()),
    };
    let steps = suspect.remedy.iter().flat_map(|remedy| &remedy.steps);
    let step = |wanted: &dyn Fn(&Step) -> Option<f64>| steps.clone().find_map(wanted).map(Number);
    SuspectPart {
        cause: suspect.outcome.key(),
        share: Number(suspect.share),
        severity: suspect.severity.map(|(best, (low, high))| SeverityPart {
            best: Number(best),
            low: Number(low),
            high: Number(high),
        }),
        evidence: suspect
            .evidence
            .iter()
            .map(|one| EvidencePart {
                measured: one.reading,
                expected: Number(one.expected),
                low: Number(one.allowed.0),
                high: Number(one.allowed.1),
                off_by_sigmas: Number(one.off),
            })
            .collect(),
        shows: suspect.shows.as_ref().map(|sight| shows(&sight.beds[bed])),
        check: entry.map(|entry| entry.check),
        fix: entry.map(|entry| entry.fix),
        set_inflow_m3_s: step(&|step| match step {
            Step::SetInflow(flow) => Some(*flow),
            Step::LowerOutlet(_) => None,
        }),
        lower_outlet_m: step(&|step| match step {
            Step::LowerOutlet(by) => Some(*by),
            Step::SetInflow(_) => None,
        }),
        after: suspect
            .remedy
            .as_ref()
            .map(|remedy| shows(&remedy.after.beds[bed])),
    }
}
