//! Which measures make a vessel.

use thiserror::Error;

/// Why a vessel's measures make no vessel.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum VesselError {
    /// A measure that is not above zero, or not finite.
    #[error("{measure} of {value} is not a positive number")]
    NotPositive {
        /// Which measure.
        measure: &'static str,
        /// Its value `[m]` or `[m2]`.
        value: f64,
    },
    /// A table with fewer than two rows, or with columns of different lengths.
    #[error("a table needs at least two depths and as many areas, got {depths} and {areas}")]
    TableSize {
        /// Depths given.
        depths: usize,
        /// Areas given.
        areas: usize,
    },
    /// A table that does not begin at the floor.
    #[error("the first depth of a table must be 0, the floor, not {depth}")]
    TableStart {
        /// First depth `[m]`.
        depth: f64,
    },
    /// A depth not above the one before it.
    #[error("depth {depth} in row {row} of the table is not above the one before it")]
    TableOrder {
        /// Row, counting from 1.
        row: usize,
        /// Its depth `[m]`.
        depth: f64,
    },
}

pub(super) fn positive(measures: &[(&'static str, f64)]) -> Result<(), VesselError> {
    for &(measure, value) in measures {
        if !(value > 0.0 && value.is_finite()) {
            return Err(VesselError::NotPositive { measure, value });
        }
    }
    Ok(())
}

pub(super) fn check_table(depth: &[f64], area: &[f64]) -> Result<(), VesselError> {
    if depth.len() < 2 || depth.len() != area.len() {
        return Err(VesselError::TableSize {
            depths: depth.len(),
            areas: area.len(),
        });
    }
    if depth[0] != 0.0 {
        return Err(VesselError::TableStart { depth: depth[0] });
    }
    if !(area[0] >= 0.0 && area[0].is_finite()) {
        return Err(VesselError::NotPositive {
            measure: "area",
            value: area[0],
        });
    }
    for i in 1..depth.len() {
        positive(&[("depth", depth[i]), ("area", area[i])])?;
        if depth[i] <= depth[i - 1] {
            return Err(VesselError::TableOrder {
                row: i + 1,
                depth: depth[i],
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hydraulics::vessel::VesselShape;

    #[test]
    fn bad_measures_are_named() {
        let flat = VesselShape::Box {
            length: 1.0,
            width: 0.0,
            depth: 0.3,
        };
        assert_eq!(
            flat.check(),
            Err(VesselError::NotPositive {
                measure: "width",
                value: 0.0
            })
        );
        let endless = VesselShape::LyingCylinder {
            diameter: f64::NAN,
            length: 1.0,
        };
        assert!(matches!(
            endless.check(),
            Err(VesselError::NotPositive {
                measure: "diameter",
                ..
            })
        ));
        let table = |depth: &[f64], area: &[f64]| {
            VesselShape::Table {
                depth: depth.to_vec(),
                area: area.to_vec(),
            }
            .check()
        };
        assert_eq!(
            table(&[0.0], &[1.0]),
            Err(VesselError::TableSize {
                depths: 1,
                areas: 1
            })
        );
        assert_eq!(
            table(&[0.0, 0.1], &[1.0]),
            Err(VesselError::TableSize {
                depths: 2,
                areas: 1
            })
        );
        assert_eq!(
            table(&[0.1, 0.2], &[1.0, 1.0]),
            Err(VesselError::TableStart { depth: 0.1 })
        );
        assert_eq!(
            table(&[0.0, 0.2, 0.2], &[1.0, 1.0, 1.0]),
            Err(VesselError::TableOrder { row: 3, depth: 0.2 })
        );
        assert!(table(&[0.0, 0.2], &[-1.0, 1.0]).is_err());
        assert!(table(&[0.0, 0.2], &[0.0, 0.0]).is_err());
        assert!(table(&[0.0, f64::INFINITY], &[1.0, 1.0]).is_err());
    }
}
