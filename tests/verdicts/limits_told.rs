//! Which of two limits a check tells, and loads worked out by hand.

use crate::fixes::{find, judge};
use crate::support::one_bed;
use approx::assert_relative_eq;
use ebbwright::assessment::{CheckId, assess};
use ebbwright::hydraulics::constants::GRAVITY;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;

/// The margin is the way to the nearer limit, and that limit is the one told.
#[test]
fn a_period_is_held_against_the_nearer_of_its_limits() {
    let mut system = one_bed(9.0, 0.6);
    let period = find(&judge(&system, Metric), CheckId::Period, "north").value;
    for (least, most, nearer) in [(0.9, 2.0, 0.9), (0.2, 1.1, 1.1)] {
        system.thresholds.period_least = least * period;
        system.thresholds.period_most = most * period;
        let judged = judge(&system, Metric);
        let check = find(&judged, CheckId::Period, "north");
        assert_eq!(check.limit, nearer * period);
        assert_relative_eq!(check.margin, 0.1 * period, max_relative = 1e-9);
    }
}

/// However many boxes are joined, each stands on its own plan: the load is that of the depth,
/// `rho g h` (hydrostatics).
#[test]
fn the_floor_under_joined_boxes_carries_the_depth_of_their_water() {
    for count in [1, 2, 3] {
        let mut system = one_bed(9.0, 0.6);
        system.sump.shape = VesselShape::Box {
            length: 1.2,
            width: 0.8,
            depth: 0.6,
        };
        system.sump.count = count;
        let run = simulate(&system, Sampling::None).unwrap();
        let judged = assess(&system, &run);
        let depth = judged.sump.high - system.sump.floor;
        assert!(judged.sump.high < system.sump.overflow_level);
        let told = judge(&system, Metric);
        let load = find(&told, CheckId::FloorLoad, "sump").value;
        assert_relative_eq!(
            load,
            system.water.density * GRAVITY * depth,
            max_relative = 1e-9
        );
    }
}
