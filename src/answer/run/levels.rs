//! Levels and flows over time.

use crate::answer::{Cells, Series, SeriesColumn};
use crate::report::Report;
use crate::simulation::SiphonMode;

/// The recording, one line per sample. At an event two lines carry the same time, before and
/// after it. A value that is not known is an empty cell.
pub(super) fn series(report: &Report) -> Series {
    let record = &report.run.recording;
    let rows = record.time.len();
    let fixed = |places: usize, values: &[f64]| {
        let mut values = values.to_vec();
        values.resize(rows, f64::NAN);
        Cells::Fixed(places, values)
    };
    let head: &[f64] = match report.run.pump.head {
        Some(_) => &record.pump_head,
        None => &[],
    };
    let mut columns = vec![
        ("time_s".to_owned(), fixed(6, &record.time)),
        ("sump_level_m".to_owned(), fixed(6, &record.sump_level)),
        ("pump_flow_m3_s".to_owned(), fixed(9, &record.pump_flow)),
        ("pump_head_m".to_owned(), fixed(6, head)),
    ];
    if report.run.line.is_some() {
        columns.push(("line_flow_m3_s".to_owned(), fixed(9, &record.line_flow)));
        columns.push(("line_fill_ratio".to_owned(), fixed(6, &record.line_fill)));
    }
    for (bed, series) in report.system.beds.iter().zip(&record.beds) {
        // The quantity first: a cell that begins with a name of the owner's choice could be
        // taken for a formula.
        let key = |quantity: &str| format!("{quantity} ({})", bed.name);
        let modes = series.mode.iter().map(|mode| mode_word(*mode));
        columns.push((key("level_m"), fixed(6, &series.level)));
        columns.push((key("inflow_m3_s"), fixed(9, &series.inflow)));
        columns.push((key("siphon_flow_m3_s"), fixed(9, &series.siphon_flow)));
        columns.push((key("siphon"), Cells::Keys(modes.collect())));
    }
    let columns = columns.into_iter();
    Series {
        file: "levels.csv",
        columns: columns
            .map(|(key, cells)| SeriesColumn { key, cells })
            .collect(),
    }
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

#[cfg(test)]
mod tests {
    use super::series;
    use crate::report::Sample;
    use crate::units::UnitSystem;

    #[test]
    fn one_line_per_sample_under_named_units() {
        let mut sample = Sample::new();
        sample.system.beds[1].name = "=south, \"old\"".to_owned();
        let csv = series(&sample.report(UnitSystem::Us)).csv().to_string();
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
        assert_eq!(csv, expected);
    }

    #[test]
    fn without_a_drain_line_its_columns_are_absent() {
        let sample = Sample::passing();
        let text = series(&sample.report(UnitSystem::Metric)).csv().to_string();
        assert!(!text.contains("line_"), "{text}");
        // Nor is a head printed that nobody knows.
        assert!(text.contains("\n0.000000,0.500000,0.000330000,,"), "{text}");
        assert!(
            text.lines().all(|line| line.split(',').count() == 8),
            "{text}"
        );
    }
}
