//! The page: one HTML file that holds an answer, the scenario and the engine itself.
//!
//! [`Engine`] is what the page asks, text in and text out: it runs in the browser, compiled from
//! the crate in `src/page/engine`, and natively in tests. All words and figures on the page come
//! out of answer documents; its scripts only show them.

mod asks;
mod engine;
#[cfg(feature = "cli")]
mod file;
#[cfg(feature = "cli")]
mod lean;
mod plain;
mod request;
mod series;
mod wished;

#[cfg(feature = "cli")]
pub(crate) use asks::cut_sheet;
pub use engine::Engine;
#[cfg(feature = "cli")]
pub use engine::answered;
#[cfg(feature = "cli")]
pub use file::{Page, page};
