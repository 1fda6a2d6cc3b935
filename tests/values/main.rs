//! Functions of `hydraulics` against published values.
//!
//! Values are in `tests/data/`, each row with its source and how it was
//! obtained: READ in the publication or a copy of it, LIBRARY computed with a
//! general-purpose library (the call is given), FROM_MEMORY recalled and not
//! read again, COMPUTED by formula, which proves the coding and not the
//! physics. Tolerances follow the source. Every test counts its rows, so that
//! a filter that matches nothing fails.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod circular;
mod doc_comments;
mod draining;
mod fish_water;
mod friction;
mod minor_losses;
mod packed_bed;
mod pchip;
mod pipe_sizes;
mod pumps;
mod siphon_examples;
mod small_bore;
mod small_parts;
mod table;
mod vessels;
mod water;
mod weirs;
