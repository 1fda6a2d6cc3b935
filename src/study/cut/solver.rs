//! Lengths that leave the wanted dry layer, found on the full simulation.

use crate::assessment::level_allowance;
use crate::model::{CoefficientValues, System};
use crate::simulation::{Run, Sampling, SimulationError, simulate_with};

/// A bed is at its answer when it has at most this much dry media to spare `[m]`.
const AT_ANSWER: f64 = 2e-5;
/// This much longer must fail, simulated `[m]`: the bracket around an answer.
const BRACKET: f64 = 1e-4;
/// And so must a whole millimetre more `[m]`.
const MILLIMETRE: f64 = 1e-3;
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

    /// The run at these lengths.
    pub(super) fn look(
        &mut self,
        lengths: &[f64],
        values: &CoefficientValues,
    ) -> Result<Run, SimulationError> {
        let mut system = self.base.clone();
        for (bed, &length) in system.beds.iter_mut().zip(lengths) {
            bed.siphon.set_standpipe(length);
        }
        self.look_at(&system, values)
    }

    /// The run of a changed system.
    pub(super) fn look_at(
        &mut self,
        system: &System,
        values: &CoefficientValues,
    ) -> Result<Run, SimulationError> {
        self.count += 1;
        (self.tell)(self.count);
        simulate_with(system, values, Sampling::None)
    }

    /// Dry media of bed `i` in excess of the wanted layer `[m]`; negative: too little.
    pub(super) fn spare(&self, run: &Run, i: usize) -> f64 {
        self.base.beds[i].dry_layer(run.beds[i].highest_water(), self.allowance[i]) - self.wanted
    }

    /// Moves the standpipes of `sought`, all together, by what each bed has too
    /// much or too little, until all are within `tolerance` on the dry side.
    pub(super) fn together(
        &mut self,
        mut lengths: Vec<f64>,
        sought: &[usize],
        values: &CoefficientValues,
        tolerance: f64,
    ) -> Result<Settled, SimulationError> {
        for &i in sought {
            lengths[i] = self.limits[i].clamp(lengths[i]);
        }
        let mut run = self.look(&lengths, values)?;
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
            run = self.look(&lengths, values)?;
        }
        Ok(Settled {
            lengths,
            run,
            agreed: false,
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
        let values = self.base.coefficients.nominal();
        let mut found = self.together(lengths, sought, &values, AT_ANSWER)?;
        for _ in 0..SWEEPS {
            if !found.agreed {
                return self.settle_rough(found, sought, &values);
            }
            let mut longer_does = false;
            for &i in sought {
                let own = |solver: &Self, tried: &Settled| solver.spare(&tried.run, i) >= 0.0;
                if self.spare(&found.run, i) >= 0.0
                    && let Some(longer) = self.longer(&found, i, &values, own)?
                {
                    longer_does = true;
                    found.lengths[i] = longer.lengths[i];
                }
            }
            if !longer_does {
                return Ok(found);
            }
            found = self.together(found.lengths, sought, &values, AT_ANSWER)?;
        }
        self.settle_rough(found, sought, &values)
    }

    /// Where the beds' timing makes their peaks jump, so that joint steps wander:
    /// shortens whatever lacks dry media until all have it, then lengthens bed by
    /// bed as long as all keep it.
    fn settle_rough(
        &mut self,
        mut found: Settled,
        sought: &[usize],
        values: &CoefficientValues,
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
            found.run = self.look(&next, values)?;
            found.lengths = next;
        }
        // A bed at its shortest cannot do better: it must not keep the others from their length.
        let all = |solver: &Self, tried: &Settled| {
            sought.iter().all(|&j| {
                solver.spare(&tried.run, j) >= 0.0 || tried.lengths[j] <= solver.limits[j].low
            })
        };
        let mut steps_up = 0;
        while found.agreed {
            let before = steps_up;
            for &i in sought {
                if self.spare(&found.run, i) >= 0.0
                    && let Some(longer) = self.longer(&found, i, values, all)?
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

    /// A run with a standpipe of bed `i` a little longer with which `does` still
    /// holds, the other beds as they are; `None`: a whole millimetre and a tenth
    /// of one both are too much.
    fn longer(
        &mut self,
        found: &Settled,
        i: usize,
        values: &CoefficientValues,
        does: impl Fn(&Self, &Settled) -> bool,
    ) -> Result<Option<Settled>, SimulationError> {
        // The larger first: where it does, the smaller need not be simulated.
        for step in [MILLIMETRE, BRACKET] {
            let mut lengths = found.lengths.clone();
            lengths[i] += step;
            if lengths[i] > self.limits[i].high {
                continue;
            }
            let run = self.look(&lengths, values)?;
            let tried = Settled {
                lengths,
                run,
                agreed: true,
            };
            if does(self, &tried) {
                return Ok(Some(tried));
            }
        }
        Ok(None)
    }
}
