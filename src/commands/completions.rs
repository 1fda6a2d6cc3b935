//! `ebbwright completions`.

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use crate::commands::failure::Failure;
use crate::commands::{Answer, Arguments as Program, terminal};

/// Write a script that lets a shell complete commands and options to standard output.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright completions bash > ~/.local/share/bash-completion/completions/ebbwright\n  ebbwright completions fish > ~/.config/fish/completions/ebbwright.fish"
)]
pub(super) struct Arguments {
    /// The shell it is for.
    #[arg(value_enum)]
    shell: Shell,
}

pub(super) fn completions(arguments: &Arguments) -> Result<Answer, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut Program::command(),
        "ebbwright",
        &mut script,
    );
    terminal::say(&String::from_utf8_lossy(&script))?;
    Ok(Answer::Good)
}
