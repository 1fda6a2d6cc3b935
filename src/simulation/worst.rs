//! The moment of the cycle at which an incident does most to the sump.

use crate::model::{Disturbance, Duration, Incident, IncidentTime, System};
use crate::simulation::engine::{Engine, Stepping, Task, simulate, with_engine};
use crate::simulation::timetable::Due;
use crate::simulation::{EventKind, Run, RunEnd, Sampling, SimulationError};

/// How long after an incident the sump is watched for its lowest and highest level `[s]`.
///
/// Long enough for a full siphon to empty its bed and for a bed to run down to its
/// lip; a slow loss, such as a vessel that the air dries out, goes on after it.
pub const AFTERMATH: f64 = 4.0 * 3600.0;

/// Moments tried between two events at least, and in all.
const BETWEEN_EVENTS: usize = 3;
const IN_ALL: usize = 240;
/// Moments this close before and after each event are tried `[s]`.
const BESIDE: f64 = 1e-5;
/// Jumps of the answer are closed in to this `[s]`, smooth peaks to the next.
const JUMP_WIDTH: f64 = 1e-5;
const PEAK_WIDTH: f64 = 1e-2;
/// A run from the start meets events this much earlier or later at most `[s]`.
const SIDE: f64 = 0.1;
/// Levels closer than this are one level `[m]`.
const SAME_LEVEL: f64 = 1e-8;

/// An extreme sump level, and the moment of the incident that leads to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SumpExtreme {
    /// When the incident happens `[s]`.
    pub at: f64,
    /// Sump level that follows within [`AFTERMATH`], elevation `[m]`.
    pub level: f64,
}

/// What an incident can do to the sump, whenever in the cycle it happens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstMoments {
    /// Start of the time that was searched `[s]`.
    pub from: f64,
    /// End of the time that was searched `[s]`.
    pub to: f64,
    /// The moment that raises the sump highest.
    pub highest: SumpExtreme,
    /// The moment that leaves it lowest.
    pub lowest: SumpExtreme,
}

/// The moments at which incident `index` of `system` raises the sump highest and
/// leaves it lowest, whatever time the system gives it.
///
/// Searched is the last settled cycle with at least one period of the timer, or,
/// where nothing settles, everything from the first break of the last bed on.
/// Incidents at given times happen as given; others without a time are left out.
/// Tried are moments beside every event and between, then the jumps and peaks
/// among them; what follows each is simulated for [`AFTERMATH`].
///
/// # Errors
/// [`SimulationError::NoIncident`]; else those of a run.
pub fn worst_moments(system: &System, index: usize) -> Result<WorstMoments, SimulationError> {
    let what = system
        .incidents
        .get(index)
        .ok_or(SimulationError::NoIncident { index })?
        .what;
    let base = System {
        incidents: system
            .incidents
            .iter()
            .enumerate()
            .filter(|(i, incident)| *i != index && incident.at != IncidentTime::Worst)
            .map(|(_, incident)| incident.clone())
            .collect(),
        ..system.clone()
    };
    let values = system.coefficients.nominal();
    with_engine(&base, &values, Stepping::default(), Search { what })
}

/// The moment at which incident `index` of `system` does worst `[s]`, and the system
/// with the incident at that moment, to be simulated.
///
/// Worst is the highest sump level when the pump stops and the lowest when it starts
/// again; for other incidents, whichever comes nearer to the sump's overflow or to
/// the level at which the pump draws air. Other incidents that still wait for their
/// worst moment keep waiting. A run of fixed duration is lengthened to show what
/// follows.
///
/// # Errors
/// As [`worst_moments`].
pub fn worst_moment(system: &System, index: usize) -> Result<(f64, System), SimulationError> {
    let found = worst_moments(system, index)?;
    let what = system.incidents.get(index).map(|incident| incident.what);
    let dry = system.pump.least_level();
    let high = match what {
        Some(Disturbance::PumpStops) => true,
        Some(Disturbance::PumpStarts) => false,
        _ => system.sump.overflow_level - found.highest.level <= found.lowest.level - dry,
    };
    let at = if high {
        found.highest.at
    } else {
        found.lowest.at
    };
    let mut resolved = system.clone();
    if let Some(incident) = resolved.incidents.get_mut(index) {
        *incident = Incident {
            at: IncidentTime::At(at),
            ..incident.clone()
        };
    }
    if let Duration::Fixed(seconds) = &mut resolved.duration {
        *seconds = seconds.max(at + AFTERMATH);
    }
    Ok((at, resolved))
}

/// `system` with every incident that waits for its worst moment put there, in file
/// order, and the places of those incidents in [`System::incidents`].
///
/// Each is searched with those before it at their moments and those after it left
/// out; see [`worst_moment`].
///
/// # Errors
/// As [`worst_moments`].
pub fn resolve_worst(system: &System) -> Result<(System, Vec<usize>), SimulationError> {
    let mut resolved = system.clone();
    let mut placed = Vec::new();
    for (index, incident) in system.incidents.iter().enumerate() {
        if incident.at == IncidentTime::Worst {
            resolved = beside(worst_moment(&resolved, index)?.1, index)?;
            placed.push(index);
        }
    }
    Ok((resolved, placed))
}

/// `system` with incident `index` moved to the side of its moment that does worse.
///
/// The worst moment often lies at an event. A run from the start meets that event a
/// little earlier or later than the search did, and the incident on its other side.
fn beside(system: System, index: usize) -> Result<System, SimulationError> {
    let Some(&Incident {
        at: IncidentTime::At(at),
        what,
    }) = system.incidents.get(index)
    else {
        return Ok(system);
    };
    let dry = system.pump.least_level();
    let mut worst = (f64::INFINITY, at);
    for moment in [at, at - SIDE, at + SIDE] {
        let mut trial = system.clone();
        trial.incidents[index].at = IncidentTime::At(moment.max(0.0));
        // Those that still wait come after this one, so its place stays.
        trial
            .incidents
            .retain(|incident| incident.at != IncidentTime::Worst);
        let run = simulate(&trial, Sampling::None)?;
        let Some(after) = run
            .incidents
            .iter()
            .find(|incident| incident.index == index)
        else {
            continue;
        };
        let (over, under) = (
            system.sump.overflow_level - after.highest,
            after.lowest - dry,
        );
        let left = match what {
            Disturbance::PumpStops => over,
            Disturbance::PumpStarts => under,
            _ => over.min(under),
        };
        if left < worst.0 {
            worst = (left, moment.max(0.0));
        }
    }
    let mut moved = system;
    moved.incidents[index].at = IncidentTime::At(worst.1);
    Ok(moved)
}

struct Search {
    what: Disturbance,
}

/// What follows an incident at one moment.
#[derive(Clone)]
struct Trial {
    at: f64,
    lowest: f64,
    highest: f64,
    /// Events that follow: where they change, the answer may jump.
    events: Vec<EventKind>,
}

impl Task for Search {
    type Answer = WorstMoments;

    fn run<const B: usize, const N: usize>(
        self,
        mut engine: Engine<'_, B, N>,
    ) -> Result<WorstMoments, SimulationError> {
        let (end, may_settle) = engine.duration()?;
        let period = engine
            .system
            .pump
            .schedule
            .map_or(0.0, |timer| timer.on + timer.off);
        // One engine for each stretch: every moment in it goes on from its copy.
        let mut starts: Vec<Engine<'_, B, N>> = Vec::new();
        let run = engine.run(Sampling::None, end, may_settle, |here| {
            starts.push(here.clone())
        })?;
        let (from, to) = window(&run, period);
        let mut trials = Trials {
            what: self.what,
            starts,
            list: Vec::new(),
        };
        trials.spread(from, to)?;
        let highest = trials.refine(|trial| trial.highest)?;
        let lowest = trials.refine(|trial| -trial.lowest)?;
        Ok(WorstMoments {
            from,
            to,
            highest: SumpExtreme {
                at: highest.at,
                level: highest.highest,
            },
            lowest: SumpExtreme {
                at: lowest.at,
                level: lowest.lowest,
            },
        })
    }
}

/// The time to search in a run without the incident `[s]`.
fn window(run: &Run, timer: f64) -> (f64, f64) {
    if let RunEnd::Settled { at } = run.ended {
        let cycles = run.beds.iter().filter_map(|bed| bed.cycles.last());
        let longest = cycles.map(|cycle| cycle.period()).fold(timer, f64::max);
        return ((at - longest).max(0.0), at);
    }
    let first = run
        .beds
        .iter()
        .filter_map(|bed| bed.cycles.first())
        .map(|cycle| cycle.began)
        .fold(0.0, f64::max);
    let from = if first < run.duration { first } else { 0.0 };
    (from, run.duration)
}

struct Trials<'a, const B: usize, const N: usize> {
    what: Disturbance,
    starts: Vec<Engine<'a, B, N>>,
    /// By rising moment.
    list: Vec<Trial>,
}

impl<const B: usize, const N: usize> Trials<'_, B, N> {
    /// Simulates what follows the incident at `at` `[s]`.
    fn trial(&self, at: f64) -> Result<Trial, SimulationError> {
        let k = self
            .starts
            .partition_point(|engine| engine.here.t <= at)
            .max(1)
            - 1;
        let mut engine = self.starts[k].clone();
        engine.timetable.add(Due {
            at,
            index: 0,
            what: self.what,
        });
        let run = engine.run(Sampling::None, at + AFTERMATH, false, |_| {})?;
        let after = run
            .incidents
            .iter()
            .find(|incident| (incident.time - at).abs() < BESIDE);
        let (lowest, highest) = after.map_or((f64::NAN, f64::NAN), |incident| {
            (incident.lowest, incident.highest)
        });
        let events = run
            .events
            .iter()
            .filter(|event| event.time >= at)
            .map(|event| event.kind);
        Ok(Trial {
            at,
            lowest,
            highest,
            events: events.collect(),
        })
    }

    fn insert(&mut self, at: f64) -> Result<(), SimulationError> {
        let k = self.list.partition_point(|trial| trial.at < at);
        if self.list.get(k).is_none_or(|trial| trial.at > at) {
            let trial = self.trial(at)?;
            self.list.insert(k, trial);
        }
        Ok(())
    }

    /// Tries moments beside every event and between them.
    fn spread(&mut self, from: f64, to: f64) -> Result<(), SimulationError> {
        let inside = |t: f64| t > from && t < to;
        let mut edges: Vec<f64> = self
            .starts
            .iter()
            .map(|engine| engine.here.t)
            .filter(|&t| inside(t))
            .collect();
        edges.insert(0, from);
        edges.push(to);
        edges.dedup_by(|b, a| *b - *a < 4.0 * BESIDE);
        let least = (to - from) / IN_ALL as f64;
        for pair in edges.windows(2) {
            let (a, b) = (pair[0] + BESIDE, pair[1] - BESIDE);
            let count = (((b - a) / least).ceil() as usize).max(BETWEEN_EVENTS);
            for k in 0..=count {
                self.insert(a + (b - a) * k as f64 / count as f64)?;
            }
        }
        Ok(())
    }

    /// The trial with the greatest `goal`, jumps and peaks closed in.
    fn refine(&mut self, goal: impl Fn(&Trial) -> f64) -> Result<Trial, SimulationError> {
        let pairs: Vec<(Trial, Trial)> = self
            .list
            .windows(2)
            .map(|pair| (pair[0].clone(), pair[1].clone()))
            .collect();
        for (low, high) in pairs {
            let jumps = low.events != high.events && (goal(&low) - goal(&high)).abs() > SAME_LEVEL;
            if jumps {
                self.close_in(low, high)?;
            }
        }
        let best = self
            .list
            .iter()
            .map(&goal)
            .fold(f64::NEG_INFINITY, f64::max);
        let peaks: Vec<(f64, f64)> = self
            .list
            .windows(3)
            .filter(|three| {
                let [a, b, c] = [goal(&three[0]), goal(&three[1]), goal(&three[2])];
                // What a peak between the moments may add is of the order of what
                // separates them.
                b >= a && b >= c && b + (b - a).max(b - c) >= best
            })
            .map(|three| (three[0].at, three[2].at))
            .collect();
        for (low, high) in peaks {
            self.climb(low, high, &goal)?;
        }
        let best = self.list.iter().max_by(|a, b| goal(a).total_cmp(&goal(b)));
        best.cloned()
            .ok_or(SimulationError::NoTime { seconds: 0.0 })
    }

    /// Halves between two moments after which different events follow.
    fn close_in(&mut self, mut low: Trial, mut high: Trial) -> Result<(), SimulationError> {
        while high.at - low.at > JUMP_WIDTH {
            let middle = self.trial(0.5 * (low.at + high.at))?;
            self.list.push(middle.clone());
            if middle.events == low.events {
                low = middle
            } else {
                high = middle
            }
        }
        self.list.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok(())
    }

    /// Golden-section search for a peak.
    fn climb(
        &mut self,
        mut low: f64,
        mut high: f64,
        goal: impl Fn(&Trial) -> f64,
    ) -> Result<(), SimulationError> {
        const SHARE: f64 = 0.381_966_011_250_105_2;
        let mut left = self.trial(low + SHARE * (high - low))?;
        let mut right = self.trial(high - SHARE * (high - low))?;
        while high - low > PEAK_WIDTH {
            if goal(&left) >= goal(&right) {
                high = right.at;
                right = left;
                left = self.trial(low + SHARE * (high - low))?;
            } else {
                low = left.at;
                left = right;
                right = self.trial(high - SHARE * (high - low))?;
            }
        }
        self.list.extend([left, right]);
        self.list.sort_by(|a, b| a.at.total_cmp(&b.at));
        Ok(())
    }
}
