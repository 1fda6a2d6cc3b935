//! How well a cause explains what was seen and measured: its likelihood, averaged over
//! severity and over everything known only within bands.
//!
//! For every severity the draws that show the same regime are summed up by the mean and
//! the covariance of what would be read; a reading's own error adds to that. Between
//! severities both are interpolated. A cause that could explain anything spreads its
//! likelihood over all of it and so pays for its freedom (MacKay 2003, chapter 28).

use crate::numerics::maths::Maths;
use crate::simulation::Regime;
use crate::study::why::draws::as_f64;
use crate::study::why::sight::{Figure, Sight};
use nalgebra::{DMatrix, DVector};

/// Least severity that counts as a cause.
pub(super) const LEAST_SEVERITY: f64 = 0.10;
/// Severities between least and worst at which the likelihood is looked at.
const FINE: usize = 181;
/// Error of the model itself beside that of its coefficients: relative for flows and
/// times, `[m]` for levels. Derived here, not measured.
const MODEL_ERROR: (f64, f64, f64) = (0.01, 0.03, 0.002);
/// Share of the draws' correlation that is believed; a dozen draws show chance ones too.
const CORRELATION_KEPT: f64 = 0.9;

/// One reading as it enters the comparison.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Datum {
    pub figure: Figure,
    pub bed: usize,
    /// On the figure's scale.
    pub place: f64,
    /// Standard deviation on that scale, reading and model together.
    pub spread: f64,
}

impl Datum {
    pub fn new(figure: Figure, bed: usize, value: f64, sigma: f64) -> Self {
        let scale = figure.scale();
        let own = match scale {
            super::Scale::Flow => MODEL_ERROR.0,
            super::Scale::Time => MODEL_ERROR.1,
            super::Scale::Level => MODEL_ERROR.2,
        };
        // Tape on pipe: the model has no part in it.
        let own = if figure == Figure::Drop { 0.0 } else { own };
        Self {
            figure,
            bed,
            place: scale.place(value),
            spread: scale.spread(value, sigma).hypotenuse(own),
        }
    }

    fn of(&self, sight: &Sight) -> Option<f64> {
        self.figure
            .in_sight(sight, self.bed)
            .map(|value| self.figure.scale().place(value))
    }
}

/// A cause at one severity.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub severity: f64,
    /// What each draw shows; `None`: its simulation gave up.
    pub shown: Vec<Option<Sight>>,
}

// Not `Unfinished`: a bed that has not been through a cycle shows nothing to compare.
const REGIMES: [Regime; 6] = [
    Regime::Cycles,
    Regime::Dribbles,
    Regime::Stalls,
    Regime::RunsOn,
    Regime::Overflows,
    Regime::NeverFills,
];

/// The draws of one regime at one severity.
#[derive(Debug, Clone)]
struct Group {
    /// Mean chance over all draws, those outside the group counting nothing.
    weight: f64,
    mean: DVector<f64>,
}

/// The draws of one regime over all severities.
#[derive(Debug, Clone)]
struct Family {
    groups: Vec<Option<Group>>,
    covariance: DMatrix<f64>,
}

/// A cause's explanation of some data.
#[derive(Debug, Clone)]
pub(super) struct Explanation {
    /// Logarithm of the likelihood averaged over severity.
    pub log_likelihood: f64,
    /// Severities looked at, and the share of the explanation each has.
    pub severities: Vec<(f64, f64)>,
    families: Vec<Family>,
    nodes: Vec<f64>,
    data: usize,
}

/// A prediction: place and standard deviation on the figure's scale.
pub(super) type Expected = (f64, f64);

impl Explanation {
    /// The explanation of `data` by a cause simulated at `nodes`, by rising severity, on bed
    /// `bed`; `chance` is that of a person to say of a sight what was said.
    pub fn new(nodes: &[Node], data: &[Datum], bed: usize, chance: &dyn Fn(&Sight) -> f64) -> Self {
        let families: Vec<Family> = REGIMES
            .into_iter()
            .map(|regime| Family::new(nodes, data, bed, regime, chance))
            .collect();
        let severities: Vec<f64> = nodes.iter().map(|node| node.severity).collect();
        let reading = DVector::from_iterator(data.len(), data.iter().map(|d| d.place));
        let looked_at: Vec<f64> = match severities.as_slice() {
            [only] => vec![*only],
            _ => (0..FINE)
                .map(|k| LEAST_SEVERITY + (1.0 - LEAST_SEVERITY) * as_f64(k) / as_f64(FINE - 1))
                .collect(),
        };
        let solved: Vec<Option<Gauss>> =
            families.iter().map(|f| Gauss::new(&f.covariance)).collect();
        let logs: Vec<f64> = looked_at
            .iter()
            .map(|&s| {
                let parts = families.iter().zip(&solved).filter_map(|(family, gauss)| {
                    let (weight, mean) = family.at(&severities, s)?;
                    let density = gauss.as_ref()?.log_density(&(&reading - mean));
                    Some(weight.log_natural() + density)
                });
                log_sum(parts)
            })
            .collect();
        let total = log_sum(logs.iter().copied());
        let shares = looked_at
            .iter()
            .zip(&logs)
            .map(|(&s, &log)| {
                (
                    s,
                    if total.is_finite() {
                        (log - total).exponential()
                    } else {
                        0.0
                    },
                )
            })
            .collect();
        Self {
            log_likelihood: total - as_f64(looked_at.len()).log_natural(),
            severities: shares,
            families,
            nodes: severities,
            data: data.len(),
        }
    }

    /// The severity that explains best.
    pub fn best_severity(&self) -> f64 {
        let mut best = (0.0, f64::NEG_INFINITY);
        for &(severity, share) in &self.severities {
            if share > best.1 {
                best = (severity, share);
            }
        }
        best.0
    }

    /// Severities between which nine tenths of the explanation lie.
    pub fn severity_range(&self) -> (f64, f64) {
        let at = |wanted: f64| {
            let mut sum = 0.0;
            for &(severity, share) in &self.severities {
                sum += share;
                if sum >= wanted {
                    return severity;
                }
            }
            self.severities.last().map_or(0.0, |last| last.0)
        };
        // The best may lie at the very end.
        let best = self.best_severity();
        (at(0.05).min(best), at(0.95).max(best))
    }

    /// What the cause expects of every datum at its best severity, and how far the bands
    /// leave that open, the reading's error included.
    pub fn expected(&self) -> Option<Vec<Expected>> {
        self.expected_at(self.best_severity())
    }

    fn expected_at(&self, s: f64) -> Option<Vec<Expected>> {
        let (family, (_, mean)) = self
            .families
            .iter()
            .filter_map(|family| Some((family, family.at(&self.nodes, s)?)))
            .max_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
        Some(
            (0..self.data)
                .map(|k| (mean[k], family.covariance[(k, k)].max(0.0).sqrt()))
                .collect(),
        )
    }

    /// What the cause expects of the one datum of `asked`, an explanation of that alone by
    /// the same nodes, over all severities that this one leaves possible; `None` where it
    /// could often not be read at all.
    pub fn forecast(&self, asked: &Self) -> Option<Expected> {
        let (mut sum, mut mean, mut square) = (0.0, 0.0, 0.0);
        // All that is left out together has less than two hundredths.
        for &(severity, share) in self.severities.iter().filter(|s| s.1 > 1e-4) {
            if let Some(&(place, spread)) = asked
                .expected_at(severity)
                .as_deref()
                .and_then(<[_]>::first)
            {
                sum += share;
                mean += share * place;
                square += share * (place * place + spread * spread);
            }
        }
        (sum > 0.5).then(|| {
            let mean = mean / sum;
            (mean, (square / sum - mean * mean).max(0.0).sqrt())
        })
    }
}

impl Family {
    fn new(
        nodes: &[Node],
        data: &[Datum],
        bed: usize,
        regime: Regime,
        chance: &dyn Fn(&Sight) -> f64,
    ) -> Self {
        let n = data.len();
        let mut groups = Vec::new();
        let mut scatter = DMatrix::zeros(n, n);
        let mut weights = 0.0;
        for node in nodes {
            let members: Vec<(f64, DVector<f64>)> = node
                .shown
                .iter()
                .flatten()
                .filter(|sight| sight.beds[bed].regime == regime)
                .filter_map(|sight| {
                    let places: Option<Vec<f64>> = data.iter().map(|d| d.of(sight)).collect();
                    Some((chance(sight), DVector::from_vec(places?)))
                })
                .collect();
            let sum: f64 = members.iter().map(|m| m.0).sum();
            if sum <= 0.0 {
                groups.push(None);
                continue;
            }
            let mut mean = DVector::zeros(n);
            members.iter().for_each(|(w, v)| mean += v * (*w / sum));
            // With one draw left out the spread of few draws comes out too small.
            let few = as_f64(members.len());
            let correction = if members.len() > 1 {
                few / (few - 1.0)
            } else {
                0.0
            };
            for (w, v) in &members {
                let off = v - &mean;
                scatter += &off * off.transpose() * (*w * correction);
            }
            if members.len() > 1 {
                weights += sum;
            }
            groups.push(Some(Group {
                weight: sum / as_f64(node.shown.len().max(1)),
                mean,
            }));
        }
        if weights > 0.0 {
            scatter /= weights;
        }
        for i in 0..n {
            for j in 0..n {
                if i != j {
                    scatter[(i, j)] *= CORRELATION_KEPT;
                }
            }
            scatter[(i, i)] += data[i].spread.powi(2);
        }
        Self {
            groups,
            covariance: scatter,
        }
    }

    /// Weight and mean at severity `s`, straight between the nodes; a regime that only one
    /// of two neighbours shows fades out toward the other.
    fn at(&self, severities: &[f64], s: f64) -> Option<(f64, DVector<f64>)> {
        let above = severities.partition_point(|&x| x < s);
        if above >= severities.len() {
            let last = self.groups.last()?.as_ref()?;
            return Some((last.weight, last.mean.clone()));
        }
        let (low, high) = (above.saturating_sub(1), above);
        let width = severities[high] - severities[low];
        let t = if width > 0.0 {
            ((s - severities[low]) / width).clamp(0.0, 1.0)
        } else {
            1.0
        };
        match (&self.groups[low], &self.groups[high]) {
            (Some(a), Some(b)) => Some((
                a.weight * (1.0 - t) + b.weight * t,
                &a.mean * (1.0 - t) + &b.mean * t,
            )),
            (Some(a), None) if t < 1.0 => Some((a.weight * (1.0 - t), a.mean.clone())),
            (None, Some(b)) if t > 0.0 => Some((b.weight * t, b.mean.clone())),
            _ => None,
        }
    }
}

/// A normal distribution about nothing.
struct Gauss {
    factor: nalgebra::Cholesky<f64, nalgebra::Dyn>,
    log_norm: f64,
}

impl Gauss {
    fn new(covariance: &DMatrix<f64>) -> Option<Self> {
        let n = covariance.nrows();
        let factor = covariance.clone().cholesky()?;
        let half_log_det: f64 = (0..n).map(|k| factor.l_dirty()[(k, k)].log_natural()).sum();
        let log_norm = -half_log_det - 0.5 * as_f64(n) * (2.0 * std::f64::consts::PI).log_natural();
        Some(Self { factor, log_norm })
    }

    fn log_density(&self, off: &DVector<f64>) -> f64 {
        if off.is_empty() {
            return 0.0;
        }
        self.log_norm - 0.5 * off.dot(&self.factor.solve(off))
    }
}

/// Logarithm of the sum of exponentials.
pub(super) fn log_sum(logs: impl Iterator<Item = f64>) -> f64 {
    let logs: Vec<f64> = logs.filter(|log| log.is_finite()).collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most.is_infinite() {
        return f64::NEG_INFINITY;
    }
    // Against the greatest: the exponential of a bare logarithm may overflow.
    most + logs
        .iter()
        .map(|log| (log - most).exponential())
        .sum::<f64>()
        .log_natural()
}
