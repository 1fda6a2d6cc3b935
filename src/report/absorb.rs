//! What `absorb` found, in words: the content of text and page alike.
//!
//! Levels that must be kept are rounded to the side that keeps them.

use crate::assessment::Adviser;
use crate::assessment::{Assessment, CheckId, Status};
use crate::hydraulics::vessel::VesselShape;
use crate::model::System;
use crate::report::garden::until_low;
use crate::report::words::plain;
use crate::report::{because, caution_words, first_fix};
use crate::simulation::Run;
use crate::study::absorb::{Absorb, FillRange, bed_swing, freeboard_level, nearest_run};
use crate::units::UnitSystem;
use crate::units::display::between;

/// Levels nearer than this read as one `[m]`.
const SAME: f64 = 5e-5;

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
    /// Level of the float valve there is `[m]`; `None` without one.
    pub float_valve: Option<f64>,
    /// Units of text and page; JSON is SI.
    pub units: UnitSystem,
}

/// A piece of the page.
#[derive(Debug, Clone)]
pub(super) enum Block {
    Heading(String),
    Paragraph(String),
    Verdict(Status, String),
    Rows(Vec<(&'static str, String)>),
    Table {
        head: Vec<String>,
        rows: Vec<Vec<String>>,
    },
    List(Vec<String>),
}

impl AbsorbReport<'_> {
    /// Worst status of the two checks of the sump as it is and is filled.
    pub fn status(&self) -> Status {
        self.checks()
            .map(|check| check.status)
            .max()
            .unwrap_or(Status::Pass)
    }

    fn checks(&self) -> impl Iterator<Item = &crate::assessment::Check> {
        let of_sump = |id| matches!(id, CheckId::PumpCover | CheckId::SumpHigh);
        self.assessment
            .checks
            .iter()
            .filter(move |check| of_sump(check.id))
    }

    /// All blocks in the order of the page.
    pub(super) fn blocks(&self) -> Vec<Block> {
        let mut blocks = vec![Block::Verdict(self.status(), self.headline())];
        let adviser = Adviser::new(self.system, self.run, self.units);
        for check in self.checks().filter(|check| check.status != Status::Pass) {
            let text = format!(
                "{} Change first: {}",
                plain(&because(self.system, check, self.units)),
                first_fix(&adviser, check, self.system, self.units)
            );
            blocks.push(Block::Verdict(
                check.status,
                format!("{}: {text}", check.id.key()),
            ));
        }
        blocks.push(Block::Heading("If the power fails".to_owned()));
        blocks.push(Block::Paragraph(self.cut_answer()));
        blocks.push(Block::Rows(self.cut_rows()));
        blocks.push(Block::Heading("The sump as it is".to_owned()));
        blocks.push(Block::Rows(self.sump_rows()));
        blocks.push(Block::Heading(self.standings_title()));
        blocks.push(Block::Paragraph(self.standings_answer()));
        blocks.push(self.standings_table());
        blocks.push(Block::Heading("Smallest sump that passes".to_owned()));
        blocks.push(self.smallest_table());
        blocks.push(Block::Heading("How to read this".to_owned()));
        blocks.push(Block::List(self.notes()));
        if !self.assessment.cautions.is_empty() {
            blocks.push(Block::Heading("Cautions".to_owned()));
            blocks.push(Block::List(caution_words(
                self.system,
                &self.assessment.cautions,
                self.units,
            )));
        }
        blocks
    }

    fn headline(&self) -> String {
        let units = self.units;
        let fill = self.fill_words(&self.absorb.fill);
        let spilling = self.spilling().join(", ");
        match (self.status(), self.absorb.fill.range()) {
            (Status::Fail, _) if !spilling.is_empty() => format!(
                "Settle the beds first: {spilling} may overflow, and no sump gets back what goes \
                 over a wall."
            ),
            (Status::Pass, _) => {
                "The sump takes all that beds and pipes can do to it, a power cut included."
                    .to_owned()
            }
            (Status::Warn, _) => format!(
                "The sump takes it only as long as no water leaves over a wall: {} may overflow.",
                spilling
            ),
            (Status::Fail, Some((least, most))) => {
                let now = self.system.sump.start_level;
                if now < least {
                    format!(
                        "Too little water: fill the sump to {fill} instead of {}.",
                        units.elevation(now)
                    )
                } else if now > most {
                    format!(
                        "Too much water: fill the sump to {fill} instead of {}.",
                        units.elevation(now)
                    )
                } else {
                    "The sump does not take it although its volume would do.".to_owned()
                }
            }
            (Status::Fail, None) => format!(
                "No fill makes this sump do: {} more water moves than it holds between the pump's \
                 cover and the freeboard.",
                units.volume(self.lacking())
            ),
        }
    }

    /// Water that moves and finds no room in the sump as it is `[m3]`.
    fn lacking(&self) -> f64 {
        let free = &self.absorb.free;
        (free.needed_above + free.needed_below - free.available_above - free.available_below)
            .max(0.0)
    }

    fn spilling(&self) -> Vec<String> {
        let reach = self.system.beds.iter().zip(&self.absorb.volumes.beds);
        reach
            .filter(|(_, bed)| bed.may_spill)
            .map(|(bed, _)| quoted(&bed.name))
            .collect()
    }

    fn cut_answer(&self) -> String {
        let (units, sump) = (self.units, &self.system.sump);
        let bounds = &self.absorb.volumes.bounds;
        let ever = if bounds.high > sump.overflow_level || self.absorb.volumes.lost > 0.0 {
            format!(
                "Whatever the moment and the coefficients, up to {} can go over the overflow at {}.",
                units.volume(self.absorb.volumes.lost),
                units.elevation(sump.overflow_level)
            )
        } else {
            format!(
                "Whatever the moment and the coefficients, it cannot rise over {}, {} under its \
                 overflow.",
                units.elevation(bounds.high),
                units.length(sump.overflow_level - bounds.high)
            )
        };
        let Some(cut) = &self.absorb.power_cut else {
            return ever;
        };
        let running = match cut.running.as_slice() {
            [] => "with no siphon running".to_owned(),
            [i] => format!("while {} drains", self.bed(*i)),
            many => format!(
                "while {} drain together",
                many.iter()
                    .map(|&i| self.bed(i))
                    .collect::<Vec<_>>()
                    .join(" and ")
            ),
        };
        let moment = if cut.time > 0.0 {
            format!("{} from its start", units.time(cut.time))
        } else {
            "its very start".to_owned()
        };
        if cut.spilled > 0.0 {
            format!(
                "A power cut at the worst moment of this run, {moment} {running}, \
                 sends {} over the sump's overflow. {ever}",
                units.volume(cut.spilled)
            )
        } else {
            format!(
                "A power cut at the worst moment of this run, {moment} {running}, \
                 leaves the sump at {}, {} under its overflow. {ever}",
                units.elevation(cut.level),
                units.length(sump.overflow_level - cut.level)
            )
        }
    }

    fn cut_rows(&self) -> Vec<(&'static str, String)> {
        let (units, absorb) = (self.units, self.absorb);
        let mut rows = Vec::new();
        let ends = |level: f64, spilled: f64| {
            if spilled > 0.0 {
                format!(
                    "the sump fills to its overflow and spills {}",
                    units.volume(spilled)
                )
            } else {
                format!("the sump ends at {}", units.elevation(level))
            }
        };
        if let Some(cut) = &absorb.power_cut {
            rows.push((
                "Worst moment",
                format!(
                    "sump at {}; then {} come down from the beds and {} from the pipes: {}{}",
                    units.elevation(cut.sump_before),
                    units.volume(cut.from_beds),
                    units.volume(cut.from_pipes),
                    ends(cut.level, cut.spilled),
                    cut.simulated.map_or(String::new(), |level| format!(
                        " (simulated with that cut: {})",
                        units.elevation(level)
                    ))
                ),
            ));
        }
        if let Some(all) = &absorb.together {
            let (who, water) = if self.system.beds.len() == 1 {
                ("the bed at its highest, then it drains", "from it")
            } else {
                (
                    "every bed at its highest, then all drain together",
                    "from the beds",
                )
            };
            rows.push((
                "All at once",
                format!(
                    "{who} with the pump off: sump at {}, {} come {water} and {} from the pipes; {}",
                    units.elevation(all.before),
                    units.volume(all.from_beds),
                    units.volume(all.from_pipes),
                    ends(all.level, all.spilled)
                ),
            ));
        }
        if let Some(fish) = &self.assessment.garden.fish {
            rows.push(("Fish", until_low(fish, units)));
        }
        let has = if self.system.pump.check_valve {
            "fitted"
        } else {
            "not fitted"
        };
        rows.push((
            "Check valve",
            format!(
                "{has}; without one {} drain back from the supply pipes and the high bound is {}, \
                 with one {} and {}",
                units.volume(absorb.drain_back.without_check_valve),
                units.elevation(absorb.without_check_valve.high),
                units.volume(absorb.drain_back.with_check_valve),
                units.elevation(absorb.with_check_valve.high)
            ),
        ));
        if absorb.drain_back.back_siphon > 0.0 {
            rows.push((
                "Back-siphon",
                format!(
                    "inlets end under the highest water: without a check valve up to {} run back \
                     through them; end them higher or drill an anti-siphon hole over the water",
                    units.volume(absorb.drain_back.back_siphon)
                ),
            ));
        }
        rows
    }

    fn sump_rows(&self) -> Vec<(&'static str, String)> {
        let (units, system, absorb) = (self.units, self.system, self.absorb);
        let (bounds, level) = (&absorb.volumes.bounds, &self.run.sump.level);
        let free = &absorb.free;
        let pair =
            |low: f64, high: f64| between(&units.elevation(low), "to", &units.elevation(high));
        let room = |needed: f64, available: f64| {
            let spare = available - needed;
            let verdict = if spare >= 0.0 {
                format!("{} to spare", units.volume(spare))
            } else {
                format!("{} short", units.volume(-spare))
            };
            format!(
                "{} needed, {} there: {verdict}",
                units.volume(needed),
                units.volume(available.max(0.0))
            )
        };
        let mut rows = vec![
            ("Vessel", vessel_words(&system.sump.shape, units)),
            (
                "Filled to",
                format!("{} at the start", units.elevation(system.sump.start_level)),
            ),
            ("In this run", pair(level.min, level.max)),
            (
                "Bounds",
                format!("{}, from volumes alone", pair(bounds.low, bounds.high)),
            ),
            (
                "Limits",
                format!(
                    "pump draws air under {}; freeboard from {} up to the overflow at {}",
                    units.elevation(system.pump.least_level()),
                    units.elevation(freeboard_level(system)),
                    units.elevation(system.sump.overflow_level)
                ),
            ),
            ("Room above", room(free.needed_above, free.available_above)),
            ("Water below", room(free.needed_below, free.available_below)),
            (
                "What moves",
                format!(
                    "{}: {} in the beds between lowest and highest water, the rest in pipes, \
                     bells and line",
                    units.volume(absorb.volumes.high - absorb.volumes.low),
                    units.volume(bed_swing(system, &absorb.volumes.beds))
                ),
            ),
            ("Fill it to", self.fill_words(&absorb.fill)),
            ("Float valve", self.valve_words()),
        ];
        if bounds.dead_siphons < bounds.low - 5e-4 {
            let ends = if bounds.dead_siphons < system.pump.least_level() {
                "; the pump runs dry"
            } else {
                ""
            };
            rows.push((
                "Dead siphons",
                format!(
                    "with none starting the sump falls to {}{ends}",
                    units.elevation(bounds.dead_siphons)
                ),
            ));
        }
        rows.extend(
            self.disturbed
                .map(|found| ("With the rest", self.rest_words(found))),
        );
        rows
    }

    /// How the bounds of the whole scenario differ from those of beds and pipes alone.
    fn rest_words(&self, found: &Assessment) -> String {
        let units = self.units;
        let (alone, all) = (&self.absorb.volumes.bounds, &found.sump);
        let change = |from: f64, to: f64| {
            let by = to - from;
            if by.abs() < SAME {
                "as here".to_owned()
            } else if by < 0.0 {
                format!("{} lower", units.length(-by))
            } else {
                format!("{} higher", units.length(by))
            }
        };
        let worse: Vec<&str> = found
            .checks
            .iter()
            .filter(|check| matches!(check.id, CheckId::PumpCover | CheckId::SumpHigh))
            .filter(|check| check.status == Status::Fail)
            .map(|check| check.id.key())
            .collect();
        let fails = if worse.is_empty() || self.status() == Status::Fail {
            String::new()
        } else {
            format!(". There {} fails", worse.join(" and "))
        };
        format!(
            "float valve, losses to the air and events of the scenario are left out above. With them \
             \"run\" has the low bound at {} ({}), the high bound at {} ({}), dead siphons at {} \
             ({}){fails}",
            units.elevation(all.low),
            change(alone.low, all.low),
            units.elevation(all.high),
            change(alone.high, all.high),
            units.elevation(all.dead_siphons),
            change(alone.dead_siphons, all.dead_siphons)
        )
    }

    fn valve_words(&self) -> String {
        let units = self.units;
        let (normal, low) = (self.absorb.lowest_normal, self.absorb.volumes.bounds.low);
        let set = format!(
            "at or below {}, the lowest water of this run; set higher it adds water in every cycle",
            units.elevation(down(units, normal))
        );
        let surest = if low > self.system.pump.least_level() {
            format!(
                ". At or below {} no cycle can open it",
                units.elevation(down(units, low))
            )
        } else {
            String::new()
        };
        let now = self.float_valve.map_or(String::new(), |valve| {
            let at = units.elevation(valve);
            if valve > normal {
                let by = units.length(up(units, valve - normal));
                format!(". It is at {at}: lower it by {by}")
            } else {
                format!(". It is at {at}: good")
            }
        });
        format!("{set}{surest}{now}")
    }

    /// `0.302 to 0.359 m`, rounded to the side that keeps both bounds.
    fn fill_words(&self, fill: &FillRange) -> String {
        let units = self.units;
        match fill.range() {
            None => "no fill does".to_owned(),
            Some((least, most)) => {
                let (low, high) = (up(units, least), down(units, most));
                if low > high {
                    // Narrower than a step of the tape.
                    return units.elevation(0.5 * (least + most));
                }
                let (low, high) = (units.elevation(low), units.elevation(high));
                if low == high {
                    return low;
                }
                // Fractions share their unit here, where columns are narrow.
                match (low.strip_suffix(" in"), high.ends_with(" in")) {
                    (Some(low), true) => format!("{low} to {high}"),
                    _ => between(&low, "to", &high),
                }
            }
        }
    }

    fn bed(&self, i: usize) -> String {
        self.system
            .beds
            .get(i)
            .map_or(String::new(), |bed| quoted(&bed.name))
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "The bounds follow from volumes alone, whatever the timing and wherever the soft \
             coefficients lie within their bands: lowest with every bed at its highest and all \
             pipes, bells and the line full, highest with every bed drained, the pump off and the \
             pipes run back. How high the beds stand at a power cut does not matter to the high \
             bound: what is in them is not in the sump."
                .to_owned(),
            "Fill levels are for the sump with the pump off, the pipes empty and the beds as at \
             the start, drained to their break level unless a start level is given. Water in the \
             pipes is counted against the sump for both bounds, so it does not matter whether it \
             was in them when the sump was filled."
                .to_owned(),
            "The power cut is looked for at every recorded moment of the simulated run once every \
             bed has broken, nominal coefficients, a sample at least every ten seconds and at \
             every event. After the cut \
             water only comes down, so volumes tell where the sump ends: a running siphon empties \
             its bed to the break level, a bed that is priming is counted as running, a bed that \
             spills falls to its lip, a filling one keeps its water. The cut is then simulated as \
             well. Float valve, losses to the air and incidents of the scenario are left out here."
                .to_owned(),
            "Usable is the water between the pump's cover and the freeboard, needed what moves between \
             the bounds. A vessel that is not the sump as it is keeps the sump's floor, its pump and the \
             distance from overflow to top; everything over it is moved as far as its overflow is \
             higher or lower, inlets and riser with it. Describe the one you choose in the \
             scenario and run that."
                .to_owned(),
            "Drums joined at the bottom count as one vessel: the joint has to pass the fastest \
             siphon with little difference in level, which is not checked here."
                .to_owned(),
            "Smallest drums keep the proportions of the drum compared above; the smallest box \
             keeps the footprint of the sump as it is. They leave nothing to spare: take the next \
             size up."
                .to_owned(),
        ];
        if nearest_run(self.system).is_some() {
            notes.push(format!(
                "Outlet to overflow: how far the lowest outlet, left where it is, ends over or under \
                 the vessel's overflow, the highest its water can ever stand. The check \"fall\" of \
                 \"run\" measures each run to the water that beds and pipes can bring the sump to, \
                 {} here.",
                self.units.elevation(
                    self.absorb.volumes.bounds.high.min(self.system.sump.overflow_level)
                )
            ));
        }
        if !self.absorb.drum.is_present {
            notes.push(
                "The 55 US gal drum has the inside measures of trade tables (22.5 in x 33.5 in); \
                 the standard behind them was not read. Measure yours."
                    .to_owned(),
            );
        }
        if self.system.tank.is_some() {
            notes.push("The fish tank stays where it is when the beds are moved.".to_owned());
        }
        notes
    }
}

/// A vessel as its owner would describe it.
fn vessel_words(shape: &VesselShape, units: UnitSystem) -> String {
    let size = |metres: f64| units.length(metres);
    let measures = match shape {
        VesselShape::Box {
            length,
            width,
            depth,
        } => {
            format!(
                "box {} x {} x {} deep",
                size(*length),
                size(*width),
                size(*depth)
            )
        }
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth,
        } => {
            format!(
                "tapered tote {} x {} at the top, {} x {} at the bottom, {} deep",
                size(*top_length),
                size(*top_width),
                size(*bottom_length),
                size(*bottom_width),
                size(*depth)
            )
        }
        VesselShape::UprightCylinder { diameter, depth } => {
            format!(
                "upright drum {} across, {} deep",
                size(*diameter),
                size(*depth)
            )
        }
        VesselShape::LyingCylinder { diameter, length } => {
            format!(
                "drum on its side {} across, {} long",
                size(*diameter),
                size(*length)
            )
        }
        VesselShape::Table { .. } => format!("measured shape {} deep", size(shape.depth())),
    };
    format!("{measures}, holds {}", units.volume(shape.full_volume()))
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
pub(super) fn up(units: UnitSystem, metres: f64) -> f64 {
    (metres / step(units) - 1e-6).ceil() * step(units)
}

/// Down to the next step of the tape `[m]`.
pub(super) fn down(units: UnitSystem, metres: f64) -> f64 {
    (metres / step(units) + 1e-6).floor() * step(units)
}
