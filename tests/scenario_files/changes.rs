//! Changes of single values, written into the text of a scenario.

use std::fs;

use ebbwright::model::DrainLosses;
use ebbwright::scenario::{Edit, EditError, EditPath, edited, parse, starter, starter_us};
use ebbwright::simulation::{Sampling, simulate};

fn change(text: &str) -> Edit {
    text.parse()
        .unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn after(text: &str, changes: &[&str]) -> String {
    let changes: Vec<Edit> = changes.iter().map(|text| change(text)).collect();
    edited(text, &changes, &[]).unwrap().text
}

/// Every shipped scenario and both starters.
fn texts() -> Vec<String> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios");
    let mut texts: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .map(|path| fs::read_to_string(path).unwrap())
        .collect();
    texts.extend([starter().to_owned(), starter_us().to_owned()]);
    texts
}

/// Paths of all values that are no table.
fn leaves(value: &toml::Value, path: &str, found: &mut Vec<String>) {
    let below = |key: &str| match path {
        "" => key.to_owned(),
        _ => format!("{path}.{key}"),
    };
    match value {
        toml::Value::Table(table) => {
            for (key, value) in table {
                leaves(value, &below(key), found);
            }
        }
        toml::Value::Array(list) if list.iter().all(toml::Value::is_table) => {
            for (i, value) in list.iter().enumerate() {
                leaves(value, &format!("{path}[{}]", i + 1), found);
            }
        }
        _ => found.push(path.to_owned()),
    }
}

#[test]
fn every_value_of_every_shipped_scenario_can_be_changed_and_changed_back_to_the_byte() {
    let mut changed = 0;
    for text in texts() {
        let mut paths = Vec::new();
        leaves(&text.parse::<toml::Table>().unwrap().into(), "", &mut paths);
        for path in paths {
            for value in ["0.125", "\"7 mm\"", "[1, 2]", "{ a = 1 }"] {
                let there = edited(&text, &[change(&format!("{path} = {value}"))], &[]).unwrap();
                assert_ne!(there.text, text, "{path} = {value}");
                assert_eq!(there.undo.apply(&there.text), text, "{path} = {value}");
                changed += 1;
            }
        }
    }
    assert!(changed > 2000, "{changed}");
}

#[test]
fn keys_that_were_not_there_come_and_go() {
    for text in texts() {
        let before = parse(&text, "a.toml").unwrap().system;
        let there = edited(
            &text,
            &[
                change("checks.dry-layer = 41 mm"),
                change("bed[1].bell.air-tube = { bore = \"8 mm\", mouth = \"40 mm\" }"),
                change("bed[1].media.fouling = 2"),
            ],
            &[],
        )
        .unwrap();
        let system = parse(&there.text, "a.toml").unwrap().system;
        assert!((system.thresholds.dry_layer - 0.041).abs() < 1e-12);
        assert!((system.beds[0].media.fouling - 2.0).abs() < 1e-12);
        assert!(system.beds[0].siphon.bell.air_tube.is_some());
        let back = there.undo.apply(&there.text);
        let again = parse(&back, "a.toml").unwrap().system;
        assert_eq!(format!("{again:?}"), format!("{before:?}"));
    }
}

#[test]
fn comments_and_layout_stay() {
    let text = "# my shed\n[sump]\nfloor   = '0 m'     # on the slab\n\nstart-level = \"0.5 m\"\n";
    assert_eq!(
        after(text, &["sump.floor = 20 mm"]),
        text.replace("'0 m'", "\"20 mm\"")
    );
}

#[test]
fn a_bed_is_found_by_its_name_its_number_or_alone() {
    let two =
        "[[bed]]\nname = \"east\"\nfloor = \"1 m\"\n[[bed]]\nname = \"no. 2\"\nfloor = \"2 m\"\n";
    let moved = |to: &str| two.replace("1 m", to);
    assert_eq!(after(two, &["bed.east.floor = 3 m"]), moved("3 m"));
    assert_eq!(after(two, &["bed[1].floor = 3 m"]), moved("3 m"));
    assert_eq!(
        after(two, &["bed.\"no. 2\".floor = 3 m"]),
        two.replace("2 m", "3 m")
    );
    assert_eq!(
        after(two, &["bed.*.floor = 3 m"]),
        two.replace("1 m", "3 m").replace("2 m", "3 m")
    );
    let one = "[[bed]]\nname = \"east\"\nfloor = \"1 m\"\n";
    assert_eq!(after(one, &["bed.floor = 3 m"]), one.replace("1 m", "3 m"));

    let error = |text: &str| edited(two, &[change(text)], &[]).unwrap_err().to_string();
    assert!(error("bed.west.floor = 1 m").contains("east, no. 2"));
    assert!(error("bed[3].floor = 1 m").contains("2 entries"));
    assert!(error("bed.east.floor.here = 1 m").contains("is a value"));
}

/// Named after a fault: advice lengthened the standpipe and forgot the pipe that it begins.
#[test]
fn the_standpipe_and_its_pipe_change_together() {
    for text in texts() {
        let before = parse(&text, "a.toml").unwrap().system;
        let pipe = |system: &ebbwright::model::System| match system.beds[0].siphon.drain.losses {
            DrainLosses::Computed { length, .. } => Some(length),
            DrainLosses::Total { .. } => None,
        };
        let Some(was) = pipe(&before) else { continue };
        let bed = &before.beds[0];
        let length = bed.siphon.standpipe.lip_height - 0.010;
        let shorter = format!("bed[1].standpipe.length = {length:.4} m");
        let shorter = parse(&after(&text, &[&shorter]), "a.toml").unwrap().system;
        assert!((pipe(&shorter).unwrap() - (was - 0.010)).abs() < 2e-4);

        let outlet = bed.siphon.drain.outlet + 0.005;
        let higher = format!("bed[1].drain.outlet = {outlet:.4} m");
        let higher = parse(&after(&text, &[&higher]), "a.toml").unwrap().system;
        assert!((pipe(&higher).unwrap() - (was - 0.005)).abs() < 2e-4);

        // Said by itself, it is what was said.
        let both = [
            format!("bed[1].standpipe.length = {length:.4} m"),
            format!("bed[1].drain.length = {:.4} m", was + 0.02),
        ];
        let both = after(&text, &[&both[0], &both[1]]);
        let both = parse(&both, "a.toml").unwrap().system;
        assert!((pipe(&both).unwrap() - (was + 0.02)).abs() < 1e-4);
    }
}

#[test]
fn what_is_kept_stays() {
    let kept = |kept: &[&str], wanted: &str| {
        let kept: Vec<EditPath> = kept.iter().map(|key| key.parse().unwrap()).collect();
        edited(starter(), &[change(wanted)], &kept)
    };
    let name = &parse(starter(), "a.toml").unwrap().system.beds[0].name;
    let by_name = format!("bed.{name}.standpipe");
    for key in [
        "bed",
        "bed.*.standpipe",
        "bed[1].standpipe.length",
        &by_name,
    ] {
        let refused = kept(&[key], "bed[1].standpipe.length = 200 mm");
        assert!(matches!(refused, Err(EditError::Kept { .. })), "{key}");
    }
    assert!(kept(&["bed[1].bell", "sump"], "bed[1].standpipe.length = 200 mm").is_ok());

    let text = format!("keep = [\"sump\", \"bed.*.floor\"]\n{}", starter());
    assert_eq!(parse(&text, "a.toml").unwrap().keep.len(), 2);
    let text = format!("keep = [\"sumpf.floor\"]\n{}", starter());
    let message = parse(&text, "a.toml").unwrap_err().render(false);
    assert!(
        message.contains("sumpf.floor") && message.contains("keep"),
        "{message}"
    );
}

#[test]
fn a_changed_scenario_runs_as_if_it_had_been_written_so() {
    let changed = after(starter(), &["sump.start-level = 0.4 m"]);
    let system = parse(&changed, "a.toml").unwrap().system;
    assert!((system.sump.start_level - 0.4).abs() < 1e-12);
    let mut by_hand = parse(starter(), "a.toml").unwrap().system;
    by_hand.sump.start_level = 0.4;
    let level = |system| simulate(system, Sampling::None).unwrap().sump.level.min;
    assert!((level(&system) - level(&by_hand)).abs() < 1e-12);
}
