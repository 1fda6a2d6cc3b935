//! `[every-bed]`: the same systems, faults told once, changes in the right place.

use ebbwright::model::{BedPart, Change, Quantity, System};
use ebbwright::scenario::{Edit, Severity, parse, with_edits, written};
use ebbwright::units::UnitSystem;
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

const FOUR: &str = include_str!("../../scenarios/four-beds-metric.toml");

fn system(text: &str) -> System {
    match parse(text, "a.toml") {
        Ok(scenario) => scenario.system,
        Err(error) => panic!("{}\n{text}", error.render(false)),
    }
}

fn same(a: &System, b: &System) {
    assert_eq!(format!("{a:?}"), format!("{b:?}"));
}

/// Whether all numbers agree but for rounding.
fn close(a: &System, b: &System) -> bool {
    Quantity::all(a).iter().all(|what| {
        let (a, b) = (what.value(a), what.value(b));
        a.zip(b)
            .is_none_or(|(a, b)| (a - b).abs() < 1e-9 * (1.0 + a.abs()))
    })
}

/// What all entries of a list of beds have alike, moved into `[every-bed]`.
fn hoisted(text: &str) -> String {
    let mut document: DocumentMut = text.parse().unwrap();
    let Some(beds) = document.get("bed").and_then(Item::as_array_of_tables) else {
        return text.to_owned();
    };
    let beds: Vec<Table> = beds.iter().cloned().collect();
    let mut every = Table::new();
    for (key, item) in beds[0].iter() {
        if key != "name"
            && beds
                .iter()
                .all(|bed| shown(bed.get(key)) == shown(Some(item)))
        {
            every.insert(key, item.clone());
        }
    }
    let list = document["bed"].as_array_of_tables_mut().unwrap();
    for bed in list.iter_mut() {
        for (key, _) in every.iter() {
            bed.remove(key);
        }
    }
    document.insert("every-bed", Item::Table(every));
    document.to_string()
}

fn shown(item: Option<&Item>) -> String {
    fn flat(table: &dyn TableLike) -> String {
        let keys = table
            .iter()
            .map(|(key, item)| format!("{key}={}", shown(Some(item))));
        keys.collect::<Vec<_>>().join(";")
    }
    match item {
        None => "nothing".to_owned(),
        Some(item) => match item.as_table_like() {
            Some(table) => flat(table),
            None => item
                .as_value()
                .map_or_else(String::new, |value: &Value| value.to_string()),
        },
    }
}

fn shipped() -> Vec<String> {
    let mut files: Vec<_> = std::fs::read_dir("scenarios")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    files
        .iter()
        .map(|file| std::fs::read_to_string(file).unwrap())
        .collect()
}

#[test]
fn what_beds_share_may_stand_once() {
    let mut moved = 0;
    for text in shipped() {
        let once = hoisted(&text);
        moved += usize::from(once != text);
        same(&system(&once), &system(&text));
    }
    assert!(moved > 10, "{moved}");
    assert!(hoisted(FOUR).len() < FOUR.len());
}

#[test]
fn a_bed_overrides_a_value_and_what_excludes_it() {
    let text = hoisted(FOUR).replace(
        "name = \"herbs\"\n",
        "name = \"herbs\"\nfloor = \"1.25 m\"\nshape = { upright-cylinder = { diameter = \"1.2 m\", depth = \"0.35 m\" } }\nstandpipe = { nominal = \"3/4 in\" }\n",
    );
    let found = system(&text);
    let (plain, herbs) = (&found.beds[0], &found.beds[1]);
    assert_eq!(herbs.floor, 1.25);
    assert_eq!(plain.floor, 1.20);
    assert_ne!(herbs.shape, plain.shape);
    // Its bore is that of its size; its length is everybody's.
    assert!((herbs.siphon.standpipe.bore - 0.0209).abs() < 1e-4);
    assert_eq!(herbs.siphon.standpipe.lip_height, 0.225);
}

#[test]
fn a_fault_in_every_bed_is_told_once_and_named_there() {
    let text = hoisted(FOUR).replace("clearance = \"22 mm\"", "clearance = \"22\"");
    let error = parse(&text, "a.toml").unwrap_err();
    let told = error.faults();
    assert_eq!(told.len(), 1, "{}", error.render(false));
    assert_eq!(told[0].path.to_string(), "every-bed.bell.clearance");
    // A rule between values is told once, too.
    let text = hoisted(FOUR).replace("length = \"225 mm\"", "length = \"400 mm\"");
    let error = parse(&text, "a.toml").unwrap_err();
    let errors = error.faults().iter();
    let errors = errors.filter(|fault| fault.severity == Severity::Error);
    assert_eq!(errors.count(), 1, "{}", error.render(false));
}

#[test]
fn a_change_of_one_bed_is_written_there_and_of_all_for_all() {
    let text = hoisted(FOUR);
    let scenario = parse(&text, "a.toml").unwrap();
    let one = Change::of_bed(2, BedPart::StandpipeLength, 0.2);
    let after = written(&scenario, std::slice::from_ref(&one), &[]).unwrap();
    same(&after.system, &one.apply(&scenario.system).unwrap());
    assert!(after.text.contains("length = \"225 mm\""), "{}", after.text);
    assert_eq!(after.undo.apply(&after.text), text);
    let all: Vec<Change> = (0..4)
        .map(|i| Change::of_bed(i, BedPart::StandpipeLength, 0.2))
        .collect();
    let after = written(&scenario, &all, &[]).unwrap();
    let keys: Vec<String> = after
        .edits
        .iter()
        .map(|edit| edit.path().to_string())
        .collect();
    // The line's junctions differ, so each bed of this file has a drain of its own.
    assert_eq!(keys[0], "every-bed.standpipe.length", "{}", after.text);
    assert!(!keys.iter().any(|key| key.ends_with("].standpipe.length")));
    let typed: Edit = "bed.herbs.standpipe.length = 0.2 m".parse().unwrap();
    let text = with_edits(&scenario, &[typed], &[]).unwrap();
    let beds = system(&text).beds;
    assert_eq!(beds[1].siphon.standpipe.lip_height, 0.2);
    assert_eq!(beds[0].siphon.standpipe.lip_height, 0.225);
}

#[test]
fn every_change_of_a_bed_can_be_written() {
    for text in [hoisted(FOUR), hoisted(ebbwright::scenario::starter_us())] {
        let scenario = parse(&text, "a.toml").unwrap();
        let mut changes: Vec<Change> = Quantity::all(&scenario.system)
            .into_iter()
            .filter(|what| matches!(what, Quantity::Bed(..) | Quantity::Pipe(..)))
            .filter_map(|what| Some(Change::set(what, 0.98 * what.value(&scenario.system)?)))
            .collect();
        changes.push(Change::RaiseAll { by: 0.05 });
        changes.push(Change::RaiseBed { bed: 0, by: 0.02 });
        let mut tried = 0;
        for change in changes {
            let Ok(wanted) = change.apply(&scenario.system) else {
                continue;
            };
            if !wanted.misfits().is_empty() {
                continue;
            }
            let Ok(after) = written(&scenario, std::slice::from_ref(&change), &[]) else {
                continue;
            };
            tried += 1;
            let read = system(&after.text);
            assert!(close(&wanted, &read), "{change:?}\n{}", after.text);
            assert_eq!(after.undo.apply(&after.text), text);
        }
        assert!(tried > 20, "{tried}");
    }
}

#[test]
fn one_bed_can_lose_what_every_bed_has() {
    let text = hoisted(FOUR).replace(
        "clearance = \"22 mm\"",
        "clearance = \"22 mm\"\nair-tube = { bore = \"8 mm\", mouth = \"30 mm\" }",
    );
    let scenario = parse(&text, "a.toml").unwrap();
    let gone = Change::AirTube { bed: 1, tube: None };
    let after = written(&scenario, std::slice::from_ref(&gone), &[]).unwrap();
    same(&after.system, &gone.apply(&scenario.system).unwrap());
    assert_eq!(after.undo.apply(&after.text), text);
}

#[test]
fn what_is_kept_for_every_bed_is_kept_in_each() {
    let text = format!("keep = [\"every-bed.standpipe\"]\n{}", hoisted(FOUR));
    let scenario = parse(&text, "a.toml").unwrap();
    let one = Change::of_bed(2, BedPart::StandpipeLength, 0.2);
    assert!(written(&scenario, &[one], &[]).is_err());
    for typed in [
        "bed.herbs.standpipe.length = 0.2 m",
        "every-bed.standpipe.length = 0.2 m",
    ] {
        let typed: Edit = typed.parse().unwrap();
        assert!(with_edits(&scenario, &[typed], &scenario.keep).is_err());
    }
}

#[test]
fn everything_is_moved_by_one_typed_change_and_a_floor_takes_its_pipe_along() {
    let scenario = parse(FOUR, "a.toml").unwrap();
    let typed: Edit = "everything = +50 mm".parse().unwrap();
    let up = system(&with_edits(&scenario, &[typed], &[]).unwrap());
    for (was, is) in scenario.system.beds.iter().zip(&up.beds) {
        assert!((is.floor - was.floor - 0.05).abs() < 1e-9);
        assert!((is.siphon.drain.outlet - was.siphon.drain.outlet - 0.05).abs() < 1e-9);
    }
    let typed: Edit = "everything = up".parse().unwrap();
    let error = with_edits(&scenario, &[typed], &[])
        .unwrap_err()
        .to_string();
    assert!(error.contains("everything = -50 mm"), "{error}");
    let typed: Edit = "bed.herbs.floor = 1.25 m".parse().unwrap();
    let text = with_edits(&scenario, &[typed], &[]).unwrap();
    let wanted = Change::set(
        Quantity::Level(
            ebbwright::model::Vessel::Bed(1),
            ebbwright::model::Level::Floor,
        ),
        1.25,
    );
    assert!(close(
        &system(&text),
        &wanted.apply(&scenario.system).unwrap()
    ));
}

#[test]
fn a_form_shows_what_every_bed_has_in_each_of_them() {
    let text = include_str!("../../src/scenario/starter.toml");
    let shared = text.replace("media = {", "#media = {").replacen(
        "[[bed]]",
        "[every-bed]\nmedia = { depth = \"0.28 m\", void = 0.41 }\n\n[[bed]]",
        1,
    );
    let scenario = parse(&shared, "shed.toml").unwrap();
    let fields = ebbwright::scenario::fields(&scenario, UnitSystem::Metric);
    let of = |key: &str| {
        let found = fields.iter().find(|field| field.key == key);
        found.map(|field| (field.written.clone(), field.shared))
    };
    let depth = Some("0.28 m".to_owned());
    assert_eq!(of("every-bed.media.depth"), Some((depth.clone(), false)));
    assert_eq!(of("bed[1].media.depth"), Some((depth, true)));
    let lip = of("bed[1].standpipe.length").unwrap();
    assert!(lip.0.is_some() && !lip.1);
}
