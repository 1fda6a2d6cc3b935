//! Head a pump gives against flow.

use thiserror::Error;

use crate::numerics::pchip::{Pchip, PchipError};

use super::constants::GRAVITY;

/// Why figures make no pump curve.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum PumpCurveError {
    /// Fewer than two points.
    #[error("a pump curve needs at least two points, got {count}")]
    TooFewPoints {
        /// Points given.
        count: usize,
    },
    /// A flow or head that is negative, infinite or not a number.
    #[error("point {row} of the pump curve has a flow or head that is negative or not a number")]
    BadPoint {
        /// Point, counting from 1.
        row: usize,
    },
    /// A flow not above the one before it.
    #[error("point {row} of the pump curve has no more flow than the point before it")]
    FlowNotRising {
        /// Point, counting from 1.
        row: usize,
    },
    /// A head not below the one before it.
    #[error(
        "point {row} of the pump curve has no less head than the point before it; \
         head must fall as flow rises, leave out points of a flat or drooping start"
    )]
    NotFalling {
        /// Point, counting from 1.
        row: usize,
    },
    /// A box figure that is not above zero.
    #[error("{figure} of {value} is not a positive number")]
    BadFigure {
        /// Which figure.
        figure: &'static str,
        /// Its value `[m]` or `[m3/s]`.
        value: f64,
    },
    /// A speed ratio that is not above zero.
    #[error("speed ratio {ratio} is not a positive number")]
    BadSpeed {
        /// The refused ratio `[-]`.
        ratio: f64,
    },
}

/// Head-flow curve of a pump at one speed: strictly falling, from shut-off to open flow.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::pump_curve::PumpCurve;
/// // The two figures on the box: 2.0 m and 2000 L/h.
/// let pump = PumpCurve::from_box_figures(2.0, 2000.0 / 3.6e6)?;
/// assert!(pump.is_estimate());
/// let q = pump.flow(1.5); // against 1.5 m
/// assert!((q * 3.6e6 - 1000.0).abs() < 1e-9); // L/h
/// # Ok::<(), ebbwright::hydraulics::pump_curve::PumpCurveError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub enum PumpCurve {
    /// Monotone cubic through measured points, straight beyond them.
    Points(PointCurve),
    /// `H = H0 (1 - (Q/Qmax)^2)` from the two figures on the box: an estimate.
    Parabola {
        /// Head at no flow `[m]`.
        shut_off_head: f64,
        /// Flow at no head `[m3/s]`.
        open_flow: f64,
    },
}

/// A curve through points with its straight ends; see [`PumpCurve::from_points`].
#[derive(Debug, Clone, PartialEq)]
pub struct PointCurve {
    curve: Pchip,
    /// Slopes of the straight ends `[s/m2]`, both below zero.
    ends: (f64, f64),
}

impl PumpCurve {
    /// A curve through `(flow [m3/s], head [m])` points, by rising flow and falling head.
    ///
    /// Monotone cubic between the points ([`Pchip`]); beyond the last point
    /// straight along the curve's end slope down to zero head, before the
    /// first one straight along its first slope up to zero flow. Where the end
    /// slope is zero (it may be at the ends of such a cubic) the straight line
    /// takes the slope of the end chord.
    ///
    /// Valid for points of one speed; a straight end is a guess, points near
    /// shut-off and open flow are better.
    ///
    /// # Errors
    /// [`PumpCurveError`] for fewer than two points, negative or infinite
    /// figures, flow not rising or head not falling.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::pump_curve::PumpCurve;
    /// let pump = PumpCurve::from_points(&[(0.0, 3.0), (5e-4, 2.0), (8e-4, 0.5)])?;
    /// assert_eq!(pump.head(5e-4), 2.0);
    /// assert_eq!(pump.shut_off_head(), 3.0);
    /// assert!(pump.open_flow() > 8e-4);
    /// # Ok::<(), ebbwright::hydraulics::pump_curve::PumpCurveError>(())
    /// ```
    pub fn from_points(points: &[(f64, f64)]) -> Result<PumpCurve, PumpCurveError> {
        if points.len() < 2 {
            return Err(PumpCurveError::TooFewPoints {
                count: points.len(),
            });
        }
        for (i, &(q, h)) in points.iter().enumerate() {
            let row = i + 1;
            if !(q >= 0.0 && h >= 0.0 && q.is_finite() && h.is_finite()) {
                return Err(PumpCurveError::BadPoint { row });
            }
            if i > 0 && q <= points[i - 1].0 {
                return Err(PumpCurveError::FlowNotRising { row });
            }
            if i > 0 && h >= points[i - 1].1 {
                return Err(PumpCurveError::NotFalling { row });
            }
        }
        let curve = Pchip::new(points).map_err(|error| match error {
            PchipError::TooFewPoints { count } => PumpCurveError::TooFewPoints { count },
            PchipError::NotFinite { index } => PumpCurveError::BadPoint { row: index + 1 },
            PchipError::NotIncreasing { index } => PumpCurveError::FlowNotRising { row: index + 1 },
        })?;
        let chord = |a: (f64, f64), b: (f64, f64)| (b.1 - a.1) / (b.0 - a.0);
        let last = points.len() - 1;
        let (first_slope, last_slope) = curve.end_slopes();
        let ends = (
            if first_slope < 0.0 {
                first_slope
            } else {
                chord(points[0], points[1])
            },
            if last_slope < 0.0 {
                last_slope
            } else {
                chord(points[last - 1], points[last])
            },
        );
        Ok(PumpCurve::Points(PointCurve { curve, ends }))
    }

    /// An estimate from the two figures on the box: shut-off head `[m]` and open flow `[m3/s]`.
    ///
    /// `H = H0 (1 - (Q/Qmax)^2)`, the usual shape of a centrifugal pump's
    /// curve; small magnetic-drive pumps often fall faster (exponent 1.3 to
    /// 1.8, engineering judgement, no source). Range: any two positive figures;
    /// box figures are often optimistic by 10 to 30 % (common practice, no source).
    ///
    /// # Errors
    /// [`PumpCurveError::BadFigure`] for a figure that is not positive.
    pub fn from_box_figures(
        shut_off_head: f64,
        open_flow: f64,
    ) -> Result<PumpCurve, PumpCurveError> {
        for (figure, value) in [("shut-off head", shut_off_head), ("open flow", open_flow)] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(PumpCurveError::BadFigure { figure, value });
            }
        }
        Ok(PumpCurve::Parabola {
            shut_off_head,
            open_flow,
        })
    }

    /// Head `[m]` at a flow `q` `[m3/s]`.
    ///
    /// Valid physically from no flow to open flow. It goes on falling beyond
    /// open flow (negative) and rising below no flow, so that a solver can
    /// step over both without harm.
    pub fn head(&self, q: f64) -> f64 {
        match self {
            PumpCurve::Points(points) => points.head(q),
            PumpCurve::Parabola {
                shut_off_head,
                open_flow,
            } => {
                let share = q / open_flow;
                shut_off_head * (1.0 - share * share.abs())
            }
        }
    }

    /// Slope of [`head`](Self::head) with flow `[s/m2]`, never positive.
    ///
    /// Valid for any flow `[m3/s]`.
    pub fn head_slope(&self, q: f64) -> f64 {
        match self {
            PumpCurve::Points(points) => points.slope(q),
            PumpCurve::Parabola {
                shut_off_head,
                open_flow,
            } => -2.0 * shut_off_head * q.abs() / (open_flow * open_flow),
        }
    }

    /// Flow `[m3/s]` against a head `[m]`: zero at or above shut-off.
    ///
    /// Valid for any head; a negative head (water falls through the pump)
    /// gives more than open flow along the continued curve.
    pub fn flow(&self, head: f64) -> f64 {
        if head >= self.shut_off_head() {
            return 0.0;
        }
        match self {
            PumpCurve::Points(points) => points.flow(head),
            PumpCurve::Parabola {
                shut_off_head,
                open_flow,
            } => open_flow * (1.0 - head / shut_off_head).sqrt(),
        }
    }

    /// Head at no flow `[m]`. Valid for every curve; of points that begin
    /// above zero flow an extension.
    pub fn shut_off_head(&self) -> f64 {
        match self {
            PumpCurve::Points(points) => points.head(0.0),
            PumpCurve::Parabola { shut_off_head, .. } => *shut_off_head,
        }
    }

    /// Flow at no head `[m3/s]`. Valid for every curve; of points that end
    /// above zero head an extension.
    pub fn open_flow(&self) -> f64 {
        self.flow(0.0)
    }

    /// The same pump at another speed: flow with the ratio `[-]`, head with its square.
    ///
    /// Affinity laws (Euler similarity). Valid from about half to full speed;
    /// below, small pumps lose more than the laws say (from memory).
    ///
    /// # Errors
    /// [`PumpCurveError::BadSpeed`] for a ratio that is not positive.
    pub fn at_speed(&self, ratio: f64) -> Result<PumpCurve, PumpCurveError> {
        if !(ratio > 0.0 && ratio.is_finite()) {
            return Err(PumpCurveError::BadSpeed { ratio });
        }
        Ok(match self {
            PumpCurve::Points(points) => PumpCurve::Points(PointCurve {
                curve: points.curve.scaled(ratio, ratio * ratio),
                ends: (points.ends.0 * ratio, points.ends.1 * ratio),
            }),
            PumpCurve::Parabola {
                shut_off_head,
                open_flow,
            } => PumpCurve::Parabola {
                shut_off_head: shut_off_head * ratio * ratio,
                open_flow: open_flow * ratio,
            },
        })
    }

    /// What it was made from `[m3/s]`, `[m]`: its points, or the two figures on the box as the
    /// points without flow and without head. Valid for every curve.
    pub fn points(&self) -> Vec<(f64, f64)> {
        match self {
            PumpCurve::Points(points) => points.curve.points().collect(),
            PumpCurve::Parabola {
                shut_off_head,
                open_flow,
            } => vec![(0.0, *shut_off_head), (*open_flow, 0.0)],
        }
    }

    /// Whether the curve is guessed from box figures instead of drawn through points.
    pub fn is_estimate(&self) -> bool {
        matches!(self, PumpCurve::Parabola { .. })
    }
}

impl PointCurve {
    fn head(&self, q: f64) -> f64 {
        let (first, last) = self.curve.domain();
        let (head_first, head_last) = self.curve.end_values();
        if q < first {
            head_first + self.ends.0 * (q - first)
        } else if q > last {
            head_last + self.ends.1 * (q - last)
        } else {
            self.curve.value(q)
        }
    }

    fn slope(&self, q: f64) -> f64 {
        let (first, last) = self.curve.domain();
        if q < first {
            self.ends.0
        } else if q > last {
            self.ends.1
        } else {
            self.curve.slope(q)
        }
    }

    fn flow(&self, head: f64) -> f64 {
        let (first, last) = self.curve.domain();
        let (head_first, head_last) = self.curve.end_values();
        if head > head_first {
            first + (head - head_first) / self.ends.0
        } else if head < head_last {
            last + (head - head_last) / self.ends.1
        } else {
            self.curve.inverse(head)
        }
    }
}

/// Power given to the water `[W]`: `rho g Q H`.
///
/// # Arguments
/// * `density` - of the water `[kg/m3]`
/// * `q` - flow `[m3/s]`, or a volume for the work of lifting it `[m3]`
/// * `head` - head given by the pump `[m]`
///
/// Electric power is this over the efficiency from plug to water, 0.05 to 0.20
/// for fountain pumps below 50 W, 0.15 to 0.30 up to 150 W (engineering
/// range, from memory). Valid for any flow and head.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::pump_curve::hydraulic_power;
/// let watts = hydraulic_power(998.2, 1000.0 / 3.6e6, 1.0) / 0.18;
/// assert!((watts - 15.1).abs() < 0.1);
/// ```
pub fn hydraulic_power(density: f64, q: f64, head: f64) -> f64 {
    density * GRAVITY * q * head
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    fn pumps() -> Vec<PumpCurve> {
        vec![
            PumpCurve::from_box_figures(2.0, 6e-4).unwrap(),
            PumpCurve::from_points(&[(0.0, 3.0), (3e-4, 2.4), (6e-4, 1.2), (7e-4, 0.0)]).unwrap(),
            // Begins above no flow and ends above no head.
            PumpCurve::from_points(&[(2e-4, 2.5), (4e-4, 2.0), (6e-4, 1.0)]).unwrap(),
            PumpCurve::from_points(&[(1e-4, 2.0), (5e-4, 1.0)]).unwrap(),
            // Both end slopes of the cubic are zero here: the chords take over.
            PumpCurve::from_points(&[(1e-4, 2.0), (2e-4, 1.99), (3e-4, 1.0), (4e-4, 0.99)])
                .unwrap(),
        ]
    }

    #[test]
    fn head_falls_from_below_no_flow_to_beyond_open_flow() {
        for pump in pumps() {
            let most = pump.open_flow();
            let mut last = f64::INFINITY;
            for i in -200..=1200 {
                let h = pump.head(most * f64::from(i) / 1000.0);
                assert!(h < last, "{pump:?} at {i}: {h} after {last}");
                last = h;
            }
            assert!(pump.head(most).abs() < 1e-12, "{pump:?}");
            assert_eq!(pump.head(0.0), pump.shut_off_head());
        }
    }

    // Continuity of the slope: a straight end goes on as the curve ends.
    #[test]
    fn straight_ends_go_on_as_the_curve_ends() {
        let pump = PumpCurve::from_points(&[(2e-4, 2.5), (4e-4, 2.0), (6e-4, 1.0)]).unwrap();
        for end in [2e-4, 6e-4] {
            let [under, over] = [-1e-9, 1e-9].map(|off| pump.head_slope(end + off));
            assert!((under / over - 1.0).abs() < 1e-4, "{end}: {under} {over}");
        }
    }

    #[test]
    fn flow_is_the_inverse_of_head() {
        for pump in pumps() {
            for i in 1..=1200 {
                let q = pump.open_flow() * f64::from(i) / 1000.0;
                let back = pump.flow(pump.head(q));
                assert!(
                    (back / q - 1.0).abs() < 1e-10,
                    "{pump:?}: {q} came back as {back}"
                );
            }
            assert_eq!(pump.flow(pump.shut_off_head()), 0.0);
            assert_eq!(pump.flow(pump.shut_off_head() + 1.0), 0.0);
        }
    }

    #[test]
    fn slope_agrees_with_a_central_difference() {
        for pump in pumps() {
            let e = 1e-6 * pump.open_flow();
            for i in -10..=110 {
                let q = pump.open_flow() * (f64::from(i) + 0.377) / 100.0;
                let rise = (pump.head(q + e) - pump.head(q - e)) / (2.0 * e);
                let slope = pump.head_slope(q);
                assert!(
                    (rise / slope - 1.0).abs() < 1e-4,
                    "{pump:?} at {q}: {rise}, {slope}"
                );
            }
        }
    }

    #[test]
    fn speed_moves_every_point_by_the_affinity_laws() {
        for pump in pumps() {
            let slow = pump.at_speed(0.6).unwrap();
            for i in 0..=100 {
                let q = pump.open_flow() * f64::from(i) / 100.0;
                assert!((slow.head(0.6 * q) - 0.36 * pump.head(q)).abs() < 1e-12);
            }
            let back = slow.at_speed(1.0 / 0.6).unwrap();
            assert!((back.open_flow() / pump.open_flow() - 1.0).abs() < 1e-12);
            assert_eq!(slow.is_estimate(), pump.is_estimate());
            for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
                assert!(matches!(
                    pump.at_speed(bad),
                    Err(PumpCurveError::BadSpeed { .. })
                ));
            }
        }
    }

    #[test]
    fn straight_ends_follow_the_end_slopes() {
        // Two points make a straight line: 2.25 m at no flow, 9e-4 m3/s at no head.
        let line = &pumps()[3];
        assert!((line.shut_off_head() - 2.25).abs() < 1e-12);
        assert!((line.open_flow() - 9e-4).abs() < 1e-15);
        // Zero end slopes: chords of 0.01 m per 1e-4 m3/s.
        let flat = &pumps()[4];
        assert!((flat.shut_off_head() - 2.01).abs() < 1e-12);
        assert!((flat.open_flow() - (4e-4 + 0.99 * 1e-2)).abs() < 1e-12);
    }

    #[test]
    fn impossible_figures_are_refused_with_the_point() {
        type E = PumpCurveError;
        let of = |points: &[(f64, f64)]| PumpCurve::from_points(points).unwrap_err();
        assert_eq!(of(&[(0.0, 1.0)]), E::TooFewPoints { count: 1 });
        assert_eq!(of(&[(0.0, 1.0), (0.0, 0.5)]), E::FlowNotRising { row: 2 });
        assert_eq!(of(&[(0.0, 1.0), (1.0, 1.0)]), E::NotFalling { row: 2 });
        assert_eq!(
            of(&[(0.0, 1.0), (1.0, 0.5), (2.0, 0.7)]),
            E::NotFalling { row: 3 }
        );
        assert_eq!(of(&[(-1.0, 1.0), (1.0, 0.5)]), E::BadPoint { row: 1 });
        assert_eq!(of(&[(0.0, f64::NAN), (1.0, 0.5)]), E::BadPoint { row: 1 });
        assert_eq!(
            of(&[(0.0, 1.0), (f64::INFINITY, 0.5)]),
            E::BadPoint { row: 2 }
        );
        assert!(matches!(
            PumpCurve::from_box_figures(0.0, 1.0),
            Err(E::BadFigure {
                figure: "shut-off head",
                ..
            })
        ));
        assert!(matches!(
            PumpCurve::from_box_figures(1.0, f64::NAN),
            Err(E::BadFigure {
                figure: "open flow",
                ..
            })
        ));
    }
}
