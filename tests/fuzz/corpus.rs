//! The files that are damaged: everything in the project that is or pretends to be a scenario.

use std::path::{Path, PathBuf};

/// Folders with such files.
const FOLDERS: [&str; 6] = [
    "scenarios",
    "src/scenario",
    "tests/scenario_files",
    "tests/bad",
    "tests/odd/found",
    "tests/fuzz/fallen",
];

pub fn at_home(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

/// Names and texts of the files of one folder, in order.
pub fn folder(path: &str) -> Vec<(String, String)> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(at_home(path))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    files.sort();
    files
        .iter()
        .filter_map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            Some((name, std::fs::read_to_string(path).ok()?))
        })
        .collect()
}

/// All of them. The starters are there a second time with what stands commented out in them.
pub fn all() -> Vec<String> {
    let mut texts: Vec<String> = FOLDERS
        .iter()
        .flat_map(|path| folder(path))
        .map(|(_, text)| text)
        .collect();
    texts.push(uncommented(ebbwright::scenario::starter()));
    texts.push(uncommented(ebbwright::scenario::starter_us()));
    texts
}

/// A line with its leading `#` taken away, where a commented-out key or table begins.
fn uncommented(text: &str) -> String {
    let plain = |line: &str| match line.strip_prefix('#') {
        Some(rest) if !rest.starts_with(' ') => rest.to_owned(),
        _ => line.to_owned(),
    };
    text.lines().map(plain).collect::<Vec<_>>().join("\n")
}
