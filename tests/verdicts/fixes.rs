//! Every printed fix, done as printed, makes its check pass.

use crate::mend::{does, mend};
use crate::support::{self, LITRE_PER_MINUTE};
use crate::told::{Assessment, Check, assess};
use ebbwright::assessment::{CheckId, Status};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem;

const BOTH: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

pub fn judge(system: &System, units: UnitSystem) -> Assessment {
    assess(system, &simulate(system, Sampling::None).unwrap(), units)
}

pub fn find<'a>(assessment: &'a Assessment, id: CheckId, subject: &str) -> &'a Check {
    assessment
        .checks
        .iter()
        .find(|check| check.id == id && check.subject == subject)
        .unwrap()
}

/// The check is `before`; doing its first fix makes it pass and no other check fail anew, and
/// doing any of the others, each by itself, makes it pass as well.
pub fn mended(system: &System, id: CheckId, subject: &str, before: Status, words: &str) {
    for units in BOTH {
        let first = judge(system, units);
        let check = find(&first, id, subject);
        assert_eq!(check.status, before, "{check:#?}");
        assert!(does(system, check.first(), words), "{check:#?}");
        for (k, fix) in check.fixes.iter().enumerate() {
            if fix.changes.is_empty() || k > 0 && !fix.hints.is_empty() {
                continue;
            }
            let mut better = system.clone();
            mend(&mut better, fix);
            let second = judge(&better, units);
            let after = find(&second, id, subject);
            assert_eq!(after.status, Status::Pass, "{fix:#?}\n{after:#?}");
            assert!(after.fixes.is_empty());
            if k > 0 {
                continue;
            }
            // A lower outlet may come to lie under the sump's rim, which is asked only then.
            for new in &second.checks {
                let mut old = first.checks.iter();
                let old = old.find(|old| (old.id, &old.subject) == (new.id, &new.subject));
                assert!(old.is_some() || new.id == CheckId::SumpEntry, "{new:#?}");
                assert!(
                    new.status < Status::Fail || old.is_some_and(|old| old.status == Status::Fail),
                    "{fix:#?}\n{old:#?}\n{new:#?}"
                );
            }
        }
    }
}

fn taller_standpipe(by: f64) -> System {
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].siphon.standpipe.lip_height += by;
    system
}

#[test]
fn a_thin_dry_layer_is_mended_by_cutting_the_standpipe() {
    mended(
        &taller_standpipe(0.012),
        CheckId::DryLayer,
        "north",
        Status::Warn,
        "cut the standpipe",
    );
    mended(
        &taller_standpipe(0.045),
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "cut the standpipe",
    );
}

#[test]
fn a_narrow_pipe_needs_more_for_surface_tension() {
    let mut system = support::one_bed(6.0, 0.5);
    system.beds[0].siphon.standpipe.bore = 0.0205;
    system.beds[0].siphon.standpipe.lip_diameter = 0.0205;
    let narrow = judge(&system, UnitSystem::Metric);
    system.beds[0].siphon.standpipe.bore = 0.0212;
    system.beds[0].siphon.standpipe.lip_diameter = 0.0212;
    let wide = judge(&system, UnitSystem::Metric);
    let value = |a: &Assessment| find(a, CheckId::DryLayer, "north").value;
    // 3 mm, but for what the bore itself changes in the level.
    assert!((value(&wide) - value(&narrow) - 0.003).abs() < 0.001);
}

#[test]
fn a_bed_begun_too_full_is_begun_lower() {
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].start_depth = Some(1.28 - system.beds[0].floor);
    mended(
        &system,
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "begin with the water",
    );
}

#[test]
fn a_short_standpipe_leaves_only_more_gravel() {
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].siphon.standpipe.lip_height = 1.09 - system.beds[0].floor;
    system.beds[0].media.depth = 0.13;
    mended(
        &system,
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "of gravel to",
    );
}

#[test]
fn a_low_rim_is_mended_by_throttling_or_cutting() {
    mended(
        &support::one_bed(45.0, 0.5),
        CheckId::Rim,
        "north",
        Status::Fail,
        "throttle",
    );
    let mut system = support::one_bed(9.0, 0.5);
    system.beds[0].rim_height = 1.25 - system.beds[0].floor;
    mended(
        &system,
        CheckId::Rim,
        "north",
        Status::Fail,
        "cut the standpipe",
    );
}

#[test]
fn too_little_inflow_is_raised() {
    mended(
        &support::one_bed(4.5, 0.7),
        CheckId::Starts,
        "north",
        Status::Fail,
        "raise the inflow",
    );
    mended(
        &support::one_bed(8.5, 0.7),
        CheckId::Starts,
        "north",
        Status::Warn,
        "raise the inflow",
    );
}

#[test]
fn a_sure_window_that_is_shut_is_opened_by_more_fall() {
    let system = support::one_bed(9.0, 0.3);
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Warn,
        "lower the outlet",
    );
    mended(
        &system,
        CheckId::Breaks,
        "north",
        Status::Warn,
        "lower the outlet",
    );
}

#[test]
fn too_much_inflow_is_throttled() {
    mended(
        &support::one_bed(60.0, 0.5),
        CheckId::Breaks,
        "north",
        Status::Fail,
        "throttle",
    );
    mended(
        &support::one_bed(30.0, 0.5),
        CheckId::Breaks,
        "north",
        Status::Warn,
        "throttle",
    );
    mended(
        &support::one_bed(40.0, 0.5),
        CheckId::InflowRatio,
        "north",
        Status::Fail,
        "throttle",
    );
    mended(
        &support::one_bed(30.0, 0.5),
        CheckId::InflowRatio,
        "north",
        Status::Warn,
        "throttle",
    );
}

#[test]
fn a_weak_siphon_with_little_inflow_gets_more_fall() {
    let mut system = support::one_bed(9.5, 0.2);
    system.beds[0].siphon.drain.losses = DrainLosses::Total { k: 28.0 };
    mended(
        &system,
        CheckId::InflowRatio,
        "north",
        Status::Fail,
        "lower the outlet",
    );
}

#[test]
fn a_leaking_bell_is_sealed() {
    let mut system = support::one_bed(12.0, 0.5);
    // Nominal priming carries 1.2 L/min of air away, so it dribbles in the run.
    system.beds[0].siphon.bell.air_leak = 2.0 * LITRE_PER_MINUTE;
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Fail,
        "seal the bell",
    );
    system.beds[0].siphon.bell.air_leak = 6.0 * LITRE_PER_MINUTE;
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Fail,
        "seal the bell",
    );
}

#[test]
fn the_period_is_set_by_the_inflow_or_the_standpipe() {
    let mut large = support::one_bed(10.5, 0.6);
    large.beds[0].shape = VesselShape::Box {
        length: 4.5,
        width: 1.8,
        depth: 0.35,
    };
    large.sump.shape = VesselShape::Box {
        length: 4.5,
        width: 2.0,
        depth: 0.6,
    };
    mended(
        &large,
        CheckId::Period,
        "north",
        Status::Warn,
        "raise the inflow",
    );
    let mut small = support::one_bed(16.0, 0.6);
    small.beds[0].shape = VesselShape::Box {
        length: 1.2,
        width: 1.4,
        depth: 0.35,
    };
    mended(&small, CheckId::Period, "north", Status::Warn, "throttle");
    let mut tiny = support::one_bed(10.3, 0.6);
    tiny.beds[0].shape = VesselShape::Box {
        length: 1.2,
        width: 1.1,
        depth: 0.5,
    };
    tiny.beds[0].rim_height = 1.45 - tiny.beds[0].floor;
    tiny.beds[0].media.depth = 0.45;
    mended(&tiny, CheckId::Period, "north", Status::Warn, "longer");
}

#[test]
fn a_dry_pump_gets_more_water() {
    let mut system = support::one_bed(10.5, 0.5);
    system.sump.shape = VesselShape::Box {
        length: 1.0,
        width: 0.6,
        depth: 0.6,
    };
    system.sump.start_level = 0.16;
    mended(
        &system,
        CheckId::PumpCover,
        "pump",
        Status::Fail,
        "fill the sump",
    );
}

#[test]
fn a_full_sump_gets_less_water() {
    let mut system = support::one_bed(10.5, 0.35);
    system.beds[0].start_depth = Some(1.20 - system.beds[0].floor);
    system.sump.start_level = 0.53;
    mended(
        &system,
        CheckId::SumpHigh,
        "sump",
        Status::Fail,
        "fill the sump",
    );
}

#[test]
fn a_sump_too_small_for_the_beds_gets_shorter_standpipes() {
    let mut system = support::one_bed(10.5, 0.35);
    system.sump.shape = VesselShape::Box {
        length: 0.6,
        width: 0.55,
        depth: 0.5,
    };
    system.sump.start_level = 0.40;
    system.sump.overflow_level = 0.42;
    system.pump.intake_level = 0.0;
    system.pump.minimum_cover = 0.08;
    mended(
        &system,
        CheckId::PumpCover,
        "pump",
        Status::Fail,
        "cut every standpipe",
    );
    mended(
        &system,
        CheckId::SumpHigh,
        "sump",
        Status::Fail,
        "cut every standpipe",
    );
}

#[test]
fn water_that_hardly_fits_asks_for_a_lower_intake() {
    let mut system = support::one_bed(10.5, 0.35);
    system.sump.shape = VesselShape::Box {
        length: 0.6,
        width: 0.6,
        depth: 0.6,
    };
    system.pump.intake_level = 0.16;
    system.sump.start_level = 0.44;
    system.sump.overflow_level = 0.50;
    mended(
        &system,
        CheckId::PumpCover,
        "pump",
        Status::Fail,
        "lower the pump's intake",
    );
}

pub fn with_line(count: usize, bore: f64, slope: f64) -> System {
    let beds = (0..count)
        .map(|i| {
            let name = ["north", "south", "east"][i];
            let mut bed = support::bed(name, 1.0, 0.30, Inlet::Share(1.0 / count as f64));
            bed.siphon.drain.into = DrainTarget::Line { at: 3.0 - i as f64 };
            bed
        })
        .collect();
    let litres = 9.0 * count as f64;
    let mut system = support::system(
        beds,
        litres * LITRE_PER_MINUTE,
        Duration::Fixed(6.0 * 3600.0),
    );
    system.sump.shape = VesselShape::Box {
        length: 2.4,
        width: 0.8,
        depth: 0.6,
    };
    system.drain_line = Some(DrainLine {
        run: PipeRun {
            bore,
            length: 3.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 0.5,
        },
        slope,
        outlet: 0.58,
        vented: true,
    });
    system
}

#[test]
fn a_narrow_drain_line_is_replaced_or_laid_steeper() {
    let narrow = with_line(2, 0.030, 0.02);
    mended(
        &narrow,
        CheckId::DrainLine,
        "drain line",
        Status::Fail,
        "use a drain line",
    );
    // With a square entry the depth hardly depends on the slope.
    let mut flat = with_line(1, 0.050, 0.012);
    mended(
        &flat,
        CheckId::DrainLine,
        "drain line",
        Status::Warn,
        "use a drain line",
    );
    flat.coefficients[Coefficient::JunctionEntry] = Band::exact(0.0);
    mended(
        &flat,
        CheckId::DrainLine,
        "drain line",
        Status::Warn,
        "slope of",
    );
}

#[test]
fn beds_that_a_narrow_line_holds_back_ask_for_a_wider_one() {
    let narrow = with_line(3, 0.030, 0.02);
    mended(
        &narrow,
        CheckId::PumpCover,
        "pump",
        Status::Warn,
        "use a drain line",
    );
    mended(
        &narrow,
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "use a drain line",
    );
    mended(
        &narrow,
        CheckId::Rim,
        "north",
        Status::Warn,
        "use a drain line",
    );
}

#[test]
fn a_flat_drain_line_is_raised_at_its_upper_end() {
    let flat = with_line(1, 0.060, 0.012);
    mended(
        &flat,
        CheckId::DrainLine,
        "drain line slope",
        Status::Warn,
        "upper end",
    );
}

#[test]
fn a_drowned_outlet_asks_for_less_water_or_a_higher_outlet() {
    let system = support::one_bed(10.5, 0.61);
    mended(
        &system,
        CheckId::Fall,
        "north",
        Status::Warn,
        "fill the sump only",
    );
    let mut scarce = support::one_bed(10.5, 0.61);
    scarce.pump.intake_level = 0.22;
    mended(
        &scarce,
        CheckId::Fall,
        "north",
        Status::Warn,
        "raise the outlet",
    );
}

#[test]
fn an_outlet_above_the_floor_is_lowered() {
    let system = support::one_bed(6.0, -0.01);
    mended(
        &system,
        CheckId::Fall,
        "north",
        Status::Fail,
        "lower the outlet",
    );
}

#[test]
fn a_drowned_line_asks_for_less_water_or_a_higher_line() {
    let mut drowned = with_line(1, 0.060, 0.02);
    drowned.drain_line.as_mut().unwrap().outlet = 0.36;
    mended(
        &drowned,
        CheckId::Fall,
        "drain line",
        Status::Warn,
        "fill the sump only",
    );
    drowned.pump.intake_level = 0.27;
    mended(
        &drowned,
        CheckId::Fall,
        "drain line",
        Status::Warn,
        "raise the drain line",
    );
}

#[test]
fn a_tall_bed_is_lowered() {
    let mut system = support::one_bed(10.5, 0.35);
    system.ceiling = Some(1.80);
    system.thresholds.growing_height = Some(0.50);
    mended(
        &system,
        CheckId::Headroom,
        "north",
        Status::Fail,
        "with its siphon and outlet",
    );
}

/// Two beds on one pump with valves and a bypass.
fn piped(openings: [f64; 2], bypass: f64) -> System {
    let branch = |level: f64, opening: f64| Branch {
        anti_siphon_hole: None,
        level,
        run: PipeRun {
            bore: 0.0158,
            length: 0.8,
            roughness: PLASTIC_ROUGHNESS,
            k: 2.5,
        },
        valve: Some(Valve {
            kind: ValveKind::Ball,
            opening,
        }),
    };
    let mut system = support::pumped_beds(2);
    for (i, opening) in openings.into_iter().enumerate() {
        system.beds[i].inlet = Inlet::Piped(branch(1.40 + 0.01 * i as f64, opening));
    }
    system.supply.bypass = Some(branch(0.6, bypass));
    system.duration = Duration::Fixed(6.0 * 3600.0);
    system
}

#[test]
fn valves_and_bypass_are_set_by_their_opening() {
    let shut = piped([0.48, 0.62], 0.40);
    mended(
        &shut,
        CheckId::Starts,
        "bed 1",
        Status::Fail,
        "ball valve from",
    );
    let leaking = piped([1.0, 1.0], 0.80);
    mended(
        &leaking,
        CheckId::Starts,
        "bed 1",
        Status::Fail,
        "bypass valve from",
    );
    let mut open = piped([1.0, 0.60], 0.40);
    open.beds[0].siphon.drain.outlet += 0.10;
    mended(
        &open,
        CheckId::Breaks,
        "bed 1",
        Status::Warn,
        "close its ball valve",
    );
}
