//! Figures of `window` that its text leaves out or says only in part.

use crate::answer::window::keys::{
    AIR_CLEARING, AMOUNT, AT_BREAK, AT_START, BEST, BEST_TOTAL, BEST_TRUST, BREAK_CHANGE,
    BREAKS_FIRST, BYPASS_FLOW, BYPASS_NOW, BYPASS_TO, BYPASS_VALVE, CERTAIN, CERTAIN_CHANGE,
    CERTAIN_WIDTH, DROWNED, GIVES, HEAD_CHANGE, HIGH, INFLOW, INSIDE, LEVER_WORD, LOSS, LOW,
    NEEDED, NOMINAL, NOMINAL_CHANGE, NOMINAL_WIDTH, NOT_POSSIBLE, OPEN, OPENS, OUTLET,
    OUTLET_DEPTH, PIPE_BORE, PUMP, REGIME, RUN_ON, SET, SET_BED, SET_TRUST, SHORT_BED, SIMULATED,
    STACK, STALL, START, STARTS_LAST, SUMP, SUMP_AT_BREAK, TAIL, TO_RUN_ON, TO_STALL, TO_START,
    TOTAL, WHAT, WILL_BREAK, WILL_START, WITHIN, WORKS,
};
use crate::answer::window::{WindowReport, levers};
use crate::answer::{At, Figure, Key, Text};
use crate::model::{Band, Bed};
use crate::report::{regime_key, verdict_key};
use crate::siphon::InflowWindow;
use crate::study::valves::{BedSetting, Setting, Shortfall};
use crate::study::widen::{Lever, Opening, Step, certain_width, nominal_width};
use crate::study::window::{BedWindow, SplitWindow, Trust};

/// All of them.
pub(super) fn figures(report: &WindowReport) -> Vec<Figure> {
    let top = report.top();
    let mut out = Vec::new();
    for (i, found) in report.windows.beds.iter().enumerate() {
        let at = top.item("beds", i);
        bed(&report.system.beds[i], found, &at, &mut out);
        for (k, lever) in report.levers[i].levers.iter().enumerate() {
            let bed = &report.system.beds[i];
            out.extend(text(levers::step(
                bed,
                lever.step,
                &at.item("levers", k).part("step"),
            )));
            of_lever(lever, &at.item("levers", k), &mut out);
        }
        for (k, opening) in report.levers[i].openings.iter().enumerate() {
            of_opening(opening, &at.item("opens_certain_window", k), &mut out);
        }
    }
    system(report, &top.part("system"), &mut out);
    plan(report, &top.part("valves"), &mut out);
    out
}

/// The figures of a text.
fn text(text: Text) -> Vec<Figure> {
    text.figures().cloned().collect()
}

fn band(at: &At, key: &Key, of: Band) -> Vec<Figure> {
    text(at.band(key, of))
}

fn ends(at: &At, key: &Key, of: (f64, f64)) -> Vec<Figure> {
    text(at.ends(key, "to", of))
}

fn window(of: &InflowWindow, at: &At, out: &mut Vec<Figure>) {
    for (key, of) in [(&START, of.start), (&RUN_ON, of.run_on), (&STALL, of.stall)] {
        out.extend(band(at, key, of));
    }
    out.push(at.figure(&CERTAIN_WIDTH, certain_width(of)));
    out.push(at.figure(&NOMINAL_WIDTH, nominal_width(of)));
}

fn bed(bed: &Bed, found: &BedWindow, at: &At, out: &mut Vec<Figure>) {
    let outlet = bed.siphon.drain.outlet;
    out.push(at.figure(&PIPE_BORE, bed.siphon.standpipe.bore));
    out.push(at.figure(&OUTLET, outlet));
    out.push(at.figure(&OUTLET_DEPTH, bed.floor - outlet));
    out.push(at.figure(&DROWNED, found.tail.1 - outlet));
    out.push(at.word(&REGIME, regime_key(found.regime)));
    window(&found.window, at, out);
    window(&found.widest, &at.part("at_lowest_tail"), out);
    out.extend(ends(at, &TAIL, found.tail));
    out.extend(ends(at, &SUMP_AT_BREAK, found.sump_at_break));
    out.extend(at.all_of(&INFLOW, found.today.range));
    out.push(at.figure(&AT_START, found.today.at_start));
    out.push(at.figure(&AT_BREAK, found.today.at_break));
    out.extend(band(at, &TO_START, found.margin_to_start()));
    out.extend(band(at, &TO_RUN_ON, found.margin_to_run_on()));
    out.extend(band(at, &TO_STALL, found.margin_to_stall()));
    out.push(at.word(&WILL_START, verdict_key(found.will_start)));
    out.push(at.word(&WILL_BREAK, verdict_key(found.will_break)));
    out.extend(
        found
            .certain()
            .into_iter()
            .flat_map(|of| ends(at, &CERTAIN, of)),
    );
    out.extend(
        found
            .nominal()
            .into_iter()
            .flat_map(|of| ends(at, &NOMINAL, of)),
    );
    out.push(at.figure(&BEST, found.best.flow));
    out.push(at.word(&BEST_TRUST, trust_key(found.best.trust)));
    out.extend(at.list(&AIR_CLEARING, found.cross_checks.air_clearing));
    out.extend(at.list(&STACK, found.cross_checks.stack));
}

fn of_lever(lever: &Lever, at: &At, out: &mut Vec<Figure>) {
    let name = match lever.step {
        Step::LowerOutlet(_) => "lower-outlet",
        Step::WiderPipe(_) => "wider-pipe",
        Step::NarrowerPipe(_) => "narrower-pipe",
        Step::Flare(_) => "flare",
        Step::WiderSlots(_) => "wider-slots",
        Step::AirTube { .. } => "air-tube",
    };
    out.push(at.word(&LEVER_WORD, name));
    match &lever.effect {
        Ok(effect) => {
            let at = at.part("effect");
            window(&effect.window, &at, out);
            out.push(at.figure(&CERTAIN_CHANGE, effect.certain));
            out.push(at.figure(&NOMINAL_CHANGE, effect.nominal));
            out.push(at.figure(&HEAD_CHANGE, effect.start_head));
            out.push(at.figure(&BREAK_CHANGE, effect.break_level));
        }
        Err(why) => out.push(at.word(&NOT_POSSIBLE, why.to_string())),
    }
}

fn of_opening(opening: &Opening, at: &At, out: &mut Vec<Figure>) {
    let (name, amount) = match *opening {
        Opening::LowerOutlet(by) => ("lower-outlet", by),
        Opening::SlotWidth(width) => ("wider-slots", width),
        Opening::Bore(bore) => ("narrower-pipe", bore),
    };
    out.push(at.word(&OPENS, name));
    out.push(at.figure(&AMOUNT, amount));
}

fn system(report: &WindowReport, at: &At, out: &mut Vec<Figure>) {
    let all = &report.windows.system;
    out.extend(at.all_of(&PUMP, all.pump));
    out.push(at.figure(&TOTAL, all.total));
    out.push(at.figure(&BEST_TOTAL, all.best_total));
    let mut split = |at: &At, of: SplitWindow| {
        out.push(at.figure(&LOW, of.low));
        out.push(at.figure(&HIGH, of.high));
        out.push(at.flag(&OPEN, of.is_open()));
        for (key, bed) in [
            (&STARTS_LAST, of.starts_last),
            (&BREAKS_FIRST, of.breaks_first),
        ] {
            out.extend(
                report
                    .system
                    .beds
                    .get(bed)
                    .map(|bed| at.word(key, &*bed.name)),
            );
        }
    };
    split(&at.part("nominal_at_todays_split"), all.nominal);
    split(&at.part("certain_at_todays_split"), all.certain);
}

fn plan(report: &WindowReport, at: &At, out: &mut Vec<Figure>) {
    let plan = report.plan;
    out.push(at.flag(&WORKS, plan.works()));
    out.extend(ends(at, &SUMP, plan.sump));
    for (i, (bed, found)) in report.system.beds.iter().zip(&plan.beds).enumerate() {
        let at = at.item("beds", i);
        out.push(at.word(&SET_BED, &*bed.name));
        setting(found, &at, out);
        let simulated = plan.regimes.get(i);
        out.extend(simulated.map(|regime| at.word(&SIMULATED, regime_key(*regime))));
    }
    if let Some(found) = plan.bypass {
        let at = at.part("bypass");
        out.extend(found.kind.map(|kind| at.word(&BYPASS_VALVE, kind.name())));
        out.push(at.figure(&BYPASS_NOW, found.now));
        out.push(at.figure(&BYPASS_TO, found.opening));
        out.extend(ends(&at, &BYPASS_FLOW, found.flow));
    }
    for (i, short) in plan.shortfalls.iter().enumerate() {
        shortfall(report, short, &at.item("short", i), out);
    }
}

fn setting(found: &BedSetting, at: &At, out: &mut Vec<Figure>) {
    let what = match &found.setting {
        Setting::Valve { now: Some(_), .. } => "valve",
        Setting::Valve { now: None, .. } => "new-valve",
        Setting::Unvalved => "nothing",
        Setting::Share { .. } => "share",
        Setting::Measured { .. } => "bucket",
    };
    out.push(at.word(&SET, what));
    if let Setting::Valve { k, .. } = &found.setting {
        out.push(at.figure(&LOSS, *k));
    }
    out.extend(ends(at, &GIVES, found.flow));
    out.extend(ends(at, &WITHIN, found.window));
    out.push(at.word(&SET_TRUST, trust_key(found.trust)));
    out.push(at.flag(&INSIDE, found.is_inside()));
}

fn shortfall(report: &WindowReport, short: &Shortfall, at: &At, out: &mut Vec<Figure>) {
    let (what, bed) = match *short {
        Shortfall::NoWindow { bed } => ("window", Some(bed)),
        Shortfall::Pump { .. } => ("pump", None),
        Shortfall::Branch { bed, .. } => ("branch-bore", Some(bed)),
        Shortfall::Trunk { .. } => ("trunk-bore", None),
        Shortfall::Bypass { .. } => ("bypass", None),
        Shortfall::Swing { bed, .. } => ("sump-swing", Some(bed)),
    };
    out.push(at.word(&WHAT, what));
    let bed = bed.and_then(|bed| report.system.beds.get(bed));
    out.extend(bed.map(|bed| at.word(&SHORT_BED, &*bed.name)));
    let needed = !matches!(short, Shortfall::Bypass { needed: false, .. });
    out.push(at.flag(&NEEDED, needed));
}

pub(super) const fn trust_key(trust: Trust) -> &'static str {
    match trust {
        Trust::Certain => "certain",
        Trust::Nominal => "nominal",
        Trust::Doubtful => "doubtful",
        Trust::Hopeless => "none",
    }
}
