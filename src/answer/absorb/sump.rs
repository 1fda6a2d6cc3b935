//! The sump as it is.

use crate::answer::absorb::{AbsorbReport, keys, up};
use crate::answer::sentence::keyed;
use crate::answer::{At, Figure, Key, Row, Text, account, between, said};
use crate::assessment::{Assessment, Check, CheckId, Status, SumpBounds, open_hole};
use crate::model::Sump;
use crate::report::{Say, or_over, shape_words};
use crate::study::absorb::{bed_swing, freeboard_level};

/// Levels nearer than this read as one `[m]`.
const SAME: f64 = 5e-5;
/// Dead siphons that bring the sump lower than its low bound by more are told `[m]`.
const NOTABLE: f64 = 5e-4;

impl AbsorbReport<'_> {
    /// Where it spills first if pipes come in through its wall, or why that is not asked.
    fn holes(&self) -> Text {
        let Some(hole) = open_hole(self.system) else {
            return match self.system.sump.sealed_entries {
                true => "sealed, as told".into(),
                false => "none: every pipe ends over its rim".into(),
            };
        };
        said!(
            "pipes end under its rim: {} is where it spills, unless the holes are sealed{}; laid on its \
             side or replaced it has them elsewhere",
            self.at_sump().figure(&keys::HOLE, hole.level),
            or_over(&hole)
        )
    }

    pub(super) fn sump_rows(&self) -> Vec<Row> {
        let at = self.at_sump();
        let (system, volumes) = (self.system, &self.absorb.volumes);
        let (bounds, level) = (&volumes.bounds, &self.run.sump.level);
        let (free, at_bounds) = (&self.absorb.free, at.part("bounds"));
        let mut rows = vec![
            Row::new("Vessel", self.vessel_words(&system.sump)),
            Row::new(
                "Filled to",
                said!(
                    "{} at the start",
                    at.figure(&keys::START_LEVEL, system.sump.start_level)
                ),
            ),
            Row::new(
                "In this run",
                between(
                    at.named(&keys::SIMULATED, "min", level.min),
                    "to",
                    at.named(&keys::SIMULATED, "max", level.max),
                ),
            ),
            Row::new(
                "Bounds",
                between(
                    at_bounds.figure(&keys::LOW, bounds.low),
                    "to",
                    at_bounds.figure(&keys::HIGH, bounds.high),
                )
                .and(", from volumes alone"),
            ),
            Row::new(
                "Limits",
                said!(
                    "pump draws air under {}; freeboard from {} up to the overflow at {}",
                    at.figure(&keys::DRY_LEVEL, system.pump.least_level()),
                    at.figure(&keys::FREEBOARD, freeboard_level(system)),
                    at.figure(&keys::OVERFLOW, system.sump.overflow_level)
                ),
            ),
            Row::new(
                "Room above",
                self.room(
                    (&keys::NEEDED_ABOVE, free.needed_above),
                    (&keys::AVAILABLE_ABOVE, free.available_above),
                    (&keys::SPARE_ABOVE, free.spare_above()),
                ),
            ),
            Row::new(
                "Water below",
                self.room(
                    (&keys::NEEDED_BELOW, free.needed_below),
                    (&keys::AVAILABLE_BELOW, free.available_below),
                    (&keys::SPARE_BELOW, free.spare_below()),
                ),
            ),
            Row::new(
                "What moves",
                said!(
                    "{}: {} in the beds between lowest and highest water, the rest in pipes, \
                     bells and line",
                    at.figure(&keys::MOVES, volumes.high - volumes.low),
                    at.figure(&keys::SWING, bed_swing(system, &volumes.beds))
                ),
            ),
            Row::new("Holes", self.holes()),
            Row::new("Fill it to", self.fill(&at.part("fill"), &self.absorb.fill)),
            Row::new("Float valve at", self.valve_words()),
        ];
        if bounds.dead_siphons < bounds.low - NOTABLE {
            let ends = if bounds.dead_siphons < system.pump.least_level() {
                "; the pump runs dry"
            } else {
                ""
            };
            let text = said!(
                "with none starting the sump falls to {}{}",
                at_bounds.figure(&keys::DEAD, bounds.dead_siphons),
                ends
            );
            rows.push(Row::new("Dead siphons", text));
        }
        let rest = self.disturbed.map(|found| self.rest_words(found));
        rows.extend(rest.map(|text| Row::new("With the rest", text)));
        rows
    }

    /// Volume needed and there.
    fn room(&self, needed: (&Key, f64), there: (&Key, f64), spare: (&Key, f64)) -> Text {
        let at = self.at_sump().part("free_volume");
        let (spare, left) = spare;
        let side = if left >= 0.0 { "to spare" } else { "short" };
        let verdict = said!("{} {}", unsigned(&at, spare, left), side);
        let shown = self.units.volume(there.1.max(0.0));
        said!(
            "{} needed, {} there: {}",
            at.figure(needed.0, needed.1),
            at.shown(there.0, there.1, shown),
            verdict
        )
    }

    /// How the bounds of the whole scenario differ from those of beds and pipes alone.
    fn rest_words(&self, found: &Assessment) -> Text {
        let at = self.at_sump().part("bounds_with_the_rest");
        let (alone, all) = (&self.absorb.volumes.bounds, &found.sump);
        let of = |key: &Key, change: &Key, pick: fn(&SumpBounds) -> f64| {
            let level: Figure = at.figure(key, pick(all));
            said!(
                "{} ({})",
                level,
                changed(&at, change, pick(all) - pick(alone))
            )
        };
        let failing = |check: &&Check| {
            matches!(check.id, CheckId::PumpCover | CheckId::SumpHigh)
                && check.status == Status::Fail
        };
        let worse = found.checks.iter().filter(failing);
        let worse: Vec<&str> = worse.map(|check| check.id.key()).collect();
        let fails = if worse.is_empty() || self.status() == Status::Fail {
            String::new()
        } else {
            format!(". There {} fails", worse.join(" and "))
        };
        said!(
            "float valve, losses to the air and events of the scenario are left out above. With them \
             \"run\" has the low bound at {}, the high bound at {}, dead siphons at {}{}",
            of(&keys::LOW, &keys::LOW_CHANGE, |bounds| bounds.low),
            of(&keys::HIGH, &keys::HIGH_CHANGE, |bounds| bounds.high),
            of(&keys::DEAD, &keys::DEAD_CHANGE, |bounds| bounds
                .dead_siphons),
            fails
        )
    }

    fn valve_words(&self) -> Text {
        let at = self.at_sump();
        let text = account::float_words(self.account, &At::top(self.units));
        let (Some(valve), Some(by)) = (self.float_valve, self.raise_float_valve()) else {
            return text;
        };
        let text = text.and(said!(". It is at {}: ", at.figure(&keys::VALVE, valve)));
        // Up to a step of the tape: then it lies in its range.
        let shown = self.units.length(up(self.units, by.abs()));
        let amount = at.figure(&keys::RAISE, by).said(shown);
        text.and(if by < 0.0 {
            said!("lower it by {}", amount)
        } else if by > 0.0 {
            said!("raise it by {}", amount)
        } else {
            amount.said("good").into()
        })
    }

    /// How much higher the float valve belongs `[m]`.
    pub(super) fn raise_float_valve(&self) -> Option<f64> {
        let (valve, (low, high)) = (self.float_valve?, self.account.float?);
        Some(if valve > high {
            high - valve
        } else if valve < low {
            low - valve
        } else {
            0.0
        })
    }

    /// A vessel as its owner would describe it.
    fn vessel_words(&self, sump: &Sump) -> Text {
        let (at, system, units) = (self.at_sump(), self.system, self.units);
        let measures = keyed(
            &at.part("shape"),
            keys::SHAPE_OF,
            shape_words(&Say { system, units }, &sump.shape),
        );
        let full = at.figure(&keys::HOLDS, sump.joined().full_volume());
        match sump.count {
            1 => said!("{}, holds {}", measures, full),
            count => said!(
                "{} vessels joined at the bottom, together {}; each: {}",
                at.count(&keys::COUNT, count),
                full,
                measures
            ),
        }
    }
}

/// The amount of a figure whose sign the words beside it tell.
pub(super) fn unsigned(at: &At, key: &Key, value: f64) -> Figure {
    at.figure(key, value)
        .said(key.kind.shown(value.abs(), at.units()))
}

/// How much a level moves.
fn changed(at: &At, key: &Key, by: f64) -> Text {
    if by.abs() < SAME {
        return at.figure(key, by).said("as here").into();
    }
    let side = if by < 0.0 { "lower" } else { "higher" };
    said!("{} {}", unsigned(at, key, by), side)
}
