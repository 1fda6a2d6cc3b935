//! Changes of the model written into the text of a scenario, whichever way it says them;
//! comments and layout stay.
//!
//! What differs between the system as read and as changed is written under its keys, and
//! the text is read again: what a default would then say otherwise is written too, until
//! the text says the changed system.

mod allowed;
mod differs;
mod figure;
mod place;
mod writer;

use thiserror::Error;
use toml_edit::DocumentMut;

use super::edit::{EditError, Undo, edited, own_at, write_into};
use super::every_bed;
use super::typed_edit::{Edit, EditPath, Part};
use super::{Scenario, ScenarioError, parse};
use crate::model::{Change, Misfit, System};
use crate::scenario::keys::EVERY_BED;
use crate::units::parse::parse as length;
use crate::units::table::Quantity;
pub(super) use allowed::allows;
use differs::{Difference, differences};
use writer::Writer;

/// Numbers that differ by a smaller share are the same: far more than rounding to
/// [`figure::FIGURES`] leaves, far less than anybody measures.
const SAME: f64 = 1e-9;
/// Times that the text is read again.
/// What follows from a change by default shows only when the text is read.
const PASSES: usize = 3;
/// Why a change of the model cannot be written.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum WriteError {
    /// The text would be no scenario any more: a value beyond the range of its key.
    #[error(transparent)]
    Scenario(Box<ScenarioError>),
    /// The changed system cannot be built.
    #[error("{0}")]
    Misfit(#[from] Misfit),
    /// It has no place in the text, or is kept.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// Everything is moved by something that is no length.
    #[error("everything is moved by a length, such as everything = +2 in or everything = -50 mm")]
    NoAmount,
    /// The format has no words for it.
    #[error("{path} cannot say that")]
    Unsaid {
        /// Where it should stand.
        path: EditPath,
    },
}

impl From<ScenarioError> for WriteError {
    fn from(error: ScenarioError) -> Self {
        Self::Scenario(Box::new(error))
    }
}

/// A scenario after changes of the model.
#[derive(Debug, Clone)]
pub struct Written {
    /// The text.
    pub text: String,
    /// What was written, key by key.
    pub edits: Vec<Edit>,
    /// Gives the text before it back, to the byte.
    pub undo: Undo,
    /// The system that the text says.
    pub system: System,
}

/// Writes `changes` into the text of `scenario`; nothing under `kept` may change, nor what
/// the scenario itself keeps. Figures are written to twelve places in the units that stand there.
///
/// # Errors
/// [`WriteError`] where the changed system cannot be built, is kept as it is, or lies
/// beyond what the format allows.
///
/// # Example
/// ```
/// use ebbwright::model::{BedPart, Change};
/// use ebbwright::scenario::{parse, starter, written};
/// let scenario = parse(starter(), "starter.toml")?;
/// let shorter = Change::of_bed(0, BedPart::StandpipeLength, 0.200);
/// let after = written(&scenario, &[shorter], &[])?;
/// let keys: Vec<String> = after.edits.iter().map(|edit| edit.path().to_string()).collect();
/// // The pipe begins at the lip.
/// assert_eq!(keys, ["bed[1].standpipe.length", "bed[1].drain.length"]);
/// assert_eq!(after.undo.apply(&after.text), starter());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn written(
    scenario: &Scenario,
    changes: &[Change],
    kept: &[EditPath],
) -> Result<Written, WriteError> {
    let after = Change::apply_all(changes, &scenario.system)?;
    written_as(scenario, &after, kept)
}

/// Writes what `after` has otherwise than the system of `scenario`, as [`written`] does.
///
/// # Errors
/// As [`written`].
pub fn written_as(
    scenario: &Scenario,
    after: &System,
    kept: &[EditPath],
) -> Result<Written, WriteError> {
    let kept: Vec<EditPath> = scenario.keep.iter().chain(kept).cloned().collect();
    // Defaults that follow by themselves are left to do so, unless the text between would
    // be none.
    let written = write(scenario, after, &kept, true).or_else(|error| match error {
        WriteError::Scenario(_) => write(scenario, after, &kept, false),
        other => Err(other),
    });
    match written {
        // One bed cannot leave out what every bed has: then each says its own.
        Err(WriteError::Unsaid { .. } | WriteError::Scenario(_))
            if scenario.text().contains(EVERY_BED) =>
        {
            let mut undo = write(&each_its_own(scenario)?, after, &kept, false)?;
            undo.undo = Undo::between(scenario.text(), &undo.text);
            Ok(undo)
        }
        other => other,
    }
}

/// The scenario with `[every-bed]` written into each bed.
fn each_its_own(scenario: &Scenario) -> Result<Scenario, WriteError> {
    let mut document: DocumentMut = scenario.text().parse().map_err(|_| EditError::NotToml)?;
    let _ = every_bed::expand(&mut document);
    Ok(parse(&document.to_string(), &scenario.source.name)?)
}

/// Changes that say the same of every bed, where none has its own value, as one for all of them.
fn gathered(document: &DocumentMut, beds: usize, edits: Vec<Edit>) -> Vec<Edit> {
    let mut gathered: Vec<Edit> = Vec::new();
    for edit in &edits {
        let alike = |other: &&Edit| {
            every_bed::under(other.path()) == every_bed::under(edit.path())
                && other.value().map(ToString::to_string) == edit.value().map(ToString::to_string)
        };
        let lower = every_bed::under(edit.path())
            .filter(|lower| edit.value().is_some() && own_at(document, lower).is_some());
        let Some(lower) = lower else {
            gathered.push(edit.clone());
            continue;
        };
        let all: Vec<&Edit> = edits.iter().filter(alike).collect();
        let bare = all.iter().all(|one| own_at(document, one.path()).is_none());
        if all.len() < beds || !bare {
            gathered.push(edit.clone());
        } else if !gathered.iter().any(|one| *one.path() == lower) {
            gathered.push(Edit::new(lower, edit.value().cloned()));
        }
    }
    gathered
}

/// A list of changes written into what those before it left.
#[derive(Debug, Clone)]
pub struct InTurn {
    /// What was written, as `--with` takes it.
    pub edits: Vec<String>,
    /// The text with it.
    pub text: String,
}

/// Writes each list of `steps` into what the ones before it left, as [`written`] does.
///
/// # Errors
/// The number of the first list that cannot be written, and why.
pub fn written_in_turn<'a>(
    scenario: &Scenario,
    steps: impl IntoIterator<Item = &'a [Change]>,
    kept: &[EditPath],
) -> Result<Vec<InTurn>, (usize, WriteError)> {
    let mut now = scenario.clone();
    let mut all = Vec::new();
    for (n, step) in steps.into_iter().enumerate() {
        let after = written(&now, step, kept).map_err(|error| (n, error))?;
        now =
            super::parse(&after.text, "the changed scenario").map_err(|error| (n, error.into()))?;
        all.push(InTurn {
            edits: after.edits.iter().map(ToString::to_string).collect(),
            text: after.text,
        });
    }
    Ok(all)
}

fn write(
    scenario: &Scenario,
    after: &System,
    kept: &[EditPath],
    lean: bool,
) -> Result<Written, WriteError> {
    let (text, name) = (scenario.text(), &scenario.source.name);
    let mut document: DocumentMut = text.parse().map_err(|_| EditError::NotToml)?;
    let mut edits = Vec::new();
    let mut now = scenario.system.clone();
    let mut left = differences(&now, after, SAME);
    for pass in 0..PASSES {
        if left.is_empty() {
            break;
        }
        // What no default has said in the first pass is written out in the next.
        let writer = Writer::new(&document, &now, after, lean && pass == 0);
        let new = gathered(&document, now.beds.len(), writer.edits(&left));
        write_into(&mut document, &new, kept)?;
        edits.extend(new);
        now = parse(&document.to_string(), name)?.system;
        left = differences(&now, after, SAME);
    }
    if let Some(path) = left.first().and_then(|one| one.path(after)) {
        return Err(WriteError::Unsaid { path });
    }
    let changed = if edits.is_empty() {
        text.to_owned()
    } else {
        document.to_string()
    };
    Ok(Written {
        undo: Undo::between(text, &changed),
        text: changed,
        edits,
        system: now,
    })
}

/// Word that stands for everything over the sump in a typed change.
const EVERYTHING: &str = "everything";

/// The text of `scenario` after typed changes. `everything = +2 in` or `everything = -50 mm` moves
/// beds, inlets, outlets and drain line together, that much higher or lower; all else is written as
/// [`edited`] does.
///
/// # Errors
/// [`WriteError`] with the first that has no place in the text or cannot be built.
pub fn with_edits(
    scenario: &Scenario,
    changes: &[Edit],
    kept: &[EditPath],
) -> Result<String, WriteError> {
    let (moves, values): (Vec<&Edit>, Vec<&Edit>) = changes
        .iter()
        .partition(|one| one.path().to_string() == EVERYTHING);
    let values: Vec<Edit> = values.into_iter().cloned().collect();
    let mut text = edited(scenario.text(), &values, kept)?.text;
    for one in moves {
        let amount = one
            .value()
            .and_then(toml_edit::Value::as_str)
            .unwrap_or_default();
        let amount = amount.trim();
        let by = length(amount.strip_prefix('+').unwrap_or(amount), Quantity::Length)
            .map_err(|_| WriteError::NoAmount)?;
        let now = parse(&text, &scenario.source.name)?;
        text = written(&now, &[Change::RaiseAll { by }], kept)?.text;
    }
    Ok(text)
}

/// The keys that `changes` touch in the scenario of `system`, beds by their number.
///
/// # Errors
/// [`Misfit`] where the changed system cannot be built.
pub fn touched(changes: &[Change], system: &System) -> Result<Vec<EditPath>, Misfit> {
    let after = Change::apply_all(changes, system)?;
    let found = differences(system, &after, SAME);
    let paths = found.iter().filter_map(|one| Difference::path(one, &after));
    Ok(paths.collect())
}

/// What the owner keeps, for asking about many changes without the text.
#[derive(Debug, Clone, Default)]
pub struct Keep(Vec<(EditPath, EditPath)>);

impl Keep {
    /// `paths` as written, for the scenario of `system`.
    pub fn new(paths: &[EditPath], system: &System) -> Self {
        let names: Vec<&str> = system.beds.iter().map(|bed| bed.name.as_str()).collect();
        let numbered = |path: &EditPath| (by_number(path, &names), path.clone());
        Self(paths.iter().map(numbered).collect())
    }

    /// What of it `changes` would touch, as it is written; `None` where nothing.
    ///
    /// # Errors
    /// [`Misfit`] where the changed system cannot be built.
    pub fn forbids(
        &self,
        changes: &[Change],
        system: &System,
    ) -> Result<Option<&EditPath>, Misfit> {
        if self.0.is_empty() {
            return Ok(None);
        }
        let touched = touched(changes, system)?;
        let kept = self.0.iter().find(|(path, _)| {
            // What stands below a kept key, and what would replace a table with one in it.
            touched
                .iter()
                .any(|one| path.covers(one) || one.covers(path))
        });
        Ok(kept.map(|(_, path)| path))
    }
}

/// `bed.north.floor` as `bed[1].floor`, and `bed.floor` too where there is one bed.
fn by_number(path: &EditPath, beds: &[&str]) -> EditPath {
    let parts = path.parts();
    let [Part::Name(list), rest @ ..] = parts else {
        return path.clone();
    };
    if list != "bed" {
        return path.clone();
    }
    let entry = |n: usize| vec![parts[0].clone(), Part::Entry(n + 1)];
    match rest {
        [Part::Name(name), rest @ ..] => {
            let named = beds.iter().position(|bed| bed == name);
            let mut found = match (named, beds.len()) {
                (Some(n), _) => entry(n),
                (None, 1) => [entry(0), vec![Part::Name(name.clone())]].concat(),
                (None, _) => return path.clone(),
            };
            found.extend(rest.iter().cloned());
            EditPath::of(found)
        }
        _ => path.clone(),
    }
}
