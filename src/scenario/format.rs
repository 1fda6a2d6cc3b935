//! What a scenario may contain, as data.
//!
//! One description drives the walk over a file, the ranges named in messages
//! and the JSON Schema; see [`keys`](super::keys) for the tables themselves.

use crate::numerics::maths::Maths;
use std::borrow::Cow;

use crate::units::UnitSystem;
use crate::units::table::{Quantity, significant};

/// A table: which keys it may have and how they depend on each other.
#[derive(Debug)]
pub(super) struct Table {
    /// One line for people.
    pub help: &'static str,
    /// Keys in the order in which they are explained.
    pub keys: Vec<Key>,
    /// How keys depend on each other.
    pub rules: Vec<Dependence>,
}

impl Table {
    pub fn new(help: &'static str, keys: Vec<Key>) -> Self {
        Self {
            help,
            keys,
            rules: Vec::new(),
        }
    }

    /// Exactly one of these keys must be there.
    pub fn one_of(mut self, keys: &'static [&'static str]) -> Self {
        self.rules.push(Dependence::OneOf(keys));
        self
    }

    /// At least one of these keys must be there.
    pub fn any_of(mut self, keys: &'static [&'static str]) -> Self {
        self.rules.push(Dependence::AnyOf(keys));
        self
    }

    /// At most one of these keys may be there.
    pub fn at_most_one(mut self, keys: &'static [&'static str]) -> Self {
        self.rules.push(Dependence::AtMostOne(keys));
        self
    }

    /// If the first key is there, the second must be too.
    pub fn needs(mut self, key: &'static str, other: &'static str) -> Self {
        self.rules.push(Dependence::Needs(key, other));
        self
    }

    pub fn key(&self, name: &str) -> Option<&Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

/// How keys of one table depend on each other.
#[derive(Debug, Clone, Copy)]
pub(super) enum Dependence {
    OneOf(&'static [&'static str]),
    AnyOf(&'static [&'static str]),
    AtMostOne(&'static [&'static str]),
    Needs(&'static str, &'static str),
}

/// A key with its value's kind.
#[derive(Debug)]
pub(super) struct Key {
    pub name: &'static str,
    pub value: Value,
    pub required: bool,
    /// What applies when it is left out, in words.
    pub default: Option<Cow<'static, str>>,
    /// A value as one would write it.
    pub example: Cow<'static, str>,
    /// One line for people, without full stop.
    pub help: &'static str,
}

impl Key {
    /// A key that may be left out.
    pub fn new(
        name: &'static str,
        value: Value,
        example: impl Into<Cow<'static, str>>,
        help: &'static str,
    ) -> Self {
        Self {
            name,
            value,
            required: false,
            default: None,
            example: example.into(),
            help,
        }
    }

    pub fn required(mut self) -> Self {
        self.required = true;
        self
    }

    pub fn default(mut self, text: impl Into<Cow<'static, str>>) -> Self {
        self.default = Some(text.into());
        self
    }
}

/// Kinds of values.
#[derive(Debug)]
pub(super) enum Value {
    /// A line of text of at most this many characters.
    Text(usize),
    /// A nominal pipe size.
    Nominal,
    /// A number with a unit.
    Quantity(Bounds),
    /// A number with a unit and, after `+-`, its spread.
    Reading(Bounds),
    /// One of these, or a list of them.
    Readings(Bounds),
    /// A time, or the word.
    TimeOr(Bounds, &'static str),
    /// A bare number between two values, both allowed.
    Number(f64, f64),
    /// A whole number between two values, both allowed.
    Count(u32, u32),
    /// `true` or `false`.
    Flag,
    /// One of several words.
    Choice(Vec<&'static str>),
    /// A list of such words.
    Words(Vec<&'static str>),
    /// A number, or `[low, nominal, high]`, all between two values.
    Band(f64, f64),
    /// A list of quantities, at least so many.
    List(Bounds, usize),
    /// A list of pairs of quantities, at least so many.
    Pairs(Bounds, Bounds, usize),
    /// A list of lines of text of at most this many characters.
    Texts(usize),
    /// A table that is read by somebody else.
    Anything,
    /// One table.
    Table(Table),
    /// A list of tables, `[[name]]`.
    Tables(Table),
}

/// Most entries of a list; nobody measures more by hand.
pub(super) const MOST_ENTRIES: usize = 500;

/// A kind of quantity and the values allowed, both ends included, in SI (temperature: degC).
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds {
    pub quantity: Quantity,
    pub least: f64,
    pub most: f64,
}

impl Bounds {
    pub const fn new(quantity: Quantity, least: f64, most: f64) -> Self {
        Self {
            quantity,
            least,
            most,
        }
    }

    /// Whether the value lies within; never for NaN.
    pub fn allow(&self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }

    /// `5 mm to 0.2 m`; in US units to round numbers within the range.
    pub fn text(&self, system: UnitSystem) -> String {
        let end = |value, up| {
            let text = self.quantity.text(value, system);
            match system {
                UnitSystem::Metric => text,
                UnitSystem::Us => rounded(&text, up),
            }
        };
        format!("{} to {}", end(self.least, true), end(self.most, false))
    }
}

/// The number that begins `text` to two figures, to a greater or a smaller one.
fn rounded(text: &str, up: bool) -> String {
    let Some((number, unit)) = text.split_once(' ') else {
        return text.to_owned();
    };
    let Ok(value) = number.parse::<f64>() else {
        return text.to_owned();
    };
    if value.fract() == 0.0 {
        return text.to_owned();
    }
    let step = 10_f64.to_the(value.abs().log_decimal().floor() - 1.0);
    let steps = value / step;
    let whole = if up { steps.ceil() } else { steps.floor() };
    format!("{} {unit}", significant(whole * step, 3))
}

pub(super) const fn length(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Length, least, most))
}

pub(super) const fn area(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Area, least, most))
}

pub(super) const fn volume(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Volume, least, most))
}

/// Flow bounds in L/min.
pub(super) fn flow(least: f64, most: f64) -> Value {
    Value::Quantity(flow_bounds(least, most))
}

/// Flow bounds in L/min.
pub(super) fn flow_bounds(least: f64, most: f64) -> Bounds {
    Bounds::new(Quantity::Flow, least / 60_000.0, most / 60_000.0)
}

pub(super) const fn time(least: f64, most: f64) -> Value {
    Value::Quantity(Bounds::new(Quantity::Time, least, most))
}

/// An elevation above the room's floor; a sump may stand in a pit.
pub(super) const fn elevation() -> Value {
    length(-10.0, 30.0)
}

/// Whether numbers between these are shares, which are printed in per cent.
pub(super) fn is_share(least: f64, most: f64) -> bool {
    least >= 0.0 && most <= 1.0
}
