//! The fit as a least-squares problem: pulls of the measurements, and of the priors.

use crate::model::System;
use crate::numerics::map_all::map_all;
use crate::simulation::Stepping;
use crate::study::fit::unknown::{Prior, applied};
use crate::study::measure::{
    Measurable, Measured, NoValue, Outlook, Seen, outlook, outlook_by, side_deviance,
};
use nalgebra::{DMatrix, DVector};
use std::sync::{Arc, Mutex, PoisonError};

/// Half step of a central difference, in units of the prior's deviation: far above the
/// engine's error of 1e-5 in a time, far below any bend.
const STEP: f64 = 0.04;
/// Pull counted for a measurement that the model has no value for.
/// Worse than any reading, yet finite, so that the minimiser finds its way back.
const NO_VALUE: f64 = 30.0;
/// How sharply a watch tells on which side of an edge the inflow is, share of the flow.
const EDGE: f64 = 0.03;

/// A limit of the window that what was seen puts the inflow on one side of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    pub bed: usize,
    edge: Measurable,
    above: bool,
}

/// What is compared, on which system, with which unknowns.
pub(super) struct Problem<'a> {
    pub system: &'a System,
    pub priors: &'a [Prior],
    pub measured: &'a Measured,
    pub sides: Vec<Side>,
    last: Mutex<Option<(DVector<f64>, Arc<Around>)>>,
}

/// The model at a place, and with each unknown a little less and more than there.
struct Around {
    here: Option<Outlook>,
    moved: Vec<[Option<Outlook>; 2]>,
}

/// What the model says to everything measured at one place.
pub(super) struct Weighed {
    /// Half the sum of squared pulls, a side that it takes of itself left out.
    pub cost: f64,
    /// The pulls as numbers, those of the priors last.
    pub residuals: DVector<f64>,
}

impl<'a> Problem<'a> {
    pub(super) fn new(system: &'a System, priors: &'a [Prior], measured: &'a Measured) -> Self {
        let mut sides = Vec::new();
        for bed in measured.beds() {
            let side = |edge, above| Side { bed, edge, above };
            match measured.seen(bed) {
                Some(Seen::Cycles) => sides.extend([
                    side(Measurable::StartsAt, true),
                    side(Measurable::BreaksUpTo, false),
                ]),
                Some(Seen::NeverStarted) => sides.push(side(Measurable::StartsAt, false)),
                Some(Seen::NeverBroke) => sides.push(side(Measurable::BreaksUpTo, true)),
                None => {}
            }
        }
        Self {
            system,
            priors,
            measured,
            sides,
            last: Mutex::default(),
        }
    }

    /// The model with its unknowns at `u`; `None` when the simulation gives up.
    pub(super) fn outlook(&self, u: &[f64]) -> Option<Outlook> {
        let (system, values) = applied(self.system, self.priors, u);
        outlook(&system, &values).ok()
    }

    /// The same with steps whose errors nothing measured sees.
    fn rough_outlook(&self, u: &[f64]) -> Option<Outlook> {
        let (system, values) = applied(self.system, self.priors, u);
        outlook_by(&system, &values, Stepping::rough()).ok()
    }

    /// Pulls of figures, then of sides; `None` where the model has no value.
    pub(super) fn pulls(&self, seen: &Outlook) -> Vec<Option<f64>> {
        let figures = self.measured.figures.iter().map(|figure| {
            let value = seen.value(figure.bed, figure.what).ok()?;
            Some((value - figure.value) / figure.sigma)
        });
        let sides = self.sides.iter().map(|side| side_pull(seen, *side).ok());
        figures.chain(sides).collect()
    }

    /// How many pulls there are beside those of the priors.
    pub(super) fn rows(&self) -> usize {
        self.measured.figures.len() + self.sides.len()
    }

    /// The pulls of flows at which siphons were found to run on, whose slopes hold on one side only:
    /// where the air's velocity alone is left, no void moves that limit any more.
    pub(super) fn edge_rows(&self) -> Vec<usize> {
        let figures = self.measured.figures.iter().enumerate();
        figures
            .filter(|(_, figure)| figure.what == Measurable::BreaksUpTo)
            .map(|(row, _)| row)
            .collect()
    }

    /// The pulls as numbers, those of the priors last.
    pub(super) fn residual_vector(&self, u: &DVector<f64>) -> DVector<f64> {
        let pulls = match self.rough_outlook(u.as_slice()) {
            Some(seen) => self.pulls(&seen),
            None => vec![None; self.rows()],
        };
        self.with_priors(pulls, u)
    }

    /// [`cost`](Self::cost), but `None` where the model has no value for what was measured, and a
    /// side that it takes of itself costs nothing.
    pub(super) fn exact_cost(&self, u: &DVector<f64>) -> Option<f64> {
        Some(self.weighed(u)?.cost)
    }

    /// The same with the pulls that it comes from.
    pub(super) fn weighed(&self, u: &DVector<f64>) -> Option<Weighed> {
        let seen = self.rough_outlook(u.as_slice())?;
        let mut squares = u.norm_squared();
        let figures = self.measured.figures.len();
        let pulls = self.pulls(&seen);
        for (k, pull) in pulls.iter().copied().enumerate() {
            let side = k.checked_sub(figures).map(|k| self.sides[k].bed);
            // Where the model does what was seen there is nothing left to doubt: how near an edge
            // the truth lies says nothing against it.
            let does = |bed: usize| seen.seen(bed) == self.measured.seen(bed);
            if !side.is_some_and(does) {
                squares += pull?.powi(2);
            }
        }
        Some(Weighed {
            cost: 0.5 * squares,
            residuals: self.with_priors(pulls, u),
        })
    }

    fn with_priors(&self, pulls: Vec<Option<f64>>, u: &DVector<f64>) -> DVector<f64> {
        let data = pulls.into_iter().map(|pull| pull.unwrap_or(NO_VALUE));
        DVector::from_iterator(self.rows() + u.len(), data.chain(u.iter().copied()))
    }

    /// Half the sum of squared pulls, priors included.
    pub(super) fn cost(&self, u: &DVector<f64>) -> f64 {
        0.5 * self.residual_vector(u).norm_squared()
    }

    /// Change of every quantity that `read` takes from the model with every unknown, by
    /// central differences; one-sided where one side has no value, zero where both lack it.
    pub(super) fn slopes(
        &self,
        u: &DVector<f64>,
        rows: usize,
        read: impl Fn(&Outlook) -> Vec<Option<f64>> + Sync,
    ) -> DMatrix<f64> {
        let around = self.around(u);
        let at = |seen: &Option<Outlook>| {
            let seen = seen.as_ref();
            seen.map_or_else(|| vec![None; rows], &read)
        };
        let here = at(&around.here);
        let columns = around.moved.iter().map(|[low, high]| {
            let (low, high) = (at(low), at(high));
            let column = (0..rows).map(|row| match (low[row], here[row], high[row]) {
                (Some(low), _, Some(high)) => (high - low) / (2.0 * STEP),
                (None, Some(here), Some(high)) => (high - here) / STEP,
                (Some(low), Some(here), None) => (here - low) / STEP,
                _ => 0.0,
            });
            column.collect()
        });
        let columns: Vec<Vec<f64>> = columns.collect();
        DMatrix::from_fn(rows, u.len(), |row, column| columns[column][row])
    }

    /// The model around `u`. Several quantities are asked for at the best place, one after another: the
    /// last place is kept.
    fn around(&self, u: &DVector<f64>) -> Arc<Around> {
        // Never locked while others may be waited for.
        let last = || self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, around)) = last().as_ref().filter(|(at, _)| at == u) {
            return Arc::clone(around);
        }
        let at = |u: &DVector<f64>| self.rough_outlook(u.as_slice());
        let moved = map_all(0..u.len(), |column| {
            [-STEP, STEP].map(|by| {
                let mut u = u.clone();
                u[column] += by;
                at(&u)
            })
        });
        let around = Arc::new(Around { here: at(u), moved });
        *last() = Some((u.clone(), Arc::clone(&around)));
        around
    }

    /// The slopes of the pulls, those of the priors last.
    pub(super) fn all_slopes(&self, u: &DVector<f64>) -> DMatrix<f64> {
        let data = self.pull_slopes(u);
        let (rows, n) = (self.rows(), u.len());
        DMatrix::from_fn(rows + n, n, |row, column| {
            if row < rows {
                data[(row, column)]
            } else {
                f64::from(u8::from(row - rows == column))
            }
        })
    }

    /// The slopes of the pulls.
    pub(super) fn pull_slopes(&self, u: &DVector<f64>) -> DMatrix<f64> {
        self.slopes(u, self.rows(), |seen| self.pulls(seen))
    }
}

/// Root of the deviance of seeing the inflow on the right side of an edge: nothing well
/// inside, rising in proportion to the distance outside.
fn side_pull(seen: &Outlook, side: Side) -> Result<f64, NoValue> {
    let inflow = seen.value(side.bed, Measurable::Inflow)?;
    let edge = seen.value(side.bed, side.edge)?;
    let beyond = (inflow - edge) / (EDGE * edge.max(1e-9));
    Ok(side_deviance(if side.above { beyond } else { -beyond }).sqrt())
}
