//! `new` on a real terminal: a pseudo-terminal stands for the person's.
#![cfg(target_os = "linux")]

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::process::{Command, Stdio};

/// A terminal: the person's side, and the program's.
fn terminal() -> (File, File) {
    let person = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
    grantpt(&person).unwrap();
    unlockpt(&person).unwrap();
    let name = ptsname(&person, Vec::new()).unwrap();
    let program = OpenOptions::new()
        .read(true)
        .write(true)
        .open(name.to_str().unwrap())
        .unwrap();
    (File::from(person), program)
}

/// What the program writes to the terminal until it ends.
fn everything(mut screen: File) -> String {
    let (mut all, mut some) = (Vec::new(), [0; 4096]);
    // A terminal whose other side is closed ends with an error, not with nothing.
    while let Ok(read @ 1..) = screen.read(&mut some) {
        all.extend_from_slice(&some[..read]);
    }
    String::from_utf8(all).unwrap()
}

#[test]
fn on_a_terminal_new_asks_for_what_is_missing_and_drafts_from_the_answers() {
    let folder = tempfile::tempdir().unwrap();
    let (mut person, program) = terminal();
    let mut child = Command::new(env!("CARGO_BIN_EXE_ebbwright"))
        .args(["new", "garden.toml", "--units", "us", "--beds", "2"])
        .current_dir(folder.path())
        .stdin(Stdio::from(program.try_clone().unwrap()))
        .stdout(Stdio::from(program.try_clone().unwrap()))
        .stderr(Stdio::from(program))
        .spawn()
        .unwrap();
    // A slip first, then the default for everything.
    person
        .write_all(b"four feet or so\n\n\n\n\n\n\n\n\n\n")
        .unwrap();
    let screen = everything(person);
    assert!(child.wait().unwrap().success(), "{screen}");
    assert!(screen.contains("'four' is not a number"), "{screen}");
    for asked in [
        "Height of the room",
        "each bed [",
        "The sump",
        "The pump",
        "A fish tank",
    ] {
        assert!(screen.contains(asked), "{asked} is not asked for: {screen}");
    }
    assert_eq!(screen.matches("Height of the room").count(), 2, "{screen}");
    let text = std::fs::read_to_string(folder.path().join("garden.toml")).unwrap();
    assert_eq!(text.matches("[[bed]]").count(), 2, "{text}");
    let run = Command::new(env!("CARGO_BIN_EXE_ebbwright"))
        .args(["run", "garden.toml"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    assert!(
        run.status.success(),
        "{}",
        String::from_utf8_lossy(&run.stdout)
    );
}
