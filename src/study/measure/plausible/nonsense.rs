//! What a figure disagrees with, in words.

use crate::model::System;
use crate::study::measure::plausible::{LEAST_VOID, MOST_LOSS};
use crate::study::measure::{Measurable, Seen};
use crate::units::UnitSystem;

/// A measurement that cannot be true, or not together with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nonsense {
    /// Index of the bed.
    pub bed: usize,
    /// The figure that disagrees.
    pub what: Measurable,
    /// Its value, SI.
    pub value: f64,
    /// With what.
    pub kind: NonsenseKind,
}

/// What a measurement disagrees with. Lengths are heights above the bed's floor `[m]`,
/// times `[s]`, flows `[m3/s]`, volumes `[m3]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NonsenseKind {
    /// Outside what any such system shows.
    OutOfRange {
        /// Least.
        least: f64,
        /// Most.
        most: f64,
    },
    /// A level above the wall.
    AboveRim {
        /// The wall's height.
        rim: f64,
    },
    /// More is left than the highest level.
    LeftAboveHighest {
        /// The highest level.
        highest: f64,
    },
    /// The siphon would have stopped above its own lip.
    LeftAboveLip {
        /// The lip's height.
        lip: f64,
    },
    /// The siphon would have gone on drawing with its openings in air.
    LeftBelowOpenings {
        /// Crown of the slots.
        opening: f64,
    },
    /// The siphon would have started below its lip.
    HighestBelowLip {
        /// The lip's height.
        lip: f64,
    },
    /// More water came in than the bed holds without any gravel.
    TooMuchWater {
        /// Inflow times fill time.
        water: f64,
        /// What the empty bed holds.
        holds: f64,
    },
    /// Less water came in than any gravel leaves room for.
    TooLittleWater {
        /// Inflow times fill time.
        water: f64,
        /// Room at a void of 5 %.
        least: f64,
    },
    /// Faster than water falls through a pipe without any loss.
    DrainTooFast {
        /// Shortest drain.
        least: f64,
    },
    /// Slower than the worst siphon that still runs.
    DrainTooSlow {
        /// Mean discharge that follows from inflow, fill and drain.
        flow: f64,
        /// What passes at the largest loss coefficient that a scenario accepts.
        least: f64,
    },
    /// The period is not fill and drain together.
    PeriodNotSum {
        /// Fill plus drain.
        sum: f64,
    },
    /// It would stop breaking before it starts.
    BreaksBelowStart {
        /// Inflow at which it just starts.
        starts_at: f64,
    },
    /// It cycles with less inflow than it needs to start.
    InflowBelowStart {
        /// Inflow at which it just starts.
        starts_at: f64,
    },
    /// It cycles with more inflow than it can break against.
    InflowAboveBreak {
        /// Inflow at which it just stops breaking.
        breaks_up_to: f64,
    },
    /// More than the pump gives without any height or pipe.
    InflowAbovePump {
        /// Measured inflows of all beds together.
        total: f64,
        /// The pump's open flow.
        open: f64,
    },
    /// Several times what the file says that comes.
    InflowAboveFile {
        /// Measured inflows of all beds together.
        total: f64,
        /// What the file gives them.
        told: f64,
    },
    /// A figure that only a cycling bed shows, from one that does not cycle.
    NotCycling {
        /// What the bed was seen to do.
        seen: Seen,
    },
    /// A standing level from a bed that cycles.
    Cycling,
    /// More water than the beds hold without any gravel.
    SwingTooLarge {
        /// Water in that much of the sump.
        water: f64,
        /// What all beds hold, empty of gravel, up to their walls.
        holds: f64,
    },
}

impl Nonsense {
    /// What is wrong, as one sentence that begins with the bed's name and the measurement.
    pub fn sentence(&self, system: &System, units: UnitSystem) -> String {
        let bed = system.beds.get(self.bed).map_or("?", |bed| &bed.name);
        let value = self.what.text(self.value, units);
        format!(
            "{} of \"{bed}\", {value}, {}",
            self.what.words(),
            self.against(units)
        )
    }

    fn against(&self, units: UnitSystem) -> String {
        match self.kind {
            NonsenseKind::OutOfRange { least, most } => format!(
                "is outside what such a bed shows, {} to {}",
                self.what.text(least, units),
                self.what.text(most, units)
            ),
            NonsenseKind::AboveRim { rim } => {
                format!("is above the bed's wall, {}", units.length(rim))
            }
            NonsenseKind::LeftAboveHighest { highest } => {
                format!("is above the highest level, {}", units.length(highest))
            }
            NonsenseKind::LeftAboveLip { lip } => format!(
                "is above the lip, {}: a siphon that runs draws the water below its lip",
                units.length(lip)
            ),
            NonsenseKind::LeftBelowOpenings { opening } => format!(
                "is below the crown of the bell's slots, {}: there the siphon takes in air and stops",
                units.length(opening)
            ),
            NonsenseKind::HighestBelowLip { lip } => format!(
                "is below the lip, {}: no siphon starts before water stands over its lip",
                units.length(lip)
            ),
            NonsenseKind::TooMuchWater { water, holds } => format!(
                "with the measured inflow brings in {}, more than the bed holds without any \
                 gravel, {}: the void would be over 1",
                units.volume(water),
                units.volume(holds)
            ),
            NonsenseKind::TooLittleWater { water, least } => format!(
                "with the measured inflow brings in {}, less than the {} that gravel with a void \
                 of only {LEAST_VOID} takes",
                units.volume(water),
                units.volume(least)
            ),
            NonsenseKind::DrainTooFast { least } => format!(
                "is shorter than the {} that the water needs through this pipe without any loss",
                units.time(least)
            ),
            NonsenseKind::DrainTooSlow { flow, least } => format!(
                "with inflow and fill time gives a discharge of {}, less than the {} of this pipe \
                 with a loss coefficient of {MOST_LOSS}",
                units.flow(flow),
                units.flow(least)
            ),
            NonsenseKind::PeriodNotSum { sum } => format!(
                "is not the fill and drain time together, {}",
                units.time(sum)
            ),
            NonsenseKind::BreaksBelowStart { starts_at } => format!(
                "is less than the {} at which it just starts: it would never cycle",
                units.flow(starts_at)
            ),
            NonsenseKind::InflowBelowStart { starts_at } => format!(
                "is less than the {} at which it just starts, and yet the bed cycles",
                units.flow(starts_at)
            ),
            NonsenseKind::InflowAboveBreak { breaks_up_to } => format!(
                "is more than the {} at which it just stops breaking, and yet the bed cycles",
                units.flow(breaks_up_to)
            ),
            NonsenseKind::InflowAbovePump { total, open } => format!(
                "makes {} for all measured beds, more than the {} that the pump gives without \
                 any height or pipe",
                units.flow(total),
                units.flow(open)
            ),
            NonsenseKind::InflowAboveFile { total, told } => format!(
                "makes {} for all measured beds, {:.0} times the {} that the file gives them",
                units.flow(total),
                total / told,
                units.flow(told)
            ),
            NonsenseKind::NotCycling { seen } => format!(
                "can only be had from a bed that cycles, but this one was seen: {}",
                seen.words()
            ),
            NonsenseKind::Cycling => {
                "cannot be had from a bed that cycles; its water never stands".to_owned()
            }
            NonsenseKind::SwingTooLarge { water, holds } => format!(
                "is {} of water, more than all beds hold without any gravel, {}, or more than the \
                 sump is deep",
                units.volume(water),
                units.volume(holds)
            ),
        }
    }

    /// What to check, as one sentence.
    pub fn check(&self) -> &'static str {
        match self.kind {
            NonsenseKind::OutOfRange { .. } => "Check the unit and the decimal point.",
            NonsenseKind::AboveRim { .. }
            | NonsenseKind::LeftAboveHighest { .. }
            | NonsenseKind::LeftAboveLip { .. }
            | NonsenseKind::LeftBelowOpenings { .. }
            | NonsenseKind::HighestBelowLip { .. } => {
                "Check that the tape stood on the bed's floor, and that heights as described \
                 count from there too."
            }
            NonsenseKind::TooMuchWater { .. } => {
                "Time the bucket again, and the fill from the gurgle that ends one drain to the \
                 rush that begins the next; then the bed's length and width in the scenario. If \
                 water runs over the lip for long before the siphon starts, leave the fill time \
                 out and give starts-at."
            }
            NonsenseKind::TooLittleWater { .. } => {
                "Time the bucket again, and the fill from the gurgle that ends one drain to the \
                 rush that begins the next; then the bed's length and width in the scenario."
            }
            NonsenseKind::DrainTooFast { .. } | NonsenseKind::DrainTooSlow { .. } => {
                "Time the drain again, from the rush to the gurgle; then the standpipe's bore and \
                 the outlet's elevation in the scenario."
            }
            NonsenseKind::PeriodNotSum { .. } => {
                "Time a whole cycle again, gurgle to gurgle, without the pump's timer in between."
            }
            NonsenseKind::BreaksBelowStart { .. }
            | NonsenseKind::InflowBelowStart { .. }
            | NonsenseKind::InflowAboveBreak { .. } => {
                "Time the bucket again at each valve setting; the three inflows must rise from \
                 starts-at over inflow to breaks-up-to."
            }
            NonsenseKind::InflowAbovePump { .. } => {
                "Time the bucket again, and read the pump's plate again."
            }
            NonsenseKind::InflowAboveFile { .. } => {
                "Time the bucket again, litres over minutes; if the pump is another one, write its \
                 flow into the file first."
            }
            NonsenseKind::NotCycling { .. } | NonsenseKind::Cycling => {
                "Leave one of the two out; a bed either cycles or stands."
            }
            NonsenseKind::SwingTooLarge { .. } => {
                "Check the unit, and that no top-off ran meanwhile."
            }
        }
    }
}
