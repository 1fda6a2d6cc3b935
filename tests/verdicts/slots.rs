//! Slots so small that the bed stands high before its siphon starts.

use crate::fixes::{find, judge, mended};
use crate::support;
use approx::assert_relative_eq;
use ebbwright::assessment::{CheckId, Status, Verdict};
use ebbwright::model::{DrainLosses, System};
use ebbwright::units::UnitSystem::Metric;

/// One bed, lip 125 mm under its rim, with slots of `square_centimetres` in all.
fn with_slots(litres_per_minute: f64, square_centimetres: f64) -> System {
    let mut system = support::one_bed(litres_per_minute, 0.55);
    let slots = &mut system.beds[0].siphon.bell.slots;
    slots.width = square_centimetres * 1e-4 / (f64::from(slots.count) * slots.height);
    system
}

/// 9.3 L/min at the unfavourable ends: lip, drowned, (1.55e-4 / (0.55 x 5.557e-4))^2 / 2g =
/// 13.11 mm, slots (1.55e-4 / (0.55 x 1.9e-4))^2 / 2g = 112.17 mm, annulus 0.10 mm: 0.38 mm
/// more than the 125 mm from lip to rim. Over the lip alone 112 mm would be left.
#[test]
fn a_dead_siphon_behind_small_slots_stands_at_the_rim() {
    let check = &judge(&with_slots(9.3, 1.9), Metric);
    let rim = find(check, CheckId::Rim, "north");
    assert_relative_eq!(rim.value, -0.00038, epsilon = 5e-5);
    assert_eq!(rim.status, Status::Fail);
}

/// Full to the rim the bed holds 0.48 m2 x 75 mm and 1.2 m2 x 50 mm over its lip, 96 L; behind
/// slots of 18 cm2, which cost 1.25 mm, 0.48 m2 x (13.11 + 1.25 + 0.10) mm = 6.94 L.
#[test]
fn the_dead_bound_of_the_sump_counts_what_small_slots_hold_back() {
    let [wide, small] = [18.0, 1.9].map(|area| judge(&with_slots(9.3, area), Metric).sump);
    let litres = 960.0 * (wide.dead_siphons - small.dead_siphons);
    assert_relative_eq!(litres, 96.0 - 6.94, epsilon = 0.02);
    assert!(wide.low - small.low > 0.040, "{wide:?} {small:?}");
}

#[test]
fn water_held_back_at_the_rim_by_slots_is_mended_by_wider_slots() {
    mended(
        &with_slots(9.3, 1.9),
        CheckId::Rim,
        "north",
        Status::Fail,
        "widen the slots",
    );
}

#[test]
fn a_peak_raised_by_small_slots_is_lowered_by_wider_slots() {
    mended(
        &with_slots(11.0, 2.2),
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "widen the slots",
    );
}

/// Even 5.11 L/min through 0.7 cm2 with Cd 0.70 cost (8.515e-5 / (0.70 x 0.7e-4))^2 / 2g =
/// 154 mm, and the rim is 125 mm over the lip.
#[test]
fn slots_too_small_for_the_start_flow_are_named_and_wider_ones_start_it() {
    let system = with_slots(11.0, 0.7);
    let first = judge(&system, Metric);
    assert_eq!(first.beds[0].will_start, Verdict::WillNot);
    let check = find(&first, CheckId::Starts, "north");
    assert!(
        check.because.contains("slots of the bell of \"north\""),
        "{check:#?}"
    );
    assert!(check.because.contains("never starts"), "{check:#?}");
    assert!(check.margin < 0.0, "{check:#?}");
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Fail,
        "widen the slots",
    );
    // Between the ends of the band nobody can say.
    mended(
        &with_slots(11.0, 1.0),
        CheckId::Starts,
        "north",
        Status::Warn,
        "widen the slots",
    );
}

#[test]
fn small_slots_keep_a_siphon_with_a_measured_loss_from_starting_too() {
    let mut system = with_slots(11.0, 0.7);
    system.beds[0].siphon.drain.losses = DrainLosses::Total { k: 6.0 };
    assert_eq!(judge(&system, Metric).beds[0].will_start, Verdict::WillNot);
}

/// Slots are wide here; it is the wall that ends too low.
#[test]
fn a_lip_close_under_the_rim_is_mended_by_cutting_the_standpipe() {
    let mut system = with_slots(11.0, 18.0);
    system.beds[0].rim_height = 1.235 - system.beds[0].floor;
    let first = judge(&system, Metric);
    let check = find(&first, CheckId::Starts, "north");
    assert!(check.because.contains("close under its rim"), "{check:#?}");
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Warn,
        "cut the standpipe",
    );
}
