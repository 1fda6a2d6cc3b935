//! Odd sizes are asked about, not refused.

use ebbwright::scenario::{Severity, parse, starter};

/// What the warnings about `text` say.
fn questions(text: &str) -> Vec<String> {
    let scenario = parse(text, "shed.toml").unwrap();
    let warnings = scenario.warnings.iter();
    warnings
        .inspect(|fault| assert_eq!(fault.severity, Severity::Warning))
        .map(ToString::to_string)
        .collect()
}

#[test]
fn a_bed_of_five_inches_is_asked_about() {
    let text = starter();
    assert!(questions(text).is_empty(), "{:?}", questions(text));
    let narrow = text.replace("width = \"1.1 m\"", "width = \"5 in\"");
    assert_ne!(narrow, text);
    let asked = questions(&narrow);
    assert!(
        asked
            .iter()
            .any(|one| one.contains("width is \"5 in\": is that right?")),
        "{asked:?}"
    );
    let usual = parse(&narrow, "shed.toml").unwrap().warnings;
    assert!(
        usual
            .iter()
            .any(|one| one.labels[0].text == "usual: 7.9 in to 110 in"),
        "{usual:?}"
    );
}

#[test]
fn what_every_bed_has_is_asked_about_once() {
    let text = include_str!("../../scenarios/four-beds-metric.toml");
    assert!(questions(text).is_empty(), "{:?}", questions(text));
    let thin = text.replace("void = 0.40", "void = 0.15");
    let beds = thin.matches("void = 0.15").count();
    assert!(beds > 0);
    let asked = questions(&thin);
    assert_eq!(asked.len(), beds, "{asked:?}");
}
