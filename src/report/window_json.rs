//! What `window` found as a JSON document with fixed keys, SI units.

use serde::Serialize;

use crate::report::WindowReport;
use crate::report::json::{BandPart, Number, Range, band_part, range};
use crate::report::words::{regime_key, verdict_key};
use crate::simulation::Regime;
use crate::siphon::InflowWindow;
use crate::study::map::{MapAxis, MapPoint, RegimeMap};
use crate::study::map_quantity::{MapQuantity, MapUnit};
use crate::study::valves::{BedSetting, Setting, Shortfall};
use crate::study::widen::{Lever, Levers, Opening, Step, certain_width, nominal_width};
use crate::study::window::{BedWindow, SplitWindow, Trust};

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
struct LeverPart {
    lever: &'static str,
    step: StepPart,
    effect: Option<EffectPart>,
    not_possible: Option<String>,
}

#[derive(Serialize)]
struct StepPart {
    #[serde(skip_serializing_if = "Option::is_none")]
    by_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    nominal: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    schedule: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bore_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    diameter_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    width_m: Option<Number>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mouth_m: Option<Number>,
}

#[derive(Serialize)]
struct EffectPart {
    #[serde(flatten)]
    window: WindowPart,
    certain_change_m3_s: Number,
    nominal_change_m3_s: Number,
    start_head_change_m: Number,
    break_level_change_m: Number,
}

#[derive(Serialize)]
struct OpeningPart {
    lever: &'static str,
    amount_m: Number,
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

#[derive(Serialize)]
struct ValvesPart<'a> {
    works: bool,
    sump_m: Ends,
    beds: Vec<SettingPart<'a>>,
    bypass: Option<BypassPart>,
    short: Vec<ShortPart<'a>>,
}

#[derive(Serialize)]
struct SettingPart<'a> {
    name: &'a str,
    set: &'static str,
    valve: Option<&'static str>,
    now: Option<Number>,
    to: Option<Number>,
    k: Option<Number>,
    flow_m3_s: Ends,
    window_m3_s: Ends,
    trust: &'static str,
    inside: bool,
    simulated: Option<&'static str>,
}

#[derive(Serialize)]
struct BypassPart {
    valve: Option<&'static str>,
    now: Number,
    to: Number,
    flow_m3_s: Ends,
}

#[derive(Serialize)]
struct ShortPart<'a> {
    what: &'static str,
    bed: Option<&'a str>,
    flow_m3_s: Option<Number>,
    head_m: Option<Number>,
    bore_m: Option<Number>,
    needed: bool,
}

#[derive(Serialize)]
struct MapPart<'a> {
    bed: &'a str,
    points: usize,
    x: AxisPart,
    y: AxisPart,
    legend: Vec<(char, &'static str)>,
    rows_from: &'static str,
    nominal: Vec<String>,
    starts_latest: Vec<String>,
    breaks_hardest: Vec<String>,
}

#[derive(Serialize)]
struct AxisPart {
    quantity: &'static str,
    unit: &'static str,
    from: Number,
    to: Number,
    today: Number,
    values: Vec<Number>,
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
            valves: ValvesPart {
                works: plan.works(),
                sump_m: ends(plan.sump),
                beds: system
                    .beds
                    .iter()
                    .zip(&plan.beds)
                    .enumerate()
                    .map(|(i, (bed, setting))| {
                        setting_part(&bed.name, setting, plan.regimes.get(i).copied())
                    })
                    .collect(),
                bypass: plan.bypass.map(|found| BypassPart {
                    valve: found.kind.map(|kind| kind.name()),
                    now: Number(found.now),
                    to: Number(found.opening),
                    flow_m3_s: ends(found.flow),
                }),
                short: plan
                    .shortfalls
                    .iter()
                    .map(|short| short_part(short, name))
                    .collect(),
            },
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
        opens_certain_window: levers
            .openings
            .iter()
            .map(|opening| match *opening {
                Opening::LowerOutlet(by) => OpeningPart {
                    lever: "lower-outlet",
                    amount_m: Number(by),
                },
                Opening::SlotWidth(width) => OpeningPart {
                    lever: "wider-slots",
                    amount_m: Number(width),
                },
                Opening::Bore(bore) => OpeningPart {
                    lever: "narrower-pipe",
                    amount_m: Number(bore),
                },
            })
            .collect(),
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

fn lever_part(lever: &Lever) -> LeverPart {
    let mut step = StepPart {
        by_m: None,
        nominal: None,
        schedule: None,
        bore_m: None,
        diameter_m: None,
        width_m: None,
        mouth_m: None,
    };
    let name = match lever.step {
        Step::LowerOutlet(by) => {
            step.by_m = Some(Number(by));
            "lower-outlet"
        }
        Step::WiderPipe(size) | Step::NarrowerPipe(size) => {
            step.nominal = size.map(|size| size.nominal);
            step.schedule = size.map(|size| size.schedule.name());
            step.bore_m = size.map(|size| Number(size.bore));
            if matches!(lever.step, Step::WiderPipe(_)) {
                "wider-pipe"
            } else {
                "narrower-pipe"
            }
        }
        Step::Flare(diameter) => {
            step.diameter_m = Some(Number(diameter));
            "flare"
        }
        Step::WiderSlots(width) => {
            step.width_m = Some(Number(width));
            "wider-slots"
        }
        Step::AirTube { bore, mouth } => {
            step.bore_m = Some(Number(bore));
            step.mouth_m = Some(Number(mouth));
            "air-tube"
        }
    };
    LeverPart {
        lever: name,
        step,
        effect: lever.effect.as_ref().ok().map(|effect| EffectPart {
            window: window_part(&effect.window),
            certain_change_m3_s: Number(effect.certain),
            nominal_change_m3_s: Number(effect.nominal),
            start_head_change_m: Number(effect.start_head),
            break_level_change_m: Number(effect.break_level),
        }),
        not_possible: lever.effect.as_ref().err().map(ToString::to_string),
    }
}

fn setting_part<'a>(
    name: &'a str,
    found: &BedSetting,
    simulated: Option<Regime>,
) -> SettingPart<'a> {
    let mut part = SettingPart {
        name,
        set: "nothing",
        valve: None,
        now: None,
        to: None,
        k: None,
        flow_m3_s: ends(found.flow),
        window_m3_s: ends(found.window),
        trust: trust_key(found.trust),
        inside: found.is_inside(),
        simulated: simulated.map(regime_key),
    };
    match &found.setting {
        Setting::Valve {
            kind,
            now,
            opening,
            k,
        } => {
            part.set = if now.is_some() { "valve" } else { "new-valve" };
            part.valve = Some(kind.name());
            part.now = now.map(Number);
            part.to = Some(Number(*opening));
            part.k = Some(Number(*k));
        }
        Setting::Unvalved => {}
        Setting::Share { now, share } => {
            part.set = "share";
            part.now = Some(Number(*now));
            part.to = Some(Number(*share));
        }
        Setting::Measured { now } => {
            part.set = "bucket";
            part.now = Some(Number(*now));
        }
    }
    part
}

fn short_part<'a>(short: &Shortfall, name: impl Fn(usize) -> Option<&'a str>) -> ShortPart<'a> {
    let blank = ShortPart {
        what: "",
        bed: None,
        flow_m3_s: None,
        head_m: None,
        bore_m: None,
        needed: true,
    };
    match *short {
        Shortfall::NoWindow { bed } => ShortPart {
            what: "window",
            bed: name(bed),
            ..blank
        },
        Shortfall::Pump { flow, head, .. } => ShortPart {
            what: "pump",
            flow_m3_s: Some(Number(flow)),
            head_m: head.map(Number),
            ..blank
        },
        Shortfall::Branch { bed, needed, .. } => ShortPart {
            what: "branch-bore",
            bed: name(bed),
            bore_m: Some(Number(needed)),
            ..blank
        },
        Shortfall::Trunk { needed, .. } => ShortPart {
            what: "trunk-bore",
            bore_m: Some(Number(needed)),
            ..blank
        },
        Shortfall::Bypass { flow, needed } => ShortPart {
            what: "bypass",
            flow_m3_s: Some(Number(flow)),
            needed,
            ..blank
        },
        Shortfall::Swing { bed, swing, .. } => ShortPart {
            what: "sump-swing",
            bed: name(bed),
            flow_m3_s: Some(Number(swing)),
            ..blank
        },
    }
}

/// Letters of the map's rows.
const LETTERS: [(char, &str); 8] = [
    ('c', "cycles"),
    ('d', "dribbles"),
    ('n', "never-fills"),
    ('r', "runs-on"),
    ('s', "stalls"),
    ('o', "overflows"),
    ('x', "cannot be built"),
    ('?', "the simulation gave up"),
];

fn letter(point: &MapPoint, corner: usize) -> char {
    match point {
        MapPoint::Simulated(found) => {
            let key = regime_key(found.regimes[corner]);
            LETTERS
                .iter()
                .find(|(_, name)| *name == key)
                .map_or('?', |(letter, _)| *letter)
        }
        MapPoint::Unbuildable(_) => 'x',
        MapPoint::Failed(_) => '?',
    }
}

fn map_part(map: &RegimeMap) -> MapPart<'_> {
    let plan = &map.plan;
    let rows = |corner: usize| {
        map.cells
            .chunks(plan.points)
            .map(|row| row.iter().map(|point| letter(point, corner)).collect())
            .collect()
    };
    MapPart {
        bed: &plan.bed,
        points: plan.points,
        x: axis_part(&plan.x, plan.points, plan.here.0),
        y: axis_part(&plan.y, plan.points, plan.here.1),
        legend: LETTERS.to_vec(),
        rows_from: "one text per y, lowest first; one letter per x, lowest first",
        nominal: rows(0),
        starts_latest: rows(1),
        breaks_hardest: rows(2),
    }
}

fn axis_part(axis: &MapAxis, points: usize, today: f64) -> AxisPart {
    AxisPart {
        quantity: axis.quantity.key(),
        unit: unit_symbol(axis.quantity),
        from: Number(axis.from),
        to: Number(axis.to),
        today: Number(today),
        values: (0..points).map(|k| Number(axis.value(k, points))).collect(),
    }
}

/// SI symbol of a quantity's unit.
pub(super) const fn unit_symbol(quantity: MapQuantity) -> &'static str {
    match quantity.unit() {
        MapUnit::Flow => "m3/s",
        MapUnit::Length => "m",
        MapUnit::Area => "m2",
        MapUnit::Temperature => "degC",
        MapUnit::Number => "1",
    }
}
