//! The sump: how full, how large, how high.

use super::super::sizes;
use super::{Ask, Move};
use crate::assessment::open_hole;
use crate::model::{BedPart, Change, Level, PumpPart, Quantity, TopOffPart, Vessel};
use crate::study::absorb::fill_range;

/// Where in its range a level is filled to: off the low end first, since water is lost.
const AIMS: [f64; 3] = [0.6, 0.35, 0.85];
/// Vessels of other sizes that are tried, smallest first.
const VESSELS: usize = 8;
/// How far standpipes are cut to flood with less, as shares of their length.
const SHALLOWER: [f64; 3] = [0.9, 0.8, 0.7];
/// A sump lowered, or an overflow drilled higher, in one move `[m]`.
const STEPS: [f64; 3] = [0.05, 0.10, 0.20];
/// How far a sump goes down in one move `[m]`.
const DOWN: [f64; 4] = [0.10, 0.20, 0.30, 0.50];
/// How near its brim an overflow can still be drilled `[m]`; a draft leaves twice that.
const UNDER_BRIM: f64 = 0.02;

const START: Quantity = Quantity::Level(Vessel::Sump, Level::Start);
const OVERFLOW: Quantity = Quantity::Level(Vessel::Sump, Level::Overflow);

/// Water to between the least and the most that volumes allow, with the float valve along; where
/// there is room for it, under the holes in the sump's wall.
pub(super) fn fill(ask: &Ask) -> Vec<Move> {
    let range = fill_range(ask.system, &ask.judged.run).range();
    let sump = &ask.system.sump;
    let step = sizes::level_grain(ask.units);
    let mut moves = Vec::new();
    if let Some((least, most)) = range {
        for aim in AIMS {
            let level = sump.floor + sizes::down(least + aim * (most - least) - sump.floor, step);
            // Rounded down it may have left the range.
            if level > least && (level - sump.start_level).abs() > 1e-9 {
                moves.push(vec![Change::set(START, level)]);
            }
        }
    }
    moves
}

pub(super) fn moves(ask: &Ask) -> Vec<Move> {
    let mut moves = raised_overflow(ask);
    if !ask.system.pump.check_valve {
        moves.push(vec![Change::CheckValve(true)]);
    }
    moves.extend(lower_sump(ask));
    moves.extend(lower_intake(ask));
    moves.extend(lower_float(ask));
    moves.extend(shallower_floods(ask));
    moves.extend(other_vessels(ask));
    moves
}

fn raised_overflow(ask: &Ask) -> Vec<Move> {
    let sump = &ask.system.sump;
    let brim = sump.floor + sump.shape.depth() - UNDER_BRIM;
    if sump.overflow_level >= brim - 1e-9 {
        return Vec::new();
    }
    vec![vec![Change::set(OVERFLOW, brim)]]
}

/// The sump lower where it stands on something: it must be the lowest point.
pub(super) fn lower_sump(ask: &Ask) -> Vec<Move> {
    let floor = ask.system.sump.floor;
    let lower = |by: &f64| (*by <= floor + 1e-9).then(|| vec![Change::MoveSump { by: -by }]);
    let mut moves: Vec<Move> = DOWN.iter().filter_map(lower).collect();
    if floor > 1e-9 {
        moves.push(vec![Change::MoveSump { by: -floor }]);
    }
    moves
}

/// The pump set on the bottom.
fn lower_intake(ask: &Ask) -> Vec<Move> {
    let intake = Quantity::Pump(PumpPart::Intake);
    // A pump that stands on the bottom draws a little over it.
    let lowest = ask.system.sump.floor + 2.0 * sizes::coarse(ask.units);
    match intake.value(ask.system) {
        Some(now) if now > lowest + 1e-9 => vec![vec![Change::set(intake, lowest)]],
        _ => Vec::new(),
    }
}

/// The float down by steps: it fills what the beds hold.
fn lower_float(ask: &Ask) -> Vec<Move> {
    let float = Quantity::TopOff(TopOffPart::Level);
    let Some(now) = float.value(ask.system) else {
        return Vec::new();
    };
    let (floor, step) = (ask.system.sump.floor, sizes::level_grain(ask.units));
    STEPS
        .iter()
        .map(|by| {
            vec![Change::set(
                float,
                floor + sizes::down(now - by - floor, step),
            )]
        })
        .collect()
}

/// Every standpipe shorter by the same share.
fn shallower_floods(ask: &Ask) -> Vec<Move> {
    let step = sizes::grain(ask.units);
    let shorter = |share: f64| {
        let cut = |i: usize| {
            let length = Quantity::Bed(i, BedPart::StandpipeLength);
            let to = sizes::down(share * length.value(ask.system)?, step);
            Some(Change::set(length, to))
        };
        ask.all_beds().into_iter().filter_map(cut).collect()
    };
    SHALLOWER.map(shorter).into()
}

/// More of the same joined, laid down, or another one from the shop.
fn other_vessels(ask: &Ask) -> Vec<Move> {
    let sump = &ask.system.sump;
    let holds = f64::from(sump.count) * sump.shape.full_volume();
    let mut moves: Vec<Move> = [1, 2, 3]
        .map(|more| {
            vec![Change::Join {
                count: sump.count + more,
            }]
        })
        .into();
    // With holes in its wall it would have them elsewhere: a drum that is to be drilled anew is another one.
    if open_hole(ask.system).is_none() && !sump.sealed_entries {
        moves.push(vec![Change::Tip(Vessel::Sump)]);
    }
    let larger = sizes::vessels(ask.units)
        .into_iter()
        .filter(|(shape, count)| {
            // A few per cent are not worth a vessel; a taller one would drown the outlets.
            f64::from(*count) * shape.full_volume() > 1.05 * holds
                && shape.depth() <= lowest_outlet(ask)
        });
    moves.extend(larger.take(VESSELS).map(|(shape, count)| {
        let vessel = Vessel::Sump;
        let mut other = vec![Change::Replace { vessel, shape }];
        if count > 1 {
            other.push(Change::Join { count });
        }
        other
    }));
    moves
}

/// Room under the lowest outlet, over the sump's floor `[m]`.
fn lowest_outlet(ask: &Ask) -> f64 {
    let nearest = crate::study::absorb::nearest_run(ask.system);
    nearest.map_or(f64::INFINITY, |run| run.level - ask.system.sump.floor)
}
