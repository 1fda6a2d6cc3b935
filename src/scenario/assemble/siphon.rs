//! Standpipe, bell and drain of a bed, and how they fit each other.

use std::ops::Range;

use super::super::fault::{Faults, KeyPath};
use super::super::node::{At, Node};
use super::super::rule::Rule;
use super::pipes::{diameters, fittings_k};
use super::{Surroundings, clash, label, optional, refuse, warn};
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::small_bore::SMALLEST_BORE;
use crate::model::{
    AirTube, Bell, Drain, DrainLosses, DrainTarget, Misfit, Rules, Siphon, Slots, Standpipe,
    drop_beyond, within,
};

/// The siphon.
pub(super) fn siphon(
    bed: &Node,
    floor: Option<&At>,
    rim: Option<&At>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Siphon> {
    let standpipe = bed
        .table("standpipe")
        .and_then(|node| standpipe(node, faults));
    let bell = bed.table("bell").and_then(|node| bell(node, faults));
    let nested = pipe_in_bell(bed, standpipe.as_ref(), bell.as_ref(), faults);
    let below = lip_below_rim(bed, floor, rim, faults);
    let openings = openings_below_lip(bed, faults);
    let lip = standpipe.as_ref().map(|pipe| pipe.lip_height);
    let drain = bed.table("drain").and_then(|node| {
        drain(
            node,
            lip.zip(floor).map(|(lip, floor)| floor.value + lip),
            around,
            faults,
        )
    });
    let falls = outlet_below_bed(bed, floor, faults);
    nested.and(below).and(openings).and(falls)?;
    Some(Siphon {
        standpipe: standpipe?,
        bell: bell?,
        drain: drain?,
    })
}

/// Outside diameter: as given, else of the nominal size, else bore and a usual wall.
fn outside(node: &Node, bore: f64, usual: f64, faults: &mut Faults<'_>) -> Option<f64> {
    let outside = node.number_or("outside", usual)?;
    let Some(misfit) = Rules::wall(outside, bore) else {
        return Some(outside);
    };
    let bore = faults.length(bore);
    let labels = vec![label(&node.span_of("outside"), format!("bore is {bore}"))];
    let help = format!("outside must be more than {bore}; leave it out if you cannot measure it");
    refuse(faults, misfit, node.path_of("outside"), labels, help);
    None
}

fn standpipe(node: &Node, faults: &mut Faults<'_>) -> Option<Standpipe> {
    let sizes = diameters(node, faults)?;
    let outside = outside(node, sizes.bore, sizes.outside, faults);
    if sizes.bore < SMALLEST_BORE {
        let (bore, least) = (faults.length(sizes.bore), faults.length(SMALLEST_BORE));
        let labels = vec![label(&bore_span(node), "how it starts is not known")];
        let help = "such a pipe stays full by surface tension or runs as a film: use a wider \
                    one, or try it"
            .to_owned();
        let key = if node.has("bore") { "bore" } else { "nominal" };
        let rule = Rule::BoreBelowLaw { bore, least };
        warn(faults, rule, node.path_of(key), labels, help);
    }
    let lip_diameter = node.number_or("flare", sizes.bore)?;
    if let Some(misfit) = Rules::flare(lip_diameter, sizes.bore) {
        let bore = faults.length(sizes.bore);
        let labels = vec![label(&node.span_of("flare"), format!("bore is {bore}"))];
        let help = format!(
            "flare is the diameter of the widened top: write at least {bore}, or leave it out"
        );
        refuse(faults, misfit, node.path_of("flare"), labels, help);
        return None;
    }
    Some(Standpipe {
        bore: sizes.bore,
        outside: outside?,
        lip_height: node.number("length")?,
        lip_diameter,
    })
}

/// Tells where an outside diameter comes from if the file does not give it.
pub(super) fn usual_wall(node: &Node) -> &'static str {
    if node.has("outside") || node.has("nominal") {
        ""
    } else {
        ", with 3 mm of wall"
    }
}

/// Where the keys `bore` or `nominal` of a pipe stand.
fn bore_span(node: &Node) -> Range<usize> {
    node.span_of(if node.has("bore") { "bore" } else { "nominal" })
}

/// Outside diameter of the bell and where it comes from; no faults reported twice.
pub(super) fn bell_outside(bed: &Node, faults: &mut Faults<'_>) -> Option<At> {
    let node = bed.table("bell")?;
    let before = faults.found.len();
    let value = diameters(node, faults).and_then(|s| outside(node, s.bore, s.outside, faults));
    faults.found.truncate(before);
    let span = if node.has("outside") {
        node.span_of("outside")
    } else {
        bore_span(node)
    };
    Some(At {
        value: value?,
        span,
    })
}

fn bell(node: &Node, faults: &mut Faults<'_>) -> Option<Bell> {
    let sizes = diameters(node, faults)?;
    let outside = outside(node, sizes.bore, sizes.outside, faults);
    let slots = node.table("slots").and_then(|slots| {
        let count = slots.number("count")?;
        let (width, height) = (slots.number("width")?, slots.number("height")?);
        if let Some(misfit) = Rules::slots_round_bell(count * width, outside?) {
            let mut at_most = String::new();
            if let Misfit::SlotsRoundBell { girth, .. } = misfit {
                at_most = format!("together at most {}", faults.length(girth));
            }
            let labels = vec![label(&slots.span_of("width"), at_most)];
            let help = "count times width must be less than the way round the bell; check both";
            refuse(faults, misfit, slots.path_of("width"), labels, help);
            return None;
        }
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from 1 to 200"
        )]
        Some(Slots {
            count: count as u32,
            width,
            height,
        })
    });
    let air_tube = optional(node, "air-tube", |tube| {
        let bore = tube.number("bore")?;
        if let Some(misfit) = Rules::tube_in_bell(bore, sizes.bore) {
            let bell = faults.length(sizes.bore);
            let labels = vec![label(
                &tube.span_of("bore"),
                format!("bell is {bell} inside"),
            )];
            let help = "the air tube is a thin tube into the cap, such as bore = \"8 mm\"";
            refuse(faults, misfit, tube.path_of("bore"), labels, help);
            return None;
        }
        Some(AirTube {
            bore,
            mouth_height: tube.number("mouth")?,
        })
    });
    Some(Bell {
        bore: sizes.bore,
        outside: outside?,
        clearance: node.number("clearance")?,
        slots: slots?,
        air_tube: air_tube?,
        air_leak: node.number_or("air-leak", 0.0)?,
    })
}

/// The bell goes over the standpipe and its lip.
fn pipe_in_bell(
    bed: &Node,
    standpipe: Option<&Standpipe>,
    bell: Option<&Bell>,
    faults: &mut Faults<'_>,
) -> Option<()> {
    let (Some(standpipe), Some(bell)) = (standpipe, bell) else {
        return Some(());
    };
    let (pipe_node, bell_node) = (bed.table("standpipe")?, bed.table("bell")?);
    let bell_span = bore_span(bell_node);
    let inside = faults.length(bell.bore);
    if let Some(misfit) = Rules::pipe_in_bell(standpipe.outside, bell.bore) {
        let outside = faults.length(standpipe.outside);
        let span = if pipe_node.has("outside") {
            pipe_node.span_of("outside")
        } else {
            bore_span(pipe_node)
        };
        let wall = usual_wall(pipe_node);
        let labels = vec![
            label(&bell_span, format!("bell {inside} inside")),
            label(&span, format!("standpipe {outside} outside{wall}")),
        ];
        let help =
            format!("the bell stands over the standpipe: its bore must be more than {outside}");
        refuse(faults, misfit, bell_node.path_of("bore"), labels, help);
        return None;
    }
    if let Some(misfit) = Rules::lip_in_bell(standpipe.lip_diameter, bell.bore) {
        let lip = faults.length(standpipe.lip_diameter);
        let labels = vec![
            label(&pipe_node.span_of("flare"), format!("lip {lip} wide")),
            label(&bell_span, format!("bell {inside} inside")),
        ];
        let help = format!("make flare less than {inside}, or take a wider bell");
        refuse(faults, misfit, pipe_node.path_of("flare"), labels, help);
        return None;
    }
    Some(())
}

fn lip_below_rim(
    bed: &Node,
    floor: Option<&At>,
    rim: Option<&At>,
    faults: &mut Faults<'_>,
) -> Option<()> {
    let node = bed.table("standpipe")?;
    let (length, floor, rim) = (node.at("length")?, floor?.value, rim?);
    let lip = floor + length.value;
    let Some(misfit) = Rules::lip_under_rim(lip, rim.value) else {
        return Some(());
    };
    let (wall, lip, rim_shown) = (
        faults.length(rim.value - floor),
        faults.length(lip),
        faults.length(rim.value),
    );
    let labels = vec![
        label(&length.span, format!("lip at {lip}, bed floor plus length")),
        label(&rim.span, format!("rim at {rim_shown}")),
    ];
    let help = if rim.value > floor {
        format!("length is the lip's height above the bed's floor: write less than {wall}")
    } else {
        "the rim is no higher than the bed's floor: both are elevations above the room's floor"
            .to_owned()
    };
    refuse(faults, misfit, node.path_of("length"), labels, help);
    None
}

/// Slots and air tube break the siphon below the lip.
fn openings_below_lip(bed: &Node, faults: &mut Faults<'_>) -> Option<()> {
    let lip = bed.table("standpipe").and_then(|node| node.at("length"));
    let Some(lip) = lip else { return Some(()) };
    let lip_shown = faults.length(lip.value);
    let bell = bed.table("bell")?;
    let mut fine = Some(());
    if let Some((node, crown)) = bell.table("slots").and_then(|s| Some((s, s.at("height")?)))
        && let Some(misfit) = Rules::slots_under_lip(crown.value, lip.value)
    {
        let shown = faults.length(crown.value);
        let labels = vec![
            label(&crown.span, format!("crown {shown} above the bed floor")),
            label(&lip.span, format!("lip {lip_shown} above it")),
        ];
        let help = format!(
            "the slots set the level at which the siphon breaks: write less than {lip_shown}, usually \"25 mm\""
        );
        refuse(faults, misfit, node.path_of("height"), labels, help);
        fine = None;
    }
    if let Some((node, mouth)) = bell
        .table("air-tube")
        .and_then(|t| Some((t, t.at("mouth")?)))
        && let Some(misfit) = Rules::tube_under_lip(mouth.value, lip.value)
    {
        let shown = faults.length(mouth.value);
        let labels = vec![
            label(&mouth.span, format!("mouth {shown} above the bed floor")),
            label(&lip.span, format!("lip {lip_shown} above it")),
        ];
        let help = format!(
            "the mouth sets the level at which the siphon breaks: write less than {lip_shown}, usually \"30 mm\""
        );
        refuse(faults, misfit, node.path_of("mouth"), labels, help);
        fine = None;
    }
    fine
}

/// The outlet lies below the break level and below the bed.
fn outlet_below_bed(bed: &Node, floor: Option<&At>, faults: &mut Faults<'_>) -> Option<()> {
    let node = bed.table("drain")?;
    let (outlet, floor) = (node.at("outlet")?, floor?);
    let bell = bed.table("bell");
    let crown = bell.and_then(|b| b.table("slots")?.at("height"));
    let mouth = bell.and_then(|b| b.table("air-tube")?.at("mouth"));
    let highest = match (crown, mouth) {
        (Some(a), Some(b)) if b.value > a.value => Some(b),
        (a, b) => a.or(b),
    };
    let breaks = highest.as_ref().map(|at| floor.value + at.value);
    let Some(misfit) = Rules::outlet_under_bed(outlet.value, floor.value, breaks) else {
        return Some(());
    };
    let (shown, floor_shown) = (faults.length(outlet.value), faults.length(floor.value));
    let mut labels = vec![label(&outlet.span, format!("outlet at {shown}"))];
    if let (Misfit::OutletAboveBreak { break_level, .. }, Some(at)) = (&misfit, highest) {
        let break_level = faults.length(*break_level);
        labels.push(label(
            &at.span,
            format!("breaks at {break_level}, bed floor plus this height"),
        ));
    }
    labels.push(label(&floor.span, format!("bed floor at {floor_shown}")));
    let help = if floor.value > 0.0 {
        format!(
            "outlet is the elevation above the room's floor where the siphon's pipe ends: write less \
             than {floor_shown}, the lower the better"
        )
    } else {
        "the bed's floor is no higher than the room's, and the siphon's pipe has to end below the \
         bed: floor is measured from the room's floor up to the underside of the gravel"
            .to_owned()
    };
    refuse(faults, misfit, node.path_of("outlet"), labels, help);
    None
}

fn drain(
    node: &Node,
    lip: Option<f64>,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) -> Option<Drain> {
    let into = target(node, around, faults);
    let outlet = node.at("outlet");
    if let (Some(at), Some(into)) = (&outlet, &into) {
        outlet_above_receiver(at, into, node.path_of("outlet"), around, faults);
    }
    let losses = match node.number("total-k") {
        Some(k) => Some(DrainLosses::Total { k }),
        None if node.has("total-k") => None,
        None => computed(node, lip, outlet.as_ref(), faults),
    };
    Some(Drain {
        outlet: outlet?.value,
        losses: losses?,
        into: into?,
    })
}

fn computed(
    node: &Node,
    lip: Option<f64>,
    outlet: Option<&At>,
    faults: &mut Faults<'_>,
) -> Option<DrainLosses> {
    let length = node.at("length")?;
    if let (Some(lip), Some(outlet)) = (lip, outlet)
        && let Some(drop) = drop_beyond(length.value, lip, outlet.value)
    {
        let (shown, drop) = (faults.length(length.value), faults.length(drop));
        let labels = vec![
            label(&length.span, format!("shorter than the drop of {drop}")),
            label(&outlet.span, "outlet"),
        ];
        let help = format!("measure along the pipe, from the lip to its end: at least {drop}");
        let rule = Rule::LengthBelowDrop {
            length: shown,
            drop,
        };
        warn(faults, rule, node.path_of("length"), labels, help);
    }
    Some(DrainLosses::Computed {
        length: length.value,
        k: fittings_k(node)?,
        roughness: node.number_or("roughness", PLASTIC_ROUGHNESS)?,
    })
}

fn target(node: &Node, around: &Surroundings, faults: &mut Faults<'_>) -> Option<DrainTarget> {
    let into_line = match node.word("into") {
        Some(word) => word == "line",
        None if node.has("into") => return None,
        None => around.has_line,
    };
    if !into_line {
        if node.has("at") {
            let labels = vec![label(&node.span_of("at"), "no line to measure along")];
            let help = "leave at out, or write into = \"line\"".to_owned();
            clash(
                faults,
                Rule::JunctionWithoutLine,
                node.path_of("at"),
                labels,
                help,
            );
            return None;
        }
        return Some(DrainTarget::Sump);
    }
    if !around.has_line {
        let labels = vec![label(&node.span_of("into"), "which line?")];
        let help =
            "add [drain-line] with pipe, slope and outlet, or write into = \"sump\"".to_owned();
        clash(faults, Rule::NoLine, node.path_of("into"), labels, help);
        return None;
    }
    let line = around.line.as_ref()?;
    let at = node.number_or("at", line.run.length)?;
    let Some(at) = within(0.0, at, line.run.length) else {
        let misfit = Rules::junction_on_line(at, line.run.length)?;
        let length = faults.length(line.run.length);
        let labels = vec![label(
            &node.span_of("at"),
            format!("allowed: 0 m to {length}"),
        )];
        let help = "at is measured along the line from its lower end";
        refuse(faults, misfit, node.path_of("at"), labels, help);
        return None;
    };
    Some(DrainTarget::Line { at })
}

/// Water cannot rise out of a siphon's outlet into what receives it.
fn outlet_above_receiver(
    outlet: &At,
    into: &DrainTarget,
    path: KeyPath,
    around: &Surroundings,
    faults: &mut Faults<'_>,
) {
    let shown = faults.length(outlet.value);
    let here = label(&outlet.span, format!("outlet at {shown}"));
    match (into, &around.line, around.sump_floor) {
        (DrainTarget::Line { at }, Some(line), _) => {
            let invert = line.invert(*at);
            let Some(misfit) = Rules::outlet_over_line(outlet.value, invert) else {
                return;
            };
            let help = format!(
                "the line's invert at this junction is its outlet plus slope times distance, {}; \
                 write at least that, or lower the line",
                faults.length(invert)
            );
            refuse(faults, misfit, path, vec![here], help);
        }
        (DrainTarget::Sump, _, Some(sump_floor)) => {
            let Some(misfit) = Rules::outlet_over_sump(outlet.value, sump_floor) else {
                return;
            };
            let help = format!(
                "write at least {}; a pipe that ends under water in the sump is allowed",
                faults.length(sump_floor)
            );
            refuse(faults, misfit, path, vec![here], help);
        }
        _ => {}
    }
}
