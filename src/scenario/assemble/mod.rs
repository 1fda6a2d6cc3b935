//! From a judged file to the system: defaults, and rules between values.
//!
//! Every part is built as far as its own values allow, so that faults of one
//! part do not hide those of another; `None` means that a fault has been reported.

mod bed;
mod garden;
mod inlets;
mod pipes;
mod pump;
mod rest;
mod siphon;
mod vessels;

use std::ops::Range;

use super::every_bed;
use super::fault::{FaultKind, Faults, KeyPath, Label, Severity};
use super::keys::FORMAT;
use super::node::Node;
use super::rule::{Figure, Rule};
use super::typed_edit::{EditPath, Part};
use crate::hydraulics::water::Water;
use crate::model::{
    Duration, Inlet, Misfit, Supply, System, Tank, TankFeed, TankOutlet, usual_duration,
};
use crate::units::HOUR;
use crate::units::table::Quantity;

/// The whole system, or `None` once a fault has been reported.
pub(super) fn system(root: &Node, faults: &mut Faults<'_>) -> Option<System> {
    let title = root
        .text("title")
        .map_or_else(|| stem(&faults.source.name), str::to_owned);
    let sump_floor = root.table("sump").and_then(|sump| sump.number("floor"));
    let around = Surroundings {
        ceiling: root.table("room").and_then(|room| room.number("ceiling")),
        sump_floor,
        has_line: root.has("drain-line"),
        line: root
            .table("drain-line")
            .and_then(|node| pipes::drain_line(node, sump_floor, faults)),
    };
    let sump = root
        .table("sump")
        .and_then(|node| vessels::sump(node, &around, faults));
    let pump = root
        .table("pump")
        .and_then(|node| pump::pump(node, sump.as_ref(), faults));
    let beds: Vec<_> = root
        .tables("bed")
        .iter()
        .map(|node| (node, bed::bed(node, &around, faults)))
        .collect();
    bed::names_differ(root.tables("bed"), faults);
    let inlets = inlets::inlets(root, pump.as_ref(), &around, faults);
    let supply = match root.table("supply") {
        Some(node) => pipes::supply(node, inlets.as_ref().map(|all| all.beds.as_slice()), faults),
        // Without one the beds are fed by share or measured flow, and no pipe matters.
        None if root.has("supply") => None,
        None => Some(Supply {
            trunk: pipes::no_pipe(),
            bypass: None,
        }),
    };
    let tank = optional(root, "tank", |node| vessels::tank(node, &around, faults));
    let settler = optional(root, "settler", |node| {
        vessels::settler(
            node,
            root.table("tank"),
            inlets.as_ref().map(|all| all.beds.as_slice()),
            &around,
            faults,
        )
    });
    let top_off = optional(root, "top-off", |node| {
        vessels::top_off(node, sump.as_ref(), faults)
    });
    let coefficients = rest::coefficients(root.table("coefficients"));
    let thresholds = rest::thresholds(root.table("checks"), faults);
    let duration = match (root.number("hours"), root.has("hours")) {
        (Some(hours), _) => Some(Duration::Fixed(hours * HOUR)),
        (None, true) => None,
        (None, false) => Some(usual_duration(beds.len())),
    };
    let fish = optional(root, "fish", |node| garden::fish(node, root, faults));
    let incidents = rest::incidents(root, duration, faults);
    if let (Some(node), Some(duration)) = (root.table("pump"), duration) {
        pump::timer_fits(node, duration, faults);
    }
    line_is_used(root, faults);

    let temperature = match root.table("water") {
        Some(water) => water.number_or("temperature", 20.0)?,
        None => 20.0,
    };
    let inlets = inlets?;
    beds_are_fed(
        root,
        &inlets,
        tank.as_ref().and_then(Option::as_ref),
        faults,
    )?;
    let pump = pump?;
    let beds = beds
        .into_iter()
        .zip(inlets.beds)
        .map(|((_, bed), inlet)| Some(bed?.with_inlet(inlet)))
        .collect::<Option<Vec<_>>>()?;
    Some(System {
        title,
        duration: duration?,
        water: Water::at(temperature).ok()?,
        ceiling: around.ceiling,
        sump: sump?,
        pump: pump.with_source(inlets.source),
        supply: supply?,
        beds,
        drain_line: around.line,
        tank: tank?,
        settler: settler?,
        top_off: top_off?,
        evaporation: match root.table("losses") {
            Some(losses) => losses.number_or("evaporation", 0.0)?,
            None => 0.0,
        },
        sources: garden::sources(root)?,
        dissolved: garden::dissolved(root)?,
        fish: fish?,
        incidents: incidents?,
        coefficients,
        thresholds,
    })
}

/// What the owner keeps as it is.
pub(super) fn kept(root: &Node, faults: &mut Faults<'_>) -> Option<Vec<EditPath>> {
    let mut kept = Vec::new();
    let mut sound = true;
    for (i, text) in root.texts("keep").iter().enumerate() {
        let path: Result<EditPath, _> = text.parse();
        match path {
            Ok(path) if names_a_part(&path) => kept.push(every_bed::in_each(path)),
            _ => {
                sound = false;
                let rule = Rule::KeptKey { key: text.clone() };
                let labels = vec![label(&root.span_of("keep"), format!("entry {}", i + 1))];
                let help = "write keys as they stand in this file, with dots between them: \
                            \"sump\", \"sump.shape\", \"bed.north.standpipe\", \"bed.*.floor\"";
                clash(faults, rule, root.path_of("keep"), labels, help.to_owned());
            }
        }
    }
    sound.then_some(kept)
}

/// Whether a path begins with a key of the file.
fn names_a_part(path: &EditPath) -> bool {
    matches!(path.parts().first(), Some(Part::Name(name)) if FORMAT.key(name).is_some())
}

/// What a part must know of the parts around it.
struct Surroundings {
    ceiling: Option<f64>,
    sump_floor: Option<f64>,
    has_line: bool,
    line: Option<crate::model::DrainLine>,
}

/// `Some(None)` if the table is missing, `None` if it is faulty.
fn optional<T>(
    root: &Node,
    key: &str,
    build: impl FnOnce(&Node) -> Option<T>,
) -> Option<Option<T>> {
    match root.table(key) {
        Some(node) => build(node).map(Some),
        None if root.has(key) => None,
        None => Some(None),
    }
}

/// Piped beds hang on the pump or on the tank's overflow.
fn beds_are_fed(
    root: &Node,
    inlets: &inlets::Inlets,
    tank: Option<&Tank>,
    faults: &mut Faults<'_>,
) -> Option<()> {
    let piped = inlets
        .beds
        .iter()
        .any(|inlet| matches!(inlet, Inlet::Piped(_)));
    let (Some(tank), Some(node)) = (tank, root.table("tank")) else {
        return Some(());
    };
    let whole = matches!(tank.fed_by, TankFeed::WholePump);
    if !piped || !whole || tank.overflows_to == TankOutlet::Beds {
        return Some(());
    }
    refuse(
        faults,
        Misfit::BedsCutOff,
        node.path.clone(),
        vec![label(
            &node.span,
            "takes the whole flow: it has no inlet of its own",
        )],
        "write overflows-to = \"beds\", or give the tank a branch beside the beds: \
         inlet = { level = \"1.0 m\", pipe = { bore = \"20 mm\", length = \"1 m\" } }"
            .to_owned(),
    );
    None
}

/// A drain line that nothing drains into is a slip, though a harmless one.
fn line_is_used(root: &Node, faults: &mut Faults<'_>) {
    let Some(line) = root.table("drain-line") else {
        return;
    };
    let unused = root.tables("bed").iter().all(|bed| {
        bed.table("drain")
            .is_some_and(|drain| drain.word("into") == Some("sump"))
    });
    if unused && root.has("bed") {
        warn(
            faults,
            Rule::UnusedLine,
            line.path.clone(),
            vec![label(&line.span, "unused")],
            "leave [drain-line] out, or write into = \"line\" in [bed.drain]".to_owned(),
        );
    }
}

/// File name without folder and ending.
fn stem(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    file.strip_suffix(".toml").unwrap_or(file).to_owned()
}

fn label(span: &Range<usize>, text: impl Into<String>) -> Label {
    Label {
        span: span.clone(),
        text: text.into(),
    }
}

/// Reports what breaks a rule of the model.
fn refuse(
    faults: &mut Faults<'_>,
    misfit: Misfit,
    path: KeyPath,
    labels: Vec<Label>,
    help: impl Into<String>,
) {
    let system = faults.system;
    clash(
        faults,
        Rule::Misfit { misfit, system },
        path,
        labels,
        help.into(),
    );
}

/// Reports values that cannot stand together.
fn clash(faults: &mut Faults<'_>, rule: Rule, path: KeyPath, labels: Vec<Label>, help: String) {
    faults.add(Severity::Error, FaultKind::Rule(rule), path, labels, help);
}

/// Reports values that look wrong together.
fn warn(faults: &mut Faults<'_>, rule: Rule, path: KeyPath, labels: Vec<Label>, help: String) {
    faults.add(Severity::Warning, FaultKind::Rule(rule), path, labels, help);
}

impl Faults<'_> {
    fn figure(&self, quantity: Quantity, value: f64) -> Figure {
        Figure {
            value,
            quantity,
            system: self.system,
        }
    }

    fn length(&self, value: f64) -> Figure {
        self.figure(Quantity::Length, value)
    }
}
