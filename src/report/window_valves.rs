//! The phrases on valve settings.

use crate::hydraulics::valves::ValveKind;
use crate::model::Bed;
use crate::report::WindowReport;
use crate::report::window_words::name;
use crate::report::words::plain;
use crate::simulation::Regime;
use crate::study::valves::{BedSetting, Setting, Shortfall, least_opening};
use crate::study::window::Trust;
use crate::units::UnitSystem;
use crate::units::display::between;

/// The bucket to time a flow with `[m3]`, and its name.
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
