//! Fish tank and settler.

use crate::assessment::why::{
    FallEnd, HeldBy, LoadingWhy, RetentionWhy, TankDepthWhy, TankFallWhy, TurnoverWhy,
    WantedSettler,
};
use crate::model::SettlerKind;
use crate::report::check_words::sump::depth_needed;
use crate::report::{Say, Text, said};

pub(super) fn tank_fall(say: &Say, name: &str, why: &TankFallWhy) -> Text {
    let over = why.from - why.at;
    let to = match why.to {
        FallEnd::Settler => Text::from("the settler's water"),
        FallEnd::Inlet(i) => said!("the inlet of {}, the highest it feeds,", say.bed(i)),
        FallEnd::Sump => Text::from("the sump's highest water"),
    };
    said!(
        "The overflow of the {} at {} is {} {} {} at {}.",
        name,
        say.elevation("from", why.from),
        say.length("over", over.abs()),
        if over < 0.0 { "under" } else { "over" },
        to,
        say.elevation("at", why.at)
    )
}

pub(super) fn tank_depth(say: &Say, why: &TankDepthWhy) -> Text {
    let held = match why.held_by {
        HeldBy::CheckValve => {
            "its inlet ends under water, and only the check valve at the pump keeps it from running \
             back: it no longer does once it, or the pipe above it, leaks"
        }
        HeldBy::Run => "that is where it stood in this run",
        HeldBy::EndAbove => {
            "the pump's pipe is taken to end above its water, so it keeps what is under its overflow"
        }
        HeldBy::Overflow => "no more than its overflow lets go can leave it",
        HeldBy::InletEnd => {
            "its inlet ends under water, and a pump that stops, or a leak in its pipe, lets it run \
             back to the inlet's end or its anti-siphon hole"
        }
    };
    said!(
        "The water of the fish tank can fall to {}: {}. In this run it fell to {}; the fish \
         need it at {} ({}).",
        say.elevation("lowest", why.lowest),
        held,
        say.elevation("seen", why.seen),
        say.elevation("needed", why.needed),
        depth_needed(say, why.depth)
    )
}

pub(super) fn turnover(say: &Say, why: &TurnoverWhy) -> Text {
    said!(
        "On average {} go through {} of water, {}, a timer's rests counted and power cuts not; \
         once an hour is common, and half of that fails here.",
        say.flow("flow", why.flow),
        say.volume("water", why.water),
        say.per_hour("an_hour", why.an_hour)
    )
}

pub(in crate::report) fn wanted_settler(say: &Say, why: &WantedSettler) -> Text {
    said!(
        "While the pump runs {} go through the settler: it wants {} of surface with radial flow \
         ({}), or as a plain basin {} ({}) and {} of water, which holds it for {}. A [settler] \
         table with its size has it judged.",
        say.flow("flow", why.flow),
        say.area("radial_surface", why.radial.0),
        say.surface_loading("radial_loading", why.radial.1),
        say.area("basin_surface", why.basin.0),
        say.surface_loading("basin_loading", why.basin.1),
        say.volume("basin_volume", why.stay.0),
        say.time("basin_stay", why.stay.1)
    )
}

pub(super) fn settler_loading(say: &Say, why: &LoadingWhy) -> Text {
    let kind = match why.kind {
        SettlerKind::RadialFlow => "with radial flow",
        SettlerKind::PlainBasin => "in a plain basin",
    };
    let stay = why.stay.map_or_else(Text::default, |(volume, time)| {
        said!(
            " Its {} hold the water for {}.",
            say.volume("volume", volume),
            say.time("stay", time)
        )
    });
    said!(
        "While the pump runs {} go through the settler's {} of surface, {}; {} up to {} \
         settles most of the solids.{}",
        say.flow("flow", why.flow),
        say.area("area", why.area),
        say.surface_loading("loading", why.loading),
        kind,
        say.surface_loading("limit", why.limit),
        stay
    )
}

pub(super) fn settler_retention(say: &Say, why: &RetentionWhy) -> Text {
    said!(
        "The settler's {} hold the {} that go through it for {}; {} is the rule of thumb for a \
         plain basin.",
        say.volume("volume", why.volume),
        say.flow("flow", why.flow),
        say.time("stay", why.stay),
        say.time("wanted", why.wanted)
    )
}
