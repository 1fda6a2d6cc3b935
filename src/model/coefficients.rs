//! Coefficients that published work leaves uncertain, each with its band.

use crate::hydraulics::small_bore::{
    SURFACE_TENSION_BORE, bubble_arrest_factor, eotvos_number, sealed_leg_froude,
};
use crate::hydraulics::water::Water;
use std::ops::{Index, IndexMut};

/// A value known only within a band: `low <= nominal <= high`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Lowest credible value.
    pub low: f64,
    /// Value used for the time series.
    pub nominal: f64,
    /// Highest credible value.
    pub high: f64,
}

impl Band {
    /// A band from its three values.
    pub const fn new(low: f64, nominal: f64, high: f64) -> Self {
        Self { low, nominal, high }
    }

    /// A value taken as exactly known.
    pub const fn exact(value: f64) -> Self {
        Self::new(value, value, value)
    }
}

/// Every soft coefficient of the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Coefficient {
    /// Weir coefficient `Cw` of the standpipe lip `[m^0.5/s]`.
    LipWeir,
    /// Orifice coefficient `Cd` of the drowned lip `[-]`.
    LipOrifice,
    /// Pipe Froude number `Fs` at which the siphon starts `[-]`.
    StartFroude,
    /// Air carried out while priming, `beta`, as a share of the start flow `[-]`.
    PrimingCarry,
    /// Orifice coefficient of the bell's slots `[-]`.
    SlotOrifice,
    /// Loss coefficient of the turn under the cap with the standpipe mouth `[-]`.
    CapTurn,
    /// Share `m` of the slot velocity head by which the surface dips `[-]`.
    SlotDip,
    /// Void fraction `a_max` up to which the down leg stays sealed `[-]`.
    SealedVoid,
    /// Velocity `j0` above which the down leg carries air away `[m/s]`.
    AirCarryVelocity,
    /// Largest air-to-water ratio `beta_max` the down leg carries `[-]`.
    AirCarryRatio,
    /// Manning's `n` of the drain line `[s/m^(1/3)]`.
    LineManning,
    /// Share of the momentum that water coming into the drain line lacks `[-]`: 1 square to
    /// it, 0 along it.
    JunctionEntry,
}

impl Coefficient {
    /// All of them, in the order of the design.
    pub const ALL: [Self; 12] = [
        Self::LipWeir,
        Self::LipOrifice,
        Self::StartFroude,
        Self::PrimingCarry,
        Self::SlotOrifice,
        Self::CapTurn,
        Self::SlotDip,
        Self::SealedVoid,
        Self::AirCarryVelocity,
        Self::AirCarryRatio,
        Self::LineManning,
        Self::JunctionEntry,
    ];

    /// Key in the scenario's `[coefficients]` table.
    pub const fn key(self) -> &'static str {
        match self {
            Self::LipWeir => "lip-weir",
            Self::LipOrifice => "lip-orifice",
            Self::StartFroude => "start-froude",
            Self::PrimingCarry => "priming-carry",
            Self::SlotOrifice => "slot-orifice",
            Self::CapTurn => "cap-turn",
            Self::SlotDip => "slot-dip",
            Self::SealedVoid => "sealed-void",
            Self::AirCarryVelocity => "air-carry-velocity",
            Self::AirCarryRatio => "air-carry-ratio",
            Self::LineManning => "line-manning",
            Self::JunctionEntry => "junction-entry",
        }
    }

    /// Whether only the shared drain line has it.
    pub const fn is_of_line(self) -> bool {
        matches!(self, Self::LineManning | Self::JunctionEntry)
    }

    /// The coefficient with this key.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.key() == key)
    }

    /// Band used when the scenario gives none.
    pub const fn default_band(self) -> Band {
        // Where each comes from stands with `basis`.
        match self {
            Self::LipWeir => Band::new(1.66, 1.80, 1.94),
            Self::LipOrifice => Band::new(0.55, 0.60, 0.65),
            Self::StartFroude => Band::new(0.30, 0.45, 0.60),
            Self::PrimingCarry => Band::new(0.05, 0.15, 0.40),
            Self::SlotOrifice => Band::new(0.55, 0.60, 0.70),
            Self::CapTurn => Band::new(0.8, 1.2, 2.0),
            Self::SlotDip => Band::new(0.0, 0.5, 1.0),
            Self::SealedVoid => Band::new(0.25, 0.40, 0.65),
            Self::AirCarryVelocity => Band::new(0.23, 0.26, 0.29),
            Self::AirCarryRatio => Band::new(0.27, 0.55, 0.85),
            Self::LineManning => Band::new(0.009, 0.0095, 0.010),
            Self::JunctionEntry => Band::new(0.0, 0.5, 1.0),
        }
    }

    /// Range accepted from a scenario: `(lowest, highest)`, both allowed.
    pub const fn allowed(self) -> (f64, f64) {
        // Far beyond the bands: only what nobody can mean is refused.
        match self {
            Self::LipWeir => (0.5, 4.0),
            Self::LipOrifice | Self::SlotOrifice => (0.2, 1.0),
            Self::StartFroude => (0.05, 2.0),
            Self::PrimingCarry => (0.001, 1.0),
            Self::CapTurn => (0.0, 50.0),
            Self::SlotDip => (0.0, 2.0),
            Self::SealedVoid => (0.0, 0.95),
            Self::AirCarryVelocity => (0.0, 2.0),
            Self::AirCarryRatio => (0.0, 2.0),
            Self::LineManning => (0.006, 0.030),
            Self::JunctionEntry => (0.0, 1.0),
        }
    }

    /// Where the band comes from, in one line for the report.
    pub const fn basis(self) -> &'static str {
        match self {
            Self::LipWeir | Self::LipOrifice => {
                "USBR, Design of Small Dams, and stormwater riser practice (from memory)"
            }
            Self::StartFroude => {
                "self-venting limit to full outlets: Hills 1983, Simpson 1968, Davies & Taylor 1950, \
                 EN 12056-3 (from memory)"
            }
            Self::PrimingCarry => "derived here, not measured",
            Self::SlotOrifice => "sharp-edged orifice practice",
            Self::CapTurn => "Idelchik, turns with a facing wall (from memory)",
            Self::SlotDip => "derived here, not measured",
            Self::SealedVoid => {
                "bubbly-slug and slug-annular limits: Taitel et al. 1980, Usui 1989, Barnea et al. 1982"
            }
            Self::AirCarryVelocity => "vertical downflow drift flux, Goda et al. 2003",
            Self::AirCarryRatio => "derived here from published parts",
            Self::LineManning => "plastic drain pipe, Neale & Price 1964 (from memory)",
            Self::JunctionEntry => {
                "derived here, not measured: 1 a square entry by momentum, 0 a 45 degree wye with the flow"
            }
        }
    }
}

/// The bands in force for one system.
#[derive(Debug, Clone, PartialEq)]
pub struct Coefficients {
    bands: [Band; Coefficient::ALL.len()],
    start: StartFroude,
}

/// Whose start Froude number it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum StartFroude {
    /// The published one of wide bores, which narrow ones change.
    OfWideBores,
    /// The owner's: it holds as it is, whatever the bore.
    Given,
}

impl Default for Coefficients {
    fn default() -> Self {
        Self {
            bands: Coefficient::ALL.map(Coefficient::default_band),
            start: StartFroude::OfWideBores,
        }
    }
}

impl Index<Coefficient> for Coefficients {
    type Output = Band;
    fn index(&self, which: Coefficient) -> &Band {
        &self.bands[which as usize]
    }
}

impl IndexMut<Coefficient> for Coefficients {
    fn index_mut(&mut self, which: Coefficient) -> &mut Band {
        &mut self.bands[which as usize]
    }
}

impl Coefficients {
    /// Nominal values, those of the drain line at the end of their bands that `end` takes: it
    /// stands highest with all of them high.
    pub fn line_at(&self, end: impl Fn(&Band) -> f64) -> CoefficientValues {
        let lines = Coefficient::ALL.into_iter().filter(|c| c.is_of_line());
        lines.fold(self.nominal(), |values, which| {
            values.with(which, end(&self[which]))
        })
    }

    /// The nominal value of each.
    pub fn nominal(&self) -> CoefficientValues {
        CoefficientValues {
            values: self.bands.map(|band| band.nominal),
            start: self.start,
        }
    }

    /// Bands without width round `values`.
    pub fn known(values: &CoefficientValues) -> Self {
        Self {
            bands: values.values.map(Band::exact),
            start: values.start,
        }
    }

    /// Takes `band` from the owner in place of the usual one. A start Froude number given
    /// so holds in every bore as it is.
    pub fn give(&mut self, which: Coefficient, band: Band) {
        self[which] = band;
        if which == Coefficient::StartFroude {
            self.start = StartFroude::Given;
        }
    }

    /// Band of the pipe Froude number at which a siphon of `bore` `[m]` starts `[-]`: where
    /// it is not given, that of wide bores as narrow ones change it (see
    /// [`CoefficientValues::start_froude`]).
    pub fn start_froude(&self, bore: f64, water: &Water) -> Band {
        let band = self[Coefficient::StartFroude];
        let at = |value| start_froude(value, self.start, bore, water);
        Band::new(at(band.low), at(band.nominal), at(band.high))
    }
}

/// `value` of the start Froude number as it is in `bore` `[m]`.
///
/// The low end and the nominal value shrink by the surface-tension factor under 16 mm, the
/// high end is at least what carries air down a sealed leg; between them straight lines, so
/// that a value keeps its place in the band.
fn start_froude(value: f64, whose: StartFroude, bore: f64, water: &Water) -> f64 {
    let band = Coefficient::StartFroude.default_band();
    if whose == StartFroude::Given {
        return value;
    }
    let held = if bore < SURFACE_TENSION_BORE {
        bubble_arrest_factor(eotvos_number(bore, water))
    } else {
        1.0
    };
    let high = band.high.max(sealed_leg_froude(bore));
    let narrowed = if value <= band.nominal {
        held * value
    } else if value <= band.high {
        let (low, share) = (
            held * band.nominal,
            (value - band.nominal) / (band.high - band.nominal),
        );
        low + (high - low) * share
    } else {
        high / band.high * value
    };
    // Under 5 mm nothing is left of the factor, and of the law.
    narrowed.max(Coefficient::StartFroude.allowed().0.min(value))
}

/// One definite value for each coefficient: what a simulation runs on.
#[derive(Debug, Clone, PartialEq)]
pub struct CoefficientValues {
    values: [f64; Coefficient::ALL.len()],
    start: StartFroude,
}

impl CoefficientValues {
    /// The value of one coefficient.
    pub fn get(&self, which: Coefficient) -> f64 {
        self.values[which as usize]
    }

    /// The same values with one replaced.
    #[must_use]
    pub fn with(mut self, which: Coefficient, value: f64) -> Self {
        self.values[which as usize] = value;
        self
    }

    /// The same values with a start Froude number that holds in every bore as it is.
    #[must_use]
    pub fn with_given_start(mut self, froude: f64) -> Self {
        self.start = StartFroude::Given;
        self.with(Coefficient::StartFroude, froude)
    }

    /// Pipe Froude number at which a siphon of `bore` `[m]` starts `[-]`.
    ///
    /// A value of the usual band is that of wide bores. Under 16 mm its low end and its
    /// nominal value are multiplied by `1 - exp((3.37 - Eo) / 10)` (White & Beardmore 1962,
    /// Wallis 1969, from memory), under 24 mm its high end is `0.29 / sqrt(g D)` (derived
    /// here, from Goda et al. 2003); under 10 mm the law ends. A given value stays as it is.
    pub fn start_froude(&self, bore: f64, water: &Water) -> f64 {
        start_froude(self.get(Coefficient::StartFroude), self.start, bore, water)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 12 mm: Eo 19.38, factor 0.798; 0.29 / sqrt(9.80665 x 0.012) = 0.845.
    #[test]
    fn narrow_bores_start_at_less_or_at_more_than_wide_ones() {
        let Ok(water) = Water::at(20.0) else { return };
        let soft = Coefficients::default();
        let close = |band: Band, low: f64, nominal: f64, high: f64| {
            assert!((band.low - low).abs() < 5e-4, "{band:?}");
            assert!((band.nominal - nominal).abs() < 5e-4, "{band:?}");
            assert!((band.high - high).abs() < 5e-4, "{band:?}");
        };
        close(soft.start_froude(0.012, &water), 0.2395, 0.3592, 0.8454);
        close(soft.start_froude(0.010, &water), 0.1906, 0.2859, 0.9261);
        close(soft.start_froude(0.016, &water), 0.30, 0.45, 0.7321);
        close(soft.start_froude(0.0266, &water), 0.30, 0.45, 0.60);
        // What is left of a law that has ended must still be a flow.
        assert!(soft.start_froude(0.004, &water).low > 0.0);
    }

    #[test]
    fn a_given_start_froude_number_holds_in_every_bore() {
        let Ok(water) = Water::at(20.0) else { return };
        let mut soft = Coefficients::default();
        let band = Band::new(0.30, 0.45, 0.60);
        soft.give(Coefficient::StartFroude, band);
        assert_eq!(soft.start_froude(0.012, &water), band);
        assert_eq!(soft.nominal().start_froude(0.008, &water), 0.45);
        assert_eq!(
            Coefficients::known(&soft.nominal()).start_froude(0.012, &water),
            Band::exact(0.45)
        );
    }

    #[test]
    fn a_value_keeps_its_place_in_the_band_of_a_narrow_bore() {
        let Ok(water) = Water::at(20.0) else { return };
        let soft = Coefficients::default();
        let band = soft.start_froude(0.012, &water);
        let at = |value: f64| {
            let values = soft.nominal().with(Coefficient::StartFroude, value);
            values.start_froude(0.012, &water)
        };
        for (value, there) in [(0.30, band.low), (0.45, band.nominal), (0.60, band.high)] {
            assert!((at(value) - there).abs() < 1e-12);
        }
        assert!((at(0.525) - 0.5 * (band.nominal + band.high)).abs() < 1e-12);
        // Where nothing is left of the law the number stands still, but never falls.
        let steps = (1..100).map(|k| (0.01 * f64::from(k), 0.01 * f64::from(k) + 0.01));
        for (less, more) in steps {
            assert!(
                at(more) > at(less) || (less < 0.07 && at(more) == at(less)),
                "{less}"
            );
        }
    }

    #[test]
    fn every_default_band_is_ordered_and_allowed() {
        for which in Coefficient::ALL {
            let band = which.default_band();
            let (least, most) = which.allowed();
            assert!(
                band.low <= band.nominal && band.nominal <= band.high,
                "{which:?}"
            );
            assert!(least <= band.low && band.high <= most, "{which:?}");
            assert_eq!(Coefficient::from_key(which.key()), Some(which));
            assert_eq!(Coefficients::default()[which], band);
        }
    }
}
