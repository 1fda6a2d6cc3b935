//! The table of levels over time.

use crate::report::Report;
use crate::report::words::plain;
use crate::simulation::{BedSeries, SiphonMode};

impl Report<'_> {
    /// The recording as comma-separated values in SI units, one line per sample;
    /// units stand in the header. At an event two lines carry the same time,
    /// before and after it. A value that is not known is an empty cell.
    ///
    /// # Errors
    /// When the series of the recording differ in length.
    pub fn levels_csv(&self) -> Result<Vec<u8>, csv::Error> {
        let record = &self.run.recording;
        let has_line = self.run.line.is_some();
        let knows_head = self.run.pump.head.is_some();
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(self.header(has_line))?;
        for (i, &time) in record.time.iter().enumerate() {
            let mut cells = vec![
                decimals(Some(&time), 6),
                decimals(record.sump_level.get(i), 6),
                decimals(record.pump_flow.get(i), 9),
                decimals(record.pump_head.get(i).filter(|_| knows_head), 6),
            ];
            if has_line {
                cells.push(decimals(record.line_flow.get(i), 9));
                cells.push(decimals(record.line_fill.get(i), 6));
            }
            for bed in &record.beds {
                cells.extend(bed_cells(bed, i));
            }
            writer.write_record(cells)?;
        }
        writer
            .into_inner()
            .map_err(|failed| csv::Error::from(failed.into_error()))
    }

    fn header(&self, has_line: bool) -> Vec<String> {
        let mut names: Vec<String> = ["time_s", "sump_level_m", "pump_flow_m3_s", "pump_head_m"]
            .map(str::to_owned)
            .into();
        if has_line {
            names.extend(["line_flow_m3_s", "line_fill_ratio"].map(str::to_owned));
        }
        for bed in &self.system.beds {
            for quantity in ["level_m", "inflow_m3_s", "siphon_flow_m3_s", "siphon"] {
                // The quantity first: a cell that begins with a name of the
                // owner's choice could be taken for a formula.
                names.push(format!("{quantity} ({})", plain(&bed.name)));
            }
        }
        names
    }
}

fn bed_cells(bed: &BedSeries, i: usize) -> [String; 4] {
    [
        decimals(bed.level.get(i), 6),
        decimals(bed.inflow.get(i), 9),
        decimals(bed.siphon_flow.get(i), 9),
        bed.mode
            .get(i)
            .map_or("", |mode| mode_word(*mode))
            .to_owned(),
    ]
}

const fn mode_word(mode: SiphonMode) -> &'static str {
    match mode {
        SiphonMode::Filling => "filling",
        SiphonMode::Spilling => "spilling",
        SiphonMode::Priming => "priming",
        SiphonMode::FullBore => "full-bore",
        SiphonMode::RunningOn => "running-on",
    }
}

/// A fixed number of decimals, empty when not known, never a negative nought.
fn decimals(value: Option<&f64>, places: usize) -> String {
    match value {
        Some(value) if value.is_finite() => {
            let text = format!("{value:.places$}");
            if text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) {
                text.replace('-', "")
            } else {
                text
            }
        }
        _ => String::new(),
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::report::sample::Sample;
    use crate::units::UnitSystem;

    #[test]
    fn one_line_per_sample_under_named_units() {
        let mut sample = Sample::new();
        sample.system.beds[1].name = "=south, \"old\"".to_owned();
        let csv = sample.report(UnitSystem::Us).levels_csv().unwrap();
        let expected = "\
time_s,sump_level_m,pump_flow_m3_s,pump_head_m,line_flow_m3_s,line_fill_ratio,\
level_m (north),inflow_m3_s (north),siphon_flow_m3_s (north),siphon (north),\
\"level_m (=south, \"\"old\"\")\",\"inflow_m3_s (=south, \"\"old\"\")\",\
\"siphon_flow_m3_s (=south, \"\"old\"\")\",\"siphon (=south, \"\"old\"\")\"
0.000000,0.500000,0.000330000,1.000000,0.000000000,0.000000,\
1.000000,0.000160000,0.000000000,filling,1.010000,0.000160000,0.000000000,running-on
10.000000,0.400000,,1.100000,0.000910000,0.520000,\
1.100000,0.000161000,0.000000000,full-bore,1.110000,0.000161000,0.000000000,full-bore
";
        assert_eq!(String::from_utf8(csv).unwrap(), expected);
    }

    #[test]
    fn without_a_drain_line_its_columns_are_absent() {
        let sample = Sample::passing();
        let csv = String::from_utf8(sample.report(UnitSystem::Metric).levels_csv().unwrap());
        let text = csv.unwrap();
        assert!(!text.contains("line_"), "{text}");
        // Nor is a head printed that nobody knows.
        assert!(text.contains("\n0.000000,0.500000,0.000330000,,"), "{text}");
        assert!(
            text.lines().all(|line| line.split(',').count() == 8),
            "{text}"
        );
    }
}
