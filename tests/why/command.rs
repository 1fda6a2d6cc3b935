//! The command from end to end.

use assert_cmd::Command;
use assert_cmd::cargo::cargo_bin;
use std::fs;

const DRUM: &str = "scenarios/one-bed-lying-drum.toml";

fn why(arguments: &[&str]) -> Command {
    let mut command = Command::new(cargo_bin("ebbwright"));
    let _ = command.arg("why").args(arguments);
    command
}

#[test]
fn a_folder_holds_page_document_and_picture_and_the_same_bytes_twice() {
    let folders = [tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap()];
    for folder in &folders {
        let out = folder.path().to_str().unwrap();
        let symptom = ["--symptom", "slow-drain", "--inflow", "8.6 L/min"];
        let mut command = why(&[DRUM, "--drain", "9 min", "--out", out]);
        let said = command.args(symptom).assert().code(0);
        let text = String::from_utf8(said.get_output().stdout.clone()).unwrap();
        assert!(
            text.contains("Quick check:") && text.contains("What to measure next"),
            "{text}"
        );
    }
    for name in ["why.md", "report.html", "why.json", "why.svg", "why.png"] {
        let [a, b] = folders
            .each_ref()
            .map(|f| fs::read(f.path().join(name)).unwrap());
        assert!(!a.is_empty() && a == b, "{name}");
    }
    let page = fs::read_to_string(folders[0].path().join("why.md")).unwrap();
    assert!(
        page.contains("](why.svg)") && !page.contains("NaN"),
        "{page}"
    );
}

#[test]
fn the_document_has_shares_that_sum_to_one() {
    let said = why(&[DRUM, "--symptom", "never-starts", "--json"])
        .assert()
        .code(0);
    let document: serde_json::Value = serde_json::from_slice(&said.get_output().stdout).unwrap();
    let shares: f64 = document["suspects"]
        .as_array()
        .unwrap()
        .iter()
        .map(|suspect| suspect["share"].as_f64().unwrap())
        .sum();
    let other = document["something_else_share"].as_f64().unwrap();
    assert!((shares + other - 1.0).abs() < 1e-9);
    assert!(!document["measure_next"].as_array().unwrap().is_empty());
}

#[test]
fn several_sick_beds_are_each_told_of_and_need_their_names() {
    const TWO: &str = "scenarios/us-units-with-fractions.toml";
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    let complaints = ["--symptom", "east=dribbles", "--symptom", "west=runs-on"];
    let facts = ["--bed", "west", "--ran-on-at", "9 L/min"];
    let mut command = why(&[TWO, "--out", out, "--units", "metric"]);
    let said = command.args(complaints).args(facts).assert().code(0);
    let text = String::from_utf8(said.get_output().stdout.clone()).unwrap();
    for part in [
        "One cause for all, or one each",
        "\"east\": ",
        "\"west\": ",
        "ran on at 9.0 L/min",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    let json = fs::read_to_string(folder.path().join("why.json")).unwrap();
    let found: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(
        (&found["bed"], &found["others"][0]["bed"]),
        (&"east".into(), &"west".into())
    );
    assert_eq!(found["others"][0]["facts"][0]["what"], "ran-on-at");
    assert!(found["a_cause_each_share"].as_f64().unwrap() > 0.0);
    for (symptoms, hint) in [
        (["dribbles", "runs-on"], "--symptom north=dribbles"),
        (
            ["east=dribbles", "east=runs-on"],
            "two symptoms are given for \"east\"",
        ),
    ] {
        let [one, other] = symptoms;
        let said = why(&[TWO, "--symptom", one, "--symptom", other])
            .assert()
            .code(2);
        let text = String::from_utf8(said.get_output().stderr.clone()).unwrap();
        assert!(text.contains(hint), "{text}");
    }
}

#[test]
fn bad_input_is_refused_with_what_to_change() {
    for (arguments, hint) in [
        (vec![DRUM], "--symptom"),
        (vec![DRUM, "--symptom", "leaks"], "slow-drain"),
        (
            vec![DRUM, "--symptom", "stalls", "--check", "slots=no"],
            "slots-clogged",
        ),
        (
            vec![DRUM, "--symptom", "stalls", "--check", "slots-clogged"],
            "NAME=yes",
        ),
        (vec![DRUM, "--symptom", "stalls", "--inflow", "6"], "unit"),
        (
            vec![DRUM, "--symptom", "stalls", "--drop", "60 m"],
            "0 to 10 m",
        ),
        (
            vec!["scenarios/four-beds-metric.toml", "--symptom", "stalls"],
            "--bed",
        ),
        (
            vec![DRUM, "--sump-low", "300 mm", "--sump-high", "100 mm"],
            "lies above",
        ),
        (vec![DRUM, "--sump-high", "3 m"], "over the sump's wall"),
    ] {
        let said = why(&arguments).assert().code(2);
        let message = String::from_utf8(said.get_output().stderr.clone()).unwrap();
        assert!(message.contains(hint), "{arguments:?}: {message}");
    }
}

/// Somebody who has looked is not sent to look again.
#[test]
fn a_check_that_was_done_is_not_asked_for_again() {
    let headline = |checks: &[&str]| {
        let asked = [DRUM, "--symptom", "slow-drain", "--json"];
        let said = why(&[&asked, checks].concat()).assert();
        let found: serde_json::Value = serde_json::from_slice(&said.get_output().stdout).unwrap();
        let first = found["suspects"][0]["cause"].as_str().unwrap().to_owned();
        (found["headline"].as_str().unwrap().to_owned(), first)
    };
    let (before, cause) = headline(&[]);
    assert!(before.contains("Try first: "), "{before}");
    let yes = format!("{cause}=yes");
    let (agreed, same) = headline(&["--check", &yes]);
    assert_eq!(same, cause);
    assert!(agreed.contains("Its check agrees: "), "{agreed}");
    assert!(!agreed.contains("Try first: "), "{agreed}");
    // A no is no reason to do the same again, whether it is still the likeliest or not.
    let mut causes = ebbwright::study::why::Cause::all();
    let entry = causes.find(|one| one.entry().key == cause).unwrap().entry();
    assert!(before.contains(entry.check), "{before}");
    let no = format!("{cause}=no");
    let (denied, _) = headline(&["--check", &no]);
    assert!(!denied.contains(entry.check), "{denied}");
}

// With a bucket's reading the page's trouble gave the plan for what was read, and the command something else.
#[test]
fn a_flow_that_was_read_is_helped_as_the_plan_for_what_was_read_says() {
    let read = ["--symptom", "dribbles", "--inflow", "2.1 L/min", "--json"];
    let said = why(&["scenarios/dribbles.toml"])
        .args(read)
        .assert()
        .code(0);
    let found: serde_json::Value = serde_json::from_slice(&said.get_output().stdout).unwrap();
    let own = found["suspects"].as_array().unwrap();
    let own = own.iter().find(|one| one["cause"] == "as-built").unwrap();
    let mut plan = Command::new(cargo_bin("ebbwright"));
    let as_read = ["--with", "pump.steady-flow = \"2.1 L/min\"", "--json"];
    let said = plan.args(["mend", "scenarios/dribbles.toml"]).args(as_read);
    let plan = said.assert().code(0).get_output().stdout.clone();
    let plan: serde_json::Value = serde_json::from_slice(&plan).unwrap();
    let first = plan["steps"][0]["says"].as_str().unwrap().to_lowercase();
    let helps = own["change"].as_str().unwrap().to_lowercase();
    assert_eq!(format!("{helps}."), first);
    assert!(helps.starts_with("narrow the standpipe"), "{helps}");
}
