//! What the sump absorbs, as a document.
//!
//! Levels that must be kept are rounded to the side that keeps them.

mod data;
mod keys;
mod notes;
mod power;
mod sump;
mod vessels;

pub(super) use keys::KEYS;

use crate::answer::plan::plan_section;
use crate::answer::sentence::{told_at, told_list};
use crate::answer::{
    At, Block, Document, Finding, Place, Row, Section, Text, between, said, status_word,
};
use crate::assessment::{Assessment, Check, CheckId, Status, WaterAccount, Why, open_hole};
use crate::model::System;
use crate::report::{Advice, because, caution_words};
use crate::simulation::Run;
use crate::study::absorb::{Absorb, FillRange};
use crate::units::UnitSystem;
use crate::units::display::plain;

/// Everything there is to say about a sump and what beds and pipes do to it.
#[derive(Debug, Clone, Copy)]
pub struct AbsorbReport<'a> {
    /// The system as described, but undisturbed.
    pub system: &'a System,
    /// What it did.
    pub run: &'a Run,
    /// What that means.
    pub assessment: &'a Assessment,
    /// What the sump absorbs.
    pub absorb: &'a Absorb,
    /// What `run` makes of the scenario with its float valve, losses to the air and events;
    /// `None` where it has none of them.
    pub disturbed: Option<&'a Assessment>,
    /// The daily account of the system as described.
    pub account: &'a WaterAccount,
    /// Level of the float valve there is `[m]`; `None` without one.
    pub float_valve: Option<f64>,
    /// What to do where something of the whole system fails.
    pub advice: Option<Advice<'a>>,
    /// The system as described, which the advice is for.
    pub whole: &'a System,
    /// Units of what people read.
    pub units: UnitSystem,
}

impl AbsorbReport<'_> {
    /// The answer. `source` is the scenario's file name.
    pub fn document(&self, source: &str) -> Document {
        let cautions = caution_words(self.system, &self.assessment.cautions, self.units);
        let at = At::top(self.units);
        let cautions = told_list(&at, &keys::CAUTIONS, keys::CAUTION_FIGURES, cautions);
        let notes = self.notes();
        let mut sections = vec![
            Section::data(self.all()),
            Section::new("What does not pass")
                .at(Place::Lead)
                .with(Block::Findings(self.troubles())),
            Section::new("If the power fails")
                .with(Block::Sentence(self.cut_answer()))
                .with(Block::Rows(self.cut_rows())),
            Section::new("The sump as it is").with(Block::Rows(self.sump_rows())),
            Section::new(self.standings_title())
                .keyed("standings")
                .with(Block::Sentence(self.standings_answer()))
                .with(Block::Table(self.standings_table())),
            Section::new("Smallest sump that passes").with(Block::Table(self.smallest_table())),
            Section::new("How to read this")
                .at(Place::Back)
                .with(Block::List(notes)),
            Section::new("Cautions")
                .at(Place::Back)
                .with(Block::List(cautions)),
        ];
        sections.extend(plan_section(self.advice, self.whole, self.units));
        Document {
            keys: &KEYS,
            title: self.system.title.clone(),
            verdict: Some(self.status()),
            headline: self.headline(),
            opening: said!(
                "This page answers whether the sump of the system in `{}` takes what the beds and \
                 pipes can do to it, what a power cut does, which sump would do, and what the same \
                 drum does upright and on its side.",
                source
            ),
            remarks: Vec::new(),
            sections,
        }
    }

    /// Worst status of the two checks of the sump as it is and is filled.
    pub fn status(&self) -> Status {
        self.checks()
            .map(|check| check.status)
            .max()
            .unwrap_or(Status::Pass)
    }

    fn checks(&self) -> impl Iterator<Item = &Check> {
        let of_sump = |id| matches!(id, CheckId::PumpCover | CheckId::SumpHigh);
        self.assessment
            .checks
            .iter()
            .filter(move |check| of_sump(check.id))
    }

    /// The place of the sump in the results.
    fn at_sump(&self) -> At {
        At::top(self.units).part("sump")
    }

    fn troubles(&self) -> Vec<Finding> {
        let checks = self.checks().enumerate();
        checks
            .filter(|(_, check)| check.status != Status::Pass)
            .map(|(i, check)| Finding {
                status: Some((check.status, status_word(check.status))),
                title: check.id.key().into(),
                rows: vec![Row::new("Why", self.because(i, check))],
            })
            .collect()
    }

    /// Why check `i` stands as it does.
    fn because(&self, i: usize, check: &Check) -> Text {
        let at = At::top(self.units).item(keys::CHECKS.name, i);
        let why = because(self.system, check, self.units);
        told_at(&at, &keys::BECAUSE, why)
    }

    fn headline(&self) -> Text {
        let now = self.system.sump.start_level;
        let spilling = self.over_walls().join(", ");
        let fill = self.fill(&self.at_sump().part("fill"), &self.absorb.fill);
        let start = self.at_sump().figure(&keys::START_LEVEL, now);
        match (self.status(), self.absorb.fill.range()) {
            (Status::Fail, _) if !spilling.is_empty() => said!(
                "{} may overflow: settle that first, for no sump gets back what goes over a wall.",
                spilling
            ),
            (Status::Pass, _) => {
                "The sump takes all that beds and pipes can do to it, a power cut included.".into()
            }
            (Status::Warn, _) if spilling.is_empty() => said!(
                "The sump takes it, but its water may rise over the lowest hole in its wall: seal what comes \
                 in there{}.",
                match self.seals() {
                    None => said!(", or fill it to {}", fill),
                    Some(_) => ", for no fill keeps it under that and the pump covered".into(),
                }
            ),
            (Status::Warn, _) => said!(
                "The sump takes it only as long as no water leaves over a wall: {} may overflow.",
                spilling
            ),
            (Status::Fail, Some((least, _))) if now < least => said!(
                "Too little water: fill the sump to {} instead of {}{}.",
                fill,
                start,
                self.seals()
            ),
            (Status::Fail, Some((_, most))) if now > most => said!(
                "Too much water: fill the sump to {} instead of {}{}.",
                fill,
                start,
                self.seals()
            ),
            (Status::Fail, Some(_)) => {
                "The sump does not take it although its volume would do.".into()
            }
            (Status::Fail, None) => said!(
                "No fill makes this sump do: {} more water moves than it holds between the pump's \
                 cover and the freeboard.",
                self.at_sump().figure(&keys::LACKING, self.lacking())
            ),
        }
    }

    /// That the lowest hole in the wall has to be sealed beside filling it, where no fill stays under it.
    fn seals(&self) -> Option<&'static str> {
        let hole = open_hole(self.system)?;
        (hole.level < self.absorb.fill.top).then_some(
            ", and seal what comes in through its wall, for its highest water stands over the lowest hole",
        )
    }

    /// What water may leave over a wall of.
    fn over_walls(&self) -> Vec<String> {
        let tank = self.checks().any(|check| match &check.why {
            Why::PumpCover(why) => why.tank_spills,
            _ => false,
        });
        let tank = tank.then(|| "the fish tank".to_owned());
        self.spilling().into_iter().chain(tank).collect()
    }

    /// The highest that the sump's water can stand `[m]`.
    fn highest_water(&self) -> f64 {
        let high = self.absorb.volumes.bounds.high;
        high.min(self.system.sump.overflow_level)
    }

    /// Water that moves and finds no room in the sump as it is `[m3]`.
    fn lacking(&self) -> f64 {
        let free = &self.absorb.free;
        (-free.spare_above() - free.spare_below()).max(0.0)
    }

    fn spilling(&self) -> Vec<String> {
        let reach = self.system.beds.iter().zip(&self.absorb.volumes.beds);
        reach
            .filter(|(_, bed)| bed.may_spill)
            .map(|(bed, _)| quoted(&bed.name))
            .collect()
    }

    fn bed(&self, i: usize) -> String {
        let bed = self.system.beds.get(i);
        bed.map_or_else(String::new, |bed| quoted(&bed.name))
    }

    /// `0.302 to 0.359 m`, rounded to the side that keeps both bounds.
    fn fill(&self, at: &At, fill: &FillRange) -> Text {
        let units = self.units;
        let Some((least, most)) = fill.range() else {
            return "no fill does".into();
        };
        let (low, high) = (up(units, least), down(units, most));
        if low > high {
            // Narrower than a step of the tape.
            return at.figure(&keys::MIDDLE, 0.5 * (least + most)).into();
        }
        let low = at.shown(&keys::LEAST, least, units.elevation(low));
        let high = at.shown(&keys::MOST, most, units.elevation(high));
        if low.shown == high.shown {
            return low.into();
        }
        // Fractions share their unit here, where columns are narrow.
        match (low.shown.strip_suffix(" in"), high.shown.ends_with(" in")) {
            (Some(bare), true) => {
                let bare = bare.to_owned();
                said!("{} to {}", low.said(bare), high)
            }
            _ => between(low, "to", high),
        }
    }
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", plain(name))
}

/// The smallest step of a tape measure `[m]`.
fn step(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 0.001,
        UnitSystem::Us => 0.0254 / 16.0,
    }
}

/// Up to the next step of the tape `[m]`.
fn up(units: UnitSystem, metres: f64) -> f64 {
    (metres / step(units) - 1e-6).ceil() * step(units)
}

/// Down to the next step of the tape `[m]`.
fn down(units: UnitSystem, metres: f64) -> f64 {
    (metres / step(units) + 1e-6).floor() * step(units)
}
