//! Random draws in words.

use crate::assessment::Status;
use crate::model::System;
use crate::report::markdown::{Page, escaped, link};
use crate::report::text::Page as Text;
use crate::report::words::plain;
use crate::report::{Look, Picture};
use crate::study::vary::random::{CheckChance, Random};
use crate::study::vary::statistics::Share;
use crate::units::UnitSystem;

/// Inputs named for each check.
const MOST_INPUTS: usize = 4;
/// Columns of a check's name on a terminal.
const NAME: usize = 30;

/// Everything there is to say about random draws.
#[derive(Debug, Clone, Copy)]
pub struct RandomReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub found: &'a Random,
    /// Units of text and page; JSON and CSV are SI.
    pub units: UnitSystem,
}

impl RandomReport<'_> {
    /// The answer as a terminal shows it.
    pub fn text(&self, look: Look) -> String {
        let mut page = Text::new(look);
        page.paragraph(0, &plain(&self.system.title));
        page.gap();
        page.paragraph(0, &self.headline());
        page.gap();
        page.paragraph(0, &self.what_varied());
        page.heading("How likely each check passes");
        page.out.push_str(&format!(
            "  {:NAME$}{:>8}{:>17}{:>8}{:>8}\n",
            "check", "passes", "95 % interval", "warns", "fails"
        ));
        for check in &self.found.checks {
            let [name, passes, interval, warns, fails] = cells(check);
            let line = format!("  {name:NAME$}{passes:>8}{interval:>17}{warns:>8}{fails:>8}");
            page.out.push_str(line.trim_end());
            page.gap();
        }
        page.heading("Which inputs matter");
        for check in self.doubtful() {
            page.out.push_str("  - ");
            page.paragraph(4, &self.matters(check));
        }
        if self.doubtful().next().is_none() {
            page.out.push_str("  ");
            page.paragraph(
                2,
                "None: no check changes its answer within the tolerances.",
            );
        }
        page.list("Notes", self.notes().into_iter());
        page.out
    }

    /// The answer in Markdown. `source` is the scenario's file name.
    pub fn markdown(&self, source: &str, picture: &Picture) -> String {
        let mut page = Page::default();
        page.line(&format!(
            "# With tolerances: {}",
            escaped(&self.system.title)
        ));
        page.paragraph(&format!(
            "For the system in `{}`. {}",
            source.replace('`', "'"),
            escaped(&self.what_varied())
        ));
        page.heading(2, "Answer");
        page.paragraph(&escaped(&self.headline()));
        page.heading(2, "How likely each check passes");
        page.table(
            &["Check", "Passes", "95 % interval", "Warns", "Fails"],
            self.found
                .checks
                .iter()
                .map(|check| cells(check).iter().map(|cell| escaped(cell)).collect()),
        );
        page.paragraph(&format!(
            "![{}]({})",
            escaped(picture.caption),
            link(picture.file)
        ));
        page.list(
            "Which inputs matter",
            self.doubtful().map(|check| escaped(&self.matters(check))),
        );
        page.list("Notes", self.notes().into_iter());
        page.0
    }

    fn headline(&self) -> String {
        let (none_fails, all_pass) = (&self.found.none_fails, &self.found.all_pass);
        format!(
            "Of {} draws, {} have no failing check ({}); {} pass every check without a warning ({}).",
            none_fails.of,
            none_fails.hits,
            interval(none_fails),
            all_pass.hits,
            interval(all_pass)
        )
    }

    fn what_varied(&self) -> String {
        let tolerances = &self.found.tolerances;
        let soft = if tolerances.coefficients {
            "every soft coefficient anywhere in its band"
        } else {
            "soft coefficients at their nominal values"
        };
        let mut parts = Vec::new();
        if tolerances.tape > 0.0 {
            parts.push(format!(
                "standpipe, depth of gravel, slots, clearance, drop to the outlet, sump level and the \
                 length and width or diameter of every vessel by up to {} either way",
                self.units.length(tolerances.tape)
            ));
        }
        if tolerances.bore > 0.0 {
            parts.push(format!(
                "the bore of every pipe and bell by {}",
                self.units.percent(tolerances.bore)
            ));
        }
        if tolerances.void > 0.0 {
            parts.push(format!("the void by {}", tolerances.void));
        }
        if tolerances.pump > 0.0 {
            parts.push(format!(
                "the pump by {} (a curve's speed, or a measured flow)",
                self.units.percent(tolerances.pump)
            ));
        }
        parts.push(soft.to_owned());
        format!(
            "Each draw varies, all at once and every value in its range as likely: {}. {} inputs in all.",
            parts.join(", "),
            self.found.inputs.len()
        )
    }

    /// Checks that some draws pass and some do not, those that pass least first.
    fn doubtful(&self) -> impl Iterator<Item = &CheckChance> {
        let mut found: Vec<&CheckChance> = self
            .found
            .checks
            .iter()
            .filter(|check| check.passes.hits < check.passes.of)
            .collect();
        found.sort_by(|a, b| a.passes.share.total_cmp(&b.passes.share));
        found.into_iter()
    }

    fn matters(&self, check: &CheckChance) -> String {
        let inputs: Vec<String> = self
            .found
            .leading(check)
            .into_iter()
            .take(MOST_INPUTS)
            .map(|lead| format!("{} {:+.2}", plain(&lead.name), lead.size))
            .collect();
        let inputs = if inputs.is_empty() {
            "no input stands out".to_owned()
        } else {
            inputs.join(", ")
        };
        format!(
            "{}: {inputs} (below {:.2} is chance)",
            name_of(check),
            check.noise_of_all
        )
    }

    pub(super) fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "A figure such as -0.68 is the rank correlation of an input with the check's margin: \
             minus, more of it hurts; plus, more of it helps; 1 is all of it. In 95 of 100 studies no \
             input without effect stands above chance; more draws show weaker effects. The same \
             input of several beds counts as one where it pulls the same way."
                .to_owned(),
            format!(
                "Intervals are Wilson's at 95 %, for independent draws. The draws are a Latin \
                 hypercube (seed {}), which scatters no more than that, mostly less. They hold the \
                 error of sampling, not that of the model or of the tolerances.",
                self.found.seed
            ),
            "Each draw is judged as if built exactly like that with coefficients known exactly; where \
             the tape varies, the checks' own allowance for errors of levelling is left out."
                .to_owned(),
        ];
        if self.found.tolerances.bore > 0.0 {
            notes.push(
                "Bores vary around those of the scenario. One looked up by nominal size is about the \
                 greatest that its standard allows; real pipe is narrower, by 2 % on average at 1 in."
                    .to_owned(),
            );
        }
        let (none, why) = self.found.unanswered();
        if let Some(why) = why {
            notes.push(format!(
                "{none} draws have no answer and count nowhere; the first because: {why}"
            ));
        }
        notes
    }
}

pub(super) fn name_of(check: &CheckChance) -> String {
    format!("{}: {}", check.name.id.key(), plain(&check.name.subject))
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn interval(share: &Share) -> String {
    format!(
        "{}, between {:.1} and {}",
        percent(share.share),
        100.0 * share.low,
        percent(share.high)
    )
}

/// Name, passing share, its interval, warning share, failing share.
fn cells(check: &CheckChance) -> [String; 5] {
    let (passes, fails) = (&check.passes, &check.fails);
    let warns = Share::new(passes.of - passes.hits - fails.hits, passes.of);
    [
        name_of(check),
        percent(passes.share),
        format!("{:.1} to {}", 100.0 * passes.low, percent(passes.high)),
        percent(warns.share),
        percent(fails.share),
    ]
}

/// Key of a status in JSON and CSV.
pub(super) const fn status_key(status: Status) -> &'static str {
    match status {
        Status::Pass => "pass",
        Status::Warn => "warn",
        Status::Fail => "fail",
    }
}
