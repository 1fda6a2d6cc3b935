//! The simulations behind one question: every cause at several severities, with draws of
//! everything soft.

use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::numerics::map_all::map_all;
use crate::numerics::maths::Maths;
use crate::simulation::SharedTables;
use crate::study::why::cause::Cause;
use crate::study::why::draws::Draw;
use crate::study::why::likelihood::{Datum, Explanation, LEAST_SEVERITY, Node};
use crate::study::why::question::{Outcome, Question};
use crate::study::why::remedy::{Asked, Remedies};
use crate::study::why::sight::{Length, Sight};
use crate::study::why::suspect::{Complaint, Evidence, Shows, Suspect};
use crate::units::HOUR;

/// Draws of everything soft, for every cause and severity.
const DRAWS: usize = 8;
/// Seed of the draws.
const SEED: u64 = 0x5eed_0001;
/// Severities at which every cause is simulated.
const SEVERITIES: [f64; 6] = [LEAST_SEVERITY, 0.25, 0.45, 0.66, 0.84, 1.0];
/// Causes that are simulated once more, at the severity that explains best.
const REFINED: usize = 5;
/// Longest run `[s]`: so many periods of the system as built, within these bounds.
const PERIODS: f64 = 6.0;
pub(super) const LONGEST: (f64, f64) = (4.0 * HOUR, 12.0 * HOUR);

/// An outcome with all its simulations.
pub(super) struct Case {
    pub outcome: Outcome,
    pub weight: f64,
    pub nodes: Vec<Node>,
}

impl Case {
    /// Adds a severity in its place.
    fn insert(&mut self, node: Node) {
        let at = self.nodes.partition_point(|n| n.severity < node.severity);
        self.nodes.insert(at, node);
    }
}

/// What to simulate for `jobs`, pairs of a case and a severity.
fn asked(cases: &[Case], jobs: &[(usize, f64)]) -> Vec<(Outcome, f64)> {
    let job = |&(k, severity): &(usize, f64)| (cases[k].outcome, severity);
    jobs.iter().map(job).collect()
}

/// How long to simulate `[s]`.
fn longest(promised: &Sight, bed: usize) -> f64 {
    // A bed that promises no period gets the shortest run.
    let period = promised.beds[bed].period.unwrap_or(LONGEST.0 / PERIODS);
    (PERIODS * period).clamp(LONGEST.0, LONGEST.1)
}

/// Everything that simulations of one question have in common.
pub(super) struct Trials {
    system: System,
    bed: usize,
    lowest_sump: f64,
    longest: f64,
    /// Whether what is asked hangs on how beds meet, or on when.
    of_all: bool,
    /// Whether anything was read.
    read: bool,
    remedies: Remedies,
    draws: Vec<Draw>,
    /// Most causes leave all siphons but one as they are, many leave them all.
    tables: SharedTables,
}

impl Trials {
    /// Those of one bed of `system`, which as built shows `promised`.
    pub fn new(system: System, asked: Asked, question: &Question, promised: &Sight) -> Self {
        let longest = longest(promised, asked.bed);
        Self {
            bed: asked.bed,
            remedies: Remedies::new(&system, &asked, longest),
            lowest_sump: system.sump.floor + promised.sump.0,
            longest,
            // Where water comes and goes by itself a bed may do another thing later.
            of_all: question.is_of_all() || !system.is_steady_but_for_incidents(),
            read: !question.readings.is_empty(),
            draws: Draw::spread(&system.coefficients, DRAWS, SEED),
            system,
            tables: SharedTables::default(),
        }
    }

    fn acted_on(&self, system: &System, outcome: Outcome, severity: f64) -> Option<System> {
        match outcome {
            Outcome::AsBuilt => Some(system.clone()),
            Outcome::Cause(cause) => cause.acting_on(system, self.bed, severity, self.lowest_sump),
        }
    }

    fn longest(&self, outcome: Outcome) -> f64 {
        match outcome {
            // A ratchet needs its time.
            Outcome::Cause(Cause::TopOffHigh) => LONGEST.1,
            _ => self.longest,
        }
    }

    /// How long to simulate an outcome only to rank it: means that are read take long to come to
    /// where they stay.
    fn length(&self, outcome: Outcome) -> Length {
        match self.read {
            true => Length::Whole(self.longest(outcome)),
            false => self.length_to_see(outcome),
        }
    }

    /// How long to simulate an outcome only to see what anybody would say of it.
    fn length_to_see(&self, outcome: Outcome) -> Length {
        let longest = self.longest(outcome);
        match outcome {
            Outcome::Cause(Cause::TopOffHigh) => Length::Whole(longest),
            _ if self.of_all => Length::Whole(longest),
            _ => Length::UntilTold(longest),
        }
    }

    /// Simulates `jobs`, pairs of an outcome and a severity, with every draw.
    fn simulate(&self, jobs: &[(Outcome, f64)]) -> Vec<Node> {
        let built: Vec<System> = self
            .draws
            .iter()
            .map(|draw| draw.built(&self.system))
            .collect();
        let draws = self.draws.len();
        let mut shown: Vec<Option<Sight>> = map_all(0..jobs.len() * draws, |k| {
            let (outcome, severity) = jobs[k / draws];
            let draw = k % draws;
            let system = self.acted_on(&built[draw], outcome, severity)?;
            let values = &self.draws[draw].values;
            Sight::tried(&system, values, self.length(outcome), &self.tables).ok()
        });
        // From the end, since splitting off there copies nothing else.
        let mut nodes: Vec<Node> = jobs
            .iter()
            .rev()
            .map(|&(_, severity)| Node {
                severity,
                shown: shown.split_off(shown.len() - draws),
            })
            .collect();
        nodes.reverse();
        nodes
    }

    /// Every outcome that the system can have, simulated; the system as built, of weight
    /// `as_built`, first.
    pub fn cases(&self, as_built: f64) -> Vec<Case> {
        let causes: Vec<Cause> = Cause::all()
            .filter(|&cause| {
                // Whether the part is there does not hang on severity: any will do.
                self.acted_on(&self.system, Outcome::Cause(cause), 0.5)
                    .is_some()
            })
            .collect();
        let mut jobs = vec![(Outcome::AsBuilt, 0.0)];
        for &cause in &causes {
            jobs.extend(SEVERITIES.map(|severity| (Outcome::Cause(cause), severity)));
        }
        let mut nodes = self.simulate(&jobs).into_iter();
        let mut cases = vec![Case {
            outcome: Outcome::AsBuilt,
            weight: as_built,
            nodes: nodes.by_ref().take(1).collect(),
        }];
        cases.extend(causes.iter().map(|&cause| Case {
            outcome: Outcome::Cause(cause),
            weight: cause.entry().weight,
            nodes: nodes.by_ref().take(SEVERITIES.len()).collect(),
        }));
        cases
    }

    /// Simulates every cause also half way between the severities there are.
    pub fn densify(&self, cases: &mut [Case]) {
        let jobs: Vec<(usize, f64)> = (0..cases.len())
            .flat_map(|k| {
                let pairs = cases[k].nodes.windows(2);
                pairs
                    .map(|pair| (k, 0.5 * (pair[0].severity + pair[1].severity)))
                    .collect::<Vec<_>>()
            })
            .collect();
        for ((k, _), node) in jobs.iter().zip(self.simulate(&asked(cases, &jobs))) {
            cases[*k].insert(node);
        }
    }

    /// Simulates the leading causes once more at the severity that explains best.
    pub fn refine(
        &self,
        cases: &mut [Case],
        explained: &mut [Explanation],
        explain: &dyn Fn(&Case) -> Explanation,
    ) {
        // From 1: the system as built has no severity.
        let mut order: Vec<usize> = (1..cases.len()).collect();
        order.order_by(|&a, &b| {
            let worth = |k: usize| cases[k].weight.log_natural() + explained[k].log_likelihood;
            worth(b).total_cmp(&worth(a))
        });
        let jobs: Vec<(usize, f64)> = order
            .into_iter()
            .take(REFINED)
            .map(|k| (k, explained[k].best_severity()))
            .filter(|&(k, severity)| {
                cases[k]
                    .nodes
                    .iter()
                    // So near to one that was simulated it would show the same again.
                    .all(|node| (node.severity - severity).abs() > 0.01)
            })
            .collect();
        for (&(k, _), node) in jobs.iter().zip(self.simulate(&asked(cases, &jobs))) {
            cases[k].insert(node);
            explained[k] = explain(&cases[k]);
        }
    }

    /// What the system does with `outcome`: in the middle of the bands; where that is not what is
    /// complained of, in the draw in which it is likeliest to be said.
    fn shows(&self, outcome: Outcome, severity: f64, weighed: &Weighing) -> Option<Shows> {
        let system = self.acted_on(&self.system, outcome, severity)?;
        let nominal = self.system.coefficients.nominal();
        let (sight, _) = Sight::of(&system, &nominal, self.longest(outcome)).ok()?;
        let (middle, drawn) = ((weighed.said)(&sight), weighed.likeliest_said(severity));
        let drawn = drawn.filter(|one| middle < TOO_SELDOM * one.1);
        let (sight, complaint, drawn) = match drawn {
            Some((draw, said)) if said >= SAID => {
                let shown = self.nearest_shown(outcome, severity, weighed, TOO_SELDOM * said);
                (draw.clone(), Complaint::WithBadLuck, shown)
            }
            _ if middle >= SAID => (sight, Complaint::Expected, Some(severity)),
            _ => (sight, Complaint::NotShown, Some(severity)),
        };
        Some(Shows {
            sight,
            complaint,
            drawn,
        })
    }

    /// The severity nearest to `severity` at which the middle of the bands shows what is complained
    /// of, said with at least this chance: a reading moves what explains best, and what is drawn has
    /// to show the trouble all the same.
    fn nearest_shown(
        &self,
        outcome: Outcome,
        severity: f64,
        weighed: &Weighing,
        least: f64,
    ) -> Option<f64> {
        // Outward from it, a little worse before a little less.
        let steps = (0..2 * LOOKED_AT).map(|k| {
            let off = f64::from(k.div_ceil(2)) / f64::from(LOOKED_AT);
            severity + if k % 2 == 1 { off } else { -off }
        });
        let other = |tried: &f64| (tried - severity).abs() > SAME_SEVERITY;
        let tried = steps.filter(|tried| (LEAST_SEVERITY..=1.0).contains(tried) && other(tried));
        let nominal = self.system.coefficients.nominal();
        let length = self.length_to_see(outcome);
        let sight = |severity: f64| {
            let system = self.acted_on(&self.system, outcome, severity)?;
            Sight::tried(&system, &nominal, length, &self.tables).ok()
        };
        // Rather one of which it is said as often; else any of which it is not said by mistake.
        let mut seldom = None;
        for severity in tried {
            let said = sight(severity).as_ref().map_or(0.0, weighed.said);
            if said >= least.max(SAID) {
                return Some(severity);
            }
            seldom = seldom.or_else(|| (said >= SAID).then_some(severity));
        }
        seldom
    }

    pub fn suspect(
        &self,
        outcome: Outcome,
        share: f64,
        weighed: &Weighing,
        data: &[Datum],
    ) -> Suspect {
        let explanation = weighed.explanation;
        let severity = explanation.best_severity();
        let shown = share >= SHOWN;
        let shows = shown
            .then(|| self.shows(outcome, severity, weighed))
            .flatten();
        let expected = explanation.expected().unwrap_or_default();
        let evidence = data
            .iter()
            .zip(&expected)
            .enumerate()
            .map(|(reading, (datum, &(place, spread)))| {
                let scale = datum.figure.scale();
                Evidence {
                    reading,
                    expected: scale.value(place),
                    // Two deviations: 95 of 100 readings.
                    allowed: (
                        scale.value(place - 2.0 * spread),
                        scale.value(place + 2.0 * spread),
                    ),
                    off: (datum.place - place) / spread,
                }
            })
            .collect();
        let remedy = shown.then(|| self.remedies.of(outcome)).flatten();
        let helpless = shown && remedy.is_none() && outcome == Outcome::AsBuilt;
        Suspect {
            aim: helpless.then(|| self.remedies.out_of_reach()).flatten(),
            outcome,
            share,
            severity: matches!(outcome, Outcome::Cause(_))
                .then(|| (severity, explanation.severity_range())),
            evidence,
            shows,
            remedy,
        }
    }
}

/// What is weighed of an outcome.
pub(super) struct Weighing<'a> {
    pub explanation: &'a Explanation,
    pub nodes: &'a [Node],
    /// Chance that a person says of a sight what is said.
    pub said: &'a dyn Fn(&Sight) -> f64,
}

impl Weighing<'_> {
    /// The draw of which that is likeliest said, at the simulated severity nearest to `severity`.
    fn likeliest_said(&self, severity: f64) -> Option<(&Sight, f64)> {
        let off = |node: &&Node| (node.severity - severity).abs();
        let near = self.nodes.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        let sights = near.shown.iter().flatten();
        let chances = sights.map(|sight| (sight, (self.said)(sight)));
        chances.max_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// The middle of the bands stands for a cause unless what is complained of is said of it this much
/// more seldom than of another draw; ours.
const TOO_SELDOM: f64 = 0.5;
/// Severities at which that is looked for: a trouble may show between two that were simulated.
const LOOKED_AT: u32 = 25;
/// Severities that are told by the same figure.
const SAME_SEVERITY: f64 = 0.005;
/// What is named of a sight less often than this is named by mistake; ours.
const SAID: f64 = 0.05;

/// Outcomes with less than this share are ranked and not worked out further.
pub(super) const SHOWN: f64 = 0.02;
