//! The phrases of the window report.

use crate::answer::window::keys::{
    AIR_CLEARING, BEST, BREAKS_FIRST, CERTAIN, DOUBTFUL, DROWNED, HIGH, INFLOW, LOW, NOMINAL,
    OUTLET, OUTLET_DEPTH, PIPE_BORE, POINTS, REGIME, RUN_ON, STACK, STALL, STARTS_LAST,
    SUMP_AT_BREAK, SURE, TAIL,
};
use crate::answer::window::{WindowReport, is_certain};
use crate::answer::{At, Figure, Key, Kind, Text, between, said};
use crate::assessment::Verdict;
use crate::model::{Band, Bed, Coefficient, DrainTarget};
use crate::report::{regime_key, verdict_key};
use crate::simulation::Regime;
use crate::study::map::{MapPoint, RegimeMap};
use crate::study::window::{BedWindow, SplitWindow, Trust};
use crate::units::display::join;

/// A bed's name in quotes.
pub(super) fn name(bed: &Bed) -> String {
    format!("\"{}\"", bed.name)
}

/// Its pipe and where that ends.
pub(super) fn pipe(bed: &Bed, at: &At) -> Text {
    said!(
        "standpipe of {} bore, outlet {} below the bed's floor",
        at.figure(&PIPE_BORE, bed.siphon.standpipe.bore),
        at.figure(&OUTLET_DEPTH, bed.floor - bed.siphon.drain.outlet)
    )
}

/// The run shows that a bed does not cycle though its inflow suits it.
pub(super) fn is_otherwise(found: &BedWindow) -> bool {
    is_certain(found) && !matches!(found.regime, Regime::Cycles | Regime::Unfinished)
}

/// The verdict over all beds in one or two sentences.
pub(super) fn headline(report: &WindowReport) -> Text {
    let of = |holds: &dyn Fn(&BedWindow) -> bool| -> Vec<String> {
        let beds = report.system.beds.iter().zip(&report.windows.beds);
        beds.filter(|(_, found)| holds(found))
            .map(|(bed, _)| name(bed))
            .collect()
    };
    let failing = of(&BedWindow::certainly_fails);
    let unsure = of(&|found| !found.certainly_fails() && !is_certain(found));
    let mut said: Vec<Text> = Vec::new();
    if !failing.is_empty() {
        said.push(said!(
            "With today's inflow {} cannot work, even with the uncertain coefficients at their most \
             favourable.",
            join(&failing, "and")
        ));
    }
    if !unsure.is_empty() {
        said.push(said!(
            "Nobody can say for sure whether today's inflow suits {}: it lies inside a band.",
            join(&unsure, "and")
        ));
    }
    if said.is_empty() {
        said.push(
            "Today's inflow starts and breaks every siphon, even with the uncertain coefficients \
             at their least favourable."
                .into(),
        );
    }
    let otherwise: Vec<String> = report
        .system
        .beds
        .iter()
        .zip(&report.windows.beds)
        .filter(|(_, found)| is_otherwise(found))
        .map(|(bed, found)| format!("{} {}", name(bed), regime_words(found.regime)))
        .collect();
    if !otherwise.is_empty() {
        said.push(said!(
            "In the run {} all the same: the inflow is not to blame, `ebbwright run` says what is.",
            join(&otherwise, "and")
        ));
    }
    if !(failing.is_empty() && unsure.is_empty()) {
        said.push(if report.plan.works() {
            "The valve settings below put every bed inside its window.".into()
        } else {
            "No valve setting alone mends that; what is short is named below.".into()
        });
    }
    Text::joined(said, " ")
}

/// What the outlet looks at when the bed comes to its break level.
pub(super) fn tail(bed: &Bed, found: &BedWindow, at: &At) -> Text {
    const SEEN: f64 = 0.0005;
    let outlet = bed.siphon.drain.outlet;
    let (low, high) = found.tail;
    let sump = match found.sump_at_break {
        (a, b) if b - a < SEEN => at.named(&SUMP_AT_BREAK, "high", b).into(),
        ends => at.ends(&SUMP_AT_BREAK, "to", ends),
    };
    let into_line = matches!(bed.siphon.drain.into, DrainTarget::Line { .. });
    if high <= outlet + SEEN {
        let place = if into_line {
            "in the line"
        } else {
            "over the sump"
        };
        return said!(
            "its own end at {}, free {}; sump at the break: {}",
            at.figure(&OUTLET, outlet),
            place,
            sump
        );
    }
    let drowned = at.figure(&DROWNED, high - outlet);
    if into_line {
        said!(
            "the drain line's grade, {} running alone and {} with every siphon of the line running; \
             its end is then up to {} under",
            at.named(&TAIL, "low", low),
            at.named(&TAIL, "high", high),
            drowned
        )
    } else {
        said!(
            "the sump at {}, which drowns its end by up to {}",
            sump,
            drowned
        )
    }
}

/// The wider window against the lowest tail, where that differs as printed.
pub(super) fn widest(bed: &Bed, found: &BedWindow, at: &At) -> Option<Text> {
    let when = match bed.siphon.drain.into {
        DrainTarget::Line { .. } => "with its siphon running alone",
        DrainTarget::Sump => "with the sump at its lowest",
    };
    let (narrow, wide) = (&found.window, &found.widest);
    let at = at.part("at_lowest_tail");
    let differs =
        |key, a: Band, b: Band| at.band(key, a).to_string() != at.band(key, b).to_string();
    (differs(&RUN_ON, narrow.run_on, wide.run_on) || differs(&STALL, narrow.stall, wide.stall))
        .then(|| {
            said!(
                "{} it runs on above {} and stalls above {}",
                when,
                at.band(&RUN_ON, wide.run_on),
                at.band(&STALL, wide.stall)
            )
        })
}

pub(super) fn today(found: &BedWindow, at: &At) -> Text {
    let regime = at.word(&REGIME, regime_key(found.regime));
    said!(
        "{}; in the run it {}",
        at.spread(&INFLOW, found.today.range),
        regime.said(regime_words(found.regime))
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

/// A margin to an edge: `2.0 L/min over it, at worst 0.3 L/min short of it`.
pub(super) fn margin(at: &At, key: &Key, margin: Band, [inside, outside]: [&str; 2]) -> Text {
    let one = |name: &str, value: f64| {
        let side = if value < 0.0 { outside } else { inside };
        let size = Kind::Flow.shown(value.abs(), at.units());
        (at.named(key, name, value).said(size), side)
    };
    let (nominal, side) = one("nominal", margin.nominal);
    let (worst, worst_side) = one("low", margin.low);
    let worst = if worst_side == side {
        worst.into()
    } else {
        said!("{} {} it", worst, worst_side)
    };
    said!("{} {} it, at worst {}", nominal, side, worst)
}

pub(super) fn verdict(at: &At, key: &Key, verdict: Verdict) -> Figure {
    at.word(key, verdict_key(verdict)).said(match verdict {
        Verdict::Will => "will, whatever the coefficients are within their bands",
        Verdict::Uncertain => "uncertain: inside a band, or the run shows otherwise",
        Verdict::WillNot => "will not, whatever the coefficients are within their bands",
    })
}

pub(super) fn best(found: &BedWindow, at: &At) -> Text {
    let flow = at.figure(&BEST, found.best.flow);
    match (found.best.trust, found.certain(), found.nominal()) {
        (Trust::Certain, Some(window), _) => said!(
            "{}, the middle of what starts and breaks it in every case, {}",
            flow,
            at.ends(&CERTAIN, "to", window)
        ),
        (Trust::Nominal, _, Some(window)) => said!(
            "{}, as far inside both bands as can be; it works with the nominal coefficients \
             from {}, but no inflow works in every case",
            flow,
            at.ends(&NOMINAL, "to", window)
        ),
        (Trust::Hopeless, ..) => said!(
            "{} is the least bad; no inflow both starts and breaks it",
            flow
        ),
        _ => said!(
            "{} is the least bad; with the nominal coefficients no inflow both starts and \
             breaks it",
            flow
        ),
    }
}

pub(super) fn cross_checks(found: &BedWindow, at: &At) -> Text {
    let [first, _, last] = found.cross_checks.air_clearing;
    let [low, high] = found.cross_checks.stack;
    said!(
        "a full pipe of this bore clears its air at {}; a drainage stack carries {} at 7/24 to 1/3 \
         full",
        between(
            at.named(&AIR_CLEARING, "0", first),
            "to",
            at.named(&AIR_CLEARING, "2", last)
        ),
        between(
            at.named(&STACK, "0", low),
            "to",
            at.named(&STACK, "1", high)
        )
    )
}

/// Totals between which all beds work at today's split.
pub(super) fn split(report: &WindowReport, at: &At, window: SplitWindow, which: &str) -> Text {
    let bed = |key, i: usize| {
        let bed = report.system.beds.get(i);
        Text::from(bed.map(|bed| at.word(key, &*bed.name).said(name(bed))))
    };
    let (low, high) = (at.figure(&LOW, window.low), at.figure(&HIGH, window.high));
    let last = bed(&STARTS_LAST, window.starts_last);
    let first = bed(&BREAKS_FIRST, window.breaks_first);
    if window.is_open() {
        return said!(
            "{} in all at today's split, {}; {} starts last, {} stops breaking first",
            between(low, "to", high),
            which,
            last,
            first
        );
    }
    said!(
        "at today's split no total does, {}: {} starts from {} in all, {} breaks up to {}",
        which,
        last,
        low,
        first,
        high
    )
}

/// Shares of its points that cycle surely and that are in doubt.
pub(super) fn map_shares(map: &RegimeMap) -> [f64; 2] {
    let share = |holds: &dyn Fn(&MapPoint) -> bool| {
        let found = map.cells.iter().filter(|cell| holds(cell)).count();
        let number = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        number(found) / number(map.cells.len())
    };
    [
        share(&|cell| matches!(cell, MapPoint::Simulated(found) if found.certainly_cycles())),
        share(&|cell| matches!(cell, MapPoint::Simulated(found) if !found.doubt().is_none())),
    ]
}

pub(super) fn map(map: &RegimeMap, at: &At) -> Text {
    let plan = &map.plan;
    let [certain, doubtful] = map_shares(map);
    said!(
        "{} x {} points over {} and {}, bed \"{}\" alone: {} of them cycle whatever the \
         coefficients are within their bands, {} are in doubt. The sump rises and falls with \
         this bed but never runs dry; a timer, a float valve, losses, a fish tank and events are left \
         out of the map.",
        at.count(&POINTS, plan.points),
        at.count(&POINTS, plan.points),
        plan.x.quantity.words(),
        plan.y.quantity.words(),
        &*plan.bed,
        at.figure(&SURE, certain),
        at.figure(&DOUBTFUL, doubtful)
    )
}

/// What the figures rest on.
pub(super) fn trust(report: &WindowReport) -> Vec<Text> {
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
    let mut notes = vec![said!(
        "Start: pipe Froude number 0.30 to 0.60 from self-venting and outlet practice{}. \
         Run-on: derived here from air-carrying limits of downward pipes; no measured siphon to \
         hold it against. Your own stopwatch narrows both: put what you measure into \
         `[coefficients]`.",
        changed
    )];
    if !report.system.incidents.is_empty() {
        notes.push("The scenario's events are left out: windows are for ordinary running.".into());
    }
    if report.run.sump.ran_dry > 0.0 {
        notes.push(
            "In the run the pump drew air; the inflow just before counts here as the least.".into(),
        );
    }
    notes
}
