//! Why a text is not a quantity, and what to write instead.

use super::display::join;
use thiserror::Error;

use super::table::Quantity;

/// Why a text is not the quantity wanted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing there.
    #[error("the text is empty")]
    Empty,
    /// Far too long to be a quantity.
    #[error("the text is too long for {}", .wanted.name())]
    TooLong {
        /// What was wanted.
        wanted: Quantity,
    },
    /// No number where one belongs.
    #[error("'{text}' is not a number")]
    NotANumber {
        /// What stands there.
        text: String,
    },
    /// `nan`, `inf`, or more digits than a number can hold.
    #[error("'{text}' is not a finite number")]
    NotFinite {
        /// What stands there.
        text: String,
    },
    /// A comma, underscore or blank inside a number: two people read two numbers.
    #[error("'{text}' has {separator} in its number")]
    Separator {
        /// The number as written.
        text: String,
        /// What stands in it, with its article.
        separator: &'static str,
        /// Ways to write what may have been meant.
        readings: String,
    },
    /// A fraction with a zero below, or a mixed number such as `1 5/2`.
    #[error("'{text}' is not a proper fraction")]
    Fraction {
        /// The fraction as written.
        text: String,
    },
    /// A character that looks like an ordinary one but is another.
    #[error("'{character}' (U+{:04X}) is not an ordinary character", u32::from(*.character))]
    Character {
        /// The character.
        character: char,
        /// What to type instead, where that is known.
        instead: Option<&'static str>,
    },
    /// A number without a unit.
    #[error("{number} has no unit")]
    NoUnit {
        /// The number as written.
        number: String,
        /// What was wanted.
        wanted: Quantity,
    },
    /// A unit that is not known.
    #[error("'{unit}' is not a unit of {}", plain_name(*.wanted))]
    UnknownUnit {
        /// As written.
        unit: String,
        /// What was wanted.
        wanted: Quantity,
        /// A known spelling close to it.
        suggestion: Option<&'static str>,
    },
    /// A good unit of something else.
    #[error("'{unit}' measures {}, but {} belongs here", .found.name(), .wanted.name())]
    WrongQuantity {
        /// As written.
        unit: String,
        /// What it measures.
        found: Quantity,
        /// What was wanted.
        wanted: Quantity,
    },
    /// `3-11`: feet and inches, or a span?
    #[error("'{text}' is not one number")]
    FeetAndInches {
        /// As written.
        text: String,
        /// Before the hyphen.
        feet: String,
        /// After it.
        inches: String,
    },
    /// A spread of zero or less.
    #[error("the spread '{text}' is not above zero")]
    Spread {
        /// As written.
        text: String,
    },
    /// Parts such as `2 in 7 ft`, or a later part as big as the unit before.
    #[error("'{text}' does not go from larger to smaller units")]
    Parts {
        /// The whole text.
        text: String,
    },
}

impl QuantityError {
    /// What to write instead, as one sentence.
    pub fn help(&self, wanted: Quantity) -> String {
        let write = format!("write {} as {}", wanted.name(), wanted.examples());
        match self {
            Self::NoUnit { number, wanted } => {
                let ways: Vec<String> = wanted
                    .usual_units()
                    .iter()
                    .map(|u| format!("\"{number} {u}\""))
                    .collect();
                format!(
                    "write the unit you measured in, in quotes: {}",
                    join(&ways, "or")
                )
            }
            Self::UnknownUnit {
                suggestion: Some(suggestion),
                ..
            } => {
                format!(
                    "did you mean '{suggestion}'? Units here: {}",
                    wanted.usual_units().join(", ")
                )
            }
            Self::UnknownUnit { .. } | Self::WrongQuantity { .. } => {
                format!("units here: {}; {write}", wanted.usual_units().join(", "))
            }
            Self::Separator { readings, .. } => {
                format!("write {readings}, with a point for decimals and nothing between thousands")
            }
            Self::Character {
                instead: Some(instead),
                ..
            } => format!("type {instead} instead"),
            Self::FeetAndInches { feet, inches, .. } => {
                format!("write \"{feet} ft {inches} in\" if feet and inches are meant")
            }
            Self::Spread { .. } => {
                "write after +- how far repeats scatter, such as +- 10 s, or leave it out"
                    .to_owned()
            }
            Self::Parts { .. } => format!(
                "put the larger unit first and keep the smaller part below one of the larger; {write}"
            ),
            _ => write,
        }
    }
}

/// `length` of `a length`.
fn plain_name(quantity: Quantity) -> &'static str {
    let name = quantity.name();
    name.split_once(' ').map_or(name, |(_, rest)| rest)
}
