//! What goes for all beds: the answer in one line, notes, and how it was found.

use crate::answer::cut::{CutReport, keys};
use crate::answer::{At, Text, said};
use crate::assessment::{Assessment, Status, Subject, Verdict};
use crate::model::Bed;
use crate::report::{Topic, bed_title};
use crate::study::cut::{BedCut, Refusal};
use crate::units::UnitSystem;

/// What nobody should do with the lengths yet.
const CUT_NOTHING: &str = "Cut nothing yet";
const GLUE_NOTHING: &str = "Glue nothing yet";

impl CutReport<'_> {
    /// The answer in one line.
    pub(super) fn headline(&self) -> Text {
        let not_yet = self.still_failing().is_some();
        let (mut cut, mut left) = (Vec::new(), Vec::new());
        let (mut stays, mut refused) = (Vec::new(), Vec::new());
        let (mut given_up, mut put_in) = (Vec::new(), Vec::new());
        for found in &self.cuts.beds {
            let name = self
                .at(found)
                .word(&keys::NAME, self.bed(found).name.as_str());
            match &found.answer {
                Ok(answer) if !self.planned && answer.is_as_good(self.now(found)) => {
                    let now = self.at(found).figure(&keys::NOW, self.now(found));
                    left.push(said!("{} ({})", name, now));
                }
                Ok(_) if !self.planned && self.is_put_in(found) => {
                    let at = self.at(found).part("present");
                    let length = at.figure(&keys::LENGTH, found.present.length);
                    put_in.push(said!("{} ({})", name, length));
                }
                Ok(answer) => {
                    let length = answer.rounded(self.units).stand.length;
                    let length = self.chosen(found).figure(&keys::LENGTH, length);
                    cut.push(said!("{} to {}", name, length));
                }
                Err(_) if found.can_stay() => {
                    let at = self.at(found).part("present");
                    let now = at.figure(&keys::LENGTH, found.present.length);
                    stays.push(said!("{} ({})", name, now));
                }
                Err(Refusal::TooMuch { .. }) => given_up.push(name.into()),
                Err(refusal) => {
                    refused.push(said!("{} ({})", name, refusal.key().replace('-', " ")))
                }
            }
        }
        let lists: [(Vec<Text>, &str, &str); 6] = [
            (refused, "No length does for ", "."),
            (
                given_up,
                "The search for ",
                " was given up, for it would take too long.",
            ),
            (left, "Leave the standpipe as it is of ", "."),
            (
                stays,
                "Leave the standpipe as it is of ",
                ": it leaves what is wanted, and the longest that would does not run here.",
            ),
            (
                put_in,
                "Its length is put in already for the standpipe of ",
                match not_yet {
                    true => ".",
                    false => ": once it is sawn to that nothing more is to be changed.",
                },
            ),
            (
                cut,
                match not_yet {
                    true => "As things are it would be cut, the standpipe of ",
                    false => "Cut the standpipe of ",
                },
                ".",
            ),
        ];
        let told = lists.into_iter().filter(|(names, ..)| !names.is_empty());
        let told = told.map(|(names, begins, ends)| {
            Text::from(begins).and(Text::joined(names, ", ")).and(ends)
        });
        let mut lengths = Text::joined(told, " ");
        // Nobody saws or glues by a green word what may still not run.
        if not_yet {
            let planned = self
                .advice
                .is_some_and(|advice| !advice.plan.steps.is_empty());
            let first = match planned {
                true => "do first what stands under \"What to do\", then ask once more what to cut",
                false => {
                    "find out first what else is to be changed, then ask once more what to cut"
                }
            };
            lengths = said!(
                "{}: with these lengths the system does not pass; {}. {}",
                CUT_NOTHING,
                first,
                lengths
            );
        }
        if !self.unsure().is_empty() {
            lengths = lengths.and(said!(
                " {}: whether every siphon starts and stops with it is not sure; see the notes.",
                GLUE_NOTHING
            ));
        }
        lengths
    }

    /// What is not to be done with the lengths yet, in a few words.
    pub(crate) fn not_yet(&self) -> Option<&'static str> {
        if self.still_failing().is_some() {
            Some(CUT_NOTHING)
        } else {
            (!self.unsure().is_empty()).then_some(GLUE_NOTHING)
        }
    }

    /// What was asked.
    pub(super) fn wish(&self) -> Text {
        let wanted = At::top(self.units).figure(&keys::WANTED, self.cuts.wanted);
        said!(
            "Wanted: {} of dry gravel over the highest water, after what may be wrong with the \
             levels. Lengths run from the bed's floor, the underside of the gravel, to the lip, \
             and are {}.",
            wanted,
            match (self.failing_with_longest().is_empty(), self.planned) {
                (true, _) => "the longest that leave it",
                (false, true) => "those planned: with longer ones something else fails",
                (false, false) => "those that stand: with longer ones something else fails",
            }
        )
    }

    fn is_refused(&self, subject: Subject) -> bool {
        self.cuts
            .beds
            .iter()
            .any(|found| found.is_refused() && subject == Subject::Bed(found.bed))
    }

    /// What fails with the longest standpipes that leave the layer, where those that stand were kept.
    pub(super) fn failing_with_longest(&self) -> Vec<String> {
        let found = self.cuts.with_longest.as_ref();
        found.map_or_else(Vec::new, |found| self.failing_of(found))
    }

    fn failing_of(&self, found: &Assessment) -> Vec<String> {
        let checks = found.checks.iter();
        let mut failing: Vec<String> = checks
            .filter(|check| check.status == Status::Fail && !self.is_refused(check.subject))
            .map(|check| Topic::named(check.id, check.subject, self.system))
            .collect();
        failing.dedup();
        failing
    }

    /// Checks that still fail with these lengths, in one sentence; `None` if none does.
    pub(super) fn still_failing(&self) -> Option<Text> {
        let failing = self.failing_of(&self.cuts.assessment);
        (!failing.is_empty()).then(|| {
            said!(
                "With these lengths other things still fail ({}): write the lengths into the \
                 scenario and let `ebbwright run` say why and what to change.",
                failing.join("; ")
            )
        })
    }

    /// Of beds that may not start or not break: what that needs, and what it leaves of the length.
    fn in_doubt(&self) -> Vec<Text> {
        let mut groups: Vec<(String, Vec<String>)> = Vec::new();
        for found in self.unsure() {
            let Ok(cut) = &found.answer else { continue };
            let (what, needs) = match [cut.will_start, cut.will_break] {
                [_, Verdict::Will] => ("starts", "where it dribbles, it needs more water"),
                [Verdict::Will, _] => ("stops", "where it runs on, it needs less water"),
                _ => (
                    "starts and stops",
                    "where it dribbles, it needs more water, where it runs on, less",
                ),
            };
            let stands = cut.is_as_good(self.now(found)) || self.is_put_in(found);
            let length = match stands && !self.planned {
                true => "Let it cycle before anything is glued, and cut nothing off",
                false => {
                    "Leave the new pipe a little long and unglued until the siphon has cycled, \
                     then trim it"
                }
            };
            let words = format!(
                "whether the siphon {what} lies inside the band of what is not known, and no length \
                 settles that: {needs}. {length}."
            );
            let name = bed_title(self.bed(found));
            match groups.iter_mut().find(|(known, _)| *known == words) {
                Some((_, names)) => names.push(name),
                None => groups.push((words, vec![name])),
            }
        }
        let told = groups.into_iter();
        let mut told: Vec<Text> = told
            .map(|(words, names)| said!("{}: {}", names.join(", "), words))
            .collect();
        if let Some(last) = told.pop() {
            told.push(last.and(self.newly_unsure()));
        }
        told
    }

    /// Beds that the new length brings into doubt.
    fn newly_unsure(&self) -> Text {
        let beds = self.cuts.beds.iter();
        Text::joined(beds.filter_map(|found| self.lost(found)), "")
    }

    /// What a bed's new length costs in certainty.
    fn lost(&self, found: &BedCut) -> Option<Text> {
        let cut = found.answer.as_ref().ok()?;
        let now = [cut.will_start, cut.will_break];
        let lost: Vec<&str> = found
            .present_verdicts
            .iter()
            .zip(now)
            .zip(["start", "break"])
            .filter(|((before, now), _)| **before == Verdict::Will && *now != Verdict::Will)
            .map(|(_, what)| what)
            .collect();
        let change = cut.rounded(self.units).stand.length - found.present.length;
        let pipe = if change > 0.0 {
            "more pipe"
        } else {
            "less pipe"
        };
        (!lost.is_empty()).then(|| {
            let say = self.say();
            said!(
                " With {} standpipe bed \"{}\" would {} beyond doubt: {} {} cost that.",
                match self.planned {
                    true => "the planned",
                    false => "today's",
                },
                self.bed(found).name.as_str(),
                lost.join(" and "),
                say.length("change", change.abs()),
                pipe
            )
        })
    }

    /// What a reader should know of every answer.
    pub(super) fn notes(&self) -> Vec<Text> {
        let mut notes: Vec<Text> = self.still_failing().into_iter().collect();
        notes.extend(self.in_doubt());
        if self.are_unlike() {
            notes.push(
                "Beds that look alike get lengths of their own: each has its own inflow, and that says how \
                 high the water stands over its lip until the siphon runs full."
                    .into(),
            );
        }
        if !self.system.incidents.is_empty() {
            notes.push(
                "The scenario's events are left out: a standpipe is cut for ordinary running."
                    .into(),
            );
        }
        if self.any_cut() {
            notes.push(
                "Lengths are of the finished pipe in place: add what a joint in the floor and the \
                 sockets of fittings take. Put it together dry and measure once more before gluing."
                    .into(),
            );
        }
        notes
    }

    /// Whether beds of the same make get different lengths.
    fn are_unlike(&self) -> bool {
        let beds = self.cuts.beds.iter();
        let cut: Vec<(&Bed, f64)> = beds
            .filter_map(|found| {
                let chosen = found.answer.as_ref().ok()?.rounded(self.units);
                Some((self.bed(found), chosen.stand.length))
            })
            .collect();
        let same_make = |a: &Bed, b: &Bed| {
            let pipes = |bed: &Bed| (bed.siphon.standpipe.bore, bed.siphon.bell.bore);
            a.shape == b.shape && a.media == b.media && pipes(a) == pipes(b)
        };
        let mut pairs = cut.iter().zip(cut.iter().skip(1));
        pairs.any(|(a, b)| same_make(a.0, b.0) && (a.1 - b.1).abs() > 1e-6)
    }

    /// How the lengths were found.
    pub(super) fn method(&self) -> Text {
        let count = At::top(self.units).count(&keys::SIMULATIONS, self.cuts.simulations);
        let method = said!(
            "Every figure comes from full simulations of the whole system, {} in all, with all \
             beds at their lengths together.",
            count
        );
        if !self.any_cut() || self.cuts.with_longest.is_some() {
            return method;
        }
        let (more, to) = match self.units {
            UnitSystem::Metric => ("1 mm", "whole millimetres"),
            UnitSystem::Us => ("1/16 in", "sixteenths of an inch"),
        };
        method.and(format!(
            " {more} more on any one pipe would no longer leave the wanted layer in some bed. \
             Rounded lengths go down, to {to}, and were simulated again.",
        ))
    }

    fn any_cut(&self) -> bool {
        self.cuts.beds.iter().any(|found| found.answer.is_ok())
    }
}
