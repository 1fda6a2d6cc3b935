//! The results as a page.

use crate::assessment::Status;
use crate::model::{Bed, Coefficient, DrainTarget, Inlet, PumpSource};
use crate::report::Report;
use crate::report::elevations::elevations;
use crate::report::garden::garden_sections;
use crate::report::rows::{Row, balance, bed_rows, line_rows, pump_rows, sump_rows};
use crate::report::second_opinion::opinion_rows;
use crate::report::whole_loop::loop_sections;
use crate::report::words::{
    bed_title, by_trouble, check_figure, check_word, coefficient_meaning, ending, headline, plain,
    status_word,
};
use crate::units::UnitSystem;

/// A picture to show on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Picture<'a> {
    /// File name beside the page.
    pub file: &'a str,
    /// One line on what it shows.
    pub caption: &'a str,
}

impl Report<'_> {
    /// The whole report in Markdown. `source` is the scenario's file name;
    /// pictures are linked, not copied.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let mut page = Page::default();
        page.line(&format!("# {}", escaped(&self.system.title)));
        page.paragraph(&self.opening(source));
        self.verdict(&mut page);
        self.changes(&mut page);
        self.parts(&mut page);
        self.checks(&mut page);
        for picture in pictures {
            page.heading(2, picture.caption);
            page.paragraph(&format!(
                "![{}]({})",
                escaped(picture.caption),
                link(picture.file)
            ));
        }
        self.heights(&mut page);
        self.knowledge(&mut page);
        let opinion = opinion_rows(self);
        if !opinion.is_empty() {
            page.heading(2, "Second opinion");
            page.rows(&opinion);
        }
        page.list("Notes", self.assessment.notes.iter().cloned());
        page.list("Cautions", self.assessment.cautions.iter().cloned());
        self.method(&mut page);
        page.0
    }

    /// The job in one paragraph.
    fn opening(&self, source: &str) -> String {
        let (system, units) = (self.system, self.units);
        let beds = beds_in_words(self);
        let pump = match &system.pump.source {
            PumpSource::Curve(curve) => {
                let origin = if curve.is_estimate() {
                    "estimated from the two figures on its box"
                } else {
                    "by its curve"
                };
                format!("a pump {origin}, at most {}", units.flow(curve.open_flow()))
            }
            PumpSource::Steady(flow) => format!("a measured {}", units.flow(*flow)),
        };
        let line = system.drain_line.as_ref().map_or(String::new(), |line| {
            format!(
                " A shared drain line of {} bore and {} length falls {} to the sump.",
                units.bore(line.run.bore),
                units.length(line.run.length),
                units.percent(line.slope)
            )
        });
        format!(
            "This page answers whether the system described in `{}` will flood and drain by itself, \
             why, and what to change. It has {beds}. The beds are fed by {pump}, and empty through \
             automatic siphons towards a sump that spills at {}.{} {}",
            source.replace('`', "'"),
            units.elevation(system.sump.overflow_level),
            line,
            ending(self)
        )
    }

    fn verdict(&self, page: &mut Page) {
        page.heading(2, "Verdict");
        page.paragraph(&format!(
            "**{}** {}",
            status_word(self.assessment.verdict),
            escaped(&headline(self))
        ));
    }

    fn changes(&self, page: &mut Page) {
        page.heading(2, "What to change first");
        let troubled = by_trouble(&self.assessment.checks);
        if troubled.is_empty() {
            page.paragraph("Nothing: every check passed.");
            return;
        }
        if troubled.iter().any(|check| check.status == Status::Fail) {
            page.paragraph("Worst first. Change one thing, then run again: one change often settles several points.");
        }
        for (i, check) in troubled.iter().enumerate() {
            let fix = if check.first_fix.is_empty() {
                "Nothing has to change for this point."
            } else {
                &check.first_fix
            };
            page.line(&format!(
                "{}. **{} {}, {}.** {} {}",
                i + 1,
                status_word(check.status),
                check.id.key(),
                escaped(&check.subject),
                escaped(fix),
                escaped(&check.because)
            ));
        }
        page.gap();
    }

    fn parts(&self, page: &mut Page) {
        let beds = self
            .system
            .beds
            .iter()
            .zip(&self.run.beds)
            .zip(&self.assessment.beds);
        for ((bed, outcome), verdict) in beds {
            page.heading(2, &escaped(&bed_title(bed)));
            page.rows(&bed_rows(self, bed, outcome, verdict));
        }
        page.heading(2, "Sump");
        page.rows(&sump_rows(self));
        page.heading(2, "Pump");
        page.rows(&pump_rows(self));
        if let Some(line) = &self.run.line {
            page.heading(2, "Drain line");
            page.rows(&line_rows(self, line));
        }
        for section in loop_sections(self).into_iter().chain(garden_sections(self)) {
            page.heading(2, section.title);
            page.rows(&section.rows);
        }
    }

    fn checks(&self, page: &mut Page) {
        page.heading(2, "All checks");
        page.table(
            &[
                "Result", "Check", "About", "Found", "Limit", "Margin", "Rests on",
            ],
            self.assessment.checks.iter().map(|check| {
                let figure = |value| check_figure(value, check.unit, self.units);
                vec![
                    check_word(check).to_owned(),
                    check.id.key().to_owned(),
                    escaped(&check.subject),
                    figure(check.value),
                    figure(check.limit),
                    figure(check.margin),
                    escaped(check.basis),
                ]
            }),
        );
        page.paragraph("A margin is positive on the good side of its limit.");
    }

    fn heights(&self, page: &mut Page) {
        page.heading(2, "Every height, ceiling to floor");
        page.paragraph(
            "All above the floor of the room. Mark these with the tape before gluing anything.",
        );
        page.table(
            &["Height", "What is there"],
            elevations(self)
                .into_iter()
                .map(|height| vec![self.units.elevation(height.level), escaped(&height.what)]),
        );
    }

    fn knowledge(&self, page: &mut Page) {
        page.heading(2, "How far to trust this");
        page.paragraph(
            "There is no complete published measurement of such a siphon: geometry, inflow, start \
             and break levels and times together. The inflow at which it starts and the inflow at \
             which it runs on instead of breaking are therefore bands, put together from published \
             parts. The run itself uses the nominal values; *will* and *will not* hold over the \
             whole band, *uncertain* means that your inflow lies inside it.",
        );
        page.paragraph(
            "Volumes, fill times and pump flows are as good as the tape, the bucket and the pump's \
             curve: a drainable void that is wrong by a tenth makes fill and drain times wrong by \
             about a tenth. Measured times and levels of your own siphon narrow the bands: put the \
             coefficients they imply into the scenario's `[coefficients]` table.",
        );
        page.table(
            &[
                "Coefficient",
                "What it is",
                "Low",
                "Nominal",
                "High",
                "Unit",
                "Rests on",
            ],
            Coefficient::ALL.into_iter().map(|which| {
                let band = self.system.coefficients[which];
                let (meaning, unit) = coefficient_meaning(which);
                let basis = if band == which.default_band() {
                    which.basis()
                } else {
                    "given in the scenario"
                };
                vec![
                    format!("`{}`", which.key()),
                    meaning.to_owned(),
                    band.low.to_string(),
                    band.nominal.to_string(),
                    band.high.to_string(),
                    escaped(unit),
                    escaped(basis),
                ]
            }),
        );
    }

    fn method(&self, page: &mut Page) {
        page.heading(2, "How it was computed");
        let work = self.run.work;
        page.paragraph(&format!(
            "ebbwright {}. Water volumes are followed through time by a Runge-Kutta method of \
             order 5 with step-size control; every change of a siphon, a pump or a level switch is \
             located in time, none is stepped over. {} steps, {} evaluations, {} events. {} The same \
             scenario gives the same figures every time. `levels.csv` holds levels and flows over \
             time, less the rows that lie within 0.2 mm and 0.5 % on straight lines between the others; `result.json` holds all figures in SI units.",
            env!("CARGO_PKG_VERSION"),
            work.steps,
            work.evaluations,
            work.events,
            balance(self)
        ));
    }
}

/// The beds as their owner would describe them; those alike are described once.
fn beds_in_words(report: &Report) -> String {
    let mut kinds: Vec<(String, Vec<String>)> = Vec::new();
    for bed in &report.system.beds {
        let words = bed_in_words(bed, report.units);
        let name = escaped(&bed.name);
        match kinds.iter_mut().find(|(kind, _)| *kind == words) {
            Some((_, names)) => names.push(name),
            None => kinds.push((words, vec![name])),
        }
    }
    let described: Vec<_> = kinds
        .iter()
        .map(|(words, names)| match names.as_slice() {
            [name] => format!("{name} ({words})"),
            names => format!("{} (each {words})", names.join(", ")),
        })
        .collect();
    match report.system.beds.len() {
        1 => format!("one bed, {}", described.concat()),
        n => format!("{n} beds: {}", described.join("; ")),
    }
}

fn bed_in_words(bed: &Bed, units: UnitSystem) -> String {
    let area = bed.shape.area(bed.siphon.standpipe.lip_height);
    let feed = match &bed.inlet {
        Inlet::Piped(_) => String::new(),
        Inlet::Share(share) => format!(", taking {} of the flow", units.percent(*share)),
        Inlet::Measured(flow) => format!(", fed a measured {}", units.flow(*flow)),
    };
    let target = match bed.siphon.drain.into {
        DrainTarget::Sump => "straight into the sump",
        DrainTarget::Line { .. } => "into the drain line",
    };
    format!(
        "{} of surface, {} of gravel, a standpipe of {} bore whose lip is {} above the bed's \
         floor, draining {target}{feed}",
        units.area(area),
        units.length(bed.media.depth),
        units.bore(bed.siphon.standpipe.bore),
        units.length(bed.siphon.standpipe.lip_height),
    )
}

/// Text that Markdown shall show as it is.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '#' | '!' => out.extend(['\\', c]),
            _ => out.push(c),
        }
    }
    out
}

/// A file name as a link target.
pub(super) fn link(file: &str) -> String {
    file.replace('%', "%25")
        .replace(' ', "%20")
        .replace('(', "%28")
        .replace(')', "%29")
}

/// A page being written.
#[derive(Default)]
pub(super) struct Page(pub(super) String);

impl Page {
    fn gap(&mut self) {
        self.0.push('\n');
    }

    pub(super) fn line(&mut self, text: &str) {
        self.0.push_str(text.trim_end());
        self.gap();
    }

    pub(super) fn heading(&mut self, level: usize, text: &str) {
        // A blank line before, whatever came last.
        if !self.0.ends_with("\n\n") {
            self.gap();
        }
        self.line(&format!("{} {text}", "#".repeat(level)));
        self.gap();
    }

    pub(super) fn paragraph(&mut self, text: &str) {
        if !self.0.ends_with("\n\n") {
            self.gap();
        }
        self.line(text);
        self.gap();
    }

    pub(super) fn rows(&mut self, rows: &[Row]) {
        self.table(
            &["Figure", "Value"],
            rows.iter()
                .map(|row| vec![row.label.to_owned(), escaped(&row.value)]),
        );
    }

    pub(super) fn table(&mut self, head: &[&str], rows: impl Iterator<Item = Vec<String>>) {
        self.line(&format!("| {} |", head.join(" | ")));
        self.line(&format!("|{}", " --- |".repeat(head.len())));
        for cells in rows {
            self.line(&format!("| {} |", cells.join(" | ")));
        }
        self.gap();
    }

    pub(super) fn list(&mut self, title: &str, items: impl Iterator<Item = String>) {
        let items: Vec<_> = items.collect();
        if items.is_empty() {
            return;
        }
        self.heading(2, title);
        for item in items {
            self.line(&format!("- {}", escaped(&item)));
        }
        self.gap();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample::Sample;

    const PICTURES: [Picture; 1] = [Picture {
        file: "levels (all).svg",
        caption: "Water levels in the beds",
    }];

    fn held(name: &str, text: &str) {
        insta::with_settings!({ snapshot_path => "../../tests/snapshots", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(name, text);
        });
    }

    #[test]
    fn a_failing_system_in_metric_units() {
        let page = Sample::new()
            .report(UnitSystem::Metric)
            .markdown("two-beds.toml", &PICTURES);
        held("page_failing", &page);
    }

    #[test]
    fn a_passing_system_in_us_units() {
        let page = Sample::passing()
            .report(UnitSystem::Us)
            .markdown("one-bed.toml", &[]);
        held("page_passing", &page);
    }

    #[test]
    fn names_stay_text() {
        let mut sample = Sample::new();
        sample.system.title = "A | B <script> *loud*\n# heading".to_owned();
        sample.system.beds[0].name = "[north](x) | `y`".to_owned();
        let page = sample.report(UnitSystem::Metric).markdown("a`b.toml", &[]);
        assert!(
            page.starts_with("# A \\| B &lt;script&gt; \\*loud\\* \\# heading\n"),
            "{page}"
        );
        assert!(
            page.contains("## Bed \"\\[north\\](x) \\| \\`y\\`\"\n"),
            "{page}"
        );
        assert!(page.contains("`a'b.toml`"));
        // Every row of a table has the cells of its head.
        let mut cells = 0;
        for line in page.lines() {
            let bars = line.replace("\\|", "").matches('|').count();
            if bars == 0 {
                cells = 0;
            } else if cells == 0 {
                cells = bars;
            }
            assert_eq!(bars, cells, "{line}");
        }
    }

    #[test]
    fn beds_that_are_alike_are_described_once() {
        let mut sample = Sample::new();
        let said = |sample: &Sample| beds_in_words(&sample.report(UnitSystem::Metric));
        assert!(said(&sample).starts_with("2 beds: north, south (each 1.2 m2 of surface, "));
        sample.system.beds[1].media.depth = 0.25;
        assert!(said(&sample).contains("; south (1.2 m2 of surface, 250 mm of gravel, "));
    }

    #[test]
    fn coefficients_given_by_the_owner_say_so() {
        let mut sample = Sample::new();
        sample.system.coefficients[Coefficient::StartFroude] = crate::model::Band::exact(0.42);
        let page = sample.report(UnitSystem::Metric).markdown("x.toml", &[]);
        assert!(
            page.contains("| 0.42 | 0.42 | 0.42 | no unit | given in the scenario |"),
            "{page}"
        );
        assert!(page.contains(&escaped(Coefficient::LineManning.basis())));
    }

    #[test]
    fn heights_fall_from_ceiling_to_floor() {
        let sample = Sample::new();
        let report = sample.report(UnitSystem::Metric);
        let heights = elevations(&report);
        assert!(
            heights
                .windows(2)
                .all(|pair| pair[0].level >= pair[1].level)
        );
        assert_eq!(heights.first().map(|h| h.what.as_str()), Some("ceiling"));
        // Ceiling, room floor, 10 heights a bed without air tube, 2 of the line,
        // 9 of sump and pump: counted by hand.
        assert_eq!(heights.len(), 2 + 2 * 10 + 2 + 9);
    }
}
