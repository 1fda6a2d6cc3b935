//! Size of a settler: surface loading and retention.
//!
//! A particle stays behind when it sinks faster than the water would rise
//! if the whole flow went up through the water's surface, `Q / A`, whatever
//! the depth (Hazen 1904, from memory). Depth only gives time. What is caught depends
//! on the solids: fresh fish waste settles, stirred-up fines do not.

use std::f64::consts::PI;

/// Surface loading up to which a radial-flow settler works well `[m/s]`: 11 m3/m2/h.
///
/// J. Davidson and S. T. Summerfelt, Aquacultural Engineering 33 (2005) 47:
/// at 11.2 m3/m2/h it took 78 % of the solids, a swirl separator 37 %
/// (figures from memory).
pub const RADIAL_FLOW_LOADING: f64 = 11.0 / 3600.0;

/// Surface loading of a plain basin `[m/s]`: 2.4 m3/m2/h, about 1 US gal/min
/// per square foot (from memory, publication not recalled).
pub const PLAIN_BASIN_LOADING: f64 = 2.4 / 3600.0;

/// Retention asked of a plain settling tank `[s]`: 30 min (from memory; common practice).
pub const RETENTION: f64 = 1800.0;

/// Surface loading `[m/s]` of a flow `[m3/s]` over a water surface `[m2]`:
/// `Q / A`. Multiply by 3600 for m3/m2/h.
///
/// Range: only the surface that water rises through; without its inlet well
/// and outlet trough.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::settling::{RADIAL_FLOW_LOADING, surface_loading};
/// let area = 0.25 * std::f64::consts::PI * 0.57_f64.powi(2); // an upright drum
/// let loading = surface_loading(2500.0 / 3.6e6, area); // 2500 L/h
/// assert!((loading * 3600.0 - 9.8).abs() < 0.01); // m3/m2/h
/// assert!(loading < RADIAL_FLOW_LOADING);
/// ```
pub fn surface_loading(flow: f64, area: f64) -> f64 {
    flow / area
}

/// Water surface `[m2]` that keeps a flow `[m3/s]` at a loading `[m/s]`.
/// Valid for loadings above 0.
pub fn area_for_loading(flow: f64, loading: f64) -> f64 {
    flow / loading
}

/// Diameter `[m]` of a round settler that keeps a flow `[m3/s]` at a loading `[m/s]`.
/// Valid for loadings above 0.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::settling::{RADIAL_FLOW_LOADING, diameter_for_loading};
/// let d = diameter_for_loading(2500.0 / 3.6e6, RADIAL_FLOW_LOADING);
/// assert!((d - 0.538).abs() < 0.001); // m
/// ```
pub fn diameter_for_loading(flow: f64, loading: f64) -> f64 {
    (4.0 * area_for_loading(flow, loading) / PI).sqrt()
}

/// The most flow `[m3/s]` a surface `[m2]` takes at a loading `[m/s]`. Valid for any.
pub fn flow_at_loading(area: f64, loading: f64) -> f64 {
    area * loading
}

/// Time `[s]` that a flow `[m3/s]` takes to renew a volume `[m3]`: the mean
/// stay. Range: short circuits make the real stay of much of the water shorter.
pub fn retention_time(volume: f64, flow: f64) -> f64 {
    volume / flow
}

/// Volume `[m3]` that keeps a flow `[m3/s]` for a time `[s]`. Valid for any.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::settling::{RETENTION, volume_for_retention};
/// let v = volume_for_retention(2500.0 / 3.6e6, RETENTION);
/// assert!((v - 1.25).abs() < 1e-12); // m3 for 2500 L/h
/// ```
pub fn volume_for_retention(flow: f64, time: f64) -> f64 {
    flow * time
}
