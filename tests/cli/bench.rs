//! A folder, a scenario in it, and the program to run there.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use assert_cmd::cargo::cargo_bin;
use tempfile::TempDir;

/// An invented bed that passes every check or merely warns.
pub const WORKS: &str = r#"
title = "Invented bed for a test"
hours = 6

[sump]
shape = { box = { length = "0.8 m", width = "0.6 m", depth = "0.6 m" } }
floor = "0 m"
start-level = "0.40 m"
overflow-level = "0.55 m"

[pump]
intake-level = "0.03 m"
steady-flow = "9 L/min"

[supply]
pipe = { bore = "26.6 mm", length = "3 m" }

[[bed]]
name = "north"
floor = "0.95 m"
shape = { box = { length = "1.2 m", width = "1.0 m", depth = "0.35 m" } }
media = { depth = "0.30 m", void = 0.40, grain = "12 mm" }
guard = { diameter = "110 mm", slot-area = "60 cm2" }
inlet = { flow = "9 L/min" }
[bed.standpipe]
bore = "21 mm"
length = "225 mm"
[bed.bell]
bore = "70 mm"
clearance = "25 mm"
slots = { count = 6, width = "12 mm", height = "25 mm" }
[bed.drain]
outlet = "0.35 m"
length = "0.9 m"
fittings = { elbow-90 = 1 }
into = "sump"
"#;

/// The same bed with a standpipe so long that the gravel floods to the top: the
/// check of the dry layer fails whatever the siphon does.
pub fn fails() -> String {
    let text = WORKS.replace("length = \"225 mm\"", "length = \"295 mm\"");
    assert_ne!(text, WORKS);
    text
}

/// A private folder.
pub struct Bench {
    dir: TempDir,
}

impl Bench {
    /// A folder with one scenario, `bed.toml`.
    pub fn new(scenario: &str) -> Self {
        let dir = tempfile::tempdir().unwrap();
        fs::write(dir.path().join("bed.toml"), scenario).unwrap();
        Self { dir }
    }

    /// A path inside the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// The program, about to run in the folder.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(cargo_bin("ebbwright"));
        command
            .args(arguments)
            .current_dir(self.dir.path())
            .env_clear();
        command
    }

    /// Runs the program.
    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    /// Runs the program, holds its exit status, gives standard output and error.
    #[track_caller]
    pub fn expect(&self, status: i32, arguments: &[&str]) -> (String, String) {
        held(self.run(arguments), status, arguments)
    }

    /// Names of everything in a folder, sorted, without the list that the program keeps of
    /// its own files.
    pub fn names(&self, folder: &str) -> Vec<String> {
        files(&self.path(folder))
            .into_keys()
            .filter(|name| name != "made-by-ebbwright.json")
            .collect()
    }
}

/// Standard output and error of a run that ended with this status.
#[track_caller]
pub fn held(found: Output, status: i32, arguments: &[&str]) -> (String, String) {
    let out = String::from_utf8(found.stdout).unwrap();
    let err = String::from_utf8(found.stderr).unwrap();
    assert_eq!(
        found.status.code(),
        Some(status),
        "{arguments:?}\n-- output\n{out}\n-- error\n{err}"
    );
    (out, err)
}

/// Every entry of a folder by name; a folder inside it has no bytes.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let entry = entry.unwrap();
            let bytes = fs::read(entry.path()).unwrap_or_default();
            (entry.file_name().into_string().unwrap(), bytes)
        })
        .collect()
}
