//! The real program in folders of its own, with an empty environment.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod advice;
mod bench;
mod changes;
mod files;
mod help;
mod mend;
mod new;
mod readme;
mod run;
#[path = "../support/sentences.rs"]
mod sentences;
mod shell;
mod streams;
mod terminal_questions;
mod units;
