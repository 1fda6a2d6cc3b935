//! How a valve is to stand, and what keeps a bed outside its window.

use crate::hydraulics::valves::ValveKind;

/// What sets the inflow of a bed.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A valve in the branch.
    Valve {
        /// Its kind; a ball valve where one has to be fitted first.
        kind: ValveKind,
        /// Opening today, 0 to 1; `None`: there is no valve yet.
        now: Option<f64>,
        /// Opening to set, 0 to 1.
        opening: f64,
        /// Its loss coefficient there `[-]`.
        k: f64,
    },
    /// A branch without a valve that does as it is.
    Unvalved,
    /// A share of a steady flow, 0 to 1.
    Share {
        /// Share today.
        now: f64,
        /// Share to set.
        share: f64,
    },
    /// A flow set with bucket and stopwatch: the scenario gives no pipes.
    Measured {
        /// Flow today `[m3/s]`.
        now: f64,
    },
}

/// Something that keeps a bed outside its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shortfall {
    /// The bed has no inflow that starts it and breaks it: mend the siphon first.
    NoWindow {
        /// The bed.
        bed: usize,
    },
    /// The pump gives too little.
    Pump {
        /// Flow that it would have to give `[m3/s]`.
        flow: f64,
        /// Head that this takes `[m]`; `None` for a pump known by its flow only.
        head: Option<f64>,
        /// Head that it has at that flow, or the flow it gives where heads are unknown.
        has: f64,
    },
    /// A branch is too narrow, or its bed too high; with this bore today's pump would do.
    Branch {
        /// The bed.
        bed: usize,
        /// Bore today `[m]`.
        bore: f64,
        /// Least bore that would do `[m]`.
        needed: f64,
    },
    /// The pipe from the pump to the manifold is too narrow.
    Trunk {
        /// Bore today `[m]`.
        bore: f64,
        /// Least bore that would do `[m]`.
        needed: f64,
    },
    /// More comes than the beds can take, or the valves would be all but shut:
    /// a bypass to the sump would have to carry this much.
    Bypass {
        /// Flow back to the sump `[m3/s]`.
        flow: f64,
        /// Whether nothing else would do; else it only spares the valves.
        needed: bool,
    },
    /// Between the lowest and the highest sump level the inflow changes by more
    /// than the window is wide.
    Swing {
        /// The bed.
        bed: usize,
        /// Change of the inflow `[m3/s]`.
        swing: f64,
        /// Width of the window `[m3/s]`.
        width: f64,
    },
}

/// Smallest opening that a valve can be held at: where the published tables of
/// its loss end, 1/3 for a ball and 1/4 for a gate valve. Below, a touch of the
/// handle changes the flow by half.
pub const fn least_opening(kind: ValveKind) -> f64 {
    match kind {
        ValveKind::Ball => 1.0 / 3.0,
        ValveKind::Gate => 0.25,
    }
}
