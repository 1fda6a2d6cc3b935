//! Every step on the disk refused in turn, and every step the last one before the power goes.
#![allow(clippy::unwrap_used)]

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use super::disk::{Disk, RealDisk};
use super::manifest::MANIFEST;
use super::{Content, Order, OutFile, write_all_on};

const RUN: Order = Order {
    command: "run",
    force: false,
};
const CUT: Order = Order {
    command: "cut",
    force: false,
};

/// What happens at the step whose turn it is.
#[derive(Clone, Copy, PartialEq)]
enum Fate {
    /// It is refused, later ones are not.
    Refused,
    /// It and all later ones never happen.
    PowerCut,
    /// The process is killed at it.
    Killed,
}

struct Doomed {
    left: Cell<usize>,
    fate: Fate,
    /// The step that was refused first.
    hit: Cell<Option<&'static str>>,
}

impl Doomed {
    fn step(&self, name: &'static str, real: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
        let left = self.left.get();
        self.left.set(left.wrapping_sub(1));
        if left == 0 && self.fate == Fate::Killed {
            kill_this_process();
        }
        let over = self.fate == Fate::PowerCut && self.hit.get().is_some();
        if left == 0 || over {
            if self.hit.get().is_none() {
                self.hit.set(Some(name));
            }
            return Err(io::Error::other("refused by the test"));
        }
        real()
    }
}

impl Disk for Doomed {
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.step("make folder", || RealDisk.make_folder(path))
    }
    fn write(&self, path: &Path, content: &Content) -> io::Result<()> {
        self.step("write", || RealDisk.write(path, content))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step("rename", || RealDisk.rename(from, to))
    }
    fn sync_folder(&self, path: &Path) -> io::Result<()> {
        self.step("sync", || RealDisk.sync_folder(path))
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.step("remove", || RealDisk.remove(path))
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.step("remove folder", || RealDisk.remove_folder(path))
    }
}

/// As `kill -9` does it: nothing is finished and nothing is dropped.
fn kill_this_process() {
    let me = std::process::id().to_string();
    let _ = std::process::Command::new("kill")
        .args(["-KILL", &me])
        .status();
    std::process::abort();
}

fn answer(files: &[(&str, &str)]) -> Vec<OutFile> {
    let file = |&(name, text): &(&str, &str)| OutFile {
        name: name.to_owned(),
        content: Content::Bytes(text.as_bytes().to_vec()),
    };
    files.iter().map(file).collect()
}

/// Contents by name, the list of files left out; anything hidden shows.
fn contents(folder: &Path) -> BTreeMap<String, String> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.file_name().unwrap() != MANIFEST)
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, fs::read_to_string(&path).unwrap_or_default())
        })
        .collect()
}

fn as_map(files: &[(&str, &str)]) -> BTreeMap<String, String> {
    files
        .iter()
        .map(|&(name, text)| (name.to_owned(), text.to_owned()))
        .collect()
}

const EARLIER: [(&str, &str); 3] = [("a", "old a"), ("b", "old b"), ("gone", "old")];
const LATER: [(&str, &str); 3] = [("a", "new a"), ("b", "new b"), ("c", "new c")];

/// A folder with an earlier answer and somebody's notes; a later answer on a disk that
/// fails at step `at`. Gives the folder, how it ended, and the step that was hit.
fn attempt(at: usize, fate: Fate) -> (tempfile::TempDir, bool, Option<&'static str>) {
    let root = tempfile::tempdir().unwrap();
    fs::write(root.path().join("notes"), "mine").unwrap();
    write_all_on(&RealDisk, root.path(), RUN, &answer(&EARLIER)).unwrap();
    let disk = Doomed {
        left: Cell::new(at),
        fate,
        hit: Cell::new(None),
    };
    let ended = write_all_on(&disk, root.path(), RUN, &answer(&LATER)).is_ok();
    (root, ended, disk.hit.get())
}

fn with_notes(files: &[(&str, &str)]) -> BTreeMap<String, String> {
    let mut all = as_map(files);
    all.insert("notes".to_owned(), "mine".to_owned());
    all
}

#[test]
fn whichever_step_is_refused_the_folder_holds_one_whole_answer() {
    let mut steps = 0;
    loop {
        let (root, ended, hit) = attempt(steps, Fate::Refused);
        let found = contents(root.path());
        let Some(hit) = hit else {
            assert!(ended);
            assert_eq!(found, with_notes(&LATER));
            break;
        };
        // What could not be taken away, or not been forgotten, waits for the next run.
        let visible: BTreeMap<_, _> = found
            .iter()
            .filter(|(name, _)| !name.starts_with('.'))
            .map(|(name, text)| (name.clone(), text.clone()))
            .collect();
        let earlier = with_notes(&EARLIER);
        assert!(
            visible == earlier || visible == with_notes(&LATER),
            "step {steps}, {hit}: {found:?}"
        );
        assert!(ended || visible == earlier || hit == "remove", "{hit}");
        if !hit.starts_with("remove") {
            assert_eq!(visible.len(), found.len(), "step {steps}, {hit}: {found:?}");
        }
        steps += 1;
    }
    assert!(steps > 15, "only {steps} steps");
}

#[test]
fn after_a_power_cut_at_any_step_the_next_command_finds_or_makes_one_whole_answer() {
    for at in 0.. {
        let (root, _, hit) = attempt(at, Fate::PowerCut);
        let another = [("cut", "a cut list")];
        write_all_on(&RealDisk, root.path(), CUT, &answer(&another)).unwrap();
        let mut found = contents(root.path());
        assert_eq!(found.remove("cut").as_deref(), Some("a cut list"));
        assert!(
            found == with_notes(&EARLIER) || found == with_notes(&LATER),
            "step {at}, {hit:?}: {found:?}"
        );
        if hit.is_none() {
            break;
        }
        // And the answer that was cut off can be given again.
        write_all_on(&RealDisk, root.path(), RUN, &answer(&LATER)).unwrap();
        let mut again = contents(root.path());
        again.remove("cut");
        assert_eq!(again, with_notes(&LATER), "step {at}, {hit:?}");
    }
}

#[test]
fn a_refused_first_answer_leaves_no_folder() {
    for at in 0.. {
        let root = tempfile::tempdir().unwrap();
        let disk = Doomed {
            left: Cell::new(at),
            fate: Fate::Refused,
            hit: Cell::new(None),
        };
        let folder = root.path().join("new/deep");
        let ended = write_all_on(&disk, &folder, RUN, &answer(&LATER)).is_ok();
        match disk.hit.get() {
            None => {
                assert_eq!(contents(&folder), as_map(&LATER));
                break;
            }
            Some(hit) if !ended && !hit.starts_with("remove") => {
                assert_eq!(contents(root.path()), BTreeMap::new(), "step {at}, {hit}");
            }
            Some(_) => {}
        }
    }
}

/// Folder and step of the process that is killed.
const DOOMED_FOLDER: &str = "EBBWRIGHT_TEST_FOLDER";
const DOOMED_STEP: &str = "EBBWRIGHT_TEST_STEP";

#[test]
#[ignore = "started by the test below, and killed"]
fn a_process_that_is_killed() {
    let (Ok(folder), Ok(step)) = (std::env::var(DOOMED_FOLDER), std::env::var(DOOMED_STEP)) else {
        return;
    };
    let disk = Doomed {
        left: Cell::new(step.parse().unwrap()),
        fate: Fate::Killed,
        hit: Cell::new(None),
    };
    write_all_on(&disk, Path::new(&folder), RUN, &answer(&LATER)).unwrap();
}

/// Locks, open files and part files of a real process go as the system lets them go.
#[cfg(unix)]
#[test]
fn killed_at_any_step_the_next_command_finds_or_makes_one_whole_answer() {
    let program = std::env::current_exe().unwrap();
    let (mut killed, mut kept_new) = (0, 0);
    for at in 0.. {
        let root = tempfile::tempdir().unwrap();
        fs::write(root.path().join("notes"), "mine").unwrap();
        write_all_on(&RealDisk, root.path(), RUN, &answer(&EARLIER)).unwrap();
        let ended = std::process::Command::new(&program)
            .args(["--ignored", "--exact"])
            .arg("commands::folder::refusals::a_process_that_is_killed")
            .env(DOOMED_FOLDER, root.path())
            .env(DOOMED_STEP, at.to_string())
            .output()
            .unwrap();
        let another = [("cut", "a cut list")];
        write_all_on(&RealDisk, root.path(), CUT, &answer(&another)).unwrap();
        let mut found = contents(root.path());
        assert_eq!(found.remove("cut").as_deref(), Some("a cut list"));
        let is_new = found == with_notes(&LATER);
        assert!(
            is_new || found == with_notes(&EARLIER),
            "step {at}: {found:?}"
        );
        if ended.status.success() {
            assert!(is_new && String::from_utf8_lossy(&ended.stdout).contains("1 passed"));
            break;
        }
        killed += 1;
        kept_new += usize::from(is_new);
    }
    // Before the plan the earlier answer stays, after it the later one comes.
    assert!(
        killed > 15 && kept_new > 5 && kept_new < killed,
        "{kept_new} of {killed}"
    );
}
