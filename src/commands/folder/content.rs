//! What a file holds, as it is written out.

use std::io::{self, BufWriter, Write};

use crate::answer::Series;

/// What a file holds.
pub(in crate::commands) enum Content {
    /// These bytes.
    Bytes(Vec<u8>),
    /// A series, put into text only while it is written.
    Series(Series),
}

impl Content {
    /// All of it, into `out`.
    pub fn write_to(&self, out: &mut dyn Write) -> io::Result<()> {
        match self {
            Self::Bytes(bytes) => out.write_all(bytes),
            Self::Series(series) => {
                let mut out = BufWriter::new(out);
                write!(out, "{}", series.csv())?;
                out.flush()
            }
        }
    }

    /// Length and checksum of what is written.
    pub(super) fn measure(&self) -> io::Result<Measure> {
        let mut measure = Measure::default();
        self.write_to(&mut measure)?;
        Ok(measure)
    }
}

/// Counts what is written to it and keeps none of it.
#[derive(Default)]
pub(super) struct Measure {
    /// How many bytes.
    pub bytes: u64,
    /// Their checksum so far.
    pub sum: crc32fast::Hasher,
}

impl Write for Measure {
    fn write(&mut self, some: &[u8]) -> io::Result<usize> {
        self.bytes += some.len() as u64;
        self.sum.update(some);
        Ok(some.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::Content;
    use crate::answer::{Cells, Series, SeriesColumn};

    // What the list of files says of a series is of the text that no one ever holds whole.
    #[test]
    fn a_series_is_measured_as_it_is_written() {
        let column = |key: &str, cells| SeriesColumn {
            key: key.to_owned(),
            cells,
        };
        let times: Vec<f64> = (0..5000).map(f64::from).collect();
        let series = Series {
            file: "levels.csv",
            columns: vec![
                column("siphon", Cells::Keys(vec!["filling"; times.len()])),
                column("time_s", Cells::Fixed(1, times)),
            ],
        };
        let text = series.csv().to_string();
        let content = Content::Series(series);
        let mut written = Vec::new();
        content.write_to(&mut written).unwrap();
        assert_eq!(written, text.as_bytes());
        let found = content.measure().unwrap();
        assert_eq!(found.bytes, text.len() as u64);
        assert_eq!(found.sum.finalize(), crc32fast::hash(text.as_bytes()));
    }
}
