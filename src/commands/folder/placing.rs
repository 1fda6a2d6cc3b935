//! Several files into one folder: all of them or none, and what was there is kept.
//!
//! New files are written and synced in a folder of their own beside the old ones; then a
//! plan of the renames is put down, which decides: from there on a run that was
//! interrupted is finished by the next one. Old files move aside, new ones into their
//! place; where a rename is refused everything goes back.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::content::Content;
use super::disk::{Disk, ordinary};
use super::manifest::plain_name;

/// Where new files wait; gone when all is done.
pub(super) const STAGE: &str = ".ebbwright-part";
const PLAN: &str = "plan";
/// The plan while it is being written.
const DRAFT: &str = "draft";
/// Held by the process that is writing.
pub(super) const LOCK: &str = "lock";

/// One rename of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Turn {
    name: String,
    /// Whether a file of that name stands in the folder.
    old: bool,
    /// Whether a new one takes its place.
    new: bool,
}

/// The folder with its stage.
pub(super) struct Place<'a, D: Disk> {
    pub disk: &'a D,
    pub folder: &'a Path,
}

/// What was refused, and where.
#[derive(Debug)]
pub(super) struct Refused {
    pub path: PathBuf,
    pub error: io::Error,
}

fn at(path: &Path) -> impl FnOnce(io::Error) -> Refused + '_ {
    move |error| Refused {
        path: path.to_owned(),
        error,
    }
}

impl<D: Disk> Place<'_, D> {
    pub fn stage(&self) -> PathBuf {
        self.folder.join(STAGE)
    }

    /// Whether a plan is there that has not been carried out.
    pub fn is_undecided(&self) -> bool {
        self.stage().join(PLAN).exists()
    }

    fn new_file(&self, name: &str) -> PathBuf {
        self.stage().join("new").join(name)
    }

    fn old_file(&self, name: &str) -> PathBuf {
        self.stage().join("old").join(name)
    }

    /// Finishes or undoes what an interrupted run left on the stage.
    pub fn recover(&self) -> Result<(), Refused> {
        let plan = self.stage().join(PLAN);
        match ordinary(&plan).and_then(|()| fs::read(&plan)) {
            Ok(bytes) => {
                let turns: Vec<Turn> = serde_json::from_slice(&bytes)
                    .map_err(io::Error::from)
                    .map_err(at(&plan))?;
                // Whoever handed the folder on may have put one there.
                if !turns.iter().all(|turn| plain_name(&turn.name)) {
                    let reason = "it would move files of other folders; take it away";
                    return Err(at(&plan)(io::Error::other(reason)));
                }
                self.carry_out(&turns)
            }
            // Nothing was decided yet: what lies there goes.
            Err(_) => Ok(()),
        }?;
        let draft = self.stage().join(DRAFT);
        if draft.exists() {
            self.disk.remove(&draft).map_err(at(&draft))?;
        }
        for name in ["new", "old"] {
            let part = self.stage().join(name);
            if part.exists() {
                self.disk.remove_folder(&part).map_err(at(&part))?;
            }
        }
        Ok(())
    }

    /// Writes `files` in place of those of the same names and takes away `stale` ones.
    pub fn replace(&self, files: &[(&str, &Content)], stale: &[String]) -> Result<(), Refused> {
        for part in ["new", "old"] {
            let path = self.stage().join(part);
            self.disk.make_folder(&path).map_err(at(&path))?;
        }
        for (name, content) in files {
            let waits = self.new_file(name);
            self.disk
                .write(&waits, content)
                .map_err(at(&self.folder.join(name)))?;
        }
        let turn = |name: &str, new: bool| Turn {
            name: name.to_owned(),
            old: fs::symlink_metadata(self.folder.join(name)).is_ok(),
            new,
        };
        let turns: Vec<Turn> = files
            .iter()
            .map(|(name, _)| turn(name, true))
            .chain(stale.iter().map(|name| turn(name, false)))
            .collect();
        if let Err(refused) = self.decide(&turns) {
            // A plan that may not last decides nothing.
            let _ = self.disk.remove(&self.stage().join(PLAN));
            return Err(refused);
        }
        self.carry_out(&turns)
    }

    /// Puts the plan down. A plan that is there is whole.
    fn decide(&self, turns: &[Turn]) -> Result<(), Refused> {
        let (stage, plan) = (self.stage(), self.stage().join(PLAN));
        let draft = stage.join(DRAFT);
        let bytes = serde_json::to_vec(turns)
            .map_err(io::Error::from)
            .map_err(at(&plan))?;
        self.disk
            .sync_folder(&stage.join("new"))
            .map_err(at(&stage))?;
        let plan_text = Content::Bytes(bytes);
        self.disk.write(&draft, &plan_text).map_err(at(&draft))?;
        self.disk.rename(&draft, &plan).map_err(at(&plan))?;
        self.disk.sync_folder(&stage).map_err(at(&stage))
    }

    /// Carries the plan out, or all of it back; then forgets it.
    fn carry_out(&self, turns: &[Turn]) -> Result<(), Refused> {
        let done = turns.iter().try_for_each(|turn| self.forward(turn));
        if done.is_err() {
            for turn in turns.iter().rev() {
                self.back(turn)?;
            }
        }
        // All is in its place; a disk that cannot promise more takes nothing back.
        let _ = self.disk.sync_folder(self.folder);
        let plan = self.stage().join(PLAN);
        self.disk.remove(&plan).map_err(at(&plan))?;
        done
    }

    /// Does what of a turn has not been done yet.
    fn forward(&self, turn: &Turn) -> Result<(), Refused> {
        let here = self.folder.join(&turn.name);
        let (waits, aside) = (self.new_file(&turn.name), self.old_file(&turn.name));
        let to_come = waits.exists();
        let standing = fs::symlink_metadata(&here).is_ok();
        if turn.old && standing && !aside.exists() && (to_come || !turn.new) {
            self.disk.rename(&here, &aside).map_err(at(&here))?;
        }
        if turn.new && to_come {
            self.disk.rename(&waits, &here).map_err(at(&here))?;
        }
        Ok(())
    }

    /// Undoes what of a turn has been done.
    fn back(&self, turn: &Turn) -> Result<(), Refused> {
        let here = self.folder.join(&turn.name);
        let (waits, aside) = (self.new_file(&turn.name), self.old_file(&turn.name));
        if turn.new && !waits.exists() {
            self.disk.rename(&here, &waits).map_err(at(&here))?;
        }
        if aside.exists() {
            self.disk.rename(&aside, &here).map_err(at(&here))?;
        }
        Ok(())
    }
}
