//! Stocking, feed and the oxygen that is left when pump or air stops.

use crate::assessment::bounds::Balance;
use crate::assessment::parts::Parts;
use crate::hydraulics::oxygen::{
    BEGINNERS_DENSITY, FEED_SHARE, FISH_USE, FRUITING_FEED, LEAFY_FEED, LOW_OXYGEN, USUAL_OXYGEN,
    saturation, time_to,
};
use crate::model::{Fish, System};

/// Figures of the fish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FishFigures {
    /// Where they live: `fish tank` or `sump`.
    pub vessel: &'static str,
    /// Mass of all together `[kg]`.
    pub mass: f64,
    /// Their water at its usual level `[m3]`.
    pub volume: f64,
    /// Mass of fish in their water `[kg/m3]`.
    pub density: f64,
    /// The same when each has grown to be taken out `[kg/m3]`.
    pub harvest_density: f64,
    /// Feed of all together `[kg/s]`.
    pub feed: f64,
    /// Plan area of all beds at the gravel's surface `[m2]`.
    pub bed_area: f64,
    /// Feed that leafy greens on that area take, least and most `[kg/s]`.
    pub leafy: [f64; 2],
    /// Feed that fruiting plants on that area take, least and most `[kg/s]`.
    pub fruiting: [f64; 2],
    /// Oxygen that all use, at rest and fed `[kg/s]`.
    pub oxygen_use: [f64; 2],
    /// Oxygen of their water when saturated `[kg/m3]`.
    pub saturation: f64,
    /// Their water at the lowest level that a stop of the pump brings `[m3]`.
    pub lowest_volume: f64,
    /// Time until that water is low in oxygen when pump or air stops, nothing else using any
    /// `[s]`: from the usual oxygen with fed fish, and from saturation with fish at rest.
    pub until_low: [f64; 2],
    /// Fish of today's mass that water and beds carry.
    pub start_with: Room,
    /// Fish of the mass at which they are taken out.
    pub end_with: Room,
}

/// How many fish of one mass a system carries, at the careful end of each rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// By the density for beginners.
    pub density: f64,
    /// By what leafy greens take of their feed.
    pub leafy: f64,
    /// By what fruiting plants take of their feed.
    pub fruiting: f64,
}

impl Room {
    /// With leafy greens in the beds.
    pub fn with_leafy(&self) -> f64 {
        self.density.min(self.leafy)
    }

    /// With fruiting plants in the beds.
    pub fn with_fruiting(&self) -> f64 {
        self.density.min(self.fruiting)
    }
}

impl FishFigures {
    /// Most fish of mass `each` `[kg]` that keep at least `time` `[s]` of oxygen, reckoned
    /// as the shorter of the two times is.
    pub fn most_for(&self, time: f64, each: f64) -> f64 {
        whole(self.mass / each * self.until_low[0] / time)
    }
}

/// The fish, where there are some and water for them.
pub(super) fn figures(parts: &Parts, balance: &Balance) -> Option<FishFigures> {
    let system = parts.system;
    let fish = system.fish.as_ref()?;
    let (vessel, volume, lowest_volume) = water(parts, balance)?;
    let mass = f64::from(fish.count) * fish.mass;
    let feed = fish.feed.unwrap_or(mass * FEED_SHARE[1]);
    let bed_area = bed_area(system);
    let saturation = saturation(system.water.temperature_c).ok()?;
    let until = |from: f64, rate: f64| time_to(from, LOW_OXYGEN, lowest_volume, mass, rate);
    let room = |each: f64| {
        let share = feed / mass;
        let by_feed = |taken: f64| whole(taken * bed_area / (share * each));
        Room {
            density: whole(BEGINNERS_DENSITY * volume / each),
            leafy: by_feed(LEAFY_FEED[0]),
            fruiting: by_feed(FRUITING_FEED[0]),
        }
    };
    Some(FishFigures {
        vessel,
        mass,
        volume,
        density: mass / volume,
        harvest_density: grown(fish) / volume,
        feed,
        bed_area,
        leafy: LEAFY_FEED.map(|taken| taken * bed_area),
        fruiting: FRUITING_FEED.map(|taken| taken * bed_area),
        oxygen_use: FISH_USE.map(|rate| rate * mass),
        saturation,
        lowest_volume,
        until_low: [
            until(saturation.min(USUAL_OXYGEN), FISH_USE[1]),
            until(saturation, FISH_USE[0]),
        ],
        start_with: room(fish.mass),
        end_with: room(fish.harvest_mass),
    })
}

/// Whole fish; twelve that rounding makes a hair less are twelve.
fn whole(fish: f64) -> f64 {
    (fish * (1.0 + 1e-9)).floor()
}

/// Mass of all when each has grown to be taken out `[kg]`.
fn grown(fish: &Fish) -> f64 {
    f64::from(fish.count) * fish.harvest_mass.max(fish.mass)
}

/// The fish's vessel, its usual water and the least at a stop of the pump `[m3]`.
fn water(parts: &Parts, balance: &Balance) -> Option<(&'static str, f64, f64)> {
    let found = parts.run.tank.as_ref()?;
    let Some(tank) = &parts.system.tank else {
        // Water only comes back to a sump when its pump stops: it stands lowest at that moment.
        let low = balance.bounds.low.min(found.level.min);
        return Some((
            "sump",
            parts.sump_volume(found.level.mean),
            parts.sump_volume(low),
        ));
    };
    let volume = |level: f64| tank.volume_at(level);
    Some((
        "fish tank",
        volume(tank.overflow_level),
        volume(found.lowest_possible),
    ))
}

/// Plan area of all beds at the gravel's surface `[m2]`.
fn bed_area(system: &System) -> f64 {
    let each = system.beds.iter();
    each.map(|bed| bed.shape.area(bed.media.depth)).sum()
}
