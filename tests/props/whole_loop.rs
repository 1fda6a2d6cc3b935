//! Timer, tank, float valve, air, gravel and incidents thrown together at random.

use crate::cases;
use crate::extras::{extras, fit_out};
use crate::systems::any_system;
use ebbwright::model::System;
use ebbwright::simulation::{Sampling, simulate};
use proptest::prelude::*;

/// A random system with random other parts.
fn any_loop() -> impl Strategy<Value = System> {
    (any_system(1..4), extras()).prop_map(|(system, extras)| fit_out(system, extras))
}

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn a_whole_loop_keeps_its_water_inside_its_vessels(system in any_loop()) {
        let run = match simulate(&system, Sampling::Every(120.0)) {
            Ok(run) => run,
            // Not even a hopeless system may be refused for what it does.
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        prop_assert!(run.residual.abs() <= 1e-9 * run.water_at_start, "{}", run.residual);
        prop_assert!(run.sump.level.max <= system.sump.overflow_level + 1e-6);
        prop_assert!(run.sump.level.min >= system.sump.floor);
        for (bed, series) in system.beds.iter().zip(&run.recording.beds) {
            for (&level, &guard) in series.level.iter().zip(&series.guard_level) {
                prop_assert!(level >= bed.floor - 1e-9 && level <= bed.rim_level() + 1e-6, "{}", level);
                prop_assert!(guard <= level + 1e-6 && guard >= bed.floor - 1e-6, "{} {}", guard, level);
            }
            prop_assert!(series.siphon_flow.iter().all(|q| q.is_finite()));
        }
        if let Some(tank) = &system.tank {
            let rim = tank.floor + tank.shape.depth();
            for &level in &run.recording.tank_level {
                prop_assert!(level >= tank.floor && level <= rim + 1e-6, "{}", level);
            }
            let lowest = run.tank.unwrap().lowest_possible.min(tank.start_level);
            prop_assert!(run.tank.unwrap().level.min >= lowest - 1e-6, "{:?} {}", run.tank, lowest);
        }
        if let (Some(valve), Some(found)) = (&system.top_off, &run.top_off) {
            prop_assert!(found.added >= -1e-9 && found.added <= valve.flow * run.duration + 1e-9);
            if let Some(most) = valve.reservoir {
                prop_assert!(found.added <= most + 1e-9, "{} {}", found.added, most);
            }
        }
        let mut last = 0.0;
        for event in &run.events {
            prop_assert!(event.time >= last, "events in order");
            last = event.time;
        }
    }
}
