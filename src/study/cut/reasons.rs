//! Why a bed has no answer.

use crate::assessment::Subject;
use crate::assessment::{CheckId, Status, assess};
use crate::numerics::root::{Until, try_halve};
use crate::simulation::{Regime, SimulationError};
use crate::study::cut::answer::{ROUNDING, Stand, Study};
use crate::study::cut::pieces::Step;
use crate::study::cut::refusal::{Opening, Refusal};
use crate::study::cut::solver::Settled;

/// Lengths tried for one with which a bed cycles that does not at its answer.
const TRIES: u32 = 8;

impl Study<'_> {
    /// A bed whose wall is no higher than the openings: no lip at all can be over them.
    pub(super) fn no_room(&self, i: usize) -> Option<Refusal> {
        let bed = &self.solver.base().beds[i];
        let low = self.solver.limits(i).low;
        let wall = bed.rim_height;
        (low >= wall).then(|| self.too_shallow(i, self.wanted + self.solver.allowance(i) + low))
    }

    /// Depth of media with which the shortest standpipe of bed `i` leaves the
    /// wanted layer `[m]`, simulated with that depth as far as the wall goes;
    /// `at_shortest` is the run with the present depth.
    fn media_needed(&mut self, i: usize, at_shortest: &Settled) -> Result<f64, SimulationError> {
        let bed = &self.solver.base().beds[i];
        let wall = bed.rim_height;
        let mut needed = bed.media.depth - self.solver.spare(&at_shortest.run, i);
        // The rise while priming differs in gravel and in open water: once or
        // twice more settles it.
        for _ in 0..3 {
            let mut system = self.solver.at(&at_shortest.lengths);
            let bed = &mut system.beds[i];
            bed.media.depth = needed.min(wall);
            let (floor, allowance) = (bed.floor, self.solver.allowance(i));
            let run = self.solver.look_at(&system)?;
            needed = run.beds[i].highest_water() - floor + allowance + self.wanted;
        }
        Ok(needed)
    }

    /// The refusal for a bed that needs media of this depth `[m]`.
    fn too_shallow(&self, i: usize, needed: f64) -> Refusal {
        let bed = &self.solver.base().beds[i];
        let depth = bed.media.depth;
        let more_media = needed - depth;
        let wall = (needed - bed.rim_height).max(0.0);
        let lip = self.solver.limits(i).low - more_media;
        if lip <= 0.0 {
            return Refusal::MediaTooShallow {
                depth,
                needed,
                wall,
            };
        }
        let bell = &bed.siphon.bell;
        let opening = bell.opening_height();
        Refusal::LipBelowOpening {
            lip,
            opening,
            kind: if opening > bell.slots.height {
                Opening::AirTube
            } else {
                Opening::Slots
            },
            opening_at_most: opening - more_media,
            more_media,
            wall,
        }
    }

    /// Why bed `i` has no answer at the lengths found; `None`: it has.
    pub(super) fn refusal(
        &mut self,
        i: usize,
        found: &Settled,
    ) -> Result<Option<Refusal>, SimulationError> {
        let bed = &self.solver.base().beds[i];
        let outcome = &found.run.beds[i];
        let spare = self.solver.spare(&found.run, i);
        let length = found.lengths[i];
        let cycles = outcome.tends_to == Regime::Cycles;
        let has_broken = found.run.broke(i);
        if spare < -ROUNDING {
            if let Some(level) = bed.start_depth
                && found.run.beds[i].highest_water() <= bed.floor + level + ROUNDING
            {
                return Ok(Some(Refusal::StartLevelTooHigh {
                    level,
                    most: level + spare,
                }));
            }
            let shortest = length <= self.solver.limits(i).low;
            // A dribbling bed stands still at its peak: that alone tells the gravel it needs.
            if shortest && matches!(outcome.tends_to, Regime::Cycles | Regime::Dribbles) {
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

    pub(super) fn unsettled(&self, i: usize, found: &Settled) -> Refusal {
        let Stand {
            length, dry_layer, ..
        } = self.stand(found.lengths[i], &found.run, i);
        Refusal::Unsettled { length, dry_layer }
    }

    /// Wall over a dead siphon's water, as the check `rim` has it.
    fn rim(&self, i: usize, found: &Settled) -> Option<Refusal> {
        let system = self.solver.at(&found.lengths);
        let assessment = assess(&system, &found.run);
        let check = assessment.check(CheckId::Rim, Subject::Bed(i))?;
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
        let system = self.solver.at(&found.lengths);
        let regime = found.run.beds[i].tends_to;
        let about: &[CheckId] = match regime {
            Regime::Dribbles => &[CheckId::Starts],
            Regime::RunsOn | Regime::Stalls | Regime::Cycles => &[CheckId::Breaks],
            Regime::Overflows => &[CheckId::Breaks, CheckId::Rim],
            Regime::NeverFills | Regime::Unfinished => &[CheckId::PumpCover],
        };
        let assessment = assess(&system, &found.run);
        let check = about.iter().find_map(|id| {
            assessment.checks.iter().find(|check| {
                let own = check.subject == Subject::Bed(i) || *id == CheckId::PumpCover;
                check.id == *id && own && check.status != Status::Pass
            })
        });
        Ok(Refusal::NotCycling {
            regime,
            length: found.lengths[i],
            leaves_layer: self.solver.spare(&found.run, i) >= -ROUNDING,
            check: check.cloned().map(Box::new),
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
            found.run.beds[i].tends_to,
            Regime::Dribbles | Regime::Overflows
        ) {
            return Ok(None);
        }
        let low = self.solver.limits(i).low;
        let mut lengths = found.lengths.clone();
        let mut cycles = |study: &mut Self, length: f64| {
            lengths[i] = length;
            let run = study.solver.look(&lengths)?;
            Ok::<bool, SimulationError>(
                run.beds[i].tends_to == Regime::Cycles
                    && run.broke(i)
                    && study.solver.spare(&run, i) >= 0.0,
            )
        };
        let mut bad = found.lengths[i];
        let pitch = (bad - low) / f64::from(TRIES);
        for k in 1..=TRIES {
            let good = found.lengths[i] - pitch * f64::from(k);
            if cycles(self, good)? {
                let until = Until::Width(Step::Millimetre.metres());
                let (good, _) = try_halve((good, bad), until, |length| cycles(self, length))?;
                return Ok(Some(good));
            }
            bad = good;
        }
        Ok(None)
    }
}
