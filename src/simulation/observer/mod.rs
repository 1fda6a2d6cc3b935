//! Watches a run and keeps its figures.

mod cycles;
mod events;
mod finish;
mod line;
mod meetings;
mod pump_time;
mod thin;
mod track;

use crate::model::System;
use crate::numerics::integrate::StepEnd;
use crate::simulation::modes::Modes;
use crate::simulation::observer::events::Events;
use crate::simulation::observer::line::LineTrack;
use crate::simulation::observer::meetings::Meetings;
use crate::simulation::observer::pump_time::PumpTime;
use crate::simulation::observer::thin::{Row, Thinning};
use crate::simulation::observer::track::{BedTrack, Extremes, Feed, Left, TopOffTrack};
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::timetable::Due;
use crate::simulation::{
    BedSeries, Event, EventKind, IncidentOutcome, Recording, Regime, Sampling, SiphonMode,
    SupplyOutcome, Work,
};
use crate::units::DAY;
use nalgebra::SVector;

/// Most rows within one step of a thinned recording.
const MOST_WITHIN: f64 = 16.0;
/// Slower than this a level counts as standing: 0.1 mm in 10 min `[m/s]`.
pub(super) const STANDING_RATE: f64 = 1e-4 / 600.0;

/// Share of an inflow that counts as much as that inflow.
const AS_MUCH: f64 = 0.99;
/// A fish tank that sends on this share of what it gets has filled up.
const PASSED_ON: f64 = 0.99;

/// Keeps the figures of a run.
pub(super) struct Observer<const B: usize> {
    pub(super) work: Work,
    sampling: Sampling,
    recording: Recording,
    thinning: Thinning,
    events: Events,
    meetings: Meetings,
    pump_time: PumpTime,
    beds: Vec<BedTrack>,
    floors: Vec<f64>,
    sump: Extremes,
    /// Its level while the pump had power.
    sump_powered: Extremes,
    pump_flow: Extremes,
    pump_head: Extremes,
    pump_ran: f64,
    ran_dry: f64,
    line: LineTrack<B>,
    surcharged: f64,
    last_seen: f64,
    water_at_start: f64,
    began: f64,
    tank: Extremes,
    incidents: Vec<IncidentOutcome>,
    supply: SupplyOutcome,
    top_off: TopOffTrack,
}

impl<const B: usize> Observer<B> {
    pub(super) fn new<const N: usize>(
        system: &System,
        plant: &Plant,
        here: &StepEnd<N, Moment<B>>,
        sampling: Sampling,
    ) -> Self {
        let n = plant.laws.len();
        Self {
            work: Work::default(),
            sampling,
            recording: Recording {
                beds: vec![BedSeries::default(); n],
                ..Recording::default()
            },
            thinning: Thinning::default(),
            events: Events::default(),
            meetings: Meetings::default(),
            pump_time: PumpTime::default(),
            beds: vec![BedTrack::new(); n],
            floors: system.beds.iter().map(|bed| bed.floor).collect(),
            sump: Extremes::NONE,
            sump_powered: Extremes::NONE,
            pump_flow: Extremes::NONE,
            pump_head: Extremes::NONE,
            pump_ran: 0.0,
            ran_dry: 0.0,
            line: LineTrack::new(),
            surcharged: 0.0,
            last_seen: here.t,
            water_at_start: ledger::<B, N>(&here.y, n),
            began: here.t,
            tank: Extremes::NONE,
            incidents: Vec::new(),
            supply: SupplyOutcome::default(),
            top_off: TopOffTrack::default(),
        }
    }

    /// Takes in one moment; modes have not changed since the one before it.
    pub(super) fn see(&mut self, plant: &Plant, modes: &Modes<B>, t: f64, now: &Moment<B>) {
        let passed = t - self.last_seen;
        self.last_seen = t;
        if modes.pump.runs() {
            // A pump that hangs at its cover draws air for the rest of the time.
            let share = now.pump_share.clamp(0.0, 1.0);
            self.pump_ran += share * passed;
            self.ran_dry += (1.0 - share) * passed;
            self.pump_flow.see(now.pump_flow);
            self.pump_head.see(now.pump_head);
        }
        if modes.pump.switched_on() && !modes.pump.covered {
            self.ran_dry += passed;
        }
        if modes.line_surcharged {
            self.surcharged += passed;
        }
        self.sump.see(now.sump_level);
        if modes.pump.powered {
            self.sump_powered.see(now.sump_level);
        }
        for incident in &mut self.incidents {
            incident.lowest = incident.lowest.min(now.sump_level);
            incident.highest = incident.highest.max(now.sump_level);
        }
        if plant.tank.is_some() {
            self.tank.see(now.tank_level);
        }
        if plant.top_off.is_some() && t >= self.top_off.days[1].0 + DAY {
            self.top_off.days = [self.top_off.days[1], (t, now.added)];
        }
        let delivers = modes.pump.runs() && !modes.pipes_filling;
        let tank_passes_on = modes.tank_spilling || now.tank_out >= PASSED_ON * now.tank_in;
        for (i, bed) in self.beds.iter_mut().enumerate() {
            let level = now.level[i];
            let mode = modes.siphons[i];
            let by_tank = plant.tank.as_ref().is_some_and(|tank| tank.law.feeds(i));
            bed.follow_feed(delivers, !by_tank || tank_passes_on, now.inflow[i]);
            bed.cycle_peak = bed.cycle_peak.max(level);
            bed.cycle_sump.see(now.sump_level);
            let peak = if bed.has_broken {
                &mut bed.peak
            } else {
                &mut bed.first_peak
            };
            *peak = peak.max(level);
            bed.inflow.see(now.inflow[i].max(0.0));
            match mode {
                // A bed that waits at its lip for the timer, or for pipes and tank to fill
                // again, starts with what comes then; one that gets no water any more shows
                // nothing.
                SiphonMode::Spilling if bed.feed == Feed::Steady => {
                    let least = bed.least_at_start.get_or_insert(now.inflow[i]);
                    *least = least.min(now.inflow[i]);
                    bed.trickled += passed;
                }
                SiphonMode::FullBore => {
                    if bed.awaits_full_flow {
                        bed.awaits_full_flow = false;
                        bed.start_flows.0 += now.outflow[i];
                        bed.start_flows.1 += 1;
                    }
                    let pressure = plant.laws[i].crown_pressure(now.guard[i], now.outflow[i]);
                    bed.crown_pressure = bed.crown_pressure.min(pressure);
                }
                _ => {}
            }
            if modes.backed_up[i] && now.outflow[i] < 0.0 {
                bed.came_up(passed, now, i);
            }
            let spills = modes.brimming[i] && now.spill[i] > 0.0;
            if spills {
                bed.last_overflow = Some(t);
            }
            let rate = (now.inflow[i] - now.outflow[i]) / plant.storages[i].area(level);
            let still = modes.held(i) || rate.abs() <= STANDING_RATE;
            let idle = !modes.pump.switched_on();
            bed.follow_mode(t, mode, spills, idle, (level, still));
        }
        if plant.line.is_some() && self.line.is_news(&now.outflow, plant.line_tail(now)) {
            self.line.see(plant, now);
        }
        if self.sampling != Sampling::None {
            self.record(plant, modes, t, now);
        }
    }

    /// Series between two times inside one step, as densely as asked; `state` interpolates
    /// from how it was at `from`, which `near` is.
    pub(super) fn fill_in<const N: usize>(
        &mut self,
        plant: &Plant,
        modes: &Modes<B>,
        state: &dyn Fn(f64) -> SVector<f64, N>,
        (from, near): (f64, &Moment<B>),
        to: f64,
    ) {
        let interval = match self.sampling {
            Sampling::None => return,
            Sampling::Every(interval) => interval,
            Sampling::Thinned(interval) => interval.max((to - from) / MOST_WITHIN),
        };
        let mut k = (from / interval).floor() + 1.0;
        while k * interval < to {
            let t = k * interval;
            if t > from {
                let now = plant.moment(&state(t), modes, near);
                self.record(plant, modes, t, &now);
            }
            k += 1.0;
        }
    }

    fn record(&mut self, plant: &Plant, modes: &Modes<B>, t: f64, now: &Moment<B>) {
        let now = &Moment {
            line: plant.line_state(now),
            ..*now
        };
        let has_tank = self.tank.min <= self.tank.max;
        let row = Row::new(t, now, &modes.siphons[..self.beds.len()], has_tank);
        if matches!(self.sampling, Sampling::Thinned(_)) {
            self.thinning.offer(row, &mut self.recording);
        } else {
            row.keep(&mut self.recording);
        }
    }

    /// Takes in an event; `now` is the moment just before it.
    pub(super) fn event<const N: usize>(
        &mut self,
        plant: &Plant,
        t: f64,
        kind: EventKind,
        now: &Moment<B>,
        y: &SVector<f64, N>,
    ) {
        self.work.events += 1;
        self.events.push(Event { time: t, kind });
        self.pump_time.event(t, kind);
        match kind {
            EventKind::PrimingBegan(i) => self.beds[i].priming_began = Some(t),
            EventKind::FullBoreBegan(i) => {
                let bed = &mut self.beds[i];
                bed.unbroken = true;
                if bed.full_began.is_none() {
                    bed.full_began = Some(t);
                    bed.awaits_full_flow = true;
                }
            }
            EventKind::ValveShut(i) => self.beds[i].shut = true,
            EventKind::LineBlocked => self.line.forget(),
            EventKind::PumpSwitchedOff => self.cut_short(plant, now),
            EventKind::PumpStopped => {
                self.cut_short(plant, now);
                for (i, bed) in self.beds.iter_mut().enumerate() {
                    if bed.at_cut.is_none() {
                        bed.at_cut = Some(bed.so_far(t, y[Layout::<B>::inflow(i)]));
                    }
                }
            }
            EventKind::PumpStarted => self.beds.iter_mut().for_each(|bed| bed.at_cut = None),
            EventKind::Broke(i) | EventKind::RunOnBegan(i) => {
                let bed = &mut self.beds[i];
                // Without inflow any siphon breaks: that proves nothing.
                if bed.unbroken {
                    let most = bed.most_at_break.get_or_insert(now.inflow[i]);
                    *most = most.max(now.inflow[i]);
                }
                if now.outflow[i] > now.inflow[i] {
                    bed.break_flows.0 += now.outflow[i];
                    bed.break_flows.1 += 1;
                }
                if kind == EventKind::Broke(i) {
                    self.meetings.broke(t, i);
                    let storage = &plant.storages[i];
                    let (level, guard) = (now.level[i], now.guard[i]);
                    let left = Left {
                        depth: level - guard,
                        volume: storage.volume(level) - storage.volume(guard),
                    };
                    let levels = (level, now.sump_level);
                    bed.broke(t, y[Layout::<B>::inflow(i)], levels, left);
                    if plant.top_off.is_some() {
                        self.top_off.broke(i, gained::<B, N>(y));
                    }
                }
            }
            EventKind::ReservoirSpent => self.top_off.spent = Some(t),
            _ => {}
        }
    }

    /// Takes in what siphons that run full come to with what they got before the pump stopped
    /// or the run ended. One that has broken against as much will do so again: what shares its
    /// line may hold it up for a moment.
    pub(super) fn cut_short(&mut self, plant: &Plant, now: &Moment<B>) {
        for (i, bed) in self.beds.iter_mut().enumerate() {
            let Some(span) = bed.spans.last_mut() else {
                continue;
            };
            let full = span.mode == SiphonMode::FullBore && !span.idle;
            if !full || plant.has_gravel(i) {
                continue;
            }
            let (law, inflow) = (&plant.laws[i], now.inflow[i]);
            if bed
                .most_at_break
                .is_some_and(|most| most >= AS_MUCH * inflow)
            {
                continue;
            }
            span.cut_short = if inflow >= law.stall_flow(now.tail[i]) {
                Some(Regime::Stalls)
            } else if inflow > law.run_on_flow(now.tail[i]) {
                Some(Regime::RunsOn)
            } else {
                None
            };
        }
    }

    /// Takes in that an incident is about to happen.
    pub(super) fn incident(&mut self, t: f64, due: Due) {
        self.incidents.push(IncidentOutcome {
            index: due.index,
            time: t,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
        });
    }

    /// Highest sump level since the last incident `[m]`.
    pub(super) fn highest_since_incident(&self) -> Option<f64> {
        self.incidents.last().map(|incident| incident.highest)
    }

    /// Takes in that the pump has stopped and `back` `[m3]` ran out of its pipes.
    pub(super) fn stopped(&mut self, back: f64) {
        self.supply.stops += 1;
        self.supply.drained_back = self.supply.drained_back.max(back);
    }

    /// Whether every bed has been through `cycles` cycles, or has done what lasts for `holds` `[s]`.
    pub(super) fn has_told(&self, cycles: usize, holds: f64) -> bool {
        let told = |bed: &BedTrack| {
            (bed.cycles.count() >= cycles && bed.cycles.are_alike()) || bed.holds_for(holds)
        };
        self.beds.iter().all(told)
    }

    /// When every bed's last three cycles agreed, all after the last incident `[s]`;
    /// `one_tells`: when the last cycle left everything as it was. A pump that has drawn air
    /// may be on either side of its recovery, which levels do not tell.
    pub(super) fn settled(&self, one_tells: bool) -> Option<f64> {
        let since = self.incidents.last().map_or(0.0, |incident| incident.time);
        let one_tells = one_tells && self.ran_dry == 0.0;
        if let (true, [bed]) = (one_tells, self.beds.as_slice()) {
            return bed.came_round(since);
        }
        let ends: Option<Vec<f64>> = self
            .beds
            .iter()
            .zip(&self.floors)
            .map(|(bed, &floor)| bed.settled(floor, since))
            .collect();
        ends.map(|ends| ends.into_iter().fold(0.0, f64::max))
    }
}

/// Water in the system less all that came in, plus all that was lost `[m3]`: constant.
fn ledger<const B: usize, const N: usize>(y: &SVector<f64, N>, beds: usize) -> f64 {
    let held = (0..beds).map(|i| y[Layout::<B>::bed(i)]).sum::<f64>()
        + y[Layout::<B>::SUMP]
        + y[Layout::<B>::TANK]
        + y[Layout::<B>::PIPES];
    let lost = (0..beds).map(|i| y[Layout::<B>::bed_spill(i)]).sum::<f64>()
        + y[Layout::<B>::SUMP_SPILL]
        + y[Layout::<B>::TANK_SPILL]
        + y[Layout::<B>::NET_LOST];
    held + lost - y[Layout::<B>::ADDED]
}

/// Water that the system has gained through the float valve, net of what the air took
/// beyond the sources `[m3]`.
fn gained<const B: usize, const N: usize>(y: &SVector<f64, N>) -> f64 {
    y[Layout::<B>::ADDED] - y[Layout::<B>::NET_LOST].max(0.0)
}
