//! Fish, dissolved matter, reach and gravel, by hand.

use crate::support::{bed, system};
use crate::told::{Assessment, assess};
use ebbwright::assessment::{CheckId, Status, WaterBudget};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Dissolved, Duration, Fish, Guard, Inlet, Side, Source, System};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem;

const DAY: f64 = 86_400.0;

/// One bed of 1.2 m x 1.0 m over a sump of 0.96 m2 that holds the fish.
fn fishes(count: u32, grams: f64) -> System {
    let one = bed("north", 1.0, 0.4, Inlet::Share(1.0));
    let mut system = system(vec![one], 8e-3 / 60.0, Duration::Fixed(4.0 * 3600.0));
    system.sump.holds_fish = true;
    system.fish = Some(Fish {
        count,
        mass: grams / 1000.0,
        feed: None,
        harvest_mass: 0.5,
    });
    system
}

fn judged(system: &System) -> Assessment {
    let run = simulate(system, Sampling::None).unwrap();
    assess(system, &run, UnitSystem::Metric)
}

fn status(found: &Assessment, id: CheckId) -> Option<Status> {
    let mut checks = found.checks.iter();
    checks
        .find(|check| check.id == id)
        .map(|check| check.status)
}

fn near(ours: f64, by_hand: f64) {
    assert!((ours / by_hand - 1.0).abs() < 1e-9, "{ours} {by_hand}");
}

#[test]
fn stocking_and_feed_follow_from_mass_water_and_beds() {
    let system = fishes(20, 200.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let found = assess(&system, &run, UnitSystem::Metric);
    let fish = found.garden.fish.unwrap();
    assert_eq!(fish.vessel, "sump");
    near(fish.mass, 4.0);
    near(fish.volume, 0.96 * run.sump.level.mean);
    near(fish.density, 4.0 / fish.volume);
    near(fish.harvest_density, 10.0 / fish.volume);
    // 2 % of 4 kg; 40 to 50 and 50 to 80 g/(m2 d) on 1.2 m2.
    near(fish.feed * DAY, 0.080);
    near(fish.leafy[0] * DAY, 0.048);
    near(fish.leafy[1] * DAY, 0.060);
    near(fish.fruiting[1] * DAY, 0.096);
    // 48 g a day for fish that eat 4 g each; 60 g for fish that eat 10 g each.
    assert_eq!(fish.start_with.with_leafy(), 12.0);
    assert_eq!(fish.end_with.with_fruiting(), 6.0);
    // The pump stops with the bed at its highest; 4 g/m3 over 1.2 g/h.
    near(
        fish.lowest_volume,
        0.96 * found.sump.low.min(run.sump.level.min),
    );
    near(fish.until_low[0], 3600.0 * 4.0 * fish.lowest_volume / 1.2);
    assert!(fish.until_low[1] > fish.until_low[0]);
}

#[test]
fn what_is_wrong_with_fish_is_warned_of_and_never_fails() {
    let ids = [CheckId::FishDensity, CheckId::FishFeed, CheckId::FishOxygen];
    let few = judged(&fishes(8, 200.0));
    let many = judged(&fishes(500, 400.0));
    for id in ids {
        assert_eq!(status(&few, id), Some(Status::Pass), "{id:?}");
        assert_eq!(status(&many, id), Some(Status::Warn), "{id:?}");
    }
    let told = few.checks.iter().filter(|check| ids.contains(&check.id));
    assert!(told.clone().count() == 3 && told.clone().all(|check| check.informs()));
    let mut none = fishes(8, 200.0);
    none.fish = None;
    let none = judged(&none);
    assert!(ids.iter().all(|id| status(&none, *id).is_none()));
    assert!(none.garden.fish.is_none() && none.garden.water.is_none());
}

// A limit is met to the last digit, not missed by it: so many grams a day that the beds take
// all of it, over as many areas as rounding may fall on either side of.
#[test]
fn feed_that_the_beds_just_take_is_not_warned_of() {
    for share in 1..=12 {
        let mut system = fishes(8, 200.0);
        let width = 0.1 * f64::from(share);
        system.beds[0].shape = VesselShape::Box {
            length: 1.2,
            width,
            depth: 0.35,
        };
        // 80 g/(m2 d) is the most that fruiting plants take (FAO Technical Paper 589).
        for (of_it, expected) in [(1.0, Status::Pass), (1.0 + 1e-6, Status::Warn)] {
            system.fish.as_mut().unwrap().feed = Some(of_it * 0.080 * 1.2 * width / DAY);
            let found = status(&judged(&system), CheckId::FishFeed);
            assert_eq!(found, Some(expected), "{width} {of_it}");
        }
    }
}

#[test]
fn evaporation_concentrates_what_the_top_off_brings() {
    let mut system = fishes(8, 200.0);
    system.evaporation = 6e-3 / DAY;
    system.dissolved = Dissolved {
        filled: None,
        top_off: Some(0.32),
    };
    system.thresholds.dissolved = Some(0.6);
    system.sources = vec![Source {
        name: "condensate".to_owned(),
        flow: 1e-3 / DAY,
        dissolved: Some(0.010),
    }];
    let run = simulate(&system, Sampling::None).unwrap();
    let found = assess(&system, &run, UnitSystem::Metric);
    let Some(WaterBudget::Known(water)) = &found.garden.water else {
        panic!("{:?}", found.garden.water)
    };
    // 5 L of 320 mg/L and 1 L of 10 mg/L a day.
    near(water.volume, run.water_at_start);
    near(water.weekly_rise, 7.0 * 1.61e-3 / water.volume);
    near(water.after_season, 0.32 + 182.0 * 1.61e-3 / water.volume);
    near(water.with_exchange, 0.32 + 10.0 * water.weekly_rise);
    // With that share as condensate a season ends at the limit.
    let share = water.pure_share.unwrap().unwrap();
    let load = 6e-3 * (share * 0.010 + (1.0 - share) * 0.32);
    near(0.32 + 182.0 * load / water.volume, 0.6);
    assert_eq!(status(&found, CheckId::Dissolved), Some(Status::Warn));
    system.sources[0].flow = 6e-3 / DAY;
    assert_eq!(
        status(&judged(&system), CheckId::Dissolved),
        Some(Status::Pass)
    );
    system.sources[0].dissolved = None;
    let unknown = judged(&system);
    let Some(WaterBudget::Missing(what)) = &unknown.garden.water else {
        panic!("{:?}", unknown.garden.water)
    };
    assert!(what.contains("condensate"));
    assert_eq!(status(&unknown, CheckId::Dissolved), None);
}

#[test]
fn an_arm_reaches_over_half_a_bed_from_two_sides() {
    let mut system = fishes(8, 200.0);
    system.beds[0].shape = VesselShape::Box {
        length: 2.4,
        width: 1.0,
        depth: 0.35,
    };
    use Side::{Back, Front, Left, Right};
    let cases: [(&[Side], f64); 6] = [
        (&[Front], 1.0),
        (&[Front, Back], 0.5),
        (&[Left], 2.4),
        (&[Left, Right], 1.2),
        (&[Front, Left], 1.0),
        (&[], f64::INFINITY),
    ];
    for (sides, needed) in cases {
        system.beds[0].access = Some(sides.to_vec());
        let found = judged(&system);
        assert_eq!(found.garden.reach[0].needed, needed, "{sides:?}");
        let wanted = if needed <= 0.6 {
            Status::Pass
        } else {
            Status::Warn
        };
        assert_eq!(status(&found, CheckId::Reach), Some(wanted), "{sides:?}");
    }
    system.beds[0].access = None;
    assert_eq!(status(&judged(&system), CheckId::Reach), None);
}

// 1.2 m x 1.0 m x 0.30 m less a guard of 110 mm; 60 % grains of 2650 kg/m3.
#[test]
fn gravel_to_order_is_what_lies_in_the_beds() {
    let mut system = fishes(8, 200.0);
    system.beds[0].guard = Some(Guard {
        diameter: 0.110,
        slot_area: None,
    });
    let gravel = judged(&system).garden.gravel;
    let volume = 0.30 * (1.2 - std::f64::consts::FRAC_PI_4 * 0.0121);
    near(gravel.volume, volume);
    near(gravel.mass, volume * 0.6 * 2650.0);
}
