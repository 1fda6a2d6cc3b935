//! What a siphon does is judged while the pump runs: no pause proves that it breaks.

use crate::fixes::{find, judge};
use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use crate::told::Assessment;
use ebbwright::assessment::{CheckId, Status, Verdict};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{EventKind, Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;

const HOUR: f64 = 3600.0;

fn at(hours: f64, what: Disturbance) -> Incident {
    let at = IncidentTime::At(hours * HOUR);
    Incident { at, what }
}

fn timed(on: f64, off: f64) -> Option<Schedule> {
    let minutes = |m: f64| 60.0 * m;
    Some(Schedule {
        on: minutes(on),
        off: minutes(off),
    })
}

/// The system with a power cut for good, one that ends, a valve shut, and two timers.
fn interrupted(system: &System) -> Vec<(&'static str, System)> {
    use Disturbance::{PumpStarts, PumpStops, ValveShut};
    let with = |incidents: Vec<Incident>| System {
        incidents,
        ..system.clone()
    };
    let on_timer = |on: f64, off: f64| {
        let mut timed_system = system.clone();
        timed_system.pump.schedule = timed(on, off);
        timed_system
    };
    vec![
        ("power cut for good", with(vec![at(2.3, PumpStops)])),
        (
            "power cut of three hours",
            with(vec![at(2.3, PumpStops), at(5.3, PumpStarts)]),
        ),
        ("valve shut", with(vec![at(2.3, ValveShut(0))])),
        ("timer 45 and 15 min", on_timer(45.0, 15.0)),
        ("timer 20 and 40 min", on_timer(20.0, 40.0)),
    ]
}

/// The pump's whole flow through a tank above the bed.
fn by_gravity(litres: f64) -> System {
    let mut system = one_bed(litres, 0.5);
    system.tank = Some(Tank {
        shape: VesselShape::Box {
            length: 0.8,
            width: 0.5,
            depth: 0.6,
        },
        floor: 1.5,
        start_level: 2.0,
        overflow_level: 2.0,
        overflow_bore: 0.05,
        fed_by: TankFeed::WholePump,
        overflows_to: TankOutlet::Beds,
    });
    system
}

fn verdicts(assessment: &Assessment, name: &str) -> ([Verdict; 2], [Status; 2]) {
    let bed = &assessment.beds[0];
    let status = |id| find(assessment, id, name).status;
    (
        [bed.will_start, bed.will_break],
        [status(CheckId::Breaks), status(CheckId::InflowRatio)],
    )
}

// 60 L/min is past the stall near 37, 30 in doubt, 11 inside the window, 3 under its start.
#[test]
fn a_verdict_is_the_same_with_a_power_cut_a_shut_valve_or_a_timer() {
    let systems = [
        ("stalls", one_bed(60.0, 0.5)),
        ("in doubt", one_bed(30.0, 0.5)),
        ("works", one_bed(11.0, 0.5)),
        ("dribbles", one_bed(3.0, 0.5)),
        ("works, pumped", pumped_beds(1)),
        ("works by gravity", by_gravity(11.0)),
        ("stalls by gravity", by_gravity(60.0)),
    ];
    for (name, mut system) in systems {
        system.duration = Duration::Fixed(12.0 * HOUR);
        let bed = system.beds[0].name.clone();
        let plain = verdicts(&judge(&system, Metric), &bed);
        for (pause, system) in interrupted(&system) {
            let paused = verdicts(&judge(&system, Metric), &bed);
            assert_eq!(paused, plain, "{name}, {pause}");
        }
    }
}

// The cut stretches two cycles, and says nothing of how often the bed floods.
#[test]
fn a_power_cut_does_not_make_a_bed_flood_too_seldom() {
    let mut system = one_bed(10.0, 0.5);
    system.duration = Duration::Fixed(12.0 * HOUR);
    let period = |system: &System| {
        let assessment = judge(system, Metric);
        find(&assessment, CheckId::Period, "north").clone()
    };
    let plain = period(&system);
    system.incidents = vec![
        at(2.3, Disturbance::PumpStops),
        at(10.3, Disturbance::PumpStarts),
    ];
    let cut = period(&system);
    assert_eq!(cut.status, plain.status);
    assert!((cut.value / plain.value - 1.0).abs() < 0.02, "{cut:#?}");
}

// The siphon breaks since the power fails: it was fed 60 L/min and breaks under none.
#[test]
fn a_break_in_a_power_cut_is_no_proof() {
    let mut system = one_bed(60.0, 0.5);
    system.duration = Duration::Fixed(12.0 * HOUR);
    system.incidents = vec![at(2.3, Disturbance::PumpStops)];
    let run = simulate(&system, Sampling::None).unwrap();
    let mut events = run.events.iter();
    assert!(events.any(|event| event.kind == EventKind::Broke(0)));
    assert_eq!(run.beds[0].inflow_most_at_break, None);
    let assessment = judge(&system, Metric);
    let check = find(&assessment, CheckId::Breaks, "north");
    assert_eq!(check.status, Status::Fail);
    assert!((check.value - 60.0 * LITRE_PER_MINUTE).abs() < 1e-12);
    assert!(check.because.contains("which proves nothing"), "{check:#?}");
    let ratio = find(&assessment, CheckId::InflowRatio, "north");
    assert_eq!(ratio.status, Status::Fail);
}
