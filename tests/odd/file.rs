//! An odd but valid scenario as text, from a throw of dice. All systems are invented.

use crate::dice::{Dice, MOST_BEDS};
use crate::file_bed::{BedPlan, bed};
use crate::file_loop::{drain_line, events, pump, rest, sump, tank};
use std::fmt::Write as _;

/// A length, to the tenth of a millimetre as it is written.
pub fn rounded(metres: f64) -> f64 {
    (1e4 * metres).round() / 1e4
}

pub fn m(metres: f64) -> String {
    format!("\"{:.4} m\"", rounded(metres))
}

pub fn flow(cubic_metres_per_second: f64) -> String {
    format!("\"{:.4} L/min\"", 6e4 * cubic_metres_per_second)
}

pub fn seconds(time: f64) -> String {
    format!("\"{time:.1} s\"")
}

/// How the beds get their water.
#[derive(Clone, Copy, PartialEq)]
pub enum Feed {
    /// Shares of a steady flow.
    Shares,
    /// Measured inflows.
    Measured,
    /// Pipes on a pump of steady flow.
    SteadyPipes,
    /// Pipes on a pump with a curve.
    Pipes,
}

/// The shared drain line, elevations of its invert.
#[derive(Clone, Copy)]
pub struct Line {
    pub outlet: f64,
    pub slope: f64,
    pub length: f64,
}

impl Line {
    pub fn invert(&self, at: f64) -> f64 {
        self.outlet + self.slope * at
    }
}

/// What parts must know of the whole.
pub struct Whole {
    pub beds: Vec<BedPlan>,
    pub feed: Feed,
    pub line: Option<Line>,
    pub has_tank: bool,
    /// All inflows together, as wanted `[m3/s]`.
    pub flow: f64,
    pub hours: f64,
}

/// Time to simulate `[h]`: from minutes to hundreds of hours, but no more floods than
/// a test can wait for.
fn hours(dice: &mut Dice<'_>, beds: &[BedPlan], timer: f64) -> f64 {
    let wanted = dice.ratio(3.0, 0.1, 500.0);
    let floods: f64 = beds.iter().map(|bed| bed.flow / bed.flood).sum();
    let most = MOST_FLOODS / (floods + 1.0 / timer) / 3600.0;
    (10.0 * wanted.min(most)).round().max(1.0) / 10.0
}

const MOST_FLOODS: f64 = 150.0;

/// The scenario that this throw stands for.
pub fn scenario(throw: &[f64]) -> String {
    let mut dice = Dice::of_system(throw);
    let count = [1, 2, 1, 3, 1, 4, 5, MOST_BEDS][dice.one_of(8)];
    let feed = [
        Feed::Shares,
        Feed::Measured,
        Feed::SteadyPipes,
        Feed::Pipes,
        Feed::Pipes,
    ][dice.one_of(5)];
    let line = drain_line(&mut dice);
    let beds: Vec<BedPlan> = (0..count)
        .map(|i| {
            bed(
                &mut Dice::of_bed(throw, i),
                i,
                feed,
                line.as_ref().map(|l| l.0),
            )
        })
        .collect();
    let timer = dice
        .chance(0.25)
        .then(|| (dice.ratio(900.0, 20.0, 2e4), dice.ratio(900.0, 20.0, 2e4)));
    let timer_text = timer.map_or(String::new(), |(on, off)| {
        format!(
            "schedule = {{ on = {}, off = {} }}\n",
            seconds(on),
            seconds(off)
        )
    });
    let round = timer.map_or(f64::INFINITY, |(on, off)| on + off);
    let hours = hours(&mut dice, &beds, round);
    let has_tank = dice.chance(0.3);
    let whole = Whole {
        flow: beds.iter().map(|bed| bed.flow).sum(),
        beds,
        feed,
        line: line.as_ref().map(|l| l.0),
        has_tank,
        hours,
    };
    let mut text = String::from("# An invented system, drawn at random.\n");
    let settles = dice.chance(0.1) && count == 1;
    if !settles {
        let _ = writeln!(text, "hours = {hours:.1}");
    }
    let (sump, sump_overflow) = sump(&mut dice, &whole);
    text += &sump;
    text += &pump(&mut dice, &whole, &timer_text);
    let taken = if dice.chance(0.3) {
        dice.even(1.0, 0.2, 1.0)
    } else {
        1.0
    };
    for bed in &whole.beds {
        let share = format!("{:.5}", taken * bed.flow / whole.flow);
        text += &bed.text.replace("SHARE", &share);
    }
    if let Some((_, line)) = &line {
        text += line;
    }
    if has_tank {
        text += &tank(&mut dice, &whole);
    }
    text += &rest(&mut dice, sump_overflow);
    text += &events(&mut dice, &whole);
    text
}
