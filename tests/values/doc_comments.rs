//! Every public function of `src/hydraulics` says its units and its range.

use std::fs;
use std::path::{Path, PathBuf};

/// Units a doc comment may name, in brackets.
const UNITS: &[&str] = &[
    "-", "m", "m2", "m3", "m3/s", "m/s", "m/s2", "m2/s", "s", "s/m2", "s/m1/3", "m0.5/s", "1/m",
    "kg/m3", "Pa", "Pa.s", "W", "degC", "rad", "N/m", "N/m2", "s/m", "s2/m2", "J/kg", "W/m2",
    "kg/m2/s",
];

/// A public function as found in a file.
struct Function {
    place: String,
    doc: String,
    signature: String,
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("src/hydraulics is there") {
        let path = entry.expect("readable entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn functions(text: &str, file: &str) -> Vec<Function> {
    let mut found = Vec::new();
    let mut doc = String::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, line)) = lines.next() {
        let line = line.trim_start();
        if let Some(words) = line.strip_prefix("///") {
            doc.push_str(words);
            doc.push('\n');
        } else if line.starts_with("pub fn ") || line.starts_with("pub const fn ") {
            let mut signature = line.to_owned();
            while !signature.contains('{') {
                let (_, next) = lines.next().expect("a body after a signature");
                signature.push_str(next.trim());
            }
            found.push(Function {
                place: format!("{file}:{}", number + 1),
                doc: std::mem::take(&mut doc),
                signature,
            });
        } else if !line.starts_with("#[") {
            doc.clear();
        }
    }
    found
}

fn names_a_unit(doc: &str) -> bool {
    UNITS.iter().any(|unit| doc.contains(&format!("[{unit}]")))
}

fn names_a_range(doc: &str) -> bool {
    doc.contains("Valid") || doc.contains("Range")
}

/// Functions without numbers in or out (names, tables) have neither unit nor range.
fn has_numbers(function: &Function) -> bool {
    function.signature.contains("f64")
}

fn faults(functions: &[Function]) -> Vec<String> {
    let mut faults = Vec::new();
    for f in functions {
        if f.doc.trim().is_empty() {
            faults.push(format!("{}: no doc comment", f.place));
        } else if has_numbers(f) {
            if !names_a_unit(&f.doc) {
                faults.push(format!("{}: no unit in brackets", f.place));
            }
            if !names_a_range(&f.doc) {
                faults.push(format!("{}: no `Valid` or `Range`", f.place));
            }
        }
    }
    faults
}

#[test]
fn every_public_function_says_its_units_and_range() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/hydraulics");
    let mut files = Vec::new();
    sources(&root, &mut files);
    files.sort();
    let mut all = Vec::new();
    for path in files {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        all.extend(functions(&fs::read_to_string(&path).unwrap(), &name));
    }
    assert!(all.len() > 50, "only {} functions found", all.len());
    let faults = faults(&all);
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn the_check_sees_a_bare_function() {
    let text = "\
/// Says nothing.
pub fn bare(q: f64) -> f64 { q }
pub fn naked() {}
/// Area [m2] of [`Something`]. Valid for all.
#[must_use]
pub fn good(
    d: f64,
) -> f64 { d }
";
    let found = faults(&functions(text, "x.rs"));
    assert_eq!(
        found,
        [
            "x.rs:2: no unit in brackets",
            "x.rs:2: no `Valid` or `Range`",
            "x.rs:3: no doc comment",
        ]
    );
}
