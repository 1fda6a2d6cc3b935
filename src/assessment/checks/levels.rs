//! Water levels against media, wall and ceiling.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::drain::wider_line;
use crate::assessment::checks::{COMMON_PRACTICE, graded, sentence};
use crate::assessment::facts::Facts;
use crate::assessment::levers::{
    cut_possible, cut_text, line_bore, line_text, throttle, wider_bore,
};
use crate::assessment::parts::settled_tails;
use crate::assessment::reach::{dead_level, nominal_peak};
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::weir::{lip_flow, standing_head};
use crate::model::{Bed, Coefficient, DrainTarget};
use crate::network::drain_line::DrainLineLaw;
use crate::simulation::Regime;

/// Under this bore surface tension holds water back at the lip `[m]`.
const NARROW_BORE: f64 = 0.021;
/// How far a peak worked out in closed form may be off `[m]`.
const ESTIMATE: f64 = 0.001;
/// A wall is not built higher than by this where a wider pipe does it too `[m]`.
const HIGHER_WALL: f64 = 0.10;
/// How much higher the water then stands `[m]`.
const SURFACE_TENSION: f64 = 0.003;

/// Height that levelling and surface tension may add to the predicted peak `[m]`.
fn allowance(facts: &Facts, bed: &Bed) -> f64 {
    let narrow = bed.siphon.standpipe.bore < NARROW_BORE;
    facts.parts.system.thresholds.levelling_error + if narrow { SURFACE_TENSION } else { 0.0 }
}

/// Dry gravel above the highest water.
pub(super) fn dry_layer(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limits = &parts.system.thresholds;
    let (surface, allowance) = (bed.media_surface(), allowance(facts, bed));
    let value = surface - parts.simulated_peak(i) - allowance;
    let worst = surface - facts.balance.highest[i].level - allowance;
    let status = graded(value, limits.dry_layer, limits.dry_layer_least);
    let now = if value > 0.0 {
        format!("leaves {} of gravel dry", units.length(value))
    } else {
        format!("stands {} over the gravel", units.length(-value))
    };
    let then = if worst > 0.0 {
        format!("would leave {} dry", units.length(worst))
    } else {
        format!("would put it {} over the gravel", units.length(-worst))
    };
    let because = format!(
        "The highest water of {}, with {} for errors of level, {now}; {} of dry gravel is wanted, \
         and unfavourable coefficients {then}.",
        parts.name(i),
        units.length(allowance),
        units.length(limits.dry_layer),
    );
    Check {
        id: CheckId::DryLayer,
        subject: bed.name.clone(),
        status,
        value,
        limit: limits.dry_layer,
        margin: value - limits.dry_layer,
        unit: CheckUnit::Metre,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            dry_layer_fix(facts, i, limits.dry_layer - value)
        },
        basis: "common practice, 38 to 50 mm (1.5 to 2 in), no source",
    }
}

/// Start level, line, valve and standpipe, outlet, gravel, in this order.
fn dry_layer_fix(facts: &Facts, i: usize, short: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let outcome = &parts.run.beds[i];
    let inflow = outcome.inflow.max;
    if let Some(start) = bed.start_level
        && parts.simulated_peak(i) <= start + 1e-6
    {
        let level = units.elevation(amounts::length(units, start - short, Side::Down));
        let begin = format!(
            "begin with the water of {} at {level} or lower",
            parts.name(i)
        );
        return with_cut(facts, i, begin, nominal_peak(parts, i, inflow));
    }
    if parts.on_line(i)
        && parts
            .run
            .line
            .is_some_and(|line| line.peak_flow > line.capacity)
        && let Some(line) = wider_line(facts)
    {
        return with_cut(facts, i, line, nominal_peak(parts, i, inflow));
    }
    // More comes in than the pipe takes: no lip height helps before it is throttled.
    let judged = &facts.beds[i];
    let under = (parts.run.sump.level.min - parts.outlets[i]).max(0.0);
    if inflow >= judged.window.stall.nominal {
        let to = amounts::flow(units, judged.breaks_below.low, Side::Down);
        let peak = nominal_peak(parts, i, to) + under;
        return with_cut(facts, i, throttle(facts, i, inflow, to), peak);
    }
    // An overflowing bed stands at its rim; what counts is where the pipe would hold it.
    let standing = bed.siphon.standpipe.lip + parts.nominal[i].standing_head(inflow);
    let short = if outcome.regime == Regime::Overflows {
        short + (standing - parts.simulated_peak(i)).max(0.0)
    } else {
        short
    };
    let cut = amounts::length(units, short, Side::Up);
    if cut <= cut_possible(facts, i) {
        return sentence(&cut_text(facts, i, cut));
    }
    if !parts.on_line(i) && cut <= under && parts.outlets[i] + cut <= bed.floor {
        return format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(cut)
        );
    }
    let room = bed.rim - bed.media_surface();
    if cut <= room {
        return format!("Add {} of gravel to {}.", units.length(cut), parts.name(i));
    }
    format!(
        "Add {} of gravel to {} and build its wall {} higher.",
        units.length(cut),
        parts.name(i),
        units.length(amounts::length(units, cut - room, Side::Up))
    )
}

/// `fix`, and the cut that leaves the dry layer over water that then peaks at `peak` `[m]`.
fn with_cut(facts: &Facts, i: usize, fix: String, peak: f64) -> String {
    let parts = &facts.parts;
    let bed = &parts.beds()[i];
    let highest = bed.media_surface() - allowance(facts, bed) - parts.system.thresholds.dry_layer;
    let cut = amounts::length(parts.units, peak + ESTIMATE - highest, Side::Up);
    sentence(&if cut > 0.0 && cut <= cut_possible(facts, i) {
        format!("{fix}, and {}", cut_text(facts, i, cut))
    } else {
        fix
    })
}

/// Wall above the water while a dead siphon's pipe takes all of the inflow over its lip.
pub(super) fn rim(facts: &Facts, i: usize) -> Check {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limit = parts.system.thresholds.rim_freeboard;
    let inflow = parts.greatest_inflow[i];
    let alone = submergence(facts, i, inflow, false);
    let level = dead_level(parts, i, inflow, alone);
    let value = bed.rim - level;
    let together = dead_level(parts, i, inflow, submergence(facts, i, inflow, true));
    let alone_holds = graded(value, limit, limit) == Status::Pass;
    let shared = alone_holds && graded(bed.rim - together, limit, limit) == Status::Fail;
    let status = match (alone_holds, shared) {
        (false, _) => Status::Fail,
        (true, true) => Status::Warn,
        (true, false) => Status::Pass,
    };
    let stands = if value >= 0.0 {
        format!("stands {} below the rim", units.length(value))
    } else {
        "goes over the rim".to_owned()
    };
    let mut because = format!(
        "With a dead siphon the water of {} {stands} while its pipe takes {} over the lip; {} is \
         wanted.",
        parts.name(i),
        units.flow(inflow),
        units.length(limit)
    );
    if shared {
        because.push_str(&format!(
            " While the other beds fill the drain line it stands at {}.",
            units.elevation(together.min(bed.rim))
        ));
    }
    because.push_str(&blocked(facts, i, inflow));
    Check {
        id: CheckId::Rim,
        subject: bed.name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because,
        first_fix: match status {
            Status::Pass => String::new(),
            _ if shared => rim_fix(facts, i, bed.rim - together, true),
            _ => rim_fix(facts, i, value, false),
        },
        basis: COMMON_PRACTICE,
    }
}

/// What happens with a blocked pipe.
fn blocked(facts: &Facts, i: usize, inflow: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let peak = parts.simulated_peak(i).clamp(bed.floor, bed.rim);
    let storage = &parts.storages[i];
    let room = storage.volume(bed.rim) - storage.volume(peak);
    if inflow <= 0.0 {
        return String::new();
    }
    let sump = parts.run.sump.level.min;
    let spare = parts.sump_volume(sump) - parts.sump_volume(parts.dry_level().min(sump));
    if spare < room {
        return " If the pipe is blocked at the peak, the pump runs out of water before the bed \
                spills."
            .to_owned();
    }
    if room <= inflow {
        return " If the pipe is blocked at the peak, the bed spills at once.".to_owned();
    }
    format!(
        " If the pipe is blocked at the peak, the bed spills after {}.",
        units.time(room / inflow)
    )
}

/// Depth under water of the outlet of bed `i` with its siphon dead `[m]`.
fn submergence(facts: &Facts, i: usize, inflow: f64, others_run: bool) -> f64 {
    let parts = &facts.parts;
    match &parts.line {
        Some(line) if parts.on_line(i) => submergence_in(facts, line, i, inflow, others_run),
        _ => (parts.run.sump.level.max - parts.outlets[i]).max(0.0),
    }
}

/// The same for a bed on a shared line, which may be another than the one that is there.
fn submergence_in(
    facts: &Facts,
    line: &DrainLineLaw,
    i: usize,
    inflow: f64,
    others_run: bool,
) -> f64 {
    let parts = &facts.parts;
    let demand = |j: usize, tail: f64| {
        if j == i {
            inflow
        } else if others_run {
            parts.nominal[j].full_flow(parts.simulated_peak(j) - tail)
        } else {
            0.0
        }
    };
    let tails = settled_tails(line, parts.run.sump.level.max, &parts.outlets, &demand);
    (tails[i] - parts.outlets[i]).max(0.0)
}

/// Valve, line, outlet, standpipe, wall if it is a little, else a wider pipe.
fn rim_fix(facts: &Facts, i: usize, value: f64, others_run: bool) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let limit = parts.system.thresholds.rim_freeboard;
    let pipe = &bed.siphon.standpipe;
    let inflow = parts.greatest_inflow[i];
    let holds = |under: f64| bed.rim - dead_level(parts, i, inflow, under) >= limit;
    if others_run
        && let Some(bore) = line_bore(facts, |line| {
            holds(submergence_in(facts, line, i, inflow, true))
        })
    {
        return sentence(&line_text(units, bore));
    }
    let under = submergence(facts, i, inflow, others_run);
    let passes = lip_flow(
        pipe.lip_diameter,
        pipe.bore,
        bed.rim - limit - pipe.lip - under,
        parts.band(Coefficient::LipWeir).low,
        parts.band(Coefficient::LipOrifice).low,
    );
    let to = amounts::flow(units, passes, Side::Down);
    let starts = facts.beds[i].window.start;
    if to >= starts.high && to < inflow {
        return sentence(&throttle(facts, i, inflow, to));
    }
    let short = amounts::length(units, limit - value, Side::Up);
    if !parts.on_line(i) && short <= under && parts.outlets[i] + short <= bed.floor {
        return format!(
            "Raise the outlet of {} by {}.",
            parts.name(i),
            units.length(short)
        );
    }
    if short <= cut_possible(facts, i) {
        return sentence(&cut_text(facts, i, short));
    }
    if short > HIGHER_WALL {
        let fits = |wider: &Bed| {
            let pipe = &wider.siphon.standpipe;
            let (weir, orifice) = (Coefficient::LipWeir, Coefficient::LipOrifice);
            let head = standing_head(
                pipe.lip_diameter,
                pipe.bore,
                inflow,
                parts.band(weir).low,
                parts.band(orifice).low,
            );
            bed.rim - pipe.lip - under - head >= limit
        };
        if let Some(bore) = wider_bore(facts, i, fits) {
            return format!(
                "Use a standpipe and drain pipe of at least {} bore for {}, if it still starts.",
                units.bore(bore),
                parts.name(i)
            );
        }
    }
    format!(
        "Build the wall of {} {} higher.",
        parts.name(i),
        units.length(short)
    )
}

/// Growing height under the ceiling, where there is one.
pub(super) fn headroom(facts: &Facts, i: usize) -> Option<Check> {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let value = parts.system.ceiling? - bed.rim;
    let asked = parts.system.thresholds.growing_height;
    let limit = asked.unwrap_or(0.0);
    let status = graded(value, limit, limit);
    let wanted = match asked {
        Some(height) => format!("{} is asked for", units.length(height)),
        None => "no growing height is asked for".to_owned(),
    };
    Some(Check {
        id: CheckId::Headroom,
        subject: bed.name.clone(),
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        because: format!(
            "Rim to ceiling leaves {} above {}; {wanted}.",
            units.length(value),
            parts.name(i)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            headroom_fix(facts, i, limit - value)
        },
        basis: "the height asked for in the scenario",
    })
}

fn headroom_fix(facts: &Facts, i: usize, short: f64) -> String {
    let parts = &facts.parts;
    let (bed, units) = (&parts.beds()[i], parts.units);
    let by = amounts::length(units, short, Side::Up);
    let outlet = parts.outlets[i];
    let receiver = match (&parts.system.drain_line, &bed.siphon.drain.into) {
        (Some(line), DrainTarget::Line { at }) => line.invert(*at),
        _ => facts.balance.high_water(parts),
    };
    if outlet - by > receiver {
        format!(
            "Lower {} with its siphon and outlet by {}.",
            parts.name(i),
            units.length(by)
        )
    } else {
        format!(
            "Lower {} by {} together with the sump and the drain; its outlet has only {} to fall.",
            parts.name(i),
            units.length(by),
            units.length((outlet - receiver).max(0.0))
        )
    }
}
