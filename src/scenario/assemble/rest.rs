//! Events, soft coefficients, limits of the checks.

use super::super::advice::nearest;
use super::super::fault::Faults;
use super::super::node::Node;
use super::super::rule::Rule;
use super::{clash, label, refuse, warn};
use crate::model::{
    Coefficient, Coefficients, Disturbance, Duration, Incident, IncidentTime, Misfit, Rules,
    Thresholds,
};
use crate::units::HOUR;

pub(super) fn coefficients(node: Option<&Node>) -> Coefficients {
    let mut bands = Coefficients::default();
    for entry in node.iter().flat_map(|node| &node.entries) {
        if let (Some(which), Some(band)) = (
            Coefficient::from_key(entry.key.name),
            node.and_then(|n| n.band(entry.key.name)),
        ) {
            bands.give(which, band);
        }
    }
    bands
}

/// The limits; a faulty one keeps its default, its fault has been reported.
pub(super) fn thresholds(node: Option<&Node>, faults: &mut Faults<'_>) -> Thresholds {
    let usual = Thresholds::default();
    let Some(node) = node else { return usual };
    let value = |key: &str, default: f64| node.number(key).unwrap_or(default);
    let limits = Thresholds {
        dry_layer: value("dry-layer", usual.dry_layer),
        dry_layer_least: value("dry-layer-least", usual.dry_layer_least),
        levelling_error: value("levelling-error", usual.levelling_error),
        rim_freeboard: value("rim-freeboard", usual.rim_freeboard),
        inflow_ratio: value("inflow-ratio", usual.inflow_ratio),
        inflow_ratio_most: value("inflow-ratio-most", usual.inflow_ratio_most),
        period_least: value("period-least", usual.period_least),
        period_most: value("period-most", usual.period_most),
        sump_freeboard: value("sump-freeboard", usual.sump_freeboard),
        growing_height: node.number("growing-height"),
        tank_depth: node.number("tank-depth"),
        reach: value("reach", usual.reach),
        dissolved: node.number("dissolved"),
        crown_pressure: value("crown-pressure", usual.crown_pressure),
        fall_back: value("fall-back", usual.fall_back),
    };
    for misfit in Rules::limits(&limits) {
        let Misfit::LimitOrder { less, more, .. } = misfit else {
            continue;
        };
        let key = if node.has(less) { less } else { more };
        let (low, high) = misfit.limits(faults.system);
        let labels = vec![label(
            &node.span_of(key),
            format!("{less} is {low}, {more} is {high}"),
        )];
        let help = format!("write both, {less} at most as large as {more}");
        refuse(faults, misfit, node.path_of(key), labels, help);
    }
    limits
}

pub(super) fn incidents(
    root: &Node,
    duration: Option<Duration>,
    faults: &mut Faults<'_>,
) -> Option<Vec<Incident>> {
    let all: Vec<Option<Incident>> = root
        .tables("event")
        .iter()
        .map(|node| incident(node, root, duration, faults))
        .collect();
    if root.has("event") && root.tables("event").is_empty() {
        return None;
    }
    all.into_iter().collect()
}

fn incident(
    node: &Node,
    root: &Node,
    duration: Option<Duration>,
    faults: &mut Faults<'_>,
) -> Option<Incident> {
    if let (Some(at), Some(Duration::Fixed(end))) = (node.at("at"), duration)
        && at.value > end
    {
        let labels = vec![label(&at.span, "never happens")];
        let rule = Rule::EventAfterEnd {
            at: at.value / HOUR,
            end: end / HOUR,
        };
        let help = "raise hours at the top of the file, or set at earlier".to_owned();
        warn(faults, rule, node.path_of("at"), labels, help);
    }
    let what = what_happens(node, root, faults);
    let at = match node.number("at") {
        Some(time) => IncidentTime::At(time),
        None => node.word("at").map(|_| IncidentTime::Worst)?,
    };
    Some(Incident { at, what: what? })
}

fn what_happens(node: &Node, root: &Node, faults: &mut Faults<'_>) -> Option<Disturbance> {
    if let Some(pump) = node.word("pump") {
        return Some(if pump == "stops" {
            Disturbance::PumpStops
        } else {
            Disturbance::PumpStarts
        });
    }
    if let Some(share) = node.number("line-blocked") {
        if !root.has("drain-line") {
            let labels = vec![label(&node.span_of("line-blocked"), "which line?")];
            let help =
                "add a [drain-line], or write siphon-blocked with the name of a bed".to_owned();
            clash(
                faults,
                Rule::NoLine,
                node.path_of("line-blocked"),
                labels,
                help,
            );
            return None;
        }
        return Some(Disturbance::LineBlocked(share));
    }
    if node.has("siphon-blocked") {
        return bed_named(node, "siphon-blocked", root, faults).map(Disturbance::SiphonBlocked);
    }
    bed_named(node, "valve-shut", root, faults).map(Disturbance::ValveShut)
}

fn bed_named(node: &Node, key: &str, root: &Node, faults: &mut Faults<'_>) -> Option<usize> {
    let name = node.text(key)?;
    let beds = root.tables("bed");
    let found = beds.iter().position(|bed| bed.text("name") == Some(name));
    if found.is_none() {
        let names: Vec<&str> = beds.iter().filter_map(|bed| bed.text("name")).collect();
        let here = match nearest(name, names.iter().copied()) {
            Some(close) => format!("did you mean \"{close}\"?"),
            None => "no such bed".to_owned(),
        };
        let labels = vec![label(&node.span_of(key), here)];
        let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
        let help = format!("beds of this file: {}", quoted.join(", "));
        let rule = Rule::UnknownBed {
            name: name.to_owned(),
        };
        clash(faults, rule, node.path_of(key), labels, help);
    }
    found
}
