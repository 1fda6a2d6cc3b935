//! How far the inputs may be off.

/// Widest tolerances allowed: tape `[m]`, void `[-]`, shares of a bore and of the pump's speed `[-]`.
const MOST_TAPE: f64 = 0.1;
const MOST_VOID: f64 = 0.3;
const MOST_BORE: f64 = 0.2;
const MOST_PUMP: f64 = 0.5;
/// Usual tolerance of a bore `[-]`: half the span between the least and the greatest
/// bore that the limits of outside diameter and wall in ASTM D1785 leave a 1 in
/// Schedule 40 pipe (secondary copy), 2.4 %. It is 4.0 % at 1/2 in, 1.9 % at 1-1/4 in
/// and 1.3 % at 2 in.
///
/// It is a span around the middle of those limits. A bore looked up by nominal
/// size lies near their upper end (see [`crate::hydraulics::pipe_sizes`]) and wants
/// a wider tolerance or a calliper.
const USUAL_BORE: f64 = 0.025;

/// How far the inputs may be off, either way; every value within is as likely.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerances {
    /// Every length measured or cut by tape `[m]`, 0 to 0.1.
    pub tape: f64,
    /// Bore of every pipe and bell, as a share `[-]`, 0 to 0.2.
    pub bore: f64,
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
            bore: USUAL_BORE,
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
            (self.bore, MOST_BORE, "the bores", 20.0, "%"),
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
