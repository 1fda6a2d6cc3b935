//! Undoing what an incident did: clear what is blocked, open what is shut.

use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::most_inflow::MostInflow;
use crate::assessment::reach::peak_of;
use crate::hydraulics::weir::standing_head;
use crate::model::Change;
use crate::model::{Coefficient, Disturbance, System};
use crate::network::supply::SupplyTree;
use crate::numerics::in_order::InOrder;
use crate::units::amounts::{self, Side};

/// Bores in which overflow pipes are sold, close enough for both unit systems `[m]`.
const OVERFLOWS: [f64; 8] = [0.020, 0.027, 0.035, 0.041, 0.053, 0.063, 0.078, 0.102];

/// Incidents that happened in the run, with their places in the system's list.
fn happened<'a>(facts: &'a Facts) -> impl Iterator<Item = (usize, &'a Disturbance)> {
    let parts = &facts.parts;
    let incidents = parts.run.incidents.iter();
    incidents.filter_map(|incident| {
        let told = parts.system.incidents.get(incident.index)?;
        Some((incident.index, &told.what))
    })
}

fn any(facts: &Facts, which: impl Fn(&Disturbance) -> bool) -> bool {
    happened(facts).any(|(_, what)| which(what))
}

const fn blocks_line(what: &Disturbance) -> bool {
    matches!(what, Disturbance::LineBlocked(share) if *share > 0.0)
}

/// Whether an incident of the run blocked the siphon of bed `i`.
pub(in crate::assessment) fn siphon_blocked(facts: &Facts, i: usize) -> bool {
    any(facts, |what| *what == Disturbance::SiphonBlocked(i))
}

/// Whether an incident of the run shut the inlet of bed `i`.
pub(in crate::assessment) fn inlet_shut(facts: &Facts, i: usize) -> bool {
    any(facts, |what| *what == Disturbance::ValveShut(i))
}

/// Whether bed `i` drains into a line that an incident of the run blocked.
pub(in crate::assessment) fn line_blocked(facts: &Facts, i: usize) -> bool {
    facts.parts.on_line(i) && any_line_blocked(facts)
}

/// Whether an incident of the run blocked a part of the drain line.
pub(in crate::assessment) fn any_line_blocked(facts: &Facts) -> bool {
    any(facts, blocks_line)
}

/// Without the incidents that `which` picks; the last goes first, so that places hold.
fn undone(facts: &Facts, which: impl Fn(&Disturbance) -> bool) -> Fix {
    let mut places: Vec<usize> = happened(facts)
        .filter(|(_, what)| which(what))
        .map(|(place, _)| place)
        .collect();
    places.order_by(Ord::cmp);
    places.dedup();
    Fix::of(places.into_iter().rev().map(Change::ClearIncident))
}

/// The drain line cleared, where an incident of the run blocked it.
pub(in crate::assessment) fn line_cleared(facts: &Facts) -> Option<Fix> {
    any_line_blocked(facts).then(|| undone(facts, blocks_line))
}

/// What frees bed `i` again, where an incident of the run blocked its way out.
pub(in crate::assessment) fn cleared(facts: &Facts, i: usize) -> Option<Fix> {
    if siphon_blocked(facts, i) {
        Some(undone(facts, |what| *what == Disturbance::SiphonBlocked(i)))
    } else if facts.parts.on_line(i) {
        line_cleared(facts)
    } else {
        None
    }
}

/// The same, and what would have kept the water of bed `i` in where it spilled.
pub(in crate::assessment) fn cleared_and_kept(facts: &Facts, i: usize) -> Option<Fix> {
    let mut fix = cleared(facts, i)?;
    if facts.parts.run.beds[i].overflowed > 0.0 {
        fix.hints.extend(overflow(facts, i));
    }
    Some(fix)
}

/// What brings bed `i` its water again, where an incident of the run shut its inlet.
pub(in crate::assessment) fn opened(facts: &Facts, i: usize) -> Option<Fix> {
    inlet_shut(facts, i).then(|| undone(facts, |what| *what == Disturbance::ValveShut(i)))
}

/// The inlets to open again that an incident of the run shut, where bed `i` takes more than
/// `most` `[m3/s]` only while they are.
pub(in crate::assessment) fn others_opened(facts: &Facts, i: usize, most: f64) -> Option<Fix> {
    let parts = &facts.parts;
    let of_others = |what: &Disturbance| matches!(what, Disturbance::ValveShut(j) if *j != i);
    if !any(facts, of_others) {
        return None;
    }
    let open = System {
        incidents: Vec::new(),
        ..parts.system.clone()
    };
    let usual = MostInflow::new(&open, &SupplyTree::new(&open)).beds[i];
    (usual <= most).then(|| undone(facts, of_others))
}

/// The overflow that would have kept the water of bed `i` in: the narrowest pipe on sale
/// whose lip stands over the bed's usual peak and leaves the freeboard under the rim.
fn overflow(facts: &Facts, i: usize) -> Option<Hint> {
    let (parts, tape) = (&facts.parts, facts.parts.tape);
    let bed = &parts.beds()[i];
    let inflow = parts.greatest_inflow(i);
    let usual = peak_of(parts, i, &parts.nominal[i], inflow, 0.0);
    let highest = bed.rim_level() - parts.system.thresholds.rim_freeboard;
    let (bore, lip) = OVERFLOWS.into_iter().find_map(|bore| {
        let (weir, orifice) = (Coefficient::LipWeir, Coefficient::LipOrifice);
        let (weir, orifice) = (parts.band(weir).low, parts.band(orifice).low);
        let lip = highest - standing_head(bore, bore, inflow, weir, orifice);
        let lip = amounts::length(tape, lip, Side::Down);
        (lip >= usual).then_some((bore, lip))
    })?;
    Some(Hint::Overflow {
        bed: i,
        bore,
        lip,
        under_rim: bed.rim_level() - lip,
    })
}
