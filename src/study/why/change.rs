//! Each cause as a change to the system.

use crate::hydraulics::valves::valve_k;
use crate::model::{
    Bed, BedPart, Branch, Change, DrainLosses, DrainTarget, Inlet, Level, Pipe, PipePart, PumpPart,
    PumpSource, Quantity, System, TopOffPart, Vessel,
};
use crate::numerics::maths::Maths;
use crate::study::why::cause::Cause;
use crate::study::why::draws::scale_pump;

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
        let start_level = Quantity::Level(Vessel::Sump, Level::Start);
        let filled = system.sump.start_level;
        match self {
            Self::WornPump => pump_gives(system, 1.0 - 0.8 * s),
            Self::StrongPump => stronger_pump(system, s),
            // Never to nothing: a flow of none would ask for a loss without end.
            Self::InletThrottled => throttle(system, i, 1.0 - 0.85 * s)?,
            Self::InletOpen => open_up(system, i, s)?,
            Self::LineBlocked => {
                let bore = Quantity::Pipe(Pipe::DrainLine, PipePart::Bore);
                // The share blocked is one of area, so the bore goes with its root.
                turn(system, bore, |bore| bore * (1.0 - 0.92 * s).sqrt())?;
                let on_line = |bed: &Bed| matches!(bed.siphon.drain.into, DrainTarget::Line { .. });
                on_line(&system.beds[i]).then_some(())?;
            }
            Self::TopOffHigh => {
                // Just under the overflow: set any higher, the valve would never close at all.
                let highest = system.sump.overflow_level - 0.005;
                let level = Quantity::TopOff(TopOffPart::Level);
                turn(system, level, |now| now + s * (highest - now).max(0.0))?;
            }
            Self::WaterLost => {
                let dry = system.pump.least_level();
                // At worst the pump draws air from the first moment: less water shows nothing else.
                turn(system, start_level, |now| now - s * (filled - dry).max(0.0))?;
            }
            Self::TooMuchWater => {
                // A millimetre is left, since no sump can be filled to more than its overflow.
                let room = system.sump.overflow_level - filled - 0.001;
                turn(system, start_level, |now| now + s * room.max(0.0))?;
            }
            Self::TimerShort => {
                let on = Quantity::Pump(PumpPart::TimerOn);
                turn(system, on, |on| on * (1.0 - 0.8 * s))?;
            }
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
        let pipe_area = bed.siphon.standpipe.area();
        match self {
            Self::SlotsClogged => {
                let before = bed.siphon.bell.slots.area();
                part(bed, BedPart::SlotWidth, |width| width * (1.0 - 0.88 * s))?;
                if matches!(bed.siphon.drain.losses, DrainLosses::Total { .. }) {
                    // The measured number holds the clean slots' loss.
                    let loss = |area: f64| (pipe_area / (0.60 * area)).powi(2);
                    let more = loss(bed.siphon.bell.slots.area()) - loss(before);
                    part(bed, BedPart::DrainK, |k| k + more)?;
                }
            }
            Self::PipeObstructed => {
                part(bed, BedPart::DrainK, |k| k + plate_k(1.0 - 0.9 * s))?;
            }
            Self::GuardClogged => {
                // Without a grain the model has no loss in gravel and guard that could grow.
                let _ = bed.media.grain?;
                // In powers of ten, or the last tenth of the way would hold nearly all of the loss.
                part(bed, BedPart::GuardOpenings, |area| {
                    area * 10_f64.to_the(-1.7 * s)
                })?;
            }
            Self::GravelFouled => {
                let _ = bed.media.grain?;
                part(bed, BedPart::Fouling, |times| {
                    times * 10_f64.to_the(1.6 * s)
                })?;
                part(bed, BedPart::Void, |void| void * (1.0 - 0.25 * s))?;
            }
            Self::LessVoid => part(bed, BedPart::Void, |void| void * (1.0 - 0.5 * s))?,
            Self::MoreVoid => part(bed, BedPart::Void, |void| {
                // A void of 1 is no gravel.
                (void * (1.0 + 0.6 * s)).min(0.95)
            })?,
            // Past the carry's high end, 0.40 of the start flow, so that at worst it never primes.
            Self::BellLeaks => part(bed, BedPart::AirLeak, |leak| leak + 0.45 * s * start)?,
            Self::AirTubeBlocked => part(bed, BedPart::TubeBore, |bore| bore * (1.0 - 0.95 * s))?,
            Self::OutletDrowned => {
                matches!(bed.siphon.drain.into, DrainTarget::Sump).then_some(())?;
                let room = lowest_sump - sump_floor;
                // The outlet stays over the sump's floor.
                let under = (OVER_OUTLET.0 + OVER_OUTLET.1 * s).min(0.8 * room);
                let outlet = (lowest_sump - under).min(bed.siphon.drain.outlet);
                move_outlet(bed, outlet)?;
            }
            Self::TooLittleDrop => {
                let outlet = bed.siphon.drain.outlet;
                // A fifth of the drop is left: with none it would be no siphon.
                let up = 0.8 * s * (bed.crown_level() - outlet).max(0.0);
                move_outlet(bed, outlet + up)?;
            }
            Self::LipLow => {
                let foot = bed.siphon.bell.opening_height();
                let length = BedPart::StandpipeLength.of(bed)?;
                let slide = s * (length - foot - LEAST_LIP).clamp(0.0, MOST_SLIDE);
                // It slides into its socket: the way from lip to outlet becomes that much
                // shorter, and the bell stays where it is.
                part(bed, BedPart::StandpipeLength, |length| length - slide)?;
                part(bed, BedPart::Clearance, |clearance| clearance + slide)?;
            }
            _ => return None,
        }
        Some(())
    }
}

/// Gives a quantity the value that `of` makes of its present one; `None` where it is not there.
fn turn(system: &mut System, what: Quantity, of: impl Fn(f64) -> f64) -> Option<()> {
    let now = what.value(system)?;
    Change::set(what, of(now)).apply_to(system).ok()
}

/// The same inside one bed.
fn part(bed: &mut Bed, what: BedPart, of: impl Fn(f64) -> f64) -> Option<()> {
    let now = what.of(bed)?;
    what.set(bed, of(now)).ok()
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
    if let PumpSource::Curve(curve) = &system.pump.source
        && let Ok(faster) = curve.at_speed(1.0 + 0.8 * s)
    {
        system.pump.source = PumpSource::Curve(faster);
    } else {
        pump_gives(system, 1.0 + 1.5 * s);
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
            // Within a velocity head of wide open there is nothing left to open that would be seen.
            (now.is_finite() && now > open + 1.0).then_some(())?;
            valve.opening = 1.0;
            // Even steps of severity are about even steps of flow.
            // An open valve loses next to nothing, the rest of its branch does not: 0.5 for that.
            let share = 1.0 + s * ((now / open.max(0.5)).sqrt().min(3.0) - 1.0);
            branch.run.k += (now / (share * share) - open).max(0.0);
            Some(())
        }
        Inlet::Measured(flow) => {
            *flow *= 1.0 + 1.2 * s;
            // The flows of a bucket say nothing of what the pump could give: it gives that, too.
            let measured = |bed: &Bed| bed.inlet.measured();
            let sum: f64 = system.beds.iter().filter_map(measured).sum();
            if let PumpSource::Steady(total) = &mut system.pump.source {
                *total = total.max(sum);
            }
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
    // Something is left for the other beds: their shares are scaled by it.
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
    // 1 for the jet's velocity head; a shut valve's K is infinite and is cut off.
    branch.run.k + valve.min(1e4) + 1.0 + 0.03 * branch.run.length / branch.run.bore
}

/// Loss of an orifice plate that leaves `open` of a pipe's area, on the pipe's velocity
/// head `[-]`: `(1 / (Cc open) - 1)^2` with Weisbach's contraction `0.62 + 0.38 open^3`
/// (from memory).
fn plate_k(open: f64) -> f64 {
    let contraction = 0.62 + 0.38 * open.powi(3);
    (1.0 / (contraction * open) - 1.0).powi(2)
}

/// Moves the outlet to elevation `to` `[m]`, its pipe as much longer or shorter, but at least
/// straight.
fn move_outlet(bed: &mut Bed, to: f64) -> Option<()> {
    BedPart::Outlet.set(bed, to).ok()?;
    let straight = bed.lip_level() - to;
    // A measured total has no length.
    let _ = part(bed, BedPart::DrainLength, |length| length.max(straight));
    Some(())
}
