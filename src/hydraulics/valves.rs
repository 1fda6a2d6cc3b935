//! Loss coefficient of a throttled valve from its opening, and back.
//!
//! Curves run through published tables as monotone cubics of ln K and go to
//! infinity as the valve shuts. Published tables for one throttled gate valve
//! differ by up to 3.5 times, and real valves will; a throttling valve is set
//! by bucket and stopwatch, not by its angle.

use crate::numerics::maths::Maths;
use std::sync::LazyLock;

use crate::numerics::pchip::Pchip;

/// Type of valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ValveKind {
    /// Full-bore ball valve, quarter turn; opening 1 is in line, 0 across.
    Ball,
    /// Gate valve; opening is the share of the gate's travel.
    Gate,
}

/// (opening, K) of a ball valve. Fully open, 1/3 and 2/3 closed: Munson,
/// Young and Okiishi, Fundamentals of Fluid Mechanics, table 8.2. Between
/// them the quarter-turn plug cock at 10, 20 and 40 degrees: Perry's Handbook,
/// table 6-4 (Lapple). Both read in secondary copies. The cock's 0.05 at 5
/// degrees is left out: with the ball's 0.05 when open the curve would be flat.
const BALL: [(f64, f64); 6] = [
    (1.0 / 3.0, 200.0),
    (5.0 / 9.0, 17.3),
    (2.0 / 3.0, 5.5),
    (7.0 / 9.0, 1.56),
    (8.0 / 9.0, 0.29),
    (1.0, 0.05),
];

/// (opening, K) of a gate valve: Perry's Handbook, table 6-4 (Lapple), read in a secondary copy.
const GATE: [(f64, f64); 4] = [(0.25, 24.0), (0.5, 4.5), (0.75, 0.9), (1.0, 0.17)];

static BALL_CURVE: LazyLock<Pchip> = LazyLock::new(|| log_curve(&BALL));
static GATE_CURVE: LazyLock<Pchip> = LazyLock::new(|| log_curve(&GATE));

fn log_curve(table: &[(f64, f64)]) -> Pchip {
    let logs: Vec<(f64, f64)> = table.iter().map(|&(x, k)| (x, k.log_natural())).collect();
    Pchip::from_table(&logs)
}

impl ValveKind {
    /// Both of them.
    pub const ALL: [ValveKind; 2] = [ValveKind::Ball, ValveKind::Gate];

    /// Name in scenario files: `ball`, `gate`.
    pub fn name(self) -> &'static str {
        match self {
            ValveKind::Ball => "ball",
            ValveKind::Gate => "gate",
        }
    }

    /// The kind of a name, or nothing.
    pub fn from_name(name: &str) -> Option<ValveKind> {
        ValveKind::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Where the table was published.
    pub fn source(self) -> &'static str {
        match self {
            ValveKind::Ball => {
                "Munson et al. table 8.2 and Perry's Handbook table 6-4 (Lapple), secondary copies"
            }
            ValveKind::Gate => "Perry's Handbook table 6-4 (Lapple), secondary copy",
        }
    }

    fn curve(self) -> &'static Pchip {
        match self {
            ValveKind::Ball => &BALL_CURVE,
            ValveKind::Gate => &GATE_CURVE,
        }
    }

    /// First opening of the table, ln K there, and the power of 1/opening
    /// that carries K on to infinity with the same slope.
    fn shut_end(self) -> (f64, f64, f64) {
        let curve = self.curve();
        let (x, _) = curve.domain();
        (x, curve.end_values().0, -curve.end_slopes().0 * x)
    }
}

/// Loss coefficient of a valve `[-]`, on the velocity in the pipe.
///
/// # Arguments
/// * `kind` - ball or gate
/// * `opening` - 0 shut to 1 open `[-]`; of a ball valve the angle from shut
///   over 90 degrees. At or below 0: infinite; above 1 counts as open.
///
/// Range of the tables: opening 1/3 to 1 (ball), 1/4 to 1 (gate). Below, K
/// goes on as a power of 1/opening with the slope of the table's end, which
/// is this project's extension and rough.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::valves::{ValveKind, valve_k};
/// assert!((valve_k(ValveKind::Gate, 0.5) - 4.5).abs() < 1e-12);
/// assert_eq!(valve_k(ValveKind::Ball, 0.0), f64::INFINITY);
/// ```
pub fn valve_k(kind: ValveKind, opening: f64) -> f64 {
    if opening <= 0.0 {
        return f64::INFINITY;
    }
    let (end, log_end, power) = kind.shut_end();
    if opening < end {
        return (log_end - power * (opening / end).log_natural()).exponential();
    }
    kind.curve().value(opening.min(1.0)).exponential()
}

/// Opening at which a valve has a given loss coefficient, both `[-]`; the inverse of [`valve_k`].
///
/// Range: a K at or below the open valve's gives 1, an infinite K gives 0.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::valves::{ValveKind, opening_for_k};
/// assert!((opening_for_k(ValveKind::Gate, 4.5) - 0.5).abs() < 1e-12);
/// ```
pub fn opening_for_k(kind: ValveKind, k: f64) -> f64 {
    if k <= 0.0 {
        return 1.0;
    }
    let (end, log_end, power) = kind.shut_end();
    let log_k = k.log_natural();
    if log_k > log_end {
        return end * ((log_end - log_k) / power).exponential();
    }
    kind.curve().inverse(log_k)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn k_falls_all_the_way_as_the_valve_opens() {
        for kind in ValveKind::ALL {
            let mut last = f64::INFINITY;
            for i in 1..=10_000 {
                let k = valve_k(kind, f64::from(i) * 1e-4);
                assert!(k < last && k > 0.0, "{kind:?} at {i}: {k} after {last}");
                last = k;
            }
        }
    }

    #[test]
    fn tables_are_in_order() {
        for table in [&BALL[..], &GATE[..]] {
            assert!(table.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 > w[1].1));
        }
    }

    #[test]
    fn the_extension_towards_shut_has_no_step_and_no_kink() {
        for kind in ValveKind::ALL {
            let (x, ..) = kind.shut_end();
            let log = |x: f64| valve_k(kind, x).log_natural();
            let e = 1e-6;
            let (before, after) = ((log(x) - log(x - e)) / e, (log(x + e) - log(x)) / e);
            assert!(
                (before / after - 1.0).abs() < 1e-4,
                "{kind:?}: {before}, {after}"
            );
        }
    }

    #[test]
    fn opening_is_the_inverse() {
        for kind in ValveKind::ALL {
            for i in 1..=1000 {
                let opening = f64::from(i) * 1e-3;
                let back = opening_for_k(kind, valve_k(kind, opening));
                assert!(
                    (back - opening).abs() < 1e-12,
                    "{kind:?}: {opening} became {back}"
                );
            }
            assert_eq!(opening_for_k(kind, 0.0), 1.0);
            assert_eq!(opening_for_k(kind, 1e-6), 1.0);
            assert_eq!(opening_for_k(kind, f64::INFINITY), 0.0);
        }
    }

    #[test]
    fn ends_are_shut_and_open() {
        for kind in ValveKind::ALL {
            assert_eq!(valve_k(kind, 0.0), f64::INFINITY);
            assert_eq!(valve_k(kind, -0.1), f64::INFINITY);
            assert_eq!(valve_k(kind, 1.5), valve_k(kind, 1.0));
            assert_eq!(ValveKind::from_name(kind.name()), Some(kind));
        }
    }
}
