//! Pipes, fittings, valves, branches, the drain line.

use super::super::fault::Faults;
use super::super::node::{At, Node};
use super::super::rule::Rule;
use super::{Surroundings, clash, label, optional, refuse, warn};
use crate::hydraulics::fittings::Fitting;
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule, find};
use crate::hydraulics::valves::ValveKind;
use crate::model::{Branch, DrainLine, Inlet, Rules, Supply, USUAL_WALL, Valve};

/// Inside and outside diameter of a pipe `[m]`.
pub(super) struct Diameters {
    pub bore: f64,
    pub outside: f64,
}

/// From `bore` or from `nominal` and `schedule`.
pub(super) fn diameters(node: &Node, faults: &mut Faults<'_>) -> Option<Diameters> {
    if let Some(bore) = node.number("bore") {
        return Some(Diameters {
            bore,
            outside: bore + 2.0 * USUAL_WALL,
        });
    }
    let nominal = node.text("nominal")?;
    if node.has("schedule") && node.word("schedule").is_none() {
        return None;
    }
    let schedule = node.word("schedule").and_then(Schedule::from_name);
    let size = find(nominal, schedule.unwrap_or(Schedule::Sch40));
    if size.is_none() {
        unknown_size(node, nominal, schedule, faults);
    }
    size.map(|size: &PipeSize| Diameters {
        bore: size.bore,
        outside: size.outside,
    })
}

fn unknown_size(node: &Node, nominal: &str, schedule: Option<Schedule>, faults: &mut Faults<'_>) {
    let series = schedule.unwrap_or(Schedule::Sch40);
    let sizes: Vec<&str> = PIPE_SIZES
        .iter()
        .filter(|s| s.schedule == series)
        .map(|s| s.nominal)
        .collect();
    let metric = [Schedule::Pn16, Schedule::Pn10]
        .into_iter()
        .find(|metric| find(nominal, *metric).is_some());
    let unit = if matches!(series, Schedule::Sch40 | Schedule::Sch80) {
        "in"
    } else {
        "mm"
    };
    let sizes = format!("sizes of {}, {unit}: {}", series.name(), sizes.join(", "));
    let help = match (schedule, metric) {
        (None, Some(metric)) => format!(
            "{nominal} is a metric size: write schedule = \"{}\" beside it, or give the bore\n{sizes}",
            metric.name()
        ),
        _ => {
            format!("{sizes}; or measure the inside diameter and write bore = \"26.6 mm\" instead")
        }
    };
    let span = node.span_of("nominal");
    let rule = Rule::UnknownSize {
        nominal: nominal.to_owned(),
        series: series.name(),
    };
    clash(
        faults,
        rule,
        node.path_of("nominal"),
        vec![label(&span, "no such size")],
        help,
    );
}

/// Summed K of `fittings` and `k`.
pub(super) fn fittings_k(node: &Node) -> Option<f64> {
    let own = node.number_or("k", 0.0)?;
    let Some(fittings) = node.table("fittings") else {
        return (!node.has("fittings")).then_some(own);
    };
    let mut sum = own;
    for entry in &fittings.entries {
        let count = fittings.number(entry.key.name)?;
        sum += count * Fitting::from_name(entry.key.name)?.published().k;
    }
    Some(sum)
}

/// The pipe under `pipe` with the fittings beside it.
fn run(node: &Node, faults: &mut Faults<'_>) -> Option<PipeRun> {
    let pipe = node.table("pipe")?;
    let bore = diameters(pipe, faults);
    Some(PipeRun {
        bore: bore?.bore,
        length: pipe.number("length")?,
        roughness: pipe.number_or("roughness", PLASTIC_ROUGHNESS)?,
        k: fittings_k(node)?,
    })
}

/// A stand-in where no pipe matters.
pub(super) fn no_pipe() -> PipeRun {
    PipeRun {
        bore: 0.025,
        length: 0.0,
        roughness: PLASTIC_ROUGHNESS,
        k: 0.0,
    }
}

/// A branch into a vessel with the given floor.
pub(super) fn inlet(
    node: &Node,
    floor: Option<&At>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Branch> {
    let branch = branch(node, floor, around, faults)?;
    let anti_siphon_hole = node.optional("anti-siphon-hole")?;
    Some(Branch {
        anti_siphon_hole,
        ..branch
    })
}

/// A branch to a free outlet above the given floor.
pub(super) fn branch(
    node: &Node,
    floor: Option<&At>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Branch> {
    let run = run(node, faults);
    let level = node.at("level")?;
    let shown = faults.length(level.value);
    if let Some(floor) = floor
        && let Some(misfit) = Rules::inlet_over_floor(level.value, floor.value)
    {
        let floor_shown = faults.length(floor.value);
        let labels = vec![
            label(&level.span, format!("pours at {shown}")),
            label(&floor.span, format!("floor at {floor_shown}")),
        ];
        let help = format!(
            "level is an elevation above the room's floor: write {floor_shown} plus the height inside"
        );
        refuse(faults, misfit, node.path_of("level"), labels, help);
        return None;
    }
    if let Some(ceiling) = around.ceiling
        && let Some(misfit) = Rules::inlet_under_ceiling(level.value, around.ceiling)
    {
        let ceiling = faults.length(ceiling);
        let labels = vec![label(&level.span, format!("allowed: below {ceiling}"))];
        let help = "elevations are above the room's floor; check level and room.ceiling";
        refuse(faults, misfit, node.path_of("level"), labels, help);
        return None;
    }
    let valve = optional(node, "valve", |valve| {
        let name = valve.entries.first()?.key.name;
        Some(Valve {
            kind: ValveKind::from_name(name)?,
            opening: valve.number(name)?,
        })
    });
    Some(Branch {
        level: level.value,
        run: run?,
        valve: valve?,
        anti_siphon_hole: None,
    })
}

pub(super) fn supply(
    node: &Node,
    inlets: Option<&[Inlet]>,
    faults: &mut Faults<'_>,
) -> Option<Supply> {
    let trunk = run(node, faults);
    // A bypass may end anywhere above the sump's floor; under water it is still free.
    let nowhere = Surroundings {
        ceiling: None,
        sump_floor: None,
        has_line: false,
        line: None,
    };
    let bypass = optional(node, "bypass", |bypass| {
        branch(bypass, None, &nowhere, faults)
    });
    if let (Some(bypass), Some(inlets)) = (node.table("bypass"), inlets) {
        manifold_feeds(bypass, inlets, faults);
    }
    Some(Supply {
        trunk: trunk?,
        bypass: bypass?,
    })
}

/// A branch carries water only beside beds that are fed by pipes from the manifold.
pub(super) fn manifold_feeds(branch: &Node, inlets: &[Inlet], faults: &mut Faults<'_>) {
    if inlets.iter().any(|inlet| matches!(inlet, Inlet::Piped(_))) {
        return;
    }
    warn(
        faults,
        Rule::UnusedBranch,
        branch.path.clone(),
        vec![label(&branch.span, "unused")],
        "leave it out, or give the beds inlets with level and pipe".to_owned(),
    );
}

pub(super) fn drain_line(
    node: &Node,
    sump_floor: Option<f64>,
    faults: &mut Faults<'_>,
) -> Option<DrainLine> {
    let run = run(node, faults);
    let outlet = node.at("outlet")?;
    if let Some(sump_floor) = sump_floor
        && let Some(misfit) = Rules::line_over_sump(outlet.value, sump_floor)
    {
        let (shown, sump_floor) = (faults.length(outlet.value), faults.length(sump_floor));
        let labels = vec![label(&outlet.span, format!("line ends at {shown}"))];
        let help = format!(
            "write at least {sump_floor}; a line that ends under water in the sump is allowed"
        );
        refuse(faults, misfit, node.path_of("outlet"), labels, help);
    }
    Some(DrainLine {
        run: run?,
        slope: node.number("slope")?,
        outlet: outlet.value,
        vented: node.flag_or("vented", true)?,
    })
}
