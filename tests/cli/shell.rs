//! Completions and manual pages know every command.

use crate::bench::{Bench, WORKS};

/// The commands that the help lists.
fn commands(bench: &Bench) -> Vec<String> {
    let (help, _) = bench.expect(0, &["--help"]);
    let list = help.split("Commands:").nth(1).unwrap();
    let list = list.split("Options:").next().unwrap();
    list.lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .filter(|name| name != "help")
        .collect()
}

#[test]
fn every_shell_completes_every_command_and_its_options() {
    let bench = Bench::new(WORKS);
    let commands = commands(&bench);
    assert!(commands.len() >= 11, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (script, err) = bench.expect(0, &["completions", shell]);
        assert_eq!(err, "");
        let words: Vec<&str> = script
            .split(|c: char| !(c.is_alphanumeric() || c == '_'))
            .collect();
        for word in commands.iter().map(String::as_str).chain(["units", "out"]) {
            assert!(words.contains(&word), "{shell} does not know {word}");
        }
    }
}

#[test]
fn a_shell_nobody_has_is_refused_with_those_there_are() {
    let bench = Bench::new(WORKS);
    let (out, err) = bench.expect(2, &["completions", "abacus"]);
    assert_eq!(out, "");
    assert!(err.contains("bash") && err.contains("elvish"), "{err}");
}

#[test]
fn every_command_has_its_manual_page() {
    let bench = Bench::new(WORKS);
    let commands = commands(&bench);
    let (page, _) = bench.expect(0, &["man"]);
    assert!(page.contains(".TH ebbwright 1"), "{page}");
    for command in &commands {
        assert!(
            page.contains(&format!("ebbwright\\-{command}(1)")),
            "{command}"
        );
    }
    bench.expect(0, &["man", "--out", "pages"]);
    let mut wanted: Vec<String> = commands
        .iter()
        .map(|command| format!("ebbwright-{command}.1"))
        .collect();
    wanted.push("ebbwright.1".to_owned());
    wanted.sort();
    assert_eq!(bench.names("pages"), wanted);
    for command in &commands {
        let page =
            std::fs::read_to_string(bench.path(&format!("pages/ebbwright-{command}.1"))).unwrap();
        assert!(
            page.contains("SYNOPSIS") && page.contains("\\-\\-help"),
            "{command}: {page}"
        );
    }
}
