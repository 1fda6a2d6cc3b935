//! Everything that flows at one moment, and where states stand.

use crate::network::drain_line::LineState;

/// Where each quantity sits in the state vector of a system of up to `B` beds.
#[derive(Debug, Clone, Copy)]
pub(in crate::simulation) struct Layout<const B: usize>;

impl<const B: usize> Layout<B> {
    /// Movable water of bed `i` `[m3]`.
    pub(in crate::simulation) const fn bed(i: usize) -> usize {
        i
    }
    /// Water in the sump `[m3]`.
    pub(in crate::simulation) const SUMP: usize = B;
    /// Water in the fish tank `[m3]`.
    pub(in crate::simulation) const TANK: usize = B + 1;
    /// How many states the rates depend on: the water in beds, sump and tank.
    /// All that follow are integrals that nothing depends on.
    pub(in crate::simulation) const FEEDBACK: usize = B + 2;
    /// Water that has come into bed `i` `[m3]`.
    pub(in crate::simulation) const fn inflow(i: usize) -> usize {
        B + 2 + i
    }
    /// Water that has gone over the wall of bed `i` `[m3]`.
    pub(in crate::simulation) const fn bed_spill(i: usize) -> usize {
        2 * B + 2 + i
    }
    const AFTER_BEDS: usize = 3 * B + 2;
    /// Water that has gone over the sump's overflow `[m3]`.
    pub(in crate::simulation) const SUMP_SPILL: usize = Self::AFTER_BEDS;
    /// Integral of the sump level over time `[m s]`.
    pub(in crate::simulation) const SUMP_LEVEL: usize = Self::AFTER_BEDS + 1;
    /// Water that has gone through the pump `[m3]`.
    pub(in crate::simulation) const PUMPED: usize = Self::AFTER_BEDS + 2;
    /// Integral of pump flow times head `[m4]`.
    pub(in crate::simulation) const LIFTED: usize = Self::AFTER_BEDS + 3;
    /// Water standing in the supply pipes `[m3]`; changes only when the pump stops or starts.
    pub(in crate::simulation) const PIPES: usize = Self::AFTER_BEDS + 4;
    /// Water that the float valve has added `[m3]`.
    pub(in crate::simulation) const ADDED: usize = Self::AFTER_BEDS + 5;
    /// Water lost to the air beyond what the sources brought `[m3]`; negative where they
    /// brought more.
    pub(in crate::simulation) const NET_LOST: usize = Self::AFTER_BEDS + 6;
    /// Water that has gone into the fish tank `[m3]`.
    pub(in crate::simulation) const TANK_IN: usize = Self::AFTER_BEDS + 7;
    /// Water that has gone over the fish tank's wall `[m3]`.
    pub(in crate::simulation) const TANK_SPILL: usize = Self::AFTER_BEDS + 8;
    /// Integral of the fish tank's level over time `[m s]`.
    pub(in crate::simulation) const TANK_LEVEL: usize = Self::AFTER_BEDS + 9;
    /// Water that ran back through inlets under water while the pump stood `[m3]`.
    pub(in crate::simulation) const SIPHONED_BACK: usize = Self::AFTER_BEDS + 10;
    /// States in all.
    pub(in crate::simulation) const STATES: usize = Self::AFTER_BEDS + 11;
}

/// All flows and levels at one moment.
#[derive(Debug, Clone, Copy)]
pub(in crate::simulation) struct Moment<const B: usize> {
    pub(in crate::simulation) level: [f64; B],
    /// Level in the guard, which the siphon sees `[m]`.
    pub(in crate::simulation) guard: [f64; B],
    /// Negative: water runs back through the inlet.
    pub(in crate::simulation) inflow: [f64; B],
    pub(in crate::simulation) outflow: [f64; B],
    pub(in crate::simulation) spill: [f64; B],
    /// Level that each siphon's outlet looks at `[m]`.
    pub(in crate::simulation) tail: [f64; B],
    pub(in crate::simulation) sump_level: f64,
    pub(in crate::simulation) sump_net: f64,
    pub(in crate::simulation) sump_spill: f64,
    pub(in crate::simulation) pump_flow: f64,
    pub(in crate::simulation) pump_head: f64,
    /// The drain line, where it can fill.
    pub(in crate::simulation) line: Option<LineState>,
    pub(in crate::simulation) tank_level: f64,
    /// Negative: water runs back through the inlet.
    pub(in crate::simulation) tank_in: f64,
    pub(in crate::simulation) tank_out: f64,
    pub(in crate::simulation) tank_net: f64,
    /// Flow through the float valve.
    pub(in crate::simulation) topped_up: f64,
    /// What the air takes beyond what the sources bring; negative where they bring more.
    pub(in crate::simulation) net_loss: f64,
    /// Water in the supply pipes `[m3]`.
    pub(in crate::simulation) pipes: f64,
    /// Water the float valve has added `[m3]`.
    pub(in crate::simulation) added: f64,
    /// Share of the time that the pump delivers: less than 1 where it hangs at its cover;
    /// outside 0 to 1 where it cannot hang there.
    pub(in crate::simulation) pump_share: f64,
}

impl<const B: usize> Moment<B> {
    /// Nothing known yet.
    pub(in crate::simulation) const fn blank() -> Self {
        Self {
            level: [0.0; B],
            guard: [0.0; B],
            inflow: [0.0; B],
            outflow: [0.0; B],
            spill: [0.0; B],
            tail: [0.0; B],
            sump_level: 0.0,
            sump_net: 0.0,
            sump_spill: 0.0,
            pump_flow: 0.0,
            pump_head: 0.0,
            line: None,
            tank_level: 0.0,
            tank_in: 0.0,
            tank_out: 0.0,
            tank_net: 0.0,
            topped_up: 0.0,
            net_loss: 0.0,
            pipes: 0.0,
            added: 0.0,
            pump_share: 1.0,
        }
    }
}
