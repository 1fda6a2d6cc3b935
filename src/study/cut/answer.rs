//! From the solver's lengths to an answer or a refusal for each bed.

use crate::assessment::{Assessment, CheckId, Status, Verdict, assess};
use crate::model::{Bed, System};
use crate::simulation::{Regime, Run, SimulationError};
use crate::siphon::SiphonLaw;
use crate::study::cut::band::{LengthBand, widen};
use crate::study::cut::pieces::{CutList, Step, rounded};
use crate::study::cut::refusal::{Opening, Refusal};
use crate::study::cut::solver::{Settled, Solver, dry_layer, highest_opening, peak, set_length};
use crate::units::UnitSystem;

/// Thickest dry layer that may be asked for `[m]`.
pub const MOST_DRY_LAYER: f64 = 1.0;
/// Rounding down may move the beds' timing; this many steps further down at most.
const STEPS_DOWN: usize = 40;
/// A whole step this close above an answer is tried too `[m]`.
const NEAR_STEP: f64 = 1e-4;
/// Lengths tried for one with which a bed cycles that does not at its answer.
const TRIES: u32 = 8;
/// The dry layer counts as reached when this little is missing `[m]`.
const ROUNDING: f64 = 1e-9;

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
}

/// What was found for one bed.
#[derive(Debug, Clone)]
pub struct BedCut {
    /// Index of the bed.
    pub bed: usize,
    /// Taken off the dry layer for errors of level and surface tension `[m]`.
    pub allowance: f64,
    /// Its standpipe as the scenario has it.
    pub present: Stand,
    /// Its answer, or why there is none.
    pub answer: Result<Box<Cut>, Refusal>,
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
/// water while every bed cycles, or why there is none. Sentences carry their
/// figures in `units`; every number is SI and does not depend on them. `tell`
/// hears how many simulations have begun.
///
/// # Errors
/// [`CutError`] where the wish makes no sense or a simulation fails.
pub fn cut(
    system: &System,
    wish: &Wish,
    units: UnitSystem,
    tell: &mut dyn FnMut(usize),
) -> Result<Cuts, CutError> {
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
    // The check of the dry layer is to hold what is asked here.
    let mut system = system.clone();
    let limits = &mut system.thresholds;
    limits.dry_layer = wish.dry_layer;
    limits.dry_layer_least = limits.dry_layer_least.min(wish.dry_layer);
    let solver = Solver::new(&system, wish.dry_layer, tell);
    let asked: Vec<usize> = wish
        .only
        .map_or_else(|| (0..beds).collect(), |only| vec![only]);
    Ok(Study {
        solver,
        wanted: wish.dry_layer,
        units,
        refusals: vec![None; beds],
    }
    .answer(&asked)?)
}

struct Study<'a> {
    solver: Solver<'a>,
    wanted: f64,
    units: UnitSystem,
    refusals: Vec<Option<Refusal>>,
}

impl Study<'_> {
    fn answer(mut self, asked: &[usize]) -> Result<Cuts, SimulationError> {
        let values = self.solver.base().coefficients.nominal();
        let present_lengths = self.solver.present();
        let present_run = self.solver.look(&present_lengths, &values)?;
        let present: Vec<Stand> = asked
            .iter()
            .map(|&i| self.stand(present_lengths[i], &present_run, i))
            .collect();

        for &i in asked {
            self.refusals[i] = self.no_room(i);
        }
        let (found, in_millimetres, in_sixteenths) = loop {
            let found = self.settle_all(asked, &present_lengths)?;
            let sought = self.with_answer(asked);
            let millimetres = self.round(&found.lengths, &sought, Step::Millimetre)?;
            let sixteenths = self.round(&found.lengths, &sought, Step::Sixteenth)?;
            let mut short = millimetres.short.clone();
            short.extend(&sixteenths.short);
            if short.is_empty() {
                break (found, millimetres, sixteenths);
            }
            for i in short {
                self.refusals[i] = Some(self.unsettled(i, &found));
            }
        };
        let sought = self.with_answer(asked);
        let exact: Vec<Stand> = sought
            .iter()
            .map(|&i| self.stand(found.lengths[i], &found.run, i))
            .collect();
        let mut bands: Vec<LengthBand> = sought
            .iter()
            .map(|&i| LengthBand::at(found.lengths[i], found.run.beds[i].regime))
            .collect();
        widen(&mut self.solver, &found.lengths, &sought, &mut bands)?;

        // At the computed lengths, so that no verdict depends on the units.
        let system = self.at(&found.lengths);
        let assessment = assess(&system, &found.run, self.units);
        let mut cuts = Vec::new();
        for (k, &i) in sought.iter().enumerate() {
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
                    start_head: law.start_level(0.0) - law.lip(),
                    peak_spread: (high - low).max(0.0),
                    will_start: assessment.beds[i].will_start,
                    will_break: assessment.beds[i].will_break,
                },
            ));
        }
        let mut cuts = cuts.into_iter().peekable();
        let beds = asked
            .iter()
            .zip(present)
            .map(|(&i, present)| BedCut {
                bed: i,
                allowance: self.solver.allowance(i),
                present,
                answer: match (cuts.next_if(|(bed, _)| *bed == i), self.refusals[i].take()) {
                    (Some((_, cut)), _) => Ok(Box::new(cut)),
                    (None, Some(refusal)) => Err(refusal),
                    // Every bed asked about has one or the other.
                    (None, None) => Err(self.unsettled(i, &found)),
                },
            })
            .collect();
        Ok(Cuts {
            wanted: self.wanted,
            beds,
            system,
            run: found.run,
            assessment,
            simulations: self.solver.count,
        })
    }

    fn with_answer(&self, asked: &[usize]) -> Vec<usize> {
        asked
            .iter()
            .copied()
            .filter(|&i| self.refusals[i].is_none())
            .collect()
    }

    fn stand(&self, length: f64, run: &Run, i: usize) -> Stand {
        let bed = &self.solver.base().beds[i];
        Stand {
            length,
            peak: peak(run, i) - bed.floor,
            dry_layer: dry_layer(bed, run, i, self.solver.allowance(i)),
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

    /// A bed whose wall is no higher than the openings: no lip at all can be over them.
    fn no_room(&self, i: usize) -> Option<Refusal> {
        let bed = &self.solver.base().beds[i];
        let low = self.solver.limits(i).low;
        let wall = bed.rim - bed.floor;
        (low >= wall).then(|| self.too_shallow(i, self.wanted + self.solver.allowance(i) + low))
    }

    /// Depth of media with which the shortest standpipe of bed `i` leaves the
    /// wanted layer `[m]`, simulated with that depth as far as the wall goes;
    /// `at_shortest` is the run with the present depth.
    fn media_needed(&mut self, i: usize, at_shortest: &Settled) -> Result<f64, SimulationError> {
        let values = self.solver.base().coefficients.nominal();
        let bed = &self.solver.base().beds[i];
        let wall = bed.rim - bed.floor;
        let mut needed = bed.media.depth - self.solver.spare(&at_shortest.run, i);
        // The rise while priming differs in gravel and in open water: once or
        // twice more settles it.
        for _ in 0..3 {
            let mut system = self.at(&at_shortest.lengths);
            let bed = &mut system.beds[i];
            bed.media.depth = needed.min(wall);
            let (floor, allowance) = (bed.floor, self.solver.allowance(i));
            let run = self.solver.look_at(&system, &values)?;
            needed = peak(&run, i) - floor + allowance + self.wanted;
        }
        Ok(needed)
    }

    /// The refusal for a bed that needs media of this depth `[m]`.
    fn too_shallow(&self, i: usize, needed: f64) -> Refusal {
        let bed = &self.solver.base().beds[i];
        let depth = bed.media.depth;
        let more_media = needed - depth;
        let wall = (needed - (bed.rim - bed.floor)).max(0.0);
        let lip = self.solver.limits(i).low - more_media;
        if lip <= 0.0 {
            return Refusal::MediaTooShallow {
                depth,
                needed,
                wall,
            };
        }
        let opening = highest_opening(bed);
        Refusal::LipBelowOpening {
            lip,
            opening: opening - bed.floor,
            kind: if opening > bed.siphon.bell.slots.crown {
                Opening::AirTube
            } else {
                Opening::Slots
            },
            opening_at_most: opening - bed.floor - more_media,
            more_media,
            wall,
        }
    }

    /// Why bed `i` has no answer at the lengths found; `None`: it has.
    fn refusal(&mut self, i: usize, found: &Settled) -> Result<Option<Refusal>, SimulationError> {
        let bed = &self.solver.base().beds[i];
        let outcome = &found.run.beds[i];
        let spare = self.solver.spare(&found.run, i);
        let length = found.lengths[i];
        let cycles = outcome.regime == Regime::Cycles;
        let has_broken = outcome.inflow_most_at_break.is_some();
        if spare < -ROUNDING {
            if let Some(start) = bed.start_level
                && peak(&found.run, i) <= start + ROUNDING
            {
                let level = start - bed.floor;
                return Ok(Some(Refusal::StartLevelTooHigh {
                    level,
                    most: level + spare,
                }));
            }
            let shortest = length <= self.solver.limits(i).low;
            // A dribbling bed stands still at its peak: that alone tells the gravel it needs.
            if shortest && matches!(outcome.regime, Regime::Cycles | Regime::Dribbles) {
                let needed = self.media_needed(i, found)?;
                return Ok(Some(self.too_shallow(i, needed)));
            }
            if cycles {
                return Ok(Some(self.unsettled(i, found)));
            }
        }
        if !cycles {
            return Ok(Some(self.not_cycling(i, found)?));
        }
        if !has_broken {
            return Ok(Some(Refusal::TooShortRun {
                simulated: found.run.duration,
            }));
        }
        if !found.agreed {
            return Ok(Some(self.unsettled(i, found)));
        }
        Ok(self.rim(i, found))
    }

    fn unsettled(&self, i: usize, found: &Settled) -> Refusal {
        let Stand {
            length, dry_layer, ..
        } = self.stand(found.lengths[i], &found.run, i);
        Refusal::Unsettled { length, dry_layer }
    }

    /// The system at the lengths found.
    fn at(&self, lengths: &[f64]) -> System {
        let mut system = self.solver.base().clone();
        for (bed, &length) in system.beds.iter_mut().zip(lengths) {
            set_length(bed, length);
        }
        system
    }

    /// Wall over a dead siphon's water, as the check `rim` has it.
    fn rim(&self, i: usize, found: &Settled) -> Option<Refusal> {
        let system = self.at(&found.lengths);
        let assessment = assess(&system, &found.run, self.units);
        let name = &system.beds[i].name;
        let check = assessment
            .checks
            .iter()
            .find(|check| check.id == CheckId::Rim && check.subject == *name)?;
        (check.status == Status::Fail).then(|| {
            let length = found.lengths[i];
            // The water over a dead siphon's lip does not depend on where the lip is.
            let fits = length + check.margin;
            Refusal::RimTooLow {
                length,
                freeboard: check.value,
                wanted: check.limit,
                fits: (fits > self.solver.limits(i).low).then_some(fits),
            }
        })
    }

    fn not_cycling(&mut self, i: usize, found: &Settled) -> Result<Refusal, SimulationError> {
        let system = self.at(&found.lengths);
        let regime = found.run.beds[i].regime;
        let about: &[CheckId] = match regime {
            Regime::Dribbles => &[CheckId::Starts],
            Regime::RunsOn | Regime::Stalls | Regime::Cycles => &[CheckId::Breaks],
            Regime::Overflows => &[CheckId::Breaks, CheckId::Rim],
            Regime::NeverFills => &[CheckId::PumpCover],
        };
        let assessment = assess(&system, &found.run, self.units);
        let name = &system.beds[i].name;
        let check = about.iter().find_map(|id| {
            assessment.checks.iter().find(|check| {
                let own = check.subject == *name || *id == CheckId::PumpCover;
                check.id == *id && own && check.status != Status::Pass
            })
        });
        Ok(Refusal::NotCycling {
            regime,
            length: found.lengths[i],
            leaves_layer: self.solver.spare(&found.run, i) >= -ROUNDING,
            because: check.map_or_else(String::new, |check| check.because.clone()),
            first_fix: check.map_or_else(String::new, |check| check.first_fix.clone()),
            shorter: self.shorter_that_cycles(i, found)?,
        })
    }

    /// Longest standpipe below that of `found` with which bed `i` cycles, the
    /// others as they are, to the millimetre; looked for at a few lengths, then halved.
    fn shorter_that_cycles(
        &mut self,
        i: usize,
        found: &Settled,
    ) -> Result<Option<f64>, SimulationError> {
        // What never starts does so at no length: the start flow knows no lip.
        if matches!(
            found.run.beds[i].regime,
            Regime::Dribbles | Regime::Overflows
        ) {
            return Ok(None);
        }
        let values = self.solver.base().coefficients.nominal();
        let low = self.solver.limits(i).low;
        let mut lengths = found.lengths.clone();
        let mut cycles = |study: &mut Self, length: f64| {
            lengths[i] = length;
            let run = study.solver.look(&lengths, &values)?;
            Ok::<bool, SimulationError>(
                run.beds[i].regime == Regime::Cycles
                    && run.beds[i].inflow_most_at_break.is_some()
                    && study.solver.spare(&run, i) >= 0.0,
            )
        };
        let mut bad = found.lengths[i];
        let pitch = (bad - low) / f64::from(TRIES);
        for k in 1..=TRIES {
            let mut good = found.lengths[i] - pitch * f64::from(k);
            if cycles(self, good)? {
                while bad - good > Step::Millimetre.metres() {
                    let middle = 0.5 * (good + bad);
                    if cycles(self, middle)? {
                        good = middle
                    } else {
                        bad = middle
                    }
                }
                return Ok(Some(good));
            }
            bad = good;
        }
        Ok(None)
    }

    /// All sought beds rounded down together, and further down where the changed
    /// timing of the beds then takes from the wanted layer.
    fn round(
        &mut self,
        lengths: &[f64],
        sought: &[usize],
        step: Step,
    ) -> Result<AllRounded, SimulationError> {
        let values = self.solver.base().coefficients.nominal();
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
            let run = self.solver.look_at(&system, &values)?;
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

/// A system with every answer rounded.
struct AllRounded {
    lengths: Vec<f64>,
    system: System,
    run: Run,
    /// Beds that the rounding has left without the wanted layer.
    short: Vec<usize>,
}
