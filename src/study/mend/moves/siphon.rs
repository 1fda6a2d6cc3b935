//! Siphon and drain: pipe, drop, slots, air tube, line.

use super::super::sizes;
use super::{Ask, Move};
use crate::assessment::CheckId;
use crate::hydraulics::pipe_sizes::PipeSize;
use crate::hydraulics::pipe_sizes::neighbours;
use crate::model::{AirTube, Bed, BedPart, Change, DrainTarget, Pipe, PipePart, Quantity, System};

/// How much farther down an outlet goes, or up a bed, in one move `[m]`.
const DROPS: [f64; 6] = [0.05, 0.10, 0.15, 0.20, 0.30, 0.45];
/// How much wider slots are filed.
const WIDER: [f64; 4] = [1.25, 1.5, 2.0, 3.0];
/// Least bore of a bell over that of a pipe that is put under it; a draft, which buys both, takes
/// more.
const BELL_OVER_PIPE: f64 = 2.2;
/// Bores of air tubes on sale `[m]`.
const TUBES: [f64; 4] = [0.006, 0.008, 0.010, 0.012];
/// Sizes up and down that are tried.
const NEIGHBOURS: usize = 3;

const OF_SIPHON: [CheckId; 4] = [
    CheckId::Starts,
    CheckId::Breaks,
    CheckId::InflowRatio,
    CheckId::Rim,
];

pub(super) fn moves(ask: &Ask) -> Vec<Move> {
    let mut moves = Vec::new();
    for beds in ask.groups(&[CheckId::Breaks, CheckId::InflowRatio, CheckId::Starts]) {
        moves.extend(WIDER.map(|by| wider_slots(ask, &beds, by)));
        moves.extend(TUBES.map(|bore| air_tube(ask.system, &beds, bore)));
        moves.extend(DROPS.iter().filter_map(|&by| lower_outlets(ask, &beds, by)));
        moves.extend(DROPS.map(|by| raise_beds(&beds, by)));
    }
    for beds in ask.groups(&OF_SIPHON) {
        moves.extend(narrower(ask, &beds));
    }
    moves.extend(wider(ask, &OF_SIPHON));
    moves.retain(|one| !one.is_empty());
    moves
}

fn wider_slots(ask: &Ask, beds: &[usize], by: f64) -> Move {
    // Slots are filed, and a whole step is much of a width of a few millimetres.
    let step = 0.5 * sizes::grain(ask.units);
    let wider = |&i: &usize| {
        let width = Quantity::Bed(i, BedPart::SlotWidth);
        Some(Change::set(
            width,
            sizes::up(by * width.value(ask.system)?, step),
        ))
    };
    beds.iter().filter_map(wider).collect()
}

fn air_tube(system: &System, beds: &[usize], bore: f64) -> Move {
    let fitted = |&i: &usize| {
        let bell = &system.beds.get(i)?.siphon.bell;
        bell.air_tube.is_none().then_some(Change::AirTube {
            bed: i,
            tube: Some(AirTube {
                bore,
                mouth_height: bell.slots.height + AirTube::OVER_CROWN,
            }),
        })
    };
    beds.iter().filter_map(fitted).collect()
}

/// Outlets farther down, with the line where they run into one.
fn lower_outlets(ask: &Ask, beds: &[usize], by: f64) -> Option<Move> {
    let (system, step) = (ask.system, sizes::grain(ask.units));
    let mut changes = Vec::new();
    let into_line = |i: &usize| {
        let drain = system.beds.get(*i).map(|bed| &bed.siphon.drain.into);
        matches!(drain, Some(DrainTarget::Line { .. }))
    };
    if beds.iter().any(into_line) {
        let line = Quantity::LineOutlet;
        changes.push(Change::set(
            line,
            sizes::down(line.value(system)? - by, step),
        ));
    }
    for &i in beds {
        let outlet = Quantity::Bed(i, BedPart::Outlet);
        changes.push(Change::set(
            outlet,
            sizes::down(outlet.value(system)? - by, step),
        ));
    }
    Some(changes)
}

fn raise_beds(beds: &[usize], by: f64) -> Move {
    beds.iter()
        .map(|&bed| Change::RaiseBed { bed, by })
        .collect()
}

/// Narrower pipes, the next sizes down.
fn narrower(ask: &Ask, beds: &[usize]) -> Vec<Move> {
    let first = beds.first().and_then(|&i| ask.system.beds.get(i));
    let Some(first) = first else {
        return Vec::new();
    };
    let (narrower, _) = neighbours(first.siphon.standpipe.bore, ask.units, NEIGHBOURS);
    narrower
        .iter()
        .map(|size| resized(ask.system, beds, size))
        .collect()
}

/// Wider pipes for the beds of which one of these checks fails, with bells that go over them.
pub(super) fn wider(ask: &Ask, ids: &[CheckId]) -> Vec<Move> {
    let mut moves = Vec::new();
    for beds in ask.groups(ids) {
        let first = beds.first().and_then(|&i| ask.system.beds.get(i));
        let Some(first) = first else {
            continue;
        };
        let (_, wider) = neighbours(first.siphon.standpipe.bore, ask.units, NEIGHBOURS);
        for size in wider {
            moves.push(with_bells(ask, &beds, size));
        }
    }
    moves
}

fn resized(system: &System, beds: &[usize], size: &PipeSize) -> Move {
    let changed = |bed: &usize| {
        let now = system.beds.get(*bed)?.siphon.standpipe.bore;
        ((now - size.bore).abs() > 1e-6).then_some(Change::PipeSize {
            bed: *bed,
            bore: size.bore,
            outside: size.outside,
        })
    };
    beds.iter().filter_map(changed).collect()
}

fn with_bells(ask: &Ask, beds: &[usize], size: &PipeSize) -> Move {
    let mut changes = resized(ask.system, beds, size);
    let narrow = |bed: &Bed| bed.siphon.bell.bore < BELL_OVER_PIPE * size.bore;
    for &i in beds {
        if ask.system.beds.get(i).is_some_and(narrow)
            && let Some(bell) = sizes::at_least(BELL_OVER_PIPE * size.bore, ask.units)
        {
            changes.push(Change::BellSize {
                bed: i,
                bore: bell.bore,
                outside: bell.outside,
            });
        }
    }
    changes
}

/// A wider drain line, a vent.
pub(super) fn line(ask: &Ask) -> Vec<Move> {
    let Some(line) = &ask.system.drain_line else {
        return Vec::new();
    };
    let mut moves = Vec::new();
    if !line.vented {
        moves.push(vec![Change::Vent(true)]);
    }
    let bore = Quantity::Pipe(Pipe::DrainLine, PipePart::Bore);
    let (_, wider) = neighbours(line.run.bore, ask.units, 2 * NEIGHBOURS);
    moves.extend(wider.iter().map(|size| vec![Change::set(bore, size.bore)]));
    moves
}
