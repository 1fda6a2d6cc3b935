//! Files that cannot be written: a message, exit status 2, nothing half done.
//!
//! Tests may run as root, whom permissions do not stop; so a file stands where a
//! folder is needed, or the system refuses for another reason.

use std::fs;

use crate::bench::{Bench, WORKS, held};

#[test]
fn a_file_where_the_folder_should_be_is_named_and_left_alone() {
    let bench = Bench::new(WORKS);
    fs::write(bench.path("taken"), "mine").unwrap();
    for out in ["taken", "taken/below", "taken/far/below"] {
        let (text, err) = bench.expect(2, &["run", "bed.toml", "--out", out]);
        assert_eq!(text, "");
        assert!(
            err.contains(out) && err.contains("taken is a file"),
            "{err}"
        );
        assert!(err.contains("--out"), "{err}");
    }
    assert_eq!(fs::read_to_string(bench.path("taken")).unwrap(), "mine");
    assert_eq!(bench.names("."), ["bed.toml", "taken"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_nobody_can_make_is_named() {
    let bench = Bench::new(WORKS);
    let (_, err) = bench.expect(2, &["run", "bed.toml", "--json", "--out", "/proc/results"]);
    assert!(err.contains("/proc/results"), "{err}");
}

#[test]
fn a_folder_in_place_of_a_result_stops_all_of_them() {
    for taken in ["report.md", "levels.csv", "result.json"] {
        let bench = Bench::new(WORKS);
        fs::create_dir_all(bench.path("results").join(taken).join("full")).unwrap();
        let (_, err) = bench.expect(2, &["run", "bed.toml", "--out", "results"]);
        assert!(err.contains(taken), "{err}");
        assert_eq!(bench.names("results"), [taken]);
    }
}

/// Each size at which the system stops taking bytes hits another file: the run
/// either succeeds with all files or leaves nothing behind.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_nothing_half_done() {
    let whole = Bench::new(WORKS);
    let _ = whole.expect(0, &["run", "bed.toml"]);
    let all = whole.names("bed-results");
    let mut refused = 0;
    for blocks in [0, 1, 4, 16, 32, 64, 128, 256, 512, 100_000] {
        let bench = Bench::new(WORKS);
        let program = bench.command(&[]).get_program().to_owned();
        // A limit on file size refuses bytes as a full disk does.
        let script = format!(
            "trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" run bed.toml --json --out new/results"
        );
        let found = std::process::Command::new("/bin/sh")
            .args(["-c", &script])
            .arg(program)
            .current_dir(bench.path("."))
            .env_clear()
            .output()
            .unwrap();
        if found.status.success() {
            assert_eq!(bench.names("new/results"), all, "{blocks} blocks");
        } else {
            let (text, err) = held(found, 2, &[&script]);
            assert_eq!(text, "");
            assert!(err.contains("new/results"), "{err}");
            assert_eq!(bench.names("."), ["bed.toml"], "{blocks} blocks");
            refused += 1;
        }
    }
    assert!((3..10).contains(&refused), "{refused} of 10 refused");
}

#[test]
fn files_of_others_in_the_folder_stay() {
    let bench = Bench::new(WORKS);
    fs::create_dir(bench.path("results")).unwrap();
    fs::write(bench.path("results/notes.txt"), "mine").unwrap();
    fs::write(bench.path("results/report.md"), "of an earlier run").unwrap();
    let _ = bench.expect(0, &["run", "bed.toml", "--out", "results"]);
    assert_eq!(
        fs::read_to_string(bench.path("results/notes.txt")).unwrap(),
        "mine"
    );
    assert!(
        fs::read_to_string(bench.path("results/report.md"))
            .unwrap()
            .starts_with("# ")
    );
}
