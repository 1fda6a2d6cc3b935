//! Coefficients that published work leaves uncertain, each with its band.

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
pub struct Coefficients([Band; Coefficient::ALL.len()]);

impl Default for Coefficients {
    fn default() -> Self {
        Self(Coefficient::ALL.map(Coefficient::default_band))
    }
}

impl Index<Coefficient> for Coefficients {
    type Output = Band;
    fn index(&self, which: Coefficient) -> &Band {
        &self.0[which as usize]
    }
}

impl IndexMut<Coefficient> for Coefficients {
    fn index_mut(&mut self, which: Coefficient) -> &mut Band {
        &mut self.0[which as usize]
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
        CoefficientValues(self.0.map(|band| band.nominal))
    }
}

/// One definite value for each coefficient: what a simulation runs on.
#[derive(Debug, Clone, PartialEq)]
pub struct CoefficientValues([f64; Coefficient::ALL.len()]);

impl CoefficientValues {
    /// The value of one coefficient.
    pub fn get(&self, which: Coefficient) -> f64 {
        self.0[which as usize]
    }

    /// The same values with one replaced.
    #[must_use]
    pub fn with(mut self, which: Coefficient, value: f64) -> Self {
        self.0[which as usize] = value;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
