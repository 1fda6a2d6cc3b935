//! Hatches over parts of a map.

use super::palette::Rgb;

use crate::simulation::Regime;
use crate::study::map::Question;
use crate::study::map::{Doubt, RegimeMap, Simulated};

use super::axis::Panel;
use super::map_kinds::{CLASSES, Hatch, UNBUILDABLE, is_doubt};
use super::map_zones::Zones;
use super::palette::{BLACK, GREY, SHORT, Stroke, WHITE};
use super::sheet::{Point, Sheet};

/// Distance between the lines of a hatch `[px]`.
pub(super) const PITCH: f64 = 9.0;
/// Steps in which a hatch looks where it is `[px]`.
const LOOK: f64 = 1.0;

/// Runs of a straight line, given point by point with what is there, over which that `holds`.
fn runs<T>(points: impl Iterator<Item = (Point, T)>, holds: impl Fn(T) -> bool) -> Vec<[Point; 2]> {
    let mut found: Vec<[Point; 2]> = Vec::new();
    let mut open = false;
    for (point, there) in points {
        if !holds(there) {
            open = false;
        } else if open && let Some(last) = found.last_mut() {
            last[1] = point;
        } else {
            found.push([point, point]);
            open = true;
        }
    }
    found
}

/// The lines of a hatch over a rectangle, `pitch` px apart, each as its points.
pub(super) fn hatch_lines(
    (left, top): Point,
    (right, bottom): Point,
    hatch: Hatch,
    pitch: f64,
) -> Vec<Vec<Point>> {
    let (width, height) = (right - left, bottom - top);
    let (lines, lean) = match hatch {
        Hatch::Upright => (width, 0.0),
        Hatch::Rising => (width + height, -1.0),
        Hatch::Falling => (width + height, 1.0),
    };
    let mut all = Vec::new();
    let mut k = 0.5 * pitch;
    while k < lines {
        // Where the line meets the top edge, or the top edge carried on.
        let start = match hatch {
            Hatch::Falling => k - height,
            _ => k,
        };
        let mut line = Vec::new();
        let mut down = 0.0;
        while down <= height {
            let x = start + lean * down;
            if (0.0..=width).contains(&x) {
                line.push((left + x, top + down));
            }
            down += LOOK;
        }
        all.push(line);
        k += pitch;
    }
    all
}

/// What a map says at any place of its panel, cut along the very lines that are drawn.
pub(super) struct Places<'a> {
    panel: &'a Panel,
    nominal: &'a Zones<'a>,
    /// Answers to [`Question::ALL`]: no, yes, none.
    answers: [Zones<'a>; 4],
}

/// Class of a place without an answer.
const NO_ANSWER: usize = 2;

/// Answers to one question, as classes: 0 no, 1 yes, [`NO_ANSWER`].
pub(super) fn answers(map: &RegimeMap, k: usize) -> Zones<'_> {
    let question = Question::ALL[k];
    Zones::new(map.plan.points, Some(&map.edges.ends[k]), |column, row| {
        question
            .answer(map.cell(column, row))
            .map_or(NO_ANSWER, usize::from)
    })
}

/// Whether there is an edge to draw between two such classes.
pub(super) fn both_answer(a: usize, b: usize) -> bool {
    a != NO_ANSWER && b != NO_ANSWER
}

impl<'a> Places<'a> {
    pub(super) fn new(panel: &'a Panel, map: &'a RegimeMap, nominal: &'a Zones<'a>) -> Self {
        Self {
            panel,
            nominal,
            answers: [0, 1, 2, 3].map(|k| answers(map, k)),
        }
    }

    /// Kind of the nominal regime.
    fn class(&self, at: Point) -> usize {
        self.nominal.class_at(self.panel, at)
    }

    /// What is in doubt there; nothing where there is no regime.
    fn doubt(&self, at: Point) -> Doubt {
        let Some(nominal) = CLASSES[self.class(at)].key else {
            return Doubt::default();
        };
        let [latest, may_not, may_start, never] =
            [0, 1, 2, 3].map(|k| self.answers[k].class_at(self.panel, at));
        // Any regime that answers as the corner does stands for it.
        let corner = |starts: usize, stays: usize| match (starts, stays) {
            (NO_ANSWER, _) | (_, NO_ANSWER) => Regime::Overflows,
            (0, _) => Regime::Dribbles,
            (_, 0) => Regime::Cycles,
            _ => Regime::RunsOn,
        };
        let regimes = [nominal, corner(latest, never), corner(may_start, may_not)];
        Simulated { regimes }.doubt()
    }
}

pub(super) fn hatch_doubt(sheet: &mut Sheet, places: &Places, which: usize, hatch: Hatch) {
    let panel = places.panel;
    let corners = ((panel.left, panel.top), (panel.right, panel.bottom));
    for line in hatch_lines(corners.0, corners.1, hatch, PITCH) {
        let tones: Vec<(Point, Option<bool>)> = line
            .into_iter()
            .map(|p| {
                let doubtful = is_doubt(places.doubt(p), which);
                (p, doubtful.then(|| is_dark(CLASSES[places.class(p)].fill)))
            })
            .collect();
        for (on_dark, color) in [(false, BLACK), (true, WHITE)] {
            for run in runs(tones.iter().copied(), |tone| tone == Some(on_dark)) {
                sheet.line(&run, Stroke::solid(color, 0.8));
            }
        }
    }
}

pub(super) fn hatch_unbuildable(sheet: &mut Sheet, places: &Places) {
    let panel = places.panel;
    let corners = ((panel.left, panel.top), (panel.right, panel.bottom));
    for line in hatch_lines(corners.0, corners.1, Hatch::Rising, 18.0) {
        let found = line.into_iter().map(|p| (p, places.class(p)));
        for run in runs(found, |class| class == UNBUILDABLE) {
            sheet.line(&run, Stroke::new(GREY, 0.8, SHORT));
        }
    }
}

fn is_dark(color: Rgb) -> bool {
    // Luma of ITU-R BT.601.
    0.299 * f64::from(color.0) + 0.587 * f64::from(color.1) + 0.114 * f64::from(color.2) < 125.0
}
