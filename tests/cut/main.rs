//! The standpipe lengths that `cut` finds, held against full simulations.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../cli/bench.rs"]
#[allow(dead_code)]
mod bench;
#[path = "../support/sentences.rs"]
mod sentences;
#[path = "../support/mod.rs"]
mod support;

mod closed_form;
mod command;
mod invariance;
mod longest;
mod refusals;
mod systems;
mod told;

use ebbwright::assessment::{CheckId, Subject, assess};
use ebbwright::model::{Bed, DrainLosses, System};
use ebbwright::simulation::{Run, Sampling, simulate};
use ebbwright::study::cut::{Cuts, Wish, cut};

/// What the tests ask for unless they ask for something else [m].
const WANTED: f64 = 0.050;

/// The answer to a wish, metric.
fn ask(system: &System, dry_layer: f64) -> Cuts {
    cut(
        system,
        &Wish {
            dry_layer,
            only: None,
        },
        &mut |_| {},
    )
    .unwrap()
}

/// A standpipe of another length, as an owner cuts it: the bell goes with the
/// lip, the pipe below stays.
fn cut_to(bed: &mut Bed, length: f64) {
    let longer = length - bed.siphon.standpipe.lip_height;
    bed.siphon.standpipe.lip_height += longer;
    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
        *length += longer;
    }
}

/// What `run` says of a system.
fn run(system: &System) -> Run {
    simulate(system, Sampling::None).unwrap()
}

/// Value of the check `dry-layer` of a bed, as `run` prints it [m].
fn dry_layer(system: &System, run: &Run, bed: usize) -> f64 {
    assess(system, run)
        .checks
        .iter()
        .find(|check| check.id == CheckId::DryLayer && check.subject == Subject::Bed(bed))
        .unwrap()
        .value
}
