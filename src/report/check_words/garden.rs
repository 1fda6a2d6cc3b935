//! Fish, dissolved matter and reach.

use crate::assessment::WEEK;
use crate::assessment::why::{DensityWhy, DissolvedWhy, FeedWhy, OxygenWhy, ReachWhy};
use crate::report::text::between_a_day;
use crate::report::{Say, Text, said};
use crate::units::DAY;

pub(super) fn density(say: &Say, why: &DensityWhy) -> Text {
    said!(
        "{} of fish live in {} of water, {}; {} once each weighs {}. Beginners keep at most {}.",
        say.mass("mass", why.mass),
        say.volume("volume", why.volume),
        say.stocking("density", why.density),
        say.stocking("density_grown", why.grown),
        say.mass("grown_mass", why.grown_mass),
        say.stocking("most", why.most)
    )
}

pub(super) fn feed(say: &Say, why: &FeedWhy) -> Text {
    let origin = if why.assumed {
        ", taken as 2 % of their mass,"
    } else {
        ""
    };
    let more = if why.per_area < why.leafy.0 {
        " Plants may want more than these fish give."
    } else {
        ""
    };
    let a_day = |names: [&'static str; 2], (low, high): (f64, f64)| {
        let [low, high] = [say.area_feed(names[0], low), say.area_feed(names[1], high)];
        between_a_day(low, high)
    };
    said!(
        "{} of feed{} for {} of beds are {}; leafy greens take {}, fruiting plants {}.{}",
        say.feed("feed", why.feed),
        origin,
        say.area("area", why.area),
        say.area_feed("per_area", why.per_area),
        a_day(["leafy_low", "leafy_high"], why.leafy),
        a_day(["fruiting_low", "fruiting_high"], why.fruiting),
        more
    )
}

pub(super) fn oxygen(say: &Say, why: &OxygenWhy) -> Text {
    said!(
        "When pump or air stops, {} of fish in {} of water, its lowest then, bring 7 mg/L of \
         oxygen down to 3 mg/L in {} at 300 mg/(kg h); at rest, from saturation ({}), in {} at \
         most. What bacteria use makes it shorter.",
        say.mass("mass", why.mass),
        say.volume("volume", why.volume),
        say.time("until_low", why.until_low),
        say.dissolved("saturation", why.saturation),
        say.time("at_most", why.at_most)
    )
}

pub(super) fn dissolved(say: &Say, why: &DissolvedWhy) -> Text {
    said!(
        "The air takes {} a day and leaves behind what is dissolved: in {} of water it goes \
         from {} up by {} in the first week, to {} after {} weeks.",
        say.volume("lost_a_day", DAY * why.lost),
        say.volume("volume", why.volume),
        say.dissolved("initial", why.initial),
        say.dissolved("weekly_rise", why.weekly_rise),
        say.dissolved("after_season", why.after_season),
        say.number("weeks", why.season / WEEK, 0)
    )
}

pub(super) fn reach(say: &Say, name: &str, why: &ReachWhy) -> Text {
    match why.needed {
        Some(needed) => said!(
            "From the free sides of {} it is {} to the farthest gravel; an arm reaches {}, a \
             long one {}.",
            name,
            say.length("needed", needed),
            say.length("arm", why.arm),
            say.length("long_arm", why.long_arm)
        ),
        None => said!("No side of {} is free to stand at.", name),
    }
}
