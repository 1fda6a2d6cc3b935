//! The vessels that could be the sump, side by side.

use crate::answer::absorb::sump::unsigned;
use crate::answer::absorb::{AbsorbReport, down, keys, up};
use crate::answer::{At, Column, Key, Piece, Table, Text, said, status_word};
use crate::assessment::Status;
use crate::hydraulics::vessel::VesselShape;
use crate::study::absorb::{
    Found, Smallest, Stance, Standing, VesselKind, freeboard_level, nearest_run,
};
use crate::units::UnitSystem;

/// Range of a vessel search, in words.
const UP_TO: &str = "none up to 6 m";

impl AbsorbReport<'_> {
    pub(super) fn standings_title(&self) -> &'static str {
        if self.absorb.drum.is_present {
            "The same drum upright and on its side"
        } else {
            "Instead of this sump: a 55 US gal drum upright and on its side"
        }
    }

    /// The drum's measures.
    fn drum_size(&self) -> Text {
        let (at, drum) = (At::top(self.units).part(keys::DRUM.name), self.absorb.drum);
        said!(
            "The drum is {} across and {} long inside.",
            at.figure(&keys::DRUM_DIAMETER, drum.diameter),
            at.figure(&keys::DRUM_LENGTH, drum.length)
        )
    }

    /// How much lower all over it stands with the drum on its side than with it upright `[m]`.
    pub(super) fn lower_on_its_side(&self) -> Option<f64> {
        let shift = |stance| {
            self.drum_standing(stance)
                .map(|(_, standing)| standing.shift)
        };
        Some(shift(Stance::Upright)? - shift(Stance::Lying)?)
    }

    /// The drum in this stance, and its place among the standings.
    fn drum_standing(&self, stance: Stance) -> Option<(At, &Standing)> {
        let mut standings = self.absorb.standings.iter().enumerate();
        let (i, found) = standings.find(|(_, standing)| standing.stance == stance)?;
        Some((At::top(self.units).item(keys::STANDINGS.name, i), found))
    }

    pub(super) fn standings_answer(&self) -> Text {
        let (Some(upright), Some(lying)) = (
            self.drum_standing(Stance::Upright),
            self.drum_standing(Stance::Lying),
        ) else {
            return self.drum_size();
        };
        let short = |(at, one): &(At, &Standing)| unsigned(at, &keys::SPARE, one.spare());
        let verdict = match (upright.1.passes, lying.1.passes) {
            (true, true) => "It does either way.".into(),
            (true, false) => said!(
                "Upright it does; on its side it does not: there {} find no room between the \
                 pump's cover and the freeboard.",
                short(&lying)
            ),
            (false, true) => said!(
                "On its side it does; upright it does not: there {} find no room between the \
                 pump's cover and the freeboard.",
                short(&upright)
            ),
            (false, false) => said!(
                "It does neither way: {} find no room upright, {} on its side. {}",
                short(&upright),
                short(&lying),
                linked(&upright, &lying)
            ),
        };
        said!("{} {} {}", self.drum_size(), verdict, self.lower_one())
    }

    /// Which way everything over it can stand lower.
    fn lower_one(&self) -> Text {
        let gain = self.lower_on_its_side().unwrap_or_default();
        let (lower, than) = if gain > 0.0 {
            ("On its side", "the upright one")
        } else {
            ("Upright", "the one on its side")
        };
        // Half a millimetre is nothing on a tape.
        if gain.abs() < 5e-4 {
            return "Both ways it is equally high.".into();
        }
        let at = At::top(self.units).part(keys::DRUM.name);
        said!(
            "{} its top and its overflow are {} lower than those of {}: beds, outlets, \
             inlets and drain line can all stand that much lower{}, and the plants have that much \
             more height under the ceiling.",
            lower,
            unsigned(&at, &keys::LYING_LOWER, gain),
            than,
            self.fall_kept()
        )
    }

    /// "with the same fall ..." from the run that ends nearest over the overflow.
    fn fall_kept(&self) -> Option<Text> {
        let fall = nearest_run(self.system).map(|run| run.level - self.system.sump.overflow_level);
        let at = At::top(self.units).part(keys::NEAREST.name);
        fall.filter(|fall| *fall > 0.0).map(|fall| {
            said!(
                " with the same fall of {} from the lowest end to the overflow",
                at.figure(&keys::NEAREST_FALL, fall)
            )
        })
    }

    pub(super) fn standings_table(&self) -> Table {
        let standings = &self.absorb.standings;
        let mut columns = vec![Column::words("")];
        columns.extend(standings.iter().map(|standing| {
            let own = standing.is_present && standing.stance != Stance::AsItIs;
            let now = if own { " (now)" } else { "" };
            Column::figures(format!("{}{now}", stance_words(standing.stance)))
        }));
        let rows = self.volume_lines().into_iter().chain(self.level_lines());
        let rows = rows.chain(self.height_lines()).map(|(label, cell)| {
            let mut cells = vec![Text::from(label)];
            let top = At::top(self.units);
            let standings = standings.iter().enumerate();
            cells.extend(standings.map(|(i, one)| cell(one, &top.item("standings", i))));
            cells
        });
        let rows = rows.collect();
        Table { columns, rows }
    }

    fn volume_lines(&self) -> Vec<Line<'_>> {
        let units = self.units;
        vec![
            line("Result", |s, _| {
                let status = if s.passes { Status::Pass } else { Status::Fail };
                Piece::Status(status, status_word(status)).into()
            }),
            line("Holds in all", |s, at| {
                let full = s.system.sump.joined().full_volume();
                at.part("shape").figure(&keys::FULL, full).into()
            }),
            line("Usable", move |s, at| {
                let shown = units.volume(s.usable.max(0.0));
                at.shown(&keys::USABLE, s.usable, shown).into()
            }),
            line("Needed", |s, at| at.figure(&keys::NEEDED, s.needed).into()),
            line("To spare", |s, at| {
                let spare = s.spare();
                let side = if spare >= 0.0 { "" } else { " short" };
                said!("{}{}", unsigned(at, &keys::SPARE, spare), side)
            }),
            line("Fill at least", move |s, at| {
                s.fill.range().map_or("no fill does".into(), |(least, _)| {
                    let shown = units.elevation(up(units, least));
                    at.part("fill").shown(&keys::LEAST, least, shown).into()
                })
            }),
            line("Fill at most", move |s, at| {
                s.fill.range().map_or("no fill does".into(), |(_, most)| {
                    let shown = units.elevation(down(units, most));
                    at.part("fill").shown(&keys::MOST, most, shown).into()
                })
            }),
            line("Judged at a fill of", move |s, at| {
                let level = s.system.sump.start_level;
                // Where it is the highest that will do, it reads as that.
                let highest = |(_, most): &(f64, f64)| (level - most).abs() < 1e-6;
                let shown = if s.fill.range().as_ref().is_some_and(highest) {
                    units.elevation(down(units, level))
                } else {
                    units.elevation(level)
                };
                at.shown(&keys::JUDGED_AT, level, shown).into()
            }),
        ]
    }

    fn level_lines(&self) -> Vec<Line<'_>> {
        let units = self.units;
        vec![
            line("Low bound", |s, at| {
                let low = s.volumes.bounds.low;
                at.part("bounds").figure(&keys::LOW, low).into()
            }),
            line("Pump dry under", |s, at| {
                at.figure(&keys::ITS_DRY_LEVEL, s.system.pump.least_level())
                    .into()
            }),
            line("High bound", |s, at| {
                if s.volumes.lost > 0.0 {
                    return said!("spills {}", at.figure(&keys::ITS_LOST, s.volumes.lost));
                }
                let high = s.volumes.bounds.high;
                at.part("bounds").figure(&keys::HIGH, high).into()
            }),
            line("Freeboard from", |s, at| {
                let level = freeboard_level(&s.system);
                at.figure(&keys::ITS_FREEBOARD, level).into()
            }),
            line("Overflow", |s, at| {
                let level = s.system.sump.overflow_level;
                at.figure(&keys::ITS_OVERFLOW, level).into()
            }),
            line("Lowest simulated", |s, at| {
                let low = s.simulated.map(|found| found.low);
                simulated(at, &keys::RUN_LOW, low)
            }),
            line("Highest simulated", |s, at| {
                let high = s.simulated.map(|found| found.high);
                simulated(at, &keys::RUN_HIGH, high)
            }),
            line("After a power cut", |s, at| {
                let after = s.simulated.and_then(|found| found.after_cut);
                simulated(at, &keys::RUN_CUT, after)
            }),
            line("Float valve at most", move |s, at| {
                let most = s.volumes.bounds.low;
                let shown = units.elevation(down(units, most));
                at.shown(&keys::FLOAT_MOST, most, shown).into()
            }),
        ]
    }

    fn height_lines(&self) -> Vec<Line<'_>> {
        let units = self.units;
        let mut lines = vec![
            line("Top of the vessel", |s, at| {
                let top = s.system.sump.top();
                at.figure(&keys::TOP_LEVEL, top).into()
            }),
            line("Beds, outlets, line", move |s, at| {
                at.shown(&keys::SHIFT, s.shift, moved(s.shift, units))
                    .into()
            }),
            line("Outlet to overflow", move |s, at| {
                nearest_run(self.system).map_or("none".into(), |run| {
                    let fall = run.level - s.system.sump.overflow_level;
                    let side = if fall < 0.0 { "under" } else { "over" };
                    said!("{} {}", unsigned(at, &keys::OUTLET, fall), side)
                })
            }),
        ];
        if self.system.ceiling.is_some() {
            lines.push(line("Rim to ceiling", |s, at| {
                let room = s.growing_height;
                room.map(|room| at.figure(&keys::GROWING, room)).into()
            }));
        }
        if let Some(wanted) = self.wanted_growing_height() {
            lines.push(line("Wanted there", move |_, _| {
                let at = At::top(units);
                at.figure(&keys::WANTED, wanted).into()
            }));
        }
        lines.push(line("Drums needed", |s, at| match (s.stance, s.drums) {
            (Stance::AsItIs, _) => "-".into(),
            (_, Some(count)) => at.count(&keys::DRUMS, count).into(),
            (_, None) => "not 20".into(),
        }));
        lines
    }

    /// Growing height under the ceiling, as asked `[m]`.
    pub(super) fn wanted_growing_height(&self) -> Option<f64> {
        self.system.ceiling?;
        self.system.thresholds.growing_height
    }

    pub(super) fn smallest_table(&self) -> Table {
        let head = ["Inside", "Long", "Across", "Deep", "Holds", "Fill to"];
        let columns = Column::names_and_figures(head);
        let smallest = self.absorb.smallest.iter().enumerate();
        let rows = smallest.map(|(i, smallest)| {
            let at = At::top(self.units).item("smallest", i);
            let mut cells: Vec<Text> = vec![vessel_kind(smallest).into()];
            match &smallest.found {
                Some(found) => cells.extend(found_cells(found, &at)),
                None => {
                    cells.push(UP_TO.into());
                    cells.resize(head.len(), "-".into());
                }
            }
            cells
        });
        let rows = rows.collect();
        Table { columns, rows }
    }
}

/// A line of the table of standings: its label, and what it says of one of them.
type Line<'a> = (&'static str, Box<dyn Fn(&Standing, &At) -> Text + 'a>);

fn line<'a>(label: &'static str, cell: impl Fn(&Standing, &At) -> Text + 'a) -> Line<'a> {
    (label, Box::new(cell))
}

/// A level of the run with such a vessel.
fn simulated(at: &At, key: &Key, level: Option<f64>) -> Text {
    level.map_or("no answer".into(), |level| {
        at.part("simulated").figure(key, level).into()
    })
}

fn vessel_kind(smallest: &Smallest) -> &'static str {
    match smallest.kind {
        VesselKind::Box => "box",
        VesselKind::Upright => "drum upright",
        VesselKind::Lying => "drum on its side",
    }
}

/// Length, width or diameter, depth, volume and fill of a vessel found.
fn found_cells(found: &Found, at: &At) -> [Text; 5] {
    let (units, at_fill, at) = (at.units(), at.part("fill"), at.part("shape"));
    let size = |key: &Key, metres: f64| {
        let shown = units.length(up(units, metres));
        Text::from(at.shown(key, metres, shown))
    };
    let plain = |key: &Key, metres: f64| Text::from(at.figure(key, metres));
    let none = || Text::from("-");
    let [long, across, deep] = match found.shape {
        VesselShape::Box {
            length,
            width,
            depth,
        }
        | VesselShape::HalfDrum {
            length,
            width,
            depth,
        } => [
            plain(&keys::LENGTH, length),
            plain(&keys::WIDTH, width),
            size(&keys::DEPTH, depth),
        ],
        VesselShape::UprightCylinder { diameter, depth } => [
            none(),
            size(&keys::DIAMETER, diameter),
            size(&keys::DEPTH, depth),
        ],
        VesselShape::LyingCylinder { diameter, length } => [
            size(&keys::LENGTH, length),
            size(&keys::DIAMETER, diameter),
            none(),
        ],
        _ => [none(), none(), none()],
    };
    let middle = found.fill.range().map(|(least, most)| 0.5 * (least + most));
    let fill = middle.map_or_else(none, |level| at_fill.figure(&keys::MIDDLE, level).into());
    let full = found.shape.full_volume();
    [
        long,
        across,
        deep,
        at.figure(&keys::FULL, full).into(),
        fill,
    ]
}

fn linked(upright: &(At, &Standing), lying: &(At, &Standing)) -> Text {
    if upright.1.drums.is_none() && lying.1.drums.is_none() {
        return "Not even twenty of them would do.".into();
    }
    let count = |(at, one): &(At, &Standing)| match one.drums {
        Some(drums) => Text::from(at.count(&keys::DRUMS, drums)),
        None => "more than twenty".into(),
    };
    said!(
        "It takes {} upright or {} on their sides, joined at the bottom.",
        count(upright),
        count(lying)
    )
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
