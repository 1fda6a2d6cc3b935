//! A system built in code, without a scenario file.
//!
//! What is not said is taken from common practice (no source, unless one is named) and
//! can be read and changed in the finished [`System`]; the rules are those of the scenario
//! reader.

mod bed;

pub use bed::BedBuilder;

use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::{OutOfRange, Water};
use crate::model::Entries;
use crate::model::{
    Band, Coefficient, Coefficients, Dissolved, DrainLine, Duration, Incident, Misfit, Pump,
    PumpSource, Settler, Sump, Supply, System, Tank, Thresholds, TopOff,
};
use crate::units::{DAY, HOUR};

/// Wall of a pipe whose outside diameter is not given `[m]`; common practice, no source.
pub(crate) const USUAL_WALL: f64 = 0.003;
/// Water over the pump's intake where the maker names none `[m]`; common practice, no source.
pub(crate) const USUAL_COVER: f64 = 0.050;
/// Simulated time of a single bed at most `[s]`.
const SETTLES_WITHIN: f64 = 48.0 * HOUR;
/// Simulated time of several beds `[s]`.
const SEVERAL_BEDS: f64 = DAY;

/// The sump's overflow below the top of its shape, and a siphon's outlet over it `[m]`.
const OVERFLOW_ROOM: f64 = 0.050;
/// The pump's intake over the sump's bottom `[m]`.
const INTAKE_HEIGHT: f64 = 0.030;
/// Water in the sump at the start, as a share of the height to its overflow.
const START_SHARE: f64 = 0.8;

/// How long to simulate where nobody says: one bed until its cycles agree, several a day.
pub(crate) fn usual_duration(beds: usize) -> Duration {
    if beds > 1 {
        Duration::Fixed(SEVERAL_BEDS)
    } else {
        Duration::UntilSettled {
            at_most: SETTLES_WITHIN,
        }
    }
}

/// Why a builder has no system to give.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BuildError {
    /// Nothing says what the sump is.
    #[error("there is no sump: give its shape and the elevation of its bottom")]
    NoSump,
    /// Nothing says what the pump gives.
    #[error("there is no pump: give its steady flow or its curve")]
    NoPump,
    /// Beds share a steady flow by themselves, but not what a curve gives.
    #[error("bed \"{bed}\" has no inlet, and the flow of a pump with a curve depends on it")]
    NoInlet {
        /// Its name.
        bed: String,
    },
    /// The water's temperature.
    #[error(transparent)]
    Temperature(#[from] OutOfRange),
    /// The parts do not fit each other.
    #[error("{}", .0.iter().map(Misfit::to_string).collect::<Vec<_>>().join("; "))]
    Misfits(Vec<Misfit>),
}

/// A system on its way; see [`System::builder`].
#[derive(Debug, Clone)]
pub struct SystemBuilder {
    title: String,
    duration: Option<Duration>,
    temperature: f64,
    ceiling: Option<f64>,
    sump: Option<(VesselShape, f64)>,
    sump_count: u32,
    sump_levels: Option<(f64, f64)>,
    source: Option<PumpSource>,
    intake: Option<f64>,
    supply: Supply,
    beds: Vec<BedBuilder>,
    drain_line: Option<DrainLine>,
    tank: Option<Tank>,
    settler: Option<Settler>,
    top_off: Option<TopOff>,
    evaporation: f64,
    incidents: Vec<Incident>,
    coefficients: Coefficients,
    thresholds: Thresholds,
}

impl System {
    /// A system to be filled; it needs a sump, a pump and at least one bed.
    ///
    /// Where nothing else is said: the sump spills 50 mm under its top and stands at four
    /// fifths of the height to there; the pump sucks 30 mm over its bottom and needs 50 mm
    /// of water; no supply pipe counts; the water has 20 degC; one bed runs until its
    /// cycles agree, several run for a day. Common practice, no source. The model has
    /// public fields for everything else, and [`System::misfits`] for what became of it.
    pub fn builder() -> SystemBuilder {
        SystemBuilder {
            title: "system".to_owned(),
            duration: None,
            temperature: 20.0,
            ceiling: None,
            sump: None,
            sump_count: 1,
            sump_levels: None,
            source: None,
            intake: None,
            supply: Supply {
                trunk: PipeRun {
                    bore: 0.025,
                    length: 0.0,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 0.0,
                },
                bypass: None,
            },
            beds: Vec::new(),
            drain_line: None,
            tank: None,
            settler: None,
            top_off: None,
            evaporation: 0.0,
            incidents: Vec::new(),
            coefficients: Coefficients::default(),
            thresholds: Thresholds::default(),
        }
    }
}

impl SystemBuilder {
    /// What the owner calls it.
    #[must_use]
    pub fn title(mut self, title: &str) -> Self {
        title.clone_into(&mut self.title);
        self
    }

    /// How long to simulate.
    #[must_use]
    pub fn duration(mut self, duration: Duration) -> Self {
        self.duration = Some(duration);
        self
    }

    /// Temperature of the water `[degC]`, 0 to 40.
    #[must_use]
    pub fn temperature(mut self, celsius: f64) -> Self {
        self.temperature = celsius;
        self
    }

    /// Elevation of the ceiling `[m]`.
    #[must_use]
    pub fn ceiling(mut self, elevation: f64) -> Self {
        self.ceiling = Some(elevation);
        self
    }

    /// Inside shape of the sump and elevation of its bottom `[m]`.
    #[must_use]
    pub fn sump(mut self, shape: VesselShape, floor: f64) -> Self {
        self.sump = Some((shape, floor));
        self
    }

    /// So many such sumps, joined at the bottom: 1 to [`MOST_JOINED`](crate::model::MOST_JOINED).
    #[must_use]
    pub const fn joined_sumps(mut self, count: u32) -> Self {
        self.sump_count = count;
        self
    }

    /// Elevations of the sump's water at the start and of its overflow `[m]`.
    #[must_use]
    pub fn sump_levels(mut self, start: f64, overflow: f64) -> Self {
        self.sump_levels = Some((start, overflow));
        self
    }

    /// A pump whose flow was measured `[m3/s]`.
    #[must_use]
    pub fn steady_flow(mut self, flow: f64) -> Self {
        self.source = Some(PumpSource::Steady(flow));
        self
    }

    /// A pump with a head-flow curve; beds then need piped inlets.
    #[must_use]
    pub fn pump_curve(mut self, curve: PumpCurve) -> Self {
        self.source = Some(PumpSource::Curve(curve));
        self
    }

    /// Elevation of the pump's intake `[m]`.
    #[must_use]
    pub fn intake(mut self, elevation: f64) -> Self {
        self.intake = Some(elevation);
        self
    }

    /// Pipes from the pump to the inlets.
    #[must_use]
    pub fn supply(mut self, supply: Supply) -> Self {
        self.supply = supply;
        self
    }

    /// One more bed.
    #[must_use]
    pub fn bed(mut self, bed: BedBuilder) -> Self {
        self.beds.push(bed);
        self
    }

    /// The line that siphons share.
    #[must_use]
    pub fn drain_line(mut self, line: DrainLine) -> Self {
        self.drain_line = Some(line);
        self
    }

    /// A fish tank beside the sump.
    #[must_use]
    pub fn tank(mut self, tank: Tank) -> Self {
        self.tank = Some(tank);
        self
    }

    /// A settler after the tank.
    #[must_use]
    pub fn settler(mut self, settler: Settler) -> Self {
        self.settler = Some(settler);
        self
    }

    /// A float valve in the sump.
    #[must_use]
    pub fn top_off(mut self, valve: TopOff) -> Self {
        self.top_off = Some(valve);
        self
    }

    /// Water lost to the air `[m3/s]`.
    #[must_use]
    pub fn evaporation(mut self, flow: f64) -> Self {
        self.evaporation = flow;
        self
    }

    /// Something that happens during the run.
    #[must_use]
    pub fn incident(mut self, incident: Incident) -> Self {
        self.incidents.push(incident);
        self
    }

    /// Another band for a soft coefficient; a start Froude number then holds in every bore
    /// as it is.
    #[must_use]
    pub fn coefficient(mut self, which: Coefficient, band: Band) -> Self {
        self.coefficients.give(which, band);
        self
    }

    /// Other limits of the checks.
    #[must_use]
    pub fn thresholds(mut self, limits: Thresholds) -> Self {
        self.thresholds = limits;
        self
    }

    /// The system, ready to simulate.
    ///
    /// # Errors
    /// [`BuildError`]: a part that must be there is not, or parts do not fit each other.
    pub fn build(self) -> Result<System, BuildError> {
        let (shape, floor) = self.sump.ok_or(BuildError::NoSump)?;
        let source = self.source.ok_or(BuildError::NoPump)?;
        let (start_level, overflow_level) = self.sump_levels.unwrap_or_else(|| {
            // A shallow vessel keeps half of its depth.
            let height = (shape.depth() - OVERFLOW_ROOM).max(0.5 * shape.depth());
            (floor + START_SHARE * height, floor + height)
        });
        let sump = Sump {
            shape,
            count: self.sump_count,
            floor,
            start_level,
            overflow_level,
            holds_fish: false,
            sealed_entries: false,
            entries: Entries::Untold,
        };
        let count = self.beds.len();
        let share = match source {
            PumpSource::Steady(_) => u32::try_from(count).ok().map(|n| 1.0 / f64::from(n.max(1))),
            PumpSource::Curve(_) => None,
        };
        let line = self.drain_line.as_ref();
        let beds = self
            .beds
            .into_iter()
            .map(|bed| bed.build(&sump, line, share))
            .collect::<Result<Vec<_>, _>>()?;
        let system = System {
            title: self.title,
            duration: self.duration.unwrap_or_else(|| usual_duration(count)),
            water: Water::at(self.temperature)?,
            ceiling: self.ceiling,
            pump: Pump {
                source,
                intake_level: self.intake.unwrap_or(floor + INTAKE_HEIGHT),
                minimum_cover: USUAL_COVER,
                power: None,
                tariff: None,
                schedule: None,
                check_valve: false,
            },
            sump,
            supply: self.supply,
            beds,
            drain_line: self.drain_line,
            tank: self.tank,
            settler: self.settler,
            top_off: self.top_off,
            evaporation: self.evaporation,
            sources: Vec::new(),
            dissolved: Dissolved::default(),
            fish: None,
            incidents: self.incidents,
            coefficients: self.coefficients,
            thresholds: self.thresholds,
        };
        let misfits = system.misfits();
        if misfits.is_empty() {
            Ok(system)
        } else {
            Err(BuildError::Misfits(misfits))
        }
    }
}
