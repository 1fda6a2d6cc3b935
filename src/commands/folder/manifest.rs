//! The list of a folder's files that the program wrote: what it may replace, and what
//! of an earlier answer it takes away.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::content::Content;
use super::disk::ordinary;

/// Its name. In sight, since it belongs to the results.
pub(super) const MANIFEST: &str = "made-by-ebbwright.json";

/// What the program wrote into one folder, by the command that did.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Manifest {
    /// For people who open it.
    about: String,
    schema: u32,
    /// Files by command.
    answers: BTreeMap<String, Vec<Written>>,
}

/// A file as it was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Written {
    pub name: String,
    bytes: u64,
    crc32: u32,
}

impl Written {
    pub fn new(name: &str, content: &Content) -> io::Result<Self> {
        let found = content.measure()?;
        Ok(Self {
            name: name.to_owned(),
            bytes: found.bytes,
            crc32: found.sum.finalize(),
        })
    }

    /// Whether the file in `folder` still is what was written.
    fn is_untouched(&self, folder: &Path) -> bool {
        let path = folder.join(&self.name);
        let about = fs::symlink_metadata(&path);
        about.is_ok_and(|about| about.is_file() && about.len() == self.bytes)
            && fs::read(&path).is_ok_and(|bytes| crc32fast::hash(&bytes) == self.crc32)
    }
}

impl Manifest {
    /// The list in `folder`; an empty one where there is none, or none that can be read.
    pub fn read(folder: &Path) -> io::Result<Self> {
        let path = folder.join(MANIFEST);
        match ordinary(&path).and_then(|()| fs::read(&path)) {
            Ok(bytes) => Ok(serde_json::from_slice::<Self>(&bytes)
                .ok()
                .filter(Self::stays_inside)
                .unwrap_or_else(Self::empty)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Self::empty()),
            Err(error) => Err(error),
        }
    }

    fn empty() -> Self {
        Self {
            about: "Files that ebbwright wrote here, by command; a later answer replaces them \
                    as long as nobody else has changed them."
                .to_owned(),
            schema: 1,
            answers: BTreeMap::new(),
        }
    }

    /// A list that somebody changed must not lead out of its folder.
    fn stays_inside(&self) -> bool {
        self.schema == 1
            && self
                .answers
                .values()
                .flatten()
                .all(|file| plain_name(&file.name))
    }

    /// Whether the program wrote this file and nobody has changed it since.
    pub fn may_replace(&self, folder: &Path, name: &str) -> bool {
        self.answers
            .values()
            .flatten()
            .any(|file| file.name == name && file.is_untouched(folder))
    }

    /// Untouched files of the last answer of `command` that `files` no longer has.
    pub fn stale(&self, folder: &Path, command: &str, files: &[Written]) -> Vec<String> {
        let last = self.answers.get(command).map_or(&[][..], Vec::as_slice);
        last.iter()
            .filter(|old| files.iter().all(|new| new.name != old.name))
            .filter(|old| old.is_untouched(folder))
            .map(|old| old.name.clone())
            .collect()
    }

    /// The list after `command` has written `files`.
    pub fn after(&self, command: &str, files: Vec<Written>) -> Self {
        let mut answers = self.answers.clone();
        for others in answers.values_mut() {
            others.retain(|old| files.iter().all(|new| new.name != old.name));
        }
        answers.insert(command.to_owned(), files);
        answers.retain(|_, files| !files.is_empty());
        Self {
            answers,
            ..Self::empty()
        }
    }

    /// As a file.
    pub fn bytes(&self) -> io::Result<Vec<u8>> {
        let mut bytes = serde_json::to_vec_pretty(self)?;
        bytes.push(b'\n');
        Ok(bytes)
    }
}

/// Whether it names a file in the folder itself.
pub(super) fn plain_name(name: &str) -> bool {
    !name.is_empty() && name != "." && name != ".." && !name.contains(['/', '\\', '\0'])
}
