//! Shares, intervals and influences against closed forms.

use ebbwright::assessment::{CheckId, Status, assess};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{Coefficient, DrainLosses, System};
use ebbwright::numerics::effort;
use ebbwright::simulation::{Sampling, Stepping, simulate, simulate_by};
use ebbwright::study::vary::Tolerances;
use ebbwright::study::vary::random::{RandomError, random};
use ebbwright::study::vary::statistics::Share;

use crate::{chance, study, support};

/// Only the tape varies.
const TAPE: Tolerances = Tolerances {
    tape: 0.004,
    bore: 0.0,
    void: 0.0,
    pump: 0.0,
    coefficients: false,
};

/// A bed whose dry layer has `margin` [m] to spare with nothing drawn and no
/// allowance for levelling.
fn bed_with_margin(margin: f64) -> System {
    let mut system = support::one_bed(12.0, 0.6);
    system.thresholds.levelling_error = 0.0;
    let run = simulate(&system, Sampling::None).unwrap();
    let value = assess(&system, &run)
        .checks
        .iter()
        .find(|check| check.id == CheckId::DryLayer)
        .unwrap()
        .value;
    system.thresholds.dry_layer = value - margin;
    system
}

/// The peak follows the lip one to one, so the margin is that of the system plus
/// the error of the gravel less that of the pipe, both evenly spread over the
/// tape's tolerance t: the chance that their difference stays above -m is
/// 1 - (2t - m)^2 / 8t^2 for a margin m from 0 to 2t (triangular distribution).
fn triangular(margin: f64, tape: f64) -> f64 {
    let below = |m: f64| (2.0 * tape - m).powi(2) / (8.0 * tape * tape);
    if margin >= 0.0 {
        1.0 - below(margin)
    } else {
        below(-margin)
    }
}

#[test]
fn the_chance_of_the_dry_layer_is_the_triangular_distribution() {
    for (k, margin) in [-0.004, 0.0, 0.002, 0.005].into_iter().enumerate() {
        let system = bed_with_margin(margin);
        let found = study(&system, &TAPE, 400, 40 + k as u64);
        let expected = triangular(margin, TAPE.tape);
        let passes = chance(&found, CheckId::DryLayer).passes;
        assert_eq!(passes.of, 400);
        assert!(
            passes.low <= expected && expected <= passes.high,
            "{margin}: {expected} is not in {passes:?}"
        );
    }
}

/// Of 95 % intervals about 95 of 100 hold the true share; a Latin hypercube's more.
#[test]
fn intervals_hold_the_true_share_as_often_as_they_say() {
    let margin = 0.002;
    let system = bed_with_margin(margin);
    let expected = triangular(margin, TAPE.tape);
    let shares: Vec<Share> = (0..40)
        .map(|seed| chance(&study(&system, &TAPE, 40, seed), CheckId::DryLayer).passes)
        .collect();
    let held = shares
        .iter()
        .filter(|share| share.low <= expected && expected <= share.high)
        .count();
    // 40 independent tries at 95 % hold 35 or more with 98 % probability.
    assert!(held >= 35, "{held} of 40");
    let near = shares
        .iter()
        .filter(|share| (share.share - expected).abs() < 0.01)
        .count();
    assert!(near < 30, "shares do scatter: {near} of 40 at the true one");
}

#[test]
fn pipe_and_gravel_matter_alike_and_the_rest_does_not() {
    let found = study(&bed_with_margin(0.002), &TAPE, 1500, 9);
    let check = chance(&found, CheckId::DryLayer);
    let of = |what: &str| {
        let k = found
            .inputs
            .iter()
            .position(|input| input.name == format!("north: {what}"))
            .unwrap();
        check.influence[k]
    };
    // Pearson's is 1 / sqrt(2) for a sum of two like parts; ranks come close to it.
    assert!(
        (of("gravel depth") - 0.69).abs() < 0.03,
        "{}",
        of("gravel depth")
    );
    assert!((of("standpipe") + 0.69).abs() < 0.03, "{}", of("standpipe"));
    let leading = found.leading(check);
    assert_eq!(leading.len().min(2), 2);
    for name in ["standpipe", "gravel depth"] {
        let named = leading[..2]
            .iter()
            .any(|lead| lead.name == format!("north: {name}"));
        assert!(named, "{name} leads");
    }
    assert!(of("drop to outlet").abs() < 2.0 * check.noise);
}

/// Same seed, same draws, whatever the number of threads.
#[test]
fn threads_change_nothing_and_seeds_do() {
    let system = support::one_bed(12.0, 0.6);
    let with = |threads: usize, seed: u64| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| study(&system, &Tolerances::default(), 40, seed))
    };
    let one = with(1, 5);
    assert_eq!(one, with(4, 5));
    assert_ne!(one.draws, with(4, 6).draws);
}

fn side(shape: &mut VesselShape) -> [&mut f64; 2] {
    match shape {
        VesselShape::Box { length, width, .. } => [length, width],
        other => panic!("{other:?} is no box"),
    }
}

/// Each draw is judged as a plain run of that very system is.
#[test]
fn a_draw_is_the_run_of_its_system() {
    let system = support::one_bed(12.0, 0.6);
    let tolerances = Tolerances {
        bore: 0.02,
        coefficients: true,
        ..TAPE
    };
    let found = study(&system, &tolerances, 12, 3);
    for draw in &found.draws {
        let mut built = system.clone();
        built.thresholds.levelling_error = 0.0;
        for (input, &value) in found.inputs.iter().zip(&draw.values) {
            let bed = &mut built.beds[0];
            match input.name.as_str() {
                "north: standpipe" => {
                    bed.siphon.standpipe.lip_height += value;
                    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
                        *length += value;
                    }
                }
                "north: gravel depth" => bed.media.depth += value,
                "north: slot height" => {
                    bed.siphon.bell.slots.height += value;
                }
                "north: clearance" => bed.siphon.bell.clearance += value,
                "north: drop to outlet" => {
                    bed.siphon.drain.outlet -= value;
                    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
                        *length += value;
                    }
                }
                "north: bed length" => *side(&mut bed.shape)[0] += value,
                "north: bed width" => *side(&mut bed.shape)[1] += value,
                "north: standpipe bore" => {
                    let pipe = &mut bed.siphon.standpipe;
                    let wall = pipe.outside - pipe.bore;
                    pipe.bore *= 1.0 + value;
                    pipe.lip_diameter *= 1.0 + value;
                    pipe.outside = pipe.bore + wall;
                }
                "north: bell bore" => {
                    let bell = &mut bed.siphon.bell;
                    let wall = bell.outside - bell.bore;
                    bell.bore *= 1.0 + value;
                    bell.outside = bell.bore + wall;
                }
                "sump length" => *side(&mut built.sump.shape)[0] += value,
                "sump width" => *side(&mut built.sump.shape)[1] += value,
                "sump level" => built.sump.start_level += value,
                soft => {
                    let which = Coefficient::from_key(soft).unwrap();
                    built.coefficients[which] = ebbwright::model::Band::exact(value);
                }
            }
        }
        let values = built.coefficients.nominal();
        let run = simulate_by(&built, &values, Sampling::None, Stepping::rough()).unwrap();
        let assessment = assess(&built, &run);
        let exact = assess(&built, &simulate(&built, Sampling::None).unwrap());
        let outcomes = draw.outcome.as_ref().unwrap();
        for (check, outcome) in found.checks.iter().zip(outcomes) {
            let own = assessment.checks.iter().find(|own| {
                own.id == check.name.id && own.subject.name(&built) == check.name.subject
            });
            match (own, outcome) {
                (Some(own), Some(outcome)) => {
                    let near =
                        (own.margin - outcome.margin).abs() <= 1e-6 * own.margin.abs().max(1e-6);
                    assert!(near, "{:?}: {} {}", own.id, own.margin, outcome.margin);
                    // Exact steps judge alike, and come to the margin within what is printed.
                    let exact = exact
                        .checks
                        .iter()
                        .find(|exact| exact.id == own.id && exact.subject == own.subject);
                    let exact = exact.unwrap();
                    assert_eq!(exact.status, outcome.status, "{:?}", own.id);
                    let off = (exact.margin - outcome.margin).abs();
                    assert!(
                        off <= 1e-5 + 5e-5 * exact.value.abs(),
                        "{:?}: {off}",
                        own.id
                    );
                }
                (None, None) => {}
                (own, outcome) => panic!("{own:?} {outcome:?}"),
            }
        }
    }
}

#[test]
fn shares_add_up_and_nothing_varied_is_refused() {
    let found = study(&support::one_bed(12.0, 0.6), &Tolerances::default(), 60, 2);
    for check in &found.checks {
        assert!(check.passes.hits + check.fails.hits <= check.passes.of);
    }
    assert!(found.all_pass.hits <= found.none_fails.hits);
    let none_fails = found
        .draws
        .iter()
        .filter(|draw| {
            let outcomes = draw.outcome.as_ref().unwrap();
            outcomes
                .iter()
                .flatten()
                .all(|outcome| outcome.status != Status::Fail)
        })
        .count();
    assert_eq!(none_fails, found.none_fails.hits);
    let nothing = Tolerances { tape: 0.0, ..TAPE };
    let system = support::one_bed(12.0, 0.6);
    assert!(matches!(
        random(&system, &nothing, 50, 1, &|| {}),
        Err(RandomError::Tolerances(_))
    ));
    let wide = Tolerances { tape: 1.0, ..TAPE };
    assert!(random(&system, &wide, 50, 1, &|| {}).is_err());
    let wide = Tolerances { bore: 0.3, ..TAPE };
    assert!(random(&system, &wide, 50, 1, &|| {}).is_err());
    assert!(random(&system, &TAPE, 3, 1, &|| {}).is_err());
}

// A floor load has a number and no limit that is known here: no chance to pass.
#[test]
fn what_only_informs_has_no_chance() {
    let system = bed_with_margin(0.004);
    let found = study(&system, &Tolerances::default(), 16, 3);
    assert!(found.checks.iter().all(|c| c.name.id != CheckId::FloorLoad));
    let run = simulate(&system, Sampling::None).unwrap();
    let judged = assess(&system, &run).checks;
    let load = judged.iter().find(|c| c.id == CheckId::FloorLoad).unwrap();
    assert!(load.informs());
}

// Counted, not timed: ten draws that together may take a part of what one exact run does.
#[test]
fn draws_that_would_take_too_long_count_in_no_share_and_are_told() {
    let system = bed_with_margin(0.002);
    let (_, once) = effort::of(|| simulate(&system, Sampling::None).unwrap());
    let free = study(&system, &TAPE, 10, 1);
    assert_eq!(free.unanswered(), (0, None));
    let found = effort::within(once / 20, || study(&system, &TAPE, 10, 1));
    let (none, why) = found.unanswered();
    assert_eq!(none, 10);
    assert!(why.unwrap().contains("given up"), "{why:?}");
    assert_eq!(found.none_fails.of, 0);
}
