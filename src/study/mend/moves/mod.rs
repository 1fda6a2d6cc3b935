//! What could be done about what fails.

mod siphon;
mod sump;
mod supply;

use super::judge::{Failing, Judged};
use super::sizes;
use crate::assessment::{Adviser, CheckId, Hint, Status, Subject};
use crate::model::{BedPart, Change, Quantity, System, TopOffPart, Vessel};
use crate::numerics::effort;
use crate::simulation::{BedOutcome, Regime};
use crate::units::HOUR;
use crate::units::UnitSystem;

/// Runs get longer by whole halves of an hour `[h]`.
const HALF_AN_HOUR: f64 = 0.5;

/// Changes that are made at once.
pub(super) type Move = Vec<Change>;

/// A system that fails.
pub(super) struct Ask<'a> {
    pub(super) system: &'a System,
    pub(super) judged: &'a Judged,
    pub(super) failing: &'a [Failing],
    pub(super) units: UnitSystem,
}

impl Ask<'_> {
    /// Whether one of these checks fails.
    fn fails(&self, ids: &[CheckId]) -> bool {
        self.failing.iter().any(|one| ids.contains(&one.id))
    }

    /// The beds of which one of these checks fails.
    fn beds(&self, ids: &[CheckId]) -> Vec<usize> {
        (0..self.system.beds.len())
            .filter(|&i| {
                let mut own = self
                    .failing
                    .iter()
                    .filter(|one| one.subject == Subject::Bed(i));
                own.any(|one| ids.contains(&one.id))
            })
            .collect()
    }

    /// By how much each bed misses this check `[SI]`.
    fn lacking(&self, id: CheckId) -> Vec<(usize, f64)> {
        let of_it = self.failing.iter().filter(|one| one.id == id);
        of_it
            .filter_map(|one| match one.subject {
                Subject::Bed(i) => Some((i, self.judged.check(id, one.subject)?.margin.abs())),
                _ => None,
            })
            .collect()
    }

    /// Every bed.
    fn all_beds(&self) -> Vec<usize> {
        (0..self.system.beds.len()).collect()
    }

    /// These beds, and all of them where that is more: what is done to one is often done to
    /// its like.
    fn groups(&self, ids: &[CheckId]) -> Vec<Vec<usize>> {
        let failing = self.beds(ids);
        let all = self.all_beds();
        if failing.is_empty() {
            Vec::new()
        } else if failing.len() == all.len() {
            vec![all]
        } else {
            vec![failing, all]
        }
    }
}

/// Checks of what a siphon gets or lets go.
const OF_FLOW: [CheckId; 5] = [
    CheckId::Starts,
    CheckId::Breaks,
    CheckId::InflowRatio,
    CheckId::Rim,
    CheckId::Period,
];

/// Checks that a sump which stands too high fails.
const DROWNED: [CheckId; 5] = [
    CheckId::Breaks,
    CheckId::Fall,
    CheckId::DryLayer,
    CheckId::Rim,
    CheckId::DrainLine,
];

/// Checks that a line too narrow fails.
const BY_LINE: [CheckId; 4] = [
    CheckId::DrainLine,
    CheckId::Breaks,
    CheckId::Starts,
    CheckId::Rim,
];

/// Checks that fail by the water which a line that backs up holds in its beds.
const BY_WATER_HELD: [CheckId; 4] = [
    CheckId::PumpCover,
    CheckId::SumpHigh,
    CheckId::TopOff,
    CheckId::DryLayer,
];

/// What is turned or filled, worked out for all parts together: tried after every other move.
pub(super) fn settling(ask: &Ask) -> Vec<Move> {
    let mut moves = longer_run(ask);
    if ask.fails(&OF_FLOW) || out_of_order(ask) {
        moves.extend(supply::valves(ask).settings);
    }
    if ask.fails(&[CheckId::PumpCover, CheckId::SumpHigh]) {
        moves.extend(sump::fill(ask));
    }
    if ask.fails(&[CheckId::TopOff]) {
        moves.extend(float(ask));
    }
    if ask.fails(&[CheckId::DryLayer]) {
        moves.extend(shorter_standpipes(ask));
    }
    moves
}

/// A run that lasts until the beds that are still filling have been through a cycle: one that
/// is too short tells nothing about them.
fn longer_run(ask: &Ask) -> Vec<Move> {
    let beds = ask.judged.run.beds.iter();
    let unfinished = |bed: &BedOutcome| bed.regime == Regime::Unfinished;
    if !ask.fails(&[CheckId::Period]) || !beds.clone().any(unfinished) {
        return Vec::new();
    }
    let adviser = Adviser::new(ask.system, &ask.judged.run, ask.units);
    let checks = ask.judged.assessment.checks.iter();
    // No other check asks for time, and what they ask for may take long to find.
    let needed = checks
        .filter(|check| matches!(check.id, CheckId::Starts | CheckId::Period))
        .flat_map(|check| adviser.fixes(check))
        .flat_map(|fix| fix.hints)
        .filter_map(|hint| match hint {
            Hint::Simulate(time) => Some(time / HOUR),
            _ => None,
        })
        .fold(0.0, f64::max);
    match Quantity::Hours.value(ask.system) {
        Some(now) if needed > 0.0 => {
            let to = sizes::up(needed.max(now), HALF_AN_HOUR);
            vec![vec![Change::set(Quantity::Hours, to)]]
        }
        _ => Vec::new(),
    }
}

/// Beds that do something else than cycling although no check of theirs names it.
fn out_of_order(ask: &Ask) -> bool {
    ask.judged
        .run
        .beds
        .iter()
        .any(|bed| bed.regime != Regime::Cycles)
}

/// What the closure of each failing check asks for, by itself; of the first checks alone where
/// that costs too much.
fn advised(ask: &Ask) -> Vec<Move> {
    let (run, found) = ask.judged.judging();
    let adviser = Adviser::new(ask.system, run, ask.units);
    let failing = found
        .checks
        .iter()
        .filter(|check| check.status == Status::Fail);
    let fixes = failing
        .take_while(|_| !effort::is_over())
        .flat_map(|check| adviser.fixes(check));
    let changes = fixes.map(|fix| fix.changes);
    // A vessel of any size you like is not sold.
    let made = |change: &Change| matches!(change, Change::Stretch { .. });
    changes
        .filter(|changes| !changes.is_empty() && !changes.iter().any(made))
        .collect()
}

/// Every move worth a trial, the least trouble first within each check.
pub(super) fn all(ask: &Ask) -> Vec<Move> {
    let mut moves = settling(ask);
    moves.extend(advised(ask));
    if ask.fails(&OF_FLOW) {
        moves.extend(supply::moves(ask));
        moves.extend(siphon::moves(ask));
    }
    if ask.fails(&[CheckId::PumpCover, CheckId::SumpHigh, CheckId::TopOff]) {
        moves.extend(sump::moves(ask));
    } else if ask.fails(&DROWNED) {
        moves.extend(sump::lower_sump(ask));
    }
    if ask.fails(&[CheckId::DryLayer]) {
        moves.extend(more_gravel(ask));
        moves.extend(siphon::wider(ask, &[CheckId::DryLayer]));
    }
    if ask.fails(&[CheckId::Rim]) {
        moves.extend(lower_lips(ask));
    }
    if ask.fails(&BY_LINE) || (ask.fails(&BY_WATER_HELD) && ask.judged.line_overfull()) {
        moves.extend(siphon::line(ask));
    }
    if ask.fails(&[CheckId::Headroom]) {
        moves.extend(lower_all(ask));
    }
    moves
}

/// What could settle doubts about siphons, the float and a line that backs up.
pub(super) fn doubtful(ask: &Ask) -> Vec<Move> {
    let mut moves = Vec::new();
    if ask.fails(&OF_FLOW) {
        moves.extend(supply::valves(ask).settings);
        // Outlets farther down may have to go through the wall of the sump.
        let moved = |change: &Change| {
            matches!(
                change,
                Change::Set {
                    what: Quantity::LineOutlet | Quantity::Bed(_, BedPart::Outlet),
                    ..
                }
            )
        };
        let siphons = siphon::moves(ask).into_iter();
        moves.extend(siphons.filter(|one| !one.iter().any(moved)));
    }
    if ask.fails(&[CheckId::DryLayer]) {
        moves.extend(more_gravel(ask));
        moves.extend(shorter_standpipes(ask));
    }
    if ask.fails(&[CheckId::TopOff]) {
        moves.extend(float(ask));
    }
    if ask.fails(&[CheckId::DrainLine, CheckId::PumpCover]) {
        moves.extend(siphon::line(ask));
    }
    moves
}

/// The standpipes cut by what their dry layers lack.
fn shorter_standpipes(ask: &Ask) -> Vec<Move> {
    let step = sizes::grain(ask.units);
    let cut: Move = ask
        .lacking(CheckId::DryLayer)
        .into_iter()
        .filter_map(|(i, lack)| shortened(ask, i, lack, step))
        .collect();
    if cut.is_empty() {
        Vec::new()
    } else {
        vec![cut]
    }
}

fn shortened(ask: &Ask, i: usize, by: f64, step: f64) -> Option<Change> {
    let length = Quantity::Bed(i, BedPart::StandpipeLength).value(ask.system)?;
    Some(Change::of_bed(
        i,
        BedPart::StandpipeLength,
        sizes::down(length - by, step),
    ))
}

/// Standpipes cut by what the rims lack, of the failing beds and of all alike.
fn lower_lips(ask: &Ask) -> Vec<Move> {
    let lacking = ask.lacking(CheckId::Rim);
    let step = sizes::grain(ask.units);
    let cut = |(i, lack): &(usize, f64)| shortened(ask, *i, *lack, step);
    vec![lacking.iter().filter_map(cut).collect()]
}

/// Wall that gravel put in leaves free, so that it does not roll off `[m]`; ours.
const FREE_WALL: f64 = 0.01;

/// More gravel instead, where there is room for it.
fn more_gravel(ask: &Ask) -> Vec<Move> {
    let step = sizes::level_grain(ask.units);
    let more = |&(i, lack): &(usize, f64)| {
        let bed = ask.system.beds.get(i)?;
        let deeper = sizes::up(bed.media.depth + lack, step);
        let room = bed.rim_level() - FREE_WALL - bed.media_surface();
        let fits = deeper - bed.media.depth <= room + 1e-9;
        fits.then(|| Change::of_bed(i, BedPart::MediaDepth, deeper))
    };
    let lacking = ask.lacking(CheckId::DryLayer);
    let each: Option<Move> = lacking.iter().map(more).collect();
    each.into_iter().filter(|one| !one.is_empty()).collect()
}

fn lower_all(ask: &Ask) -> Vec<Move> {
    let lack = ask.judged.worst_lack(CheckId::Headroom);
    let by = sizes::up(lack, sizes::coarse(ask.units));
    vec![vec![Change::RaiseAll { by: -by }]]
}

/// The float valve as far up or down as its check lacks.
fn float(ask: &Ask) -> Vec<Move> {
    let Some(now) = Quantity::TopOff(TopOffPart::Level).value(ask.system) else {
        return Vec::new();
    };
    let step = sizes::level_grain(ask.units);
    let lack = ask.judged.worst_lack(CheckId::TopOff);
    let at = |level: f64| vec![Change::set(Quantity::TopOff(TopOffPart::Level), level)];
    let floor = Quantity::Level(Vessel::Sump, crate::model::Level::Floor);
    let base = floor.value(ask.system).unwrap_or(0.0);
    // The highest level that no cycle reaches, where the pump still has water.
    let range = ask.judged.assessment.garden.account.float;
    let best = range.map(|(least, most)| (least, base + sizes::down(most - base, step)));
    let best = best.filter(|(least, level)| level >= least);
    let mut moves: Vec<Move> = best.into_iter().map(|(_, level)| at(level)).collect();
    // Either way: the check fails for a float too high as for one too low.
    moves.extend([
        at(base + sizes::down(now - base - lack, step)),
        at(base + sizes::up(now - base + lack, step)),
    ]);
    moves
}
