//! What does not change of a system during a run: every flow at one moment follows from it.

use crate::hydraulics::back_siphon::SupplyPiece;
use crate::hydraulics::vessel::{DepthCurve, VesselShape};
use crate::model::{BedStorage, CoefficientValues, Inlet, System, TankFeed, TopOff};
use crate::network::drain_line::DrainLineLaw;
use crate::network::supply::OutletEnd;
use crate::numerics::hermite::is_rough;
use crate::simulation::gravel::Gravel;
use crate::simulation::tables::{SharedTables, Tabulated, WayOut};
use crate::siphon::SiphonLaw;
use std::sync::Arc;

mod feed;
mod flows;
mod line;
mod moment;

pub(super) use moment::{Layout, Moment};

use feed::{Feed, Tank};
use line::{LineReach, line_ends};

/// Levels closer than this no longer drive water back through an inlet `[m]`.
const LEVELLED_OUT: f64 = 0.001;

/// A system with everything that does not change during a run worked out once.
#[derive(Clone)]
pub(super) struct Plant {
    pub(super) storages: Vec<BedStorage>,
    pub(super) laws: Vec<SiphonLaw>,
    pub(super) rims: Vec<f64>,
    /// Elevation of an inlet's end that the bed's water can reach `[m]`.
    pub(super) reachable_inlets: Vec<Option<f64>>,
    pub(super) sump_shape: VesselShape,
    sump_depths: DepthCurve,
    pub(super) sump_floor: f64,
    pub(super) overflow_level: f64,
    pub(super) dry_level: f64,
    pub(super) line: Option<DrainLineLaw>,
    /// The line with its own coefficients at the low and at the high end of their bands.
    line_ends: Option<[DrainLineLaw; 2]>,
    /// Whether each bed drains into the line.
    on_line: Vec<bool>,
    line_reach: LineReach,
    /// Whether each bed drains into a line that can come to stand over an outlet.
    pub(super) reached: Vec<bool>,
    pub(super) tank: Option<Tank>,
    /// End of the tank's own branch, where the tank's water can reach it `[m]`.
    pub(super) tank_inlet: Option<f64>,
    pub(super) top_off: Option<TopOff>,
    /// The supply pipes as they hold water.
    pub(super) pieces: Vec<SupplyPiece>,
    /// Water that they hold when full `[m3]`.
    pub(super) pipes_full: f64,
    pub(super) feed: Feed,
    /// What the air takes beyond what the sources bring `[m3/s]`.
    net_loss: f64,
    gravels: Vec<Option<Arc<Gravel>>>,
    outlets: Vec<f64>,
}

impl Plant {
    /// `relative` is the error that one step may make; `tables` are shared with other runs.
    pub(super) fn new(
        system: &System,
        values: &CoefficientValues,
        relative: f64,
        tables: Option<&SharedTables>,
    ) -> Self {
        let line = DrainLineLaw::new(system, values);
        let line = match is_rough(relative) {
            true => line.map(DrainLineLaw::roughly),
            false => line,
        };
        let on_line: Vec<bool> = (0..system.beds.len())
            .map(|i| {
                line.as_ref()
                    .is_some_and(|l| l.junctions().iter().any(|j| j.0 == i))
            })
            .collect();
        let sump = &system.sump;
        let feed = Feed::new(system, relative);
        let water = &system.water;
        let ways: Vec<Arc<WayOut>> = (system.beds.iter())
            .map(|bed| match tables {
                Some(tables) => tables.way_out(bed, water, values, relative),
                None => Arc::new(WayOut::new(bed, water, values, relative)),
            })
            .collect();
        let pieces = feed
            .tree
            .pieces(system.pump.intake_level, system.lowest_rim());
        let mut plant = Self {
            storages: system.beds.iter().map(BedStorage::new).collect(),
            gravels: Vec::new(),
            laws: ways.iter().map(|way| way.law.clone()).collect(),
            rims: system.beds.iter().map(|bed| bed.rim_level()).collect(),
            reachable_inlets: system
                .beds
                .iter()
                .map(|bed| match &bed.inlet {
                    Inlet::Piped(branch) if branch.level < bed.rim_level() => Some(branch.level),
                    _ => None,
                })
                .collect(),
            sump_shape: sump.joined(),
            sump_depths: DepthCurve::new(sump.joined()),
            sump_floor: sump.floor,
            overflow_level: sump.overflow_level,
            dry_level: system.pump.least_level(),
            line,
            line_ends: line_ends(system),
            line_reach: LineReach::Siphons,
            reached: on_line.clone(),
            on_line,
            outlets: system.beds.iter().map(|b| b.siphon.drain.outlet).collect(),
            tank: Tank::new(system, values, relative),
            tank_inlet: system.tank.as_ref().and_then(|tank| match &tank.fed_by {
                TankFeed::PumpBranch(branch) if branch.level < tank.top() => Some(branch.level),
                _ => None,
            }),
            top_off: system.top_off.clone(),
            pipes_full: pieces.iter().map(|piece| piece.volume).sum(),
            pieces,
            net_loss: system.net_loss(),
            feed,
        };
        plant.find_reached();
        plant.tabulate(system, &ways);
        plant
    }

    /// Tabulates what siphons and gravel pass, by what the line can do to them.
    fn tabulate(&mut self, system: &System, ways: &[Arc<WayOut>]) {
        let beds = ways.iter().zip(&system.beds).zip(&self.reached);
        (self.laws, self.gravels) = beds
            .map(|((way, bed), &reached)| {
                let Tabulated { law, gravel } = way.tabulated(bed, &system.water, reached).clone();
                (law, gravel)
            })
            .unzip();
    }

    /// Shuts the inlet of bed `i`.
    pub(super) fn shut_inlet(&mut self, i: usize) {
        self.reachable_inlets[i] = None;
        if let Some(tank) = &mut self.tank {
            tank.shut(i);
        }
        self.feed.tree.shut(i);
        self.feed
            .tabulate(self.laws.len(), self.sump_floor, self.overflow_level);
    }

    /// Level to which a vessel runs back through the inlet `end` `[m]`: the inlet's end,
    /// its anti-siphon hole or the sump, whichever is highest.
    pub(super) fn held_back<const B: usize>(&self, end: OutletEnd, now: &Moment<B>) -> f64 {
        self.feed
            .tree
            .vessel_inlet(end)
            .map_or(f64::INFINITY, |inlet| {
                inlet.siphoned_to(f64::INFINITY, now.sump_level + LEVELLED_OUT)
            })
    }

    /// The same with the sump as low as can be.
    pub(super) fn held_back_at_worst(&self, end: OutletEnd) -> f64 {
        let inlet = self.feed.tree.vessel_inlet(end);
        inlet.map_or(f64::INFINITY, |inlet| {
            inlet.siphoned_to(f64::INFINITY, f64::NEG_INFINITY)
        })
    }

    /// Whether the siphon of bed `i` sees another level than the bed's.
    pub(super) fn has_gravel(&self, i: usize) -> bool {
        self.gravels[i].is_some()
    }

    /// What the sources bring in `time` `[s]` beyond what the air takes `[m3]`, 0 or more.
    pub(super) fn gained(&self, time: f64) -> f64 {
        (-self.net_loss).max(0.0) * time
    }

    /// Whether one bed and the sump are all that holds water, and none is added or lost but
    /// over their walls.
    pub(super) fn is_one_bed_alone(&self) -> bool {
        let still = self.tank.is_none() && self.top_off.is_none() && self.net_loss == 0.0;
        self.laws.len() == 1 && still
    }

    /// Whether the air takes more than the sources bring.
    pub(super) fn evaporates(&self) -> bool {
        self.net_loss > 0.0
    }

    /// Sump level that `volume` `[m3]` stands at `[m]`.
    pub(super) fn sump_level(&self, volume: f64) -> f64 {
        self.sump_floor + self.sump_depths.depth_at(volume)
    }
}
