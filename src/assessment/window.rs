//! Start and break of each siphon against the inflow that it really has.

use crate::assessment::parts::{Parts, extreme_law, nominal_law};
use crate::assessment::status::{BedVerdict, Verdict};
use crate::hydraulics::circular::flow_at_froude;
use crate::model::{Band, Bed, Coefficient};
use crate::numerics::root::brent;
use crate::simulation::Regime;
use crate::siphon::{Extreme, InflowWindow, SiphonLaw};

/// An inflow at a moment that matters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Inflow {
    /// The flow `[m3/s]`.
    pub(super) flow: f64,
    /// Whether the run came to that moment; else it is the run's fitting extreme.
    pub(super) met: bool,
    /// Whether the run came to it only with less, since the pump drew air.
    pub(super) starved: bool,
}

impl Inflow {
    /// Flow in bed `i`, `seen` in the run where it came to that moment, else the run's
    /// extreme while the pump fed the bed; at least `flow`, what a pump that drew air gave.
    fn new(parts: &Parts, seen: Option<f64>, extreme: f64, flow: f64) -> Self {
        let usual = seen.unwrap_or(extreme);
        let flow = usual.max(flow);
        Self {
            flow,
            met: seen.is_some(),
            starved: parts.run.sump.ran_dry > 0.0 && flow > usual,
        }
    }
}

/// One siphon's window, and where its inflow sits in it.
#[derive(Debug, Clone)]
pub(super) struct Judgement {
    pub(super) window: InflowWindow,
    /// Greatest inflow at which it breaks: the lower of run-on and stall.
    pub(super) breaks_below: Band,
    /// Level that the outlet looks at when the siphon comes to its break level `[m]`.
    pub(super) tail: f64,
    /// Least inflow while the bed stands between lip and start.
    pub(super) at_start: Inflow,
    /// Greatest inflow at the break level.
    pub(super) at_break: Inflow,
    pub(super) will_start: Verdict,
    pub(super) will_break: Verdict,
    /// The run dribbles although window and inflow say that it starts.
    pub(super) dribbles_anyway: bool,
    /// The run cycles although its least inflow is below the whole start band.
    pub(super) starts_anyway: bool,
    /// The run breaks it against an inflow above the whole band, at a lower tail, say.
    pub(super) breaks_anyway: bool,
    /// An air leak that keeps it from priming, or may.
    pub(super) leak: Option<Leak>,
    /// A rim under the level at which it starts, or may start.
    pub(super) low_rim: Option<LowRim>,
}

/// A siphon that cannot have its start flow, or may not, before the bed spills.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LowRim {
    /// Least that runs over its lip with the bed at its rim `[m3/s]`.
    pub(super) passed: f64,
    /// Whether that keeps it from starting even in the best case.
    pub(super) certain: bool,
    /// Whether its slots do it: with nothing lost in them it would start for sure.
    pub(super) by_slots: bool,
}

/// An air leak into the bell that matters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Leak {
    /// Air that leaks in `[m3/s]`.
    pub(super) air: f64,
    /// Most that it primes against in every case `[m3/s]`.
    pub(super) bearable: f64,
    /// Whether it keeps the siphon from priming even in the best case.
    pub(super) certain: bool,
}

impl Judgement {
    pub(super) fn new(parts: &Parts, i: usize) -> Self {
        let bed = &parts.beds()[i];
        let outcome = &parts.run.beds[i];
        let tail = parts.tail_at_break(i, &parts.nominal[i]);
        let window = window_at(parts, bed, tail);
        let breaks_below = window.breaks_below();
        let at_start = inflow_at_start(parts, i);
        let at_break = inflow_at_break(parts, i);
        let leak = leak(parts, bed);
        let low_rim = low_rim(parts, i, window.start);
        let mut will_start = starts(at_start.flow, window.start);
        // Neither air nor rim is in the window, which knows flows alone.
        match leak {
            Some(leak) if leak.certain => will_start = Verdict::WillNot,
            Some(_) => will_start = at_best_uncertain(will_start),
            None => {}
        }
        match low_rim {
            Some(low) if low.certain => will_start = Verdict::WillNot,
            Some(_) => will_start = at_best_uncertain(will_start),
            None => {}
        }
        let mut will_break = breaks(at_break.flow, breaks_below);
        // The run has seen more than one moment and one tail: it may contradict a "will".
        let dribbles_anyway = outcome.regime_powered == Regime::Dribbles
            && will_start == Verdict::Will
            && parts.run.sump.ran_dry == 0.0;
        let starts_anyway =
            outcome.regime_powered == Regime::Cycles && will_start == Verdict::WillNot;
        let breaks_anyway = outcome.regime_powered == Regime::Cycles
            && will_break == Verdict::WillNot
            && at_break.met
            && !at_break.starved;
        if breaks_anyway {
            will_break = Verdict::Uncertain;
        }
        match outcome.regime_powered {
            Regime::Dribbles if dribbles_anyway => will_start = Verdict::Uncertain,
            Regime::Cycles if starts_anyway => will_start = Verdict::Uncertain,
            Regime::RunsOn | Regime::Stalls => will_break = at_best_uncertain(will_break),
            _ => {}
        }
        Self {
            window,
            breaks_below,
            tail,
            at_start,
            at_break,
            will_start,
            will_break,
            dribbles_anyway,
            starts_anyway,
            breaks_anyway,
            leak,
            low_rim,
        }
    }

    /// The public figures.
    pub(super) fn verdict(&self) -> BedVerdict {
        BedVerdict {
            start_flow: self.window.start,
            run_on_flow: self.window.run_on,
            stall_flow: self.window.stall,
            inflow_at_start: self.at_start.flow,
            inflow_at_break: self.at_break.flow,
            will_start: self.will_start,
            will_break: self.will_break,
        }
    }

    /// Whether no inflow both starts it and breaks it beyond doubt.
    pub(super) fn certain_window_is_empty(&self) -> bool {
        self.window.has_no_sure_inflow()
    }

    /// Whether stalling limits its inflow rather than running on.
    pub(super) fn stalls_first(&self) -> bool {
        self.window.stall.nominal <= self.window.run_on.nominal
    }
}

/// The window that bed `i` would have if it were built as `bed`.
pub(super) fn window_if(parts: &Parts, i: usize, bed: &Bed) -> InflowWindow {
    window_at(
        parts,
        bed,
        parts.tail_at_break(i, &nominal_law(parts.system, bed)),
    )
}

/// The window of `bed` with its outlet looking at `tail` `[m]`.
pub(super) fn window_at(parts: &Parts, bed: &Bed, tail: f64) -> InflowWindow {
    let (water, soft) = (&parts.system.water, &parts.system.coefficients);
    InflowWindow::new(bed, water, soft, tail)
}

/// Start against its band.
pub(super) fn starts(inflow: f64, start: Band) -> Verdict {
    if inflow >= start.high {
        Verdict::Will
    } else if inflow < start.low {
        Verdict::WillNot
    } else {
        Verdict::Uncertain
    }
}

/// Break against its band.
pub(super) fn breaks(inflow: f64, below: Band) -> Verdict {
    if inflow <= below.low {
        Verdict::Will
    } else if inflow > below.high {
        Verdict::WillNot
    } else {
        Verdict::Uncertain
    }
}

fn at_best_uncertain(verdict: Verdict) -> Verdict {
    if verdict == Verdict::Will {
        Verdict::Uncertain
    } else {
        verdict
    }
}

/// A pump that draws air stops the inflow; that is the sump's fault, so the
/// siphon is judged on what it gets just before.
fn inflow_at_start(parts: &Parts, i: usize) -> Inflow {
    let outcome = &parts.run.beds[i];
    let least = outcome
        .inflow_pumped
        .map_or(outcome.inflow_powered.min, |fed| fed.0);
    let seen = outcome.inflow_least_at_start;
    Inflow::new(parts, seen, least, before_the_air(parts, i))
}

/// The same at the other end: a siphon that breaks because its inflow fails
/// shows nothing of whether it breaks against it.
fn inflow_at_break(parts: &Parts, i: usize) -> Inflow {
    let outcome = &parts.run.beds[i];
    let most = outcome
        .inflow_pumped
        .map_or(outcome.inflow_powered.max, |fed| fed.1);
    let mut before = before_the_air(parts, i);
    if parts.run.sump.ran_dry > 0.0 {
        before = before.max(outcome.inflow.max).max(most);
    }
    Inflow::new(parts, outcome.inflow_most_at_break, most, before)
}

/// Inflow of bed `i` just before a pump that ran dry drew air; zero if none did `[m3/s]`.
fn before_the_air(parts: &Parts, i: usize) -> f64 {
    if parts.run.sump.ran_dry > 0.0 {
        parts.tree.duty(parts.dry_level()).bed_flows[i]
    } else {
        0.0
    }
}

/// Level at the edge of bed `i` at which its siphon, `law`, passes `flow` over its lip `[m]`.
fn level_over_lip(parts: &Parts, i: usize, law: &SiphonLaw, flow: f64) -> f64 {
    parts.at_edge(i, law.lip() + law.standing_head(flow), flow)
}

/// Whether bed `i`, built as `bed`, starts under its rim whatever the coefficients are.
pub(super) fn starts_under_rim(parts: &Parts, i: usize, bed: &Bed) -> bool {
    let law = extreme_law(parts.system, bed, Extreme::LeastDischarge);
    let start = window_if(parts, i, bed).start.high;
    level_over_lip(parts, i, &law, start) < bed.rim_level()
}

fn low_rim(parts: &Parts, i: usize, start: Band) -> Option<LowRim> {
    let (least, most) = (&parts.least[i], &parts.most[i]);
    let rim = parts.beds()[i].rim_level();
    let over_rim = |flow: f64| level_over_lip(parts, i, least, flow) - rim;
    if over_rim(start.high) < 0.0 {
        return None;
    }
    let slots = least.lost_in_slots(start.high);
    let without = least.lip() + least.standing_head(start.high) - slots;
    Some(LowRim {
        passed: brent(over_rim, 0.0, start.high, 1e-12).unwrap_or(0.0),
        certain: level_over_lip(parts, i, most, start.low) >= rim,
        by_slots: parts.at_edge(i, without, start.high) < rim,
    })
}

fn leak(parts: &Parts, bed: &Bed) -> Option<Leak> {
    let air = bed.siphon.bell.air_leak;
    let bore = bed.siphon.standpipe.bore;
    let froude = parts.start_froude(bed);
    let carry = parts.band(Coefficient::PrimingCarry);
    let per_froude = flow_at_froude(bore, 1.0);
    let bearable = carry.low * froude.low * per_froude;
    (air >= bearable && air > 0.0).then_some(Leak {
        air,
        bearable,
        certain: air >= carry.high * froude.high * per_froude,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_unfavourable_end_of_a_band_makes_it_sure() {
        let band = Band::new(1.0, 2.0, 3.0);
        assert_eq!(starts(3.0, band), Verdict::Will);
        assert_eq!(starts(2.9, band), Verdict::Uncertain);
        assert_eq!(starts(1.0, band), Verdict::Uncertain);
        assert_eq!(starts(0.9, band), Verdict::WillNot);
        assert_eq!(breaks(1.0, band), Verdict::Will);
        assert_eq!(breaks(1.1, band), Verdict::Uncertain);
        assert_eq!(breaks(3.0, band), Verdict::Uncertain);
        assert_eq!(breaks(3.1, band), Verdict::WillNot);
    }
}
