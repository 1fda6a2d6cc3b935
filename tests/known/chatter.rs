//! Systems that switch to and fro without end are held where they do, not refused.

use crate::support::{LITRE_PER_MINUTE, bed, one_bed, system};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Duration, Inlet, System, TopOff};
use ebbwright::simulation::{EventKind, Hang, Regime, Run, Sampling, simulate};

fn hangs(run: &Run, part: Hang) -> usize {
    let kind = EventKind::Hangs(part);
    run.events.iter().filter(|event| event.kind == kind).count()
}

fn small_sump(side: f64) -> VesselShape {
    VesselShape::Box {
        length: side,
        width: side,
        depth: 0.6,
    }
}

// A sump of 10 mm x 10 mm holds 1 mL in the pump's recovery height: while the
// siphon runs, the pump empties and regains it many times a second.
#[test]
fn a_sump_like_a_drinking_straw_lets_its_pump_deliver_what_comes_in() {
    let mut system = one_bed(57.0, 0.5);
    system.sump.shape = small_sump(0.01);
    system.sump.start_level = 0.3;
    system.beds[0].start_depth = Some(1.30 - system.beds[0].floor);
    system.duration = Duration::Fixed(2.0 * 3600.0);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(hangs(&run, Hang::Pump) > 0);
    assert!(run.events.len() < 2000, "{} events", run.events.len());
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
    assert!(run.sump.level.min >= 0.0);
    let words = EventKind::Hangs(Hang::Pump).in_words(&system);
    assert!(words.contains("the pump hangs at its cover"), "{words}");
}

/// A float valve gives 2 L/min, the pump could take 10: at its cover it delivers 2.
fn fed_by_a_float_valve(side: f64, minutes: f64) -> System {
    let bed = bed("north", 1.0, 0.5, Inlet::Share(1.0));
    let time = Duration::Fixed(60.0 * minutes);
    let mut system = system(vec![bed], 10.0 * LITRE_PER_MINUTE, time);
    system.sump.shape = small_sump(side);
    system.sump.start_level = 0.085;
    system.top_off = Some(TopOff {
        level: 0.4,
        flow: 2.0 * LITRE_PER_MINUTE,
        bore: 0.0136,
        reservoir: None,
    });
    system
}

#[test]
fn a_pump_at_its_cover_delivers_exactly_what_comes_in() {
    let system = fed_by_a_float_valve(0.05, 40.0);
    let run = simulate(&system, Sampling::Every(10.0)).unwrap();
    assert_eq!(hangs(&run, Hang::Pump), 1);
    assert!(run.events.len() < 60, "{} events", run.events.len());
    // From where it hangs on the bed gets 2 L/min and the pump runs a fifth of the time.
    let inflow = *run.recording.beds[0].inflow.last().unwrap();
    assert!(
        (inflow / (2.0 * LITRE_PER_MINUTE) - 1.0).abs() < 1e-9,
        "{inflow}"
    );
    assert!(
        (run.sump.ran_dry / (0.8 * 2400.0) - 1.0).abs() < 0.02,
        "{}",
        run.sump.ran_dry
    );
    assert!(run.residual.abs() <= 1e-12 * run.water_at_start);
}

// Slow enough to pass any count within seconds, often enough to fill a memory.
#[test]
fn a_pump_that_hunts_every_few_seconds_does_not_fill_the_list_of_events() {
    let system = fed_by_a_float_valve(0.2, 50.0);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(hangs(&run, Hang::Pump) > 0);
    assert!(run.events.len() < 100, "{} events", run.events.len());
}

#[test]
fn a_pump_that_hangs_recovers_when_enough_comes_in() {
    let mut system = fed_by_a_float_valve(0.05, 90.0);
    // Over its lip the bed returns what it gets: then more comes in than the pump takes.
    system.beds[0].start_depth = Some(1.20 - system.beds[0].floor);
    let run = simulate(&system, Sampling::None).unwrap();
    let hung = run
        .events
        .iter()
        .position(|e| e.kind == EventKind::Hangs(Hang::Pump));
    let after = &run.events[hung.unwrap()..];
    assert!(after.iter().any(|e| e.kind == EventKind::PumpRecovered));
}

// A row of alike beds does everything at the same moment.
#[test]
fn many_beds_that_switch_together_are_not_taken_for_chatter() {
    let count = 250;
    let beds = (0..count)
        .map(|i| {
            let mut bed = bed(
                &format!("bed {i}"),
                1.0,
                0.5,
                Inlet::Share(1.0 / f64::from(count)),
            );
            bed.start_depth = Some(1.20 - bed.floor);
            bed
        })
        .collect();
    let flow = 9.0 * LITRE_PER_MINUTE * f64::from(count);
    let mut system = system(beds, flow, Duration::Fixed(1500.0));
    system.sump.shape = VesselShape::Box {
        length: 100.0,
        width: 10.0,
        depth: 0.6,
    };
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(run.events.len() >= 4 * 250, "{} events", run.events.len());
    assert!(
        !run.events
            .iter()
            .any(|e| matches!(e.kind, EventKind::Hangs(_)))
    );
}

// 200 mm wide, 2 L/min, 21.2 mm pipe: the first siphon many people build. Over its lip it
// settles within seconds, and has two days to stand there.
#[test]
fn a_bucket_that_dribbles_stands_at_the_weir_s_level() {
    let mut system = one_bed(2.0, 0.5);
    let bed = &mut system.beds[0];
    bed.shape = VesselShape::UprightCylinder {
        diameter: 0.2,
        depth: 0.35,
    };
    bed.siphon.standpipe.bore = 0.0212;
    bed.siphon.standpipe.outside = 0.0268;
    bed.siphon.standpipe.lip_diameter = 0.0212;
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(run.beds[0].regime, Regime::Dribbles);
    // Q = Cw pi d h^1.5 with Cw = 1.80 (from memory: USBR, Design of Small Dams).
    let head = (2.0 * LITRE_PER_MINUTE / (1.80 * std::f64::consts::PI * 0.0212)).powf(2.0 / 3.0);
    let level = run.beds[0].peak_level;
    assert!((level - 1.225 - head).abs() < 2e-4, "{level}, {head}");
    assert!(run.work.steps < 2000, "{} steps", run.work.steps);
}

#[test]
fn a_bucket_over_its_lip_settles_as_the_differential_equation_says() {
    let mut system = one_bed(2.0, 0.5);
    let bed = &mut system.beds[0];
    bed.shape = VesselShape::UprightCylinder {
        diameter: 0.2,
        depth: 0.35,
    };
    bed.siphon.standpipe.bore = 0.0212;
    bed.siphon.standpipe.outside = 0.0268;
    bed.siphon.standpipe.lip_diameter = 0.0212;
    bed.start_depth = Some(1.2249 - bed.floor);
    system.duration = Duration::Fixed(900.0);
    let run = simulate(&system, Sampling::Every(0.25)).unwrap();
    let over = run.recording.beds[0]
        .level
        .iter()
        .rposition(|level| *level <= 1.225)
        .unwrap();
    // dh/dt = (Q - Cw pi d h^1.5) / A by small explicit steps of the midpoint rule; A is that
    // of the water between the grains, from how fast the level rises below the lip.
    let series = &run.recording;
    let (q, weir) = (2.0 * LITRE_PER_MINUTE, 1.80 * std::f64::consts::PI * 0.0212);
    let area = 0.4 * std::f64::consts::PI * 0.01;
    let rate = |h: f64| (q - weir * h.max(0.0).powf(1.5)) / area;
    let (mut h, mut t, dt) = (0.0_f64, series.time[over], 1e-4);
    for k in over + 1..series.time.len().min(over + 120) {
        while t < series.time[k] - 0.5 * dt {
            h += dt * rate(h + 0.5 * dt * rate(h));
            t += dt;
        }
        let level = series.beds[0].level[k] - 1.225;
        assert!((level - h).abs() < 1e-4, "{t}: {level}, {h}");
    }
}

#[test]
fn a_year_without_events_takes_few_steps_and_rows() {
    let mut system = one_bed(9.0, 0.5);
    let year = 8760.0 * 3600.0;
    system.duration = Duration::Fixed(year);
    system.evaporation = 1e-8;
    system.beds[0].inlet = Inlet::Share(0.0);
    system.beds[0].start_depth = Some(1.05 - system.beds[0].floor);
    let run = simulate(&system, Sampling::Thinned(10.0)).unwrap();
    // Nothing but the air takes water: 0.315 m3 of it over 1.2 m x 0.8 m.
    let level = *run.recording.sump_level.last().unwrap();
    assert!(
        (level - (0.40 - 1e-8 * year / 0.96)).abs() < 1e-9,
        "{level}"
    );
    assert_eq!(run.duration, year);
    assert!(run.work.steps < 15_000, "{} steps", run.work.steps);
    assert!(
        run.recording.time.len() < 100,
        "{} rows",
        run.recording.time.len()
    );
}
