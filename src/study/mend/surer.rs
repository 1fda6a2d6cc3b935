//! What would settle a doubt that is left when nothing fails: beside the plan, not in it.

use super::judge::{Failing, Judged, gap};
use super::moves::{Ask, Move, doubtful};
use super::search::cost_of;
use super::spent::Spent;
use super::{Step, Wish, effects_of};
use crate::assessment::{Check, CheckId, Status, Why};
use crate::model::{Change, System, Trouble};
use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;

/// Steps beside a plan at most.
const MOST: usize = 3;
/// What a bed that may spill at worst, or a line that backs up, weighs beside a siphon in doubt.
const A_FLOOD: f64 = 3.0;
/// What a little less dry gravel than is wanted weighs: all other steps move the water, so it is
/// made up last.
const A_DAMP_LAYER: f64 = 0.3;

/// Steps by which the doubts of a system that passes get fewer, the most for the least trouble
/// first; each was simulated with those before it, and none brings a new doubt. What is bought
/// or rebuilt is not worth a doubt that a reading settles.
pub(super) fn surer(mended: &System, after: &Judged, wish: Wish, spent: &mut Spent) -> Vec<Step> {
    let mut steps = Vec::new();
    let (mut now, mut judged) = (mended.clone(), after.clone());
    while steps.len() < MOST && !spent.is_all() {
        let doubts = doubts_of(&judged);
        if doubts.is_empty() {
            break;
        }
        let ask = Ask {
            system: &now,
            judged: &judged,
            failing: &doubts,
            units: wish.sizes,
        };
        let cheap = |one: &Move| {
            !one.is_empty()
                && one.iter().all(|change| {
                    change.trouble(&now) <= Trouble::Replumb && (wish.allowed)(&now, change)
                })
        };
        let moves: Vec<Move> = doubtful(&ask).into_iter().filter(cheap).collect();
        let results = map_all(moves, |one| {
            let system = Change::apply_all(&one, &now).ok()?;
            let then = judged.trial_of(&system).ok()?;
            Some((one, system, then))
        });
        spent.tried += results.iter().flatten().count();
        let mut gains: Vec<(f64, Move, System)> = results
            .into_iter()
            .flatten()
            .filter_map(|(one, system, then)| {
                let gain = gain(&judged, &then)? / cost(&one, &now);
                Some((gain, one, system))
            })
            .collect();
        gains.order_by(|a, b| b.0.total_cmp(&a.0));
        // A trial is short: what is said has to last.
        let best = gains.into_iter().find_map(|(_, changes, system)| {
            let then = spent.judged(&system).ok()?;
            gain(&judged, &then)?;
            Some((changes, system, then))
        });
        let Some((changes, system, then)) = best else {
            break;
        };
        steps.push(Step {
            trouble: trouble(&changes, &now),
            effects: effects_of(&doubts, &judged, &then),
            before: Vec::new(),
            after: Vec::new(),
            changes,
            needed_for: Vec::new(),
            fails_without: Vec::new(),
        });
        (now, judged) = (system, then);
    }
    steps
}

/// What is less in doubt; `None` where nothing is, or something else is spoilt.
fn gain(before: &Judged, after: &Judged) -> Option<f64> {
    let less = weight(before) - weight(after);
    (less > 0.0 && after.failing().is_empty() && none_new(before, after)).then_some(less)
}

fn trouble(changes: &[Change], system: &System) -> Trouble {
    let all = changes.iter().map(|change| change.trouble(system));
    all.max().unwrap_or(Trouble::Turn)
}

fn cost(changes: &[Change], system: &System) -> f64 {
    cost_of(trouble(changes, system))
}

/// Whether a step may be sought for this check: siphons in doubt, gravel that stays dry by less than
/// is wanted, and water that may go astray.
fn counts(check: &Check) -> bool {
    check.status == Status::Warn
        && match &check.why {
            Why::PumpCover(why) => !why.spilling.is_empty() || why.tank_spills,
            Why::DrainLine(why) => why.may_run_full(),
            _ => matches!(
                check.id,
                CheckId::Starts | CheckId::Breaks | CheckId::DryLayer | CheckId::TopOff
            ),
        }
}

/// The doubts that a step is sought for, as if they failed.
fn doubts_of(judged: &Judged) -> Vec<Failing> {
    let checks = judged.assessment.checks.iter();
    checks
        .filter(|check| counts(check))
        .map(|check| Failing {
            id: check.id,
            subject: check.subject,
            gap: gap(check.margin, check.limit),
            disturbed: false,
        })
        .collect()
}

fn weight(judged: &Judged) -> f64 {
    let weigh = |check: &Check| match check.id {
        CheckId::PumpCover | CheckId::DrainLine => A_FLOOD,
        CheckId::DryLayer => A_DAMP_LAYER,
        _ => 1.0,
    };
    let checks = judged.assessment.checks.iter();
    checks.filter(|check| counts(check)).map(weigh).sum()
}

/// Whether nothing warns that did not before.
fn none_new(before: &Judged, after: &Judged) -> bool {
    let mut warns = after.assessment.checks.iter();
    warns.all(|check| {
        let was = before.check(check.id, check.subject);
        check.status <= was.map_or(Status::Pass, |was| was.status)
    })
}
