//! The starters: read as they are, and with each part that waits in a comment.

use ebbwright::scenario::{self, FaultKind, Rule};

use super::reading::system;

#[test]
fn the_starters_are_read_without_warnings() {
    for text in [scenario::starter(), scenario::starter_us()] {
        assert_eq!(system(text).beds.len(), 1);
        assert!(text.contains("invented"));
        assert!(
            text.lines().all(|line| line.len() <= 160),
            "a line too long for a narrow window"
        );
    }
}

/// A newcomer removes the # from one key or one table: it must be spelt right
/// and in range; at most it needs another part beside it.
#[test]
fn each_part_of_the_starters_that_is_commented_out_can_be_taken_in() {
    let hidden = |line: &str| line.len() > 1 && line.starts_with('#') && !line.starts_with("# ");
    for starter in [scenario::starter(), scenario::starter_us()] {
        let lines: Vec<&str> = starter.lines().collect();
        let (mut i, mut parts) = (0, 0);
        while i < lines.len() {
            if !hidden(lines[i]) {
                i += 1;
                continue;
            }
            let mut text: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            let part = i;
            if lines[i].starts_with("#[") {
                while i < lines.len() && hidden(lines[i]) {
                    text[i].remove(0);
                    i += 1;
                }
            } else {
                text[i].remove(0);
                // It takes the place of the same key above it, such as another shape.
                let name = text[i].split('=').next().unwrap().to_owned();
                let table = lines[..i]
                    .iter()
                    .rposition(|line| line.starts_with('['))
                    .unwrap_or(0);
                for line in &mut text[table..part] {
                    if line.starts_with(&name) {
                        line.clear();
                    }
                }
                i += 1;
            }
            parts += 1;
            let Err(error) = scenario::parse(&text.join("\n"), "starter.toml") else {
                continue;
            };
            for fault in error.faults() {
                let needs_another_part = matches!(
                    fault.kind,
                    FaultKind::SeveralOf { .. }
                        | FaultKind::Rule(
                            Rule::NoInlet
                                | Rule::NoSupply
                                | Rule::JunctionWithoutLine
                                | Rule::NoWaterForFish
                        )
                );
                assert!(
                    needs_another_part,
                    "{}: {}",
                    lines[part],
                    error.render(false)
                );
            }
        }
        assert!(parts > 20, "{parts} parts");
    }
}

#[test]
fn the_starter_with_a_second_bed_taken_in_needs_only_the_first_bed_s_inlet() {
    for starter in [scenario::starter(), scenario::starter_us()] {
        let from = starter.find("\n#[[bed]]").unwrap();
        let to = from + starter[from..].find("\n# ---").unwrap();
        let second = starter[from..to].replace("\n#", "\n");
        let text = format!("{}{second}{}", &starter[..from], &starter[to..])
            .replace("#inlet = { share = 0.5 }", "inlet = { share = 0.5 }");
        assert_eq!(system(&text).beds.len(), 2);
    }
}

/// The starters describe nearly the same system in metric and US units.
#[test]
fn the_two_starters_agree_to_a_few_percent() {
    let (metric, us) = (system(scenario::starter()), system(scenario::starter_us()));
    let pairs = [
        (metric.beds[0].floor, us.beds[0].floor),
        (
            metric.beds[0].shape.full_volume(),
            us.beds[0].shape.full_volume(),
        ),
        (metric.beds[0].lip_level(), us.beds[0].lip_level()),
        (
            metric.beds[0].siphon.drain.outlet,
            us.beds[0].siphon.drain.outlet,
        ),
        (metric.sump.shape.full_volume(), us.sump.shape.full_volume()),
        (metric.sump.start_level, us.sump.start_level),
    ];
    for (a, b) in pairs {
        assert!((a / b - 1.0).abs() < 0.05, "{a} and {b}");
    }
}
