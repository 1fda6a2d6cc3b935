//! Fish, dissolved matter and reach: these inform or warn, and never fail a system.

use crate::assessment::checks::COMMON_PRACTICE;
use crate::assessment::checks::{Check, Why};
use crate::assessment::facts::Facts;
use crate::assessment::fix::{Fix, Hint};
use crate::assessment::garden::{ArmReach, FishFigures, SEASON, WaterBudget, WaterFigures};
use crate::assessment::status::{CheckId, CheckUnit, Status, Subject};
use crate::hydraulics::oxygen::{BEGINNERS_DENSITY, FRUITING_FEED, LEAFY_FEED};
use crate::model::Fish;
use crate::units::HOUR;
use crate::units::amounts::{self, Side};

/// Time with oxygen wanted after a stop `[s]`; common practice, no source: time to notice and act.
const TIME_TO_ACT: f64 = HOUR;

/// What a long arm reaches `[m]`; common practice, no source.
const LONG_ARM: f64 = 0.75;

/// How densely the fish are kept.
#[derive(Debug, Clone, PartialEq)]
pub struct DensityWhy {
    /// Mass of all `[kg]`.
    pub mass: f64,
    /// Their water `[m3]`.
    pub volume: f64,
    /// Mass in their water `[kg/m3]`.
    pub density: f64,
    /// The same once grown `[kg/m3]`.
    pub grown: f64,
    /// Mass of each once grown `[kg]`.
    pub grown_mass: f64,
    /// What beginners keep at most `[kg/m3]`.
    pub most: f64,
}

/// What the beds get of the feed.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedWhy {
    /// Feed of all fish `[kg/s]`.
    pub feed: f64,
    /// Whether it is taken as a share of their mass.
    pub assumed: bool,
    /// Plan area of all beds `[m2]`.
    pub area: f64,
    /// Feed over area `[kg/(m2 s)]`.
    pub per_area: f64,
    /// What leafy greens take, least and most `[kg/(m2 s)]`.
    pub leafy: (f64, f64),
    /// What fruiting plants take, least and most `[kg/(m2 s)]`.
    pub fruiting: (f64, f64),
}

/// How long the oxygen lasts when pump or air stops.
#[derive(Debug, Clone, PartialEq)]
pub struct OxygenWhy {
    /// Mass of all fish `[kg]`.
    pub mass: f64,
    /// Their water at its lowest then `[m3]`.
    pub volume: f64,
    /// Time until it is low `[s]`.
    pub until_low: f64,
    /// Oxygen of saturated water `[kg/m3]`.
    pub saturation: f64,
    /// Time at rest, from saturation `[s]`.
    pub at_most: f64,
}

/// How what is dissolved grows.
#[derive(Debug, Clone, PartialEq)]
pub struct DissolvedWhy {
    /// What the air takes `[m3/s]`.
    pub lost: f64,
    /// Water of the system `[m3]`.
    pub volume: f64,
    /// At the start `[kg/m3]`.
    pub initial: f64,
    /// More after the first week `[kg/m3]`.
    pub weekly_rise: f64,
    /// After a season `[kg/m3]`.
    pub after_season: f64,
    /// The season `[s]`.
    pub season: f64,
}

/// How far an arm must reach.
#[derive(Debug, Clone, PartialEq)]
pub struct ReachWhy {
    /// To the farthest gravel; `None` where no side is free `[m]`.
    pub needed: Option<f64>,
    /// What an arm reaches `[m]`.
    pub arm: f64,
    /// What a long one reaches `[m]`.
    pub long_arm: f64,
}

/// Everything about fish, water and reach, in the order of the design.
pub(super) fn all(facts: &Facts) -> Vec<Check> {
    let garden = &facts.garden;
    let mut list = Vec::new();
    if let (Some(found), Some(fish)) = (&garden.fish, &facts.parts.system.fish) {
        list.push(density(facts, found, fish));
        list.push(feed(found, fish));
        list.push(oxygen(facts, found));
    }
    if let Some(WaterBudget::Known(found)) = &garden.water {
        list.push(dissolved(found));
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

/// Where the fish live.
fn vessel(facts: &Facts) -> Subject {
    match facts.parts.system.tank {
        Some(_) => Subject::FishTank,
        None => Subject::Sump,
    }
}

fn density(facts: &Facts, found: &FishFigures, fish: &Fish) -> Check {
    let status = below(found.density, BEGINNERS_DENSITY);
    Check {
        id: CheckId::FishDensity,
        subject: vessel(facts),
        status,
        value: found.density,
        limit: BEGINNERS_DENSITY,
        margin: BEGINNERS_DENSITY - found.density,
        unit: CheckUnit::Stocking,
        why: Why::Density(DensityWhy {
            mass: found.mass,
            volume: found.volume,
            density: found.density,
            grown: found.harvest_density,
            grown_mass: fish.harvest_mass,
            most: BEGINNERS_DENSITY,
        }),
        basis: "FAO Fisheries and Aquaculture Technical Paper 589 (2014), chapter 8; husbandry \
                advice decides",
    }
}

fn feed(found: &FishFigures, fish: &Fish) -> Check {
    let value = found.feed / found.bed_area;
    let limit = FRUITING_FEED[1];
    let status = if value > limit * (1.0 + super::ROUNDING) {
        Status::Warn
    } else {
        Status::Pass
    };
    Check {
        id: CheckId::FishFeed,
        subject: Subject::Beds,
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::AreaFeed,
        why: Why::Feed(FeedWhy {
            feed: found.feed,
            assumed: fish.feed.is_none(),
            area: found.bed_area,
            per_area: value,
            leafy: (LEAFY_FEED[0], LEAFY_FEED[1]),
            fruiting: (FRUITING_FEED[0], limit),
        }),
        basis: "FAO Fisheries and Aquaculture Technical Paper 589 (2014), section 8; husbandry \
                advice decides",
    }
}

fn oxygen(facts: &Facts, found: &FishFigures) -> Check {
    let [value, most] = found.until_low;
    let status = below(TIME_TO_ACT, value);
    Check {
        id: CheckId::FishOxygen,
        subject: vessel(facts),
        status,
        value,
        limit: TIME_TO_ACT,
        margin: value - TIME_TO_ACT,
        unit: CheckUnit::Second,
        why: Why::Oxygen(OxygenWhy {
            mass: found.mass,
            volume: found.lowest_volume,
            until_low: value,
            saturation: found.saturation,
            at_most: most,
        }),
        basis: "derived; use of warm-water fish: Timmons and Ebeling, Recirculating Aquaculture \
                (from memory); 7 and 3 mg/L and the hour: common practice, no source",
    }
}

fn dissolved(found: &WaterFigures) -> Check {
    let value = found.after_season;
    let limit = found.limit.unwrap_or(f64::INFINITY);
    let status = below(value, limit);
    Check {
        id: CheckId::Dissolved,
        subject: Subject::Water,
        status,
        value,
        limit,
        margin: limit - value,
        unit: CheckUnit::Dissolved,
        why: Why::Dissolved(DissolvedWhy {
            lost: found.lost,
            volume: found.volume,
            initial: found.initial,
            weekly_rise: found.weekly_rise,
            after_season: value,
            season: SEASON,
        }),
        basis: "derived: evaporation leaves the minerals behind; uptake and scale left out",
    }
}

fn reach(facts: &Facts, found: &ArmReach) -> Check {
    let parts = &facts.parts;
    let limit = parts.system.thresholds.reach;
    let status = below(found.needed, limit);
    Check {
        id: CheckId::Reach,
        subject: Subject::Bed(found.bed),
        status,
        value: found.needed,
        limit,
        margin: limit - found.needed,
        unit: CheckUnit::Metre,
        why: Why::Reach(ReachWhy {
            needed: found.needed.is_finite().then_some(found.needed),
            arm: limit,
            long_arm: LONG_ARM.max(limit),
        }),
        basis: COMMON_PRACTICE,
    }
}

/// What to do about fish, dissolved matter and reach: none of it is a change of the hydraulics.
pub(super) fn fixes(facts: &Facts, check: &Check) -> Vec<Fix> {
    let hint = match &check.why {
        Why::Reach(why) => match check.subject {
            Subject::Bed(bed) => Some(Hint::FreeSide { bed, arm: why.arm }),
            _ => None,
        },
        Why::Dissolved(_) => purer(facts),
        why => husbandry(facts, why),
    };
    hint.map(Fix::hint).into_iter().collect()
}

fn husbandry(facts: &Facts, why: &Why) -> Option<Hint> {
    let found = facts.garden.fish.as_ref()?;
    let fish = facts.parts.system.fish.as_ref()?;
    match why {
        Why::Density(_) => Some(Hint::FewerFish {
            count: found.start_with.density,
            each: fish.mass,
            or_water: found.mass / BEGINNERS_DENSITY,
        }),
        Why::Feed(_) => Some(Hint::LessFeed {
            feed: found.fruiting[1],
            or_area: found.feed / FRUITING_FEED[1],
        }),
        Why::Oxygen(_) => Some(Hint::AirPump(found.most_for(TIME_TO_ACT, fish.mass))),
        _ => None,
    }
}

/// The share of pure water, and the exchange, that keep under the limit.
fn purer(facts: &Facts) -> Option<Hint> {
    let Some(WaterBudget::Known(found)) = &facts.garden.water else {
        return None;
    };
    let share = found.pure_share.flatten();
    let exchange = found.exchange.flatten();
    Some(Hint::PurerWater {
        source: found.pure.0.clone(),
        share: share.map(|share| (amounts::share(share, Side::Up), share * found.lost)),
        exchange: exchange.map(|part| amounts::share(part, Side::Up)),
    })
}
