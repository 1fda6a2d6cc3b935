//! What a map tells apart, and how each is drawn.

use super::palette::Rgb;

use crate::simulation::Regime;
use crate::study::map::Question;
use crate::study::map::{Doubt, MapPoint};

use super::palette::{BLACK, DASH_DOT, DOTS, LONG, Stroke, VERMILLION, WATER_HIGH, WHITE};

/// Lines between nominal regimes.
pub(super) const NOMINAL: Stroke = Stroke::solid(BLACK, 1.2);
/// Lines at the ends of the bands, in the order of [`Question::ALL`], with their meaning.
pub(super) const ENDS: [(Question, Stroke, &str); 4] = [
    (
        Question::StartsForCertain,
        Stroke::solid(BLACK, 3.0),
        "end of the start band: on the side away from \"dribbles\" it starts for certain",
    ),
    (
        Question::MayNotBreak,
        Stroke::new(BLACK, 3.0, LONG),
        "end of the break band: on the side away from \"runs on\" and \"stalls\" it breaks for \
         certain",
    ),
    (
        Question::MayStart,
        Stroke::new(BLACK, 1.6, DOTS),
        "other end of the start band: beyond it it certainly does not start",
    ),
    (
        Question::NeverBreaks,
        Stroke::new(BLACK, 1.6, DASH_DOT),
        "other end of the break band: beyond it it certainly does not break",
    ),
];

/// Classes of a cell: the nominal regime, or none.
pub(super) const CLASSES: [Class; 8] = [
    Class {
        key: Some(Regime::Cycles),
        fill: WATER_HIGH,
        name: "cycles",
        means: "floods, starts, empties, breaks and fills again",
    },
    Class {
        key: Some(Regime::Dribbles),
        fill: Rgb(244, 211, 133),
        name: "dribbles",
        means: "trickles over the lip; the siphon never starts",
    },
    Class {
        key: Some(Regime::NeverFills),
        fill: Rgb(178, 178, 178),
        name: "never fills",
        means: "the water never reaches the lip",
    },
    Class {
        key: Some(Regime::RunsOn),
        fill: Rgb(206, 130, 172),
        name: "runs on",
        means: "empties, then draws air and water and never refills",
    },
    Class {
        key: Some(Regime::Overflows),
        fill: VERMILLION,
        name: "overflows",
        means: "water goes over the wall",
    },
    Class {
        key: Some(Regime::Stalls),
        fill: Rgb(0, 84, 136),
        name: "stalls",
        means: "runs full and never gets down to its break level",
    },
    Class {
        key: None,
        fill: WHITE,
        name: "cannot be built",
        means: "the parts do not fit each other",
    },
    Class {
        key: None,
        fill: Rgb(96, 96, 96),
        name: "no answer",
        means: "the simulation gave up",
    },
];
pub(super) const UNBUILDABLE: usize = 6;
pub(super) const FAILED: usize = 7;

pub(super) struct Class {
    pub(super) key: Option<Regime>,
    pub(super) fill: Rgb,
    pub(super) name: &'static str,
    pub(super) means: &'static str,
}

/// Kinds of doubt, each with the direction of its hatch.
pub(super) const DOUBTS: [(Hatch, &str); 3] = [
    (Hatch::Rising, "the bands leave open whether it starts"),
    (Hatch::Falling, "the bands leave open whether it breaks"),
    (Hatch::Upright, "the bands leave open whether it spills"),
];

pub(super) fn class(point: &MapPoint) -> usize {
    match point {
        MapPoint::Simulated(found) => CLASSES
            .iter()
            .position(|class| class.key == Some(found.nominal()))
            .unwrap_or(FAILED),
        MapPoint::Unbuildable(_) => UNBUILDABLE,
        MapPoint::Failed(_) => FAILED,
    }
}

fn doubt(point: &MapPoint) -> Doubt {
    match point {
        MapPoint::Simulated(found) => found.doubt(),
        _ => Doubt::default(),
    }
}

pub(super) fn certain(point: &MapPoint) -> bool {
    matches!(point, MapPoint::Simulated(found) if found.certainly_cycles())
}

pub(super) fn has_doubt(point: &MapPoint, which: usize) -> bool {
    is_doubt(doubt(point), which)
}

/// Whether `doubt` is of one of the kinds of [`DOUBTS`].
pub(super) fn is_doubt(doubt: Doubt, which: usize) -> bool {
    [doubt.start, doubt.stop, doubt.spill][which]
}

/// Direction of a hatch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hatch {
    Rising,
    Falling,
    Upright,
}
