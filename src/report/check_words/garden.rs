//! Fish, dissolved matter and reach.

use crate::assessment::WEEK;
use crate::assessment::why::{DensityWhy, DissolvedWhy, FeedWhy, OxygenWhy, ReachWhy};
use crate::report::check_words::Say;
use crate::units::DAY;
use crate::units::display::between_a_day;

pub(super) fn density(say: &Say, why: &DensityWhy) -> String {
    let units = say.units;
    format!(
        "{} of fish live in {} of water, {}; {} once each weighs {}. Beginners keep at most {}.",
        units.mass(why.mass),
        units.volume(why.volume),
        units.stocking(why.density),
        units.stocking(why.grown),
        units.mass(why.grown_mass),
        units.stocking(why.most)
    )
}

pub(super) fn feed(say: &Say, why: &FeedWhy) -> String {
    let units = say.units;
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
    let a_day =
        |(low, high): (f64, f64)| between_a_day(&units.area_feed(low), &units.area_feed(high));
    format!(
        "{} of feed{origin} for {} of beds are {}; leafy greens take {}, fruiting plants {}.{more}",
        units.feed(why.feed),
        units.area(why.area),
        units.area_feed(why.per_area),
        a_day(why.leafy),
        a_day(why.fruiting)
    )
}

pub(super) fn oxygen(say: &Say, why: &OxygenWhy) -> String {
    let units = say.units;
    format!(
        "When pump or air stops, {} of fish in {} of water, its lowest then, bring 7 mg/L of \
         oxygen down to 3 mg/L in {} at 300 mg/(kg h); at rest, from saturation ({}), in {} at \
         most. What bacteria use makes it shorter.",
        units.mass(why.mass),
        units.volume(why.volume),
        units.time(why.until_low),
        units.dissolved(why.saturation),
        units.time(why.at_most)
    )
}

pub(super) fn dissolved(say: &Say, why: &DissolvedWhy) -> String {
    let units = say.units;
    format!(
        "The air takes {} a day and leaves behind what is dissolved: in {} of water it goes \
         from {} up by {} in the first week, to {} after {:.0} weeks.",
        units.volume(DAY * why.lost),
        units.volume(why.volume),
        units.dissolved(why.initial),
        units.dissolved(why.weekly_rise),
        units.dissolved(why.after_season),
        why.season / WEEK
    )
}

pub(super) fn reach(say: &Say, name: &str, why: &ReachWhy) -> String {
    let units = say.units;
    match why.needed {
        Some(needed) => format!(
            "From the free sides of {name} it is {} to the farthest gravel; an arm reaches {}, a \
             long one {}.",
            units.length(needed),
            units.length(why.arm),
            units.length(why.long_arm)
        ),
        None => format!("No side of {name} is free to stand at."),
    }
}
