//! Undoing what an incident did: clear what is blocked, open what is shut.

use crate::assessment::amounts::{self, Side};
use crate::assessment::facts::Facts;
use crate::assessment::most_inflow::MostInflow;
use crate::assessment::reach::peak_of;
use crate::hydraulics::weir::standing_head;
use crate::model::{Coefficient, Disturbance, System};
use crate::network::supply::SupplyTree;

/// Bores in which overflow pipes are sold, close enough for both unit systems `[m]`.
const OVERFLOWS: [f64; 8] = [0.020, 0.027, 0.035, 0.041, 0.053, 0.063, 0.078, 0.102];

/// Incidents that happened in the run.
fn happened<'a>(facts: &'a Facts) -> impl Iterator<Item = &'a Disturbance> {
    let parts = &facts.parts;
    let incidents = parts.run.incidents.iter();
    incidents.filter_map(|incident| {
        let told = parts.system.incidents.get(incident.index)?;
        Some(&told.what)
    })
}

/// Whether an incident of the run blocked the siphon of bed `i`.
pub(in crate::assessment) fn siphon_blocked(facts: &Facts, i: usize) -> bool {
    happened(facts).any(|what| *what == Disturbance::SiphonBlocked(i))
}

/// Whether an incident of the run shut the inlet of bed `i`.
pub(in crate::assessment) fn inlet_shut(facts: &Facts, i: usize) -> bool {
    happened(facts).any(|what| *what == Disturbance::ValveShut(i))
}

/// Whether bed `i` drains into a line that an incident of the run blocked.
pub(in crate::assessment) fn line_blocked(facts: &Facts, i: usize) -> bool {
    facts.parts.on_line(i) && any_line_blocked(facts)
}

/// Whether an incident of the run blocked a part of the drain line.
pub(in crate::assessment) fn any_line_blocked(facts: &Facts) -> bool {
    happened(facts).any(|what| matches!(what, Disturbance::LineBlocked(share) if *share > 0.0))
}

/// What frees bed `i` again, where an incident of the run blocked its way out.
pub(in crate::assessment) fn cleared(facts: &Facts, i: usize) -> Option<String> {
    if siphon_blocked(facts, i) {
        Some(format!("Clear the siphon of {}.", facts.parts.name(i)))
    } else if line_blocked(facts, i) {
        Some("Clear the drain line.".to_owned())
    } else {
        None
    }
}

/// The same, and what would have kept the water of bed `i` in where it spilled.
pub(in crate::assessment) fn cleared_and_kept(facts: &Facts, i: usize) -> Option<String> {
    let clear = cleared(facts, i)?;
    let spilled = facts.parts.run.beds[i].overflowed > 0.0;
    let kept = if spilled {
        overflow_text(facts, i)
    } else {
        None
    };
    Some(match kept {
        Some(overflow) => format!("{clear} {overflow}"),
        None => clear,
    })
}

/// What brings bed `i` its water again, where an incident of the run shut its inlet.
pub(in crate::assessment) fn opened(facts: &Facts, i: usize) -> Option<String> {
    inlet_shut(facts, i).then(|| {
        let name = facts.parts.name(i);
        format!("Open the inlet valve of {name} again.")
    })
}

/// The inlets to open again that an incident of the run shut, where bed `i` takes more than
/// `most` `[m3/s]` only while they are.
pub(in crate::assessment) fn others_opened(facts: &Facts, i: usize, most: f64) -> Option<String> {
    let parts = &facts.parts;
    let shut: Vec<String> = (0..parts.count())
        .filter(|&j| j != i && inlet_shut(facts, j))
        .map(|j| parts.name(j))
        .collect();
    if shut.is_empty() {
        return None;
    }
    let open = System {
        incidents: Vec::new(),
        ..parts.system.clone()
    };
    let usual = MostInflow::new(&open, &SupplyTree::new(&open)).beds[i];
    (usual <= most).then(|| {
        format!(
            "Open the inlet valve of {} again: {} takes what it no longer does.",
            shut.join(" and "),
            parts.name(i)
        )
    })
}

/// The overflow that would have kept the water of bed `i` in: the narrowest pipe on sale
/// whose lip stands over the bed's usual peak and leaves the freeboard under the rim.
fn overflow_text(facts: &Facts, i: usize) -> Option<String> {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let bed = &parts.beds()[i];
    let inflow = parts.greatest_inflow(i);
    let usual = peak_of(parts, i, &parts.nominal[i], inflow, 0.0);
    let highest = bed.rim_level() - parts.system.thresholds.rim_freeboard;
    let (bore, lip) = OVERFLOWS.into_iter().find_map(|bore| {
        let (weir, orifice) = (Coefficient::LipWeir, Coefficient::LipOrifice);
        let (weir, orifice) = (parts.band(weir).low, parts.band(orifice).low);
        let lip = highest - standing_head(bore, bore, inflow, weir, orifice);
        let lip = amounts::length(units, lip, Side::Down);
        (lip >= usual).then_some((bore, lip))
    })?;
    Some(format!(
        "An overflow pipe of at least {} bore to the sump, its lip at {} or lower, {} under the \
         rim, would have kept the water in.",
        units.bore(bore),
        units.elevation(lip),
        units.length(bed.rim_level() - lip)
    ))
}
