//! Constants shared by every formula.

/// Standard acceleration of gravity `[m/s2]`, exact by definition (3rd CGPM 1901; ISO 80000-3).
///
/// The local value differs by up to 0.3 % between the equator and the poles;
/// flows go with its square root.
pub const GRAVITY: f64 = 9.80665;

/// Standard atmosphere `[Pa]`, exact by definition (10th CGPM 1954).
///
/// At 1500 m above the sea the real pressure is about 16 % lower.
pub const STANDARD_ATMOSPHERE: f64 = 101_325.0;
