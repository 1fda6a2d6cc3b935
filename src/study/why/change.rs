//! Each cause as a change to the system.

use crate::hydraulics::valves::valve_k;
use crate::model::{Branch, DrainLosses, DrainTarget, Inlet, PumpSource, System};
use crate::study::why::cause::Cause;
use crate::study::why::draws::scale_pump;
use std::f64::consts::FRAC_PI_4;

/// Least way down from the lip that a slid standpipe must leave over the slots `[m]`.
const LEAST_LIP: f64 = 0.04;
/// Farthest that a standpipe slides or leans down `[m]`.
const MOST_SLIDE: f64 = 0.06;
/// Water over the outlet at severity 1 `[m]`, and at the least severity.
const OVER_OUTLET: (f64, f64) = (0.01, 0.20);

impl Cause {
    /// `system` with this cause acting on bed `bed` at `severity`, 0 (nothing) to 1 (as bad
    /// as it gets); `None` where the system has no such part. `lowest_sump` is the sump's
    /// lowest level as built, an elevation `[m]`.
    ///
    /// How far severity 1 goes is common practice, no source.
    pub fn acting_on(
        self,
        system: &System,
        bed: usize,
        severity: f64,
        lowest_sump: f64,
    ) -> Option<System> {
        let mut changed = system.clone();
        let applies = self.change(&mut changed, bed, severity.clamp(0.0, 1.0), lowest_sump);
        match applies {
            None => None,
            Some(()) if severity <= 0.0 => Some(system.clone()),
            Some(()) => Some(changed),
        }
    }

    fn change(self, system: &mut System, i: usize, s: f64, lowest_sump: f64) -> Option<()> {
        match self {
            Self::WornPump => pump_gives(system, 1.0 - 0.8 * s),
            Self::StrongPump => stronger_pump(system, s),
            Self::InletThrottled => throttle(system, i, 1.0 - 0.85 * s)?,
            Self::InletOpen => open_up(system, i, s)?,
            Self::LineBlocked => {
                system.drain_line.as_mut()?.run.bore *= (1.0 - 0.92 * s).sqrt();
                let on_line = |bed: &crate::model::Bed| {
                    matches!(bed.siphon.drain.into, DrainTarget::Line { .. })
                };
                on_line(&system.beds[i]).then_some(())?;
            }
            Self::TopOffHigh => {
                let highest = system.sump.overflow_level - 0.005;
                let top_off = system.top_off.as_mut()?;
                top_off.level += s * (highest - top_off.level).max(0.0);
            }
            Self::WaterLost => {
                let dry = system.pump.least_level();
                let sump = &mut system.sump;
                sump.start_level -= s * (sump.start_level - dry).max(0.0);
            }
            Self::TooMuchWater => {
                let sump = &mut system.sump;
                sump.start_level += s * (sump.overflow_level - sump.start_level - 0.001).max(0.0);
            }
            Self::TimerShort => system.pump.schedule.as_mut()?.on *= 1.0 - 0.8 * s,
            _ => return self.change_bed(system, i, s, lowest_sump),
        }
        Some(())
    }

    /// Causes inside one bed.
    fn change_bed(self, system: &mut System, i: usize, s: f64, lowest_sump: f64) -> Option<()> {
        let start = {
            let values = system.coefficients.nominal();
            crate::siphon::SiphonLaw::new(&system.beds[i], &system.water, &values).start_flow()
        };
        let sump_floor = system.sump.floor;
        let bed = &mut system.beds[i];
        let (lip_level, crown_level) = (bed.lip_level(), bed.crown_level());
        let siphon = &mut bed.siphon;
        let pipe_area = FRAC_PI_4 * siphon.standpipe.bore.powi(2);
        match self {
            Self::SlotsClogged => {
                let before = siphon.bell.slots.area();
                siphon.bell.slots.width *= 1.0 - 0.88 * s;
                if let DrainLosses::Total { k } = &mut siphon.drain.losses {
                    // The measured number holds the clean slots' loss.
                    let loss = |area: f64| (pipe_area / (0.60 * area)).powi(2);
                    *k += loss(siphon.bell.slots.area()) - loss(before);
                }
            }
            Self::PipeObstructed => add_k(&mut siphon.drain.losses, plate_k(1.0 - 0.9 * s)),
            Self::GuardClogged => {
                let _ = bed.media.grain?;
                *bed.guard.as_mut()?.slot_area.as_mut()? *= 10_f64.powf(-1.7 * s);
            }
            Self::GravelFouled => {
                let _ = bed.media.grain?;
                bed.media.fouling *= 10_f64.powf(1.6 * s);
                bed.media.void *= 1.0 - 0.25 * s;
            }
            Self::LessVoid => bed.media.void *= 1.0 - 0.5 * s,
            Self::MoreVoid => bed.media.void = (bed.media.void * (1.0 + 0.6 * s)).min(0.95),
            Self::BellLeaks => siphon.bell.air_leak += 0.45 * s * start,
            Self::AirTubeBlocked => siphon.bell.air_tube.as_mut()?.bore *= 1.0 - 0.95 * s,
            Self::OutletDrowned => {
                matches!(siphon.drain.into, DrainTarget::Sump).then_some(())?;
                let room = lowest_sump - sump_floor;
                let under = (OVER_OUTLET.0 + OVER_OUTLET.1 * s).min(0.8 * room);
                move_outlet(
                    siphon,
                    lip_level,
                    (lowest_sump - under).min(siphon.drain.outlet),
                );
            }
            Self::TooLittleDrop => {
                let outlet = siphon.drain.outlet;
                let up = 0.8 * s * (crown_level - outlet).max(0.0);
                move_outlet(siphon, lip_level, outlet + up);
            }
            Self::LipLow => {
                let foot = siphon.bell.opening_height();
                let room = (siphon.standpipe.lip_height - foot - LEAST_LIP).max(0.0);
                let slide = s * room.min(MOST_SLIDE);
                siphon.standpipe.lip_height -= slide;
                siphon.bell.clearance += slide;
            }
            _ => return None,
        }
        Some(())
    }
}

/// Multiplies every flow that the pump drives.
fn pump_gives(system: &mut System, share: f64) {
    scale_pump(system, share);
    for bed in &mut system.beds {
        if let Inlet::Measured(flow) = &mut bed.inlet {
            *flow *= share;
        }
    }
}

/// Another pump: with a curve faster by the affinity laws, to 1.8 times the speed, else 2.5
/// times the flow at severity 1.
fn stronger_pump(system: &mut System, s: f64) {
    let faster = match &system.pump.source {
        PumpSource::Curve(curve) => curve.at_speed(1.0 + 0.8 * s).ok(),
        PumpSource::Steady(_) => None,
    };
    match faster {
        Some(curve) => system.pump.source = PumpSource::Curve(curve),
        None => pump_gives(system, 1.0 + 1.5 * s),
    }
}

/// Throttles the inlet of bed `i` so that, at the same head, `share` of its flow comes.
fn throttle(system: &mut System, i: usize, share: f64) -> Option<()> {
    match &mut system.beds[i].inlet {
        Inlet::Piped(branch) => {
            branch.run.k += loss(branch) * (1.0 / (share * share) - 1.0);
            Some(())
        }
        Inlet::Measured(flow) => {
            *flow *= share;
            Some(())
        }
        Inlet::Share(_) => shift_shares(system, i, share),
    }
}

/// Lets more into bed `i`: its valve opened, or 2.2 times the flow at severity 1.
fn open_up(system: &mut System, i: usize, s: f64) -> Option<()> {
    match &mut system.beds[i].inlet {
        Inlet::Piped(branch) => {
            let valve = branch.valve.as_mut()?;
            let (now, open) = (valve_k(valve.kind, valve.opening), valve_k(valve.kind, 1.0));
            (now.is_finite() && now > open + 1.0).then_some(())?;
            valve.opening = 1.0;
            // Even steps of severity are about even steps of flow.
            let share = 1.0 + s * ((now / open.max(0.5)).sqrt().min(3.0) - 1.0);
            branch.run.k += (now / (share * share) - open).max(0.0);
            Some(())
        }
        Inlet::Measured(flow) => {
            *flow *= 1.0 + 1.2 * s;
            Some(())
        }
        Inlet::Share(_) => shift_shares(system, i, 1.0 + 1.2 * s),
    }
}

/// Multiplies the share of bed `i`; the other beds take what is over.
fn shift_shares(system: &mut System, i: usize, factor: f64) -> Option<()> {
    let shares: Vec<f64> = system
        .beds
        .iter()
        .map(|bed| match bed.inlet {
            Inlet::Share(share) => share,
            _ => 0.0,
        })
        .collect();
    let total: f64 = shares.iter().sum();
    let others = total - shares[i];
    (others > 0.0).then_some(())?;
    let now = (shares[i] * factor).min(0.95 * total);
    for (k, bed) in system.beds.iter_mut().enumerate() {
        if let Inlet::Share(share) = &mut bed.inlet {
            *share = if k == i {
                now
            } else {
                shares[k] * (total - now) / others
            };
        }
    }
    Some(())
}

/// Loss of a branch on its own velocity head, friction taken at f = 0.03 `[-]`.
fn loss(branch: &Branch) -> f64 {
    let valve = branch
        .valve
        .as_ref()
        .map_or(0.0, |valve| valve_k(valve.kind, valve.opening));
    branch.run.k + valve.min(1e4) + 1.0 + 0.03 * branch.run.length / branch.run.bore
}

/// Loss of an orifice plate that leaves `open` of a pipe's area, on the pipe's velocity
/// head `[-]`: `(1 / (Cc open) - 1)^2` with Weisbach's contraction `0.62 + 0.38 open^3`
/// (from memory).
fn plate_k(open: f64) -> f64 {
    let contraction = 0.62 + 0.38 * open.powi(3);
    (1.0 / (contraction * open) - 1.0).powi(2)
}

fn add_k(losses: &mut DrainLosses, more: f64) {
    match losses {
        DrainLosses::Computed { k, .. } | DrainLosses::Total { k } => *k += more,
    }
}

/// Moves the outlet to elevation `to` `[m]`, its pipe as much longer or shorter.
fn move_outlet(siphon: &mut crate::model::Siphon, lip_level: f64, to: f64) {
    siphon.set_outlet(to);
    if let DrainLosses::Computed { length, .. } = &mut siphon.drain.losses {
        *length = length.max(lip_level - to);
    }
}
