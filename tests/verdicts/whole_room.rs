//! Elevations count from wherever the file counts them: a room a metre higher is the same room.

use crate::told;
use ebbwright::assessment::Fix;
use ebbwright::model::{IncidentTime, System, TankFeed};
use ebbwright::scenario;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;

/// All of `system` this much higher `[m]`.
fn higher(system: &System, by: f64) -> System {
    let mut raised = system.clone();
    raised.raise(by);
    raised.raise_sump(by);
    // One shorter than the rise would have kept a part of it.
    raised.supply.trunk.length = system.supply.trunk.length;
    raised.ceiling = raised.ceiling.map(|ceiling| ceiling + by);
    if let Some(tank) = &mut raised.tank {
        tank.floor += by;
        tank.start_level += by;
        tank.overflow_level += by;
        if let TankFeed::PumpBranch(branch) = &mut tank.fed_by {
            branch.raise(by);
        }
    }
    if let Some(settler) = &mut raised.settler {
        settler.floor += by;
        settler.overflow_level += by;
        if let Some(inlet) = &mut settler.inlet {
            inlet.raise(by);
        }
    }
    raised
}

fn parts(fixes: &[Fix]) -> Vec<(usize, usize)> {
    let parts = fixes.iter();
    parts
        .map(|fix| (fix.changes.len(), fix.hints.len()))
        .collect()
}

// Whoever takes an elevation for a depth, or a sum for a difference, is found out here.
#[test]
fn a_room_that_is_higher_gets_the_same_verdicts_margins_and_ways_out() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ending| ending != "toml") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let mut system = scenario::parse(&text, "room.toml").unwrap().system;
        // Another moment as bad as the worst may come first.
        system.incidents.retain(|one| one.at != IncidentTime::Worst);
        // No shipped scenario keeps its fish in the sump.
        system.sump.holds_fish |= system.tank.is_none();
        let raised = higher(&system, 1.0);
        let judged = |system: &System| {
            let run = simulate(system, Sampling::None).unwrap();
            told::assess(system, &run, Metric)
        };
        let (low, high) = (judged(&system), judged(&raised));
        assert_eq!(low.checks.len(), high.checks.len(), "{}", path.display());
        for (a, b) in low.checks.iter().zip(&high.checks) {
            let about = || format!("{}\n{a:#?}\n{b:#?}", path.display());
            assert_eq!((a.id, &a.subject), (b.id, &b.subject), "{}", about());
            assert_eq!(a.status, b.status, "{}", about());
            let same = a.margin == b.margin
                || (a.margin - b.margin).abs() <= 1e-5 * (1.0 + a.margin.abs());
            assert!(same, "{}", about());
            assert_eq!(parts(&a.fixes), parts(&b.fixes), "{}", about());
            seen += 1;
        }
    }
    assert!(seen > 150, "{seen}");
}
