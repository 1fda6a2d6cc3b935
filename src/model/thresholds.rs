//! Limits that the checks compare with.

/// Every limit a check uses; a scenario's `[checks]` table replaces any.
#[derive(Debug, Clone, PartialEq)]
pub struct Thresholds {
    /// Dry media wanted above peak water `[m]`; common practice 2 in.
    pub dry_layer: f64,
    /// Less than this fails, between this and `dry_layer` warns `[m]`; common practice 1.5 in.
    pub dry_layer_least: f64,
    /// Assumed error in levelling bed and standpipe `[m]`.
    pub levelling_error: f64,
    /// Wall left above the water when a siphon is dead `[m]`.
    pub rim_freeboard: f64,
    /// Inflow over siphon flow at break: above this warns `[-]`.
    pub inflow_ratio: f64,
    /// Inflow over siphon flow at break: above this fails `[-]`.
    pub inflow_ratio_most: f64,
    /// Shortest period wanted `[s]`.
    pub period_least: f64,
    /// Longest period wanted `[s]`.
    pub period_most: f64,
    /// Freeboard under the sump's overflow `[m]`.
    pub sump_freeboard: f64,
    /// Rim to ceiling wanted for plants `[m]`; `None`: not checked.
    pub growing_height: Option<f64>,
    /// Depth of water that the fish need `[m]`; `None`: half the usual depth of the vessel
    /// they live in, common practice.
    pub tank_depth: Option<f64>,
    /// How far an arm reaches over a bed from one side `[m]`; common practice, no source: 0.6
    /// to 0.75 m.
    pub reach: f64,
    /// Most dissolved matter wanted in the water `[kg/m3]`; `None`: not checked.
    pub dissolved: Option<f64>,
    /// Lowest crown pressure, absolute `[Pa]`.
    pub crown_pressure: f64,
    /// Bell water falling back after the break: warn above this rise `[m]`.
    pub fall_back: f64,
}

impl Default for Thresholds {
    fn default() -> Self {
        Self {
            dry_layer: 0.050,
            dry_layer_least: 0.038,
            levelling_error: 0.005,
            rim_freeboard: 0.025,
            inflow_ratio: 0.5,
            inflow_ratio_most: 0.7,
            period_least: 900.0,
            period_most: 3600.0,
            sump_freeboard: 0.050,
            growing_height: None,
            tank_depth: None,
            reach: 0.60,
            dissolved: None,
            // Well over the vapour pressure of water, so that the column does not tear.
            crown_pressure: 30_000.0,
            fall_back: 0.005,
        }
    }
}
