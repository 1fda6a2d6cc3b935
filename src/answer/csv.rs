//! Series as comma-separated values (RFC 4180, with plain line feeds).

use std::fmt;

use crate::answer::{Cells, Series};
use crate::units::display::plain;

/// A series as its file holds it; a year of many beds is too long a text to be held whole.
#[derive(Debug, Clone, Copy)]
pub struct Csv<'a>(&'a Series);

impl Series {
    /// The columns under their keys, SI units. A number that is not known is an empty cell.
    pub const fn csv(&self) -> Csv<'_> {
        Csv(self)
    }
}

impl fmt::Display for Csv<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let columns = &self.0.columns;
        line(f, columns.iter().map(|column| cell(&column.key)))?;
        let rows = columns.first().map_or(0, |column| column.cells.len());
        (0..rows).try_for_each(|row| line(f, columns.iter().map(|c| c.cells.at(row))))
    }
}

impl Cells {
    /// How many there are.
    pub fn len(&self) -> usize {
        match self {
            Self::Fixed(_, values) | Self::Full(values) => values.len(),
            Self::Words(words) => words.len(),
            Self::Keys(keys) => keys.len(),
        }
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    fn at(&self, row: usize) -> String {
        match self {
            Self::Fixed(places, values) => values
                .get(row)
                .map_or_else(String::new, |v| fixed(*v, *places)),
            Self::Full(values) => match values.get(row) {
                Some(value) if value.is_finite() => format!("{value:.8e}"),
                _ => String::new(),
            },
            Self::Words(words) => words.get(row).map_or_else(String::new, |word| cell(word)),
            Self::Keys(keys) => keys.get(row).map_or_else(String::new, |key| cell(key)),
        }
    }
}

fn line(f: &mut fmt::Formatter<'_>, cells: impl Iterator<Item = String>) -> fmt::Result {
    for (k, cell) in cells.enumerate() {
        if k > 0 {
            f.write_str(",")?;
        }
        f.write_str(&cell)?;
    }
    f.write_str("\n")
}

/// A text as a cell: on one line, quoted where it must be, and never taken for a formula by
/// a spreadsheet.
fn cell(text: &str) -> String {
    let text = plain(text);
    let text = if text.trim_start().starts_with(['=', '+', '-', '@']) {
        format!("'{text}")
    } else {
        text
    };
    if text.contains(['"', ',']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}

/// A fixed number of decimals, empty when not known, never a negative nought.
fn fixed(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let text = format!("{value:.places$}");
    if text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) {
        text.replace('-', "")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use crate::answer::{Cells, Series, SeriesColumn};

    #[test]
    fn texts_stay_cells_and_no_formulas() {
        let column = |key: &str, cells| SeriesColumn {
            key: key.to_owned(),
            cells,
        };
        let words = ["=1+1", "a, \"b\"", "x\ny", "@now", " +2", "plain"];
        let series = Series {
            file: "levels.csv",
            columns: vec![
                column(
                    "time_s",
                    Cells::Fixed(1, vec![0.0, -0.01, -1.25, f64::NAN, 2.0, 3.0]),
                ),
                column("=cmd()", Cells::Words(words.map(str::to_owned).to_vec())),
                column("q", Cells::Full(vec![1.0 / 3.0])),
            ],
        };
        let expected = "\
time_s,'=cmd(),q
0.0,'=1+1,3.33333333e-1
0.0,\"a, \"\"b\"\"\",
-1.2,x y,
,'@now,
2.0,' +2,
3.0,plain,
";
        assert_eq!(series.csv().to_string(), expected);
    }
}
