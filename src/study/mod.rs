//! Answers found backwards and bounds found from volumes: what to set, cut or change,
//! each put through the same closures and the same simulation that a run uses.
//!
//! ```
//! use ebbwright::study::cut::{Wish, cut};
//! use ebbwright::scenario;
//!
//! let shed = scenario::parse(scenario::starter(), "shed.toml")?;
//! let wish = Wish { dry_layer: 0.050, only: None };
//! let found = cut(&shed.system, &wish, &mut |_| {})?;
//! let north = found.beds[0].answer.as_ref().map_err(|_| "no length will do")?;
//! println!("cut the standpipe to {:.3} m", north.millimetre.stand.length);
//! assert!(north.exact.dry_layer >= 0.050 - 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod absorb;
pub mod cut;
pub mod draft;
pub mod fit;
pub mod map;
pub mod measure;
pub mod mend;
pub mod protocol;
pub mod second_opinion;
pub mod valves;
pub mod vary;
pub mod why;
pub mod widen;
pub mod window;
