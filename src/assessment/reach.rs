//! How high and how low the water of each bed can get, whatever the soft
//! coefficients are within their bands and whenever things happen.

use crate::assessment::parts::Parts;
use crate::hydraulics::circular::flow_at_froude;
use crate::hydraulics::constants::GRAVITY;
use crate::model::{
    Bed, Coefficient, Coefficients, Disturbance, Inlet, Outlet, TankFeed, TankOutlet,
};
use crate::network::drain_line::DrainLineLaw;
use crate::numerics::root::brent;
use crate::siphon::{PRIMING_HOLD, SiphonLaw};

/// Highest water of a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Highest {
    /// Elevation, at most the rim `[m]`.
    pub(super) level: f64,
    /// Whether water may go over the wall.
    pub(super) may_spill: bool,
    /// Whether that takes water standing over its outlet: from the other drains, or in the sump.
    pub(super) backed_up: bool,
}

/// Pieces in which the band of the start Froude number is walked.
/// Each is bounded by itself, so more of them only sharpen the bound.
const FROUDE_PIECES: u32 = 8;
/// Points at which an air tube is tried.
const TUBE_POINTS: u32 = 32;
/// Rounds in which the beds' highest levels are brought down together: each
/// round is a valid bound by itself, so more of them only sharpen it.
const ROUNDS: usize = 4;

/// Lowest level that the siphon of bed `i` can leave `[m]`: the slots' crown
/// without any dip, the air tube's mouth where it breaks the siphon in every
/// case, or the end of an inlet below them, through which the bed runs back.
pub(super) fn lowest_level(parts: &Parts, i: usize) -> f64 {
    let bed = &parts.beds()[i];
    let crown = bed.crown_level();
    let siphoned = match bed.mouth_level() {
        Some(mouth) if mouth > crown && tube_always_breaks(parts, i) => mouth,
        _ => crown,
    };
    match &bed.inlet {
        Inlet::Piped(branch) if branch.level < siphoned && runs_back(parts) => {
            branch.level.max(bed.floor)
        }
        _ => siphoned,
    }
}

/// Highest level at which the siphon of bed `i` may break with its outlet looking at `tail` `[m]`.
pub(super) fn highest_break(parts: &Parts, i: usize, tail: f64) -> f64 {
    let level = parts.most[i].break_level(tail);
    parts.beds()[i]
        .mouth_level()
        .map_or(level, |mouth| level.max(mouth))
}

/// Highest water that bed `i` can hold when its siphon breaks `[m]`: the gravel keeps it
/// over the guard by what the siphon draws just then. Below it a full siphon starves: it
/// breaks as soon as it is primed, and the bed climbs from cycle to cycle.
fn highest_left(parts: &Parts, i: usize) -> f64 {
    let outlet = parts.outlets[i];
    // A free outlet draws most, and so breaks highest.
    let guard = highest_break(parts, i, outlet);
    parts.at_edge(i, guard, parts.most[i].full_flow(guard - outlet))
}

/// Whether water can leave a bed through its inlet: to the riser without a
/// check valve, or over to another outlet of the same tree. What the fish tank's
/// overflow feeds by gravity has no such way.
pub(super) fn runs_back(parts: &Parts) -> bool {
    let tank = parts.system.tank.as_ref();
    if tank.is_some_and(|tank| tank.overflows_to == TankOutlet::Beds) {
        return false;
    }
    let piped = parts
        .beds()
        .iter()
        .filter(|bed| matches!(bed.inlet, Inlet::Piped(_)))
        .count();
    let branch = tank.is_some_and(|tank| matches!(tank.fed_by, TankFeed::PumpBranch(_)));
    let bypass = parts.system.supply.bypass.is_some();
    let settler = parts.system.branch_to(Outlet::Settler).is_some();
    let outlets = piped + usize::from(branch) + usize::from(bypass) + usize::from(settler);
    !parts.system.pump.check_valve || outlets > 1
}

/// Tries the tube at every flow the siphon can have, with the least suction
/// and the greatest need of air.
fn tube_always_breaks(parts: &Parts, i: usize) -> bool {
    let bed = &parts.beds()[i];
    let Some(tube) = &bed.siphon.bell.air_tube else {
        return false;
    };
    let soft: &Coefficients = &parts.system.coefficients;
    let values = soft
        .nominal()
        .with(
            Coefficient::SlotOrifice,
            soft[Coefficient::SlotOrifice].high,
        )
        .with(Coefficient::CapTurn, soft[Coefficient::CapTurn].low)
        .with(
            Coefficient::AirCarryVelocity,
            soft[Coefficient::AirCarryVelocity].low,
        )
        .with(
            Coefficient::AirCarryRatio,
            soft[Coefficient::AirCarryRatio].high,
        );
    let law = SiphonLaw::new(bed, &parts.system.water, &values);
    let (low, high) = (law.outlet(), bed.floor + tube.mouth_height);
    (0..=TUBE_POINTS)
        .all(|k| law.tube_breaks(low + (high - low) * f64::from(k) / f64::from(TUBE_POINTS)))
}

/// Highest level of every bed.
///
/// `starts` are the highest levels at t = 0, `sump_cap[i]` the highest sump
/// level while bed `i` stands at its lip or above `[m]`.
pub(super) fn highest_levels(parts: &Parts, starts: &[f64], sump_cap: &[f64]) -> Vec<Highest> {
    let mut levels: Vec<f64> = parts.beds().iter().map(|bed| bed.rim_level()).collect();
    let mut found = Vec::new();
    let mut line = parts.rough_line.as_ref().map(|line| HighestLine {
        line,
        flows: vec![0.0; parts.count()],
        tails: parts.outlets.clone(),
    });
    // Without a line no bed is in another's way.
    for _ in 0..if parts.line.is_some() { ROUNDS } else { 1 } {
        let mut seen_at = f64::NAN;
        found.clear();
        for i in 0..parts.count() {
            let tail = match &mut line {
                Some(line) if parts.on_line(i) => {
                    // A line settles for all beds, and looks alike at any sump below its outlet.
                    let sump = sump_cap[i].max(line.line.outlet());
                    if seen_at != sump {
                        line.settle(parts, sump, &levels);
                        seen_at = sump;
                    }
                    line.tails[i]
                }
                _ => parts.outlets[i].max(sump_cap[i]),
            };
            found.push(highest_level(parts, i, starts[i], tail));
        }
        levels = found.iter().map(|highest| highest.level).collect();
    }
    for (i, highest) in found.iter_mut().enumerate().filter(|one| one.1.may_spill) {
        let free = highest_level(parts, i, starts[i], parts.outlets[i]);
        highest.backed_up = !free.may_spill;
    }
    found
}

/// The line with every bed at its highest level, siphon or lip giving the most it can.
struct HighestLine<'a> {
    line: &'a DrainLineLaw,
    flows: Vec<f64>,
    /// Highest level that each outlet on the line can look at `[m]`.
    tails: Vec<f64>,
}

impl HighestLine<'_> {
    fn settle(&mut self, parts: &Parts, sump_level: f64, levels: &[f64]) {
        let demand = |j: usize, tail: f64| most_discharge(parts, j, levels[j], tail);
        let (flows, tails) = (&mut self.flows, &mut self.tails);
        self.line
            .settle(sump_level, &parts.outlets, &demand, flows, tails);
    }
}

/// Most that the siphon of bed `j` passes in any mode at `level` against `tail` `[m3/s]`.
fn most_discharge(parts: &Parts, j: usize, level: f64, tail: f64) -> f64 {
    let law = &parts.most[j];
    let over_lip = law.lip_flow(level, tail - parts.outlets[j]);
    law.full_flow(level - tail).max(over_lip)
}

fn highest_level(parts: &Parts, i: usize, start: f64, tail: f64) -> Highest {
    let bed = &parts.beds()[i];
    let inflow = parts.greatest_inflow(i);
    if inflow > 0.0 && is_blocked(parts, i) {
        return Highest {
            level: bed.rim_level(),
            may_spill: true,
            backed_up: false,
        };
    }
    let submergence = (tail - parts.outlets[i]).max(0.0);
    let zero_head = bed.lip_level() + submergence;
    let standing = parts.at_edge(i, zero_head + parts.highest_head(i, inflow), inflow);
    // It stands or it primes, whichever comes first.
    let unprimed = if highest_left(parts, i) > bed.lip_level() {
        // Its gravel may starve it as soon as it is primed; such pulses are held at the lip.
        standing
    } else {
        standing.min(primed_level(parts, i, zero_head, start))
    };
    let held = parts.at_edge(i, level_held_full(parts, i, inflow, tail), inflow);
    let level = start.max(unprimed).max(held);
    Highest {
        level: level.min(bed.rim_level()),
        may_spill: level > bed.rim_level(),
        backed_up: false,
    }
}

/// Whether an incident blocks the siphon of bed `i`.
fn is_blocked(parts: &Parts, i: usize) -> bool {
    let blocks = |what: &Disturbance| matches!(what, Disturbance::SiphonBlocked(j) if *j == i);
    let incidents = &parts.system.incidents;
    incidents.iter().any(|incident| blocks(&incident.what))
}

/// Highest level at which the siphon of bed `i` gets to full bore, never to break at once `[m]`.
///
/// Priming begins at the head over `zero_head` that passes the start flow, or
/// at the level the bed begins with if that is higher, or at which its gravel lets
/// the siphon run at last, and while it lasts lip
/// flow stays above 0.8 of the start flow. Over a piece of the Froude band the
/// head is taken at its upper and flow and time at its lower end. What comes in meanwhile
/// is filled in as volume: a drum that closes at its top has no surface there to divide by.
fn primed_level(parts: &Parts, i: usize, zero_head: f64, start: f64) -> f64 {
    let bed = &parts.beds()[i];
    let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
    let froude = parts.start_froude(bed);
    let carry = parts.band(Coefficient::PrimingCarry).low;
    let per_froude = flow_at_froude(pipe.bore, 1.0);
    let crown = bell.crown_volume();
    let inflow = parts.greatest_inflow(i);
    let storage = &parts.storages[i];
    let begins = start.max(highest_left(parts, i));
    let at = |k: u32| {
        let share = f64::from(k) / f64::from(FROUDE_PIECES);
        per_froude * (froude.low + (froude.high - froude.low) * share)
    };
    (0..FROUDE_PIECES)
        .map(|k| {
            let (slow, fast) = (at(k), at(k + 1));
            let carried = carry * slow - bell.air_leak;
            if carried <= 0.0 {
                return f64::INFINITY;
            }
            let gain = (inflow - PRIMING_HOLD * slow).max(0.0) * crown / carried;
            let begun = parts.at_edge(i, zero_head + parts.highest_head(i, fast), fast);
            let begun = begun.max(begins);
            let primed = storage.volume(begun) + gain;
            // A bed that would spill before it is primed has no primed level.
            if begun < bed.rim_level() && primed < storage.volume(bed.rim_level()) {
                storage.level(primed).max(begun)
            } else {
                f64::INFINITY
            }
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

/// Level at which the worst full siphon of bed `i` passes all of `inflow` `[m]`;
/// its rim or more when it cannot.
fn level_held_full(parts: &Parts, i: usize, inflow: f64, tail: f64) -> f64 {
    let (law, rim) = (&parts.least[i], parts.beds()[i].rim_level());
    let excess = |level: f64| law.full_flow(level - tail) - inflow;
    if excess(rim) < 0.0 {
        return f64::INFINITY;
    }
    brent(excess, tail.min(rim), rim, 1e-9).unwrap_or(rim)
}

/// Level at which bed `i` stands while its dead siphon passes `inflow`, at the
/// unfavourable end of every coefficient, its outlet under `submergence` `[m]`.
pub(super) fn dead_level(parts: &Parts, i: usize, inflow: f64, submergence: f64) -> f64 {
    dead_level_of(
        parts,
        i,
        &parts.beds()[i],
        &parts.least[i],
        inflow,
        submergence,
    )
}

/// The same for `bed` in place of bed `i`, its siphon at its weakest `least`: the higher of
/// what the lip and what the whole pipe asks for `[m]`. A dead siphon cannot pass
/// more than one that runs full.
pub(super) fn dead_level_of(
    parts: &Parts,
    i: usize,
    bed: &Bed,
    least: &SiphonLaw,
    inflow: f64,
    submergence: f64,
) -> f64 {
    let under = submergence.max(0.0);
    let over_lip = least.lip() + under + least.standing_head(inflow);
    let guard = over_lip.max(least.outlet() + under + full_head(bed, least, inflow));
    parts.at_edge(i, guard, inflow)
}

/// Peak of bed `i` at a steady `inflow`, its siphon `law`, its outlet under
/// `submergence` `[m]`: the start level, or where its gravel lets the siphon run at last,
/// and what comes in while it primes; or where it dribbles, or where the running siphon
/// holds it.
pub(super) fn peak_of(
    parts: &Parts,
    i: usize,
    law: &SiphonLaw,
    inflow: f64,
    submergence: f64,
) -> f64 {
    let under = submergence.max(0.0);
    let at_edge = |guard: f64, flow: f64| parts.at_edge(i, guard, flow);
    let standing = at_edge(law.lip() + under + law.standing_head(inflow), inflow);
    let primed = match law.priming_time() {
        Some(time) if inflow > law.start_flow() => {
            let tail = law.outlet() + under;
            let left = at_edge(law.break_level(tail), law.stall_flow(tail));
            let start = at_edge(law.start_level(under), law.start_flow()).max(left);
            let rise = (inflow - law.start_flow()) * time / parts.storages[i].area(start);
            (start + rise).min(standing)
        }
        _ => standing,
    };
    let held = law.outlet() + under + full_head(&parts.beds()[i], law, inflow);
    primed.max(at_edge(held, inflow))
}

/// Head from bed to tail with which the siphon of `bed`, `law`, passes `flow` running full `[m]`.
fn full_head(bed: &Bed, law: &SiphonLaw, flow: f64) -> f64 {
    let velocity = flow / bed.siphon.standpipe.area();
    (1.0 + law.total_loss(flow)) * velocity * velocity / (2.0 * GRAVITY)
}
