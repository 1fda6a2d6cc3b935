//! No run may leave the sump's bounds, whatever the coefficients are.

use crate::extras::{extras, fit_out};
use crate::fixes::find;
use crate::mend::amount;
use crate::told::{Assessment, assess};
use crate::{random, support};
use ebbwright::assessment::{CheckId, SumpBounds, Verdict, sump_volumes};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Bed, Disturbance, DrainLosses, Duration, Inlet, System};
use ebbwright::network::supply::SupplyTree;
use ebbwright::simulation::{Regime, Sampling, Spread, simulate, simulate_with};
use ebbwright::units::UnitSystem;
use ebbwright::units::table::Quantity;
use proptest::prelude::*;
use proptest::test_runner::{Config, FileFailurePersistence, TestRunner};
use std::cell::RefCell;
use std::collections::BTreeMap;

const ROUNDING: f64 = 1e-6;
/// Levels that follow from volumes alone [m].
const EXACT: f64 = 1e-9;
/// Levels that a run reads from its tables of gravel losses [m].
const TABULATED: f64 = 1e-6;
/// Levels read from a sentence are to the millimetre.
const MILLIMETRE: f64 = 0.0006;

/// Water in pipes, which the bounds count and the simulation leaves out [m3].
/// Without it the bounds are as sharp as the simulation can test them.
struct Pipes {
    low: f64,
    high: f64,
}

fn pipes(system: &System) -> Pipes {
    let round = |bore: f64| std::f64::consts::FRAC_PI_4 * bore * bore;
    let branches: f64 = system
        .beds
        .iter()
        .map(|bed| match &bed.inlet {
            Inlet::Piped(branch) => round(branch.run.bore) * branch.run.length,
            _ => 0.0,
        })
        .sum();
    let bypass = system.supply.bypass.as_ref();
    let branches = branches + bypass.map_or(0.0, |b| round(b.run.bore) * b.run.length);
    let trunk = &system.supply.trunk;
    let supply = round(trunk.bore) * trunk.length + branches;
    let siphons: f64 = system
        .beds
        .iter()
        .map(|bed| {
            let siphon = &bed.siphon;
            let length = match siphon.drain.losses {
                DrainLosses::Computed { length, .. } => length,
                DrainLosses::Total { .. } => bed.lip_level() - siphon.drain.outlet,
            };
            round(siphon.bell.bore) * siphon.bell.clearance + round(siphon.standpipe.bore) * length
        })
        .sum();
    let line = system
        .drain_line
        .as_ref()
        .map_or(0.0, |l| round(l.run.bore) * l.run.length);
    Pipes {
        low: supply + siphons + line,
        high: if system.pump.check_valve { 0.0 } else { supply },
    }
}

/// Highest water that the dry-layer check names for unfavourable coefficients [m].
fn highest_water(bed: &Bed, assessment: &Assessment) -> f64 {
    let check = find(assessment, CheckId::DryLayer, &bed.name);
    let (dry, wet) = (
        "at its worst ",
        "at its worst none would: the water would stand ",
    );
    let left = if check.because.contains(wet) {
        -amount(&check.because, wet, Quantity::Length)
    } else {
        amount(&check.because, dry, Quantity::Length)
    };
    let allowance = amount(&check.because, "with ", Quantity::Length);
    bed.floor + bed.media.depth - allowance - left
}

fn dry_level(system: &System) -> f64 {
    system.pump.intake_level + system.pump.minimum_cover
}

/// As many cases as BOUND_CASES asks for, else `usual`.
fn runner(usual: u32) -> TestRunner {
    let asked = std::env::var("BOUND_CASES")
        .ok()
        .and_then(|n| n.parse().ok());
    TestRunner::new(Config {
        cases: asked.unwrap_or(usual),
        source_file: Some(file!()),
        failure_persistence: Some(Box::new(FileFailurePersistence::WithSource("seeds"))),
        ..Config::default()
    })
}

/// A bed whose water covers its inlet sends the pump's flow to the others: more
/// than they get with every outlet free.
#[test]
fn the_greatest_inflow_counts_the_drowned_inlets_of_other_beds() {
    let mut system = support::pumped_beds(2);
    system.duration = Duration::Fixed(2.0 * 3600.0);
    system.sump.shape = VesselShape::Box {
        length: 6.0,
        width: 4.0,
        depth: 0.6,
    };
    system.sump.start_level = 0.57;
    let level = system.beds[1].floor + 0.02;
    let Inlet::Piped(low) = &mut system.beds[1].inlet else {
        panic!()
    };
    low.level = level;
    low.valve.as_mut().unwrap().opening = 1.0;
    system.beds[1].siphon.standpipe.bore = 0.060;
    system.beds[1].siphon.standpipe.lip_diameter = 0.060;
    let run = simulate(&system, Sampling::None).unwrap();
    let free = SupplyTree::new(&system)
        .duty(system.sump.overflow_level)
        .bed_flows[0];
    assert!(
        run.beds[0].inflow.max > 1.05 * free,
        "{} {free}",
        run.beds[0].inflow.max
    );
    let assessment = assess(&system, &run, UnitSystem::Metric);
    let rim = find(&assessment, CheckId::Rim, "bed 1");
    let taken = amount(&rim.because, "its pipe takes ", Quantity::Flow);
    assert!(
        taken >= 0.995 * run.beds[0].inflow.max,
        "{taken} {}",
        run.beds[0].inflow.max
    );
}

/// The bounds hold without the water in pipes too, where they are volumes of the sump.
fn without_pipes(
    system: &System,
    level: Spread,
    bounds: SumpBounds,
    count: impl Fn(&'static str, bool),
) -> Result<(), TestCaseError> {
    let slack = pipes(system);
    let in_sump = |level: f64| system.sump.shape.volume(level - system.sump.floor);
    if bounds.low > dry_level(system).max(system.sump.floor) + ROUNDING {
        let least = in_sump(bounds.low) + slack.low;
        prop_assert!(
            in_sump(level.min) >= least - ROUNDING,
            "{level:?} {bounds:?}"
        );
        count("low bound held without the pipes", true);
    }
    if bounds.high < system.sump.overflow_level {
        let most = in_sump(bounds.high) - slack.high;
        prop_assert!(
            in_sump(level.max) <= most + ROUNDING,
            "{level:?} {bounds:?}"
        );
        count("high bound held without the pipes", true);
    }
    Ok(())
}

#[test]
fn no_run_leaves_the_sump_bounds() {
    let mut runner = runner(80);
    let seen = RefCell::new(BTreeMap::<&'static str, u32>::new());
    let count = |what: &'static str, when: bool| {
        *seen.borrow_mut().entry(what).or_default() += u32::from(when);
    };
    runner
        .run(
            &(random::system(), prop::collection::vec(random::values(), 2)),
            |(system, draws)| {
                let Ok(nominal) = simulate(&system, Sampling::None) else {
                    println!("{:?}", simulate(&system, Sampling::None).err());
                    count("no answer", true);
                    return Ok(());
                };
                let assessment = assess(&system, &nominal, UnitSystem::Metric);
                let bounds = assessment.sump;
                let highest: Vec<f64> = system
                    .beds
                    .iter()
                    .map(|bed| highest_water(bed, &assessment))
                    .collect();
                for (bed, verdict) in nominal.beds.iter().zip(&assessment.beds) {
                    let (start, end) = (verdict.will_start, verdict.will_break);
                    match bed.regime {
                        Regime::RunsOn | Regime::Stalls => prop_assert_ne!(end, Verdict::Will),
                        Regime::Dribbles if nominal.sump.ran_dry == 0.0 => {
                            prop_assert_ne!(start, Verdict::Will);
                        }
                        _ => {}
                    }
                }
                let runs = draws
                    .iter()
                    .filter_map(|values| simulate_with(&system, values, Sampling::None).ok())
                    .chain([nominal.clone()]);
                for run in runs {
                    let level = run.sump.level;
                    prop_assert!(level.min >= bounds.low - ROUNDING, "{level:?} {bounds:?}");
                    prop_assert!(level.max <= bounds.high + ROUNDING, "{level:?} {bounds:?}");
                    without_pipes(&system, level, bounds, count)?;
                    count("runs", true);
                    count("sump spills", run.sump.overflowed > 0.0);
                    count("pump runs dry", run.sump.ran_dry > 0.0);
                    count(
                        "line surcharged",
                        run.line.is_some_and(|line| line.surcharged > 0.0),
                    );
                    for (bed, &highest) in run.beds.iter().zip(&highest) {
                        let peak = bed.peak_level.max(bed.first_peak_level);
                        prop_assert!(peak <= highest + MILLIMETRE, "{peak} over {highest}");
                        count("bed overflows", bed.overflowed > 0.0);
                        count("cycles", bed.regime == Regime::Cycles);
                        count("dribbles", bed.regime == Regime::Dribbles);
                        count("stalls", bed.regime == Regime::Stalls);
                        count("runs on", bed.regime == Regime::RunsOn);
                    }
                }
                Ok(())
            },
        )
        .unwrap();
    println!("{:?}", seen.borrow());
    for (what, times) in seen.into_inner() {
        assert!(what == "no answer" || times > 0, "no run in which: {what}");
    }
}

/// The bed stands over its guard by what the gravel resists, and where the gravel starves a
/// running siphon the bed climbs from cycle to cycle: the bounds must know both.
#[test]
fn no_bed_climbs_over_its_bound_through_gravel() {
    let mut runner = runner(60);
    let seen = RefCell::new(BTreeMap::<&'static str, u32>::new());
    let count = |what: &'static str, when: bool| {
        *seen.borrow_mut().entry(what).or_default() += u32::from(when);
    };
    runner
        .run(
            &(random::gravelly(), random::values()),
            |(system, values)| {
                let Ok(nominal) = simulate(&system, Sampling::Every(60.0)) else {
                    count("no answer", true);
                    return Ok(());
                };
                let volumes = sump_volumes(&system, &nominal);
                for (bed, reach) in nominal.recording.beds.iter().zip(&volumes.beds) {
                    let lowest = bed.level.iter().copied().fold(f64::INFINITY, f64::min);
                    prop_assert!(lowest >= reach.lowest - EXACT, "{lowest} {reach:?}");
                }
                let drawn = simulate_with(&system, &values, Sampling::None).ok();
                for run in drawn.into_iter().chain([nominal]) {
                    for (i, bed) in run.beds.iter().enumerate() {
                        let (reach, built) = (&volumes.beds[i], &system.beds[i]);
                        let peak = bed.peak_level.max(bed.first_peak_level);
                        prop_assert!(peak <= reach.highest + TABULATED, "{peak} over {reach:?}");
                        let spills = bed.overflowed > 0.0;
                        prop_assert!(reach.may_spill || !spills, "spills: {reach:?}");
                        count("bed overflows", spills);
                        count("cycles", bed.regime == Regime::Cycles);
                        count("a bound under the rim", !reach.may_spill);
                        count("fouled", built.media.fouling > 30.0);
                        count("guarded", built.guard.is_some());
                        let over_lip = peak - built.lip_level();
                        count("climbs under its rim", !spills && over_lip > 0.06);
                    }
                    let (level, bounds) = (run.sump.level, volumes.bounds);
                    prop_assert!(level.min >= bounds.low - EXACT, "{level:?} {bounds:?}");
                    prop_assert!(level.max <= bounds.high + EXACT, "{level:?} {bounds:?}");
                    without_pipes(&system, level, bounds, count)?;
                    count("several beds", run.beds.len() > 1);
                }
                Ok(())
            },
        )
        .unwrap();
    println!("{:?}", seen.borrow());
    for (what, times) in seen.into_inner() {
        assert!(what == "no answer" || times > 0, "no run in which: {what}");
    }
}

/// The same with timer, tank, float valve, evaporation, gravel and incidents.
#[test]
fn no_run_of_a_whole_loop_leaves_the_sump_bounds() {
    let mut runner = runner(24);
    let seen = RefCell::new(BTreeMap::<&'static str, u32>::new());
    let count = |what: &'static str, when: bool| {
        *seen.borrow_mut().entry(what).or_default() += u32::from(when);
    };
    // Half of them over a sump that never runs dry: there the low bound is put to the test.
    let systems =
        (random::system(), extras(), prop::bool::ANY).prop_map(|(system, extras, roomy)| {
            let mut system = fit_out(system, extras);
            if roomy {
                system.sump.shape = VesselShape::Box {
                    length: 2.0,
                    width: 1.5,
                    depth: 0.7,
                };
                system.incidents.retain(|incident| {
                    !matches!(
                        incident.what,
                        Disturbance::SiphonBlocked(_) | Disturbance::ValveShut(_)
                    )
                });
            }
            system
        });
    runner
        .run(&(systems, random::values()), |(system, values)| {
            let Ok(nominal) = simulate(&system, Sampling::None) else {
                count("no answer", true);
                return Ok(());
            };
            let bounds = assess(&system, &nominal, UnitSystem::Metric).sump;
            let volumes = sump_volumes(&system, &nominal);
            prop_assert_eq!(volumes.bounds, bounds);
            let drawn = simulate_with(&system, &values, Sampling::None).ok();
            for run in drawn.into_iter().chain([nominal]) {
                let level = run.sump.level;
                prop_assert!(level.min >= bounds.low - ROUNDING, "{level:?} {bounds:?}");
                prop_assert!(level.max <= bounds.high + ROUNDING, "{level:?} {bounds:?}");
                for (bed, reach) in run.beds.iter().zip(&volumes.beds) {
                    let peak = bed.peak_level.max(bed.first_peak_level);
                    prop_assert!(peak <= reach.highest + TABULATED, "{peak} over {reach:?}");
                }
                if let Some(tank) = &run.tank {
                    prop_assert!(tank.level.min >= tank.lowest_possible - EXACT, "{tank:?}");
                }
                let tight = bounds.low > dry_level(&system).max(system.sump.floor) + ROUNDING;
                count("low bound over the pump's need", tight);
                count(
                    "high bound under the overflow",
                    bounds.high < system.sump.overflow_level,
                );
                count("a tank", system.tank.is_some());
                let topped_up = run.top_off.as_ref().is_some_and(|found| found.added > 1e-3);
                count("topped up", topped_up);
                count("topped up and tight", topped_up && tight);
                count("evaporates and tight", system.evaporation > 1e-7 && tight);
                count("incidents", !system.incidents.is_empty());
                count("gravel", system.beds[0].media.grain.is_some());
            }
            Ok(())
        })
        .unwrap();
    println!("{:?}", seen.borrow());
    for (what, times) in seen.into_inner() {
        assert!(what == "no answer" || times > 0, "no run in which: {what}");
    }
}
