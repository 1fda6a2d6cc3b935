//! Lengths that leave the wanted dry layer, found on the full simulation.

use crate::assessment::level_allowance;
use crate::model::{CoefficientValues, System};
use crate::simulation::{Run, Sampling, SharedTables, SimulationError, Stepping, simulate_sharing};

/// A bed is at its answer when it has at most this much dry media to spare `[m]`.
const AT_ANSWER: f64 = 2e-5;
/// This much longer must fail, simulated `[m]`: the bracket around an answer.
const BRACKET: f64 = 1e-4;
/// And so must a whole millimetre more `[m]`.
const MILLIMETRE: f64 = 1e-3;
/// What a rough run leaves open of a dry layer, many times over `[m]`.
const ROUGH: f64 = 2e-5;
/// Least height between the lip and the openings, so that rounding down keeps some `[m]`.
const LEAST_STROKE: f64 = 2e-3;
/// Joint steps before they are given up.
const ROUNDS: usize = 12;
/// Times that joint steps are taken up again from a longer pipe that does.
const SWEEPS: usize = 6;
/// Steps down and up where the peaks jump.
const STEPS_DOWN: usize = 60;
const STEPS_UP: usize = 60;

/// Range in which the standpipe of a bed is sought, bed floor to lip `[m]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limits {
    /// The highest opening of the bell plus the error of levelling: a lip closer
    /// to it may in truth lie below it.
    pub(super) low: f64,
    /// The lip cannot be above the highest water, nor at the rim. Below `low`
    /// where the media have no room; `low` then counts.
    pub(super) high: f64,
}

impl Limits {
    fn clamp(&self, length: f64) -> f64 {
        length.min(self.high).max(self.low)
    }
}

/// Lengths of all beds with the run at these very lengths.
pub(super) struct Settled {
    pub(super) lengths: Vec<f64>,
    pub(super) run: Run,
    /// Whether every sought bed is at its answer or at an end of its range.
    pub(super) agreed: bool,
}

/// Simulates the beds of one system at any standpipe lengths.
pub(super) struct Solver<'a> {
    base: System,
    wanted: f64,
    allowance: Vec<f64>,
    limits: Vec<Limits>,
    tell: &'a mut dyn FnMut(usize),
    /// Simulations so far.
    pub(super) count: usize,
    tables: SharedTables,
    /// What was simulated last as described but for these lengths: steps begin where others ended.
    last: Option<(Vec<f64>, Run)>,
}

impl<'a> Solver<'a> {
    pub(super) fn new(system: &System, wanted: f64, tell: &'a mut dyn FnMut(usize)) -> Self {
        let mut base = system.clone();
        base.incidents.clear();
        let allowance: Vec<f64> = base
            .beds
            .iter()
            .map(|bed| level_allowance(&base.thresholds, bed))
            .collect();
        let error = base.thresholds.levelling_error;
        let limits = base
            .beds
            .iter()
            .zip(&allowance)
            .map(|(bed, allowance)| Limits {
                low: bed.siphon.bell.opening_height() + error.max(LEAST_STROKE),
                // A lip at the rim would spill before any water stood over it.
                high: (bed.media.depth - wanted - allowance).min(bed.rim_height - MILLIMETRE),
            })
            .collect();
        Self {
            base,
            wanted,
            allowance,
            limits,
            tell,
            count: 0,
            tables: SharedTables::default(),
            last: None,
        }
    }

    /// The system with nothing changed but its incidents left out.
    pub(super) fn base(&self) -> &System {
        &self.base
    }

    pub(super) fn limits(&self, i: usize) -> Limits {
        self.limits[i]
    }

    pub(super) fn allowance(&self, i: usize) -> f64 {
        self.allowance[i]
    }

    /// Standpipe lengths as described `[m]`.
    pub(super) fn present(&self) -> Vec<f64> {
        let beds = self.base.beds.iter();
        beds.map(|bed| bed.siphon.standpipe.lip_height).collect()
    }

    /// The run at these lengths with nominal coefficients.
    pub(super) fn look(&mut self, lengths: &[f64]) -> Result<Run, SimulationError> {
        if let Some((_, run)) = self.last.as_ref().filter(|(last, _)| last == lengths) {
            return Ok(run.clone());
        }
        let run = self.look_at(&self.at(lengths))?;
        self.last = Some((lengths.to_vec(), run.clone()));
        Ok(run)
    }

    /// The same with any coefficients, so closely that no tenth of a millimetre hangs on it.
    fn look_roughly(
        &mut self,
        lengths: &[f64],
        values: &CoefficientValues,
    ) -> Result<Run, SimulationError> {
        self.simulate(&self.at(lengths), values, Stepping::rough())
    }

    /// The run of a changed system with nominal coefficients.
    pub(super) fn look_at(&mut self, system: &System) -> Result<Run, SimulationError> {
        let values = self.base.coefficients.nominal();
        self.simulate(system, &values, Stepping::default())
    }

    fn simulate(
        &mut self,
        system: &System,
        values: &CoefficientValues,
        stepping: Stepping,
    ) -> Result<Run, SimulationError> {
        self.count += 1;
        (self.tell)(self.count);
        simulate_sharing(system, values, Sampling::None, stepping, &self.tables)
    }

    /// The system with standpipes of these lengths.
    pub(super) fn at(&self, lengths: &[f64]) -> System {
        let mut system = self.base.clone();
        for (bed, &length) in system.beds.iter_mut().zip(lengths) {
            bed.siphon.set_standpipe(length);
        }
        system
    }

    /// Dry media of bed `i` in excess of the wanted layer `[m]`; negative: too little.
    pub(super) fn spare(&self, run: &Run, i: usize) -> f64 {
        self.base.beds[i].dry_layer(run.beds[i].highest_water(), self.allowance[i]) - self.wanted
    }

    /// Moves the standpipes of `sought`, all together, by what each bed has too
    /// much or too little, until all are within `tolerance` on the dry side of what `look` shows.
    fn together(
        &mut self,
        mut lengths: Vec<f64>,
        sought: &[usize],
        tolerance: f64,
        look: impl Fn(&mut Self, &[f64]) -> Result<Run, SimulationError>,
    ) -> Result<Settled, SimulationError> {
        for &i in sought {
            lengths[i] = self.limits[i].clamp(lengths[i]);
        }
        let mut run = look(self, &lengths)?;
        for _ in 0..ROUNDS {
            let mut next = lengths.clone();
            for &i in sought {
                let spare = self.spare(&run, i);
                if !(0.0..=tolerance).contains(&spare) {
                    // The middle of what counts as there, so that a small error stays inside.
                    next[i] = self.limits[i].clamp(lengths[i] + spare - 0.5 * tolerance);
                }
            }
            if next == lengths {
                return Ok(Settled {
                    lengths,
                    run,
                    agreed: true,
                });
            }
            lengths = next;
            run = look(self, &lengths)?;
        }
        Ok(Settled {
            lengths,
            run,
            agreed: false,
        })
    }

    /// Lengths of the `sought` beds for other coefficients, from `lengths` on, to `tolerance` `[m]`.
    pub(super) fn settle_for(
        &mut self,
        values: &CoefficientValues,
        lengths: &[f64],
        sought: &[usize],
        tolerance: f64,
    ) -> Result<Settled, SimulationError> {
        self.together(lengths.to_vec(), sought, tolerance, |solver, lengths| {
            solver.look_roughly(lengths, values)
        })
    }

    /// Lengths of the `sought` beds with which every one leaves the wanted layer
    /// and none could be longer; a bed without such a length is at the lower end
    /// of its range. `agreed` is false where none was found.
    pub(super) fn settle(
        &mut self,
        lengths: Vec<f64>,
        sought: &[usize],
    ) -> Result<Settled, SimulationError> {
        let mut found = self.together(lengths, sought, AT_ANSWER, Self::look)?;
        for _ in 0..SWEEPS {
            if !found.agreed {
                return self.settle_rough(found, sought);
            }
            let mut longer_does = false;
            for &i in sought {
                if self.spare(&found.run, i) >= 0.0
                    && let Some(longer) = self.longer(&found, i, &[i])?
                {
                    longer_does = true;
                    found.lengths[i] = longer.lengths[i];
                }
            }
            if !longer_does {
                return Ok(found);
            }
            found = self.together(found.lengths, sought, AT_ANSWER, Self::look)?;
        }
        self.settle_rough(found, sought)
    }

    /// Where the beds' timing makes their peaks jump, so that joint steps wander:
    /// shortens whatever lacks dry media until all have it, then lengthens bed by
    /// bed as long as all keep it.
    fn settle_rough(
        &mut self,
        mut found: Settled,
        sought: &[usize],
    ) -> Result<Settled, SimulationError> {
        found.agreed = false;
        for _ in 0..STEPS_DOWN {
            let mut next = found.lengths.clone();
            for &i in sought {
                let spare = self.spare(&found.run, i);
                if spare < 0.0 {
                    next[i] = self.limits[i].clamp(next[i] + spare - 0.5 * AT_ANSWER);
                }
            }
            found.agreed = next == found.lengths;
            if found.agreed {
                break;
            }
            found.run = self.look(&next)?;
            found.lengths = next;
        }
        let mut steps_up = 0;
        while found.agreed {
            let before = steps_up;
            for &i in sought {
                if self.spare(&found.run, i) >= 0.0
                    && let Some(longer) = self.longer(&found, i, sought)?
                {
                    found = longer;
                    steps_up += 1;
                }
            }
            if steps_up == before {
                break;
            }
            found.agreed = steps_up < STEPS_UP;
        }
        Ok(found)
    }

    /// A run with a standpipe of bed `i` a little longer with which all of `watched` keep
    /// the layer, the other beds as they are; `None`: a whole millimetre and a tenth
    /// of one both are too much.
    fn longer(
        &mut self,
        found: &Settled,
        i: usize,
        watched: &[usize],
    ) -> Result<Option<Settled>, SimulationError> {
        let values = self.base.coefficients.nominal();
        // The larger first: where it does, the smaller need not be simulated.
        for step in [MILLIMETRE, BRACKET] {
            let mut lengths = found.lengths.clone();
            lengths[i] += step;
            if lengths[i] > self.limits[i].high {
                continue;
            }
            // Nearly always too much by far, which a rough run shows as well.
            let rough = self.look_roughly(&lengths, &values)?;
            if !self.all_have(-ROUGH, &rough, &lengths, watched) {
                continue;
            }
            let run = self.look(&lengths)?;
            if self.all_have(0.0, &run, &lengths, watched) {
                return Ok(Some(Settled {
                    lengths,
                    run,
                    agreed: true,
                }));
            }
        }
        Ok(None)
    }

    /// Whether all of `watched` have this much to spare `[m]`. A bed at its shortest cannot do better:
    /// it must not keep the others from their length.
    fn all_have(&self, spare: f64, run: &Run, lengths: &[f64], watched: &[usize]) -> bool {
        watched
            .iter()
            .all(|&j| self.spare(run, j) >= spare || lengths[j] <= self.limits[j].low)
    }
}
