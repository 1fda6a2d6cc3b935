//! Bores of plastic pipe by nominal size.
//!
//! Every bore here is the outside diameter less twice the *minimum* wall of
//! the standard. Makers stay above the minimum, so real bores are smaller: of
//! Schedule 40 the mean bore is 3.2 % below the table at 1/2 in, 1.9 % at 1 in,
//! 0.7 % at 4 in (areas 6.3, 3.8 and 1.4 %). Up to 4 % has to be reckoned
//! with; measure the pipe where it matters.

use crate::numerics::in_order::InOrder;
use crate::units::UnitSystem;

/// Wall series of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Schedule {
    /// ASTM D1785 Schedule 40, inch sizes.
    Sch40,
    /// ASTM D1785 Schedule 80, inch sizes.
    Sch80,
    /// EN ISO 1452-2 PVC-U for 10 bar, metric sizes.
    Pn10,
    /// EN ISO 1452-2 PVC-U for 16 bar, metric sizes.
    Pn16,
}

impl Schedule {
    /// All of them.
    pub const ALL: [Schedule; 4] = [
        Schedule::Sch40,
        Schedule::Sch80,
        Schedule::Pn10,
        Schedule::Pn16,
    ];

    /// Reads `40`, `sch 40`, `schedule 80`, `PN10`, `pn 16` and the like; case and blanks do not matter.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::pipe_sizes::Schedule;
    /// assert_eq!(Schedule::from_name("sch 40"), Some(Schedule::Sch40));
    /// assert_eq!(Schedule::from_name("PN16"), Some(Schedule::Pn16));
    /// assert_eq!(Schedule::from_name("10"), None);
    /// ```
    pub fn from_name(name: &str) -> Option<Schedule> {
        let plain = squeeze(name);
        match plain.as_str() {
            "40" | "sch40" | "schedule40" => Some(Schedule::Sch40),
            "80" | "sch80" | "schedule80" => Some(Schedule::Sch80),
            "pn10" => Some(Schedule::Pn10),
            "pn16" => Some(Schedule::Pn16),
            _ => None,
        }
    }

    /// The name as printed: `Schedule 40`, `PN10`.
    pub fn name(self) -> &'static str {
        match self {
            Schedule::Sch40 => "Schedule 40",
            Schedule::Sch80 => "Schedule 80",
            Schedule::Pn10 => "PN10",
            Schedule::Pn16 => "PN16",
        }
    }

    /// The standard the figures come from, with how well it is known here.
    pub fn source(self) -> &'static str {
        match self {
            Schedule::Sch40 => "ASTM D1785, outside diameter and minimum wall (secondary copy)",
            Schedule::Sch80 => "ASTM D1785, outside diameter and minimum wall (from memory)",
            Schedule::Pn10 | Schedule::Pn16 => {
                "EN ISO 1452-2:2009, minimum wall at 20 degC (from memory)"
            }
        }
    }
}

/// One row of a pipe table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeSize {
    /// Nominal size: inches as `1-1/4`, millimetres of outside diameter as `32`.
    pub nominal: &'static str,
    /// Wall series.
    pub schedule: Schedule,
    /// Outside diameter `[m]`.
    pub outside: f64,
    /// Outside diameter less twice the minimum wall `[m]`; real bores are up to 4 % smaller.
    pub bore: f64,
}

impl PipeSize {
    /// As a shop calls it: `2 in Schedule 40`, `63 mm PN16`. Valid for every row.
    ///
    /// # Example
    /// ```
    /// use ebbwright::hydraulics::pipe_sizes::{Schedule, find};
    /// let size = find("63", Schedule::Pn16).unwrap();
    /// assert_eq!(size.label(), "63 mm PN16");
    /// ```
    pub fn label(&self) -> String {
        let unit = match self.schedule {
            Schedule::Sch40 | Schedule::Sch80 => "in",
            Schedule::Pn10 | Schedule::Pn16 => "mm",
        };
        format!("{} {unit} {}", self.nominal, self.schedule.name())
    }
}

const INCH: f64 = 0.0254;

/// A row from outside diameter and wall in inches.
const fn inch(nominal: &'static str, schedule: Schedule, outside: f64, wall: f64) -> PipeSize {
    PipeSize {
        nominal,
        schedule,
        outside: outside * INCH,
        bore: (outside - 2.0 * wall) * INCH,
    }
}

/// A row from outside diameter and wall in millimetres.
const fn metric(nominal: &'static str, schedule: Schedule, outside: f64, wall: f64) -> PipeSize {
    PipeSize {
        nominal,
        schedule,
        outside: outside / 1000.0,
        bore: (outside - 2.0 * wall) / 1000.0,
    }
}

/// Every size known, inch sizes first, each series rising.
///
/// Schedule 80 walls are from memory of ASTM D1785; the metric walls are from
/// memory of EN ISO 1452-2:2009, table 2. PN10 begins at 32 mm.
pub const PIPE_SIZES: &[PipeSize] = &[
    inch("1/2", Schedule::Sch40, 0.840, 0.109),
    inch("3/4", Schedule::Sch40, 1.050, 0.113),
    inch("1", Schedule::Sch40, 1.315, 0.133),
    inch("1-1/4", Schedule::Sch40, 1.660, 0.140),
    inch("1-1/2", Schedule::Sch40, 1.900, 0.145),
    inch("2", Schedule::Sch40, 2.375, 0.154),
    inch("2-1/2", Schedule::Sch40, 2.875, 0.203),
    inch("3", Schedule::Sch40, 3.500, 0.216),
    inch("4", Schedule::Sch40, 4.500, 0.237),
    inch("1/2", Schedule::Sch80, 0.840, 0.147),
    inch("3/4", Schedule::Sch80, 1.050, 0.154),
    inch("1", Schedule::Sch80, 1.315, 0.179),
    inch("1-1/4", Schedule::Sch80, 1.660, 0.191),
    inch("1-1/2", Schedule::Sch80, 1.900, 0.200),
    inch("2", Schedule::Sch80, 2.375, 0.218),
    inch("2-1/2", Schedule::Sch80, 2.875, 0.276),
    inch("3", Schedule::Sch80, 3.500, 0.300),
    inch("4", Schedule::Sch80, 4.500, 0.337),
    metric("32", Schedule::Pn10, 32.0, 1.6),
    metric("40", Schedule::Pn10, 40.0, 1.9),
    metric("50", Schedule::Pn10, 50.0, 2.4),
    metric("63", Schedule::Pn10, 63.0, 3.0),
    metric("75", Schedule::Pn10, 75.0, 3.6),
    metric("90", Schedule::Pn10, 90.0, 4.3),
    metric("110", Schedule::Pn10, 110.0, 4.2),
    metric("20", Schedule::Pn16, 20.0, 1.5),
    metric("25", Schedule::Pn16, 25.0, 1.9),
    metric("32", Schedule::Pn16, 32.0, 2.4),
    metric("40", Schedule::Pn16, 40.0, 3.0),
    metric("50", Schedule::Pn16, 50.0, 3.7),
    metric("63", Schedule::Pn16, 63.0, 4.7),
    metric("75", Schedule::Pn16, 75.0, 5.6),
    metric("90", Schedule::Pn16, 90.0, 6.7),
    metric("110", Schedule::Pn16, 110.0, 6.6),
];

/// The row of a nominal size in a series, or nothing if the table has none.
///
/// Inch sizes may be written `1-1/4`, `1 1/4` or `1.25`, with or without
/// `in`, `inch` or `"`; metric sizes `32`, `32 mm` or `d32`. A unit that does
/// not fit the series finds nothing.
///
/// Range: Schedule 40 and 80 from 1/2 to 4 in, PN10 from 32 and PN16 from 20
/// to 110 mm. Diameters of the row are in `[m]`.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::pipe_sizes::{Schedule, find};
/// let bore = find("1", Schedule::Sch40).map(|size| size.bore);
/// assert!(bore.is_some_and(|b| (b - 0.026_64).abs() < 1e-5)); // m
/// assert!(find("32 mm", Schedule::Sch40).is_none());
/// ```
pub fn find(nominal: &str, schedule: Schedule) -> Option<&'static PipeSize> {
    let wanted = match schedule {
        Schedule::Sch40 | Schedule::Sch80 => inch_name(nominal),
        Schedule::Pn10 | Schedule::Pn16 => metric_name(nominal),
    };
    PIPE_SIZES
        .iter()
        .find(|size| size.schedule == schedule && size.nominal == wanted)
}

/// The narrowest row of `schedule` with at least `bore` `[m]`; `None` where none is that wide.
/// Valid for every schedule.
pub fn narrowest(bore: f64, schedule: Schedule) -> Option<&'static PipeSize> {
    PIPE_SIZES
        .iter()
        .find(|size| size.schedule == schedule && size.bore >= bore)
}

/// Lower case without blanks.
fn squeeze(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace())
        .flat_map(char::to_lowercase)
        .collect()
}

fn inch_name(text: &str) -> String {
    let lower = text.trim().to_lowercase();
    let bare = ["inches", "inch", "in.", "in", "\"", "''"]
        .iter()
        .find_map(|unit| lower.strip_suffix(unit))
        .unwrap_or(&lower)
        .trim();
    match bare {
        "0.5" | ".5" => "1/2".to_owned(),
        "0.75" | ".75" => "3/4".to_owned(),
        "1.0" => "1".to_owned(),
        "1.25" => "1-1/4".to_owned(),
        "1.5" => "1-1/2".to_owned(),
        "2.0" => "2".to_owned(),
        "2.5" => "2-1/2".to_owned(),
        "3.0" => "3".to_owned(),
        "4.0" => "4".to_owned(),
        other => other.split_whitespace().collect::<Vec<_>>().join("-"),
    }
}

fn metric_name(text: &str) -> String {
    let plain = squeeze(text);
    let plain = plain.strip_suffix("mm").unwrap_or(&plain);
    // Not `dn`: some read DN 25 as a 25 mm bore, which is 32 mm outside.
    plain.strip_prefix('d').unwrap_or(plain).to_owned()
}

/// A neighbour that differs by less is the same pipe within its tolerance.
const SAME: f64 = 0.05;

/// Sizes that a shop of these units sells, diameters in `[m]`: Schedule 40 by inches, PN10 and
/// PN16 by millimetres. Valid for the tables of this module; common practice, no source.
pub fn on_sale(units: UnitSystem) -> impl Iterator<Item = &'static PipeSize> {
    PIPE_SIZES.iter().filter(move |size| match units {
        UnitSystem::Us => size.schedule == Schedule::Sch40,
        UnitSystem::Metric => matches!(size.schedule, Schedule::Pn10 | Schedule::Pn16),
    })
}

/// The row of this bore `[m]` and, where that is known, this outside diameter `[m]`, as near as a
/// label tells them apart. Valid for any diameters.
pub fn listed(bore: f64, outside: Option<f64>) -> Option<&'static PipeSize> {
    PIPE_SIZES.iter().find(|size| {
        (size.bore - bore).abs() < 5e-5
            && outside.is_none_or(|outside| (size.outside - outside).abs() < 5e-4)
    })
}

/// The pipes on sale near `bore` `[m]` in the series that it belongs to: `count` narrower ones,
/// nearest first, then as many wider ones.
/// Valid for any bore; where nothing is sold, nothing.
pub fn neighbours(
    bore: f64,
    units: UnitSystem,
    count: usize,
) -> (Vec<&'static PipeSize>, Vec<&'static PipeSize>) {
    let nearest =
        on_sale(units).min_by(|a, b| (a.bore - bore).abs().total_cmp(&(b.bore - bore).abs()));
    let Some(series) = nearest.map(|size| size.schedule) else {
        return (Vec::new(), Vec::new());
    };
    let mut narrower: Vec<_> = on_sale(units)
        .filter(|size| size.schedule == series && size.bore < (1.0 - SAME) * bore)
        .collect();
    narrower.order_by(|a, b| b.bore.total_cmp(&a.bore));
    narrower.truncate(count);
    let mut wider: Vec<_> = on_sale(units)
        .filter(|size| size.schedule == series && size.bore > (1.0 + SAME) * bore)
        .collect();
    wider.order_by(|a, b| a.bore.total_cmp(&b.bore));
    wider.truncate(count);
    (narrower, wider)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;

    #[test]
    fn spellings_of_a_size_find_the_same_row() {
        let row = find("1-1/4", Schedule::Sch40).unwrap();
        for spelling in ["1 1/4", "1.25", "1-1/4 in", "1-1/4\"", " 1.25 inch "] {
            assert_eq!(find(spelling, Schedule::Sch40), Some(row), "{spelling:?}");
        }
        let row = find("32", Schedule::Pn16).unwrap();
        for spelling in ["32mm", "32 mm", "d32", " 32 "] {
            assert_eq!(find(spelling, Schedule::Pn16), Some(row), "{spelling:?}");
        }
    }

    #[test]
    fn what_the_series_does_not_have_is_not_found() {
        for (name, schedule) in [
            ("32", Schedule::Sch40),
            ("1 mm", Schedule::Sch40),
            ("1", Schedule::Pn10),
            ("20", Schedule::Pn10),
            ("DN25", Schedule::Pn16),
            ("5", Schedule::Sch80),
            ("", Schedule::Sch40),
            ("", Schedule::Pn16),
        ] {
            assert_eq!(find(name, schedule), None, "{name:?} in {schedule:?}");
        }
    }

    #[test]
    fn schedules_are_read_in_every_usual_spelling() {
        for (text, schedule) in [
            ("40", Schedule::Sch40),
            ("Sch 80", Schedule::Sch80),
            ("SCHEDULE 40", Schedule::Sch40),
            ("pn 10", Schedule::Pn10),
            ("PN16", Schedule::Pn16),
        ] {
            assert_eq!(Schedule::from_name(text), Some(schedule), "{text}");
        }
        for schedule in Schedule::ALL {
            assert_eq!(Schedule::from_name(schedule.name()), Some(schedule));
        }
        for bad in ["", "16", "sch", "schpn10", "41"] {
            assert_eq!(Schedule::from_name(bad), None, "{bad}");
        }
    }

    #[test]
    fn walls_are_positive_and_sizes_rise_within_a_series() {
        for pair in PIPE_SIZES.windows(2) {
            assert!(pair[0].bore > 0.0 && pair[0].bore < pair[0].outside);
            if pair[0].schedule == pair[1].schedule {
                assert!(pair[0].outside < pair[1].outside && pair[0].bore < pair[1].bore);
            }
        }
    }
}
