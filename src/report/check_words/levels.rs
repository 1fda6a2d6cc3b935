//! Levels, wall, ceiling and weight.

use crate::assessment::why::{Blocked, BlockedWay, DryLayerWhy, HeadroomWhy, LoadWhy, RimWhy};
use crate::report::{Say, Text, said};

pub(super) fn dry_layer(say: &Say, name: &str, why: &DryLayerWhy) -> Text {
    let now = if why.left > 0.0 {
        said!("leaves {} of gravel dry", say.length("left", why.left))
    } else {
        said!(
            "stands {} over the gravel",
            say.length("over_gravel", -why.left)
        )
    };
    let then = if why.worst > 0.0 {
        said!("{} would stay dry", say.length("left_at_worst", why.worst))
    } else {
        said!(
            "none would: the water would stand {} over the gravel",
            say.length("over_gravel_at_worst", -why.worst)
        )
    };
    let when = if why.foreseen {
        said!(
            "In this run {} never filled. Once it does, its highest water",
            name
        )
    } else {
        said!("The highest water of {}", name)
    };
    said!(
        "{}, with {} for errors of level, {}; {} of dry gravel is wanted. \
         With all that is uncertain of the siphon at its worst {}.",
        when,
        say.length("allowance", why.allowance),
        now,
        say.length("wanted", why.wanted),
        then
    )
}

pub(super) fn rim(say: &Say, name: &str, why: &RimWhy) -> Text {
    let stands = if why.held >= 0.0 {
        said!("stands {} below the rim", say.length("held", why.held))
    } else {
        Text::from("goes over the rim")
    };
    let mut text = said!(
        "With a dead siphon the water of {} {} while its pipe takes {}; {} is wanted.",
        name,
        stands,
        say.flow("inflow", why.inflow),
        say.length("wanted", why.wanted)
    );
    if let Some(together) = why.together {
        text = text.and(said!(
            " While the other beds fill the drain line it stands at {}.",
            say.elevation("with_others", together)
        ));
    }
    if let Some((spilled, blocked)) = why.spilled {
        let while_blocked = match blocked {
            Some(BlockedWay::Siphon) => ", its siphon blocked",
            Some(BlockedWay::Line) => ", the drain line blocked",
            None => "",
        };
        text = said!(
            "In this run {} of the water of {} went over the rim{}. {}",
            say.volume("spilled", spilled),
            name,
            while_blocked,
            text
        );
    }
    if let Some(rose) = why.rose_to {
        text = text.and(said!(
            " In this run it rose to {} below the rim.",
            say.length("rose", rose)
        ));
    }
    text = text.and(match why.if_blocked {
        None => Text::default(),
        Some(Blocked::PumpRunsOut) => Text::from(
            " If the pipe is blocked at the peak, the pump runs out of water before the bed spills.",
        ),
        Some(Blocked::AtOnce) => {
            Text::from(" If the pipe is blocked at the peak, the bed spills at once.")
        }
        Some(Blocked::After(time)) => said!(
            " If the pipe is blocked at the peak, the bed spills after {}.",
            say.time("spills_after", time)
        ),
    });
    if why.came_up {
        text = text.and(" Water came back up its drain in this run: see drain line.");
    }
    text
}

pub(super) fn headroom(say: &Say, name: &str, why: &HeadroomWhy) -> Text {
    let wanted = match why.asked {
        Some(height) => said!("{} is asked for", say.length("asked", height)),
        None => Text::from("no growing height is asked for"),
    };
    said!(
        "Rim to ceiling leaves {} above {}; {}.",
        say.length("left", why.left),
        name,
        wanted
    )
}

pub(super) fn bed_load(say: &Say, name: &str, why: &LoadWhy) -> Text {
    said!(
        "Wet gravel and water of {} weigh {} over its own plan, container and stand not \
         counted; dwelling floors are commonly designed for {} to {}.",
        name,
        say.floor_load("load", why.load),
        say.floor_load("dwelling_low", why.dwelling.0),
        say.floor_load("dwelling_high", why.dwelling.1)
    )
}

pub(super) fn sump_load(say: &Say, why: &LoadWhy) -> Text {
    said!(
        "The sump's water at its highest weighs {} over its own plan; dwelling floors are \
         commonly designed for {} to {}.",
        say.floor_load("load", why.load),
        say.floor_load("dwelling_low", why.dwelling.0),
        say.floor_load("dwelling_high", why.dwelling.1)
    )
}
