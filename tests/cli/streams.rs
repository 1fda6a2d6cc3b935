//! Standard output and error: closed, full, coloured.

use std::fs::File;
use std::process::Stdio;

use crate::bench::{Bench, WORKS, fails, held};

/// Commands that print; the run among them would end with 1.
const PRINTING: [&[&str]; 5] = [
    &["run", "bed.toml"],
    &["run", "bed.toml", "--json"],
    &["new"],
    &["schema"],
    &["--help"],
];

#[test]
fn a_reader_that_went_away_ends_it_quietly_and_the_status_tells_the_verdict() {
    let bench = Bench::new(&fails());
    for arguments in PRINTING {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let found = bench.command(arguments).stdout(writer).output().unwrap();
        let verdict = i32::from(arguments[0] == "run");
        let (_, err) = held(found, verdict, arguments);
        assert_eq!(err, "", "{arguments:?}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_output_ends_with_2_and_says_so() {
    let bench = Bench::new(WORKS);
    for arguments in PRINTING {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let found = bench.command(arguments).stdout(full).output().unwrap();
        let (_, err) = held(found, 2, arguments);
        assert!(
            err.contains("cannot write to standard output"),
            "{arguments:?}: {err}"
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn messages_that_cannot_be_written_change_nothing() {
    let bench = Bench::new(WORKS);
    let full = || File::options().write(true).open("/dev/full").unwrap();
    let status = |arguments: &[&str]| {
        let mut command = bench.command(arguments);
        command
            .stdout(Stdio::null())
            .stderr(full())
            .status()
            .unwrap()
            .code()
    };
    assert_eq!(status(&["run", "bed.toml", "--json"]), Some(0));
    assert_eq!(status(&["run", "nowhere.toml"]), Some(2));
    assert_eq!(status(&["walk"]), Some(2));
}

#[test]
fn nothing_is_coloured_away_from_a_terminal() {
    let bench = Bench::new(&fails());
    for (arguments, status) in [(["run", "bed.toml"], 1), (["run", "nowhere.toml"], 2)] {
        let found = bench
            .command(&arguments)
            .env("TERM", "xterm-256color")
            .output()
            .unwrap();
        let (out, err) = held(found, status, &arguments);
        assert!(
            !out.contains('\u{1b}') && !err.contains('\u{1b}'),
            "{out}{err}"
        );
    }
}

// As a shell hands on the names that `*.toml` stands for; with colours, as on a terminal.
#[test]
fn an_argument_cannot_drive_the_terminal_that_the_message_about_it_goes_to() {
    let bench = Bench::new(WORKS);
    for arguments in [
        ["run", "bed.toml", "a\u{1b}[31mb\u{1b}7.toml"],
        ["run", "bed.toml", "a\u{202e}b\u{9b}2J.toml"],
        ["new", "--bed", "\u{1b}(U1 m"],
        ["run", "bed.toml", "--with=\u{1b}]0;a\u{7} = 1 m"],
    ] {
        let mut command = bench.command(&arguments);
        let found = command.env("CLICOLOR_FORCE", "1").output().unwrap();
        let (_, err) = held(found, 2, &arguments);
        let bad = err
            .chars()
            .find(|&c| c != '\n' && !ebbwright::units::display::is_plain(c));
        assert_eq!(bad, None, "{arguments:?}: {err:?}");
        assert!(err.contains("error"), "{err}");
    }
}
