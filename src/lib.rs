//! Hydraulics of flood-and-drain gravel beds emptied by automatic siphons: whether each
//! siphon starts and stops at the flow it really gets, how high the water stands under the
//! gravel's surface, whether the sump runs dry or spills, and what to change first.
//!
//! Figures are SI, elevations are above the room's floor. The same system gives the same
//! answer, to the last byte.
//!
//! ```
//! use ebbwright::assessment::{Status, assess};
//! use ebbwright::hydraulics::vessel::VesselShape;
//! use ebbwright::model::{Bed, System};
//! use ebbwright::answer::Look;
//! use ebbwright::report::Report;
//! use ebbwright::simulation::{Sampling, simulate};
//! use ebbwright::units::UnitSystem::Metric;
//!
//! let tub = VesselShape::Box { length: 1.0, width: 0.9, depth: 0.35 };
//! let drum = VesselShape::LyingCylinder { diameter: 0.572, length: 0.851 };
//! let system = System::builder()
//!     .title("shed")
//!     .sump(drum, 0.0) // bottom of its inside, on the floor of the room
//!     .steady_flow(8.0e-3 / 60.0) // 8 L/min
//!     .bed(Bed::builder("north", tub, 1.11).gravel(0.33, 0.40))
//!     .build()?;
//! let run = simulate(&system, Sampling::None)?;
//! let assessment = assess(&system, &run);
//! let report = Report::new(&system, &run, &assessment, Metric);
//! println!("{}", report.document("shed.toml").terminal(Look::default()));
//! assert_ne!(assessment.verdict, Status::Fail);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Layers
//!
//! Each imports only from those above it in this list:
//!
//! 1. [`units`] and [`numerics`]: quantities people type and read; roots, tables, integration.
//! 2. [`hydraulics`]: published formulas as plain functions of SI numbers.
//! 3. [`model`]: the system as built: beds, siphons, pump, supply, drain line, sump.
//! 4. [`siphon`] and [`network`]: how siphons, supply tree and drain line behave at one moment.
//! 5. [`simulation`]: what the system does over time.
//! 6. [`assessment`]: windows, bounds, checks and cautions.
//! 7. [`study`]: the same questions asked backwards: what to cut, set and change.
//! 8. [`scenario`]: the scenario file, read and judged into a model.
//! 9. [`report`] and `plots`: results in words, tables and pictures.
//! 10. [`answer`]: one document for every command, and its renderers.
//! 11. [`page`]: an answer with the engine in one HTML file.
//! 12. `commands`: the program.
//!
//! # Features
//!
//! Without any, the library is the engine alone, layers 1 to 8 and the answers in every
//! form: no files, terminal, threads or pictures, and it builds for `wasm32-unknown-unknown`.
//!
//! - `cli` (default): the program, files read and written, messages that point into the file;
//!   brings the others.
//! - `plots`: pictures as SVG and PNG.
//! - `parallel`: studies on all cores; the answers are the same without.
//! - `ode_solvers`: a second integrator to compare with.

pub mod answer;
pub mod assessment;
#[cfg(feature = "cli")]
pub mod commands;
pub mod hydraulics;
pub mod model;
pub mod network;
pub mod numerics;
pub mod page;
pub mod plots;
pub mod report;
pub mod scenario;
pub mod simulation;
pub mod siphon;
pub mod study;
pub mod units;
