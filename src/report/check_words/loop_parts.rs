//! Fish tank and settler.

use crate::assessment::why::{
    FallEnd, HeldBy, LoadingWhy, RetentionWhy, TankDepthWhy, TankFallWhy, TurnoverWhy,
    WantedSettler,
};
use crate::model::SettlerKind;
use crate::report::check_words::Say;
use crate::report::check_words::sump::depth_needed;

pub(super) fn tank_fall(say: &Say, name: &str, why: &TankFallWhy) -> String {
    let units = say.units;
    let over = why.from - why.at;
    let to = match why.to {
        FallEnd::Settler => "the settler's water".to_owned(),
        FallEnd::Inlet(i) => format!("the inlet of {}, the highest it feeds,", say.bed(i)),
        FallEnd::Sump => "the sump's highest water".to_owned(),
    };
    format!(
        "The overflow of the {name} at {} is {} {} {to} at {}.",
        units.elevation(why.from),
        units.length(over.abs()),
        if over < 0.0 { "under" } else { "over" },
        units.elevation(why.at)
    )
}

pub(super) fn tank_depth(say: &Say, why: &TankDepthWhy) -> String {
    let units = say.units;
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
    format!(
        "The water of the fish tank can fall to {}: {held}. In this run it fell to {}; the fish \
         need it at {} ({}).",
        units.elevation(why.lowest),
        units.elevation(why.seen),
        units.elevation(why.needed),
        depth_needed(say, why.depth)
    )
}

pub(super) fn turnover(say: &Say, why: &TurnoverWhy) -> String {
    let units = say.units;
    format!(
        "On average {} go through {} of water, {}, the timer's rests counted and power cuts not; \
         once an hour is common, and half of that fails here.",
        units.flow(why.flow),
        units.volume(why.water),
        units.per_hour(why.an_hour)
    )
}

pub(in crate::report) fn wanted_settler(say: &Say, why: &WantedSettler) -> String {
    let units = say.units;
    format!(
        "While the pump runs {} go through the settler: it wants {} of surface with radial flow \
         ({}), or as a plain basin {} ({}) and {} of water, which holds it for {}. A [settler] \
         table with its size has it judged.",
        units.flow(why.flow),
        units.area(why.radial.0),
        units.surface_loading(why.radial.1),
        units.area(why.basin.0),
        units.surface_loading(why.basin.1),
        units.volume(why.stay.0),
        units.time(why.stay.1)
    )
}

pub(super) fn settler_loading(say: &Say, why: &LoadingWhy) -> String {
    let units = say.units;
    let kind = match why.kind {
        SettlerKind::RadialFlow => "with radial flow",
        SettlerKind::PlainBasin => "in a plain basin",
    };
    let stay = why.stay.map_or_else(String::new, |(volume, time)| {
        format!(
            " Its {} hold the water for {}.",
            units.volume(volume),
            units.time(time)
        )
    });
    format!(
        "While the pump runs {} go through the settler's {} of surface, {}; {kind} up to {} \
         settles most of the solids.{stay}",
        units.flow(why.flow),
        units.area(why.area),
        units.surface_loading(why.loading),
        units.surface_loading(why.limit)
    )
}

pub(super) fn settler_retention(say: &Say, why: &RetentionWhy) -> String {
    let units = say.units;
    format!(
        "The settler's {} hold the {} that go through it for {}; {} is the rule of thumb for a \
         plain basin.",
        units.volume(why.volume),
        units.flow(why.flow),
        units.time(why.stay),
        units.time(why.wanted)
    )
}
