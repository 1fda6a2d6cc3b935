//! What the commands that read a scenario have in common.

use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

use clap::Args;

use crate::answer::Look;
use crate::commands::failure::Failure;
use crate::commands::folder::{Order, OutFile, write_all, write_one};
use crate::commands::{Units, terminal};
use crate::model::System;
use crate::scenario::{self, Edit, EditPath, Scenario, ScenarioError, shown};
use crate::units::UnitSystem;
use crate::units::display::plain;

/// Names too close in spelling are worth suggesting; share of letters that agree.
const ALIKE: f64 = 0.7;

/// Scenario in, text or JSON and a folder out.
#[derive(Debug, Args)]
pub(super) struct Common {
    /// Scenario file (TOML); `ebbwright new` writes one to start from.
    scenario: PathBuf,
    /// Folder for the files; by default the scenario's name and an ending, in the current folder;
    /// with --json none.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace files in that folder even if ebbwright did not write them or somebody changed them.
    #[arg(long)]
    force: bool,
    /// Change a value before anything else, such as "bed.north.standpipe.length = 215 mm", or move
    /// everything over the sump, as with "everything = +2 in"; may be repeated.
    #[arg(long, value_name = "KEY = VALUE")]
    with: Vec<Edit>,
    /// Write the changed scenario to a file; only the scenario itself, or with --force any file, is replaced.
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// A key that no change may touch, with all below it, such as "bed.north.standpipe"; may be repeated.
    #[arg(long, value_name = "KEY")]
    keep: Vec<EditPath>,
    /// Print one JSON document in SI units and nothing else.
    #[arg(long)]
    json: bool,
    /// Print every figure, check and remark, not only the first screen.
    #[arg(long, conflicts_with = "json")]
    full: bool,
    /// Units of text, pages and pictures; default: those that most of the scenario's values have.
    #[arg(long, value_enum)]
    units: Option<Units>,
    /// Units of the scenario, once it has been read.
    #[arg(skip)]
    written_in: OnceLock<UnitSystem>,
}

impl Common {
    /// Units of what people read: those asked for, else the scenario's own.
    pub fn units(&self) -> UnitSystem {
        let written_in = || self.written_in.get().copied().unwrap_or_default();
        self.units.map_or_else(written_in, UnitSystem::from)
    }

    /// Reads the scenario, with the changes asked for; its warnings go to standard error.
    pub fn read(&self) -> Result<Scenario, Failure> {
        let scenario = self.read_only()?;
        if self.write.is_some() {
            if self.with.is_empty() {
                return Err(Failure::Usage(
                    "--write has no change to write: give one with --with".to_owned(),
                ));
            }
            self.write_scenario(scenario.text())?;
        }
        Ok(scenario)
    }

    /// Writes a changed scenario where `--write` says, if it does.
    pub fn write_scenario(&self, text: &str) -> Result<(), Failure> {
        let Some(path) = &self.write else {
            return Ok(());
        };
        let onto_itself = fs::canonicalize(path).ok() == fs::canonicalize(&self.scenario).ok();
        write_one(path, text.as_bytes(), onto_itself || self.force)?;
        terminal::complain(&format!("Wrote the changed scenario to {}.", shown(path)));
        Ok(())
    }

    /// Whether a changed scenario is to be written.
    pub fn asks_to_write(&self) -> bool {
        self.write.is_some()
    }

    /// What no change may touch, by the file and by `--keep`.
    pub fn kept(&self, scenario: &Scenario) -> Vec<EditPath> {
        scenario.keep.iter().chain(&self.keep).cloned().collect()
    }

    /// Like [`read`](Self::read), and writes nothing: for a command that changes more.
    pub fn read_only(&self) -> Result<Scenario, Failure> {
        let faulty =
            |error: ScenarioError| Failure::Scenario(error.render(terminal::colour_messages()));
        let mut scenario = scenario::read(&self.scenario).map_err(faulty)?;
        if !self.with.is_empty() {
            let kept = self.kept(&scenario);
            let text = scenario::with_edits(&scenario, &self.with, &kept)
                .map_err(|error| Failure::Usage(format!("--with cannot be done: {error}")))?;
            scenario = scenario::parse(&text, &shown(&self.scenario)).map_err(faulty)?;
        }
        let _ = self.written_in.set(scenario.units());
        if self.units == Some(Units::Imperial) {
            terminal::complain(
                "note: --units imperial prints inches, feet and US gallons, as --units us does; \
                 in a scenario impgal is the imperial gallon",
            );
        }
        if !scenario.warnings.is_empty() {
            terminal::complain(&scenario.render_warnings(terminal::colour_messages()));
        }
        Ok(scenario)
    }

    /// Name of the scenario file, without its folder.
    pub fn file_name(&self) -> String {
        let name = self.scenario.file_name().unwrap_or_default();
        plain(&name.to_string_lossy())
    }

    /// The same with the changes asked for.
    pub fn source(&self) -> String {
        let name = self.file_name();
        if self.with.is_empty() {
            return name;
        }
        let changes: Vec<String> = self.with.iter().map(Edit::to_string).collect();
        format!("{name} with {}", changes.join(", "))
    }

    /// Writes `files` of `command` to the folder, which is by default the scenario's name
    /// with `-command`, for `run` with "-results", then prints `text`, or the `json` that
    /// was asked for; `contents` says what the folder holds.
    pub fn deliver(
        &self,
        command: &'static str,
        json: &str,
        mut text: String,
        contents: &str,
        files: impl FnOnce() -> Result<Vec<OutFile>, Failure>,
    ) -> Result<(), Failure> {
        let folder = self.folder(command);
        if let Some(folder) = &folder {
            let order = Order {
                command,
                force: self.force,
            };
            write_all(folder, order, &files()?)?;
        }
        if self.json {
            return terminal::say(json);
        }
        if let Some(folder) = &folder {
            text += &format!("\n{contents} are in {}\n", shown(folder));
        }
        terminal::say(&text)
    }

    /// How results look on standard output.
    pub fn look(&self) -> Look {
        look(self.full)
    }

    /// Whether a folder of files is wanted.
    pub fn writes_files(&self) -> bool {
        self.out.is_some() || !self.json
    }

    /// Where the files go; `None` writes none.
    fn folder(&self, command: &str) -> Option<PathBuf> {
        match &self.out {
            Some(folder) => Some(folder.clone()),
            None if self.json => None,
            None => {
                let mut name = self.scenario.file_stem().unwrap_or_default().to_owned();
                name.push("-");
                name.push(match command {
                    "run" => "results",
                    other => other,
                });
                Some(PathBuf::from(name))
            }
        }
    }
}

/// How results look on standard output.
pub(super) fn look(full: bool) -> Look {
    Look {
        full,
        colour: terminal::colour_output(),
        ..Look::default()
    }
}

/// A fault of the program itself.
pub(super) fn internal(error: impl ToString) -> Failure {
    Failure::Internal(error.to_string())
}

/// Index of the bed of this name.
pub(super) fn bed_named(system: &System, name: &str) -> Result<usize, Failure> {
    let names: Vec<&str> = system.beds.iter().map(|bed| bed.name.as_str()).collect();
    if let Some(index) = names.iter().position(|known| *known == name) {
        return Ok(index);
    }
    let likeness = |known: &str| strsim::jaro_winkler(&known.to_lowercase(), &name.to_lowercase());
    let close = names
        .iter()
        .map(|known| (likeness(known), known))
        .filter(|(alike, _)| *alike >= ALIKE)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let advice = match close {
        Some((_, known)) => format!("did you mean {known:?}? "),
        None => String::new(),
    };
    // Names come from a file and a command line: what would drive a terminal is escaped.
    let quoted: Vec<String> = names.iter().map(|known| format!("{known:?}")).collect();
    Err(Failure::Usage(format!(
        "the scenario has no bed {name:?}\n  {advice}Its beds: {}",
        quoted.join(", ")
    )))
}
