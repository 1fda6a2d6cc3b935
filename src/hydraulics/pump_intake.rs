//! Cover of a pump's intake: advice against air drawn in by a vortex.

use std::f64::consts::PI;

use super::constants::GRAVITY;

/// Advised depth of water over an intake `[m]`: `S = D (1 + 2.3 F)`, with
/// `F = V / sqrt(g D)` on the intake's opening.
///
/// The rule `S = D + 0.574 Q / D^1.5` (inch, US gal/min) of ANSI/HI 9.8 for
/// pump intakes (from memory), in SI.
///
/// # Arguments
/// * `opening` - diameter `[m]` of the intake, or of the circle with the area of its screen
/// * `flow` - flow `[m3/s]`; its sign does not matter
///
/// Valid for stations with openings of 0.1 m and more; for the small pumps of
/// this tool, an extrapolation that asks for more cover than most need. Advice,
/// never a check.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::pump_intake::advised_submergence;
/// let s = advised_submergence(0.030, 2000.0 / 3.6e6); // 30 mm, 2000 L/h
/// assert!((s - 0.130).abs() < 0.001); // m
/// ```
pub fn advised_submergence(opening: f64, flow: f64) -> f64 {
    let velocity = 4.0 * flow.abs() / (PI * opening * opening);
    opening + 2.3 * opening * velocity / (GRAVITY * opening).sqrt()
}

/// Diameter `[m]` of the circle that has an `area` `[m2]`: the opening of a
/// screened intake. Valid for areas of 0 and more.
pub fn equivalent_opening(area: f64) -> f64 {
    (4.0 * area / PI).sqrt()
}
