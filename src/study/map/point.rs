//! What a bed does at one point of a map.

use crate::model::{Coefficient, CoefficientValues, Coefficients, Misfit};
use crate::simulation::{Regime, Run, RunEnd, SimulationError};

/// Which coefficient values a point is simulated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    /// The nominal values.
    Nominal,
    /// Everything that delays the start, raises the peak or helps the break.
    StartsLatest,
    /// Everything that hastens the start or hinders the break.
    BreaksHardest,
}

impl Corner {
    /// All of them, in the order of [`Simulated::regimes`].
    pub const ALL: [Self; 3] = [Self::Nominal, Self::StartsLatest, Self::BreaksHardest];

    /// The coefficient values of this corner.
    ///
    /// A siphon that breaks in both unfavourable corners breaks in every other:
    /// starting depends on the first group of coefficients only, breaking on the
    /// second only.
    pub fn values(self, soft: &Coefficients) -> CoefficientValues {
        use Coefficient as C;
        // Coefficients whose low end delays the start or helps the break, and
        // those whose high end does.
        const LOW: [C; 4] = [C::LipWeir, C::LipOrifice, C::PrimingCarry, C::CapTurn];
        const HIGH: [C; 2] = [C::StartFroude, C::SlotOrifice];
        const LOW_TOO: [C; 3] = [C::SealedVoid, C::AirCarryRatio, C::LineManning];
        const HIGH_TOO: [C; 2] = [C::SlotDip, C::AirCarryVelocity];
        let nominal = soft.nominal();
        if self == Self::Nominal {
            return nominal;
        }
        let late = self == Self::StartsLatest;
        let end = |which: C, low_when_late: bool| {
            let band = soft[which];
            if low_when_late == late {
                band.low
            } else {
                band.high
            }
        };
        let lows = LOW.into_iter().chain(LOW_TOO).map(|which| (which, true));
        let highs = HIGH.into_iter().chain(HIGH_TOO).map(|which| (which, false));
        lows.chain(highs).fold(nominal, |values, (which, low)| {
            values.with(which, end(which, low))
        })
    }
}

/// One point of a map.
#[derive(Debug, Clone, PartialEq)]
pub enum MapPoint {
    /// What the bed does.
    Simulated(Simulated),
    /// The parts do not fit each other.
    Unbuildable(Misfit),
    /// The simulation gave up.
    Failed(SimulationError),
}

/// What a bed does at one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Simulated {
    /// One regime for each [`Corner`].
    pub regimes: [Regime; 3],
}

/// What cannot be told at a point because the corners disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Doubt {
    /// Whether the siphon starts.
    pub start: bool,
    /// Whether it breaks once it has started.
    pub stop: bool,
    /// Whether water goes over the wall.
    pub spill: bool,
}

impl Doubt {
    /// Whether there is none.
    pub fn is_none(self) -> bool {
        self == Self::default()
    }
}

/// Whether a siphon in this regime has started.
pub(super) fn starts(regime: Regime) -> bool {
    matches!(regime, Regime::Cycles | Regime::RunsOn | Regime::Stalls)
}

impl Simulated {
    /// The regime with the nominal coefficients.
    pub fn nominal(&self) -> Regime {
        self.regimes[0]
    }

    /// What the corners disagree about. Running on and stalling count as one: it does not break.
    pub fn doubt(&self) -> Doubt {
        let split = |holds: &dyn Fn(Regime) -> bool, among: &dyn Fn(Regime) -> bool| {
            let mut asked = self
                .regimes
                .into_iter()
                .filter(|&regime| among(regime))
                .map(holds);
            asked
                .next()
                .is_some_and(|first| asked.any(|other| other != first))
        };
        let all = |_: Regime| true;
        let spills = |r: Regime| r == Regime::Overflows;
        Doubt {
            start: split(&starts, &|r| !spills(r)),
            stop: split(&|r| r == Regime::Cycles, &starts),
            spill: split(&spills, &all),
        }
    }

    /// Whether it cycles whatever the coefficients are within their bands.
    pub fn certainly_cycles(&self) -> bool {
        self.regimes == [Regime::Cycles; 3]
    }
}

/// The regime of bed `i` at the end of `run`.
///
/// A run that ended because its cycles agree does cycle, also where one phase of a
/// cycle takes so long that by itself it would count as standing.
pub fn lasting_regime(run: &Run, i: usize) -> Regime {
    match (run.ended, run.beds[i].tends_to) {
        (RunEnd::Settled { .. }, Regime::Dribbles | Regime::Stalls) => Regime::Cycles,
        (_, regime) => regime,
    }
}
