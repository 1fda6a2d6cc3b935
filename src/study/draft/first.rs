//! First sizes: what common practice and the closures say before anything is simulated.

use super::facts::{Facts, MOST_BEDS, PumpFact, SumpFact};
use super::sizes::{Bypass, Feed, Line, Sizes, flood};
use super::tank::{FishTank, swing};
use crate::hydraulics::circular::{flow_at_froude, full_area};
use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule};
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::Coefficients;
use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::units::UnitSystem;
use crate::units::amounts::{Side, length};

/// Gravel below the rim of a bed `[m]`.
const RIM_OVER_GRAVEL: f64 = 0.040;
/// Lip below the gravel's surface: 50 mm of dry gravel, 5 mm of levelling error, and the water
/// over the lip, 10 mm and half a bore `[m]`.
const LIP_UNDER_GRAVEL: f64 = 0.065;
/// Shortest standpipe that still floods anything `[m]`.
const SHORTEST_LIP: f64 = 0.06;
/// Drainable void of gravel; common practice.
const VOID: f64 = 0.40;
/// Room in the sump over the flood.
const SUMP_SPARE: f64 = 1.25;
/// Vessels joined at most.
const MOST_VESSELS: u32 = 8;
/// Overflow under the brim `[m]`; free room under it as the checks want it.
const UNDER_BRIM: f64 = 0.040;
const FREEBOARD: f64 = 0.050;
/// Outlets over the sump's overflow `[m]`.
const OVER_OVERFLOW: f64 = 0.050;
/// Fall from bed to outlet: wanted, and the least that is tried under a low ceiling `[m]`.
const DROP: f64 = 0.45;
const LEAST_DROP: f64 = 0.15;
/// Height for plants and hands over the rim: wanted, and the least `[m]`.
const GROWING: f64 = 0.45;
const LEAST_GROWING: f64 = 0.15;
/// Inlet over the rim `[m]`.
/// Out of the water even when the bed spills: a drowned inlet would siphon it back.
const INLET_OVER_RIM: f64 = 0.080;
/// Bore of a bell over that of its standpipe.
const BELL_OVER_PIPE: f64 = 2.5;
/// Room between bell and guard `[m]`.
const GUARD_ROOM: f64 = 0.010;
/// Area of the drain line over that of one standpipe, for each bed.
const LINE_OVER_PIPE: f64 = 3.7;
/// Slope of the drain line: 2 %, and 1/4 in per foot.
const SLOPE: (f64, f64) = (0.02, 1.0 / 48.0);
/// Speeds that supply pipes are chosen for `[m/s]`.
const TRUNK_SPEED: f64 = 1.0;
const BRANCH_SPEED: f64 = 0.8;
/// Losses of the supply that a pump is chosen with `[m]`, and flow to spare.
const SUPPLY_LOSS: f64 = 0.3;
const PUMP_SPARE: f64 = 1.35;
/// A pump that gives this many times what the beds need gets a way back.
const TOO_MUCH: f64 = 1.7;
/// Fill time that siphon pipes are chosen for `[s]`.
const FILL_TIME: f64 = 1100.0;
/// Siphons below this bore clog `[m]`; common practice, no source. What that weighs against a fill
/// time that is off, as the logarithm of its ratio.
const NARROW: f64 = 0.019;
const NARROW_IS_OFF: f64 = 1.0;
/// Pumps that are sold: most flow `[L/h]` and highest lift `[m]`; common practice, no source.
const PUMPS: [(f64, f64); 9] = [
    (800.0, 1.8),
    (1200.0, 2.2),
    (2000.0, 2.6),
    (3000.0, 3.0),
    (4000.0, 3.4),
    (6000.0, 4.0),
    (8000.0, 4.5),
    (12_000.0, 5.5),
    (20_000.0, 7.0),
];
/// Length, width and depth of a bed where nobody says `[m]`; and the largest in a room.
const USUAL_BED: ([f64; 3], [f64; 3]) = ([1.2, 0.6, 0.30], [1.2192, 0.6096, 0.3048]);
/// Room left at the ends of a row of beds `[m]`.
const ENDS: f64 = 0.30;
/// Ceiling where nobody says `[m]`.
const USUAL_CEILING: (f64, f64) = (2.4, 2.4384);

/// Sizes to try, the likeliest first: they differ in the siphons' pipe.
pub fn candidates(facts: &Facts) -> Vec<Sizes> {
    let pipes = siphon_pipes(facts.units);
    let bed = bed_of(facts);
    // Less the slots of the narrowest pipe, 22 mm high.
    let per_bed = flood(&bed, VOID, lip_of(&bed, pipes[0], facts.units) - 0.022);
    let mut order: Vec<&'static PipeSize> = pipes.to_vec();
    let off = |pipe: &PipeSize| {
        let narrow = if pipe.bore < NARROW {
            NARROW_IS_OFF
        } else {
            0.0
        };
        (per_bed / target(pipe.bore) / FILL_TIME)
            .log_natural()
            .abs()
            + narrow
    };
    order.order_by(|a, b| off(a).total_cmp(&off(b)));
    let of = |pipe: &&'static PipeSize| sized(facts, bed, pipe);
    let mut all: Vec<Sizes> = order.iter().map(of).collect();
    // What the pump can feed comes first, in the order of fill times; stable.
    all.order_by_key(|sizes| !feeds(sizes));
    all
}

/// Whether the pump has what all siphons need to start, and the fish.
fn feeds(sizes: &Sizes) -> bool {
    available(sizes) >= sizes.beds as f64 * target(sizes.pipe.bore) + for_fish(sizes)
}

/// What the fish tank wants `[m3/s]`.
fn for_fish(sizes: &Sizes) -> f64 {
    sizes.tank.as_ref().map_or(0.0, FishTank::wanted)
}

/// What the pump gives at the highest inlets `[m3/s]`.
fn available(sizes: &Sizes) -> f64 {
    let tank = sizes.tank.as_ref().map(|tank| tank.inlet);
    let highest = tank.into_iter().fold(sizes.inlet, f64::max);
    given_at(sizes, highest + SUPPLY_LOSS)
}

/// What the pump gives at elevation `level` `[m3/s]`.
fn given_at(sizes: &Sizes, level: f64) -> f64 {
    let low = sizes.intake.0 + sizes.intake.1;
    match sizes.pump {
        PumpFact::Measured(flow) => flow,
        pump => pump.curve().map_or(0.0, |curve| curve.flow(level - low)),
    }
}

/// Inflow that is sure to start a siphon of this bore, and a tenth `[m3/s]`: the start flow
/// `Fs (pi/4) D^2 sqrt(g D)` at the high end of its band.
fn target(bore: f64) -> f64 {
    // 0.6 is the band's high end, should the water give no properties.
    let froude = Water::at(20.0).map_or(0.6, |water| {
        Coefficients::default().start_froude(bore, &water).high
    });
    flow_at_froude(bore, 1.1 * froude)
}

fn sold(units: UnitSystem) -> Vec<&'static PipeSize> {
    let series = |size: &&PipeSize| match units {
        UnitSystem::Us => size.schedule == Schedule::Sch40,
        UnitSystem::Metric => {
            size.schedule == Schedule::Pn10
                // PN10 begins at 32 mm: smaller pipes are PN16.
                || (size.schedule == Schedule::Pn16 && size.outside < 0.031)
        }
    };
    let mut all: Vec<_> = PIPE_SIZES.iter().filter(series).collect();
    all.order_by(|a, b| a.bore.total_cmp(&b.bore));
    all
}

/// Sizes that siphons are made of: up to 2 in.
fn siphon_pipes(units: UnitSystem) -> Vec<&'static PipeSize> {
    let mut all = sold(units);
    all.retain(|size| size.bore < 0.054);
    all
}

/// The narrowest on sale of at least this bore, else the widest.
fn pipe_of(bore: f64, units: UnitSystem) -> &'static PipeSize {
    let all = sold(units);
    let wide = all.iter().find(|size| size.bore >= bore - 1e-9);
    wide.or(all.last()).copied().unwrap_or(&PIPE_SIZES[0])
}

const fn pair(units: UnitSystem, both: (f64, f64)) -> f64 {
    match units {
        UnitSystem::Metric => both.0,
        UnitSystem::Us => both.1,
    }
}

/// In whole centimetres or half inches.
fn coarse(units: UnitSystem, value: f64, side: Side) -> f64 {
    // The hair keeps a value that is in whole steps already from moving by one.
    let step = pair(units, (0.01, 0.0127));
    match side {
        Side::Up => (value / step - 1e-9).ceil() * step,
        Side::Down => (value / step + 1e-9).floor() * step,
    }
}

/// Measures of a bed: given, or as the room allows.
fn bed_of(facts: &Facts) -> [f64; 3] {
    if let Some(bed) = facts.bed {
        return bed;
    }
    let mut bed = match facts.units {
        UnitSystem::Metric => USUAL_BED.0,
        UnitSystem::Us => USUAL_BED.1,
    };
    if let Some([a, b]) = facts.room {
        let (long, wide) = (a.max(b), a.min(b));
        let count = facts.beds.unwrap_or(1).clamp(1, MOST_BEDS) as f64;
        bed[0] = bed[0].min(coarse(facts.units, (long - ENDS) / count, Side::Down).max(0.4));
        // Room to walk past it, 0.6 m; common practice, no source.
        bed[1] = bed[1].min(coarse(facts.units, wide - 0.6, Side::Down).max(0.3));
    }
    bed
}

fn lip_of(bed: &[f64; 3], pipe: &PipeSize, units: UnitSystem) -> f64 {
    let lip = gravel_of(bed, units) - LIP_UNDER_GRAVEL - 0.5 * pipe.bore;
    length(units, lip.max(SHORTEST_LIP), Side::Down)
}

fn gravel_of(bed: &[f64; 3], units: UnitSystem) -> f64 {
    // In a shallow tray 40 mm would be too large a part of the gravel.
    let below = RIM_OVER_GRAVEL.min(0.15 * bed[2]);
    length(units, bed[2] - below, Side::Down)
}

/// How many beds a person without a number gets: what one vessel and the room take.
fn beds_of(facts: &Facts, sump: &SumpFact, bed: &[f64; 3], flood: f64) -> usize {
    if let Some(beds) = facts.beds {
        return beds.clamp(1, MOST_BEDS);
    }
    let vessels = f64::from(facts.vessels.unwrap_or(1));
    let depth = sump.cuts().last().copied().unwrap_or(0.5);
    // 0.08: the intake and the cover over it, as in `sized`.
    let water = vessels * usable(&sump.shape(depth), 0.08) / SUMP_SPARE - swing(facts);
    let holds = water / flood;
    let fits = facts.room.map_or(f64::INFINITY, |[a, b]| {
        ((a.max(b) - ENDS) / bed[0] + 1e-9).floor()
    });
    holds.min(fits).clamp(1.0, 4.0) as usize
}

/// Water between `low` over its bottom and the freeboard under its overflow `[m3]`.
fn usable(shape: &VesselShape, low: f64) -> f64 {
    let top = shape.depth() - UNDER_BRIM - FREEBOARD;
    (shape.volume(top) - shape.volume(low)).max(0.0)
}

/// The vessel, its cut and how many, for this flood `[m3]`.
fn vessel_of(facts: &Facts, sump: &SumpFact, all: f64, low: f64) -> (VesselShape, u32) {
    let wanted = SUMP_SPARE * all;
    let counts = match facts.vessels {
        Some(count) => count..=count,
        None => 1..=MOST_VESSELS,
    };
    // Stands only where the vessel has no cut to try.
    let mut last = (sump.shape(0.45), *counts.start());
    // Fewer vessels before lower cuts: joints are more work than a taller wall.
    for count in counts {
        for cut in sump.cuts() {
            last = (sump.shape(cut), count);
            if f64::from(count) * usable(&last.0, low) >= wanted {
                return last;
            }
        }
    }
    last
}

/// Slots for a pipe: count, width, height.
fn slots_of(pipe: &PipeSize, units: UnitSystem) -> (u32, f64, f64) {
    let height = match pipe.bore {
        bore if bore < 0.036 => pair(units, (0.022, 0.875 * 0.0254)),
        bore if bore < 0.042 => pair(units, (0.030, 1.125 * 0.0254)),
        _ => pair(units, (0.038, 1.5 * 0.0254)),
    };
    let count = if pipe.bore < 0.019 { 6 } else { 8 };
    // K of the slots is then (1 / (0.60 x 3.8))^2 = 0.2, small beside the cap's 1.2.
    let area = 3.8 * full_area(pipe.bore);
    let least = pair(units, (0.010, 0.375 * 0.0254));
    let width = (area / f64::from(count) / height).max(least);
    (count, length(units, width, Side::Up), height)
}

/// Sizes round one siphon pipe.
fn sized(facts: &Facts, bed: [f64; 3], pipe: &'static PipeSize) -> Sizes {
    let units = facts.units;
    let sump = facts.sump.clone().unwrap_or(SumpFact::LyingDrum);
    let (gravel, lip) = (gravel_of(&bed, units), lip_of(&bed, pipe, units));
    let slots = slots_of(pipe, units);
    let per_bed = flood(&bed, VOID, (lip - slots.2).max(0.02));
    let beds = beds_of(facts, &sump, &bed, per_bed);
    // Height of a small pump's intake, and 50 mm of cover; common practice, no source.
    let intake = (
        pair(units, (0.03, 0.0254)),
        pair(units, (0.05, 2.0 * 0.0254)),
    );
    let all = beds as f64 * per_bed + swing(facts);
    let vessel = vessel_of(facts, &sump, all, intake.0 + intake.1);
    let tank = FishTank::placed(facts, vessel.0.depth(), pipe, &|m| {
        coarse(units, m, Side::Up)
    });
    let bell = pipe_of(BELL_OVER_PIPE * pipe.bore, units);
    let guard = pipe_of(bell.outside + GUARD_ROOM, units);
    let mut sizes = Sizes {
        units,
        beds,
        bed,
        floor: 0.0,
        gravel,
        void: VOID,
        pipe,
        bell,
        // The widest pipe on sale may not go round the bell: then none.
        guard: (guard.bore >= bell.outside + 0.5 * GUARD_ROOM).then_some(guard),
        lip,
        // A whole bore: from there on the facing cap adds nothing to the mouth's loss.
        clearance: length(units, pipe.bore.max(0.020), Side::Up),
        slots,
        air_tube: None,
        outlet: 0.0,
        drain: 0.0,
        line: None,
        fill: 0.0,
        overflow: coarse(units, vessel.0.depth() - UNDER_BRIM, Side::Down),
        vessel,
        intake,
        pump: PumpFact::Measured(0.0),
        feed: Vec::new(),
        trunk: (pipe, 0.0),
        branch: (pipe, 0.0),
        inlet: 0.0,
        bypass: None,
        tank,
        ceiling: facts.ceiling.unwrap_or(pair(units, USUAL_CEILING)),
    };
    heights(&mut sizes, facts);
    supply(&mut sizes, facts);
    sizes
}

/// Line, outlets, beds and inlets from the sump's overflow up, under the ceiling.
fn heights(sizes: &mut Sizes, facts: &Facts) {
    let units = sizes.units;
    let above = coarse(units, sizes.overflow + OVER_OVERFLOW, Side::Up);
    if sizes.beds > 1 {
        let wanted = sizes.pipe.bore * (LINE_OVER_PIPE * sizes.beds as f64).sqrt();
        let line = line_of(sizes, facts, pipe_of(wanted, units), above);
        let highest = line.outlet + line.slope * line.length;
        // Over the line's crown: inside it a full line would drown the outlet.
        let over = highest + line.size.bore + 0.02;
        sizes.outlet = coarse(units, over, Side::Up);
        sizes.line = Some(line);
    } else {
        sizes.outlet = above;
    }
    let depth = sizes.bed[2];
    let room = |growing: f64| sizes.ceiling - growing - depth - sizes.outlet;
    // The drop gives way to the plants, but not below its least: it would run on.
    let drop = if room(GROWING) >= LEAST_DROP {
        room(GROWING).min(DROP)
    } else {
        room(LEAST_GROWING).clamp(0.5 * LEAST_DROP, LEAST_DROP)
    };
    sizes.floor = coarse(units, sizes.outlet + drop, Side::Down);
    // The drain turns aside on its way down, so its pipe is longer than the fall.
    let aside = pair(units, (0.15, 0.1524));
    sizes.drain = sizes.floor + sizes.lip - sizes.outlet + aside;
    sizes.inlet = coarse(units, sizes.floor + depth + INLET_OVER_RIM, Side::Up);
    let low = sizes.intake.0 + sizes.intake.1;
    // A first guess; tuning fills it by what the beds turn out to take.
    sizes.fill = coarse(units, low + 0.7 * (sizes.overflow - low), Side::Down);
}

fn line_of(sizes: &Sizes, facts: &Facts, size: &'static PipeSize, outlet: f64) -> Line {
    let units = sizes.units;
    // Beds stand end to end along a wall, or in two rows where that is too long.
    let row = sizes.beds as f64 * sizes.bed[0];
    let long = facts.room.map_or(f64::INFINITY, |[a, b]| a.max(b));
    let pitch = if row > long {
        0.5 * sizes.bed[0]
    } else {
        sizes.bed[0]
    };
    let first = pair(units, (0.6, 0.6096));
    let at = |i: usize| coarse(units, first + pitch * i as f64, Side::Up);
    let at: Vec<f64> = (0..sizes.beds).map(at).collect();
    let last = at.last().copied().unwrap_or(first);
    Line {
        size,
        length: coarse(units, last + 0.2, Side::Up),
        slope: pair(units, SLOPE),
        outlet,
        at,
    }
}

/// The pump, its pipes, and what sets the inflow.
fn supply(sizes: &mut Sizes, facts: &Facts) {
    let units = sizes.units;
    let each = target(sizes.pipe.bore);
    let beds = sizes.beds as f64 * each;
    let wanted = beds + for_fish(sizes);
    sizes.pump = facts.pump.unwrap_or_else(|| pump_for(sizes, wanted));
    let given = available(sizes);
    // A pump that gives nothing still gets pipes with a bore.
    let to_beds = beds.min(given).max(1e-5);
    // Of a pump that gives far too much the fish get what the beds leave, up to a bound.
    let most_to_tank = sizes.tank.as_ref().map_or(0.0, FishTank::most);
    let to_tank = if given > TOO_MUCH * wanted {
        (given - beds).min(most_to_tank)
    } else {
        for_fish(sizes)
    };
    // The sump stands beside the beds, not under their inlets.
    let aside = coarse(units, 1.5, Side::Up);
    let flow = (to_beds + to_tank).min(given.max(1e-5));
    sizes.trunk = (
        pipe_of(bore_for(flow, TRUNK_SPEED).max(0.025), units),
        coarse(units, sizes.inlet + aside, Side::Up),
    );
    sizes.branch = (
        pipe_of(bore_for(to_beds / sizes.beds as f64, BRANCH_SPEED), units),
        coarse(units, 0.6, Side::Up),
    );
    // Rounded down: shares must not add up to more than the pump gives.
    let share = (1e3 * (each / given.max(1e-9)).min(1.0 / sizes.beds as f64)).floor() / 1e3;
    let feed = match sizes.pump {
        PumpFact::Measured(_) => Feed::Share(share.max(0.001)),
        // A first guess with room to turn either way.
        _ => Feed::Valve(0.7),
    };
    sizes.feed = vec![feed; sizes.beds];
    let curve = !matches!(sizes.pump, PumpFact::Measured(_));
    let used = beds + to_tank;
    sizes.bypass = (curve && given > TOO_MUCH * used).then(|| Bypass {
        size: pipe_of(bore_for(given - used, 1.5).max(0.015), units),
        opening: 0.5,
    });
    pipe_tank(sizes, to_tank);
}

/// Bore of a pipe that carries `flow` at `speed` `[m]`.
fn bore_for(flow: f64, speed: f64) -> f64 {
    (flow / speed / std::f64::consts::FRAC_PI_4).sqrt()
}

/// The fish tank's pipes for `flow` `[m3/s]`; its overflow takes all that the pump gives there.
fn pipe_tank(sizes: &mut Sizes, flow: f64) {
    let Some(mut tank) = sizes.tank.take() else {
        return;
    };
    let units = sizes.units;
    let branch = pipe_of(bore_for(flow, BRANCH_SPEED).max(0.015), units);
    // Beside the beds, on the same trunk.
    tank.branch = (branch, coarse(units, 1.5, Side::Up));
    tank.pipe = tank.overflow_pipe(given_at(sizes, tank.inlet), &sold(units));
    sizes.tank = Some(tank);
}

/// The smallest pump on sale that gives this flow `[m3/s]` with some to spare.
fn pump_for(sizes: &Sizes, wanted: f64) -> PumpFact {
    let sold = PUMPS.map(|(litres, lift)| match sizes.units {
        UnitSystem::Metric => (litres / 3.6e6, lift),
        // Whole hundreds of gallons an hour and feet.
        UnitSystem::Us => (
            (litres / 378.541).ceil() * 0.378_541_178_4 / 3600.0,
            (lift / 0.3048).round() * 0.3048,
        ),
    });
    let of = |(open_flow, shut_off_head): (f64, f64)| PumpFact::Box {
        open_flow,
        shut_off_head,
    };
    let enough = |pump: &PumpFact| {
        let mut with = sizes.clone();
        with.pump = *pump;
        available(&with) >= PUMP_SPARE * wanted
    };
    let all = sold.map(of);
    let found = all.iter().find(|pump| enough(pump));
    found.copied().unwrap_or(all[all.len() - 1])
}
