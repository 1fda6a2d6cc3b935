//! The inflow window with its bands.

use crate::hydraulics::water::Water;
use crate::model::{Band, Bed, Coefficient, Coefficients};
use crate::siphon::SiphonLaw;

/// Which end of every band to take together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extreme {
    /// The siphon discharges least, its lip too, and runs on soonest.
    LeastDischarge,
    /// The siphon discharges most, its lip too, and breaks at the highest inflow.
    MostDischarge,
}

/// Start, run-on and stall flows of one siphon with their bands `[m3/s]`.
#[derive(Debug, Clone, PartialEq)]
pub struct InflowWindow {
    /// Inflow needed to start.
    pub start: Band,
    /// Inflow above which it runs on.
    pub run_on: Band,
    /// Inflow at which it never comes down to its break level.
    pub stall: Band,
}

impl InflowWindow {
    /// The window of `bed` with its outlet looking at `tail` `[m]`.
    pub fn new(bed: &Bed, water: &Water, coefficients: &Coefficients, tail: f64) -> Self {
        let nominal = SiphonLaw::new(bed, water, &coefficients.nominal());
        let least = SiphonLaw::extreme(bed, water, coefficients, Extreme::LeastDischarge);
        let most = SiphonLaw::extreme(bed, water, coefficients, Extreme::MostDischarge);
        let froude = coefficients.start_froude(bed.siphon.standpipe.bore, water);
        let per_froude = nominal.start_flow() / froude.nominal;
        Self {
            start: Band::new(
                per_froude * froude.low,
                nominal.start_flow(),
                per_froude * froude.high,
            ),
            run_on: ordered(
                least.run_on_flow(tail),
                nominal.run_on_flow(tail),
                most.run_on_flow(tail),
            ),
            stall: ordered(
                least.stall_flow(tail),
                nominal.stall_flow(tail),
                most.stall_flow(tail),
            ),
        }
    }

    /// Whether no inflow both starts it and breaks it beyond doubt.
    pub fn has_no_sure_inflow(&self) -> bool {
        self.start.high > self.breaks_below().low
    }

    /// Greatest inflow at which it still breaks: the lower of run-on and stall.
    pub fn breaks_below(&self) -> Band {
        Band::new(
            self.run_on.low.min(self.stall.low),
            self.run_on.nominal.min(self.stall.nominal),
            self.run_on.high.min(self.stall.high),
        )
    }
}

/// A band that stays ordered where a higher break level outweighs a lower loss.
fn ordered(least: f64, nominal: f64, most: f64) -> Band {
    Band::new(least.min(nominal), nominal, most.max(nominal))
}

impl SiphonLaw {
    /// The siphon of `bed` with every coefficient at the end of its band that
    /// gives the asked extreme of discharge and run-on. What starts and primes it stays
    /// nominal.
    pub fn extreme(
        bed: &Bed,
        water: &Water,
        coefficients: &Coefficients,
        extreme: Extreme,
    ) -> Self {
        let end = |which: Coefficient, low_for_least: bool| {
            let band = coefficients[which];
            match (extreme, low_for_least) {
                (Extreme::LeastDischarge, true) | (Extreme::MostDischarge, false) => band.low,
                _ => band.high,
            }
        };
        let values = coefficients
            .nominal()
            .with(
                Coefficient::SlotOrifice,
                end(Coefficient::SlotOrifice, true),
            )
            .with(Coefficient::LipWeir, end(Coefficient::LipWeir, true))
            .with(Coefficient::LipOrifice, end(Coefficient::LipOrifice, true))
            .with(Coefficient::CapTurn, end(Coefficient::CapTurn, false))
            .with(Coefficient::SlotDip, end(Coefficient::SlotDip, true))
            .with(Coefficient::SealedVoid, end(Coefficient::SealedVoid, false))
            .with(
                Coefficient::AirCarryVelocity,
                end(Coefficient::AirCarryVelocity, true),
            )
            .with(
                Coefficient::AirCarryRatio,
                end(Coefficient::AirCarryRatio, false),
            );
        Self::new(bed, water, &values)
    }
}
