//! What a fit changes for the owner: which verdicts on start and break move, and the one flow
//! to try next, with what each outcome of the trial would settle.

use crate::assessment::{Assessment, Verdict, assess};
use crate::model::{Band, System};
use crate::numerics::in_order::InOrder;
use crate::simulation::{Run, Sampling, simulate};
use crate::study::measure::{Cutter, Fact, FactKind, Measurable};

/// Flows tried as multiples of what settles least: up to a third more.
const FARTHER: usize = 16;
/// What a pump can give over what it gives now.
const SPARE: f64 = 1.1;
/// Step from one of them to the next.
const STEP: f64 = 0.02;

/// Start or break of one siphon before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Index of the bed.
    pub bed: usize,
    /// [`Measurable::StartsAt`] or [`Measurable::BreaksUpTo`].
    pub edge: Measurable,
    /// Inflow that it is judged on, after the fit `[m3/s]`.
    pub inflow: f64,
    /// Flow at which the scenario as written starts it, or up to which it breaks `[m3/s]`.
    pub before: Edge,
    /// The same with what is known now.
    pub after: Edge,
}

/// An edge of the window, and on which side of it the inflow is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Flow `[m3/s]`.
    pub flow: Band,
    /// Whether it starts, or breaks.
    pub verdict: Verdict,
}

/// A flow to try on one bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// Index of the bed.
    pub bed: usize,
    /// What is hoped for: [`FactKind::Started`] or [`FactKind::Broke`].
    pub hoped: FactKind,
    /// At this inflow `[m3/s]`.
    pub flow: f64,
    /// The edge as it is known now.
    pub now: Edge,
    /// The edge if it does.
    pub if_so: Edge,
    /// The edge if it does not.
    pub if_not: Edge,
}

impl Trial {
    /// Whether the verdict is in doubt now and would not be after one outcome at least.
    pub fn settles(&self) -> bool {
        self.now.verdict == Verdict::Uncertain
            && (self.if_so.verdict != Verdict::Uncertain
                || self.if_not.verdict != Verdict::Uncertain)
    }

    /// Share of the band's width that is left, the mean of both outcomes.
    fn left(&self) -> f64 {
        let width = |edge: &Edge| edge.flow.high - edge.flow.low;
        let now = width(&self.now).max(1e-12);
        0.5 * (width(&self.if_so) + width(&self.if_not)) / now
    }
}

const EDGES: [Measurable; 2] = [Measurable::StartsAt, Measurable::BreaksUpTo];

/// A system with its judgement.
struct Judged {
    system: System,
    run: Run,
    found: Assessment,
}

impl Judged {
    fn new(system: &System) -> Option<Self> {
        let run = simulate(system, Sampling::None).ok()?;
        Some(Self {
            found: assess(system, &run),
            system: system.clone(),
            run,
        })
    }

    fn edge(&self, bed: usize, edge: Measurable) -> Option<Edge> {
        edge_of(&self.found, bed, edge)
    }
}

fn edge_of(found: &Assessment, bed: usize, edge: Measurable) -> Option<Edge> {
    let bed = found.beds.get(bed)?;
    Some(match edge {
        Measurable::StartsAt => Edge {
            flow: bed.start_flow,
            verdict: bed.will_start,
        },
        _ => Edge {
            flow: Band::new(
                bed.run_on_flow.low.min(bed.stall_flow.low),
                bed.run_on_flow.nominal.min(bed.stall_flow.nominal),
                bed.run_on_flow.high.min(bed.stall_flow.high),
            ),
            verdict: bed.will_break,
        },
    })
}

/// Verdicts on every bed of the scenario as written and of `learnt` (the coefficients are of all
/// beds), and the trials on `beds` that would tell most, those that settle a doubt first. Both
/// empty where a simulation gives up.
pub(super) fn owner(written: &System, learnt: &System, beds: &[usize]) -> (Vec<Shift>, Vec<Trial>) {
    let (Some(before), Some(after)) = (Judged::new(written), Judged::new(learnt)) else {
        return (Vec::new(), Vec::new());
    };
    let pairs = (0..written.beds.len()).flat_map(|bed| EDGES.map(|edge| (bed, edge)));
    let shifts = pairs.filter_map(|(bed, edge)| {
        let judged = after.found.beds.get(bed)?;
        Some(Shift {
            bed,
            edge,
            inflow: match edge {
                Measurable::StartsAt => judged.inflow_at_start,
                _ => judged.inflow_at_break,
            },
            before: before.edge(bed, edge)?,
            after: after.edge(bed, edge)?,
        })
    });
    let shifts: Vec<Shift> = shifts.collect();
    let looked_at = shifts.iter().filter(|shift| beds.contains(&shift.bed));
    let trials = trials(&after, looked_at);
    (shifts, trials)
}

fn trials<'a>(now: &Judged, shifts: impl Iterator<Item = &'a Shift>) -> Vec<Trial> {
    // One bed can have what all get, and a pump a little more than it gives now.
    let beds = now.run.beds.iter();
    let most = SPARE * beds.map(|bed| bed.inflow.max).sum::<f64>();
    let mut found: Vec<Trial> = shifts
        .filter_map(|shift| {
            let cutter = Cutter::new(&now.system, shift.bed).ok()?;
            best(now, &cutter, shift, most)
        })
        .collect();
    found.order_by(|a, b| {
        let key = |trial: &Trial| (!trial.settles(), trial.left());
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    found
}

/// The flow that settles a doubt nearest to what the bed gets, else the middle of the band.
fn best(now: &Judged, cutter: &Cutter, shift: &Shift, most: f64) -> Option<Trial> {
    let hoped = match shift.edge {
        Measurable::StartsAt => FactKind::Started,
        _ => FactKind::Broke,
    };
    let band = shift.after.flow;
    // As good as known: no trial can tell more.
    if band.high - band.low <= 1e-6 * band.high {
        return None;
    }
    let tried = |flow: f64| -> Option<Trial> {
        let outcome = |kind: FactKind| {
            let cut = cutter.cut(&[Fact::new(shift.bed, kind, flow, None)]);
            let mut system = now.system.clone();
            system.coefficients = cut.applied(&system.coefficients);
            edge_of(&assess(&system, &now.run), shift.bed, shift.edge)
        };
        Some(Trial {
            bed: shift.bed,
            hoped,
            flow,
            now: shift.after,
            if_so: outcome(hoped)?,
            if_not: outcome(hoped.opposite())?,
        })
    };
    if shift.after.verdict == Verdict::Uncertain {
        let settling = (0..FARTHER)
            .map(|k| {
                let by = 1.0 + STEP * k as f64;
                // What happens at a flow that makes it harder happens at the bed's own for sure.
                let flow = if hoped.above() {
                    shift.inflow / by
                } else {
                    shift.inflow * by
                };
                rounded(flow)
            })
            .filter(|flow| *flow <= most)
            .filter_map(tried)
            .find(|trial| trial.if_so.verdict == Verdict::Will);
        if settling.is_some() {
            return settling;
        }
    }
    // The middle halves what is not known whatever comes out.
    let middle = 0.5 * (band.low + band.high);
    (most > band.low).then(|| tried(rounded(middle.min(most))))?
}

/// As a bucket tells it: two figures and a half.
fn rounded(flow: f64) -> f64 {
    let litres = flow * 60_000.0;
    let step = if litres < 5.0 { 0.1 } else { 0.2 };
    (litres / step).round() * step / 60_000.0
}
