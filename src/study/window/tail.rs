//! The level that each siphon's outlet looks at when its bed comes to the break level.

use crate::model::{Band, Bed, BedStorage, DrainTarget, System};
use crate::network::drain_line::DrainLineLaw;
use crate::simulation::Run;
use crate::siphon::{InflowWindow, SiphonLaw};

/// Rounds in which sump level and break levels are brought to agree.
const BREAK_ROUNDS: usize = 6;

/// What the siphons run into, with today's water.
pub(in crate::study) struct Receiver<'a> {
    system: &'a System,
    line: Option<DrainLineLaw>,
    laws: Vec<SiphonLaw>,
    outlets: Vec<f64>,
    /// Highest level of each bed in the run `[m]`.
    peaks: Vec<f64>,
    /// Lowest and highest sump level when each bed comes to its break level `[m]`.
    sump: Vec<(f64, f64)>,
}

impl<'a> Receiver<'a> {
    pub(in crate::study) fn new(system: &'a System, run: &Run) -> Self {
        let values = system.coefficients.nominal();
        let laws: Vec<SiphonLaw> = system
            .beds
            .iter()
            .map(|bed| SiphonLaw::new(bed, &system.water, &values))
            .collect();
        let mut receiver = Self {
            system,
            line: DrainLineLaw::new(system, &values),
            outlets: system
                .beds
                .iter()
                .map(|bed| bed.siphon.drain.outlet)
                .collect(),
            peaks: run.beds.iter().map(|bed| bed.highest_water()).collect(),
            laws,
            sump: Vec::new(),
        };
        receiver.sump = (0..system.beds.len())
            .map(|i| {
                let levels = run.beds[i].cycles.iter().map(|cycle| cycle.sump_level);
                let seen = levels.fold(None, |range: Option<(f64, f64)>, level| {
                    Some(range.map_or((level, level), |(a, b)| (a.min(level), b.max(level))))
                });
                seen.unwrap_or_else(|| receiver.by_volume(run, i))
            })
            .collect();
        receiver
    }

    /// The sump's range by volume: bed `i` at its break level, the others between
    /// theirs and their peaks.
    fn by_volume(&self, run: &Run, i: usize) -> (f64, f64) {
        let lost = run.sump.overflowed + run.beds.iter().map(|bed| bed.overflowed).sum::<f64>();
        let storages: Vec<BedStorage> = self.system.beds.iter().map(BedStorage::new).collect();
        let sump = &self.system.sump;
        let level = |volume: f64| sump.level_of(volume).min(sump.overflow_level);
        let (mut low, mut high) = (sump.start_level, sump.start_level);
        // Break levels depend a little on the sump's, through the dip at the slots.
        for _ in 0..BREAK_ROUNDS {
            let mut most = run.water_at_start - lost;
            let mut swing = 0.0;
            for (j, storage) in storages.iter().enumerate() {
                let at_break = storage.volume(self.laws[j].break_level(self.outlets[j].max(high)));
                most -= at_break;
                if j != i {
                    swing += (storage.volume(self.peaks[j]) - at_break).max(0.0);
                }
            }
            (low, high) = (level(most - swing), level(most));
        }
        (low, high)
    }

    /// Lowest and highest sump level at the break of bed `i` `[m]`.
    pub(in crate::study) fn sump_at_break(&self, i: usize) -> (f64, f64) {
        self.sump[i]
    }

    /// Lowest elevation of the outlet of `bed` at which more drop still gains `[m]`:
    /// the water it ends in, or the invert of the line.
    pub(in crate::study) fn lowest_outlet(&self, i: usize, bed: &Bed) -> f64 {
        let tail = self.tails(i, bed).1;
        match (&self.system.drain_line, &bed.siphon.drain.into) {
            // A line that drowns the outlet drowns a lower one more.
            (Some(_), DrainTarget::Line { .. }) if tail > bed.siphon.drain.outlet => tail,
            (Some(line), DrainTarget::Line { at }) => line.invert(*at),
            _ => self.sump[i].1.max(self.system.sump.floor),
        }
    }

    /// The siphon of bed `i` with nominal coefficients.
    pub(in crate::study) fn law(&self, i: usize) -> &SiphonLaw {
        &self.laws[i]
    }

    /// Lowest and highest level that the outlet looks at if bed `i` is built as
    /// `bed` `[m]`: lowest with its siphon running alone, highest with every
    /// siphon of the line drawing on a full bed.
    pub(in crate::study) fn tails(&self, i: usize, bed: &Bed) -> (f64, f64) {
        let (low, high) = self.sump[i];
        let outlet = bed.siphon.drain.outlet;
        match (&self.line, &bed.siphon.drain.into) {
            (Some(line), DrainTarget::Line { .. }) => {
                let law =
                    SiphonLaw::new(bed, &self.system.water, &self.system.coefficients.nominal());
                let mut outlets = self.outlets.clone();
                outlets[i] = outlet;
                let settled = |sump: f64, others: bool| {
                    let demand = |j: usize, tail: f64| {
                        if j == i {
                            law.stall_flow(tail)
                        } else if others {
                            self.laws[j].full_flow(self.peaks[j] - tail)
                        } else {
                            0.0
                        }
                    };
                    let mut flows = vec![0.0; outlets.len()];
                    let mut tails = outlets.clone();
                    line.settle(sump, &outlets, &demand, &mut flows, &mut tails);
                    tails[i]
                };
                (settled(low, false), settled(high, true))
            }
            _ => (outlet.max(low), outlet.max(high)),
        }
    }

    /// The window against the tail that narrows it most and against the one that
    /// leaves most, if bed `i` is built as `bed`.
    pub(in crate::study) fn windows(&self, i: usize, bed: &Bed) -> (InflowWindow, InflowWindow) {
        let (low, high) = self.tails(i, bed);
        let at = |tail| InflowWindow::new(bed, &self.system.water, &self.system.coefficients, tail);
        let one = at(low);
        if high <= low {
            return (one.clone(), one);
        }
        let other = at(high);
        // A higher tail narrows the window, but where an air tube gives up the
        // break level falls and with it the order.
        let both = |end: fn(f64, f64) -> f64| {
            let band = |a: Band, b: Band| {
                Band::new(
                    end(a.low, b.low),
                    end(a.nominal, b.nominal),
                    end(a.high, b.high),
                )
            };
            InflowWindow {
                start: one.start,
                run_on: band(one.run_on, other.run_on),
                stall: band(one.stall, other.stall),
            }
        };
        (both(f64::min), both(f64::max))
    }
}
