//! The phrases on valve settings.

use crate::answer::bucket::bucket;
use crate::answer::window::WindowReport;
use crate::answer::window::keys::{
    BYPASS_FLOW, BYPASS_NOW, BYPASS_TO, BYPASS_VALVE, FILLS, GIVES, NOW, NOW_FLOW, SHARES,
    SHORT_BED, SHORT_BORE, SHORT_FLOW, SHORT_HAS, SHORT_HEAD, SHORT_NOW, SUMP, TO, VALVE, WITHIN,
};
use crate::answer::window::words::name;
use crate::answer::{At, Key, Text, said};
use crate::hydraulics::valves::ValveKind;
use crate::model::Bed;
use crate::simulation::Regime;
use crate::study::valves::{BedSetting, Setting, Shortfall, least_opening};
use crate::study::window::Trust;
use crate::units::UnitSystem;

fn percent(opening: f64) -> String {
    format!("{:.0} %", 100.0 * opening)
}

/// Bed, what to set, what it gives, bucket time, window.
pub(super) fn setting(bed: &Bed, found: &BedSetting, at: &At) -> Vec<Text> {
    let units = at.units();
    let (low, high) = found.flow;
    let (size, _) = bucket(units);
    let mean = 0.5 * (low + high);
    let opening = |key, opening: f64| at.shown(key, opening, percent(opening));
    let set = match &found.setting {
        Setting::Valve {
            kind,
            now: Some(now),
            opening: to,
            ..
        } => said!(
            "{} {} -> {}",
            at.word(&VALVE, kind.name()),
            opening(&NOW, *now),
            opening(&TO, *to)
        ),
        Setting::Valve {
            kind,
            now: None,
            opening: to,
            ..
        } => said!(
            "fit a {}, {}",
            at.word(&VALVE, kind.name()),
            opening(&TO, *to)
        ),
        Setting::Unvalved => "nothing: no valve".into(),
        Setting::Share { now, share } => said!(
            "share {} -> {}",
            at.shown(&NOW, *now, format!("{now:.3}")),
            at.shown(&TO, *share, format!("{share:.3}"))
        ),
        Setting::Measured { now } => said!("bucket, from {}", at.figure(&NOW_FLOW, *now)),
    };
    let window = match found.trust {
        Trust::Certain | Trust::Nominal => at.ends(&WITHIN, "to", found.window),
        _ => "none".into(),
    };
    let gives = if units.flow(low) == units.flow(high) {
        at.named(&GIVES, "low", low).into()
    } else {
        at.ends(&GIVES, "to", found.flow)
    };
    let fills = if mean > 0.0 {
        at.figure(&FILLS, (size / mean).round()).into()
    } else {
        "never".into()
    };
    vec![bed.name.as_str().into(), set, gives, fills, window]
}

pub(super) fn plan_verdict(report: &WindowReport, at: &At) -> Text {
    let plan = report.plan;
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
        " They were not simulated: that gave no answer, or would take too long.".to_owned()
    } else if plan.regimes.iter().all(|&regime| regime == Regime::Cycles) {
        format!(" Simulated with them, {beds} cycles.")
    } else if plan.draws_air {
        " Simulated with them, not every bed cycles: the pump draws air, the sump holds too little."
            .to_owned()
    } else {
        " Simulated with them, not every bed cycles.".to_owned()
    };
    let (low, high) = plan.sump;
    said!(
        "{}, with the sump anywhere from {} to {}.{}",
        verdict,
        at.named(&SUMP, "low", low),
        at.named(&SUMP, "high", high),
        simulated
    )
}

pub(super) fn shortfall(report: &WindowReport, short: &Shortfall, at: &At) -> Text {
    let bed = |i: usize| {
        let bed = report.system.beds.get(i);
        Text::from(bed.map(|bed| at.word(&SHORT_BED, &*bed.name).said(name(bed))))
    };
    let flow = |flow: f64| at.figure(&SHORT_FLOW, flow);
    let there = |flow: f64| at.figure(&SHORT_HAS, flow);
    let now = |bore: f64| at.figure(&SHORT_NOW, bore);
    let bore = |key: &Key, needed: f64| {
        let shown = report.units.bore(up(needed, report.units));
        at.shown(key, needed, shown)
    };
    match *short {
        Shortfall::NoWindow { bed: i } => said!(
            "{} has no inflow that both starts and breaks it with the nominal coefficients: widen \
             its window first, see below.",
            bed(i)
        ),
        Shortfall::Pump {
            flow: needs,
            head: Some(head),
            has,
        } => said!(
            "The pump is short: it would have to give {} at a head of {}, and has {} there.",
            flow(needs),
            at.figure(&SHORT_HEAD, head),
            there(has)
        ),
        Shortfall::Pump {
            flow: needs,
            head: None,
            has,
        } => said!(
            "The pump is short: the beds need at least {} together, and it gives {}.",
            flow(needs),
            there(has)
        ),
        Shortfall::Branch {
            bed: i,
            bore: today,
            needed,
        } => said!(
            "Or the branch of {} is too narrow: today's pump would do with {} bore or more instead \
             of {}.",
            bed(i),
            bore(&SHORT_BORE, needed),
            now(today)
        ),
        Shortfall::Trunk {
            bore: today,
            needed,
        } => said!(
            "Or the pipe from the pump is too narrow: today's pump would do with {} bore or more \
             instead of {}.",
            bore(&SHORT_BORE, needed),
            now(today)
        ),
        Shortfall::Bypass {
            flow: over,
            needed: true,
        } => said!(
            "More comes than the beds can take: a bypass has to lead at least {} back to the sump.",
            flow(over)
        ),
        Shortfall::Bypass {
            flow: over,
            needed: false,
        } => said!(
            "A valve would be all but shut, where a touch of the handle changes the flow by half: a \
             bypass that leads {} back to the sump would let every valve stand where it can be set.",
            flow(over)
        ),
        Shortfall::Swing {
            bed: i,
            swing,
            width,
        } => said!(
            "Between the highest and the lowest sump level the inflow of {} changes by {}, more than \
             the {} its window is wide: a wider sump, or a pump whose flow depends less on its lift.",
            bed(i),
            flow(swing),
            there(width)
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

pub(super) fn bypass(report: &WindowReport, at: &At) -> Option<Text> {
    let found = report.plan.bypass?;
    let gives = at.ends(&BYPASS_FLOW, "to", found.flow);
    let opening = |key, opening: f64| at.shown(key, opening, percent(opening));
    Some(match found.kind {
        _ if found.opening == found.now => {
            said!("The bypass stays as it is and carries {}.", gives)
        }
        Some(_) if found.opening <= 0.0 => "Shut the bypass.".into(),
        Some(kind) => said!(
            "Turn the {} valve of the bypass from {} to {} open; it then carries {}.",
            at.word(&BYPASS_VALVE, kind.name()),
            opening(&BYPASS_NOW, found.now),
            opening(&BYPASS_TO, found.opening),
            gives
        ),
        None => said!("The bypass has no valve and carries {}.", gives),
    })
}

/// How to bring the settings to the real valves.
pub(super) fn how_to_set(report: &WindowReport, at: &At) -> Vec<Text> {
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
        notes.push(said!(
            "Openings are from 0 % shut to 100 % open (a ball valve: its angle). Turn there, then let a {} bucket and a stopwatch decide{}. Published \
             losses of one and the same throttled valve differ up to 3.5 times.",
            what,
            round
        ));
    }
    if valves
        .iter()
        .any(|&(kind, opening)| opening < least_opening(kind))
    {
        notes.push(
            "An opening below a third (ball) or a quarter (gate) is beyond the published tables: \
             rough."
                .into(),
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
    // Shares are set in thousandths: half of one is rounding.
    if shares > 0.0 && shares < 0.9995 {
        notes.push(said!(
            "The shares add up to {}; the rest has to go back to the sump.",
            at.figure(&SHARES, shares)
        ));
    }
    notes
}
