//! The part of the JSON document that only a closed loop has.

use serde::Serialize;

use crate::model::{Schedule, System};
use crate::report::Report;
use crate::report::json::{Number, Range, range};
use crate::report::whole_loop::phrase;
use crate::simulation::{IncidentOutcome, SupplyOutcome, TankOutcome, TopOffOutcome};

#[derive(Serialize)]
pub(super) struct LoopPart<'a> {
    timer: Option<TimerPart>,
    pump_stops: Option<StopsPart>,
    tank: Option<TankPart>,
    top_off: Option<TopOffPart>,
    evaporation_m3_day: Number,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    sources: Vec<SourcePart<'a>>,
    incidents: Vec<IncidentPart<'a>>,
}

#[derive(Serialize)]
struct SourcePart<'a> {
    name: &'a str,
    flow_m3_day: Number,
    dissolved_kg_m3: Option<Number>,
}

#[derive(Serialize)]
struct TimerPart {
    on_s: Number,
    off_s: Number,
}

#[derive(Serialize)]
struct StopsPart {
    count: u32,
    drained_back_m3: Number,
    siphoned_back_m3: Number,
}

#[derive(Serialize)]
struct TankPart {
    vessel: &'static str,
    level_m: Range,
    inflow_m3_s: Number,
    turnover_per_hour: Number,
    lowest_possible_m: Number,
    overflowed_m3: Number,
}

#[derive(Serialize)]
struct TopOffPart {
    level_m: Number,
    added_m3: Number,
    added_m3_day: Number,
    evaporated_m3: Number,
    gained_m3: Number,
    most_gained_per_cycle_m3: Number,
    reservoir_spent_s: Option<Number>,
    spilled_m3: Number,
}

#[derive(Serialize)]
struct IncidentPart<'a> {
    what: &'static str,
    bed: Option<&'a str>,
    in_words: String,
    time_s: Number,
    lowest_sump_level_m: Number,
    highest_sump_level_m: Number,
}

impl<'a> LoopPart<'a> {
    pub(super) fn new(report: &Report<'a>) -> Self {
        let Report { system, run, .. } = *report;
        let valve = system.top_off.as_ref().zip(run.top_off.as_ref());
        let stops = Some(&run.supply).filter(|supply| supply.stops > 0);
        Self {
            timer: system.pump.schedule.map(|Schedule { on, off }| TimerPart {
                on_s: Number(on),
                off_s: Number(off),
            }),
            pump_stops: stops.map(stops_part),
            tank: run.tank.as_ref().map(|tank| tank_part(system, tank)),
            top_off: valve
                .map(|(valve, found)| top_off_part(valve.level, found, run.sump.overflowed)),
            evaporation_m3_day: Number(86_400.0 * system.evaporation),
            sources: system
                .sources
                .iter()
                .map(|source| SourcePart {
                    name: &source.name,
                    flow_m3_day: Number(86_400.0 * source.flow),
                    dissolved_kg_m3: source.dissolved.map(Number),
                })
                .collect(),
            incidents: run
                .incidents
                .iter()
                .filter_map(|incident| incident_part(system, incident))
                .collect(),
        }
    }
}

fn stops_part(supply: &SupplyOutcome) -> StopsPart {
    StopsPart {
        count: supply.stops,
        drained_back_m3: Number(supply.drained_back),
        siphoned_back_m3: Number(supply.siphoned_back),
    }
}

fn tank_part(system: &System, tank: &TankOutcome) -> TankPart {
    TankPart {
        vessel: if system.tank.is_some() {
            "tank"
        } else {
            "sump"
        },
        level_m: range(tank.level),
        inflow_m3_s: Number(tank.inflow),
        turnover_per_hour: Number(tank.turnover_per_hour),
        lowest_possible_m: Number(tank.lowest_possible),
        overflowed_m3: Number(tank.overflowed),
    }
}

fn top_off_part(level: f64, found: &TopOffOutcome, spilled: f64) -> TopOffPart {
    TopOffPart {
        level_m: Number(level),
        added_m3: Number(found.added),
        added_m3_day: Number(found.added_per_day),
        evaporated_m3: Number(found.evaporated),
        gained_m3: Number(found.gained),
        most_gained_per_cycle_m3: Number(found.most_gained_per_cycle),
        reservoir_spent_s: found.reservoir_spent.map(Number),
        spilled_m3: Number(spilled),
    }
}

fn incident_part<'a>(system: &'a System, found: &IncidentOutcome) -> Option<IncidentPart<'a>> {
    use crate::model::Disturbance::{LineBlocked, PumpStarts, PumpStops, SiphonBlocked, ValveShut};
    let what = system.incidents.get(found.index)?.what;
    let (key, bed) = match what {
        PumpStops => ("pump-stops", None),
        PumpStarts => ("pump-starts", None),
        SiphonBlocked(bed) => ("siphon-blocked", Some(bed)),
        ValveShut(bed) => ("valve-shut", Some(bed)),
        LineBlocked(_) => ("line-blocked", None),
    };
    Some(IncidentPart {
        what: key,
        bed: bed.and_then(|bed| Some(system.beds.get(bed)?.name.as_str())),
        in_words: phrase(system, what),
        time_s: Number(found.time),
        lowest_sump_level_m: Number(found.lowest),
        highest_sump_level_m: Number(found.highest),
    })
}
