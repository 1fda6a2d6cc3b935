//! The phrases of the window report.

use crate::assessment::Verdict;
use crate::model::{Band, Bed, Coefficient, DrainTarget};
use crate::report::WindowReport;
use crate::report::words::{plain, spread};
use crate::simulation::{Regime, Spread};
use crate::study::map::{MapPoint, RegimeMap};
use crate::study::window::{BedWindow, SplitWindow, Trust};
use crate::units::UnitSystem;
use crate::units::display::between;

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
            !matches!(found.regime, Regime::Cycles | Regime::Unfinished)
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
        Regime::Unfinished => "has not completed a cycle yet",
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
         coefficients are within their bands, {doubtful} are in doubt. The sump rises and falls with \
         this bed but never runs dry; a timer, a float valve, losses, a fish tank and events are left \
         out of the map.",
        plan.points,
        plan.points,
        plan.x.quantity.words(),
        plan.y.quantity.words(),
        plain(&plan.bed)
    )
}

/// What the figures rest on.
pub(super) fn trust(report: &WindowReport) -> Vec<String> {
    let soft = &report.system.coefficients;
    let narrow = report.system.beds.iter().any(|bed| {
        let band = soft.start_froude(bed.siphon.standpipe.bore, &report.system.water);
        band != soft[Coefficient::StartFroude]
    });
    let changed = if narrow {
        ", changed in narrow bores by surface tension and the velocity that carries air down"
    } else {
        ""
    };
    let mut notes = vec![format!(
        "Start: pipe Froude number 0.30 to 0.60 from self-venting and outlet practice{changed}. \
         Run-on: derived here from air-carrying limits of downward pipes; no measured siphon to \
         hold it against. Your own stopwatch narrows both: put what you measure into \
         [coefficients]."
    )];
    if !report.system.incidents.is_empty() {
        notes.push(
            "The scenario's events are left out: windows are for ordinary running.".to_owned(),
        );
    }
    if report.run.sump.ran_dry > 0.0 {
        notes.push(
            "In the run the pump drew air; the inflow just before counts here as the least."
                .to_owned(),
        );
    }
    notes
}
