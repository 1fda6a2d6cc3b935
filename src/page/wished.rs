//! A scenario with the changes that a page asks about.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::plain::{plain, plain_parts};
use super::request::{Step, Whole, Work};
use crate::answer::{Document, Marks, status_key};
use crate::model::{Bed, Change as Doing, Outlet, Pipe, Quantity as Changed, System, Vessel};
use crate::scenario::{
    Edit, EditPath, GuessedDrain, Scenario, ScenarioError, WriteError, edited, parse,
    with_bed_like, without_bed, written,
};
use crate::study::measure::Measurable;
use crate::study::valves::{AsRead, Tells, as_read};
use crate::units::UnitSystem;
use crate::units::parse::parse as quantity;
use crate::units::reading::read as reading;
use crate::units::table::Quantity;

/// Why there is no answer.
pub(super) enum Refused {
    /// The scenario has these faults.
    Faults(Box<ScenarioError>),
    /// What else is in the way, in a sentence.
    Because(String),
    /// A fact of a system not built yet, by its box on the page, and what is wrong with it.
    Fact(&'static str, String),
}

impl From<ScenarioError> for Refused {
    fn from(error: ScenarioError) -> Self {
        Self::Faults(Box::new(error))
    }
}

impl From<WriteError> for Refused {
    fn from(error: WriteError) -> Self {
        match error {
            WriteError::Scenario(error) => Self::Faults(error),
            other => Self::because(other),
        }
    }
}

impl Refused {
    pub(super) fn because(error: impl ToString) -> Self {
        Self::Because(error.to_string())
    }
}

/// A scenario to ask something about.
pub(super) struct Wished<'a> {
    pub scenario: Scenario,
    /// The scenario's system before the changes.
    pub built: System,
    /// What of each bed's drain is still assumed.
    pub guessed: Vec<GuessedDrain>,
    pub kept: Vec<EditPath>,
    pub units: UnitSystem,
    pub name: &'a str,
}

impl<'a> Wished<'a> {
    pub(super) fn new(work: &'a Work) -> Result<Self, Refused> {
        let scenario = changed(work)?;
        let kept = scenario.keep.iter().cloned().chain(kept(work)?).collect();
        let built = parse(&work.text, &work.name)?;
        Ok(Self {
            guessed: still_guessed(&built, &scenario.system),
            built: built.system,
            scenario,
            kept,
            units: work.units.into(),
            name: &work.name,
        })
    }
}

/// What was assumed of the drains of `built` and stands in `now` as it was: what was set since is told.
fn still_guessed(built: &Scenario, now: &System) -> Vec<GuessedDrain> {
    let of_built: Vec<_> = built
        .system
        .beds
        .iter()
        .zip(built.guessed_drains())
        .collect();
    let still = |bed: &Bed| {
        let (was, guessed) = of_built.iter().find(|(was, _)| was.name == bed.name)?;
        let [before, after] = [&was.siphon.drain, &bed.siphon.drain];
        Some(GuessedDrain {
            outlet: guessed.outlet && before.outlet == after.outlet,
            length: guessed.length && before.losses == after.losses,
        })
    };
    let beds = now.beds.iter();
    beds.map(|bed| still(bed).unwrap_or_default()).collect()
}

/// A document as the page shows it: its parts as markup, its verdict as a word.
pub(super) fn shown(document: &Document) -> Value {
    let parts: Vec<Value> = plain_parts(document.parts(Marks::Whole))
        .map(|part| {
            json!({
                "key": part.key, "title": part.title, "place": part.place, "html": part.html,
            })
        })
        .collect();
    let cards: Vec<Value> = document
        .cards(Marks::Whole)
        .into_iter()
        .map(|card| {
            json!({ "status": card.status, "word": card.word, "asks": card.asks, "html": plain(&card.html) })
        })
        .collect();
    json!({
        "command": document.keys.command,
        "title": document.title,
        "verdict": document.verdict.map(status_key),
        "head": plain(&document.head_html(Marks::Whole)),
        "cards": cards,
        "parts": parts,
    })
}

fn kept(work: &Work) -> Result<Vec<EditPath>, Refused> {
    let paths = work
        .keep
        .iter()
        .map(|key| key.parse().map_err(Refused::because));
    paths.collect()
}

/// The scenario with every change made.
pub(super) fn changed(work: &Work) -> Result<Scenario, Refused> {
    changed_and_told(work).map(|one| one.0)
}

/// The same, with what the bucket's readings among the changes say.
pub(super) fn changed_and_told(work: &Work) -> Result<(Scenario, Vec<String>), Refused> {
    let mut said = Vec::new();
    let mut scenario = parse(&work.text, &work.name)?;
    let kept = kept(work)?;
    for step in &work.with {
        let text = match step {
            Step::Edit(edit) => typed(&scenario, std::slice::from_ref(edit), &kept)?,
            Step::Edits(edits) => typed(&scenario, edits, &kept)?,
            Step::Whole(Whole::StopPump { at }) => {
                let at = toml::Value::from(at.as_str());
                format!(
                    "{}\n[[event]]\nat = {at}\npump = \"stops\"\n",
                    scenario.text()
                )
            }
            Step::Whole(Whole::TakeOut { bed }) => {
                without_bed(scenario.text(), *bed).map_err(Refused::because)?
            }
            Step::Whole(Whole::OneMore { bed }) => one_more(&scenario, *bed, &work.name, &kept)?,
            Step::Whole(whole) => {
                let doing = match whole {
                    Whole::ReadInflow { flows, but } => {
                        let (read, words) = read_inflow(flows, &scenario, work.units.into())?;
                        said = words;
                        let all = read.changes.into_iter();
                        all.filter(|one| but.is_none() || of_bed(one) != *but)
                            .collect()
                    }
                    _ => vec![whole_change(whole)?],
                };
                // What the file keeps, no plan touches; a person may.
                let mut free = scenario.clone();
                free.keep.clear();
                written(&free, &doing, &kept)?.text
            }
        };
        scenario = parse(&text, &work.name)?;
    }
    Ok((scenario, said))
}

/// One more bed; the pump that buckets told of brings it no more water: what they read is shared anew.
fn one_more(
    scenario: &Scenario,
    bed: usize,
    name: &str,
    kept: &[EditPath],
) -> Result<String, Refused> {
    let text = with_bed_like(scenario.text(), bed).map_err(Refused::because)?;
    let mut more = parse(&text, name)?;
    let flows = |system: &System| -> Vec<f64> {
        let each = system.beds.iter();
        each.map(|bed| bed.inlet.measured().unwrap_or(0.0))
            .collect()
    };
    let (before, after) = (flows(&scenario.system), flows(&more.system));
    let (all, wanted) = (before.iter().sum::<f64>(), after.iter().sum::<f64>());
    if all >= wanted {
        return Ok(text);
    }
    let shared = after.iter().enumerate().filter(|(_, flow)| **flow > 0.0);
    let shared: Vec<Doing> = shared
        .map(|(bed, flow)| Doing::Inflow {
            bed,
            to: flow * all / wanted,
        })
        .collect();
    more.keep.clear();
    Ok(written(&more, &shared, kept)?.text)
}

fn typed(scenario: &Scenario, edits: &[String], kept: &[EditPath]) -> Result<String, Refused> {
    let changes: Result<Vec<Edit>, _> = edits.iter().map(|edit| edit.parse()).collect();
    let changes = changes.map_err(Refused::because)?;
    let kept: Vec<EditPath> = scenario.keep.iter().chain(kept).cloned().collect();
    let after = edited(scenario.text(), &changes, &kept).map_err(Refused::because)?;
    Ok(after.text)
}

fn whole_change(whole: &Whole) -> Result<Doing, Refused> {
    let length = |text: &str| {
        let found = quantity(text, Quantity::Length);
        found.map_err(|error| Refused::Because(format!("{text}: {error}")))
    };
    Ok(match whole {
        Whole::RaiseAll { by } => Doing::RaiseAll { by: length(by)? },
        Whole::MoveSump { by } => Doing::MoveSump { by: length(by)? },
        Whole::TipSump => Doing::Tip(Vessel::Sump),
        Whole::JoinSump { count } => Doing::Join { count: *count },
        Whole::RaiseBed { bed, by } => Doing::RaiseBed {
            bed: *bed,
            by: length(by)?,
        },
        Whole::ReadInflow { .. }
        | Whole::TakeOut { .. }
        | Whole::OneMore { .. }
        | Whole::StopPump { .. } => {
            return Err(Refused::because("this is no change by itself"));
        }
    })
}

/// Whose inlet a change of a reading sets.
fn of_bed(change: &Doing) -> Option<usize> {
    match change {
        Doing::Inflow { bed, .. }
        | Doing::Set {
            what:
                Changed::Branch(Outlet::Bed(bed), _) | Changed::Pipe(Pipe::Branch(Outlet::Bed(bed)), _),
            ..
        } => Some(*bed),
        _ => None,
    }
}

/// A flow into a bed as it was read `[m3/s]`, or what is wrong with it.
pub(super) fn inflow(text: &str, units: UnitSystem) -> Result<f64, String> {
    let found = reading(text, Quantity::Flow).map_err(|error| format!("{text}: {error}"))?;
    let (least, most) = Measurable::Inflow.allowed();
    if found.value >= least && found.value <= most {
        return Ok(found.value);
    }
    let (least, most) = (units.flow(least), units.flow(most));
    Err(format!("{text}: a bed gets {least} to {most}"))
}

/// What a bucket read is what the beds get, and what that says of pump, pipes and valves.
fn read_inflow(
    flows: &BTreeMap<String, String>,
    scenario: &Scenario,
    units: UnitSystem,
) -> Result<(AsRead, Vec<String>), Refused> {
    let system = &scenario.system;
    let flow = |(bed, text): (&String, &String)| {
        let bed: usize = bed.parse().map_err(Refused::because)?;
        Ok((bed, inflow(text, units).map_err(Refused::Because)?))
    };
    let flows: Result<Vec<_>, Refused> = flows.iter().map(flow).collect();
    let read = as_read(system, &flows?).map_err(Refused::because)?;
    let name = |bed: usize| system.beds.get(bed).map_or("", |bed| bed.name.as_str());
    let words = read.tells.iter().map(|one| match *one {
        Tells::Opening { bed, opening } => format!(
            "\"{}\": by the bucket its valve stood about {} open.",
            name(bed),
            units.percent(opening)
        ),
        Tells::InTheWay { bed, would } => format!(
            "\"{}\": pump and pipes as they are told would give {}. Something is in the way \
             (dirt, a kink, a valve that is not told), or a size is wrong: clear it, or correct \
             it, before anything is cut.",
            name(bed),
            units.flow(would)
        ),
        Tells::Faster(ratio) => format!(
            "The pump gives more than was told of it: as if it turned at {} of its speed, unless \
             a pipe or valve of its supply is wider than told or assumed.",
            units.percent(ratio)
        ),
    });
    let words = words.collect();
    Ok((read, words))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::panic)]
mod tests {
    use serde_json::{Value, json};

    use super::super::Engine;

    /// Of which a bucket told the flows.
    const BUCKETS: &str = include_str!("../../tests/page/two-tubs.toml");

    fn asked(question: &Value) -> Value {
        serde_json::from_str(&Engine::default().call(&question.to_string())).unwrap()
    }

    fn flows(text: &str) -> Vec<f64> {
        let beds = crate::scenario::parse(text, "beds.toml")
            .unwrap()
            .system
            .beds;
        beds.iter()
            .map(|bed| bed.inlet.measured().unwrap())
            .collect()
    }

    // Another bed makes no water: the pump that the buckets told of feeds it, too.
    #[test]
    fn one_more_bed_shares_what_the_buckets_read() {
        let before = flows(BUCKETS);
        let more = asked(&json!({
            "call": "read", "text": BUCKETS, "name": "two.toml", "with": [{ "do": "one-more", "bed": 1 }],
        }));
        let after = flows(more["text"].as_str().unwrap_or_else(|| panic!("{more}")));
        let sum = |flows: &[f64]| flows.iter().sum::<f64>();
        assert_eq!(after.len(), before.len() + 1);
        assert!((sum(&after) / sum(&before) - 1.0).abs() < 1e-9, "{after:?}");
        assert!((after[1] / after[0] - before[1] / before[0]).abs() < 1e-9);
        assert_eq!(after[1], after[2]);
    }

    // A bucket says nothing of what the pump could give: an inlet that stands too far open can be
    // put in and looked at like any other cause.
    #[test]
    fn an_inlet_too_far_open_can_be_put_in_where_only_buckets_told() {
        let ask = |call: &str, with: &Value| {
            asked(&json!({
                "call": call, "text": BUCKETS, "name": "two.toml", "with": with, "symptom": "runs-on",
            }))
        };
        let found = ask("why", &json!([]));
        let mut suspects = found["suspects"].as_array().unwrap().iter();
        let open =
            suspects.find(|one| one["says"].as_str().unwrap().contains("valve open too far"));
        let edits = &open.unwrap()["edits"];
        assert!(!edits.as_array().unwrap().is_empty(), "{found}");
        let after = ask("answer", &json!([edits]));
        let text = after["text"].as_str().unwrap();
        assert!(flows(text)[0] > 1.1 * flows(BUCKETS)[0], "{edits}");
    }
}
