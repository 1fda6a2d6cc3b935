//! Ranks the causes.

use crate::model::System;
use crate::numerics::effort;
use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::simulation::{Regime, SimulationError};
use crate::study::measure::{Cut, Cutter, Measurable, Seen};
use crate::study::mend::Plan;
use crate::study::why::cause::Cause;
use crate::study::why::described::{explains_itself, is_promised, runs_dry};
use crate::study::why::doubt::{Doubt, Doubtful, Misfed};
use crate::study::why::draws::{Draw, as_f64};
use crate::study::why::likelihood::{Datum, Explanation, Node, log_sum};
use crate::study::why::next::{NextMeasurement, next_measurements};
use crate::study::why::question::{Outcome, Question};
use crate::study::why::remedy::{Asked, Remedy, Step};
use crate::study::why::sight::Sight;
use crate::study::why::suspect::Suspect;
use crate::study::why::symptom::Symptom;
use crate::study::why::trials::{Case, LONGEST, Trials, Weighing};

/// Weight of a system that is as the file says, within the bands, beside those of the
/// catalogue, where nobody complains or of just what the file promises: a quarter of
/// all faults together. Common practice, no source.
const AS_BUILT_WEIGHT: f64 = 0.35;
/// The same where somebody complains of what the file does not promise: that seldom is
/// for nothing, and a false all-clear costs more than a quick check. Common practice, no source.
const UNPROMISED_WEIGHT: f64 = 0.05;
/// Where somebody complains of what the file does not promise, nothing being broken comes
/// first only above this share: a quick check costs less than a false all-clear.
pub const ALL_CLEAR: f64 = 0.5;
/// Weight of what the catalogue does not hold. Common practice, no source.
const OTHER_WEIGHT: f64 = 0.08;
/// What something else may do to a figure, beside what the file says: a factor of two
/// either way for flows and times, `[m]` for levels; one standard deviation.
const OTHER_SPREAD: (f64, f64) = (std::f64::consts::LN_2, 0.08);
/// Chance that a quick check answers as it should. Common practice, no source.
const CHECK_HITS: f64 = 0.90;
/// Chance that a quick check says yes though the cause is another. Common practice, no source.
const CHECK_ERRS: f64 = 0.07;
/// Chance that a bed was taken to do what it does not. Common practice, no source.
const MISSEEN: f64 = 0.03;

/// The answer to a question.
#[derive(Debug, Clone)]
pub struct Diagnosis {
    /// What was asked.
    pub question: Question,
    /// What the file promises, nominal coefficients.
    pub promised: Sight,
    /// Outcomes in the order in which to look into them: by falling share, but for an
    /// all-clear below [`ALL_CLEAR`].
    pub suspects: Vec<Suspect>,
    /// Share of what the catalogue does not hold.
    pub other: f64,
    /// Where the bands alone may bring up what is complained of.
    pub doubt: Option<Doubt>,
    /// Where the flow that was read is too small for the siphon, or too large.
    pub misfed: Option<Misfed>,
    /// What to measure next, most telling first.
    pub next: Vec<NextMeasurement>,
    /// What the facts would leave of the bands if nothing were broken, and which disagree.
    pub cut: Cut,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WhyError {
    /// No such bed.
    #[error("there is no bed number {0}")]
    NoBed(usize),
    /// Nothing to go by.
    #[error("neither a symptom nor a measurement is given")]
    Nothing,
    /// The system cannot be simulated even as built.
    #[error("the system as its file has it cannot be simulated: {0}")]
    Simulation(#[from] SimulationError),
    /// It costs more than it may.
    #[error(
        "every cause is simulated in many draws, and of this system that would take too long; \
         leave out beds that have no part in it, or look for a drain line that is far too thin \
         or blocked"
    )]
    TooMuch,
}

/// Effort after which a diagnosis is given up; one of four beds takes a hundredth.
const MOST_EFFORT: u64 = 8_000_000_000;

/// Ranks what may be wrong with bed `question.bed` of `system`, the system as its file has
/// it, with its bands. Simulates every cause at several severities with draws of all that
/// is soft; the same input gives the same answer on any number of threads.
///
/// # Errors
/// [`WhyError`] for an unknown bed, an empty question or a system that cannot be simulated.
pub fn diagnose(system: &System, question: &Question) -> Result<Diagnosis, WhyError> {
    let (found, given_up) = effort::told_within(MOST_EFFORT, || {
        Weighed::new(system, question).map(|weighed| weighed.worked_out(question))
    });
    // Without some of the simulations the shares would be wrong.
    if given_up {
        Err(WhyError::TooMuch)
    } else {
        found
    }
}

/// Outcomes with their shares, `None` being something that the catalogue does not hold:
/// [`diagnose`] without evidence, remedies and what to measure next.
///
/// # Errors
/// As [`diagnose`].
pub fn rank(system: &System, question: &Question) -> Result<Vec<(Option<Outcome>, f64)>, WhyError> {
    let weighed = Weighed::new(system, question)?;
    let outcome = |k: usize| weighed.cases.get(k).map(|case| case.outcome);
    let order = weighed.order(weighed.shares.len());
    Ok(order
        .into_iter()
        .map(|k| (outcome(k), weighed.shares[k]))
        .collect())
}

/// All outcomes of a question with their shares.
struct Weighed {
    trials: Trials,
    cut: Cut,
    doubt: Option<Doubt>,
    misfed: Option<Misfed>,
    /// Whether what is described or read explains the complaint with nothing broken.
    plain: bool,
    /// Causes that a quick check has found.
    confirmed: Vec<Cause>,
    promised: Sight,
    data: Vec<Datum>,
    /// The system as built first.
    cases: Vec<Case>,
    explained: Vec<Explanation>,
    /// Whether somebody complains of what the file does not promise.
    unpromised: bool,
    /// Whether the siphon does not break: less water is no cause of that.
    stuck: bool,
    /// One per case, and that of something else.
    shares: Vec<f64>,
}

impl Weighed {
    fn new(system: &System, question: &Question) -> Result<Self, WhyError> {
        let bed = question.bed;
        for named in question
            .readings
            .iter()
            .map(|r| r.bed)
            .chain(question.seen.iter().map(|s| s.0))
            .chain(question.facts.iter().map(|fact| fact.bed))
            .chain([bed])
        {
            if named >= system.beds.len() {
                return Err(WhyError::NoBed(named));
            }
        }
        let readings = question.readings.len() + question.seen.len() + question.facts.len();
        if question.symptom.is_none() && readings == 0 {
            return Err(WhyError::Nothing);
        }
        let system = looked_at(system, question);
        let nominal = Draw::nominal(&system.coefficients);
        // As long as any run: the period that sets the others' length is not known yet.
        let (promised, _) = Sight::of(&system, &nominal.values, LONGEST.1)?;
        let cut = match question.facts.is_empty() {
            true => Cut::default(),
            false => Cutter::new(&system, bed)?.cut(&question.facts),
        };
        let known = cut.applied(&system.coefficients);
        let doubt = Doubt::of(&system, &known, &promised, question);
        let misfed = Misfed::of(&system, &known, &promised, question);
        let asked = Asked {
            bed,
            known,
            most: question.most_inflow(&promised),
            sizes: question.sizes,
        };
        let trials = Trials::new(system, asked, question, &promised);
        let data: Vec<Datum> = question
            .readings
            .iter()
            .map(|r| Datum::new(r.figure, r.bed, r.value, r.sigma))
            .collect();
        let unpromised = is_unpromised(question, &promised);
        let as_built = if unpromised {
            UNPROMISED_WEIGHT
        } else {
            AS_BUILT_WEIGHT
        };
        let mut cases = trials.cases(as_built);
        let chance = |outcome: Outcome, sight: &Sight| said(question, &promised, outcome, sight);
        let explain = |case: &Case| {
            Explanation::new(&case.nodes, &data, bed, &|sight| {
                chance(case.outcome, sight)
            })
        };
        let mut explained: Vec<Explanation> = cases.iter().map(explain).collect();
        trials.refine(&mut cases, &mut explained, &explain);
        let answered = |outcome: Option<Cause>| -> f64 {
            question
                .answers
                .iter()
                .map(|answer| {
                    let yes = if outcome == Some(answer.cause) {
                        CHECK_HITS
                    } else {
                        CHECK_ERRS
                    };
                    if answer.yes { yes } else { 1.0 - yes }.log_natural()
                })
                .sum()
        };
        let other = OTHER_WEIGHT.log_natural() + answered(None) + broad(question, &data, &cases);
        let weigh = |cases: &[Case], explained: &[Explanation]| -> Vec<f64> {
            let own = cases.iter().zip(explained).map(|(case, explanation)| {
                let cause = match case.outcome {
                    Outcome::AsBuilt => None,
                    Outcome::Cause(cause) => Some(cause),
                };
                case.weight.log_natural() + explanation.log_likelihood + answered(cause)
            });
            own.chain([other]).collect()
        };
        let mut logs = weigh(&cases, &explained);
        if logs[..cases.len()].iter().all(|&log| log < other) {
            // Between two severities a regime may come and go: before giving up, look closer.
            trials.densify(&mut cases);
            explained = cases.iter().map(explain).collect();
            trials.refine(&mut cases, &mut explained, &explain);
            logs = weigh(&cases, &explained);
        }
        let total = log_sum(logs.iter().copied());
        let shares: Vec<f64> = logs.iter().map(|log| (log - total).exponential()).collect();
        Ok(Self {
            trials,
            cut,
            doubt,
            misfed,
            plain: explains_itself(question, &promised, misfed),
            confirmed: Cause::all()
                .filter(|&cause| question.check_of(cause) == Some(true))
                .collect(),
            stuck: question.is_stuck_open(),
            promised,
            data,
            cases,
            explained,
            unpromised,
            shares,
        })
    }

    /// The first `count` places of `shares` in the order in which to look into them.
    fn order(&self, count: usize) -> Vec<usize> {
        let mut order: Vec<usize> = (0..count).collect();
        order.order_by(|&a, &b| self.shares[b].total_cmp(&self.shares[a]));
        // What is described, or read, explains it without a check.
        if self.plain {
            first(&mut order, &|k| k == 0);
        }
        let all_clear = order.first() == Some(&0) && !self.plain;
        if all_clear && self.unpromised && self.shares[0] <= ALL_CLEAR && count > 1 {
            order.swap(0, 1);
        }
        // What somebody has looked at and found is looked for no more.
        first(&mut order, &|k| self.is_confirmed(k));
        // Nobody is sent to bring more water to a siphon that runs on.
        let brings_more = |k: usize| {
            self.stuck
                && !self.is_confirmed(k)
                && self
                    .cases
                    .get(k)
                    .is_some_and(|case| case.outcome.fix_brings_water())
        };
        first(&mut order, &|k| !brings_more(k));
        order
    }

    /// Whether a quick check has found what case `k` is.
    fn is_confirmed(&self, k: usize) -> bool {
        let of = |case: &Case| match case.outcome {
            Outcome::Cause(cause) => self.confirmed.contains(&cause),
            Outcome::AsBuilt => false,
        };
        self.cases.get(k).is_some_and(of)
    }

    fn worked_out(&self, question: &Question) -> Diagnosis {
        let shares = &self.shares;
        let ranked: Vec<(Outcome, f64, &[Node], &Explanation)> = self
            .order(self.cases.len())
            .into_iter()
            .map(|k| {
                let case = &self.cases[k];
                let nodes = case.nodes.as_slice();
                (case.outcome, shares[k], nodes, &self.explained[k])
            })
            .collect();
        let chance =
            |outcome: Outcome, sight: &Sight| said(question, &self.promised, outcome, sight);
        let suspects = ranked
            .iter()
            .map(|&(outcome, share, nodes, explanation)| {
                let said = |sight: &Sight| chance(outcome, sight);
                let weighed = Weighing {
                    explanation,
                    nodes,
                    said: &said,
                };
                self.trials.suspect(outcome, share, &weighed, &self.data)
            })
            .collect();
        Diagnosis {
            question: question.clone(),
            suspects,
            other: shares[self.cases.len()],
            doubt: self.doubt,
            misfed: self.misfed,
            next: next_measurements(&ranked, question, &self.promised, &chance),
            promised: self.promised.clone(),
            cut: self.cut.clone(),
        }
    }
}

/// Whether the question complains of what the file does not promise.
fn is_unpromised(question: &Question, promised: &Sight) -> bool {
    let complaint = question.symptom;
    complaint.is_some_and(|symptom| !is_promised(promised, question.bed, symptom))
}

/// Whether somebody is to be expected to say `symptom` of bed `bed` of `system` as it is described,
/// nominal coefficients.
///
/// # Errors
/// [`WhyError`] for an unknown bed or a system that cannot be simulated.
pub fn is_to_be_expected(system: &System, bed: usize, symptom: Symptom) -> Result<bool, WhyError> {
    if bed >= system.beds.len() {
        return Err(WhyError::NoBed(bed));
    }
    let (sight, _) = Sight::of(system, &system.coefficients.nominal(), LONGEST.1)?;
    // Nobody tells apart at a glance why a siphon does not start.
    let idle = matches!(symptom, Symptom::Dribbles | Symptom::NeverStarts);
    let never = matches!(
        sight.beds[bed].regime,
        Regime::Dribbles | Regime::NeverFills
    );
    Ok((idle && never) || is_promised(&sight, bed, symptom))
}

/// Chance that a person says of `sight` what the question says.
fn said(question: &Question, promised: &Sight, outcome: Outcome, sight: &Sight) -> f64 {
    let creeping = match outcome {
        Outcome::AsBuilt => false,
        Outcome::Cause(cause) => cause.entry().creeping,
    };
    let named = question.symptom.map_or(1.0, |symptom| {
        symptom.chance(sight, promised, question.bed, creeping)
    });
    let watched = question.seen.iter().map(|&(bed, seen)| {
        let does = match sight.beds[bed].regime {
            Regime::Cycles => seen == Seen::Cycles,
            Regime::Dribbles | Regime::NeverFills => seen == Seen::NeverStarted,
            Regime::Stalls | Regime::RunsOn => seen == Seen::NeverBroke,
            Regime::Overflows | Regime::Unfinished => seen != Seen::Cycles,
        };
        if does { 1.0 - MISSEEN } else { MISSEEN }
    });
    let tried = question
        .facts
        .iter()
        .filter(|fact| !fact.kind.is_raised())
        .map(|fact| {
            let bed = &sight.beds[fact.bed];
            let edge = match fact.kind.edge() {
                Measurable::StartsAt => bed.starts,
                _ => bed.stops,
            };
            // Twice the negative logarithm of its chance.
            (-0.5 * fact.deviance(edge)).exponential().max(MISSEEN)
        });
    named * watched.product::<f64>() * tried.product::<f64>()
}

/// Logarithm of the likelihood of something else: every reading within a broad spread of
/// what the system as built shows, any symptom alike.
fn broad(question: &Question, data: &[Datum], cases: &[Case]) -> f64 {
    let symptom = if question.symptom.is_some() {
        (1.0 / as_f64(Symptom::ALL.len())).log_natural()
    } else {
        0.0
    };
    let watched = as_f64(question.seen.len() + question.facts.len()) * 0.5_f64.log_natural();
    let places = data.iter().map(|datum| {
        // As built, else whatever any cause shows.
        let centre = cases.iter().find_map(|case| {
            let seen = case
                .nodes
                .iter()
                .flat_map(|node| node.shown.iter().flatten());
            let values: Vec<f64> = seen
                .filter_map(|sight| datum.figure.in_sight(sight, datum.bed))
                .map(|value| datum.figure.scale().place(value))
                .collect();
            (!values.is_empty()).then(|| values.iter().sum::<f64>() / as_f64(values.len()))
        });
        let own = match datum.figure.scale() {
            super::Scale::Level => OTHER_SPREAD.1,
            _ => OTHER_SPREAD.0,
        };
        let spread = datum.spread.hypotenuse(own);
        let off = (datum.place - centre.unwrap_or(datum.place)) / spread;
        -0.5 * off * off - (spread * (2.0 * std::f64::consts::PI).sqrt()).log_natural()
    });
    symptom + watched + places.sum::<f64>()
}

/// `system` without the gravel loss of beds that nothing was read of: it is most of the
/// work and tells nothing of the others.
fn looked_at(system: &System, question: &Question) -> System {
    let mut system = system.clone();
    for (i, bed) in system.beds.iter_mut().enumerate() {
        let read = question
            .readings
            .iter()
            .any(|r| r.figure.of_a_bed() && r.bed == i);
        if i != question.bed && !read {
            bed.media.grain = None;
        }
    }
    system
}

/// Puts those of `order` that are `wanted` first, the rest behind them as they stand.
fn first(order: &mut Vec<usize>, wanted: &dyn Fn(usize) -> bool) {
    let (mut those, rest): (Vec<usize>, Vec<usize>) = order.iter().partition(|k| wanted(**k));
    those.extend(rest);
    *order = those;
}

impl Diagnosis {
    /// Whether the sump runs dry as described: before that is mended no cause can be told.
    pub fn runs_dry(&self) -> bool {
        runs_dry(&self.promised, self.question.bed)
    }

    /// Whether what is described or read explains the complaint with nothing broken.
    pub fn explains_itself(&self) -> bool {
        explains_itself(&self.question, &self.promised, self.misfed)
    }

    /// Whether the sump runs dry as described, which does not bring up what is complained of: then
    /// more water stands there than described, or the bed holds less.
    pub fn contradicts_itself(&self) -> bool {
        let regime = self.promised.beds[self.question.bed].regime;
        // One that fills first may have shown anything by then.
        self.runs_dry() && regime == Regime::NeverFills && !self.explains_itself()
    }

    /// Whether `outcome` is that another thing stands there than described, where what is described
    /// cannot be: that is put in before anything is changed.
    pub fn is_described_anew(&self, outcome: Outcome) -> bool {
        let of = [Cause::TooMuchWater, Cause::LessVoid].map(Outcome::Cause);
        self.contradicts_itself() && of.contains(&outcome)
    }

    /// Whether what is described is at fault, so that a plan for the whole system tells what helps. Against
    /// too much flow the inflow that was found is set, which costs least.
    pub fn wants_plan(&self) -> bool {
        let overfed = self.misfed.is_some_and(|one| one.fails == Doubtful::Break);
        let mut suspects = self.suspects.iter();
        let set = suspects.any(|one| one.outcome == Outcome::AsBuilt && one.remedy.is_some());
        self.explains_itself() && !(overfed && set && !self.runs_dry())
    }

    /// Takes the plan for the whole system as what is done about what explains itself: what is
    /// described is at fault, and there is one way only to set that right.
    pub fn planned(&mut self, plan: &Plan) {
        let built = |one: &&mut Suspect| one.outcome == Outcome::AsBuilt;
        let Some(own) = self.suspects.iter_mut().find(built) else {
            return;
        };
        let values = plan.mended.coefficients.nominal();
        let after = Sight::of(&plan.mended, &values, LONGEST.1).ok();
        let steps = plan.steps.iter();
        let steps: Vec<Step> = steps
            .map(|step| Step::Change(step.changes.clone()))
            .collect();
        own.aim = own.aim.filter(|_| steps.is_empty());
        own.remedy = after
            .filter(|_| !steps.is_empty())
            .map(|(after, _)| Remedy {
                steps,
                after,
                spoils: Vec::new(),
            });
    }

    /// Whether the bed cycles as the file has it.
    pub fn promised_to_cycle(&self) -> bool {
        self.promised.beds[self.question.bed].regime == Regime::Cycles
    }
}
