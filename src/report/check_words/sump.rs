//! Lowest and highest water of the sump, float valve.

use crate::assessment::why::{
    DepthNeeded, OpenHole, PumpCoverWhy, SumpDepthWhy, SumpHighWhy, SumpSeen, TopOffWhy,
};
use crate::report::{Say, Text, said};

pub(super) fn pump_cover(say: &Say, why: &PumpCoverWhy) -> Text {
    let mut text = if why.drew_air > 0.0 {
        said!(
            "The pump drew air for {} of this run; the sump can fall to {} and the intake needs \
             water up to {}.",
            say.time("drew_air", why.drew_air),
            say.elevation("low", why.low),
            say.elevation("needed", why.needed)
        )
    } else {
        said!(
            "With every bed at its highest the sump can fall to {}, and in this run it fell to {}; \
             the intake needs water up to {}.",
            say.elevation("low", why.low),
            say.elevation("seen", why.seen),
            say.elevation("needed", why.needed)
        )
    };
    let named = |beds: &mut dyn Iterator<Item = usize>| beds.map(|i| say.bed(i)).collect();
    let mut over: Vec<String> = named(&mut why.over_by_themselves());
    if why.tank_spills {
        over.push("the fish tank".to_owned());
    }
    let backed_up: Vec<String> = named(&mut why.backed_up.iter().copied());
    // The run shows nothing of it, nor does the rim check, which asks of one dead siphon.
    if !over.is_empty() {
        text = text.and(said!(
            " With every uncertain figure at its bad end at once, water goes over the wall of {} and is \
             lost to the sump.",
            over.join(", ")
        ));
    }
    if !backed_up.is_empty() {
        text = text.and(said!(
            " With every siphon drawing its most at once and every uncertain figure at its bad end, water \
             backs up in the drains, goes over the wall of {} and is lost to the sump.",
            backed_up.join(", ")
        ));
    }
    if let Some(time) = why.air_takes_in {
        text = text.and(said!(
            " What the air takes in {} is counted.",
            say.time("counted_for", time)
        ));
    }
    if let Some(dead) = why.dead {
        text = text.and(said!(
            " With every siphon dead it would fall to {}.",
            say.elevation("low_with_dead_siphons", dead)
        ));
    }
    text
}

pub(super) fn sump_high(say: &Say, why: &SumpHighWhy) -> Text {
    let seen = match why.seen {
        SumpSeen::Overflowed(volume) => {
            said!("in this run {} went over it", say.volume("spilled", volume))
        }
        SumpSeen::RoseTo(level) => {
            said!(
                "in this run the sump rose to {}",
                say.elevation("rose_to", level)
            )
        }
    };
    let after = if why.topped_up {
        ", after the float valve has added all it can at the sump's lowest,"
    } else {
        ""
    };
    let text = match why.lost {
        Some(lost) => said!(
            "With every bed drained and the pump off{} the sump spills {} over its overflow at {}; \
             {}.",
            after,
            say.volume("lost", lost),
            say.elevation("overflow", why.overflow),
            seen
        ),
        None => said!(
            "With every bed drained and the pump off{} the sump can rise to {}, under its overflow \
             at {} with {} wanted between; {}.",
            after,
            say.elevation("high", why.high),
            say.elevation("overflow", why.overflow),
            say.length("wanted", why.wanted),
            seen
        ),
    };
    let back = comes_back(say, why).map(|back| said!(" {}.", back.capital()));
    text.and(back)
        .and(hole(say, why).map(|hole| said!(" {}.", hole.capital())))
}

/// What comes on top of what the sump is filled to once the pump stops, and from where; nothing
/// where it rises no further.
pub(crate) fn comes_back(say: &Say, why: &SumpHighWhy) -> Option<Text> {
    let part = |name, volume: f64, from| {
        (volume > NOTABLE).then(|| said!("{} {}", say.volume(name, volume), from))
    };
    let from = match say.system.tank {
        Some(_) => "out of beds, fish tank and drains",
        None => "out of beds and drains",
    };
    let parts: Vec<Text> = [
        part("from_supply", why.from_supply, "out of the supply pipes"),
        part("from_beds", why.from_beds, from),
    ]
    .into_iter()
    .flatten()
    .collect();
    let rises = why.high - why.filled > PUZZLING;
    (rises && !parts.is_empty() && why.lost.is_none()).then(|| {
        said!(
            "on top of what it is filled to, {}, come {}",
            say.elevation("filled", why.filled),
            Text::joined(parts, " and ")
        )
    })
}

/// That a hole may not be there at all.
pub(crate) const fn or_over(hole: &OpenHole) -> &'static str {
    match hole.certain {
        true => "",
        false => " or the pipe comes in over the rim",
    }
}

/// How that water stands to the lowest hole that nothing seals.
pub(crate) fn hole(say: &Say, why: &SumpHighWhy) -> Option<Text> {
    let hole = why.hole?;
    let level = say.elevation("hole", hole.level);
    let off = (hole.level - why.high).abs();
    let (stands, of) = match why.high > hole.level {
        true => ("over", say.length("over_hole", off)),
        false => ("under", say.length("under_hole", off)),
    };
    Some(said!(
        "it then stands {} {} the lowest hole for a pipe in the sump's wall, at {}: unless that is sealed{}, {}",
        of,
        stands,
        level,
        or_over(&hole),
        match why.high > hole.level {
            true => "it spills there",
            false => "there, and not at the rim, it would spill",
        }
    ))
}

/// A rise over what it is filled to that nobody sees on a tape needs no explaining `[m]`.
const PUZZLING: f64 = 5e-3;
/// Less water than this that comes back is not worth a word `[m3]`.
const NOTABLE: f64 = 5e-5;

pub(super) fn sump_depth(say: &Say, why: &SumpDepthWhy) -> Text {
    said!(
        "A leak above the pump lets it empty the sump to {}, where it draws air; with every bed at \
         its highest the sump falls to {}. The fish need it at {} ({}).",
        say.elevation("emptied", why.emptied),
        say.elevation("swing", why.swing),
        say.elevation("needed", why.needed),
        depth_needed(say, why.depth)
    )
}

/// "half the usual depth, 250 mm".
pub(super) fn depth_needed(say: &Say, depth: DepthNeeded) -> Text {
    match depth {
        DepthNeeded::Asked(asked) => said!("{} as asked for", say.length("asked", asked)),
        DepthNeeded::Half(half) => said!("half the usual depth, {}", say.length("half", half)),
    }
}

pub(super) fn top_off(say: &Say, why: &TopOffWhy) -> Text {
    let mut text = said!(
        "The valve opens below {}, and with every bed at its highest the sump can stand at {} \
         with nothing lost: a valve above that adds water that comes back when the beds drain.",
        say.elevation("opens", why.opens),
        say.elevation("lowest", why.lowest)
    );
    if let Some(gained) = why.gained {
        text = text.and(said!(
            " In this run it added {} more than the air took.",
            say.volume("gained_volume", gained)
        ));
    }
    if let Some((open, needed)) = why.needed {
        text = text.and(said!(
            " The air can draw the sump down to where the valve is fully open, {}, and the pump \
             needs water up to {}.",
            say.elevation("open", open),
            say.elevation("needed", needed)
        ));
    }
    text
}
