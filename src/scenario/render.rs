//! Faults as text for people.

use thiserror::Error;

use super::fault::{Fault, MOST_PRINTED, Severity, Source};
#[cfg(feature = "cli")]
use super::file::FileError;
use crate::units::display::plain_lines;

/// Why a scenario cannot be used.
#[derive(Debug, Error)]
pub enum ScenarioError {
    /// The path gives no text.
    #[cfg(feature = "cli")]
    #[error(transparent)]
    File(#[from] FileError),
    /// The text has faults; at least one is an error, warnings may be among them.
    #[error("{}", summary(.file, .faults))]
    Faults {
        /// The text and its name.
        file: Source,
        /// All of them, in file order.
        faults: Vec<Fault>,
    },
}

impl ScenarioError {
    /// The faults found in the text; none for a [`FileError`].
    pub fn faults(&self) -> &[Fault] {
        match self {
            #[cfg(feature = "cli")]
            Self::File(_) => &[],
            Self::Faults { faults, .. } => faults,
        }
    }

    /// The whole message for people, ending with a line end; `color` adds terminal escape codes.
    /// Without the feature `cli` it is plain lines, and nothing has colour.
    pub fn render(&self, color: bool) -> String {
        match self {
            #[cfg(feature = "cli")]
            Self::File(error) => format!("error: {error}\n  help: {}\n", error.help()),
            Self::Faults {
                file,
                faults: found,
            } => faults(file, found, color),
        }
    }
}

/// `garden.toml: 2 errors, 1 warning`.
fn summary(file: &Source, faults: &[Fault]) -> String {
    let count = |severity| {
        faults
            .iter()
            .filter(|fault| fault.severity == severity)
            .count()
    };
    let some = |n: usize, what: &str| match n {
        0 => None,
        1 => Some(format!("1 {what}")),
        n => Some(format!("{n} {what}s")),
    };
    let parts: Vec<String> = [
        some(count(Severity::Error), "error"),
        some(count(Severity::Warning), "warning"),
    ]
    .into_iter()
    .flatten()
    .collect();
    format!("{}: {}", file.name, parts.join(", "))
}

/// All faults below one heading, empty if there are none.
pub(super) fn faults(file: &Source, faults: &[Fault], color: bool) -> String {
    if faults.is_empty() {
        return String::new();
    }
    let mut out = pointed(file, summary(file, faults), faults, color);
    if let Some(more) = faults
        .len()
        .checked_sub(MOST_PRINTED)
        .filter(|more| *more > 0)
    {
        out.push_str(&format!("\nand {more} more\n"));
    }
    out
}

/// The first of them, with snippets of the file where the program is there to draw them.
fn pointed(file: &Source, heading: String, faults: &[Fault], color: bool) -> String {
    #[cfg(feature = "cli")]
    if let Some(text) = super::snippets::drawn(file, &heading, faults, color) {
        return text;
    }
    let _ = color;
    let mut out = heading + "\n";
    for fault in faults.iter().take(MOST_PRINTED) {
        let (line, help) = (fault.line, fault.help.replace('\n', "\n    "));
        out.push_str(&format!("{}:{line}: {fault}\n  help: {help}\n", file.name));
    }
    plain_lines(&out)
}
