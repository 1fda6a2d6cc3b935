//! What evaporation leaves behind, week by week and after a season.

use crate::assessment::parts::Parts;
use crate::hydraulics::dissolved::{after, before_exchange, exchange_for, pure_share};
use crate::model::System;
use crate::units::DAY;

/// One week `[s]`.
pub const WEEK: f64 = 7.0 * DAY;
/// A growing season `[s]`: half a year; set here.
pub const SEASON: f64 = 26.0 * WEEK;
/// The exchange whose effect is told: a tenth of the water each week; set here.
const EXCHANGE: f64 = 0.1;

/// What is known of the dissolved matter.
#[derive(Debug, Clone, PartialEq)]
pub enum WaterBudget {
    /// The figures.
    Known(WaterFigures),
    /// A water whose dissolved matter is not told.
    Missing(String),
}

/// Dissolved matter in the system's water, concentrations in `[kg/m3]`.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterFigures {
    /// Water of the whole system `[m3]`.
    pub volume: f64,
    /// At the start.
    pub initial: f64,
    /// In what is topped up, or what it was filled with where nothing is.
    pub hard: f64,
    /// More after the first week.
    pub weekly_rise: f64,
    /// After a season.
    pub after_season: f64,
    /// Where it ends, if the sources bring more than the air takes.
    pub settles: Option<f64>,
    /// Limit wanted, where one is.
    pub limit: Option<f64>,
    /// Name of the purest source, and what is in it; rain where there is none.
    pub pure: (String, f64),
    /// Share of it in what replaces the evaporation that keeps a season under the limit;
    /// inside `None` where no share does.
    pub pure_share: Option<Option<f64>>,
    /// With a tenth of the water exchanged each week for that of the top-off: the most in the
    /// long run.
    pub with_exchange: f64,
    /// Share of the water to exchange each week that holds the limit for ever; inside `None`
    /// where no share does.
    pub exchange: Option<Option<f64>>,
    /// What the air takes `[m3/s]`.
    pub lost: f64,
}

/// The budget, where anything dissolved is told and any water comes or goes.
pub(super) fn budget(parts: &Parts) -> Option<WaterBudget> {
    let system = parts.system;
    let told = system.dissolved.at_start().is_some()
        || system
            .sources
            .iter()
            .any(|source| source.dissolved.is_some());
    if !told || (system.evaporation <= 0.0 && system.sources.is_empty()) {
        return None;
    }
    Some(match figures(parts) {
        Ok(found) => WaterBudget::Known(found),
        Err(what) => WaterBudget::Missing(what),
    })
}

fn figures(parts: &Parts) -> Result<WaterFigures, String> {
    let system = parts.system;
    let missing = "the water that the system is filled with";
    let initial = system.dissolved.at_start().ok_or(missing)?;
    let hard = system.dissolved.topped_up().unwrap_or(initial);
    let mut load = system.net_loss().max(0.0) * hard;
    for source in &system.sources {
        let name = || format!("the source \"{}\"", source.name);
        load += source.flow * source.dissolved.ok_or_else(name)?;
    }
    let leaving = (-system.net_loss()).max(0.0);
    let volume = volume(parts);
    let at = |time: f64| after(initial, load, leaving, volume, time);
    let weekly_rise = at(WEEK) - initial;
    let limit = system.thresholds.dissolved;
    let pure = purest(system);
    let replaced = system.evaporation * SEASON / volume;
    let share = |limit: f64| {
        if hard <= pure.1 || replaced <= 0.0 {
            return None;
        }
        pure_share(limit - initial, replaced * hard, replaced * pure.1)
    };
    let rise = weekly_rise.max(0.0);
    Ok(WaterFigures {
        volume,
        initial,
        hard,
        weekly_rise,
        after_season: at(SEASON),
        settles: (leaving > 0.0).then(|| load / leaving),
        limit,
        pure_share: limit.map(share),
        pure,
        with_exchange: before_exchange(hard, rise, EXCHANGE),
        exchange: limit.map(|limit| exchange_for(limit, hard, rise)),
        lost: system.evaporation,
    })
}

/// Water that the dissolved matter spreads in: all that moves, and the settler's `[m3]`.
fn volume(parts: &Parts) -> f64 {
    let settler = parts.system.settler.as_ref();
    parts.run.water_at_start + settler.map_or(0.0, |settler| settler.volume())
}

/// The source with the least in it, else rain, taken as free of it.
fn purest(system: &System) -> (String, f64) {
    let told = system
        .sources
        .iter()
        .filter_map(|source| Some((source.name.clone(), source.dissolved?)));
    told.min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or_else(|| ("rain, condensate or filtered water".to_owned(), 0.0))
}
