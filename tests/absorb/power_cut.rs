//! A power cut at the worst moment: no sampled moment is worse, and none beats the bound.

use ebbwright::model::{
    BedStorage, Disturbance, Duration, Incident, IncidentTime, PumpSource, Schedule, System,
};
use ebbwright::simulation::{EventKind, Run, Sampling, SiphonMode, simulate, worst_moments};
use ebbwright::study::absorb::absorb;

use crate::support::{one_bed, pumped_beds};

fn recorded(system: &System) -> Run {
    simulate(system, Sampling::Every(10.0)).unwrap()
}

/// `system` as it stood at sample `k` of `run`, the pump off.
fn cut_at(system: &System, run: &Run, k: usize) -> System {
    let mut after = system.clone();
    after.pump.source = PumpSource::Steady(0.0);
    after.sump.start_level = run.recording.sump_level[k];
    for (bed, series) in after.beds.iter_mut().zip(&run.recording.beds) {
        bed.start_depth = Some(series.level[k] - bed.floor);
    }
    after.duration = Duration::Fixed(3600.0);
    after
}

fn systems() -> Vec<System> {
    let mut piped = pumped_beds(3);
    piped.duration = Duration::Fixed(6.0 * 3600.0);
    vec![one_bed(10.0, 0.55), piped]
}

#[test]
fn no_sampled_moment_is_worse_when_it_is_simulated() {
    for mut system in systems() {
        // Long enough for every regime of the cycle, and for samples to be dense in it.
        system.duration = Duration::Fixed(2.0 * 3600.0);
        let run = recorded(&system);
        let found = absorb(&system, &run);
        let cut = found.power_cut.unwrap();
        // Without the pipes; of them a little more runs back to a lower sump.
        let volume = cut.volume - cut.from_pipes;
        let limit = system.sump.floor + system.sump.shape.depth_at(volume) + 2e-4;
        let first_break = |i| {
            run.events
                .iter()
                .find(|event| event.kind == EventKind::Broke(i))
                .unwrap()
                .time
        };
        let from = (0..system.beds.len()).map(first_break).fold(0.0, f64::max);
        let (mut tried, mut still) = (0, 0);
        for k in (0..run.recording.time.len()).step_by(11) {
            if run.recording.time[k] < from {
                continue;
            }
            let after = recorded(&cut_at(&system, &run, k));
            // The pump stands from the start, so this run's pipes keep their water.
            let end = *after.recording.sump_level.last().unwrap();
            assert!(end <= limit, "{end} over {limit} after a cut at sample {k}");
            tried += 1;
            // A bed that only fills keeps its water: there the two ways agree.
            still += usize::from(
                run.recording
                    .beds
                    .iter()
                    .all(|b| b.mode[k] == SiphonMode::Filling),
            );
        }
        assert!(
            tried > 20 && still > 0,
            "{tried} moments, {still} with all beds filling"
        );
    }
}

#[test]
fn the_worst_cut_stays_under_the_high_bound_and_over_every_level_of_the_run() {
    for system in systems() {
        for check_valve in [false, true] {
            let system = {
                let mut system = system.clone();
                system.pump.check_valve = check_valve;
                system
            };
            let run = recorded(&system);
            let found = absorb(&system, &run);
            let (cut, all) = (found.power_cut.unwrap(), found.together.unwrap());
            assert!(cut.level <= found.volumes.bounds.high + 1e-9, "{cut:?}");
            assert!(all.level <= found.volumes.bounds.high + 1e-9, "{all:?}");
            assert!(cut.level <= all.level + 1e-5, "{cut:?} {all:?}");
            assert!(all.before >= found.volumes.bounds.low - 1e-9);
            assert_eq!(cut.from_pipes == 0.0, check_valve);
            // What stands under the sump's own water does not run back.
            assert!(cut.from_pipes <= found.drain_back.without_check_valve);
        }
    }
}

#[test]
fn with_one_bed_the_worst_moment_is_while_it_drains_and_ends_where_a_cycle_ends() {
    // Whatever the pump put up comes down: the sump ends where each cycle leaves it,
    // and the riser's water on top.
    let system = one_bed(10.0, 0.55);
    let run = recorded(&system);
    let found = absorb(&system, &run);
    let cut = found.power_cut.unwrap();
    assert_eq!(cut.running, [0]);
    let at_break = run.beds[0].cycles.last().unwrap().sump_level;
    let volume = system.sump.shape.volume(at_break) + cut.from_pipes;
    assert!((cut.level - system.sump.shape.depth_at(volume)).abs() < 1e-6);
    // Trunk 2 m of 26.6 mm bore, the only pipe: 1.11 L by hand, rising evenly from the
    // intake at 0.03 m to the rim at 1.35 m; what is over the sump's water runs back.
    let above = (1.35 - cut.sump_before) / (1.35 - 0.03);
    assert!((cut.from_pipes - 0.001_111_4 * above).abs() < 1e-6);
    assert!((found.drain_back.without_check_valve - 0.001_111_4).abs() < 1e-6);
}

#[test]
fn water_is_conserved_through_the_cut() {
    for system in systems() {
        let run = recorded(&system);
        let found = absorb(&system, &run);
        let cut = found.power_cut.unwrap();
        let k = run
            .recording
            .time
            .iter()
            .position(|&time| time == cut.time)
            .unwrap();
        let sump = |level: f64| system.sump.shape.volume(level - system.sump.floor);
        let before = sump(cut.sump_before);
        assert!((before + cut.from_beds + cut.from_pipes - cut.volume).abs() < 1e-12);
        assert!((sump(cut.level) + cut.spilled - cut.volume).abs() < 1e-12);
        // No more can come down than the beds hold.
        let held: f64 = system
            .beds
            .iter()
            .zip(&run.recording.beds)
            .map(|(bed, series)| BedStorage::new(bed).volume(series.level[k]))
            .sum();
        assert!(cut.from_beds <= held && cut.from_beds > 0.0);
        let all = found.together.unwrap();
        let end = sump(all.before) + all.from_beds + all.from_pipes;
        assert!((sump(all.level) + all.spilled - end).abs() < 1e-12);
    }
}

/// With a timer the pipes' water stands in the sump at every rest; it may count once.
#[test]
fn a_timer_does_not_make_the_pipes_count_twice() {
    for mut system in systems() {
        system.pump.check_valve = false;
        system.pump.schedule = Some(Schedule {
            on: 2700.0,
            off: 900.0,
        });
        let found = absorb(&system, &recorded(&system));
        let all = found.together.unwrap();
        let high = found.volumes.bounds.high;
        assert!(all.from_pipes > 5e-4, "{}", all.from_pipes);
        assert!(all.level <= high + 1e-9, "{} {high}", all.level);
    }
}

#[test]
fn without_series_there_is_no_power_cut() {
    let system = one_bed(10.0, 0.55);
    let run = simulate(&system, Sampling::None).unwrap();
    let found = absorb(&system, &run);
    assert!(found.power_cut.is_none() && found.together.is_none());
}

// The engine searches the moment by simulating a cut at each; the study works it out from
// volumes: two ways to one answer.
#[test]
fn no_moment_that_the_search_of_the_engine_finds_is_worse() {
    for mut system in systems() {
        system.duration = Duration::Fixed(1.25 * 3600.0);
        let cut = absorb(&system, &recorded(&system)).power_cut.unwrap();
        let mut searched = system.clone();
        searched.incidents = vec![Incident {
            at: IncidentTime::Worst,
            what: Disturbance::PumpStops,
        }];
        let found = worst_moments(&searched, 0).unwrap();
        let simulated = cut.simulated.unwrap();
        assert!(found.highest.level <= cut.level + 1e-5, "{found:?} {cut:?}");
        assert!(
            (found.highest.level - simulated).abs() < 5e-4,
            "{found:?} {cut:?}"
        );
        assert!(
            simulated <= cut.level + 1e-5 && cut.level - simulated < 2e-3,
            "{cut:?}"
        );
    }
}
