//! How long the pump could pump, counted as events pass.

use crate::simulation::EventKind;

/// What the pump does, since when, and the time so far `[s]`.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PumpTime {
    stopped: bool,
    resting: bool,
    dry: bool,
    since: f64,
    powered: f64,
    pumping: f64,
}

impl PumpTime {
    /// Takes in an event at `time` `[s]`.
    pub(super) fn event(&mut self, time: f64, kind: EventKind) {
        self.pass(time);
        match kind {
            EventKind::PumpStopped => self.stopped = true,
            EventKind::PumpStarted => self.stopped = false,
            EventKind::PumpSwitchedOff => self.resting = true,
            EventKind::PumpSwitchedOn => self.resting = false,
            EventKind::PumpRanDry => self.dry = true,
            EventKind::PumpRecovered => self.dry = false,
            _ => {}
        }
    }

    /// The time up to `end` `[s]` without that in which incidents had stopped it, and of that
    /// the time in which it neither rested nor drew air.
    pub(super) fn told(mut self, end: f64) -> (f64, f64) {
        self.pass(end);
        (self.powered, self.pumping)
    }

    fn pass(&mut self, time: f64) {
        if !self.stopped {
            self.powered += time - self.since;
            if !self.resting && !self.dry {
                self.pumping += time - self.since;
            }
        }
        self.since = time;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::EventKind as E;

    // By hand: of 100 s the power is away for 20; of the 80 left it rests for 10 and draws air
    // for 15, 5 of which fall into the rest.
    #[test]
    fn rests_air_and_power_cuts_are_taken_off_once() {
        let mut pump = PumpTime::default();
        let events = [
            (10.0, E::PumpSwitchedOff),
            (15.0, E::PumpRanDry),
            (20.0, E::PumpSwitchedOn),
            (30.0, E::PumpRecovered),
            (40.0, E::PumpStopped),
            (45.0, E::Broke(0)),
            (60.0, E::PumpStarted),
        ];
        for (time, kind) in events {
            pump.event(time, kind);
        }
        assert_eq!(pump.told(100.0), (80.0, 60.0));
    }
}
