//! Where each siphon starts, runs on and stalls at the levels its outlet really
//! sees, where today's inflow sits between these, and the inflow farthest from trouble.

use crate::assessment::{Assessment, BedVerdict, Verdict};
use crate::model::{Band, System};
use crate::network::supply::SupplyTree;
use crate::simulation::{Regime, Run, Spread};
pub use crate::siphon::{BestInflow, Trust};
use crate::siphon::{CrossChecks, InflowWindow, best_inflow};

mod tail;

pub(in crate::study) use tail::Receiver;

/// The windows of a system and its beds.
#[derive(Debug, Clone)]
pub struct Windows {
    /// One per bed, in file order.
    pub beds: Vec<BedWindow>,
    /// All beds together.
    pub system: SystemWindow,
}

/// The inflow window of one bed.
#[derive(Debug, Clone)]
pub struct BedWindow {
    /// Sump level when the bed comes to its break level, lowest and highest `[m]`.
    pub sump_at_break: (f64, f64),
    /// Level that the outlet looks at then `[m]`: itself, the sump, or the line's
    /// grade; lowest with this siphon running alone, highest with all of the line.
    pub tail: (f64, f64),
    /// Start, run-on and stall against the tail that narrows them most.
    pub window: InflowWindow,
    /// The same against the tail that leaves most.
    pub widest: InflowWindow,
    /// Greatest inflow at which it breaks, the lower of run-on and stall of `window`.
    pub breaks_below: Band,
    /// Published limits beside the run-on flow.
    pub cross_checks: CrossChecks,
    /// Today's inflow.
    pub today: Today,
    /// The inflow to aim at.
    pub best: BestInflow,
    /// Whether it starts with today's inflow.
    pub will_start: Verdict,
    /// Whether it breaks with today's inflow.
    pub will_break: Verdict,
    /// What it did in the run.
    pub regime: Regime,
}

/// Today's inflow of a bed, from the run `[m3/s]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Today {
    /// Mean, least and greatest; the time in which the pump drew air is not counted as least.
    pub range: Spread,
    /// Least while the bed stands between lip and start, where it decides the start.
    pub at_start: f64,
    /// Greatest at the break level, where it decides the break.
    pub at_break: f64,
}

/// All beds together, their flows rising and falling together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SystemWindow {
    /// Flow of the pump in the run `[m3/s]`.
    pub pump: Spread,
    /// Mean flow into all beds together `[m3/s]`.
    pub total: f64,
    /// Total at which every bed starts and breaks, nominal coefficients.
    pub nominal: SplitWindow,
    /// The same whatever the coefficients are within their bands.
    pub certain: SplitWindow,
    /// All best inflows together `[m3/s]`.
    pub best_total: f64,
}

/// Least and greatest total at today's split; `low` above `high`: no total suits all beds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitWindow {
    /// Total from which the last bed starts `[m3/s]`.
    pub low: f64,
    /// Total up to which the first bed still breaks `[m3/s]`.
    pub high: f64,
    /// The bed that starts last.
    pub starts_last: usize,
    /// The bed that stops breaking first.
    pub breaks_first: usize,
}

impl SplitWindow {
    /// Whether any total suits all beds.
    pub fn is_open(&self) -> bool {
        self.low < self.high
    }
}

impl BedWindow {
    /// Inflow that starts it and breaks it whatever the coefficients are `[m3/s]`;
    /// `None` when the bands leave none.
    pub fn certain(&self) -> Option<(f64, f64)> {
        open(self.window.start.high, self.breaks_below.low)
    }

    /// Inflow that starts it and breaks it with the nominal coefficients `[m3/s]`.
    pub fn nominal(&self) -> Option<(f64, f64)> {
        open(self.window.start.nominal, self.breaks_below.nominal)
    }

    /// From the start band up to today's least inflow at the start `[m3/s]`; negative: short of it.
    pub fn margin_to_start(&self) -> Band {
        let (q, edge) = (self.today.at_start, self.window.start);
        Band::new(q - edge.high, q - edge.nominal, q - edge.low)
    }

    /// From today's greatest inflow at the break level up to run-on `[m3/s]`; negative: past it.
    pub fn margin_to_run_on(&self) -> Band {
        self.margin_below(self.window.run_on)
    }

    /// From today's greatest inflow at the break level up to stall `[m3/s]`; negative: past it.
    pub fn margin_to_stall(&self) -> Band {
        self.margin_below(self.window.stall)
    }

    fn margin_below(&self, edge: Band) -> Band {
        let q = self.today.at_break;
        Band::new(edge.low - q, edge.nominal - q, edge.high - q)
    }

    /// Whether today's inflow certainly fails at one end.
    pub fn certainly_fails(&self) -> bool {
        self.will_start == Verdict::WillNot || self.will_break == Verdict::WillNot
    }
}

/// The system with its incidents left out. Windows are about what the beds do day by day:
/// a power cut is none of today's inflow, and one that waits for its worst moment cannot
/// be simulated before that is found.
pub fn without_incidents(system: &System) -> System {
    System {
        incidents: Vec::new(),
        ..system.clone()
    }
}

fn open(low: f64, high: f64) -> Option<(f64, f64)> {
    (low < high).then_some((low, high))
}

/// The windows of all beds of `system`; `run` is a finished run of it with its
/// nominal coefficients and `assessment` its judgement. Flows in `[m3/s]`. Both are best
/// those of the system [`without_incidents`].
///
/// The tails are those of today's water: the sump at the breaks of the run, or
/// by volume where a bed never broke.
pub fn windows(system: &System, run: &Run, assessment: &Assessment) -> Windows {
    let receiver = Receiver::new(system, run);
    let tree = SupplyTree::new(system);
    let beds: Vec<BedWindow> = (0..system.beds.len())
        .map(|i| bed_window(system, run, assessment, &receiver, &tree, i))
        .collect();
    Windows {
        system: system_window(run, &beds),
        beds,
    }
}

fn bed_window(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    receiver: &Receiver,
    tree: &SupplyTree,
    i: usize,
) -> BedWindow {
    let bed = &system.beds[i];
    let tail = receiver.tails(i, bed);
    let (window, widest) = receiver.windows(i, bed);
    let breaks_below = window.breaks_below();
    let judged = &assessment.beds[i];
    let today = today(system, run, tree, judged, i);
    // "Will" must hold against the worst tail, "will not" against the best.
    let sure = today.at_break <= breaks_below.low;
    let lost = today.at_break > widest.breaks_below().high;
    let will_break = match (sure, lost, judged.will_break) {
        (_, true, _) => Verdict::WillNot,
        (true, _, Verdict::Will) => Verdict::Will,
        _ => Verdict::Uncertain,
    };
    BedWindow {
        sump_at_break: receiver.sump_at_break(i),
        tail,
        best: best_inflow(window.start, breaks_below),
        cross_checks: receiver.law(i).cross_checks(),
        window,
        widest,
        breaks_below,
        today,
        will_start: judged.will_start,
        will_break,
        regime: run.beds[i].regime,
    }
}

fn today(system: &System, run: &Run, tree: &SupplyTree, judged: &BedVerdict, i: usize) -> Today {
    let mut range = run.beds[i].inflow;
    if run.sump.ran_dry > 0.0 {
        // A pump that draws air is the sump's fault, not the window's.
        let dry = system.pump.least_level();
        let least = tree.duty(dry).bed_flows[i];
        range.min = range.min.max(least);
        range.mean = range.mean.max(range.min);
    }
    Today {
        range,
        at_start: judged.inflow_at_start,
        at_break: judged.inflow_at_break,
    }
}

fn system_window(run: &Run, beds: &[BedWindow]) -> SystemWindow {
    let total: f64 = run.beds.iter().map(|bed| bed.inflow.mean).sum();
    let split = |start: &dyn Fn(&BedWindow) -> f64, stop: &dyn Fn(&BedWindow) -> f64| {
        let mut window = SplitWindow {
            low: 0.0,
            high: f64::INFINITY,
            starts_last: 0,
            breaks_first: 0,
        };
        for (i, bed) in beds.iter().enumerate() {
            let low = total * start(bed) / bed.today.at_start.max(f64::MIN_POSITIVE);
            let high = total * stop(bed) / bed.today.at_break.max(f64::MIN_POSITIVE);
            if low > window.low {
                (window.low, window.starts_last) = (low, i);
            }
            if high < window.high {
                (window.high, window.breaks_first) = (high, i);
            }
        }
        window
    };
    SystemWindow {
        pump: run.pump.flow,
        total,
        nominal: split(&|bed| bed.window.start.nominal, &|bed| {
            bed.breaks_below.nominal
        }),
        certain: split(&|bed| bed.window.start.high, &|bed| bed.breaks_below.low),
        best_total: beds.iter().map(|bed| bed.best.flow).sum(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_inflow_is_the_middle_of_a_certain_window() {
        let best = best_inflow(Band::new(3.0, 4.0, 5.0), Band::new(9.0, 10.0, 12.0));
        assert_eq!(
            best,
            BestInflow {
                flow: 7.0,
                trust: Trust::Certain
            }
        );
    }

    #[test]
    fn without_one_both_margins_are_the_same_share_of_their_bands() {
        let (start, stop) = (Band::new(4.0, 6.0, 10.0), Band::new(7.0, 9.0, 15.0));
        let best = best_inflow(start, stop);
        assert_eq!(best.trust, Trust::Nominal);
        // (q - 6) / 4 = (9 - q) / 2 at q = 8.
        assert!((best.flow - 8.0).abs() < 1e-9, "{best:?}");
    }

    #[test]
    fn a_closed_window_says_how_closed() {
        let start = Band::new(4.0, 6.0, 8.0);
        let trust = |low, nominal, high| best_inflow(start, Band::new(low, nominal, high)).trust;
        assert_eq!(trust(3.0, 5.0, 7.0), Trust::Doubtful);
        assert_eq!(trust(2.0, 3.0, 3.5), Trust::Hopeless);
        // Values taken as exactly known still give a finite flow.
        let exact = best_inflow(Band::exact(6.0), Band::exact(5.0));
        assert!(exact.flow > 4.9 && exact.flow < 6.1, "{exact:?}");
    }
}
