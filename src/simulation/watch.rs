//! What ends a smooth stretch: quantities watched for falling to zero.

use crate::model::FLOAT_TRAVEL;
use crate::network::supply::OutletEnd;
use crate::simulation::hang::{Hang, margin};
use crate::simulation::modes::{FloatValve, Modes};
use crate::simulation::plant::{Moment, Plant};
use crate::simulation::{EventKind, SiphonMode};

/// Sump level above the dry level at which the pump recovers `[m]`.
const RECOVERY_RISE: f64 = 0.010;
/// Depth of water that the air takes no more of, and at which it goes on `[m]`.
const EMPTY: f64 = 0.0005;
const WET_AGAIN: f64 = 0.002;
/// A vessel leaves its brim only when it loses this much `[m3/s]`: at rest there it must
/// not be let go, or water that comes later would rise past the brim unseen.
const STILL: f64 = 1e-12;
/// Fall of a guard's level below that at which its lip drowned, before that is over `[m]`;
/// above the error of the tabulated loss.
const GRAVEL_SLACK: f64 = 1e-4;

/// The line counts as relieved only this far below its crown `[m]`: a sump standing at
/// the crown would otherwise switch it to and fro with every ripple.
const RELIEF: f64 = 0.002;

/// Water counts as coming up the drain when the line stands this far over bed and lip `[m]`: a
/// full siphon that a shut line brings to a stand is level with it.
const BACK_UP: f64 = 1e-4;
/// Water no longer counts as coming up the drain when the line has fallen this far below
/// bed or lip `[m]`: beds that level out through a line would switch it to and fro.
const BACK_DOWN: f64 = 0.001;

/// A watched quantity; its event happens when it falls to zero.
///
/// The order of the variants is the order in which simultaneous events apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Watch {
    PumpRunsDry,
    PumpRecovers,
    /// More comes in than a pump that hangs at its cover can take.
    HeldPumpFills,
    /// Nothing comes in any more.
    HeldPumpStarves,
    /// The supply pipes are full again.
    PipesFull,
    FloatOpens,
    FloatOpensFully,
    FloatThrottles,
    FloatShuts,
    ReservoirSpent,
    SumpEmpties,
    SumpWetted,
    SumpSpills,
    SumpSettles,
    TankSpills,
    TankSettles,
    TankInletCovered,
    TankInletUncovered,
    TankRunsBackNoMore,
    RunsBackNoMore(usize),
    BedBrims(usize),
    BedSettles(usize),
    InletCovered(usize),
    InletUncovered(usize),
    LineSurcharges,
    LineRelieved,
    ComesUp(usize),
    ComesUpNoMore(usize),
    LipReached(usize),
    LipLeft(usize),
    LipDrowns(usize),
    LipFreed(usize),
    PrimingBegins(usize),
    PrimingLost(usize),
    Breaks(usize),
    RunOnStarves(usize),
    RunOnFills(usize),
    /// The inflow of a siphon that hangs between running on and full bore is too little
    /// for that, with the doublings of its margin.
    HeldStarves(usize, u8),
    /// It is too much.
    HeldFills(usize, u8),
}

/// What a watch's value depends on, of a bed that drains freely.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reads {
    /// The sump level.
    Sump,
    /// The level of this bed, and the sump level as its tail.
    Bed(usize),
    /// Flows, and so every level.
    Flows,
    /// How the line stands, which follows from all flows.
    Line,
}

/// Everything to watch in these modes.
pub(super) fn watches<const B: usize>(plant: &Plant, modes: &Modes<B>, list: &mut Vec<Watch>) {
    list.clear();
    if modes.pump.switched_on() {
        if modes.held.pump {
            list.extend([Watch::HeldPumpFills, Watch::HeldPumpStarves]);
        } else if modes.pump.covered {
            list.push(Watch::PumpRunsDry);
        } else {
            list.push(Watch::PumpRecovers);
        }
        if modes.pipes_filling {
            list.push(Watch::PipesFull);
        }
    }
    watch_float(plant, modes.float, modes.held.float, list);
    if plant.evaporates() && !modes.held.empty_sump {
        list.push(if modes.sump_empty {
            Watch::SumpWetted
        } else {
            Watch::SumpEmpties
        });
    }
    if !modes.held.sump {
        list.push(if modes.sump_spilling {
            Watch::SumpSettles
        } else {
            Watch::SumpSpills
        });
    }
    if plant.tank.is_some() {
        if !modes.held.tank {
            list.push(if modes.tank_spilling {
                Watch::TankSettles
            } else {
                Watch::TankSpills
            });
        }
        if plant.tank_inlet.is_some() && !modes.held.tank_inlet {
            list.push(if modes.tank_inlet_covered {
                Watch::TankInletUncovered
            } else {
                Watch::TankInletCovered
            });
        }
        if modes.tank_siphoned_back {
            list.push(Watch::TankRunsBackNoMore);
        }
    }
    for i in 0..plant.laws.len() {
        if modes.siphoned_back[i] {
            list.push(Watch::RunsBackNoMore(i));
        }
        if !modes.held.rims[i] {
            list.push(if modes.brimming[i] {
                Watch::BedSettles(i)
            } else {
                Watch::BedBrims(i)
            });
        }
        if plant.reachable_inlets[i].is_some() && !modes.held.inlets[i] {
            list.push(if modes.inlet_covered[i] {
                Watch::InletUncovered(i)
            } else {
                Watch::InletCovered(i)
            });
        }
        if modes.held.siphons[i].is_some() {
            if modes.siphons[i] == SiphonMode::RunningOn {
                list.extend(run_on_ends(i, modes.held.siphons[i]));
            }
            continue;
        }
        let over_lip = matches!(modes.siphons[i], SiphonMode::Spilling | SiphonMode::Priming);
        if over_lip && !plant.reached[i] {
            list.push(if modes.lip_drowned[i] {
                Watch::LipFreed(i)
            } else {
                Watch::LipDrowns(i)
            });
        }
        if plant.reached[i] && !modes.blocked[i] {
            list.push(if modes.backed_up[i] {
                Watch::ComesUpNoMore(i)
            } else {
                Watch::ComesUp(i)
            });
        }
        match modes.siphons[i] {
            SiphonMode::Filling if modes.blocked[i] => {}
            SiphonMode::Filling => list.push(Watch::LipReached(i)),
            SiphonMode::Spilling => list.extend([Watch::LipLeft(i), Watch::PrimingBegins(i)]),
            SiphonMode::Priming => list.push(Watch::PrimingLost(i)),
            SiphonMode::FullBore => list.push(Watch::Breaks(i)),
            SiphonMode::RunningOn => list.extend(run_on_ends(i, None)),
        }
    }
    if plant.line_can_fill() && !modes.held.line {
        list.push(if modes.line_surcharged {
            Watch::LineRelieved
        } else {
            Watch::LineSurcharges
        });
    }
}

/// What ends the running on of bed `i`, with the doublings of its margin if it is held.
pub(super) fn run_on_ends(i: usize, held: Option<u8>) -> [Watch; 2] {
    match held {
        None => [Watch::RunOnStarves(i), Watch::RunOnFills(i)],
        Some(doublings) => [
            Watch::HeldStarves(i, doublings),
            Watch::HeldFills(i, doublings),
        ],
    }
}

fn watch_float(plant: &Plant, valve: FloatValve, held: bool, list: &mut Vec<Watch>) {
    match valve {
        FloatValve::Dead => return,
        _ if held => {}
        FloatValve::Shut => list.push(Watch::FloatOpens),
        FloatValve::Throttling => list.extend([Watch::FloatOpensFully, Watch::FloatShuts]),
        FloatValve::Open => list.push(Watch::FloatThrottles),
    }
    if plant
        .top_off
        .as_ref()
        .is_some_and(|top_off| top_off.reservoir.is_some())
    {
        list.push(Watch::ReservoirSpent);
    }
}

impl Watch {
    /// The watched quantity; positive while nothing has happened.
    pub(super) fn value<const B: usize>(self, plant: &Plant, now: &Moment<B>) -> f64 {
        let pressure = || now.line.map_or(-1.0, |line| line.pressure_head);
        let float = || {
            plant
                .top_off
                .as_ref()
                .map_or(f64::NEG_INFINITY, |top_off| top_off.level)
        };
        let tank_inlet = || plant.tank_inlet.unwrap_or(f64::INFINITY);
        let inlet = |i: usize| plant.reachable_inlets[i].unwrap_or(f64::INFINITY);
        match self {
            Self::PumpRunsDry => now.sump_level - plant.dry_level,
            Self::PumpRecovers => plant.dry_level + RECOVERY_RISE - now.sump_level,
            Self::PipesFull => plant.pipes_full - now.pipes,
            Self::FloatOpens => now.sump_level - float(),
            Self::FloatOpensFully => now.sump_level - (float() - FLOAT_TRAVEL),
            Self::FloatThrottles => float() - FLOAT_TRAVEL - now.sump_level,
            Self::FloatShuts => float() - now.sump_level,
            Self::ReservoirSpent => {
                let reservoir = plant.top_off.as_ref().and_then(|top_off| top_off.reservoir);
                reservoir.unwrap_or(f64::INFINITY) - now.added
            }
            Self::SumpEmpties => now.sump_level - (plant.sump_floor + EMPTY),
            Self::SumpWetted => plant.sump_floor + WET_AGAIN - now.sump_level,
            Self::SumpSpills => plant.overflow_level - now.sump_level,
            Self::SumpSettles => now.sump_net + STILL,
            Self::TankSpills => {
                plant
                    .tank
                    .as_ref()
                    .map_or(f64::INFINITY, |tank| tank.law.rim)
                    - now.tank_level
            }
            Self::TankSettles => now.tank_net + STILL,
            Self::TankInletCovered => tank_inlet() - now.tank_level,
            Self::TankInletUncovered => now.tank_level - tank_inlet(),
            Self::TankRunsBackNoMore => now.tank_level - plant.held_back(OutletEnd::Tank, now),
            Self::RunsBackNoMore(i) => now.level[i] - plant.held_back(OutletEnd::Bed(i), now),
            Self::BedBrims(i) => plant.rims[i] - now.level[i],
            Self::BedSettles(i) => now.inflow[i] - now.outflow[i] + STILL,
            Self::InletCovered(i) => inlet(i) - now.level[i],
            Self::InletUncovered(i) => now.level[i] - inlet(i),
            Self::LineSurcharges => -pressure(),
            Self::LineRelieved => pressure() + RELIEF,
            Self::ComesUp(i) => plant.back_up_level(i, now) + BACK_UP - now.tail[i],
            Self::ComesUpNoMore(i) => now.tail[i] - plant.back_up_level(i, now) + BACK_DOWN,
            Self::LipReached(i) => plant.laws[i].lip() + plant.submergence(i, now) - now.guard[i],
            Self::LipLeft(i) => now.guard[i] - plant.laws[i].lip() - plant.submergence(i, now),
            Self::LipDrowns(i) => {
                plant.laws[i].drowning_level(plant.submergence(i, now)) - now.guard[i]
            }
            Self::LipFreed(i) => {
                let level = plant.laws[i].drowning_level(plant.submergence(i, now));
                // Through gravel the guard stands a little differently on each branch.
                let slack = if plant.has_gravel(i) {
                    GRAVEL_SLACK
                } else {
                    0.0
                };
                now.guard[i] - level + slack
            }
            // Lip flow rises with the guard's level alone, so levels stand for flows.
            Self::PrimingBegins(i) => {
                plant.laws[i].start_level(plant.submergence(i, now)) - now.guard[i]
            }
            Self::PrimingLost(i) => {
                now.guard[i] - plant.laws[i].priming_lost_level(plant.submergence(i, now))
            }
            Self::Breaks(i) => now.guard[i] - plant.laws[i].break_level(now.tail[i]),
            Self::RunOnStarves(i) => now.inflow[i] - plant.laws[i].run_on_flow(now.tail[i]),
            Self::HeldPumpFills => 1.0 - now.pump_share,
            Self::HeldPumpStarves => now.pump_share,
            Self::HeldStarves(i, held) => {
                now.inflow[i] - (1.0 - margin(held)) * plant.laws[i].run_on_flow(now.tail[i])
            }
            Self::HeldFills(i, held) => {
                (1.0 + margin(held)) * plant.laws[i].stall_flow(now.tail[i]) - now.inflow[i]
            }
            Self::RunOnFills(i) => plant.laws[i].stall_flow(now.tail[i]) - now.inflow[i],
        }
    }

    /// What the value depends on.
    pub(super) fn reads(self) -> Reads {
        match self {
            Self::PumpRunsDry
            | Self::PumpRecovers
            | Self::SumpSpills
            | Self::SumpEmpties
            | Self::SumpWetted
            | Self::FloatOpens
            | Self::FloatOpensFully
            | Self::FloatThrottles
            | Self::FloatShuts => Reads::Sump,
            Self::BedBrims(i)
            | Self::InletCovered(i)
            | Self::InletUncovered(i)
            | Self::LipReached(i)
            | Self::LipLeft(i)
            | Self::LipDrowns(i)
            | Self::LipFreed(i)
            | Self::PrimingBegins(i)
            | Self::PrimingLost(i)
            | Self::Breaks(i) => Reads::Bed(i),
            Self::PipesFull
            | Self::ReservoirSpent
            | Self::TankSpills
            | Self::TankSettles
            | Self::TankInletCovered
            | Self::TankInletUncovered
            | Self::TankRunsBackNoMore
            | Self::RunsBackNoMore(_)
            | Self::SumpSettles
            | Self::BedSettles(_)
            | Self::HeldPumpFills
            | Self::HeldPumpStarves
            | Self::HeldStarves(..)
            | Self::HeldFills(..)
            | Self::ComesUp(_)
            | Self::ComesUpNoMore(_)
            | Self::RunOnStarves(_)
            | Self::RunOnFills(_) => Reads::Flows,
            Self::LineSurcharges | Self::LineRelieved => Reads::Line,
        }
    }

    /// The event that it announces; `None` for what only ends a smooth stretch.
    pub(super) fn event(self, runs_on: bool) -> Option<EventKind> {
        Some(match self {
            Self::PumpRunsDry | Self::HeldPumpStarves => EventKind::PumpRanDry,
            Self::PumpRecovers | Self::HeldPumpFills => EventKind::PumpRecovered,
            Self::PipesFull => EventKind::PipesFilled,
            Self::FloatOpens => EventKind::FloatValveOpened,
            Self::FloatShuts => EventKind::FloatValveShut,
            Self::ReservoirSpent => EventKind::ReservoirSpent,
            Self::SumpEmpties => EventKind::SumpEmptied,
            Self::SumpWetted => EventKind::SumpWetted,
            Self::TankInletCovered => EventKind::TankInletCovered,
            Self::TankInletUncovered => EventKind::TankInletUncovered,
            Self::TankSpills => EventKind::TankOverflowBegan,
            Self::TankSettles => EventKind::TankOverflowEnded,
            Self::TankRunsBackNoMore => EventKind::TankBackSiphonEnded,
            Self::RunsBackNoMore(i) => EventKind::BackSiphonEnded(i),
            Self::SumpSpills => EventKind::SumpOverflowBegan,
            Self::SumpSettles => EventKind::SumpOverflowEnded,
            Self::BedBrims(i) => EventKind::BedOverflowBegan(i),
            Self::BedSettles(i) => EventKind::BedOverflowEnded(i),
            Self::InletCovered(i) => EventKind::InletCovered(i),
            Self::InletUncovered(i) => EventKind::InletUncovered(i),
            Self::LineSurcharges => EventKind::LineSurcharged,
            Self::LineRelieved => EventKind::LineRelieved,
            Self::ComesUp(i) => EventKind::CameUpDrain(i),
            Self::ComesUpNoMore(i) => EventKind::CameUpDrainEnded(i),
            Self::LipReached(i) => EventKind::LipReached(i),
            Self::LipLeft(i) => EventKind::LipLeft(i),
            Self::PrimingBegins(i) => EventKind::PrimingBegan(i),
            Self::PrimingLost(i) => EventKind::PrimingLost(i),
            Self::Breaks(i) if runs_on => EventKind::RunOnBegan(i),
            Self::Breaks(i) | Self::RunOnStarves(i) | Self::HeldStarves(i, _) => {
                EventKind::Broke(i)
            }
            Self::RunOnFills(i) | Self::HeldFills(i, _) => EventKind::FullBoreBegan(i),
            // A kink in the flow, no step over which stays accurate.
            Self::LipDrowns(_)
            | Self::LipFreed(_)
            | Self::FloatOpensFully
            | Self::FloatThrottles => return None,
        })
    }

    /// The part that it switches, if that can be switched back.
    pub(super) fn part(self) -> Option<Hang> {
        Some(match self {
            Self::PumpRunsDry | Self::PumpRecovers => Hang::Pump,
            Self::FloatOpens | Self::FloatOpensFully | Self::FloatThrottles | Self::FloatShuts => {
                Hang::Float
            }
            Self::SumpEmpties | Self::SumpWetted => Hang::EmptySump,
            Self::SumpSpills | Self::SumpSettles => Hang::Sump,
            Self::TankSpills | Self::TankSettles => Hang::Tank,
            Self::TankInletCovered | Self::TankInletUncovered => Hang::TankInlet,
            Self::BedBrims(i) | Self::BedSettles(i) => Hang::Rim(i),
            Self::InletCovered(i) | Self::InletUncovered(i) => Hang::Inlet(i),
            Self::LineSurcharges | Self::LineRelieved => Hang::Line,
            Self::LipReached(i)
            | Self::LipLeft(i)
            | Self::LipDrowns(i)
            | Self::LipFreed(i)
            | Self::PrimingBegins(i)
            | Self::PrimingLost(i) => Hang::Lip(i),
            Self::Breaks(i) | Self::RunOnStarves(i) | Self::RunOnFills(i) => Hang::Siphon(i),
            Self::HeldPumpFills
            | Self::HeldPumpStarves
            | Self::HeldStarves(..)
            | Self::HeldFills(..)
            | Self::PipesFull
            | Self::ReservoirSpent
            | Self::TankRunsBackNoMore
            // Apart by more than a millimetre, these two do not switch to and fro.
            | Self::ComesUp(_)
            | Self::ComesUpNoMore(_)
            | Self::RunsBackNoMore(_) => return None,
        })
    }

    /// The event that it belongs to, where it announces none itself.
    pub(super) fn part_of(self) -> Option<EventKind> {
        match self {
            Self::LipDrowns(i) | Self::LipFreed(i) => Some(EventKind::LipReached(i)),
            Self::FloatOpensFully | Self::FloatThrottles => Some(EventKind::FloatValveOpened),
            _ => None,
        }
    }
}
