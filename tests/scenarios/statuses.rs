//! Every check passes, warns and fails in some shipped scenario, where it can.

use crate::files;
use ebbwright::assessment::{CheckId, Status, assess};
use ebbwright::scenario;
use ebbwright::simulation::{Sampling, resolve_worst, simulate};
use std::collections::BTreeMap;

const CHECKS: [CheckId; 23] = [
    CheckId::DryLayer,
    CheckId::Rim,
    CheckId::Starts,
    CheckId::Breaks,
    CheckId::InflowRatio,
    CheckId::Period,
    CheckId::PumpCover,
    CheckId::SumpHigh,
    CheckId::DrainLine,
    CheckId::Fall,
    CheckId::SumpEntry,
    CheckId::Headroom,
    CheckId::TopOff,
    CheckId::TankLevel,
    CheckId::Turnover,
    CheckId::Settler,
    CheckId::FloorLoad,
    CheckId::CrownPressure,
    CheckId::FishDensity,
    CheckId::FishFeed,
    CheckId::FishOxygen,
    CheckId::Dissolved,
    CheckId::Reach,
];

const HUSBANDRY: &str = "informs or warns: husbandry advice decides";

const HOLES: &str = "no shipped sump is holed over its water: tests/verdicts/entry.rs";

/// Statuses that a check has not got, and why.
const NEVER: [(CheckId, Status, &str); 9] = [
    (
        CheckId::Headroom,
        Status::Warn,
        "the height asked for is there or is not",
    ),
    (CheckId::SumpEntry, Status::Pass, HOLES),
    (CheckId::FloorLoad, Status::Warn, "information only"),
    (CheckId::FloorLoad, Status::Fail, "information only"),
    (CheckId::FishDensity, Status::Fail, HUSBANDRY),
    (CheckId::FishFeed, Status::Fail, HUSBANDRY),
    (CheckId::FishOxygen, Status::Fail, HUSBANDRY),
    (CheckId::Dissolved, Status::Fail, HUSBANDRY),
    (CheckId::Reach, Status::Fail, HUSBANDRY),
];

#[test]
fn every_check_passes_warns_and_fails_somewhere() {
    let mut seen: BTreeMap<(CheckId, Status), Vec<String>> = BTreeMap::new();
    for path in files() {
        let (system, _) = resolve_worst(&scenario::read(&path).unwrap().system).unwrap();
        let run = simulate(&system, Sampling::None).unwrap();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        for check in assess(&system, &run).checks {
            let found = seen.entry((check.id, check.status)).or_default();
            if found.last() != Some(&name) {
                found.push(name.clone());
            }
            assert!(
                CHECKS.contains(&check.id),
                "{:?} is not in the list",
                check.id
            );
        }
    }
    let mut wrong = Vec::new();
    for id in CHECKS {
        for status in [Status::Pass, Status::Warn, Status::Fail] {
            let found = seen.get(&(id, status)).map_or(0, Vec::len);
            let reason = NEVER
                .iter()
                .find(|entry| (entry.0, entry.1) == (id, status));
            let never = reason.is_some_and(|entry| !entry.2.is_empty());
            if never == (found > 0) {
                wrong.push(format!("{} {status:?}: in {found} scenarios", id.key()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
