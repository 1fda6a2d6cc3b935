//! Why a bed has no length.

use crate::simulation::Regime;
use crate::study::cut::Step;
use crate::units::UnitSystem;

/// Slots or mouth lower than this cannot be made cleanly; common practice, no source `[m]`.
const LEAST_OPENING: f64 = 0.010;

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
#[derive(Debug, Clone, PartialEq)]
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
        /// Why, as the checks say it; empty where no check says it.
        because: String,
        /// What to change first, as the checks say it; may be empty.
        first_fix: String,
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
        }
    }

    /// Why, in one or two sentences with figures in `units`.
    pub fn because(&self, units: UnitSystem) -> String {
        let length = |metres: f64| units.length(metres);
        match self {
            Self::MediaTooShallow { depth, needed, .. } => format!(
                "The gravel is too shallow: {} deep, and even the shortest standpipe needs {}.",
                length(*depth),
                length(*needed)
            ),
            Self::LipBelowOpening {
                lip, opening, kind, ..
            } => format!(
                "The lip would have to be at {} above the bed's floor, where {} at {} already \
                 lets air in.",
                length(*lip),
                match kind {
                    Opening::Slots => "the crown of the slots",
                    Opening::AirTube => "the mouth of the air tube",
                },
                length(*opening)
            ),
            Self::RimTooLow {
                length: cut,
                freeboard,
                wanted,
                ..
            } => {
                let stands = if *freeboard >= 0.0 {
                    format!("leave only {} of wall over the water", length(*freeboard))
                } else {
                    "send the water over the wall".to_owned()
                };
                format!(
                    "The rim is too low: with the {} that leave the wanted dry layer, a dead \
                     siphon would {stands}; {} is wanted.",
                    length(*cut),
                    length(*wanted)
                )
            }
            Self::StartLevelTooHigh { level, most } => format!(
                "The bed begins with its water {} above its floor; with the wanted dry layer it \
                 may stand at {} at most.",
                length(*level),
                length(*most)
            ),
            Self::NotCycling {
                regime,
                length: cut,
                leaves_layer,
                because,
                ..
            } => {
                let what = match regime {
                    Regime::Dribbles => "its siphon never starts, it dribbles",
                    Regime::Stalls => "its siphon stalls",
                    Regime::RunsOn => "its siphon runs on and never breaks",
                    Regime::Overflows => "it overflows",
                    Regime::NeverFills => "its water never reaches the lip",
                    Regime::Unfinished => "it completes no cycle",
                    Regime::Cycles => "its siphon never breaks",
                };
                let cut = length(*cut);
                let with = if *leaves_layer {
                    format!("With {cut}, the length for the wanted dry layer,")
                } else {
                    format!("Even with a standpipe of only {cut}")
                };
                format!("{with} {what}. {because}").trim_end().to_owned()
            }
            Self::TooShortRun { simulated } => format!(
                "The simulated {} are over before its siphon has broken once.",
                units.time(*simulated)
            ),
            Self::Unsettled {
                length: cut,
                dry_layer,
            } => format!(
                "Its highest water jumps with the timing of the other beds; the search was given \
                 up at {}, which leaves {} of dry gravel.",
                length(*cut),
                length(*dry_layer)
            ),
        }
    }

    /// What to change first, with its amount; empty where nothing is known to help.
    pub fn first_fix(&self, units: UnitSystem) -> String {
        let step = Step::of(units);
        let (up, down) = (
            |m: f64| units.length(step.up(m)),
            |m: f64| units.length(step.down(m)),
        );
        let higher = |wall: f64| {
            if wall > 0.0 {
                format!(" and build its wall {} higher", up(wall))
            } else {
                String::new()
            }
        };
        match self {
            Self::MediaTooShallow {
                depth,
                needed,
                wall,
            } => {
                format!("Add {} of gravel{}.", up(needed - depth), higher(*wall))
            }
            Self::LipBelowOpening {
                kind,
                opening_at_most,
                more_media,
                wall,
                ..
            } => {
                let gravel = format!("dd {} of gravel{}.", up(*more_media), higher(*wall));
                let most = down(*opening_at_most);
                match kind {
                    _ if *opening_at_most < LEAST_OPENING => format!("A{gravel}"),
                    Opening::AirTube => {
                        format!("Let the air tube end {most} above the bed's floor or a{gravel}")
                    }
                    Opening::Slots => format!("Make the slots {most} high or a{gravel}"),
                }
            }
            Self::RimTooLow {
                freeboard,
                wanted,
                fits,
                ..
            } => {
                let wall = format!("uild its wall {} higher", up(wanted - freeboard));
                match fits {
                    Some(fits) => format!(
                        "Cut it to {}, which leaves more dry gravel than wanted, or b{wall}.",
                        down(*fits)
                    ),
                    None => format!("B{wall}, or throttle its inflow."),
                }
            }
            Self::StartLevelTooHigh { most, .. } => {
                format!(
                    "Begin with its water at {} above its floor or lower.",
                    down(*most)
                )
            }
            Self::NotCycling {
                first_fix, shorter, ..
            } => {
                let mut text = first_fix.clone();
                if let Some(shorter) = shorter {
                    if !text.is_empty() {
                        text.push(' ');
                    }
                    text.push_str(&format!(
                        "With a standpipe of {} it would cycle, with more dry gravel than wanted.",
                        down(*shorter)
                    ));
                }
                text
            }
            Self::TooShortRun { .. } => "Simulate longer: raise hours in the scenario.".to_owned(),
            Self::Unsettled { .. } => "Ask for a dry layer some millimetres thicker, or give the \
                 beds' siphons outlets that do not drown one another."
                .to_owned(),
        }
    }
}
