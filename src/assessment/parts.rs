//! What the assessment asks again and again, worked out once.

use crate::assessment::most_inflow::MostInflow;
use crate::hydraulics::radial_inflow::RadialInflow;
use crate::model::{Band, Bed, BedStorage, Coefficient, Disturbance, DrainTarget, System};
use crate::network::drain_line::DrainLineLaw;
use crate::network::supply::SupplyTree;
use crate::simulation::{Cycle, Event, EventKind, Regime, Run};
use crate::siphon::{Extreme, SiphonLaw, gravel_way};
use crate::units::UnitSystem;

/// A system and its run with every law at hand.
pub(super) struct Parts<'a> {
    pub(super) system: &'a System,
    pub(super) run: &'a Run,
    /// What lengths are cut with and pipes are bought by: only fixes ask.
    pub(super) tape: UnitSystem,
    pub(super) tree: SupplyTree,
    pub(super) storages: Vec<BedStorage>,
    pub(super) nominal: Vec<SiphonLaw>,
    pub(super) least: Vec<SiphonLaw>,
    pub(super) most: Vec<SiphonLaw>,
    /// Siphons' own outlets `[m]`.
    pub(super) outlets: Vec<f64>,
    /// Greatest flows that can come into beds and tank.
    pub(super) most_inflow: MostInflow,
    /// The way through each bed's gravel, where its grain is known.
    ways: Vec<Option<RadialInflow>>,
    pub(super) line: Option<DrainLineLaw>,
    /// The line with the roughest credible wall and entries square to it, blocked as far as any incident blocks it.
    pub(super) rough_line: Option<DrainLineLaw>,
    /// When the pump was left without power, and when it got it back, in order of time.
    power: Vec<Event>,
}

impl<'a> Parts<'a> {
    pub(super) fn new(system: &'a System, run: &'a Run, tape: UnitSystem) -> Self {
        let tree = SupplyTree::new(system);
        let extreme = |end| -> Vec<SiphonLaw> {
            system
                .beds
                .iter()
                .map(|bed| extreme_law(system, bed, end))
                .collect()
        };
        Self {
            system,
            run,
            tape,
            storages: system.beds.iter().map(BedStorage::new).collect(),
            nominal: system
                .beds
                .iter()
                .map(|bed| nominal_law(system, bed))
                .collect(),
            least: extreme(Extreme::LeastDischarge),
            most: extreme(Extreme::MostDischarge),
            outlets: system
                .beds
                .iter()
                .map(|bed| bed.siphon.drain.outlet)
                .collect(),
            most_inflow: MostInflow::new(system, &tree),
            ways: system
                .beds
                .iter()
                .map(|bed| gravel_way(bed, &system.water))
                .collect(),
            line: DrainLineLaw::new(system, &system.coefficients.nominal()),
            rough_line: rough_line(system),
            power: run
                .events
                .iter()
                .filter(|event| {
                    matches!(event.kind, EventKind::PumpStopped | EventKind::PumpStarted)
                })
                .copied()
                .collect(),
            tree,
        }
    }

    /// Beds in file order.
    pub(super) fn beds(&self) -> &'a [Bed] {
        &self.system.beds
    }

    /// How many beds.
    pub(super) fn count(&self) -> usize {
        self.system.beds.len()
    }

    /// Greatest flow that can come into bed `i` `[m3/s]`.
    pub(super) fn greatest_inflow(&self, i: usize) -> f64 {
        self.most_inflow.beds[i]
    }

    /// Level at the edge of bed `i` that sends `flow` through its gravel to a guard
    /// standing at `guard` `[m]`; the same where no grain is given.
    pub(super) fn at_edge(&self, i: usize, guard: f64, flow: f64) -> f64 {
        let floor = self.beds()[i].floor;
        match &self.ways[i] {
            Some(way) if guard.is_finite() => floor + way.bed_depth(guard - floor, flow),
            _ => guard,
        }
    }

    /// A soft coefficient's band.
    pub(super) fn band(&self, which: Coefficient) -> Band {
        self.system.coefficients[which]
    }

    /// Pipe Froude number at which the siphon of `bed` starts.
    pub(super) fn start_froude(&self, bed: &Bed) -> Band {
        let soft = &self.system.coefficients;
        soft.start_froude(bed.siphon.standpipe.bore, &self.system.water)
    }

    /// Whether bed `i` drains into the shared line.
    pub(super) fn on_line(&self, i: usize) -> bool {
        self.line.is_some() && matches!(self.beds()[i].siphon.drain.into, DrainTarget::Line { .. })
    }

    /// Sump level below which the pump draws air `[m]`.
    pub(super) fn dry_level(&self) -> f64 {
        self.system.pump.least_level()
    }

    /// Water in the sump at `level` `[m3]`.
    pub(super) fn sump_volume(&self, level: f64) -> f64 {
        self.system.sump.volume_at(level)
    }

    /// Sump level that holds `volume` `[m]`; its floor when there is none.
    pub(super) fn sump_level(&self, volume: f64) -> f64 {
        self.system.sump.level_of(volume)
    }

    /// Sump level when bed `i` comes to its break level `[m]`: the highest of the
    /// run's breaks, and the run's highest level where it never completed a cycle. What the
    /// sump rises to while the power is cut counts for neither: nothing comes in then
    /// against which a siphon could fail to break.
    pub(super) fn sump_level_at_break(&self, i: usize) -> f64 {
        self.run.beds[i]
            .cycles
            .iter()
            .filter(|cycle| !self.cut(cycle))
            .map(|cycle| cycle.sump_level)
            .reduce(f64::max)
            .unwrap_or(self.run.sump.highest_powered)
    }

    /// Level that the outlet of bed `i` looks at when this siphon, `law`, comes
    /// to its break level `[m]`, while beds that never stop draining go on and no
    /// other siphon runs.
    pub(super) fn tail_at_break(&self, i: usize, law: &SiphonLaw) -> f64 {
        match &self.line {
            Some(line) if self.on_line(i) => self.tail_in_line(line, i, law),
            _ => law.outlet().max(self.sump_level_at_break(i)),
        }
    }

    /// The same in a line other than the one that is there.
    pub(super) fn tail_in_line(&self, line: &DrainLineLaw, i: usize, law: &SiphonLaw) -> f64 {
        let mut outlets = self.outlets.clone();
        outlets[i] = law.outlet();
        let demand = |j: usize, tail: f64| {
            if j == i {
                law.stall_flow(tail)
            } else {
                self.endless_flow(j)
            }
        };
        settled_tails(line, self.sump_level_at_break(i), &outlets, &demand)[i]
    }

    /// What bed `j` drains without end while there is power `[m3/s]`; nothing if it cycles.
    pub(super) fn endless_flow(&self, j: usize) -> f64 {
        let outcome = &self.run.beds[j];
        match outcome.regime_powered {
            Regime::Cycles | Regime::NeverFills | Regime::Unfinished => 0.0,
            _ => outcome.inflow_powered.mean,
        }
    }

    /// Head over the lip of bed `i` that passes `flow` with the pipe not full,
    /// at the unfavourable end of the coefficients of slots and lip `[m]`.
    pub(super) fn highest_head(&self, i: usize, flow: f64) -> f64 {
        self.least[i].standing_head(flow)
    }

    /// Highest level of bed `i` in the run, first filling included `[m]`.
    pub(super) fn simulated_peak(&self, i: usize) -> f64 {
        let outcome = &self.run.beds[i];
        outcome.highest_water()
    }

    /// Mean time from break to break of bed `i` `[s]`, cycles that a power cut stretches left
    /// out where there are others; `None` without a complete cycle.
    pub(super) fn mean_period(&self, i: usize) -> Option<f64> {
        let cycles = &self.run.beds[i].cycles;
        let mean = |kept: &dyn Fn(&Cycle) -> bool| {
            let periods = cycles.iter().filter(|cycle| kept(cycle)).map(Cycle::period);
            let (count, sum) = periods.fold((0.0, 0.0), |(n, sum), period| (n + 1.0, sum + period));
            (count > 0.0).then(|| sum / count)
        };
        mean(&|cycle| !self.cut(cycle)).or_else(|| mean(&|_| true))
    }

    /// Mean inflow of bed `i`, without the cycles that a power cut stretches where the run
    /// has some and others: over the rest alone `[m3/s]`.
    pub(super) fn usual_inflow(&self, i: usize) -> f64 {
        let outcome = &self.run.beds[i];
        let (cut, whole): (Vec<&Cycle>, Vec<&Cycle>) =
            outcome.cycles.iter().partition(|cycle| self.cut(cycle));
        if cut.is_empty() || whole.is_empty() {
            return outcome.inflow.mean;
        }
        let water: f64 = whole.iter().map(|cycle| cycle.water).sum();
        water / whole.iter().map(|cycle| cycle.period()).sum::<f64>()
    }

    /// Whether the pump was without power during any of `cycle`.
    fn cut(&self, cycle: &Cycle) -> bool {
        let end = cycle.began + cycle.period();
        let mut switches = self.power.iter().filter(|event| event.time < end);
        switches
            .next_back()
            .is_some_and(|last| last.kind == EventKind::PumpStopped || last.time >= cycle.began)
    }
}

/// The drain line at its worst.
fn rough_line(system: &System) -> Option<DrainLineLaw> {
    let mut line = DrainLineLaw::new(system, &system.coefficients.line_at(|band| band.high))?;
    let blocked = system
        .incidents
        .iter()
        .filter_map(|incident| match incident.what {
            Disturbance::LineBlocked(share) => Some(share),
            _ => None,
        })
        .reduce(f64::max);
    if let Some(share) = blocked {
        line.narrow(1.0 - share);
    }
    Some(line)
}

/// The law of `bed` in `system` with nominal coefficients.
pub(super) fn nominal_law(system: &System, bed: &Bed) -> SiphonLaw {
    SiphonLaw::new(bed, &system.water, &system.coefficients.nominal())
}

/// The law of `bed` in `system` with its coefficients at one end of their bands.
pub(super) fn extreme_law(system: &System, bed: &Bed, end: Extreme) -> SiphonLaw {
    SiphonLaw::extreme(bed, &system.water, &system.coefficients, end)
}

/// Tails of all beds with the line settled against `demand`.
pub(super) fn settled_tails(
    line: &DrainLineLaw,
    sump_level: f64,
    outlets: &[f64],
    demand: &dyn Fn(usize, f64) -> f64,
) -> Vec<f64> {
    let mut flows = vec![0.0; outlets.len()];
    let mut tails = outlets.to_vec();
    line.settle(sump_level, outlets, demand, &mut flows, &mut tails);
    tails
}
