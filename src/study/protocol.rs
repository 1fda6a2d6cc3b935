//! The smallest protocol that tells a bed's soft coefficients with bucket, watch and rule: for
//! one bed the marks, the flows to set, what to expect, and what each step would tell.
//!
//! Errors are one standard deviation, from these of the tools (ours, no source): a watch
//! pressed within 0.2 s at what is waited for and 0.3 s at what is not, a mark passed within
//! 1.5 mm (2 mm where it falls fast), a level over the lip read to 1 mm, a bucket weighed to
//! 0.3 %; a siphon's starts and breaks scatter by 3 %. They assume that the formulas are right.

use crate::assessment::{Assessment, Verdict, assess};
use crate::model::{Band, Coefficient, System};
use crate::numerics::maths::Maths;
use crate::simulation::{Run, Sampling, SimulationError, simulate};
use crate::siphon::{InflowWindow, SiphonLaw};
use crate::study::measure::sheet::{
    RAISED_BY, TALLER, between_marks, fall_time, marks, priming_gain,
};
use crate::study::measure::{Cutter, Fact, FactKind, SCATTER, outlook};

/// The bucket is weighed to this share.
const WEIGHED: f64 = 0.003;
/// One press at something waited for, and at something sudden `[s]`.
const PRESS: (f64, f64) = (0.2, 0.3);
/// Passing a mark slowly, and fast `[m]`.
const MARK: (f64, f64) = (0.0015, 0.002);
/// A level over the lip `[m]`.
const LEVEL: f64 = 0.001;
/// Times each flow is timed, and each priming.
pub const REPEATS: u32 = 3;
/// Steps by which the flow is lowered at the foot.
pub const LOWERED_BY: f64 = 0.07;
/// Places of the truth in its band that are tried.
const PLACES: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];
/// What a pump can give a bed over what it gives all beds now.
const SPARE: f64 = 1.1;
/// Most flows on a ladder.
const MOST_RUNGS: usize = 14;

/// A step of the protocol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepKind {
    /// The flow, bucket and watch.
    Bucket,
    /// The rise between two marks.
    Rise,
    /// The flow at which it starts.
    Start,
    /// The time it takes to prime, with two bells.
    Priming,
    /// The fall between the marks with the pump off.
    Fall,
    /// The flow at which it breaks again.
    Break,
    /// The same with the outlet raised to the bed's floor.
    RaisedBreak,
}

impl StepKind {
    /// All of them, in order; steps are numbered from nought.
    pub const ALL: [Self; 7] = [
        Self::Bucket,
        Self::Rise,
        Self::Start,
        Self::Priming,
        Self::Fall,
        Self::Break,
        Self::RaisedBreak,
    ];

    /// Its word in results.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Bucket => "bucket",
            Self::Rise => "rise",
            Self::Start => "start",
            Self::Priming => "priming",
            Self::Fall => "fall",
            Self::Break => "break",
            Self::RaisedBreak => "raised-break",
        }
    }

    /// Whether the shortest useful round needs it.
    pub const fn is_needed(self) -> bool {
        !matches!(self, Self::Priming | Self::RaisedBreak)
    }
}

/// What a step tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Learnt {
    /// A flow into the bed.
    Flow,
    /// Drainable area, so the void.
    Void,
    /// Start Froude number.
    Start,
    /// Weir coefficient of the lip.
    LipWeir,
    /// Air carried while priming.
    Carry,
    /// Total loss 1 + K.
    Loss,
    /// Sealed void.
    SealedVoid,
    /// Velocity above which air is carried.
    AirVelocity,
}

/// One thing told, and how well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tells {
    /// What.
    pub what: Learnt,
    /// One standard deviation: of the value, but of a sealed void absolute `[-]`.
    pub error: f64,
    /// Half the width of the band it has now, over its nominal value; of a sealed void absolute.
    pub now: f64,
}

/// One step for one bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Which.
    pub kind: StepKind,
    /// Flows to set one after the other `[m3/s]`, each with the height over the lip that it
    /// stands at while it only dribbles `[m]`.
    pub ladder: Vec<(f64, f64)>,
    /// The reading to expect, with the ends that the bands leave: time `[s]` or flow `[m3/s]`.
    pub expected: Option<Band>,
    /// What it tells.
    pub tells: Vec<Tells>,
    /// The verdict on the bed's own inflow now, and in how many of five places of the truth in
    /// its band the step would make it sure.
    pub settles: Option<(Verdict, usize)>,
    /// More flow than the pump gives is needed to be sure to see it: what it gives `[m3/s]`.
    pub short_of: Option<f64>,
    /// How long it takes `[s]`.
    pub takes: f64,
}

/// The protocol for one bed.
#[derive(Debug, Clone, PartialEq)]
pub struct Protocol {
    /// Index of the bed.
    pub bed: usize,
    /// What the bucket holds `[m3]`.
    pub bucket: f64,
    /// Heights of the marks over the bed's floor, lower one first `[m]`.
    pub marks: (f64, f64),
    /// Lip and break level over the bed's floor `[m]`.
    pub lip: f64,
    /// See `lip`.
    pub breaks_at: f64,
    /// Inflow now `[m3/s]`.
    pub inflow: f64,
    /// Steps 0 to 6.
    pub steps: Vec<Step>,
}

/// How many places there are in [`Step::settles`].
pub const PLACES_TRIED: usize = PLACES.len();

/// The protocol for bed `bed` of `system`, with a bucket of `bucket` `[m3]`; `None` where there is no
/// such bed.
///
/// # Errors
/// [`SimulationError`] when the scenario cannot be simulated.
pub fn protocol(
    system: &System,
    bed: usize,
    bucket: f64,
) -> Result<Option<Protocol>, SimulationError> {
    if bed >= system.beds.len() {
        return Ok(None);
    }
    let run = simulate(system, Sampling::None)?;
    let seen = outlook(system, &system.coefficients.nominal())?;
    let place = &system.beds[bed];
    let tail = seen.tail(bed);
    let law = SiphonLaw::new(place, &system.water, &system.coefficients.nominal());
    let inflow = run.beds[bed].inflow.max;
    let most = SPARE * run.beds.iter().map(|bed| bed.inflow.max).sum::<f64>();
    let plan = Plan {
        system,
        bed,
        bucket,
        found: assess(system, &run),
        cutter: Cutter::new(system, bed)?,
        run: &run,
        window: InflowWindow::new(place, &system.water, &system.coefficients, tail),
        law,
        tail,
        inflow,
        most,
    };
    Ok(Some(Protocol {
        bed,
        bucket,
        marks: marks(place),
        lip: place.siphon.standpipe.lip_height,
        breaks_at: plan.law.break_level(tail) - place.floor,
        inflow,
        steps: vec![
            plan.bucket(),
            plan.rise(),
            plan.start(),
            plan.priming(),
            plan.fall(),
            plan.breaks(),
            plan.raised(),
        ],
    }))
}

struct Plan<'a> {
    system: &'a System,
    bed: usize,
    bucket: f64,
    run: &'a Run,
    found: Assessment,
    cutter: Cutter,
    window: InflowWindow,
    law: SiphonLaw,
    tail: f64,
    inflow: f64,
    most: f64,
}

impl Plan<'_> {
    fn step(&self, kind: StepKind) -> Step {
        Step {
            kind,
            ladder: Vec::new(),
            expected: None,
            tells: Vec::new(),
            settles: None,
            short_of: None,
            takes: 0.0,
        }
    }

    fn soft(&self, which: Coefficient) -> Band {
        self.system.coefficients[which]
    }

    /// Error of a flow timed three times.
    fn flow_error(&self) -> f64 {
        let time = self.bucket / self.inflow.max(1e-9);
        let press = std::f64::consts::SQRT_2 * PRESS.0 / f64::from(REPEATS).sqrt();
        WEIGHED.hypotenuse(press / time)
    }

    fn bucket(&self) -> Step {
        Step {
            expected: Some(Band::exact(self.bucket / self.inflow.max(1e-9))),
            tells: vec![Tells {
                what: Learnt::Flow,
                error: self.flow_error(),
                now: 0.05,
            }],
            takes: 5.0 * 60.0,
            ..self.step(StepKind::Bucket)
        }
    }

    /// Relative error of the area between the marks.
    fn area_error(&self, mark: f64) -> f64 {
        let (low, high) = marks(&self.system.beds[self.bed]);
        std::f64::consts::SQRT_2 * mark / (high - low)
    }

    fn rise(&self) -> Step {
        let time = between_marks(&self.system.beds[self.bed]) / self.inflow.max(1e-9);
        Step {
            expected: Some(Band::new(0.7 * time, time, 1.3 * time)),
            tells: vec![Tells {
                what: Learnt::Void,
                error: self.flow_error().hypotenuse(self.area_error(MARK.0)),
                now: 0.30,
            }],
            takes: time,
            ..self.step(StepKind::Rise)
        }
    }

    /// Relative error of an edge found in steps of `by`, its scatter included.
    fn edge_error(&self, by: f64) -> f64 {
        (by / 12.0_f64.sqrt())
            .hypotenuse(SCATTER)
            .hypotenuse(self.flow_error())
    }

    fn start(&self) -> Step {
        let band = self.window.start;
        let rung = 1.0 + RAISED_BY;
        let mut flow = 0.93 * band.low;
        let mut ladder = Vec::new();
        while flow < rung * band.high && ladder.len() < MOST_RUNGS {
            ladder.push((flow, self.law.standing_head(flow)));
            flow *= rung;
        }
        let last = band.nominal / (1.0 + 0.5 * RAISED_BY);
        let lip = self.soft(Coefficient::LipWeir);
        Step {
            takes: 180.0 * ladder.len() as f64,
            ladder,
            expected: Some(band),
            tells: vec![
                Tells {
                    what: Learnt::Start,
                    error: self.edge_error(RAISED_BY),
                    now: half(band),
                },
                Tells {
                    what: Learnt::LipWeir,
                    error: 1.5 * LEVEL / self.law.standing_head(last).max(1e-6),
                    now: half(lip),
                },
            ],
            settles: self.settles(FactKind::Started, band, RAISED_BY),
            short_of: (self.most < band.high).then_some(self.most),
            ..self.step(StepKind::Start)
        }
    }

    fn priming(&self) -> Step {
        let place = &self.system.beds[self.bed];
        let carry = self.soft(Coefficient::PrimingCarry);
        let gain = priming_gain(place, &self.law);
        let presses = 2.0 * PRESS.1 / f64::from(REPEATS).sqrt();
        Step {
            expected: gain.map(|gain| {
                Band::new(
                    gain * carry.nominal / carry.high,
                    gain,
                    gain * carry.nominal / carry.low,
                )
            }),
            tells: gain.map_or_else(Vec::new, |gain| {
                vec![Tells {
                    what: Learnt::Carry,
                    error: (presses / gain).hypotenuse(self.edge_error(RAISED_BY)),
                    now: half(carry),
                }]
            }),
            takes: 2.0 * f64::from(REPEATS) * 600.0,
            ..self.step(StepKind::Priming)
        }
    }

    fn fall(&self) -> Step {
        let place = &self.system.beds[self.bed];
        let time = fall_time(place, &self.law, self.tail);
        let presses = std::f64::consts::SQRT_2 * PRESS.1 / time;
        let error = self.area_error(MARK.0).hypotenuse(self.area_error(MARK.1));
        let (least, most) = (
            self.window.stall.low / self.window.stall.nominal,
            self.window.stall.high / self.window.stall.nominal,
        );
        Step {
            expected: Some(Band::new(time / most, time, time / least)),
            tells: vec![Tells {
                what: Learnt::Loss,
                error: 2.0 * error.hypotenuse(presses).hypotenuse(self.flow_error()),
                now: 0.3,
            }],
            takes: 600.0,
            ..self.step(StepKind::Fall)
        }
    }

    /// The flows that the pump gives.
    fn within_reach(&self, ladder: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
        let rungs = ladder.into_iter().filter(|rung| rung.0 <= self.most);
        rungs.collect()
    }

    fn breaks(&self) -> Step {
        let band = self.window.breaks_below();
        let leg = self.law.leg_at_break(self.tail);
        let share = (self.window.run_on.nominal / leg.full_flow).min(1.0);
        let full = 0.03;
        let void = self.soft(Coefficient::SealedVoid);
        Step {
            ladder: self.within_reach(lowered(band)),
            expected: Some(band),
            tells: vec![Tells {
                what: Learnt::SealedVoid,
                error: 2.0 * leg.head / leg.length
                    * share
                    * share
                    * self.edge_error(LOWERED_BY).hypotenuse(full),
                now: 0.5 * (void.high - void.low),
            }],
            settles: self.settles(FactKind::Broke, band, LOWERED_BY),
            short_of: (self.most < band.high).then_some(self.most),
            takes: 120.0 * lowered(band).len() as f64,
            ..self.step(StepKind::Break)
        }
    }

    fn raised(&self) -> Step {
        let velocity = self.soft(Coefficient::AirCarryVelocity);
        let area = self.law.leg_at_break(self.tail).area;
        let band = Band::new(
            velocity.low * area,
            velocity.nominal * area,
            velocity.high * area,
        );
        Step {
            ladder: self.within_reach(lowered(band)),
            expected: Some(band),
            tells: vec![Tells {
                what: Learnt::AirVelocity,
                error: self.edge_error(LOWERED_BY),
                now: half(velocity),
            }],
            short_of: (self.most < band.high).then_some(self.most),
            takes: 900.0,
            ..self.step(StepKind::RaisedBreak)
        }
    }

    /// The verdict on the bed's own inflow now, and in how many places of the truth the step
    /// would make it sure.
    fn settles(&self, kind: FactKind, band: Band, by: f64) -> Option<(Verdict, usize)> {
        let verdict = |found: &Assessment| {
            let bed = &found.beds[self.bed];
            match kind {
                FactKind::Started => bed.will_start,
                _ => bed.will_break,
            }
        };
        let sure = PLACES.into_iter().filter(|place| {
            let edge = band.low + place * (band.high - band.low);
            let (above, below) = (edge * (1.0 + 0.5 * by), edge / (1.0 + 0.5 * by));
            let flow = |kind: FactKind| if kind.above() { above } else { below };
            let fact = |kind: FactKind| {
                let flow = flow(kind);
                Fact::new(self.bed, kind, flow, Some(self.flow_error() * flow))
            };
            let cut = self.cutter.cut(&[fact(kind), fact(kind.opposite())]);
            let mut system = self.system.clone();
            system.coefficients = cut.applied(&system.coefficients);
            verdict(&assess(&system, self.run)) != Verdict::Uncertain
        });
        Some((verdict(&self.found), sure.count()))
    }
}

/// Half the width of a band over its nominal value.
fn half(band: Band) -> f64 {
    0.5 * (band.high - band.low) / band.nominal.max(1e-12)
}

/// Flows from over the highest edge down to under the lowest.
fn lowered(band: Band) -> Vec<(f64, f64)> {
    let steps = ((band.high / band.low.max(1e-12)).log_natural() / LOWERED_BY).ceil() as usize + 2;
    let steps = steps.min(MOST_RUNGS);
    let by =
        (1.1 * band.high / (0.93 * band.low.max(1e-12))).to_the(1.0 / (steps.max(2) - 1) as f64);
    (0..steps)
        .map(|k| {
            (
                1.1 * band.high / by.powi(i32::try_from(k).unwrap_or(0)),
                0.0,
            )
        })
        .collect()
}

/// The taller bell of step 3 `[m]`.
pub const TALLER_BY: f64 = TALLER;
