//! Pipes that come into the sump under its rim, by hand: over it where they begin above it, else
//! through the wall, where a hole leaks as soon as water stands over it.

use crate::fixes::{find, judge, mended};
use crate::support;
use ebbwright::assessment::{CheckId, Status};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::System;
use ebbwright::units::UnitSystem::Metric;

/// A bed at 1.0 m whose drain ends `outlet` over the room's floor, over a sump with its rim at
/// `rim` and its overflow just under it, filled to `water` `[m]`.
fn drum(outlet: f64, rim: f64, water: f64) -> System {
    let mut system = support::one_bed(9.0, 1.0 - outlet);
    let sump = &mut system.sump;
    sump.shape = VesselShape::UprightCylinder {
        diameter: 1.0,
        depth: rim,
    };
    sump.overflow_level = rim - 0.01;
    sump.start_level = water;
    system
}

fn told(system: &System) -> Option<(Status, f64, String)> {
    let found = judge(system, Metric);
    let mut checks = found.checks.iter();
    let check = checks.find(|check| check.id == CheckId::SumpEntry)?;
    Some((check.status, check.value, check.because.clone()))
}

#[test]
fn a_drain_that_ends_over_the_rim_is_not_asked() {
    assert_eq!(told(&drum(0.70, 0.60, 0.40)), None);
    // The same drum on its side: its top is cut out.
    let mut lying = drum(0.70, 0.60, 0.40);
    lying.sump.shape = VesselShape::LyingCylinder {
        diameter: 0.60,
        length: 1.4,
    };
    assert_eq!(told(&lying), None);
}

#[test]
fn a_hole_that_no_water_reaches_is_told_and_passes() {
    let bore = drum(0.70, 0.80, 0.40).beds[0].siphon.standpipe.bore;
    let found = judge(&drum(0.70, 0.80, 0.40), Metric);
    let check = find(&found, CheckId::SumpEntry, "sump");
    // The sump's highest water as the check beside it has it.
    let high = find(&found, CheckId::SumpHigh, "sump");
    let highest = 0.79 - high.value;
    assert_eq!(check.status, Status::Pass);
    let over = 0.70 - 0.5 * bore - highest;
    assert!((check.value - over).abs() < 1e-9, "{check:?}");
    let text = &check.because;
    assert!(
        text.contains("it has to go over it, with 200 mm of fall"),
        "{text}"
    );
    assert!(
        text.contains("or through the wall") && text.contains("bulkhead"),
        "{text}"
    );
}

#[test]
fn a_drowned_hole_fails_where_nothing_goes_over_the_rim() {
    // The bed's floor stands 20 cm over the rim: it may well go over it.
    let over = drum(0.70, 0.80, 0.72);
    mended(
        &over,
        CheckId::SumpEntry,
        "sump",
        Status::Warn,
        "seal the pipes",
    );
    // Its floor under the rim, it has no fall for that.
    let through = drum(0.70, 1.10, 0.72);
    mended(
        &through,
        CheckId::SumpEntry,
        "sump",
        Status::Fail,
        "seal the pipes",
    );
    let (_, value, text) = told(&through).unwrap();
    assert!(value < 0.0 && text.contains("would need a rise"), "{text}");
    let mut sealed = through;
    sealed.sump.sealed_entries = true;
    let (status, _, text) = told(&sealed).unwrap();
    assert!(
        status == Status::Pass && text.contains("are sealed"),
        "{text}"
    );
}
