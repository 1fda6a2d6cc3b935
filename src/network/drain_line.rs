//! The shared drain line: part full, full, or drowned by the sump.

use crate::hydraulics::circular::{capacity, half_full_flow, normal_depth};
use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::friction::darcy_friction_factor;
use crate::model::{DrainLine, DrainTarget, System};
use crate::numerics::root::brent;
use nalgebra::{DMatrix, DVector};

/// The line at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineState {
    /// Flow at its lower end `[m3/s]`.
    pub flow: f64,
    /// Depth over diameter where it is fullest; 1 under pressure `[-]`.
    pub fill: f64,
    /// Hydraulic grade at its upper end `[m]`.
    pub upper_grade: f64,
    /// Darcy grade above the crown where it is highest, at a junction or the
    /// upper end `[m]`; positive: under pressure there.
    pub pressure_head: f64,
}

/// The drain line with one value of Manning's n.
///
/// Assumes uniform flow between junctions, no storage in the line, and no loss
/// at the junctions themselves; fittings act at the lower end.
#[derive(Debug, Clone)]
pub struct DrainLineLaw {
    line: DrainLine,
    viscosity: f64,
    manning: f64,
    area: f64,
    /// Beds on the line by rising distance from the outlet: `(bed, distance)`.
    junctions: Vec<(usize, f64)>,
    capacity: f64,
    half_full: f64,
    /// Share of the bore that is open, 0 to 1.
    open: f64,
}

/// Where one stretch of the line stands.
struct Stretch {
    grade: f64,
    fill: f64,
    pressure_head: f64,
}

impl DrainLineLaw {
    /// The line of `system` with Manning's `manning` `[s/m^(1/3)]`; `None` without a line.
    pub fn new(system: &System, manning: f64) -> Option<Self> {
        let line = system.drain_line.clone()?;
        let mut junctions: Vec<(usize, f64)> = system
            .beds
            .iter()
            .enumerate()
            .filter_map(|(i, bed)| match bed.siphon.drain.into {
                DrainTarget::Line { at } => Some((i, at)),
                DrainTarget::Sump => None,
            })
            .collect();
        junctions.sort_by(|a, b| a.1.total_cmp(&b.1));
        let mut law = Self {
            viscosity: system.water.kinematic_viscosity(),
            manning,
            area: line.run.area(),
            junctions,
            capacity: 0.0,
            half_full: 0.0,
            open: 1.0,
            line,
        };
        law.narrow(1.0);
        Some(law)
    }

    /// Leaves only the share `open` (0 to 1) of the bore's area free.
    pub fn narrow(&mut self, open: f64) {
        self.open = open.clamp(1e-6, 1.0);
        let (d, s) = (self.bore(), self.line.slope);
        self.area = std::f64::consts::FRAC_PI_4 * d * d;
        self.capacity = capacity(d, s, self.manning);
        self.half_full = half_full_flow(d, s, self.manning);
    }

    /// Diameter of a round pipe with the open area `[m]`.
    fn bore(&self) -> f64 {
        self.line.run.bore * self.open.sqrt()
    }

    /// Most it carries by gravity, at 0.938 of its diameter `[m3/s]` (Manning).
    pub fn capacity(&self) -> f64 {
        self.capacity
    }

    /// What it carries half full `[m3/s]` (Manning).
    pub fn half_full(&self) -> f64 {
        self.half_full
    }

    /// Beds on the line and their distance from its outlet `[m]`, nearest first.
    pub fn junctions(&self) -> &[(usize, f64)] {
        &self.junctions
    }

    /// Grade at every junction for siphon flows `flows` (by bed) `[m3/s]`, written
    /// to `grades` (by bed) `[m]`.
    ///
    /// The higher of the normal-depth surface and the Darcy grade carried up
    /// from the outlet's centre or the sump, whichever is higher.
    pub fn grades(&self, flows: &[f64], sump_level: f64, grades: &mut [f64]) -> LineState {
        let total: f64 = self.junctions.iter().map(|&(bed, _)| flows[bed]).sum();
        let d = self.bore();
        let velocity_head = (total / self.area).powi(2) / (2.0 * GRAVITY);
        let mut darcy =
            (self.line.outlet + 0.5 * d).max(sump_level) + self.line.run.k * velocity_head;
        let mut state = LineState {
            flow: total,
            fill: 0.0,
            upper_grade: f64::NEG_INFINITY,
            pressure_head: f64::NEG_INFINITY,
        };
        let mut here = 0.0;
        let mut flow = total;
        let mut i = 0;
        while i < self.junctions.len() {
            let (_, at) = self.junctions[i];
            let stretch = self.stretch(flow, at, at - here, &mut darcy);
            here = at;
            while i < self.junctions.len() && self.junctions[i].1 <= at {
                let bed = self.junctions[i].0;
                grades[bed] = stretch.grade;
                flow -= flows[bed];
                i += 1;
            }
            state.note(&stretch);
        }
        let top = self.stretch(
            flow.max(0.0),
            self.line.run.length,
            self.line.run.length - here,
            &mut darcy,
        );
        state.note(&top);
        state.upper_grade = top.grade;
        state
    }

    /// Carries the Darcy grade up `length` of pipe to `x` and stands it against normal depth.
    fn stretch(&self, flow: f64, x: f64, length: f64, darcy: &mut f64) -> Stretch {
        let d = self.bore();
        let q = flow.max(0.0);
        if q > 0.0 && length > 0.0 {
            let v = q / self.area;
            let friction =
                darcy_friction_factor(v * d / self.viscosity, self.line.run.roughness / d);
            *darcy += friction / d * v * v / (2.0 * GRAVITY) * length;
        }
        let invert = self.line.invert(x);
        let depth = if q > 0.0 {
            normal_depth(d, self.line.slope, self.manning, q)
        } else {
            0.0
        };
        let grade = darcy.max(invert + depth);
        let pressure_head = *darcy - (invert + d);
        let fill = if pressure_head > 0.0 {
            1.0
        } else {
            ((grade - invert) / d).clamp(0.0, 1.0)
        };
        Stretch {
            grade,
            fill,
            pressure_head,
        }
    }

    /// Settles siphon flows and line together.
    ///
    /// `demand(bed, tail)` is what a siphon gives against a tail level; it must
    /// not rise with `tail`. On return `flows` and `tails` (both by bed) agree
    /// with each other to rounding for every bed on the line; `outlets` are the
    /// siphons' own outlet elevations.
    pub fn settle(
        &self,
        sump_level: f64,
        outlets: &[f64],
        demand: &dyn Fn(usize, f64) -> f64,
        flows: &mut [f64],
        tails: &mut [f64],
    ) -> LineState {
        for &(bed, _) in &self.junctions {
            flows[bed] = demand(bed, outlets[bed]);
        }
        let mut grades = vec![f64::NEG_INFINITY; flows.len()];
        let mut state = self.grades(flows, sump_level, &mut grades);
        let backed_up = self
            .junctions
            .iter()
            .any(|&(bed, _)| flows[bed] > 0.0 && grades[bed] > outlets[bed]);
        if backed_up {
            let active: Vec<usize> = self
                .junctions
                .iter()
                .map(|j| j.0)
                .filter(|&bed| flows[bed] > 0.0)
                .collect();
            self.relax(sump_level, outlets, demand, &active, flows);
            state = self.grades(flows, sump_level, &mut grades);
        }
        for &(bed, _) in &self.junctions {
            tails[bed] = grades[bed].max(outlets[bed]);
        }
        state
    }

    /// Solves `q = demand(tail(q))` for the active beds.
    fn relax(
        &self,
        sump_level: f64,
        outlets: &[f64],
        demand: &dyn Fn(usize, f64) -> f64,
        active: &[usize],
        flows: &mut [f64],
    ) {
        let free: Vec<f64> = active.iter().map(|&bed| flows[bed]).collect();
        let mut grades = vec![f64::NEG_INFINITY; flows.len()];
        let mut miss = |flows: &[f64]| -> DVector<f64> {
            let _ = self.grades(flows, sump_level, &mut grades);
            DVector::from_iterator(
                active.len(),
                active
                    .iter()
                    .map(|&bed| flows[bed] - demand(bed, grades[bed].max(outlets[bed]))),
            )
        };
        let largest = free.iter().copied().fold(0.0, f64::max);
        let close = 1e-13 * largest;
        if active.len() > 1 {
            let m = active.len();
            let mut now = miss(flows);
            for _ in 0..40 {
                if now.amax() <= close {
                    return;
                }
                let mut jacobian = DMatrix::zeros(m, m);
                for c in 0..m {
                    let old = flows[active[c]];
                    let step = 1e-7 * largest;
                    flows[active[c]] = old - step;
                    let moved = miss(flows);
                    flows[active[c]] = old;
                    jacobian.set_column(c, &((&now - moved) / step));
                }
                let Some(change) = jacobian.lu().solve(&now) else {
                    break;
                };
                let old: Vec<f64> = active.iter().map(|&bed| flows[bed]).collect();
                let mut share = 1.0;
                let better = loop {
                    for (r, &bed) in active.iter().enumerate() {
                        flows[bed] = (old[r] - share * change[r]).clamp(0.0, free[r]);
                    }
                    let next = miss(flows);
                    if next.norm() < (1.0 - 1e-4 * share) * now.norm() {
                        break Some(next);
                    }
                    share *= 0.5;
                    if share < 1e-4 {
                        break None;
                    }
                };
                match better {
                    Some(next) => now = next,
                    None => {
                        active
                            .iter()
                            .zip(&old)
                            .for_each(|(&bed, &q)| flows[bed] = q);
                        break;
                    }
                }
            }
            if now.amax() <= 1e-9 * largest {
                return;
            }
        }
        // One siphon alone, or Newton held up at a bend: each flow in turn is a
        // monotone bracketed root; halving the correction keeps the rounds from cycling.
        let rounds = if active.len() == 1 { 1 } else { 200 };
        for _ in 0..rounds {
            let mut moved = 0.0_f64;
            for (r, &bed) in active.iter().enumerate() {
                let old = flows[bed];
                let root = brent(
                    |q| {
                        flows[bed] = q;
                        miss(flows)[r]
                    },
                    0.0,
                    free[r],
                    1e-16,
                )
                .unwrap_or(old);
                flows[bed] = if active.len() == 1 {
                    root
                } else {
                    0.5 * (old + root)
                };
                moved = moved.max((flows[bed] - old).abs());
            }
            if moved <= close {
                return;
            }
        }
    }
}

impl LineState {
    fn note(&mut self, stretch: &Stretch) {
        self.fill = self.fill.max(stretch.fill);
        self.pressure_head = self.pressure_head.max(stretch.pressure_head);
    }

    /// Whether it is under pressure at a junction or its upper end.
    pub fn surcharged(&self) -> bool {
        self.pressure_head > 0.0
    }
}
