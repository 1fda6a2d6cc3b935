//! The fish tank: where it stands, how it is fed, and how far its valve is open.

use super::facts::Facts;
use crate::assessment::Assessment;
use crate::hydraulics::pipe_sizes::PipeSize;
use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::weir::standing_head;
use crate::model::{
    BranchPart, Change, Coefficient, Coefficients, Outlet, PumpSource, Quantity, System,
};
use crate::network::supply::SupplyTree;
use crate::numerics::root::last_whole;
use crate::simulation::Run;
use crate::study::valves::{Found, Shortfall, least_opening, solved};
use crate::study::window::windows;
use crate::units::HOUR;

/// Tank volumes an hour that it is drafted for: the one that is wanted, and some to spare.
const TURNED: f64 = 1.15;
/// Tank volumes an hour up to which it takes what the beds leave; common practice, no source.
const MOST_TURNED: f64 = 3.0;
/// Overflow under the tank's brim `[m]`, and at most this share of its depth.
const UNDER_BRIM: f64 = 0.080;
const UNDER_BRIM_SHARE: f64 = 0.2;
/// Overflow over the sump's brim: its pipe goes over that and falls `[m]`.
const FALL: f64 = 0.10;
/// Inlet over the tank's wall `[m]`: no water ever stands over it.
const INLET_OVER_WALL: f64 = 0.050;
/// The tank's water over its overflow that the sump has to do without `[m]`.
const SWING: f64 = 0.030;
/// Part of the room over the overflow that all the pump's water may need.
const LAST_ROOM: f64 = 0.4;
/// Narrowest overflow pipe: what fish leave must not clog it; common practice, no source `[m]`.
const NARROWEST: f64 = 0.038;
/// Of the greatest opening that leaves every bed its least, what is left to the tank.
const WITH_EASE: f64 = 0.95;

/// A fish tank with its pipes.
#[derive(Debug, Clone, PartialEq)]
pub struct FishTank {
    /// Inside shape.
    pub shape: VesselShape,
    /// Elevation of its bottom, and whether that was given `[m]`.
    pub floor: (f64, bool),
    /// Elevation of its overflow `[m]`.
    pub overflow: f64,
    /// Pipe of the overflow.
    pub pipe: &'static PipeSize,
    /// Elevation of its inlet `[m]`.
    pub inlet: f64,
    /// Pipe to it, and its length `[m]`.
    pub branch: (&'static PipeSize, f64),
    /// Opening of its ball valve, 0 to 1.
    pub opening: f64,
}

/// Elevations in whole steps: rounded up.
type Rounded<'r> = &'r dyn Fn(f64) -> f64;

impl FishTank {
    /// The tank of `facts` over a sump with its brim at `brim` `[m]`, its pipes still to be chosen.
    pub(super) fn placed(
        facts: &Facts,
        brim: f64,
        any: &'static PipeSize,
        up: Rounded,
    ) -> Option<Self> {
        let fact = facts.tank.as_ref()?;
        let shape = fact.shape();
        let depth = shape.depth();
        // Rounded, so that a tape finds it; never over the brim.
        let below = up(UNDER_BRIM.min(UNDER_BRIM_SHARE * depth)).min(0.5 * depth);
        let least = up((brim + FALL - (depth - below)).max(0.0));
        let floor = fact.stand.unwrap_or(least);
        Some(Self {
            floor: (floor, fact.stand.is_some()),
            overflow: floor + depth - below,
            pipe: any,
            inlet: up(floor + depth + INLET_OVER_WALL),
            branch: (any, 0.0),
            opening: 0.7,
            shape,
        })
    }

    /// Water up to its overflow `[m3]`.
    pub fn water(&self) -> f64 {
        self.shape.volume(self.overflow - self.floor.0)
    }

    /// Upper edge of its wall `[m]`.
    pub fn top(&self) -> f64 {
        self.floor.0 + self.shape.depth()
    }

    /// Flow that is wanted through it `[m3/s]`.
    pub(super) fn wanted(&self) -> f64 {
        TURNED * self.water() / HOUR
    }

    /// Most that is led through it where there is more than the beds take `[m3/s]`.
    pub(super) fn most(&self) -> f64 {
        MOST_TURNED * self.water() / HOUR
    }

    /// The narrowest of `sold`, rising, that lets `flow` `[m3/s]` out under the brim; else the widest.
    pub(super) fn overflow_pipe(&self, flow: f64, sold: &[&'static PipeSize]) -> &'static PipeSize {
        let soft = Coefficients::default();
        let (weir, mouth) = (
            soft[Coefficient::LipWeir].low,
            soft[Coefficient::LipOrifice].low,
        );
        let room = LAST_ROOM * (self.top() - self.overflow);
        let takes = |size: &&&'static PipeSize| {
            size.bore >= NARROWEST && standing_head(size.bore, size.bore, flow, weir, mouth) <= room
        };
        let found = sold.iter().find(takes).or(sold.last());
        found.copied().unwrap_or(self.pipe)
    }
}

/// Water that stands over the overflow of the tank of `facts` and is not in the sump `[m3]`.
pub(super) fn swing(facts: &Facts) -> f64 {
    facts.tank.as_ref().map_or(0.0, |fact| {
        let shape = fact.shape();
        SWING * shape.area(0.5 * shape.depth())
    })
}

/// The openings of all beds, and of the fish tank's valve: as far open as its water wants, or
/// further where the beds' valves would be all but shut; less where a bed would go short.
pub(super) fn opened(system: &System, run: &Run, found: &Assessment) -> Found {
    let windows = windows(system, run, found);
    let solve = |system: &System| solved(system, run, found, &windows);
    let what = Quantity::Branch(Outlet::Tank, BranchPart::Opening);
    let curve = matches!(system.pump.source, PumpSource::Curve(_));
    let (Some(_), Some(tank), true) = (what.value(system), &system.tank, curve) else {
        return solve(system);
    };
    let wanted = TURNED * tank.volume_at(tank.overflow_level) / HOUR;
    let with = |percent: f64| {
        let turned = Change::set(what, percent / 100.0).apply(system);
        solve(&turned.unwrap_or_else(|_| system.clone()))
    };
    let low = found.sump.low.max(system.pump.least_level());
    let enough = |found: &Found| {
        let flow = SupplyTree::new(&found.system).duty(low).tank_flow;
        let throttled = |one: &Shortfall| matches!(one, Shortfall::Bypass { .. });
        flow >= wanted && !found.shortfalls.iter().any(throttled)
    };
    let lacks = |one: &Shortfall| {
        matches!(
            one,
            Shortfall::Pump { .. } | Shortfall::Trunk { .. } | Shortfall::Branch { .. }
        )
    };
    let short = |found: &Found| found.shortfalls.iter().any(lacks);
    let least = (100.0 * least_opening(ValveKind::Ball)).ceil();
    let percent = if enough(&with(least)) {
        least
    } else {
        last_whole(100.0, least, |percent| enough(&with(percent)))
    };
    let found = with(percent);
    if !short(&found) {
        return found;
    }
    // The beds come first: without their water there is no garden.
    let bearable = last_whole(1.0, percent, |percent| !short(&with(percent)));
    with((WITH_EASE * bearable).floor().max(1.0))
}
