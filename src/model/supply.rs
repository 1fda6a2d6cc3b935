//! Pump, trunk pipe and branches.

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::{ValveKind, valve_k};

/// The pump in the sump.
#[derive(Debug, Clone)]
pub struct Pump {
    /// What it delivers.
    pub source: PumpSource,
    /// Elevation of its intake `[m]`.
    pub intake_level: f64,
    /// Water needed above the intake before it draws air `[m]`.
    pub minimum_cover: f64,
    /// What it costs to run.
    pub power: Option<Power>,
    /// Price of energy, in the owner's currency `[1/kWh]`.
    pub tariff: Option<f64>,
    /// Timer; `None`: runs all the time.
    pub schedule: Option<Schedule>,
    /// Whether a check valve keeps the riser full when the pump stops.
    pub check_valve: bool,
}

impl Pump {
    /// Level of the sump under which it draws air `[m]`: its intake and the cover over it.
    pub fn least_level(&self) -> f64 {
        self.intake_level + self.minimum_cover
    }
}

/// What moves the water.
#[derive(Debug, Clone, PartialEq)]
pub enum PumpSource {
    /// A head-flow curve working against the pipework.
    Curve(PumpCurve),
    /// A measured flow that does not depend on level `[m3/s]`.
    Steady(f64),
}

/// Electrical power of a pump.
#[derive(Debug, Clone, PartialEq)]
pub enum Power {
    /// Constant draw while running `[W]`.
    Watts(f64),
    /// Wire-to-water efficiency, 0 to 1.
    Efficiency(f64),
}

/// Pipework from pump to manifold, and an optional way back.
#[derive(Debug, Clone)]
pub struct Supply {
    /// Pump to manifold, fittings included.
    pub trunk: PipeRun,
    /// Valved branch that returns to the sump.
    pub bypass: Option<Branch>,
}

/// A branch from the manifold to a free outlet.
#[derive(Debug, Clone, PartialEq)]
pub struct Branch {
    /// Elevation of its outlet `[m]`.
    pub level: f64,
    /// Pipe and fittings, without valve and without the exit.
    pub run: PipeRun,
    /// Throttle, if any.
    pub valve: Option<Valve>,
    /// Elevation of a hole that lets air in when the pump stops `[m]`; big enough
    /// to break the siphon, and kept clean.
    pub anti_siphon_hole: Option<f64>,
}

impl Branch {
    /// Moves its outlet and its hole `by` `[m]` up; its pipe stays as long as it is.
    pub fn raise(&mut self, by: f64) {
        self.level += by;
        if let Some(hole) = &mut self.anti_siphon_hole {
            *hole += by;
        }
    }

    /// The branch as one run: pipe, fittings, valve and the velocity head lost
    /// at its outlet (K = 1). `None` when the valve is shut.
    pub fn resistance(&self) -> Option<PipeRun> {
        let valve = self
            .valve
            .as_ref()
            .map_or(0.0, |v| valve_k(v.kind, v.opening));
        let k = self.run.k + valve + 1.0;
        k.is_finite().then_some(PipeRun { k, ..self.run })
    }
}

/// A valve and how far it is open.
#[derive(Debug, Clone, PartialEq)]
pub struct Valve {
    /// Its kind.
    pub kind: ValveKind,
    /// Opening from 0 (shut) to 1 (fully open).
    pub opening: f64,
}

/// Pump timer: runs for `on`, rests for `off`, starting with `on` at t = 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Schedule {
    /// Running time `[s]`.
    pub on: f64,
    /// Resting time `[s]`.
    pub off: f64,
}
