//! What becomes of the answers when the inputs vary: one or two quantities over
//! a range ([`sweep`]), or every uncertain input at once at random ([`random`]).

pub(super) mod design;
mod draw;
mod drawn;
pub mod leading;
mod plan;
pub mod random;
pub mod statistics;
pub mod sweep;
mod tolerances;

pub use draw::Input;
pub use tolerances::{Tolerances, TolerancesError};
