//! Power cuts, restarts and blocked parts.

use crate::support::{LITRE_PER_MINUTE, bed, one_bed, pumped_beds, system};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::model::{
    Disturbance, DrainLine, DrainTarget, Duration, Incident, IncidentTime, Inlet, Schedule, System,
};
use ebbwright::simulation::{
    AFTERMATH, EventKind, Run, RunEnd, Sampling, SimulationError, simulate, worst_moment,
    worst_moments,
};

fn at(hours: f64, what: Disturbance) -> Incident {
    Incident {
        at: IncidentTime::At(hours * 3600.0),
        what,
    }
}

fn times(run: &Run, kind: EventKind) -> Vec<f64> {
    run.events
        .iter()
        .filter(|event| event.kind == kind)
        .map(|event| event.time)
        .collect()
}

fn two_beds() -> System {
    let beds = vec![
        bed("north", 1.0, 0.5, Inlet::Share(0.5)),
        bed("south", 1.0, 0.5, Inlet::Share(0.5)),
    ];
    let mut system = system(beds, 20.0 * LITRE_PER_MINUTE, Duration::Fixed(4.0 * 3600.0));
    system.beds[1].start_depth = Some(1.12 - system.beds[1].floor);
    system
}

#[test]
fn incidents_happen_by_time_whatever_their_order_in_the_file() {
    let mut system = one_bed(10.0, 0.5);
    system.duration = Duration::Fixed(3.0 * 3600.0);
    system.incidents = vec![
        at(2.0, Disturbance::PumpStarts),
        at(1.0, Disturbance::PumpStops),
    ];
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    assert_eq!(times(&run, EventKind::PumpStopped), [3600.0]);
    assert_eq!(times(&run, EventKind::PumpStarted), [7200.0]);
    let order: Vec<usize> = run
        .incidents
        .iter()
        .map(|incident| incident.index)
        .collect();
    assert_eq!(order, [1, 0]);
    for (k, &t) in run.recording.time.iter().enumerate() {
        let runs = run.recording.pump_flow[k] > 0.0;
        if t > 3600.0 && t < 7200.0 {
            assert!(!runs)
        } else if t < 3600.0 {
            assert!(runs)
        }
    }
    assert!(
        times(&run, EventKind::Broke(0)).iter().any(|&t| t > 7200.0),
        "it cycles again"
    );
}

// Events at one moment apply in the order of the design: incident, timer, the rest.
#[test]
fn an_incident_comes_before_the_timer() {
    let mut system = one_bed(10.0, 0.5);
    system.pump.schedule = Some(Schedule {
        on: 1800.0,
        off: 600.0,
    });
    system.duration = Duration::Fixed(2.0 * 3600.0);
    system.incidents = vec![at(0.5, Disturbance::PumpStops)];
    let run = simulate(&system, Sampling::None).unwrap();
    let kinds: Vec<EventKind> = run
        .events
        .iter()
        .filter(|e| e.time == 1800.0)
        .map(|e| e.kind)
        .collect();
    assert_eq!(kinds, [EventKind::PumpStopped, EventKind::PumpSwitchedOff]);
    // The timer goes on, the pump does not.
    assert_eq!(times(&run, EventKind::PumpSwitchedOn).len(), 2);
    assert_eq!(run.supply.stops, 1);
}

// A settled run goes on until its incident has happened and shows what follows.
#[test]
fn a_run_until_settled_waits_for_its_incident() {
    let mut system = one_bed(10.0, 0.5);
    let quiet = simulate(&system, Sampling::None).unwrap();
    assert!(quiet.duration < 6.0 * 3600.0);
    system.incidents = vec![at(6.0, Disturbance::PumpStops)];
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(times(&run, EventKind::PumpStopped), [6.0 * 3600.0]);
    assert!(
        matches!(run.ended, RunEnd::Standing { .. }),
        "{:?}",
        run.ended
    );
    assert!(run.duration < 12.0 * 3600.0);
}

// Nothing passes: the bed fills at its inflow to the wall, V/Q, and goes over it.
#[test]
fn a_blocked_siphon_fills_its_bed_to_the_wall() {
    let mut system = two_beds();
    system.incidents = vec![at(1.0, Disturbance::SiphonBlocked(0))];
    let run = simulate(&system, Sampling::Every(30.0)).unwrap();
    let series = &run.recording;
    let k = series.time.iter().position(|&t| t == 3600.0).unwrap();
    let storage = ebbwright::model::BedStorage::new(&system.beds[0]);
    let missing = storage.volume(1.35) - storage.volume(series.beds[0].level[k]);
    let over = times(&run, EventKind::BedOverflowBegan(0))[0];
    let exact = 3600.0 + missing / (10.0 * LITRE_PER_MINUTE);
    assert!((over - exact).abs() < 1e-5, "{over} {exact}");
    for (k, &t) in series.time.iter().enumerate() {
        if t > 3600.0 {
            assert_eq!(series.beds[0].siphon_flow[k], 0.0);
        }
    }
    assert!(
        times(&run, EventKind::Broke(1)).iter().any(|&t| t > 3600.0),
        "the other goes on"
    );
}

#[test]
fn a_shut_valve_sends_its_water_to_the_other_bed() {
    let mut system = pumped_beds(2);
    system.duration = Duration::Fixed(4.0 * 3600.0);
    system.incidents = vec![at(2.0, Disturbance::ValveShut(0))];
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    // The second bed then gets what it gets alone: the tree without the first.
    let mut alone = system.clone();
    alone.incidents.clear();
    alone.beds.remove(0);
    let tree = ebbwright::network::supply::SupplyTree::new(&alone);
    let series = &run.recording;
    for (k, &t) in series.time.iter().enumerate() {
        if t > 7200.0 {
            assert_eq!(series.beds[0].inflow[k], 0.0);
            let expected = tree.duty(series.sump_level[k]).bed_flows[0];
            assert!((series.beds[1].inflow[k] / expected - 1.0).abs() < 1e-6);
        }
    }
}

// Half the area of a line is a round pipe of 0.707 of its bore (areas), and Manning's
// capacity goes with the bore to 8/3.
#[test]
fn a_partly_blocked_line_carries_less() {
    let mut system = two_beds();
    for (i, bed) in system.beds.iter_mut().enumerate() {
        bed.siphon.drain.into = DrainTarget::Line { at: 1.0 + i as f64 };
    }
    system.drain_line = Some(DrainLine {
        run: PipeRun {
            bore: 0.06,
            length: 3.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 0.5,
        },
        slope: 0.02,
        outlet: 0.45,
        vented: true,
    });
    let free = simulate(&system, Sampling::None).unwrap().line.unwrap();
    system.incidents = vec![at(1.0, Disturbance::LineBlocked(0.5))];
    let run = simulate(&system, Sampling::None).unwrap();
    let line = run.line.unwrap();
    let ratio = line.capacity / free.capacity;
    assert!((ratio - 0.5_f64.powf(4.0 / 3.0)).abs() < 1e-9, "{ratio}");
    assert_eq!(times(&run, EventKind::LineBlocked), [3600.0]);
    assert!(line.peak_fill > free.peak_fill);
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
}

#[test]
fn the_worst_moment_must_be_searched_first() {
    let mut system = one_bed(10.0, 0.5);
    system.incidents = vec![Incident {
        at: IncidentTime::Worst,
        what: Disturbance::PumpStops,
    }];
    let refused = simulate(&system, Sampling::None).unwrap_err();
    assert_eq!(refused, SimulationError::WorstUnresolved { index: 0 });
    let none = worst_moment(&system, 3).unwrap_err();
    assert_eq!(none, SimulationError::NoIncident { index: 3 });
}

/// Numbers spread over 0 to 1 without any order (golden section).
fn scattered(count: u32) -> impl Iterator<Item = f64> {
    (1..=count).map(|k| (f64::from(k) * 0.618_033_988_749_894_9).fract())
}

/// Sump levels that follow the incident at `t` by a whole run from t = 0.
fn followed(system: &System, t: f64) -> (f64, f64) {
    let mut system = system.clone();
    system.incidents[0].at = IncidentTime::At(t);
    system.duration = Duration::Fixed(t + AFTERMATH);
    let run = simulate(&system, Sampling::None).unwrap();
    (run.incidents[0].lowest, run.incidents[0].highest)
}

/// That no sampled moment is worse than the found ones.
fn no_moment_is_worse(system: &System, samples: u32) {
    let found = worst_moments(system, 0).unwrap();
    assert!(found.to > found.from);
    for share in scattered(samples) {
        let t = found.from + share * (found.to - found.from);
        let (low, high) = followed(system, t);
        assert!(high <= found.highest.level + 1e-6, "{t}: {high} {found:?}");
        assert!(low >= found.lowest.level - 1e-6, "{t}: {low} {found:?}");
    }
    // And what was found is so.
    let (_, high) = followed(system, found.highest.at);
    assert!(
        (high - found.highest.level).abs() < 1e-6,
        "{high} {found:?}"
    );
    let (low, _) = followed(system, found.lowest.at);
    assert!((low - found.lowest.level).abs() < 1e-6, "{low} {found:?}");
}

fn cut(mut system: System) -> System {
    system.incidents = vec![Incident {
        at: IncidentTime::Worst,
        what: Disturbance::PumpStops,
    }];
    system
}

#[test]
fn no_sampled_power_cut_is_worse_than_the_worst() {
    no_moment_is_worse(&cut(one_bed(10.0, 0.5)), 150);
}

// With a tall cap priming takes half a minute. Cut early in it, the siphon gives up and
// the bed stays full; cut later, it still starts and gives the sump all it has, on top
// of the riser, which gives most while the sump is low. As the other bed is filling the
// sump all the while, the worst moment comes just after one that is no event of the run
// without the cut.
#[test]
fn a_jump_between_events_is_found() {
    let mut system = cut(two_beds());
    system.duration = Duration::Fixed(1.4 * 3600.0);
    system.beds[1].start_depth = Some(1.06 - system.beds[1].floor);
    system.supply.trunk.bore = 0.10;
    for bed in &mut system.beds {
        bed.siphon.bell.clearance = 0.12;
    }
    let found = worst_moments(&system, 0).unwrap();
    let mut quiet = system.clone();
    quiet.incidents.clear();
    let run = simulate(&quiet, Sampling::None).unwrap();
    let worst = found.highest.at;
    let began = times(&run, EventKind::PrimingBegan(0))
        .into_iter()
        .rfind(|&t| t < worst)
        .unwrap();
    let full = times(&run, EventKind::FullBoreBegan(0))
        .into_iter()
        .find(|&t| t > began)
        .unwrap();
    assert!(
        worst > began + 1.0 && worst < full - 1.0,
        "{worst} between {began} and {full}"
    );
    for share in scattered(200) {
        let t = began + share * (full - began);
        let (low, high) = followed(&system, t);
        assert!(high <= found.highest.level + 1e-6, "{t}: {high} {found:?}");
        assert!(low >= found.lowest.level - 1e-6, "{t}: {low} {found:?}");
    }
}

#[test]
fn no_sampled_power_cut_of_a_timed_pair_is_worse() {
    let mut system = cut(pumped_beds(2));
    system.pump.schedule = Some(Schedule {
        on: 1500.0,
        off: 400.0,
    });
    system.duration = Duration::Fixed(5.0 * 3600.0);
    no_moment_is_worse(&system, 60);
}

#[test]
fn no_sampled_blockage_is_worse() {
    let mut system = one_bed(10.0, 0.5);
    system.incidents = vec![Incident {
        at: IncidentTime::Worst,
        what: Disturbance::SiphonBlocked(0),
    }];
    no_moment_is_worse(&system, 40);
}

// Volumes: the sump is highest when the bed has been emptied by its siphon after the
// cut, to the break level, and the riser has run back; no cut can give it more.
#[test]
fn the_worst_cut_of_one_bed_is_known_by_volumes() {
    let system = cut(one_bed(10.0, 0.5));
    let (t, resolved) = worst_moment(&system, 0).unwrap();
    assert_eq!(resolved.incidents[0].at, IncidentTime::At(t));
    let run = simulate(&resolved, Sampling::None).unwrap();
    let trunk = std::f64::consts::FRAC_PI_4 * 0.0266 * 0.0266 * 2.0;
    // It started at its break level, so all it can give is the riser.
    let most = 0.40 + trunk / 0.96;
    let found = run.incidents[0].highest;
    assert!(found <= most && found > most - 0.003, "{found} {most}");
}
