//! The tables of keys: what each figure of a result is called, in which unit, and when it is
//! not there. Documents make their figures from them, JSON and its schema are walks over them.

use crate::answer::Kind;

/// How many values stand under one key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// One.
    One,
    /// These named ones.
    Named(&'static [&'static str]),
    /// A list.
    List,
}

/// Mean and extremes over time.
pub const SPREAD: Form = Form::Named(&["mean", "min", "max"]);
/// What a soft coefficient leaves open.
pub const BAND: Form = Form::Named(&["low", "nominal", "high"]);
/// Both ends of a range.
pub const ENDS: Form = Form::Named(&["low", "high"]);

/// One key of a result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Its name in JSON, with the SI unit where there is one.
    pub name: &'static str,
    /// How many values it has.
    pub form: Form,
    /// What they measure.
    pub kind: Kind,
    /// What they say, in one sentence.
    #[cfg(feature = "schema")]
    pub means: &'static str,
    /// When there is none, and JSON says `null`; without the feature `schema` only that it may be so.
    pub absent: Option<&'static str>,
}

impl Key {
    /// A key with one value that is always there.
    pub const fn new(name: &'static str, kind: Kind, means: &'static str) -> Self {
        #[cfg(not(feature = "schema"))]
        let _ = means;
        Self {
            name,
            form: Form::One,
            kind,
            #[cfg(feature = "schema")]
            means,
            absent: None,
        }
    }

    /// The same with several values.
    #[must_use]
    pub const fn of(mut self, form: Form) -> Self {
        self.form = form;
        self
    }

    /// The same, `null` in this case.
    #[must_use]
    pub const fn absent(mut self, when: &'static str) -> Self {
        // Words that only the schema has are not carried where there is none.
        self.absent = Some(if cfg!(feature = "schema") { when } else { "" });
        self
    }
}

/// Keys that stand together at one or several places.
pub type Group = &'static [Key];

/// All keys of one command's results: each group and where it stands, such as
/// `beds[].levers[]`, the top as an empty text. JSON keeps the order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Table {
    /// The command.
    pub command: &'static str,
    /// What its results say, in one sentence.
    pub means: &'static str,
    /// Where each group stands.
    pub groups: &'static [(&'static str, Group)],
}

/// Declares keys as constants and the group of all of them:
///
/// ```ignore
/// keys! { pub(super) SUMP:
///     LEVEL = Key::new("level_m", Kind::Elevation, "Water level.").of(SPREAD);
///     RAN_DRY = Key::new("ran_dry_s", Kind::Time, "How long the pump drew air.");
/// }
/// ```
macro_rules! keys {
    ($seen:vis $group:ident: $($name:ident = $key:expr;)+) => {
        $($seen const $name: $crate::answer::Key = $key;)+
        $seen const $group: $crate::answer::Group = &[$($name),+];
    };
}

/// Keys of every command.
pub(super) mod common {
    use super::{Key, Kind};

    keys! { pub(in crate::answer) TOP:
        SCHEMA = Key::new("schema", Kind::Count, "Version of these keys.");
        VERSION = Key::new("version", Kind::Text, "Version of the program.");
        COMMAND = Key::new("command", Kind::Text, "The command that was asked.");
        TITLE = Key::new("title", Kind::Text, "Title of the scenario.");
        VERDICT = Key::new("verdict", Kind::Word(&["pass", "warn", "fail"]), "The answer in one word.")
            .absent("the command judges nothing");
        HEADLINE = Key::new("headline", Kind::Text, "The answer in a sentence or two.");
    }
}
