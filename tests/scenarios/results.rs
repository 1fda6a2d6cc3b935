//! What every command answers fits its table of keys, and so the schema of results.

use ebbwright::answer::Value as Measure;
use ebbwright::answer::{
    AbsorbReport, CutReport, Document, MendAnswer, RandomReport, TABLES, WindowReport,
    results_schema,
};
use ebbwright::assessment::{Assessment, assess};
use ebbwright::model::System;
use ebbwright::report::Report;
use ebbwright::scenario::{self, Fittings, Seek, advised};
use ebbwright::simulation::{Run, Sampling, resolve_worst, simulate};
use ebbwright::study::absorb::{absorb as absorbed, undisturbed};
use ebbwright::study::cut::{Wish, cut};
use ebbwright::study::second_opinion::second_opinion;
use ebbwright::study::valves::settings;
use ebbwright::study::vary::Tolerances;
use ebbwright::study::vary::random::random;
use ebbwright::study::widen::{Levers, levers};
use ebbwright::study::window::{windows, without_incidents};
use ebbwright::units::UnitSystem;
use rayon::prelude::*;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

use crate::json_schema::valid;

const UNITS: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

fn run(system: &System) -> Vec<Document> {
    let (system, _) = resolve_worst(system).unwrap();
    let run = simulate(&system, Sampling::Thinned(10.0)).unwrap();
    let second = second_opinion(&system, &run);
    let document = |units, opinion| {
        let assessment = assess(&system, &run);
        let report = Report {
            second_opinion: opinion,
            ..Report::new(&system, &run, &assessment, units)
        };
        report.document("sample.toml")
    };
    UNITS
        .into_iter()
        .flat_map(|units| [None, Some(&second)].map(|opinion| document(units, opinion)))
        .collect()
}

fn window(system: &System) -> Vec<Document> {
    let system = without_incidents(system);
    let run: Run = simulate(&system, Sampling::None).unwrap();
    let document = |units| {
        let assessment: Assessment = assess(&system, &run);
        let found = windows(&system, &run, &assessment);
        let plan = settings(&system, &run, &assessment, &found);
        let beds = 0..system.beds.len();
        let levers: Vec<Levers> = beds.map(|i| levers(&system, &run, i, units)).collect();
        let report = WindowReport {
            system: &system,
            run: &run,
            windows: &found,
            plan: &plan,
            levers: &levers,
            map: None,
            advice: None,
            units,
        };
        report.document("sample.toml")
    };
    UNITS.map(document).into()
}

fn absorb(system: &System) -> Vec<Document> {
    let system = undisturbed(system);
    let run = simulate(&system, Sampling::Every(10.0)).unwrap();
    let found = absorbed(&system, &run);
    let document = |units| {
        let assessment = assess(&system, &run);
        let report = AbsorbReport {
            system: &system,
            run: &run,
            assessment: &assessment,
            absorb: &found,
            disturbed: Some(&assessment),
            account: &assessment.garden.account,
            float_valve: None,
            advice: None,
            whole: &system,
            units,
        };
        report.document("sample.toml")
    };
    UNITS.map(document).into()
}

fn vary(system: &System) -> Vec<Document> {
    let tolerances = Tolerances {
        tape: 0.003,
        bore: 0.025,
        void: 0.03,
        pump: 0.1,
        coefficients: true,
    };
    let found = random(system, &tolerances, 10, 1, &|| {}).unwrap();
    let document = |units| {
        let found = &found;
        RandomReport {
            system,
            found,
            units,
        }
        .document("sample.toml")
    };
    UNITS.map(document).into()
}

#[test]
fn every_answer_keeps_to_its_table_of_keys_and_the_schema() {
    let schema = results_schema();
    let files = super::files();
    let faults: Vec<String> = files
        .par_iter()
        .flat_map(|path| {
            let system = scenario::read(path).unwrap().system;
            let mut documents = [run(&system), window(&system), absorb(&system)].concat();
            // Ten draws of the quickest system show the shape of all.
            if path.ends_with("one-bed-lying-drum.toml") {
                documents.extend(vary(&system));
            }
            let mut faults = Vec::new();
            for document in documents {
                let told = format!("{} {}", document.keys.command, path.display());
                let found = document.faults();
                faults.extend(found.iter().map(|fault| format!("{told}: {fault}")));
                let json: Value = serde_json::from_str(&document.json().unwrap()).unwrap();
                if !valid(&schema, &schema, &json) {
                    faults.push(format!("{told}: its JSON does not fit the schema"));
                }
            }
            faults
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What `mend` and `cut` answer where something fails, and `run` with that plan.
fn advice(path: &Path, system: &System) -> Vec<Document> {
    let scenario = scenario::read(path).unwrap();
    let seek = |sizes| Seek {
        kept: &[],
        sizes,
        most_tried: 200,
    };
    let found = advised(&scenario, system, seek(UnitSystem::Metric), &|_| {}).unwrap();
    let wish = Wish {
        dry_layer: 0.05,
        only: None,
    };
    let cuts = cut(&without_incidents(system), &wish, &mut |_| {}).unwrap();
    let judged = &found.plan.before;
    let documents = |units| {
        let advice = found.advice();
        let report = Report {
            judged: Some(judged),
            advice: Some(advice),
            ..Report::new(system, &judged.run, &judged.assessment, units)
        };
        let mended = MendAnswer {
            advice,
            system,
            found: None,
            complaint: None,
            mended: false,
            units,
        };
        let cut = CutReport {
            system,
            built: system,
            cuts: &cuts,
            fittings: &Fittings::default(),
            guessed: &[],
            planned: false,
            advice: Some(advice),
            units,
        };
        let named = "sample.toml";
        [
            report.document(named),
            mended.document(named),
            cut.document(named),
        ]
    };
    UNITS.into_iter().flat_map(documents).collect()
}

/// What sentences print beside their figures: constants of the trade that no system has, and years
/// of publications.
const CONSTANTS: [&str; 19] = [
    "7 mg/L",
    "3 mg/L",
    "300 mg/(kg h)",
    "taken as 2 %",
    "15 min to 1 h",
    "30 mA",
    "20 kg/m3",
    "0.17 lb/gal",
    "20 minutes",
    "ANSI/HI 9.8",
    "Goda et al. 2003",
    "White & Beardmore 1962",
    "Wallis 1969",
    "Kent 1952",
    "Wisner et al. 1975",
    "Escarameia 2007",
    "Wyly & Eaton 1961",
    "45 degree",
    "ebbwright",
];

/// What is left of a sentence without quoted names, constants and the figures listed beside it;
/// `None` where one of these does not stand in it, in their order.
fn without_figures(sentence: &str, figures: &[&Value]) -> Option<String> {
    let mut left = String::new();
    let mut rest = sentence;
    for figure in figures {
        let shown = figure["shown"].as_str()?;
        let place = rest.find(shown)?;
        left.push_str(&rest[..place]);
        rest = &rest[place + shown.len()..];
    }
    left.push_str(rest);
    for constant in CONSTANTS {
        left = left.replace(constant, "");
    }
    // Names stand in quotes and may hold any digit.
    Some(left.split('"').step_by(2).collect())
}

/// Every sentence of the results with the figures beside it.
fn sentences<'a>(json: &'a Value, found: &mut Vec<(String, Vec<&'a Value>)>) {
    let Value::Object(parts) = json else {
        let items = json.as_array().into_iter().flatten();
        items.for_each(|item| sentences(item, found));
        return;
    };
    // In the order in which their figures are listed.
    let told = ["because", "words", "says", "by_hand", "hint", "joined_by"];
    // These are also words about parts that have no sentence.
    let some = ["in_words", "at_worst", "what"];
    let some = some.iter().filter(|_| parts.contains_key("figures"));
    let told: Vec<&str> = told
        .iter()
        .chain(some)
        .filter_map(|key| parts.get(*key)?.as_str())
        .collect();
    if !told.is_empty() {
        let beside = parts["figures"].as_array().unwrap();
        found.push((told.join(" "), beside.iter().collect()));
    }
    for (list, figures) in [("notes", "note_figures"), ("cautions", "caution_figures")] {
        let told = parts.get(list).and_then(Value::as_array);
        for (i, told) in told.into_iter().flatten().enumerate() {
            let all = parts[figures].as_array().unwrap().iter();
            let own = all.filter(|figure| figure["of"] == i).collect();
            found.push((told.as_str().unwrap().to_owned(), own));
        }
    }
    parts.values().for_each(|part| sentences(part, found));
}

/// Numbers that are not in the unit which stands beside them, as a page marks them.
fn odd_units(document: &Document) -> Vec<String> {
    let blocks = document.sections.iter().flat_map(|section| &section.blocks);
    let figures: Vec<_> = blocks.flat_map(|block| block.figures()).collect();
    let beside: BTreeMap<&str, &str> = figures
        .iter()
        .filter_map(|figure| match &figure.value {
            Measure::Word(unit) => Some((figure.key.strip_suffix(".unit")?, &**unit)),
            _ => None,
        })
        .collect();
    let odd = figures.iter().filter(|figure| {
        let place = figure.key.rsplit_once('.');
        let unit = place.and_then(|(place, _)| beside.get(place));
        let is = figure.kind.unit();
        unit.is_some_and(|unit| is.is_some_and(|is| is != *unit))
    });
    odd.map(|figure| format!("{figure:?} has another unit beside it"))
        .collect()
}

// Every figure in a sentence has its value beside it, so that no program has to read sentences.
#[test]
fn no_sentence_prints_a_figure_that_the_results_lack() {
    // Steps of every kind, what hands can do, and beds without a length.
    let failing = [
        "does-not-fit",
        "drain-line-too-small",
        "runs-on",
        "dribbles",
    ];
    let files = super::files();
    let found: Vec<(usize, Vec<String>)> = files
        .par_iter()
        .map(|path| {
            let system = scenario::read(path).unwrap().system;
            let mut documents = [run(&system), absorb(&system)].concat();
            let name = path.file_stem().unwrap().to_str().unwrap();
            if failing.contains(&name) {
                documents.extend(advice(path, &system));
            }
            let mut faults = Vec::new();
            let mut figures = 0;
            for document in documents {
                let told = format!("{} {name}", document.keys.command);
                faults.extend(
                    document
                        .faults()
                        .iter()
                        .map(|fault| format!("{told}: {fault}")),
                );
                faults.extend(odd_units(&document));
                let json: Value = serde_json::from_str(&document.json().unwrap()).unwrap();
                let mut all = Vec::new();
                sentences(&json, &mut all);
                for (sentence, beside) in all {
                    figures += beside.len();
                    let left = without_figures(&sentence, &beside);
                    let is_clean = |left: String| !left.contains(|c: char| c.is_ascii_digit());
                    if !left.is_some_and(is_clean) || sentence.contains("()") {
                        faults.push(format!("{told}: {sentence} {beside:?}"));
                    }
                }
            }
            (figures, faults)
        })
        .collect();
    let faults: Vec<&String> = found.iter().flat_map(|(_, faults)| faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    let figures: usize = found.iter().map(|(figures, _)| figures).sum();
    assert!(figures > 10_000, "{figures}");
}

// The schema rests on the tables alone: each key says what it is, numbers say their unit.
#[test]
fn every_key_of_the_results_is_described() {
    let mut keys = 0;
    for table in TABLES {
        for (place, group) in table.groups {
            for key in *group {
                let told = format!("{} {place}.{}", table.command, key.name);
                assert!(key.means.ends_with('.') && key.means.len() > 3, "{told}");
                assert!(key.absent.is_none_or(|when| !when.ends_with('.')), "{told}");
                keys += 1;
            }
        }
    }
    assert!(keys > 200, "{keys}");
}

/// Ends of what people read as a figure with its unit.
const PRINTED: [&str; 24] = [
    " mm", " cm", " m", " in", " ft", " L", " gal", " L/min", " gpm", " s", " min", " h", " d",
    " %", " kg", " lb", " kPa", " Pa", " W", " kWh", " g", " mg/L", " cm2", " m2",
];

/// What a page prints with a unit outside its marked figures, names, code and pictures; constants
/// of the trade left out.
fn unmarked(html: &str) -> Vec<String> {
    let body = html.split_once("<main>").map_or(html, |(_, body)| body);
    let mut text = String::new();
    let mut hidden: Option<&str> = None;
    for stretch in body.split('<') {
        let (tag, words) = stretch.split_once('>').unwrap_or(("", stretch));
        let name = tag.split([' ', '\n']).next().unwrap_or_default();
        let marked = tag.contains("data-key=");
        match hidden {
            Some(end) if name == end => hidden = None,
            Some(_) => continue,
            None if marked && name == "data" => hidden = Some("/data"),
            None if marked && name == "span" => hidden = Some("/span"),
            None if name == "code" => hidden = Some("/code"),
            None if name == "pre" => hidden = Some("/pre"),
            None if name == "svg" => hidden = Some("/svg"),
            None => {}
        }
        if hidden.is_none() {
            // What touches a tag is not one with what is behind it.
            text.push('\n');
            text.push_str(words);
        }
    }
    for constant in CONSTANTS.iter().chain(&ON_PAGES) {
        text = text.replace(constant, "");
    }
    let lines = text.lines();
    let printed = |line: &&str| {
        PRINTED.iter().any(|unit| {
            line.match_indices(unit).any(|(at, _)| {
                let before = line[..at].chars().next_back();
                let behind = line[at + unit.len()..].chars().next();
                before.is_some_and(|c| c.is_ascii_digit())
                    && !behind.is_some_and(|c| c.is_ascii_alphanumeric())
            })
        })
    };
    lines.filter(printed).map(str::to_owned).collect()
}

/// Constants in what only pages tell, and steps of a tape.
const ON_PAGES: [&str; 19] = [
    "95 % interval",
    "10 L bucket",
    "5 gal bucket",
    "55 US gal",
    "22.5 in x 33.5 in",
    "up to 6 m",
    "to 1 mm",
    "to 1/16 in",
    "1 mm more",
    "1/16 in more",
    "0.2 mm and 0.5 %",
    "0.0079 in and 0.5 %",
    "38 to 50 mm",
    "50 mm by common practice",
    "1/4 in per foot to 2 1/2 in, 1/8 in per foot",
    "2 % on average at 1 in",
    "10 L takes",
    "5 gal takes",
    "0 % shut to 100 % open",
];

// Whoever reads a page by program finds every figure under its key.
#[test]
fn no_page_prints_a_figure_without_its_key() {
    let failing = ["drain-line-too-small", "runs-on"];
    let files = super::files();
    let faults: Vec<String> = files
        .par_iter()
        .flat_map(|path| {
            let system = scenario::read(path).unwrap().system;
            let mut documents = [run(&system), absorb(&system)].concat();
            let name = path.file_stem().unwrap().to_str().unwrap();
            if name == "one-bed-lying-drum" {
                documents.extend(vary(&system));
            }
            if failing.contains(&name) {
                documents.extend(window(&system));
                documents.extend(advice(path, &system));
            }
            let mut faults = Vec::new();
            for document in documents {
                let told = format!("{} {name}", document.keys.command);
                let found = unmarked(&document.html()).into_iter();
                faults.extend(found.map(|line| format!("{told}: {line}")));
            }
            faults
        })
        .collect();
    assert!(faults.is_empty(), "{faults:#?}");
}
