//! A file of measurements beside a scenario: one `[[bed]]` table for each bed measured.

#[cfg(feature = "cli")]
use std::path::Path;
use std::sync::LazyLock;

use super::advice::nearest;
use super::fault::{FaultKind, Faults, Label, Severity, Source};
#[cfg(feature = "cli")]
use super::file;
use super::format::{Bounds, Key, Table, Value};
use super::node::Node;
use super::render::ScenarioError;
use super::rule::Rule;
use super::{Scenario, parse, syntax};
use crate::model::{Misfit, System};
use crate::numerics::in_order::InOrder;
use crate::study::measure::{Fact, FactKind, Measurable, Measured, Measurement, Seen};
use crate::units::display::plain;
use crate::units::table::Quantity;

pub(super) static FORMAT: LazyLock<Table> = LazyLock::new(|| {
    Table::new(
        "Measurements on a running system.",
        vec![
            Key::new(
                "record",
                Value::Count(1, RECORD),
                "1",
                "version of the open record that the file is written to",
            ),
            Key::new(
                "invented",
                Value::Flag,
                "false",
                "whether nobody measured this: an example",
            ),
            Key::new(
                "notes",
                Value::Texts(300),
                r#"["clear tube in the guard", "gravel washed in spring"]"#,
                "what else a reader should know, without names",
            ),
            Key::new(
                "sizes",
                Value::Anything,
                "{ ... }",
                "the scenario that was measured, its tables under this one, without names",
            ),
            Key::new(
                "bed",
                Value::Tables(bed()),
                "a table",
                "what was measured on a bed, one table each",
            )
            .required(),
        ],
    )
});

fn bed() -> Table {
    let mut keys = vec![
        Key::new(
            "name",
            Value::Text(60),
            r#""north""#,
            "name of the bed, as in the scenario",
        )
        .default("the scenario's only bed"),
    ];
    keys.extend(Measurable::ALL.into_iter().map(|what| {
        let (least, most) = what.allowed();
        let bounds = Bounds::new(what.quantity(), least, most);
        Key::new(
            what.key(),
            Value::Reading(bounds),
            example(what),
            what.how(),
        )
    }));
    keys.extend(FactKind::ALL.into_iter().map(|kind| {
        let (least, most) = kind.edge().allowed();
        let bounds = Bounds::new(Quantity::Flow, least, most);
        Key::new(
            kind.key(),
            Value::Readings(bounds),
            fact_example(kind),
            kind.how(),
        )
    }));
    keys.push(Key::new(
        "seen",
        Value::Choice(Seen::ALL.map(Seen::key).to_vec()),
        r#""cycles""#,
        "what the bed was seen to do",
    ));
    Table::new("What was measured on one bed.", keys)
}

/// A value as one would write it.
const fn example(what: Measurable) -> &'static str {
    match what {
        Measurable::Inflow => r#""6 L/min +- 5 %""#,
        Measurable::Fill => r#""14 min 20 s +- 10 s""#,
        Measurable::Drain => r#""3 min 5 s""#,
        Measurable::Period => r#""17 min 30 s""#,
        Measurable::Highest => r#""250 mm +- 3 mm""#,
        Measurable::Left => r#""30 mm""#,
        Measurable::Standing => r#""236 mm""#,
        Measurable::SumpSwing => r#""110 mm""#,
        Measurable::StartsAt => r#""4 L/min""#,
        Measurable::BreaksUpTo => r#""9 L/min""#,
        Measurable::Rise => r#""7 min 40 s""#,
        Measurable::Fall => r#""1 min 52.4 s""#,
        Measurable::PrimingGain => r#""8.5 s""#,
        Measurable::DribbleHead => r#""9 mm""#,
    }
}

const fn fact_example(kind: FactKind) -> &'static str {
    match kind {
        FactKind::Started => r#"["9 L/min", "8.5 L/min"]"#,
        FactKind::Dribbled => r#""6 L/min""#,
        FactKind::Broke => r#""12 L/min +- 2 %""#,
        FactKind::RanOn => r#""14 L/min""#,
        FactKind::RaisedBroke => r#""8 L/min""#,
        FactKind::RaisedRanOn => r#""9 L/min""#,
    }
}

/// Version of the open record.
pub const RECORD: u32 = 1;

/// The `[sizes]` of an open record: the scenario of `text` without title, comments and names.
///
/// # Errors
/// [`toml_edit::TomlError`] where it is not TOML.
pub fn open_record(text: &str) -> Result<String, toml_edit::TomlError> {
    let mut sizes: toml_edit::DocumentMut = text.parse()?;
    let root = sizes.as_table_mut();
    root.remove("title");
    root.remove("keep");
    let names: Vec<(String, String)> = beds(root)
        .enumerate()
        .filter_map(|(i, bed)| {
            let name = bed.get("name")?.as_str()?.to_owned();
            bed.insert("name", toml_edit::value(format!("bed {}", i + 1)));
            Some((name, format!("bed {}", i + 1)))
        })
        .collect();
    if let Some(events) = root
        .get_mut("event")
        .and_then(|item| item.as_array_of_tables_mut())
    {
        for event in events.iter_mut() {
            for (_, value) in event.iter_mut() {
                let told = value.as_str().unwrap_or_default();
                if let Some((_, open)) = names.iter().find(|(name, _)| name == told) {
                    *value = toml_edit::value(open.clone());
                }
            }
        }
    }
    let mut record = toml_edit::DocumentMut::new();
    record.insert("sizes", toml_edit::Item::Table(root.clone()));
    let bare: Vec<String> = record
        .to_string()
        .lines()
        .map(without_comment)
        .filter(|line| !line.trim().is_empty())
        .collect();
    Ok(format!("\n{}\n", bare.join("\n")))
}

fn beds(root: &mut toml_edit::Table) -> impl Iterator<Item = &mut toml_edit::Table> {
    let beds = root
        .get_mut("bed")
        .and_then(|item| item.as_array_of_tables_mut());
    beds.into_iter()
        .flat_map(toml_edit::ArrayOfTables::iter_mut)
}

/// A line of TOML without what stands after a `#` outside quotes.
fn without_comment(line: &str) -> String {
    let mut quote = None;
    let end = line.char_indices().find(|&(_, c)| {
        match (quote, c) {
            (None, '"' | '\'') => quote = Some(c),
            (Some(open), c) if open == c => quote = None,
            _ => {}
        }
        quote.is_none() && c == '#'
    });
    end.map_or(line, |(at, _)| &line[..at])
        .trim_end()
        .to_owned()
}

/// The scenario that an open record holds under `sizes`; `None` where it holds none.
///
/// # Errors
/// [`ScenarioError`] where the file is no TOML or its sizes are no scenario.
pub fn recorded_sizes(text: &str, file_name: &str) -> Result<Option<Scenario>, ScenarioError> {
    let Ok(record) = text.parse::<toml_edit::DocumentMut>() else {
        // Says what is wrong with it, and where.
        return parse(text, file_name).map(Some);
    };
    let Some(sizes) = record.get("sizes").and_then(|item| item.as_table()) else {
        return Ok(None);
    };
    let mut alone = toml_edit::DocumentMut::new();
    alone.as_table_mut().extend(
        sizes
            .iter()
            .map(|(key, item)| (key.to_owned(), item.clone())),
    );
    parse(&alone.to_string(), file_name).map(Some)
}

/// Reads and judges a file of measurements on `system`.
///
/// # Errors
/// [`ScenarioError::File`] if there is no such text file, [`ScenarioError::Faults`] with
/// every fault found in it.
#[cfg(feature = "cli")]
pub fn read_measured(path: &Path, system: &System) -> Result<Measured, ScenarioError> {
    let text = file::read(path)?;
    parse_measured(&text, &file::shown(path), system)
}

/// Judges the text of a file of measurements; `file_name` is for messages.
///
/// # Errors
/// [`ScenarioError::Faults`] with every fault found, at least one.
///
/// # Example
/// ```
/// use ebbwright::scenario::{parse, parse_measured, starter};
/// let system = parse(starter(), "starter.toml")?.system;
/// let text = "[[bed]]\nfill = \"14 min +- 10 s\"\nhighest = \"230 mm\"\n";
/// assert_eq!(parse_measured(text, "measured.toml", &system)?.figures.len(), 2);
/// # Ok::<(), ebbwright::scenario::ScenarioError>(())
/// ```
pub fn parse_measured(
    text: &str,
    file_name: &str,
    system: &System,
) -> Result<Measured, ScenarioError> {
    let source = Source {
        name: plain(file_name),
        text: text.to_owned(),
    };
    let mut faults = Faults::new(&source);
    let root = syntax::judged(&FORMAT, &mut faults);
    let measured = root.map(|root| measured(&root, system, &mut faults));
    let mut found = faults.found;
    match measured {
        Some(measured) if found.is_empty() => Ok(measured),
        _ => {
            found.order_by_key(|fault| (fault.span().start, fault.span().end));
            Err(ScenarioError::Faults {
                file: source,
                faults: found,
            })
        }
    }
}

fn measured(root: &Node, system: &System, faults: &mut Faults<'_>) -> Measured {
    let mut all = Measured::default();
    let mut named: Vec<(usize, &Node)> = Vec::new();
    for node in root.tables("bed") {
        let Some(bed) = which_bed(node, system, faults) else {
            continue;
        };
        if let Some((_, first)) = named.iter().find(|(other, _)| *other == bed) {
            let name = system.beds[bed].name.clone();
            let labels = vec![
                label(node, "the same bed again"),
                label(first, "measured here first"),
            ];
            let help = "put all that was measured on a bed into one [[bed]] table".to_owned();
            let (misfit, system) = (Misfit::DuplicateName { name }, faults.system);
            let kind = FaultKind::Rule(Rule::Misfit { misfit, system });
            faults.add(Severity::Error, kind, node.path.clone(), labels, help);
            continue;
        }
        named.push((bed, node));
        for what in Measurable::ALL {
            if let Some((value, spread)) = node.reading(what.key()) {
                all.figures.push(Measurement::new(bed, what, value, spread));
            }
        }
        for kind in FactKind::ALL {
            let flows = node.readings(kind.key()).iter();
            all.facts
                .extend(flows.map(|&(flow, spread)| Fact::new(bed, kind, flow, spread)));
        }
        let seen = node.word("seen");
        all.seen.extend(
            Seen::ALL
                .into_iter()
                .filter(|one| seen == Some(one.key()))
                .map(|one| (bed, one)),
        );
    }
    all.sort();
    all
}

fn label(node: &Node, text: &str) -> Label {
    Label {
        span: node.span_of("name"),
        text: text.to_owned(),
    }
}

/// Index of the bed that a table is about.
fn which_bed(node: &Node, system: &System, faults: &mut Faults<'_>) -> Option<usize> {
    let names: Vec<&str> = system.beds.iter().map(|bed| bed.name.as_str()).collect();
    let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    let help = format!("beds of the scenario: {}", quoted.join(", "));
    let Some(name) = node.text("name") else {
        if node.has("name") {
            return None;
        }
        if system.beds.len() == 1 {
            return Some(0);
        }
        let (path, span) = (node.path_of("name"), node.span.clone());
        faults.error(FaultKind::Missing, path, span, "name is missing here", help);
        return None;
    };
    let found = names.iter().position(|other| *other == name);
    if found.is_none() {
        let here = match nearest(name, names.iter().copied()) {
            Some(close) => format!("did you mean \"{close}\"?"),
            None => "no such bed".to_owned(),
        };
        let rule = Rule::UnknownBed {
            name: name.to_owned(),
        };
        let (path, span) = (node.path_of("name"), node.span_of("name"));
        faults.error(FaultKind::Rule(rule), path, span, here, help);
    }
    found
}
