//! What events change.

use crate::hydraulics::back_siphon::drain_back;
use crate::model::{Disturbance, FLOAT_TRAVEL};
use crate::network::supply::OutletEnd;
use crate::simulation::engine::Engine;
use crate::simulation::engine::follow::TOGETHER;
use crate::simulation::hang::Hang;
use crate::simulation::modes::{FloatValve, PumpMode};
use crate::simulation::observer::Observer;
use crate::simulation::plant::{Layout, Moment};
use crate::simulation::timetable::Due;
use crate::simulation::watch::{Watch, run_on_ends};
use crate::simulation::{EventKind, SimulationError, SiphonMode};
use std::rc::Rc;

/// More events than this of each bed, and of ten parts beside them, within
/// [`CHATTER_WINDOW`] is chatter that no held part has stopped.
const CHATTER_COUNT: usize = 200;
const CHATTER_WINDOW: f64 = 20.0;

impl<const B: usize, const N: usize> Engine<'_, B, N> {
    /// Applies events, then brings the statuses that follow from flows up to date.
    pub(super) fn happen(
        &mut self,
        events: &[Watch],
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        for (k, &watch) in events.iter().enumerate() {
            if k > 0 {
                self.look();
            }
            let now = self.here.sight;
            self.apply(watch, &now, observer)?;
        }
        self.refresh_statuses(observer)
    }

    fn apply(
        &mut self,
        watch: Watch,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        let mut runs_on = false;
        match watch {
            Watch::PumpRunsDry => self.modes.pump.covered = false,
            Watch::PumpRecovers => self.modes.pump.covered = true,
            Watch::PipesFull => self.modes.pipes_filling = false,
            Watch::FloatOpens | Watch::FloatThrottles => self.modes.float = FloatValve::Throttling,
            Watch::FloatOpensFully => self.modes.float = FloatValve::Open,
            Watch::HeldPumpFills => self.let_go(Hang::Pump),
            Watch::HeldPumpStarves => {
                self.let_go(Hang::Pump);
                self.modes.pump.covered = false;
            }
            Watch::FloatShuts => self.modes.float = FloatValve::Shut,
            Watch::ReservoirSpent => self.modes.float = FloatValve::Dead,
            Watch::SumpEmpties => self.modes.sump_empty = true,
            Watch::SumpWetted => self.modes.sump_empty = false,
            Watch::TankSpills => self.modes.tank_spilling = true,
            Watch::TankSettles => self.modes.tank_spilling = false,
            Watch::TankInletCovered => self.modes.tank_inlet_covered = true,
            Watch::TankInletUncovered => self.modes.tank_inlet_covered = false,
            Watch::TankRunsBackNoMore => self.modes.tank_siphoned_back = false,
            Watch::RunsBackNoMore(i) => self.modes.siphoned_back[i] = false,
            Watch::SumpSpills => self.modes.sump_spilling = true,
            Watch::SumpSettles => self.modes.sump_spilling = false,
            Watch::BedBrims(i) => self.modes.brimming[i] = true,
            Watch::BedSettles(i) => self.modes.brimming[i] = false,
            Watch::InletCovered(i) => self.modes.inlet_covered[i] = true,
            Watch::InletUncovered(i) => self.modes.inlet_covered[i] = false,
            Watch::LineSurcharges => self.modes.line_surcharged = true,
            Watch::LineRelieved => self.modes.line_surcharged = false,
            Watch::ComesUp(i) => self.modes.backed_up[i] = true,
            Watch::ComesUpNoMore(i) => self.modes.backed_up[i] = false,
            Watch::LipReached(i) | Watch::PrimingLost(i) | Watch::RunOnFills(i)
                if self.modes.blocked[i] =>
            {
                return Ok(());
            }
            Watch::LipReached(i) | Watch::PrimingLost(i) => {
                self.modes.siphons[i] = SiphonMode::Spilling;
                if watch == Watch::LipReached(i) {
                    self.lip_reached = Some((i, self.here.t));
                    self.modes.lip_drowned[i] = false;
                }
                self.modes.primed_at[i] = f64::INFINITY;
            }
            Watch::HeldStarves(i, _) => {
                self.let_go(Hang::Siphon(i));
                self.modes.siphons[i] = SiphonMode::Filling;
            }
            Watch::HeldFills(i, _) => {
                self.let_go(Hang::Siphon(i));
                self.modes.siphons[i] = SiphonMode::FullBore;
            }
            Watch::LipLeft(i) | Watch::RunOnStarves(i) => {
                self.modes.siphons[i] = SiphonMode::Filling;
            }
            Watch::LipDrowns(i) => self.modes.lip_drowned[i] = true,
            Watch::LipFreed(i) => self.modes.lip_drowned[i] = false,
            Watch::PrimingBegins(i) => {
                self.modes.siphons[i] = SiphonMode::Priming;
                self.modes.primed_at[i] =
                    self.here.t + self.plant.laws[i].priming_time().unwrap_or(f64::INFINITY);
            }
            Watch::Breaks(i) => {
                let law = &self.plant.laws[i];
                // Even under an inflow that would keep it full a siphon breaks whose guard the gravel
                // starves, or whose tail has come up from one moment to the next: it passes less
                // than comes in, so that its bed fills.
                let starved = now.inflow[i] >= law.stall_flow(now.tail[i]);
                runs_on = !starved && now.inflow[i] > law.run_on_flow(now.tail[i]);
                self.modes.siphons[i] = if runs_on {
                    SiphonMode::RunningOn
                } else {
                    SiphonMode::Filling
                };
            }
            Watch::RunOnFills(i) => self.modes.siphons[i] = SiphonMode::FullBore,
        }
        match watch.event(runs_on) {
            Some(kind) => self.note(kind, now, observer)?,
            None => watch.part_of().map_or(Ok(()), |kind| self.count(kind))?,
        }
        self.switched(watch, observer)
    }

    /// Records an event.
    pub(super) fn note(
        &mut self,
        kind: EventKind,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        observer.event(&self.plant, self.here.t, kind, now, &self.here.y);
        self.count(kind)
    }

    /// Refuses to go on when events follow one another without time passing.
    fn count(&mut self, kind: EventKind) -> Result<(), SimulationError> {
        let t = self.here.t;
        self.recent.push_back((t, kind));
        let most = CHATTER_COUNT * (self.plant.laws.len() + 10);
        if self.recent.len() > most
            && let Some((first, _)) = self.recent.pop_front()
            && t - first < CHATTER_WINDOW
        {
            let names: Vec<String> = self
                .recent
                .iter()
                .rev()
                .take(4)
                .rev()
                .map(|(_, kind)| kind.in_words(self.system))
                .collect();
            return Err(SimulationError::Chatter {
                time: t,
                count: most,
                window: CHATTER_WINDOW,
                sequence: names.join(", "),
                last: kind,
            });
        }
        Ok(())
    }

    /// Works the flows out anew, and the statuses that jump with them when another
    /// part changes its mode.
    pub(super) fn refresh_statuses(
        &mut self,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        self.look();
        let now = self.here.sight;
        let events_before = observer.work.events;
        let status = if self.modes.line_surcharged {
            Watch::LineRelieved
        } else {
            Watch::LineSurcharges
        };
        if now.line.is_some() && !self.modes.held.line && status.value(&self.plant, &now) < 0.0 {
            self.apply(status, &now, observer)?;
        }
        let over = |watch: Watch| watch.value(&self.plant, &now) < 0.0;
        let held = &self.modes.held;
        let sump_settles = self.modes.sump_spilling && !held.sump && over(Watch::SumpSettles);
        let tank_settles = self.modes.tank_spilling && !held.tank && over(Watch::TankSettles);
        for (settles, watch) in [
            (sump_settles, Watch::SumpSettles),
            (tank_settles, Watch::TankSettles),
        ] {
            if settles {
                self.apply(watch, &now, observer)?;
            }
        }
        for i in 0..self.plant.laws.len() {
            let at_rim = self.modes.brimming[i] && !self.modes.held.rims[i];
            if at_rim && Watch::BedSettles(i).value(&self.plant, &now) < 0.0 {
                self.apply(Watch::BedSettles(i), &now, observer)?;
            }
            if self.modes.siphons[i] == SiphonMode::RunningOn {
                for watch in run_on_ends(i, self.modes.held.siphons[i]) {
                    if watch.value(&self.plant, &now) < 0.0 {
                        self.apply(watch, &now, observer)?;
                        break;
                    }
                }
            }
        }
        if observer.work.events > events_before {
            self.look();
        }
        Ok(())
    }

    /// The next moment known in advance.
    pub(super) fn next_timed(&self) -> f64 {
        let primed = self
            .modes
            .primed_at
            .iter()
            .copied()
            .fold(f64::INFINITY, f64::min);
        primed.min(self.timetable.next()).min(self.next_let_go())
    }

    /// What happens at a moment known in advance.
    pub(super) fn timed(
        &mut self,
        t: f64,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        self.switch_by(t, observer)?;
        self.let_go_by(t + TOGETHER);
        for i in 0..self.plant.laws.len() {
            if self.modes.primed_at[i] <= t + TOGETHER {
                let now = self
                    .plant
                    .moment(&self.here.y, &self.modes, &self.here.sight);
                self.modes.primed_at[i] = f64::INFINITY;
                self.modes.siphons[i] = SiphonMode::FullBore;
                self.note(EventKind::FullBoreBegan(i), &now, observer)?;
            }
        }
        self.refresh_statuses(observer)
    }

    /// Incidents, then the timer.
    pub(super) fn switch_by(
        &mut self,
        t: f64,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        while let Some(due) = self.timetable.take_incident(t + TOGETHER) {
            self.incident(due, observer)?;
        }
        while let Some(on) = self.timetable.take_edge(t + TOGETHER) {
            let kind = if on {
                EventKind::PumpSwitchedOn
            } else {
                EventKind::PumpSwitchedOff
            };
            let pump = PumpMode {
                timer_on: on,
                ..self.modes.pump
            };
            self.switch_pump(pump, kind, observer)?;
        }
        Ok(())
    }

    fn incident(&mut self, due: Due, observer: &mut Observer<B>) -> Result<(), SimulationError> {
        self.look();
        let now = self.here.sight;
        observer.incident(self.here.t, due);
        match due.what {
            Disturbance::PumpStops => {
                let pump = PumpMode {
                    powered: false,
                    ..self.modes.pump
                };
                self.switch_pump(pump, EventKind::PumpStopped, observer)
            }
            Disturbance::PumpStarts => {
                let pump = PumpMode {
                    powered: true,
                    ..self.modes.pump
                };
                self.switch_pump(pump, EventKind::PumpStarted, observer)
            }
            Disturbance::SiphonBlocked(i) => {
                self.modes.blocked[i] = true;
                self.let_go(Hang::Siphon(i));
                self.let_go(Hang::Lip(i));
                self.modes.backed_up[i] = false;
                self.modes.siphons[i] = SiphonMode::Filling;
                self.modes.primed_at[i] = f64::INFINITY;
                self.note(EventKind::SiphonBlocked(i), &now, observer)
            }
            Disturbance::LineBlocked(share) => {
                Rc::make_mut(&mut self.plant).narrow_line(1.0 - share);
                self.note(EventKind::LineBlocked, &now, observer)
            }
            Disturbance::ValveShut(i) => {
                Rc::make_mut(&mut self.plant).shut_inlet(i);
                self.modes.inlet_covered[i] = false;
                self.modes.siphoned_back[i] = false;
                self.note(EventKind::ValveShut(i), &now, observer)
            }
        }
    }

    /// Takes on a new state of the pump; if that stops or starts it, the pipes run
    /// back or fill. A pump that merely draws air keeps them full.
    fn switch_pump(
        &mut self,
        pump: PumpMode,
        kind: EventKind,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        self.look();
        let now = self.here.sight;
        let was_on = self.modes.pump.switched_on();
        self.modes.pump = pump;
        if self.modes.held.pump {
            self.let_go(Hang::Pump);
        }
        self.note(kind, &now, observer)?;
        match (was_on, pump.switched_on()) {
            (true, false) => self.stand_still(&now, observer),
            (false, true) => self.start_up(&now, observer),
            _ => Ok(()),
        }
    }

    /// Without a check valve the pipes run back into the sump at once, and vessels
    /// whose inlet is under water begin to follow.
    fn stand_still(
        &mut self,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        self.modes.pipes_filling = false;
        if self.system.pump.check_valve {
            observer.stopped(0.0);
            return Ok(());
        }
        let (pipes, sump) = (Layout::<B>::PIPES, Layout::<B>::SUMP);
        // Pipes that were not yet full are taken to be full from below.
        let stays = self.plant.pipes_full - drain_back(&self.plant.pieces, now.sump_level);
        let back = (self.here.y[pipes] - stays).max(0.0);
        self.here.y[pipes] -= back;
        self.here.y[sump] += back;
        let room = self
            .plant
            .sump_shape
            .volume(self.plant.overflow_level - self.plant.sump_floor);
        let excess = self.here.y[sump] - room;
        if excess > 0.0 {
            self.here.y[sump] -= excess;
            self.here.y[Layout::<B>::SUMP_SPILL] += excess;
            if !self.modes.sump_spilling {
                self.modes.sump_spilling = true;
                self.note(EventKind::SumpOverflowBegan, now, observer)?;
            }
        }
        observer.stopped(back);
        for i in 0..self.plant.laws.len() {
            if now.level[i] > self.plant.held_back(OutletEnd::Bed(i), now) {
                self.modes.siphoned_back[i] = true;
                self.note(EventKind::BackSiphonBegan(i), now, observer)?;
            }
        }
        if self.plant.tank.is_some() && now.tank_level > self.plant.held_back(OutletEnd::Tank, now)
        {
            self.modes.tank_siphoned_back = true;
            self.note(EventKind::TankBackSiphonBegan, now, observer)?;
        }
        Ok(())
    }

    /// The pipes fill first; what still ran back stops.
    fn start_up(
        &mut self,
        now: &Moment<B>,
        observer: &mut Observer<B>,
    ) -> Result<(), SimulationError> {
        let missing = self.plant.pipes_full - self.here.y[Layout::<B>::PIPES];
        self.modes.pipes_filling = missing > 1e-12;
        for i in 0..self.plant.laws.len() {
            if std::mem::replace(&mut self.modes.siphoned_back[i], false) {
                self.note(EventKind::BackSiphonEnded(i), now, observer)?;
            }
        }
        if std::mem::replace(&mut self.modes.tank_siphoned_back, false) {
            self.note(EventKind::TankBackSiphonEnded, now, observer)?;
        }
        let covered = now.sump_level > self.plant.dry_level;
        if self.modes.pump.covered && !covered {
            self.modes.pump.covered = false;
            self.note(EventKind::PumpRanDry, now, observer)?;
        }
        Ok(())
    }

    /// The float valve's state at the present sump level.
    pub(super) fn float_at_start(&self) -> FloatValve {
        match &self.plant.top_off {
            None => FloatValve::Dead,
            Some(top_off) => {
                let above = self.system.sump.start_level - top_off.level;
                if above > 0.0 {
                    FloatValve::Shut
                } else if above > -FLOAT_TRAVEL {
                    FloatValve::Throttling
                } else {
                    FloatValve::Open
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]

    use super::*;
    use crate::scenario::{parse, starter};
    use crate::simulation::engine::{Stepping, Task, with_engine};

    /// So many events, this far apart `[s]`.
    struct Events(usize, f64);

    impl Task for Events {
        type Answer = ();

        fn run<const B: usize, const N: usize>(
            self,
            mut engine: Engine<'_, B, N>,
        ) -> Result<(), SimulationError> {
            engine.here.t = 100.0;
            for _ in 0..self.0 {
                engine.count(EventKind::LipReached(0))?;
                engine.here.t += self.1;
            }
            Ok(())
        }
    }

    fn after(events: usize, apart: f64) -> Result<(), SimulationError> {
        let system = parse(starter(), "starter.toml").unwrap().system;
        let values = system.coefficients.nominal();
        let task = Events(events, apart);
        with_engine(&system, &values, Stepping::default(), None, task)
    }

    // One bed: 2,200 events within 20 s are too many, and one less is not.
    #[test]
    fn events_without_time_are_chatter_and_the_same_number_over_time_is_not() {
        assert_eq!(after(2200, 0.0), Ok(()));
        let Err(SimulationError::Chatter {
            count,
            window,
            sequence,
            last,
            ..
        }) = after(2201, 0.0)
        else {
            panic!("not refused");
        };
        assert_eq!(
            (count, window, last),
            (2200, 20.0, EventKind::LipReached(0))
        );
        assert_eq!(
            sequence.matches(" reaches its lip").count(),
            4,
            "{sequence}"
        );
        // Just within 20 s, and just outside.
        assert!(after(2201, 19.9 / 2200.0).is_err());
        assert_eq!(after(2201, 20.1 / 2200.0), Ok(()));
        assert_eq!(after(50_000, 0.01), Ok(()));
    }
}
