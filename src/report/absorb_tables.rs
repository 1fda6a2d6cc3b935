//! The vessels that could be the sump, side by side: sentences and tables of `absorb`.

use crate::assessment::Status;
use crate::hydraulics::vessel::VesselShape;
use crate::report::absorb::{AbsorbReport, Block, down, up};
use crate::report::words::status_word;
use crate::study::absorb::{
    Found, Smallest, Stance, Standing, VesselKind, freeboard_level, nearest_run,
};
use crate::units::UnitSystem;

/// Range of a vessel search, in words.
const UP_TO: &str = "none up to 6 m";

impl AbsorbReport<'_> {
    pub(super) fn standings_title(&self) -> String {
        let drum = self.absorb.drum;
        let units = self.units;
        let size = format!(
            "{} across, {} long inside",
            units.length(drum.diameter),
            units.length(drum.length)
        );
        if drum.is_present {
            format!("The same drum upright and on its side ({size})")
        } else {
            format!("Instead of this sump: a 55 US gal drum upright and on its side ({size})")
        }
    }

    fn drum_standing(&self, stance: Stance) -> Option<&Standing> {
        self.absorb
            .standings
            .iter()
            .find(|standing| standing.stance == stance)
    }

    pub(super) fn standings_answer(&self) -> String {
        let units = self.units;
        let (Some(upright), Some(lying)) = (
            self.drum_standing(Stance::Upright),
            self.drum_standing(Stance::Lying),
        ) else {
            return String::new();
        };
        let verdict = match (upright.passes, lying.passes) {
            (true, true) => "It does either way.".to_owned(),
            (true, false) => format!(
                "Upright it does; on its side it does not: there {} find no room between the \
                 pump's cover and the freeboard.",
                units.volume(short_by(lying))
            ),
            (false, true) => format!(
                "On its side it does; upright it does not: there {} find no room between the \
                 pump's cover and the freeboard.",
                units.volume(short_by(upright))
            ),
            (false, false) => format!(
                "It does neither way: {} find no room upright, {} on its side. {}",
                units.volume(short_by(upright)),
                units.volume(short_by(lying)),
                linked(upright, lying)
            ),
        };
        let gain = upright.shift - lying.shift;
        let lower = match gain {
            g if g > 0.0 => ("On its side", "the upright one", g),
            g => ("Upright", "the one on its side", -g),
        };
        let height = if lower.2 < 5e-4 {
            "Both ways it is equally high.".to_owned()
        } else {
            format!(
                "{} its top and its overflow are {} lower than those of {}: beds, outlets, inlets \
                 and drain line can all stand that much lower{}, and the plants have that much \
                 more height under the ceiling.",
                lower.0,
                units.length(lower.2),
                lower.1,
                self.fall_kept()
            )
        };
        format!("{verdict} {height}")
    }

    /// "with the same fall ..." from the run that ends nearest over the overflow.
    fn fall_kept(&self) -> String {
        let fall = nearest_run(self.system)
            .map(|run| run.level - self.system.sump.overflow_level)
            .filter(|fall| *fall > 0.0);
        fall.map_or(String::new(), |fall| {
            format!(
                " with the same fall of {} from the lowest end to the overflow",
                self.units.length(fall)
            )
        })
    }

    pub(super) fn standings_table(&self) -> Block {
        let units = self.units;
        let standings = &self.absorb.standings;
        let mut head = vec![String::new()];
        head.extend(standings.iter().map(|standing| {
            let own = if standing.is_present && standing.stance != Stance::AsItIs {
                " (now)"
            } else {
                ""
            };
            format!("{}{own}", stance_words(standing.stance))
        }));
        let mut rows = Vec::new();
        let mut row = |label: &str, cell: &dyn Fn(&Standing) -> String| {
            let mut cells = vec![label.to_owned()];
            cells.extend(standings.iter().map(cell));
            rows.push(cells);
        };
        row("Result", &|s| {
            status_word(if s.passes { Status::Pass } else { Status::Fail }).to_owned()
        });
        row("Holds in all", &|s| {
            units.volume(s.system.sump.shape.full_volume())
        });
        row("Usable", &|s| units.volume(s.usable.max(0.0)));
        row("Needed", &|s| units.volume(s.needed));
        row("To spare", &|s| {
            let spare = s.usable - s.needed;
            if spare >= 0.0 {
                units.volume(spare)
            } else {
                format!("{} short", units.volume(-spare))
            }
        });
        row("Fill at least", &|s| {
            s.fill
                .range()
                .map_or("no fill does".to_owned(), |(least, _)| {
                    units.elevation(up(units, least))
                })
        });
        row("Fill at most", &|s| {
            s.fill
                .range()
                .map_or("no fill does".to_owned(), |(_, most)| {
                    units.elevation(down(units, most))
                })
        });
        row("Judged at a fill of", &|s| {
            let level = s.system.sump.start_level;
            // Where it is the highest that will do, it reads as that.
            let highest = |(_, most): &(f64, f64)| (level - most).abs() < 1e-6;
            if s.fill.range().as_ref().is_some_and(highest) {
                units.elevation(down(units, level))
            } else {
                units.elevation(level)
            }
        });
        row("Low bound", &|s| units.elevation(s.volumes.bounds.low));
        row("Pump dry under", &|s| {
            units.elevation(s.system.pump.least_level())
        });
        row("High bound", &|s| {
            if s.volumes.lost > 0.0 {
                format!("spills {}", units.volume(s.volumes.lost))
            } else {
                units.elevation(s.volumes.bounds.high)
            }
        });
        row("Freeboard from", &|s| {
            units.elevation(freeboard_level(&s.system))
        });
        row("Overflow", &|s| {
            units.elevation(s.system.sump.overflow_level)
        });
        row("Lowest simulated", &|s| {
            s.simulated
                .map_or("no answer".to_owned(), |found| units.elevation(found.low))
        });
        row("Highest simulated", &|s| {
            s.simulated
                .map_or("no answer".to_owned(), |found| units.elevation(found.high))
        });
        row("After a power cut", &|s| {
            s.simulated
                .and_then(|found| found.after_cut)
                .map_or("no answer".to_owned(), |level| units.elevation(level))
        });
        row("Float valve at most", &|s| {
            s.simulated.map_or("no answer".to_owned(), |found| {
                units.elevation(down(units, found.low))
            })
        });
        row("Top of the vessel", &|s| {
            units.elevation(s.system.sump.top())
        });
        row("Beds, outlets, line", &|s| moved(s.shift, units));
        row("Outlet to overflow", &|s| match nearest_run(self.system) {
            None => "none".to_owned(),
            Some(run) => {
                let fall = run.level - s.system.sump.overflow_level;
                if fall < 0.0 {
                    format!("{} under", units.length(-fall))
                } else {
                    format!("{} over", units.length(fall))
                }
            }
        });
        if self.system.ceiling.is_some() {
            row("Rim to ceiling", &|s| {
                s.growing_height
                    .map_or(String::new(), |room| units.length(room))
            });
        }
        if let (Some(_), Some(wanted)) =
            (self.system.ceiling, self.system.thresholds.growing_height)
        {
            row("Wanted there", &|_| units.length(wanted));
        }
        row("Drums needed", &|s| match (s.stance, s.drums) {
            (Stance::AsItIs, _) => "-".to_owned(),
            (_, Some(count)) => count.to_string(),
            (_, None) => "not 20".to_owned(),
        });
        Block::Table { head, rows }
    }

    pub(super) fn smallest_table(&self) -> Block {
        let units = self.units;
        let head = ["Inside", "Long", "Across", "Deep", "Holds", "Fill to"]
            .map(str::to_owned)
            .to_vec();
        let row = |smallest: &Smallest| {
            let kind = match smallest.kind {
                VesselKind::Box => "box",
                VesselKind::Upright => "drum upright",
                VesselKind::Lying => "drum on its side",
            };
            let mut cells = vec![kind.to_owned()];
            match &smallest.found {
                Some(found) => cells.extend(found_cells(found, units)),
                None => {
                    cells.push(UP_TO.to_owned());
                    cells.resize(head.len(), "-".to_owned());
                }
            }
            cells
        };
        let rows = self.absorb.smallest.iter().map(row).collect();
        Block::Table { head, rows }
    }
}

/// Length, width or diameter, depth, volume and fill of a vessel found.
fn found_cells(found: &Found, units: UnitSystem) -> [String; 5] {
    let size = |metres: f64| units.length(up(units, metres));
    let none = || "-".to_owned();
    let [long, across, deep] = match found.shape {
        VesselShape::Box {
            length,
            width,
            depth,
        } => [units.length(length), units.length(width), size(depth)],
        VesselShape::UprightCylinder { diameter, depth } => [none(), size(diameter), size(depth)],
        VesselShape::LyingCylinder { diameter, length } => [size(length), size(diameter), none()],
        _ => [none(), none(), none()],
    };
    let fill = found
        .fill
        .range()
        .map_or_else(none, |(least, most)| units.elevation(0.5 * (least + most)));
    [
        long,
        across,
        deep,
        units.volume(found.shape.full_volume()),
        fill,
    ]
}

/// Water that moves and finds no room in this vessel `[m3]`.
fn short_by(standing: &Standing) -> f64 {
    (standing.needed - standing.usable).max(0.0)
}

fn linked(upright: &Standing, lying: &Standing) -> String {
    match (upright.drums, lying.drums) {
        (None, None) => "Not even twenty of them would do.".to_owned(),
        (up, side) => {
            let count = |n: Option<u32>| n.map_or("more than twenty".to_owned(), |n| n.to_string());
            format!(
                "It takes {} upright or {} on their sides, joined at the bottom.",
                count(up),
                count(side)
            )
        }
    }
}

fn moved(shift: f64, units: UnitSystem) -> String {
    if shift.abs() < 5e-4 {
        "as they are".to_owned()
    } else if shift < 0.0 {
        format!("{} lower", units.length(-shift))
    } else {
        format!("{} higher", units.length(shift))
    }
}

/// Name of a way to stand.
fn stance_words(stance: Stance) -> &'static str {
    match stance {
        Stance::AsItIs => "As it is",
        Stance::Upright => "Upright",
        Stance::Lying => "On its side",
    }
}
