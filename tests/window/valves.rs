//! Valve settings, confirmed on the supply tree and by simulation.

use crate::support::{LITRE_PER_MINUTE, bed, pumped_beds, system};
use ebbwright::assessment::assess;
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::valves::{ValveKind, valve_k};
use ebbwright::model::{
    Branch, Duration, Inlet, PumpSource, System, Tank, TankFeed, TankOutlet, Valve,
};
use ebbwright::network::supply::SupplyTree;
use ebbwright::simulation::{Regime, Sampling, simulate};
use ebbwright::study::valves::{
    BedSetting, Setting, Shortfall, ValvePlan, least_opening, settings,
};
use ebbwright::study::window::{Trust, Windows, windows};
use proptest::prelude::*;

fn solve(system: &System) -> (Windows, ValvePlan) {
    let run = simulate(system, Sampling::None).unwrap();
    let assessment = assess(system, &run);
    let found = windows(system, &run, &assessment);
    let plan = settings(system, &run, &assessment, &found);
    (found, plan)
}

/// Holds the settings of `plan` against the supply tree and a simulation of their own.
fn confirm(system: &System, found: &Windows, plan: &ValvePlan) {
    let tree = SupplyTree::new(&plan.system);
    let (low, high) = (
        tree.duty(plan.sump.0).bed_flows,
        tree.duty(plan.sump.1).bed_flows,
    );
    let run = simulate(&plan.system, Sampling::None).unwrap();
    for (i, setting) in plan.beds.iter().enumerate() {
        let window = &found.beds[i];
        let (least, most) = match setting.trust {
            Trust::Certain => (window.window.start.high, window.breaks_below.low),
            _ => (window.window.start.nominal, window.breaks_below.nominal),
        };
        assert!(low[i] >= least * (1.0 - 1e-9) && high[i] <= most * (1.0 + 1e-9));
        assert_eq!(run.beds[i].regime, Regime::Cycles, "bed {i}");
        let seen = run.beds[i].inflow;
        assert!(
            seen.min >= least * (1.0 - 1e-9) && seen.max <= most * (1.0 + 1e-9),
            "{seen:?}"
        );
        // Only valves have moved.
        let (Inlet::Piped(was), Inlet::Piped(now)) =
            (&system.beds[i].inlet, &plan.system.beds[i].inlet)
        else {
            panic!()
        };
        assert_eq!((was.run, was.level), (now.run, now.level));
        let Setting::Valve {
            kind, opening, k, ..
        } = setting.setting
        else {
            panic!()
        };
        assert_eq!(now.valve, Some(Valve { kind, opening }));
        assert!(opening > 0.0 && opening <= 1.0 && (k / valve_k(kind, opening) - 1.0).abs() < 1e-9);
    }
}

/// Beds at different heights on branches of different bores, all from one pump.
fn piped(parts: &[(f64, f64, f64, f64)], strength: f64) -> System {
    let beds: Vec<_> = parts
        .iter()
        .enumerate()
        .map(|(i, &(drop, rise, bore, length))| {
            let floor = 1.05 + rise;
            let inlet = Inlet::Piped(Branch {
                anti_siphon_hole: None,
                level: floor + 0.4,
                run: PipeRun {
                    bore,
                    length,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 2.0,
                },
                valve: Some(Valve {
                    kind: ValveKind::Ball,
                    opening: 0.5,
                }),
            });
            bed(&format!("bed {i}"), floor, drop + rise, inlet)
        })
        .collect();
    let n = parts.len() as f64;
    let mut system = system(beds, 0.0, Duration::Fixed(8.0 * 3600.0));
    system.sump.shape = ebbwright::hydraulics::vessel::VesselShape::Box {
        length: 1.6 * n,
        width: 0.9,
        depth: 0.6,
    };
    system.supply.trunk.bore = 0.034 * n.sqrt();
    system.pump.source = PumpSource::Curve(
        PumpCurve::from_box_figures(3.0 * strength, 30.0 * n * strength * LITRE_PER_MINUTE)
            .unwrap(),
    );
    system
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever works is confirmed; whatever does not says what is short.
    #[test]
    fn settings_hold_on_the_tree_and_in_the_simulation(
        parts in prop::collection::vec(
            (0.35_f64..0.6, 0.0_f64..0.4, 0.010_f64..0.022, 0.3_f64..2.0), 1..5),
        strength in 0.55_f64..1.6,
    ) {
        let system = piped(&parts, strength);
        let (found, plan) = solve(&system);
        if plan.works() {
            confirm(&system, &found, &plan);
        } else {
            prop_assert!(!plan.shortfalls.is_empty(), "{:?}", plan.beds);
        }
    }

    /// Each remedy named for a shortfall, taken alone, mends it.
    #[test]
    fn each_remedy_alone_is_enough(
        parts in prop::collection::vec(
            (0.40_f64..0.6, 0.0_f64..0.4, 0.008_f64..0.014, 1.0_f64..4.0), 1..4),
        strength in 0.45_f64..0.9,
    ) {
        let system = piped(&parts, strength);
        let (_, plan) = solve(&system);
        let wider = |changed: &System| {
            let (_, again) = solve(changed);
            // The sump's range moves by the water in wider pipes and with the flows.
            let inside =
                |b: &BedSetting| b.flow.0 >= b.window.0 * 0.97 && b.flow.1 <= b.window.1 * 1.03;
            again.beds.iter().all(inside)
        };
        let mut branches = system.clone();
        let mut any_branch = false;
        for short in &plan.shortfalls {
            let mut changed = system.clone();
            match *short {
                Shortfall::Pump { flow, head: Some(head), has } => {
                    prop_assert!(head > has);
                    // Any curve through that point: a steep one falls little before it.
                    let shut_off = head * 1.3;
                    let open = flow * (shut_off / (shut_off - head)).sqrt();
                    changed.pump.source = PumpSource::Curve(
                        PumpCurve::from_box_figures(shut_off, open).unwrap(),
                    );
                    prop_assert!(wider(&changed), "{short:?}");
                }
                Shortfall::Trunk { bore, needed } => {
                    prop_assert!(needed > bore);
                    changed.supply.trunk.bore = needed * 1.001;
                    prop_assert!(wider(&changed), "{short:?}");
                }
                Shortfall::Branch { bed, bore, needed } => {
                    prop_assert!(needed > bore);
                    let Inlet::Piped(branch) = &mut branches.beds[bed].inlet else { panic!() };
                    branch.run.bore = needed * 1.001;
                    any_branch = true;
                }
                _ => {}
            }
        }
        if any_branch {
            prop_assert!(wider(&branches), "{:?}", plan.shortfalls);
        }
    }
}

// Valves were set as if the fish tank's branch took nothing, and the beds went short by it.
#[test]
fn what_goes_to_a_fish_tank_is_counted_when_valves_are_set() {
    let mut system = piped(&[(0.45, 0.0, 0.020, 0.6), (0.45, 0.0, 0.020, 0.6)], 1.3);
    let branch = Branch {
        anti_siphon_hole: None,
        level: 1.25,
        run: PipeRun {
            bore: 0.018,
            length: 1.5,
            roughness: PLASTIC_ROUGHNESS,
            k: 2.0,
        },
        valve: None,
    };
    system.tank = Some(Tank {
        shape: ebbwright::hydraulics::vessel::VesselShape::UprightCylinder {
            diameter: 0.9,
            depth: 0.6,
        },
        floor: 0.6,
        start_level: 1.1,
        overflow_level: 1.1,
        overflow_bore: 0.05,
        fed_by: TankFeed::PumpBranch(branch),
        overflows_to: TankOutlet::Sump,
    });
    let (found, plan) = solve(&system);
    assert!(plan.works(), "{:?} {:?}", plan.beds, plan.shortfalls);
    confirm(&system, &found, &plan);
    assert!(SupplyTree::new(&plan.system).duty(plan.sump.0).tank_flow > 10.0 * LITRE_PER_MINUTE);
}

#[test]
fn two_beds_are_brought_to_their_best_inflow_together() {
    let system = piped(&[(0.45, 0.0, 0.016, 0.6), (0.5, 0.3, 0.014, 1.5)], 1.2);
    let (found, plan) = solve(&system);
    assert!(
        plan.works() && plan.shortfalls.is_empty(),
        "{:?}",
        plan.shortfalls
    );
    confirm(&system, &found, &plan);
    for (bed, window) in plan.beds.iter().zip(&found.beds) {
        let middle = 0.5 * (bed.flow.0 + bed.flow.1);
        assert!(
            (middle / window.best.flow - 1.0).abs() < 1e-4,
            "{middle} for {:?}",
            window.best
        );
    }
    // The higher bed on the thinner pipe needs the wider opening.
    let opening = |i: usize| match plan.beds[i].setting {
        Setting::Valve { opening, .. } => opening,
        _ => panic!(),
    };
    assert!(opening(1) > opening(0));
}

/// The same by hand for one bed: what the pump's head has left after lift, trunk and
/// branch is what the valve must lose (Darcy-Weisbach and Bernoulli).
#[test]
fn one_valve_takes_what_lift_and_pipes_leave() {
    let system = pumped_beds(1);
    let (_, plan) = solve(&system);
    let Setting::Valve { k, .. } = plan.beds[0].setting else {
        panic!()
    };
    let PumpSource::Curve(curve) = &system.pump.source else {
        panic!()
    };
    let Inlet::Piped(branch) = &system.beds[0].inlet else {
        panic!()
    };
    for (sump, q) in [
        (plan.sump.0, plan.beds[0].flow.0),
        (plan.sump.1, plan.beds[0].flow.1),
    ] {
        let v = q / (std::f64::consts::FRAC_PI_4 * branch.run.bore * branch.run.bore);
        let left = curve.head(q)
            - (branch.level - sump)
            - system.supply.trunk.head_loss(q, &system.water)
            - branch.run.head_loss(q, &system.water)
            - v * v / (2.0 * 9.80665);
        let wanted = left / (v * v / (2.0 * 9.80665));
        assert!((k / wanted - 1.0).abs() < 1e-6, "{k} for {wanted}");
    }
}

#[test]
fn a_branch_without_a_valve_gets_one_only_if_that_helps() {
    // Far too much comes: a ball valve is to be fitted.
    let mut system = piped(&[(0.5, 0.0, 0.020, 0.5)], 1.5);
    let Inlet::Piped(branch) = &mut system.beds[0].inlet else {
        panic!()
    };
    branch.valve = None;
    let (_, plan) = solve(&system);
    let Setting::Valve {
        kind: ValveKind::Ball,
        now: None,
        opening,
        ..
    } = plan.beds[0].setting
    else {
        panic!("{:?}", plan.beds)
    };
    assert!(plan.works() && opening < 1.0);
    // Now the other end: too little comes, and a valve would not bring more.
    system.pump.source =
        PumpSource::Curve(PumpCurve::from_box_figures(1.35, 20.0 * LITRE_PER_MINUTE).unwrap());
    let (_, plan) = solve(&system);
    assert_eq!(plan.beds[0].setting, Setting::Unvalved);
    assert!(!plan.works());
    assert!(
        matches!(plan.shortfalls[0], Shortfall::Pump { .. }),
        "{:?}",
        plan.shortfalls
    );
}

fn with_bypass(mut system: System, opening: f64) -> System {
    system.supply.bypass = Some(Branch {
        anti_siphon_hole: None,
        level: 0.6,
        run: PipeRun {
            bore: 0.016,
            length: 1.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 2.0,
        },
        valve: Some(Valve {
            kind: ValveKind::Gate,
            opening,
        }),
    });
    system
}

#[test]
fn a_bypass_that_takes_too_much_is_closed_as_little_as_will_do() {
    let parts = [(0.5, 0.0, 0.016, 0.6), (0.5, 0.1, 0.016, 0.6)];
    let system = with_bypass(piped(&parts, 0.85), 1.0);
    let (found, plan) = solve(&system);
    let bypass = plan.bypass.unwrap();
    assert!(plan.works(), "{:?}", plan.shortfalls);
    assert!(0.0 < bypass.opening && bypass.opening < 1.0, "{bypass:?}");
    confirm(&system, &found, &plan);
    // One per cent wider open and the beds no longer reach their best.
    let mut wider = plan.system.clone();
    for bed in &mut wider.beds {
        let Inlet::Piped(branch) = &mut bed.inlet else {
            panic!()
        };
        branch.valve.as_mut().unwrap().opening = 1.0;
    }
    let flows = |opening: f64| {
        let mut system = wider.clone();
        let valve = system
            .supply
            .bypass
            .as_mut()
            .unwrap()
            .valve
            .as_mut()
            .unwrap();
        valve.opening = opening;
        SupplyTree::new(&system)
            .duty(0.5 * (plan.sump.0 + plan.sump.1))
            .bed_flows
    };
    let total = |opening: f64| flows(opening).iter().sum::<f64>();
    let best: f64 = found.beds.iter().map(|bed| bed.best.flow).sum();
    assert!(
        total(bypass.opening) >= best * 0.999,
        "{} {best}",
        total(bypass.opening)
    );
}

#[test]
fn valves_that_would_be_all_but_shut_ask_for_a_bypass_that_relieves_them() {
    // A pump many times too strong.
    let system = piped(&[(0.5, 0.0, 0.020, 0.3)], 6.0);
    let (_, plan) = solve(&system);
    let Setting::Valve { kind, opening, .. } = plan.beds[0].setting else {
        panic!()
    };
    assert!(opening < least_opening(kind));
    let Some(Shortfall::Bypass {
        flow,
        needed: false,
    }) = plan.shortfalls.last().copied()
    else {
        panic!("{:?}", plan.shortfalls)
    };
    // The pump with that flow beside the bed's holds the manifold low enough.
    let PumpSource::Curve(curve) = &system.pump.source else {
        panic!()
    };
    let Inlet::Piped(branch) = &system.beds[0].inlet else {
        panic!()
    };
    let q = plan.beds[0].flow.1;
    let total = q + flow;
    let head =
        plan.sump.1 + curve.head(total) - system.supply.trunk.head_loss(total, &system.water);
    let v = q / (std::f64::consts::FRAC_PI_4 * branch.run.bore * branch.run.bore);
    let k = (head - branch.level - branch.run.head_loss(q, &system.water))
        / (v * v / (2.0 * 9.80665))
        - 1.0;
    assert!(
        (k / valve_k(kind, least_opening(kind)) - 1.0).abs() < 0.1,
        "{k}"
    );
}

#[test]
fn shares_and_buckets_are_set_to_the_best_inflow() {
    let beds = |share: f64| {
        vec![
            bed("a", 1.0, 0.5, Inlet::Share(share)),
            bed("b", 1.0, 0.45, Inlet::Share(share)),
        ]
    };
    let hours = Duration::Fixed(8.0 * 3600.0);
    let (found, plan) = solve(&system(beds(0.5), 60.0 * LITRE_PER_MINUTE, hours));
    for (setting, window) in plan.beds.iter().zip(&found.beds) {
        let Setting::Share { share, .. } = setting.setting else {
            panic!()
        };
        let flow = share * 60.0 * LITRE_PER_MINUTE;
        assert!((flow / window.best.flow - 1.0).abs() < 1e-9);
    }
    assert!(plan.works());
    assert_eq!(plan.regimes, [Regime::Cycles; 2]);
    // Too little for both: short, and shared out in proportion.
    let (found, plan) = solve(&system(beds(0.5), 12.0 * LITRE_PER_MINUTE, hours));
    let least: f64 = found.beds.iter().map(|bed| bed.window.start.high).sum();
    let Shortfall::Pump {
        flow,
        head: None,
        has,
    } = plan.shortfalls[0]
    else {
        panic!()
    };
    assert!((flow / least - 1.0).abs() < 1e-9 && (has / LITRE_PER_MINUTE - 12.0).abs() < 1e-9);
    let shares: f64 = plan
        .beds
        .iter()
        .map(|bed| match bed.setting {
            Setting::Share { share, .. } => share,
            _ => panic!(),
        })
        .sum();
    assert!((shares - 1.0).abs() < 1e-9);
    // A bucket's flow is simply set to the best.
    let one = vec![bed("a", 1.0, 0.5, Inlet::Measured(5.0 * LITRE_PER_MINUTE))];
    let (found, plan) = solve(&system(one, 30.0 * LITRE_PER_MINUTE, hours));
    assert!((plan.beds[0].flow.0 / found.beds[0].best.flow - 1.0).abs() < 1e-9);
}

#[test]
fn a_steady_pump_with_pipes_is_shared_out_or_asks_for_a_bypass() {
    let parts = [(0.5, 0.0, 0.016, 0.6), (0.5, 0.2, 0.014, 1.5)];
    let steady = |litres: f64| {
        let mut system = piped(&parts, 1.0);
        system.pump.source = PumpSource::Steady(litres * LITRE_PER_MINUTE);
        system
    };
    let system = steady(24.0);
    let (found, plan) = solve(&system);
    assert!(plan.works(), "{:?} {:?}", plan.beds, plan.shortfalls);
    confirm(&system, &found, &plan);
    let most: f64 = found.beds.iter().map(|bed| bed.breaks_below.low).sum();
    let (_, plan) = solve(&steady(60.0));
    let Some(Shortfall::Bypass { flow, needed: true }) = plan.shortfalls.first().copied() else {
        panic!("{:?}", plan.shortfalls)
    };
    assert!((flow / (60.0 * LITRE_PER_MINUTE - most) - 1.0).abs() < 1e-6);
    let (_, plan) = solve(&steady(12.0));
    assert!(matches!(
        plan.shortfalls[0],
        Shortfall::Pump { head: None, .. }
    ));
}

#[test]
fn a_siphon_without_a_window_is_named() {
    let system = piped(&[(0.5, 0.0, 0.016, 0.6)], 1.2);
    let mut hopeless = system.clone();
    // A wide pipe needs much to start, and with its outlet all but level with the
    // bed's floor the down leg has nothing to draw with.
    hopeless.beds[0].siphon.drain.outlet = hopeless.beds[0].floor - 0.02;
    let pipe = &mut hopeless.beds[0].siphon.standpipe;
    (pipe.bore, pipe.outside, pipe.lip_diameter) = (0.050, 0.056, 0.050);
    let (found, plan) = solve(&hopeless);
    assert!(
        found.beds[0].best.trust > Trust::Nominal,
        "{:?}",
        found.beds[0].window
    );
    assert_eq!(plan.shortfalls[0], Shortfall::NoWindow { bed: 0 });
    assert!(!plan.works());
}
