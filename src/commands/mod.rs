//! The commands of the program: read arguments, call the library, write files,
//! turn answers into an exit status.
//!
//! | status | meaning |
//! | --- | --- |
//! | 0 | every check passed; warnings are allowed |
//! | 1 | the run worked and a check failed |
//! | 2 | no answer: bad input, bad usage, or results that cannot be written |
//! | 3 | no answer: a failure inside the program |

mod absorb;
mod advice;
mod answered;
mod axes;
mod common;
mod completions;
mod cut;
mod failure;
mod fit;
mod folder;
mod interrupt;
mod man;
mod measure;
mod measured;
mod mend;
mod new;
mod page;
mod progress;
mod run;
mod schema;
mod terminal;
mod threads;
mod vary;
mod why;
mod window;

use std::ffi::OsString;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::units::UnitSystem;
use crate::units::display::{plain, plain_lines};

/// Exit status of a run in which a check failed.
const CHECK_FAILED: u8 = 1;
/// Exit status of a failure inside the program.
const INTERNAL: u8 = 3;

/// Says whether a flood-and-drain gravel bed with an automatic siphon will work, why, and what to change.
#[derive(Debug, Parser)]
#[command(
    name = "ebbwright",
    version,
    max_term_width = 100,
    after_help = "Start with:\n  ebbwright new shed.toml      asks for a few facts and writes a scenario that works\n  ebbwright run shed.toml      says whether it works and what to change\n\nExit status: 0 every check passed, 1 a check failed, 2 bad input or usage, 3 internal failure."
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Run(run::Arguments),
    Cut(cut::Arguments),
    Absorb(absorb::Arguments),
    Window(window::Arguments),
    Measure(measure::Arguments),
    Fit(Box<fit::Arguments>),
    Mend(mend::Arguments),
    Why(Box<why::Arguments>),
    Vary(vary::Arguments),
    New(new::Arguments),
    Page(page::Arguments),
    Schema(schema::Arguments),
    Completions(completions::Arguments),
    Man(man::Arguments),
}

/// Units of what people read; files for programs are always SI.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Units {
    /// Millimetres, litres, kilopascals.
    Metric,
    /// Inches in sixteenths, US gallons, pounds.
    Us,
    /// What many call the same.
    #[value(hide = true)]
    Imperial,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us | Units::Imperial => Self::Us,
        }
    }
}

/// What a command found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Answer {
    /// Nothing failed.
    Good,
    /// The command worked and a check failed.
    CheckFailed,
}

/// Runs the program on its arguments, the program's name first.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<_> = arguments.into_iter().collect();
    interrupt::wait_for_signals();
    threads::start_bounded();
    ExitCode::from(guarded(|| obey(arguments)))
}

/// A panic is a defect of the program, and its exit status says so.
fn guarded(work: impl FnOnce() -> u8) -> u8 {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|_| {
        terminal::complain(
            "error: the program failed; this is a defect of ebbwright, not of your scenario.\n\
             Please report it together with the scenario file.",
        );
        INTERNAL
    })
}

fn obey(arguments: Vec<OsString>) -> u8 {
    let answer = match Arguments::try_parse_from(&arguments) {
        Ok(arguments) => match arguments.command {
            Command::Run(arguments) => run::run(&arguments),
            Command::Cut(arguments) => cut::run(&arguments),
            Command::Absorb(arguments) => absorb::absorb(&arguments),
            Command::Window(arguments) => window::window(&arguments),
            Command::Measure(arguments) => measure::measure(&arguments),
            Command::Fit(arguments) => fit::fit(&arguments),
            Command::Mend(arguments) => mend::mend(&arguments),
            Command::Why(arguments) => why::why(&arguments),
            Command::Vary(arguments) => vary::vary(&arguments),
            Command::New(arguments) => new::new(&arguments),
            Command::Page(arguments) => page::page(&arguments),
            Command::Schema(arguments) => schema::schema(&arguments),
            Command::Completions(arguments) => completions::completions(&arguments),
            Command::Man(arguments) => man::man(&arguments),
        },
        Err(message) => return explain(&message, &arguments),
    };
    match answer {
        Ok(Answer::Good) => 0,
        Ok(Answer::CheckFailed) => CHECK_FAILED,
        Err(failure) => {
            terminal::complain(&failure.to_string());
            failure.status()
        }
    }
}

/// Help goes to standard output, misuse to standard error.
fn explain(message: &clap::Error, arguments: &[OsString]) -> u8 {
    let told: Vec<String> = arguments
        .iter()
        .map(|argument| plain(&argument.to_string_lossy()))
        .collect();
    let harmless = arguments
        .iter()
        .zip(&told)
        .all(|(said, told)| said == told.as_str());
    let printed = if harmless || !message.use_stderr() {
        message.print()
    } else {
        // An argument would drive the terminal: no colours then, and no such characters.
        let again = Arguments::try_parse_from(&told).err();
        let text = again.as_ref().unwrap_or(message).to_string();
        terminal::complain(&plain_lines(&text));
        Ok(())
    };
    match terminal::heard(printed) {
        Err(failure) if !message.use_stderr() => {
            terminal::complain(&failure.to_string());
            failure.status()
        }
        _ => u8::try_from(message.exit_code()).unwrap_or(INTERNAL),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_table_of_arguments_is_sound() {
        Arguments::command().debug_assert();
    }

    #[test]
    #[allow(clippy::panic)]
    fn a_panic_becomes_an_internal_failure() {
        assert_eq!(guarded(|| 1), 1);
        assert_eq!(guarded(|| panic!("on purpose, for this test")), INTERNAL);
    }
}
