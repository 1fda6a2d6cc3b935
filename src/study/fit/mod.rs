//! The unknowns that measurements on a running system determine, by least squares on the
//! simulation with the bands of the soft coefficients as priors.
//!
//! Every unknown is scaled to its prior's deviation ([`Scale`]); the band's ends count as
//! two deviations. The minimum of squared pulls (measurements and priors) is found by
//! Levenberg-Marquardt; the spread is that of the linearised posterior,
//! `(J^T J + 1)^-1` (Tarantola, Inverse Problem Theory, chapter 3, from memory).

mod cloud;
mod descent;
mod found;
mod owner;
mod posterior;
mod problem;
mod profile;
mod unknown;

pub use found::{Compared, Estimate, Fit, FitError, Known, Next};
pub use owner::{Edge, Shift, Trial};
pub use unknown::{Prior, Scale, Unknown, applied, priors};

use crate::model::System;
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::study::measure::{Cut, Cutter, Measurable, Measured, NoValue, Outlook, outlook};
use nalgebra::{DMatrix, DVector};
use posterior::{Posterior, covariance};
use problem::Problem;

/// Pull beyond which a measurement is at odds with the others.
const AT_ODDS: f64 = 3.0;
/// Effort after which a fit is given up.
const MOST_EFFORT: u64 = 8_000_000_000;

/// Fits the unknowns of `system` to `measured`, whose figures must have passed
/// [`examine`](crate::study::measure::examine).
///
/// Without measurements the estimates are the priors. Unknowns are those of the measured
/// beds, or of all beds where nothing was measured. Same input, same result, whatever the
/// number of threads.
///
/// # Errors
/// [`FitError`] when the model cannot do what was measured, or not be simulated.
pub fn fit(system: &System, measured: &Measured) -> Result<Fit, FitError> {
    let (found, given_up) = effort::told_within(MOST_EFFORT, || fitted(system, measured));
    // Without some of the simulations the estimates would be wrong.
    if given_up {
        Err(FitError::TooMuch)
    } else {
        found
    }
}

fn fitted(system: &System, measured: &Measured) -> Result<Fit, FitError> {
    let beds = match measured.beds() {
        none if none.is_empty() => (0..system.beds.len()).collect(),
        some => some,
    };
    let cut = match (measured.facts.is_empty(), beds.first()) {
        (false, Some(first)) => Cutter::new(system, *first)
            .map_err(|_| FitError::NoSimulation)?
            .cut(&measured.facts),
        _ => Cut::default(),
    };
    let mut known = system.clone();
    known.coefficients = cut.applied(&system.coefficients);
    let priors = priors(&known, &beds);
    let problem = Problem::new(&known, &priors, measured);
    let posterior = Posterior::new(&problem);
    let best = &posterior.best;
    let after = problem
        .outlook(best.as_slice())
        .ok_or(FitError::NoSimulation)?;
    let compared = compare(system, &problem, &after)?;
    let slopes = problem.pull_slopes(best);
    let covariance = covariance(&slopes);
    let (fitted, values) = applied(&known, &priors, best.as_slice());
    let figures = compared.len();
    let estimates: Vec<Estimate> = priors
        .iter()
        .enumerate()
        .map(|(i, prior)| {
            let straight = covariance[(i, i)].max(0.0).sqrt().min(1.0);
            let is_cut = is_cut(&cut, prior.unknown);
            let (one, two, only_cut) =
                posterior.intervals(i, straight, is_cut.then_some(&prior.scale));
            Estimate {
                prior: *prior,
                offset: best[i],
                spread: 0.5 * (one.1 - one.0),
                one,
                two,
                straight,
                shares: shares(&slopes, &covariance, i, figures),
                only_cut,
            }
        })
        .collect();
    let mut fit = Fit {
        at_odds: at_odds(&compared, &slopes, &covariance),
        next: next(&problem, best, &after, &covariance, &beds),
        seen: measured
            .beds()
            .into_iter()
            .filter_map(|bed| measured.seen(bed).map(|seen| (bed, seen)))
            .collect(),
        estimates,
        compared,
        facts: measured.facts.clone(),
        cut,
        shifts: Vec::new(),
        trials: Vec::new(),
        system: fitted,
        values,
        effective: posterior.cloud.as_ref().map(|cloud| cloud.effective),
    };
    (fit.shifts, fit.trials) = owner::owner(system, &fit.learnt(system), &beds);
    Ok(fit)
}

fn is_cut(cut: &Cut, unknown: Unknown) -> bool {
    match unknown {
        Unknown::Soft(which) => cut.of(which).is_some_and(|band| band.is_cut()),
        _ => false,
    }
}

fn compare(
    written: &System,
    problem: &Problem,
    after: &Outlook,
) -> Result<Vec<Compared>, FitError> {
    let before = outlook(written, &written.coefficients.nominal()).ok();
    problem
        .measured
        .figures
        .iter()
        .map(|figure| {
            let (bed, what) = (figure.bed, figure.what);
            let value =
                after
                    .value(bed, what)
                    .map_err(|why| FitError::NeverSo { bed, what, why })?;
            Ok(Compared {
                measurement: *figure,
                before: before
                    .as_ref()
                    .map_or(Err(NoValue::NeverFills), |seen| seen.value(bed, what)),
                after: value,
                pull: (value - figure.value) / figure.sigma,
            })
        })
        .collect()
}

/// How much wider unknown `i` would be without each of the first `figures` rows, as shares.
fn shares(slopes: &DMatrix<f64>, covariance: &DMatrix<f64>, i: usize, figures: usize) -> Vec<f64> {
    let losses: Vec<f64> = (0..figures)
        .map(|row| {
            let j = slopes.row(row).transpose();
            let c = covariance * &j;
            // A row that alone fixes an unknown has a leverage of 1 and would divide by nothing.
            let leverage = j.dot(&c).min(1.0 - 1e-9);
            c[i] * c[i] / (1.0 - leverage)
        })
        .collect();
    let total: f64 = losses.iter().sum();
    losses
        .iter()
        .map(|loss| if total > 1e-12 { loss / total } else { 0.0 })
        .collect()
}

/// The figure whose pull, its own influence taken out, is largest and too large.
fn at_odds(
    compared: &[Compared],
    slopes: &DMatrix<f64>,
    covariance: &DMatrix<f64>,
) -> Option<usize> {
    compared
        .iter()
        .enumerate()
        .map(|(row, one)| {
            let j = slopes.row(row).transpose();
            let leverage = j.dot(&(covariance * &j)).min(1.0 - 1e-9);
            (row, one.pull.abs() / (1.0 - leverage).sqrt())
        })
        .filter(|(_, pull)| *pull > AT_ODDS)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(row, _)| row)
}

/// What each measurement not taken yet would do to the spreads.
fn next(
    problem: &Problem,
    best: &DVector<f64>,
    after: &Outlook,
    covariance: &DMatrix<f64>,
    beds: &[usize],
) -> Vec<Next> {
    let candidates: Vec<(usize, Measurable, f64)> = beds
        .iter()
        .flat_map(|&bed| Measurable::ALL.map(|what| (bed, what)))
        .filter(|(_, what)| !what.is_of_sheet())
        .filter(|&(bed, what)| problem.measured.get(bed, what).is_none())
        .filter_map(|(bed, what)| Some((bed, what, after.value(bed, what).ok()?)))
        .collect();
    let slopes = problem.slopes(best, candidates.len(), |seen| {
        candidates
            .iter()
            .map(|&(bed, what, _)| seen.value(bed, what).ok())
            .collect()
    });
    let headline: Vec<usize> = (0..best.len())
        .filter(|&i| problem.priors[i].unknown.is_headline())
        .collect();
    let mut found: Vec<Next> = candidates
        .iter()
        .enumerate()
        .map(|(row, &(bed, what, expected))| {
            let sigma = what.usual_sigma(expected);
            let j = slopes.row(row).transpose() / sigma;
            let c = covariance * &j;
            // One row more changes the covariance so (Sherman and Morrison 1950).
            let by = 1.0 + j.dot(&c);
            let spreads: Vec<f64> = (0..best.len())
                .map(|i| (covariance[(i, i)] - c[i] * c[i] / by).max(0.0).sqrt())
                .collect();
            let lost = |&i: &usize| 1.0 - spreads[i] / covariance[(i, i)].sqrt();
            let gain = headline.iter().map(lost).sum::<f64>() / headline.len().max(1) as f64;
            Next {
                bed,
                what,
                expected,
                sigma,
                spreads,
                gain,
            }
        })
        .collect();
    found.order_by(|a, b| b.gain.total_cmp(&a.gain));
    found.truncate(5);
    found
}
