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
    fs::write(bench.path("results/report.md"), "mine too").unwrap();
    let run = ["run", "bed.toml", "--out", "results", "--force"];
    let (_, err) = bench.expect(2, &run[..4]);
    assert!(err.contains("report.md stands in results"), "{err}");
    assert!(err.contains("--out") && err.contains("--force"), "{err}");
    assert_eq!(bench.names("results"), ["notes.txt", "report.md"]);
    let _ = bench.expect(0, &run);
    // From now on it is the program's own.
    let _ = bench.expect(0, &run[..4]);
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

/// chattr +i stops even root; where the system or the file system does not know it, there
/// is nothing to test.
#[cfg(target_os = "linux")]
#[test]
fn a_result_that_cannot_be_replaced_keeps_the_whole_earlier_answer() {
    let bench = Bench::new(WORKS);
    let _ = bench.expect(0, &["run", "bed.toml", "--out", "results"]);
    let before = crate::bench::files(&bench.path("results"));
    let mark = |flag: &str| {
        std::process::Command::new("chattr")
            .arg(flag)
            .arg(bench.path("results/sump.svg"))
            .output()
            .is_ok_and(|found| found.status.success())
    };
    if !mark("+i") {
        return;
    }
    let refused = bench.run(&["run", "bed.toml", "--units", "us", "--out", "results"]);
    assert!(mark("-i"));
    let (_, err) = held(refused, 2, &["run"]);
    assert!(err.contains("sump.svg"), "{err}");
    assert!(crate::bench::files(&bench.path("results")) == before);
    let _ = bench.expect(0, &["run", "bed.toml", "--units", "us", "--out", "results"]);
    assert!(crate::bench::files(&bench.path("results")) != before);
}

/// A small file system of its own, where the system lets the test mount one.
#[cfg(target_os = "linux")]
struct SmallDisk(std::path::PathBuf);

#[cfg(target_os = "linux")]
impl SmallDisk {
    fn new(at: std::path::PathBuf) -> Option<Self> {
        fs::create_dir(&at).unwrap();
        let disk = Self(at);
        if mount(&disk.0, &["-t", "tmpfs", "-o", "size=8m", "tmpfs"]) {
            return Some(disk);
        }
        println!("skipped: no file system can be mounted here");
        None
    }

    fn read_only(&self, is: bool) -> bool {
        mount(
            &self.0,
            &["-o", if is { "remount,ro" } else { "remount,rw" }],
        )
    }

    /// Leaves so many bytes free.
    fn fill(&self, free: usize) {
        use std::io::Write;
        let _ = fs::remove_file(self.0.join("filler"));
        let mut filler = fs::File::create(self.0.join("filler")).unwrap();
        let mut written = 0;
        while filler.write_all(&[1; 4096]).is_ok() {
            written += 4096;
        }
        filler
            .set_len((written as usize).saturating_sub(free) as u64)
            .unwrap();
    }
}

#[cfg(target_os = "linux")]
impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = std::process::Command::new("umount").arg(&self.0).status();
    }
}

#[cfg(target_os = "linux")]
fn mount(at: &std::path::Path, how: &[&str]) -> bool {
    let mut mount = std::process::Command::new("mount");
    let found = mount.args(how).arg(at).output();
    found.is_ok_and(|found| found.status.success())
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_is_full_or_read_only_keeps_the_whole_earlier_answer() {
    let bench = Bench::new(WORKS);
    let Some(disk) = SmallDisk::new(bench.path("small")) else {
        return;
    };
    let earlier = ["run", "bed.toml", "--out", "small/results"];
    let later = ["run", "bed.toml", "--units", "us", "--out", "small/results"];
    let _ = bench.expect(0, &earlier);
    let before = crate::bench::files(&bench.path("small/results"));
    for free in [0, 1, 16, 64, 256, 512] {
        disk.fill(1024 * free);
        let (text, err) = bench.expect(2, &later);
        assert_eq!(text, "");
        assert!(err.contains("small/results"), "{err}");
        assert!(
            crate::bench::files(&bench.path("small/results")) == before,
            "{free} kB free"
        );
    }
    fs::remove_file(bench.path("small/filler")).unwrap();
    assert!(disk.read_only(true));
    let (_, err) = bench.expect(2, &later);
    assert!(
        err.contains("small/results") && err.contains("--out"),
        "{err}"
    );
    assert!(disk.read_only(false));
    assert!(crate::bench::files(&bench.path("small/results")) == before);
    let names = bench.names("small/results");
    let _ = bench.expect(0, &later);
    assert_eq!(bench.names("small/results"), names);
    assert!(crate::bench::files(&bench.path("small/results")) != before);
}

/// Whenever the request comes, the folder holds nothing, or everything, and nothing hidden.
#[cfg(unix)]
#[test]
fn a_request_to_end_leaves_nothing_half_done_and_ends_as_shells_expect() {
    use std::os::unix::process::ExitStatusExt;
    let whole = Bench::new(WORKS);
    let _ = whole.expect(0, &["run", "bed.toml"]);
    let all = whole.names("bed-results");
    let mut ended_early = 0;
    for (turn, name) in ["INT", "TERM", "INT", "TERM", "INT", "TERM"]
        .iter()
        .enumerate()
    {
        let bench = Bench::new(WORKS);
        let mut child = bench
            .command(&["run", "bed.toml"])
            .stdout(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(20 * turn as u64 + 10));
        let signal = format!("-{name}");
        let _ = std::process::Command::new("kill")
            .args([signal, child.id().to_string()])
            .status()
            .unwrap();
        let status = child.wait().unwrap();
        match status.signal() {
            Some(number) => {
                assert_eq!(number, if *name == "INT" { 2 } else { 15 });
                ended_early += 1;
            }
            None => assert_eq!(status.code(), Some(0)),
        }
        let names = bench.names(".");
        if names.len() > 1 {
            assert_eq!(names, ["bed-results", "bed.toml"]);
            assert_eq!(bench.names("bed-results"), all);
        }
    }
    assert!(ended_early > 0);
}

/// Names that would drive a terminal, begin a line of Markdown or be taken for a formula.
#[cfg(unix)]
#[test]
fn names_of_files_and_folders_are_text_wherever_they_show() {
    let bench = Bench::new(WORKS);
    let nasty = "=1+1\u{1b}[2J\n<script>alert(1)</script>\n# a.toml";
    let untitled = WORKS.replace("title = \"Invented bed for a test\"\n", "");
    assert_ne!(untitled, WORKS);
    fs::write(bench.path("a.toml"), &untitled).unwrap();
    let name = nasty.replace('/', "\u{2215}");
    fs::rename(bench.path("a.toml"), bench.path(&name)).unwrap();
    let folder = "out\u{1b}]0;x\u{7}\nputs";
    let (out, err) = bench.expect(0, &["run", &name, "--out", folder]);
    let harmless = |text: &str| !text.contains(['\u{1b}', '\u{7}']);
    assert!(harmless(&out) && harmless(&err), "{out}{err}");
    for (file, bytes) in crate::bench::files(&bench.path(folder)) {
        if file.ends_with(".png") {
            continue;
        }
        let text = String::from_utf8(bytes).unwrap();
        assert!(harmless(&text), "{file}");
        assert!(
            !text.contains("\n<script>") && !text.contains("\n# a"),
            "{file}"
        );
    }
    for arguments in [
        vec!["run", "no\u{1b}[31m.toml"],
        vec!["run", "bed.toml", "--out", "bed.toml/\u{1b}[31m"],
        vec!["\u{1b}[31m"],
        vec!["window", "bed.toml", "--x", "\u{1b}[31m"],
        vec!["why", "bed.toml", "--symptom", "\u{1b}[31m"],
    ] {
        let (out, err) = bench.expect(2, &arguments);
        assert!(harmless(&out) && harmless(&err), "{arguments:?}: {err:?}");
    }
    fs::write(
        bench.path("key.toml"),
        format!("\"\\u001b[31mx\" = 1\n{WORKS}"),
    )
    .unwrap();
    let (out, err) = bench.expect(2, &["run", "key.toml"]);
    assert!(harmless(&out) && harmless(&err), "{err:?}");
}
