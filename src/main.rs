//! Command-line entry point.

use std::process::ExitCode;

fn main() -> ExitCode {
    ebbwright::commands::main(std::env::args_os())
}
