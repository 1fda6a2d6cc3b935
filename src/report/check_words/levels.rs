//! Levels, wall, ceiling and weight.

use crate::assessment::why::{Blocked, BlockedWay, DryLayerWhy, HeadroomWhy, LoadWhy, RimWhy};
use crate::report::check_words::Say;

pub(super) fn dry_layer(say: &Say, name: &str, why: &DryLayerWhy) -> String {
    let units = say.units;
    let now = if why.left > 0.0 {
        format!("leaves {} of gravel dry", units.length(why.left))
    } else {
        format!("stands {} over the gravel", units.length(-why.left))
    };
    let then = if why.worst > 0.0 {
        format!("would leave {} dry", units.length(why.worst))
    } else {
        format!("would put it {} over the gravel", units.length(-why.worst))
    };
    let when = if why.foreseen {
        format!("In this run {name} never filled. Once it does, its highest water")
    } else {
        format!("The highest water of {name}")
    };
    format!(
        "{when}, with {} for errors of level, {now}; {} of dry gravel is wanted, \
         and unfavourable coefficients {then}.",
        units.length(why.allowance),
        units.length(why.wanted),
    )
}

pub(super) fn rim(say: &Say, name: &str, why: &RimWhy) -> String {
    let units = say.units;
    let stands = if why.held >= 0.0 {
        format!("stands {} below the rim", units.length(why.held))
    } else {
        "goes over the rim".to_owned()
    };
    let mut text = format!(
        "With a dead siphon the water of {name} {stands} while its pipe takes {}; {} is wanted.",
        units.flow(why.inflow),
        units.length(why.wanted)
    );
    if let Some(together) = why.together {
        text += &format!(
            " While the other beds fill the drain line it stands at {}.",
            units.elevation(together)
        );
    }
    if let Some((spilled, blocked)) = why.spilled {
        let while_blocked = match blocked {
            Some(BlockedWay::Siphon) => ", its siphon blocked",
            Some(BlockedWay::Line) => ", the drain line blocked",
            None => "",
        };
        text = format!(
            "In this run {} of the water of {name} went over the rim{while_blocked}. {text}",
            units.volume(spilled)
        );
    }
    if let Some(rose) = why.rose_to {
        text += &format!(
            " In this run it rose to {} below the rim.",
            units.length(rose)
        );
    }
    text += &match why.if_blocked {
        None => String::new(),
        Some(Blocked::PumpRunsOut) => {
            " If the pipe is blocked at the peak, the pump runs out of water before the bed spills."
                .to_owned()
        }
        Some(Blocked::AtOnce) => {
            " If the pipe is blocked at the peak, the bed spills at once.".to_owned()
        }
        Some(Blocked::After(time)) => format!(
            " If the pipe is blocked at the peak, the bed spills after {}.",
            units.time(time)
        ),
    };
    if why.came_up {
        text += " Water came back up its drain in this run: see drain line.";
    }
    text
}

pub(super) fn headroom(say: &Say, name: &str, why: &HeadroomWhy) -> String {
    let units = say.units;
    let wanted = match why.asked {
        Some(height) => format!("{} is asked for", units.length(height)),
        None => "no growing height is asked for".to_owned(),
    };
    format!(
        "Rim to ceiling leaves {} above {name}; {wanted}.",
        units.length(why.left)
    )
}

pub(super) fn bed_load(say: &Say, name: &str, why: &LoadWhy) -> String {
    let units = say.units;
    format!(
        "Wet gravel and water of {name} weigh {} over its own plan, container and stand not \
         counted; dwelling floors are commonly designed for {} to {}.",
        units.floor_load(why.load),
        units.floor_load(why.dwelling.0),
        units.floor_load(why.dwelling.1)
    )
}

pub(super) fn sump_load(say: &Say, why: &LoadWhy) -> String {
    let units = say.units;
    format!(
        "The sump's water at its highest weighs {} over its own plan; dwelling floors are \
         commonly designed for {} to {}.",
        units.floor_load(why.load),
        units.floor_load(why.dwelling.0),
        units.floor_load(why.dwelling.1)
    )
}
