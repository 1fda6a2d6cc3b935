//! The catalogue of causes: names, prior weights, quick checks and fixes.

/// Something that can be wrong with a system that was built as described.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// The pump gives less than it did.
    WornPump,
    /// The pump gives more than described.
    StrongPump,
    /// The bed's inlet is throttled: valve closed too far, pipe or spreader clogged.
    InletThrottled,
    /// The bed's valve is open too far.
    InletOpen,
    /// The bell's slots are clogged.
    SlotsClogged,
    /// Roots or an object in the standpipe or the pipe below.
    PipeObstructed,
    /// The openings of the media guard are clogged.
    GuardClogged,
    /// Fines and dirt have filled the gravel.
    GravelFouled,
    /// The gravel holds less water than described.
    LessVoid,
    /// The gravel holds more water than described.
    MoreVoid,
    /// The bell lets air in while the siphon primes.
    BellLeaks,
    /// The air tube is blocked or too thin.
    AirTubeBlocked,
    /// The drain pipe ends under water.
    OutletDrowned,
    /// The shared drain line is partly blocked.
    LineBlocked,
    /// The outlet lies higher than described: too little drop.
    TooLittleDrop,
    /// The lip is not level or has slid down.
    LipLow,
    /// The float valve stands too high and adds water every cycle.
    TopOffHigh,
    /// Water has been lost and not replaced.
    WaterLost,
    /// There is too much water in the system.
    TooMuchWater,
    /// The pump's timer runs it too short.
    TimerShort,
}

impl Cause {
    /// Whether it is that other water is in the system than described.
    pub const fn is_of_water(self) -> bool {
        matches!(self, Self::WaterLost | Self::TooMuchWater)
    }

    /// Whether it acts on all beds at once, not on one by itself.
    pub const fn is_of_all_beds(self) -> bool {
        matches!(
            self,
            Self::WornPump
                | Self::StrongPump
                | Self::LineBlocked
                | Self::TopOffHigh
                | Self::WaterLost
                | Self::TooMuchWater
                | Self::TimerShort
        )
    }
}

/// What the catalogue says of one cause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Entry {
    /// The cause.
    pub cause: Cause,
    /// Word on the command line.
    pub key: &'static str,
    /// What it is, as a clause.
    pub words: &'static str,
    /// How often it is the cause, before anything is known, beside the others.
    /// Common practice, no source.
    pub weight: f64,
    /// Whether it grows over weeks.
    pub creeping: bool,
    /// The question that confirms it or rules it out without digging up plants;
    /// yes confirms.
    pub check: &'static str,
    /// What to do.
    pub fix: &'static str,
}

/// The catalogue.
pub const CATALOGUE: [Entry; 20] = [
    Entry {
        cause: Cause::WornPump,
        key: "worn-pump",
        words: "the pump gives less than it did (clogged strainer, worn impeller)",
        weight: 0.11,
        creeping: true,
        check: "take the pump out, rinse strainer and impeller, put it back and time the bucket again: does \
                the flow come back, or is it still short with the hose off right above the pump?",
        fix: "clean strainer and impeller; if the flow stays short, replace the pump",
    },
    Entry {
        cause: Cause::StrongPump,
        key: "strong-pump",
        words: "the pump gives more than described (another pump, a guessed curve)",
        weight: 0.06,
        creeping: false,
        check: "time a bucket at every bed: do they get more than described, all in the same \
                proportion?",
        fix: "throttle each bed with bucket and stopwatch to the inflow described",
    },
    Entry {
        cause: Cause::InletThrottled,
        key: "inlet-throttled",
        words: "this bed's inlet is throttled (valve closed too far, pipe or spreader clogged)",
        weight: 0.14,
        creeping: true,
        check: "open this bed's valve fully for one bucket and pull the spreader off: does the flow \
                jump up?",
        fix: "clean inlet and spreader and set the valve with bucket and stopwatch",
    },
    Entry {
        cause: Cause::InletOpen,
        key: "inlet-open",
        words: "too much water comes into this bed (valve open too far)",
        weight: 0.10,
        creeping: false,
        check: "close this bed's valve by a third for one cycle: does the siphon behave?",
        fix: "close the valve with bucket and stopwatch to the inflow described",
    },
    Entry {
        cause: Cause::SlotsClogged,
        key: "slots-clogged",
        words: "the slots at the foot of the bell are clogged (roots, slime, gravel)",
        weight: 0.10,
        creeping: true,
        check: "lift the bell out of its guard with the pump off: are the slots grown over or plugged?",
        fix: "brush the slots clean",
    },
    Entry {
        cause: Cause::PipeObstructed,
        key: "pipe-obstructed",
        words: "roots or an object narrow the standpipe or the pipe below",
        weight: 0.10,
        creeping: true,
        check: "lift the bell and push a bottle brush or garden hose down the standpipe to its end: \
                does anything come out?",
        fix: "clear the pipe from the lip to the outlet",
    },
    Entry {
        cause: Cause::GuardClogged,
        key: "guard-clogged",
        words: "the openings of the media guard are clogged",
        weight: 0.07,
        creeping: true,
        check: "look into the guard while it drains: is the water in it more than a finger lower than \
                in a hole poked beside it, and does brushing the guard from inside end that?",
        fix: "brush the guard's openings from the inside",
    },
    Entry {
        cause: Cause::GravelFouled,
        key: "gravel-fouled",
        words: "fines, dirt or roots fill the gravel round the guard",
        weight: 0.06,
        creeping: true,
        check: "wash a handful of gravel from beside the guard in a bucket: does the water go dark and \
                leave a layer of mud?",
        fix: "rinse the gravel round the guard and catch solids before the bed",
    },
    Entry {
        cause: Cause::LessVoid,
        key: "less-void",
        words: "the gravel holds less water than described",
        weight: 0.05,
        creeping: false,
        check: "fill a bucket with the dry gravel, count the water it takes and gives back: is the share \
                smaller than the void described?",
        fix: "put in the void you found: fill times and the sump's swing hang on it, start and break do not",
    },
    Entry {
        cause: Cause::MoreVoid,
        key: "more-void",
        words: "the gravel holds more water than described",
        weight: 0.04,
        creeping: false,
        check: "fill a bucket with the dry gravel, count the water it takes and gives back: is the share \
                larger than the void described?",
        fix: "put in the void you found, and see whether the sump still holds what the beds take and give",
    },
    Entry {
        cause: Cause::BellLeaks,
        key: "bell-leaks",
        words: "the bell lets air in while it primes (crack, loose cap, uncovered fitting)",
        weight: 0.08,
        creeping: false,
        check: "hold the bell upside down full of water, or put a bag tight over its cap for one cycle: \
                does it drip, or does it start with the bag on?",
        fix: "seal or replace the bell's cap",
    },
    Entry {
        cause: Cause::AirTubeBlocked,
        key: "air-tube-blocked",
        words: "the air tube is blocked or too thin",
        weight: 0.06,
        creeping: true,
        check: "pull the air tube's end out of the water at the end of a drain and blow through it: is it \
                blocked, or does the siphon break with a wider tube?",
        fix: "clear the tube or fit a wider one",
    },
    Entry {
        cause: Cause::OutletDrowned,
        key: "outlet-drowned",
        words: "the drain pipe ends under water (lengthened, or water standing over its end)",
        weight: 0.06,
        creeping: false,
        check: "look at the end of the drain pipe just before the siphon starts: is it under water?",
        fix: "cut the pipe so that it ends above the highest water",
    },
    Entry {
        cause: Cause::LineBlocked,
        key: "line-blocked",
        words: "the shared drain line is partly blocked",
        weight: 0.08,
        creeping: true,
        check: "open the line's upper end while a siphon runs: does water stand in it?",
        fix: "flush or rod the line from its upper end",
    },
    Entry {
        cause: Cause::TooLittleDrop,
        key: "too-little-drop",
        words: "the outlet lies higher than described: too little drop",
        weight: 0.05,
        creeping: false,
        check: "measure from the lip straight down to the end of the pipe: is it less than described?",
        fix: "lower the outlet to where the description has it",
    },
    Entry {
        cause: Cause::LipLow,
        key: "lip-low",
        words: "the lip is not level or has slid down",
        weight: 0.05,
        creeping: false,
        check: "lay a level on the lip and measure down to the bed's floor on two sides: is it lower than \
                described?",
        fix: "set the standpipe upright, at its height, and fix it there",
    },
    Entry {
        cause: Cause::TopOffHigh,
        key: "top-off-high",
        words: "the float valve stands too high and adds water every cycle",
        weight: 0.06,
        creeping: true,
        check: "shut the float valve's supply for a day: does the overflow end, or does the sump stay \
                lower?",
        fix: "set the float valve below the lowest level of the cycle",
    },
    Entry {
        cause: Cause::WaterLost,
        key: "water-lost",
        words: "water has been lost and not replaced (leak, splash, evaporation)",
        weight: 0.08,
        creeping: true,
        check: "stop the pump with every bed drained: does the sump stand lower than the start \
                level?",
        fix: "fill up to the start level described and look for the leak",
    },
    Entry {
        cause: Cause::TooMuchWater,
        key: "too-much-water",
        words: "there is too much water in the system",
        weight: 0.04,
        creeping: false,
        check: "stop the pump with every bed drained: does the sump stand higher than the start \
                level?",
        fix: "take water out down to the start level described",
    },
    Entry {
        cause: Cause::TimerShort,
        key: "timer-short",
        words: "the pump's timer runs it too short",
        weight: 0.04,
        creeping: false,
        check: "let the pump run through for two hours: does the bed work then?",
        fix: "set the timer's running time as described",
    },
];

impl Cause {
    /// All of them, in the order of the catalogue.
    pub fn all() -> impl Iterator<Item = Self> {
        CATALOGUE.iter().map(|entry| entry.cause)
    }

    /// What the catalogue says of it.
    pub fn entry(self) -> &'static Entry {
        CATALOGUE
            .iter()
            .find(|entry| entry.cause == self)
            .unwrap_or(&CATALOGUE[0])
    }

    /// The cause with this word.
    pub fn from_key(key: &str) -> Option<Self> {
        CATALOGUE
            .iter()
            .find(|entry| entry.key == key)
            .map(|entry| entry.cause)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_has_one_entry_and_is_found_by_its_word() {
        for cause in Cause::all() {
            assert_eq!(Cause::from_key(cause.entry().key), Some(cause));
            assert_eq!(CATALOGUE.iter().filter(|e| e.cause == cause).count(), 1);
            assert!(cause.entry().check.ends_with('?'));
            assert!(cause.entry().weight > 0.0);
        }
        assert_eq!(Cause::from_key("gremlins"), None);
    }
}
