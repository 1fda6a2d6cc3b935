//! Questions that take many runs: the plan, what to cut, what is wrong, what was measured.

mod trouble;

pub(super) use trouble::why;

use std::collections::BTreeMap;
use std::fmt::Write;

use serde_json::{Value, json};

use super::request::{Seen, Told};
use super::wished::{Refused, Wished, inflow, shown};
use crate::answer::{
    CutReport, FitReport, MeasureAnswer, MendAnswer, fit_changes, readings_template,
    refusal_because, refusal_hint, still_to_be_seen,
};
use crate::assessment::assess;
use crate::model::{DrainLine, System};
use crate::plots::{SiphonPage, siphon_drawing};
use crate::report::coefficient_meaning;
use crate::scenario::{
    self, Advised, FactError, Seek, advised_as_read, bed_fact, draft, parse_measured, pump_fact,
    room_fact, sump_fact, tank_fact, written_as,
};
use crate::simulation::{Sampling, simulate};
use crate::study::cut::{BedCut, Cuts, Wish as CutWish, cut, wishing};
use crate::study::draft::Facts;
use crate::study::fit::{Fit, fit as fit_system};
use crate::study::measure::{FactKind, Measurable, Measured, Seen as Saw, examine};
use crate::study::mend::{Judged, MOST_TRIED};
use crate::study::protocol::protocol;
use crate::study::why::{self, Cause, Symptom};
use crate::units::UnitSystem;
use crate::units::amounts;
use crate::units::parse::parse as quantity;
use crate::units::table::{Quantity, significant};

fn seek<'a>(wished: &'a Wished, tries: Option<usize>) -> Seek<'a> {
    Seek {
        kept: &wished.kept,
        sizes: wished.units,
        most_tried: tries.unwrap_or(MOST_TRIED),
    }
}

/// The plan for `system`, which is the scenario's or has other limits.
fn plan_for(wished: &Wished, system: &System, tries: Option<usize>) -> Result<Advised, Refused> {
    let seek = seek(wished, tries);
    scenario::advised(&wished.scenario, system, seek, &|_| {}).map_err(Refused::because)
}

/// The plan for the system, a bed of which gets what was read; `None` where the scenario cannot say it.
fn plan_as_read(wished: &Wished, read: (usize, f64)) -> Result<Option<Advised>, Refused> {
    let found = advised_as_read(&wished.scenario, &[read], seek(wished, None), &|_| {});
    found.map_err(Refused::because)
}

/// The plan where something fails in `judged`; nothing to do without.
pub(super) fn advised(
    wished: &Wished,
    judged: &Judged,
    tries: Option<usize>,
) -> Result<Option<Advised>, Refused> {
    if judged.failing().is_empty() {
        return Ok(None);
    }
    plan_for(wished, &wished.scenario.system, tries).map(Some)
}

/// The plan, with each step as changes that can be tried; `stood` is the system when something was
/// seen, where it was changed since.
pub(super) fn plan(
    wished: &Wished,
    tries: Option<usize>,
    seen: Option<&Seen>,
    stood: Option<&System>,
) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let found = plan_for(wished, system, tries)?;
    let complaint = seen.and_then(|seen| unexplained(system, seen));
    let before = seen.zip(stood).filter(|_| complaint.is_some());
    let answer = MendAnswer {
        advice: found.advice(),
        system,
        complaint,
        mended: before.is_some_and(|(seen, stood)| unexplained(stood, seen).is_none()),
        found: seen.and_then(confirmed),
        units: wished.units,
    };
    let mut out = shown(&answer.document(wished.name));
    out["steps"] = json!(found.edits);
    out["surer"] = json!(found.surer);
    out["works"] = json!(found.plan.works());
    Ok(out)
}

/// Flows that cannot be read, by the bed's index as told, with why.
pub(super) fn unreadable(flows: &BTreeMap<String, String>, units: UnitSystem) -> Value {
    let wrong = flows
        .iter()
        .filter_map(|(bed, text)| Some((bed.as_str(), inflow(text, units).err()?)));
    json!({ "faults": wrong.collect::<BTreeMap<_, _>>() })
}

/// Where pipes join a line, in metres from its lower end.
pub(super) fn junctions(length: &str, told: &[String]) -> Result<Value, Refused> {
    let metres = |text: &str| quantity(text, Quantity::Length).map_err(Refused::because);
    let told: Result<Vec<Option<f64>>, Refused> = told
        .iter()
        .map(|text| (!text.is_empty()).then(|| metres(text)).transpose())
        .collect();
    Ok(json!({ "at": DrainLine::junctions(&told?, metres(length)?) }))
}

/// What a quick check has confirmed at a bed.
fn confirmed(seen: &Seen) -> Option<(usize, Cause)> {
    let mut checks = seen.checks.iter();
    checks.find_map(|(cause, yes)| Some((seen.bed, Cause::from_key(cause).filter(|_| *yes)?)))
}

/// Whether what is seen at a bed is still to be expected.
pub(super) fn still_seen(wished: &Wished, seen: &Seen) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let Some(symptom) = seen.symptom.as_deref().and_then(Symptom::from_key) else {
        return Ok(json!({ "says": "" }));
    };
    let expected = why::is_to_be_expected(system, seen.bed, symptom).map_err(Refused::because)?;
    let run = simulate(system, Sampling::None).map_err(Refused::because)?;
    let judged = assess(system, &run);
    let says = still_to_be_seen((system, &judged), (seen.bed, symptom), expected);
    Ok(json!({ "says": says, "expected": expected }))
}

/// What is seen at a bed and not to be expected of the system as described.
fn unexplained(system: &System, seen: &Seen) -> Option<(usize, Symptom)> {
    let symptom = Symptom::from_key(seen.symptom.as_deref()?)?;
    let expected = why::is_to_be_expected(system, seen.bed, symptom);
    (!expected.ok()?).then_some((seen.bed, symptom))
}

/// The sheets to cut by.
pub(super) fn cut_sheets(wished: &Wished, dry_layer: Option<&str>) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let dry_layer = match dry_layer {
        Some(text) => quantity(text, Quantity::Length)
            .map_err(|error| Refused::Because(format!("{text}: {error}")))?,
        None => system.thresholds.dry_layer,
    };
    let wish = CutWish {
        dry_layer,
        only: None,
    };
    let cuts = cut(system, &wish, &mut |_| {}).map_err(Refused::because)?;
    let fittings = wished.scenario.fittings();
    let refused = cuts.beds.iter().any(BedCut::is_refused);
    let advised = if refused {
        Some(plan_for(wished, &wishing(system, dry_layer), None)?)
    } else {
        None
    };
    let report = CutReport {
        system,
        built: &wished.built,
        cuts: &cuts,
        fittings: &fittings,
        guessed: &wished.guessed,
        planned: wished.scenario.is_planned(),
        advice: advised.as_ref().map(Advised::advice),
        units: wished.units,
    };
    let mut out = shown(&report.document(wished.name));
    out["not_yet"] = json!(report.not_yet());
    let sheets = sheets_of_alike(&report);
    out["sheets"] = sheets.iter().map(|(_, svg)| svg.as_str()).collect();
    out["sheet_of"] = sheets.into_iter().map(|(names, _)| names).collect();
    out["edits"] = json!(lengths(wished, &cuts));
    Ok(out)
}

/// One sheet for all beds on whose sheets nothing differs to be read but the bed's name; whose it is, and
/// the sheet.
fn sheets_of_alike(report: &CutReport) -> Vec<(String, String)> {
    let drawn = |found: &BedCut, name: &str| {
        cut_sheet(report, found, |page| {
            let mut bed = page.bed.clone();
            name.clone_into(&mut bed.name);
            siphon_drawing(&SiphonPage { bed: &bed, ..*page }, report.units)
        })
    };
    let mut alike: Vec<(String, Vec<&BedCut>)> = Vec::new();
    for found in &report.cuts.beds {
        let nameless = read_on(&drawn(found, ""));
        match alike.iter_mut().find(|(sheet, _)| *sheet == nameless) {
            Some((_, beds)) => beds.push(found),
            None => alike.push((nameless, vec![found])),
        }
    }
    let name = |found: &&BedCut| report.system.beds[found.bed].name.clone();
    let named = alike.into_iter().map(|(_, beds)| {
        let names: Vec<String> = beds.iter().map(name).collect();
        (names.join(", "), beds[0])
    });
    named
        .map(|(names, first)| {
            let sheet = drawn(first, &names);
            (names, sheet)
        })
        .collect()
}

/// What a drawing says in words and figures.
fn read_on(svg: &str) -> String {
    let texts = svg.split('>').skip(1).map(|part| part.split('<').next());
    texts.flatten().filter(|text| !text.is_empty()).collect()
}

/// What puts the lengths found into the scenario; nothing where there are none, or where the scenario
/// cannot say them.
fn lengths(wished: &Wished, cuts: &Cuts) -> Vec<String> {
    let mut after = wished.scenario.system.clone();
    for found in &cuts.beds {
        if let (Ok(cut), Some(bed)) = (&found.answer, after.beds.get_mut(found.bed))
            && !cut.is_as_good(bed.siphon.standpipe.lip_height)
        {
            *bed = cut.rounded(wished.units).bed.clone();
        }
    }
    let written = written_as(&wished.scenario, &after, &wished.kept);
    written.map_or_else(
        |_| Vec::new(),
        |one| one.edits.iter().map(ToString::to_string).collect(),
    )
}

/// Hands the printable page of one bed to `draw`.
pub(crate) fn cut_sheet<T>(
    report: &CutReport,
    found: &BedCut,
    draw: impl FnOnce(&SiphonPage) -> T,
) -> T {
    let (system, units) = (report.system, report.units);
    let pieces: Vec<[String; 3]> = report
        .pieces(found)
        .iter()
        .map(|piece| piece.each_ref().map(ToString::to_string))
        .collect();
    let refused = found.answer.as_ref().err().map(|refusal| {
        format!(
            "{} {}",
            refusal_because(system, refusal, units),
            refusal_hint(system, refusal, units)
        )
        .trim_end()
        .to_owned()
    });
    let cut = found.answer.as_ref().ok().map(|cut| cut.rounded(units));
    draw(&SiphonPage {
        title: &system.title,
        bed: cut.map_or(&system.beds[found.bed], |cut| &cut.bed),
        guard: cut.and_then(|cut| cut.list.guard),
        peak: cut.map(|cut| cut.stand.peak),
        allowance: found.allowance,
        pieces: &pieces,
        refused: refused.as_deref(),
    })
}

/// What measurements say about what could only be assumed.
pub(super) fn fit(wished: &Wished, seen: &Seen) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let measured = measured(wished, &as_seen(seen))?;
    let found = fit_system(system, &measured).map_err(Refused::because)?;
    let report = FitReport {
        system,
        fit: &found,
        speed: wished.scenario.pump_speed(),
        units: wished.units,
    };
    let mut out = shown(&report.document(wished.name));
    let edits = fit_changes(system, &found, wished.scenario.pump_speed());
    out["edits"] = edits.iter().map(ToString::to_string).collect();
    out["says"] = bands_in_words(&found);
    Ok(out)
}

/// Changes of bands in words, by their keys; the form has words for all others.
fn bands_in_words(found: &Fit) -> Value {
    let bands = found.bands().into_iter().map(|(which, band)| {
        let figures = [band.low, band.nominal, band.high];
        let [low, nominal, high] = figures.map(|one| significant(one, 3));
        let meaning = coefficient_meaning(which).0;
        let says = format!("{meaning} {low} to {high}, most likely {nominal}");
        (format!("coefficients.{}", which.key()), says)
    });
    json!(bands.collect::<BTreeMap<_, _>>())
}

/// Key of what a bed was seen to do, among its readings.
const SEEN: &str = "seen";

/// What is complained of is seen as well, where nothing else is said to be.
fn as_seen(seen: &Seen) -> Seen {
    let mut all = seen.clone();
    let said = all.readings.get(SEEN).is_some_and(|what| !what.is_empty());
    let symptom = all.symptom.as_deref().and_then(Symptom::from_key);
    if let Some(shows) = symptom.filter(|_| !said).and_then(Symptom::shows) {
        let shows = shows.key().to_owned();
        all.readings.insert(SEEN.to_owned(), shows);
    }
    all
}

/// The readings as a file of measurements would have them, judged alike.
fn measured(wished: &Wished, seen: &Seen) -> Result<Measured, Refused> {
    let system = &wished.scenario.system;
    let name = |bed: usize| {
        let bed = system.beds.get(bed);
        bed.map_or(String::new(), |bed| {
            toml::Value::from(&*bed.name).to_string()
        })
    };
    let mut beds = vec![(seen.bed, &seen.readings)];
    for (bed, readings) in &seen.others {
        beds.push((bed.parse().map_err(Refused::because)?, readings));
    }
    let (mut file, mut any) = (String::new(), false);
    for (bed, readings) in beds {
        let _ = writeln!(file, "[[bed]]\nname = {}", name(bed));
        for (key, text) in readings {
            let known = key == SEEN
                || Measurable::from_key(key).is_some()
                || FactKind::ALL.iter().any(|kind| kind.key() == key);
            if known && !text.trim().is_empty() {
                let _ = writeln!(file, "{key} = {}", toml::Value::from(text.trim()));
                any = true;
            }
        }
    }
    if !any {
        return Ok(Measured::default());
    }
    let measured = parse_measured(&file, "measurements", system)?.with_told_by_cycling();
    let nonsense = examine(system, &measured);
    if nonsense.is_empty() {
        return Ok(measured);
    }
    let lines: Vec<String> = nonsense
        .iter()
        .map(|one| format!("{} {}", one.sentence(system, wished.units), one.check()))
        .collect();
    Err(Refused::Because(lines.join(" ")))
}

/// Symptoms, readings and quick checks with their words.
pub(super) fn catalogue(units: UnitSystem) -> Value {
    let symptoms: Vec<Value> = Symptom::ALL
        .into_iter()
        .map(|symptom| json!({ "key": symptom.key(), "says": symptom.words() }))
        .collect();
    let readings = Measurable::ALL.into_iter().map(|what| {
        let metric = crate::units::UnitSystem::Metric;
        let (least, most) = what.allowed();
        json!({
            "key": what.key(),
            "says": what.words(),
            "how": units.words(what.how()),
            "quantity": what.quantity().name(),
            "example": what.quantity().examples(),
            "allowed": [what.quantity().text(least, metric), what.quantity().text(most, metric)],
        })
    });
    let beside = trouble::BESIDE.into_iter().map(|(key, figure)| {
        json!({ "key": key, "says": figure.words(), "quantity": "a length", "example": "", "only": "why" })
    });
    let causes: Vec<Value> = Cause::all()
        .map(|cause| json!({ "key": cause.entry().key, "check": cause.entry().check }))
        .collect();
    let seen = [Saw::Cycles, Saw::NeverStarted, Saw::NeverBroke].map(Saw::key);
    json!({
        "symptoms": symptoms,
        "readings": readings.chain(beside).collect::<Vec<_>>(),
        "causes": causes,
        "seen": seen,
    })
}

/// What was typed of one fact, read; `None` where it is left out. What to type instead is told in the units that are read.
fn fact<T>(
    box_of: &'static str,
    (typed, units): (&str, UnitSystem),
    read: impl Fn(&str) -> Result<T, FactError>,
) -> Result<Option<T>, Refused> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    let found = read(typed);
    found
        .map(Some)
        .map_err(|error| Refused::Fact(box_of, error.told(units)))
}

fn bed_count(text: &str) -> Result<Option<usize>, Refused> {
    if text.is_empty() {
        return Ok(None);
    }
    let count = text.parse().ok().filter(|n| (1..=12).contains(n));
    let what = || format!("{text:?} is no number of beds\n  Type a whole number, 1 to 12.");
    count.map(Some).ok_or_else(|| Refused::Fact("beds", what()))
}

/// A scenario from a handful of facts, as `new` drafts it.
pub(super) fn drafted(told: &Told) -> Result<Value, Refused> {
    let given = |text: &String| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    let units = told.units.into();
    let beds = bed_count(told.beds.trim())?;
    let room = fact("room", (&told.room, units), room_fact)?;
    let (room, ceiling) = room.unwrap_or_default();
    let sump = fact("drum", (&told.drum, units), sump_fact)?;
    let (sump, vessels) = sump.map_or((None, None), |(sump, vessels)| (Some(sump), vessels));
    let facts = Facts {
        units,
        beds,
        bed: fact("bed", (&told.bed, units), bed_fact)?,
        room,
        ceiling,
        sump,
        vessels,
        pump: fact("pump", (&told.pump, units), pump_fact)?,
        tank: fact("tank", (&told.tank, units), tank_fact)?.flatten(),
    };
    let title = given(&told.title).unwrap_or_else(|| "My system".to_owned());
    let found = draft(&facts, &title, &|_| {}).map_err(Refused::because)?;
    let count = found.system.sump.count;
    // More vessels than were spoken of are told, and how to ask for one.
    let notes: Vec<String> = (count > 1 && facts.vessels.is_none())
        .then(|| {
            format!(
                "One such sump would hold too little: {count} alike are drawn, joined at the bottom. \
                 A number before lying, upright or tote says how many there are: \"1 lying\"."
            )
        })
        .into_iter()
        .collect();
    Ok(json!({
        "text": found.text, "works": found.works(), "troubles": found.troubles, "notes": notes,
    }))
}

/// What to measure on a bed, step by step.
pub(super) fn measure(wished: &Wished, bed: usize) -> Result<Value, Refused> {
    let system = &wished.scenario.system;
    let bucket = amounts::bucket(wished.units);
    let sheet = protocol(system, bed, bucket).map_err(Refused::because)?;
    let sheet = sheet.ok_or_else(|| Refused::because("there is no such bed"))?;
    let answer = MeasureAnswer {
        system,
        protocol: &sheet,
        readings: &readings_template(system, &sheet, false, wished.units),
        units: wished.units,
    };
    Ok(shown(&answer.document(wished.name)))
}

#[cfg(test)]
mod tests;
