//! Rows of what closes the loop: timer, float valve, air, fish tank, events.

use crate::assessment::CheckId;
use crate::model::{Disturbance, IncidentTime, Schedule, System};
use crate::report::Report;
use crate::report::rows::Row;
use crate::report::words::{plain, spread, spread_of};
use crate::simulation::{
    Cycle, EventKind, IncidentOutcome, Run, Spread, TankOutcome, TopOffOutcome,
};
use crate::units::UnitSystem;
use crate::units::display::between;

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// A heading with its figures.
pub(super) struct Section {
    pub title: &'static str,
    pub rows: Vec<Row>,
}

/// Sections of the parts that this system has, in the order of reading.
pub(super) fn loop_sections(report: &Report) -> Vec<Section> {
    let (system, run, units) = (report.system, report.run, report.units);
    let mut sections = vec![Section {
        title: "When the pump stops",
        rows: supply_rows(report),
    }];
    if let Some(tank) = &run.tank {
        sections.push(Section {
            title: if system.tank.is_some() {
                "Fish tank"
            } else {
                "The sump as fish tank"
            },
            rows: tank_rows(tank, units),
        });
    }
    sections.push(Section {
        title: "Water added and lost",
        rows: water_rows(report),
    });
    sections.push(Section {
        title: "Events",
        rows: run
            .incidents
            .iter()
            .map(|incident| incident_row(system, incident, units))
            .collect(),
    });
    sections.retain(|section| !section.rows.is_empty());
    sections
}

/// A remark on an event that was put at its worst moment.
///
/// `system` is the one with the event in place, `index` the event's place in its
/// list; figures are in `units`.
pub fn worst_remark(system: &System, index: usize, units: UnitSystem) -> String {
    let incident = system.incidents.get(index);
    let what = incident.map_or_else(String::new, |found| phrase(system, found.what));
    let moment = match incident.map(|found| found.at) {
        Some(IncidentTime::At(time)) => format!("was put at {}", units.time(time)),
        Some(IncidentTime::Worst) | None => "has no time yet".to_owned(),
    };
    format!(
        "Event {} ({what}) {moment}: of all moments searched, the worst for the sump.",
        index + 1
    )
}

/// A remark on a series too long to be kept in full; `None` when it is.
pub fn spacing_remark(run: &Run, units: UnitSystem) -> Option<String> {
    let spacing = run.recording.spacing;
    (spacing > 0.0).then(|| {
        format!(
            "The series would have been too long: the rows of levels.csv and the points of the plots \
             are at least {} apart and miss what happens between. All other figures come from every \
             step.",
            units.time(spacing)
        )
    })
}

/// What an event does, as a clause.
pub(super) fn phrase(system: &System, what: Disturbance) -> String {
    let kind = match what {
        Disturbance::PumpStops => EventKind::PumpStopped,
        Disturbance::PumpStarts => EventKind::PumpStarted,
        Disturbance::SiphonBlocked(bed) => EventKind::SiphonBlocked(bed),
        Disturbance::ValveShut(bed) => EventKind::ValveShut(bed),
        Disturbance::LineBlocked(_) => EventKind::LineBlocked,
    };
    plain(&kind.in_words(system))
}

fn row(label: &'static str, value: String) -> Row {
    Row { label, value }
}

/// `0.31 to 0.50 m, mean 0.41 m`.
fn level_range(level: Spread, units: UnitSystem) -> String {
    let (low, high) = (units.elevation(level.min), units.elevation(level.max));
    format!(
        "{}, mean {}",
        between(&low, "to", &high),
        units.elevation(level.mean)
    )
}

fn supply_rows(report: &Report) -> Vec<Row> {
    let (units, supply) = (report.units, &report.run.supply);
    let mut rows = Vec::new();
    if let Some(Schedule { on, off }) = report.system.pump.schedule {
        let text = format!("{} on, {} off", units.time(on), units.time(off));
        rows.push(row("Timer", text));
    }
    if supply.stops == 0 {
        return rows;
    }
    let times = match supply.stops {
        1 => "once".to_owned(),
        n => format!("{n} times"),
    };
    rows.push(row("It stopped", times));
    rows.push(row(
        "Pipes",
        if supply.drained_back > 0.0 {
            let most = units.volume(supply.drained_back);
            format!("{most} run back into the sump at one stop, at most")
        } else {
            "nothing runs back out of them".to_owned()
        },
    ));
    if supply.siphoned_back > 0.0 {
        let back = units.volume(supply.siphoned_back);
        let text = format!("{back} in all, out of vessels through inlets under water");
        rows.push(row("Siphoned back", text));
    }
    rows
}

fn tank_rows(tank: &TankOutcome, units: UnitSystem) -> Vec<Row> {
    let mut rows = vec![
        row("Water level", level_range(tank.level, units)),
        row("Mean inflow", units.flow(tank.inflow)),
        row(
            "Turnover",
            format!(
                "its water {}, over the whole run with every stop",
                units.per_hour(tank.turnover_per_hour)
            ),
        ),
        row(
            "Lowest possible",
            format!(
                "{}, by a leak in the supply or a stuck pump; a leak of the vessel itself is not \
                 counted",
                units.elevation(tank.lowest_possible)
            ),
        ),
    ];
    if tank.overflowed > 0.0 {
        rows.push(row("Spilled", units.volume(tank.overflowed)));
    }
    rows
}

fn water_rows(report: &Report) -> Vec<Row> {
    let units = report.units;
    let mut rows = Vec::new();
    if report.system.evaporation > 0.0 {
        let day = units.volume(report.system.evaporation * DAY);
        rows.push(row("Lost to the air", format!("{day} a day")));
    }
    for source in &report.system.sources {
        let text = format!(
            "{} a day from {}",
            units.volume(DAY * source.flow),
            plain(&source.name)
        );
        rows.push(row("Source", text));
    }
    if let (Some(valve), Some(found)) = (&report.system.top_off, &report.run.top_off) {
        let level = units.elevation(valve.level);
        let should = wanted_valve_level(report).map_or_else(String::new, |most| {
            let verdict = if valve.level <= most { "as" } else { "but" };
            format!(
                ", {verdict} it should at or below {}, where no cycle can open it",
                units.elevation(most)
            )
        });
        rows.push(row("Float valve", format!("opens below {level}{should}")));
        rows.extend(top_off_rows(found, units));
        if let Some(reservoir) = valve.reservoir {
            rows.push(row("Reservoir", reservoir_text(reservoir, found, units)));
        }
        if report.run.sump.overflowed > 0.0 {
            let spilled = units.volume(report.run.sump.overflowed);
            rows.push(row(
                "Spilled",
                format!("{spilled} over the sump's overflow"),
            ));
        }
    }
    rows
}

fn top_off_rows(found: &TopOffOutcome, units: UnitSystem) -> Vec<Row> {
    let mut rows = vec![row(
        "Added",
        format!(
            "{} a day, {} in this run",
            units.volume(found.added_per_day),
            units.volume(found.added)
        ),
    )];
    if found.gained > 0.0 {
        let gained = units.volume(found.gained);
        let cycle = if found.most_gained_per_cycle > 0.0 {
            let most = units.volume(found.most_gained_per_cycle);
            format!(", at most {most} in one cycle")
        } else {
            String::new()
        };
        let text = format!("{gained} more than the air took{cycle}");
        rows.push(row("Gained", text));
    }
    rows
}

/// Highest level of the float valve that no cycle can open `[m]`, as the check has it.
fn wanted_valve_level(report: &Report) -> Option<f64> {
    let mut checks = report.assessment.checks.iter();
    checks
        .find(|check| check.id == CheckId::TopOff)
        .map(|check| check.limit)
}

/// What is left of a reservoir `[m3]` at the end, or when it was spent.
fn reservoir_text(reservoir: f64, found: &TopOffOutcome, units: UnitSystem) -> String {
    let held = units.volume(reservoir);
    match found.reservoir_spent {
        Some(time) => format!("{held}, empty after {}", units.time(time)),
        None => format!(
            "{held}, of which {} are left at the end of this run",
            units.volume((reservoir - found.added).max(0.0))
        ),
    }
}

fn incident_row(system: &System, incident: &IncidentOutcome, units: UnitSystem) -> Row {
    let what = system
        .incidents
        .get(incident.index)
        .map_or_else(String::new, |found| phrase(system, found.what));
    let (low, high) = (
        units.elevation(incident.lowest),
        units.elevation(incident.highest),
    );
    row(
        "Event",
        format!(
            "{what} at {}; after that the sump stands between {low} and {high}",
            units.time(incident.time)
        ),
    )
}

/// What the gravel of a bed keeps back, where its grain size is given.
pub(super) fn left_rows(cycles: &[Cycle], guard: f64, units: UnitSystem) -> Vec<Row> {
    let of = |pick: fn(&Cycle) -> f64| spread_of(cycles.iter().map(pick));
    let (Some(depth), Some(volume)) = (of(|c| c.left_depth), of(|c| c.left_volume)) else {
        return Vec::new();
    };
    vec![
        row(
            "At the guard",
            format!(
                "it breaks with {} there, the water in the gravel {} higher",
                units.elevation(guard),
                spread(depth, |h| units.length(h))
            ),
        ),
        row(
            "Left behind",
            format!(
                "{} above the break level",
                spread(volume, |v| units.volume(v))
            ),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::{Check, CheckUnit, Status};
    use crate::model::TopOff;
    use crate::report::sample::Sample;

    /// Rows of "Water added and lost" for a valve at 0.30 m that added 42 L in this run.
    fn said(reservoir: Option<f64>, spent: Option<f64>, limit: f64) -> String {
        let mut sample = Sample::new();
        sample.system.evaporation = 6e-3 / DAY;
        sample.system.top_off = Some(TopOff {
            level: 0.30,
            flow: 1e-5,
            bore: 0.006,
            reservoir,
        });
        sample.run.top_off = Some(TopOffOutcome {
            added: 0.042,
            added_per_day: 0.007,
            evaporated: 0.012,
            gained: 0.030,
            most_gained_per_cycle: 0.0004,
            reservoir_spent: spent,
        });
        sample.run.sump.overflowed = 0.025;
        sample.assessment.checks = vec![Check {
            id: CheckId::TopOff,
            subject: "float valve".to_owned(),
            status: Status::Fail,
            value: 0.30,
            limit,
            margin: limit - 0.30,
            unit: CheckUnit::Metre,
            because: String::new(),
            first_fix: String::new(),
            basis: "derived",
        }];
        water_rows(&sample.report(UnitSystem::Metric))
            .into_iter()
            .map(|row| format!("{}: {}\n", row.label, row.value))
            .collect()
    }

    #[test]
    fn the_ledger_of_a_float_valve_is_told_in_full() {
        let text = said(None, None, 0.216);
        for part in [
            "Lost to the air: 6 L a day",
            "opens below 0.300 m, but it should at or below 0.216 m",
            "Added: 7 L a day, 42 L in this run",
            "Gained: 30 L more than the air took, at most 0.4 L in one cycle",
            "Spilled: 25 L over the sump's overflow",
        ] {
            assert!(text.contains(part), "{part} in {text}");
        }
        assert!(!text.contains("Reservoir"));
        assert!(said(None, None, 0.35).contains("opens below 0.300 m, as it should at or below"));
        let left = said(Some(0.1), None, 0.216);
        assert!(
            left.contains("Reservoir: 100 L, of which 58 L are left"),
            "{left}"
        );
        let spent = said(Some(0.042), Some(7200.0), 0.216);
        assert!(
            spent.contains("Reservoir: 42 L, empty after 2 h"),
            "{spent}"
        );
    }
}
