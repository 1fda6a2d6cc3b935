//! What a value measures: its SI unit, and how people read it.

use crate::units::UnitSystem;

/// What a value measures, which settles its SI unit and how it is printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// A distance `[m]`.
    Length,
    /// A height above the room's floor `[m]`.
    Elevation,
    /// A bore of a pipe `[m]`.
    Bore,
    /// A flow of water `[m3/s]`.
    Flow,
    /// A volume of water `[m3]`.
    Volume,
    /// A span of time `[s]`.
    Time,
    /// A head of water `[m]`.
    Head,
    /// A pressure `[Pa]`.
    Pressure,
    /// An area `[m2]`.
    Area,
    /// Electrical energy `[kWh]`.
    Energy,
    /// A share `[-]`, printed in per cent.
    Share,
    /// A mass `[kg]`.
    Mass,
    /// Mass of fish in water `[kg/m3]`.
    Stocking,
    /// Dissolved matter `[kg/m3]`.
    Dissolved,
    /// Loose goods by volume `[m3]`.
    Bulk,
    /// How often `[1/h]`.
    PerHour,
    /// A number of this unit that no method of `units::display` prints by itself.
    Number(&'static str),
    /// How many.
    Count,
    /// Yes or no.
    Flag,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Text: a name from the scenario, or a sentence.
    Text,
    /// Holds further keys instead of a value.
    Part,
}

impl Kind {
    /// Symbol of the SI unit; `None` where a value is not a number.
    pub const fn unit(self) -> Option<&'static str> {
        Some(match self {
            Self::Length | Self::Elevation | Self::Bore | Self::Head => "m",
            Self::Flow => "m3/s",
            Self::Volume | Self::Bulk => "m3",
            Self::Time => "s",
            Self::Pressure => "Pa",
            Self::Area => "m2",
            Self::Energy => "kWh",
            Self::Share => "1",
            Self::Mass => "kg",
            Self::Stocking | Self::Dissolved => "kg/m3",
            Self::PerHour => "1/h",
            Self::Number(unit) => unit,
            Self::Count | Self::Flag | Self::Word(_) | Self::Text | Self::Part => return None,
        })
    }

    /// An SI value as people read it.
    pub fn shown(self, value: f64, units: UnitSystem) -> String {
        match self {
            Self::Length => units.length(value),
            Self::Elevation => units.elevation(value),
            Self::Bore => units.bore(value),
            Self::Flow => units.flow(value),
            Self::Volume => units.volume(value),
            Self::Time => units.time(value),
            Self::Head => units.head(value),
            Self::Pressure => units.pressure(value),
            Self::Area => units.area(value),
            Self::Energy => units.energy(value),
            Self::Share => units.percent(value),
            Self::Mass => units.mass(value),
            Self::Stocking => units.stocking(value),
            Self::Dissolved => units.dissolved(value),
            Self::Bulk => units.bulk(value),
            Self::PerHour => units.per_hour(value),
            Self::Number("1")
            | Self::Count
            | Self::Flag
            | Self::Word(_)
            | Self::Text
            | Self::Part => value.to_string(),
            Self::Number(unit) => format!("{value} {unit}"),
        }
    }
}
