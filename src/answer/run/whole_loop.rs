//! What closes the loop: timer, float valve, air, fish tank, events.

use crate::answer::run::keys::{
    ADDED, ADDED_DAY, DRAINED_BACK, EVAPORATED, EVAPORATION, GAINED, GAINED_CYCLE, INCIDENT_BED,
    INCIDENT_HIGHEST, INCIDENT_LOWEST, INCIDENT_TIME, INCIDENT_WHAT, INCIDENT_WORDS, INCIDENTS,
    LOWEST, OFF, ON, OPENS, OPENS_AT_MOST, RESERVOIR, RESERVOIR_LEFT, SIPHONED_BACK,
    SOURCE_DISSOLVED, SOURCE_FLOW, SOURCE_NAME, SOURCES, SPENT, SPILLED, STOP_COUNT, TANK_INFLOW,
    TANK_LEVEL, TANK_SPILLED, TURNOVER, VESSEL,
};
use crate::answer::{At, Block, Figure, Piece, Row, Section, Text, account, between, said};
use crate::assessment::CheckId;
use crate::model::Disturbance::{LineBlocked, PumpStarts, PumpStops, SiphonBlocked, ValveShut};
use crate::model::{Schedule, TopOff};
use crate::report::{Report, phrase};
use crate::simulation::{IncidentOutcome, TankOutcome, TopOffOutcome};
use crate::units::DAY;

/// Rows to read, and figures that only the results hold.
type Told = (Vec<Row>, Vec<Figure>);

/// Sections of the parts that this system has, in the order of reading.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    let tank = if report.system.tank.is_some() {
        "Fish tank"
    } else {
        "The sump as fish tank"
    };
    let told = report
        .run
        .tank
        .as_ref()
        .map(|found| tank_rows(report, found));
    [
        ("When the pump stops", supply(report)),
        (tank, told.unwrap_or_default()),
        ("Water added and lost", water(report)),
        ("Events", events(report)),
    ]
    .into_iter()
    .map(|(title, (rows, data))| {
        Section::new(title)
            .with(Block::Rows(rows))
            .with(Block::Data(data))
    })
    .collect()
}

fn supply(report: &Report) -> Told {
    // The events' stops belong to them.
    let eventful = report.judged.and_then(|judged| judged.disturbed.as_ref());
    let run = eventful.map_or(report.run, |found| &found.run);
    let (top, supply) = (At::top(report.units), &run.supply);
    let mut rows = Vec::new();
    if let Some(Schedule { on, off }) = report.system.pump.schedule {
        let at = top.part("timer");
        let text = said!("{} on, {} off", at.figure(&ON, on), at.figure(&OFF, off));
        rows.push(Row::new("Timer", text));
    }
    if supply.stops == 0 {
        return (rows, Vec::new());
    }
    let at = top.part("pump_stops");
    let count = at.count(&STOP_COUNT, supply.stops);
    rows.push(Row::new(
        "It stopped",
        match supply.stops {
            1 => count.said("once").into(),
            _ => said!("{} times", count),
        },
    ));
    let drained = at.figure(&DRAINED_BACK, supply.drained_back);
    rows.push(Row::new(
        "Pipes",
        if supply.drained_back > 0.0 {
            said!("{} run back into the sump at one stop, at most", drained)
        } else {
            drained.said("nothing runs back out of them").into()
        },
    ));
    let siphoned = at.figure(&SIPHONED_BACK, supply.siphoned_back);
    if supply.siphoned_back > 0.0 {
        let text = said!(
            "{} in all, out of vessels through inlets under water",
            siphoned.clone()
        );
        rows.push(Row::new("Siphoned back", text));
    }
    (rows, vec![siphoned])
}

fn tank_rows(report: &Report, tank: &TankOutcome) -> Told {
    let at = At::top(report.units).part("tank");
    let level = |name, level| at.named(&TANK_LEVEL, name, level);
    let mut rows = vec![
        Row::new(
            "Water level",
            said!(
                "{}, mean {}",
                between(
                    level("min", tank.level.min),
                    "to",
                    level("max", tank.level.max)
                ),
                level("mean", tank.level.mean)
            ),
        ),
        Row::new("Mean inflow", at.figure(&TANK_INFLOW, tank.inflow)),
        Row::new(
            "Turnover",
            said!(
                "its water {}, over the whole run with every stop",
                at.figure(&TURNOVER, tank.turnover_per_hour)
            ),
        ),
        Row::new(
            "Lowest possible",
            said!(
                "{}, by a leak in the supply or a stuck pump; a leak of the vessel itself is not \
                 counted",
                at.figure(&LOWEST, tank.lowest_possible)
            ),
        ),
    ];
    let spilled = at.figure(&TANK_SPILLED, tank.overflowed);
    if tank.overflowed > 0.0 {
        rows.push(Row::new("Spilled", spilled.clone()));
    }
    let vessel = if report.system.tank.is_some() {
        "tank"
    } else {
        "sump"
    };
    (rows, vec![spilled, at.word(&VESSEL, vessel)])
}

fn water(report: &Report) -> Told {
    let top = At::top(report.units);
    let (mut rows, mut data) = (Vec::new(), Vec::new());
    let lost = top.figure(&EVAPORATION, DAY * report.system.evaporation);
    if report.system.evaporation > 0.0 {
        rows.push(Row::new("Lost to the air", said!("{} a day", lost.clone())));
    }
    data.push(lost);
    let water = &report.assessment.garden.account;
    data.extend(account::figures(water, &top));
    if water.lost > 0.0 || water.brought > 0.0 || report.system.top_off.is_some() {
        rows.extend(account::rows(water, &top, report.system.top_off.is_some()));
    }
    for (i, source) in report.system.sources.iter().enumerate() {
        let at = top.item(SOURCES.name, i);
        let text = said!(
            "{} a day from {}",
            at.figure(&SOURCE_FLOW, DAY * source.flow),
            at.word(&SOURCE_NAME, &*source.name)
        );
        rows.push(Row::new("Source", text));
        let dissolved = source.dissolved;
        data.extend(dissolved.map(|found| at.figure(&SOURCE_DISSOLVED, found)));
    }
    if let (Some(valve), Some(found)) = (&report.system.top_off, &report.run.top_off) {
        let at = top.part("top_off");
        rows.push(Row::new("Float valve", opens(report, valve, &at)));
        rows.extend(added(found, &at));
        if let Some(reservoir) = valve.reservoir {
            rows.push(Row::new("Reservoir", reservoir_text(reservoir, found, &at)));
        }
        let spilled = at.figure(&SPILLED, report.run.sump.overflowed);
        if report.run.sump.overflowed > 0.0 {
            let text = said!("{} over the sump's overflow", spilled.clone());
            rows.push(Row::new("Spilled", text));
        }
        data.push(spilled);
        data.push(at.figure(&EVAPORATED, found.evaporated));
        data.push(at.figure(&GAINED, found.gained));
        data.push(at.figure(&GAINED_CYCLE, found.most_gained_per_cycle));
    }
    (rows, data)
}

/// Level of the float valve, and the highest that no cycle can open, as the check has it.
fn opens(report: &Report, valve: &TopOff, at: &At) -> Text {
    let mut checks = report.assessment.checks.iter();
    let most = checks
        .find(|check| check.id == CheckId::TopOff)
        .map(|check| check.limit);
    let should = most.map(|most| {
        let verdict = if valve.level <= most { "as" } else { "but" };
        said!(
            ", {} it should at or below {}, where no cycle can open it",
            verdict,
            at.figure(&OPENS_AT_MOST, most)
        )
    });
    said!("opens below {}{}", at.figure(&OPENS, valve.level), should)
}

fn added(found: &TopOffOutcome, at: &At) -> Vec<Row> {
    let mut rows = vec![Row::new(
        "Added",
        said!(
            "{} a day, {} in this run",
            at.figure(&ADDED_DAY, found.added_per_day),
            at.figure(&ADDED, found.added)
        ),
    )];
    if found.gained > 0.0 {
        let most = at.figure(&GAINED_CYCLE, found.most_gained_per_cycle);
        let cycle =
            (found.most_gained_per_cycle > 0.0).then(|| said!(", at most {} in one cycle", most));
        let gained = at.figure(&GAINED, found.gained);
        let text = said!("{} more than the air took{}", gained, cycle);
        rows.push(Row::new("Gained", text));
    }
    rows
}

/// What is left of a reservoir `[m3]` at the end, or when it was spent.
fn reservoir_text(reservoir: f64, found: &TopOffOutcome, at: &At) -> Text {
    let holds = at.figure(&RESERVOIR, reservoir);
    let left = at.figure(&RESERVOIR_LEFT, (reservoir - found.added).max(0.0));
    match found.reservoir_spent {
        Some(time) => {
            said!("{}, empty after {}", holds, at.figure(&SPENT, time)).and(Piece::Unsaid(left))
        }
        None => said!(
            "{}, of which {} are left at the end of this run",
            holds,
            left
        ),
    }
}

fn events(report: &Report) -> Told {
    let top = At::top(report.units);
    let (mut rows, mut data) = (Vec::new(), Vec::new());
    let Some(disturbed) = report.judged.and_then(|judged| judged.disturbed.as_ref()) else {
        return (rows, data);
    };
    let known = disturbed.run.incidents.iter().filter_map(|found| {
        let incident = disturbed.system.incidents.get(found.index)?;
        Some((found, incident.what))
    });
    for (i, (found, what)) in known.enumerate() {
        let at = top.item(INCIDENTS.name, i);
        let (key, bed) = match what {
            PumpStops => ("pump-stops", None),
            PumpStarts => ("pump-starts", None),
            SiphonBlocked(bed) => ("siphon-blocked", Some(bed)),
            ValveShut(bed) => ("valve-shut", Some(bed)),
            LineBlocked(_) => ("line-blocked", None),
        };
        data.push(at.word(&INCIDENT_WHAT, key));
        let bed = bed.and_then(|bed| report.bed_named(&at, &INCIDENT_BED, bed));
        data.extend(bed);
        let words = at.word(&INCIDENT_WORDS, phrase(report.system, what));
        rows.push(Row::new("Event", event(found, words, &at)));
    }
    (rows, data)
}

fn event(found: &IncidentOutcome, words: Figure, at: &At) -> Text {
    said!(
        "{} at {}; after that the sump stands between {} and {}",
        words,
        at.figure(&INCIDENT_TIME, found.time),
        at.figure(&INCIDENT_LOWEST, found.lowest),
        at.figure(&INCIDENT_HIGHEST, found.highest)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::why::TopOffWhy;
    use crate::assessment::{Check, CheckUnit, Status, Subject, Why};
    use crate::model::TopOff;
    use crate::report::Sample;
    use crate::units::UnitSystem;

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
            subject: Subject::FloatValve,
            status: Status::Fail,
            value: 0.30,
            limit,
            margin: limit - 0.30,
            unit: CheckUnit::Elevation,
            why: Why::TopOff(TopOffWhy {
                opens: 0.30,
                lowest: limit,
                gained: None,
                needed: None,
            }),
            basis: "derived",
        }];
        water(&sample.report(UnitSystem::Metric))
            .0
            .into_iter()
            .map(|row| format!("{}: {}\n", row.label, row.text))
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
