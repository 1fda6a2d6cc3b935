//! How the beds are fed, and whether that agrees with the pump.

use super::super::fault::Faults;
use super::super::node::Node;
use super::super::rule::Rule;
use super::pump::PumpInWaiting;
use super::{Surroundings, clash, label, pipes, refuse};
use crate::model::{Inlet, Misfit, PumpSource, Rules, manner};
use crate::units::table::Quantity;

/// Inlets in the order of the beds, and what moves the water.
pub(super) struct Inlets {
    pub beds: Vec<Inlet>,
    pub source: PumpSource,
}

/// The inlets of all beds, or `None` once a fault has been reported.
pub(super) fn inlets(
    root: &Node,
    pump: Option<&PumpInWaiting>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Inlets> {
    let beds = root.tables("bed");
    if pump.is_some_and(|pump| pump.source.is_none()) && !beds.iter().all(|bed| bed.has("inlet")) {
        no_source(root, faults);
        return None;
    }
    let built: Vec<Option<Inlet>> = beds
        .iter()
        .map(|bed| match bed.table("inlet") {
            Some(node) => inlet(node, bed, around, faults),
            None if bed.has("inlet") => None,
            None => without_inlet(bed, beds.len(), pump, faults),
        })
        .collect();
    let built = built.into_iter().collect::<Option<Vec<Inlet>>>()?;
    alike(beds, &built, faults)?;
    let source = source(root, &built, pump?, faults)?;
    Some(Inlets {
        beds: built,
        source,
    })
}

/// The pump has neither curve nor flow, and no measured inflow stands in for them.
fn no_source(root: &Node, faults: &mut Faults<'_>) {
    let Some(pump) = root.table("pump") else {
        return;
    };
    let help = "write steady-flow = \"10 L/min\" as measured with a bucket, \
                or box = { shut-off-head = \"2.4 m\", open-flow = \"2500 L/h\" }, \
                or curve = [ [\"0 L/h\", \"2.4 m\"], [\"2500 L/h\", \"0 m\"] ]"
        .to_owned();
    let labels = vec![label(
        &pump.span,
        "steady-flow, box or curve is missing here",
    )];
    clash(faults, Rule::NoPumpSource, pump.path.clone(), labels, help);
}

fn inlet(node: &Node, bed: &Node, around: &Surroundings, faults: &mut Faults<'_>) -> Option<Inlet> {
    if node.has("share") {
        return node.number("share").map(Inlet::Share);
    }
    if node.has("flow") {
        return node.number("flow").map(Inlet::Measured);
    }
    pipes::inlet(node, bed.at("floor").as_ref(), around, faults).map(Inlet::Piped)
}

/// A single bed takes all of a steady flow; any other bed needs an inlet.
fn without_inlet(
    bed: &Node,
    beds: usize,
    pump: Option<&PumpInWaiting>,
    faults: &mut Faults<'_>,
) -> Option<Inlet> {
    // With a faulty pump it cannot be told what this bed needs.
    let steady = matches!(pump?.source, Some(PumpSource::Steady(_)));
    if steady && beds == 1 {
        return Some(Inlet::Share(1.0));
    }
    let help = if steady {
        "write inlet = { share = 0.5 }, or inlet = { flow = \"6 L/min\" } as measured with a bucket"
    } else {
        "write inlet = { level = \"1.35 m\", pipe = { bore = \"15 mm\", length = \"0.6 m\" } }, \
         or inlet = { flow = \"6 L/min\" } as measured with a bucket"
    };
    clash(
        faults,
        Rule::NoInlet,
        bed.path.clone(),
        vec![label(&bed.span, "inlet is missing here")],
        help.to_owned(),
    );
    None
}

/// All beds are fed in the same way: mixed ways do not say what the others leave.
fn alike(beds: &[Node], inlets: &[Inlet], faults: &mut Faults<'_>) -> Option<()> {
    let name = |i: usize| beds[i].text("name").unwrap_or_default().to_owned();
    let Some((other, misfit)) = Rules::inlets_alike(inlets, name) else {
        return Some(());
    };
    let (a, b) = (&beds[0], &beds[other]);
    let labels = vec![
        label(&b.span_of("inlet"), manner(&inlets[other])),
        label(&a.span_of("inlet"), manner(&inlets[0])),
    ];
    let help =
        "give every inlet level and pipe, or every inlet a share, or every inlet a measured flow";
    refuse(faults, misfit, b.path_of("inlet"), labels, help);
    None
}

/// What moves the water, once it agrees with the inlets.
fn source(
    root: &Node,
    inlets: &[Inlet],
    pump: &PumpInWaiting,
    faults: &mut Faults<'_>,
) -> Option<PumpSource> {
    let beds = root.tables("bed");
    let pump_node = root.table("pump")?;
    match (inlets.first()?, &pump.source) {
        (Inlet::Piped(_) | Inlet::Share(_), None) => {
            no_source(root, faults);
            None
        }
        (Inlet::Piped(_), Some(PumpSource::Curve(_))) if !root.has("supply") => {
            let labels = vec![label(&pump_node.span, "pump with a curve")];
            let help = "write [supply] with pipe = { bore = \"26.6 mm\", length = \"3 m\" }; \
                        a pump curve is worked against its pipes"
                .to_owned();
            clash(faults, Rule::NoSupply, root.path_of("supply"), labels, help);
            None
        }
        (Inlet::Measured(_), None) => Some(PumpSource::Steady(
            inlets.iter().filter_map(Inlet::measured).sum(),
        )),
        (_, Some(source)) => match Rules::pump_feeds(inlets, source) {
            None => Some(source.clone()),
            Some(misfit) => {
                not_fed(beds, pump_node, misfit, faults);
                None
            }
        },
    }
}

/// The pump cannot give what the inlets say.
fn not_fed(beds: &[Node], pump: &Node, misfit: Misfit, faults: &mut Faults<'_>) {
    let Some(last) = beds.last() else { return };
    let takes = |bed: &Node, what| label(&bed.span_of("inlet"), what);
    let (path, labels, help) = match misfit {
        Misfit::SharesAboveOne { .. } => (
            last.path_of("inlet"),
            beds.iter().rev().map(|bed| takes(bed, "share")).collect(),
            "lower the shares until they add up to 1 or less".to_owned(),
        ),
        Misfit::FlowsAbovePump { sum, pump: flow } => {
            let (sum, flow) = (
                faults.figure(Quantity::Flow, sum),
                faults.figure(Quantity::Flow, flow),
            );
            let mut labels = vec![label(
                &pump.span_of("steady-flow"),
                format!("the pump gives {flow}"),
            )];
            labels.extend(beds.iter().map(|bed| takes(bed, "takes of it")));
            let help = format!(
                "measure again: steady-flow must be at least {sum}; or leave it out, the inflows are enough"
            );
            (pump.path_of("steady-flow"), labels, help)
        }
        _ => (
            last.path_of("inlet"),
            vec![takes(last, "a share of what?")],
            "write steady-flow = \"10 L/min\" in [pump], or inlet = { level = \"1.35 m\", \
             pipe = { bore = \"15 mm\", length = \"0.6 m\" } }"
                .to_owned(),
        ),
    };
    refuse(faults, misfit, path, labels, help);
}
