//! What is told of a cause: one story with the checks, the valve by its name, a flow to aim at.

use crate::behaviour::shipped;
use ebbwright::answer::WhyReport;
use ebbwright::assessment::{CheckId, Status, Subject, assess};
use ebbwright::model::{Change, Inlet, System};
use ebbwright::report::{Report, because};
use ebbwright::scenario;
use ebbwright::simulation::{Regime, Sampling, simulate};
use ebbwright::study::valves::as_read;
use ebbwright::study::why::{
    Answer, Cause, Diagnosis, Outcome, Question, SetBy, Sight, Step, Symptom, diagnose,
};
use ebbwright::units::{HOUR, UnitSystem};

const LATE: &str = "starts only as the water over its outlet falls";

fn document(report: &WhyReport) -> String {
    // As a reader sees it, without the ends of lines.
    let text = report.document("one.toml").markdown();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

// Its third bed gets about half of what starts it, and starts when the other two leave the line empty.
#[test]
fn a_bed_that_starts_as_its_line_empties_is_told_alike_by_checks_and_trouble() {
    let text = include_str!("greenhouse.toml");
    let system = scenario::parse(text, "greenhouse.toml").unwrap().system;
    let run = simulate(&system, Sampling::None).unwrap();
    let found = assess(&system, &run);
    let check = found.check(CheckId::Starts, Subject::Bed(2)).unwrap();
    let said = because(&system, check, UnitSystem::Metric).to_string();
    assert!(said.contains(LATE), "{said}");
    // Its two hours are no third of a list with the quarters of an hour of the others.
    let report = Report::new(&system, &run, &found, UnitSystem::Metric);
    let text = report.document("greenhouse.toml").markdown();
    let of = |words: &str| text.contains(words);
    assert!(
        of("\"C\": floods every 2 h") && of("\"A\" and \"B\": floods every 1"),
        "{text}"
    );
    // However long one looks.
    for hours in [4.0, 12.0] {
        let values = system.coefficients.nominal();
        let (sight, _) = Sight::of(&system, &values, hours * HOUR).unwrap();
        let beds = &sight.beds;
        assert!(
            beds[2].late && beds[2].regime == Regime::Dribbles,
            "{hours} h"
        );
        assert!(
            !beds[0].late && beds[0].regime == Regime::Cycles,
            "{hours} h"
        );
    }
}

/// A garden whose siphon gets too much, and what is told of its design with `of` its own system.
fn told_of_the_design(of: impl Fn(&mut System), aim: Option<f64>) -> String {
    let mut system = shipped("runs-on");
    let question = Question {
        symptom: Some(Symptom::RunsOn),
        ..Question::default()
    };
    let mut diagnosis = diagnose(&system, &question).unwrap();
    let mut suspects = diagnosis.suspects.iter_mut();
    let own = suspects
        .find(|one| one.outcome == Outcome::AsBuilt)
        .unwrap();
    let steps = own.remedy.as_ref().map(|remedy| remedy.steps.clone());
    assert!(matches!(
        steps.unwrap().as_slice(),
        [Step::SetInflow { .. }]
    ));
    if aim.is_some() {
        own.remedy = None;
        own.aim = aim;
    }
    of(&mut system);
    document(&WhyReport {
        system: &system,
        diagnosis: &diagnosis,
        units: UnitSystem::Metric,
        further: None,
    })
}

#[test]
fn a_valve_that_is_there_is_named_with_the_flow_to_set() {
    let valved = |system: &mut System| {
        let other = shipped("four-beds-metric").beds.swap_remove(0).inlet;
        assert!(matches!(&other, Inlet::Piped(branch) if branch.valve.is_some()));
        system.beds[0].inlet = other;
    };
    let text = told_of_the_design(valved, None);
    assert!(text.contains("turn down the valve of"), "{text}");
    assert!(text.contains("(it gets 26.0 L/min"), "{text}");
    let text = told_of_the_design(|_| {}, None);
    assert!(!text.contains("valve of"), "{text}");
}

// What the others get was told also where the bed's own valve could not give the flow, of a run in which they
// kept theirs.
#[test]
fn what_the_others_then_get_is_told_only_of_a_valve_that_was_turned() {
    let mut system = shipped("four-beds-metric");
    let Inlet::Piped(branch) = &mut system.beds[0].inlet else {
        panic!("no branch");
    };
    branch.valve.as_mut().unwrap().opening = 0.3;
    let question = Question {
        symptom: Some(Symptom::Dribbles),
        ..Question::default()
    };
    let mut found = diagnose(&system, &question).unwrap();
    let told = |found: &Diagnosis| {
        document(&WhyReport {
            system: &system,
            diagnosis: found,
            units: UnitSystem::Metric,
            further: None,
        })
    };
    let text = told(&found);
    assert!(
        text.contains("open the valve of \"tomatoes\" until"),
        "{text}"
    );
    assert!(text.contains("the other beds then get"), "{text}");
    let lost = (CheckId::Starts, Subject::Bed(1));
    for remedy in found
        .suspects
        .iter_mut()
        .filter_map(|one| one.remedy.as_mut())
    {
        remedy.spoils.push(lost);
    }
    let spoilt = told(&found);
    assert!(
        spoilt.contains("; what fails by it: starts of \"herbs\""),
        "{spoilt}"
    );
    let suspects = found.suspects.iter_mut();
    let steps = suspects.filter_map(|one| one.remedy.as_mut());
    for step in steps.flat_map(|remedy| &mut remedy.steps) {
        if let Step::SetInflow { by, .. } = step {
            assert_eq!(*by, SetBy::OwnValve);
            *by = SetBy::Hand;
        }
    }
    let text = told(&found);
    assert!(!text.contains("then get"), "{text}");
    let says = "turn those of the others down until a bucket under its inlet reads";
    assert!(text.contains(says), "{text}");
    assert!(
        text.contains("its own valve alone does not give that"),
        "{text}"
    );
}

// The valve of one bed was opened, the dry gravel of others failed, and nobody had said so.
#[test]
fn what_fails_by_a_valve_is_what_the_others_lose() {
    let mut lost = 0;
    // The second bed gets a little more than just starts it, or plenty.
    for plenty in [1.01, 1.4] {
        let mut system = shipped("four-beds-metric");
        let Inlet::Piped(branch) = &mut system.beds[0].inlet else {
            panic!("no branch");
        };
        branch.valve.as_mut().unwrap().opening = 0.25;
        let (sight, _) = Sight::of(&system, &system.coefficients.nominal(), HOUR).unwrap();
        let read = as_read(&system, &[(1, plenty * sight.beds[1].starts)]).unwrap();
        let system = Change::apply_all(&read.changes, &system).unwrap();
        let question = Question {
            symptom: Some(Symptom::Dribbles),
            ..Question::default()
        };
        let found = diagnose(&system, &question).unwrap();
        let mut suspects = found.suspects.iter();
        let own = suspects
            .find(|one| one.outcome == Outcome::AsBuilt)
            .unwrap();
        let remedy = own.remedy.as_ref().unwrap();
        let [
            Step::SetInflow {
                to,
                by: SetBy::OwnValve,
            },
        ] = remedy.steps.as_slice()
        else {
            panic!("{:?}", remedy.steps);
        };
        let turned = as_read(&system, &[(0, *to)]).unwrap();
        let turned = Change::apply_all(&turned.changes, &system).unwrap();
        let failing = |system: &System| {
            let checks = assess(system, &simulate(system, Sampling::None).unwrap()).checks;
            let failing = checks.into_iter().filter(|one| one.status == Status::Fail);
            failing.map(|one| (one.id, one.subject)).collect::<Vec<_>>()
        };
        let (before, mut after) = (failing(&system), failing(&turned));
        after.retain(|one| !before.contains(one));
        assert_eq!(remedy.spoils, after, "{plenty}");
        lost += after.len();
    }
    assert!(lost > 0, "nothing is lost: choose another flow");
}

#[test]
fn where_no_valve_helps_the_design_a_flow_is_named_all_the_same() {
    let text = told_of_the_design(|_| {}, Some(7.0 / 60_000.0));
    assert!(text.contains("bring its inflow to 7.0 L/min"), "{text}");
}

// As described the sump runs dry: causes were ranked all the same, and one was told to take water out and
// then to fill it in.
#[test]
fn a_sump_that_runs_dry_as_described_comes_before_any_cause() {
    let mut system = shipped("sump-runs-dry");
    system.sump.start_level = system.pump.least_level() + 0.01;
    let question = Question {
        symptom: Some(Symptom::Dribbles),
        answers: vec![Answer {
            cause: Cause::TooMuchWater,
            yes: true,
        }],
        ..Question::default()
    };
    let found = diagnose(&system, &question).unwrap();
    assert!(found.promised.ran_dry > 0.0);
    let report = WhyReport {
        system: &system,
        diagnosis: &found,
        further: None,
        units: UnitSystem::Metric,
    };
    let head = report.document("one.toml").headline.to_string();
    assert!(
        head.starts_with("As described, with the sump filled to"),
        "{head}"
    );
    assert!(
        head.contains("Water that trickles over a lip does not go together with that"),
        "{head}"
    );
    let text = document(&report);
    let anew = text.contains("put the level at which it stands into the description");
    assert!(anew && !text.contains("take water out"), "{text}");
    assert_eq!(
        found.suspects[0].outcome,
        Outcome::Cause(Cause::TooMuchWater)
    );
}

// A sump that runs dry explained a bed that overflows, and a siphon that never stops.
#[test]
fn a_dry_sump_explains_only_what_it_can_bring_up() {
    let system = shipped("sump-runs-dry");
    for symptom in Symptom::ALL {
        let question = Question {
            symptom: Some(symptom),
            ..Question::default()
        };
        let found = diagnose(&system, &question).unwrap();
        let explained = matches!(symptom, Symptom::NeverStarts | Symptom::PumpRunsDry);
        assert!(found.runs_dry());
        assert_eq!(found.explains_itself(), explained, "{symptom:?}");
        assert_eq!(found.contradicts_itself(), !explained, "{symptom:?}");
        let first = found.suspects[0].outcome == Outcome::AsBuilt;
        assert!(!explained || first, "{symptom:?}");
    }
}
