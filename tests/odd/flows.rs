//! No flow from nowhere, and no water lost.

use crate::properties::{Faults, Property};
use crate::trial::Trial;
use ebbwright::model::{DrainTarget, Inlet, TankFeed, TankOutlet};
use ebbwright::simulation::{EventKind, Hang, SiphonMode};

/// Flows agree to this part of the pump's greatest, tables of flows included.
const AGREEMENT: f64 = 2e-6;
/// Rows and events closer than this are of one moment, but for rounding [s].
const SAME_TIME: f64 = 1e-9;
/// Water that may appear or vanish, as a part of all.
const BALANCE: f64 = 1e-9;

/// What events have done to pump and siphons so far.
struct State {
    powered: bool,
    timer_on: bool,
    covered: bool,
    /// The pipes that ran back fill before anything arrives.
    filling: bool,
    /// The pump has been held between dry and covered.
    hangs: bool,
    /// No check valve keeps them full.
    drains: bool,
    blocked: Vec<bool>,
    shut: Vec<bool>,
}

impl State {
    fn take(&mut self, kind: EventKind) {
        match kind {
            EventKind::PumpRanDry => (self.covered, self.hangs) = (false, false),
            EventKind::PumpRecovered => (self.covered, self.hangs) = (true, false),
            EventKind::PumpSwitchedOn => (self.timer_on, self.filling) = (true, self.drains),
            EventKind::PumpSwitchedOff => self.timer_on = false,
            EventKind::PumpStopped => self.powered = false,
            EventKind::PumpStarted => (self.powered, self.filling) = (true, self.drains),
            // Held at its cover it delivers what comes in.
            EventKind::Hangs(Hang::Pump) => self.hangs = true,
            EventKind::PipesFilled => self.filling = false,
            EventKind::SiphonBlocked(i) => self.blocked[i] = true,
            EventKind::ValveShut(i) => self.shut[i] = true,
            _ => {}
        }
    }

    fn pumps(&self) -> bool {
        self.powered && self.timer_on && (self.covered || self.hangs)
    }
}

pub fn from_somewhere(trial: &Trial, found: &mut Faults) {
    let (system, run) = (&trial.system, &trial.run);
    if run.residual.abs() > BALANCE * run.water_at_start.max(1e-6) {
        found.push((
            Property::Balance,
            format!(
                "{:.3e} m3 of {:.3e} m3 unaccounted for",
                run.residual, run.water_at_start
            ),
        ));
    }
    let record = &run.recording;
    let greatest = record.pump_flow.iter().copied().fold(0.0, f64::max);
    let most_in = record
        .beds
        .iter()
        .flat_map(|bed| bed.inflow.iter().copied())
        .fold(greatest, f64::max);
    let noise = AGREEMENT * most_in.max(1e-9);
    let mut state = State {
        powered: true,
        timer_on: true,
        covered: true,
        filling: false,
        hangs: false,
        drains: !system.pump.check_valve,
        blocked: vec![false; system.beds.len()],
        shut: vec![false; system.beds.len()],
    };
    let mut events = run.events.iter().peekable();
    let mut told = |text: String| {
        if found
            .iter()
            .filter(|fault| fault.0 == Property::Flows)
            .count()
            < 3
        {
            found.push((Property::Flows, text));
        }
    };
    for (k, &t) in record.time.iter().enumerate() {
        while let Some(event) = events.next_if(|event| event.time < t - SAME_TIME) {
            state.take(event.kind);
        }
        // At an event itself either side is right.
        if events
            .peek()
            .is_some_and(|event| event.time <= t + SAME_TIME)
        {
            continue;
        }
        if record.time.get(k + 1) == Some(&t) || (k > 0 && record.time[k - 1] == t) {
            continue;
        }
        let pump = record.pump_flow[k];
        // A vessel that covers its inlet can press water back through a weak pump.
        let backwards = state.drains && covers(trial, k);
        if pump < 0.0 && !backwards || !state.pumps() && pump != 0.0 {
            told(format!(
                "pump {pump:.3e} m3/s at {t:.1} s while it {}",
                if state.pumps() { "runs" } else { "stands" }
            ));
        }
        let mut into_beds = 0.0;
        for (i, bed) in system.beds.iter().enumerate() {
            let series = &record.beds[i];
            let (level, inflow, siphon) =
                (series.level[k], series.inflow[k], series.siphon_flow[k]);
            into_beds += inflow;
            let mode = series.mode[k];
            let name = &bed.name;
            let covered = matches!(&bed.inlet, Inlet::Piped(branch) if level > branch.level);
            if inflow < -noise && !covered {
                told(format!(
                    "{name}: inflow {inflow:.3e} m3/s at {t:.1} s though its inlet is not under water"
                ));
            }
            if state.shut[i] && inflow != 0.0 {
                told(format!(
                    "{name}: inflow {inflow:.3e} m3/s at {t:.1} s through a shut valve"
                ));
            }
            if inflow > noise
                && !state.pumps()
                && !system
                    .tank
                    .as_ref()
                    .is_some_and(|tank| tank.overflows_to == TankOutlet::Beds)
                && !covered
            {
                told(format!(
                    "{name}: inflow {inflow:.3e} m3/s at {t:.1} s while the pump stands"
                ));
            }
            let may_rise = matches!(bed.siphon.drain.into, DrainTarget::Line { .. });
            if state.blocked[i] && siphon != 0.0
                || mode == SiphonMode::Filling && (siphon > 0.0 || siphon < 0.0 && !may_rise)
            {
                told(format!(
                    "{name}: siphon {siphon:.3e} m3/s at {t:.1} s while {mode:?}, blocked: {}",
                    state.blocked[i]
                ));
            }
            if siphon < 0.0 && !may_rise || !siphon.is_finite() {
                told(format!("{name}: siphon {siphon:.3e} m3/s at {t:.1} s"));
            }
        }
        if let Some(whole) = all_inflows(trial, k, into_beds)
            && (whole - pump).abs() > noise
            && state.pumps()
            && !state.filling
        {
            told(format!(
                "{whole:.9e} m3/s arrive of {pump:.9e} m3/s pumped at {t:.1} s"
            ));
        }
        if system.tank.is_some() && record.tank_outflow[k] < 0.0 {
            told(format!(
                "tank gives {:.3e} m3/s at {t:.1} s",
                record.tank_outflow[k]
            ));
        }
    }
}

/// All that the pump's outlets give, where every one of them is recorded.
fn all_inflows(trial: &Trial, k: usize, into_beds: f64) -> Option<f64> {
    let (system, record) = (&trial.system, &trial.run.recording);
    let piped = matches!(system.beds[0].inlet, Inlet::Piped(_));
    let shut = trial
        .run
        .events
        .iter()
        .any(|event| matches!(event.kind, EventKind::ValveShut(_)));
    if !piped || system.supply.bypass.is_some() || shut {
        return None;
    }
    match &system.tank {
        None => Some(into_beds),
        Some(tank) if tank.overflows_to == TankOutlet::Beds => None,
        Some(_) => Some(into_beds + record.tank_inflow[k]),
    }
}

/// Whether water stands over the end of any inlet.
fn covers(trial: &Trial, k: usize) -> bool {
    let (system, record) = (&trial.system, &trial.run.recording);
    let bed = |i: usize| matches!(&system.beds[i].inlet, Inlet::Piped(branch) if record.beds[i].level[k] > branch.level);
    let tank = system.tank.as_ref().is_some_and(|tank| match &tank.fed_by {
        TankFeed::PumpBranch(branch) => record.tank_level[k] > branch.level,
        TankFeed::WholePump => false,
    });
    tank || (0..system.beds.len()).any(bed)
}
