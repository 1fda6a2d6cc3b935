//! What one-sided facts leave of the bands of start and break: they cut, they do not centre.
//!
//! "Started at Q" leaves the start Froude numbers up to `Q / (A sqrt(g D))`, "dribbled at Q"
//! those above. "Ran on at Q" leaves sealed voids above `(H/Ld) (1 - (Q/Q_full)^2)` and air
//! velocities below `Q/A`, both; "broke at Q" leaves the rest, either. What is reported of the
//! last two is the narrowest band of each that holds every pair the facts leave.
//!
//! Flows are read with an error and a siphon scatters, so an edge is not a line: kept is
//! what explains the facts within [`KEPT`] of the best that the bands allow (a likelihood
//! region; Edwards, Likelihood, 1972, from memory).

use crate::hydraulics::constants::GRAVITY;
use crate::model::{Band, Bed, Coefficient, Coefficients, DrainLosses, System};
use crate::numerics::maths::Maths;
use crate::simulation::SimulationError;
use crate::siphon::{DownLeg, Extreme, SiphonLaw};
use crate::study::measure::{Fact, Measurable, outlook};

/// Deviance above the least up to which a value is kept.
const KEPT: f64 = 3.0;
/// Deviance of a single fact, where all together fit best, above which it disagrees.
const DISAGREES: f64 = 6.0;
/// Values tried between the ends of a band.
const STEPS: usize = 600;
/// Voids and velocities tried.
const GRID: (usize, usize) = (160, 20);
/// Places of the full-bore flow in its own doubt, in deviations.
const OFF: [f64; 9] = [-2.0, -1.5, -1.0, -0.5, 0.0, 0.5, 1.0, 1.5, 2.0];
/// Fitting losses over the table's: published K for one fitting differ by a factor of two.
const FITTINGS: (f64, f64) = (0.7, 1.4);
/// Share of a band that a cut must take away to count.
const CUTS: f64 = 0.003;

/// What facts leave.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cut {
    /// The bands that facts speak of, in the order of [`Coefficient::ALL`].
    pub bands: Vec<CutBand>,
    /// Facts that nothing within the bands explains, left out of the cut.
    pub disagreements: Vec<Disagreement>,
}

/// One band before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct CutBand {
    /// Of what.
    pub coefficient: Coefficient,
    /// As it was.
    pub before: Band,
    /// What is left; the nominal value stays unless it was cut away, then the middle.
    pub after: Band,
    /// The fact that moved the low end, by its place among the facts.
    pub low_by: Option<usize>,
    /// The fact that moved the high end.
    pub high_by: Option<usize>,
}

impl CutBand {
    /// Share of the band that is left.
    pub fn left(&self) -> f64 {
        let width = self.before.high - self.before.low;
        if width > 0.0 {
            (self.after.high - self.after.low) / width
        } else {
            1.0
        }
    }

    /// Whether anything was cut away.
    pub fn is_cut(&self) -> bool {
        self.left() < 1.0 - CUTS
    }
}

/// A fact that disagrees, and with what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Disagreement {
    /// Place among the facts.
    pub fact: usize,
    /// With what.
    pub against: Against,
}

/// What a fact disagrees with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// The credible band on this bore and outlet.
    Band,
    /// Another fact, by its place; nobody knows which of the two is wrong.
    Fact(usize),
    /// Several others that agree with one another.
    Others,
}

/// The siphons of a system, ready to be cut by facts.
#[derive(Debug, Clone)]
pub struct Cutter {
    coefficients: Coefficients,
    start: Band,
    pipes: Vec<Pipe>,
}

/// What one bed's facts are held against.
#[derive(Debug, Clone, Copy)]
struct Pipe {
    /// Flow at a start Froude number of one `[m3/s]`.
    per_froude: f64,
    leg: DownLeg,
    /// The same with the outlet raised to the bed's floor.
    raised: DownLeg,
    /// One standard deviation of the full-bore flow, as a share.
    doubt: f64,
}

impl Cutter {
    /// For `system` as described; its nominal run says what the outlets look at.
    ///
    /// The start Froude number is that of bed `first` in its own bore, as a scenario would
    /// give it.
    ///
    /// # Errors
    /// [`SimulationError`] when the simulation gives up.
    pub fn new(system: &System, first: usize) -> Result<Self, SimulationError> {
        let seen = outlook(system, &system.coefficients.nominal())?;
        let pipes = system
            .beds
            .iter()
            .enumerate()
            .map(|(i, bed)| Pipe::new(system, bed, seen.tail(i)))
            .collect();
        let bore = system
            .beds
            .get(first)
            .map_or(1.0, |bed| bed.siphon.standpipe.bore);
        Ok(Self {
            start: system.coefficients.start_froude(bore, &system.water),
            coefficients: system.coefficients.clone(),
            pipes,
        })
    }

    /// What `facts` leave. Facts of beds that are not there say nothing.
    pub fn cut(&self, facts: &[Fact]) -> Cut {
        let all: Vec<usize> = (0..facts.len())
            .filter(|&k| facts[k].bed < self.pipes.len())
            .collect();
        let edge = |wanted: Measurable| -> Vec<usize> {
            let of = |&&k: &&usize| facts[k].kind.edge() == wanted;
            all.iter().filter(of).copied().collect()
        };
        let mut disagreements = Vec::new();
        let mut bands = Vec::new();
        let start = Line::between(self.start);
        let wide = Line::between(wider(self.start, Coefficient::StartFroude));
        let kept = self.agreeing(facts, edge(Measurable::StartsAt), &start, &wide);
        disagreements.extend(kept.1);
        bands.extend(self.cut_line(facts, &kept.0, &start, 0));

        let plane = self.plane(false);
        let wide = self.plane(true);
        let kept = self.agreeing(facts, edge(Measurable::BreaksUpTo), &plane, &wide);
        disagreements.extend(kept.1);
        for axis in [0, 1] {
            bands.extend(self.cut_line(facts, &kept.0, &plane, axis));
        }
        Cut {
            bands,
            disagreements,
        }
    }

    fn plane(&self, wide: bool) -> Plane {
        let band = |which: Coefficient| {
            let band = self.coefficients[which];
            if wide { wider(band, which) } else { band }
        };
        Plane {
            void: band(Coefficient::SealedVoid),
            carry: band(Coefficient::AirCarryVelocity),
        }
    }

    /// What `some` facts cost at a place, each, and all together with what doubt about the
    /// full-bore flow costs: facts of one bed share that flow.
    fn costs(&self, facts: &[Fact], some: &[usize], place: Place) -> (Vec<f64>, f64) {
        let (void, carry) = match place {
            Place::Start(froude) => {
                let edge = |k: &usize| froude * self.pipes[facts[*k].bed].per_froude;
                let costs: Vec<f64> = some.iter().map(|k| facts[*k].deviance(edge(k))).collect();
                let sum = costs.iter().sum();
                return (costs, sum);
            }
            Place::Break { void, carry } => (void, carry),
        };
        let mut costs = vec![0.0; some.len()];
        let mut sum = 0.0;
        for (bed, pipe) in self.pipes.iter().enumerate() {
            let own: Vec<usize> = (0..some.len())
                .filter(|&i| facts[some[i]].bed == bed)
                .collect();
            let at = |off: f64| {
                let [limit, raised] = [pipe.leg, pipe.raised]
                    .map(|leg| breaks_up_to(leg, void, carry, (off * pipe.doubt).exponential()));
                own.iter().map(move |&i| {
                    let fact = &facts[some[i]];
                    fact.deviance(if fact.kind.is_raised() { raised } else { limit })
                })
            };
            let Some((off, least)) = OFF
                .into_iter()
                .map(|off| (off, off * off + at(off).sum::<f64>()))
                .min_by(|a, b| a.1.total_cmp(&b.1))
            else {
                continue;
            };
            for (&i, cost) in own.iter().zip(at(off)) {
                costs[i] = cost;
            }
            sum += least;
        }
        (costs, sum)
    }

    fn sum(&self, facts: &[Fact], some: &[usize], place: Place) -> f64 {
        self.costs(facts, some, place).1
    }

    /// Where `some` of the facts fit best.
    fn best(&self, facts: &[Fact], some: &[usize], places: &dyn Places) -> Option<(Place, f64)> {
        places
            .all()
            .into_iter()
            .map(|place| (place, self.sum(facts, some, place)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Those of `some` facts that a place explains together, and those that disagree.
    fn agreeing(
        &self,
        facts: &[Fact],
        mut some: Vec<usize>,
        places: &dyn Places,
        wide: &dyn Places,
    ) -> (Vec<usize>, Vec<Disagreement>) {
        let mut found = Vec::new();
        while let Some((place, _)) = self.best(facts, &some, places) {
            let costs = self.costs(facts, &some, place).0;
            let worst = some.iter().copied().zip(costs);
            let worst = worst.max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((worst, _)) = worst.filter(|(_, cost)| *cost > DISAGREES) else {
                break;
            };
            let mut against = self.against(facts, &some, worst, wide);
            some.retain(|&k| k != worst);
            if let Against::Fact(other) = against {
                let alike = |&k: &usize| facts[k].kind == facts[other].kind && k != other;
                if some.iter().any(alike) {
                    against = Against::Others;
                } else {
                    some.retain(|&k| k != other);
                }
            }
            found.push(Disagreement {
                fact: worst,
                against,
            });
        }
        (some, found)
    }

    /// Whether another fact contradicts `worst` wherever the coefficients are, or the band.
    fn against(&self, facts: &[Fact], some: &[usize], worst: usize, wide: &dyn Places) -> Against {
        let pair = |other: usize| {
            let both = [worst, other];
            let best = self.best(facts, &both, wide);
            (other, best.map_or(0.0, |(_, cost)| cost))
        };
        let opposed = some
            .iter()
            .copied()
            .filter(|&k| facts[k].kind == facts[worst].kind.opposite())
            .map(pair)
            .max_by(|a, b| a.1.total_cmp(&b.1));
        match opposed {
            Some((other, cost)) if cost > DISAGREES => Against::Fact(other),
            _ => Against::Band,
        }
    }

    /// What `some` facts leave of one axis of `places`.
    fn cut_line(
        &self,
        facts: &[Fact],
        some: &[usize],
        places: &dyn Places,
        axis: usize,
    ) -> Option<CutBand> {
        if some.is_empty() {
            return None;
        }
        let (coefficient, before) = places.axis(axis);
        let (low, high) = self.ends(facts, some, places, axis)?;
        // An end is the doing of the fact without which it lies farthest out.
        let by = |end: fn((f64, f64)) -> f64, moved: bool| -> Option<usize> {
            if !moved {
                return None;
            }
            let without = |k: usize| {
                let rest: Vec<usize> = some.iter().copied().filter(|&j| j != k).collect();
                let whole = (before.low, before.high);
                end(self.ends(facts, &rest, places, axis).unwrap_or(whole))
            };
            let here = end((low, high));
            some.iter()
                .map(|&k| (k, (without(k) - here).abs()))
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(k, _)| k)
        };
        let width = before.high - before.low;
        let low_moved = low - before.low > CUTS * width;
        let high_moved = before.high - high > CUTS * width;
        let low = if low_moved { low } else { before.low };
        let high = if high_moved { high } else { before.high };
        let nominal = if (low..=high).contains(&before.nominal) {
            before.nominal
        } else {
            0.5 * (low + high)
        };
        Some(CutBand {
            coefficient,
            before,
            after: Band::new(low, nominal, high),
            low_by: by(|ends| ends.0, low_moved),
            high_by: by(|ends| ends.1, high_moved),
        })
    }

    /// Lowest and highest value of one axis that is kept.
    fn ends(
        &self,
        facts: &[Fact],
        some: &[usize],
        places: &dyn Places,
        axis: usize,
    ) -> Option<(f64, f64)> {
        let all: Vec<(f64, f64)> = places
            .all()
            .into_iter()
            .map(|place| (place.along(axis), self.sum(facts, some, place)))
            .collect();
        let least = all.iter().map(|one| one.1).fold(f64::INFINITY, f64::min);
        let kept = all.into_iter().filter(|one| one.1 <= least + KEPT);
        kept.fold(None, |ends: Option<(f64, f64)>, (value, _)| {
            Some(ends.map_or((value, value), |(a, b)| (a.min(value), b.max(value))))
        })
    }
}

/// Greatest inflow against which a leg breaks, its full-bore flow `factor` times the nominal.
/// Above the full-bore flow the bed never comes down to its break level.
fn breaks_up_to(leg: DownLeg, void: f64, carry: f64, factor: f64) -> f64 {
    let leg = DownLeg {
        full_flow: factor * leg.full_flow,
        ..leg
    };
    leg.run_on_limit(void, carry).min(leg.full_flow)
}

impl Pipe {
    fn new(system: &System, bed: &Bed, tail: f64) -> Self {
        let bore = bed.siphon.standpipe.bore;
        let law = SiphonLaw::new(bed, &system.water, &system.coefficients.nominal());
        let leg = law.leg_at_break(tail);
        let mut higher = bed.clone();
        higher.siphon.drain.outlet = bed.floor;
        let raised = SiphonLaw::new(&higher, &system.water, &system.coefficients.nominal())
            .leg_at_break(tail.max(bed.floor));
        let flow = |extreme: Extreme, share: f64| {
            let mut bed = bed.clone();
            if let DrainLosses::Computed { k, .. } = &mut bed.siphon.drain.losses {
                *k *= share;
            }
            SiphonLaw::extreme(&bed, &system.water, &system.coefficients, extreme).stall_flow(tail)
        };
        let (least, most) = (
            flow(Extreme::LeastDischarge, FITTINGS.1),
            flow(Extreme::MostDischarge, FITTINGS.0),
        );
        Self {
            per_froude: leg.area * (GRAVITY * bore).sqrt(),
            leg,
            raised,
            doubt: if least > 0.0 && most > least {
                // From end to end are four deviations.
                0.25 * (most / least).log_natural()
            } else {
                0.0
            },
        }
    }
}

impl Cut {
    /// `coefficients` with what is left of the bands that were cut.
    pub fn applied(&self, coefficients: &Coefficients) -> Coefficients {
        let mut cut = coefficients.clone();
        for band in self.bands.iter().filter(|band| band.is_cut()) {
            cut.give(band.coefficient, band.after);
        }
        cut
    }

    /// The band of this coefficient, if facts spoke of it.
    pub fn of(&self, coefficient: Coefficient) -> Option<&CutBand> {
        self.bands.iter().find(|one| one.coefficient == coefficient)
    }

    /// Whether nothing was made of the fact at this place.
    pub fn calls_wrong(&self, fact: usize) -> bool {
        let mut found = self.disagreements.iter();
        found.any(|one| one.fact == fact || one.against == Against::Fact(fact))
    }

    /// Whether anything was cut away.
    pub fn has_cut(&self) -> bool {
        self.bands.iter().any(CutBand::is_cut)
    }
}

/// Values of the coefficients that facts of one edge depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Place {
    Start(f64),
    Break { void: f64, carry: f64 },
}

impl Place {
    fn along(self, axis: usize) -> f64 {
        match self {
            Self::Start(froude) => froude,
            Self::Break { void, .. } if axis == 0 => void,
            Self::Break { carry, .. } => carry,
        }
    }
}

/// All places within some bands.
trait Places {
    fn all(&self) -> Vec<Place>;
    fn axis(&self, axis: usize) -> (Coefficient, Band);
}

/// Start Froude numbers.
struct Line(Band);

impl Line {
    const fn between(band: Band) -> Self {
        Self(band)
    }
}

impl Places for Line {
    fn all(&self) -> Vec<Place> {
        spread(self.0, STEPS)
            .into_iter()
            .map(Place::Start)
            .collect()
    }

    fn axis(&self, _: usize) -> (Coefficient, Band) {
        (Coefficient::StartFroude, self.0)
    }
}

/// Sealed voids and air velocities.
struct Plane {
    void: Band,
    carry: Band,
}

impl Places for Plane {
    fn all(&self) -> Vec<Place> {
        let carries = spread(self.carry, GRID.1);
        let pairs = spread(self.void, GRID.0).into_iter().flat_map(|void| {
            let with = carries.clone().into_iter();
            with.map(move |carry| Place::Break { void, carry })
        });
        pairs.collect()
    }

    fn axis(&self, axis: usize) -> (Coefficient, Band) {
        if axis == 0 {
            (Coefficient::SealedVoid, self.void)
        } else {
            (Coefficient::AirCarryVelocity, self.carry)
        }
    }
}

fn spread(band: Band, steps: usize) -> Vec<f64> {
    let n = if band.high > band.low { steps } else { 0 };
    let share = |k: usize| {
        if n == 0 { 0.0 } else { k as f64 / n as f64 }
    };
    (0..=n)
        .map(|k| band.low + share(k) * (band.high - band.low))
        .collect()
}

/// As far as a scenario accepts the coefficient.
fn wider(band: Band, which: Coefficient) -> Band {
    let (least, most) = which.allowed();
    Band::new(least, band.nominal, most)
}
