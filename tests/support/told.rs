//! What an assessment says in words, beside its figures.
#![allow(dead_code)]

use ebbwright::assessment::{self, Adviser, Fix};
use ebbwright::model::{Change, System};
use ebbwright::report::{Text, because, caution_words, fix_words, note_words};
use ebbwright::simulation::Run;
use ebbwright::units::UnitSystem;
use std::ops::Deref;

/// A check with its words.
#[derive(Debug, Clone)]
pub struct Check {
    check: assessment::Check,
    pub subject: String,
    pub because: String,
    pub first_fix: String,
    pub fixes: Vec<Fix>,
}

impl Check {
    /// What to change first.
    pub fn first(&self) -> &Fix {
        self.fixes.first().expect("something to change")
    }

    /// Whether an incident is undone first.
    pub fn is_undone(&self) -> bool {
        let first = self.fixes.first();
        first.is_some_and(|fix| matches!(fix.changes.first(), Some(Change::ClearIncident(_))))
    }
}

impl Deref for Check {
    type Target = assessment::Check;

    fn deref(&self) -> &assessment::Check {
        &self.check
    }
}

/// An assessment with its words.
#[derive(Debug, Clone)]
pub struct Assessment {
    assessment: assessment::Assessment,
    pub checks: Vec<Check>,
    pub notes: Vec<String>,
    pub cautions: Vec<String>,
}

impl Deref for Assessment {
    type Target = assessment::Assessment;

    fn deref(&self) -> &assessment::Assessment {
        &self.assessment
    }
}

fn printed(texts: Vec<Text>) -> Vec<String> {
    texts.iter().map(Text::to_string).collect()
}

/// Judges `run` and says it.
pub fn assess(system: &System, run: &Run, units: UnitSystem) -> Assessment {
    let found = assessment::assess(system, run);
    let adviser = Adviser::new(system, run, units);
    let checks = found.checks.iter().map(|check| {
        let fixes = adviser.fixes(check);
        Check {
            subject: check.subject.name(system).to_owned(),
            because: because(system, check, units).to_string(),
            first_fix: fixes
                .first()
                .map_or_else(String::new, |fix| fix_words(system, fix, units).to_string()),
            fixes,
            check: check.clone(),
        }
    });
    Assessment {
        checks: checks.collect(),
        notes: printed(note_words(system, run, &found.notes, units)),
        cautions: printed(caution_words(system, &found.cautions, units)),
        assessment: found,
    }
}
