//! What is told of a length beside the pipe that stands.

use ebbwright::answer::CutReport;
use ebbwright::model::System;
use ebbwright::scenario::{Fittings, GuessedDrain};
use ebbwright::study::cut::Cuts;
use ebbwright::units::UnitSystem;

use crate::support::{one_bed, pumped_beds};
use crate::{WANTED, ask, cut_to};

/// A bed whose standpipe is `length` long now, and what is told of its cut.
fn told(length: f64) -> (System, String) {
    let mut system = one_bed(9.0, 0.5);
    cut_to(&mut system.beds[0], length);
    let text = words(&system, &ask(&system, WANTED));
    (system, text)
}

fn words(system: &System, cuts: &Cuts) -> String {
    words_guessing(system, cuts, GuessedDrain::default())
}

fn words_guessing(system: &System, cuts: &Cuts, guessed: GuessedDrain) -> String {
    let guessed = vec![guessed; system.beds.len()];
    let report = CutReport {
        system,
        built: system,
        cuts,
        fittings: &Fittings::default(),
        guessed: &guessed,
        planned: false,
        advice: None,
        units: UnitSystem::Metric,
    };
    let document = report.document("bed.toml");
    assert_eq!(document.faults(), [""; 0]);
    let text = document.markdown();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

// A standpipe of 220 mm was to be cut to 224 mm.
#[test]
fn a_pipe_that_no_saw_tells_from_the_length_found_is_left_as_it_is() {
    let system = one_bed(9.0, 0.5);
    let cuts = ask(&system, WANTED);
    let cut = cuts.beds[0].answer.as_ref().unwrap();
    let (length, shortest) = (cut.exact.length, cut.band.shortest.unwrap().length);
    let left = "Leave the standpipe as it is of ";
    for now in [length + 1e-3, length - 1.5e-3, shortest + 0.5e-3] {
        let (_, text) = told(now);
        assert!(text.contains(left), "{now}: {text}");
        assert!(!text.contains("Cut the standpipe of"), "{now}: {text}");
    }
    let (_, longer) = told(length + 10e-3);
    assert!(longer.contains("Cut the standpipe of "), "{longer}");
    assert!(longer.contains("shorter than now"), "{longer}");
    // One that stands cannot be made longer with a saw.
    let (_, shorter) = told(shortest - 10e-3);
    assert!(
        shorter.contains("no cut of the one that stands but a new one"),
        "{shorter}"
    );
}

// A drain's end that nobody had measured stood on the sheet as a length to cut.
#[test]
fn a_length_that_was_assumed_is_measured_before_it_is_cut() {
    let system = one_bed(9.0, 0.5);
    let cuts = ask(&system, WANTED);
    let told = |outlet, length| words_guessing(&system, &cuts, GuessedDrain { outlet, length });
    let (end, long) = (
        "Where it ends was assumed: measure before you cut",
        "Its length was assumed: measure before you cut",
    );
    let measured = told(false, false);
    assert!(!measured.contains("assumed"), "{measured}");
    // The down leg, and the pipe to the side that goes on from there.
    let ends = told(true, false);
    assert_eq!(
        (ends.matches(end).count(), ends.matches(long).count()),
        (2, 0),
        "{ends}"
    );
    let lengths = told(false, true);
    assert_eq!(
        (lengths.matches(end).count(), lengths.matches(long).count()),
        (0, 1),
        "{lengths}"
    );
}

// By hand, from the lengths of the list.
#[test]
fn all_pipe_of_the_system_is_what_its_pieces_come_to() {
    let system = pumped_beds(3);
    let cuts = ask(&system, WANTED);
    let text = words(&system, &cuts);
    let table = text.split("Pipe for the whole system").nth(1).unwrap();
    let row = |name: &str| -> Vec<&str> {
        let row = table.split(&format!("| {name} |")).nth(1).unwrap();
        row.split('|').map(str::trim).collect()
    };
    let lists = cuts
        .beds
        .iter()
        .map(|found| &found.answer.as_ref().unwrap().millimetre.list);
    let siphon: f64 = lists
        .clone()
        .map(|list| list.standpipe + list.down_leg + list.lateral.unwrap_or(0.0))
        .sum();
    let bells: f64 = lists.map(|list| list.bell).sum();
    let length = |metres: f64| UnitSystem::Metric.length(metres);
    assert_eq!(row("siphon pipe")[1], length(siphon));
    assert_eq!(row("bell")[1], length(bells));
    assert!(row("bell")[2].starts_with("3 x "), "{}", row("bell")[2]);
    let trunk = system.supply.trunk.length;
    assert_eq!(
        row("supply pipe")[1..3],
        [length(trunk), format!("1 x {}", length(trunk))]
    );
}

// By hand: the bell reaches from the floor over the lip by the gap.
#[test]
fn beside_the_length_stands_the_bell_that_keeps_the_gap() {
    let (system, text) = told(0.150);
    let cuts = ask(&system, WANTED);
    let cut = cuts.beds[0].answer.as_ref().unwrap();
    let length = (1000.0 * cut.exact.length).floor();
    let bell = length + 1000.0 * system.beds[0].siphon.bell.clearance;
    let words = format!("its bell {bell:.0} mm from the bed's floor to its cap");
    assert!(text.contains(&words), "{words}: {text}");
    // The printed band is the one that was found.
    let band = &cut.band;
    let (low, high) = (band.shortest.unwrap().length, band.longest.length);
    // The shortest with what the bed does there.
    for words in [
        format!(
            "| {:.0} mm (with bad luck its siphon dribbles) to ",
            1000.0 * low
        ),
        format!(" to {:.0} mm by what is uncertain", 1000.0 * high),
    ] {
        assert!(text.contains(&words), "{words}: {text}");
    }
}

// Asked what to cut, somebody was told in a circle: no length does, do the plan; with the plan done, no
// length does. What stands did, and nobody said so.
#[test]
fn what_stands_is_left_where_the_longest_would_take_more_water_than_there_is() {
    let mut system = one_bed(9.0, 0.5);
    cut_to(&mut system.beds[0], 0.150);
    // As little water as lets the short one run.
    let lowest = system.sump.floor;
    let full = system.sump.start_level;
    let found = (1..200).find_map(|step| {
        system.sump.start_level = lowest + (full - lowest) * f64::from(step) / 200.0;
        let cuts = ask(&system, WANTED);
        cuts.beds[0].present_does.then_some(cuts)
    });
    let cuts = found.expect("with all its water it runs");
    let bed = &cuts.beds[0];
    assert!(bed.can_stay() && !bed.is_refused(), "{bed:?}");
    assert!(bed.present.dry_layer >= WANTED, "{bed:?}");
    let text = words(&system, &cuts);
    for words in [
        "Leave the standpipe as it is of ",
        "(150 mm): it leaves what is wanted",
        "with 150 mm it floods and drains",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(!text.contains("No length does"), "{text}");
}

// Three beds alike that no length does for were told in three paragraphs that read the same.
#[test]
fn beds_refused_in_the_same_words_are_told_once() {
    let mut system = pumped_beds(3);
    for bed in &mut system.beds {
        bed.media.depth = 0.06;
    }
    let cuts = ask(&system, WANTED);
    assert!(cuts.beds.iter().all(|bed| bed.answer.is_err()));
    let text = words(&system, &cuts);
    assert_eq!(
        text.matches("The gravel is too shallow").count(),
        1,
        "{text}"
    );
    let names: Vec<String> = system
        .beds
        .iter()
        .map(|bed| format!("\"{}\"", bed.name))
        .collect();
    assert!(
        text.contains(&format!("Beds {}", names.join(", "))),
        "{text}"
    );
    // Another depth is another paragraph.
    system.beds[2].media.depth = 0.05;
    let text = words(&system, &ask(&system, WANTED));
    assert_eq!(
        text.matches("The gravel is too shallow").count(),
        2,
        "{text}"
    );
}

// "Leave the standpipe a little long" stood beside "leave the one that stands" and "with bad luck its siphon dribbles".
#[test]
fn a_note_on_what_is_in_doubt_agrees_with_the_row_of_its_bed() {
    let mut seen = [false; 2];
    for flow in [7.0, 7.5, 8.0, 8.5] {
        for off in [0.0, 20e-3] {
            let mut system = one_bed(flow, 0.5);
            let Ok(cut) = &ask(&system, WANTED).beds[0].answer else {
                continue;
            };
            let length = cut.exact.length + off;
            cut_to(&mut system.beds[0], length);
            let text = words(&system, &ask(&system, WANTED));
            let left = text.contains("Leave the standpipe as it is of ");
            let trim = text.contains("a little long and unglued");
            assert!(!(left && trim), "{flow}: {text}");
            assert!(!text.contains("(it dribbles there)"), "{flow}: {text}");
            if text.contains("lies inside the band") {
                assert_eq!(trim, !left, "{flow}: {text}");
                let more_water = text.contains("where it dribbles, it needs more water");
                assert_eq!(
                    more_water,
                    text.contains("may or may not start"),
                    "{flow}: {text}"
                );
                seen[usize::from(left)] = true;
            }
        }
    }
    assert_eq!(seen, [true; 2], "choose other flows");
}
