//! An inflow at which what is complained of needs nothing broken: the bands alone may bring it up.

use crate::model::{Band, Coefficients, System};
use crate::siphon::best_inflow;
use crate::siphon::{InflowWindow, SiphonLaw};
use crate::study::measure::Seen;
use crate::study::why::question::Question;
use crate::study::why::sight::{Figure, Sight};
use crate::study::why::symptom::Symptom;

/// How much less, or more, at least tells something, as a share `[-]`; ours.
const TELLING: f64 = 0.10;

/// What may fail at the bed's inflow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubtful {
    /// Whether it starts.
    Start,
    /// Whether it breaks.
    Break,
}

/// An inflow between where a siphon does it for certain and where it is to be expected not to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// What may fail.
    pub what: Doubtful,
    /// The inflow as read, else as described `[m3/s]`.
    pub inflow: f64,
    /// The flow from which on, or down to which, the siphon does it for certain `[m3/s]`.
    pub certain: f64,
    /// An inflow to try `[m3/s]`: a valve turned costs less than a part taken out.
    pub to_try: f64,
}

impl Doubt {
    /// The doubt that `question` is in, of `system` with the bands in `known`, which promises
    /// `promised`; `None` where the complaint is another, or the inflow is on either side of it.
    pub(super) fn of(
        system: &System,
        known: &Coefficients,
        promised: &Sight,
        question: &Question,
    ) -> Option<Self> {
        let what = complaint(question)?;
        let inflow = read_inflow(question).unwrap_or(promised.beds[question.bed].inflow);
        let window = window(system, known, promised, question.bed);
        let breaks = window.breaks_below();
        let best = best_inflow(window.start, breaks).flow;
        let (certain, to_try) = match what {
            Doubtful::Start if (window.start.nominal..window.start.high).contains(&inflow) => {
                (window.start.high, best.max((1.0 + TELLING) * inflow))
            }
            Doubtful::Break if is_within(inflow, breaks) => {
                (breaks.low, best.min((1.0 - TELLING) * inflow))
            }
            _ => return None,
        };
        Some(Self {
            what,
            inflow,
            certain,
            to_try,
        })
    }
}

/// A flow that was read and with which the siphon cannot be expected to do its part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Misfed {
    /// What fails by it: too little does not start the siphon, too much does not let it break.
    pub fails: Doubtful,
    /// The inflow as read `[m3/s]`.
    pub inflow: f64,
    /// The flow that starts it, or below which it breaks `[m3/s]`.
    pub edge: Band,
    /// Whether the bed gets as little, or as much, as described: then nothing has to be broken for it.
    pub as_described: bool,
}

impl Misfed {
    /// Whether bed and siphon of `question` are so, `system` having the bands in `known` and
    /// promising `promised`; `None` where another thing is complained of, or nothing was read.
    pub(super) fn of(
        system: &System,
        known: &Coefficients,
        promised: &Sight,
        question: &Question,
    ) -> Option<Self> {
        let fails = complaint(question)?;
        let inflow = read_inflow(question)?;
        let window = window(system, known, promised, question.bed);
        let edge = match fails {
            Doubtful::Start => window.start,
            Doubtful::Break => window.breaks_below(),
        };
        // Between, it is in doubt.
        let is_so = |flow: f64| match fails {
            Doubtful::Start => flow < edge.low,
            Doubtful::Break => flow > edge.nominal,
        };
        is_so(inflow).then(|| Self {
            fails,
            inflow,
            edge,
            as_described: is_so(promised.beds[question.bed].inflow),
        })
    }
}

/// The inflow of the bed in question as it was read `[m3/s]`.
fn read_inflow(question: &Question) -> Option<f64> {
    let mut readings = question.readings.iter();
    let read = readings.find(|r| r.figure == Figure::Inflow && r.bed == question.bed);
    read.map(|read| read.value)
}

/// The inflows at which the siphon of `bed` works, the sump at its lowest as promised.
fn window(system: &System, known: &Coefficients, promised: &Sight, bed: usize) -> InflowWindow {
    let bed = &system.beds[bed];
    let outlet = SiphonLaw::new(bed, &system.water, &known.nominal()).outlet();
    let tail = outlet.max(system.sump.floor + promised.sump.0);
    InflowWindow::new(bed, &system.water, known, tail)
}

/// Over what breaks it for certain, and not over what is to be expected.
fn is_within(inflow: f64, breaks: Band) -> bool {
    inflow > breaks.low && inflow <= breaks.nominal
}

fn complaint(question: &Question) -> Option<Doubtful> {
    if question.is_stuck_open() {
        return Some(Doubtful::Break);
    }
    let said = matches!(
        question.symptom,
        Some(Symptom::Dribbles | Symptom::NeverStarts)
    );
    let seen = question.seen.contains(&(question.bed, Seen::NeverStarted));
    (said || seen).then_some(Doubtful::Start)
}
