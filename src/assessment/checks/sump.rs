//! Sump bounds against the pump's cover and the overflow.

use crate::assessment::bounds::Balance;
use crate::assessment::checks::drain::line_causes;
use crate::assessment::checks::entry;
use crate::assessment::checks::entry::SumpEntryWhy;
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{
    and_fill, cleared_and_kept, cut_possible, every_standpipe, fitting_fill, least_length,
    line_for_cover, shortfalls,
};
use crate::assessment::most_inflow::MostInflow;
use crate::assessment::parts::Parts;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::assessment::ways_in::{OpenHole, open_hole};
use crate::model::{Change, MOST_JOINED, PumpPart, Quantity, TopOffPart, Vessel};
use crate::units::amounts::{self, Side};

/// Less than this over the overflow is rounding `[m3]`.
const LEAST_LOSS: f64 = 1e-9;
/// Steps of a twentieth by which a larger sump is tried, up to five times as large.
const MOST_LARGER: u32 = 80;
/// Most vessels alike that are joined to those there are.
const MORE_JOINED: u32 = 3;

/// How low the sump can fall.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpCoverWhy {
    /// Time for which the pump drew air in the run `[s]`.
    pub drew_air: f64,
    /// Lowest level that volumes allow `[m]`.
    pub low: f64,
    /// Lowest of the run `[m]`.
    pub seen: f64,
    /// Level that the intake needs `[m]`.
    pub needed: f64,
    /// Beds over whose wall water may go.
    pub spilling: Vec<usize>,
    /// Those of them where that takes water standing over their outlets.
    pub backed_up: Vec<usize>,
    /// Whether water may go over the fish tank's wall.
    pub tank_spills: bool,
    /// The time for which what the air takes is counted, where it takes any `[s]`.
    pub air_takes_in: Option<f64>,
    /// Level with every siphon dead, where that is too low `[m]`.
    pub dead: Option<f64>,
}

impl PumpCoverWhy {
    /// Beds over whose wall water may go though their outlets are free.
    pub fn over_by_themselves(&self) -> impl Iterator<Item = usize> {
        let spilling = self.spilling.iter().copied();
        spilling.filter(|i| !self.backed_up.contains(i))
    }
}

/// How high the sump can rise.
#[derive(Debug, Clone, PartialEq)]
pub struct SumpHighWhy {
    /// Highest level that volumes allow, at most the overflow `[m]`.
    pub high: f64,
    /// Its overflow `[m]`.
    pub overflow: f64,
    /// Room wanted under it `[m]`.
    pub wanted: f64,
    /// Water that comes and finds no room, where there is any `[m3]`.
    pub lost: Option<f64>,
    /// Whether a float valve or a source has added water by then.
    pub topped_up: bool,
    /// What the run shows.
    pub seen: SumpSeen,
    /// The lowest hole under the overflow that pipes may need in its wall and nothing seals: where
    /// it spills then.
    pub hole: Option<OpenHole>,
    /// Whether that hole, and not the overflow, decides.
    pub by_hole: bool,
    /// Level that it is filled to at the start `[m]`.
    pub filled: f64,
    /// Water that comes on top of that from the supply pipes `[m3]`.
    pub from_supply: f64,
    /// The same from beds, fish tank and drains `[m3]`.
    pub from_beds: f64,
}

/// What a run shows of the sump's highest water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SumpSeen {
    /// So much went over its overflow `[m3]`.
    Overflowed(f64),
    /// It rose to this `[m]`.
    RoseTo(f64),
}

/// Water over the pump's intake at the low bound.
pub(super) fn pump_cover(facts: &Facts) -> Check {
    let parts = &facts.parts;
    let pump = &parts.system.pump;
    let bounds = &facts.balance.bounds;
    let run = &parts.run.sump;
    let value = bounds.low - pump.intake_level;
    let limit = pump.minimum_cover;
    let spilling: Vec<usize> = (0..parts.count())
        .filter(|&i| facts.balance.highest[i].may_spill)
        .collect();
    // No warning in between: it is covered or it draws air.
    let mut status = graded(value, limit, limit);
    if run.ran_dry > 0.0 {
        status = Status::Fail;
    } else if !spilling.is_empty() || facts.balance.tank_may_spill {
        status = status.max(Status::Warn);
    }
    let why = Why::PumpCover(PumpCoverWhy {
        drew_air: run.ran_dry,
        low: bounds.low,
        seen: run.level.min,
        needed: parts.dry_level(),
        backed_up: (spilling.iter().copied())
            .filter(|&i| facts.balance.highest[i].backed_up)
            .collect(),
        spilling,
        tank_spills: facts.balance.tank_may_spill,
        air_takes_in: (parts.system.net_loss() > 0.0).then_some(parts.run.duration),
        dead: (bounds.dead_siphons < parts.dry_level()).then_some(bounds.dead_siphons),
    });
    Check {
        id: CheckId::PumpCover,
        subject: Subject::Pump,
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        why,
        basis: "derived: volumes alone; the cover is the maker's, else 50 mm by common practice",
    }
}

/// Freeboard under the sump's overflow at the high bound.
pub(super) fn sump_high(facts: &Facts) -> Check {
    let parts = &facts.parts;
    let (sump, run) = (&parts.system.sump, &parts.run.sump);
    let bounds = &facts.balance.bounds;
    let limit = parts.system.thresholds.sump_freeboard;
    let full = parts.sump_volume(sump.overflow_level);
    let lost = (facts.balance.topped_up_volume - full).max(0.0);
    // It spills rather than stand over its overflow.
    let high = bounds.high.min(sump.overflow_level);
    let value = sump.overflow_level - high;
    let mut status = graded(value, limit, limit);
    if run.overflowed > 0.0 || lost > LEAST_LOSS {
        status = Status::Fail;
    }
    // Where a hole may spill it first, that is what it is held against.
    let ways = entry::ways_with_water(facts);
    let at_hole = ways.as_ref().map(|ways| ways.held_against(ways.high));
    let hole = ways.as_ref().and_then(SumpEntryWhy::open_hole);
    let hole = hole.filter(|hole| hole.level < sump.overflow_level);
    let by_hole = hole.is_some() && at_hole.is_some_and(|found| found > status);
    status = status.max(at_hole.filter(|_| by_hole).unwrap_or(status));
    let (value, limit) = match hole.filter(|_| by_hole) {
        Some(hole) => (hole.level - high.max(run.level.max), 0.0),
        None => (value, limit),
    };
    let at_start = parts.sump_volume(sump.start_level);
    let more = (facts.balance.high_volume - at_start).max(0.0);
    let back = if parts.system.pump.check_valve {
        0.0
    } else {
        facts.balance.supply
    };
    let why = Why::SumpHigh(SumpHighWhy {
        high,
        overflow: sump.overflow_level,
        wanted: parts.system.thresholds.sump_freeboard,
        lost: (lost > LEAST_LOSS).then_some(lost),
        topped_up: facts.balance.topped_up_volume > facts.balance.high_volume + LEAST_LOSS,
        seen: if run.overflowed > 0.0 {
            SumpSeen::Overflowed(run.overflowed)
        } else {
            SumpSeen::RoseTo(run.level.max)
        },
        hole,
        by_hole,
        filled: sump.start_level,
        from_supply: back.min(more),
        from_beds: more - back.min(more),
    });
    Check {
        id: CheckId::SumpHigh,
        subject: Subject::Sump,
        status,
        value,
        limit,
        margin: value - limit,
        unit: CheckUnit::Metre,
        why,
        basis: COMMON_PRACTICE,
    }
}

/// Ways to keep the pump's intake covered.
pub(super) fn cover_fixes(facts: &Facts, why: &PumpCoverWhy) -> Vec<Fix> {
    let parts = &facts.parts;
    let overflowed = parts.run.beds.iter().any(|bed| bed.overflowed > 0.0);
    if !overflowed && let Some(line) = held_by_line(facts) {
        return vec![line];
    }
    if why.spilling.is_empty() && why.tank_spills {
        return tank_spill_fixes(facts);
    }
    let lacks = shortfalls(facts, &facts.balance).0 > 0.0;
    if !why.spilling.is_empty() && (overflowed || !lacks) {
        return spill_fixes(facts, &why.spilling);
    }
    let mut ways: Vec<Fix> = fitting_fill(facts).into_iter().collect();
    ways.extend(lower_intake(facts));
    ways.extend(less_swing(facts));
    ways
}

/// The intake lower, where there is water and a floor under it.
fn lower_intake(facts: &Facts) -> Option<Fix> {
    let parts = &facts.parts;
    let pump = &parts.system.pump;
    let short = parts.dry_level() - facts.balance.bounds.low;
    let lower = amounts::length(parts.tape, short, Side::Up);
    let (missing, _) = shortfalls(facts, &facts.balance);
    let has_water = missing < parts.sump_volume(parts.dry_level());
    let intake = pump.intake_level - lower;
    (has_water && lower > 0.0 && intake >= parts.system.sump.floor)
        .then(|| Fix::of([Change::set(Quantity::Pump(PumpPart::Intake), intake)]))
}

/// The overflow that keeps the fish tank from going over its wall.
fn tank_spill_fixes(facts: &Facts) -> Vec<Fix> {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let now = system.tank.as_ref().map_or(0.0, |tank| tank.overflow_bore);
    let wider = (1..=40)
        .map(|k| now * (1.0 + 0.05 * f64::from(k)))
        .find(|&bore| {
            if let Some(tank) = &mut system.tank {
                tank.overflow_bore = bore;
            }
            let top = MostInflow::new(&system, &parts.tree).tank;
            top.is_some_and(|top| !top.may_spill)
        });
    vec![match wider {
        Some(bore) => {
            let bore = amounts::bore(parts.tape, bore, Side::Up);
            Fix::of([Change::set(Quantity::TankOverflowBore, bore)])
        }
        None => Fix::hint(Hint::WidenTankPipes),
    }]
}

/// What keeps these beds from going over their walls.
fn spill_fixes(facts: &Facts, spilling: &[usize]) -> Vec<Fix> {
    let parts = &facts.parts;
    let undo = spilling.iter().find_map(|&i| cleared_and_kept(facts, i));
    if let Some(undo) = undo {
        return vec![undo];
    }
    if spilling.iter().any(|&i| parts.on_line(i)) {
        let ways = line_causes(facts);
        if !ways.is_empty() {
            return ways;
        }
    }
    vec![Fix::hint(Hint::KeepFromOverflowing(spilling.to_vec()))]
}

/// A bore of the shared line that frees the beds it can hold to their rim.
fn held_by_line(facts: &Facts) -> Option<Fix> {
    let held = (0..facts.parts.count())
        .any(|i| facts.parts.on_line(i) && facts.balance.highest[i].may_spill);
    held.then(|| line_for_cover(facts)).flatten()
}

/// Cover and freeboard do not fit together: shorter standpipes, else a larger sump.
fn less_swing(facts: &Facts) -> Vec<Fix> {
    let parts = &facts.parts;
    // All are cut alike, so the one that can lose least decides.
    let most = (0..parts.count())
        .map(|i| cut_possible(facts, i))
        .fold(f64::INFINITY, f64::min);
    let with_fill = |cut: f64| and_fill(facts, every_standpipe(facts, cut));
    let enough = |cut: f64| with_fill(cut).is_some();
    let mut ways = Vec::new();
    if most > 0.0 && enough(most) {
        ways.extend(with_fill(least_length(parts.tape, most, enough)));
    }
    let (missing, surplus) = shortfalls(facts, &facts.balance);
    let excess = (missing - facts.balance.lost + surplus).max(0.0);
    let excess = amounts::volume(parts.tape, excess, Side::Up);
    let larger = (1..=MOST_LARGER).find_map(|k| {
        let area = parts.system.sump.joined().mean_area() * (1.0 + 0.05 * f64::from(k));
        let vessel = Vessel::Sump;
        and_fill(facts, vec![Change::Stretch { vessel, area }])
    });
    let now = parts.system.sump.count;
    let joined = (now + 1..=(now + MORE_JOINED).min(MOST_JOINED))
        .find_map(|count| and_fill(facts, vec![Change::Join { count }]));
    let hint = Hint::LargerSump(excess);
    ways.push(larger.unwrap_or_default().noting(hint));
    ways.extend(joined);
    ways
}

/// The float valve set so low that what it adds leaves the freeboard, where nothing else
/// takes it.
fn lower_valve(facts: &Facts) -> Option<Fix> {
    let (parts, balance) = (&facts.parts, &facts.balance);
    let valve = parts.system.top_off.as_ref()?;
    let sump = &parts.system.sump;
    let wanted = sump.overflow_level - parts.system.thresholds.sump_freeboard;
    let spare = parts.sump_volume(wanted) - balance.high_volume;
    if spare < 0.0 {
        return None;
    }
    // Nothing is added while it opens at or below the lowest level there is.
    let level = parts
        .sump_level(parts.sump_volume(balance.lowest_normal) + spare)
        .min(valve.level);
    let level = amounts::length(parts.tape, level, Side::Down);
    Some(Fix::of([Change::set(
        Quantity::TopOff(TopOffPart::Level),
        level,
    )]))
}

/// Ways to keep the sump under its overflow.
pub(super) fn high_fixes(facts: &Facts, why: &SumpHighWhy) -> Vec<Fix> {
    if why.by_hole {
        return entry::ways_with_water(facts)
            .map_or_else(Vec::new, |ways| entry::fixes(facts, &ways));
    }
    let mut ways: Vec<Fix> = lower_valve(facts).into_iter().collect();
    ways.extend(fitting_fill(facts));
    let (_, surplus) = shortfalls(facts, &facts.balance);
    if !facts.parts.system.pump.check_valve && facts.balance.supply >= surplus {
        ways.push(Fix::of([Change::CheckValve(true)]));
    }
    if ways.is_empty() {
        ways.extend(less_swing(facts));
    }
    // Kept under the overflow the water may still stand over a hole.
    match why.hole {
        Some(_) => ways.into_iter().map(|way| sealed(facts, way)).collect(),
        None => ways,
    }
}

/// The same with the holes in the sump's wall sealed, where the water may still stand over one.
fn sealed(facts: &Facts, way: Fix) -> Fix {
    let parts = &facts.parts;
    let mut system = parts.system.clone();
    let applied = way
        .changes
        .iter()
        .all(|change| change.apply_to(&mut system).is_ok());
    let changed = Parts::new(&system, parts.run, parts.tape);
    let high = Balance::new(&changed).high_water(&changed);
    let drowned = open_hole(&system).is_some_and(|hole| hole.level < high);
    match applied && drowned && !way.changes.is_empty() {
        true => way.and(Fix::of([Change::SealEntries(true)])),
        false => way,
    }
}
