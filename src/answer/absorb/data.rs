//! Every figure of `absorb` under its key.

use crate::answer::absorb::{AbsorbReport, keys};
use crate::answer::oxygen::until_low;
use crate::answer::{At, Figure, account, status_key};
use crate::assessment::{SumpBounds, open_hole};
use crate::hydraulics::vessel::VesselShape;
use crate::study::absorb::{
    FillRange, Smallest, Stance, Standing, VesselKind, bed_swing, freeboard_level, nearest_run,
};

impl AbsorbReport<'_> {
    /// All figures.
    pub(super) fn all(&self) -> Vec<Figure> {
        let (at, absorb) = (At::top(self.units), self.absorb);
        let mut all = self.of_sump(&at.part("sump"));
        all.extend(account::figures(self.account, &at));
        all.extend(self.of_power_cut(&at.part("power_cut")));
        if let Some(found) = &absorb.together {
            let at = at.part("all_beds_together");
            all.extend([
                at.figure(&keys::ALL_BEFORE, found.before),
                at.figure(&keys::ALL_FROM_BEDS, found.from_beds),
                at.figure(&keys::ALL_FROM_PIPES, found.from_pipes),
                at.figure(&keys::ALL_AFTER, found.level),
                at.figure(&keys::ALL_SPILLED, found.spilled),
            ]);
        }
        all.extend(self.of_check_valve(&at.part("check_valve")));
        if let Some(run) = nearest_run(self.system) {
            let at = at.part("nearest_run");
            let bed = run.bed.and_then(|bed| self.system.beds.get(bed));
            all.extend(bed.map(|bed| at.word(&keys::NEAREST_BED, bed.name.as_str())));
            let fall = run.level - self.system.sump.overflow_level;
            all.push(at.figure(&keys::NEAREST_LEVEL, run.level));
            all.push(at.figure(&keys::NEAREST_FALL, fall));
            all.push(at.figure(&keys::HIGHEST_WATER, self.highest_water()));
        }
        let smallest = absorb.smallest.iter().enumerate();
        all.extend(smallest.flat_map(|(i, one)| self::smallest(&at.item("smallest", i), one)));
        let drum = at.part("drum");
        all.push(drum.figure(&keys::DRUM_DIAMETER, absorb.drum.diameter));
        all.push(drum.figure(&keys::DRUM_LENGTH, absorb.drum.length));
        all.push(drum.flag(&keys::IS_PRESENT, absorb.drum.is_present));
        let lower = self.lower_on_its_side();
        all.extend(lower.map(|by| drum.figure(&keys::LYING_LOWER, by)));
        let standings = absorb.standings.iter().enumerate();
        all.extend(standings.flat_map(|(i, one)| self.standing(&at.item("standings", i), one)));
        let wanted = self.wanted_growing_height();
        all.extend(wanted.map(|height| at.figure(&keys::WANTED, height)));
        for (i, check) in self.checks().enumerate() {
            let at = at.item(keys::CHECKS.name, i);
            all.push(at.word(&keys::CHECK_ID, check.id.key()));
            all.push(at.word(&keys::STATUS, status_key(check.status)));
            all.extend(self.because(i, check).figures().cloned());
        }
        let fish = self.assessment.garden.fish.as_ref();
        all.extend(fish.into_iter().flat_map(|fish| {
            let words = until_low(fish, &at.part(keys::FISH.name));
            words.figures().cloned().collect::<Vec<_>>()
        }));
        all
    }

    fn of_sump(&self, at: &At) -> Vec<Figure> {
        let (system, absorb) = (self.system, self.absorb);
        let (volumes, level) = (&absorb.volumes, &self.run.sump.level);
        let mut all = shape(&at.part("shape"), &system.sump.shape);
        all.push(at.count(&keys::COUNT, system.sump.count));
        all.extend([
            at.figure(&keys::START_LEVEL, system.sump.start_level),
            at.named(&keys::SIMULATED, "min", level.min),
            at.named(&keys::SIMULATED, "max", level.max),
            at.figure(&keys::LOW_VOLUME, volumes.low),
            at.figure(&keys::HIGH_VOLUME, volumes.high),
            at.figure(&keys::LOST, volumes.lost),
            at.figure(&keys::DRY_LEVEL, system.pump.least_level()),
            at.figure(&keys::FREEBOARD, freeboard_level(system)),
            at.figure(&keys::OVERFLOW, system.sump.overflow_level),
            at.figure(&keys::HOLDS, system.sump.joined().full_volume()),
            at.figure(
                &keys::LEFT,
                system.sump.overflow_level - volumes.bounds.high,
            ),
            at.figure(&keys::MOVES, volumes.high - volumes.low),
            at.figure(&keys::SWING, bed_swing(system, &volumes.beds)),
            at.figure(&keys::LACKING, self.lacking()),
        ]);
        let hole = open_hole(system);
        all.extend(hole.map(|hole| at.figure(&keys::HOLE, hole.level)));
        let raise = self.raise_float_valve();
        all.extend(raise.map(|by| at.figure(&keys::RAISE, by)));
        all.extend(self.float_valve.map(|level| at.figure(&keys::VALVE, level)));
        all.extend(bounds(&at.part("bounds"), &volumes.bounds));
        if let Some(found) = self.disturbed {
            let (at, alone) = (at.part("bounds_with_the_rest"), &volumes.bounds);
            all.extend(bounds(&at, &found.sump));
            all.extend([
                at.figure(&keys::LOW_CHANGE, found.sump.low - alone.low),
                at.figure(&keys::HIGH_CHANGE, found.sump.high - alone.high),
                at.figure(
                    &keys::DEAD_CHANGE,
                    found.sump.dead_siphons - alone.dead_siphons,
                ),
            ]);
        }
        let (free, at_free) = (&absorb.free, at.part("free_volume"));
        all.extend([
            at_free.figure(&keys::NEEDED_ABOVE, free.needed_above),
            at_free.figure(&keys::AVAILABLE_ABOVE, free.available_above),
            at_free.figure(&keys::NEEDED_BELOW, free.needed_below),
            at_free.figure(&keys::AVAILABLE_BELOW, free.available_below),
            at_free.figure(&keys::SPARE_ABOVE, free.spare_above()),
            at_free.figure(&keys::SPARE_BELOW, free.spare_below()),
        ]);
        all.extend(fill(&at.part("fill"), &absorb.fill));
        all
    }

    fn of_power_cut(&self, at: &At) -> Vec<Figure> {
        let Some(cut) = &self.absorb.power_cut else {
            return Vec::new();
        };
        let beds = cut.running.iter().filter_map(|i| self.system.beds.get(*i));
        let mut all = at.words(&keys::RUNNING, beds.map(|bed| bed.name.as_str()));
        all.extend([
            at.figure(&keys::TIME, cut.time),
            at.figure(&keys::BEFORE, cut.sump_before),
            at.figure(&keys::FROM_BEDS, cut.from_beds),
            at.figure(&keys::FROM_PIPES, cut.from_pipes),
            at.figure(&keys::AFTER, cut.level),
            at.figure(&keys::UNDER, self.system.sump.overflow_level - cut.level),
            at.figure(&keys::SPILLED, cut.spilled),
        ]);
        all.extend(
            cut.simulated
                .map(|level| at.figure(&keys::CUT_SIMULATED, level)),
        );
        all
    }

    fn of_check_valve(&self, at: &At) -> Vec<Figure> {
        let (absorb, back) = (self.absorb, &self.absorb.drain_back);
        let mut all = vec![
            at.flag(&keys::FITTED, self.system.pump.check_valve),
            at.figure(&keys::BACK_WITHOUT, back.without_check_valve),
            at.figure(&keys::BACK_WITH, back.with_check_valve),
            at.figure(&keys::BACK_SIPHON, back.back_siphon),
        ];
        all.extend(bounds(
            &at.part("bounds_without"),
            &absorb.without_check_valve,
        ));
        all.extend(bounds(&at.part("bounds_with"), &absorb.with_check_valve));
        all
    }

    fn standing(&self, at: &At, standing: &Standing) -> Vec<Figure> {
        let stance = match standing.stance {
            Stance::AsItIs => "as-it-is",
            Stance::Upright => "upright",
            Stance::Lying => "lying",
        };
        let (system, volumes) = (&standing.system, &standing.volumes);
        let verdict = if standing.passes { "pass" } else { "fail" };
        let mut all = vec![
            at.word(&keys::STANCE, stance),
            at.flag(&keys::STANDS_NOW, standing.is_present),
            at.word(&keys::RESULT, verdict),
            at.figure(&keys::TOP_LEVEL, system.sump.top()),
            at.figure(&keys::ITS_OVERFLOW, system.sump.overflow_level),
            at.figure(&keys::ITS_FREEBOARD, freeboard_level(system)),
            at.figure(&keys::ITS_DRY_LEVEL, system.pump.least_level()),
            at.figure(&keys::USABLE, standing.usable),
            at.figure(&keys::NEEDED, standing.needed),
            at.figure(&keys::SPARE, standing.spare()),
            at.figure(&keys::FLOAT_MOST, volumes.bounds.low),
            at.figure(&keys::JUDGED_AT, system.sump.start_level),
            at.figure(&keys::ITS_LOST, volumes.lost),
            at.figure(&keys::SHIFT, standing.shift),
        ];
        let outlet = nearest_run(self.system).map(|run| run.level - system.sump.overflow_level);
        all.extend(outlet.map(|fall| at.figure(&keys::OUTLET, fall)));
        all.extend(shape(&at.part("shape"), &system.sump.shape));
        all.extend(fill(&at.part("fill"), &standing.fill));
        all.extend(bounds(&at.part("bounds"), &volumes.bounds));
        if let Some(found) = &standing.simulated {
            let at = at.part("simulated");
            all.push(at.figure(&keys::RUN_LOW, found.low));
            all.push(at.figure(&keys::RUN_HIGH, found.high));
            all.extend(
                found
                    .after_cut
                    .map(|level| at.figure(&keys::RUN_CUT, level)),
            );
        }
        let height = standing.growing_height;
        all.extend(height.map(|height| at.figure(&keys::GROWING, height)));
        all.extend(standing.drums.map(|count| at.count(&keys::DRUMS, count)));
        all
    }
}

fn bounds(at: &At, of: &SumpBounds) -> [Figure; 3] {
    [
        at.figure(&keys::LOW, of.low),
        at.figure(&keys::HIGH, of.high),
        at.figure(&keys::DEAD, of.dead_siphons),
    ]
}

fn fill(at: &At, of: &FillRange) -> Vec<Figure> {
    let range = of.range();
    let mut all = vec![at.flag(&keys::PASSES, range.is_some())];
    all.extend(range.map(|(least, most)| at.figure(&keys::MIDDLE, 0.5 * (least + most))));
    all.extend(of.least.map(|level| at.figure(&keys::LEAST, level)));
    all.extend(of.most.map(|level| at.figure(&keys::MOST, level)));
    all
}

fn shape(at: &At, shape: &VesselShape) -> Vec<Figure> {
    let kind = |word: &str| at.word(&keys::KIND, word);
    let mut all = match shape {
        VesselShape::Box {
            length,
            width,
            depth,
        } => vec![
            kind("box"),
            at.figure(&keys::LENGTH, *length),
            at.figure(&keys::WIDTH, *width),
            at.figure(&keys::DEPTH, *depth),
        ],
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth,
        } => vec![
            kind("tapered"),
            at.figure(&keys::TOP_LENGTH, *top_length),
            at.figure(&keys::TOP_WIDTH, *top_width),
            at.figure(&keys::BOTTOM_LENGTH, *bottom_length),
            at.figure(&keys::BOTTOM_WIDTH, *bottom_width),
            at.figure(&keys::DEPTH, *depth),
        ],
        VesselShape::UprightCylinder { diameter, depth } => vec![
            kind("upright-cylinder"),
            at.figure(&keys::DIAMETER, *diameter),
            at.figure(&keys::DEPTH, *depth),
        ],
        VesselShape::LyingCylinder { diameter, length } => vec![
            kind("lying-cylinder"),
            at.figure(&keys::DIAMETER, *diameter),
            at.figure(&keys::LENGTH, *length),
        ],
        VesselShape::HalfDrum {
            length,
            width,
            depth,
        } => vec![
            kind("half-drum"),
            at.figure(&keys::LENGTH, *length),
            at.figure(&keys::WIDTH, *width),
            at.figure(&keys::DEPTH, *depth),
        ],
        VesselShape::Table { depth, area } => {
            let mut all = vec![kind("table")];
            all.extend(at.list(&keys::DEPTHS, depth.iter().copied()));
            all.extend(at.list(&keys::AREAS, area.iter().copied()));
            all
        }
    };
    all.push(at.figure(&keys::FULL, shape.full_volume()));
    all
}

fn smallest(at: &At, smallest: &Smallest) -> Vec<Figure> {
    let kind = match smallest.kind {
        VesselKind::Box => "box",
        VesselKind::Upright => "upright",
        VesselKind::Lying => "lying",
    };
    let mut all = vec![at.word(&keys::SMALLEST_KIND, kind)];
    if let Some(found) = &smallest.found {
        all.extend(shape(&at.part("shape"), &found.shape));
        all.extend(fill(&at.part("fill"), &found.fill));
        all.push(at.figure(&keys::SMALLEST_SHIFT, found.shift));
    }
    all
}
