//! The normal distribution's quantiles.

use crate::numerics::maths::Maths;

/// Quantile of the standard normal distribution at probability `p`, to 1e-6; `p` is held
/// within 1e-12 of 0 and 1.
///
/// Wichura 1988, algorithm AS 241 (the shorter of its two; constants from memory, held by
/// tabled quantiles below).
pub fn quantile(p: f64) -> f64 {
    let p = p.clamp(1e-12, 1.0 - 1e-12);
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        let over =
            ((59.109_374_720 * r + 159.291_132_02) * r + 50.434_271_938) * r + 3.387_132_717_9;
        let under = ((67.187_563_600 * r + 78.757_757_664) * r + 17.895_169_469) * r + 1.0;
        return q * over / under;
    }
    let r = (-p.min(1.0 - p).log_natural()).sqrt();
    let size = if r <= 5.0 {
        let r = r - 1.6;
        let over =
            ((0.170_238_211_03 * r + 1.306_728_481_6) * r + 2.756_815_390_0) * r + 1.423_437_277_7;
        let under = (0.120_211_329_75 * r + 0.737_001_642_50) * r + 1.0;
        over / under
    } else {
        let r = r - 5.0;
        let over = ((0.017_337_203_997 * r + 0.428_682_943_37) * r + 3.081_226_386_0) * r
            + 6.657_905_115_0;
        let under = (0.012_258_202_635 * r + 0.241_978_942_25) * r + 1.0;
        over / under
    };
    size.copysign(q)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_the_tables() {
        // Tables of the normal distribution (from memory, to the figures given).
        for (p, z) in [
            (0.5, 0.0),
            (0.75, 0.674_489_8),
            (0.841_344_746, 1.0),
            (0.9, 1.281_551_6),
            (0.975, 1.959_964_0),
            (0.977_249_868, 2.0),
            (0.99, 2.326_347_9),
            (0.999, 3.090_232_3),
            (0.999_968_328_76, 4.0),
            (1.0 - 9.865_876_5e-10, 6.0),
        ] {
            assert!((quantile(p) - z).abs() < 2e-6, "{p}: {}", quantile(p));
            assert!((quantile(1.0 - p) + z).abs() < 2e-6, "{p}");
        }
    }
}
