//! Lowest and highest water of the sump, float valve.

use crate::assessment::why::{
    DepthNeeded, PumpCoverWhy, SumpDepthWhy, SumpHighWhy, SumpSeen, TopOffWhy,
};
use crate::report::check_words::Say;

pub(super) fn pump_cover(say: &Say, why: &PumpCoverWhy) -> String {
    let units = say.units;
    let mut text = if why.drew_air > 0.0 {
        format!(
            "The pump drew air for {} of this run; the sump can fall to {} and the intake needs \
             water up to {}.",
            units.time(why.drew_air),
            units.elevation(why.low),
            units.elevation(why.needed)
        )
    } else {
        format!(
            "With every bed at its highest the sump can fall to {}, and in this run it fell to {}; \
             the intake needs water up to {}.",
            units.elevation(why.low),
            units.elevation(why.seen),
            units.elevation(why.needed)
        )
    };
    let mut spills: Vec<String> = why.spilling.iter().map(|&i| say.bed(i)).collect();
    if why.tank_spills {
        spills.push("the fish tank".to_owned());
    }
    if !spills.is_empty() {
        text += &format!(
            " At worst water goes over the wall of {} and is lost to the sump.",
            spills.join(", ")
        );
    }
    if let Some(time) = why.air_takes_in {
        text += &format!(" What the air takes in {} is counted.", units.time(time));
    }
    if let Some(dead) = why.dead {
        text += &format!(
            " With every siphon dead it would fall to {}.",
            units.elevation(dead)
        );
    }
    text
}

pub(super) fn sump_high(say: &Say, why: &SumpHighWhy) -> String {
    let units = say.units;
    let seen = match why.seen {
        SumpSeen::Overflowed(volume) => {
            format!("in this run {} went over it", units.volume(volume))
        }
        SumpSeen::RoseTo(level) => {
            format!("in this run the sump rose to {}", units.elevation(level))
        }
    };
    let after = if why.topped_up {
        ", after the float valve has added all it can at the sump's lowest,"
    } else {
        ""
    };
    match why.lost {
        Some(lost) => format!(
            "With every bed drained and the pump off{after} the sump spills {} over its overflow at {}; \
             {seen}.",
            units.volume(lost),
            units.elevation(why.overflow)
        ),
        None => format!(
            "With every bed drained and the pump off{after} the sump can rise to {}, under its overflow \
             at {} with {} wanted between; {seen}.",
            units.elevation(why.high),
            units.elevation(why.overflow),
            units.length(why.wanted)
        ),
    }
}

pub(super) fn sump_depth(say: &Say, why: &SumpDepthWhy) -> String {
    let units = say.units;
    format!(
        "A leak above the pump lets it empty the sump to {}, where it draws air; with every bed at \
         its highest the sump falls to {}. The fish need it at {} ({}).",
        units.elevation(why.emptied),
        units.elevation(why.swing),
        units.elevation(why.needed),
        depth_needed(say, why.depth)
    )
}

/// "half the usual depth, 250 mm".
pub(super) fn depth_needed(say: &Say, depth: DepthNeeded) -> String {
    match depth {
        DepthNeeded::Asked(asked) => format!("{} as asked for", say.units.length(asked)),
        DepthNeeded::Half(half) => format!("half the usual depth, {}", say.units.length(half)),
    }
}

pub(super) fn top_off(say: &Say, why: &TopOffWhy) -> String {
    let units = say.units;
    let mut text = format!(
        "The valve opens below {}, and with every bed at its highest the sump can stand at {} \
         with nothing lost: a valve above that adds water that comes back when the beds drain.",
        units.elevation(why.opens),
        units.elevation(why.lowest)
    );
    if let Some(gained) = why.gained {
        text += &format!(
            " In this run it added {} more than the air took.",
            units.volume(gained)
        );
    }
    if let Some((open, needed)) = why.needed {
        text += &format!(
            " The air can draw the sump down to where the valve is fully open, {}, and the pump \
             needs water up to {}.",
            units.elevation(open),
            units.elevation(needed)
        );
    }
    text
}
