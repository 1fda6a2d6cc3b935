//! Folders that somebody prepared and handed on: nothing outside them is touched.
#![allow(clippy::unwrap_used)]

use crate::numerics::in_order::InOrder;
use std::fs;
use std::path::Path;

use super::manifest::MANIFEST;
use super::placing::{LOCK, STAGE};
use super::{Content, Order, OutFile, write_all};

const RUN: Order = Order {
    command: "run",
    force: false,
};

fn file(name: &str, text: &str) -> OutFile {
    OutFile {
        name: name.to_owned(),
        content: Content::Bytes(text.as_bytes().to_vec()),
    }
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<_> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.order_by(Ord::cmp);
    names
}

#[test]
fn a_list_that_somebody_changed_leads_nowhere_else() {
    let root = tempfile::tempdir().unwrap();
    let out = root.path().join("results");
    fs::write(root.path().join("precious"), "").unwrap();
    write_all(&out, RUN, &[file("x", "")]).unwrap();
    let list = fs::read_to_string(out.join(MANIFEST)).unwrap();
    let turned = list.replace("\"x\"", "\"../precious\"");
    assert_ne!(turned, list);
    fs::write(out.join(MANIFEST), turned).unwrap();
    let force = Order { force: true, ..RUN };
    write_all(&out, force, &[file("y", "")]).unwrap();
    assert!(root.path().join("precious").exists());
}

// Somebody may hand on a folder that was prepared.
#[test]
fn a_plan_that_leads_out_of_its_folder_moves_nothing() {
    let root = tempfile::tempdir().unwrap();
    let (out, precious) = (root.path().join("results"), root.path().join("precious"));
    fs::write(&precious, "mine").unwrap();
    for name in ["../precious", precious.to_str().unwrap()] {
        fs::create_dir_all(out.join(STAGE).join("old")).unwrap();
        let plan = serde_json::json!([{ "name": name, "old": true, "new": false }]);
        fs::write(out.join(STAGE).join("plan"), plan.to_string()).unwrap();
        let refused = write_all(&out, RUN, &[file("x", "one")]).unwrap_err();
        assert!(refused.to_string().contains("take it away"), "{refused}");
        assert_eq!(fs::read_to_string(&precious).unwrap(), "mine", "{name}");
        fs::remove_dir_all(&out).unwrap();
    }
}

#[cfg(unix)]
#[test]
fn a_stage_that_is_a_link_empties_no_other_folder() {
    use std::os::unix::fs::symlink;
    let root = tempfile::tempdir().unwrap();
    let (out, other) = (root.path().join("results"), root.path().join("other"));
    fs::create_dir_all(other.join("new")).unwrap();
    fs::write(other.join("new/precious"), "mine").unwrap();
    fs::create_dir(&out).unwrap();
    symlink(&other, out.join(STAGE)).unwrap();
    let refused = write_all(&out, RUN, &[file("x", "one")]).unwrap_err();
    assert!(
        refused.to_string().contains("a link of that name"),
        "{refused}"
    );
    assert_eq!(names(&other), ["new"]);
    assert_eq!(names(&other.join("new")), ["precious"]);
}

// Opened, it would wait for ever.
#[cfg(unix)]
#[test]
fn a_pipe_in_place_of_the_list_or_the_lock_is_named() {
    let pipe = |path: &Path| {
        let made = std::process::Command::new("mkfifo").arg(path).status();
        assert!(made.unwrap().success());
    };
    let root = tempfile::tempdir().unwrap();
    pipe(&root.path().join(MANIFEST));
    let refused = write_all(root.path(), RUN, &[file("x", "one")]).unwrap_err();
    assert!(
        refused.to_string().contains("no ordinary file"),
        "{refused}"
    );
    assert_eq!(names(root.path()), [MANIFEST]);
    let root = tempfile::tempdir().unwrap();
    fs::create_dir(root.path().join(STAGE)).unwrap();
    pipe(&root.path().join(STAGE).join(LOCK));
    let refused = write_all(root.path(), RUN, &[file("x", "one")]).unwrap_err();
    assert!(
        refused.to_string().contains("no ordinary file"),
        "{refused}"
    );
    assert_eq!(names(root.path()), [STAGE]);
}
