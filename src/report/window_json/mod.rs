//! What `window` found as a JSON document with fixed keys, SI units.

mod levers;
mod map;
mod valves;

use serde::Serialize;

use crate::report::WindowReport;
use crate::report::json::{BandPart, Number, Range, band_part, range};
use crate::report::words::{regime_key, verdict_key};
use crate::siphon::InflowWindow;
use crate::study::widen::{Levers, certain_width, nominal_width};
use crate::study::window::{BedWindow, SplitWindow, Trust};
use levers::{LeverPart, OpeningPart, lever_part, opening_part};
use map::{MapPart, map_part};
use valves::{ValvesPart, valves_part};

pub(super) use map::unit_symbol;

impl WindowReport<'_> {
    /// One JSON document, indented, ending with a line break; everything is SI.
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

#[derive(Serialize)]
struct Document<'a> {
    schema: u32,
    version: &'static str,
    title: &'a str,
    beds: Vec<BedPart<'a>>,
    system: SystemPart<'a>,
    valves: ValvesPart<'a>,
    map: Option<MapPart<'a>>,
}

#[derive(Serialize)]
struct Ends {
    low: Number,
    high: Number,
}

fn ends((low, high): (f64, f64)) -> Ends {
    Ends {
        low: Number(low),
        high: Number(high),
    }
}

#[derive(Serialize)]
struct WindowPart {
    start_flow_m3_s: BandPart,
    run_on_flow_m3_s: BandPart,
    stall_flow_m3_s: BandPart,
    certain_width_m3_s: Number,
    nominal_width_m3_s: Number,
}

fn window_part(window: &InflowWindow) -> WindowPart {
    WindowPart {
        start_flow_m3_s: band_part(window.start),
        run_on_flow_m3_s: band_part(window.run_on),
        stall_flow_m3_s: band_part(window.stall),
        certain_width_m3_s: Number(certain_width(window)),
        nominal_width_m3_s: Number(nominal_width(window)),
    }
}

#[derive(Serialize)]
struct BedPart<'a> {
    name: &'a str,
    regime: &'static str,
    #[serde(flatten)]
    window: WindowPart,
    at_lowest_tail: WindowPart,
    tail_m: Ends,
    sump_at_break_m: Ends,
    inflow_m3_s: Range,
    inflow_at_start_m3_s: Number,
    inflow_at_break_m3_s: Number,
    margin_to_start_m3_s: BandPart,
    margin_to_run_on_m3_s: BandPart,
    margin_to_stall_m3_s: BandPart,
    will_start: &'static str,
    will_break: &'static str,
    certain_m3_s: Option<Ends>,
    nominal_m3_s: Option<Ends>,
    best_inflow_m3_s: Number,
    best_inflow_trust: &'static str,
    air_clearing_m3_s: [Number; 3],
    stack_capacity_m3_s: [Number; 2],
    levers: Vec<LeverPart>,
    opens_certain_window: Vec<OpeningPart>,
}

#[derive(Serialize)]
struct SystemPart<'a> {
    pump_flow_m3_s: Range,
    total_m3_s: Number,
    best_total_m3_s: Number,
    nominal_at_todays_split: SplitPart<'a>,
    certain_at_todays_split: SplitPart<'a>,
}

#[derive(Serialize)]
struct SplitPart<'a> {
    low_m3_s: Number,
    high_m3_s: Number,
    open: bool,
    starts_last: Option<&'a str>,
    breaks_first: Option<&'a str>,
}

impl<'a> Document<'a> {
    fn new(report: &WindowReport<'a>) -> Self {
        let WindowReport {
            system,
            windows,
            plan,
            levers,
            map,
            ..
        } = *report;
        let name = |i: usize| system.beds.get(i).map(|bed| bed.name.as_str());
        let split = |window: SplitWindow| SplitPart {
            low_m3_s: Number(window.low),
            high_m3_s: Number(window.high),
            open: window.is_open(),
            starts_last: name(window.starts_last),
            breaks_first: name(window.breaks_first),
        };
        let all = &windows.system;
        Self {
            schema: 1,
            version: env!("CARGO_PKG_VERSION"),
            title: &system.title,
            beds: system
                .beds
                .iter()
                .zip(&windows.beds)
                .zip(levers)
                .map(|((bed, found), levers)| bed_part(&bed.name, found, levers))
                .collect(),
            system: SystemPart {
                pump_flow_m3_s: range(all.pump),
                total_m3_s: Number(all.total),
                best_total_m3_s: Number(all.best_total),
                nominal_at_todays_split: split(all.nominal),
                certain_at_todays_split: split(all.certain),
            },
            valves: valves_part(system, plan),
            map: map.map(map_part),
        }
    }
}

fn bed_part<'a>(name: &'a str, found: &BedWindow, levers: &Levers) -> BedPart<'a> {
    let checks = &found.cross_checks;
    BedPart {
        name,
        regime: regime_key(found.regime),
        window: window_part(&found.window),
        at_lowest_tail: window_part(&found.widest),
        tail_m: ends(found.tail),
        sump_at_break_m: ends(found.sump_at_break),
        inflow_m3_s: range(found.today.range),
        inflow_at_start_m3_s: Number(found.today.at_start),
        inflow_at_break_m3_s: Number(found.today.at_break),
        margin_to_start_m3_s: band_part(found.margin_to_start()),
        margin_to_run_on_m3_s: band_part(found.margin_to_run_on()),
        margin_to_stall_m3_s: band_part(found.margin_to_stall()),
        will_start: verdict_key(found.will_start),
        will_break: verdict_key(found.will_break),
        certain_m3_s: found.certain().map(ends),
        nominal_m3_s: found.nominal().map(ends),
        best_inflow_m3_s: Number(found.best.flow),
        best_inflow_trust: trust_key(found.best.trust),
        air_clearing_m3_s: checks.air_clearing.map(Number),
        stack_capacity_m3_s: checks.stack.map(Number),
        levers: levers.levers.iter().map(lever_part).collect(),
        opens_certain_window: levers.openings.iter().map(opening_part).collect(),
    }
}

const fn trust_key(trust: Trust) -> &'static str {
    match trust {
        Trust::Certain => "certain",
        Trust::Nominal => "nominal",
        Trust::Doubtful => "doubtful",
        Trust::Hopeless => "none",
    }
}
