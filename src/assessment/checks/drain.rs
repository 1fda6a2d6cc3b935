//! The shared drain line: what it carries.

use crate::assessment::checks::fall::{self, line_fall};
use crate::assessment::checks::line_slope::OVER_INVERT;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::levers::{any_line_blocked, line_cleared, line_of};
use crate::assessment::parts::settled_tails;
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::hydraulics::circular;
use crate::model::{Band, Coefficient, DrainLine, DrainTarget};
use crate::model::{Change, Quantity};
use crate::network::drain_line::DrainLineLaw;
use crate::simulation::Regime;
use crate::units::amounts::{self, Side};

/// Depth over diameter that drains are laid for at most, by plumbing practice `[-]`.
const HALF_FULL: f64 = 0.5;

/// More than the largest siphon by this share means that several run at once.
const MEETING: f64 = 0.02;

/// What the drain line took and what it carries.
#[derive(Debug, Clone, PartialEq)]
pub struct DrainLineWhy {
    /// Greatest flow of the run `[m3/s]`.
    pub peak: f64,
    /// What it carries by gravity `[m3/s]`.
    pub capacity: f64,
    /// What it carries half full `[m3/s]`.
    pub half_full: f64,
    /// Depth over bore at its fullest and the bed there; `None` past its capacity `[-]`.
    pub fill: Option<(Band, usize)>,
    /// What all its siphons together would bring, where that is more than it carries `[m3/s]`.
    pub together: Option<f64>,
    /// Beds whose break level its water then passes.
    pub held: Vec<usize>,
    /// Beds that it pushed water up into.
    pub came_up: Vec<CameUp>,
    /// Beds that it could push water up into.
    pub may_come_up: Vec<MayComeUp>,
}

impl DrainLineWhy {
    /// Whether it gets fuller than the half by plumbing practice, within what is uncertain of it.
    pub fn is_over_half(&self) -> bool {
        let fill = self.fill.as_ref();
        fill.is_none_or(|(fill, _)| fill.high > HALF_FULL)
    }

    /// Whether it may run full, so that its water backs up.
    pub fn may_run_full(&self) -> bool {
        self.fill.as_ref().is_none_or(|(fill, _)| fill.high >= 1.0)
    }
}

/// Water that came back up a drain in the run.
#[derive(Debug, Clone, PartialEq)]
pub struct CameUp {
    /// Bed that it came into.
    pub into: usize,
    /// Bed whose siphon it came from; `None`: the sump.
    pub from: Option<usize>,
    /// For how long `[s]`.
    pub time: f64,
    /// Greatest flow `[m3/s]`.
    pub peak: f64,
    /// Whether it went over that bed's wall.
    pub over_wall: bool,
}

/// Water that can come back up a drain while all siphons run.
#[derive(Debug, Clone, PartialEq)]
pub struct MayComeUp {
    /// Bed that it can come into.
    pub into: usize,
    /// Bed whose siphon pushes it; `None`: the sump.
    pub from: Option<usize>,
}

/// All siphons of the line running together.
struct Together {
    /// What they give with nothing in their way `[m3/s]`.
    free: f64,
    /// What runs at once as things are: all of them where beds have met, else the largest `[m3/s]`.
    usual: f64,
    /// Beds whose break level the line's water then passes.
    held: Vec<usize>,
    /// Beds over whose lip the line's water then stands.
    flooded: Vec<usize>,
}

impl Together {
    fn new(facts: &Facts) -> Self {
        let parts = &facts.parts;
        let gives: Vec<f64> = members(facts)
            .map(|i| full_flow(facts, i, parts.outlets[i]))
            .collect();
        let free = gives.iter().sum();
        let largest = gives.iter().copied().fold(0.0, f64::max);
        let peak = parts.run.line.map_or(0.0, |line| line.peak_flow);
        // A line that is over its capacity holds its siphons back: they would give more.
        let throttled = parts.run.line.is_some_and(|line| peak > line.capacity);
        let met =
            throttled || peak > (1.0 + MEETING) * largest || !parts.run.coincidences.is_empty();
        // Beds that never stop draining come on top of the one that runs.
        let endless: f64 = members(facts).map(|i| parts.endless_flow(i)).sum();
        let tails = parts.line.as_ref().map(|line| tails(facts, line));
        let over = |level: &dyn Fn(usize) -> f64| -> Vec<usize> {
            let passed = |&i: &usize| tails.as_ref().is_some_and(|tails| tails[i] > level(i));
            members(facts).filter(passed).collect()
        };
        Self {
            free,
            usual: if met {
                free
            } else {
                peak.max((largest + endless).min(free))
            },
            held: over(&|i| parts.nominal[i].break_level(parts.outlets[i])),
            flooded: over(&|i| parts.nominal[i].lip()),
        }
    }
}

/// Beds that drain into the line.
fn members(facts: &Facts) -> impl Iterator<Item = usize> {
    let parts = &facts.parts;
    (0..parts.count()).filter(|&i| parts.on_line(i))
}

/// What the siphon of bed `i` gives at its peak against `tail` `[m3/s]`.
fn full_flow(facts: &Facts, i: usize, tail: f64) -> f64 {
    let (parts, law) = (&facts.parts, &facts.parts.nominal[i]);
    law.full_flow(parts.simulated_peak(i).max(law.start_level(0.0)) - tail)
}

/// What the siphons look at in `line` while all of them run `[m]`.
fn tails(facts: &Facts, line: &DrainLineLaw) -> Vec<f64> {
    let parts = &facts.parts;
    let demand = |i: usize, tail: f64| full_flow(facts, i, tail);
    settled_tails(line, parts.run.sump.level.max, &parts.outlets, &demand)
}

/// Whether the water of `line` passes the break level of no bed while all siphons run.
fn holds_none(facts: &Facts, line: &DrainLineLaw) -> bool {
    let parts = &facts.parts;
    let tails = tails(facts, line);
    members(facts).all(|i| tails[i] <= parts.nominal[i].break_level(parts.outlets[i]))
}

/// Beds into which the line pushed water in this run.
fn pushed_up(facts: &Facts) -> impl Iterator<Item = usize> {
    members(facts).filter(|&i| facts.parts.run.beds[i].came_up.is_some())
}

/// Whether every bed on the line cycles in the run and keeps its water, or gets too little to start
/// whatever the line does, and no water of the line can stand over a lip or a break level.
fn copes(facts: &Facts, together: &Together) -> bool {
    let free = together.held.is_empty() && together.flooded.is_empty();
    free && members(facts).all(|i| {
        let bed = &facts.parts.run.beds[i];
        let cycles = bed.regime_powered == Regime::Cycles || starved(facts, i);
        cycles && bed.overflowed <= 0.0
    })
}

/// Whether bed `i` dribbles or stays empty for want of water of its own.
fn starved(facts: &Facts, i: usize) -> bool {
    let regime = facts.parts.run.beds[i].regime_powered;
    matches!(regime, Regime::Dribbles | Regime::NeverFills)
        && facts.beds[i].at_start.flow < facts.parts.nominal[i].start_flow()
}

/// Peak flow against what the line carries by gravity.
pub(super) fn drain_line(facts: &Facts) -> Option<Check> {
    let parts = &facts.parts;
    let outcome = parts.run.line?;
    let together = Together::new(facts);
    let value = outcome.peak_flow;
    let limit = outcome.capacity;
    let comes_up = pushed_up(facts).next().is_some();
    // At the rough end of the band: what runs full goes with 1 / n.
    let least = limit * parts.band(Coefficient::LineManning).nominal
        / parts.band(Coefficient::LineManning).high;
    // What the plumber's rule gives a line is a rule of thumb while its siphons cope with it.
    let over = value > limit;
    let status = if comes_up || any_line_blocked(facts) || over && !copes(facts, &together) {
        Status::Fail
    } else if over
        || outcome.fill.high > HALF_FULL
        || value.max(together.free) > least
        || !together.held.is_empty()
        || !together.flooded.is_empty()
    {
        Status::Warn
    } else {
        Status::Pass
    };
    let why = Why::DrainLine(DrainLineWhy {
        peak: value,
        capacity: limit,
        half_full: outcome.half_full,
        fill: (value <= limit).then_some((outcome.fill, outcome.fullest_bed)),
        together: (together.free > limit).then_some(together.free),
        held: together.held.clone(),
        came_up: came_up(facts),
        may_come_up: may_come_up(facts, &together),
    });
    Some(Check {
        id: CheckId::DrainLine,
        subject: Subject::DrainLine,
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::CubicMetrePerSecond,
        why,
        basis: "plumbing practice: drains at most half full; Manning with n 0.009 to 0.010; momentum at square entries",
    })
}

/// Where the line pushed water up in this run.
fn came_up(facts: &Facts) -> Vec<CameUp> {
    let outcome = |i: usize| &facts.parts.run.beds[i];
    pushed_up(facts)
        .filter_map(|i| {
            let came = outcome(i).came_up?;
            Some(CameUp {
                into: i,
                from: came.from,
                time: came.time,
                peak: came.peak_flow,
                over_wall: outcome(i).overflowed > 0.0,
            })
        })
        .collect()
}

/// Where it could with all siphons running.
fn may_come_up(facts: &Facts, together: &Together) -> Vec<MayComeUp> {
    let parts = &facts.parts;
    let flooded = together.flooded.iter().copied();
    flooded
        .filter(|&i| parts.run.beds[i].came_up.is_none())
        .map(|i| MayComeUp {
            into: i,
            from: members(facts)
                .filter(|&j| j != i)
                .max_by(|&a, &b| parts.simulated_peak(a).total_cmp(&parts.simulated_peak(b))),
        })
        .collect()
}

/// How full `line` stands with what runs at once now `[-]`, its outlet free.
fn fill(facts: &Facts, line: &DrainLineLaw, together: &Together) -> f64 {
    let parts = &facts.parts;
    let fullest = |flow: &dyn Fn(usize) -> f64| {
        let mut flows = vec![0.0; parts.count()];
        members(facts).for_each(|i| flows[i] = flow(i));
        let mut grades = vec![0.0; parts.count()];
        line.grades(&flows, f64::NEG_INFINITY, &mut grades).fill
    };
    let free = |i: usize| full_flow(facts, i, parts.outlets[i]);
    if together.usual >= together.free {
        return fullest(&free);
    }
    // One siphon at a time, on top of the beds that never stop draining.
    let one = |run: usize| {
        fullest(&|i: usize| {
            if i == run {
                free(i)
            } else {
                parts.endless_flow(i)
            }
        })
    };
    members(facts).map(one).fold(0.0, f64::max)
}

/// What [`drain_line`] advises where the line's size is the cause.
pub(super) fn wider_line(facts: &Facts) -> Option<Vec<Fix>> {
    let line = facts.parts.system.drain_line.as_ref()?;
    (!drowned(facts, line)).then(|| fixes(facts))
}

/// Whether the sump's water fills the outlet of the line: no size then helps.
fn drowned(facts: &Facts, line: &DrainLine) -> bool {
    facts.parts.run.sump.level.max >= line.outlet + line.run.bore
}

/// Ways to give every siphon at once enough room, half full at most with what runs now.
pub(super) fn fixes(facts: &Facts) -> Vec<Fix> {
    let Some(line) = &facts.parts.system.drain_line else {
        return Vec::new();
    };
    if let Some(clear) = line_cleared(facts) {
        return vec![clear];
    }
    if drowned(facts, line) {
        return vec![Fix::hint(Hint::ClearLineOutlet)];
    }
    let together = Together::new(facts);
    let roughest = facts.parts.band(Coefficient::LineManning).high;
    let coefficients = &facts.parts.system.coefficients;
    let (values, worst) = (
        coefficients.nominal(),
        coefficients.line_at(|band| band.high),
    );
    let mut system = facts.parts.system.clone();
    let mut enough = |bore: f64, slope: f64| {
        let carries = circular::capacity(bore, slope, roughest) >= together.free;
        if let Some(line) = &mut system.drain_line {
            line.run.bore = bore;
            line.slope = slope;
        }
        carries
            && DrainLineLaw::new(&system, &worst)
                .is_some_and(|line| fill(facts, &line, &together) <= HALF_FULL)
            && DrainLineLaw::new(&system, &values).is_some_and(|line| holds_none(facts, &line))
    };
    let mut ways = Vec::new();
    // Whole tenths of a per cent, as they are printed.
    let now = (1000.0 * line.slope + 1e-6).floor();
    let steeper = (1..=30)
        .map(|k| (now + f64::from(k)) / 1000.0)
        .find(|&slope| enough(line.run.bore, slope))
        .filter(|&slope| clears(facts, line, slope));
    ways.extend(steeper.map(|slope| Fix::of([Change::set(Quantity::LineSlope, slope)])));
    let bore = (1..=300)
        .map(|k| line.run.bore * (1.0 + 0.03 * f64::from(k)))
        .find(|&bore| enough(bore, line.slope));
    let tape = facts.parts.tape;
    ways.extend(bore.map(|bore| line_of(tape, amounts::bore(tape, bore, Side::Up))));
    if ways.is_empty() {
        ways.push(Fix::hint(Hint::HigherLine));
    }
    if wyes_do(facts, &together)
        && let Some(first) = ways.first_mut()
    {
        first.hints.push(Hint::Wyes);
    }
    ways
}

/// Whether entries along the flow would be enough by themselves.
fn wyes_do(facts: &Facts, together: &Together) -> bool {
    let coefficients = &facts.parts.system.coefficients;
    let along = coefficients
        .line_at(|band| band.high)
        .with(Coefficient::JunctionEntry, 0.0);
    let half_full = facts
        .parts
        .run
        .line
        .is_some_and(|line| line.fill.high > HALF_FULL);
    let enough = |line: DrainLineLaw| {
        line.capacity() >= together.free && fill(facts, &line, together) <= HALF_FULL
    };
    half_full
        && together.held.is_empty()
        && together.flooded.is_empty()
        && DrainLineLaw::new(facts.parts.system, &along).is_some_and(enough)
}

/// What the checks of the line's size and fall advise; none if both pass.
pub(super) fn line_causes(facts: &Facts) -> Vec<Fix> {
    let fails = |check: &Option<Check>| {
        check
            .as_ref()
            .is_some_and(|check| check.status != Status::Pass)
    };
    if fails(&drain_line(facts)) {
        return fixes(facts);
    }
    let fall = line_fall(facts);
    match fall {
        Some(check) if check.status != Status::Pass => fall::line_fixes(facts, check.value),
        _ => Vec::new(),
    }
}

/// Whether every outlet stays above a line of this slope.
fn clears(facts: &Facts, line: &DrainLine, slope: f64) -> bool {
    facts
        .parts
        .beds()
        .iter()
        .all(|bed| match bed.siphon.drain.into {
            DrainTarget::Line { at } => {
                line.outlet + slope * at + OVER_INVERT <= bed.siphon.drain.outlet
            }
            DrainTarget::Sump => true,
        })
}
