//! A settler after the fish tank: surface loading and retention, or the size it wants.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::tank::flow_while_pumping;
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::facts::Facts;
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::settling::{
    PLAIN_BASIN_LOADING, RADIAL_FLOW_LOADING, RETENTION, area_for_loading, diameter_for_loading,
    flow_at_loading, retention_time, surface_loading, volume_for_retention,
};
use crate::model::{Settler, SettlerKind, TankOutlet};

const LOADING_BASIS: &str = "Davidson & Summerfelt 2005 for radial flow, rule of thumb for a plain \
                             basin (both from memory)";

/// What judges the settler: two checks where its size is given, its size where not.
pub(super) fn settler(facts: &Facts) -> Vec<Check> {
    let Some(flow) = through(facts) else {
        return Vec::new();
    };
    match &facts.parts.system.settler {
        None => vec![wanted(facts, flow)],
        Some(settler) => {
            let mut list = vec![loading(facts, settler, flow)];
            // At its own loading a radial-flow settler would have to be 5.5 m deep for
            // the rule of half an hour, which is one for plain basins.
            if settler.kind == SettlerKind::PlainBasin && flow > 0.0 {
                list.push(retention(facts, settler, flow));
            }
            list
        }
    }
}

/// The size that a settler wants where the file gives none, in words.
pub(in crate::assessment) fn settler_size(facts: &Facts) -> Option<String> {
    let flow = through(facts)?;
    let given = facts.parts.system.settler.is_some();
    (!given).then(|| wanted(facts, flow).because)
}

/// Flow through the settler while the pump pumps `[m3/s]`; `None` without a settler.
fn through(facts: &Facts) -> Option<f64> {
    let tank = facts.parts.system.tank.as_ref()?;
    (tank.overflows_to == TankOutlet::Settler)
        .then(|| flow_while_pumping(facts))
        .flatten()
}

fn wanted(facts: &Facts, flow: f64) -> Check {
    let units = facts.parts.units;
    let area = |loading| units.area(area_for_loading(flow, loading));
    Check {
        id: CheckId::Settler,
        subject: "settler".to_owned(),
        status: Status::Pass,
        value: flow,
        limit: f64::INFINITY,
        margin: f64::INFINITY,
        unit: CheckUnit::CubicMetrePerSecond,
        because: format!(
            "While the pump runs {} go through the settler: it wants {} of surface with radial \
             flow ({}), or as a plain basin {} ({}) and {} of water, which holds it for {}. A \
             [settler] table with its size has it judged.",
            units.flow(flow),
            area(RADIAL_FLOW_LOADING),
            units.surface_loading(RADIAL_FLOW_LOADING),
            area(PLAIN_BASIN_LOADING),
            units.surface_loading(PLAIN_BASIN_LOADING),
            units.volume(volume_for_retention(flow, RETENTION)),
            units.time(RETENTION)
        ),
        first_fix: String::new(),
        basis: "information only: Davidson & Summerfelt 2005 for radial flow, basin and 30 min \
                rules of thumb (all from memory)",
    }
}

fn loading(facts: &Facts, settler: &Settler, flow: f64) -> Check {
    let units = facts.parts.units;
    let (limit, kind) = match settler.kind {
        SettlerKind::RadialFlow => (RADIAL_FLOW_LOADING, "with radial flow"),
        SettlerKind::PlainBasin => (PLAIN_BASIN_LOADING, "in a plain basin"),
    };
    let value = surface_loading(flow, settler.area());
    let status = graded(limit - value, 0.0, 0.0);
    let mut because = format!(
        "While the pump runs {} go through the settler's {} of surface, {}; {kind} up to {} \
         settles most of the solids.",
        units.flow(flow),
        units.area(settler.area()),
        units.surface_loading(value),
        units.surface_loading(limit)
    );
    if settler.kind == SettlerKind::RadialFlow && flow > 0.0 {
        because.push_str(&format!(
            " Its {} hold the water for {}.",
            units.volume(settler.volume()),
            units.time(retention_time(settler.volume(), flow))
        ));
    }
    Check {
        id: CheckId::Settler,
        subject: "settler".to_owned(),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::MetrePerSecond,
        because,
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            loading_fix(facts, settler, flow, limit)
        },
        basis: LOADING_BASIS,
    }
}

fn loading_fix(facts: &Facts, settler: &Settler, flow: f64, limit: f64) -> String {
    let units = facts.parts.units;
    let across = amounts::length(units, diameter_for_loading(flow, limit), Side::Up);
    let bearable = amounts::flow(units, flow_at_loading(settler.area(), limit), Side::Down);
    let size = format!(
        "Give the settler the water surface of a circle {} across, or bring its flow down to {}",
        units.length(across),
        units.flow(bearable)
    );
    let radial_would_do = settler.kind == SettlerKind::PlainBasin
        && surface_loading(flow, settler.area()) <= RADIAL_FLOW_LOADING;
    if radial_would_do {
        format!(
            "{size}; or turn it into a radial-flow settler, with the inlet in a well in its middle \
             and a trough round its rim."
        )
    } else {
        format!("{size}.")
    }
}

fn retention(facts: &Facts, settler: &Settler, flow: f64) -> Check {
    let units = facts.parts.units;
    let value = retention_time(settler.volume(), flow);
    let status = if value >= RETENTION {
        Status::Pass
    } else {
        Status::Warn
    };
    let enough = amounts::volume(units, volume_for_retention(flow, RETENTION), Side::Up);
    Check {
        id: CheckId::Settler,
        subject: "settler's stay".to_owned(),
        status,
        value,
        limit: RETENTION,
        margin: value - RETENTION,
        unit: CheckUnit::Second,
        because: format!(
            "The settler's {} hold the {} that go through it for {}; {} is the rule of thumb for a \
             plain basin.",
            units.volume(settler.volume()),
            units.flow(flow),
            units.time(value),
            units.time(RETENTION)
        ),
        first_fix: if status == Status::Pass {
            String::new()
        } else {
            format!(
                "Let the settler hold {}: {} deep on the surface it has.",
                units.volume(enough),
                units.length(amounts::length(units, enough / settler.area(), Side::Up))
            )
        },
        basis: COMMON_PRACTICE,
    }
}
