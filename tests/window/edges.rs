//! The edges of the window, confirmed by simulating just inside and just outside.

use crate::support::one_bed;
use crate::systems::any_bed;
use ebbwright::assessment::assess;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Bed, DrainLosses, Inlet, PumpSource, System};
use ebbwright::simulation::{Regime, RunEnd, Sampling, simulate, simulate_with};
use ebbwright::siphon::{Extreme, SiphonLaw};
use ebbwright::study::map::{Corner, lasting_regime};
use ebbwright::study::window::{BedWindow, windows};
use proptest::prelude::*;

/// Whether the bed gives its lip the start flow under its rim with these values, and the
/// head to come closer than the test looks. Small slots keep others from ever starting;
/// `tests/verdicts/slots` looks at those.
fn can_start(system: &System, corner: Corner) -> bool {
    let bed = &system.beds[0];
    let law = SiphonLaw::new(bed, &system.water, &corner.values(&system.coefficients));
    let most = (1.0 + 2.0 * NEAR) * law.start_flow();
    law.lip() + law.standing_head(most) < bed.rim_level()
}

/// How near to an edge the simulation is tried, relative. Much nearer the level
/// creeps more slowly than the 0.1 mm in 10 min that count as standing.
const NEAR: f64 = 0.02;
/// The same where stalling is the edge, which is approached more slowly still.
const NEAR_STALL: f64 = 0.03;

fn window_of(system: &System) -> BedWindow {
    let run = simulate(system, Sampling::None).unwrap();
    let assessment = assess(system, &run);
    windows(system, &run, &assessment).beds.remove(0)
}

/// Over a sump that no bed here can empty.
fn roomy() -> System {
    let mut system = one_bed(1.0, 0.3);
    system.sump.shape = VesselShape::Box {
        length: 3.0,
        width: 2.0,
        depth: 0.6,
    };
    system
}

fn regime(system: &System, flow: f64, corner: Corner) -> Regime {
    let mut system = system.clone();
    system.beds[0].inlet = Inlet::Measured(flow);
    system.pump.source = PumpSource::Steady(flow);
    let values = corner.values(&system.coefficients);
    let run = simulate_with(&system, &values, Sampling::None).unwrap();
    // A bed that spilled once has changed the water it is about.
    if run.beds[0].overflowed > 0.0 {
        Regime::Overflows
    } else {
        lasting_regime(&run, 0)
    }
}

fn starts(regime: Regime) -> bool {
    matches!(regime, Regime::Cycles | Regime::RunsOn | Regime::Stalls)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// Start, run-on and stall with the nominal coefficients, over random beds.
    #[test]
    fn nominal_edges_are_where_the_simulation_changes(bed in any_bed(), share in 0.5_f64..2.0) {
        let mut system = roomy();
        let d = bed.siphon.standpipe.bore;
        let start = 0.45 * std::f64::consts::FRAC_PI_4 * d * d * (9.80665 * d).sqrt();
        system.beds = vec![bed];
        prop_assume!(can_start(&system, Corner::Nominal));
        system.pump.source = PumpSource::Steady(share * start);
        prop_assume!(simulate(&system, Sampling::None).unwrap().beds[0].overflowed == 0.0);
        let window = window_of(&system);
        let at = |flow: f64| regime(&system, flow, Corner::Nominal);
        let edge = window.window.start.nominal;
        let (below, above) = (at(edge * (1.0 - NEAR)), at(edge * (1.0 + NEAR)));
        if below != Regime::Overflows {
            prop_assert_eq!(below, Regime::Dribbles);
        }
        if above != Regime::Overflows {
            prop_assert!(starts(above), "just above the start: {:?}", above);
        }
        let (run_on, stall) = (window.window.run_on.nominal, window.window.stall.nominal);
        // Beyond the start by as much as it takes to see it.
        let edge = edge * (1.0 + NEAR);
        if window.breaks_below.nominal * (1.0 - NEAR_STALL) > edge {
            let near = if stall < run_on * (1.0 + NEAR_STALL) { NEAR_STALL } else { NEAR };
            let below = at(window.breaks_below.nominal * (1.0 - near));
            if below != Regime::Overflows {
                prop_assert_eq!(below, Regime::Cycles);
            }
        }
        if run_on > edge && run_on < stall * (1.0 - 2.0 * NEAR) {
            let above = at(run_on * (1.0 + NEAR));
            if above != Regime::Overflows {
                prop_assert_eq!(above, Regime::RunsOn, "run-on {} stall {}", run_on, stall);
            }
        }
        if stall > edge {
            let above = at(stall.max(run_on) * (1.0 + NEAR));
            if above != Regime::Overflows {
                prop_assert_eq!(above, Regime::Stalls);
            }
        }
    }
}

/// A level creeping to its stand may come to rest soon after it last moved: the run
/// must go on until it has stood long enough to count.
#[test]
fn whatever_comes_to_a_stand_does_not_count_as_cycling() {
    let mut system = roomy();
    let bed = &mut system.beds[0];
    // Small, so that it comes to rest in minutes.
    bed.shape = VesselShape::Tapered {
        top_length: 0.4,
        top_width: 0.3,
        bottom_length: 0.34,
        bottom_width: 0.24,
        depth: 0.32,
    };
    bed.rim_height = 0.32;
    bed.media.void = 0.25;
    bed.siphon.standpipe.bore = 0.0125;
    bed.siphon.standpipe.lip_diameter = 0.0125;
    let window = window_of(&system).window;
    let edge = window.stall.nominal.max(window.run_on.nominal);
    let mut stalls = 0;
    for k in 0..200 {
        let flow = edge * (0.98 + 0.002 * f64::from(k));
        let mut system = system.clone();
        system.beds[0].inlet = Inlet::Measured(flow);
        system.pump.source = PumpSource::Steady(flow);
        let run = simulate(&system, Sampling::None).unwrap();
        if matches!(run.ended, RunEnd::Standing { .. }) {
            assert_ne!(run.beds[0].regime, Regime::Cycles, "{flow} m3/s");
        }
        stalls += usize::from(run.beds[0].regime == Regime::Stalls);
    }
    assert!(stalls > 100, "{stalls}");
}

/// The tail follows the nominal coefficients, so only outlets above all water
/// show the ends of the bands exactly.
fn dry_outlet(mut bed: Bed) -> Bed {
    let outlet = bed.siphon.drain.outlet.max(0.65);
    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
        *length -= outlet - bed.siphon.drain.outlet;
    }
    bed.siphon.drain.outlet = outlet;
    bed
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    /// The ends of the bands, each in the corner of the coefficients that it belongs to.
    #[test]
    fn ends_of_the_bands_are_where_their_corners_change(bed in any_bed()) {
        let mut system = roomy();
        system.beds = vec![dry_outlet(bed)];
        prop_assume!(
            can_start(&system, Corner::StartsLatest) && can_start(&system, Corner::BreaksHardest)
        );
        let found = window_of(&system);
        let start = found.window.start;
        for (corner, edge) in [(Corner::StartsLatest, start.high), (Corner::BreaksHardest, start.low)] {
            let below = regime(&system, edge * (1.0 - NEAR), corner);
            let above = regime(&system, edge * (1.0 + NEAR), corner);
            prop_assert!(below == Regime::Dribbles || below == Regime::Overflows, "{:?}", below);
            prop_assert!(starts(above) || above == Regime::Overflows, "{:?}", above);
        }
        for (corner, end, start) in [
            (Corner::StartsLatest, Extreme::MostDischarge, start.high),
            (Corner::BreaksHardest, Extreme::LeastDischarge, start.low),
        ] {
            let law = SiphonLaw::extreme(&system.beds[0], &system.water, &system.coefficients, end);
            let tail = found.tail.1;
            let edge = law.run_on_flow(tail).min(law.stall_flow(tail));
            let band = found.breaks_below;
            // Where a higher break level outweighs the loss the nominal is the end of the band.
            prop_assert!(band.low <= edge * 1.000_001 && edge <= band.high * 1.000_001);
            let stalls = law.stall_flow(tail) < law.run_on_flow(tail) * (1.0 + NEAR_STALL);
            let near = if stalls { NEAR_STALL } else { NEAR };
            if edge * (1.0 - near) > start * (1.0 + NEAR) {
                let below = regime(&system, edge * (1.0 - near), corner);
                let above = regime(&system, edge * (1.0 + NEAR), corner);
                prop_assert!(below == Regime::Cycles || below == Regime::Overflows, "{:?}", below);
                prop_assert!(
                    matches!(above, Regime::RunsOn | Regime::Stalls | Regime::Overflows),
                    "{:?}", above
                );
            }
        }
    }
}
