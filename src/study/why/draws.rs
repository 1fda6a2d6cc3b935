//! Seeded draws of everything that is only known within a band.

use crate::hydraulics::pump_curve::PumpCurve;
use crate::model::{
    Band, Coefficient, CoefficientValues, Coefficients, DrainLosses, Inlet, PumpSource, System,
};
use crate::numerics::split_mix::SplitMix64;

/// Half width of a pump's tolerance on flow, curve and pipework together `[-]`.
/// Common practice, no source.
const CURVE_TOLERANCE: f64 = 0.12;
/// Half width of a bucket-timed flow's tolerance `[-]`. Common practice, no source.
const BUCKET_TOLERANCE: f64 = 0.05;
/// Half width of the tolerance on a void measured with a bucket, relative `[-]`.
/// Common practice, no source.
const VOID_TOLERANCE: f64 = 0.08;
/// Published loss coefficients of one fitting differ by a factor of two between their
/// ends: 0.7 to 1.4 of the nominal `[-]`.
const FITTINGS: Band = Band::new(0.7, 1.0, 1.4);

/// One system out of those that the file may stand for.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw {
    /// Soft coefficients.
    pub values: CoefficientValues,
    /// Inflow over that of the file, as a share of its tolerance, -1 to 1.
    flow: f64,
    /// Drainable void over that of the file `[-]`.
    void: f64,
    /// Losses of fittings below the lip over those of the file `[-]`.
    fittings: f64,
}

/// Quantities that are drawn: the coefficients and three of the building.
const DIMENSIONS: usize = Coefficient::ALL.len() + 3;

/// A fixed sequence of numbers from a seed.
#[derive(Debug, Clone)]
pub struct Dice(SplitMix64);

impl Dice {
    /// The sequence of this seed.
    pub const fn new(seed: u64) -> Self {
        Self(SplitMix64::new(seed))
    }

    /// The next number of 64 bits.
    pub fn next_bits(&mut self) -> u64 {
        self.0.next_bits()
    }

    /// The next number between 0 and 1, both excluded.
    pub fn unit(&mut self) -> f64 {
        #[allow(clippy::cast_precision_loss)] // 53 bits fit exactly.
        let bits = (self.next_bits() >> 11) as f64;
        // Half a step up, so that neither end ever comes.
        (bits + 0.5) / 9_007_199_254_740_992.0
    }
}

impl Draw {
    /// The nominal coefficients and the file as it stands.
    pub fn nominal(soft: &Coefficients) -> Self {
        Self {
            values: soft.nominal(),
            flow: 0.0,
            void: 1.0,
            fittings: 1.0,
        }
    }

    /// One draw at random.
    pub fn at_random(soft: &Coefficients, dice: &mut Dice) -> Self {
        let mut shares = [0.5; DIMENSIONS];
        shares.iter_mut().for_each(|u| *u = dice.unit());
        Self::at(soft, &shares)
    }

    /// `count` draws that cover every single band evenly (a Latin hypercube, McKay et
    /// al. 1979), the same for the same seed.
    pub fn spread(soft: &Coefficients, count: usize, seed: u64) -> Vec<Self> {
        let mut dice = Dice::new(seed);
        let mut rows = vec![[0.5; DIMENSIONS]; count];
        for dimension in 0..DIMENSIONS {
            let mut order: Vec<usize> = (0..count).collect();
            for k in (1..count).rev() {
                #[allow(clippy::cast_possible_truncation)] // a remainder below `count`
                let other = (dice.next_bits() % (k as u64 + 1)) as usize;
                order.swap(k, other);
            }
            for (row, place) in rows.iter_mut().zip(order) {
                row[dimension] = (as_f64(place) + 0.5) / as_f64(count);
            }
        }
        rows.iter().map(|row| Self::at(soft, row)).collect()
    }

    fn at(soft: &Coefficients, shares: &[f64; DIMENSIONS]) -> Self {
        let values = Coefficient::ALL
            .into_iter()
            .zip(shares)
            .fold(soft.nominal(), |values, (which, &u)| {
                values.with(which, quantile(soft[which], u))
            });
        let rest = &shares[Coefficient::ALL.len()..];
        let even = |half: f64, u: f64| quantile(Band::new(1.0 - half, 1.0, 1.0 + half), u);
        Self {
            values,
            flow: even(1.0, rest[0]) - 1.0,
            void: even(VOID_TOLERANCE, rest[1]),
            fittings: quantile(FITTINGS, rest[2]),
        }
    }

    /// `system` as this draw has it built.
    pub fn built(&self, system: &System) -> System {
        let mut built = system.clone();
        let tolerance = match built.pump.source {
            PumpSource::Curve(_) => CURVE_TOLERANCE,
            PumpSource::Steady(_) => BUCKET_TOLERANCE,
        };
        scale_pump(&mut built, 1.0 + tolerance * self.flow);
        for bed in &mut built.beds {
            if let Inlet::Measured(flow) = &mut bed.inlet {
                *flow *= 1.0 + BUCKET_TOLERANCE * self.flow;
            }
            bed.media.void = (bed.media.void * self.void).min(0.95);
            match &mut bed.siphon.drain.losses {
                DrainLosses::Computed { k, .. } | DrainLosses::Total { k } => *k *= self.fittings,
            }
        }
        built
    }
}

/// Makes the pump give `share` of its flow at every head.
pub(super) fn scale_pump(system: &mut System, share: f64) {
    match &mut system.pump.source {
        PumpSource::Steady(flow) => *flow *= share,
        PumpSource::Curve(curve) => {
            if let Some(scaled) = scaled(curve, share) {
                *curve = scaled;
            }
        }
    }
}

/// Points through which a scaled curve is laid.
const CURVE_POINTS: usize = 9;

fn scaled(curve: &PumpCurve, share: f64) -> Option<PumpCurve> {
    // A parabola stays one, so nothing is lost by points.
    if let PumpCurve::Parabola {
        shut_off_head,
        open_flow,
    } = curve
    {
        return PumpCurve::from_box_figures(*shut_off_head, open_flow * share).ok();
    }
    let open = curve.open_flow();
    let points: Vec<(f64, f64)> = (0..CURVE_POINTS)
        .map(|k| {
            let q = open * as_f64(k) / as_f64(CURVE_POINTS - 1);
            // Rounding may leave the last point a hair under nothing.
            (share * q, curve.head(q).max(0.0))
        })
        .collect();
    PumpCurve::from_points(&points).ok()
}

/// Value below which a share `u` of the draws lies: densest at the nominal value, which
/// is the median, and falling straight to nothing at both ends of the band.
fn quantile(band: Band, u: f64) -> f64 {
    if u < 0.5 {
        band.low + (band.nominal - band.low) * (2.0 * u).sqrt()
    } else {
        band.high - (band.high - band.nominal) * (2.0 * (1.0 - u)).sqrt()
    }
}

#[allow(clippy::cast_precision_loss)] // counts of a few hundred at most
pub(super) fn as_f64(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn every_band_is_covered_evenly_and_never_left() {
        let soft = Coefficients::default();
        let draws = Draw::spread(&soft, 12, 7);
        for which in Coefficient::ALL {
            let band = soft[which];
            let values: Vec<f64> = draws.iter().map(|d| d.values.get(which)).collect();
            let below = values.iter().filter(|&&v| v < band.nominal).count();
            assert_eq!(below, 6, "{which:?}");
            assert!(values.iter().all(|v| (band.low..=band.high).contains(v)));
        }
        assert_eq!(draws, Draw::spread(&soft, 12, 7));
        assert_ne!(draws, Draw::spread(&soft, 12, 8));
    }

    // Reference values: the generator's published sequence for seed 1234567 (from memory).
    #[test]
    fn the_dice_follow_the_published_sequence() {
        let mut dice = Dice::new(1_234_567);
        let first = [dice.next_bits(), dice.next_bits(), dice.next_bits()];
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423
            ]
        );
    }

    #[test]
    fn a_scaled_curve_gives_its_share_at_the_same_head() {
        let points = [(0.0, 2.6), (2e-4, 2.1), (4e-4, 1.3), (6e-4, 0.0)];
        for curve in [
            PumpCurve::from_points(&points).unwrap(),
            PumpCurve::from_box_figures(2.6, 6e-4).unwrap(),
        ] {
            let half = scaled(&curve, 0.5).unwrap();
            for head in [0.5, 1.0, 2.0] {
                let ratio = half.flow(head) / curve.flow(head);
                assert!((ratio - 0.5).abs() < 0.01, "{ratio}");
            }
        }
    }
}
