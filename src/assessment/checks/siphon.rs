//! Start, break and inflow ratio of each siphon.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::sentence;
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    bore_text, cleared, cut_possible, cut_text, drop_text, held_by_water, inlet_shut, least_length,
    line_bore, line_text, opened, others_opened, outlet_drop, raise_inflow, slots_and_drop,
    slots_text, smaller_bore, throttle, water_over, wider_slots, with_longer_standpipe,
};
use crate::assessment::parts::nominal_law;
use crate::assessment::window::{
    LowRim, starts as window_starts, starts_under_rim, window_at, window_if,
};
use crate::assessment::{Check, CheckId, CheckUnit, Status, Verdict};
use crate::model::{Band, Bed, Coefficient, Inlet};
use crate::simulation::{Event, EventKind, Regime};
use crate::units::display::between;

/// Share by which an inflow is raised where the run dribbles although its window says it starts.
const NUDGE: f64 = 1.05;
/// Share of the break limit at which a fix aims where outlet or tail moves.
const MOVED: f64 = 0.98;
/// Share of the ratio's limit at which a fix aims: the siphon flow moves with the sump.
const RATIO_AIM: f64 = 0.98;

fn status_of(verdict: Verdict) -> Status {
    match verdict {
        Verdict::Will => Status::Pass,
        Verdict::Uncertain => Status::Warn,
        Verdict::WillNot => Status::Fail,
    }
}

/// "7.7 L/min (between 5.1 and 10.2 L/min)".
fn band_text(facts: &Facts, band: Band) -> String {
    let units = facts.parts.units;
    format!(
        "{} (between {})",
        units.flow(band.nominal),
        between(&units.flow(band.low), "and", &units.flow(band.high))
    )
}

/// Inflow at the lip against the start flow.
pub(super) fn starts(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    // What runs over the lip with the bed at its rim is all that can reach it.
    let passed = judged.low_rim.map_or(judged.at_start.flow, |low| {
        low.passed.min(judged.at_start.flow)
    });
    let outcome = &parts.run.beds[i];
    let dry = parts.run.sump.ran_dry > 0.0;
    let never_filled = outcome.tends_to == Regime::NeverFills;
    let shut = never_filled && inlet_shut(facts, i);
    let value = if shut { 0.0 } else { passed };
    // What a siphon does in the run counts beside what its window says.
    let status = status_of(judged.will_start).max(match outcome.regime_powered {
        Regime::Dribbles | Regime::NeverFills if !dry => Status::Fail,
        _ if never_filled => Status::Warn,
        _ => Status::Pass,
    });
    // The unfavourable end: the margin is then negative just where doubt begins.
    let limit = judged.window.start.high;
    let name = parts.name(i);
    let inflow = units.flow(judged.at_start.flow);
    let band = band_text(facts, judged.window.start);
    let because = if let Some(leak) = judged.leak {
        let air = format!(
            "The bell of {name} lets in {} of air; priming carries away as little as {}, so it {} \
             get rid of the air under its cap.",
            units.flow(leak.air),
            units.flow(leak.bearable),
            if leak.certain { "cannot" } else { "may not" }
        );
        if window_starts(judged.at_start.flow, judged.window.start) == Verdict::Will {
            air
        } else {
            format!("{air} Beside that it gets only {inflow} at its lip and needs {band} to start.")
        }
    } else if shut {
        format!("The inlet valve of {name} is shut, so no water comes to fill it to its lip.")
    } else if never_filled && is_shut(&parts.beds()[i].inlet) {
        format!("The inlet valve of {name} is shut, so no water comes; it needs {band} to start.")
    } else if never_filled && outcome.inflow_pumped.is_none_or(|fed| fed.1 <= 0.0) {
        format!("No water comes into {name}; it needs {band} to start.")
    } else if let Some(low) = judged.low_rim {
        low_rim_text(facts, i, &low)
    } else if !judged.at_start.met {
        let met = if outcome.regime_powered == Regime::NeverFills {
            "never reaches its lip, its water no longer rises"
        } else {
            "has not come to its lip in this run"
        };
        format!("{name} {met}; its inflow is at least {inflow}, and it needs {band} to start.")
    } else {
        match judged.will_start {
            _ if judged.starts_anyway => {
                let most = parts.run.beds[i].inflow.max;
                let cause = if most >= judged.window.start.low {
                    format!(
                        "whenever its inflow, which swings up to {}, is greater",
                        units.flow(most)
                    )
                } else {
                    "as the water over its outlet falls and the head at its lip grows".to_owned()
                };
                format!(
                    "{name} gets as little as {inflow} at its lip and needs {band} to start; in \
                     this run it starts {cause}."
                )
            }
            _ if judged.dribbles_anyway => format!(
                "{name} gets at least {inflow} at its lip and needs {band} to start, yet it \
                 dribbles in this run."
            ),
            Verdict::Will => {
                let yet = if never_filled {
                    ", yet at the end of this run its water no longer comes to its lip"
                } else {
                    ""
                };
                format!("{name} gets at least {inflow} at its lip and needs {band} to start{yet}.")
            }
            Verdict::Uncertain => format!(
                "{name} gets {inflow} at its lip, inside the band in which nobody can say: it \
                 needs {band} to start.{}",
                if outcome.regime_powered == Regime::Dribbles {
                    " In this run it dribbles."
                } else {
                    ""
                }
            ),
            Verdict::WillNot => format!(
                "{name} gets only {inflow} at its lip and needs {band} to start; it would dribble \
                 for ever."
            ),
        }
    };
    let first_fix = if status == Status::Pass {
        String::new()
    } else if let Some(open) = opened(facts, i) {
        open
    } else if window_starts(judged.at_start.flow, judged.window.start) == Verdict::Will
        && let Some(clear) = cleared(facts, i)
    {
        clear
    } else if let Some(valve) = runs_back(facts, i) {
        valve
    } else if never_filled && (judged.will_start == Verdict::Will || dry) {
        never_fills_fix(facts, i)
    } else {
        starts_fix(facts, i)
    };
    Check {
        id: CheckId::Starts,
        subject: parts.beds()[i].name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::CubicMetrePerSecond,
        because,
        first_fix,
        basis: start_basis(facts, i),
    }
}

/// Where the start band comes from.
fn start_basis(facts: &Facts, i: usize) -> &'static str {
    let parts = &facts.parts;
    if parts.start_froude(&parts.beds()[i]) == parts.band(Coefficient::StartFroude) {
        "pipe Froude number 0.30 to 0.60 from self-venting and outlet practice (Hills 1983, \
         Simpson 1968, Davies & Taylor 1950, EN 12056-3, from memory)"
    } else {
        "pipe Froude number 0.30 to 0.60 from self-venting and outlet practice (Hills 1983, \
         Simpson 1968, Davies & Taylor 1950, EN 12056-3, from memory), changed for a narrow bore \
         by surface tension (White & Beardmore 1962, Wallis 1969, from memory) and a sealed leg's \
         carrying of air (Goda et al. 2003)"
    }
}

/// Why the start flow cannot be had under the rim, or may not.
fn low_rim_text(facts: &Facts, i: usize, low: &LowRim) -> String {
    let parts = &facts.parts;
    let units = parts.units;
    let cause = if low.by_slots {
        format!(
            "The slots of the bell of {}, {} in all, hold its water back",
            parts.name(i),
            units.area(parts.beds()[i].siphon.bell.slots.area())
        )
    } else {
        format!("The lip of {} stands close under its rim", parts.name(i))
    };
    format!(
        "{cause}: with the bed full to the rim as little as {} runs over the lip, and it takes {} \
         to start. However much comes in, it {} and spills over the wall.",
        units.flow(low.passed),
        band_text(facts, facts.beds[i].window.start),
        if low.certain {
            "never starts"
        } else {
            "may not start"
        }
    )
}

/// Wider slots, a shorter standpipe or both, so that it starts under its rim.
fn low_rim_fix(facts: &Facts, i: usize, low: &LowRim) -> String {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let starts = |bed: &Bed| starts_under_rim(parts, i, bed);
    if low.by_slots
        && let Some(width) = wider_slots(facts, bed, starts)
    {
        return slots_text(facts, i, width);
    }
    let cut = |cut: f64| with_longer_standpipe(bed, -cut);
    let most = cut_possible(facts, i);
    if most > 0.0 && starts(&cut(most)) {
        let least = least_length(parts.units, most, |by| starts(&cut(by)));
        return cut_text(facts, i, least);
    }
    let short = parts.least[i].standing_head(facts.beds[i].window.start.high);
    let needed = amounts::length(parts.units, short, Side::Up);
    format!(
        "give the bell of {} more slots, or a rim at least {} over the lip",
        parts.name(i),
        parts.units.length(needed)
    )
}

fn never_fills_fix(facts: &Facts, i: usize) -> String {
    let parts = &facts.parts;
    if parts.run.sump.ran_dry > 0.0 {
        return "Give the sump more water first: see pump-cover.".to_owned();
    }
    let storage = &parts.storages[i];
    let lip = parts.beds()[i].lip_level();
    let missing = storage.volume(lip) - storage.volume(parts.simulated_peak(i));
    let mean = parts.run.beds[i].inflow.mean.max(1e-9);
    longer(facts, 1.05 * (parts.run.duration + missing / mean))
}

/// What keeps the water in bed `i` that every pause lets run back before it comes to the lip.
fn runs_back(facts: &Facts, i: usize) -> Option<String> {
    let run = facts.parts.run;
    let pauses = run.beds[i].regime_powered == Regime::NeverFills && run.sump.ran_dry <= 0.0;
    let began = |event: &Event| event.kind == EventKind::BackSiphonBegan(i);
    (pauses && run.events.iter().any(began)).then(|| {
        format!(
            "Fit a check valve at the pump: in every pause the water of {} runs back through its \
             inlet before it comes to the lip.",
            facts.parts.name(i)
        )
    })
}

/// A run of at least `time` `[s]`, and a pump that runs as long.
pub(super) fn longer(facts: &Facts, time: f64) -> String {
    let parts = &facts.parts;
    let time = parts.units.time(amounts::minutes(time, Side::Up));
    let stops =
        |event: &&Event| matches!(event.kind, EventKind::PumpStopped | EventKind::PumpStarted);
    let last = parts.run.events.iter().rfind(stops);
    if last.is_some_and(|event| event.kind == EventKind::PumpStopped) {
        return format!("Let the pump run for at least {time} before it stops for good.");
    }
    format!("Simulate at least {time}.")
}

/// Whether the valve of a branch is shut in the file.
fn is_shut(inlet: &Inlet) -> bool {
    matches!(inlet, Inlet::Piped(branch) if branch.resistance().is_none())
}

fn starts_fix(facts: &Facts, i: usize) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let inflow = judged.at_start.flow;
    if let Some(leak) = judged.leak {
        let air = amounts::flow(units, 0.99 * leak.bearable, Side::Down);
        let seal = format!(
            "seal the bell of {} until it lets in less than {} of air",
            parts.name(i),
            units.flow(air)
        );
        return sentence(
            &if window_starts(inflow, judged.window.start) == Verdict::Will {
                seal
            } else {
                format!("{seal}, and {}", enough_inflow(facts, i))
            },
        );
    }
    if let Some(low) = judged.low_rim {
        let fix = low_rim_fix(facts, i, &low);
        return sentence(
            &if window_starts(inflow, judged.window.start) == Verdict::Will {
                fix
            } else {
                format!("{fix}, and {}", enough_inflow(facts, i))
            },
        );
    }
    sentence(&enough_inflow(facts, i))
}

/// What brings the inflow of bed `i` up to its start, or its start down to the inflow.
fn enough_inflow(facts: &Facts, i: usize) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let inflow = judged.at_start.flow;
    // A run that dribbles with enough inflow has seen it sag: a little more, then.
    let high = judged.window.start.high;
    let wanted = if inflow >= high { NUDGE * inflow } else { high };
    let to = amounts::flow(units, wanted, Side::Up);
    let raise = raise_inflow(facts, i, inflow, to);
    if to <= judged.breaks_below.low {
        return raise;
    }
    // More inflow alone would keep it from breaking.
    let still_breaks = |bed: &Bed| window_if(parts, i, bed).breaks_below().low >= to;
    if let Some(drop) = outlet_drop(facts, i, still_breaks) {
        return format!(
            "{}, so that it still breaks, and {raise}",
            drop_text(facts, i, drop)
        );
    }
    let at_break = judged.at_break.flow;
    let fits = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        window.start.high <= inflow && window.breaks_below().low >= at_break
    };
    if let Some(bore) = smaller_bore(facts, i, fits) {
        return bore_text(facts, i, bore);
    }
    format!("{raise}; it may then run on instead of breaking")
}

/// Inflow at the break level against run-on and stall.
pub(super) fn breaks(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let value = judged.at_break.flow;
    let regime = parts.run.beds[i].regime_powered;
    let never_breaks = matches!(regime, Regime::RunsOn | Regime::Stalls);
    let status = status_of(judged.will_break).max(if never_breaks {
        Status::Fail
    } else {
        Status::Pass
    });
    // As above, the unfavourable end.
    let limit = judged.breaks_below.low;
    let name = parts.name(i);
    let stall = judged.window.stall.nominal;
    let otherwise = if judged.stalls_first() {
        "runs full for ever".to_owned()
    } else if value > stall {
        // Past the stall it never comes down to where it would swallow air.
        format!(
            "no longer breaks, and above {} it runs full for ever",
            units.flow(stall)
        )
    } else {
        "swallows air and runs on instead of breaking".to_owned()
    };
    let mut because = if judged.at_break.starved {
        format!(
            "{name} gets up to {} while the pump has water, and that decides: once it draws air \
             the inflow fails and any siphon breaks; above {} it {otherwise}.",
            units.flow(value),
            band_text(facts, judged.breaks_below)
        )
    } else if judged.at_break.met {
        format!(
            "{name} gets up to {} at its break level; above {} it {otherwise}.",
            units.flow(value),
            band_text(facts, judged.breaks_below)
        )
    } else {
        let met = if parts.run.broke(i) {
            "broke in this run only while the pump did not feed it, which proves nothing"
        } else {
            "never came down to its break level in this run"
        };
        format!(
            "{name} {met}; its greatest inflow is {}, and above {} it {otherwise}.",
            units.flow(value),
            band_text(facts, judged.breaks_below)
        )
    };
    if judged.tail > parts.outlets[i] + 1e-4 {
        because.push_str(&format!(
            " Its outlet then stands {} under water.",
            units.length(judged.tail - parts.outlets[i])
        ));
    }
    if judged.breaks_anyway {
        because.push_str(" In this run it breaks all the same.");
    }
    if never_breaks && judged.will_break != Verdict::WillNot {
        because.push_str(match regime {
            Regime::Stalls => " In this run it stalls.",
            _ => " In this run it runs on.",
        });
    }
    Check {
        id: CheckId::Breaks,
        subject: parts.beds()[i].name.clone(),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::CubicMetrePerSecond,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            breaks_fix(facts, i)
        },
        basis: "derived here from air-carrying limits of downward pipes (Taitel et al. 1980, Usui \
                1989, Barnea et al. 1982, Goda et al. 2003); no measured siphon to hold it against",
    }
}

fn breaks_fix(facts: &Facts, i: usize) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let inflow = judged.at_break.flow;
    let free = window_at(parts, &parts.beds()[i], parts.outlets[i]).breaks_below();
    if inflow <= free.low
        && let Some(clear) = cleared(facts, i)
    {
        return clear;
    }
    if let Some(open) = others_opened(facts, i, judged.breaks_below.low) {
        return open;
    }
    let start = judged.window.start;
    // Less inflow moves the water over a drowned outlet a little.
    let share = if judged.tail > parts.outlets[i] {
        MOVED
    } else {
        1.0
    };
    let bearable = amounts::flow(units, share * judged.breaks_below.low, Side::Down);
    let held_by_line = parts.on_line(i) && inflow <= free.low;
    if inflow > judged.breaks_below.low
        && held_by_line
        && let Some(bore) = line_bore(facts, |line| {
            let tail = parts.tail_in_line(line, i, &parts.nominal[i]);
            window_at(parts, &parts.beds()[i], tail).breaks_below().low >= inflow
        })
    {
        return sentence(&line_text(units, bore));
    }
    if inflow <= judged.breaks_below.low {
        // The window alone is wide enough: what shares its drain holds it back.
        return format!(
            "Lead the drain of {} to the sump in a pipe of its own.",
            parts.name(i)
        );
    }
    if bearable >= start.high {
        return sentence(&throttle(facts, i, inflow, bearable));
    }
    let still_starts = amounts::flow(units, start.high, Side::Up);
    let to = inflow.min(still_starts);
    let fits = |bed: &Bed| MOVED * window_if(parts, i, bed).breaks_below().low >= to;
    let and_throttle = |change: String| {
        if inflow > to {
            format!("{change}, and {}", throttle(facts, i, inflow, to))
        } else {
            change
        }
    };
    if let Some(drop) = outlet_drop(facts, i, fits) {
        return sentence(&and_throttle(drop_text(facts, i, drop)));
    }
    if let Some(width) = wider_slots(facts, &parts.beds()[i], fits) {
        return sentence(&and_throttle(slots_text(facts, i, width)));
    }
    let keeps_both = |bed: &Bed| {
        let window = window_if(parts, i, bed);
        window.breaks_below().low >= inflow && window.start.high <= judged.at_start.flow
    };
    if let Some(bore) = smaller_bore(facts, i, keeps_both) {
        return sentence(&bore_text(facts, i, bore));
    }
    if let Some((width, drop)) = slots_and_drop(facts, i, fits) {
        return sentence(&and_throttle(slots_and_drop_text(facts, i, width, drop)));
    }
    if let Some(first) = held_by_water(facts, i) {
        return first;
    }
    let throttled = throttle(facts, i, inflow, bearable);
    sentence(&if bearable >= start.nominal {
        throttled
    } else {
        format!("{throttled}; it may then not start, which only more fall below the bed mends")
    })
}

/// Inflow over siphon flow at the break.
pub(super) fn inflow_ratio(facts: &Facts, i: usize) -> Check {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let units = parts.units;
    let limits = &parts.system.thresholds;
    let siphon = siphon_flow(facts, i);
    let inflow = judged.at_break.flow;
    let value = if siphon > 0.0 {
        inflow / siphon
    } else {
        f64::INFINITY
    };
    let status = if value <= limits.inflow_ratio {
        Status::Pass
    } else if value <= limits.inflow_ratio_most {
        Status::Warn
    } else {
        Status::Fail
    };
    Check {
        id: CheckId::InflowRatio,
        subject: parts.beds()[i].name.clone(),
        status,
        value,
        limit: limits.inflow_ratio,
        margin: limits.inflow_ratio - value,
        unit: CheckUnit::Ratio,
        because: if siphon <= 0.0 {
            format!(
                "The siphon of {} gives nothing at its break level. Its outlet is the cause: {}. {} come in.",
                parts.name(i),
                water_over(facts, i),
                units.flow(inflow)
            )
        } else {
            format!(
                "The inflow of {}, {}, is {} of the {} its siphon gives at the break level; {} leaves \
             it room to empty the bed, and above {} little is left.",
                parts.name(i),
                units.flow(inflow),
                units.percent(value),
                units.flow(siphon),
                units.percent(limits.inflow_ratio),
                units.percent(limits.inflow_ratio_most)
            )
        },
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            inflow_ratio_fix(facts, i, siphon)
        },
        basis: "derived here: draining slows without limit as the ratio nears one",
    }
}

/// Siphon flow just before the break, from the run where it broke `[m3/s]`.
fn siphon_flow(facts: &Facts, i: usize) -> f64 {
    let law = &facts.parts.nominal[i];
    facts.parts.run.beds[i]
        .siphon_flow_at_break
        .unwrap_or_else(|| law.stall_flow(facts.beds[i].tail))
}

fn inflow_ratio_fix(facts: &Facts, i: usize, siphon: f64) -> String {
    let (parts, judged) = (&facts.parts, &facts.beds[i]);
    let (units, limits) = (parts.units, &parts.system.thresholds);
    let inflow = judged.at_break.flow;
    let bearable = limits.inflow_ratio * siphon;
    let free = parts.nominal[i].stall_flow(parts.outlets[i]);
    if inflow <= limits.inflow_ratio * free
        && let Some(clear) = cleared(facts, i)
    {
        return clear;
    }
    if let Some(open) = others_opened(facts, i, bearable) {
        return open;
    }
    if let Some(first) = held_by_water(facts, i) {
        return first;
    }
    let to = amounts::flow(units, RATIO_AIM * limits.inflow_ratio * siphon, Side::Down);
    if to >= judged.window.start.high {
        return sentence(&throttle(facts, i, inflow, to));
    }
    // What the run saw beside what the siphon gives alone: others may drain with it.
    let seen = siphon / parts.nominal[i].stall_flow(judged.tail);
    let enough = |bed: &Bed| {
        let law = nominal_law(parts.system, bed);
        let flow = law.stall_flow(parts.tail_at_break(i, &law));
        inflow <= RATIO_AIM * limits.inflow_ratio * flow * seen
    };
    if let Some(drop) = outlet_drop(facts, i, enough) {
        return sentence(&drop_text(facts, i, drop));
    }
    if let Some(width) = wider_slots(facts, &parts.beds()[i], enough) {
        return sentence(&slots_text(facts, i, width));
    }
    if let Some((width, drop)) = slots_and_drop(facts, i, enough) {
        return sentence(&slots_and_drop_text(facts, i, width, drop));
    }
    let throttled = throttle(facts, i, inflow, to);
    sentence(&format!(
        "{throttled}; it may then not start, which only more fall below the bed mends"
    ))
}

fn slots_and_drop_text(facts: &Facts, i: usize, width: f64, drop: f64) -> String {
    format!(
        "{}, and {}",
        slots_text(facts, i, width),
        drop_text(facts, i, drop)
    )
}
