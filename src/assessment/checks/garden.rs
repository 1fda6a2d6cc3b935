//! Fish, dissolved matter and reach: these inform or warn, and never fail a system.

use crate::assessment::amounts::{self, Side};
use crate::assessment::checks::COMMON_PRACTICE;
use crate::assessment::facts::Facts;
use crate::assessment::garden::{ArmReach, FishFigures, SEASON, WEEK, WaterBudget, WaterFigures};
use crate::assessment::{Check, CheckId, CheckUnit, Status};
use crate::hydraulics::oxygen::{BEGINNERS_DENSITY, FRUITING_FEED, LEAFY_FEED};
use crate::model::Fish;
use crate::units::display::between_a_day;

/// Time with oxygen wanted after a stop `[s]`; common practice, no source: time to notice and act.
const TIME_TO_ACT: f64 = 3600.0;

/// What a long arm reaches `[m]`; common practice, no source.
const LONG_ARM: f64 = 0.75;

/// Everything about fish, water and reach, in the order of the design.
pub(super) fn all(facts: &Facts) -> Vec<Check> {
    let garden = &facts.garden;
    let mut list = Vec::new();
    if let (Some(found), Some(fish)) = (&garden.fish, &facts.parts.system.fish) {
        list.push(density(facts, found, fish));
        list.push(feed(facts, found, fish));
        list.push(oxygen(facts, found, fish));
    }
    if let Some(WaterBudget::Known(found)) = &garden.water {
        list.push(dissolved(facts, found));
    }
    list.extend(garden.reach.iter().map(|found| reach(facts, found)));
    list
}

/// Warns above its limit, informs below.
fn below(value: f64, limit: f64) -> Status {
    if value > limit + super::ROUNDING {
        Status::Warn
    } else {
        Status::Pass
    }
}

fn fix(status: Status, text: impl FnOnce() -> String) -> String {
    if status == Status::Pass {
        String::new()
    } else {
        text()
    }
}

fn density(facts: &Facts, found: &FishFigures, fish: &Fish) -> Check {
    let units = facts.parts.units;
    let status = below(found.density, BEGINNERS_DENSITY);
    Check {
        id: CheckId::FishDensity,
        subject: found.vessel.to_owned(),
        status,
        value: found.density,
        limit: BEGINNERS_DENSITY,
        margin: BEGINNERS_DENSITY - found.density,
        unit: CheckUnit::Stocking,
        because: format!(
            "{} of fish live in {} of water, {}; {} once each weighs {}. Beginners keep at most {}.",
            units.mass(found.mass),
            units.volume(found.volume),
            units.stocking(found.density),
            units.stocking(found.harvest_density),
            units.mass(fish.harvest_mass),
            units.stocking(BEGINNERS_DENSITY)
        ),
        first_fix: fix(status, || {
            format!(
                "Keep at most {} of them at {} each, or give them {} of water.",
                found.start_with.density,
                units.mass(fish.mass),
                units.volume(found.mass / BEGINNERS_DENSITY)
            )
        }),
        basis: "FAO Fisheries and Aquaculture Technical Paper 589 (2014), chapter 8; husbandry \
                advice decides",
    }
}

fn feed(facts: &Facts, found: &FishFigures, fish: &Fish) -> Check {
    let units = facts.parts.units;
    let value = found.feed / found.bed_area;
    let limit = FRUITING_FEED[1];
    let status = if value > limit * (1.0 + super::ROUNDING) {
        Status::Warn
    } else {
        Status::Pass
    };
    let origin = if fish.feed.is_some() {
        ""
    } else {
        ", taken as 2 % of their mass,"
    };
    let more = if value < LEAFY_FEED[0] {
        " Plants may want more than these fish give."
    } else {
        ""
    };
    Check {
        id: CheckId::FishFeed,
        subject: "beds".to_owned(),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::AreaFeed,
        because: format!(
            "{} of feed{origin} for {} of beds are {}; leafy greens take {}, fruiting plants \
             {}.{more}",
            units.feed(found.feed),
            units.area(found.bed_area),
            units.area_feed(value),
            between_a_day(
                &units.area_feed(LEAFY_FEED[0]),
                &units.area_feed(LEAFY_FEED[1])
            ),
            between_a_day(&units.area_feed(FRUITING_FEED[0]), &units.area_feed(limit))
        ),
        first_fix: fix(status, || {
            format!(
                "Feed at most {}, or plant {} of beds.",
                units.feed(found.fruiting[1]),
                units.area(found.feed / limit)
            )
        }),
        basis: "FAO Fisheries and Aquaculture Technical Paper 589 (2014), section 8; husbandry \
                advice decides",
    }
}

fn oxygen(facts: &Facts, found: &FishFigures, fish: &Fish) -> Check {
    let units = facts.parts.units;
    let [value, most] = found.until_low;
    let status = below(TIME_TO_ACT, value);
    Check {
        id: CheckId::FishOxygen,
        subject: found.vessel.to_owned(),
        status,
        value,
        limit: TIME_TO_ACT,
        margin: value - TIME_TO_ACT,
        unit: CheckUnit::Second,
        because: format!(
            "When pump or air stops, {} of fish in {} of water, its lowest then, bring 7 mg/L of \
             oxygen down to 3 mg/L in {} at 300 mg/(kg h); at rest, from saturation ({}), in {} at \
             most. What bacteria use makes it shorter.",
            units.mass(found.mass),
            units.volume(found.lowest_volume),
            units.time(value),
            units.dissolved(found.saturation),
            units.time(most)
        ),
        first_fix: fix(status, || {
            format!(
                "Fit an air pump that runs without the mains; {} of these fish would have an hour.",
                found.most_for(TIME_TO_ACT, fish.mass)
            )
        }),
        basis: "derived; use of warm-water fish: Timmons and Ebeling, Recirculating Aquaculture \
                (from memory); 7 and 3 mg/L and the hour: common practice, no source",
    }
}

fn dissolved(facts: &Facts, found: &WaterFigures) -> Check {
    let units = facts.parts.units;
    let value = found.after_season;
    let limit = found.limit.unwrap_or(f64::INFINITY);
    let status = below(value, limit);
    Check {
        id: CheckId::Dissolved,
        subject: "water".to_owned(),
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::Dissolved,
        because: format!(
            "The air takes {} a day and leaves behind what is dissolved: in {} of water it goes \
             from {} up by {} in the first week, to {} after {:.0} weeks.",
            units.volume(86_400.0 * found.lost),
            units.volume(found.volume),
            units.dissolved(found.initial),
            units.dissolved(found.weekly_rise),
            units.dissolved(value),
            SEASON / WEEK
        ),
        first_fix: fix(status, || mend(facts, found)),
        basis: "derived: evaporation leaves the minerals behind; uptake and scale left out",
    }
}

/// The share of pure water, and the exchange, that keep under the limit.
fn mend(facts: &Facts, found: &WaterFigures) -> String {
    let units = facts.parts.units;
    let share = match found.pure_share.flatten() {
        Some(share) => format!(
            "Let at least {} of what replaces the evaporation, {} a day, be {}",
            units.percent(amounts::share(share, Side::Up)),
            units.volume(86_400.0 * share * found.lost),
            found.pure.0
        ),
        None => format!("No share of {} alone is enough", found.pure.0),
    };
    match found.exchange.flatten() {
        Some(part) => format!(
            "{share}; or exchange {} of all water every week for that of the top-off.",
            units.percent(amounts::share(part, Side::Up))
        ),
        None => format!("{share}; and an exchange for water of the top-off does not hold it."),
    }
}

fn reach(facts: &Facts, found: &ArmReach) -> Check {
    let (parts, units) = (&facts.parts, facts.parts.units);
    let limit = parts.system.thresholds.reach;
    let status = below(found.needed, limit);
    let name = parts.name(found.bed);
    Check {
        id: CheckId::Reach,
        subject: parts.beds()[found.bed].name.clone(),
        status,
        value: found.needed,
        limit,
        margin: limit - found.needed,
        unit: CheckUnit::Metre,
        because: if found.needed.is_finite() {
            format!(
                "From the free sides of {name} it is {} to the farthest gravel; an arm reaches {}, \
                 a long one {}.",
                units.length(found.needed),
                units.length(limit),
                units.length(LONG_ARM.max(limit))
            )
        } else {
            format!("No side of {name} is free to stand at.")
        },
        first_fix: fix(status, || {
            format!(
                "Free another side of {name}, or make it at most {} deep from one side, {} from two.",
                units.length(limit),
                units.length(2.0 * limit)
            )
        }),
        basis: COMMON_PRACTICE,
    }
}
