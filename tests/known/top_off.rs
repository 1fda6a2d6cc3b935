//! Float valve, evaporation, and the ledger of water over days.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::model::{Duration, System, TopOff};
use ebbwright::simulation::{EventKind, Run, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;

const DAY: f64 = 86_400.0;
const LITRE_PER_DAY: f64 = 1e-3 / DAY;
/// Area of the sump of the test systems [m2].
const SUMP: f64 = 1.2 * 0.8;

fn times(run: &Run, kind: EventKind) -> Vec<f64> {
    run.events
        .iter()
        .filter(|event| event.kind == kind)
        .map(|event| event.time)
        .collect()
}

/// A bed that stands over its lip and passes what comes, so that the sump only
/// loses to the air and gains from the valve.
fn still(days: f64, evaporation: f64, valve: Option<TopOff>) -> System {
    let mut system = one_bed(4.0, 0.5);
    let values = system.coefficients.nominal();
    let law = SiphonLaw::new(&system.beds[0], &system.water, &values);
    system.beds[0].start_depth =
        Some(law.lip() + law.standing_head(4.0 * LITRE_PER_MINUTE) - system.beds[0].floor);
    system.duration = Duration::Fixed(days * DAY);
    system.evaporation = evaporation * LITRE_PER_DAY;
    system.top_off = valve;
    system
}

fn valve(level: f64, litres_per_minute: f64) -> TopOff {
    TopOff {
        level,
        flow: litres_per_minute * LITRE_PER_MINUTE,
        bore: 0.006,
        reservoir: None,
    }
}

// Closed form: a constant loss lowers a straight-walled sump by E t / A.
#[test]
fn the_air_takes_its_share_of_the_sump() {
    let run = simulate(&still(2.0, 30.0, None), Sampling::Every(3600.0)).unwrap();
    let level = *run.recording.sump_level.last().unwrap();
    assert!((level - (0.40 - 0.060 / SUMP)).abs() < 1e-6, "{level}");
    assert!(run.top_off.is_none());
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
}

#[test]
fn an_empty_sump_loses_nothing_more() {
    let mut system = still(20.0, 100.0, None);
    system.sump.start_level = 0.2;
    let run = simulate(&system, Sampling::None).unwrap();
    // Once the pump draws air at 0.08 m only the air takes water, then the bed runs
    // down to its lip; nothing goes below the floor.
    assert!(!times(&run, EventKind::SumpEmptied).is_empty());
    assert!(run.sump.level.min >= 0.0 && run.sump.level.min < 0.001);
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
}

// Closed form: what comes in goes into the air, Q t of it, and the last half millimetre stays.
#[test]
fn an_empty_sump_gives_the_air_what_comes_in_and_does_not_flicker() {
    let mut system = still(1.0, 1000.0, Some(valve(0.55, 0.1)));
    system.beds[0].start_depth = None;
    system.pump.intake_level = 0.3;
    system.sump.start_level = 0.05;
    let run = simulate(&system, Sampling::None).unwrap();
    assert_eq!(times(&run, EventKind::SumpEmptied).len(), 1);
    assert_eq!(times(&run, EventKind::SumpWetted).len(), 0);
    assert!(run.work.events < 10, "{}", run.work.events);
    let top_off = run.top_off.unwrap();
    let took = 0.144 + (0.05 - 0.0005) * SUMP;
    assert!((top_off.added - 0.144).abs() < 1e-9, "{}", top_off.added);
    assert!(
        (top_off.evaporated - took).abs() < 1e-7,
        "{} {took}",
        top_off.evaporated
    );
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
}

// Closed form: open by x of its travel the valve gives x Q; it stands where x Q = E.
#[test]
fn the_valve_stands_where_it_gives_what_the_air_takes() {
    for (evaporation, litres_per_minute) in [(100.0, 0.5), (20.0, 2.0), (500.0, 0.5)] {
        let system = still(1.0, evaporation, Some(valve(0.399, litres_per_minute)));
        let run = simulate(&system, Sampling::Every(60.0)).unwrap();
        let open = evaporation * LITRE_PER_DAY / (litres_per_minute * LITRE_PER_MINUTE);
        let level = *run.recording.sump_level.last().unwrap();
        assert!(
            (level - (0.399 - 0.005 * open)).abs() < 1e-7,
            "{level} {open}"
        );
        let top_off = run.top_off.unwrap();
        let first = (0.40 - level) * SUMP;
        assert!((top_off.added - (top_off.evaporated - first)).abs() < 1e-7);
        assert!((top_off.evaporated - evaporation * 1e-3).abs() < 1e-12);
    }
}

// Closed form: shut until E t / A has taken the millimetre above its level.
#[test]
fn it_opens_when_its_level_is_reached() {
    let run = simulate(&still(1.0, 100.0, Some(valve(0.399, 0.5))), Sampling::None).unwrap();
    let opens = times(&run, EventKind::FloatValveOpened);
    assert_eq!(opens.len(), 1);
    // The bed stands at its weir head only to rounding of the formula.
    let exact = 0.001 * SUMP / (100.0 * LITRE_PER_DAY);
    assert!(
        (opens[0] / exact - 1.0).abs() < 1e-4,
        "{} {exact}",
        opens[0]
    );
}

// Closed form: far below its level it is open and gives Q, so a reservoir of V lasts V/Q.
#[test]
fn a_reservoir_is_spent_after_volume_over_flow() {
    let system = still(
        1.0,
        0.0,
        Some(TopOff {
            reservoir: Some(0.030),
            ..valve(0.55, 0.1)
        }),
    );
    let run = simulate(&system, Sampling::None).unwrap();
    let spent = run.top_off.unwrap().reservoir_spent.unwrap();
    assert!((spent - 300.0 * 60.0).abs() < 1e-5, "{spent}");
    assert!((run.top_off.unwrap().added - 0.030).abs() < 1e-12);
    let level = 0.40 + 0.030 / SUMP;
    assert!((run.sump.level.max - level).abs() < 1e-6);
}

/// A cycling bed, its sump swinging, with a valve at `level`.
fn swinging(level: f64, days: f64) -> System {
    let mut system = one_bed(10.0, 0.5);
    system.duration = Duration::Fixed(days * DAY);
    system.evaporation = 6.0 * LITRE_PER_DAY;
    system.top_off = Some(valve(level, 2.0));
    system
}

/// The lowest that the sump stands without a valve or losses.
fn lowest() -> f64 {
    let mut system = swinging(0.0, 0.2);
    system.top_off = None;
    system.evaporation = 0.0;
    simulate(&system, Sampling::None).unwrap().sump.level.min
}

// A valve under the lowest normal level gives back what the air takes and no more.
#[test]
fn a_low_valve_only_replaces_losses() {
    let run = simulate(&swinging(lowest() - 0.002, 5.0), Sampling::None).unwrap();
    let top_off = run.top_off.unwrap();
    assert!(top_off.gained <= 1e-9, "{}", top_off.gained);
    assert!(
        (top_off.added_per_day - 0.006).abs() < 0.0005,
        "{}",
        top_off.added_per_day
    );
    assert_eq!(run.sump.overflowed, 0.0);
}

// Volumes: each time the bed is full the sump is short, and the valve fills it up to
// its level; what it adds must have somewhere to be when the bed has emptied.
#[test]
fn a_high_valve_ratchets_until_the_sump_no_longer_falls_below_it() {
    let low = lowest();
    let mut system = swinging(low + 0.03, 1.0);
    system.evaporation = 0.0;
    let run = simulate(&system, Sampling::None).unwrap();
    let top_off = run.top_off.unwrap();
    // 30 mm over the sump's area, the last of it slowly as the valve shuts; never more.
    let most = 0.03 * SUMP;
    assert!(
        top_off.gained <= most + 1e-9 && top_off.gained > 0.95 * most,
        "{}",
        top_off.gained
    );
    assert!(top_off.most_gained_per_cycle > 0.0);
    assert!(top_off.most_gained_per_cycle <= top_off.gained);
    // Steady since, but for what a nearly shut valve still lets in: under 1 % a day.
    system.duration = Duration::Fixed(3.0 * DAY);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(
        run.top_off.unwrap().added_per_day < 0.01 * most,
        "{:?}",
        run.top_off
    );
}

#[test]
fn a_valve_above_the_overflow_spills_for_ever() {
    let mut system = swinging(0.579, 2.0);
    system.sump.start_level = 0.5;
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(run.sump.overflowed > 0.0);
    let top_off = run.top_off.unwrap();
    assert!(top_off.gained > 0.0);
}

// Everything at once for a week: what is held and lost less what was added never
// changes by more than rounding.
#[test]
fn a_week_with_timer_valve_air_and_spilling_keeps_its_water() {
    let mut system = pumped_beds(2);
    system.duration = Duration::Fixed(7.0 * DAY);
    system.pump.schedule = Some(ebbwright::model::Schedule {
        on: 1800.0,
        off: 900.0,
    });
    system.evaporation = 10.0 * LITRE_PER_DAY;
    system.top_off = Some(valve(0.40, 2.0));
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(
        run.residual.abs() <= 1e-9 * run.water_at_start,
        "{}",
        run.residual
    );
    let top_off = run.top_off.unwrap();
    assert!((top_off.evaporated - 0.070).abs() < 1e-9);
    assert!(top_off.added > 0.070 - 0.05 && run.supply.stops > 200);
}

// Rounding grows with the water that goes round and over the wall, not with what stood
// there at the start: here none but a riser full.
#[test]
fn rounding_is_held_against_the_water_that_moved() {
    let mut system = one_bed(10.0, 0.5);
    system.beds[0].start_depth = Some(0.0);
    system.sump.start_level = 0.0;
    system.supply.trunk.bore = 0.016;
    system.top_off = Some(valve(0.59, 20.0));
    system.duration = Duration::Fixed(2.0 * DAY);
    let run = simulate(&system, Sampling::None).unwrap();
    let moved = run.top_off.unwrap().added;
    assert!(moved > 50.0, "{moved}");
    assert!(run.residual.abs() > 1e-9 * run.water_at_start);
    assert!(run.residual.abs() < 1e-12 * moved, "{}", run.residual);
}
