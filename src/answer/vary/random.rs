//! Random draws in words.

use crate::answer::vary::keys;
use crate::answer::{At, Block, Column, Document, Place, Section, Table, Text, said};
use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::study::vary::random::{CheckChance, Random};
use crate::study::vary::statistics::Share;
use crate::units::UnitSystem;
use crate::units::display::plain;

/// Inputs named for each check.
const MOST_INPUTS: usize = 4;
/// Most letters of a check's name on a terminal.
const NAME: usize = 36;

/// Everything there is to say about random draws.
#[derive(Debug, Clone, Copy)]
pub struct RandomReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub found: &'a Random,
    /// Units of what people read; results and series are SI.
    pub units: UnitSystem,
}

impl RandomReport<'_> {
    /// How likely each check passes, and which inputs matter. `source` names the scenario on
    /// the page.
    pub fn document(&self, source: &str) -> Document {
        let notes = At::top(self.units).words(&keys::NOTES, self.notes());
        let notes = notes.into_iter().map(Text::from).collect();
        let matter = if self.doubtful().is_empty() {
            Block::Sentence("None: no check changes its answer within the tolerances.".into())
        } else {
            let doubtful = self.doubtful().into_iter();
            Block::List(doubtful.map(|(k, check)| self.matters(k, check)).collect())
        };
        Document {
            keys: &keys::RANDOM,
            title: self.system.title.clone(),
            verdict: None,
            headline: self.headline(),
            opening: said!(
                "This page says how likely the system described in `{}` passes its checks where it \
                 is built within tolerances.",
                source
            ),
            remarks: vec![self.what_varied()],
            sections: vec![
                Section::data(self.all()),
                Section::new("How likely each check passes")
                    .with(Block::Table(self.chances()))
                    .with(Block::Series(self.series())),
                Section::new("Which inputs matter").with(matter),
                Section::new("Notes")
                    .at(Place::Back)
                    .with(Block::List(notes)),
            ],
        }
    }

    fn headline(&self) -> Text {
        let (none_fails, all_pass) = (&self.found.none_fails, &self.found.all_pass);
        let at = At::top(self.units);
        let (none, all) = (at.part("none_fails"), at.part("all_pass"));
        said!(
            "Of {} draws, {} have no failing check ({}); {} pass every check without a warning ({}).",
            none.count(&keys::OF, none_fails.of),
            none.count(&keys::HITS, none_fails.hits),
            interval(&none, none_fails),
            all.count(&keys::HITS, all_pass.hits),
            interval(&all, all_pass)
        )
    }

    fn what_varied(&self) -> Text {
        let tolerances = &self.found.tolerances;
        let top = At::top(self.units);
        let at = top.part(keys::TOLERANCES.name);
        let soft = if tolerances.coefficients {
            "every uncertain coefficient anywhere in its band"
        } else {
            "uncertain coefficients at their nominal values"
        };
        let mut parts: Vec<Text> = Vec::new();
        if tolerances.tape > 0.0 {
            parts.push(said!(
                "standpipe, depth of gravel, slots, clearance, drop to the outlet, sump level and the \
                 length and width or diameter of every vessel by up to {} either way",
                at.figure(&keys::TAPE, tolerances.tape)
            ));
        }
        if tolerances.bore > 0.0 {
            parts.push(said!(
                "the bore of every pipe and bell by {}",
                at.figure(&keys::BORE, tolerances.bore)
            ));
        }
        if tolerances.void > 0.0 {
            parts.push(said!(
                "the void by {}",
                at.figure(&keys::VOID, tolerances.void)
            ));
        }
        if tolerances.pump > 0.0 {
            parts.push(said!(
                "the pump by {} (a curve's speed, or a measured flow)",
                at.figure(&keys::PUMP, tolerances.pump)
            ));
        }
        parts.push(soft.into());
        said!(
            "Each draw varies, all at once and every value in its range as likely: {}. {} inputs in all.",
            Text::joined(parts, ", "),
            top.count(&keys::INPUT_COUNT, self.found.inputs.len())
        )
    }

    /// Checks that some draws pass and some do not, those that pass least first, with their
    /// places in the results.
    fn doubtful(&self) -> Vec<(usize, &CheckChance)> {
        let checks = self.found.checks.iter().enumerate();
        let mut found: Vec<(usize, &CheckChance)> = checks
            .filter(|(_, check)| check.passes.hits < check.passes.of)
            .collect();
        found.order_by(|a, b| a.1.passes.share.total_cmp(&b.1.passes.share));
        found
    }

    fn matters(&self, k: usize, check: &CheckChance) -> Text {
        let at = At::top(self.units).item("checks", k);
        let leading = self.found.leading(check);
        let inputs = leading.iter().take(MOST_INPUTS).enumerate();
        let inputs: Vec<Text> = inputs
            .map(|(i, lead)| {
                let at = at.item("leading", i);
                let size = at.shown(&keys::LEAD_SIZE, lead.size, format!("{:+.2}", lead.size));
                said!("{} {}", at.word(&keys::LEAD_NAME, plain(&lead.name)), size)
            })
            .collect();
        let inputs = if inputs.is_empty() {
            "no input stands out".into()
        } else {
            Text::joined(inputs, ", ")
        };
        let noise = check.noise_of_all;
        let noise = at.shown(&keys::NOISE_OF_ALL, noise, format!("{noise:.2}"));
        said!("{}: {} (below {} is chance)", name_of(check), inputs, noise)
    }

    fn chances(&self) -> Table {
        let checks = self.found.checks.iter().enumerate();
        let rows = checks.map(|(k, check)| {
            let at = At::top(self.units).item("checks", k);
            let (passes, fails) = (&check.passes, &check.fails);
            let (in_passes, in_fails) = (at.part("passes"), at.part("fails"));
            let warns = warns(check);
            let low = format!("{:.1}", 100.0 * passes.low);
            vec![
                name_of(check).into(),
                share(&in_passes, passes),
                said!(
                    "{} to {}",
                    in_passes.shown(&keys::LOW_95, passes.low, low),
                    in_passes.shown(&keys::HIGH_95, passes.high, percent(passes.high))
                ),
                share(&at.part("warns"), &warns),
                share(&in_fails, fails),
            ]
        });
        let rows = rows.collect();
        let head = ["Check", "Passes", "95 % interval", "Warns", "Fails"];
        let mut columns = head.map(Column::figures).to_vec();
        columns[0] = Column::words(head[0]).at_most(NAME);
        Table { columns, rows }
    }

    fn notes(&self) -> Vec<String> {
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

/// Draws that warn.
pub(super) fn warns(check: &CheckChance) -> Share {
    let (passes, fails) = (&check.passes, &check.fails);
    Share::new(passes.of - passes.hits - fails.hits, passes.of)
}

pub(super) fn name_of(check: &CheckChance) -> String {
    format!("{}: {}", check.name.id.key(), plain(&check.name.subject))
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

fn share(at: &At, of: &Share) -> Text {
    at.shown(&keys::SHARE, of.share, percent(of.share)).into()
}

fn interval(at: &At, of: &Share) -> Text {
    let low = format!("{:.1}", 100.0 * of.low);
    said!(
        "{}, between {} and {}",
        share(at, of),
        at.shown(&keys::LOW_95, of.low, low),
        at.shown(&keys::HIGH_95, of.high, percent(of.high))
    )
}
