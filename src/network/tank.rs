//! A fish tank: its overflow, and beds fed from it by gravity.

use crate::hydraulics::constants::GRAVITY;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::hydraulics::weir::lip_flow;
use crate::model::{Coefficient, CoefficientValues, Inlet, System, TankOutlet};
use crate::numerics::root::brent;

/// The fish tank of a system at one moment.
///
/// Its overflow is the lip of an upright pipe: weir first, drowned lip then. What
/// goes to the beds is held back where their branches cannot take it from the
/// tank's level.
#[derive(Debug, Clone)]
pub struct TankLaw {
    shape: VesselShape,
    floor: f64,
    /// Elevation of its overflow `[m]`.
    pub overflow_level: f64,
    /// Elevation of its wall `[m]`.
    pub rim: f64,
    overflow_bore: f64,
    lip_weir: f64,
    lip_orifice: f64,
    outlet: TankOutlet,
    beds: Vec<GravityBranch>,
    /// Whether its overflow ends in pipes to beds, shut or not.
    piped: bool,
    shares: Vec<(usize, f64)>,
    count: usize,
    water: Water,
}

#[derive(Debug, Clone)]
struct GravityBranch {
    bed: usize,
    level: f64,
    run: PipeRun,
}

impl TankLaw {
    /// The tank of `system`, if it has one.
    pub fn new(system: &System, values: &CoefficientValues) -> Option<Self> {
        let tank = system.tank.as_ref()?;
        let mut law = Self {
            shape: tank.shape.clone(),
            floor: tank.floor,
            overflow_level: tank.overflow_level,
            rim: tank.top(),
            overflow_bore: tank.overflow_bore,
            lip_weir: values.get(Coefficient::LipWeir),
            lip_orifice: values.get(Coefficient::LipOrifice),
            outlet: tank.overflows_to,
            beds: Vec::new(),
            piped: false,
            shares: Vec::new(),
            count: system.beds.len(),
            water: system.water,
        };
        if law.feeds_beds() {
            for (i, bed) in system.beds.iter().enumerate() {
                match &bed.inlet {
                    Inlet::Piped(branch) => {
                        law.piped = true;
                        if let Some(run) = branch.resistance() {
                            law.beds.push(GravityBranch {
                                bed: i,
                                level: branch.level,
                                run,
                            });
                        }
                    }
                    Inlet::Share(share) => law.shares.push((i, *share)),
                    Inlet::Measured(_) => {}
                }
            }
        }
        Some(law)
    }

    /// Whether its overflow feeds the beds.
    pub fn feeds_beds(&self) -> bool {
        self.outlet == TankOutlet::Beds
    }

    /// How many beds the system has, fed from here or not.
    pub fn beds(&self) -> usize {
        self.count
    }

    /// Shuts the inlet of bed `i`.
    pub fn shut(&mut self, i: usize) {
        self.beds.retain(|branch| branch.bed != i);
        self.shares.retain(|share| share.0 != i);
    }

    /// Level `[m]` at which it holds `volume` `[m3]`.
    pub fn level(&self, volume: f64) -> f64 {
        self.floor + self.shape.depth_at(volume.max(0.0))
    }

    /// Water it holds `[m3]` at `level` `[m]`.
    pub fn volume(&self, level: f64) -> f64 {
        self.shape.volume(level - self.floor)
    }

    /// Free surface `[m2]` at `level` `[m]`.
    pub fn area(&self, level: f64) -> f64 {
        self.shape.area(level - self.floor)
    }

    /// Flow over its overflow's lip `[m3/s]` at `level` `[m]` where nothing holds it back.
    pub fn free_overflow(&self, level: f64) -> f64 {
        let bore = self.overflow_bore;
        let head = level - self.overflow_level;
        lip_flow(bore, bore, head, self.lip_weir, self.lip_orifice)
    }

    /// Level at which the lip drowns `[m]`: there the free overflow has a kink.
    pub fn drowning_level(&self) -> f64 {
        let mouth = self.lip_orifice * self.overflow_bore * (2.0 * GRAVITY).sqrt();
        self.overflow_level + mouth / (4.0 * self.lip_weir)
    }

    /// Level above which the branches cannot take all that comes over the lip `[m]`;
    /// the wall's where they always can.
    pub fn backing_up_level(&self) -> f64 {
        let spare =
            |level: f64| self.taken(level, &|_| f64::NEG_INFINITY) - self.free_overflow(level);
        let (low, high) = (self.overflow_level, self.rim);
        if spare(high) >= 0.0 {
            return high;
        }
        brent(spare, low + 1e-9, high, 0.0).unwrap_or(low)
    }

    /// Whether its overflow is led to beds through pipes.
    pub fn has_branches(&self) -> bool {
        !self.beds.is_empty()
    }

    /// Whether bed `i` gets its water from the tank.
    pub fn feeds(&self, i: usize) -> bool {
        self.beds.iter().any(|branch| branch.bed == i) || self.shares.iter().any(|s| s.0 == i)
    }

    /// Flow over its overflow `[m3/s]` at `level` `[m]`, with what each bed gets of it
    /// written to `beds`; of what is shared out, what no bed takes goes to the sump.
    /// Inlets under water are held back by `bed_level` `[m]`; nothing leaves through pipes
    /// that are all shut.
    pub fn overflow(&self, level: f64, bed_level: &dyn Fn(usize) -> f64, beds: &mut [f64]) -> f64 {
        for branch in &self.beds {
            beds[branch.bed] = 0.0;
        }
        for &(bed, _) in &self.shares {
            beds[bed] = 0.0;
        }
        if level <= self.overflow_level {
            return 0.0;
        }
        let free = self.free_overflow(level);
        if !self.feeds_beds() {
            return free;
        }
        for &(bed, share) in &self.shares {
            beds[bed] = share * free;
        }
        if !self.piped {
            return free;
        }
        let most = self.taken(level, bed_level);
        let (total, held) = if most <= free {
            (most, level)
        } else {
            (free, self.held_at(free, level, bed_level))
        };
        for branch in &self.beds {
            beds[branch.bed] = branch.flow(held, bed_level, &self.water);
        }
        // The bracket closes to rounding; what leaves the tank must arrive.
        let sum: f64 = self.beds.iter().map(|branch| beds[branch.bed]).sum();
        if sum > 0.0 {
            self.beds
                .iter()
                .for_each(|branch| beds[branch.bed] *= total / sum);
        }
        total
    }

    /// What the branches take together from a head of water at `held` `[m]`.
    fn taken(&self, held: f64, bed_level: &dyn Fn(usize) -> f64) -> f64 {
        self.beds
            .iter()
            .map(|branch| branch.flow(held, bed_level, &self.water))
            .sum()
    }

    /// Level in the down pipe at which the branches take `flow`.
    fn held_at(&self, flow: f64, highest: f64, bed_level: &dyn Fn(usize) -> f64) -> f64 {
        let lowest = self
            .beds
            .iter()
            .map(|branch| branch.level.max(bed_level(branch.bed)))
            .fold(highest, f64::min);
        brent(
            |held| self.taken(held, bed_level) - flow,
            lowest,
            highest,
            0.0,
        )
        .unwrap_or(highest)
    }
}

impl GravityBranch {
    fn flow(&self, held: f64, bed_level: &dyn Fn(usize) -> f64, water: &Water) -> f64 {
        self.run
            .flow((held - self.level.max(bed_level(self.bed))).max(0.0), water)
    }
}
