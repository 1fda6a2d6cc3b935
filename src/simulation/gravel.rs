//! From a bed's level to its guard's: what the gravel lets through to the siphon.

use crate::hydraulics::radial_inflow::RadialInflow;
use crate::hydraulics::water::Water;
use crate::model::Bed;
use crate::numerics::bicubic::BicubicGrid;
use crate::numerics::effort;
use crate::numerics::maths::Maths;
use crate::numerics::rising::RisingTable;
use crate::numerics::root::brent;
use crate::siphon::{SiphonLaw, gravel_way};
use std::sync::OnceLock;

/// Agreement of tabulated levels with solved ones `[m]`, or of roots of heads `[m^0.5]`.
const TOLERANCE: f64 = 1e-8;
/// The same over the error that one step may make, where that is coarser than usual.
const PER_STEP: f64 = 0.1;
/// Where the table for full bore ends between floor (0) and break level (1): steps try
/// far past the break.
const BELOW_BREAK: f64 = 0.3;
/// Heads over the lip, as shares of the one at which it drowns, from which its drowned
/// mouth and up to which its weir is tabulated: steps try no farther.
const BESIDE_DROWNING: [f64; 2] = [0.25, 4.0];
/// How far over the rim steps and beds that spill over it are told from a table `[m]`.
const OVER_RIM: f64 = 0.02;
/// A secant step this short leaves far less than rounding does `[m]`.
const CLOSE: f64 = 1e-10;
/// How far the table of mean depths reaches down from the rim and from the greatest flow,
/// and its patches each way; with these it tells the bed's level within 2e-8 m for gravel
/// of 6 mm and more (see the tests).
const SPAN_OF_DEPTHS: f64 = 60.0;
const SPAN_OF_FLOWS: f64 = 1000.0;
const PATCHES: usize = 40;
/// A table that has to agree less gets fewer patches, their error falling with the fourth power.
const FEWEST_PATCHES: usize = 12;
/// What a walk through the gravel costs, and a look into the table of walks (see [`effort`]).
const A_WALK: u64 = 80;
const TOLD: u64 = 6;
/// Loss goes about with this power of the flow; for guesses.
const POWER: f64 = 1.8;

/// The way through one bed's gravel, with the losses that a freely draining
/// siphon meets tabulated.
#[derive(Clone)]
pub(super) struct Gravel {
    way: RadialInflow,
    floor: f64,
    rim: f64,
    lip: f64,
    outlet: f64,
    tolerance: f64,
    /// While the lip acts as a weir and as a drowned mouth: root of the bed's level over
    /// the lip, by that of the guard's. Made when first needed: few lips drown.
    over_lip: [OnceLock<Option<RisingTable>>; 2],
    /// The same for beds that stand higher than the rim in their guards lets them.
    over_rim: [OnceLock<Option<RisingTable>>; 2],
    /// Running full: the bed's level, by the guard's.
    full: Option<RisingTable>,
    /// Whether the gravel feeds a siphon that runs full from the lip down to its break.
    feeds: bool,
    /// Depth in the bed `[m]` that just feeds an empty guard, by the root of the flow [m^1.5/s^0.5].
    into_empty: OnceLock<Option<RisingTable>>,
    /// Level in the bed `[m]` below which a freely draining siphon that runs full is starved:
    /// its guard is empty and the flow is what the gravel delivers.
    starves_below: f64,
    /// What a search against a tail uses: logarithm of the mean depth in the gravel `[m]`,
    /// by those of the depth beside the guard `[m]` and of the flow `[m3/s]`.
    mean: OnceLock<Option<BicubicGrid>>,
}

/// Flow through siphon and gravel `[m3/s]`, and the guard's level `[m]`.
pub(super) type Drawn = (f64, f64);

impl Gravel {
    /// `None` where no grain size is given.
    pub(super) fn new(bed: &Bed, water: &Water, law: &SiphonLaw, relative: f64) -> Option<Self> {
        let way = gravel_way(bed, water)?;
        let mut gravel = Self {
            way,
            floor: bed.floor,
            rim: bed.rim_level(),
            lip: law.lip(),
            outlet: law.outlet(),
            tolerance: TOLERANCE.max(PER_STEP * relative),
            over_lip: [OnceLock::new(), OnceLock::new()],
            over_rim: [OnceLock::new(), OnceLock::new()],
            full: None,
            feeds: false,
            into_empty: OnceLock::new(),
            starves_below: f64::NEG_INFINITY,
            mean: OnceLock::new(),
        };
        let empty = law.outlet().max(bed.floor);
        gravel.starves_below = gravel.bed_level(empty, law.full_flow(empty - law.outlet()));
        gravel.full = gravel.tabulate_full(law);
        let breaks = law.break_level(law.outlet());
        gravel.feeds = gravel
            .full
            .as_ref()
            .is_some_and(|table| table.reaches(gravel.lip) && table.argument(gravel.lip) > breaks);
        Some(gravel)
    }

    /// Level in the bed `[m]` that feeds `flow` `[m3/s]` to a guard at `guard_level` `[m]`.
    fn bed_level(&self, guard_level: f64, flow: f64) -> f64 {
        self.floor + self.way.bed_depth(guard_level - self.floor, flow)
    }

    /// The same from the table of mean depths.
    fn bed_level_told(&self, guard_level: f64, flow: f64) -> f64 {
        let mean = self.mean.get_or_init(|| self.tabulate_mean());
        let depth = guard_level - self.floor;
        if flow <= 0.0 {
            return guard_level;
        }
        let beside = self.way.beside(depth, flow);
        let told = mean
            .as_ref()
            .and_then(|table| table.value(beside.log_natural(), flow.log_natural()));
        self.floor
            + told.map_or_else(
                || self.way.bed_depth(depth, flow),
                |log| self.way.edge_depth(beside, flow, log.exponential()),
            )
    }

    fn tabulate_mean(&self) -> Option<BicubicGrid> {
        let deepest = self.rim - self.floor;
        let most = self.way.greatest_flow(deepest);
        let mean = |depth: f64, flow: f64| {
            self.way
                .mean_depth(depth.exponential(), flow.exponential())
                .log_natural()
        };
        BicubicGrid::new(
            mean,
            [
                (deepest / SPAN_OF_DEPTHS).log_natural(),
                (most / SPAN_OF_FLOWS).log_natural(),
            ],
            [deepest.log_natural(), most.log_natural()],
            self.patches(),
        )
    }

    fn patches(&self) -> usize {
        let looser = (self.tolerance / TOLERANCE).to_the(0.25);
        ((PATCHES as f64 / looser).ceil() as usize).max(FEWEST_PATCHES)
    }

    /// Most that the gravel delivers from `depth` `[m]` in the bed into an empty guard `[m3/s]`.
    fn greatest_flow(&self, depth: f64) -> f64 {
        let table = self.into_empty.get_or_init(|| {
            let most = self.way.greatest_flow(self.rim - self.floor).sqrt();
            let depth = |root: f64| self.way.bed_depth(0.0, root * root);
            RisingTable::new(depth, 0.0, most, self.tolerance)
        });
        match table {
            Some(table) if table.reaches(depth) => table.argument(depth).powi(2),
            _ => self.way.greatest_flow(depth),
        }
    }

    /// Where siphon and gravel agree with `level` `[m]` in the bed: the siphon draws
    /// `draw(guard level)`, rising, and nothing at or below `dry` `[m]`. `guess` is a
    /// guard level to start from.
    ///
    /// If no guard level passes the flow, the flow is what the gravel delivers. `free`: a
    /// stray step beyond a table, too rare to be worth the table of mean depths.
    fn settle(
        &self,
        level: f64,
        dry: f64,
        guess: f64,
        free: bool,
        draw: impl Fn(f64) -> f64,
    ) -> Drawn {
        let low = dry.max(self.floor);
        if level <= low {
            return (0.0, level);
        }
        let excess = |guard: f64| {
            let flow = draw(guard);
            let bed = if free {
                effort::spend(A_WALK);
                self.bed_level(guard, flow)
            } else {
                effort::spend(TOLD);
                self.bed_level_told(guard, flow)
            };
            bed - level
        };
        if let Some(guard) = secant(excess, guess, low, level) {
            return (draw(guard), guard);
        }
        let excess = |guard: f64| {
            effort::spend(A_WALK);
            self.bed_level(guard, draw(guard)) - level
        };
        if excess(low) >= 0.0 {
            return (self.greatest_flow(level - self.floor), low);
        }
        let guard = brent(excess, low, level, 1e-13).unwrap_or(level);
        (draw(guard), guard)
    }

    /// Spilling over the lip, as a weir or drowned, with the outlet under
    /// `submergence` `[m]` of water; `None` for whichever of the two passes less.
    pub(super) fn over_lip(
        &self,
        law: &SiphonLaw,
        drowned: Option<bool>,
        level: f64,
        submergence: f64,
    ) -> Drawn {
        let Some(drowned) = drowned else {
            let weir = self.over_lip(law, Some(false), level, submergence);
            return if weir.1 <= law.drowning_level(submergence) {
                weir
            } else {
                self.over_lip(law, Some(true), level, submergence)
            };
        };
        let draw = |guard: f64| law.lip_flow_on(drowned, guard, submergence);
        let dry = self.lip + submergence;
        // A back-siphon may have drawn the bed below its lip.
        if level <= dry {
            return (0.0, level);
        }
        let root = (level - dry).sqrt();
        let guess = match self.told_over_lip(law, drowned, root) {
            Some(table) => {
                let guard = dry + table.argument(root).powi(2);
                if submergence <= 0.0 {
                    return (draw(guard), guard);
                }
                guard
            }
            _ => level,
        };
        self.settle(level, dry, guess, submergence <= 0.0, draw)
    }

    /// Running full against `tail` `[m]`.
    pub(super) fn full(&self, law: &SiphonLaw, level: f64, tail: f64) -> Drawn {
        let draw = |guard: f64| law.full_flow(guard - tail);
        if tail <= self.outlet {
            if let Some(guard) = self.beyond_break(level) {
                return (draw(guard), guard);
            }
            let empty = tail.max(self.floor);
            if level > empty && level <= self.starves_below {
                return (self.greatest_flow(level - self.floor), empty);
            }
        }
        let guess = match &self.full {
            Some(table) if table.reaches(level) => {
                let guard = table.argument(level);
                if tail <= self.outlet {
                    return (draw(guard), guard);
                }
                let share = draw(guard) / law.full_flow(guard - self.outlet);
                level - (level - guard) * share.to_the(POWER)
            }
            _ => level,
        };
        self.settle(level, tail, guess, tail <= self.outlet, draw)
    }

    /// A guard level where a step tries a bed `level` `[m]` below the table, at which a siphon that
    /// the gravel feeds has broken: the table goes on smoothly, half way down to the outlet at
    /// most, so that steps over the break stay long.
    fn beyond_break(&self, level: f64) -> Option<f64> {
        if !self.feeds {
            return None;
        }
        let (guard, lowest, slope) = self.full.as_ref()?.bottom()?;
        let under = lowest - level;
        let room = 0.5 * (guard - self.outlet);
        (under > 0.0 && room > 0.0).then(|| {
            let fall = slope * under;
            guard - fall * room / (fall + room)
        })
    }

    /// The table that reaches this root of the bed's level over the lip.
    fn told_over_lip(&self, law: &SiphonLaw, drowned: bool, root: f64) -> Option<&RisingTable> {
        let drowns = law.drowning_level(0.0) - self.lip;
        let rim = self.rim - self.lip;
        let (least, most) = if drowned {
            (BESIDE_DROWNING[0] * drowns, f64::INFINITY)
        } else {
            (0.0, BESIDE_DROWNING[1] * drowns)
        };
        let branch = usize::from(drowned);
        let usual = self.over_lip[branch]
            .get_or_init(|| self.tabulate_lip(law, drowned, [least, rim.min(most)]))
            .as_ref()?;
        if usual.reaches(root) {
            return Some(usual);
        }
        if root * root < rim {
            return None;
        }
        self.over_rim[branch]
            .get_or_init(|| self.tabulate_lip(law, drowned, [rim, (rim + OVER_RIM).min(most)]))
            .as_ref()
            .filter(|table| table.reaches(root))
    }

    /// Between these heights of the guard's water over the lip `[m]`.
    fn tabulate_lip(
        &self,
        law: &SiphonLaw,
        drowned: bool,
        [least, most]: [f64; 2],
    ) -> Option<RisingTable> {
        let bed = |root: f64| {
            let guard = self.lip + root * root;
            let level = self.bed_level(guard, law.lip_flow_on(drowned, guard, 0.0));
            (level - self.lip).max(0.0).sqrt()
        };
        RisingTable::new(
            bed,
            least.max(0.0).sqrt(),
            most.max(0.0).sqrt(),
            self.tolerance,
        )
    }

    fn tabulate_full(&self, law: &SiphonLaw) -> Option<RisingTable> {
        let breaks = law.break_level(self.outlet);
        let bed = |guard: f64| self.bed_level(guard, law.full_flow(guard - self.outlet));
        let lowest = self.floor + BELOW_BREAK * (breaks - self.floor);
        RisingTable::new(bed, lowest, self.rim, self.tolerance)
    }
}

/// A root of `f`, rising and positive at `high`, by secants from `guess`; `None` where
/// they leave `(low, high]` or do not settle.
fn secant(f: impl Fn(f64) -> f64, guess: f64, low: f64, high: f64) -> Option<f64> {
    const MOST_STEPS: u32 = 12;
    let inside = |x: f64| x > low && x <= high;
    if !inside(guess) {
        return None;
    }
    let (mut last, mut f_last) = (guess, f(guess));
    // The bed follows the guard almost one to one.
    let mut x = last - f_last;
    for _ in 0..MOST_STEPS {
        if !inside(x) {
            return None;
        }
        if (x - last).abs() <= CLOSE {
            return Some(x);
        }
        let value = f(x);
        let next = x - value * (x - last) / (value - f_last);
        (last, f_last, x) = (x, value, next);
    }
    None
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

    use super::*;
    use crate::hydraulics::guard_openings::{GuardOpenings, SLOT_COEFFICIENT};
    use crate::hydraulics::packed_bed::GravelLaw;
    use crate::scenario::parse;

    const FLOOR: f64 = 1.0;
    const OUTLET: f64 = 0.5;

    /// Gravel of `grain` `[m]` round a guard 110 mm wide, as if before a siphon with its
    /// break level at 30 mm and its lip at 225 mm; nothing tabulated.
    fn gravel(grain: f64) -> Gravel {
        let clean = GravelLaw::Ergun
            .resistance(grain, 0.40, &Water::at(20.0).unwrap())
            .unwrap();
        let openings = GuardOpenings::new(60e-4, 0.30, SLOT_COEFFICIENT).unwrap();
        Gravel {
            way: RadialInflow::new(clean, 0.055, 0.5, Some(openings)).unwrap(),
            floor: FLOOR,
            rim: FLOOR + 0.35,
            lip: FLOOR + 0.225,
            outlet: OUTLET,
            tolerance: TOLERANCE,
            over_lip: [OnceLock::new(), OnceLock::new()],
            over_rim: [OnceLock::new(), OnceLock::new()],
            full: None,
            feeds: true,
            into_empty: OnceLock::new(),
            starves_below: f64::NEG_INFINITY,
            mean: OnceLock::new(),
        }
    }

    /// An orifice in place of the siphon.
    fn draw(guard: f64, tail: f64) -> f64 {
        5e-4 * (guard - tail).max(0.0).sqrt()
    }

    // The slots end inside the range: the table has a kink there to follow.
    #[test]
    fn a_table_tells_what_a_search_finds() {
        for grain in [0.006, 0.012, 0.020] {
            let gravel = gravel(grain);
            let bed = |guard: f64| gravel.bed_level(guard, draw(guard, OUTLET));
            let table = RisingTable::new(bed, FLOOR + 0.010, gravel.rim, TOLERANCE).unwrap();
            let mut met = 0;
            for i in 0..2000 {
                let level = FLOOR + 0.350 - 1.5e-4 * f64::from(i);
                if !table.reaches(level) {
                    continue;
                }
                let excess = |guard: f64| bed(guard) - level;
                let solved = brent(excess, FLOOR + 0.009, level, 0.0).unwrap();
                let told = table.argument(level);
                // An almost dry guard is ill defined: hold the bed's level against it there.
                let off = (bed(told) - level).abs();
                assert!(off < 4.0 * TOLERANCE, "{grain} {level}: {off}");
                if solved > FLOOR + 0.025 {
                    let off = (told - solved).abs();
                    assert!(off < 10.0 * TOLERANCE, "{grain} {level}: {off}");
                }
                met += 1;
            }
            assert!(met > 1500, "{met}");
        }
    }

    #[test]
    fn beyond_the_break_the_guard_goes_on_smoothly_and_stays_over_the_outlet() {
        let mut gravel = gravel(0.012);
        let bed = |guard: f64| gravel.bed_level(guard, draw(guard, OUTLET));
        let table = RisingTable::new(bed, FLOOR + 0.010, gravel.rim, TOLERANCE).unwrap();
        let (lowest_guard, lowest, slope) = table.bottom().unwrap();
        gravel.full = Some(table);
        assert_eq!(gravel.beyond_break(lowest + 1e-4), None);
        let guard = |under: f64| gravel.beyond_break(lowest - under).unwrap();
        let step = 1e-7;
        assert!(((lowest_guard - guard(step)) / step / slope - 1.0).abs() < 1e-4);
        let mut last = lowest_guard;
        for k in 1..=200 {
            let now = guard(1e-3 * f64::from(k));
            assert!(now < last && now > OUTLET, "{k}: {now}");
            last = now;
        }
    }

    #[test]
    fn what_an_empty_guard_is_fed_is_told_as_a_search_finds_it() {
        for grain in [0.006, 0.012, 0.020] {
            let gravel = gravel(grain);
            for k in 1..=340 {
                let depth = 1e-3 * f64::from(k);
                let (told, solved) = (gravel.greatest_flow(depth), gravel.way.greatest_flow(depth));
                let off = gravel.way.bed_depth(0.0, told) - depth;
                assert!(off.abs() < 4.0 * TOLERANCE, "{grain} {depth}: {off}");
                let share = (told / solved - 1.0).abs();
                assert!(share < 10.0 * TOLERANCE / depth, "{grain} {depth}: {share}");
            }
            assert!(gravel.into_empty.get().unwrap().is_some());
        }
    }

    #[test]
    fn a_looser_table_of_mean_depths_is_off_by_no_more_than_it_may() {
        for grain in [0.006, 0.012, 0.020] {
            for tolerance in [1e-7, 1e-6, 2e-6] {
                let mut gravel = gravel(grain);
                gravel.tolerance = tolerance;
                let mut worst = 0.0_f64;
                for i in 1..=60 {
                    let guard = FLOOR + 0.0075 + 5.2e-3 * f64::from(i);
                    for k in 1..=30 {
                        let flow = 2.6e-5 * f64::from(k);
                        let told = gravel.bed_level_told(guard, flow);
                        worst = worst.max((told - gravel.bed_level(guard, flow)).abs());
                    }
                }
                assert!(worst < 2.0 * tolerance, "{grain} {tolerance}: {worst}");
            }
        }
    }

    #[test]
    fn the_table_of_mean_depths_tells_the_walk() {
        for grain in [0.006, 0.012, 0.020] {
            let gravel = gravel(grain);
            let mut worst = 0.0_f64;
            for i in 1..=200 {
                let guard = FLOOR + 0.0075 + 1.6e-3 * f64::from(i);
                for k in 1..=60 {
                    let flow = 1.3e-5 * f64::from(k);
                    let off = gravel.bed_level_told(guard, flow) - gravel.bed_level(guard, flow);
                    worst = worst.max(off.abs());
                }
            }
            assert!(worst < 2e-8, "{grain}: {worst}");
            assert!(gravel.mean.get().unwrap().is_some());
        }
    }

    // A map's points with much inflow stand at their walls all the time: each look was a walk.
    #[test]
    fn a_bed_over_its_rim_is_told_without_a_walk() {
        let text = include_str!("../../scenarios/does-not-fit.toml");
        let system = parse(text, "does-not-fit.toml").unwrap().system;
        let (bed, water) = (&system.beds[0], &system.water);
        let law = SiphonLaw::new(bed, water, &system.coefficients.nominal());
        let gravel = Gravel::new(bed, water, &law, 0.0).unwrap();
        for drowned in [false, true] {
            for k in 0..=100 {
                let level = gravel.rim + 1.9e-4 * f64::from(k);
                let look = || gravel.over_lip(&law, Some(drowned), level, 0.0);
                let ((flow, guard), spent) = effort::of(look);
                assert_eq!(spent, 0, "{drowned} {level}");
                assert_eq!(flow, law.lip_flow_on(drowned, guard, 0.0));
                let off = (gravel.bed_level(guard, flow) - level).abs();
                assert!(off < 10.0 * TOLERANCE, "{drowned} {level}: {off}");
            }
        }
    }

    #[test]
    fn secants_find_what_a_bracket_finds_from_any_guess() {
        for grain in [0.006, 0.012] {
            let gravel = gravel(grain);
            for tail in [0.5, 0.8, 0.99, 1.02] {
                for level in [1.07, 1.10, 1.2, 1.32] {
                    let excess = |guard: f64| gravel.bed_level(guard, draw(guard, tail)) - level;
                    let low = tail.max(FLOOR);
                    let solved = brent(excess, low, level, 0.0).unwrap();
                    for share in [0.02, 0.5, 0.9, 1.0] {
                        let guess = low + share * (level - low);
                        let told =
                            gravel.settle(level, tail, guess, false, |guard| draw(guard, tail));
                        let off = (told.1 - solved).abs();
                        assert!(off < 5e-8, "{tail} {level} {share}: {off}");
                        assert_eq!(told.0, draw(told.1, tail));
                    }
                }
            }
        }
    }

    // A line that backs up ends below the bed's floor: the siphon would take more than fine
    // gravel lets through, its guard is empty, and it gets what just holds the bed at its level
    // round an empty guard.
    #[test]
    fn a_siphon_that_takes_more_than_the_gravel_gives_gets_what_it_gives() {
        for grain in [0.001, 0.003] {
            let gravel = gravel(grain);
            for level in [1.02, 1.05, 1.1] {
                let wants = |guard: f64| 100.0 * draw(guard, 0.8);
                let (flow, guard) = gravel.settle(level, 0.8, level, false, wants);
                assert_eq!(guard, FLOOR);
                assert!(flow < wants(FLOOR), "{flow}");
                let off = gravel.way.bed_depth(0.0, flow) - (level - FLOOR);
                assert!(off.abs() < 4.0 * TOLERANCE, "{grain} {level}: {off}");
            }
        }
    }
}
