//! How high the sump can rise once the pump has stopped, from volumes alone.

use crate::network::supply::OutletEnd;
use crate::numerics::integrate::StepEnd;
use crate::simulation::SiphonMode;
use crate::simulation::engine::Engine;
use crate::simulation::modes::Modes;
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::worst::AFTERMATH;

/// Rounding and the errors of the steps `[m3]`.
const SLACK: f64 = 1e-6;

impl<const B: usize, const N: usize> Engine<'_, B, N> {
    /// Bound of the sump level up to `end` `[s]` when the pump stops here for good, or has
    /// stopped before; none when it starts again by then.
    pub(super) fn highest_without_pump(&self, end: f64) -> f64 {
        if self.timetable.starts_by(end) {
            return f64::INFINITY;
        }
        let volume = volume(&self.plant, &self.modes, &self.here);
        self.plant.sump_level(volume + SLACK)
    }
}

/// Water in the sump when everything has come down that can come down from here `[m3]`.
fn volume<const B: usize, const N: usize>(
    plant: &Plant,
    modes: &Modes<B>,
    here: &StepEnd<N, Moment<B>>,
) -> f64 {
    let y = &here.y;
    // What the tank still sends on may fill a bed up to its lip.
    let from_tank = plant.tank.as_ref().map_or(0.0, |tank| {
        let held = plant.held_back_at_worst(OutletEnd::Tank);
        let stays = tank.law.volume(held.min(tank.law.overflow_level));
        (y[Layout::<B>::TANK] - stays).max(0.0)
    });
    let from_beds: f64 = (0..plant.laws.len())
        .map(|i| from_bed(plant, modes, i, y[Layout::<B>::bed(i)], from_tank))
        .sum();
    let falls = from_tank + from_beds + y[Layout::<B>::PIPES] + plant.gained(AFTERMATH);
    // The float valve adds only while the sump stands below it.
    let filled = plant.top_off.as_ref().map_or(0.0, |top_off| {
        plant.sump_shape.volume(top_off.level - plant.sump_floor)
    });
    y[Layout::<B>::SUMP].max(filled) + falls
}

/// What can run out of bed `i`, which holds `held` `[m3]`, while no pump feeds it.
fn from_bed<const B: usize>(
    plant: &Plant,
    modes: &Modes<B>,
    i: usize,
    held: f64,
    from_tank: f64,
) -> f64 {
    let (law, storage) = (&plant.laws[i], &plant.storages[i]);
    let runs_back = modes.siphoned_back[i] || plant.reachable_inlets[i].is_some();
    if runs_back {
        return held;
    }
    let all = (held - storage.volume(law.slot_crown())).max(0.0);
    let fed = plant.tank.as_ref().is_some_and(|tank| tank.law.feeds(i));
    let gets = if fed { from_tank } else { 0.0 };
    let to_lip = held - storage.volume(law.lip());
    match modes.siphons[i] {
        SiphonMode::Priming | SiphonMode::FullBore | SiphonMode::RunningOn => all,
        // A line that falls may let it start, one that rises fill it.
        _ if plant.reached[i] => all,
        _ if fed && to_lip + gets > 0.0 => all,
        // Without inflow the level only falls, so that it does not start.
        SiphonMode::Spilling | SiphonMode::Filling => to_lip.max(0.0),
    }
}
