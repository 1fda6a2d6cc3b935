//! `ebbwright new`.

mod questions;

use std::io::{self, IsTerminal};
use std::path::PathBuf;

use clap::Args;

use crate::commands::failure::Failure;
use crate::commands::progress::Progress;
use crate::commands::{Answer, Units, folder, terminal};
use crate::scenario::{
    self, Draft, FactError, Room, bed_fact, draft, pump_fact, room_fact, shown, sump_fact,
    tank_fact, units_typed,
};
use crate::study::draft::{Facts, PumpFact, SumpFact, TankFact};
use crate::units::UnitSystem;

/// Write a scenario that works, from a handful of facts: beds, room, sump, pump, fish tank.
///
/// Elevations, pipes, standpipes, slots, drain, valves and fill are found by simulating the whole
/// system, and the file says why each is what it is. On a terminal it asks for what is missing;
/// elsewhere, and for an empty answer, it assumes and says so. Exit status 1: the facts cannot
/// work together; the best found is written all the same.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  ebbwright new shed.toml --beds 4 --bed \"4 ft x 2 ft x 12 in\" --room \"7 ft\" --drum lying --pump \"800 gal/h, 10 ft\"\n  ebbwright new shed.toml --room \"4 m x 3 m x 2.2 m\" --drum tote --tank \"300 L\"\n  ebbwright new --blank shed.toml      a form to fill in with a tape measure"
)]
pub(super) struct Arguments {
    /// File to write; without one the scenario goes to standard output.
    file: Option<PathBuf>,
    /// How many beds; default: as many as one vessel serves, at most 4.
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=12))]
    beds: Option<u8>,
    /// Inside length, width and depth of each bed: "4 ft x 2 ft x 12 in".
    #[arg(long, value_name = "L x W x D", value_parser = typed(bed_fact))]
    bed: Option<Typed<BedSize>>,
    /// Height of the room, its length and width, or all three: "7 ft", "10 ft x 8 ft x 7 ft".
    #[arg(long, visible_alias = "ceiling", value_name = "SIZE", value_parser = typed(room_fact))]
    room: Option<Typed<Room>>,
    /// What the sump is: lying, upright, tote, a volume, or measures; "2 lying" for two joined.
    #[arg(long, visible_alias = "sump", value_name = "VESSEL", value_parser = typed(sump_fact))]
    drum: Option<Typed<(SumpFact, Option<u32>)>>,
    /// The pump: "800 gal/h, 10 ft" from its box, "500 gal/h at 5 ft", or "300 gal/h measured".
    #[arg(long, value_name = "FIGURES", value_parser = typed(pump_fact))]
    pump: Option<Typed<PumpFact>>,
    /// A fish tank beside the sump: a volume, "36 x 24 in round", a box, drum or tote, with what it stands on
    /// after it: "80 gal on 16 in"; none for a garden without.
    #[arg(long, value_name = "VESSEL", value_parser = typed(tank_fact))]
    tank: Option<Typed<Option<TankFact>>>,
    /// Write a commented form with invented figures instead, to be filled in with a tape measure.
    #[arg(long, conflicts_with_all = ["beds", "bed", "room", "drum", "pump", "tank"])]
    blank: bool,
    /// Units the scenario is written in; default: those of the facts, else metric.
    #[arg(long, value_enum)]
    units: Option<Units>,
    /// Replace the file if it is there already.
    #[arg(long, requires = "file")]
    force: bool,
}

/// A fact and the units it was typed in.
#[derive(Debug, Clone)]
struct Typed<T> {
    value: T,
    units: Option<UnitSystem>,
}

fn typed<T>(
    read: fn(&str) -> Result<T, FactError>,
) -> impl Fn(&str) -> Result<Typed<T>, String> + Clone {
    move |text| {
        let units = units_typed(text);
        // Examples are in the units that somebody types in.
        let value = read(text).map_err(|error| error.told(units.unwrap_or_default()))?;
        Ok(Typed { value, units })
    }
}

/// Length, width and depth.
type BedSize = [f64; 3];

pub(super) fn new(arguments: &Arguments) -> Result<Answer, Failure> {
    if arguments.blank {
        return blank(arguments);
    }
    // Before any question: nobody wants to answer them for nothing.
    if let Some(path) = &arguments.file
        && !arguments.force
        && path.is_file()
    {
        return Err(Failure::Exists { path: path.clone() });
    }
    let mut facts = arguments.facts();
    if io::stdin().is_terminal() && io::stderr().is_terminal() {
        let mut input = io::stdin().lock();
        questions::ask(
            &mut facts,
            questions::Given {
                units: arguments.units.is_some() || arguments.typed_units().is_some(),
                tank: arguments.tank.is_some(),
            },
            &mut input,
            &mut io::stderr(),
        )
        .map_err(|error| Failure::Usage(format!("cannot ask: {error}")))?;
    }
    let progress = Progress::counting("systems simulated");
    let found = draft(&facts, &arguments.title(), &|tried| progress.at(tried));
    progress.finish();
    let found = found.map_err(|error| Failure::Usage(error.to_string()))?;
    deliver(arguments, &found)
}

impl Arguments {
    fn facts(&self) -> Facts {
        let (sump, vessels) = match &self.drum {
            Some(typed) => (Some(typed.value.0.clone()), typed.value.1),
            None => (None, None),
        };
        let (room, ceiling) = self.room.as_ref().map_or((None, None), |typed| typed.value);
        Facts {
            units: self
                .units
                .map(UnitSystem::from)
                .or(self.typed_units())
                .unwrap_or_default(),
            beds: self.beds.map(usize::from),
            bed: self.bed.as_ref().map(|typed| typed.value),
            room,
            ceiling,
            sump,
            vessels,
            pump: self.pump.as_ref().map(|typed| typed.value),
            tank: self.tank.as_ref().and_then(|typed| typed.value.clone()),
        }
    }

    /// The units of most of what was typed, where anything was.
    fn typed_units(&self) -> Option<UnitSystem> {
        let typed = [
            self.bed.as_ref().and_then(|typed| typed.units),
            self.room.as_ref().and_then(|typed| typed.units),
            self.drum.as_ref().and_then(|typed| typed.units),
            self.pump.as_ref().and_then(|typed| typed.units),
            self.tank.as_ref().and_then(|typed| typed.units),
        ];
        let count = |units| typed.iter().flatten().filter(|one| **one == units).count();
        let (metric, us) = (count(UnitSystem::Metric), count(UnitSystem::Us));
        (metric + us > 0).then_some(if us > metric {
            UnitSystem::Us
        } else {
            UnitSystem::Metric
        })
    }

    fn title(&self) -> String {
        let stem = self.file.as_ref().and_then(|path| path.file_stem());
        stem.map_or("My system".to_owned(), |stem| {
            crate::units::display::plain(&stem.to_string_lossy())
        })
    }
}

fn deliver(arguments: &Arguments, found: &Draft) -> Result<Answer, Failure> {
    let text = &found.text;
    match &arguments.file {
        None => terminal::say(text)?,
        Some(path) => {
            folder::write_one(path, text.as_bytes(), arguments.force)?;
            let shown = shown(path);
            let works = if found.works() {
                "Nothing fails in it; the reason for each size stands in the file.\n"
            } else {
                ""
            };
            terminal::say(&format!(
                "Wrote {shown}. {works}Next:\n  ebbwright run {shown}\n"
            ))?;
        }
    }
    if found.works() {
        return Ok(Answer::Good);
    }
    terminal::complain(&format!(
        "These facts do not work together. What is written is the best found. With it\n  {}",
        found.troubles.join("\n  ")
    ));
    Ok(Answer::CheckFailed)
}

fn blank(arguments: &Arguments) -> Result<Answer, Failure> {
    let text = match arguments.units {
        Some(Units::Us | Units::Imperial) => scenario::starter_us(),
        _ => scenario::starter(),
    };
    match &arguments.file {
        None => terminal::say(text)?,
        Some(path) => {
            folder::write_one(path, text.as_bytes(), arguments.force)?;
            let shown = shown(path);
            terminal::say(&format!(
                "Wrote {shown}. Replace its figures by your own, then:\n  ebbwright run {shown}\n"
            ))?;
        }
    }
    Ok(Answer::Good)
}
