//! The interval of the void that a leg bears, from the flow at which its siphon runs on, held
//! against draws from the priors weighed by the closed form of that flow: no simulation, no
//! minimum, no straightened problem.

use crate::coverage::Dice;
use crate::support::one_bed;
use ebbwright::model::{Coefficient, System};
use ebbwright::siphon::SiphonLaw;
use ebbwright::study::fit::{Unknown, applied, fit, priors};
use ebbwright::study::measure::{Measurable, Measured, Measurement, Seen};

/// Share of a normal distribution below two deviations under its middle.
const TAIL: f64 = 0.02275;
const DRAWS: usize = 20_000;

/// The flow up to which bed 0 breaks by itself, its outlet above the sump.
fn limit(system: &System, u: &[f64]) -> f64 {
    let (system, values) = applied(system, &priors(system, &[0]), u);
    let law = SiphonLaw::new(&system.beds[0], &system.water, &values);
    let tail = law.outlet();
    law.run_on_flow(tail).min(law.stall_flow(tail))
}

/// Ends of the middle 95.4 % of unknown `which`, by weighed draws.
fn by_draws(system: &System, which: usize, read: &Measurement, seed: u64) -> (f64, f64) {
    let mut dice = Dice(seed);
    let unknowns = priors(system, &[0]).len();
    let mut draws: Vec<(f64, f64)> = (0..DRAWS)
        .map(|_| {
            let u: Vec<f64> = (0..unknowns).map(|_| dice.normal()).collect();
            let off = (limit(system, &u) - read.value) / read.sigma;
            (u[which], (-0.5 * off * off).exp())
        })
        .collect();
    draws.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = draws.iter().map(|draw| draw.1).sum();
    let end = |share: f64| {
        let mut below = 0.0;
        let past = draws.iter().find(|draw| {
            below += draw.1;
            below >= share * total
        });
        past.unwrap().0
    };
    (end(TAIL), end(1.0 - TAIL))
}

// The less void a leg bears, the less the flow tells of it: the tail on that side is fatter than
// the slope at the best fit says, and draws around that slope alone cut it off.
#[test]
fn the_interval_of_the_run_on_void_reaches_as_far_as_the_reading_lets_it() {
    let mut off = Vec::new();
    for (k, drop) in [0.28, 0.31, 0.34, 0.37, 0.40, 0.43].into_iter().enumerate() {
        let system = one_bed(9.0, drop);
        let unknowns = priors(&system, &[0]);
        let void = Unknown::Soft(Coefficient::SealedVoid);
        let which = unknowns.iter().position(|p| p.unknown == void).unwrap();
        let as_built = limit(&system, &vec![0.0; unknowns.len()]);
        let what = Measurable::BreaksUpTo;
        let read = Measurement::new(0, what, 1.05 * as_built, None);
        let measured = Measured {
            figures: vec![read],
            seen: vec![(0, Seen::Cycles)],
            ..Measured::default()
        };
        let found = fit(&system, &measured).unwrap();
        let two = found.estimates[which].two;
        let wanted = by_draws(&system, which, &read, 100 + k as u64);
        println!("{drop}: {two:.3?} {wanted:.3?}");
        off.push((two.0 - wanted.0, two.1 - wanted.1));
    }
    // All fits draw from one design: what it puts the ends off by is much the same in every case.
    let n = off.len() as f64;
    let low = off.iter().map(|off| off.0).sum::<f64>() / n;
    let high = off.iter().map(|off| off.1).sum::<f64>() / n;
    assert!(low.abs() < 0.13 && high.abs() < 0.13, "{low} {high}");
}
