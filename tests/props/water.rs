//! Water is conserved and stays where it can be.

use crate::cases;
use crate::systems::any_system;
use ebbwright::model::{BedStorage, DrainTarget};
use ebbwright::simulation::{Regime, RunEnd, Sampling, simulate};
use proptest::prelude::*;

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn water_is_conserved_and_levels_stay_inside_their_vessels(system in any_system(1..5)) {
        let run = match simulate(&system, Sampling::Every(60.0)) {
            Ok(run) => run,
            // Not even a hopeless system may be refused for what it does.
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        prop_assert!(run.residual.abs() <= 1e-9 * run.water_at_start, "{}", run.residual);
        prop_assert!(run.sump.level.max <= system.sump.overflow_level + 1e-6);
        for (bed, series) in system.beds.iter().zip(&run.recording.beds) {
            for &level in &series.level {
                prop_assert!(level >= bed.floor - 1e-9 && level <= bed.rim_level() + 1e-6);
            }
            // Only a line can push water up a siphon.
            let least = match bed.siphon.drain.into {
                DrainTarget::Line { .. } => f64::NEG_INFINITY,
                DrainTarget::Sump => 0.0,
            };
            prop_assert!(series.siphon_flow.iter().all(|q| *q >= least && q.is_finite()));
        }
        let mut last = 0.0;
        for event in &run.events {
            prop_assert!(event.time >= last, "events in order");
            last = event.time;
        }
        for outcome in &run.beds {
            for cycle in &outcome.cycles {
                prop_assert!(cycle.fill >= 0.0 && cycle.prime >= 0.0 && cycle.drain > 0.0);
                // Held by a steady share: water per cycle is inflow times period while the pump runs.
                if run.sump.ran_dry == 0.0 {
                    let exact = outcome.inflow.mean * cycle.period();
                    prop_assert!((cycle.water - exact).abs() <= 1e-7 * exact.max(1e-6));
                }
            }
            let mut at = 0.0;
            for span in &outcome.regimes {
                prop_assert!((span.from - at).abs() < 1e-9, "regimes leave no gap");
                at = span.to;
            }
            prop_assert!((at - run.duration).abs() < 1e-9);
            if matches!(run.ended, RunEnd::Standing { .. }) {
                prop_assert!(outcome.regime != Regime::Cycles, "stands and cycles");
            }
        }
    }

    #[test]
    fn bed_storage_inverts_and_rises_with_level(bed in crate::systems::any_bed()) {
        let storage = BedStorage::new(&bed);
        let mut last = 0.0;
        for k in 1..=60 {
            let level = bed.floor + bed.rim_height * f64::from(k) / 60.0;
            let volume = storage.volume(level);
            prop_assert!(volume > last);
            prop_assert!((storage.level(volume) - level).abs() < 1e-9);
            // The area is the slope of the volume.
            let (low, high) = (level - 2e-6, level - 1e-6);
            let slope = (storage.volume(high) - storage.volume(low)) / 1e-6;
            let area = storage.area(0.5 * (low + high));
            prop_assert!((slope / area - 1.0).abs() < 1e-3, "{slope} {area}");
            last = volume;
        }
    }
}
