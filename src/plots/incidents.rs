//! Moments at which something happened to the system: numbered lines over time.

use crate::model::{Disturbance, System};
use crate::numerics::in_order::InOrder;
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::axis::Panel;
use super::page::TimePair;
use super::palette::{LONG, PURPLE, Stroke, WHITE};
use super::sheet::{Align, SMALL, Sheet, text_width};

const MOMENT: Stroke = Stroke::new(PURPLE, 1.6, LONG);
/// Between a line and its number, and round the number `[px]`.
const AIR: f64 = 3.0;

/// What the numbers mean, as one remark; `None` where nothing happened.
pub(super) fn remark(system: &System, run: &Run, units: UnitSystem) -> Option<String> {
    let all: Vec<String> = run
        .incidents
        .iter()
        .enumerate()
        .filter_map(|(k, incident)| {
            let what = words(system, system.incidents.get(incident.index)?.what);
            Some(format!("{} {what} at {}", k + 1, units.time(incident.time)))
        })
        .collect();
    (!all.is_empty()).then(|| format!("Numbered lines: {}.", all.join(", ")))
}

fn words(system: &System, what: Disturbance) -> String {
    let bed = |i: usize| system.beds.get(i).map_or("", |bed| bed.name.as_str());
    match what {
        Disturbance::PumpStops => "the pump stops".to_owned(),
        Disturbance::PumpStarts => "the pump starts again".to_owned(),
        Disturbance::SiphonBlocked(i) => format!("the siphon of {} is blocked", bed(i)),
        Disturbance::LineBlocked(share) => {
            format!("{:.0} % of the drain line is blocked", 100.0 * share)
        }
        Disturbance::ValveShut(i) => format!("the inlet of {} is shut", bed(i)),
    }
}

/// Lines and numbers in both panels; numbers that would touch stand as one.
pub(super) fn draw(sheet: &mut Sheet, run: &Run, pair: &TimePair) {
    for panel in pair.panels() {
        for (x, text) in marks(run, &panel) {
            let width = text_width(&text, SMALL);
            // Left of the line where it is too near the right edge.
            let left = if x + width + 2.0 * AIR > panel.right {
                x - width - AIR
            } else {
                x + AIR
            };
            let base = panel.top + SMALL + AIR;
            sheet.rect(
                (left - 1.0, panel.top + 1.0),
                (left + width + 1.0, base + AIR),
                WHITE,
            );
            sheet.text((left, base), Align::Left, SMALL, PURPLE, text);
        }
    }
}

/// The lines alone, to go behind a series.
pub(super) fn lines(sheet: &mut Sheet, run: &Run, pair: &TimePair) {
    for panel in pair.panels() {
        for incident in &run.incidents {
            if (panel.across.0..=panel.across.1).contains(&incident.time) {
                let x = panel.x(incident.time);
                sheet.line(&[(x, panel.top), (x, panel.bottom)], MOMENT);
            }
        }
    }
}

/// Places and numbers, from left to right.
fn marks(run: &Run, panel: &Panel) -> Vec<(f64, String)> {
    let mut here: Vec<(f64, usize)> = run
        .incidents
        .iter()
        .enumerate()
        .filter(|(_, incident)| (panel.across.0..=panel.across.1).contains(&incident.time))
        .map(|(k, incident)| (panel.x(incident.time), k + 1))
        .collect();
    here.order_by(|a, b| a.0.total_cmp(&b.0));
    let mut groups: Vec<(f64, String)> = Vec::new();
    for (x, number) in here {
        match groups.last_mut() {
            Some((left, text)) if x < *left + text_width(text, SMALL) + 4.0 * AIR => {
                text.push_str(&format!(", {number}"));
            }
            _ => groups.push((x, number.to_string())),
        }
    }
    groups
}
