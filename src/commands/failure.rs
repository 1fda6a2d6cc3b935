//! Why a command has no answer.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::scenario::shown;
use crate::simulation::SimulationError;
use crate::units::display::plain;

/// A command without an answer.
#[derive(Debug, Error)]
pub(super) enum Failure {
    /// The scenario is unreadable or wrong; the text points into the file.
    #[error("{0}")]
    Scenario(String),
    /// An argument that only the scenario shows to be wrong.
    #[error("error: {0}")]
    Usage(String),
    /// Files could not be written.
    #[error("error: cannot write {}: {reason}\n  {advice}", shown(path))]
    Write {
        /// File or folder.
        path: PathBuf,
        /// What the system said.
        reason: String,
        /// What to do about it.
        advice: &'static str,
    },
    /// A file is in the way.
    #[error(
        "error: {} is there already and is left as it was\n  \
         Give another name, or --force to replace it.",
        shown(path)
    )]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Files of somebody else's are in the way.
    #[error(
        "error: {} {} in {} and did not come from ebbwright, or changed since\n  \
         Give another folder with --out, or --force to replace {}.",
        plain(&names.join(", ")),
        if names.len() == 1 { "stands" } else { "stand" },
        shown(folder),
        if names.len() == 1 { "it" } else { "them" }
    )]
    Foreign {
        /// The folder.
        folder: PathBuf,
        /// Names of the files in it.
        names: Vec<String>,
    },
    /// Standard output took nothing more.
    #[error(
        "error: cannot write to standard output: {0}\n  \
         Give it a place with room, or read the files with --out instead."
    )]
    Output(io::Error),
    /// The simulation gave up.
    #[error("error: {0}")]
    Simulation(SimulationError),
    /// Something that no input should cause.
    #[error(
        "error: {0}\n  This is a defect of ebbwright; please report it together with the \
         scenario file."
    )]
    Internal(String),
}

impl Failure {
    /// Exit status.
    pub fn status(&self) -> u8 {
        match self {
            Self::Scenario(_)
            | Self::Usage(_)
            | Self::Write { .. }
            | Self::Exists { .. }
            | Self::Foreign { .. }
            | Self::Output(_) => 2,
            Self::Simulation(error) => match error {
                SimulationError::Integration(_)
                | SimulationError::WaterLost { .. }
                | SimulationError::Chatter { .. } => 3,
                SimulationError::WorstUnresolved { .. }
                | SimulationError::NoIncident { .. }
                | SimulationError::TooMuch { .. }
                | SimulationError::TooManyBeds { .. }
                | SimulationError::NoTime { .. } => 2,
            },
            Self::Internal(_) => 3,
        }
    }
}
