//! The way down to the least squares, by Levenberg and Marquardt.

use crate::study::fit::problem::Problem;
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};
use std::cell::RefCell;

/// Rounds of the minimiser, each with its slopes.
const PATIENCE: usize = 12;
/// Change of the pulls' sum of squares that no longer matters.
const TOLERANCE: f64 = 1e-5;
/// Steps from one look at the slopes to the next of a way down that only has to come near.
const FOLLOWED: usize = 4;

/// How the slopes are had on the way down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slopes {
    /// Looked at in every place.
    Looked,
    /// Mostly what the last step showed of them: each look simulates every unknown twice (the
    /// secant version of Madsen, Nielsen & Tingleff, Methods for Non-Linear Least Squares
    /// Problems, 2004, section 3.5, from memory).
    Followed,
}

/// The place of least squared pulls to which `start` leads.
pub(super) fn descend(problem: &Problem, start: &DVector<f64>, slopes: Slopes) -> DVector<f64> {
    let way = Way {
        problem,
        slopes,
        at: start.clone(),
        here: RefCell::new(None),
        known: RefCell::new(None),
    };
    let solver = LevenbergMarquardt::new()
        .with_tol(TOLERANCE)
        .with_stepbound(1.0)
        .with_patience(PATIENCE);
    solver.minimize(way).0.at
}

/// Makes `slopes` give the `change` that a step was seen to make, and leaves them as they are across
/// it (Broyden, Math. Comp. 19 (1965) 577).
pub(super) fn follow(slopes: &mut DMatrix<f64>, step: &DVector<f64>, change: &DVector<f64>) {
    let length = step.norm_squared();
    if length > 0.0 {
        let missed = change - &*slopes * step;
        *slopes += missed * step.transpose() / length;
    }
}

/// A place with its pulls.
#[derive(Clone)]
struct Place {
    at: DVector<f64>,
    residuals: DVector<f64>,
}

/// Slopes as they were at a place, and how many steps ago they were looked at.
struct Known {
    place: Place,
    slopes: DMatrix<f64>,
    age: usize,
}

/// What the minimiser is asked to go down.
struct Way<'a> {
    problem: &'a Problem<'a>,
    slopes: Slopes,
    at: DVector<f64>,
    here: RefCell<Option<Place>>,
    known: RefCell<Option<Known>>,
}

impl Way<'_> {
    /// The pulls here, simulated once.
    fn here(&self) -> Place {
        let mut here = self.here.borrow_mut();
        let place = here.take().filter(|place| place.at == self.at);
        let place = place.unwrap_or_else(|| Place {
            at: self.at.clone(),
            residuals: self.problem.residual_vector(&self.at),
        });
        here.insert(place).clone()
    }

    /// The slopes here, followed from where they were last known.
    fn followed(&self) -> DMatrix<f64> {
        let place = self.here();
        let mut known = self.known.borrow_mut();
        let last = known.take().filter(|last| last.age < FOLLOWED);
        let now = match last {
            Some(mut last) => {
                let step = &place.at - &last.place.at;
                let change = &place.residuals - &last.place.residuals;
                follow(&mut last.slopes, &step, &change);
                Known {
                    place,
                    slopes: last.slopes,
                    age: last.age + 1,
                }
            }
            None => Known {
                slopes: self.problem.all_slopes(&place.at),
                place,
                age: 0,
            },
        };
        known.insert(now).slopes.clone()
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Way<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, u: &DVector<f64>) {
        self.at.copy_from(u);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        Some(self.here().residuals)
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        Some(match self.slopes {
            Slopes::Looked => self.problem.all_slopes(&self.at),
            Slopes::Followed => self.followed(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn followed_slopes_give_the_step_that_was_seen_and_stay_across_it() {
        let mut slopes = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, -1.0, 0.5]);
        let (step, across) = (
            DVector::from_vec(vec![0.3, 0.4]),
            DVector::from_vec(vec![-0.4, 0.3]),
        );
        let before = &slopes * &across;
        let change = DVector::from_vec(vec![2.0, -3.0]);
        follow(&mut slopes, &step, &change);
        assert!((&slopes * &step - &change).norm() < 1e-12);
        assert!((&slopes * &across - before).norm() < 1e-12);
    }
}
