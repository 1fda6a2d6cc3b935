//! Shortest and longest standpipe over the soft coefficients that move the peak.

use crate::model::{Coefficient, CoefficientValues, Coefficients};
use crate::simulation::{Regime, SimulationError};
use crate::study::cut::solver::Solver;

/// Coefficients that move the peak; those of one group go up and down together,
/// for they describe one and the same way over the lip.
const GROUPS: [&[Coefficient]; 3] = [
    &[Coefficient::StartFroude],
    &[Coefficient::PrimingCarry],
    &[
        Coefficient::LipWeir,
        Coefficient::LipOrifice,
        Coefficient::SlotOrifice,
    ],
];
/// Lengths of the band are found to this `[m]`.
const TOLERANCE: f64 = 1e-4;

/// One end of the band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Length that leaves the wanted dry layer there `[m]`.
    pub length: f64,
    /// What the bed does there.
    pub regime: Regime,
}

/// Lengths that leave the wanted dry layer with start Froude number, priming
/// carry, lip and slot coefficients at the ends of their bands, in every combination,
/// and at their nominal values. All other coefficients are nominal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthBand {
    /// Shortest; `None`: in the worst case there is none above the openings.
    pub shortest: Option<Bound>,
    /// Longest.
    pub longest: Bound,
}

impl LengthBand {
    /// A band of the one length known so far.
    pub(super) fn at(length: f64, regime: Regime) -> Self {
        let bound = Bound { length, regime };
        Self {
            shortest: Some(bound),
            longest: bound,
        }
    }

    fn widen(&mut self, found: Option<Bound>) {
        match (found, self.shortest) {
            (None, _) => self.shortest = None,
            (Some(new), Some(old)) if new.length < old.length => self.shortest = Some(new),
            _ => {}
        }
        if let Some(new) = found.filter(|new| new.length > self.longest.length) {
            self.longest = new;
        }
    }
}

/// Every combination of band ends, without those that differ in nothing.
fn corners(bands: &Coefficients) -> Vec<CoefficientValues> {
    let mut found = vec![bands.nominal()];
    for group in GROUPS {
        if group
            .iter()
            .all(|&which| bands[which].low == bands[which].high)
        {
            continue;
        }
        let at = |values: &CoefficientValues, high: bool| {
            group.iter().fold(values.clone(), |values, &which| {
                let band = bands[which];
                values.with(which, if high { band.high } else { band.low })
            })
        };
        found = found
            .iter()
            .flat_map(|values| [at(values, false), at(values, true)])
            .collect();
    }
    found
}

/// Widens the bands of the `sought` beds, whose answers are `lengths`.
pub(super) fn widen(
    solver: &mut Solver,
    lengths: &[f64],
    sought: &[usize],
    bands: &mut [LengthBand],
) -> Result<(), SimulationError> {
    for values in corners(&solver.base().coefficients) {
        let found = solver.settle_for(&values, lengths, sought, TOLERANCE)?;
        for (&i, band) in sought.iter().zip(bands.iter_mut()) {
            let at_bottom = found.lengths[i] <= solver.limits(i).low;
            let none = at_bottom && solver.spare(&found.run, i) < 0.0;
            let bound = Bound {
                length: found.lengths[i],
                regime: found.run.beds[i].tends_to,
            };
            band.widen((!none).then_some(bound));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Band;

    #[test]
    fn bands_without_width_make_no_corners() {
        let mut bands = Coefficients::default();
        assert_eq!(corners(&bands).len(), 8);
        bands[Coefficient::PrimingCarry] = Band::exact(0.15);
        assert_eq!(corners(&bands).len(), 4);
        bands[Coefficient::LipWeir] = Band::exact(1.8);
        assert_eq!(
            corners(&bands).len(),
            4,
            "the drowned lip and the slots still have bands"
        );
        bands[Coefficient::LipOrifice] = Band::exact(0.6);
        bands[Coefficient::SlotOrifice] = Band::exact(0.6);
        bands[Coefficient::StartFroude] = Band::exact(0.4);
        assert_eq!(corners(&bands), [bands.nominal()]);
    }

    #[test]
    fn a_corner_without_a_length_opens_the_band_downward_for_good() {
        let bound = |length| Bound {
            length,
            regime: Regime::Cycles,
        };
        let mut band = LengthBand::at(0.2, Regime::Cycles);
        band.widen(Some(bound(0.19)));
        band.widen(Some(bound(0.21)));
        assert_eq!(
            band,
            LengthBand {
                shortest: Some(bound(0.19)),
                longest: bound(0.21)
            }
        );
        band.widen(None);
        band.widen(Some(bound(0.18)));
        assert_eq!(
            band,
            LengthBand {
                shortest: None,
                longest: bound(0.21)
            }
        );
    }
}
