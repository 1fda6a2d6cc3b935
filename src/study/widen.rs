//! What widens a siphon's window: each lever moved by one practical step, put
//! back into the same closures, and ranked by what it does.

use crate::assessment::{LEAST_BORE, Status};
use crate::hydraulics::pipe_sizes::PipeSize;
use crate::hydraulics::pipe_sizes::neighbours;
use crate::model::{AirTube, Bed, BedPart, Change, DrainLosses, Duration, Misfit, System};
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;
use crate::numerics::root::last_whole;
use crate::simulation::{Regime, Run, SharedTables};
use crate::siphon::{Extreme, InflowWindow, SiphonLaw};
use crate::study::map::quantity::fits;
use crate::study::mend::Judged;
use crate::study::window::Receiver;
use crate::units::{HOUR, UnitSystem};
use std::cmp::Ordering;

/// Flare over bore that a lip is widened to.
const FLARE: f64 = 1.5;
/// How much wider the slots are made.
const SLOTS: f64 = 1.5;
/// Widest that slots are looked at, over today's.
const MOST_SLOTS: f64 = 3.0;
/// A lower outlet by less than this is not worth the saw `[m]`.
const LEAST_DROP: f64 = 0.010;

/// One change by one step.
#[derive(Debug, Clone)]
pub struct Lever {
    /// What is changed and how far.
    pub step: Step,
    /// What comes of it, or why it cannot be done.
    pub effect: Result<Effect, Hindrance>,
    /// Verdict of the whole system, simulated with it alone; `None`: it was not, or cannot be.
    pub whole: Option<Status>,
}

impl Lever {
    const fn new(step: Step, effect: Result<Effect, Hindrance>) -> Self {
        Self {
            step,
            effect,
            whole: None,
        }
    }
}

/// What is changed and how far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// The outlet, and the pipe with it, this much lower `[m]`.
    LowerOutlet(f64),
    /// Standpipe and drain pipe of the next larger size; `None`: none is listed.
    WiderPipe(Option<&'static PipeSize>),
    /// Standpipe and drain pipe of the next smaller size.
    NarrowerPipe(Option<&'static PipeSize>),
    /// The lip flared to this diameter `[m]`.
    Flare(f64),
    /// Slots of this width each `[m]`.
    WiderSlots(f64),
    /// An air tube of this bore, its mouth at this elevation `[m]`.
    AirTube {
        /// Bore `[m]`.
        bore: f64,
        /// Elevation of the mouth `[m]`.
        mouth: f64,
    },
}

impl Step {
    /// It as a change of bed `i` of `system`; `None` where no size is listed.
    pub fn change(self, system: &System, i: usize) -> Option<Change> {
        let bed = system.beds.get(i)?;
        Some(match self {
            Self::LowerOutlet(by) => {
                Change::of_bed(i, BedPart::Outlet, bed.siphon.drain.outlet - by)
            }
            Self::WiderPipe(size) | Self::NarrowerPipe(size) => {
                let size = size?;
                Change::PipeSize {
                    bed: i,
                    bore: size.bore,
                    outside: size.outside,
                }
            }
            Self::Flare(diameter) => Change::of_bed(i, BedPart::Flare, diameter),
            Self::WiderSlots(width) => Change::of_bed(i, BedPart::SlotWidth, width),
            Self::AirTube { bore, mouth } => Change::AirTube {
                bed: i,
                tube: Some(AirTube {
                    bore,
                    mouth_height: mouth - bed.floor,
                }),
            },
        })
    }
}

impl Opening {
    /// It as a change of bed `i` of `system`.
    pub fn change(self, system: &System, i: usize) -> Option<Change> {
        match self {
            Self::LowerOutlet(by) => Step::LowerOutlet(by).change(system, i),
            Self::SlotWidth(width) => Step::WiderSlots(width).change(system, i),
            Self::Bore(bore) => Some(Change::of_bed(i, BedPart::PipeBore, bore)),
        }
    }
}

/// What a step does.
#[derive(Debug, Clone)]
pub struct Effect {
    /// The window after it, against the tail that narrows it most.
    pub window: InflowWindow,
    /// Change of the certain window's width, a missing width counted below zero `[m3/s]`.
    pub certain: f64,
    /// The same with the nominal coefficients.
    pub nominal: f64,
    /// Change of the head over the lip at which it starts, nominal `[m]`.
    pub start_head: f64,
    /// Change of the level at which it breaks, nominal `[m]`.
    pub break_level: f64,
}

/// Why a step cannot be taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Hindrance {
    /// The parts would not fit each other.
    #[error("{0}")]
    Unbuildable(Misfit),
    /// Lower, the outlet would be under water or under the line's invert.
    #[error("the outlet is already down at the water or the line it runs into")]
    NoRoom,
    /// It has one already, or is that far already.
    #[error("it is there already")]
    ThereAlready,
    /// No such size is listed.
    #[error("no such size is listed")]
    NoSize,
    /// One measured number stands for all losses and does not say how it would change.
    #[error("the measured total-k of this siphon does not say how it would change")]
    MeasuredTotal,
    /// The search for the levers of this bed has cost what it may.
    #[error("it would take too long to work out on this line")]
    TooMuch,
    /// No usual air tube would let in enough air to break it.
    #[error("no usual air tube lets in enough air to break it")]
    TubeTooThin,
}

impl Hindrance {
    /// Why, with its values in the units of `system`.
    pub fn words(&self, system: UnitSystem) -> String {
        match self {
            Self::Unbuildable(misfit) => misfit.words(system),
            other => other.to_string(),
        }
    }
}

/// The one amount of one lever that opens a certain window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Opening {
    /// The outlet lower by this much `[m]`.
    LowerOutlet(f64),
    /// Slots of this width each `[m]`.
    SlotWidth(f64),
    /// Standpipe and drain pipe of at most this bore `[m]`.
    Bore(f64),
}

/// What can be done for one bed.
#[derive(Debug, Clone)]
pub struct Levers {
    /// All of them, what widens the certain window most first, what cannot be done last.
    pub levers: Vec<Lever>,
    /// Where today's bands leave no certain window: amounts that open one, each alone.
    pub openings: Vec<Opening>,
    /// Whether the search cost too much: levers are missing, and such amounts were not looked for.
    pub given_up: bool,
}

/// Tries every lever on bed `i` of `system`; `run` is a finished run of it.
///
/// Step sizes are those of a tape measure and a shop of `units`. The tails follow
/// each change. Where the scenario gives one measured number for all losses,
/// levers that would change it are refused.
pub fn levers(system: &System, run: &Run, i: usize, units: UnitSystem) -> Levers {
    let each = MOST_SOUGHT / system.beds.len().max(1) as u64;
    let (found, given_up) = effort::told_within(each, || sought(system, run, i, units));
    let (levers, openings) = found;
    Levers {
        levers,
        openings: if given_up { Vec::new() } else { openings },
        given_up,
    }
}

/// Levers of bed `i` and what opens a certain window, until their effort is spent.
fn sought(system: &System, run: &Run, i: usize, units: UnitSystem) -> (Vec<Lever>, Vec<Opening>) {
    let trial = Trial::new(system, run, i);
    let bed = trial.bed;
    let mut levers = vec![
        trial.lower_outlet(units),
        trial.pipe(units, true),
        trial.pipe(units, false),
        trial.flare(),
        trial.wider_slots(),
        trial.air_tube(units),
    ];
    // A window that stays shut is not wider for being shut less tightly.
    let worth = |lever: &Lever| match &lever.effect {
        Ok(effect) => [
            certain_width(&effect.window).max(0.0),
            nominal_width(&effect.window),
            effect.certain,
        ],
        Err(_) => [f64::NEG_INFINITY; 3],
    };
    levers.order_by(|a, b| {
        let pairs = worth(b).into_iter().zip(worth(a));
        pairs
            .map(|(b, a)| b.total_cmp(&a))
            .find(|order| order.is_ne())
            .unwrap_or(Ordering::Equal)
    });
    let openings = if certain_width(&trial.before) > 0.0 {
        Vec::new()
    } else {
        trial.openings(bed, units)
    };
    (levers, openings)
}

impl Levers {
    /// Simulates the whole `system` with each lever of bed `i` alone, and keeps of the openings
    /// those that leave the whole no worse than `today`, a run of the system as it is and its
    /// verdict. `tables` are shared by the levers of all beds.
    pub fn tried(
        &mut self,
        system: &System,
        i: usize,
        today: (&Run, Status),
        tables: &SharedTables,
    ) {
        let (run, today) = today;
        let tried = telling(system, run);
        let each = MOST_EFFORT / system.beds.len().max(1) as u64;
        let whole = |change: Option<Change>| {
            let changed = change?.apply(&tried).ok()?;
            let judged = effort::within(each, || Judged::roughly(&changed, tables));
            Some(judged.ok()?.verdict())
        };
        let levers = map_all(std::mem::take(&mut self.levers), |lever| Lever {
            whole: match lever.effect {
                Ok(_) => whole(lever.step.change(system, i)),
                Err(_) => None,
            },
            ..lever
        });
        self.levers = levers;
        let openings = map_all(std::mem::take(&mut self.openings), |opening| {
            let whole = whole(opening.change(system, i));
            (opening, whole.is_some_and(|status| status <= today))
        });
        let kept = openings.into_iter().filter(|(_, bearable)| *bearable);
        self.openings = kept.map(|(opening, _)| opening).collect();
    }
}

/// Effort that one lever of one bed alone may take; what it does to the whole is then not known.
const MOST_EFFORT: u64 = 60_000_000;

/// Effort in which the levers of all beds are looked for. On a line of 2 mm each window takes
/// thousands of looks along it.
const MOST_SOUGHT: u64 = 400_000_000;

/// Periods of the slowest bed that tell what a lever does, and least time `[s]`.
const PERIODS: f64 = 10.0;
const LEAST_TIME: f64 = 4.0 * HOUR;

/// `system` over as much of its time as tells what a lever does to it: the verdict is one word.
/// All of it where something but beds and pump moves water, or a bed of `run` does not cycle.
fn telling(system: &System, run: &Run) -> System {
    let slowest = run.beds.iter().try_fold(0.0, |slowest: f64, bed| {
        let last = bed.cycles.last().filter(|_| bed.regime == Regime::Cycles)?;
        Some(slowest.max(last.period()))
    });
    let mut telling = system.clone();
    if let (Duration::Fixed(whole), true, Some(slowest)) =
        (system.duration, system.is_steady(), slowest)
    {
        let enough = (PERIODS * slowest).max(LEAST_TIME);
        telling.duration = Duration::Fixed(whole.min(enough));
    }
    telling
}

/// Width that the bands leave for certain; negative when they leave none `[m3/s]`.
pub fn certain_width(window: &InflowWindow) -> f64 {
    window.breaks_below().low - window.start.high
}

/// Width with the nominal coefficients `[m3/s]`.
pub fn nominal_width(window: &InflowWindow) -> f64 {
    window.breaks_below().nominal - window.start.nominal
}

struct Trial<'a> {
    system: &'a System,
    receiver: Receiver<'a>,
    bed: &'a Bed,
    i: usize,
    before: InflowWindow,
}

impl<'a> Trial<'a> {
    fn new(system: &'a System, run: &Run, i: usize) -> Self {
        let receiver = Receiver::new(system, run);
        let bed = &system.beds[i];
        let (before, _) = receiver.windows(i, bed);
        Self {
            system,
            receiver,
            bed,
            i,
            before,
        }
    }

    fn window(&self, bed: &Bed) -> InflowWindow {
        self.receiver.windows(self.i, bed).0
    }

    fn law(&self, bed: &Bed) -> SiphonLaw {
        SiphonLaw::new(bed, &self.system.water, &self.system.coefficients.nominal())
    }

    /// The bed after `change`, if its parts then fit.
    fn built(&self, change: Option<Change>) -> Result<Bed, Hindrance> {
        let change = change.ok_or(Hindrance::NoSize)?;
        let mut system = self.system.clone();
        let done = change.apply_to(&mut system);
        done.map_err(Hindrance::Unbuildable)?;
        let bed = system.beds.swap_remove(self.i);
        fits(&bed, self.system).map_err(Hindrance::Unbuildable)?;
        Ok(bed)
    }

    fn step(&self, step: Step) -> Result<Effect, Hindrance> {
        self.effect(step.change(self.system, self.i))
    }

    /// What comes of a change.
    fn effect(&self, change: Option<Change>) -> Result<Effect, Hindrance> {
        let changed = &self.built(change)?;
        if effort::is_over() {
            return Err(Hindrance::TooMuch);
        }
        let window = self.window(changed);
        let (was, now) = (self.law(self.bed), self.law(changed));
        let head = |law: &SiphonLaw| law.start_level(0.0) - law.lip();
        let breaks =
            |law: &SiphonLaw, bed: &Bed| law.break_level(self.receiver.tails(self.i, bed).1);
        Ok(Effect {
            certain: certain_width(&window) - certain_width(&self.before),
            nominal: nominal_width(&window) - nominal_width(&self.before),
            start_head: head(&now) - head(&was),
            break_level: breaks(&now, changed) - breaks(&was, self.bed),
            window,
        })
    }

    fn measured_total(&self) -> bool {
        matches!(self.bed.siphon.drain.losses, DrainLosses::Total { .. })
    }

    fn lower_outlet(&self, units: UnitSystem) -> Lever {
        let (usual, grain) = match units {
            UnitSystem::Metric => (0.100, 0.001),
            UnitSystem::Us => (4.0 * INCH, INCH / 16.0),
        };
        // Under water or in the line's invert more drop would gain nothing.
        let room = self.bed.siphon.drain.outlet - self.receiver.lowest_outlet(self.i, self.bed);
        let by = usual.min((room / grain + 1e-9).floor() * grain);
        if by < LEAST_DROP {
            return Lever::new(Step::LowerOutlet(usual), Err(Hindrance::NoRoom));
        }
        Lever::new(Step::LowerOutlet(by), self.step(Step::LowerOutlet(by)))
    }

    fn pipe(&self, units: UnitSystem, wider: bool) -> Lever {
        let size = next_size(self.bed.siphon.standpipe.bore, units, wider);
        let step = if wider {
            Step::WiderPipe(size)
        } else {
            Step::NarrowerPipe(size)
        };
        let effect = if self.measured_total() {
            Err(Hindrance::MeasuredTotal)
        } else {
            self.step(step)
        };
        Lever::new(step, effect)
    }

    fn flare(&self) -> Lever {
        let pipe = &self.bed.siphon.standpipe;
        let diameter = FLARE * pipe.bore;
        let step = Step::Flare(diameter);
        let effect = if pipe.lip_diameter >= diameter * (1.0 - 1e-9) {
            Err(Hindrance::ThereAlready)
        } else {
            self.step(step)
        };
        Lever::new(step, effect)
    }

    fn wider_slots(&self) -> Lever {
        let step = Step::WiderSlots(SLOTS * self.bed.siphon.bell.slots.width);
        let effect = if self.measured_total() {
            Err(Hindrance::MeasuredTotal)
        } else {
            self.step(step)
        };
        Lever::new(step, effect)
    }

    /// The thinnest usual tube that breaks the siphon whatever the coefficients are.
    fn air_tube(&self, units: UnitSystem) -> Lever {
        let bell = &self.bed.siphon.bell;
        let mouth_height = bell.slots.height + AirTube::OVER_CROWN;
        let bores: [f64; 5] = match units {
            UnitSystem::Metric => [0.004, 0.006, 0.008, 0.010, 0.012],
            UnitSystem::Us => [0.170, 0.250, 0.375, 0.500, 0.625].map(|inches| inches * INCH),
        };
        let with = |bore: f64| {
            let mut changed = self.bed.clone();
            changed.siphon.bell.air_tube = Some(AirTube { bore, mouth_height });
            changed
        };
        let breaks = |bore: f64| {
            let changed = with(bore);
            let tail = self.receiver.tails(self.i, &changed).1;
            let law = SiphonLaw::extreme(
                &changed,
                &self.system.water,
                &self.system.coefficients,
                Extreme::LeastDischarge,
            );
            law.tube_breaks(tail)
        };
        let found = bores.into_iter().find(|&bore| breaks(bore));
        let effect = match found {
            _ if bell.air_tube.is_some() => Err(Hindrance::ThereAlready),
            None => Err(Hindrance::TubeTooThin),
            Some(bore) => self.effect(Some(Change::AirTube {
                bed: self.i,
                tube: Some(AirTube { bore, mouth_height }),
            })),
        };
        let bore = found.unwrap_or(bores[bores.len() - 1]);
        let step = Step::AirTube {
            bore,
            mouth: self.bed.floor + mouth_height,
        };
        Lever::new(step, effect)
    }

    /// Amounts of single levers that open a certain window.
    fn openings(&self, bed: &Bed, units: UnitSystem) -> Vec<Opening> {
        let grain = match units {
            UnitSystem::Metric => 0.001,
            UnitSystem::Us => INCH / 16.0,
        };
        let opens = |opening: Opening| {
            !effort::is_over()
                && self
                    .built(opening.change(self.system, self.i))
                    .is_ok_and(|changed| certain_width(&self.window(&changed)) > 0.0)
        };
        let mut found = Vec::new();
        let most =
            MOST_DROP.min(bed.siphon.drain.outlet - self.receiver.lowest_outlet(self.i, bed));
        let steps = (most / grain).floor();
        if let Some(n) = least(steps, |n| opens(Opening::LowerOutlet(n * grain))) {
            found.push(Opening::LowerOutlet(n * grain));
        }
        if !self.measured_total() {
            let width = bed.siphon.bell.slots.width;
            // A tenth of a millimetre, to which bores are printed.
            let tenth = 1e-4;
            let steps = ((MOST_SLOTS - 1.0) * width / tenth).floor();
            if let Some(n) = least(steps, |n| opens(Opening::SlotWidth(width + n * tenth))) {
                found.push(Opening::SlotWidth(width + n * tenth));
            }
            let bore = bed.siphon.standpipe.bore;
            let steps = ((bore - LEAST_BORE) / tenth).floor();
            if let Some(n) = least(steps, |n| opens(Opening::Bore(bore - n * tenth))) {
                found.push(Opening::Bore(bore - n * tenth));
            }
        }
        found
    }
}

const INCH: f64 = 0.0254;
/// Farthest that an outlet is looked for below today's `[m]`.
const MOST_DROP: f64 = 3.0;

/// Smallest whole number from 1 to `most` that is enough, if `most` is; more is never worse.
fn least(most: f64, enough: impl Fn(f64) -> bool) -> Option<f64> {
    (most >= 1.0 && enough(most)).then(|| last_whole(most, 0.0, enough))
}

/// The size next to `bore` in the series that has one nearest to it, among those
/// that a shop of `units` sells.
fn next_size(bore: f64, units: UnitSystem, wider: bool) -> Option<&'static PipeSize> {
    let (narrower, broader) = neighbours(bore, units, 1);
    let side = if wider { broader } else { narrower };
    side.first().copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_size_is_the_neighbour_in_its_series() {
        let name = |bore, units, wider| next_size(bore, units, wider).map(|size| size.nominal);
        // 1 in Schedule 40 has 26.6 mm.
        assert_eq!(name(0.0266, UnitSystem::Us, true), Some("1-1/4"));
        assert_eq!(name(0.0266, UnitSystem::Us, false), Some("3/4"));
        // 32 mm PN16 has 27.2 mm: 26.6 mm is that pipe, not one size up from 25 mm.
        assert_eq!(name(0.0266, UnitSystem::Metric, true), Some("40"));
        assert_eq!(name(0.0266, UnitSystem::Metric, false), Some("25"));
        assert_eq!(name(0.2, UnitSystem::Us, true), None);
    }

    #[test]
    fn the_least_amount_is_the_first_that_is_enough() {
        assert_eq!(least(100.0, |n| n >= 37.0), Some(37.0));
        assert_eq!(least(100.0, |n| n >= 1.0), Some(1.0));
        assert_eq!(least(100.0, |n| n > 100.0), None);
        assert_eq!(least(0.0, |_| true), None);
    }
}
