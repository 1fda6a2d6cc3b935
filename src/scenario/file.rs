//! From a path to text, refusing what cannot be a scenario.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::units::display::plain;

/// Largest scenario file read `[bytes]`; a hundred beds fit many times over.
pub const LARGEST_FILE: u64 = 1_000_000;

/// A path as messages show it.
pub(crate) fn shown(path: &Path) -> String {
    plain(&path.to_string_lossy())
}

/// Why a path gives no text.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum FileError {
    /// Nothing there.
    #[error("{}: there is no such file", shown(.path))]
    Missing {
        /// The path.
        path: PathBuf,
    },
    /// A directory.
    #[error("{}: this is a directory, not a scenario file", shown(.path))]
    Directory {
        /// The path.
        path: PathBuf,
    },
    /// There, but it cannot be read.
    #[error("{}: this file cannot be read: {error}", shown(.path))]
    Unreadable {
        /// The path.
        path: PathBuf,
        /// What the system says.
        #[source]
        error: std::io::Error,
    },
    /// Too large to be a scenario.
    #[error(
        "{}: this file is too large for a scenario: more than {} kB",
        shown(.path),
        LARGEST_FILE / 1000
    )]
    TooLarge {
        /// The path.
        path: PathBuf,
    },
    /// Nothing but blanks and comments.
    #[error("{}: this file is empty", shown(.path))]
    Empty {
        /// The path.
        path: PathBuf,
    },
    /// Not text in UTF-8.
    #[error("{}: this is not a text file: byte {byte} is not UTF-8 text", shown(.path))]
    NotText {
        /// The path.
        path: PathBuf,
        /// First byte that is no text, counting from 1.
        byte: usize,
    },
    /// Text in UTF-16, as some editors save it.
    #[error("{}: this text is saved as UTF-16", shown(.path))]
    Utf16 {
        /// The path.
        path: PathBuf,
    },
}

impl FileError {
    /// What to do about it.
    pub fn help(&self) -> &'static str {
        match self {
            Self::Missing { .. } => {
                "check the name and the folder; `ebbwright new` writes a starter to fill in"
            }
            Self::Directory { .. } => "name the .toml file inside it",
            Self::Unreadable { .. } => "check who may read the file",
            Self::TooLarge { .. } => {
                "a scenario is a short text file in TOML; `ebbwright new` writes a starter to fill in"
            }
            Self::NotText { .. } => {
                "a scenario is a text file in TOML, saved as UTF-8; `ebbwright new` writes a starter"
            }
            Self::Empty { .. } => "`ebbwright new` writes a starter to fill in",
            Self::Utf16 { .. } => "save it again with the encoding UTF-8",
        }
    }
}

/// The text of a file.
pub(super) fn read(path: &Path) -> Result<String, FileError> {
    let owned = || path.to_path_buf();
    let unreadable = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => FileError::Missing { path: owned() },
        ErrorKind::IsADirectory => FileError::Directory { path: owned() },
        _ => FileError::Unreadable {
            path: owned(),
            error,
        },
    };
    let about = std::fs::metadata(path).map_err(unreadable)?;
    if about.is_dir() {
        return Err(FileError::Directory { path: owned() });
    }
    if about.len() > LARGEST_FILE {
        return Err(FileError::TooLarge { path: owned() });
    }
    let mut bytes = Vec::new();
    // A pipe has no size beforehand: read one byte more than allowed, no further.
    File::open(path)
        .map_err(unreadable)?
        .take(LARGEST_FILE + 1)
        .read_to_end(&mut bytes)
        .map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(FileError::TooLarge { path: owned() });
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(FileError::Utf16 { path: owned() });
    }
    let zero = bytes.iter().position(|byte| *byte == 0);
    let text = match (String::from_utf8(bytes), zero) {
        (Ok(text), None) => text,
        (Ok(_), Some(at)) => {
            return Err(FileError::NotText {
                path: owned(),
                byte: at + 1,
            });
        }
        (Err(error), zero) => {
            let bad = error.utf8_error().valid_up_to();
            return Err(FileError::NotText {
                path: owned(),
                byte: zero.map_or(bad, |z| z.min(bad)) + 1,
            });
        }
    };
    let text = text
        .strip_prefix('\u{feff}')
        .map(str::to_owned)
        .unwrap_or(text);
    if text
        .lines()
        .all(|line| line.trim().is_empty() || line.trim_start().starts_with('#'))
    {
        return Err(FileError::Empty { path: owned() });
    }
    Ok(text)
}
