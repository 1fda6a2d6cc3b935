//! The results as a JSON document with fixed keys, SI units.
//!
//! Keys are only ever added. A value that does not exist, or is not a finite
//! number, is `null`.

use serde::{Serialize, Serializer};

use crate::assessment::{BedVerdict, Check, Status};
use crate::model::{Band, Bed};
use crate::report::Report;
use crate::report::garden::GardenPart;
use crate::report::json_loop::LoopPart;
use crate::report::second_opinion::OpinionPart;
use crate::report::words::{regime_key, spread_of, verdict_key};
use crate::simulation::{BedOutcome, Cycle, LineOutcome, RunEnd, Spread};

impl Report<'_> {
    /// One JSON document, indented, ending with a line break. The report's
    /// `units` play no part: everything is SI.
    ///
    /// # Errors
    /// None that a document of plain numbers and text can cause; the error of
    /// the serialiser is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let mut text = serde_json::to_string_pretty(&Document::new(self))?;
        text.push('\n');
        Ok(text)
    }
}

/// A number that is `null` unless finite, and never a negative nought.
#[derive(Clone, Copy)]
pub(super) struct Number(pub f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0.is_finite() {
            serializer.serialize_f64(self.0 + 0.0)
        } else {
            serializer.serialize_none()
        }
    }
}

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    simulated_s: Number,
    ended: &'static str,
    ended_at_s: Number,
    verdict: &'static str,
    beds: Vec<BedPart<'a>>,
    sump: SumpPart,
    pump: PumpPart,
    drain_line: Option<LinePart<'a>>,
    #[serde(flatten)]
    whole_loop: LoopPart<'a>,
    #[serde(flatten)]
    garden: GardenPart<'a>,
    coincidences: Vec<CoincidencePart<'a>>,
    water_at_start_m3: Number,
    water_balance_residual_m3: Number,
    checks: Vec<CheckPart<'a>>,
    notes: &'a [String],
    cautions: &'a [String],
    work: WorkPart,
    #[serde(skip_serializing_if = "Option::is_none")]
    second_opinion: Option<OpinionPart<'a>>,
}

#[derive(Serialize)]
struct BedPart<'a> {
    name: &'a str,
    regime: &'static str,
    regimes: Vec<RegimePart>,
    cycles: usize,
    period_s: Option<Range>,
    fill_s: Option<Range>,
    prime_s: Option<Range>,
    drain_s: Option<Range>,
    peak_level_m: Number,
    first_peak_level_m: Number,
    peak_depth_m: Number,
    dry_layer_m: Number,
    break_level_m: Number,
    left_depth_m: Option<Range>,
    left_volume_m3: Option<Range>,
    water_per_cycle_m3: Option<Number>,
    inflow_m3_s: Range,
    inflow_at_start_m3_s: Option<Number>,
    inflow_at_break_m3_s: Option<Number>,
    judged_inflow_at_start_m3_s: Number,
    judged_inflow_at_break_m3_s: Number,
    siphon_flow_at_start_m3_s: Option<Number>,
    siphon_flow_at_break_m3_s: Option<Number>,
    crown_pressure_min_pa: Number,
    start_flow_m3_s: BandPart,
    run_on_flow_m3_s: BandPart,
    stall_flow_m3_s: Number,
    stall_flow_band_m3_s: BandPart,
    will_start: &'static str,
    will_break: &'static str,
    overflowed_m3: Number,
    came_up_drain: Option<CameUpPart<'a>>,
}

/// Water that the drain line pushed up into a bed.
#[derive(Serialize)]
struct CameUpPart<'a> {
    for_s: Number,
    peak_flow_m3_s: Number,
    from: Option<&'a str>,
}

#[derive(Serialize)]
struct RegimePart {
    from_s: Number,
    to_s: Number,
    regime: &'static str,
}

#[derive(Serialize)]
pub(super) struct Range {
    mean: Number,
    min: Number,
    max: Number,
}

#[derive(Serialize)]
pub(super) struct BandPart {
    low: Number,
    nominal: Number,
    high: Number,
}

#[derive(Serialize)]
struct SumpPart {
    level_m: Range,
    bound_low_m: Number,
    bound_high_m: Number,
    dead_siphons_m: Number,
    ran_dry_s: Number,
    overflowed_m3: Number,
}

#[derive(Serialize)]
struct PumpPart {
    flow_m3_s: Range,
    head_m: Option<Range>,
    energy_kwh_day: Option<Number>,
    energy_cost_day: Option<Number>,
}

#[derive(Serialize)]
struct LinePart<'a> {
    peak_flow_m3_s: Number,
    capacity_m3_s: Number,
    half_full_m3_s: Number,
    peak_fill_ratio: Number,
    fill_ratio: BandPart,
    fullest_bed: Option<&'a str>,
    surcharged_s: Number,
    peak_grade_m: Number,
    largest_bed: Option<&'a str>,
}

#[derive(Serialize)]
struct CoincidencePart<'a> {
    time_s: Number,
    first: Option<&'a str>,
    second: Option<&'a str>,
}

#[derive(Serialize)]
struct CheckPart<'a> {
    id: &'static str,
    subject: &'a str,
    status: &'static str,
    value: Number,
    limit: Number,
    margin: Number,
    unit: &'static str,
    because: &'a str,
    first_fix: &'a str,
    basis: &'a str,
}

#[derive(Serialize)]
struct WorkPart {
    steps: u64,
    evaluations: u64,
    events: u64,
}

impl<'a> Document<'a> {
    fn new(report: &Report<'a>) -> Self {
        let Report {
            system,
            run,
            assessment,
            ..
        } = *report;
        let name = |bed: usize| system.beds.get(bed).map(|bed| bed.name.as_str());
        let (ended, ended_at) = match run.ended {
            RunEnd::TimeReached => ("time-reached", run.duration),
            RunEnd::Settled { at } => ("settled", at),
            RunEnd::Standing { since } => ("standing", since),
        };
        let beds = system.beds.iter().zip(&run.beds).zip(&assessment.beds);
        Self {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &system.title,
            simulated_s: Number(run.duration),
            ended,
            ended_at_s: Number(ended_at),
            verdict: status_key(assessment.verdict),
            beds: beds
                .map(|((bed, outcome), verdict)| bed_part(bed, outcome, verdict, name))
                .collect(),
            sump: SumpPart {
                level_m: range(run.sump.level),
                bound_low_m: Number(assessment.sump.low),
                bound_high_m: Number(assessment.sump.high),
                dead_siphons_m: Number(assessment.sump.dead_siphons),
                ran_dry_s: Number(run.sump.ran_dry),
                overflowed_m3: Number(run.sump.overflowed),
            },
            pump: PumpPart {
                flow_m3_s: range(run.pump.flow),
                head_m: run.pump.head.map(range),
                energy_kwh_day: run.pump.energy_kwh_day.map(Number),
                energy_cost_day: run
                    .pump
                    .energy_kwh_day
                    .zip(system.pump.tariff)
                    .map(|(day, tariff)| Number(day * tariff)),
            },
            drain_line: run.line.as_ref().map(|line| line_part(line, name)),
            whole_loop: LoopPart::new(report),
            garden: GardenPart::new(report),
            coincidences: run
                .coincidences
                .iter()
                .map(|met| CoincidencePart {
                    time_s: Number(met.time),
                    first: name(met.first),
                    second: name(met.second),
                })
                .collect(),
            water_at_start_m3: Number(run.water_at_start),
            water_balance_residual_m3: Number(run.residual),
            checks: assessment.checks.iter().map(check_part).collect(),
            notes: &assessment.notes,
            cautions: &assessment.cautions,
            work: WorkPart {
                steps: run.work.steps,
                evaluations: run.work.evaluations,
                events: run.work.events,
            },
            second_opinion: OpinionPart::new(report),
        }
    }
}

fn bed_part<'a>(
    bed: &'a Bed,
    outcome: &BedOutcome,
    verdict: &BedVerdict,
    name: impl Fn(usize) -> Option<&'a str>,
) -> BedPart<'a> {
    let over_cycles = |pick: fn(&Cycle) -> f64| spread_of(outcome.cycles.iter().map(pick));
    let left = |pick| bed.media.grain.and(over_cycles(pick)).map(range);
    BedPart {
        name: &bed.name,
        regime: regime_key(outcome.regime),
        regimes: outcome
            .regimes
            .iter()
            .map(|span| RegimePart {
                from_s: Number(span.from),
                to_s: Number(span.to),
                regime: regime_key(span.regime),
            })
            .collect(),
        cycles: outcome.cycles.len(),
        period_s: over_cycles(Cycle::period).map(range),
        fill_s: over_cycles(|cycle| cycle.fill).map(range),
        prime_s: over_cycles(|cycle| cycle.prime).map(range),
        drain_s: over_cycles(|cycle| cycle.drain).map(range),
        peak_level_m: Number(outcome.peak_level),
        first_peak_level_m: Number(outcome.first_peak_level),
        peak_depth_m: Number(outcome.peak_level - bed.floor),
        dry_layer_m: Number(bed.gravel_over(outcome.peak_level)),
        break_level_m: Number(outcome.break_level),
        left_depth_m: left(|cycle| cycle.left_depth),
        left_volume_m3: left(|cycle| cycle.left_volume),
        water_per_cycle_m3: over_cycles(|cycle| cycle.water).map(|found| Number(found.mean)),
        inflow_m3_s: range(outcome.inflow),
        inflow_at_start_m3_s: outcome.inflow_least_at_start.map(Number),
        inflow_at_break_m3_s: outcome.inflow_most_at_break.map(Number),
        judged_inflow_at_start_m3_s: Number(verdict.inflow_at_start),
        judged_inflow_at_break_m3_s: Number(verdict.inflow_at_break),
        siphon_flow_at_start_m3_s: outcome.siphon_flow_at_start.map(Number),
        siphon_flow_at_break_m3_s: outcome.siphon_flow_at_break.map(Number),
        crown_pressure_min_pa: Number(outcome.crown_pressure_min),
        start_flow_m3_s: band_part(verdict.start_flow),
        run_on_flow_m3_s: band_part(verdict.run_on_flow),
        stall_flow_m3_s: Number(verdict.stall_flow.nominal),
        stall_flow_band_m3_s: band_part(verdict.stall_flow),
        will_start: verdict_key(verdict.will_start),
        will_break: verdict_key(verdict.will_break),
        overflowed_m3: Number(outcome.overflowed),
        came_up_drain: outcome.came_up.map(|came| CameUpPart {
            for_s: Number(came.time),
            peak_flow_m3_s: Number(came.peak_flow),
            from: came.from.and_then(name),
        }),
    }
}

fn line_part<'a>(line: &LineOutcome, name: impl Fn(usize) -> Option<&'a str>) -> LinePart<'a> {
    LinePart {
        peak_flow_m3_s: Number(line.peak_flow),
        capacity_m3_s: Number(line.capacity),
        half_full_m3_s: Number(line.half_full),
        peak_fill_ratio: Number(line.peak_fill),
        fill_ratio: band_part(line.fill),
        fullest_bed: name(line.fullest_bed),
        surcharged_s: Number(line.surcharged),
        peak_grade_m: Number(line.peak_grade),
        largest_bed: name(line.largest_bed),
    }
}

fn check_part(check: &Check) -> CheckPart<'_> {
    CheckPart {
        id: check.id.key(),
        subject: &check.subject,
        status: status_key(check.status),
        value: Number(check.value),
        limit: Number(check.limit),
        margin: Number(check.margin),
        unit: check.unit.symbol(),
        because: &check.because,
        first_fix: &check.first_fix,
        basis: check.basis,
    }
}

pub(super) fn range(of: Spread) -> Range {
    Range {
        mean: Number(of.mean),
        min: Number(of.min),
        max: Number(of.max),
    }
}

pub(super) fn band_part(band: Band) -> BandPart {
    BandPart {
        low: Number(band.low),
        nominal: Number(band.nominal),
        high: Number(band.high),
    }
}

const fn status_key(status: Status) -> &'static str {
    match status {
        Status::Pass => "pass",
        Status::Warn => "warn",
        Status::Fail => "fail",
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests {
    use serde_json::{Value, json};

    use crate::report::sample::Sample;
    use crate::units::UnitSystem;

    fn document(sample: &Sample, units: UnitSystem) -> Value {
        serde_json::from_str(&sample.report(units).json().unwrap()).unwrap()
    }

    /// The document of the design contract: every key with a value of its type.
    /// Text of several words separated by bars lists the words allowed.
    fn contract() -> Value {
        let range = json!({"mean": 0, "min": 0, "max": 0});
        let band = json!({"low": 0, "nominal": 0, "high": 0});
        let regimes = "cycles|dribbles|stalls|runs-on|overflows|never-fills|unfinished";
        json!({
            "schema": 1, "title": "", "simulated_s": 0, "verdict": "pass|warn|fail",
            "beds": [{
                "name": "", "regime": regimes,
                "regimes": [{"from_s": 0, "to_s": 0, "regime": regimes}],
                "cycles": 0, "period_s": range, "fill_s": range, "prime_s": range, "drain_s": range,
                "peak_level_m": 0, "first_peak_level_m": 0, "peak_depth_m": 0, "dry_layer_m": 0,
                "break_level_m": 0, "water_per_cycle_m3": 0, "inflow_m3_s": range,
                "judged_inflow_at_start_m3_s": 0, "judged_inflow_at_break_m3_s": 0,
                "siphon_flow_at_start_m3_s": 0, "siphon_flow_at_break_m3_s": 0,
                "crown_pressure_min_pa": 0, "start_flow_m3_s": band, "run_on_flow_m3_s": band,
                "stall_flow_m3_s": 0,
                "will_start": "will|uncertain|will-not", "will_break": "will|uncertain|will-not"
            }],
            "sump": {"level_m": range, "bound_low_m": 0, "bound_high_m": 0, "ran_dry_s": 0,
                     "overflowed_m3": 0},
            "pump": {"flow_m3_s": range, "head_m": range, "energy_kwh_day": 0},
            "drain_line": {"peak_flow_m3_s": 0, "capacity_m3_s": 0, "peak_fill_ratio": 0,
                           "surcharged_s": 0},
            "water_balance_residual_m3": 0,
            "checks": [{"id": "", "subject": "", "status": "pass|warn|fail", "value": 0, "limit": 0,
                        "margin": 0, "unit": "", "because": "", "first_fix": "", "basis": ""}],
            "cautions": [""]
        })
    }

    fn hold(found: &Value, asked: &Value, path: &str) {
        match (asked, found) {
            (Value::Object(asked), Value::Object(found)) => {
                for (key, asked) in asked {
                    let value = found
                        .get(key)
                        .unwrap_or_else(|| panic!("no key {path}.{key}"));
                    hold(value, asked, &format!("{path}.{key}"));
                }
            }
            (Value::Array(asked), Value::Array(found)) => {
                assert!(!found.is_empty(), "{path} is empty");
                for (i, value) in found.iter().enumerate() {
                    hold(value, &asked[0], &format!("{path}[{i}]"));
                }
            }
            (Value::String(asked), Value::String(found)) => assert!(
                asked.is_empty() || asked.split('|').any(|word| word == found),
                "{path}: {found} is none of {asked}"
            ),
            (Value::Number(_), Value::Number(_)) => {}
            _ => panic!("{path}: {found} where the contract has {asked}"),
        }
    }

    #[test]
    fn every_key_of_the_contract_is_there_with_its_type() {
        let mut sample = Sample::new();
        // The bed that never broke has no cycle figures; they are null below.
        let _ = sample.run.beds.pop();
        hold(
            &document(&sample, UnitSystem::Metric),
            &contract(),
            "result",
        );
    }

    #[test]
    fn what_does_not_exist_is_null() {
        let mut sample = Sample::new();
        sample.run.line = None;
        sample.run.pump.energy_kwh_day = None;
        sample.run.pump.head = None;
        sample.run.beds[1].crown_pressure_min = f64::NAN;
        sample.assessment.checks[0].limit = f64::INFINITY;
        sample.run.residual = -0.0;
        let found = document(&sample, UnitSystem::Metric);
        let bed = &found["beds"][1];
        for key in [
            "period_s",
            "fill_s",
            "prime_s",
            "drain_s",
            "water_per_cycle_m3",
        ] {
            assert_eq!(bed.get(key), Some(&Value::Null), "{key}");
        }
        for value in [
            &found["drain_line"],
            &found["pump"]["energy_kwh_day"],
            &found["pump"]["energy_cost_day"],
            &found["pump"]["head_m"],
            &bed["crown_pressure_min_pa"],
            &bed["siphon_flow_at_break_m3_s"],
            &found["checks"][0]["limit"],
        ] {
            assert!(value.is_null());
        }
        assert_eq!(found["water_balance_residual_m3"].to_string(), "0.0");
    }

    #[test]
    fn figures_are_si_whatever_units_the_reader_asked_for() {
        let sample = Sample::new();
        let metric = document(&sample, UnitSystem::Metric);
        assert_eq!(metric, document(&sample, UnitSystem::Us));
        let bed = &metric["beds"][0];
        let near = |value: &Value, expected: f64| {
            assert!(
                (value.as_f64().unwrap() - expected).abs() < 1e-12,
                "{value}"
            );
        };
        // By hand from the sample: floor 0.95 m, gravel to 1.25 m, peak 1.193 m.
        near(&bed["peak_depth_m"], 0.243);
        near(&bed["dry_layer_m"], 0.057);
        // 0.912 kWh at 0.30 each.
        let mut priced = Sample::new();
        priced.system.pump.tariff = Some(0.30);
        let priced = document(&priced, UnitSystem::Metric);
        near(&priced["pump"]["energy_cost_day"], 0.2736);
        // Periods 1033.2 s and 1040.0 s.
        near(&bed["period_s"]["mean"], 1036.6);
        near(&bed["period_s"]["min"], 1033.2);
        near(&bed["period_s"]["max"], 1040.0);
        near(&bed["stall_flow_m3_s"], 24e-3 / 60.0);
        assert_eq!(metric["coincidences"][0]["second"], "south");
        assert_eq!(metric["drain_line"]["largest_bed"], "north");
    }
}
