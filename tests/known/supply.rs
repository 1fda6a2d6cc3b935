//! Pump, trunk and branches against hand balances.

use crate::support::pumped_beds;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::model::{Branch, Inlet, PumpSource, Valve};
use ebbwright::network::supply::SupplyTree;

// Conservation at the manifold, and the energy balance of every branch, hold to
// 1e-10 for any sump level: the equations themselves, put together again here.
#[test]
fn every_branch_closes_its_energy_balance() {
    let system = pumped_beds(4);
    let tree = SupplyTree::new(&system);
    let PumpSource::Curve(curve) = &system.pump.source else {
        panic!("a curve")
    };
    for sump in [0.05, 0.2, 0.35, 0.5, 0.58] {
        let duty = tree.duty(sump);
        let sum: f64 = duty.bed_flows.iter().sum::<f64>() + duty.bypass_flow;
        assert!(
            (sum / duty.pump_flow - 1.0).abs() < 1e-10,
            "continuity at {sum}"
        );
        let manifold = sump + curve.head(duty.pump_flow)
            - system.supply.trunk.head_loss(duty.pump_flow, &system.water);
        for (bed, &flow) in system.beds.iter().zip(&duty.bed_flows) {
            let Inlet::Piped(branch) = &bed.inlet else {
                panic!("a branch")
            };
            let needed = branch.level + branch.resistance().unwrap().head_loss(flow, &system.water);
            assert!(
                (needed - manifold).abs() < 1e-9,
                "{needed} against {manifold}"
            );
        }
    }
}

// A falling sump raises the lift, so every flow falls; and the reported slopes
// are the derivatives of the flows.
#[test]
fn flows_fall_with_the_sump_at_the_reported_rate() {
    let tree = SupplyTree::new(&pumped_beds(3));
    let step = 1e-5;
    for sump in [0.1, 0.3, 0.5] {
        let (low, here, high) = (
            tree.duty(sump - step),
            tree.duty(sump),
            tree.duty(sump + step),
        );
        for i in 0..3 {
            let slope = (high.bed_flows[i] - low.bed_flows[i]) / (2.0 * step);
            assert!(slope > 0.0);
            assert!(
                (here.bed_flow_slopes[i] / slope - 1.0).abs() < 1e-4,
                "bed {i} at {sump}"
            );
        }
    }
}

// One bed whose inlet lies above the shut-off head gets nothing, and the other
// gets exactly what it would get alone.
#[test]
fn an_inlet_above_the_shut_off_head_is_dry() {
    let mut system = pumped_beds(2);
    let alone = {
        let mut one = pumped_beds(2);
        one.beds.truncate(1);
        SupplyTree::new(&one).duty(0.3)
    };
    if let Inlet::Piped(branch) = &mut system.beds[1].inlet {
        branch.level = 5.0;
    }
    let both = SupplyTree::new(&system).duty(0.3);
    assert_eq!(both.bed_flows[1], 0.0);
    assert!((both.bed_flows[0] / alone.bed_flows[0] - 1.0).abs() < 1e-10);
}

// A dry outlet takes no part: whatever the levels, flowing outlets balance against the
// head really held, dry ones lie at or above it, and the pump gives no more than its
// open flow. (Bypass near the sump, half way, and above the shut-off head.)
#[test]
fn outlets_of_unequal_level_balance_against_the_head_really_held() {
    for bypass_level in [0.4, 0.56, 0.9, 1.3, 1.39, 1.41, 1.6, 2.0, 3.0] {
        for opening in [0.3, 0.5, 0.75, 0.8, 0.9, 1.0] {
            for bed_level in [0.7, 1.4, 1.9, 2.5] {
                let mut system = pumped_beds(2);
                system.supply.bypass = Some(Branch {
                    level: bypass_level,
                    run: PipeRun {
                        bore: 0.0158,
                        length: 0.5,
                        roughness: 1.5e-6,
                        k: 1.0,
                    },
                    valve: Some(Valve {
                        kind: ValveKind::Ball,
                        opening,
                    }),
                    anti_siphon_hole: None,
                });
                if let Inlet::Piped(branch) = &mut system.beds[1].inlet {
                    branch.level = bed_level;
                }
                let PumpSource::Curve(curve) = &system.pump.source else {
                    panic!("a curve")
                };
                let duty = SupplyTree::new(&system).duty(0.3);
                assert!(duty.pump_flow <= curve.open_flow());
                let held = duty.manifold_head.unwrap();
                let mut outlets: Vec<(&Branch, f64)> = Vec::new();
                for (bed, &flow) in system.beds.iter().zip(&duty.bed_flows) {
                    let Inlet::Piped(branch) = &bed.inlet else {
                        panic!("a branch")
                    };
                    outlets.push((branch, flow));
                }
                outlets.push((system.supply.bypass.as_ref().unwrap(), duty.bypass_flow));
                for (branch, flow) in outlets {
                    if flow > 0.0 {
                        let needed = branch.level
                            + branch.resistance().unwrap().head_loss(flow, &system.water);
                        assert!((needed - held).abs() < 1e-7, "{needed} {held}");
                    } else {
                        assert!(branch.level >= held - 1e-9, "{} {held}", branch.level);
                    }
                }
            }
        }
    }
}

// The system curve passes through the duty point.
#[test]
fn the_system_curve_meets_the_pump_curve_at_the_duty_point() {
    let mut system = pumped_beds(4);
    system.supply.bypass = Some(Branch {
        level: 0.6,
        run: PipeRun {
            bore: 0.0158,
            length: 0.5,
            roughness: 1.5e-6,
            k: 40.0,
        },
        valve: None,
        anti_siphon_hole: None,
    });
    let tree = SupplyTree::new(&system);
    let duty = tree.duty(0.25);
    assert!(duty.bypass_flow > 0.0);
    let needed = tree.required_head(duty.pump_flow, 0.25).unwrap();
    assert!((needed - duty.pump_head.unwrap()).abs() < 1e-8);
}

// A given flow is split so that every branch ends at the same manifold head.
#[test]
fn a_measured_flow_splits_among_the_branches() {
    let mut system = pumped_beds(3);
    system.pump.source = PumpSource::Steady(4.0e-4);
    let duty = SupplyTree::new(&system).duty(0.3);
    let sum: f64 = duty.bed_flows.iter().sum();
    assert!((sum - 4.0e-4).abs() < 1e-15);
    let head = duty.manifold_head.unwrap();
    for (bed, &flow) in system.beds.iter().zip(&duty.bed_flows) {
        let Inlet::Piped(branch) = &bed.inlet else {
            panic!("a branch")
        };
        let needed = branch.level + branch.resistance().unwrap().head_loss(flow, &system.water);
        assert!((needed - head).abs() < 1e-9);
    }
}
