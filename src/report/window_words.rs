//! The phrases of the window report.

use crate::assessment::Verdict;
use crate::hydraulics::pipe_sizes::{PipeSize, Schedule};
use crate::hydraulics::valves::ValveKind;
use crate::model::{Band, Bed, DrainTarget};
use crate::report::WindowReport;
use crate::report::words::{between, plain, spread};
use crate::simulation::{Regime, Spread};
use crate::siphon::InflowWindow;
use crate::study::map::{MapPoint, RegimeMap};
use crate::study::valves::{BedSetting, Setting, Shortfall, least_opening};
use crate::study::widen::{Effect, Lever, Levers, Opening, Step, certain_width};
use crate::study::window::{BedWindow, SplitWindow, Trust};
use crate::units::UnitSystem;

pub(super) use crate::report::words::flow_band;

/// A bed's name in quotes.
pub(super) fn name(bed: &Bed) -> String {
    format!("\"{}\"", plain(&bed.name))
}

pub(super) fn bed_heading(bed: &Bed, units: UnitSystem) -> String {
    let pipe = &bed.siphon.standpipe;
    format!(
        "Bed {}: standpipe of {} bore, outlet {} below its floor",
        name(bed),
        units.bore(pipe.bore),
        units.length(bed.floor - bed.siphon.drain.outlet)
    )
}

/// The verdict over all beds in one or two sentences.
pub(super) fn headline(report: &WindowReport) -> String {
    let of = |holds: &dyn Fn(&BedWindow) -> bool| -> Vec<String> {
        let beds = report.system.beds.iter().zip(&report.windows.beds);
        beds.filter(|(_, found)| holds(found))
            .map(|(bed, _)| name(bed))
            .collect()
    };
    let failing = of(&BedWindow::certainly_fails);
    let unsure = of(&|found| {
        let certain = found.will_start == Verdict::Will && found.will_break == Verdict::Will;
        !found.certainly_fails() && !certain
    });
    let mut said = Vec::new();
    if !failing.is_empty() {
        said.push(format!(
            "With today's inflow {} cannot work, whatever the soft coefficients are within their \
             bands.",
            listed(&failing)
        ));
    }
    if !unsure.is_empty() {
        said.push(format!(
            "Nobody can say for sure whether today's inflow suits {}: it lies inside a band.",
            listed(&unsure)
        ));
    }
    if said.is_empty() {
        said.push(
            "Today's inflow starts and breaks every siphon, whatever the soft coefficients are \
             within their bands."
                .to_owned(),
        );
    }
    let otherwise: Vec<String> = report
        .system
        .beds
        .iter()
        .zip(&report.windows.beds)
        .filter(|(_, found)| {
            found.regime != Regime::Cycles
                && found.will_start == Verdict::Will
                && found.will_break == Verdict::Will
        })
        .map(|(bed, found)| format!("{} {}", name(bed), regime_words(found.regime)))
        .collect();
    if !otherwise.is_empty() {
        said.push(format!(
            "In the run {} all the same: the inflow is not to blame, `ebbwright run` says what is.",
            listed(&otherwise)
        ));
    }
    if !(failing.is_empty() && unsure.is_empty()) {
        said.push(if report.plan.works() {
            "The valve settings below put every bed inside its window.".to_owned()
        } else {
            "No valve setting alone mends that; what is short is named below.".to_owned()
        });
    }
    said.join(" ")
}

pub(super) fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// What the outlet looks at when the bed comes to its break level.
pub(super) fn tail(bed: &Bed, found: &BedWindow, units: UnitSystem) -> String {
    const SEEN: f64 = 0.0005;
    let outlet = bed.siphon.drain.outlet;
    let (low, high) = found.tail;
    let sump = match found.sump_at_break {
        (a, b) if b - a < SEEN => units.elevation(b),
        (a, b) => between(&units.elevation(a), "to", &units.elevation(b)),
    };
    let into_line = matches!(bed.siphon.drain.into, DrainTarget::Line { .. });
    if high <= outlet + SEEN {
        let place = if into_line {
            "in the line"
        } else {
            "over the sump"
        };
        return format!(
            "its own end at {}, free {place}; sump at the break: {sump}",
            units.elevation(outlet)
        );
    }
    let drowned = units.length(high - outlet);
    if into_line {
        format!(
            "the drain line's grade, {} running alone and {} with every siphon of the line running; \
             its end is then up to {drowned} under",
            units.elevation(low),
            units.elevation(high)
        )
    } else {
        format!("the sump at {sump}, which drowns its end by up to {drowned}")
    }
}

/// The wider window against the lowest tail, where that differs as printed.
pub(super) fn widest(bed: &Bed, found: &BedWindow, units: UnitSystem) -> Option<String> {
    let when = match bed.siphon.drain.into {
        DrainTarget::Line { .. } => "with its siphon running alone",
        DrainTarget::Sump => "with the sump at its lowest",
    };
    let (narrow, wide) = (&found.window, &found.widest);
    let differs = |a: Band, b: Band| flow_band(a, units) != flow_band(b, units);
    (differs(narrow.run_on, wide.run_on) || differs(narrow.stall, wide.stall)).then(|| {
        format!(
            "{when} it runs on above {} and stalls above {}",
            flow_band(wide.run_on, units),
            flow_band(wide.stall, units)
        )
    })
}

pub(super) fn today(found: &BedWindow, units: UnitSystem) -> String {
    let regime = regime_words(found.regime);
    format!(
        "{}; in the run it {regime}",
        spread_flow(found.today.range, units)
    )
}

const fn regime_words(regime: Regime) -> &'static str {
    match regime {
        Regime::Cycles => "cycles",
        Regime::Dribbles => "dribbles and never starts",
        Regime::Stalls => "runs full for ever",
        Regime::RunsOn => "runs on and never breaks",
        Regime::Overflows => "overflows",
        Regime::NeverFills => "never fills to its lip",
    }
}

pub(super) fn spread_flow(of: Spread, units: UnitSystem) -> String {
    spread(of, |q| units.flow(q))
}

/// A margin to an edge: `2.0 L/min over it, at worst 0.3 L/min short of it`.
pub(super) fn margin(margin: Band, inside: &str, outside: &str, units: UnitSystem) -> String {
    let one = |value: f64| {
        let side = if value < 0.0 { outside } else { inside };
        (units.flow(value.abs()), side)
    };
    let (nominal, side) = one(margin.nominal);
    let (worst, worst_side) = one(margin.low);
    let worst = if worst_side == side {
        worst
    } else {
        format!("{worst} {worst_side} it")
    };
    format!("{nominal} {side} it, at worst {worst}")
}

pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Will => "will, whatever the coefficients are within their bands",
        Verdict::Uncertain => "uncertain: inside a band, or the run shows otherwise",
        Verdict::WillNot => "will not, whatever the coefficients are within their bands",
    }
}

pub(super) fn best(found: &BedWindow, units: UnitSystem) -> String {
    let flow = units.flow(found.best.flow);
    let range = |(low, high): (f64, f64)| between(&units.flow(low), "to", &units.flow(high));
    match (found.best.trust, found.certain(), found.nominal()) {
        (Trust::Certain, Some(window), _) => format!(
            "{flow}, the middle of what starts and breaks it in every case, {}",
            range(window)
        ),
        (Trust::Nominal, _, Some(window)) => format!(
            "{flow}, as far inside both bands as can be; it works with the nominal coefficients \
             from {}, but no inflow works in every case",
            range(window)
        ),
        (Trust::Hopeless, ..) => {
            format!("{flow} is the least bad; no inflow both starts and breaks it")
        }
        _ => format!(
            "{flow} is the least bad; with the nominal coefficients no inflow both starts and \
             breaks it"
        ),
    }
}

pub(super) fn cross_checks(found: &BedWindow, units: UnitSystem) -> String {
    let [first, _, last] = found.cross_checks.air_clearing;
    let [low, high] = found.cross_checks.stack;
    let range = |a: f64, b: f64| between(&units.flow(a), "to", &units.flow(b));
    format!(
        "a full pipe of this bore clears its air at {}; a drainage stack carries {} at 7/24 to 1/3 \
         full",
        range(first, last),
        range(low, high)
    )
}

/// Totals between which all beds work at today's split.
pub(super) fn split(report: &WindowReport, window: SplitWindow, which: &str) -> String {
    let units = report.units;
    let bed = |i: usize| report.system.beds.get(i).map_or_else(String::new, name);
    if window.is_open() {
        return format!(
            "{} in all at today's split, {which}; {} starts last, {} stops breaking first",
            between(&units.flow(window.low), "to", &units.flow(window.high)),
            bed(window.starts_last),
            bed(window.breaks_first)
        );
    }
    format!(
        "at today's split no total does, {which}: {} starts from {} in all, {} breaks up to {}",
        bed(window.starts_last),
        units.flow(window.low),
        bed(window.breaks_first),
        units.flow(window.high)
    )
}

/// The bucket to time a flow with [m3], and its name.
pub(super) const fn bucket(units: UnitSystem) -> (f64, &'static str) {
    match units {
        UnitSystem::Metric => (0.010, "10 L"),
        UnitSystem::Us => (5.0 * 231.0 * 0.0254 * 0.0254 * 0.0254, "5 gal"),
    }
}

/// Bed, what to set, what it gives, bucket time, window.
pub(super) fn setting(bed: &Bed, found: &BedSetting, units: UnitSystem) -> [String; 5] {
    let (low, high) = found.flow;
    let (size, _) = bucket(units);
    let mean = 0.5 * (low + high);
    let opening = |opening: f64| format!("{:.0} %", 100.0 * opening);
    let set = match &found.setting {
        Setting::Valve {
            kind,
            now: Some(now),
            opening: to,
            ..
        } => {
            format!("{} {} -> {}", kind.name(), opening(*now), opening(*to))
        }
        Setting::Valve {
            kind,
            now: None,
            opening: to,
            ..
        } => {
            format!("fit a {}, {}", kind.name(), opening(*to))
        }
        Setting::Unvalved => "nothing: no valve".to_owned(),
        Setting::Share { now, share } => format!("share {now:.3} -> {share:.3}"),
        Setting::Measured { now } => format!("bucket, from {}", units.flow(*now)),
    };
    let window = match found.trust {
        Trust::Certain | Trust::Nominal => between(
            &units.flow(found.window.0),
            "to",
            &units.flow(found.window.1),
        ),
        _ => "none".to_owned(),
    };
    let gives = if units.flow(low) == units.flow(high) {
        units.flow(low)
    } else {
        between(&units.flow(low), "to", &units.flow(high))
    };
    let fills = if mean > 0.0 {
        units.time((size / mean).round())
    } else {
        "never".to_owned()
    };
    [plain(&bed.name), set, gives, fills, window]
}

pub(super) fn plan_verdict(report: &WindowReport) -> String {
    let (units, plan) = (report.units, report.plan);
    let (low, high) = plan.sump;
    let beds = if plan.beds.len() == 1 {
        "the bed"
    } else {
        "every bed"
    };
    let verdict = if plan.works() {
        let doubt = plan.beds.iter().any(|bed| bed.trust == Trust::Nominal);
        let kind = if doubt {
            "its window, of which the bands leave some in doubt"
        } else {
            "its certain window"
        };
        format!("These settings put {beds} inside {kind}")
    } else {
        format!("No setting puts {beds} inside its window; these come nearest")
    };
    let simulated = if plan.regimes.is_empty() {
        String::new()
    } else if plan.regimes.iter().all(|&regime| regime == Regime::Cycles) {
        format!(" Simulated with them, {beds} cycles.")
    } else if plan.draws_air {
        " Simulated with them, not every bed cycles: the pump draws air, the sump holds too little."
            .to_owned()
    } else {
        " Simulated with them, not every bed cycles.".to_owned()
    };
    format!(
        "{verdict}, with the sump anywhere from {} to {}.{simulated}",
        units.elevation(low),
        units.elevation(high)
    )
}

pub(super) fn shortfall(report: &WindowReport, short: &Shortfall) -> String {
    let units = report.units;
    let bed = |i: usize| report.system.beds.get(i).map_or_else(String::new, name);
    match *short {
        Shortfall::NoWindow { bed: i } => format!(
            "{} has no inflow that both starts and breaks it with the nominal coefficients: widen \
             its window first, see below.",
            bed(i)
        ),
        Shortfall::Pump {
            flow,
            head: Some(head),
            has,
        } => format!(
            "The pump is short: it would have to give {} at a head of {}, and has {} there.",
            units.flow(flow),
            units.head(head),
            units.head(has)
        ),
        Shortfall::Pump {
            flow,
            head: None,
            has,
        } => format!(
            "The pump is short: the beds need at least {} together, and it gives {}.",
            units.flow(flow),
            units.flow(has)
        ),
        Shortfall::Branch {
            bed: i,
            bore,
            needed,
        } => format!(
            "Or the branch of {} is too narrow: today's pump would do with {} bore or more instead \
             of {}.",
            bed(i),
            units.bore(up(needed, units)),
            units.bore(bore)
        ),
        Shortfall::Trunk { bore, needed } => format!(
            "Or the pipe from the pump is too narrow: today's pump would do with {} bore or more \
             instead of {}.",
            units.bore(up(needed, units)),
            units.bore(bore)
        ),
        Shortfall::Bypass { flow, needed: true } => format!(
            "More comes than the beds can take: a bypass has to lead at least {} back to the sump.",
            units.flow(flow)
        ),
        Shortfall::Bypass {
            flow,
            needed: false,
        } => format!(
            "A valve would be all but shut, where a touch of the handle changes the flow by half: a \
             bypass that leads {} back to the sump would let every valve stand where it can be set.",
            units.flow(flow)
        ),
        Shortfall::Swing {
            bed: i,
            swing,
            width,
        } => format!(
            "Between the highest and the lowest sump level the inflow of {} changes by {}, more than \
             the {} its window is wide: a wider sump, or a pump whose flow depends less on its lift.",
            bed(i),
            units.flow(swing),
            units.flow(width)
        ),
    }
}

/// A bore rounded up to what is printed.
fn up(bore: f64, units: UnitSystem) -> f64 {
    let step = match units {
        UnitSystem::Metric => 1e-4,
        UnitSystem::Us => 2.54e-4,
    };
    (bore / step - 1e-9).ceil() * step
}

pub(super) fn bypass(report: &WindowReport) -> Option<String> {
    let (units, found) = (report.units, report.plan.bypass?);
    let gives = between(&units.flow(found.flow.0), "to", &units.flow(found.flow.1));
    let percent = |opening: f64| format!("{:.0} %", 100.0 * opening);
    Some(match found.kind {
        _ if found.opening == found.now => {
            format!("The bypass stays as it is and carries {gives}.")
        }
        Some(_) if found.opening <= 0.0 => "Shut the bypass.".to_owned(),
        Some(kind) => format!(
            "Turn the {} valve of the bypass from {} to {} open; it then carries {gives}.",
            kind.name(),
            percent(found.now),
            percent(found.opening)
        ),
        None => format!("The bypass has no valve and carries {gives}."),
    })
}

/// How to bring the settings to the real valves.
pub(super) fn how_to_set(report: &WindowReport) -> Vec<String> {
    let (_, what) = bucket(report.units);
    let mut notes = Vec::new();
    let valves: Vec<(ValveKind, f64)> = report
        .plan
        .beds
        .iter()
        .filter_map(|bed| match bed.setting {
            Setting::Valve { kind, opening, .. } => Some((kind, opening)),
            _ => None,
        })
        .collect();
    if !valves.is_empty() {
        let round = if valves.len() > 1 {
            ", and go round all beds twice: each valve changes the flow of the others"
        } else {
            ""
        };
        notes.push(format!(
            "Openings are from 0 % shut to 100 % open (a ball valve: its angle). Turn there, then let a {what} bucket and a stopwatch decide{round}. Published \
             losses of one and the same throttled valve differ up to 3.5 times."
        ));
    }
    if valves
        .iter()
        .any(|&(kind, opening)| opening < least_opening(kind))
    {
        notes.push(
            "An opening below a third (ball) or a quarter (gate) is beyond the published tables: \
             rough."
                .to_owned(),
        );
    }
    let shares: f64 = report
        .plan
        .beds
        .iter()
        .filter_map(|bed| match bed.setting {
            Setting::Share { share, .. } => Some(share),
            _ => None,
        })
        .sum();
    if shares > 0.0 && shares < 0.9995 {
        notes.push(format!(
            "The shares add up to {}; the rest has to go back to the sump.",
            report.units.percent(shares)
        ));
    }
    notes
}

/// The row of the bed as it is.
pub(super) fn as_built(found: &BedWindow, units: UnitSystem) -> [String; 5] {
    window_row("as it is".to_owned(), &found.window, None, units)
}

pub(super) fn lever(bed: &Bed, lever: &Lever, effect: &Effect, units: UnitSystem) -> [String; 5] {
    window_row(
        step(bed, lever.step, units),
        &effect.window,
        Some(effect.certain),
        units,
    )
}

/// Nominal flows, the width of the certain window, and its change.
fn window_row(
    what: String,
    window: &InflowWindow,
    change: Option<f64>,
    units: UnitSystem,
) -> [String; 5] {
    let width = certain_width(window);
    let (factor, _) = units.flow_axis();
    let certain = match change {
        _ if width <= 0.0 => "none".to_owned(),
        None => units.flow(width),
        Some(change) if (change * factor).abs() < 0.05 => format!("{} (same)", units.flow(width)),
        Some(change) => format!("{} ({:+.1})", units.flow(width), change * factor),
    };
    [
        what,
        units.flow(window.start.nominal),
        units.flow(window.run_on.nominal),
        units.flow(window.stall.nominal),
        certain,
    ]
}

/// What a step is, in a few words.
pub(super) fn step(bed: &Bed, step: Step, units: UnitSystem) -> String {
    match step {
        Step::LowerOutlet(by) => format!("outlet {} lower", units.length(by)),
        Step::WiderPipe(Some(size)) | Step::NarrowerPipe(Some(size)) => {
            format!("pipe {}, {}", size_name(size), units.bore(size.bore))
        }
        Step::WiderPipe(None) => "next size of pipe up".to_owned(),
        Step::NarrowerPipe(None) => "next size of pipe down".to_owned(),
        Step::Flare(diameter) => format!("lip flared to {}", units.bore(diameter)),
        Step::WiderSlots(width) => format!("slots {} wide", units.length(width)),
        Step::AirTube { bore, mouth } => format!(
            "air tube {}, mouth at {}",
            units.bore(bore),
            units.length(mouth - bed.floor)
        ),
    }
}

fn size_name(size: &PipeSize) -> String {
    let unit = match size.schedule {
        Schedule::Sch40 | Schedule::Sch80 => "in",
        Schedule::Pn10 | Schedule::Pn16 => "mm",
    };
    format!("{} {unit} {}", size.nominal, size.schedule.name())
}

/// Remarks under the table of levers.
pub(super) fn lever_notes(
    bed: &Bed,
    found: &BedWindow,
    levers: &Levers,
    units: UnitSystem,
) -> Vec<String> {
    let mut notes = Vec::new();
    if let (DrainTarget::Line { .. }, Some(_)) = (&bed.siphon.drain.into, widest(bed, found, units))
    {
        notes.push(format!(
            "First of all the drain line is in the way: in a wider line, or with a pipe of its own, \
             it would run on above {} and stall above {}.",
            units.flow(found.widest.run_on.nominal),
            units.flow(found.widest.stall.nominal)
        ));
    }
    if !levers.openings.is_empty() {
        let ways: Vec<String> = levers
            .openings
            .iter()
            .map(|opening| match *opening {
                Opening::LowerOutlet(by) => format!("the outlet {} lower", units.length(by)),
                Opening::SlotWidth(width) => format!("slots {} wide each", units.length(width)),
                Opening::Bore(bore) => {
                    format!("standpipe and drain of at most {} bore", units.bore(bore))
                }
            })
            .collect();
        notes.push(format!(
            "The bands leave no certain window today. Alone, any of these opens one: {}.",
            ways.join("; ")
        ));
    }
    for lever in &levers.levers {
        let Ok(effect) = &lever.effect else { continue };
        match lever.step {
            Step::Flare(_) => notes.push(format!(
                "A flare changes no flow here, because the start is counted on the bore; the water \
                 stands {} lower when it starts. That it also helps the start is known from \
                 practice, without a published figure.",
                units.length(-effect.start_head)
            )),
            Step::AirTube { .. } => notes.push(format!(
                "The air tube breaks the siphon {} higher and leaves that much more water in the bed.",
                units.length(effect.break_level)
            )),
            Step::LowerOutlet(_) => {
                notes.push("Bed and siphon raised by as much do what a lower outlet does.".to_owned());
            }
            _ => {}
        }
    }
    notes
}

pub(super) fn map(map: &RegimeMap, units: UnitSystem) -> String {
    let plan = &map.plan;
    let count = |holds: &dyn Fn(&MapPoint) -> bool| {
        let found = map.cells.iter().filter(|cell| holds(cell)).count();
        let share = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        units.percent(share(found) / share(map.cells.len()))
    };
    let certain =
        count(&|cell| matches!(cell, MapPoint::Simulated(found) if found.certainly_cycles()));
    let doubtful =
        count(&|cell| matches!(cell, MapPoint::Simulated(found) if !found.doubt().is_none()));
    format!(
        "{} x {} points over {} and {}, bed \"{}\" alone: {certain} of them cycle whatever the \
         coefficients are within their bands, {doubtful} are in doubt. A timer, a float valve, \
         losses and incidents are left out of the map.",
        plan.points,
        plan.points,
        plan.x.quantity.words(),
        plan.y.quantity.words(),
        plain(&plan.bed)
    )
}

/// What the figures rest on.
pub(super) fn trust(report: &WindowReport) -> Vec<String> {
    let mut notes = vec![
        "Start: pipe Froude number 0.30 to 0.60 from self-venting and outlet practice. Run-on: \
         derived here from air-carrying limits of downward pipes; no measured siphon to hold it \
         against. Your own stopwatch narrows both: put what you measure into [coefficients]."
            .to_owned(),
    ];
    if report.run.sump.ran_dry > 0.0 {
        notes.push(
            "In the run the pump drew air; the inflow just before counts here as the least."
                .to_owned(),
        );
    }
    notes
}
