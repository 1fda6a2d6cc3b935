//! What a plan may cost, counted and not timed: invented gardens on a line as thin as a straw.

use ebbwright::assessment::assess;
use ebbwright::model::System;
use ebbwright::numerics::effort;
use ebbwright::scenario;
use ebbwright::simulation::{Sampling, SimulationError, simulate};
use ebbwright::study::absorb::absorb;
use ebbwright::study::mend::{Wish, mend};
use ebbwright::study::widen::{Hindrance, Lever, Levers, levers};
use ebbwright::units::UnitSystem;
use std::fmt::Write as _;

/// So many beds on a line of 2 mm.
fn on_a_straw(beds: usize) -> System {
    scenario::parse(&straw(beds), "straw.toml").unwrap().system
}

fn straw(beds: usize) -> String {
    let n = beds as f64;
    let mut text = format!(
        r#"
hours = 1
water = {{ temperature = "20 degC" }}
sump = {{ shape = {{ box = {{ length = "{} m", width = "1 m", depth = "0.6 m" }} }}, floor = "0 m", start-level = "0.46 m", overflow-level = "0.53 m" }}
pump = {{ intake-level = "0.05 m", steady-flow = "{} L/min" }}
drain-line = {{ outlet = "0.55 m", pipe = {{ bore = "2 mm", length = "40 m" }}, slope = "1 %", vented = true }}
"#,
        1.0 + 0.4 * n,
        10.5 * n
    );
    for i in 0..beds {
        let k = i as f64;
        let _ = write!(
            text,
            r#"
[[bed]]
name = "b{i}"
floor = "1.05 m"
shape = {{ box = {{ length = "1.2 m", width = "{} m", depth = "0.35 m" }} }}
media = {{ depth = "0.30 m", void = 0.40 }}
inlet = {{ flow = "{} L/min" }}
standpipe = {{ bore = "26.6 mm", length = "220 mm" }}
bell = {{ bore = "78 mm", clearance = "25 mm", slots = {{ count = 6, width = "12 mm", height = "25 mm" }} }}
drain = {{ outlet = "0.65 m", length = "0.95 m", fittings = {{ elbow-90 = 2 }}, into = "line", at = "{} m" }}
"#,
            0.8 + 0.01 * ((5.0 * k) % 7.0),
            9.2 + 0.05 * ((11.0 * k) % 17.0),
            0.1 + 0.1 * k
        );
    }
    text
}

// A plan for 32 of them took minutes: only simulating was counted, not judging nor asking for fixes.
#[test]
fn a_plan_ends_when_its_effort_is_spent() {
    let system = on_a_straw(4);
    let wish = Wish {
        most_effort: 3_000_000,
        ..Wish::anything(UnitSystem::Metric)
    };
    let (plan, spent) = effort::of(|| mend(&system, wish, &|_| {}).unwrap());
    assert!(spent < 2 * wish.most_effort, "{spent}");
    assert!(plan.tried > 2, "{}", plan.tried);
}

// Each bed has its own highest sump, and the line was settled for every one of them although no
// sump comes up to its outlet.
#[test]
fn what_judging_costs_goes_with_the_number_of_beds() {
    let judged = |beds: usize| {
        // So little water that each bed has a highest sump of its own.
        let text = straw(beds).replace("0.46 m", "0.25 m");
        let system = scenario::parse(&text, "straw.toml").unwrap().system;
        let run = simulate(&system, Sampling::None).unwrap();
        effort::of(|| assess(&system, &run)).1
    };
    let (few, many) = (judged(4), judged(16));
    // 5.1 times; 6.9 times where the line is settled for each bed.
    assert!(many < 6 * few, "{few} for 4 beds, {many} for 16");
}

#[test]
fn a_run_that_costs_too_much_is_given_up_with_what_to_do() {
    let system = on_a_straw(4);
    let found = effort::within(5_000, || simulate(&system, Sampling::None));
    let Err(error @ SimulationError::TooMuch { time, asked }) = found else {
        panic!("{found:?}");
    };
    assert!(time < asked && asked == 3600.0);
    let said = error.to_string();
    assert!(
        said.contains("given up") && said.contains("simulate"),
        "{said}"
    );
    assert!(
        !said.contains("ebbwright"),
        "no fault of the program: {said}"
    );
}

// Each window takes thousands of looks along such a line, and each bed has dozens of windows.
#[test]
fn levers_that_cost_too_much_are_given_up_and_told() {
    let system = on_a_straw(4);
    let run = simulate(&system, Sampling::None).unwrap();
    let all = levers(&system, &run, 0, UnitSystem::Metric);
    assert!(!all.given_up);
    let few = effort::within(1, || levers(&system, &run, 0, UnitSystem::Metric));
    assert!(few.given_up && few.openings.is_empty());
    assert_eq!(few.levers.len(), all.levers.len());
    let missing = |found: &Levers| {
        let given_up = |lever: &&Lever| matches!(lever.effect, Err(Hindrance::TooMuch));
        found.levers.iter().filter(given_up).count()
    };
    assert_eq!(missing(&all), 0);
    assert!(missing(&few) > 1, "{few:?}");
}

#[test]
fn bounds_are_told_without_runs_that_cost_too_much() {
    let system = on_a_straw(4);
    let run = simulate(&system, Sampling::Every(10.0)).unwrap();
    let (all, few) = (
        absorb(&system, &run),
        effort::within(1, || absorb(&system, &run)),
    );
    assert!(all.standings.iter().all(|one| one.simulated.is_some()));
    assert!(few.standings.iter().all(|one| one.simulated.is_none()));
    assert_eq!(few.power_cut.map(|cut| cut.simulated), Some(None));
    assert_eq!(few.smallest, all.smallest);
    assert_eq!(few.volumes.bounds, all.volumes.bounds);
}
