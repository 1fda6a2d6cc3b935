//! The unknowns that measurements on a running system determine, by least squares on the
//! simulation with the bands of the soft coefficients as priors.
//!
//! Every unknown is scaled to its prior's deviation ([`Scale`]); the band's ends count as
//! two deviations. The minimum of squared pulls (measurements and priors) is found by
//! Levenberg-Marquardt; the spread is that of the linearised posterior,
//! `(J^T J + 1)^-1` (Tarantola, Inverse Problem Theory, chapter 3, from memory).

mod cloud;
mod owner;
mod problem;
mod profile;
mod unknown;

pub use owner::{Edge, Shift, Trial};
pub use unknown::{Prior, Scale, Unknown, applied, priors};

use crate::model::{Band, Coefficient, CoefficientValues, System};
use crate::study::measure::{
    Cut, Cutter, Fact, Measurable, Measured, Measurement, NoValue, Outlook, Seen, outlook,
};
use cloud::Cloud;
use levenberg_marquardt::LevenbergMarquardt;
use nalgebra::{DMatrix, DVector};
use problem::Problem;
use profile::{Axis, Node};

/// Spread over the prior's above which nothing was learnt.
const OPEN: f64 = 0.9;
/// Spread over the prior's below which an unknown is determined.
const FIXED: f64 = 0.5;
/// Pull beyond which a measurement is at odds with the others.
const AT_ODDS: f64 = 3.0;
/// Shares of the posterior within one and two deviations of a normal one.
const WITHIN: [f64; 2] = [0.682_689, 0.954_500];
/// Offset and loss of spread below which nothing measured touches an unknown.
const UNTOUCHED: f64 = 0.01;
/// Estimates this close to the scenario's, and as wide, change nothing.
const UNMOVED: f64 = 0.005;
/// Deviation of the ends of an interval over its size, for one independent draw: that of a
/// normal quantile at one deviation, `sqrt(p (1 - p)) / phi`; at two deviations a little less.
const SCATTER: f64 = 1.51;
/// Rounds of the minimiser, each a Jacobian.
const PATIENCE: usize = 12;
/// Change of the pulls' sum of squares that no longer matters.
const TOLERANCE: f64 = 1e-5;
/// A start flow low enough that no bed that cycles dribbles for long.
const EARLY_START: f64 = -1.5;
/// Places tried along the decisive unknowns where the scenario itself does not behave as seen.
const TRIALS: [f64; 3] = [0.0, -1.5, 1.5];

/// What a fit found.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Every unknown, headline ones first within beds, pump, then coefficients.
    pub estimates: Vec<Estimate>,
    /// Every measurement beside the model.
    pub compared: Vec<Compared>,
    /// What beds were seen or implied to do.
    pub seen: Vec<(usize, Seen)>,
    /// At which flows siphons started, dribbled, broke or ran on, as told.
    pub facts: Vec<Fact>,
    /// What these facts leave of the bands, before any figure is fitted.
    pub cut: Cut,
    /// Start and break of every bed, as written and with what is known now.
    pub shifts: Vec<Shift>,
    /// Flows to try next, most telling first.
    pub trials: Vec<Trial>,
    /// The measurement at odds with the others, by its index in `compared`.
    pub at_odds: Option<usize>,
    /// What to measure next, most telling first; at most five.
    pub next: Vec<Next>,
    /// The system with every unknown at its estimate.
    pub system: System,
    /// The soft coefficients at their estimates.
    pub values: CoefficientValues,
    /// Independent draws from the posterior that would tell as much as those made; `None`
    /// where the spreads are those of the straightened problem: with nothing measured, or
    /// several beds.
    pub effective: Option<f64>,
}

/// One unknown after the fit.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// What.
    pub prior: Prior,
    /// Its place in units of the prior's deviation.
    pub offset: f64,
    /// Half the width of `one` in the same units: 1 is as wide as before.
    pub spread: f64,
    /// Where it lies with 68.3 % and with 95.4 %, in the same units as `offset`, which is
    /// within both.
    pub one: (f64, f64),
    /// See `one`.
    pub two: (f64, f64),
    /// Deviation over the prior's in the straightened problem, with which
    /// [`Next::spreads`] compare.
    pub straight: f64,
    /// Share of each measurement in what was learnt, in the order of `compared`; sums to 1
    /// unless nothing was.
    pub shares: Vec<f64>,
    /// Whether facts cut its band and no figure says more.
    pub only_cut: bool,
}

/// How well an unknown is known after the fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// Spread below half the prior's.
    Determined,
    /// Between.
    Narrowed,
    /// Facts cut its band, and no figure says more: it may be anywhere in what is left.
    Cut,
    /// About as wide as before: the measurements do not tell.
    Open,
}

impl Estimate {
    /// Best value.
    pub fn value(&self) -> f64 {
        self.prior.scale.value(self.offset)
    }

    /// Value so many of its own deviations away: at -1 and 1 the ends of `one`, at -2 and 2
    /// those of `two`, straight between.
    pub fn at(&self, deviations: f64) -> f64 {
        let (one, two) = if deviations < 0.0 {
            (self.one.0, self.two.0)
        } else {
            (self.one.1, self.two.1)
        };
        let size = deviations.abs();
        let offset = if size <= 1.0 {
            self.offset + size * (one - self.offset)
        } else {
            one + (size - 1.0) * (two - one)
        };
        self.prior.scale.value(offset)
    }

    /// Whether it is where it was before the fit, and as wide.
    pub fn is_unmoved(&self) -> bool {
        self.offset.abs() < UNMOVED && self.spread > 1.0 - UNMOVED
    }

    /// How well it is known.
    pub fn known(&self) -> Known {
        if self.only_cut {
            Known::Cut
        } else if self.spread < FIXED {
            Known::Determined
        } else if self.spread < OPEN {
            Known::Narrowed
        } else {
            Known::Open
        }
    }
}

/// A measurement beside the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// The measurement.
    pub measurement: Measurement,
    /// The scenario as written.
    pub before: Result<f64, NoValue>,
    /// The model with the estimates.
    pub after: f64,
    /// `after` less measured, over its deviation.
    pub pull: f64,
}

/// A measurement not taken yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Index of the bed.
    pub bed: usize,
    /// What to measure.
    pub what: Measurable,
    /// What the model expects there.
    pub expected: f64,
    /// Its usual deviation.
    pub sigma: f64,
    /// Spread of every unknown over its prior's with it in the straightened problem, in the order of the estimates.
    pub spreads: Vec<f64>,
    /// Mean share of the headline unknowns' spreads that it takes away.
    pub gain: f64,
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Nothing inside the bands makes the model do what was measured.
    #[error("{why}, wherever the unknowns are within their bands, so the model has no {}", .what.words())]
    NeverSo {
        /// Index of the bed.
        bed: usize,
        /// What was measured.
        what: Measurable,
        /// What the model does instead.
        why: NoValue,
    },
    /// The simulation gives up on the scenario itself.
    #[error("the scenario cannot be simulated; `ebbwright run` says why")]
    NoSimulation,
}

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
    let best = posterior.best;
    let cloud = posterior.cloud;
    let after = problem
        .outlook(best.as_slice())
        .ok_or(FitError::NoSimulation)?;
    let compared = compare(system, &problem, &after)?;
    let slopes = problem.pull_slopes(&best);
    let covariance = covariance(&slopes);
    let (fitted, values) = applied(&known, &priors, best.as_slice());
    let figures = compared.len();
    let estimates: Vec<Estimate> = priors
        .iter()
        .enumerate()
        .map(|(i, prior)| {
            let straight = covariance[(i, i)].max(0.0).sqrt().min(1.0);
            let drawn = cloud
                .as_ref()
                .and_then(|cloud| ends(cloud, i, best[i], straight));
            let only_cut = drawn.is_none()
                && straight > 1.0 - UNTOUCHED
                && best[i].abs() < UNTOUCHED
                && is_cut(&cut, prior.unknown);
            let (one, two) = if only_cut {
                anywhere(&prior.scale)
            } else {
                drawn.unwrap_or((
                    (best[i] - straight, best[i] + straight),
                    (best[i] - 2.0 * straight, best[i] + 2.0 * straight),
                ))
            };
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
        next: next(&problem, &best, &after, &covariance, &beds),
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
        effective: cloud.as_ref().map(|cloud| cloud.effective),
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

/// Intervals of a value that may be anywhere in its band: a band that facts have cut has no
/// middle that is more likely than the rest.
fn anywhere(scale: &Scale) -> ((f64, f64), (f64, f64)) {
    let band = scale.band();
    let at = |share: f64| scale.place(band.low + share * (band.high - band.low));
    let outside = 0.5 * (1.0 - WITHIN[0]);
    // The nominal value is in both.
    let one = (at(outside).min(0.0), at(1.0 - outside).max(0.0));
    (one, (at(0.0), at(1.0)))
}

impl Fit {
    /// The bands that the fit puts in place of the scenario's: of what figures narrowed two
    /// deviations either way, of what facts cut just what they left.
    pub fn bands(&self) -> Vec<(Coefficient, Band)> {
        let soft = self
            .estimates
            .iter()
            .filter_map(|one| match one.prior.unknown {
                Unknown::Soft(which) if one.only_cut || !one.is_unmoved() => {
                    Some((which, self.band(which, one)))
                }
                _ => None,
            });
        soft.collect()
    }

    fn band(&self, which: Coefficient, one: &Estimate) -> Band {
        let cut = self.cut.of(which).filter(|cut| cut.is_cut());
        match cut {
            Some(cut) if one.only_cut => cut.after,
            _ => {
                let allowed = one.prior.scale.allowed();
                let (least, most) = cut.map_or(allowed, |cut| (cut.after.low, cut.after.high));
                let value = |deviations| one.at(deviations).clamp(least, most);
                Band::new(value(-2.0), value(0.0), value(2.0))
            }
        }
    }

    /// `written`, the scenario's system, with what the fit moved at its estimate and the bands
    /// of [`bands`](Self::bands); what nothing was learnt of stays as it is.
    pub fn learnt(&self, written: &System) -> System {
        let moved = self.estimates.iter().filter(|one| !one.is_unmoved());
        let (priors, u): (Vec<Prior>, Vec<f64>) = moved.map(|one| (one.prior, one.offset)).unzip();
        let (mut system, _) = applied(written, &priors, &u);
        for (which, band) in self.bands() {
            system.coefficients.give(which, band);
        }
        system
    }
}

/// The intervals of unknown `i` that hold as much as one and two deviations; `None` where
/// draws differ from its prior, which nothing measured moves, by no more than by chance.
fn ends(cloud: &Cloud, i: usize, best: f64, straight: f64) -> Option<((f64, f64), (f64, f64))> {
    let marginal = cloud.marginal(i);
    // Between the ends of a sample lies less than the sample says: of n draws the k-th has
    // k / (n + 1) below it in the mean.
    let held = |share: f64| (share * (1.0 + 1.0 / cloud.effective)).min(1.0);
    let (one, two) = (
        marginal.interval(held(WITHIN[0]), best),
        marginal.interval(held(WITHIN[1]), best),
    );
    let untouched = straight > 1.0 - UNTOUCHED && best.abs() < UNTOUCHED;
    let chance = 3.0 / cloud.effective.sqrt();
    let near = |ends: (f64, f64), size: f64| {
        (ends.0 + size).abs().max((ends.1 - size).abs()) < SCATTER * size * chance
    };
    (!(untouched && near(one, 1.0) && near(two, 2.0))).then_some((one, two))
}

/// Where the unknowns may be.
struct Posterior {
    /// The estimate.
    best: DVector<f64>,
    /// Draws; none where nothing was measured, nothing does what was measured, or there
    /// are several beds.
    cloud: Option<Cloud>,
}

impl Posterior {
    fn new(problem: &Problem) -> Self {
        let minima = minima(problem);
        let best = minima[0].clone();
        // Several beds take a hundred times as long to simulate as one: no draws there.
        let drawn = problem.system.beds.len() == 1 && problem.rows() > 0;
        if !drawn || problem.exact_cost(&best).is_none() {
            return Self { best, cloud: None };
        }
        let axis = start_froude(problem.priors).map(|i| Axis::new(i, &ratio_slope(problem, &best)));
        let axis = axis.as_ref();
        let spread = axis.map_or(1.0, |axis| {
            axis.deviation(&covariance(&problem.pull_slopes(&best)))
        });
        let nodes = profile::profile(problem, axis, &minima, spread);
        let cloud = Cloud::new(problem, axis, &nodes);
        let middle = axis
            .zip(cloud.as_ref())
            .and_then(|(axis, cloud)| inwards(problem, axis, cloud, &nodes, &best));
        Self {
            best: middle.unwrap_or(best),
            cloud,
        }
    }
}

/// The best fit in the middle of the axis, where the best of all is out of the middle two
/// thirds: close to the start flow it can sit in a corner that holds next to nothing.
fn inwards(
    problem: &Problem,
    axis: &Axis,
    cloud: &Cloud,
    nodes: &[Node],
    best: &DVector<f64>,
) -> Option<DVector<f64>> {
    let places = cloud.of(|u| axis.place(u));
    let outside = 0.5 * (1.0 - WITHIN[0]);
    if (outside..=1.0 - outside).contains(&places.below(axis.place(best))) {
        return None;
    }
    let middle = places.at(0.5);
    let away = |node: &&Node| (node.place - middle).abs();
    let nearest = nodes.iter().min_by(|a, b| away(a).total_cmp(&away(b)))?;
    let node = nearest.beside(problem, axis, middle - nearest.place)?;
    Some(node.at)
}

/// The places of least squared pulls, the best one first, from the scenario itself or, where
/// that does not do what was seen, from the best of a few places around it.
fn minima(problem: &Problem) -> Vec<DVector<f64>> {
    let n = problem.priors.len();
    let zero = DVector::zeros(n);
    if problem.rows() == 0 {
        return vec![zero];
    }
    let start = if problem.exact_cost(&zero).is_some() {
        zero
    } else {
        best_start(problem, zero)
    };
    let solver = LevenbergMarquardt::new()
        .with_tol(TOLERANCE)
        .with_stepbound(1.0)
        .with_patience(PATIENCE);
    let run = |start: &DVector<f64>| {
        let mut fresh = Problem::new(problem.system, problem.priors, problem.measured);
        levenberg_marquardt::LeastSquaresProblem::set_params(&mut fresh, start);
        let (done, _) = solver.minimize(fresh);
        levenberg_marquardt::LeastSquaresProblem::params(&done)
    };
    // Close to its start flow a bed dribbles for long, and a long fill can be had from that
    // as well as from a large void: the valley beyond is looked into too. A minimiser
    // stopped at the edge of what the model can do may go on from there.
    let mut starts = vec![start];
    let long_fill =
        |figure: &Measurement| matches!(figure.what, Measurable::Fill | Measurable::Period);
    if let (Some(i), true) = (
        start_froude(problem.priors),
        problem.measured.figures.iter().any(long_fill),
    ) {
        let mut early = starts[0].clone();
        early[i] = EARLY_START;
        starts.push(early);
    }
    let mut found: Vec<(f64, DVector<f64>)> = starts
        .iter()
        .map(|start| {
            let once = run(start);
            (problem.cost(&once), once)
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let twice = run(&found[0].1);
    found.push((problem.cost(&twice), twice));
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.into_iter().map(|(_, u)| u).collect()
}

/// Change of the logarithm of inflow over start flow with every unknown, on the bed that is
/// nearest to its start flow.
fn ratio_slope(problem: &Problem, u: &DVector<f64>) -> DVector<f64> {
    let ratio = |seen: &Outlook, bed: usize| {
        let inflow = seen.value(bed, Measurable::Inflow).ok()?;
        let edge = seen.value(bed, Measurable::StartsAt).ok()?;
        (inflow > 0.0 && edge > 0.0).then(|| (inflow / edge).ln())
    };
    let beds = problem.measured.beds();
    let nearest = problem.outlook(u.as_slice()).and_then(|seen| {
        let near = beds
            .iter()
            .filter_map(|&bed| Some((ratio(&seen, bed)?, bed)));
        near.min_by(|a, b| a.0.total_cmp(&b.0))
    });
    match nearest {
        Some((_, bed)) => {
            let slopes = problem.slopes(u, 1, |seen| vec![ratio(seen, bed)]);
            slopes.row(0).transpose()
        }
        None => DVector::zeros(u.len()),
    }
}

/// The unknown that bends the problem most.
fn start_froude(priors: &[Prior]) -> Option<usize> {
    let wanted = Unknown::Soft(Coefficient::StartFroude);
    priors.iter().position(|prior| prior.unknown == wanted)
}

/// The best of some places along the unknowns that decide whether a bed cycles.
fn best_start(problem: &Problem, zero: DVector<f64>) -> DVector<f64> {
    let places = |wanted: &dyn Fn(Unknown) -> bool| -> Vec<usize> {
        let all = problem.priors.iter().enumerate();
        all.filter(|(_, prior)| wanted(prior.unknown))
            .map(|(i, _)| i)
            .collect()
    };
    let axes = [
        places(&|u| u == Unknown::Soft(Coefficient::StartFroude)),
        places(&|u| u == Unknown::Soft(Coefficient::SealedVoid)),
        places(&|u| {
            matches!(
                u,
                Unknown::PumpSpeed | Unknown::PumpFlow | Unknown::Inflow(_)
            )
        }),
        places(&|u| matches!(u, Unknown::TotalLoss(_))),
    ];
    let mut best = (problem.cost(&zero), zero.clone());
    for trial in 0..TRIALS.len().pow(4) {
        let mut u = zero.clone();
        let mut rest = trial;
        for axis in &axes {
            axis.iter()
                .for_each(|&i| u[i] = TRIALS[rest % TRIALS.len()]);
            rest /= TRIALS.len();
        }
        let cost = problem.cost(&u);
        if cost < best.0 {
            best = (cost, u);
        }
    }
    best.1
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

/// `(J^T J + 1)^-1`; the unit matrix for no rows.
fn covariance(slopes: &DMatrix<f64>) -> DMatrix<f64> {
    let n = slopes.ncols();
    let information = slopes.transpose() * slopes + DMatrix::identity(n, n);
    information
        .cholesky()
        .map_or_else(|| DMatrix::identity(n, n), |factors| factors.inverse())
}

/// How much wider unknown `i` would be without each of the first `figures` rows, as shares.
fn shares(slopes: &DMatrix<f64>, covariance: &DMatrix<f64>, i: usize, figures: usize) -> Vec<f64> {
    let losses: Vec<f64> = (0..figures)
        .map(|row| {
            let j = slopes.row(row).transpose();
            let c = covariance * &j;
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
    found.sort_by(|a, b| b.gain.total_cmp(&a.gain));
    found.truncate(5);
    found
}
