//! The scenario file: reading, judging, explaining.
//!
//! A file is walked against one description of the format; all of its faults
//! are reported together, each with line, key, value, allowed range and what
//! to write instead. The same description gives the JSON Schema.

mod advice;
mod advised;
mod assemble;
mod beds;
mod draft;
mod edit;
mod every_bed;
mod fault;
#[cfg(feature = "cli")]
mod file;
mod fittings;
mod form;
mod form_entry;
mod format;
mod guessed;
mod keys;
mod measured;
mod node;
mod plain;
mod render;
mod rule;
mod schema;
#[cfg(feature = "cli")]
mod snippets;
mod syntax;
mod typed;
mod typed_edit;
mod usual;
mod walk;

#[cfg(feature = "cli")]
use std::path::Path;

pub use advised::{AdviceError, Advised, Seek, advised, advised_as_read};
pub use beds::{with_bed_like, without_bed};
pub use draft::{
    Draft, DraftError, FactError, Room, bed_fact, draft, pump_fact, room_fact, sump_fact,
    tank_fact, units_typed,
};
pub use edit::{EditError, Edited, Undo, edited};
pub use fault::{Fault, FaultKind, KeyPath, Label, Severity, Source, Step};
#[cfg(feature = "cli")]
pub(crate) use file::shown;
#[cfg(feature = "cli")]
pub use file::{FileError, LARGEST_FILE};
pub use fittings::{FittingCount, Fittings};
pub use form::{Field, Group, fields};
pub use form_entry::Entry;
pub(crate) use form_entry::in_form_units;
pub use guessed::GuessedDrain;
#[cfg(feature = "cli")]
pub use measured::read_measured;
pub use measured::{RECORD, open_record, parse_measured, recorded_sizes};
pub(crate) use plain::{plain as plain_name, without_keys_at};
pub use render::ScenarioError;
pub use rule::{Figure, Rule};
pub use schema::{readings_schema, schema};
pub use typed::{
    InTurn, Keep, WriteError, Written, touched, with_edits, written, written_as, written_in_turn,
};
pub use typed_edit::{Edit, EditPath, EditSyntax, Part};

use crate::model::System;
use crate::numerics::in_order::InOrder;
use crate::scenario::keys::EVERY_BED;
use crate::units::UnitSystem;
use crate::units::display::plain;
use fault::Faults;

/// A scenario that can be simulated.
#[derive(Debug, Clone)]
pub struct Scenario {
    /// The system, checked and in SI.
    pub system: System,
    /// What no change may touch.
    pub keep: Vec<EditPath>,
    /// Things that look wrong but do not prevent a run, in file order.
    pub warnings: Vec<Fault>,
    source: Source,
}

impl Scenario {
    /// The warnings as text that points into the file, empty if there are none;
    /// `color` adds terminal escape codes.
    pub fn render_warnings(&self, color: bool) -> String {
        render::faults(&self.source, &self.warnings, color)
    }

    /// The text it was read from.
    pub fn text(&self) -> &str {
        &self.source.text
    }

    /// The units in which most of its values are written; metric where neither leads.
    pub fn units(&self) -> UnitSystem {
        fault::unit_system(&self.source.text, UnitSystem::Metric)
    }

    /// `pump.speed` as the file has it, 1 where it has none `[-]`; the model's curve has it in it.
    pub fn pump_speed(&self) -> f64 {
        let read = toml::from_str::<toml::Table>(&self.source.text).ok();
        let speed = read
            .as_ref()
            .and_then(|file| file.get("pump")?.get("speed"));
        let number =
            |value: &toml::Value| value.as_float().or(value.as_integer().map(|i| i as f64));
        speed.and_then(number).unwrap_or(1.0)
    }
}

/// Reads and judges a scenario file.
///
/// # Errors
/// [`ScenarioError::File`] if there is no such text file of at most
/// [`LARGEST_FILE`] bytes; [`ScenarioError::Faults`] with every fault found in it.
#[cfg(feature = "cli")]
pub fn read(path: &Path) -> Result<Scenario, ScenarioError> {
    let text = file::read(path)?;
    parse(&text, &shown(path))
}

/// Judges the text of a scenario; `file_name` is for messages, and its stem is the default title.
///
/// # Errors
/// [`ScenarioError::Faults`] with every fault found, at least one.
///
/// # Example
/// ```
/// let scenario = ebbwright::scenario::parse(ebbwright::scenario::starter(), "starter.toml")?;
/// assert!(scenario.warnings.is_empty());
/// assert_eq!(scenario.system.beds.len(), 1);
/// # Ok::<(), ebbwright::scenario::ScenarioError>(())
/// ```
pub fn parse(text: &str, file_name: &str) -> Result<Scenario, ScenarioError> {
    let source = Source {
        name: plain(file_name),
        text: text.to_owned(),
    };
    let mut faults = Faults::new(&source);
    let read = syntax::document(&mut faults);
    let mut found = faults.found;
    found.order_by_key(|fault| (fault.span().start, fault.span().end));
    if text.contains(EVERY_BED) {
        every_bed::once(&mut found);
    }
    let wrong = |fault: &Fault| fault.severity == Severity::Error;
    if found.iter().any(wrong) {
        // First what must change; whether the rest is right is asked when the file can be used.
        found.retain(|fault| !matches!(fault.kind, FaultKind::Odd { .. }));
    }
    match read {
        Some((system, keep))
            if found
                .iter()
                .all(|fault| fault.severity == Severity::Warning) =>
        {
            Ok(Scenario {
                system,
                keep,
                warnings: found,
                source,
            })
        }
        _ => Err(ScenarioError::Faults {
            file: source,
            faults: found,
        }),
    }
}

/// A commented scenario in metric units, to be filled in with a tape measure. Its data is invented.
pub const fn starter() -> &'static str {
    include_str!("starter.toml")
}

/// The same in US units, with fractions. Its data is invented.
pub const fn starter_us() -> &'static str {
    include_str!("starter_us.toml")
}
