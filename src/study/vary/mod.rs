//! What becomes of the answers when the inputs vary: one or two quantities over
//! a range ([`sweep`]), or every uncertain input at once at random ([`random`]).

pub(super) mod design;
mod draw;
pub mod random;
pub mod statistics;
pub mod sweep;

pub use draw::{Input, Tolerances, TolerancesError};
