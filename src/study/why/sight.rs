//! What a person with tape, bucket and stopwatch would find in a simulated run.

use crate::model::{CoefficientValues, Duration, System};
use crate::numerics::integrate::{Stepper, Tolerance};
use crate::numerics::maths::Maths;
use crate::simulation::{
    Cycle, Regime, Run, Sampling, SharedTables, SimulationError, SiphonMode, Stepping, simulate_by,
    simulate_sharing, simulate_until_told,
};
use crate::siphon::SiphonLaw;
use crate::study::measure::{Measurable, sheet};

/// One bed as it would be found.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSight {
    /// What it does.
    pub regime: Regime,
    /// Whether it starts only as the water over its outlet falls, and dribbles until then.
    pub late: bool,
    /// Mean inflow `[m3/s]`.
    pub inflow: f64,
    /// From break to full siphon `[s]`; `None`: it does not cycle. So also below.
    pub fill: Option<f64>,
    /// From full siphon to break `[s]`.
    pub drain: Option<f64>,
    /// Break to break `[s]`.
    pub period: Option<f64>,
    /// Highest level above the bed's floor `[m]`.
    pub peak: f64,
    /// Level left after the break above the bed's floor `[m]`.
    pub left: Option<f64>,
    /// Level it settles at above the bed's floor `[m]`; `None`: it cycles.
    pub standing: Option<f64>,
    /// Inflow that just starts it `[m3/s]`.
    pub starts: f64,
    /// Inflow that just no longer breaks it `[m3/s]`.
    pub stops: f64,
    /// Lip to outlet, upright `[m]`.
    pub drop: f64,
    /// From the lower to the upper mark of the protocol, pump on `[s]`; `None`: never.
    pub rise: Option<f64>,
    /// From the upper to the lower mark, siphon full, pump off `[s]`; `None`: it never runs.
    pub fall: Option<f64>,
    /// Longer priming with a bell 50 mm taller `[s]`; `None`: it never primes.
    pub priming_gain: Option<f64>,
    /// Height over the lip at the last dribble `[m]`.
    pub dribble_head: f64,
}

/// A whole system as it would be found.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// One per bed, in file order.
    pub beds: Vec<BedSight>,
    /// Lowest and highest level above the sump's floor `[m]`.
    pub sump: (f64, f64),
    /// Whether the sump spills.
    pub sump_spills: bool,
    /// Time during which the pump drew air `[s]`.
    pub ran_dry: f64,
    /// Time during which the line was under pressure `[s]`.
    pub line_pressed: f64,
    /// Largest depth over diameter of the line `[-]`.
    pub line_fill: f64,
}

/// Far below what tape and stopwatch can tell, and half the time of the usual stepping.
const COARSE: Stepping = Stepping {
    stepper: Stepper::Own,
    tolerance: Tolerance {
        relative: 2e-5,
        absolute: 2e-7,
    },
    on_a_line: Stepping::LINE_SHARE,
};

/// How long a trial runs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Length {
    /// So long, or until it settles `[s]`: how far sump and line go hangs on how beds meet.
    Whole(f64),
    /// Until every bed has shown what it does, at most so long `[s]`.
    UntilTold(f64),
}

/// Cycles that tell what a bed does: the first, from the file's start, and three like all others.
const CYCLES_TELL: usize = 4;

/// `system` without its incidents, for at most `longest` `[s]`.
fn over(system: &System, longest: f64) -> System {
    let mut system = system.clone();
    system.incidents.clear();
    system.duration = Duration::UntilSettled { at_most: longest };
    system
}

impl Sight {
    /// What `system` shows over at most `longest` `[s]`, with its incidents left out.
    ///
    /// # Errors
    /// [`SimulationError`] when the simulation gives up.
    pub fn of(
        system: &System,
        values: &CoefficientValues,
        longest: f64,
    ) -> Result<(Self, Run), SimulationError> {
        let system = over(system, longest);
        let run = simulate_by(&system, values, Sampling::None, COARSE)?;
        Ok((Self::seen(&system, values, &run), run))
    }

    /// What a trial of `system` shows, with tables that several share.
    pub(super) fn tried(
        system: &System,
        values: &CoefficientValues,
        length: Length,
        tables: &SharedTables,
    ) -> Result<Self, SimulationError> {
        let (Length::Whole(longest) | Length::UntilTold(longest)) = length;
        let shown = over(system, longest);
        let run = match length {
            Length::Whole(_) => simulate_sharing(&shown, values, Sampling::None, COARSE, tables),
            Length::UntilTold(_) => {
                simulate_until_told(&shown, values, CYCLES_TELL, COARSE, tables)
            }
        }?;
        Ok(Self::seen(system, values, &run))
    }

    fn seen(system: &System, values: &CoefficientValues, run: &Run) -> Self {
        let sump = run.sump.level;
        let beds = (0..system.beds.len())
            .map(|i| BedSight::seen(system, values, run, i))
            .collect();
        let floor = system.sump.floor;
        Self {
            beds,
            sump: (sump.min - floor, sump.max - floor),
            sump_spills: run.sump.overflowed > SPILL_SEEN,
            ran_dry: run.sump.ran_dry,
            line_pressed: run.line.map_or(0.0, |line| line.surcharged),
            line_fill: run.line.map_or(0.0, |line| line.peak_fill),
        }
    }
}

/// Less water than this over the sump's edge is not noticed `[m3]`.
const SPILL_SEEN: f64 = 0.5e-3;

impl BedSight {
    fn seen(system: &System, values: &CoefficientValues, run: &Run, i: usize) -> Self {
        let (bed, found) = (&system.beds[i], &run.beds[i]);
        let law = SiphonLaw::new(bed, &system.water, values);
        // The first cycle begins from the file's start, not from a break.
        let cycles = match found.cycles.as_slice() {
            [_, rest @ ..] if !rest.is_empty() => rest,
            all => all,
        };
        // A siphon that has run for hours without breaking does not cycle, as anybody sees it.
        let regime = match (found.tends_to, found.last_mode) {
            (Regime::Cycles, SiphonMode::FullBore) if cycles.is_empty() => Regime::Stalls,
            (regime, _) => regime,
        };
        // One that never gets what starts it and has run all the same was started by a drain line that
        // emptied: until then it dribbles, and that is what anybody sees.
        let late = matches!(regime, Regime::Cycles | Regime::Dribbles)
            && found.left_level.is_some()
            && found.inflow.max < law.start_flow();
        let regime = if late { Regime::Dribbles } else { regime };
        let cycling = regime == Regime::Cycles && !cycles.is_empty();
        let mean = |figure: &dyn Fn(&Cycle) -> f64| {
            cycling.then(|| {
                let sum: f64 = cycles.iter().map(figure).sum();
                sum / super::draws::as_f64(cycles.len())
            })
        };
        // A bed on its way to its second flood has been no higher than its first.
        let seen_highest = match regime {
            Regime::Cycles => found.peak_level.max(found.first_peak_level),
            _ if late => found.peak_level.max(found.first_peak_level),
            _ => found.peak_level,
        };
        let tail = law.outlet().max(run.sump.level.min);
        Self {
            regime,
            late,
            // A bucket is held while the pump runs and has water.
            inflow: if system.pump.schedule.is_some() || run.sump.ran_dry > 0.0 {
                found.inflow.max
            } else {
                found.inflow.mean
            },
            fill: mean(&|c| c.fill + c.prime),
            drain: mean(&|c| c.drain),
            period: mean(&Cycle::period),
            peak: mean(&|c| c.peak_level).unwrap_or(seen_highest) - bed.floor,
            left: mean(&|c| found.break_level + c.left_depth - bed.floor),
            standing: match late {
                true => Some(seen_highest - bed.floor),
                false => (regime != Regime::Cycles).then_some(found.last_level - bed.floor),
            },
            starts: law.start_flow(),
            stops: law.run_on_flow(tail).min(law.stall_flow(tail)),
            drop: law.lip() - law.outlet(),
            rise: (found.inflow.max > 0.0).then(|| sheet::between_marks(bed) / found.inflow.max),
            fall: runs(regime).then(|| sheet::fall_time(bed, &law, tail)),
            priming_gain: runs(regime)
                .then(|| sheet::priming_gain(bed, &law))
                .flatten(),
            dribble_head: sheet::dribble_head(&law),
        }
    }
}

/// Whether the siphon runs at all.
const fn runs(regime: Regime) -> bool {
    matches!(regime, Regime::Cycles | Regime::RunsOn | Regime::Stalls)
}

/// What can be read off a system.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Figure {
    /// Flow into the bed, timed with a bucket.
    Inflow,
    /// Time from break to full siphon.
    FillTime,
    /// Time from full siphon to break.
    DrainTime,
    /// Break to break.
    Period,
    /// Highest level above the bed's floor.
    Peak,
    /// Level left after the break above the bed's floor.
    Left,
    /// Level at which a bed that does not cycle settles, above its floor.
    Standing,
    /// Inflow at which it just starts.
    StartsAt,
    /// Inflow at which it just no longer breaks.
    StopsAt,
    /// Lip to outlet, upright.
    Drop,
    /// Sump's highest less its lowest level.
    SumpSwing,
    /// Sump's lowest level above its floor.
    SumpLow,
    /// Sump's highest level above its floor.
    SumpHigh,
    /// From the lower to the upper mark of the protocol, pump on.
    Rise,
    /// From the upper to the lower mark, siphon full, pump off.
    Fall,
    /// Longer priming with a bell 50 mm taller.
    PrimingGain,
    /// Height over the lip at the last dribble.
    DribbleHead,
}

/// How a figure is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// Flows `[m3/s]`: by ratio.
    Flow,
    /// Times `[s]`: by ratio.
    Time,
    /// Levels and lengths `[m]`: by difference.
    Level,
}

impl From<Measurable> for Figure {
    fn from(what: Measurable) -> Self {
        match what {
            Measurable::Inflow => Self::Inflow,
            Measurable::Fill => Self::FillTime,
            Measurable::Drain => Self::DrainTime,
            Measurable::Period => Self::Period,
            Measurable::Highest => Self::Peak,
            Measurable::Left => Self::Left,
            Measurable::Standing => Self::Standing,
            Measurable::SumpSwing => Self::SumpSwing,
            Measurable::StartsAt => Self::StartsAt,
            Measurable::BreaksUpTo => Self::StopsAt,
            Measurable::Rise => Self::Rise,
            Measurable::Fall => Self::Fall,
            Measurable::PrimingGain => Self::PrimingGain,
            Measurable::DribbleHead => Self::DribbleHead,
        }
    }
}

impl Figure {
    /// The measurement that it is; `None`: one that only a diagnosis asks for.
    fn measurable(self) -> Option<Measurable> {
        Measurable::ALL
            .into_iter()
            .find(|&what| Self::from(what) == self)
    }

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Drop => "drop, lip to outlet",
            Self::SumpLow => "lowest sump level",
            Self::SumpHigh => "highest sump level",
            _ => self.measurable().map_or("", Measurable::words),
        }
    }

    /// Name of its option on the command line.
    pub fn key(self) -> &'static str {
        match self {
            Self::Drop => "drop",
            Self::SumpLow => "sump-low",
            Self::SumpHigh => "sump-high",
            _ => self.measurable().map_or("", Measurable::key),
        }
    }

    /// How to measure it, as one sentence without its full stop.
    pub fn how(self) -> &'static str {
        match self {
            Self::Drop => "measure from the lip straight down to the end of the drain pipe",
            Self::SumpLow => {
                "mark the sump's lowest level of a cycle and measure it from its floor"
            }
            Self::SumpHigh => {
                "mark the sump's highest level of a cycle and measure it from its floor"
            }
            _ => self.measurable().map_or("", Measurable::how),
        }
    }

    /// All of them.
    pub const ALL: [Self; 17] = [
        Self::Inflow,
        Self::FillTime,
        Self::DrainTime,
        Self::Period,
        Self::Peak,
        Self::Left,
        Self::Standing,
        Self::StartsAt,
        Self::StopsAt,
        Self::Drop,
        Self::SumpSwing,
        Self::SumpLow,
        Self::SumpHigh,
        Self::Rise,
        Self::Fall,
        Self::PrimingGain,
        Self::DribbleHead,
    ];

    /// Whether it belongs to the protocol that `measure` prints.
    pub(super) fn is_of_sheet(self) -> bool {
        self.measurable().is_some_and(Measurable::is_of_sheet)
    }

    /// Whether it belongs to one bed.
    pub const fn of_a_bed(self) -> bool {
        !matches!(self, Self::SumpSwing | Self::SumpLow | Self::SumpHigh)
    }

    /// Uncertainty of a reading where none is given, one standard deviation, SI: that of
    /// [`Measurable`]; 5 mm for a drop, 3 mm for a level. Common practice, no source.
    pub fn usual_sigma(self, value: f64) -> f64 {
        match self {
            Self::Drop => 0.005,
            _ => self
                .measurable()
                .map_or(0.003, |what| what.usual_sigma(value)),
        }
    }

    /// How it is compared.
    pub const fn scale(self) -> Scale {
        match self {
            Self::Inflow | Self::StartsAt | Self::StopsAt => Scale::Flow,
            Self::FillTime
            | Self::DrainTime
            | Self::Period
            | Self::Rise
            | Self::Fall
            | Self::PrimingGain => Scale::Time,
            _ => Scale::Level,
        }
    }

    /// The figure of bed `bed` in `sight`, SI; `None` where there is none to be read.
    pub fn in_sight(self, sight: &Sight, bed: usize) -> Option<f64> {
        let here = sight.beds.get(bed)?;
        match self {
            Self::Inflow => Some(here.inflow),
            Self::FillTime => here.fill,
            Self::DrainTime => here.drain,
            Self::Period => here.period,
            Self::Peak => Some(here.peak),
            Self::Left => here.left,
            Self::Standing => here.standing,
            Self::StartsAt => Some(here.starts),
            Self::StopsAt => Some(here.stops),
            Self::Drop => Some(here.drop),
            Self::SumpSwing => Some(sight.sump.1 - sight.sump.0),
            Self::SumpLow => Some(sight.sump.0),
            Self::SumpHigh => Some(sight.sump.1),
            Self::Rise => here.rise,
            Self::Fall => here.fall,
            Self::PrimingGain => here.priming_gain,
            Self::DribbleHead => Some(here.dribble_head),
        }
    }
}

/// Flows below this are taken as this where ratios are compared `[m3/s]`.
/// They have no logarithm at nothing, and a drip cannot be told from it.
const LEAST_FLOW: f64 = 0.05e-3 / 60.0;

impl Scale {
    /// `value` on the axis on which it is compared.
    pub fn place(self, value: f64) -> f64 {
        match self {
            Self::Flow => value.max(LEAST_FLOW).log_natural(),
            // No stopwatch tells less than a second, and nothing has no logarithm.
            Self::Time => value.max(1.0).log_natural(),
            Self::Level => value,
        }
    }

    /// The value at a place on that axis.
    pub fn value(self, place: f64) -> f64 {
        match self {
            Self::Flow | Self::Time => place.exponential(),
            Self::Level => place,
        }
    }

    /// A standard deviation of `value` on that axis.
    pub fn spread(self, value: f64, sigma: f64) -> f64 {
        match self {
            Self::Flow => sigma / value.max(LEAST_FLOW),
            Self::Time => sigma / value.max(1.0),
            Self::Level => sigma,
        }
    }
}
