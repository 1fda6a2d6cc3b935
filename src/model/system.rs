//! The whole loop.

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{
    Bed, Coefficients, Dissolved, Fish, Incident, Pump, Settler, Source, Supply, Tank, Thresholds,
    TopOff,
};

/// Share of the supply's trunk that is left however far the beds come down.
const LEAST_TRUNK: f64 = 0.1;

/// A complete system, ready to simulate.
#[derive(Debug, Clone)]
pub struct System {
    /// What the owner calls it.
    pub title: String,
    /// How long to simulate.
    pub duration: Duration,
    /// Water at its temperature.
    pub water: Water,
    /// Elevation of the ceiling `[m]`.
    pub ceiling: Option<f64>,
    /// Lowest vessel.
    pub sump: Sump,
    /// Pump in the sump.
    pub pump: Pump,
    /// Pump to beds.
    pub supply: Supply,
    /// At least one bed.
    pub beds: Vec<Bed>,
    /// Shared drain line.
    pub drain_line: Option<DrainLine>,
    /// Fish tank beside the sump.
    pub tank: Option<Tank>,
    /// Settler between tank and sump, where its size is given.
    pub settler: Option<Settler>,
    /// Float valve in the sump.
    pub top_off: Option<TopOff>,
    /// Water lost to the air, all surfaces together `[m3/s]`.
    pub evaporation: f64,
    /// Water that runs into the sump all the time.
    pub sources: Vec<Source>,
    /// What is dissolved in the water.
    pub dissolved: Dissolved,
    /// Fish in the tank, or in a sump that holds them.
    pub fish: Option<Fish>,
    /// Incidents, in file order.
    pub incidents: Vec<Incident>,
    /// Soft coefficients with their bands.
    pub coefficients: Coefficients,
    /// Limits of the checks.
    pub thresholds: Thresholds,
}

impl System {
    /// What all sources together bring `[m3/s]`.
    pub fn sourced(&self) -> f64 {
        self.sources.iter().map(|source| source.flow).sum()
    }

    /// What the air takes beyond what the sources bring `[m3/s]`; below 0 where they bring more.
    pub fn net_loss(&self) -> f64 {
        self.evaporation - self.sourced()
    }

    /// Whether nothing but beds, pump and overflows moves water: a few cycles tell most of what comes.
    pub fn is_steady(&self) -> bool {
        self.is_steady_but_for_incidents() && self.incidents.is_empty()
    }

    /// The same were nothing to go wrong.
    pub fn is_steady_but_for_incidents(&self) -> bool {
        self.pump.schedule.is_none() && self.top_off.is_none() && self.net_loss() == 0.0
    }
}

impl System {
    /// Moves everything over the sump `by` `[m]` up, or down where that is negative: beds with
    /// inlets and outlets, bypass and drain line. The riser in the trunk grows or shrinks with
    /// it; sump, pump and fish tank stay.
    pub fn raise(&mut self, by: f64) {
        self.lengthen_riser(by);
        if let Some(bypass) = &mut self.supply.bypass {
            bypass.raise(by);
        }
        if let Some(line) = &mut self.drain_line {
            line.outlet += by;
        }
        for bed in &mut self.beds {
            bed.raise(by);
        }
    }

    /// Moves the sump with its water, overflow, pump and float valve `by` `[m]` up, or down where
    /// that is negative; the riser in the trunk shrinks or grows with it.
    pub fn raise_sump(&mut self, by: f64) {
        self.lengthen_riser(-by);
        let sump = &mut self.sump;
        sump.floor += by;
        sump.start_level += by;
        sump.overflow_level += by;
        self.pump.intake_level += by;
        if let Some(float) = &mut self.top_off {
            float.level += by;
        }
    }

    fn lengthen_riser(&mut self, by: f64) {
        let trunk = &mut self.supply.trunk;
        trunk.length = (trunk.length + by).max(LEAST_TRUNK * trunk.length);
    }

    /// Elevation of the lowest of the beds' rims `[m]`; infinite without a bed.
    pub fn lowest_rim(&self) -> f64 {
        let rims = self.beds.iter().map(Bed::rim_level);
        rims.fold(f64::INFINITY, f64::min)
    }

    /// Elevation of the highest of the beds' rims `[m]`; minus infinity without a bed.
    pub fn highest_rim(&self) -> f64 {
        let rims = self.beds.iter().map(Bed::rim_level);
        rims.fold(f64::NEG_INFINITY, f64::max)
    }
}

/// How long to simulate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Duration {
    /// Until the cycle repeats itself, at most this long `[s]`.
    UntilSettled {
        /// Limit `[s]`.
        at_most: f64,
    },
    /// Exactly this long `[s]`.
    Fixed(f64),
}

impl Duration {
    /// Longest time that is simulated `[s]`.
    pub fn at_most(self) -> f64 {
        match self {
            Self::UntilSettled { at_most } => at_most,
            Self::Fixed(seconds) => seconds,
        }
    }
}

/// The vessel that everything drains to.
#[derive(Debug, Clone)]
pub struct Sump {
    /// Inside shape of one vessel, measured from `floor`.
    pub shape: VesselShape,
    /// How many such vessels stand side by side, joined at the bottom so widely that they
    /// stand at one level; 1 to [`MOST_JOINED`].
    pub count: u32,
    /// Elevation of its inside bottom `[m]`.
    pub floor: f64,
    /// Water level at t = 0 `[m]`.
    pub start_level: f64,
    /// Elevation where it spills `[m]`.
    pub overflow_level: f64,
    /// Whether the fish live in it.
    pub holds_fish: bool,
    /// Whether pipes that go through its wall under the rim are sealed there.
    pub sealed_entries: bool,
    /// How pipes that end under its rim come in.
    pub entries: Entries,
}

/// How pipes that end under the sump's rim come in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Entries {
    /// Nobody has told.
    #[default]
    Untold,
    /// Over the rim, all that have the fall for it.
    OverRim,
    /// Through holes in its wall.
    Holes,
}

impl Entries {
    /// Those that can be told, with their words.
    pub const TOLD: [(&'static str, Self); 2] =
        [("over-rim", Self::OverRim), ("holes", Self::Holes)];
}

impl Sump {
    /// Elevation of the upper edge of its wall `[m]`.
    pub fn top(&self) -> f64 {
        self.floor + self.shape.depth()
    }

    /// Water in it at elevation `level` `[m3]`.
    pub fn volume_at(&self, level: f64) -> f64 {
        f64::from(self.count) * self.shape.volume(level - self.floor)
    }

    /// Elevation at which it holds `volume` `[m]`; its floor where there is none.
    pub fn level_of(&self, volume: f64) -> f64 {
        self.floor + self.shape.depth_at(volume / f64::from(self.count))
    }

    /// All its vessels as one shape.
    pub fn joined(&self) -> VesselShape {
        self.shape.joined(self.count)
    }
}

/// Most vessels that one sump is joined from.
pub const MOST_JOINED: u32 = 20;

/// Sloping pipe shared by several siphons.
#[derive(Debug, Clone)]
pub struct DrainLine {
    /// Bore, length, roughness and the summed K of its fittings.
    pub run: PipeRun,
    /// Fall per length `[-]`.
    pub slope: f64,
    /// Elevation of the invert at its lower end `[m]`.
    pub outlet: f64,
    /// Whether air can follow the water.
    pub vented: bool,
}

impl DrainLine {
    /// Invert elevation at distance `x` from the outlet `[m]`.
    pub fn invert(&self, x: f64) -> f64 {
        self.outlet + self.slope * x
    }

    /// Where pipes join a line of `length` `[m]`, one after the other as their beds are listed: those that are
    /// `told`, by their distance from its outlet, and the others evenly between them, up to its upper end. The first
    /// is the lowest, or the highest where those that are told say so.
    ///
    /// # Example
    /// ```
    /// use ebbwright::model::DrainLine;
    /// assert_eq!(DrainLine::junctions(&[None, None], 4.0), [2.0, 4.0]);
    /// assert_eq!(DrainLine::junctions(&[Some(4.0), None, Some(1.0)], 4.0), [4.0, 2.5, 1.0]);
    /// ```
    pub fn junctions(told: &[Option<f64>], length: f64) -> Vec<f64> {
        let count = told.len();
        let evenly = |k: usize| length * (k as f64 + 1.0) / count as f64;
        let off = |place: &dyn Fn(usize) -> f64| -> f64 {
            let each = told.iter().enumerate();
            each.filter_map(|(k, at)| Some((at.as_ref()? - place(k)).powi(2)))
                .sum()
        };
        let upward = off(&evenly) <= off(&|k| evenly(count - 1 - k));
        let turned = |k: usize| if upward { k } else { count - 1 - k };
        // Places in the order in which the line passes them, each with its number; the outlet is one before the first.
        let mut known = vec![(0.0, 0.0)];
        let in_order = (0..count).map(|k| (k as f64 + 1.0, told[turned(k)]));
        known.extend(in_order.filter_map(|(number, at)| Some((number, at?.min(length)))));
        if told
            .get(turned(count.saturating_sub(1)))
            .is_none_or(Option::is_none)
        {
            known.push((count as f64, length));
        }
        let place = |number: f64| {
            let next = known.partition_point(|&(of, _)| of < number);
            let ((after, end), (before, begin)) = (known[next], known[next.saturating_sub(1)]);
            let share = (number - before) / (after - before).max(1.0);
            begin + (end - begin) * share
        };
        (0..count)
            .map(|k| told[k].unwrap_or_else(|| place(turned(k) as f64 + 1.0)))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::DrainLine;

    // What nobody told is spread between what is told, in the order in which the line passes the beds.
    #[test]
    fn junctions_that_nobody_told_lie_evenly_between_those_that_are() {
        let at = |told: &[Option<f64>]| DrainLine::junctions(told, 4.0);
        assert_eq!(at(&[]), Vec::<f64>::new());
        assert_eq!(at(&[None]), [4.0], "alone at the upper end");
        assert_eq!(at(&[None, Some(3.0)]), [1.5, 3.0], "up to the last told");
        assert_eq!(
            at(&[Some(1.0), None, None]),
            [1.0, 2.5, 4.0],
            "up to the end"
        );
        // The first farthest from the outlet: the line passes them the other way.
        assert_eq!(at(&[Some(3.5), None]), [3.5, 1.75]);
        assert_eq!(at(&[None, None, Some(0.5)]), [4.0, 2.25, 0.5]);
        // Told over the line's end it is a fault of its own, and moves no other past it.
        assert_eq!(at(&[None, Some(9.0)]), [2.0, 9.0]);
    }
}
