//! A folder of results: all of its files, or none.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use crate::commands::failure::Failure;

/// A file to write.
pub(super) struct OutFile {
    /// Name inside the folder.
    pub name: String,
    /// Content.
    pub bytes: Vec<u8>,
}

const OTHER_FOLDER: &str = "Give a folder you may write to with --out.";

/// Writes every file into `folder`, making it when needed. Each file is written
/// under a temporary name in the same folder and renamed once all are complete;
/// on failure none of them, and no new folder, stays behind.
pub(super) fn write_all(folder: &Path, files: &[OutFile]) -> Result<(), Failure> {
    let made = missing(folder);
    let written = make(folder).and_then(|()| place(folder, files));
    if written.is_err() {
        // Deepest first; a folder that is not empty is not ours to remove.
        for path in made {
            let _ = fs::remove_dir(path);
        }
    }
    written
}

/// Folders on the way to `folder` that do not exist yet, deepest first.
fn missing(folder: &Path) -> Vec<PathBuf> {
    folder
        .ancestors()
        .take_while(|path| !path.as_os_str().is_empty() && !path.exists())
        .map(Path::to_owned)
        .collect()
}

fn make(folder: &Path) -> Result<(), Failure> {
    if let Some(file) = folder
        .ancestors()
        .find(|path| path.exists() && !path.is_dir())
    {
        let reason = format!("{} is a file, not a folder", file.display());
        return Err(failure(folder, reason, OTHER_FOLDER));
    }
    fs::create_dir_all(folder).map_err(|error| failure(folder, error, OTHER_FOLDER))
}

fn place(folder: &Path, files: &[OutFile]) -> Result<(), Failure> {
    let mut ready = Vec::with_capacity(files.len());
    for file in files {
        let path = folder.join(&file.name);
        if path.is_dir() {
            let advice = "Move that folder away, or give another one with --out.";
            return Err(failure(
                &path,
                "a folder of that name is in the way",
                advice,
            ));
        }
        let written = temporary(folder, &file.bytes);
        ready.push((
            written.map_err(|error| failure(&path, error, OTHER_FOLDER))?,
            path,
        ));
    }
    let mut placed: Vec<PathBuf> = Vec::with_capacity(ready.len());
    for (file, path) in ready {
        if let Err(error) = file.persist(&path) {
            for path in placed {
                let _ = fs::remove_file(path);
            }
            return Err(failure(&path, error.error, OTHER_FOLDER));
        }
        placed.push(path);
    }
    Ok(())
}

/// Writes one file, complete or not at all. Without `replace` an existing file
/// is left alone.
pub(super) fn write_one(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Failure> {
    let advice = "Give the name of a file in a folder you may write to.";
    if path.is_dir() {
        return Err(failure(path, "it is a folder", advice));
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let file = temporary(folder, bytes).map_err(|error| failure(path, error, advice))?;
    let placed = if replace {
        file.persist(path)
    } else {
        file.persist_noclobber(path)
    };
    placed.map(drop).map_err(|error| match error.error.kind() {
        io::ErrorKind::AlreadyExists => Failure::Exists {
            path: path.to_owned(),
        },
        _ => failure(path, error.error, advice),
    })
}

/// A complete file under a temporary name, removed again unless it is renamed.
fn temporary(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(".ebbwright-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Like any other new file: what the user's mask leaves of this.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.flush()?;
    Ok(file)
}

fn failure(path: &Path, reason: impl ToString, advice: &'static str) -> Failure {
    Failure::Write {
        path: path.to_owned(),
        reason: plain_reason(&reason.to_string()),
        advice,
    }
}

/// The system's words without the path of a temporary file.
fn plain_reason(reason: &str) -> String {
    match reason.split_once(" at path ") {
        Some((words, _)) => words.to_owned(),
        None => reason.to_owned(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn file(name: &str, text: &str) -> OutFile {
        OutFile {
            name: name.to_owned(),
            bytes: text.as_bytes().to_vec(),
        }
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<_> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn all_files_arrive_and_old_ones_are_replaced() {
        let root = tempfile::tempdir().unwrap();
        let out = root.path().join("a/b");
        write_all(&out, &[file("x", "one"), file("y", "two")]).unwrap();
        write_all(&out, &[file("x", "three")]).unwrap();
        assert_eq!(names(&out), ["x", "y"]);
        assert_eq!(fs::read_to_string(out.join("x")).unwrap(), "three");
    }

    #[test]
    fn when_one_file_cannot_be_placed_none_is_and_new_folders_go() {
        let root = tempfile::tempdir().unwrap();
        fs::create_dir_all(root.path().join("old/y")).unwrap();
        let failed = write_all(
            &root.path().join("old"),
            &[file("x", "one"), file("y", "two")],
        );
        assert!(failed.unwrap_err().to_string().contains("old/y"));
        assert_eq!(names(&root.path().join("old")), ["y"]);

        // The name is too long for any file system: fails after the folder is made.
        let failed = write_all(
            &root.path().join("new/deep"),
            &[file("x", "one"), file(&"y".repeat(300), "")],
        );
        assert!(failed.is_err());
        assert_eq!(names(root.path()), ["old"]);
    }

    #[test]
    fn a_file_in_place_of_the_folder_is_named() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("taken");
        fs::write(&path, "mine").unwrap();
        let message = write_all(&path, &[file("x", "")]).unwrap_err().to_string();
        assert!(
            message.contains("taken") && message.contains("not a folder"),
            "{message}"
        );
        assert!(write_all(&path.join("below"), &[file("x", "")]).is_err());
        assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
    }

    #[test]
    fn one_file_is_not_replaced_unasked() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("bed.toml");
        write_one(&path, b"first", false).unwrap();
        assert!(matches!(
            write_one(&path, b"second", false),
            Err(Failure::Exists { .. })
        ));
        assert_eq!(fs::read(&path).unwrap(), b"first");
        write_one(&path, b"third", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"third");
        assert_eq!(names(root.path()), ["bed.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn files_are_readable_like_any_other() {
        use std::os::unix::fs::PermissionsExt;
        let root = tempfile::tempdir().unwrap();
        let plain = root.path().join("plain");
        fs::write(&plain, "").unwrap();
        let ours = root.path().join("ours");
        write_one(&ours, b"", false).unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode(&ours), mode(&plain));
    }
}
