//! A system built in code is the one a file describes, and is refused by the same rules.

use std::fs;

use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    Bed, BedBuilder, BuildError, DrainLosses, DrainTarget, Inlet, Misfit, System, SystemBuilder,
    TankFeed,
};
use ebbwright::scenario::{FaultKind, Rule, parse, starter};
use ebbwright::units::UnitSystem;

const LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;

fn drum() -> VesselShape {
    VesselShape::LyingCylinder {
        diameter: 0.572,
        length: 0.851,
    }
}

fn tub() -> VesselShape {
    VesselShape::Box {
        length: 1.2,
        width: 1.1,
        depth: 0.35,
    }
}

fn small_tub() -> VesselShape {
    VesselShape::Box {
        length: 1.0,
        width: 0.9,
        depth: 0.35,
    }
}

/// The bed of the starter.
fn north() -> BedBuilder {
    Bed::builder("north", tub(), 1.11)
        .gravel(0.33, 0.40)
        .guard(0.110, Some(60e-4))
        .standpipe(0.0266, 0.260)
        .bell(0.078, 0.025)
        .slots(6, 0.012, 0.025)
        .outlet(0.56)
}

/// The starter, but for what the builder has no words for.
fn starter_in_code(bed: BedBuilder) -> SystemBuilder {
    System::builder()
        .title("My system")
        .sump(drum(), 0.0)
        .sump_levels(0.46, 0.53)
        .intake(0.05)
        .steady_flow(10.5 * LITRE_PER_MINUTE)
        .bed(bed)
}

#[test]
fn what_is_built_in_code_is_what_the_file_says() {
    let mut read = parse(starter(), "starter.toml").unwrap().system;
    let mut built = starter_in_code(north()).build().unwrap();
    // The starter says more of these two.
    read.pump.power = None;
    let DrainLosses::Computed { length, .. } = &mut built.beds[0].siphon.drain.losses else {
        panic!("computed losses");
    };
    *length = 0.95;
    let text = |system: &System| {
        // The last digit of a sum differs by the way it was summed up.
        format!("{system:#?}")
            .lines()
            .map(|line| {
                let (name, value) = line.split_once(": ").unwrap_or((line, ""));
                match value.trim_end_matches(',').parse::<f64>() {
                    Ok(value) => format!("{name}: {value:.9}"),
                    Err(_) => line.to_owned(),
                }
            })
            .collect::<Vec<_>>()
    };
    for (built, read) in text(&built).iter().zip(&text(&read)) {
        assert_eq!(built, read);
    }
}

#[test]
fn little_is_enough_for_a_system_that_can_be_simulated() {
    let built = System::builder()
        .sump(drum(), 0.0)
        .steady_flow(8.0 * LITRE_PER_MINUTE)
        .bed(Bed::builder("north", small_tub(), 1.11))
        .build()
        .unwrap();
    let run = ebbwright::simulation::simulate(&built, ebbwright::simulation::Sampling::None);
    let regime = run.unwrap().beds[0].regime;
    assert_eq!(regime, ebbwright::simulation::Regime::Cycles);
}

#[test]
fn what_must_be_there_is_asked_for() {
    let bed = || Bed::builder("north", tub(), 1.11);
    let none = System::builder().build().unwrap_err();
    assert_eq!(none, BuildError::NoSump);
    let no_pump = System::builder().sump(drum(), 0.0).bed(bed()).build();
    assert_eq!(no_pump.unwrap_err(), BuildError::NoPump);
    let no_bed = System::builder()
        .sump(drum(), 0.0)
        .steady_flow(1e-4)
        .build();
    assert_eq!(
        no_bed.unwrap_err(),
        BuildError::Misfits(vec![Misfit::NoBed])
    );
    let curve = ebbwright::hydraulics::pump_curve::PumpCurve::from_box_figures(2.4, 7e-4).unwrap();
    let pumped = System::builder()
        .sump(drum(), 0.0)
        .pump_curve(curve)
        .bed(bed())
        .build();
    assert!(matches!(pumped.unwrap_err(), BuildError::NoInlet { .. }));
    let hot = starter_in_code(north()).temperature(60.0).build();
    assert!(matches!(hot.unwrap_err(), BuildError::Temperature(_)));
}

/// What the builder refuses, in the reader's words, and the same in the file.
#[test]
fn builder_and_reader_refuse_with_the_same_words() {
    let cases: [(SystemBuilder, &str, &str); 9] = [
        (
            starter_in_code(north().standpipe(0.0266, 0.36)),
            "length = \"260 mm\"",
            "length = \"360 mm\"",
        ),
        (
            starter_in_code(north().gravel(0.36, 0.40)),
            "depth = \"0.33 m\"",
            "depth = \"0.36 m\"",
        ),
        (
            starter_in_code(north().bell(0.030, 0.025)),
            "bore = \"78 mm\"",
            "bore = \"30 mm\"",
        ),
        (
            starter_in_code(north().guard(0.080, Some(60e-4))),
            "diameter = \"110 mm\"",
            "diameter = \"80 mm\"",
        ),
        (
            starter_in_code(north().slots(30, 0.012, 0.025)),
            "count = 6",
            "count = 30",
        ),
        (
            starter_in_code(north().slots(6, 0.012, 0.300)),
            "height = \"25 mm\"",
            "height = \"300 mm\"",
        ),
        (
            starter_in_code(north().outlet(1.12)),
            "outlet = \"0.56 m\"",
            "outlet = \"1.12 m\"",
        ),
        (
            starter_in_code(north()).intake(0.55),
            "intake-level = \"0.05 m\"",
            "intake-level = \"0.55 m\"",
        ),
        (
            starter_in_code(north()).sump_levels(0.46, 0.60),
            "overflow-level = \"0.53 m\"",
            "overflow-level = \"0.60 m\"",
        ),
    ];
    for (builder, good, bad) in cases {
        let BuildError::Misfits(refused) = builder.build().unwrap_err() else {
            panic!("{bad}: refused for something else");
        };
        let text = starter().replacen(good, bad, 1);
        assert_ne!(text, starter(), "{good} is not in the starter");
        let error = parse(&text, "starter.toml").unwrap_err();
        let said: Vec<&Misfit> = error
            .faults()
            .iter()
            .filter_map(|fault| match &fault.kind {
                FaultKind::Rule(Rule::Misfit { misfit, .. }) => Some(misfit),
                _ => None,
            })
            .collect();
        let words = |misfit: &Misfit| misfit.words(UnitSystem::Metric);
        assert_eq!(words(&refused[0]), words(said[0]), "{bad}");
    }
}

#[test]
fn every_shipped_scenario_has_no_misfit() {
    let mut seen = 0;
    for entry in fs::read_dir("scenarios").unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let system = parse(&text, "x.toml").unwrap().system;
        assert_eq!(system.misfits(), [], "{}", path.display());
        seen += 1;
    }
    assert!(seen > 10);
}

/// Breaks one part of the shipped whole loop and says whether the misfit found is the one meant.
type Break = (fn(&mut System), fn(&Misfit) -> bool);

#[test]
fn each_broken_part_is_named_by_its_own_misfit() {
    use Misfit as M;
    let cases: [Break; 22] = [
        (
            |s| s.beds[0].rim_height = -s.beds[0].floor,
            |m| matches!(m, M::RimBelowFloor { .. }),
        ),
        (
            |s| s.beds[0].rim_height += 5.0,
            |m| matches!(m, M::RimAboveShape { .. }),
        ),
        (
            |s| s.ceiling = Some(1.0),
            |m| matches!(m, M::RimAboveCeiling { .. }),
        ),
        (
            |s| s.beds[0].start_depth = Some(9.0),
            |m| matches!(m, M::BedStartLevel { .. }),
        ),
        (
            |s| s.beds[0].siphon.standpipe.outside = 0.01,
            |m| matches!(m, M::OutsideWithinBore { .. }),
        ),
        (
            |s| s.beds[0].siphon.standpipe.lip_diameter = 0.01,
            |m| matches!(m, M::FlareBelowBore { .. }),
        ),
        (
            |s| s.beds[0].siphon.standpipe.lip_diameter = 0.5,
            |m| matches!(m, M::LipWiderThanBell { .. }),
        ),
        (
            |s| s.beds[0].siphon.drain.into = DrainTarget::Line { at: 1.0 },
            |m| matches!(m, M::NoLine),
        ),
        (
            |s| s.beds[0].siphon.drain.outlet = -1.0,
            |m| matches!(m, M::OutletBelowSump { .. }),
        ),
        (
            |s| s.beds[0].media.void = f64::NAN,
            |m| matches!(m, M::Impossible { .. }),
        ),
        (
            |s| s.beds[0].siphon.bell.clearance = 0.0,
            |m| matches!(m, M::Impossible { .. }),
        ),
        (
            |s| {
                s.beds[0].shape = VesselShape::Box {
                    length: -1.0,
                    width: 1.0,
                    depth: 1.0,
                }
            },
            |m| matches!(m, M::Shape(_)),
        ),
        (
            |s| s.sump.start_level = -1.0,
            |m| matches!(m, M::StartLevel { .. }),
        ),
        (
            |s| s.pump.minimum_cover = 3.0,
            |m| matches!(m, M::CoverAboveOverflow { .. }),
        ),
        (
            |s| s.top_off.as_mut().unwrap().level = 9.0,
            |m| matches!(m, M::TopOffLevel { .. }),
        ),
        (
            |s| s.settler.as_mut().unwrap().overflow_level = 0.0,
            |m| matches!(m, M::OverflowBelowFloor { .. }),
        ),
        (
            |s| s.tank.as_mut().unwrap().overflow_level = 99.0,
            |m| matches!(m, M::OverflowAboveTop { .. }),
        ),
        (
            |s| s.tank.as_mut().unwrap().fed_by = TankFeed::WholePump,
            |m| matches!(m, M::BedsCutOff),
        ),
        (
            |s| {
                let twin = s.beds[0].clone();
                s.beds.push(twin);
            },
            |m| matches!(m, M::DuplicateName { .. }),
        ),
        (
            |s| {
                let mut twin = s.beds[0].clone();
                twin.name = "twin".to_owned();
                twin.inlet = Inlet::Share(0.5);
                s.beds.push(twin);
            },
            |m| matches!(m, M::MixedInlets { .. }),
        ),
        (
            |s| s.thresholds.period_least = 1e9,
            |m| matches!(m, M::LimitOrder { .. }),
        ),
        (
            |s| s.beds[0].inlet = Inlet::Share(0.5),
            |m| matches!(m, M::ShareWithoutSteadyFlow),
        ),
    ];
    let text = fs::read_to_string("scenarios/whole-loop.toml").unwrap();
    let whole = parse(&text, "whole-loop.toml").unwrap().system;
    for (i, (break_it, is_meant)) in cases.iter().enumerate() {
        let mut system = whole.clone();
        break_it(&mut system);
        let found = system.misfits();
        assert!(found.iter().any(is_meant), "case {i}: {found:?}");
        assert!(
            found
                .iter()
                .all(|misfit| !misfit.words(UnitSystem::Us).is_empty())
        );
    }
}
