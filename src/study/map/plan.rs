//! What is to be mapped, and its points.

use crate::model::{Bed, CoefficientValues, Duration, Inlet, Misfit, PumpSource, System};
use crate::numerics::effort;
use crate::simulation::{
    Regime, Sampling, SharedTables, SimulationError, Stepping, simulate_sharing,
};
use crate::siphon::SiphonLaw;
use crate::study::map::fill::filled;
use crate::study::map::point::{Corner, MapPoint, Simulated, lasting_regime};
use crate::study::map::quantity::{MapQuantity, built};
use crate::study::map::sump::never_dry;
use crate::study::window::{BedWindow, Today};
use crate::units::HOUR;
use std::sync::Arc;

/// Longest time that a point is simulated `[s]`; it ends by itself once its
/// cycles agree or nothing moves any more.
const LONGEST: f64 = 48.0 * HOUR;

/// Effort that one simulation of a point may take. Where gravel starves a wide pipe some take a
/// million.
const MOST_EFFORT: u64 = 30_000_000;

/// Most points along an axis.
pub const MOST_POINTS: usize = 1000;

/// One axis of a map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MapAxis {
    /// What it changes.
    pub quantity: MapQuantity,
    /// Value at its lower end, in the unit of the quantity.
    pub from: f64,
    /// Value at its upper end, above `from`.
    pub to: f64,
}

impl MapAxis {
    /// The value at point `k` of `points`, two or more; the first and the last are the ends.
    pub fn value(&self, k: usize, points: usize) -> f64 {
        self.from + (self.to - self.from) * as_f64(k) / as_f64(points.saturating_sub(1).max(1))
    }
}

/// Why there is no map.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MapError {
    /// No such bed.
    #[error("there is no bed number {0}")]
    NoBed(usize),
    /// Both axes are the same quantity.
    #[error("both axes of the map are {0}; name two different quantities")]
    SameAxes(&'static str),
    /// A range that does not rise, or leaves what makes sense at all.
    #[error("the range of {key} must rise within {least} to {most} (SI units)")]
    Range {
        /// The quantity.
        key: &'static str,
        /// Least value allowed.
        least: f64,
        /// Greatest value allowed.
        most: f64,
    },
    /// Too few or too many points.
    #[error("a map needs 2 to {MOST_POINTS} points along each axis, not {0}")]
    Points(usize),
}

/// What to map, checked and ready.
#[derive(Debug, Clone)]
pub struct MapPlan {
    base: System,
    corners: [CoefficientValues; 3],
    /// The bed's name.
    pub bed: String,
    /// Axis across.
    pub x: MapAxis,
    /// Axis upward.
    pub y: MapAxis,
    /// Points along each.
    pub points: usize,
    /// Today's values of both; of a pumped inflow, its mean in the run while the pump is on.
    pub here: (f64, f64),
    /// How far the inflow swings in the run `[m3/s]`.
    pub inflow: (f64, f64),
    /// Along most axes many points have the same siphon.
    tables: Arc<SharedTables>,
}

impl MapPlan {
    /// A map of bed `i` of `system` over `x` and `y`, `points` along each; `found`
    /// is the bed's window in a run of `system`.
    ///
    /// The bed is taken alone over its sump, which rises and falls with it but never runs
    /// dry: a timer, a float valve, losses, incidents, a fish tank and other beds are left
    /// out, and beside other beds or a tank a pumped inflow becomes its mean of today, the
    /// timer's pauses not counted. Where nothing
    /// but the bed moves the sump it starts as the scenario says; else it stands, with the
    /// bed at its break level, where it stood at the highest of the run's breaks.
    ///
    /// # Errors
    /// [`MapError`] for an unknown bed, equal axes, impossible ranges or numbers of points.
    pub fn new(
        system: &System,
        found: &BedWindow,
        i: usize,
        (x, y): (MapAxis, MapAxis),
        points: usize,
    ) -> Result<Self, MapError> {
        let bed = system.beds.get(i).ok_or(MapError::NoBed(i))?;
        if x.quantity == y.quantity {
            return Err(MapError::SameAxes(x.quantity.key()));
        }
        if !(2..=MOST_POINTS).contains(&points) {
            return Err(MapError::Points(points));
        }
        for axis in [x, y] {
            let (least, most) = axis.quantity.allowed();
            if !(least <= axis.from && axis.from < axis.to && axis.to <= most) {
                return Err(MapError::Range {
                    key: axis.quantity.key(),
                    least,
                    most,
                });
            }
        }
        let today = &found.today;
        let base = alone(system, bed, found);
        let running = running_inflow(system, today);
        let here = |quantity: MapQuantity| quantity.value(&base, 0).unwrap_or(running);
        Ok(Self {
            corners: Corner::ALL.map(|corner| corner.values(&base.coefficients)),
            bed: bed.name.clone(),
            here: (here(x.quantity), here(y.quantity)),
            inflow: (today.range.min, today.range.max),
            base,
            x,
            y,
            points,
            tables: Arc::default(),
        })
    }

    /// The system at one point, before its parts are tried against each other.
    ///
    /// # Errors
    /// [`Misfit`] when its parts do not fit each other.
    pub fn system_at(&self, x: f64, y: f64) -> Result<System, Misfit> {
        built(&self.base, 0, [(self.x.quantity, x), (self.y.quantity, y)])
    }

    /// Simulates one point.
    pub fn point(&self, x: f64, y: f64) -> MapPoint {
        together(Corner::ALL.map(|corner| self.regime(corner, x, y)))
    }

    /// What the bed does at one point with the values of `corner`.
    pub(super) fn regime(&self, corner: Corner, x: f64, y: f64) -> Result<Regime, NoRegime> {
        let system = self.system_at(x, y).map_err(NoRegime::Unbuildable)?;
        let values = &self.corners[corner as usize];
        let rough = Stepping::rough();
        let run = effort::within(MOST_EFFORT, || {
            simulate_sharing(&system, values, Sampling::None, rough, &self.tables)
        });
        let run = run.map_err(NoRegime::Failed)?;
        Ok(lasting_regime(&run, 0))
    }

    /// What closed forms say of one point with the values of `corner`, the outlet in no water but
    /// what the sump begins with; `None` where the inflow is not a given one.
    pub(super) fn foretold(&self, corner: Corner, x: f64, y: f64) -> Option<Foretold> {
        let system = self.system_at(x, y).ok()?;
        let inflow = MapQuantity::Inflow.value(&system, 0)?;
        let values = &self.corners[corner as usize];
        let law = SiphonLaw::new(system.beds.first()?, &system.water, values);
        let tail = law.outlet().max(system.sump.start_level);
        Some(Foretold {
            starts: inflow > law.start_flow(),
            breaks: inflow <= law.run_on_flow(tail).min(law.stall_flow(tail)),
        })
    }

    /// Finds all points, the first half of [`simulate`](Self::simulate); calls `done` after each
    /// of their three simulations. Each corner's map is found by itself, for the edges of one are
    /// not those of another: what lies in a square of four steps whose corners agree, with nothing
    /// else seen beside it, is not simulated but taken to agree.
    pub fn cells(&self, done: &(dyn Fn() + Sync)) -> Vec<MapPoint> {
        let n = self.points;
        let [nominal, latest, hardest] = Corner::ALL.map(|corner| {
            filled(n, |k| {
                let found = self.regime(corner, self.x.value(k % n, n), self.y.value(k / n, n));
                done();
                found
            })
        });
        let others = latest.into_iter().zip(hardest);
        (nominal.into_iter().zip(others))
            .map(|(nominal, (latest, hardest))| together([nominal, latest, hardest]))
            .collect()
    }
}

/// What closed forms say of a bed.
pub(super) struct Foretold {
    pub(super) starts: bool,
    pub(super) breaks: bool,
}

/// Why there is no regime at a point.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum NoRegime {
    /// The parts do not fit each other.
    Unbuildable(Misfit),
    /// The simulation gave up.
    Failed(SimulationError),
}

/// One point of what its corners show.
fn together(corners: [Result<Regime, NoRegime>; 3]) -> MapPoint {
    let mut regimes = [Regime::Cycles; 3];
    for (regime, corner) in regimes.iter_mut().zip(corners) {
        match corner {
            Ok(found) => *regime = found,
            Err(NoRegime::Unbuildable(why)) => return MapPoint::Unbuildable(why),
            Err(NoRegime::Failed(error)) => return MapPoint::Failed(error),
        }
    }
    MapPoint::Simulated(Simulated { regimes })
}

/// Mean inflow of today while a timer leaves the pump on `[m3/s]`.
fn running_inflow(system: &System, today: &Today) -> f64 {
    let all = system
        .pump
        .schedule
        .as_ref()
        .map_or(1.0, |timer| (timer.on + timer.off) / timer.on);
    (today.range.mean * all).min(today.range.max)
}

/// `bed` alone over its sump, all that would keep it from settling left out.
fn alone(system: &System, bed: &Bed, found: &BedWindow) -> System {
    let mut base = system.clone();
    base.duration = Duration::UntilSettled { at_most: LONGEST };
    let moved_by_others = system.beds.len() > 1
        || system.pump.schedule.is_some()
        || system.top_off.is_some()
        || system.tank.is_some()
        || system.evaporation > 0.0
        || !system.sources.is_empty();
    base.pump.schedule = None;
    base.top_off = None;
    base.tank = None;
    base.evaporation = 0.0;
    base.sources.clear();
    base.incidents.clear();
    if system.beds.len() > 1 || system.tank.is_some() {
        let inflow = running_inflow(system, &found.today);
        base.beds = vec![Bed {
            inlet: Inlet::Measured(inflow),
            ..bed.clone()
        }];
        base.pump.source = PumpSource::Steady(inflow);
        base.supply.bypass = None;
        if let Some(settler) = &mut base.settler {
            settler.inlet = None;
        }
    }
    if moved_by_others {
        base.sump.start_level = found.sump_at_break.1;
        for bed in &mut base.beds {
            bed.start_depth = None;
        }
    }
    let dry = base.pump.least_level() - base.sump.floor;
    base.sump.shape = never_dry(&base.sump.joined(), dry);
    base.sump.count = 1;
    (base.pump.intake_level, base.pump.minimum_cover) = (base.sump.floor, 0.0);
    base
}

fn as_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
