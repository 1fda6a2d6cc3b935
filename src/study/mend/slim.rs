//! What would be less of the same, or is easier to set: tried at the end, for a search takes what surely
//! is enough.

use super::moves::Move;
use super::sizes::{coarse, up, vessels};
use crate::hydraulics::pipe_sizes::neighbours;
use crate::model::{BedPart, BranchPart, Change, Pipe, PipePart, Quantity, System, Vessel};
use crate::units::UnitSystem;

/// Pipe sizes that are looked at between what is there and what a step asks for.
const SIZES_BETWEEN: usize = 4;
/// Shares of a height that are tried.
const SHARES: [f64; 3] = [0.25, 0.5, 0.75];

/// The same step with less, the least first: what is done to several beds shrinks alike.
pub(super) fn smaller(step: &Move, system: &System, sizes: UnitSystem) -> Vec<Move> {
    let each: Vec<Vec<Change>> = step
        .iter()
        .map(|change| less(change, system, sizes))
        .collect();
    let most = each.iter().map(Vec::len).min().unwrap_or(0);
    (0..most)
        .map(|k| {
            let all = each.iter().filter_map(|one| one.get(k).cloned());
            all.collect()
        })
        .collect()
}

/// Smaller changes of the same kind, the least first; none where less is no gain.
fn less(change: &Change, system: &System, sizes: UnitSystem) -> Vec<Change> {
    let heights = |by: f64| {
        let shares = SHARES.into_iter();
        let steps = shares.map(move |share| by.signum() * up(share * by.abs(), coarse(sizes)));
        // Rounded up it may be all of it again.
        let mut steps: Vec<f64> = steps.filter(|part| part.abs() < by.abs()).collect();
        steps.dedup();
        steps
    };
    match *change {
        Change::Join { count } => (system.sump.count + 1..count)
            .map(|count| Change::Join { count })
            .collect(),
        Change::Replace {
            vessel: Vessel::Sump,
            ref shape,
        } => smaller_vessels(system, shape.full_volume(), sizes),
        Change::RaiseAll { by } => {
            let all = heights(by).into_iter();
            all.map(|by| Change::RaiseAll { by }).collect()
        }
        Change::MoveSump { by } => {
            let all = heights(by).into_iter();
            all.map(|by| Change::MoveSump { by }).collect()
        }
        Change::RaiseBed { bed, by } => {
            let all = heights(by).into_iter();
            all.map(|by| Change::RaiseBed { bed, by }).collect()
        }
        Change::PipeSize { bed, bore, .. } => {
            let what = Quantity::Bed(bed, BedPart::PipeBore);
            let sold = between(what.value(system), bore, sizes).into_iter();
            sold.map(|(bore, outside)| Change::PipeSize { bed, bore, outside })
                .collect()
        }
        Change::Set {
            what:
                what @ Quantity::Pipe(Pipe::DrainLine | Pipe::Trunk | Pipe::Branch(_), PipePart::Bore),
            to,
        } => {
            let sold = between(what.value(system), to, sizes).into_iter();
            sold.map(|(bore, _)| Change::set(what, bore)).collect()
        }
        Change::Valves(ref openings) => {
            let turned = |round: fn(f64) -> f64| -> Vec<_> {
                let each = openings.iter();
                each.map(|&(outlet, to)| (outlet, by_hand(to, round)))
                    .collect()
            };
            let mut finer: Vec<_> = ROUNDED.into_iter().map(turned).collect();
            finer.retain(|turned| turned != openings);
            finer.into_iter().map(Change::Valves).collect()
        }
        Change::Set {
            what: what @ Quantity::Branch(_, BranchPart::Opening),
            to,
        } => {
            let turned = ROUNDED.into_iter().map(|round| by_hand(to, round));
            let finer = turned.filter(|turned| (turned - to).abs() > 1e-9);
            finer.map(|turned| Change::set(what, turned)).collect()
        }
        _ => Vec::new(),
    }
}

/// To the nearest, else to the one or the other side.
const ROUNDED: [fn(f64) -> f64; 3] = [f64::round, f64::floor, f64::ceil];

/// How far a hand sets a handle: to a twentieth, and a crack at least. Nobody sets one per cent.
fn by_hand(opening: f64, round: fn(f64) -> f64) -> f64 {
    match opening > 0.0 {
        true => round(20.0 * opening).clamp(1.0, 20.0) / 20.0,
        false => opening,
    }
}

/// Bore and outside of pipes on sale that are wider than what is there and narrower than `to`.
fn between(now: Option<f64>, to: f64, sizes: UnitSystem) -> Vec<(f64, f64)> {
    let Some(now) = now else {
        return Vec::new();
    };
    let (_, wider) = neighbours(now, sizes, SIZES_BETWEEN);
    wider
        .into_iter()
        .filter(|size| size.bore < to)
        .map(|size| (size.bore, size.outside))
        .collect()
}

/// Single vessels that hold more than the sump does and less than `most` `[m3]`.
fn smaller_vessels(system: &System, most: f64, sizes: UnitSystem) -> Vec<Change> {
    let now = system.sump.joined().full_volume();
    vessels(sizes)
        .into_iter()
        .filter(|(shape, count)| {
            let holds = shape.full_volume();
            *count == 1 && holds > now && holds < most
        })
        .map(|(shape, _)| Change::Replace {
            vessel: Vessel::Sump,
            shape,
        })
        .collect()
}
