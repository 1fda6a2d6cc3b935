//! What happens at times known beforehand: the timer's edges and the incidents.

use crate::model::{Disturbance, IncidentTime, Schedule, System};
use crate::numerics::in_order::InOrder;
use crate::simulation::SimulationError;

/// An incident with its time and its place in the file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Due {
    pub(super) at: f64,
    pub(super) index: usize,
    pub(super) what: Disturbance,
}

/// Everything that has yet to happen at a known time.
#[derive(Debug, Clone)]
pub(super) struct Timetable {
    /// By falling time, the next one last.
    incidents: Vec<Due>,
    schedule: Option<Schedule>,
    /// Edges of the timer that have passed: even, it runs.
    edges: u64,
}

impl Timetable {
    pub(super) fn new(system: &System) -> Result<Self, SimulationError> {
        let mut table = Self {
            incidents: Vec::new(),
            schedule: system.pump.schedule,
            edges: 0,
        };
        for (index, incident) in system.incidents.iter().enumerate() {
            match incident.at {
                IncidentTime::At(at) => table.add(Due {
                    at,
                    index,
                    what: incident.what,
                }),
                IncidentTime::Worst => return Err(SimulationError::WorstUnresolved { index }),
            }
        }
        Ok(table)
    }

    /// Adds an incident; of several at one time that of the earlier index comes first.
    pub(super) fn add(&mut self, due: Due) {
        self.incidents.push(due);
        self.incidents
            .order_by(|a, b| b.at.total_cmp(&a.at).then(b.index.cmp(&a.index)));
    }

    /// When something happens next `[s]`.
    pub(super) fn next(&self) -> f64 {
        let incident = self.incidents.last().map_or(f64::INFINITY, |due| due.at);
        incident.min(self.edge())
    }

    /// Whether no incident lies ahead.
    pub(super) fn is_quiet(&self) -> bool {
        self.incidents.is_empty()
    }

    /// Whether an incident starts the pump by `t` `[s]`.
    pub(super) fn starts_by(&self, t: f64) -> bool {
        let starts = |due: &Due| due.at <= t && due.what == Disturbance::PumpStarts;
        self.incidents.iter().any(starts)
    }

    /// Takes the next incident if it happens by `t` `[s]`.
    pub(super) fn take_incident(&mut self, t: f64) -> Option<Due> {
        self.incidents.pop_if(|due| due.at <= t)
    }

    /// Takes the timer's next edge if it comes by `t` `[s]`: whether the pump is on after it.
    pub(super) fn take_edge(&mut self, t: f64) -> Option<bool> {
        if self.edge() > t {
            return None;
        }
        self.edges += 1;
        Some(self.edges.is_multiple_of(2))
    }

    /// Time of the timer's next edge, from their number: sums of many periods would drift.
    fn edge(&self) -> f64 {
        self.schedule.map_or(f64::INFINITY, |timer| {
            let whole = (self.edges / 2) as f64 * (timer.on + timer.off);
            let in_it = if self.edges.is_multiple_of(2) {
                timer.on
            } else {
                timer.on + timer.off
            };
            whole + in_it
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edges_do_not_drift() {
        let schedule = Some(Schedule { on: 0.1, off: 0.2 });
        let mut table = Timetable {
            incidents: Vec::new(),
            schedule,
            edges: 0,
        };
        for k in 0..1_000_000_u64 {
            assert_eq!(table.take_edge(f64::INFINITY), Some(k % 2 == 1));
        }
        // 500 000 periods of 0.3 s, then 0.1 s: within rounding of one product.
        assert!((table.edge() - 150_000.1).abs() < 1e-10);
        assert_eq!(table.take_edge(150_000.0), None);
    }

    #[test]
    fn incidents_come_by_time_then_by_their_place_in_the_file() {
        let mut table = Timetable {
            incidents: Vec::new(),
            schedule: None,
            edges: 0,
        };
        for (index, at) in [(0, 50.0), (1, 20.0), (2, 50.0), (3, 20.0)] {
            table.add(Due {
                at,
                index,
                what: Disturbance::PumpStops,
            });
        }
        assert_eq!(table.next(), 20.0);
        let mut order = Vec::new();
        while let Some(due) = table.take_incident(60.0) {
            order.push(due.index);
        }
        assert_eq!(order, [1, 3, 0, 2]);
        assert!(table.is_quiet() && table.next().is_infinite());
    }
}
