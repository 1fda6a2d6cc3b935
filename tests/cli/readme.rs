//! What README.md shows is what the program prints.

use crate::bench::Bench;
use std::fs;

/// A fenced block of the page: its language and its lines.
struct Block {
    language: String,
    lines: Vec<String>,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut all = Vec::new();
    let mut open: Option<Block> = None;
    for line in page.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(_), Some(_)) => all.extend(open.take()),
            (Some(language), None) => {
                open = Some(Block {
                    language: language.to_owned(),
                    lines: Vec::new(),
                });
            }
            (None, Some(block)) => block.lines.push(line.to_owned()),
            (None, None) => {}
        }
    }
    all
}

/// The program's arguments in each command of a shell block that runs it.
fn runs(block: &Block) -> Vec<Vec<String>> {
    let joined = block.lines.join("\n").replace("\\\n", " ");
    joined
        .lines()
        .filter_map(|line| line.strip_prefix("cargo run --release -- "))
        .map(arguments)
        .collect()
}

/// Words of a command line: quotes keep blanks together, a `#` starts a comment.
fn arguments(line: &str) -> Vec<String> {
    let (mut all, mut word, mut quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            '#' if !quoted && word.is_empty() => break,
            ' ' if !quoted => {
                if !word.is_empty() {
                    all.push(std::mem::take(&mut word));
                }
            }
            _ => word.push(c),
        }
    }
    if !word.is_empty() {
        all.push(word);
    }
    all
}

/// The first line of `excerpt` that `output` does not have at or after the one before.
fn missing<'a>(excerpt: &'a [String], output: &str) -> Option<&'a str> {
    let mut rest = output.lines();
    excerpt
        .iter()
        .map(String::as_str)
        .filter(|line| !line.is_empty())
        .find(|wanted| !rest.any(|line| line == *wanted))
}

#[test]
fn every_command_of_the_readme_runs_and_every_excerpt_is_what_it_prints() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let bench = Bench::new("");
    fs::create_dir(bench.path("scenarios")).unwrap();
    for file in fs::read_dir(format!("{root}scenarios")).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), bench.path("scenarios").join(file.file_name())).unwrap();
    }
    let page = fs::read_to_string(format!("{root}README.md")).unwrap();
    let (mut printed, mut held): (Vec<String>, usize) = (Vec::new(), 0);
    for block in blocks(&page) {
        match block.language.as_str() {
            "sh" => {
                printed.clear();
                for words in runs(&block) {
                    let words: Vec<&str> = words.iter().map(String::as_str).collect();
                    let output = bench.command(&words).output().unwrap();
                    let failed = String::from_utf8(output.stderr).unwrap();
                    assert!(
                        matches!(output.status.code(), Some(0 | 1)),
                        "{words:?}: {failed}"
                    );
                    printed.push(String::from_utf8(output.stdout).unwrap());
                }
            }
            "text" => {
                let lacks: Vec<Option<&str>> = printed
                    .iter()
                    .map(|output| missing(&block.lines, output))
                    .collect();
                assert!(
                    lacks.contains(&None),
                    "README.md shows what is not printed: {lacks:?}"
                );
                held += 1;
            }
            _ => {}
        }
    }
    assert!(held >= 4, "{held} excerpts");
}
