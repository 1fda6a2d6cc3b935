//! The fish tank's part in the sump's bounds, and the bore that its overflow wants, worked out
//! by hand: water that leaves a vessel stands in another (conservation of mass), and a drowned
//! mouth passes `C A sqrt(2 g h)` (Torricelli).

use crate::support::{LITRE_PER_MINUTE, one_bed};
use crate::tank_level::with_tank;
use approx::assert_relative_eq;
use ebbwright::assessment::{Adviser, assess};
use ebbwright::hydraulics::constants::GRAVITY;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;
use std::f64::consts::FRAC_PI_4;

fn boxed(length: f64, width: f64, depth: f64) -> VesselShape {
    VesselShape::Box {
        length,
        width,
        depth,
    }
}

/// 0.54 m2 of fish tank with water to `start` and an inlet that ends at `end` [m], over 4 m2
/// of sump.
fn looped(start: f64, end: f64) -> System {
    let mut system = with_tank(end, None);
    system.duration = Duration::Fixed(3600.0);
    if let Some(tank) = &mut system.tank {
        tank.start_level = start;
    }
    system
}

fn bounds(system: &System) -> (f64, f64) {
    let run = simulate(system, Sampling::None).unwrap();
    let found = assess(system, &run).sump;
    (found.low, found.high)
}

// The bed begins at its break level with its outlet in the air, so it gives nothing over what
// it held; without a check valve the pipes empty into the sump.
#[test]
fn what_siphons_back_out_of_the_tank_stands_in_the_sump() {
    for end in [1.10, 1.05, 0.95, 0.70] {
        let system = looped(1.1, end);
        let pipe = |bore: f64, length: f64| FRAC_PI_4 * bore * bore * length;
        let pipes = pipe(0.0266, 2.0) + pipe(0.0158, 0.8) + pipe(0.015, 0.8);
        let tank = 0.54 * (1.1 - end);
        let high = 0.25 + (tank + pipes) / 4.0;
        assert_relative_eq!(bounds(&system).1, high, max_relative = 1e-9);
        let mut held = system;
        held.pump.check_valve = true;
        assert!(bounds(&held).1 <= high - pipes / 4.0 + 1e-9);
    }
}

// Filled to its overflow and as far over it as ever, whatever it began with.
#[test]
fn what_fills_the_tank_is_missing_in_the_sump() {
    let full = bounds(&looped(1.1, 1.1)).0;
    for start in [1.05, 1.0, 0.9] {
        let low = bounds(&looped(start, 1.1)).0;
        assert_relative_eq!(full - low, 0.54 * (1.1 - start) / 4.0, max_relative = 1e-9);
    }
}

/// All of the pump goes into the tank, whose overflow of 20 mm stands 30 mm under its wall.
fn brimming(flow: f64) -> System {
    let mut system = one_bed(flow / LITRE_PER_MINUTE, 0.6);
    system.duration = Duration::Fixed(3600.0);
    system.tank = Some(Tank {
        shape: boxed(0.9, 0.6, 0.53),
        floor: 1.6,
        start_level: 2.1,
        overflow_level: 2.1,
        overflow_bore: 0.020,
        fed_by: TankFeed::WholePump,
        overflows_to: TankOutlet::Beds,
    });
    system
}

// Bores go by twentieths of what is there, then up to a tenth of a millimetre.
#[test]
fn an_overflow_that_spills_gets_the_bore_that_passes_the_pump() {
    for litres in [10.0, 14.0, 20.0] {
        let flow = litres * LITRE_PER_MINUTE;
        let system = brimming(flow);
        let mouth = system.coefficients[Coefficient::LipOrifice].low;
        let wanted = (flow / (mouth * FRAC_PI_4 * (2.0 * GRAVITY * 0.03).sqrt())).sqrt();
        assert!(wanted > 0.020, "{wanted} spills");
        let run = simulate(&system, Sampling::None).unwrap();
        let adviser = Adviser::new(&system, &run, Metric);
        let checks = assess(&system, &run).checks;
        let fixes = checks.iter().flat_map(|check| adviser.fixes(check));
        let changes = fixes.flat_map(|fix| fix.changes);
        let bores: Vec<f64> = changes
            .filter_map(|change| match change {
                Change::Set {
                    what: Quantity::TankOverflowBore,
                    to,
                } => Some(to),
                _ => None,
            })
            .collect();
        assert!(!bores.is_empty());
        for bore in bores {
            let over = bore - wanted;
            assert!(
                (0.0..0.0011).contains(&over),
                "{litres}: {bore} for {wanted}"
            );
        }
    }
}
