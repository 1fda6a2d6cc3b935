//! Names and figures for sentences.

use crate::assessment::Subject;
use crate::model::{Band, System};
use crate::report::bed_names::bed_name;
use crate::report::{Figure, Kind, Text, Value, between, said};
use crate::units::UnitSystem;

/// Whose names and which units sentences are written with.
pub(crate) struct Say<'a> {
    pub(crate) system: &'a System,
    pub(crate) units: UnitSystem,
}

impl Say<'_> {
    /// A bed's name in quotes.
    pub(crate) fn bed(&self, i: usize) -> String {
        bed_name(self.system, i)
    }

    /// How many, or which.
    pub(crate) fn count(&self, name: &'static str, count: usize) -> Figure {
        Figure {
            key: name.to_owned(),
            value: Value::Count(count as u64),
            kind: Kind::Count,
            shown: count.to_string(),
        }
    }

    /// Names of beds, listed.
    pub(crate) fn beds(&self, list: &[usize]) -> String {
        let names: Vec<String> = list.iter().map(|&i| self.bed(i)).collect();
        names.join(", ")
    }

    /// A bed's name in quotes, or the name of a part.
    pub(crate) fn subject(&self, subject: Subject) -> String {
        match subject {
            Subject::Bed(i) => self.bed(i),
            part => part.name(self.system).to_owned(),
        }
    }

    /// "7.7 L/min (between 5.1 and 10.2 L/min)": nominal first, then the ends.
    pub(crate) fn band(&self, [nominal, low, high]: [&'static str; 3], band: Band) -> Text {
        said!(
            "{} (between {})",
            self.flow(nominal, band.nominal),
            between(self.flow(low, band.low), "and", self.flow(high, band.high))
        )
    }

    /// A figure of this kind, under its name among those of the sentence.
    fn named(&self, kind: Kind, name: &'static str, value: f64) -> Figure {
        self.printed(kind, name, value, kind.shown(value, self.units))
    }

    /// The same printed as `shown`.
    pub(crate) fn printed(
        &self,
        kind: Kind,
        name: &'static str,
        value: f64,
        shown: String,
    ) -> Figure {
        Figure {
            key: name.to_owned(),
            value: Value::Number(value),
            kind,
            shown,
        }
    }

    pub(crate) fn flow(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Flow, name, value)
    }

    pub(crate) fn length(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Length, name, value)
    }

    pub(crate) fn elevation(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Elevation, name, value)
    }

    pub(crate) fn bore(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Bore, name, value)
    }

    pub(crate) fn percent(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Share, name, value)
    }

    pub(crate) fn volume(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Volume, name, value)
    }

    pub(crate) fn time(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Time, name, value)
    }

    /// A long time, in days.
    pub(crate) fn days(&self, name: &'static str, value: f64) -> Figure {
        self.printed(Kind::Time, name, value, self.units.days(value))
    }

    pub(crate) fn pressure(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Pressure, name, value)
    }

    pub(crate) fn area(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Area, name, value)
    }

    pub(crate) fn mass(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Mass, name, value)
    }

    pub(crate) fn stocking(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Stocking, name, value)
    }

    pub(crate) fn dissolved(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Dissolved, name, value)
    }

    pub(crate) fn per_hour(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::PerHour, name, value)
    }

    pub(crate) fn feed(&self, name: &'static str, value: f64) -> Figure {
        self.printed(Kind::Number("kg/s"), name, value, self.units.feed(value))
    }

    pub(crate) fn area_feed(&self, name: &'static str, value: f64) -> Figure {
        let shown = self.units.area_feed(value);
        self.printed(Kind::Number("kg/(m2 s)"), name, value, shown)
    }

    pub(crate) fn floor_load(&self, name: &'static str, value: f64) -> Figure {
        let shown = self.units.floor_load(value);
        self.printed(Kind::Number("N/m2"), name, value, shown)
    }

    pub(crate) fn surface_loading(&self, name: &'static str, value: f64) -> Figure {
        let shown = self.units.surface_loading(value);
        self.printed(Kind::Number("m/s"), name, value, shown)
    }

    pub(crate) fn head(&self, name: &'static str, value: f64) -> Figure {
        self.named(Kind::Head, name, value)
    }

    pub(crate) fn velocity(&self, name: &'static str, value: f64) -> Figure {
        let shown = self.units.velocity(value);
        self.printed(Kind::Number("m/s"), name, value, shown)
    }

    /// A number without a unit, to so many places.
    pub(crate) fn number(&self, name: &'static str, value: f64, places: usize) -> Figure {
        self.printed(Kind::Number("1"), name, value, format!("{value:.places$}"))
    }
}
