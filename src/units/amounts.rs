//! Amounts rounded to the figures that are printed, never to the wrong side.
//!
//! A fix that reads "at least 7.7 L/min" must still hold at exactly 7.7.

use crate::numerics::maths::Maths;
use crate::units::UnitSystem;
use crate::units::display::US_GALLON;

/// Which way an amount may be rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Never smaller than asked.
    Up,
    /// Never larger than asked.
    Down,
}

/// Slack for values that are a whole number of steps but for rounding.
const SLACK: f64 = 1e-9;

fn stepped(value: f64, step: f64, side: Side) -> f64 {
    let steps = value / step;
    match side {
        Side::Up => (steps - SLACK).ceil() * step,
        Side::Down => (steps + SLACK).floor() * step,
    }
}

/// A length or elevation `[m]` to a millimetre or a sixteenth of an inch.
pub fn length(units: UnitSystem, metres: f64, side: Side) -> f64 {
    stepped(metres, length_step(units), side)
}

/// The bucket that people time a flow with `[m3]`; common practice, no source.
pub const fn bucket(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 0.010,
        UnitSystem::Us => 5.0 * US_GALLON,
    }
}

/// The smallest length that a tape measure of these units shows `[m]`.
pub fn length_step(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 0.001,
        UnitSystem::Us => 0.0254 / 16.0,
    }
}

/// A flow `[m3/s]` to the figures of [`UnitSystem::flow`].
pub fn flow(units: UnitSystem, cubic_metres_per_second: f64, side: Side) -> f64 {
    let (factor, _) = units.flow_axis();
    let value = cubic_metres_per_second * factor;
    let step = match value.abs() {
        // What rounds to a hundred is printed without decimals.
        size if size >= 99.95 => 1.0,
        size if size >= 1.0 => 0.1,
        size => significant_step(size, 2),
    };
    stepped(value, step, side) / factor
}

/// A volume `[m3]` to the figures of [`UnitSystem::volume`].
pub fn volume(units: UnitSystem, cubic_metres: f64, side: Side) -> f64 {
    let (factor, _) = units.volume_axis();
    let value = cubic_metres * factor;
    stepped(value, significant_step(value.abs(), 3).min(1.0), side) / factor
}

/// A share `[-]` to a thousandth.
pub fn share(value: f64, side: Side) -> f64 {
    stepped(value, 0.001, side)
}

/// A factor `[-]` up to the next tenth.
pub fn tenths(value: f64) -> f64 {
    stepped(value, 0.1, Side::Up)
}

/// A bore `[m]` to a tenth of a millimetre or a hundredth of an inch.
pub fn bore(units: UnitSystem, metres: f64, side: Side) -> f64 {
    let step = match units {
        UnitSystem::Metric => 1e-4,
        UnitSystem::Us => 0.0254 / 100.0,
    };
    stepped(metres, step, side)
}

/// A time `[s]` to a whole minute.
pub fn minutes(seconds: f64, side: Side) -> f64 {
    stepped(seconds, 60.0, side)
}

fn significant_step(size: f64, figures: i32) -> f64 {
    // Nothing has no first figure.
    if size < 1e-12 {
        return 1e-3;
    }
    10_f64.to_the(size.log_decimal().floor() - f64::from(figures - 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_is_never_on_the_wrong_side() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            for k in 1..400_u32 {
                let value = f64::from(k) * 3.7e-6;
                let (up, down) = (flow(units, value, Side::Up), flow(units, value, Side::Down));
                assert!(up >= value * (1.0 - 1e-9) && down <= value * (1.0 + 1e-9));
                assert_eq!(units.flow(up), units.flow(up * (1.0 + 1e-12)));
                // Reading the printed figure back gives the amount meant.
                let read: f64 = units
                    .flow(up)
                    .split(' ')
                    .next()
                    .map_or(f64::NAN, |text| text.parse().unwrap_or(f64::NAN));
                assert!(
                    (read / units.flow_axis().0 / up - 1.0).abs() < 1e-9,
                    "{read}"
                );
                let metres = f64::from(k) * 0.000_77;
                assert!(length(units, metres, Side::Up) >= metres - 1e-12);
                assert!(length(units, metres, Side::Down) <= metres + 1e-12);
            }
        }
    }

    #[test]
    fn a_whole_step_stays_where_it_is() {
        assert!((length(UnitSystem::Metric, 0.012, Side::Up) - 0.012).abs() < 1e-15);
        assert!((length(UnitSystem::Us, 0.0254, Side::Up) - 0.0254).abs() < 1e-15);
        assert!((share(0.625, Side::Up) - 0.625).abs() < 1e-15);
        assert!((minutes(120.0, Side::Up) - 120.0).abs() < 1e-12);
    }
}
