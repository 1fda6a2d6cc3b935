//! What a fit can change, how far each may credibly be from the scenario, and the system
//! with it changed.

use crate::model::{
    Band, Bed, Coefficient, CoefficientValues, DrainLosses, Inlet, PumpSource, System,
};
use crate::numerics::maths::Maths;
use crate::siphon::SiphonLaw;

/// Soft coefficients that measurements on a running bed can tell anything about. Slot
/// orifice and cap turn are part of the total loss.
const SOFT: [Coefficient; 9] = [
    Coefficient::StartFroude,
    Coefficient::SealedVoid,
    Coefficient::PrimingCarry,
    Coefficient::LipWeir,
    Coefficient::LipOrifice,
    Coefficient::SlotDip,
    Coefficient::AirCarryVelocity,
    Coefficient::LineManning,
    Coefficient::JunctionEntry,
];

/// Drainable void over the scenario's, as a band; common practice, no source.
const VOID: Band = Band::new(0.70, 1.0, 1.30);
/// Speed of a pump over that of its curve: plates promise 10 to 30 % too much, pumps wear,
/// valves stand a little off; common practice, no source.
const SPEED: Band = Band::new(0.75, 1.0, 1.15);
/// A flow given as measured, over its value today; common practice, no source.
const FLOW: Band = Band::new(0.80, 1.0, 1.20);
/// Fitting losses over the table's: published K for one fitting differ by a factor of two.
const FITTINGS: (f64, f64) = (0.7, 1.4);
/// Slime and dirt raise the whole loss up to this; common practice, no source.
const DIRT: f64 = 1.5;
/// A measured total loss over its value today; common practice, no source.
const TOTAL: Band = Band::new(0.70, 1.0, 1.60);

/// Something a fit may change. Numbers are indices of beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unknown {
    /// Drainable void of a bed's gravel `[-]`.
    Void(usize),
    /// Total loss coefficient of a bed's siphon on the bore velocity `[-]`.
    TotalLoss(usize),
    /// Speed of the pump over the scenario's `[-]`.
    PumpSpeed,
    /// Flow of a pump given as a steady flow, over the scenario's `[-]`.
    PumpFlow,
    /// Inflow of a bed given as measured, over the scenario's `[-]`.
    Inflow(usize),
    /// A soft coefficient, for all beds together.
    Soft(Coefficient),
}

impl Unknown {
    /// Whether a person asks for it by itself; others only carry their doubt along.
    pub const fn is_headline(self) -> bool {
        !matches!(
            self,
            Self::Soft(
                Coefficient::LipWeir
                    | Coefficient::LipOrifice
                    | Coefficient::SlotDip
                    | Coefficient::AirCarryVelocity
                    | Coefficient::PrimingCarry
                    | Coefficient::LineManning
                    | Coefficient::JunctionEntry
            )
        )
    }
}

/// A value in units of its own doubt: 0 is the scenario's, -2 and 2 are the ends of the
/// credible band, and a normal variate of mean 0 and deviation 1 is the prior.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    band: Band,
    allowed: (f64, f64),
    step: f64,
    bend: f64,
}

impl Scale {
    /// The smooth rising scale `v(u) = nominal + step (e^(bend u) - 1) / bend` through
    /// the band's ends at -2 and 2, held inside `allowed`. `None` for a band without width.
    pub fn new(band: Band, allowed: (f64, f64)) -> Option<Self> {
        let (down, up) = (band.nominal - band.low, band.high - band.nominal);
        let width = down + up;
        // A band without width leaves nothing to fit.
        if width <= 1e-9 * band.nominal.abs().max(1e-9) {
            return None;
        }
        // A band open to one side only is as good as shut there.
        let (down, up) = (down.max(0.05 * width), up.max(0.05 * width));
        // So that two deviations either way meet the ends of the band.
        let bend = 0.5 * (up / down).log_natural();
        // The general form divides by the bend.
        let step = if bend.abs() < 1e-9 {
            0.5 * up
        } else {
            down * bend / (1.0 - (-2.0 * bend).exponential())
        };
        Some(Self {
            band,
            allowed,
            step,
            bend: if bend.abs() < 1e-9 { 0.0 } else { bend },
        })
    }

    /// The value at `u`.
    pub fn value(&self, u: f64) -> f64 {
        let rise = if self.bend == 0.0 {
            u
        } else {
            (self.bend * u).exponential_m1() / self.bend
        };
        (self.band.nominal + self.step * rise).clamp(self.allowed.0, self.allowed.1)
    }

    /// The place of a value: [`value`](Self::value) the other way round, where nothing is held.
    pub fn place(&self, value: f64) -> f64 {
        let rise = (value - self.band.nominal) / self.step;
        if self.bend == 0.0 {
            rise
        } else {
            // Values past the end that the scale never reaches get a place far out.
            (self.bend * rise).max(-1.0 + 1e-12).log_natural_1p() / self.bend
        }
    }

    /// The credible band.
    pub fn band(&self) -> Band {
        self.band
    }

    /// Least and greatest value that a scenario accepts.
    pub fn allowed(&self) -> (f64, f64) {
        self.allowed
    }
}

/// An unknown with its scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    /// What.
    pub unknown: Unknown,
    /// How it is scaled.
    pub scale: Scale,
}

/// What a fit on `beds` of `system` may change, headline unknowns first. Coefficients that
/// the scenario gives as exact are left alone. The start Froude number is that of the first
/// of `beds` in its own bore, as a scenario would give it.
pub fn priors(system: &System, beds: &[usize]) -> Vec<Prior> {
    let mut found: Vec<(Unknown, Band, (f64, f64))> = Vec::new();
    for &i in beds {
        let Some(bed) = system.beds.get(i) else {
            continue;
        };
        let void = bed.media.void;
        found.push((Unknown::Void(i), times(VOID, void), (0.05, 0.95)));
        found.push((Unknown::TotalLoss(i), loss_band(system, bed), (0.0, 200.0)));
    }
    match (&system.pump.source, system.beds.first().map(|b| &b.inlet)) {
        (PumpSource::Curve(_), _) => found.push((Unknown::PumpSpeed, SPEED, (0.3, 1.8))),
        (PumpSource::Steady(_), Some(Inlet::Measured(_))) => {
            found.extend(beds.iter().map(|&i| (Unknown::Inflow(i), FLOW, (0.2, 3.0))));
        }
        (PumpSource::Steady(_), _) => found.push((Unknown::PumpFlow, FLOW, (0.2, 3.0))),
    }
    let measured = beds.first().copied().unwrap_or(0);
    for which in SOFT {
        if !which.is_of_line() || system.drain_line.is_some() {
            let band = match (which, system.beds.get(measured)) {
                (Coefficient::StartFroude, Some(bed)) => system
                    .coefficients
                    .start_froude(bed.siphon.standpipe.bore, &system.water),
                _ => system.coefficients[which],
            };
            found.push((Unknown::Soft(which), band, which.allowed()));
        }
    }
    found
        .into_iter()
        .filter_map(|(unknown, band, allowed)| {
            Scale::new(band, allowed).map(|scale| Prior { unknown, scale })
        })
        .collect()
}

fn times(band: Band, by: f64) -> Band {
    Band::new(band.low * by, band.nominal * by, band.high * by)
}

/// The total loss as computed, with the ends that its parts leave.
fn loss_band(system: &System, bed: &Bed) -> Band {
    let values = system.coefficients.nominal();
    let k = |bed: &Bed, values: &CoefficientValues| {
        let law = SiphonLaw::new(bed, &system.water, values);
        law.total_loss(law.stall_flow(law.outlet()))
    };
    let DrainLosses::Computed { .. } = bed.siphon.drain.losses else {
        // A flow hangs on 1 + K, so the share is one of that; K alone may be near nothing.
        let head = 1.0 + k(bed, &values);
        let band = times(TOTAL, head);
        return Band::new(band.low - 1.0, band.nominal - 1.0, band.high - 1.0);
    };
    let with = |share: f64, slots: f64, cap: f64| {
        let mut bed = bed.clone();
        if let DrainLosses::Computed { k, .. } = &mut bed.siphon.drain.losses {
            *k *= share;
        }
        let values = values
            .clone()
            .with(Coefficient::SlotOrifice, slots)
            .with(Coefficient::CapTurn, cap);
        k(&bed, &values)
    };
    let (slots, cap) = (
        system.coefficients[Coefficient::SlotOrifice],
        system.coefficients[Coefficient::CapTurn],
    );
    let nominal = k(bed, &values);
    let low = with(FITTINGS.0, slots.high, cap.low);
    let high = with(FITTINGS.1, slots.low, cap.high);
    Band::new(low.min(0.9 * nominal), nominal, high.max(DIRT * nominal))
}

/// `system` and its coefficients with every unknown at its place `u`.
pub fn applied(system: &System, priors: &[Prior], u: &[f64]) -> (System, CoefficientValues) {
    let mut changed = system.clone();
    let mut values = system.coefficients.nominal();
    for (prior, &u) in priors.iter().zip(u) {
        let value = prior.scale.value(u);
        match prior.unknown {
            Unknown::Void(i) => changed.beds[i].media.void = value,
            Unknown::TotalLoss(i) => {
                changed.beds[i].siphon.drain.losses = DrainLosses::Total { k: value };
            }
            Unknown::PumpSpeed => {
                if let PumpSource::Curve(curve) = &system.pump.source
                    && let Ok(curve) = curve.at_speed(value)
                {
                    changed.pump.source = PumpSource::Curve(curve);
                }
            }
            Unknown::PumpFlow => {
                if let PumpSource::Steady(flow) = system.pump.source {
                    changed.pump.source = PumpSource::Steady(flow * value);
                }
            }
            Unknown::Inflow(i) => {
                if let (Inlet::Measured(flow), PumpSource::Steady(total)) =
                    (&system.beds[i].inlet, &mut changed.pump.source)
                {
                    // What goes elsewhere stays as it is.
                    *total += flow * (value - 1.0);
                    changed.beds[i].inlet = Inlet::Measured(flow * value);
                }
            }
            // What is measured holds as it is, in every bore, when it is put into the file.
            Unknown::Soft(Coefficient::StartFroude) => values = values.with_given_start(value),
            Unknown::Soft(which) => values = values.with(which, value),
        }
    }
    (changed, values)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_scale_passes_its_band_and_stays_in_range() {
        for which in Coefficient::ALL {
            let band = which.default_band();
            let scale = Scale::new(band, which.allowed()).unwrap();
            for (u, value) in [(-2.0, band.low), (0.0, band.nominal), (2.0, band.high)] {
                assert!((scale.value(u) - value).abs() < 1e-9, "{which:?} {u}");
            }
            let (least, most) = which.allowed();
            let mut last = f64::NEG_INFINITY;
            for k in -40..=40 {
                let value = scale.value(f64::from(k) * 0.2);
                assert!(value >= last && value >= least && value <= most);
                last = value;
            }
        }
        assert_eq!(Scale::new(Band::exact(0.45), (0.05, 2.0)), None);
    }
}
