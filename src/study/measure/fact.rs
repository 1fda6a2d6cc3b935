//! What people remember of a siphon: that it started, dribbled, broke or ran on at some flow.

use crate::numerics::maths::Maths;
use crate::study::measure::{BUCKET, Measurable};

/// How far one start or break of the same siphon differs from the next, share of the flow
/// `[-]`; ours, no measurement known: repeat it three to five times to see your own.
pub const SCATTER: f64 = 0.03;
/// Turns a logistic curve into nearly a normal one.
const LOGISTIC: f64 = 1.702;

/// What a siphon did at a flow that somebody timed. Each says on which side of an edge of
/// its window the flow lay, and no more.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FactKind {
    /// It started: the flow was enough.
    Started,
    /// It dribbled over the lip and did not start: the flow was too small.
    Dribbled,
    /// It broke when the bed had come down.
    Broke,
    /// It ran on and did not break.
    RanOn,
    /// With the outlet raised to the bed's floor it broke.
    RaisedBroke,
    /// With the outlet raised to the bed's floor it ran on.
    RaisedRanOn,
}

impl FactKind {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Started,
        Self::Dribbled,
        Self::Broke,
        Self::RanOn,
        Self::RaisedBroke,
        Self::RaisedRanOn,
    ];

    /// Name of its option on the command line and of its key in a file.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Started => "started-at",
            Self::Dribbled => "dribbled-at",
            Self::Broke => "broke-at",
            Self::RanOn => "ran-on-at",
            Self::RaisedBroke => "raised-broke-at",
            Self::RaisedRanOn => "raised-ran-on-at",
        }
    }

    /// The fact with its flow to follow, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Started => "started at",
            Self::Dribbled => "dribbled at",
            Self::Broke => "broke at",
            Self::RanOn => "ran on at",
            Self::RaisedBroke => "with its outlet raised broke at",
            Self::RaisedRanOn => "with its outlet raised ran on at",
        }
    }

    /// What it is, as one sentence without its full stop.
    pub const fn how(self) -> &'static str {
        match self {
            Self::Started => "an inflow at which the siphon started by itself",
            Self::Dribbled => {
                "an inflow at which water ran over the lip for ten minutes and the siphon did not \
                 start"
            }
            Self::Broke => "an inflow against which the siphon broke when the bed had come down",
            Self::RanOn => {
                "an inflow against which the siphon ran on at the bottom for two minutes and did \
                 not break"
            }
            Self::RaisedBroke => {
                "the same with the outlet raised to the bed's floor: an inflow against which it \
                 broke"
            }
            Self::RaisedRanOn => {
                "the same with the outlet raised to the bed's floor: an inflow against which it ran \
                 on"
            }
        }
    }

    /// The edge of the window that it speaks of.
    pub const fn edge(self) -> Measurable {
        match self {
            Self::Started | Self::Dribbled => Measurable::StartsAt,
            Self::Broke | Self::RanOn | Self::RaisedBroke | Self::RaisedRanOn => {
                Measurable::BreaksUpTo
            }
        }
    }

    /// Whether its flow was above that edge.
    pub const fn above(self) -> bool {
        matches!(self, Self::Started | Self::RanOn | Self::RaisedRanOn)
    }

    /// Whether the outlet was raised to the bed's floor for it.
    pub const fn is_raised(self) -> bool {
        matches!(self, Self::RaisedBroke | Self::RaisedRanOn)
    }

    /// What is seen on the other side of the same edge.
    pub const fn opposite(self) -> Self {
        match self {
            Self::Started => Self::Dribbled,
            Self::Dribbled => Self::Started,
            Self::Broke => Self::RanOn,
            Self::RanOn => Self::Broke,
            Self::RaisedBroke => Self::RaisedRanOn,
            Self::RaisedRanOn => Self::RaisedBroke,
        }
    }
}

/// One such fact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fact {
    /// Index of the bed.
    pub bed: usize,
    /// What it did.
    pub kind: FactKind,
    /// At this inflow `[m3/s]`.
    pub flow: f64,
    /// One standard deviation of the flow, the siphon's own scatter of 3 % included `[m3/s]`.
    pub sigma: f64,
}

impl Fact {
    /// A fact at a flow read with this spread, or the usual one of a bucket, 5 %.
    pub fn new(bed: usize, kind: FactKind, flow: f64, spread: Option<f64>) -> Self {
        let read = spread.unwrap_or(BUCKET * flow);
        Self {
            bed,
            kind,
            flow,
            sigma: read.hypotenuse(SCATTER * flow),
        }
    }

    /// Twice the negative logarithm of its likelihood where the edge lies at `edge`
    /// `[m3/s]`: nothing well inside, 1.4 at the edge, rising in proportion to the distance
    /// outside.
    pub fn deviance(&self, edge: f64) -> f64 {
        let beyond = (self.flow - edge) / self.sigma;
        side_deviance(if self.kind.above() { beyond } else { -beyond })
    }
}

/// Twice the negative logarithm of the chance that what lies `z` deviations on the right
/// side is seen there: of a logistic curve close to the normal one.
pub(in crate::study) fn side_deviance(z: f64) -> f64 {
    let z = LOGISTIC * z;
    if z > 0.0 {
        2.0 * (-z).exponential().log_natural_1p()
    } else {
        2.0 * (z.exponential().log_natural_1p() - z)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fact_costs_nothing_on_its_own_side_and_more_the_farther_off() {
        let started = Fact::new(0, FactKind::Started, 9.0, None);
        assert!((started.sigma - 9.0 * 0.05_f64.hypotenuse(0.03)).abs() < 1e-12);
        assert!(started.deviance(6.0) < 0.01);
        assert!((started.deviance(9.0) - 2.0 * std::f64::consts::LN_2).abs() < 1e-12);
        assert!(started.deviance(11.0) > 10.0);
        let dribbled = Fact::new(0, FactKind::Dribbled, 9.0, None);
        assert!(dribbled.deviance(11.0) < 0.01 && dribbled.deviance(6.0) > 10.0);
        for kind in FactKind::ALL {
            assert_eq!(kind.opposite().edge(), kind.edge());
            assert_ne!(kind.opposite().above(), kind.above());
        }
    }
}
