//! Parts that switch to and fro: held between their two modes.
//!
//! Where both modes of a part drive its level back to the point at which it switches, the
//! level slides along that point (A. F. Filippov, Differential Equations with Discontinuous
//! Righthand Sides, 1988): the flow is the mean of both that keeps the level, or a formula
//! that holds in both modes. What a part really does there is faster than anything this
//! model resolves.

use crate::model::System;
use crate::units::HOUR;
use std::collections::VecDeque;

/// A part that switches to and fro and is held where it does. Numbers are indices of beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Hang {
    /// The pump at its cover: it delivers what comes in.
    Pump,
    /// A siphon between running on and full bore: it gives what comes in.
    Siphon(usize),
    /// A siphon at its lip: it spills, and does not prime.
    Lip(usize),
    /// A bed at its wall.
    Rim(usize),
    /// A bed at the end of its inlet.
    Inlet(usize),
    /// The sump at its overflow.
    Sump,
    /// The sump, all but empty.
    EmptySump,
    /// The fish tank at its wall.
    Tank,
    /// The fish tank at the end of its inlet.
    TankInlet,
    /// The float valve.
    Float,
    /// The drain line between part full and full.
    Line,
}

/// A part is held that switches this often ...
const SWITCHES: usize = 24;
/// ... within this time `[s]`; a pump at its cover, which refills its recovery height ...
const WINDOW: f64 = 20.0;
/// ... within this `[s]`.
const PUMP_WINDOW: f64 = 240.0;
/// A siphon that starts and breaks every few seconds, as where gravel starves it, pulses for
/// real: it is held only after this many switches, two a pulse. Each pulse is felt in every other
/// bed of a line ...
const PULSES: usize = 120;
/// ... each window of [`SWITCHES`] of which passed within this `[s]`, a pulse in under 10 s. Once
/// held, it is held again as soon as it pulses.
const PULSE_WINDOW: f64 = 80.0;
/// What is held for a time only is tried anew after this long `[s]`, twice that the next
/// time, and so on up to [`LONGEST`].
const SHORTEST: f64 = 60.0;
const LONGEST: f64 = HOUR;
/// A part held again sooner than this after it was let go is held harder `[s]`.
const AGAIN: f64 = 600.0;
/// Most doublings of time or margin.
const MOST_DOUBLINGS: u8 = 7;
/// Levels over which a part that is held by its level goes from one mode to the other `[m]`.
const BAND: f64 = 1e-4;
/// Share by which an inflow has to leave the range in which a held siphon gives just that.
const MARGIN: f64 = 0.02;

/// How often a part has switched of late, and how it has been held.
#[derive(Debug, Clone)]
pub(super) struct Switches {
    pub(super) part: Hang,
    times: VecDeque<f64>,
    /// Held until then `[s]`; infinite where a flow decides.
    pub(super) until: Option<f64>,
    pub(super) let_go: f64,
    doublings: u8,
    /// Switches on end, not far apart.
    pulses: usize,
}

/// Which parts are held, for up to `B` beds.
#[derive(Debug, Clone)]
pub(super) struct Held<const B: usize> {
    pub(super) pump: bool,
    /// At the lip, or running on, with the doublings of its margin.
    pub(super) siphons: [Option<u8>; B],
    pub(super) rims: [bool; B],
    pub(super) inlets: [bool; B],
    pub(super) sump: bool,
    pub(super) empty_sump: bool,
    pub(super) tank: bool,
    pub(super) tank_inlet: bool,
    pub(super) float: bool,
    pub(super) line: bool,
}

impl<const B: usize> Held<B> {
    pub(super) const NOTHING: Self = Self {
        pump: false,
        siphons: [None; B],
        rims: [false; B],
        inlets: [false; B],
        sump: false,
        empty_sump: false,
        tank: false,
        tank_inlet: false,
        float: false,
        line: false,
    };
}

impl Hang {
    /// What happens, in words, with the bed's name.
    pub fn in_words(self, system: &System) -> String {
        let bed = |i: usize| system.beds.get(i).map_or("?", |bed| bed.name.as_str());
        match self {
            Self::Pump => "the pump hangs at its cover and delivers what comes in".to_owned(),
            Self::Siphon(i) => format!(
                "{} hangs between running on and full bore and gives what comes in",
                bed(i)
            ),
            Self::Lip(i) => format!("{} hangs at its lip", bed(i)),
            Self::Rim(i) => format!("{} hangs at its wall", bed(i)),
            Self::Inlet(i) => format!("{} hangs at the end of its inlet", bed(i)),
            Self::Sump => "the sump hangs at its overflow".to_owned(),
            Self::EmptySump => "the sump hangs between empty and wet".to_owned(),
            Self::Tank => "the tank hangs at its wall".to_owned(),
            Self::TankInlet => "the tank hangs at the end of its inlet".to_owned(),
            Self::Float => "the float valve hangs between two of its positions".to_owned(),
            Self::Line => "the drain line hangs between part full and full".to_owned(),
        }
    }

    pub(super) fn window(self) -> f64 {
        match self {
            Self::Pump => PUMP_WINDOW,
            _ => WINDOW,
        }
    }
}

impl Switches {
    pub(super) fn new(part: Hang) -> Self {
        Self {
            part,
            times: VecDeque::with_capacity(SWITCHES),
            until: None,
            let_go: f64::NEG_INFINITY,
            doublings: 0,
            pulses: 0,
        }
    }

    /// Takes in a switch at `t` `[s]`; whether the part switches so often that it is to be held.
    pub(super) fn often(&mut self, t: f64) -> bool {
        if self.times.len() >= SWITCHES {
            self.times.pop_front();
        }
        self.times.push_back(t);
        let passed = match self.times.front() {
            Some(first) if self.times.len() >= SWITCHES => t - first,
            _ => return false,
        };
        let pulses = passed < PULSE_WINDOW;
        self.pulses = if pulses { self.pulses + 1 } else { 0 };
        let held_before = pulses && t - self.let_go < AGAIN;
        passed < self.part.window() || held_before || self.pulses >= PULSES
    }

    /// Counts from nought, and says how often the time of holding is doubled: once more where the
    /// part was let go a short while ago.
    pub(super) fn begin_again(&mut self, t: f64) -> u8 {
        self.times.clear();
        self.doublings = if t - self.let_go < AGAIN {
            (self.doublings + 1).min(MOST_DOUBLINGS)
        } else {
            0
        };
        self.doublings
    }

    /// Holds the part from `t` `[s]` on: for a time, or until a flow decides.
    pub(super) fn hold_from(&mut self, t: f64) {
        let time = (SHORTEST * f64::from(1_u32 << self.doublings)).min(LONGEST);
        let flow_decides = matches!(self.part, Hang::Pump | Hang::Siphon(_));
        self.until = Some(if flow_decides {
            f64::INFINITY
        } else {
            t + time
        });
    }
}

/// Share by which a siphon held with so many doublings has to be off its range.
pub(super) fn margin(doublings: u8) -> f64 {
    MARGIN * f64::from(1_u32 << doublings.min(MOST_DOUBLINGS))
}

/// Share of a gain that goes over a wall at `top` held at `level`: all of it at the top,
/// none a tenth of a millimetre below, so that the level comes to rest between.
pub(super) fn over_wall(level: f64, top: f64) -> f64 {
    ((level - (top - BAND)) / BAND).clamp(0.0, 1.0)
}

/// Share of what could run back that does so through a pipe held with its end at `end` and water at
/// `level`: all of it a tenth of a millimetre above, and none at the end, where it draws air.
///
/// The cube: it begins without a kink, and of what a wide bore could pass the little that comes in
/// takes some hundredths of a millimetre and not some millionths.
pub(super) fn drawn_from(level: f64, end: f64) -> f64 {
    let covered = ((level - end) / BAND).clamp(0.0, 1.0);
    covered * covered * covered
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_of_a_gain_goes_over_the_wall_s_top_and_none_a_tenth_of_a_millimetre_below() {
        for (below, share) in [
            (-0.01, 1.0),
            (0.0, 1.0),
            (5e-5, 0.5),
            (1e-4, 0.0),
            (0.3, 0.0),
        ] {
            let found = over_wall(1.2 - below, 1.2);
            assert!((found - share).abs() < 1e-9, "{below}: {found}");
            let found = drawn_from(1.2 - below, 1.2 - 1e-4);
            assert!(
                (found - share * share * share).abs() < 1e-9,
                "{below}: {found}"
            );
        }
    }
}
