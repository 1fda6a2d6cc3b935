//! Drafts with a fish tank beside the sump. All facts are invented.

use ebbwright::assessment::{CheckId, Status, assess};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Inlet, System, TankFeed, TankOutlet};
use ebbwright::scenario::{Draft, draft, parse, tank_fact};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::draft::{Facts, PumpFact, SumpFact, TankFact};
use ebbwright::units::UnitSystem;

fn tank(text: &str) -> Option<TankFact> {
    tank_fact(text).unwrap()
}

fn drafted(facts: &Facts) -> Draft {
    draft(facts, "a draft", &|_| {}).unwrap()
}

/// A draft that works, read and simulated again: no check fails, and the fish tank is as it was said,
/// fed over its wall and over the sump's brim.
fn works(facts: &Facts) -> (Draft, System) {
    let found = drafted(facts);
    assert!(
        found.works(),
        "{facts:?}\n{:?}\n{}",
        found.troubles,
        found.text
    );
    let system = parse(&found.text, "draft.toml").unwrap().system;
    let judged = assess(&system, &simulate(&system, Sampling::None).unwrap());
    let failing: Vec<_> = judged
        .checks
        .iter()
        .filter(|check| check.status == Status::Fail)
        .collect();
    assert!(failing.is_empty(), "{facts:?}\n{failing:?}\n{}", found.text);
    let turned = judged
        .checks
        .iter()
        .find(|check| check.id == CheckId::Turnover);
    assert!(
        turned.unwrap().value > 0.9,
        "{facts:?}\n{turned:?}\n{}",
        found.text
    );
    let tank = system.tank.as_ref().unwrap();
    let said = facts.tank.as_ref().unwrap();
    let (volume, wanted) = (tank.shape.full_volume(), said.shape().full_volume());
    assert!(
        (volume / wanted - 1.0).abs() < 0.02,
        "{volume} is not {wanted}"
    );
    if let Some(stand) = said.stand {
        assert!(
            (tank.floor - stand).abs() < 1e-3,
            "{} is not {stand}",
            tank.floor
        );
    }
    assert_eq!(tank.overflows_to, TankOutlet::Sump);
    assert!(tank.overflow_level > system.sump.top(), "{}", found.text);
    let TankFeed::PumpBranch(branch) = &tank.fed_by else {
        panic!("not its own branch: {}", found.text)
    };
    assert!(branch.level > tank.top(), "drowned: {}", found.text);
    (found, system)
}

#[test]
fn one_to_six_beds_with_fish_pass_in_either_units() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        for beds in 1..=6 {
            let fish = match units {
                UnitSystem::Metric => tank("300 L on 40 cm"),
                UnitSystem::Us => tank("100 gal"),
            };
            let facts = Facts {
                units,
                beds: Some(beds),
                tank: fish,
                ..Facts::default()
            };
            let (found, system) = works(&facts);
            assert_eq!(system.beds.len(), beds);
            assert!(system.supply.bypass.is_none(), "{}", found.text);
        }
    }
}

#[test]
fn any_sump_and_any_tank_pass() {
    let sumps = [
        SumpFact::LyingDrum,
        SumpFact::UprightDrum,
        SumpFact::Tote,
        SumpFact::Volume(0.3),
    ];
    let tanks = [
        "120 x 60 x 60 cm",
        "tote",
        "drum",
        "100 L",
        "lying on 60 cm",
    ];
    for (n, sump) in sumps.into_iter().enumerate() {
        for fish in tanks.iter().skip(n % 2).step_by(2) {
            let _ = works(&Facts {
                beds: Some(2),
                sump: Some(sump.clone()),
                tank: tank(fish),
                ..Facts::default()
            });
        }
    }
}

#[test]
fn a_pump_and_a_ceiling_that_are_given_are_reckoned_with() {
    let litres = |flow: f64| flow / 3.6e6;
    let pump = |flow: f64, lift: f64| PumpFact::Box {
        open_flow: litres(flow),
        shut_off_head: lift,
    };
    for (given, ceiling, fish) in [
        (pump(3500.0, 2.8), None, "300 L on 40 cm"),
        (pump(6000.0, 4.0), None, "300 L"),
        (pump(4000.0, 3.5), Some(1.7), "500 L"),
        (PumpFact::Measured(litres(1200.0)), None, "300 L"),
    ] {
        let (found, system) = works(&Facts {
            beds: Some(2),
            ceiling,
            pump: Some(given),
            tank: tank(fish),
            ..Facts::default()
        });
        if let Some(ceiling) = ceiling {
            assert!((system.ceiling.unwrap() - ceiling).abs() < 1e-3);
        }
        // The tank takes what is too much, before anything goes straight back.
        if given
            .curve()
            .is_some_and(|curve| curve.open_flow() < litres(5000.0))
        {
            assert!(system.supply.bypass.is_none(), "{}", found.text);
        }
    }
}

#[test]
fn a_pump_that_is_not_given_is_chosen_for_beds_and_fish() {
    let open = |fish: Option<TankFact>| {
        let found = drafted(&Facts {
            beds: Some(2),
            tank: fish,
            ..Facts::default()
        });
        let ebbwright::model::PumpSource::Curve(curve) = found.system.pump.source else {
            panic!("no curve")
        };
        curve.open_flow()
    };
    assert!(open(tank("1500 L")) > 1.5 * open(None));
}

#[test]
fn the_file_says_what_was_told_of_the_tank_and_keeps_it() {
    let (found, _) = works(&Facts {
        beds: Some(2),
        tank: tank("300 L on 40 cm"),
        ..Facts::default()
    });
    for part in [
        "fish tank: a round one of 300 L (given, its measures assumed), its bottom 400 mm up (given)",
        "\"tank.shape\", \"tank.floor\"",
        "[tank]",
        "of 2 per hour",
        "overflows-to = \"sump\"",
    ] {
        assert!(
            found.text.replace("\n#   ", " ").contains(part),
            "{part} is not in\n{}",
            found.text
        );
    }
    let (found, _) = works(&Facts {
        units: UnitSystem::Us,
        beds: Some(2),
        tank: tank("4 ft x 2 ft x 2 ft"),
        ..Facts::default()
    });
    let flat = found.text.replace("\n#   ", " ");
    assert!(
        flat.contains("fish tank: a box of 120 gal (given)"),
        "{}",
        found.text
    );
    assert!(
        flat.contains("(assumed)") && !found.text.contains("tank.floor"),
        "{}",
        found.text
    );
    // Nobody who has no fish is told of any.
    let without = drafted(&Facts::default()).text;
    assert!(
        without.contains("fish tank: none") && !without.contains("[tank]"),
        "{without}"
    );
}

#[test]
fn a_tank_that_stands_too_low_or_takes_too_much_is_said_and_what_would_do() {
    let low = drafted(&Facts {
        beds: Some(2),
        sump: Some(SumpFact::UprightDrum),
        tank: tank("100 L on the floor"),
        ..Facts::default()
    });
    let told = low.troubles.join("\n");
    assert!(!low.works() && told.contains("stands so low"), "{told}");
    assert!(told.contains("the fish tank's bottom"), "{told}");
    let weak = drafted(&Facts {
        beds: Some(2),
        pump: Some(PumpFact::Box {
            open_flow: 2000.0 / 3.6e6,
            shut_off_head: 2.5,
        }),
        tank: tank("3000 L"),
        ..Facts::default()
    });
    let told = weak.troubles.join("\n");
    assert!(
        !weak.works() && told.contains("too little water comes to the fish"),
        "{told}"
    );
    assert!(
        told.contains("a pump of") || told.contains("no fish tank"),
        "{told}"
    );
}

#[test]
fn valves_of_the_beds_leave_the_fish_their_water_and_stand_where_a_hand_can_hold_them() {
    let (found, system) = works(&Facts {
        beds: Some(2),
        pump: Some(PumpFact::Box {
            open_flow: 4000.0 / 3.6e6,
            shut_off_head: 3.5,
        }),
        tank: tank("500 L"),
        ..Facts::default()
    });
    for bed in &system.beds {
        let Inlet::Piped(branch) = &bed.inlet else {
            panic!("{}", found.text)
        };
        let opening = branch.valve.as_ref().unwrap().opening;
        assert!(opening >= 0.33, "{opening}: {}", found.text);
    }
    assert!(matches!(
        system.tank.as_ref().unwrap().shape,
        VesselShape::UprightCylinder { .. }
    ));
}
