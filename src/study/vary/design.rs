//! A seeded Latin hypercube.

use crate::numerics::split_mix::SplitMix64;

/// Evenly spread numbers from a seed.
#[derive(Debug, Clone)]
pub(super) struct Even(SplitMix64);

impl Even {
    pub(super) const fn new(seed: u64) -> Self {
        Self(SplitMix64::new(seed))
    }

    /// Evenly spread in 0 to 1, 1 left out.
    pub(super) fn unit(&mut self) -> f64 {
        // 32 bits are plenty for a tolerance, and convert exactly.
        let high = u32::try_from(self.0.next_bits() >> 32).unwrap_or(u32::MAX);
        f64::from(high) / 4_294_967_296.0
    }

    /// Evenly spread in 0 to `n` - 1, for `n` from 1.
    fn below(&mut self, n: u32) -> u32 {
        // Lemire's multiply-shift; its bias, below n / 2^32, does not matter here.
        let product = u64::from(n) * (self.0.next_bits() >> 32);
        u32::try_from(product >> 32).unwrap_or(0)
    }
}

/// `draws` points in the unit cube of `inputs` dimensions, point by point. Along
/// each dimension every of `draws` equal slices holds exactly one point, at
/// random within its slice (McKay, Beckman & Conover 1979). The same seed
/// gives the same points.
pub(in crate::study) fn latin_hypercube(draws: u32, inputs: usize, seed: u64) -> Vec<Vec<f64>> {
    let mut random = Even::new(seed);
    let n = f64::from(draws);
    let mut points: Vec<Vec<f64>> = (0..draws).map(|_| Vec::with_capacity(inputs)).collect();
    for _ in 0..inputs {
        let mut slices: Vec<u32> = (0..draws).collect();
        for k in (1..draws).rev() {
            let other = random.below(k + 1);
            let (a, b) = (usize::try_from(k), usize::try_from(other));
            if let (Ok(a), Ok(b)) = (a, b) {
                slices.swap(a, b);
            }
        }
        for (point, slice) in points.iter_mut().zip(slices) {
            point.push((f64::from(slice) + random.unit()) / n);
        }
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_slice_of_every_input_holds_one_point() {
        for seed in 0..5 {
            let points = latin_hypercube(97, 6, seed);
            for input in 0..6 {
                let mut slices: Vec<f64> = points
                    .iter()
                    .map(|point| (point[input] * 97.0).floor())
                    .collect();
                slices.sort_by(f64::total_cmp);
                let whole: Vec<f64> = (0..97).map(f64::from).collect();
                assert_eq!(slices, whole);
            }
        }
        assert_ne!(latin_hypercube(97, 6, 1), latin_hypercube(97, 6, 2));
    }
}
