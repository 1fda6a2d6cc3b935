//! Measurements as typed on the command line, in a file, or both.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::commands::common::bed_named;
use crate::commands::failure::Failure;
use crate::commands::terminal;
use crate::model::System;
use crate::scenario::{ScenarioError, read_measured};
use crate::study::measure::{Fact, FactKind, Measurable, Measured, Measurement, Seen, examine};
use crate::units::UnitSystem;
use crate::units::reading::widest_spread;
use crate::units::reading::{Reading, read};

/// What was measured, for every command that takes measurements.
#[derive(Debug, Args)]
#[command(
    next_help_heading = "Measurements, each with its unit and, if known, its spread: \"14 min +- 10 s\""
)]
pub(super) struct Options {
    /// Bed that the measurements below belong to; not needed when there is only one.
    #[arg(long, value_name = "NAME")]
    bed: Option<String>,
    /// Flow into the bed, timed into a bucket while the pump runs.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::Inflow))]
    inflow: Option<Reading>,
    /// Fill time: from the gurgle that ends one drain to the rush that begins the next.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::Fill))]
    fill: Option<Reading>,
    /// Drain time: from the rush to the gurgle.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::Drain))]
    drain: Option<Reading>,
    /// Whole cycle, gurgle to gurgle.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::Period))]
    period: Option<Reading>,
    /// Highest level of the cycle, above the bed's floor.
    #[arg(long, value_name = "HEIGHT", value_parser = |text: &str| reading(text, Measurable::Highest))]
    highest: Option<Reading>,
    /// Level left when the siphon has just stopped, above the bed's floor.
    #[arg(long, value_name = "HEIGHT", value_parser = |text: &str| reading(text, Measurable::Left))]
    left: Option<Reading>,
    /// Level at which the water stands for ever, above the bed's floor.
    #[arg(long, value_name = "HEIGHT", value_parser = |text: &str| reading(text, Measurable::Standing))]
    standing: Option<Reading>,
    /// Highest less lowest level of the sump over a cycle.
    #[arg(long, value_name = "LENGTH", value_parser = |text: &str| reading(text, Measurable::SumpSwing))]
    sump_swing: Option<Reading>,
    /// Inflow at which the siphon just starts.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::StartsAt))]
    starts_at: Option<Reading>,
    /// Inflow at which the siphon just stops breaking.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::BreaksUpTo))]
    breaks_up_to: Option<Reading>,
    /// Protocol: time to fill from the lower to the upper mark of `measure`.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::Rise))]
    rise: Option<Reading>,
    /// Protocol: time to empty from the upper to the lower mark, pump off.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::Fall))]
    fall: Option<Reading>,
    /// Protocol: how much longer it primes with the bell 50 mm taller.
    #[arg(long, value_name = "TIME", value_parser = |text: &str| reading(text, Measurable::PrimingGain))]
    priming_gain: Option<Reading>,
    /// Protocol: height of the water over the lip at the last dribble.
    #[arg(long, value_name = "HEIGHT", value_parser = |text: &str| reading(text, Measurable::DribbleHead))]
    dribble_head: Option<Reading>,
    /// An inflow at which it started; as often as you know one, like the next three.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::StartsAt))]
    started_at: Vec<Reading>,
    /// An inflow at which it dribbled and did not start.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::StartsAt))]
    dribbled_at: Vec<Reading>,
    /// An inflow against which it broke.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::BreaksUpTo))]
    broke_at: Vec<Reading>,
    /// An inflow against which it ran on and did not break.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::BreaksUpTo))]
    ran_on_at: Vec<Reading>,
    /// With the outlet raised to the bed's floor: an inflow against which it broke.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::BreaksUpTo))]
    raised_broke_at: Vec<Reading>,
    /// With the outlet raised to the bed's floor: an inflow against which it ran on.
    #[arg(long, value_name = "FLOW", value_parser = |text: &str| reading(text, Measurable::BreaksUpTo))]
    raised_ran_on_at: Vec<Reading>,
    /// What the bed was seen to do.
    #[arg(long, value_enum, value_name = "WHAT")]
    seen: Option<SeenWord>,
    /// File of measurements on several beds.
    #[arg(
        long,
        value_name = "FILE",
        help = "File with a [[bed]] table of measurements for each bed, keys named as the options here"
    )]
    measured: Option<PathBuf>,
}

/// What a bed was seen to do, as typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum SeenWord {
    /// It starts and stops by itself.
    Cycles,
    /// It dribbles over the lip and never starts.
    NeverStarts,
    /// It starts and never stops.
    NeverBreaks,
}

impl From<SeenWord> for Seen {
    fn from(word: SeenWord) -> Self {
        match word {
            SeenWord::Cycles => Self::Cycles,
            SeenWord::NeverStarts => Self::NeverStarted,
            SeenWord::NeverBreaks => Self::NeverBroke,
        }
    }
}

/// Reads one measurement.
fn reading(text: &str, what: Measurable) -> Result<Reading, String> {
    let quantity = what.quantity();
    let found =
        read(text, quantity).map_err(|error| format!("{error}; {}", error.help(quantity)))?;
    let (least, most) = what.allowed();
    let metric = |value| quantity.text(value, UnitSystem::Metric);
    if !(least..=most).contains(&found.value) {
        return Err(format!(
            "the {} must be {} to {}; check the unit and the decimal point",
            what.words(),
            metric(least),
            metric(most)
        ));
    }
    let widest = widest_spread(quantity, found.value);
    match found.spread {
        Some(spread) if spread > widest => Err(format!(
            "the spread must be at most {}; a figure that uncertain says nothing",
            metric(widest)
        )),
        _ => Ok(found),
    }
}

impl Options {
    /// The bed that was named.
    pub(super) fn bed(&self) -> Option<&str> {
        self.bed.as_deref()
    }

    /// The figures given as options, in the order of their kinds.
    fn figures(&self) -> Vec<(Measurable, Reading)> {
        Measurable::ALL
            .into_iter()
            .filter_map(|what| self.given(what).map(|reading| (what, reading)))
            .collect()
    }

    fn given(&self, what: Measurable) -> Option<Reading> {
        match what {
            Measurable::Inflow => self.inflow,
            Measurable::Fill => self.fill,
            Measurable::Drain => self.drain,
            Measurable::Period => self.period,
            Measurable::Highest => self.highest,
            Measurable::Left => self.left,
            Measurable::Standing => self.standing,
            Measurable::SumpSwing => self.sump_swing,
            Measurable::StartsAt => self.starts_at,
            Measurable::BreaksUpTo => self.breaks_up_to,
            Measurable::Rise => self.rise,
            Measurable::Fall => self.fall,
            Measurable::PrimingGain => self.priming_gain,
            Measurable::DribbleHead => self.dribble_head,
        }
    }

    /// The facts given as options, kind by kind.
    fn facts(&self) -> Vec<(FactKind, Reading)> {
        let of = |kind| match kind {
            FactKind::Started => &self.started_at,
            FactKind::Dribbled => &self.dribbled_at,
            FactKind::Broke => &self.broke_at,
            FactKind::RanOn => &self.ran_on_at,
            FactKind::RaisedBroke => &self.raised_broke_at,
            FactKind::RaisedRanOn => &self.raised_ran_on_at,
        };
        let all = FactKind::ALL.into_iter();
        all.flat_map(|kind| of(kind).iter().map(move |reading| (kind, *reading)))
            .collect()
    }

    /// Everything measured on `system`, from file and options; figures that cannot be
    /// true are refused, in `units`.
    pub(super) fn measured(&self, system: &System, units: UnitSystem) -> Result<Measured, Failure> {
        let mut all = match &self.measured {
            Some(path) => read_measured(path, system).map_err(|error| match error {
                ScenarioError::File(error) => Failure::Usage(format!(
                    "{error}\n  A file of measurements has a [[bed]] table for each bed, with \
                     lines such as fill = \"14 min +- 10 s\"."
                )),
                faults => Failure::Scenario(faults.render(terminal::colour_messages())),
            })?,
            None => Measured::default(),
        };
        let (figures, facts) = (self.figures(), self.facts());
        let any = !figures.is_empty() || !facts.is_empty() || self.seen.is_some();
        if self.bed.is_some() || any {
            let bed = which_bed(system, self.bed.as_deref())?;
            for (what, reading) in figures {
                if all.get(bed, what).is_some() {
                    return Err(Failure::Usage(format!(
                        "the {} of \"{}\" is given both as --{} and in the file\n  \
                         Keep one of the two.",
                        what.words(),
                        system.beds[bed].name,
                        what.key()
                    )));
                }
                all.figures
                    .push(Measurement::new(bed, what, reading.value, reading.spread));
            }
            let facts = facts
                .into_iter()
                .map(|(kind, reading)| Fact::new(bed, kind, reading.value, reading.spread));
            all.facts.extend(facts);
            if let Some(seen) = self.seen {
                all.seen.retain(|told| told.0 != bed);
                all.seen.push((bed, seen.into()));
            }
            all.sort();
        }
        let all = all.with_told_by_cycling();
        let nonsense = examine(system, &all);
        if nonsense.is_empty() {
            return Ok(all);
        }
        let lines: Vec<String> = nonsense
            .iter()
            .map(|one| format!("{}\n  {}", one.sentence(system, units), one.check()))
            .collect();
        Err(Failure::Usage(lines.join("\nerror: ")))
    }
}

/// The bed with this name; without one the only bed.
pub(super) fn which_bed(system: &System, name: Option<&str>) -> Result<usize, Failure> {
    match name {
        Some(name) => bed_named(system, name),
        None if system.beds.len() == 1 => Ok(0),
        None => {
            let names: Vec<String> = system
                .beds
                .iter()
                .map(|bed| format!("{:?}", bed.name))
                .collect();
            Err(Failure::Usage(format!(
                "which bed was measured?\n  Say --bed NAME with one of {}, or give a file with \
                 --measured.",
                names.join(", ")
            )))
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_reading_out_of_range_says_the_range() {
        let found = reading("14 min +- 10 s", Measurable::Fill).unwrap();
        assert_eq!((found.value, found.spread), (840.0, Some(10.0)));
        for (text, what, hint) in [
            ("6 min", Measurable::Inflow, "flow"),
            ("6", Measurable::Inflow, "unit"),
            ("6000 L/min", Measurable::Inflow, "500 L/min"),
            ("-3 mm", Measurable::Left, "0 m to 2 m"),
            ("6 L/min +- 8 L/min", Measurable::Inflow, "at most 6 L/min"),
            ("20 mm +- 0.5 m", Measurable::Left, "at most 200 mm"),
        ] {
            let message = reading(text, what).unwrap_err();
            assert!(message.contains(hint), "{text}: {message}");
        }
    }
}
