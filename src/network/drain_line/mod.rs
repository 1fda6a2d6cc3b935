//! The shared drain line: part full, full, or drowned by the sump.

mod newton;
mod search;
mod settle;
mod siphons;
mod slopes;
mod thin;

use crate::hydraulics::circular::full_area;
use crate::hydraulics::circular::{CAPACITY_RATIO, full_flow};
use crate::hydraulics::circular_curves::{depth_at_outfall, uniform_depth};
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::friction::{friction_number, turbulent_reynolds};
use crate::hydraulics::junction::square_entry_rise;
use crate::model::{Coefficient, CoefficientValues, DrainLine, DrainTarget, System};
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use smallvec::{SmallVec, smallvec};
use std::ops::Range;

/// One for each bed, or for each junction: of as many as most gardens have none is allocated, for
/// a line is settled millions of times in a plan.
type Each<T> = SmallVec<[T; 8]>;

/// The line at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineState {
    /// Flow at its lower end `[m3/s]`; negative: the sump runs back into it.
    pub flow: f64,
    /// Depth over diameter just above the junction where it is fullest; 1 under pressure `[-]`.
    pub fill: f64,
    /// A bed that joins there.
    pub fullest: usize,
    /// Hydraulic grade at its upper end `[m]`.
    pub upper_grade: f64,
    /// How far the grade stands over the crown where that is most, at a junction, or the
    /// share by which the flow passes the capacity times the bore, whichever is more `[m]`;
    /// positive: surcharged.
    pub pressure_head: f64,
}

/// Beds that join at one place.
#[derive(Debug, Clone)]
struct Junction {
    at: f64,
    members: Range<usize>,
}

/// One pipe's ways of carrying water.
#[derive(Debug, Clone, Copy)]
struct Bore {
    bore: f64,
    area: f64,
    /// Flow of the just-full section by Manning `[m3/s]`.
    full: f64,
    /// Flow from which Manning's friction is the greater for sure `[m3/s]`.
    rough_from: f64,
}

/// The drain line with definite values of Manning's n and of the entry factor.
///
/// Uniform flow between junctions or the grade of what lies below, whichever is higher;
/// no storage in the line. Fittings act at the lower end.
#[derive(Debug, Clone)]
pub struct DrainLineLaw {
    line: DrainLine,
    viscosity: f64,
    manning: f64,
    /// Share of the momentum that a square lateral lacks `[-]`.
    entry: f64,
    /// Beds on the line by rising distance from the outlet: `(bed, distance)`.
    beds: Vec<(usize, f64)>,
    junctions: Vec<Junction>,
    whole: Bore,
    /// Below the lowest junction, where a blockage narrows it.
    lowest: Bore,
    /// Most that gets through by gravity `[m3/s]`.
    capacity: f64,
    /// Nothing gets through to the outlet.
    shut: bool,
    /// Siphons and line agree to this share of the largest flow `[-]`.
    agreement: f64,
}

/// As closely as rounding lets siphons and line agree, and as closely as rough steps need it.
const AGREEMENT: f64 = 1e-13;
const ROUGH_AGREEMENT: f64 = 1e-10;

/// Least length of a blockage, in bores.
const BLOCKED_BORES: f64 = 10.0;
/// Open share of the area below which the line counts as shut.
const SHUT: f64 = 1e-6;

/// What it costs to look at one junction or siphon by itself (see [`effort`]).
const A_LOOK: u64 = 1;

/// A grade this far below an outlet is below it for sure, its tables being what they are `[m]`.
const HAIR: f64 = 1e-5;

/// What is greater by this factor is so in spite of rounding.
const SURELY: f64 = 1.0 + 1e-9;

impl DrainLineLaw {
    /// The line of `system` with the given coefficient values; `None` without a line.
    pub fn new(system: &System, values: &CoefficientValues) -> Option<Self> {
        let line = system.drain_line.clone()?;
        let mut beds: Vec<(usize, f64)> = system
            .beds
            .iter()
            .enumerate()
            .filter_map(|(i, bed)| match bed.siphon.drain.into {
                DrainTarget::Line { at } => Some((i, at)),
                DrainTarget::Sump => None,
            })
            .collect();
        beds.order_by(|a, b| a.1.total_cmp(&b.1));
        let mut junctions: Vec<Junction> = Vec::new();
        for (k, &(_, at)) in beds.iter().enumerate() {
            match junctions.last_mut() {
                Some(last) if last.at >= at => last.members.end = k + 1,
                _ => junctions.push(Junction {
                    at,
                    members: k..k + 1,
                }),
            }
        }
        let manning = values.get(Coefficient::LineManning);
        let viscosity = system.water.kinematic_viscosity();
        let whole = Bore::new(&line, line.run.bore, manning, viscosity);
        Some(Self {
            viscosity,
            manning,
            entry: values.get(Coefficient::JunctionEntry),
            beds,
            junctions,
            whole,
            lowest: whole,
            capacity: CAPACITY_RATIO * whole.full,
            shut: false,
            agreement: AGREEMENT,
            line,
        })
    }

    /// For steps that make errors a thousand times those that are left so.
    pub fn roughly(self) -> Self {
        Self {
            agreement: ROUGH_AGREEMENT,
            ..self
        }
    }

    /// Leaves only the share `open` (0 to 1) of the bore's area free below the lowest
    /// junction, over ten bores at least. Of a line that is shut nothing comes out; from bed to
    /// bed water still passes.
    pub fn narrow(&mut self, open: f64) {
        self.shut = open < SHUT;
        let bore = self.line.run.bore * open.clamp(SHUT, 1.0).sqrt();
        self.lowest = Bore::new(&self.line, bore, self.manning, self.viscosity);
        self.capacity = if self.shut {
            0.0
        } else {
            CAPACITY_RATIO * self.lowest.full
        };
    }

    /// Most it carries by gravity, at 0.938 of its diameter `[m3/s]` (Manning); nothing when shut.
    pub fn capacity(&self) -> f64 {
        self.capacity
    }

    /// What it carries half full `[m3/s]` (Manning); nothing when shut.
    pub fn half_full(&self) -> f64 {
        0.5 * self.capacity / CAPACITY_RATIO
    }

    /// Whether nothing gets through to the outlet.
    pub fn is_shut(&self) -> bool {
        self.shut
    }

    fn is_narrowed(&self) -> bool {
        self.lowest.bore < self.whole.bore
    }

    /// Beds on the line and their distance from its outlet `[m]`, nearest first.
    pub fn junctions(&self) -> &[(usize, f64)] {
        &self.beds
    }

    /// Grade at every junction for siphon flows `flows` (by bed) `[m3/s]`, written
    /// to `grades` (by bed) `[m]`.
    ///
    /// From the outlet up: the higher of the surface at normal depth and the grade that
    /// friction carries up, and at every junction what a square entry adds, see
    /// [`square_entry_rise`]. A bed looks at the grade just above its junction.
    pub fn grades(&self, flows: &[f64], sump_level: f64, grades: &mut [f64]) -> LineState {
        self.climb(flows, sump_level, grades, |_| ())
    }

    /// The same, every junction seen on the way.
    fn climb(
        &self,
        flows: &[f64],
        sump_level: f64,
        grades: &mut [f64],
        mut seen: impl FnMut(Foot),
    ) -> LineState {
        effort::spend(self.junctions.len() as u64);
        let total: f64 = self.beds.iter().map(|&(bed, _)| flows[bed]).sum();
        let mut climb = Climb::new(self, total, sump_level);
        for (k, junction) in self.junctions.iter().enumerate() {
            let beds = &self.beds[junction.members.clone()];
            let joining: f64 = beds.iter().map(|&(bed, _)| flows[bed]).sum();
            let foot = climb.foot(k, joining);
            climb.pass(k, joining, foot.grade);
            for &(bed, _) in beds {
                grades[bed] = foot.grade;
            }
            seen(foot);
        }
        climb.finish()
    }

    /// How it stands with these flows, as in [`grades`](Self::grades), if every grade is below the
    /// siphons' own outlet elevations `outlets` (by bed) `[m]` by a hair's breadth at least.
    pub fn below(&self, outlets: &[f64], flows: &[f64], sump_level: f64) -> Option<LineState> {
        let mut grades: Each<f64> = smallvec![f64::NEG_INFINITY; flows.len()];
        let state = self.grades(flows, sump_level, &mut grades);
        let below = |&(bed, _): &(usize, f64)| grades[bed] + HAIR < outlets[bed];
        (!self.shut && self.beds.iter().all(below)).then_some(state)
    }

    /// Elevation of its outlet's invert `[m]`.
    pub fn outlet(&self) -> f64 {
        self.line.outlet
    }

    /// Friction per length `[-]`: the greater of Darcy and Manning in the full bore, so
    /// that one line has one resistance; odd in `q` `[m3/s]`. And its change with the flow `[s/m3]`.
    fn friction(&self, pipe: &Bore, q: f64) -> (f64, f64) {
        let size = q.abs();
        let d = pipe.bore;
        let manning = self.line.slope * (size / pipe.full).powi(2);
        let rough = (manning.copysign(q), 2.0 * manning / size);
        if size >= pipe.rough_from {
            return rough;
        }
        let reynolds = size * d / (pipe.area * self.viscosity);
        let (number, gain) = friction_number(reynolds, self.line.run.roughness / d);
        let darcy = number * self.viscosity * self.viscosity / (2.0 * GRAVITY * d * d * d);
        // At rest, too: the least flow finds this slope.
        if darcy >= manning {
            let by_flow = gain * self.viscosity / (2.0 * GRAVITY * d * d * pipe.area);
            (darcy.copysign(q), by_flow)
        } else {
            rough
        }
    }

    /// The pipe below junction `k`, and its length down to the next or the outlet `[m]`.
    fn stretch(&self, k: usize) -> (&Bore, f64) {
        let at = self.junctions[k].at;
        if k > 0 {
            return (&self.whole, at - self.junctions[k - 1].at);
        }
        let least = if self.is_narrowed() {
            BLOCKED_BORES * self.whole.bore
        } else {
            0.0
        };
        (&self.lowest, at.max(least))
    }

    /// Grade at the outlet `[m]` with `q` `[m3/s]` leaving there: the sump if that is higher;
    /// else the centre, less with too little water to stand there, more where uniform
    /// flow stands deeper, the crown when the line runs full.
    fn outlet_grade(&self, q: f64, sump_level: f64) -> f64 {
        let pipe = &self.lowest;
        let brink = depth_at_outfall(pipe.bore, q);
        let depth = uniform_depth(pipe.bore, pipe.full, q).max(brink);
        let velocity = q / pipe.area;
        (self.line.outlet + depth).max(sump_level)
            + self.line.run.k * velocity * velocity.abs() / (2.0 * GRAVITY)
    }
}

impl Bore {
    fn new(line: &DrainLine, bore: f64, manning: f64, viscosity: f64) -> Self {
        let area = full_area(bore);
        let full = full_flow(bore, line.slope, manning);
        // Manning's friction is that of one friction factor, Darcy's falls with the flow.
        let factor = line.slope * 2.0 * GRAVITY * bore * (area / full).powi(2);
        let reynolds = turbulent_reynolds(factor, line.run.roughness / bore);
        Self {
            bore,
            area,
            full,
            rough_from: SURELY * reynolds * area * viscosity / bore,
        }
    }
}

/// The way up the line, from junction to junction.
struct Climb<'a> {
    law: &'a DrainLineLaw,
    /// Flow and grade where it has come to, above the junctions passed.
    flow: f64,
    grade: f64,
    last: Option<Stretch>,
    state: LineState,
}

/// The last stretch between junctions and its flow.
#[derive(Debug, Clone, Copy)]
struct Stretch {
    flow: f64,
    /// Friction per length `[-]` and its change with the flow `[s/m3]`.
    friction: (f64, f64),
    /// Normal depth `[m]`.
    depth: f64,
}

/// A junction as the way up came to it.
#[derive(Debug, Clone, Copy)]
struct Foot {
    /// Grade above the junction before, or at the outlet `[m]`.
    under: f64,
    below: Below,
    /// What comes in there `[m3/s]`.
    joining: f64,
    /// Grade just above it `[m]`.
    grade: f64,
}

/// Just below a junction.
#[derive(Debug, Clone, Copy)]
struct Below {
    bore: f64,
    entry: f64,
    grade: f64,
    depth: f64,
    stretch: Stretch,
}

impl Below {
    /// Whether what joins takes of the momentum of what passes.
    fn takes(&self, joining: f64) -> bool {
        joining > 0.0 && self.entry > 0.0 && self.stretch.flow > 0.0
    }

    /// Grade just above it, `joining` `[m3/s]` coming in `[m]`.
    fn above(&self, joining: f64) -> f64 {
        if !self.takes(joining) {
            return self.grade;
        }
        let up = self.stretch.flow - joining;
        self.grade + self.entry * square_entry_rise(self.bore, self.depth, self.stretch.flow, up)
    }
}

impl<'a> Climb<'a> {
    fn new(law: &'a DrainLineLaw, total: f64, sump_level: f64) -> Self {
        let over = if law.shut { 0.0 } else { total / law.capacity };
        Self {
            law,
            flow: total,
            grade: law.outlet_grade(total, sump_level),
            last: None,
            state: LineState {
                flow: total,
                fill: 0.0,
                fullest: law.beds.first().map_or(0, |first| first.0),
                upper_grade: f64::NEG_INFINITY,
                pressure_head: law.whole.bore * (over - 1.0),
            },
        }
    }

    /// On the way to a junction with the flow below it and the grade above the junction before.
    fn from(law: &'a DrainLineLaw, flow: f64, grade: f64) -> Self {
        let mut climb = Self::new(law, 0.0, grade);
        (climb.flow, climb.grade) = (flow, grade);
        climb
    }

    /// Comes to junction `k` from below.
    fn reach(&mut self, k: usize) -> Below {
        let law = self.law;
        let at = law.junctions[k].at;
        let (pipe, length) = law.stretch(k);
        let q = self.flow;
        let alike = |last: &Stretch| last.flow == q && !(k == 1 && law.is_narrowed());
        let stretch = self.last.filter(alike).unwrap_or_else(|| Stretch {
            flow: q,
            friction: law.friction(pipe, q),
            depth: uniform_depth(pipe.bore, pipe.full, q),
        });
        self.last = Some(stretch);
        let invert = law.line.invert(at);
        let grade = (self.grade + stretch.friction.0 * length).max(invert + stretch.depth);
        Below {
            bore: law.whole.bore,
            entry: law.entry,
            grade,
            depth: grade - invert,
            stretch,
        }
    }

    /// Comes to junction `k`, where `joining` `[m3/s]` comes in.
    fn foot(&mut self, k: usize, joining: f64) -> Foot {
        let under = self.grade;
        let below = self.reach(k);
        Foot {
            under,
            below,
            joining,
            grade: below.above(joining),
        }
    }

    /// Goes past junction `k`, above which the grade is `grade` `[m]`.
    fn pass(&mut self, k: usize, joining: f64, grade: f64) {
        let junction = &self.law.junctions[k];
        let d = self.law.whole.bore;
        let depth = grade - self.law.line.invert(junction.at);
        let fill = (depth / d).clamp(0.0, 1.0);
        if fill > self.state.fill {
            self.state.fill = fill;
            self.state.fullest = self.law.beds[junction.members.start].0;
        }
        self.state.pressure_head = self.state.pressure_head.max(depth - d);
        self.flow -= joining;
        // What only rounding left would stand surprisingly deep: depth goes with q^(6/13).
        if self.flow.abs() <= 8.0 * f64::EPSILON * self.state.flow.abs() {
            self.flow = 0.0;
        }
        self.grade = grade;
    }

    fn finish(mut self) -> LineState {
        let top = self.law.line.invert(self.law.line.run.length);
        self.state.upper_grade = self.grade.max(top);
        self.state
    }
}

impl LineState {
    /// Whether it is under pressure at a junction, or has more flow than it carries by gravity.
    pub fn surcharged(&self) -> bool {
        self.pressure_head > 0.0
    }
}
