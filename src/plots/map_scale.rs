//! Quantities of a map in the units shown.

use crate::study::map::quantity::{MapQuantity, MapUnit};
use crate::units::UnitSystem;

/// From SI to what an axis shows.
pub(super) struct Scale {
    quantity: MapQuantity,
    factor: f64,
    offset: f64,
    unit: &'static str,
}

impl Scale {
    pub(super) fn new(quantity: MapQuantity, units: UnitSystem) -> Self {
        let us = units == UnitSystem::Us;
        let (factor, offset, unit) = match quantity.unit() {
            MapUnit::Flow => {
                let (factor, unit) = units.flow_axis();
                (factor, 0.0, unit)
            }
            MapUnit::Length => {
                let (factor, unit) = units.length_axis();
                (factor, 0.0, unit)
            }
            MapUnit::Area if quantity == MapQuantity::SlotArea => {
                if us {
                    (1.0 / (0.0254 * 0.0254), 0.0, "in2")
                } else {
                    (1e4, 0.0, "cm2")
                }
            }
            MapUnit::Area => {
                if us {
                    (1.0 / (0.3048 * 0.3048), 0.0, "ft2")
                } else {
                    (1.0, 0.0, "m2")
                }
            }
            MapUnit::Temperature if us => (1.8, 32.0, "degF"),
            MapUnit::Temperature => (1.0, 0.0, "degC"),
            MapUnit::Number => (1.0, 0.0, "no unit"),
        };
        Self {
            quantity,
            factor,
            offset,
            unit,
        }
    }

    pub(super) fn shown(&self, value: f64) -> f64 {
        self.factor * value + self.offset
    }

    pub(super) fn name(&self) -> String {
        format!("{}, {}", self.quantity.words(), self.unit)
    }
}

/// A value of a quantity with its unit.
pub(super) fn figure(quantity: MapQuantity, value: f64, units: UnitSystem) -> String {
    match quantity.unit() {
        MapUnit::Flow => units.flow(value),
        MapUnit::Length if quantity == MapQuantity::SumpLevel => units.elevation(value),
        MapUnit::Length
            if matches!(
                quantity,
                MapQuantity::Bore | MapQuantity::BellBore | MapQuantity::Flare
            ) =>
        {
            units.bore(value)
        }
        MapUnit::Length => units.length(value),
        MapUnit::Area => units.area(value),
        MapUnit::Temperature => {
            let scale = Scale::new(quantity, units);
            format!("{:.1} {}", scale.shown(value), scale.unit)
        }
        MapUnit::Number => format!("{value:.2}"),
    }
}
