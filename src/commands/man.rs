//! `ebbwright man`.

use std::fs;
use std::path::PathBuf;

use clap::{Args, Command, CommandFactory};
use clap_mangen::Man;

use crate::commands::failure::Failure;
use crate::commands::folder::write_one;
use crate::commands::{Answer, Arguments as Program, terminal};
use crate::scenario::shown;

/// Write the manual pages: the program's to standard output, or all of them to a folder.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  ebbwright man --out ~/.local/share/man/man1\n  man ebbwright-run"
)]
pub(super) struct Arguments {
    /// Folder for one page for the program and one for each command.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

pub(super) fn man(arguments: &Arguments) -> Result<Answer, Failure> {
    let mut program = Program::command();
    program.build();
    let Some(folder) = &arguments.out else {
        let (_, page) = page(program)?;
        terminal::say(&String::from_utf8_lossy(&page))?;
        return Ok(Answer::Good);
    };
    let commands: Vec<Command> = program
        .get_subcommands()
        .filter(|command| command.get_name() != "help")
        .cloned()
        .collect();
    let files = std::iter::once(program)
        .chain(commands)
        .map(page)
        .collect::<Result<Vec<_>, _>>()?;
    // A folder of manual pages is nobody's alone: no list of files is put into it.
    fs::create_dir_all(folder).map_err(|error| Failure::Write {
        path: folder.clone(),
        reason: error.to_string(),
        advice: "Give a folder you may write to with --out.",
    })?;
    for (name, bytes) in &files {
        write_one(&folder.join(name), bytes, true)?;
    }
    terminal::say(&format!(
        "Wrote {} pages to {}.\n",
        files.len(),
        shown(folder)
    ))?;
    Ok(Answer::Good)
}

/// Name of the file and the page, `ebbwright-run.1` for the command `run`.
fn page(command: Command) -> Result<(String, Vec<u8>), Failure> {
    let man = Man::new(command);
    let mut page = Vec::new();
    man.render(&mut page)
        .map_err(|error| Failure::Internal(format!("the manual page: {error}")))?;
    Ok((man.get_filename(), page))
}
