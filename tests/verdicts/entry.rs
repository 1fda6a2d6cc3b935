//! Pipes that come into the sump under its rim, by hand: over it where they begin above it, else
//! through the wall, where a hole leaks as soon as water stands over it.

use crate::fixes::{find, judge, mended};
use crate::support;
use ebbwright::assessment::{Adviser, CheckId, Status, Subject, assess, open_hole, sump_volumes};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Change, Entries, Level, Quantity, System, Vessel};
use ebbwright::report::change_words;
use ebbwright::scenario;
use ebbwright::simulation::{Sampling, simulate};
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

// "Over the rim" could be told only as "sealed".
#[test]
fn what_is_told_of_how_pipes_come_in_counts() {
    let told_as = |entries, system: System| {
        let mut system = system;
        system.sump.entries = entries;
        let (status, _, text) = told(&system).unwrap();
        (status, text, open_hole(&system))
    };
    let over = || drum(0.70, 0.80, 0.72);
    let (status, text, hole) = told_as(Entries::OverRim, over());
    assert!(status == Status::Pass && hole.is_none(), "{text}");
    assert!(
        text.contains("As told, what comes from") && text.contains("goes over the sump's rim"),
        "{text}"
    );
    // A hole that is told of is there for sure.
    let (status, text, hole) = told_as(Entries::Holes, over());
    assert!(status == Status::Fail && hole.unwrap().certain, "{text}");
    assert!(text.contains("goes through the sump's wall"), "{text}");
    let mut sealed = over();
    sealed.sump.sealed_entries = true;
    let (status, text, hole) = told_as(Entries::Holes, sealed);
    assert!(status == Status::Pass && hole.is_none(), "{text}");
    // What begins under the rim cannot go over it, whatever is told.
    let (status, text, hole) = told_as(Entries::OverRim, drum(0.70, 1.10, 0.72));
    assert!(status == Status::Fail && hole.unwrap().certain, "{text}");
    assert!(text.contains("would need a rise"), "{text}");
    // What nobody told is as it was.
    let (status, _, hole) = told_as(Entries::Untold, over());
    assert!(status == Status::Warn && !hole.unwrap().certain);
    // A file says it in a word.
    let file = |word: &str| {
        let text = SUPPLY.replace(
            "overflow-level = \"55 cm\" }",
            &format!("overflow-level = \"55 cm\", entries = \"{word}\" }}"),
        );
        scenario::parse(&text, "supply.toml").map(|found| found.system.sump.entries)
    };
    assert_eq!(file("over-rim").unwrap(), Entries::OverRim);
    assert_eq!(file("holes").unwrap(), Entries::Holes);
    assert!(file("lid").is_err());
}

// The sump's own check and the answer on a power cut reckoned with the rim and passed, over a hole.
#[test]
fn a_power_cut_is_held_against_the_lowest_hole_where_that_spills_first() {
    let seal = |system: &System, before| {
        mended(system, CheckId::SumpHigh, "sump", before, "seal the pipes");
    };
    let mut over = drum(0.70, 0.90, 0.72);
    over.sump.overflow_level = 0.88;
    seal(&over, Status::Warn);
    let mut through = drum(0.70, 1.10, 0.72);
    through.sump.overflow_level = 1.08;
    seal(&through, Status::Fail);
    let high = |system: &System| find(&judge(system, Metric), CheckId::SumpHigh, "sump").clone();
    let text = high(&through).because;
    assert!(text.contains("it spills there"), "{text}");
    // It is short of the hole by as much as the check of the hole itself says.
    let (_, value, _) = told(&through).unwrap();
    assert!((high(&through).value - value).abs() < 1e-9, "{value}");
    let mut under = drum(0.70, 0.90, 0.40);
    under.sump.overflow_level = 0.88;
    let check = high(&under);
    assert_eq!(check.status, Status::Pass, "{check:?}");
    assert!(check.because.contains("under the lowest hole"), "{check:?}");
    under.sump.sealed_entries = true;
    let text = high(&under).because;
    assert!(!text.contains("lowest hole"), "{text}");
}

// By hand: 20 m of 20 mm pipe hold 6.28 L, and with the beds empty nothing else comes back.
#[test]
fn what_comes_back_once_the_pump_stops_is_told() {
    let system = scenario::parse(SUPPLY, "supply.toml").unwrap().system;
    let holds = 20.0 * std::f64::consts::PI * 0.01_f64.powi(2);
    let found = judge(&system, Metric);
    let text = &find(&found, CheckId::SumpHigh, "sump").because;
    assert!(
        text.contains("come 6.28 L out of the supply pipes") && (holds - 6.28e-3).abs() < 5e-6,
        "{text}"
    );
    let mut kept = system;
    kept.pump.check_valve = true;
    let found = judge(&kept, Metric);
    let text = &find(&found, CheckId::SumpHigh, "sump").because;
    assert!(!text.contains("supply pipes"), "{text}");
}

#[test]
fn beside_a_level_to_fill_to_stands_the_hole_that_its_water_must_not_reach() {
    let fill = |system: &System, to| {
        let level = Quantity::Level(Vessel::Sump, Level::Start);
        change_words(&Change::set(level, to), system, Metric).to_string()
    };
    let mut system = drum(0.70, 1.10, 0.40);
    let under = fill(&system, 0.50);
    assert!(
        under.contains("has to stay under the lowest hole, at 0."),
        "{under}"
    );
    let over = fill(&system, 0.80);
    assert!(over.contains("seal the holes first"), "{over}");
    // What is described need not be what stands in it now.
    assert!(under.contains("more than at 0.400 m"), "{under}");
    system.sump.sealed_entries = true;
    let sealed = fill(&system, 0.80);
    assert!(!sealed.contains("hole"), "{sealed}");
}

// The fill itself stood under the hole, and what comes back out of the pipes did not: nobody was told.
#[test]
fn a_fill_is_held_against_the_hole_with_all_that_comes_back() {
    let low = SUPPLY.replace("outlet = \"65 cm\"", "outlet = \"40 cm\"");
    let system = scenario::parse(&low, "supply.toml").unwrap().system;
    let fill = |to| {
        let level = Quantity::Level(Vessel::Sump, Level::Start);
        change_words(&Change::set(level, to), &system, Metric).to_string()
    };
    // The hole's lower edge is half a bore under 40 cm, and 6.3 L stand 6.3 mm high.
    assert!(
        fill(0.385).contains("seal the holes first"),
        "{}",
        fill(0.385)
    );
    assert!(fill(0.375).contains("has to stay under"), "{}", fill(0.375));
}

// "Seal the pipes" stood beside every fill, also beside one that keeps the water under them.
#[test]
fn holes_are_sealed_only_where_water_comes_to_stand_over_them() {
    let mut system = drum(0.70, 1.10, 0.40);
    system.sump.start_level = system.sump.overflow_level - 0.005;
    let run = simulate(&system, Sampling::None).unwrap();
    let found = assess(&system, &run);
    let adviser = Adviser::new(&system, &run, Metric);
    let check = found.check(CheckId::SumpHigh, Subject::Sump).unwrap();
    let fixes = adviser.fixes(check);
    let fills = fixes
        .iter()
        .filter(|fix| fix.changes.iter().any(|one| one.fills_sump().is_some()));
    let mut seen = 0;
    for fix in fills {
        let mut after = system.clone();
        for change in &fix.changes {
            change.apply_to(&mut after).unwrap();
        }
        let run = simulate(&after, Sampling::None).unwrap();
        let hole = open_hole(&system).unwrap();
        let drowned = sump_volumes(&after, &run).bounds.high > hole.level;
        let seals = fix.changes.contains(&Change::SealEntries(true));
        assert_eq!(seals, drowned, "{fix:?}");
        seen += 1;
    }
    assert!(seen > 0, "{fixes:?}");
}

const SUPPLY: &str = r#"
sump = { shape = { box = { length = "1 m", width = "1 m", depth = "0.6 m" } }, floor = "0 m", start-level = "40 cm", overflow-level = "55 cm" }
pump = { intake-level = "5 cm", box = { shut-off-head = "3.5 m", open-flow = "3000 L/h" } }
supply = { pipe = { bore = "20 mm", length = "20 m" } }

[[bed]]
name = "only"
floor = "1 m"
shape = { box = { length = "100 cm", width = "60 cm", depth = "32 cm" } }
media = { depth = "29 cm", void = "40 %" }
inlet = { level = "137 cm", pipe = { bore = "20 mm", length = "0 cm" } }
standpipe = { bore = "25 mm", length = "22 cm" }
bell = { bore = "75 mm", clearance = "2 cm", slots = { count = 6, width = "10 mm", height = "25 mm" } }
drain = { outlet = "65 cm", length = "62 cm", into = "sump" }
"#;
