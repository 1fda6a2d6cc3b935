//! Fills, smallest vessels, and the same drum both ways, held against the checks of a run.

use ebbwright::assessment::{CheckId, Status, assess, open_hole, sump_volumes};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::System;
use ebbwright::simulation::{Run, Sampling, simulate};
use ebbwright::study::absorb::{Absorb, COMMON_DRUM, Stance, VesselKind, absorb};

use crate::bench::{Bench, WORKS};
use crate::support::{one_bed, pumped_beds};

fn recorded(system: &System) -> Run {
    simulate(system, Sampling::Every(10.0)).unwrap()
}

fn over_a_drum() -> System {
    let mut system = one_bed(10.0, 0.55);
    system.sump.shape = VesselShape::LyingCylinder {
        diameter: COMMON_DRUM.0,
        length: COMMON_DRUM.1,
    };
    system.sump.start_level = 0.42;
    system.sump.overflow_level = 0.53;
    system.beds[0].siphon.drain.outlet = 0.60;
    system
}

/// Systems in which the sump fits, is too small, and is a drum.
fn systems() -> Vec<System> {
    let mut small = one_bed(10.0, 0.55);
    small.sump.shape = VesselShape::Box {
        length: 0.5,
        width: 0.5,
        depth: 0.45,
    };
    small.sump.start_level = 0.40;
    small.sump.overflow_level = 0.42;
    let mut many = pumped_beds(3);
    many.duration = ebbwright::model::Duration::Fixed(10_800.0);
    vec![one_bed(10.0, 0.55), small, over_a_drum(), many]
}

/// Whether the bounds keep the pump covered and the freeboard free, as the checks ask.
fn checks_pass(system: &System, run: &Run) -> bool {
    // What assess() gives as bounds (see the test of that name), without its other checks.
    let bounds = sump_volumes(system, run).bounds;
    let cover = bounds.low - system.pump.intake_level - system.pump.minimum_cover;
    let freeboard = system.sump.overflow_level - bounds.high - system.thresholds.sump_freeboard;
    // Levels of the largest vessel carry 1e-9 m3 over 1 cm2.
    cover >= -1e-7 && freeboard >= -1e-7
}

/// Whether the highest water reaches no hole that nothing is known to seal.
fn holes_stay_dry(system: &System, run: &Run) -> bool {
    let high = sump_volumes(system, run).bounds.high;
    open_hole(system).is_none_or(|hole| high <= hole.level + 1e-7)
}

fn filled(system: &System, level: f64) -> System {
    let mut changed = system.clone();
    changed.sump.start_level = level;
    changed
}

/// `system` over another vessel by hand, not by the study: all levels over the sump
/// moved with its overflow.
fn over(system: &System, shape: VesselShape) -> System {
    let mut changed = system.clone();
    let up = shape.depth() - system.sump.shape.depth();
    changed.sump.shape = shape;
    changed.sump.overflow_level += up;
    changed.supply.trunk.length += up;
    for bed in &mut changed.beds {
        bed.floor += up;
        bed.siphon.drain.outlet += up;
        if let ebbwright::model::Inlet::Piped(branch) = &mut bed.inlet {
            branch.level += up;
        }
    }
    changed
}

#[test]
fn bounds_are_those_of_the_assessment() {
    for system in systems() {
        let run = recorded(&system);
        let assessed = assess(&system, &run).sump;
        let found = absorb(&system, &run);
        assert_eq!(found.volumes.bounds, assessed);
        let own = if system.pump.check_valve {
            found.with_check_valve
        } else {
            found.without_check_valve
        };
        assert_eq!(own, assessed);
        assert!(found.with_check_valve.high <= found.without_check_valve.high);
        // A run of today's vessel says nothing of the run that belongs to another.
        let other = recorded(&filled(&system, system.sump.start_level - 0.01));
        assert_eq!(sump_volumes(&system, &other), sump_volumes(&system, &run));
    }
}

#[test]
fn inside_the_fill_range_both_checks_pass_and_a_millimetre_out_one_fails() {
    let (mut ranges, mut by_hole) = (0, 0);
    for system in systems() {
        let run = recorded(&system);
        let Some((least, most)) = absorb(&system, &run).fill.range() else {
            continue;
        };
        ranges += 1;
        // Under the holes where there is room for that, else as if they were sealed.
        let under = holes_stay_dry(&filled(&system, least), &run);
        let bounded = under && !holes_stay_dry(&filled(&system, most + 0.001), &run);
        by_hole += u32::from(bounded);
        let pass = |level: f64| {
            let system = filled(&system, level);
            checks_pass(&system, &run) && (!under || holes_stay_dry(&system, &run))
        };
        for share in [0.0, 0.3, 0.7, 1.0] {
            assert!(pass(least + share * (most - least)));
        }
        assert!(!pass(least - 0.001));
        assert!(!pass(most + 0.001));
    }
    assert_eq!((ranges, by_hole), (3, 2));
}

#[test]
fn the_smallest_vessel_passes_and_one_millimetre_less_fails_at_every_fill() {
    for system in systems() {
        let run = recorded(&system);
        let found = absorb(&system, &run);
        for smallest in &found.smallest {
            let vessel = smallest.found.as_ref().unwrap();
            let (least, most) = vessel.fill.range().unwrap();
            let fitting = over(&system, vessel.shape.clone());
            assert!(
                checks_pass(&filled(&fitting, 0.5 * (least + most)), &run),
                "{vessel:?}"
            );
            let less = over(&system, a_millimetre_less(&vessel.shape, &found));
            // Everywhere roughly, and closely about the fill that did a millimetre larger.
            let (floor, top) = (less.sump.floor, less.sump.overflow_level);
            let rough = (0..=40).map(|k| floor + (top - floor) * f64::from(k) / 40.0);
            let close = (-60..=60).map(|k| least + 5e-5 * f64::from(k));
            for level in rough
                .chain(close)
                .filter(|level| (floor..=top).contains(level))
            {
                assert!(
                    !checks_pass(&filled(&less, level), &run),
                    "{vessel:?} at {level}"
                );
            }
        }
        assert_eq!(
            found.smallest.each_ref().map(|smallest| smallest.kind),
            [VesselKind::Box, VesselKind::Upright, VesselKind::Lying]
        );
    }
}

fn a_millimetre_less(shape: &VesselShape, found: &Absorb) -> VesselShape {
    let slender = found.drum.length / found.drum.diameter;
    match *shape {
        VesselShape::Box {
            length,
            width,
            depth,
        } => VesselShape::Box {
            length,
            width,
            depth: depth - 0.001,
        },
        VesselShape::UprightCylinder { diameter, .. } => {
            let diameter = diameter - 0.001;
            VesselShape::UprightCylinder {
                diameter,
                depth: slender * diameter,
            }
        }
        VesselShape::LyingCylinder { diameter, .. } => {
            let diameter = diameter - 0.001;
            VesselShape::LyingCylinder {
                diameter,
                length: slender * diameter,
            }
        }
        _ => panic!("no such vessel is sought"),
    }
}

#[test]
fn the_present_sump_needs_more_room_exactly_when_no_fill_does() {
    for system in systems() {
        let run = recorded(&system);
        let found = absorb(&system, &run);
        let free = found.free;
        let spare =
            free.available_above + free.available_below - free.needed_above - free.needed_below;
        // Free outlets, no line: the swing does not depend on the fill.
        assert_eq!(spare >= 0.0, found.fill.range().is_some(), "{free:?}");
    }
}

#[test]
fn the_same_drum_holds_the_same_and_moves_the_same_both_ways() {
    let system = over_a_drum();
    let run = recorded(&system);
    let found = absorb(&system, &run);
    assert!(found.drum.is_present);
    let [upright, lying] = &found.standings[..] else {
        panic!("two ways to stand")
    };
    assert_eq!(
        (upright.stance, lying.stance),
        (Stance::Upright, Stance::Lying)
    );
    assert!(lying.is_present && !upright.is_present);
    let full =
        |standing: &ebbwright::study::absorb::Standing| standing.system.sump.shape.full_volume();
    // tests/data/06_containers.csv: geometric volume of 22.5 x 33.5 in, 218.27 L.
    assert!((full(upright) - 0.218_273_430_7).abs() < 1e-10);
    assert!((full(upright) - full(lying)).abs() < 1e-12);
    // The riser is longer under the upright one; everything else moves alike.
    let riser = std::f64::consts::FRAC_PI_4 * 0.0266_f64.powi(2) * upright.shift;
    assert!((upright.needed - lying.needed - 2.0 * riser).abs() < 1e-9);
    // 33.5 in less 22.5 in.
    assert!((upright.shift - 11.0 * 0.0254).abs() < 1e-12 && lying.shift == 0.0);
    assert_eq!((upright.drums, lying.drums), (Some(1), Some(1)));
    // Lying, it stands where it stood: the run of it is the run there was.
    let simulated = lying.simulated.unwrap();
    assert_eq!(
        (simulated.low, simulated.high),
        (run.sump.level.min, run.sump.level.max)
    );
    assert_eq!(simulated.after_cut, found.power_cut.map(|cut| cut.level));
}

#[test]
fn a_lying_drum_is_filled_as_the_table_of_lying_cylinders_says() {
    // tests/data/06_horizontal_cylinder.csv: flat ends, 22.5 in x 33.5 in, columns
    // h_over_D and fluids_V_m3_drum.
    let system = over_a_drum();
    let found = absorb(&system, &recorded(&system));
    let lying = &found.standings[1].system.sump.shape;
    let table = include_str!("../data/06_horizontal_cylinder.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let (share, volume): (f64, f64) = (cells[0].parse().unwrap(), cells[3].parse().unwrap());
        assert!((lying.volume(share * COMMON_DRUM.0) - volume).abs() <= 1e-9 * volume + 1e-15);
        rows += 1;
    }
    assert_eq!(rows, 21);
}

#[test]
fn two_sumps_are_one_of_twice_the_area() {
    let mut two = over_a_drum();
    two.sump.count = 2;
    let mut long = over_a_drum();
    long.sump.shape = two.sump.shape.joined(2);
    let (one, other) = (recorded(&two), recorded(&long));
    assert_eq!(one.sump.level.min, other.sump.level.min);
    let (of_two, of_long) = (absorb(&two, &one), absorb(&long, &other));
    assert_eq!(of_two.fill, of_long.fill);
    assert_eq!(of_two.drum.length, COMMON_DRUM.1);
    // Both are turned over one by one.
    let upright = &of_two.standings[0].system.sump;
    assert_eq!((upright.count, upright.shape.depth()), (2, COMMON_DRUM.1));
}

#[test]
fn what_is_too_long_for_a_drum_is_not_stood_on_its_end() {
    let mut system = over_a_drum();
    system.sump.shape = system.sump.shape.joined(3);
    let found = absorb(&system, &recorded(&system));
    assert!(!found.drum.is_present);
    let tallest = found
        .standings
        .iter()
        .map(|one| one.system.sump.shape.depth());
    assert!(tallest.fold(0.0, f64::max) <= COMMON_DRUM.1);
}

#[test]
fn a_box_is_compared_with_a_common_drum_and_counts_how_many_it_takes() {
    let system = pumped_beds(3);
    let mut system = System {
        duration: ebbwright::model::Duration::Fixed(10_800.0),
        ..system
    };
    system.ceiling = Some(2.4);
    let run = recorded(&system);
    let found = absorb(&system, &run);
    assert!(!found.drum.is_present && found.standings.len() == 3);
    assert!(found.standings[0].is_present && found.standings[0].drums.is_none());
    for standing in &found.standings[1..] {
        assert!(!standing.passes, "one drum under three such beds");
        let count = f64::from(standing.drums.unwrap());
        let joined = |count: f64| match standing.stance {
            Stance::Upright => VesselShape::UprightCylinder {
                diameter: COMMON_DRUM.0 * count.sqrt(),
                depth: COMMON_DRUM.1,
            },
            _ => VesselShape::LyingCylinder {
                diameter: COMMON_DRUM.0,
                length: COMMON_DRUM.1 * count,
            },
        };
        let passes = |count: f64| {
            let changed = over(&system, joined(count));
            absorb(&changed, &run).fill.range().is_some()
        };
        assert!(passes(count) && !passes(count - 1.0));
        let rim = system
            .beds
            .iter()
            .map(|bed| bed.rim_level())
            .fold(0.0, f64::max);
        let room = standing.growing_height.unwrap();
        assert!((room - (2.4 - rim - standing.shift)).abs() < 1e-12);
    }
}

#[test]
fn every_outlet_keeps_its_height_over_the_overflow() {
    let system = pumped_beds(2);
    let system = System {
        duration: ebbwright::model::Duration::Fixed(7200.0),
        ..system
    };
    let found = absorb(&system, &recorded(&system));
    let falls = |system: &System| -> Vec<f64> {
        let over = |level: f64| level - system.sump.overflow_level;
        system
            .beds
            .iter()
            .map(|bed| over(bed.siphon.drain.outlet))
            .collect()
    };
    for standing in &found.standings {
        for (now, then) in falls(&system).into_iter().zip(falls(&standing.system)) {
            assert!((now - then).abs() < 1e-12);
        }
        let status = |id| {
            let run = recorded(&standing.system);
            let checks = assess(&standing.system, &run).checks;
            checks
                .into_iter()
                .find(|check| check.id == id)
                .unwrap()
                .status
        };
        let judged = status(CheckId::PumpCover).max(status(CheckId::SumpHigh));
        assert_eq!(
            standing.passes,
            judged != Status::Fail,
            "{:?}",
            standing.stance
        );
    }
}

/// In a tight vessel a little more water drowns the outlet and the high bound jumps: no fill
/// meets it exactly, and the last one before the jump has to be found.
#[test]
fn the_smallest_vessels_have_a_fill_that_passes_where_more_would_drown_an_outlet() {
    for units in ["metric", "us"] {
        let bench = Bench::new(WORKS);
        let _ = bench.expect(0, &["new", "--blank", "--units", units, "shed.toml"]);
        let scenario = ebbwright::scenario::read(&bench.path("shed.toml")).unwrap();
        let mut system = scenario.system;
        // An outlet that the overflow drowns and the water of a usual day does not.
        system.beds[0].siphon.drain.outlet = system.sump.overflow_level - 0.030;
        let run = recorded(&system);
        for smallest in absorb(&system, &run).smallest {
            let found = smallest.found.unwrap();
            let (least, most) = found.fill.range().unwrap_or_else(|| panic!("{found:?}"));
            let changed = over(&system, found.shape);
            for level in [least, 0.5 * (least + most), most] {
                assert!(
                    checks_pass(&filled(&changed, level), &run),
                    "{units} {level}"
                );
            }
        }
    }
}
