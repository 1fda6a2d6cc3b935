//! What placing files asks of the disk, so that a test can refuse each of it in turn.

use std::fs::{self, File};
use std::io;
use std::path::Path;

use super::content::Content;

/// Steps that change the disk. Each is whole or refused.
pub(super) trait Disk {
    /// Makes one folder; its parent is there.
    fn make_folder(&self, path: &Path) -> io::Result<()>;
    /// Writes a new file down to the disk itself.
    fn write(&self, path: &Path, content: &Content) -> io::Result<()>;
    /// Gives a file another name on the same disk, over a file that has it.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Makes names in a folder last through a power cut.
    fn sync_folder(&self, path: &Path) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Removes a folder with all that is in it.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
}

/// The real one.
pub(super) struct RealDisk;

impl Disk for RealDisk {
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        fs::create_dir(path)
    }

    fn write(&self, path: &Path, content: &Content) -> io::Result<()> {
        let mut file = File::create_new(path)?;
        content.write_to(&mut file)?;
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        // Only Unix lets a folder be opened, and only there its names need it.
        #[cfg(unix)]
        File::open(path)?.sync_all()?;
        #[cfg(not(unix))]
        let _ = path;
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir_all(path)
    }
}

/// Whether a file may be opened, not a link that leads elsewhere or a pipe that waits for ever.
pub(super) fn ordinary(path: &Path) -> io::Result<()> {
    match fs::symlink_metadata(path)?.is_file() {
        true => Ok(()),
        false => Err(io::Error::other("it is no ordinary file")),
    }
}
