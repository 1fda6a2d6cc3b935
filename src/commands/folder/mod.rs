//! A folder of results: all of its files, or none.
//!
//! The folder keeps a list of what the program wrote there. A file that is on it and
//! unchanged is replaced; anything else belongs to somebody, and stays.

mod content;
mod disk;
mod manifest;
mod placing;
#[cfg(test)]
mod prepared;
#[cfg(test)]
mod refusals;

use std::fs::{self, File, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::{Builder, NamedTempFile};

use crate::commands::failure::Failure;
use crate::commands::interrupt;
use crate::scenario::shown;
pub(super) use content::Content;
use disk::{Disk, RealDisk, ordinary};
use manifest::{MANIFEST, Manifest, Written};
use placing::{LOCK, Place, Refused};

/// A file to write.
pub(super) struct OutFile {
    /// Name inside the folder.
    pub name: String,
    /// Content.
    pub content: Content,
}

/// Whose files they are, and what may be done for them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Order {
    /// The command whose last answer in this folder they replace.
    pub command: &'static str,
    /// Whether files that somebody else wrote or changed may be replaced.
    pub force: bool,
}

const OTHER_FOLDER: &str = "Give a folder you may write to with --out.";

/// Writes every file into `folder`, making it when needed, and takes away what the same
/// command's last answer had there and this one has not. On failure everything is as it
/// was, and no new folder stays behind.
pub(super) fn write_all(folder: &Path, order: Order, files: &[OutFile]) -> Result<(), Failure> {
    // A signal waits until the folder is whole again.
    let _uninterrupted = interrupt::hold_off();
    write_all_on(&RealDisk, folder, order, files)
}

fn write_all_on<D: Disk>(
    disk: &D,
    folder: &Path,
    order: Order,
    files: &[OutFile],
) -> Result<(), Failure> {
    let made = missing(folder);
    let written = make(disk, folder).and_then(|()| place(disk, folder, order, files));
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

fn make<D: Disk>(disk: &D, folder: &Path) -> Result<(), Failure> {
    if let Some(file) = folder
        .ancestors()
        .find(|path| path.exists() && !path.is_dir())
    {
        let reason = format!("{} is a file, not a folder", shown(file));
        return Err(failure(folder, reason, OTHER_FOLDER));
    }
    for path in missing(folder).iter().rev() {
        disk.make_folder(path)
            .map_err(|error| failure(folder, error, OTHER_FOLDER))?;
    }
    Ok(())
}

/// Places the files by way of a stage that only one process has at a time.
fn place<D: Disk>(disk: &D, folder: &Path, order: Order, files: &[OutFile]) -> Result<(), Failure> {
    let place = Place { disk, folder };
    let stage = place.stage();
    match fs::symlink_metadata(&stage) {
        Ok(about) if about.is_dir() => {}
        // Behind a link lies somebody else's folder.
        Ok(about) => return Err(in_the_way(&stage, &about)),
        Err(_) => disk
            .make_folder(&stage)
            .map_err(|error| failure(folder, error, OTHER_FOLDER))?,
    }
    let lock = match lock(&stage) {
        Ok(lock) => lock,
        Err(TryLockError::WouldBlock) => {
            let advice = "Wait until that is done, or give another folder with --out.";
            return Err(failure(
                folder,
                "another ebbwright is writing there",
                advice,
            ));
        }
        Err(TryLockError::Error(error)) => {
            let _ = fs::remove_dir(&stage);
            return Err(failure(folder, error, OTHER_FOLDER));
        }
    };
    let written = place
        .recover()
        .map_err(refused)
        .and_then(|()| replace(&place, order, files));
    // Given back by name: closing alone would leave it with whatever process was being
    // started at this moment, for that holds a copy of the file until it runs.
    let _ = lock.unlock();
    // An unfinished plan stays for the next run; without one there is nothing to keep.
    if !place.is_undecided() {
        drop(lock);
        let _ = disk.remove_folder(&stage);
    }
    written
}

fn lock(stage: &Path) -> Result<File, TryLockError> {
    let path = stage.join(LOCK);
    if fs::symlink_metadata(&path).is_ok() {
        ordinary(&path).map_err(TryLockError::Error)?;
    }
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(path)
        .map_err(TryLockError::Error)?;
    file.try_lock()?;
    Ok(file)
}

fn replace<D: Disk>(place: &Place<'_, D>, order: Order, files: &[OutFile]) -> Result<(), Failure> {
    let folder = place.folder;
    let listed = |error| failure(&folder.join(MANIFEST), error, OTHER_FOLDER);
    let manifest = Manifest::read(folder).map_err(listed)?;
    let mut of_others = Vec::new();
    for file in files {
        let path = folder.join(&file.name);
        let Ok(about) = fs::symlink_metadata(&path) else {
            continue;
        };
        if !about.is_file() {
            return Err(in_the_way(&path, &about));
        }
        if !order.force && !manifest.may_replace(folder, &file.name) {
            of_others.push(file.name.clone());
        }
    }
    if !of_others.is_empty() {
        return Err(Failure::Foreign {
            folder: folder.to_owned(),
            names: of_others,
        });
    }
    let written = files
        .iter()
        .map(|file| Written::new(&file.name, &file.content))
        .collect::<io::Result<Vec<_>>>()
        .map_err(listed)?;
    let stale = manifest.stale(folder, order.command, &written);
    let list = manifest
        .after(order.command, written)
        .bytes()
        .map_err(listed)?;
    let list = Content::Bytes(list);
    let mut contents: Vec<(&str, &Content)> = files
        .iter()
        .map(|file| (file.name.as_str(), &file.content))
        .collect();
    contents.push((MANIFEST, &list));
    place.replace(&contents, &stale).map_err(refused)
}

fn refused(refused: Refused) -> Failure {
    failure(&refused.path, refused.error, OTHER_FOLDER)
}

/// Something that is no ordinary file and so is not replaced.
fn in_the_way(path: &Path, about: &fs::Metadata) -> Failure {
    let advice = "Move it away, or give another folder with --out.";
    let what = if about.is_dir() {
        "a folder of that name is in the way"
    } else if about.is_symlink() {
        "a link of that name is in the way"
    } else {
        "a device or pipe of that name is in the way"
    };
    failure(path, what, advice)
}

/// Writes one file, complete or not at all. Without `replace` whatever has that name is
/// left alone; with it an ordinary file is replaced, one behind a link where it is, and
/// anything else left alone.
pub(super) fn write_one(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Failure> {
    let _uninterrupted = interrupt::hold_off();
    let advice = "Give the name of a file in a folder you may write to.";
    let path = &match fs::symlink_metadata(path) {
        Ok(about) if about.is_dir() => return Err(failure(path, "it is a folder", advice)),
        Ok(_) if !replace => {
            return Err(Failure::Exists {
                path: path.to_owned(),
            });
        }
        Ok(about) if about.is_file() => path.to_owned(),
        Ok(_) => ordinary_behind(path).ok_or_else(|| {
            let reason = "it is no ordinary file, and only such are replaced";
            failure(path, reason, advice)
        })?,
        Err(_) => path.to_owned(),
    };
    // A rename asks only the folder, so what the file itself says has to be asked here.
    let earlier = fs::metadata(path).ok().map(|about| about.permissions());
    if earlier.as_ref().is_some_and(fs::Permissions::readonly) {
        let advice = "Take the protection away, or give another name.";
        return Err(failure(path, "it is write-protected", advice));
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let file = temporary(folder, bytes, earlier).map_err(|error| failure(path, error, advice))?;
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

/// The ordinary file that a link leads to.
fn ordinary_behind(link: &Path) -> Option<PathBuf> {
    let path = fs::canonicalize(link).ok()?;
    fs::symlink_metadata(&path).ok()?.is_file().then_some(path)
}

/// A complete file under a temporary name, removed again unless it is renamed; readable to
/// whom the file that it replaces was, else like any other new file.
fn temporary(
    folder: &Path,
    bytes: &[u8],
    earlier: Option<fs::Permissions>,
) -> io::Result<NamedTempFile> {
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
    if let Some(permissions) = earlier {
        file.as_file().set_permissions(permissions)?;
    }
    file.as_file().sync_all()?;
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
            content: Content::Bytes(text.as_bytes().to_vec()),
        }
    }

    const RUN: Order = Order {
        command: "run",
        force: false,
    };

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
        write_all(&out, RUN, &[file("x", "one"), file("y", "two")]).unwrap();
        write_all(&out, RUN, &[file("x", "three"), file("y", "two")]).unwrap();
        assert_eq!(names(&out), [MANIFEST, "x", "y"]);
        assert_eq!(fs::read_to_string(out.join("x")).unwrap(), "three");
    }

    #[test]
    fn when_one_file_cannot_be_placed_none_is_and_new_folders_go() {
        let root = tempfile::tempdir().unwrap();
        fs::create_dir_all(root.path().join("old/y")).unwrap();
        let failed = write_all(
            &root.path().join("old"),
            RUN,
            &[file("x", "one"), file("y", "two")],
        );
        assert!(failed.unwrap_err().to_string().contains("old/y"));
        assert_eq!(names(&root.path().join("old")), ["y"]);

        // The name is too long for any file system: fails after the folder is made.
        let failed = write_all(
            &root.path().join("new/deep"),
            RUN,
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
        let message = write_all(&path, RUN, &[file("x", "")])
            .unwrap_err()
            .to_string();
        assert!(
            message.contains("taken") && message.contains("not a folder"),
            "{message}"
        );
        assert!(write_all(&path.join("below"), RUN, &[file("x", "")]).is_err());
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

    // A rename would replace it: it asks the folder alone.
    #[test]
    fn a_write_protected_file_is_left_alone() {
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("bed.toml");
        write_one(&path, b"mine", false).unwrap();
        let mut protected = fs::metadata(&path).unwrap().permissions();
        protected.set_readonly(true);
        fs::set_permissions(&path, protected).unwrap();
        let refused = write_one(&path, b"theirs", true).unwrap_err().to_string();
        assert!(refused.contains("write-protected"), "{refused}");
        assert_eq!(fs::read(&path).unwrap(), b"mine");
        assert_eq!(names(root.path()), ["bed.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_file_that_is_replaced_keeps_whom_it_is_for() {
        use std::os::unix::fs::PermissionsExt;
        let root = tempfile::tempdir().unwrap();
        let path = root.path().join("bed.toml");
        fs::write(&path, "mine").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
        write_one(&path, b"changed", true).unwrap();
        let mode = fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
    }

    #[test]
    fn what_somebody_else_wrote_or_changed_is_replaced_only_on_demand() {
        let root = tempfile::tempdir().unwrap();
        let out = root.path();
        fs::write(out.join("x"), "mine").unwrap();
        let refused = write_all(out, RUN, &[file("x", "one"), file("y", "two")]).unwrap_err();
        assert!(matches!(&refused, Failure::Foreign { names, .. } if names == &["x"]));
        assert!(refused.to_string().contains("--force"), "{refused}");
        assert_eq!(names(out), ["x"]);
        let force = Order { force: true, ..RUN };
        write_all(out, force, &[file("x", "one"), file("y", "two")]).unwrap();
        // Ours now, until somebody adds a remark.
        write_all(out, RUN, &[file("x", "1"), file("y", "2")]).unwrap();
        fs::write(out.join("y"), "2, as the bucket says").unwrap();
        assert!(write_all(out, RUN, &[file("x", "3"), file("y", "4")]).is_err());
        assert_eq!(fs::read_to_string(out.join("x")).unwrap(), "1");
    }

    #[test]
    fn a_later_answer_takes_away_what_only_the_last_one_of_its_command_had() {
        let root = tempfile::tempdir().unwrap();
        let out = root.path();
        let cut = Order {
            command: "cut",
            force: false,
        };
        write_all(
            out,
            RUN,
            &[file("x", ""), file("tank", ""), file("marked", "")],
        )
        .unwrap();
        write_all(out, cut, &[file("cut", "")]).unwrap();
        fs::write(out.join("marked"), "with a remark").unwrap();
        write_all(out, RUN, &[file("x", "")]).unwrap();
        assert_eq!(names(out), ["cut", MANIFEST, "marked", "x"]);
        write_all(out, cut, &[file("cut", "again")]).unwrap();
        assert_eq!(names(out), ["cut", MANIFEST, "marked", "x"]);
    }

    #[cfg(unix)]
    #[test]
    fn only_ordinary_files_are_replaced_and_links_are_written_through() {
        use std::os::unix::fs::symlink;
        let root = tempfile::tempdir().unwrap();
        let (real, link) = (root.path().join("real"), root.path().join("link"));
        fs::write(&real, "old").unwrap();
        symlink(&real, &link).unwrap();
        write_one(&link, b"new", true).unwrap();
        assert_eq!(fs::read_to_string(&real).unwrap(), "new");
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());

        symlink("/dev/null", root.path().join("null")).unwrap();
        symlink("nowhere", root.path().join("dangling")).unwrap();
        for name in ["null", "dangling"] {
            let path = root.path().join(name);
            let message = write_one(&path, b"new", true).unwrap_err().to_string();
            assert!(message.contains("no ordinary file"), "{message}");
            assert!(fs::symlink_metadata(&path).unwrap().is_symlink());
        }
        let message = write_one(Path::new("/dev/null"), b"", true).unwrap_err();
        assert!(
            message.to_string().contains("no ordinary file"),
            "{message}"
        );

        fs::remove_file(&link).unwrap();
        symlink(&real, &link).unwrap();
        let message = write_all(root.path(), RUN, &[file("link", "x")]).unwrap_err();
        assert!(
            message.to_string().contains("a link of that name"),
            "{message}"
        );
    }
}
