//! Axes of a map as typed: `inflow,bore` or `inflow=2 L/min..20 L/min,bore=15 mm..40 mm`.

use strsim::osa_distance;

use crate::study::map::MapAxis;
use crate::study::map::quantity::{MapQuantity, MapUnit};
use crate::units::parse::parse;
use crate::units::table::Quantity;

/// An axis asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wanted {
    /// What it changes.
    pub quantity: MapQuantity,
    /// Its range, if one was given.
    range: Option<(f64, f64)>,
}

impl Wanted {
    /// The axis, if its range was given.
    pub fn given(&self) -> Option<MapAxis> {
        self.range.map(|(from, to)| MapAxis {
            quantity: self.quantity,
            from,
            to,
        })
    }
}

/// One or two axes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OneOrTwo(pub Vec<Wanted>);

/// Reads one or two axes.
///
/// # Errors
/// One sentence on what is wrong and how to write it.
pub(super) fn read_some(text: &str) -> Result<OneOrTwo, String> {
    if text.contains(',') {
        return Ok(OneOrTwo(read(text)?.to_vec()));
    }
    Ok(OneOrTwo(vec![axis(text)?]))
}

/// Reads two axes.
///
/// # Errors
/// One sentence on what is wrong and how to write it.
pub(super) fn read(text: &str) -> Result<[Wanted; 2], String> {
    let parts: Vec<&str> = text.split(',').collect();
    let [x, y] = parts.as_slice() else {
        return Err("write two quantities with a comma between, such as inflow,bore".to_owned());
    };
    let (x, y) = (axis(x)?, axis(y)?);
    if x.quantity == y.quantity {
        return Err(format!(
            "both axes are {}; name two different quantities",
            x.quantity.key()
        ));
    }
    Ok([x, y])
}

fn axis(text: &str) -> Result<Wanted, String> {
    let (key, range) = match text.split_once('=') {
        Some((key, range)) => (key.trim(), Some(range)),
        None => (text.trim(), None),
    };
    let Some(quantity) = MapQuantity::from_key(key) else {
        return Err(unknown(key));
    };
    let Some(range) = range else {
        return Ok(Wanted {
            quantity,
            range: None,
        });
    };
    let Some((low, high)) = range.split_once("..") else {
        return Err(format!("write the range of {key} as {key}=LOW..HIGH"));
    };
    let (low, high) = (value(quantity, low)?, value(quantity, high)?);
    if low >= high {
        return Err(format!("the range of {key} has to rise"));
    }
    Ok(Wanted {
        quantity,
        range: Some((low, high)),
    })
}

fn value(quantity: MapQuantity, text: &str) -> Result<f64, String> {
    let wanted = match quantity.unit() {
        MapUnit::Flow => Quantity::Flow,
        MapUnit::Length => Quantity::Length,
        MapUnit::Area => Quantity::Area,
        MapUnit::Temperature => Quantity::Temperature,
        MapUnit::Number => {
            let number = text
                .trim()
                .parse::<f64>()
                .ok()
                .filter(|number| number.is_finite());
            return number.ok_or_else(|| format!("'{}' is not a plain number", text.trim()));
        }
    };
    parse(text, wanted).map_err(|error| format!("{error}; {}", error.help(wanted)))
}

fn unknown(key: &str) -> String {
    let names: Vec<&str> = MapQuantity::ALL
        .iter()
        .map(|quantity| quantity.key())
        .collect();
    let near = names.iter().min_by_key(|name| osa_distance(name, key));
    match near.filter(|name| osa_distance(name, key) <= 3) {
        Some(name) => format!("'{key}' cannot be mapped; did you mean {name}?"),
        None => format!("'{key}' cannot be mapped; these can: {}", names.join(", ")),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn names_alone_and_names_with_ranges_are_read() {
        let [x, y] = read("inflow, bore").unwrap();
        assert_eq!(
            (x.quantity, y.quantity),
            (MapQuantity::Inflow, MapQuantity::Bore)
        );
        assert_eq!(x.given(), None);
        let [x, y] = read("inflow=2 L/min..20 L/min,void=0.3..0.5").unwrap();
        let given = x.given().unwrap();
        assert!(
            (given.from * 60_000.0 - 2.0).abs() < 1e-12
                && (given.to * 60_000.0 - 20.0).abs() < 1e-12
        );
        assert_eq!(y.given().unwrap().to, 0.5);
        let [x, _] = read("drop=1 ft 2 in..3 ft,void").unwrap();
        assert!((x.given().unwrap().from - 0.3556).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_read_says_how_to_write_it() {
        for (text, hint) in [
            ("inflow", "comma"),
            ("inflow,bore,drop", "comma"),
            ("inflow,inflow", "different"),
            ("inflw,bore", "did you mean inflow"),
            ("colour,bore", "these can"),
            ("inflow=2..20,bore", "unit"),
            ("inflow=2 L/min,bore", "LOW..HIGH"),
            ("inflow=20 L/min..2 L/min,bore", "rise"),
            ("inflow=2 mm..20 mm,bore", "flow"),
            ("void=a..b,bore", "number"),
            ("void=nan..0.5,bore", "number"),
        ] {
            let message = read(text).unwrap_err();
            assert!(message.contains(hint), "{text}: {message}");
        }
    }
}
