//! The inputs that are not known exactly, and a system with other values of them.

use crate::model::{Coefficient, CoefficientValues, Inlet, PumpSource, System};
use crate::study::map_quantity::{MapQuantity, Unbuildable, fits};

/// Widest tolerances allowed: tape `[m]`, void `[-]`, share of the pump's speed `[-]`.
const MOST_TAPE: f64 = 0.1;
const MOST_VOID: f64 = 0.3;
const MOST_PUMP: f64 = 0.5;
/// Media keep a void of at least this, at most one less this `[-]`.
const LEAST_VOID: f64 = 0.05;

/// How far the inputs may be off, either way; every value within is as likely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerances {
    /// Every length measured or cut by tape `[m]`, 0 to 0.1.
    pub tape: f64,
    /// Drainable void of the media `[-]`, 0 to 0.3.
    pub void: f64,
    /// The pump, as a share `[-]`, 0 to 0.5: of a measured flow, or of the speed
    /// behind a curve, whose flow goes with the speed and whose head with its square.
    pub pump: f64,
    /// Whether the soft coefficients vary over their bands.
    pub coefficients: bool,
}

impl Default for Tolerances {
    fn default() -> Self {
        Self {
            tape: 0.003,
            void: 0.03,
            pump: 0.10,
            coefficients: true,
        }
    }
}

/// Why tolerances cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TolerancesError {
    /// Out of range.
    #[error("the tolerance of {what} must be 0 to {most} {unit}")]
    Range {
        /// Which.
        what: &'static str,
        /// Most allowed, in `unit`.
        most: f64,
        /// Unit shown.
        unit: &'static str,
    },
    /// All are zero.
    #[error("nothing varies: every tolerance is zero and every coefficient exact")]
    Nothing,
}

impl Tolerances {
    /// Whether they are in range.
    ///
    /// # Errors
    /// [`TolerancesError::Range`].
    pub fn check(&self) -> Result<(), TolerancesError> {
        for (value, most, what, shown, unit) in [
            (self.tape, MOST_TAPE, "the tape", 100.0, "mm"),
            (self.void, MOST_VOID, "the void", MOST_VOID, "(a fraction)"),
            (self.pump, MOST_PUMP, "the pump", 50.0, "%"),
        ] {
            if !(0.0..=most).contains(&value) {
                return Err(TolerancesError::Range {
                    what,
                    most: shown,
                    unit,
                });
            }
        }
        Ok(())
    }
}

/// What one input is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// Bed floor to lip.
    Standpipe,
    /// Depth of gravel.
    Gravel,
    /// Height of the bell's openings.
    Openings,
    /// Lip to cap.
    Clearance,
    /// Bed floor down to the outlet.
    Drop,
    Void,
    SumpLevel,
    Pump,
    Soft(Coefficient),
}

/// One uncertain input and its range.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    kind: Kind,
    /// Index of the bed it belongs to; `None`: the whole system.
    bed: Option<usize>,
    /// Name in files and on pages: `north: standpipe`, `start-froude`.
    pub name: String,
    /// SI unit of the range, `1` for plain numbers.
    pub unit: &'static str,
    /// Least value; of lengths, void and pump the change from the scenario's.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

impl Input {
    /// The value at a position from 0 to 1 in its range.
    pub fn value(&self, position: f64) -> f64 {
        self.low + (self.high - self.low) * position
    }
}

/// Every input of `system` that varies within `tolerances`.
pub(super) fn inputs(system: &System, tolerances: &Tolerances) -> Vec<Input> {
    let mut found = Vec::new();
    let mut either_way = |kind, bed: Option<usize>, what: &str, unit, by: f64| {
        if by > 0.0 {
            let name = match bed.and_then(|i| system.beds.get(i)) {
                Some(bed) => format!("{}: {what}", bed.name),
                None => what.to_owned(),
            };
            found.push(Input {
                kind,
                bed,
                name,
                unit,
                low: -by,
                high: by,
            });
        }
    };
    for i in 0..system.beds.len() {
        for (kind, what) in [
            (Kind::Standpipe, "standpipe"),
            (Kind::Gravel, "gravel depth"),
            (Kind::Openings, "slot height"),
            (Kind::Clearance, "clearance"),
            (Kind::Drop, "drop to outlet"),
        ] {
            either_way(kind, Some(i), what, "m", tolerances.tape);
        }
        either_way(Kind::Void, Some(i), "void", "1", tolerances.void);
    }
    either_way(Kind::SumpLevel, None, "sump level", "m", tolerances.tape);
    either_way(Kind::Pump, None, "pump", "1", tolerances.pump);
    if tolerances.coefficients {
        for which in Coefficient::ALL {
            let band = system.coefficients[which];
            let used = which != Coefficient::LineManning || system.drain_line.is_some();
            if used && band.low < band.high {
                found.push(Input {
                    kind: Kind::Soft(which),
                    bed: None,
                    name: which.key().to_owned(),
                    unit: "SI",
                    low: band.low,
                    high: band.high,
                });
            }
        }
    }
    found
}

/// `base` with a `value` for each of `inputs`, its coefficients exactly known.
///
/// # Errors
/// [`Unbuildable`] when its parts no longer fit each other.
pub(super) fn drawn(
    base: &System,
    inputs: &[Input],
    values: &[f64],
) -> Result<(System, CoefficientValues), Unbuildable> {
    let mut system = base.clone();
    let mut soft = base.coefficients.nominal();
    for (input, &value) in inputs.iter().zip(values) {
        match (input.kind, input.bed) {
            (Kind::Soft(which), _) => soft = soft.with(which, value),
            (Kind::Pump, _) => turn_pump(&mut system, 1.0 + value),
            (Kind::SumpLevel, _) => {
                let sump = &mut system.sump;
                sump.start_level = (sump.start_level + value).min(sump.overflow_level);
                if sump.start_level <= sump.floor {
                    return Err(Unbuildable::SumpLevel);
                }
            }
            (kind, Some(i)) => change_bed(&mut system, i, kind, value)?,
            (_, None) => {}
        }
    }
    for which in Coefficient::ALL {
        system.coefficients[which] = crate::model::Band::exact(soft.get(which));
    }
    for bed in &system.beds {
        fits(bed, &system)?;
    }
    Ok((system, soft))
}

fn change_bed(system: &mut System, i: usize, kind: Kind, by: f64) -> Result<(), Unbuildable> {
    let quantity = match kind {
        Kind::Standpipe => MapQuantity::Standpipe,
        Kind::Clearance => MapQuantity::Clearance,
        Kind::Drop => MapQuantity::Drop,
        _ => {
            if let Some(bed) = system.beds.get_mut(i) {
                let wall = bed.rim - bed.floor;
                let bell = &mut bed.siphon.bell;
                match kind {
                    Kind::Gravel => bed.media.depth = (bed.media.depth + by).min(wall),
                    Kind::Void => {
                        bed.media.void = (bed.media.void + by).clamp(LEAST_VOID, 1.0 - LEAST_VOID);
                    }
                    _ => {
                        bell.slots.crown += by;
                        bell.slots.height += by;
                        if let Some(tube) = &mut bell.air_tube {
                            tube.mouth += by;
                        }
                        if bell.slots.height <= 0.0 {
                            return Err(Unbuildable::Value);
                        }
                    }
                }
            }
            return Ok(());
        }
    };
    let now = quantity.value(system, i).ok_or(Unbuildable::Value)?;
    quantity.build(system, i, now + by)
}

/// The pump at `ratio` of its speed; a measured flow at `ratio` of itself.
fn turn_pump(system: &mut System, ratio: f64) {
    match &mut system.pump.source {
        PumpSource::Steady(flow) => *flow *= ratio,
        PumpSource::Curve(curve) => {
            if let Ok(turned) = curve.at_speed(ratio) {
                *curve = turned;
            }
        }
    }
    for bed in &mut system.beds {
        if let Inlet::Measured(flow) = &mut bed.inlet {
            *flow *= ratio;
        }
    }
}
