//! The engine behind the page: one question in, one answer out, both JSON.

use serde_json::{Value, json};

use super::asks;
use super::request::{Request, View, Work};
use super::series::series;
use super::wished::{Refused, Wished, changed, changed_and_told, shown};
use crate::answer::{Document, Marks};
use crate::assessment::{Assessment, CheckId, Note, Status, Subject};
use crate::model::{Duration, System};
use crate::plots::scene;
use crate::report::{Advice, Report, Topic};
use crate::scenario::{
    self, Fault, FaultKind, Scenario, Severity, fields, in_form_units, plain_name, without_keys_at,
};
use crate::simulation::Sampling;
use crate::study::mend::Judged;
use crate::study::window::without_incidents;
use crate::units::HOUR;
use crate::units::UnitSystem;

/// Seconds between samples of the series, events apart; as `run` has it.
const SAMPLE_EVERY: f64 = 10.0;

/// Answers what a page asks, and keeps the last run, so that other units or a second look need
/// no new one.
///
/// # Example
/// ```
/// let mut engine = ebbwright::page::Engine::default();
/// let starter = engine.call(r#"{"call": "starter", "units": "metric"}"#);
/// assert!(starter.contains("[sump]"));
/// assert!(engine.call("nonsense").contains("error"));
/// ```
#[derive(Debug, Default)]
pub struct Engine {
    last: Option<Answered>,
}

/// A scenario with its run.
#[derive(Debug)]
struct Answered {
    text: String,
    name: String,
    hours: Option<f64>,
    /// Without its events.
    system: System,
    judged: Judged,
}

/// Beds whose start or break is in doubt or fails, by what their card asks: somebody may have seen otherwise.
fn contested(assessment: &Assessment) -> Value {
    let of = |id: CheckId| {
        let open = assessment.checks.iter();
        let open = open.filter(|one| one.id == id && one.status != Status::Pass);
        let beds = open.filter_map(|one| match one.subject {
            Subject::Bed(bed) => Some(bed),
            _ => None,
        });
        beds.collect::<Vec<usize>>()
    };
    json!({
        Topic::of(CheckId::Starts).label(): of(CheckId::Starts),
        Topic::of(CheckId::Breaks).label(): of(CheckId::Breaks),
    })
}

impl Engine {
    /// Answers a question; what cannot be answered is an object with `error`, and `faults` where
    /// the scenario has some.
    pub fn call(&mut self, question: &str) -> String {
        let answer = match serde_json::from_str::<Request>(question) {
            Ok(request) => self
                .answer(&request)
                .unwrap_or_else(|refused| refusal(&refused)),
            Err(error) => json!({ "error": format!("no question: {error}") }),
        };
        answer.to_string()
    }

    fn answer(&mut self, request: &Request) -> Result<Value, Refused> {
        match request {
            Request::Starter { units } => {
                let text = match UnitSystem::from(*units) {
                    UnitSystem::Metric => scenario::starter(),
                    UnitSystem::Us => scenario::starter_us(),
                };
                Ok(json!({ "text": text }))
            }
            Request::Read { work, view } => Ok(read(&changed(work)?, work, *view)),
            Request::Answer { work, view } => self.judge(work, *view),
            Request::Results { work } => {
                let wished = Wished::new(work)?;
                let last = self.run(&wished.scenario, work, None)?;
                let advised = asks::advised(&wished, &last.judged, None)?;
                let advice = advised.as_ref().map(|found| found.advice());
                let document = last.document(wished.units, advice);
                let text = document.json().map_err(Refused::because)?;
                Ok(json!({ "json": text }))
            }
            Request::Plan {
                work,
                tries,
                seen,
                stood,
            } => {
                let stood = stood.as_ref().filter(|stood| **stood != work.with);
                let stood = stood.map(|with| {
                    let with = with.clone();
                    changed(&Work {
                        with,
                        ..work.clone()
                    })
                });
                // What cannot be built any more explains nothing, and no plan fails for it.
                let stood = stood.and_then(Result::ok);
                let stood = stood.as_ref().map(|scenario| &scenario.system);
                asks::plan(&Wished::new(work)?, *tries, seen.as_ref(), stood)
            }
            Request::Cut { work, dry_layer } => {
                asks::cut_sheets(&Wished::new(work)?, dry_layer.as_deref())
            }
            Request::StillSeen { work, seen } => asks::still_seen(&Wished::new(work)?, seen),
            Request::Why { work, seen } => asks::why(&Wished::new(work)?, seen),
            Request::Fit { work, seen } => asks::fit(&Wished::new(work)?, seen),
            Request::Draft { told } => asks::drafted(told),
            Request::Bears { work } => bears(work),
            Request::Measure { work, bed } => asks::measure(&Wished::new(work)?, *bed),
            Request::Inflows { flows, units } => Ok(asks::unreadable(flows, (*units).into())),
            Request::Junctions { length, told } => asks::junctions(length, told),
            Request::Catalogue { units } => Ok(asks::catalogue((*units).into())),
        }
    }

    fn judge(&mut self, work: &Work, view: View) -> Result<Value, Refused> {
        let (scenario, told) = changed_and_told(work)?;
        let mut out = read(&scenario, work, view);
        out["told"] = json!(told);
        let last = self.run(&scenario, work, view.hours)?;
        let answer = shown(&last.document(work.units.into(), None));
        if let (Some(out), Value::Object(answer)) = (out.as_object_mut(), answer) {
            out.extend(answer);
        }
        out["contested"] = contested(&last.judged.assessment);
        if view.series {
            out["series"] = series(&last.system, &last.judged.run);
        }
        Ok(out)
    }

    /// The scenario's run, the last one where nothing was changed since.
    fn run(
        &mut self,
        scenario: &Scenario,
        work: &Work,
        hours: Option<f64>,
    ) -> Result<&Answered, Refused> {
        let known = self.last.take().filter(|last| {
            last.text == scenario.text() && last.name == work.name && last.hours == hours
        });
        let last = match known {
            Some(last) => last,
            None => Answered::new(scenario, &work.name, hours)?,
        };
        Ok(self.last.insert(last))
    }
}

impl Answered {
    fn new(scenario: &Scenario, name: &str, hours: Option<f64>) -> Result<Self, Refused> {
        let system = match hours {
            Some(hours) => shorter(&scenario.system, hours * HOUR),
            None => scenario.system.clone(),
        };
        let judged = Judged::recorded(&system, Sampling::Thinned(SAMPLE_EVERY));
        Ok(Self {
            text: scenario.text().to_owned(),
            name: name.to_owned(),
            hours,
            system: without_incidents(&system),
            judged: judged.map_err(Refused::because)?,
        })
    }

    /// What does not pass, by what its card asks.
    fn failing(&self, units: UnitSystem) -> Vec<String> {
        let cards = self.document(units, None).cards(Marks::Short);
        let failing = cards.into_iter().filter(|card| card.status == "fail");
        failing.map(|card| card.asks).collect()
    }

    /// The answer to `run`.
    fn document(&self, units: UnitSystem, advice: Option<Advice>) -> Document {
        let mut assessment = self.judged.assessment.clone();
        let apart = self.judged.run.recording.spacing;
        if apart > 0.0 {
            assessment.notes.push(Note::Spacing(apart));
        }
        let report = Report {
            judged: Some(&self.judged),
            advice,
            ..Report::new(&self.system, &self.judged.run, &assessment, units)
        };
        report.document(&self.name)
    }
}

/// Whether the system bears its last change, in a sentence that begins with yes or no.
fn bears(work: &Work) -> Result<Value, Refused> {
    let mut before = work.clone();
    before.with.pop();
    let failing = |work: &Work| -> Result<Vec<String>, Refused> {
        let last = Answered::new(&changed(work)?, &work.name, None)?;
        Ok(last.failing(work.units.into()))
    };
    let (was, now) = (failing(&before)?, failing(work)?);
    let new: Vec<&str> = now
        .iter()
        .filter(|one| !was.contains(one))
        .map(String::as_str)
        .collect();
    let says = match (now.is_empty(), new.is_empty()) {
        (true, _) => "Yes, the system bears it: with it nothing fails.".to_owned(),
        (false, true) => format!(
            "No: what did not pass before does not pass with it either ({}).",
            now.join(", ")
        ),
        (false, false) => format!(
            "No, as it stands the system does not bear it: what passed before fails now ({}). \
             \u{201c}What to do\u{201d} looks for what makes it pass.",
            new.join(", ")
        ),
    };
    Ok(json!({ "says": says }))
}

/// What a page without an answer of its own begins with; none where it cannot be simulated.
#[cfg(feature = "cli")]
pub fn answered(text: &str, name: &str, units: UnitSystem) -> Option<Document> {
    let work = Work {
        text: text.to_owned(),
        name: name.to_owned(),
        ..Work::default()
    };
    let wished = Wished {
        units,
        ..Wished::new(&work).ok()?
    };
    let last = Answered::new(&wished.scenario, name, None).ok()?;
    let advised = asks::advised(&wished, &last.judged, None).ok()?;
    Some(last.document(units, advised.as_ref().map(|found| found.advice())))
}

/// The system over less time, without its events.
fn shorter(system: &System, seconds: f64) -> System {
    let mut system = without_incidents(system);
    system.duration = match system.duration {
        Duration::Fixed(time) => Duration::Fixed(time.min(seconds)),
        other => other,
    };
    system
}

fn refusal(refused: &Refused) -> Value {
    match refused {
        Refused::Because(why) => json!({ "error": why }),
        Refused::Fact(box_of, why) => json!({ "error": why, "fact": box_of }),
        Refused::Faults(error) => {
            let faults: Vec<Value> = error.faults().iter().map(fault).collect();
            json!({ "error": error.to_string(), "faults": faults })
        }
    }
}

/// A fault for a form: the place by itself, and words that name no file.
fn fault(fault: &Fault) -> Value {
    let place = fault.path.to_string();
    json!({
        "key": place,
        "line": fault.line,
        "warning": fault.severity == Severity::Warning,
        "missing": matches!(fault.kind, FaultKind::Missing | FaultKind::NoneOf { .. } | FaultKind::Without { .. }),
        "together": matches!(fault.kind, FaultKind::Rule(_)),
        "named": plain_name(&place),
        "says": plainly(&place, &fault.kind.to_string()),
        "help": plainly(&place, &fault.help),
    })
}

/// Without the file's language, in the units of a form.
fn plainly(place: &str, words: &str) -> String {
    in_form_units(place, &without_keys_at(place, words))
}

/// Form, faults and drawing of a scenario that need not be simulated yet.
fn read(scenario: &Scenario, work: &Work, view: View) -> Value {
    let system = &scenario.system;
    let level = |key: &str| start_level(system, key);
    let names: Vec<&str> = system.beds.iter().map(|bed| bed.name.as_str()).collect();
    let mut out = json!({
        "title": system.title,
        "text": scenario.text(),
        "warnings": scenario.warnings.iter().map(fault).collect::<Vec<_>>(),
        "beds": names,
    });
    if view.fields {
        out["fields"] = json!(fields(scenario, work.units.into()));
    }
    if let Some(width) = view.width {
        out["scene"] = json!(scene(system, width, &level));
    }
    out
}

/// Where water stands before anything runs; beds begin empty.
fn start_level(system: &System, key: &str) -> Option<f64> {
    match key {
        "sump" => Some(system.sump.start_level),
        "tank" => system.tank.as_ref().map(|tank| tank.start_level),
        "settler" => system
            .settler
            .as_ref()
            .map(|settler| settler.overflow_level),
        _ => None,
    }
}
