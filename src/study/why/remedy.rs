//! What to do about an outcome, put through the simulation.

use crate::assessment::{Assessment, Check, CheckId, Status, Subject, assess};
use crate::model::{BedPart, BranchPart, Change, Coefficients, Inlet, Outlet, Quantity, System};
use crate::simulation::{Regime, Run, Sampling, simulate};
use crate::siphon::SAME_FLOW;
use crate::study::mend::{MOST_EFFORT, Plan, Wish, mend};
use crate::study::valves::{AsRead, Tells, as_read, settings};
use crate::study::why::question::Outcome;
use crate::study::why::sight::Sight;
use crate::study::window::windows;
use crate::units::UnitSystem;
use std::sync::OnceLock;

/// Systems that are simulated at most for an inflow.
const TRIED_FOR_INFLOW: usize = 24;
/// Systems that are simulated at most for other changes.
const TRIED_FOR_PLAN: usize = 40;

/// A change and what the system does after it, nominal coefficients.
#[derive(Debug, Clone)]
pub struct Remedy {
    /// What is changed beside removing the cause.
    pub steps: Vec<Step>,
    /// What the system then does.
    pub after: Sight,
    /// What then fails and did not before, where a valve is turned: what the others lose.
    pub spoils: Vec<(CheckId, Subject)>,
}

/// A change of the design.
#[derive(Debug, Clone)]
pub enum Step {
    /// Set the bed's inflow.
    SetInflow {
        /// To this `[m3/s]`.
        to: f64,
        /// What sets it.
        by: SetBy,
    },
    /// Change this of the system that is left without the cause, in this order.
    Change(Vec<Change>),
}

/// What brings a bed to another inflow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetBy {
    /// The bed's own valve, all else left as it is: what the others then get was simulated.
    OwnValve,
    /// Whoever feeds it, by bucket and stopwatch, with more than its own valve: the others were
    /// simulated with what they got before.
    Hand,
}

/// What is asked of which bed.
pub(super) struct Asked {
    /// The bed.
    pub bed: usize,
    /// The bands with what facts left of them: what is advised rests on these.
    pub known: Coefficients,
    /// Most inflow that may be advised `[m3/s]`.
    pub most: Option<f64>,
    /// Whose sizes are on sale.
    pub sizes: UnitSystem,
}

/// What can be done about outcomes of one bed: without its cause the system is the same one.
pub(super) struct Remedies {
    system: System,
    bed: usize,
    longest: f64,
    /// Most inflow that may be advised `[m3/s]`.
    most: Option<f64>,
    sizes: UnitSystem,
    judged: OnceLock<Option<(Run, Assessment)>>,
    repaired: OnceLock<Option<Sight>>,
    redesigned: OnceLock<Option<Remedy>>,
}

impl Remedies {
    /// `system` is what was built, without what is broken.
    pub(super) fn new(system: &System, asked: &Asked, longest: f64) -> Self {
        let mut system = system.clone();
        system.coefficients = asked.known.clone();
        Self {
            system,
            bed: asked.bed,
            longest,
            most: asked.most,
            sizes: asked.sizes,
            judged: OnceLock::new(),
            repaired: OnceLock::new(),
            redesigned: OnceLock::new(),
        }
    }

    /// Removes the cause, and where the bed does not cycle even then changes the design: the
    /// inflow, else what a plan for the whole system changes.
    pub(super) fn of(&self, outcome: Outcome) -> Option<Remedy> {
        let look = || self.look(&self.system);
        let repaired = self.repaired.get_or_init(look).as_ref()?;
        if self.cycles(repaired) && matches!(outcome, Outcome::Cause(_)) {
            return Some(Remedy {
                steps: Vec::new(),
                after: repaired.clone(),
                spoils: Vec::new(),
            });
        }
        // Where it is to be expected to cycle no plan changes anything: it takes an inflow
        // farther from trouble.
        let redesign = || match self.cycles(repaired) {
            true => self.set_to(self.best_inflow()?),
            false => self.other_inflow().or_else(|| self.other_design()),
        };
        self.redesigned.get_or_init(redesign).clone()
    }

    fn look(&self, system: &System) -> Option<Sight> {
        let nominal = self.system.coefficients.nominal();
        let seen = Sight::of(system, &nominal, self.longest);
        seen.ok().map(|(sight, _)| sight)
    }

    fn cycles(&self, sight: &Sight) -> bool {
        let bed = sight.beds.get(self.bed);
        bed.is_some_and(|bed| bed.regime == Regime::Cycles)
    }

    /// The system with the bed's inflow set: by its valve where that does it, for what one bed takes from a
    /// pump the others lack.
    fn turned_to(&self, flow: f64) -> Option<(System, SetBy)> {
        if own_valve_gives(&self.system, self.bed, flow) {
            let read = as_read(&self.system, &[(self.bed, flow)]).ok()?;
            let changed = Change::apply_all(&read.changes, &self.system).ok()?;
            return Some((changed, SetBy::OwnValve));
        }
        let mut changed = self.system.clone();
        changed.beds.get_mut(self.bed)?.inlet = Inlet::Measured(flow);
        Some((changed, SetBy::Hand))
    }

    /// The inflow of a plan, else the one farthest from trouble where the supply gives it.
    fn other_inflow(&self) -> Option<Remedy> {
        let planned = self.planned_inflow().and_then(|flow| self.set_to(flow));
        planned.or_else(|| self.set_to(self.best_inflow()?))
    }

    fn set_to(&self, flow: f64) -> Option<Remedy> {
        let flow = self.most.map_or(flow, |most| flow.min(most));
        let (changed, by) = self.turned_to(flow)?;
        let after = self.look(&changed)?;
        self.cycles(&after).then(|| Remedy {
            steps: vec![Step::SetInflow { to: flow, by }],
            after,
            spoils: match by {
                SetBy::OwnValve => self.spoilt_by(&changed).unwrap_or_default(),
                SetBy::Hand => Vec::new(),
            },
        })
    }

    /// What fails of `changed` and not of the system without the cause.
    fn spoilt_by(&self, changed: &System) -> Option<Vec<(CheckId, Subject)>> {
        let (_, before) = self.judged()?;
        let (_, after) = judged(changed)?;
        let failed = |check: &&Check| check.status == Status::Fail;
        let spoilt = after.checks.iter().filter(failed).filter(|check| {
            let was = before.check(check.id, check.subject);
            !was.is_some_and(|was| failed(&was))
        });
        Some(spoilt.map(|check| (check.id, check.subject)).collect())
    }

    /// The system without the cause, simulated and judged.
    fn judged(&self) -> Option<&(Run, Assessment)> {
        let judged = || judged(&self.system);
        self.judged.get_or_init(judged).as_ref()
    }

    /// The inflow that a plan gives the bed where nothing but its own inflow is changed `[m3/s]`,
    /// so that there is one flow to set; `None` where that mends nothing.
    fn planned_inflow(&self) -> Option<f64> {
        let own = |_: &System, change: &Change| sets_inflow(change, self.bed);
        let plan = self.plan(&own, TRIED_FOR_INFLOW)?;
        Some(plan.after.run.beds.get(self.bed)?.inflow.mean)
    }

    /// The inflow farthest from all that goes wrong `[m3/s]`, where no valve sets it as things are.
    pub(super) fn out_of_reach(&self) -> Option<f64> {
        let (best, reached) = self.best()?;
        (!reached && self.most.is_none()).then_some(best)
    }

    /// The inflow farthest from all that goes wrong `[m3/s]`, where valves can set it.
    fn best_inflow(&self) -> Option<f64> {
        let (best, reached) = self.best()?;
        reached.then_some(best)
    }

    /// The inflow farthest from all that goes wrong `[m3/s]`, and whether valves can set it.
    fn best(&self) -> Option<(f64, bool)> {
        let (run, assessment) = self.judged()?;
        let found = windows(&self.system, run, assessment);
        let best = found.beds.get(self.bed)?.best.flow;
        let set = settings(&self.system, run, assessment, &found);
        let (least, most) = set.beds.get(self.bed)?.flow;
        let near = (1.0 - SAME_FLOW) * least..=(1.0 + SAME_FLOW) * most;
        let reached = near.contains(&best) || own_valve_gives(&self.system, self.bed, best);
        Some((best, reached))
    }

    /// What a plan for the whole system changes, with no more water than may be advised.
    fn other_design(&self) -> Option<Remedy> {
        let plan = self.plan(&|_, _| true, TRIED_FOR_PLAN)?;
        let inflow = plan.after.run.beds.get(self.bed)?.inflow.max;
        let after = self.look(&plan.mended)?;
        let helps = self.cycles(&after) && self.most.is_none_or(|most| inflow <= most);
        let steps = plan
            .steps
            .into_iter()
            .map(|step| Step::Change(step.changes));
        helps.then(|| Remedy {
            steps: steps.collect(),
            after,
            spoils: Vec::new(),
        })
    }

    /// A plan of some steps, of what may be changed.
    fn plan(
        &self,
        allowed: &(dyn Fn(&System, &Change) -> bool + Sync),
        most_tried: usize,
    ) -> Option<Plan> {
        let wish = Wish {
            allowed,
            sizes: self.sizes,
            most_tried,
            most_effort: MOST_EFFORT,
            surer: false,
        };
        let plan = mend(&self.system, wish, &|_| {}).ok()?;
        (!plan.steps.is_empty()).then_some(plan)
    }
}

fn judged(system: &System) -> Option<(Run, Assessment)> {
    let run = simulate(system, Sampling::None).ok()?;
    let assessment = assess(system, &run);
    Some((run, assessment))
}

/// Whether the bed's own valve gives it this flow `[m3/s]`, with the others left as they are.
fn own_valve_gives(system: &System, bed: usize, flow: f64) -> bool {
    let inlet = system.beds.get(bed).map(|bed| &bed.inlet);
    let valved = matches!(inlet, Some(Inlet::Piped(branch)) if branch.valve.is_some());
    let turned = |read: AsRead| {
        let mut tells = read.tells.iter();
        tells.all(|one| matches!(one, Tells::Opening { .. }))
    };
    valved && as_read(system, &[(bed, flow)]).is_ok_and(turned)
}

/// Whether it turns, fits or sets what feeds this bed and nothing else.
fn sets_inflow(change: &Change, bed: usize) -> bool {
    let own = Outlet::Bed(bed);
    match change {
        Change::Set { what, .. } => {
            matches!(
                what,
                Quantity::Bed(i, BedPart::Share | BedPart::Flow) if *i == bed
            ) || *what == Quantity::Branch(own, BranchPart::Opening)
        }
        Change::Valves(openings) => openings.iter().all(|(outlet, _)| *outlet == own),
        Change::FitValve { outlet, .. } => *outlet == own,
        Change::Inflow { bed: of, .. } => *of == bed,
        _ => false,
    }
}
