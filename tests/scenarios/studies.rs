//! Every command that studies a system answers for every shipped scenario.

use std::path::Path;
use std::process::Command;

use assert_cmd::cargo::cargo_bin;
use rayon::prelude::*;

/// Calls that are quick for every scenario, though they simulate all that there is.
const FOR_ALL: [&[&str]; 2] = [
    &["absorb"],
    &["window", "--map", "drop,inflow", "--points", "2"],
];
/// Calls for the scenario that has every part there is: tank, float valve, losses, events.
const FOR_THE_WHOLE_LOOP: [&[&str]; 6] = [
    &["window", "--no-map"],
    &["cut"],
    &["vary", "--random", "20"],
    &["vary", "--sweep", "inflow,void", "--points", "2"],
    &["why", "--symptom", "pump-runs-dry"],
    &["fit", "--inflow", "6 L/min"],
];

// An event without a time once stopped the windows of the only scenario that has one.
#[test]
fn every_study_answers_for_every_scenario() {
    let files = super::files();
    let pairs: Vec<(&Path, &[&str])> = files
        .iter()
        .flat_map(|file| {
            let all: &[&[&str]] = if file.ends_with("whole-loop.toml") {
                &FOR_THE_WHOLE_LOOP
            } else {
                &[]
            };
            let both = FOR_ALL.iter().chain(all);
            both.map(move |study| (file.as_path(), *study))
        })
        .collect();
    assert!(pairs.len() == 2 * files.len() + 6, "{}", pairs.len());
    let folder = tempfile::tempdir().unwrap();
    let failed: Vec<String> = pairs
        .into_par_iter()
        .enumerate()
        .filter_map(|(k, (file, study))| {
            let output = Command::new(cargo_bin("ebbwright"))
                .arg(study[0])
                .arg(file)
                .args(&study[1..])
                .arg("--out")
                .arg(folder.path().join(k.to_string()))
                .env_clear()
                .output()
                .unwrap();
            // 1 is an answer too: something does not work.
            let answered = matches!(output.status.code(), Some(0 | 1)) && !output.stdout.is_empty();
            (!answered).then(|| {
                let complaint = String::from_utf8_lossy(&output.stderr);
                format!("{study:?} {}: {complaint}", file.display())
            })
        })
        .collect();
    assert!(failed.is_empty(), "{failed:#?}");
}
