//! Areas given step by step over the depth, linear in between.

/// Depth at which a floor area growing by `rise` per depth holds `volume`.
pub(super) fn linear_area_depth(floor: f64, rise: f64, volume: f64) -> f64 {
    let root = (floor * floor + 2.0 * rise * volume).max(0.0).sqrt();
    2.0 * volume / (floor + root)
}

/// Volume of the table's slab below row `i`.
pub(super) fn slab(depth: &[f64], area: &[f64], i: usize) -> f64 {
    0.5 * (area[i - 1] + area[i]) * (depth[i] - depth[i - 1])
}

/// Linear between the rows, constant beyond them.
pub(super) fn table_area(depth: &[f64], area: &[f64], h: f64) -> f64 {
    for i in 1..depth.len().min(area.len()) {
        if h <= depth[i] {
            let t = ((h - depth[i - 1]) / (depth[i] - depth[i - 1])).max(0.0);
            return area[i - 1] + t * (area[i] - area[i - 1]);
        }
    }
    area.last().copied().unwrap_or(0.0)
}
