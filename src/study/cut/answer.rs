//! From the solver's lengths to an answer or a refusal for each bed.

use crate::assessment::{Assessment, CheckId, Status, Subject, Verdict, assess};
use crate::model::{Bed, System};
use crate::numerics::effort;
use crate::simulation::{Regime, Run, SimulationError};
use crate::siphon::SiphonLaw;
use crate::study::cut::band::{LengthBand, widen};
use crate::study::cut::pieces::{CutList, Step, rounded};
use crate::study::cut::refusal::Refusal;
use crate::study::cut::solver::{Settled, Solver};
use crate::units::UnitSystem;

/// Thickest dry layer that may be asked for `[m]`.
pub const MOST_DRY_LAYER: f64 = 1.0;
/// Rounding down may move the beds' timing; this many steps further down at most.
const STEPS_DOWN: usize = 40;
/// Effort after which the search is given up, the run with the present lengths not counted: some
/// forty runs of a day of 128 beds by themselves.
const MOST_EFFORT: u64 = 4_000_000_000;
/// A whole step this close above an answer is tried too `[m]`.
const NEAR_STEP: f64 = 1e-4;
/// The dry layer counts as reached when this little is missing `[m]`.
pub(super) const ROUNDING: f64 = 1e-9;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// Dry media wanted over the highest water, the allowance for errors of level
    /// taken off `[m]`, 0 to [`MOST_DRY_LAYER`].
    pub dry_layer: f64,
    /// Index of the only bed to be cut, the others keep their length; `None`: all.
    pub only: Option<usize>,
}

/// One length and what it gives, simulated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stand {
    /// Bed floor to lip `[m]`.
    pub length: f64,
    /// Highest water above the bed's floor, first filling included `[m]`.
    pub peak: f64,
    /// Dry media above it, allowance taken off: the value of the check `dry-layer` `[m]`.
    pub dry_layer: f64,
}

/// A length rounded down to what a tape measure shows.
#[derive(Debug, Clone)]
pub struct Rounded {
    /// The length and what it gives with every cut bed rounded likewise.
    pub stand: Stand,
    /// The bed with this standpipe, its bell rounded too.
    pub bed: Bed,
    /// What to cut.
    pub list: CutList,
}

/// The answer for a bed that has one.
#[derive(Debug, Clone)]
pub struct Cut {
    /// The longest standpipe that leaves the wanted layer, to 0.1 mm.
    pub exact: Stand,
    /// Rounded down to whole millimetres.
    pub millimetre: Rounded,
    /// Rounded down to sixteenths of an inch.
    pub sixteenth: Rounded,
    /// Shortest and longest over the soft coefficients.
    pub band: LengthBand,
    /// Where the length that stands was kept: the longest that would leave the wanted layer, with
    /// which something else fails `[m]`.
    pub too_long: Option<f64>,
    /// Water over the lip at which priming begins, nominal, outlet free `[m]`.
    pub start_head: f64,
    /// How far the peaks of the run's cycles lie apart, because of other beds `[m]`.
    pub peak_spread: f64,
    /// Whether it starts with that length.
    pub will_start: Verdict,
    /// Whether it breaks with it.
    pub will_break: Verdict,
}

impl Cut {
    /// The rounding that a tape measure of these units shows.
    pub fn rounded(&self, units: UnitSystem) -> &Rounded {
        match Step::of(units) {
            Step::Millimetre => &self.millimetre,
            Step::Sixteenth => &self.sixteenth,
        }
    }

    /// Whether a standpipe of `now` `[m]` is as good as the one found: within what the formula itself
    /// leaves open, and longer by no more than a saw and its file miss. One much shorter leaves more dry,
    /// but floods less, and the one that stands cannot be made longer.
    pub fn is_as_good(&self, now: f64) -> bool {
        let length = self.exact.length;
        let shortest = self.band.shortest.map_or(length, |end| end.length);
        (shortest.min(length - SAWN)..=length + SAWN).contains(&now)
    }
}

/// A pipe sawn by hand and filed square is as long as it was marked within this; common practice, no
/// source `[m]`.
const SAWN: f64 = 2e-3;

/// What was found for one bed.
#[derive(Debug, Clone)]
pub struct BedCut {
    /// Index of the bed.
    pub bed: usize,
    /// Taken off the dry layer for errors of level and surface tension `[m]`.
    pub allowance: f64,
    /// Its standpipe as the scenario has it.
    pub present: Stand,
    /// Whether it starts and breaks with that.
    pub present_verdicts: [Verdict; 2],
    /// Whether it floods and drains with that, as the others are and as they are cut, leaves the wanted
    /// layer and has wall enough.
    pub present_does: bool,
    /// Its answer, or why there is none.
    pub answer: Result<Box<Cut>, Refusal>,
}

impl BedCut {
    /// Whether it has neither a length nor one that can stay.
    pub fn is_refused(&self) -> bool {
        self.answer.is_err() && !self.can_stay()
    }

    /// Whether it has no longest length, but what stands does.
    pub fn can_stay(&self) -> bool {
        matches!(self.answer, Err(Refusal::NotCycling { .. })) && self.present_does
    }
}

/// What was found for all beds asked about.
#[derive(Debug, Clone)]
pub struct Cuts {
    /// Dry layer asked for `[m]`.
    pub wanted: f64,
    /// Beds in file order.
    pub beds: Vec<BedCut>,
    /// The system with the computed lengths; beds without an answer and beds not
    /// asked about as they were.
    pub system: System,
    /// Its run.
    pub run: Run,
    /// What the checks say of it, with the asked dry layer for theirs.
    pub assessment: Assessment,
    /// Where the lengths that stand were kept: what the checks say of the longest that leave the layer.
    pub with_longest: Option<Assessment>,
    /// Simulations run.
    pub simulations: usize,
}

/// Why there is no answer at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CutError {
    /// A dry layer that nobody can mean.
    #[error("a dry layer must be between 0 and {most} m, not {asked} m")]
    DryLayer {
        /// Asked for `[m]`.
        asked: f64,
        /// Most `[m]`.
        most: f64,
    },
    /// No bed with this index.
    #[error("there is no bed number {index}; the system has {beds}")]
    NoSuchBed {
        /// Asked for, from zero.
        index: usize,
        /// Beds in the system.
        beds: usize,
    },
    /// A run had no answer.
    #[error(transparent)]
    Simulation(#[from] SimulationError),
}

/// The longest standpipe of each bed that leaves the wanted dry layer at peak
/// water while every bed cycles, or why there is none. `tell` hears how many simulations
/// have begun.
///
/// # Errors
/// [`CutError`] where the wish makes no sense or a simulation fails.
pub fn cut(system: &System, wish: &Wish, tell: &mut dyn FnMut(usize)) -> Result<Cuts, CutError> {
    if !(0.0..=MOST_DRY_LAYER).contains(&wish.dry_layer) {
        return Err(CutError::DryLayer {
            asked: wish.dry_layer,
            most: MOST_DRY_LAYER,
        });
    }
    let beds = system.beds.len();
    if let Some(index) = wish.only.filter(|&index| index >= beds) {
        return Err(CutError::NoSuchBed { index, beds });
    }
    let system = wishing(system, wish.dry_layer);
    let solver = Solver::new(&system, wish.dry_layer, tell);
    let asked: Vec<usize> = wish
        .only
        .map_or_else(|| (0..beds).collect(), |only| vec![only]);
    Ok(Study {
        solver,
        wanted: wish.dry_layer,
        refusals: vec![None; beds],
    }
    .answer(&asked)?)
}

/// `system` with a check of the dry layer that holds what is asked: `dry_layer` `[m]`.
pub fn wishing(system: &System, dry_layer: f64) -> System {
    let mut system = system.clone();
    let limits = &mut system.thresholds;
    limits.dry_layer = dry_layer;
    // What is asked for must not fail for being less than the usual least.
    limits.dry_layer_least = limits.dry_layer_least.min(dry_layer);
    system
}

pub(super) struct Study<'a> {
    pub(super) solver: Solver<'a>,
    pub(super) wanted: f64,
    refusals: Vec<Option<Refusal>>,
}

/// The system as it is.
struct Today {
    lengths: Vec<f64>,
    /// One for each bed asked about.
    stands: Vec<Stand>,
    /// Whether each floods and drains with that, leaves the wanted layer and has wall enough.
    does: Vec<bool>,
    assessment: Assessment,
}

impl Study<'_> {
    fn answer(mut self, asked: &[usize]) -> Result<Cuts, SimulationError> {
        let lengths = self.solver.present();
        let run = self.solver.look(&lengths)?;
        let assessment = assess(self.solver.base(), &run);
        let does = |&i: &usize| {
            let rim = assessment.check(CheckId::Rim, Subject::Bed(i));
            self.does(&run, i) && rim.is_none_or(|check| check.status != Status::Fail)
        };
        let today = Today {
            does: asked.iter().map(does).collect(),
            stands: asked
                .iter()
                .map(|&i| self.stand(lengths[i], &run, i))
                .collect(),
            assessment,
            lengths,
        };
        match effort::within(MOST_EFFORT, || self.solved(asked, &today)) {
            Err(SimulationError::TooMuch { .. }) => Ok(self.given_up(asked, today, run)),
            found => found,
        }
    }

    /// No bed has an answer, for finding them takes too long.
    fn given_up(&mut self, asked: &[usize], today: Today, run: Run) -> Cuts {
        let simulations = self.solver.count;
        for &i in asked {
            self.refusals[i].get_or_insert(Refusal::TooMuch { simulations });
        }
        Cuts {
            wanted: self.wanted,
            beds: self.found(asked, &today, Vec::new()),
            system: self.solver.base().clone(),
            run,
            assessment: today.assessment,
            with_longest: None,
            simulations,
        }
    }

    fn solved(&mut self, asked: &[usize], today: &Today) -> Result<Cuts, SimulationError> {
        // What no length can mend needs no simulation.
        for &i in asked {
            self.refusals[i] = self.no_room(i);
        }
        let (found, in_millimetres, in_sixteenths) = loop {
            let found = self.settle_all(asked, &today.lengths)?;
            let sought = self.with_answer(asked);
            let millimetres = self.round(&found.lengths, &sought, Step::Millimetre)?;
            let sixteenths = self.round(&found.lengths, &sought, Step::Sixteenth)?;
            let mut short = millimetres.short.clone();
            short.extend(&sixteenths.short);
            if short.is_empty() {
                break (found, millimetres, sixteenths);
            }
            // A bed that is given up goes back to its length, and that moves the others.
            for i in short {
                self.refusals[i] = Some(self.unsettled(i, &found));
            }
        };
        let sought = self.with_answer(asked);
        // At the computed lengths, so that no verdict depends on the units.
        let system = self.solver.at(&found.lengths);
        let assessment = assess(&system, &found.run);
        let longest = Found {
            settled: found,
            rounded: [in_millimetres, in_sixteenths],
            system,
            assessment,
        };
        let kept = self.kept(&sought, today, &longest)?;
        let too_long = |i: usize| kept.is_some().then_some(longest.settled.lengths[i]);
        let with_longest = kept.is_some().then(|| longest.assessment.clone());
        let too_long: Vec<Option<f64>> = sought.iter().map(|&i| too_long(i)).collect();
        let Found {
            settled: found,
            rounded: [in_millimetres, in_sixteenths],
            system,
            assessment,
        } = kept.unwrap_or(longest);
        let exact: Vec<Stand> = sought
            .iter()
            .map(|&i| self.stand(found.lengths[i], &found.run, i))
            .collect();
        let mut bands: Vec<LengthBand> = sought
            .iter()
            .map(|&i| LengthBand::at(found.lengths[i], found.run.beds[i].tends_to))
            .collect();
        if with_longest.is_none() {
            widen(&mut self.solver, &found.lengths, &sought, &mut bands)?;
        }
        let mut cuts = Vec::new();
        for (k, &i) in sought.iter().enumerate() {
            let values = system.coefficients.nominal();
            let law = SiphonLaw::new(&system.beds[i], &system.water, &values);
            let peaks = found.run.beds[i]
                .cycles
                .iter()
                .map(|cycle| cycle.peak_level);
            let (low, high) = peaks
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), peak| {
                    (low.min(peak), high.max(peak))
                });
            let rounded = |all: &AllRounded, step| Rounded {
                stand: self.stand(all.lengths[i], &all.run, i),
                bed: all.system.beds[i].clone(),
                list: CutList::of(&all.system.beds[i], step),
            };
            cuts.push((
                i,
                Cut {
                    exact: exact[k],
                    millimetre: rounded(&in_millimetres, Step::Millimetre),
                    sixteenth: rounded(&in_sixteenths, Step::Sixteenth),
                    band: bands[k],
                    too_long: too_long[k],
                    start_head: law.start_level(0.0) - law.lip(),
                    peak_spread: (high - low).max(0.0),
                    will_start: assessment.beds[i].will_start,
                    will_break: assessment.beds[i].will_break,
                },
            ));
        }
        let mut beds = self.found(asked, today, cuts);
        for one in &mut beds {
            // The others' lengths may have moved it.
            one.present_does &= one.answer.is_ok() || self.does(&found.run, one.bed);
        }
        Ok(Cuts {
            wanted: self.wanted,
            beds,
            system,
            run: found.run,
            assessment,
            with_longest,
            simulations: self.solver.count,
        })
    }

    /// The lengths that stand, where with them nothing fails and every bed has its layer, but something
    /// fails with the `longest`: whoever cuts those would have to shorten them again.
    fn kept(
        &mut self,
        sought: &[usize],
        today: &Today,
        longest: &Found,
    ) -> Result<Option<Found>, SimulationError> {
        let stands =
            today.assessment.verdict != Status::Fail && today.does.iter().all(|does| *does);
        if !stands || sought.is_empty() || longest.assessment.verdict != Status::Fail {
            return Ok(None);
        }
        let rounded = [
            self.round(&today.lengths, sought, Step::Millimetre)?,
            self.round(&today.lengths, sought, Step::Sixteenth)?,
        ];
        Ok(Some(Found {
            settled: Settled {
                lengths: today.lengths.clone(),
                run: self.solver.look(&today.lengths)?,
                agreed: true,
            },
            rounded,
            system: self.solver.base().clone(),
            assessment: today.assessment.clone(),
        }))
    }

    /// What is told of every bed asked about: of `cuts` where it is among them.
    fn found(&mut self, asked: &[usize], today: &Today, cuts: Vec<(usize, Cut)>) -> Vec<BedCut> {
        let mut cuts = cuts.into_iter().peekable();
        let beds = asked.iter().zip(today.stands.iter().zip(&today.does));
        beds.map(|(&i, (present, does))| BedCut {
            bed: i,
            allowance: self.solver.allowance(i),
            present: *present,
            present_verdicts: {
                let judged = &today.assessment.beds[i];
                [judged.will_start, judged.will_break]
            },
            present_does: *does,
            answer: match (cuts.next_if(|(bed, _)| *bed == i), self.refusals[i].take()) {
                (Some((_, cut)), _) => Ok(Box::new(cut)),
                (None, Some(refusal)) => Err(refusal),
                // Every bed asked about has one or the other.
                (None, None) => Err(Refusal::Unsettled {
                    length: present.length,
                    dry_layer: present.dry_layer,
                }),
            },
        })
        .collect()
    }

    /// Whether bed `i` floods and drains in this run and leaves the wanted layer.
    fn does(&self, run: &Run, i: usize) -> bool {
        let cycles = run.beds[i].tends_to == Regime::Cycles && run.broke(i);
        cycles && self.solver.spare(run, i) >= -ROUNDING
    }

    fn with_answer(&self, asked: &[usize]) -> Vec<usize> {
        asked
            .iter()
            .copied()
            .filter(|&i| self.refusals[i].is_none())
            .collect()
    }

    pub(super) fn stand(&self, length: f64, run: &Run, i: usize) -> Stand {
        let bed = &self.solver.base().beds[i];
        let highest = run.beds[i].highest_water();
        Stand {
            length,
            peak: highest - bed.floor,
            dry_layer: bed.dry_layer(highest, self.solver.allowance(i)),
        }
    }

    /// Solves for all beds; those that turn out to have no answer go back to
    /// their present length, and the others are solved again.
    fn settle_all(&mut self, asked: &[usize], present: &[f64]) -> Result<Settled, SimulationError> {
        let mut lengths = present.to_vec();
        loop {
            let sought = self.with_answer(asked);
            let found = self.solver.settle(lengths, &sought)?;
            lengths = found.lengths.clone();
            let mut refused = false;
            for &i in &sought {
                if let Some(refusal) = self.refusal(i, &found)? {
                    self.refusals[i] = Some(refusal);
                    lengths[i] = present[i];
                    refused = true;
                }
            }
            if !refused {
                return Ok(found);
            }
        }
    }

    /// All sought beds rounded down together, and further down where the changed
    /// timing of the beds then takes from the wanted layer.
    fn round(
        &mut self,
        lengths: &[f64],
        sought: &[usize],
        step: Step,
    ) -> Result<AllRounded, SimulationError> {
        let mut lengths = lengths.to_vec();
        for &i in sought {
            // The answer lies a little on the dry side; a whole step just above it may do.
            lengths[i] = step.down(lengths[i] + NEAR_STEP);
        }
        let mut left = STEPS_DOWN;
        loop {
            let mut system = self.solver.base().clone();
            for &i in sought {
                system.beds[i] = rounded(&system.beds[i], lengths[i], step);
            }
            let run = self.solver.look_at(&system)?;
            let short: Vec<usize> = sought
                .iter()
                .copied()
                .filter(|&i| self.solver.spare(&run, i) < -ROUNDING)
                .collect();
            if short.is_empty() || left == 0 {
                return Ok(AllRounded {
                    lengths,
                    system,
                    run,
                    short,
                });
            }
            left -= 1;
            for i in short {
                lengths[i] -= step.metres();
            }
        }
    }
}

/// Lengths of all beds, to the tapes' steps too, and what the checks say of them.
struct Found {
    settled: Settled,
    /// In millimetres and in sixteenths of an inch.
    rounded: [AllRounded; 2],
    system: System,
    assessment: Assessment,
}

/// A system with every answer rounded.
struct AllRounded {
    lengths: Vec<f64>,
    system: System,
    run: Run,
    /// Beds that the rounding has left without the wanted layer.
    short: Vec<usize>,
}
