//! Why a bed has no length.

use crate::assessment::Check;
use crate::simulation::Regime;

/// What lets air into the bell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    /// The slots' crown.
    Slots,
    /// The air tube's mouth.
    AirTube,
}

/// Why no standpipe leaves the wanted dry layer in a bed that cycles. Heights
/// are above the bed's floor `[m]`.
#[derive(Debug, Clone)]
pub enum Refusal {
    /// The wanted layer, the errors of level and the water over the lip need
    /// more media than there is.
    MediaTooShallow {
        /// Depth of media now.
        depth: f64,
        /// Depth that the shortest standpipe needs.
        needed: f64,
        /// How much higher the wall must be to hold it; zero: it is high enough.
        wall: f64,
    },
    /// The lip would come to or below the opening that breaks the siphon.
    LipBelowOpening {
        /// Where the lip would have to be.
        lip: f64,
        /// Where the opening is.
        opening: f64,
        /// Which.
        kind: Opening,
        /// Where the opening may be at most for such a lip; may be negative.
        opening_at_most: f64,
        /// Media that would have to be added.
        more_media: f64,
        /// How much higher the wall must be to hold it; zero: it is high enough.
        wall: f64,
    },
    /// With a dead siphon the bed would come too near its rim.
    RimTooLow {
        /// The length that leaves the wanted dry layer.
        length: f64,
        /// Wall left above the water while the dead siphon's pipe takes the inflow.
        freeboard: f64,
        /// Wall wanted.
        wanted: f64,
        /// Longest standpipe that would leave it, where there is one.
        fits: Option<f64>,
    },
    /// The bed begins with water that already takes up the dry layer.
    StartLevelTooHigh {
        /// Where it begins.
        level: f64,
        /// Where it may begin at most.
        most: f64,
    },
    /// At the length that leaves the wanted dry layer, or at the shortest there is
    /// where none does, it does not cycle.
    NotCycling {
        /// What it does instead.
        regime: Regime,
        /// That length.
        length: f64,
        /// Whether it leaves the wanted layer.
        leaves_layer: bool,
        /// The check that says why, where one does.
        check: Option<Box<Check>>,
        /// A shorter standpipe with which it would cycle, where there is one.
        shorter: Option<f64>,
    },
    /// The simulated time ends before the siphon has broken once.
    TooShortRun {
        /// Simulated time `[s]`.
        simulated: f64,
    },
    /// The peak jumps with the timing of the other beds, so that no set of
    /// lengths leaves the wanted layer in every one.
    Unsettled {
        /// The length at which the search was given up.
        length: f64,
        /// Dry layer there.
        dry_layer: f64,
    },
    /// The search costs more than it may.
    TooMuch {
        /// Simulations until it was given up.
        simulations: usize,
    },
}

impl Refusal {
    /// Fixed key in JSON.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::MediaTooShallow { .. } => "media-too-shallow",
            Self::LipBelowOpening { .. } => "lip-below-opening",
            Self::RimTooLow { .. } => "rim-too-low",
            Self::StartLevelTooHigh { .. } => "start-level-too-high",
            Self::NotCycling { regime, .. } => match regime {
                Regime::Dribbles => "dribbles",
                Regime::Stalls => "stalls",
                Regime::RunsOn => "runs-on",
                Regime::Overflows => "overflows",
                Regime::NeverFills => "never-fills",
                Regime::Unfinished => "unfinished",
                Regime::Cycles => "never-breaks",
            },
            Self::TooShortRun { .. } => "too-short-run",
            Self::Unsettled { .. } => "unsettled",
            Self::TooMuch { .. } => "too-much",
        }
    }
}
