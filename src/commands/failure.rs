//! Why a command has no answer.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::simulation::SimulationError;

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
    #[error(
        "error: cannot write {}: {reason}\n  {advice}",
        path.display()
    )]
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
        path.display()
    )]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// Standard output took nothing more.
    #[error(
        "error: cannot write to standard output: {0}\n  \
         Give it a place with room, or read the files with --out instead."
    )]
    Output(io::Error),
    /// The reader of standard output went away, as `head` does.
    #[error("standard output was closed")]
    OutputClosed,
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
    /// A failure to write to standard output.
    pub fn from_output(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::OutputClosed,
            _ => Self::Output(error),
        }
    }

    /// What to say on standard error; nothing when nobody wants to know.
    pub fn message(&self) -> Option<String> {
        match self {
            Self::OutputClosed => None,
            other => Some(other.to_string()),
        }
    }

    /// Exit status.
    pub fn status(&self) -> u8 {
        match self {
            Self::OutputClosed => 0,
            Self::Scenario(_)
            | Self::Usage(_)
            | Self::Write { .. }
            | Self::Exists { .. }
            | Self::Output(_) => 2,
            Self::Simulation(error) => match error {
                SimulationError::Integration(_)
                | SimulationError::WaterLost { .. }
                | SimulationError::Chatter { .. } => 3,
                SimulationError::WorstUnresolved { .. }
                | SimulationError::NoIncident { .. }
                | SimulationError::TooManyBeds { .. }
                | SimulationError::NoTime { .. } => 2,
            },
            Self::Internal(_) => 3,
        }
    }
}
