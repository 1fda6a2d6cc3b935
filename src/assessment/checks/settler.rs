//! A settler after the fish tank: surface loading and retention, or the size it wants.

use crate::assessment::checks::tank::flow_while_pumping;
use crate::assessment::checks::{COMMON_PRACTICE, graded};
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::hydraulics::circular::full_area;
use crate::hydraulics::settling::{
    PLAIN_BASIN_LOADING, RADIAL_FLOW_LOADING, RETENTION, area_for_loading, diameter_for_loading,
    flow_at_loading, retention_time, surface_loading, volume_for_retention,
};
use crate::model::{Change, Level, Measure, Outlet, Quantity, Vessel};
use crate::model::{Settler, SettlerKind, TankOutlet};
use crate::units::amounts::{self, Side};

const LOADING_BASIS: &str = "Davidson & Summerfelt 2005 for radial flow, rule of thumb for a plain \
                             basin (both from memory)";

/// What a settler without a size wants at a flow.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedSettler {
    /// Flow while the pump pumps `[m3/s]`.
    pub flow: f64,
    /// Surface and its loading with radial flow `[m2]`, `[m/s]`.
    pub radial: (f64, f64),
    /// The same as a plain basin.
    pub basin: (f64, f64),
    /// Water of a plain basin and the time that it holds it `[m3]`, `[s]`.
    pub stay: (f64, f64),
}

impl WantedSettler {
    fn new(flow: f64) -> Self {
        let area = |loading| (area_for_loading(flow, loading), loading);
        Self {
            flow,
            radial: area(RADIAL_FLOW_LOADING),
            basin: area(PLAIN_BASIN_LOADING),
            stay: (volume_for_retention(flow, RETENTION), RETENTION),
        }
    }
}

/// How much a settler's surface is loaded.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadingWhy {
    /// Flow while the pump pumps `[m3/s]`.
    pub flow: f64,
    /// Its surface `[m2]`.
    pub area: f64,
    /// Flow over surface `[m/s]`.
    pub loading: f64,
    /// How the water goes through it.
    pub kind: SettlerKind,
    /// Loading at which most of the solids settle `[m/s]`.
    pub limit: f64,
    /// Its water and how long it is held, where that is told here `[m3]`, `[s]`.
    pub stay: Option<(f64, f64)>,
}

/// How long a settler holds the water.
#[derive(Debug, Clone, PartialEq)]
pub struct RetentionWhy {
    /// Its water `[m3]`.
    pub volume: f64,
    /// Flow while the pump pumps `[m3/s]`.
    pub flow: f64,
    /// Time in it `[s]`.
    pub stay: f64,
    /// Time wanted `[s]`.
    pub wanted: f64,
}

/// What judges the settler: two checks where its size is given, its size where not.
pub(super) fn settler(facts: &Facts) -> Vec<Check> {
    let Some(flow) = through(facts) else {
        return Vec::new();
    };
    match &facts.parts.system.settler {
        None => vec![wanted(flow)],
        Some(settler) => {
            let mut list = vec![loading(settler, flow)];
            // At its own loading a radial-flow settler would have to be 5.5 m deep for
            // the rule of half an hour, which is one for plain basins.
            if settler.kind == SettlerKind::PlainBasin && flow > 0.0 {
                list.push(retention(settler, flow));
            }
            list
        }
    }
}

/// The size that a settler wants where the file gives none.
pub(in crate::assessment) fn settler_size(facts: &Facts) -> Option<WantedSettler> {
    let flow = through(facts)?;
    let given = facts.parts.system.settler.is_some();
    (!given).then(|| WantedSettler::new(flow))
}

/// Flow through the settler while the pump pumps `[m3/s]`; `None` without a settler. What its own
/// branch gives it comes at the highest water of the sump, when the pump gives most.
fn through(facts: &Facts) -> Option<f64> {
    let parts = &facts.parts;
    let tank = parts.system.tank.as_ref();
    let from_tank = tank
        .filter(|tank| tank.overflows_to == TankOutlet::Settler)
        .and_then(|_| flow_while_pumping(facts));
    let branch = parts.system.branch_to(Outlet::Settler);
    let own = branch.map(|_| parts.tree.duty(parts.run.sump.level.max).settler_flow);
    match (from_tank, own) {
        (None, None) => None,
        (tank, own) => Some(tank.unwrap_or_default() + own.unwrap_or_default()),
    }
}

fn wanted(flow: f64) -> Check {
    Check {
        id: CheckId::Settler,
        subject: Subject::Settler,
        status: Status::Pass,
        value: flow,
        limit: f64::INFINITY,
        margin: f64::INFINITY,
        unit: CheckUnit::CubicMetrePerSecond,
        why: Why::WantedSettler(WantedSettler::new(flow)),
        basis: "information only: Davidson & Summerfelt 2005 for radial flow, basin and 30 min \
                rules of thumb (all from memory)",
    }
}

fn loading(settler: &Settler, flow: f64) -> Check {
    let limit = match settler.kind {
        SettlerKind::RadialFlow => RADIAL_FLOW_LOADING,
        SettlerKind::PlainBasin => PLAIN_BASIN_LOADING,
    };
    let value = surface_loading(flow, settler.area());
    let status = graded(limit - value, 0.0, 0.0);
    let tells_stay = settler.kind == SettlerKind::RadialFlow && flow > 0.0;
    Check {
        id: CheckId::Settler,
        subject: Subject::Settler,
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::MetrePerSecond,
        why: Why::SettlerLoading(LoadingWhy {
            flow,
            area: settler.area(),
            loading: value,
            kind: settler.kind,
            limit,
            stay: tells_stay.then(|| (settler.volume(), retention_time(settler.volume(), flow))),
        }),
        basis: LOADING_BASIS,
    }
}

fn retention(settler: &Settler, flow: f64) -> Check {
    let value = retention_time(settler.volume(), flow);
    // A rule of thumb warns and fails nothing.
    let status = if value >= RETENTION {
        Status::Pass
    } else {
        Status::Warn
    };
    Check {
        id: CheckId::Settler,
        subject: Subject::SettlerStay,
        status,
        value,
        limit: RETENTION,
        margin: value - RETENTION,
        unit: CheckUnit::Second,
        why: Why::SettlerRetention(RetentionWhy {
            volume: settler.volume(),
            flow,
            stay: value,
            wanted: RETENTION,
        }),
        basis: COMMON_PRACTICE,
    }
}

/// A larger surface, less flow, or another kind of settler.
pub(super) fn loading_fixes(facts: &Facts, why: &LoadingWhy) -> Vec<Fix> {
    let tape = facts.parts.tape;
    let across = amounts::length(tape, diameter_for_loading(why.flow, why.limit), Side::Up);
    let or_flow = amounts::flow(tape, flow_at_loading(why.area, why.limit), Side::Down);
    let vessel = Vessel::Settler;
    let shape = facts.parts.system.shape_of(vessel);
    // Its surface has to grow so much; of a shape that is stretched, its mean area as well.
    let grow = full_area(across) / why.area;
    let wider = shape.map(|shape| Change::Stretch {
        vessel,
        area: grow * shape.mean_area(),
    });
    let size = Fix::of(wider).noting(Hint::SettlerSize { across, or_flow });
    let radial_would_do = why.kind == SettlerKind::PlainBasin && why.loading <= RADIAL_FLOW_LOADING;
    let radial = radial_would_do.then(|| Fix::hint(Hint::RadialFlow));
    [size].into_iter().chain(radial).collect()
}

/// More water on the surface it has.
pub(super) fn stay_fixes(facts: &Facts, why: &RetentionWhy) -> Vec<Fix> {
    let (system, tape) = (facts.parts.system, facts.parts.tape);
    let Some(settler) = &system.settler else {
        return Vec::new();
    };
    let enough = amounts::volume(tape, volume_for_retention(why.flow, why.wanted), Side::Up);
    let depth = amounts::length(tape, enough / settler.area(), Side::Up);
    let measure = Quantity::Measure(Vessel::Settler, Measure::Depth);
    let deep = measure.value(system).filter(|deep| *deep < depth);
    let deeper = deep.map(|_| Change::set(measure, depth));
    let overflow = Quantity::Level(Vessel::Settler, Level::Overflow);
    let fuller = Change::set(overflow, settler.floor + depth);
    vec![Fix::of(deeper.into_iter().chain([fuller]))]
}
