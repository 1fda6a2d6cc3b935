//! Every file in `tests/bad` is refused, and says why in a way that a newcomer
//! can act on. The snapshots beside this file are the messages.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use ebbwright::scenario::{self, FaultKind, ScenarioError};

fn bad_files() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir("tests/bad")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
}

fn name(path: &Path) -> String {
    path.file_stem().unwrap().to_str().unwrap().to_owned()
}

fn refusal(path: &Path) -> ScenarioError {
    match scenario::read(path) {
        Ok(_) => panic!("{} was accepted", path.display()),
        Err(error) => error,
    }
}

#[test]
fn each_bad_file_gives_its_message() {
    let files = bad_files();
    assert!(files.len() >= 70, "only {} bad files", files.len());
    insta::with_settings!({
        snapshot_path => "snapshots",
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        for path in &files {
            insta::assert_snapshot!(name(path), refusal(path).render(false));
        }
    });
}

#[test]
fn each_message_names_file_line_key_value_and_a_way_out() {
    for path in bad_files() {
        let error = refusal(&path);
        let text = error.render(false);
        assert!(
            text.contains(&path.display().to_string()),
            "{}: no file name",
            path.display()
        );
        assert!(text.contains("help: "), "{}: no help", path.display());
        assert!(
            !text.contains('\u{1b}'),
            "{}: colour where none was asked for",
            path.display()
        );
        for fault in error.faults() {
            let at = format!("{}:{}:", path.display(), fault.line);
            assert!(
                text.contains(&at),
                "{}: {fault} names no line",
                path.display()
            );
            assert!(
                !fault.help.trim().is_empty(),
                "{}: {fault} has no help",
                path.display()
            );
            assert!(
                fault.labels.iter().all(|l| !l.text.is_empty()),
                "{}: {fault}",
                path.display()
            );
            if matches!(fault.kind, FaultKind::OutOfRange { .. }) {
                assert!(text.contains("allowed: "), "{}: no range", path.display());
            }
            if let FaultKind::Quantity { text: value, .. } = &fault.kind {
                assert!(
                    text.contains(value.as_str()),
                    "{}: no value",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn no_snapshot_is_left_from_a_file_that_is_gone() {
    let files: BTreeSet<String> = bad_files().iter().map(|path| name(path)).collect();
    for entry in std::fs::read_dir("tests/scenario_files/snapshots").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "snap") {
            continue;
        }
        let snapshot = name(&path);
        assert!(files.contains(&snapshot), "{snapshot} has no bad file");
    }
}
