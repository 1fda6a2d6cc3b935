//! Reader of the CSV files in `tests/data/`.

use std::collections::HashMap;
use std::path::PathBuf;

/// One row: text by column name.
pub struct Row {
    file: String,
    line: usize,
    cells: HashMap<String, String>,
}

/// All rows of a file in `tests/data/`.
pub fn rows(file: &str) -> Vec<Row> {
    rows_in("data", file)
}

/// All rows of a file in a folder of `tests/`.
pub fn rows_in(folder: &str, file: &str) -> Vec<Row> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(folder)
        .join(file);
    let mut reader = csv::Reader::from_path(&path).expect(file);
    let headers = reader.headers().expect(file).clone();
    reader
        .records()
        .enumerate()
        .map(|(index, record)| {
            let record = record.expect(file);
            let cells = headers
                .iter()
                .map(str::to_owned)
                .zip(record.iter().map(str::to_owned))
                .collect();
            Row {
                file: file.to_owned(),
                // No cell holds a line break, and the header is line 1.
                line: index + 2,
                cells,
            }
        })
        .collect()
}

impl Row {
    /// Text of a column, which must exist.
    pub fn text(&self, column: &str) -> &str {
        self.cells
            .get(column)
            .unwrap_or_else(|| panic!("{}: no column {column}", self.file))
    }

    /// Number in a column, which must hold one.
    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column)
            .unwrap_or_else(|| panic!("{}: no number in {column}", self.place()))
    }

    /// Number in a column that may be empty.
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        Some(
            text.parse().unwrap_or_else(|_| {
                panic!("{}: {text:?} in {column} is not a number", self.place())
            }),
        )
    }

    /// File and line, for messages.
    pub fn place(&self) -> String {
        format!("{} line {}", self.file, self.line)
    }

    /// Fails unless `ours` is within `tolerance` of `published`, relative to it.
    #[track_caller]
    pub fn hold(&self, what: &str, ours: f64, published: f64, tolerance: f64) {
        let off = (ours - published).abs();
        assert!(
            off <= tolerance * published.abs(),
            "{}: {what} is {ours}, published {published}; off by {:.3e}, allowed {tolerance:.1e}",
            self.place(),
            off / published.abs(),
        );
    }
}

/// Reads the number after `key` in text such as `D=0.04 m h=0.01 m`.
pub fn number_after(text: &str, key: &str) -> f64 {
    let at = text
        .find(key)
        .unwrap_or_else(|| panic!("no {key} in {text:?}"));
    let tail = &text[at + key.len()..];
    let end = tail
        .find(|c: char| !(c.is_ascii_digit() || ".eE-+".contains(c)))
        .unwrap_or(tail.len());
    tail[..end]
        .parse()
        .unwrap_or_else(|_| panic!("no number after {key} in {text:?}"))
}
