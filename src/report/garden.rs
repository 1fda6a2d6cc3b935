//! Fish, water, reach and gravel in words and as JSON.

use serde::Serialize;

use crate::assessment::{FishFigures, Room, WaterBudget, WaterFigures};
use crate::model::Fish;
use crate::report::Report;
use crate::report::json::Number;
use crate::report::rows::{Row, row};
use crate::report::whole_loop::Section;
use crate::report::words::plain;
use crate::units::UnitSystem;
use crate::units::display::between_a_day;

const DAY: f64 = 86_400.0;

/// The sections of what this system tells; gravel always.
pub(super) fn garden_sections(report: &Report) -> Vec<Section> {
    let garden = &report.assessment.garden;
    let mut sections = Vec::new();
    if let (Some(found), Some(fish)) = (&garden.fish, &report.system.fish) {
        sections.push(Section {
            title: "Fish",
            rows: fish_rows(found, fish, report.units),
        });
    }
    let mut rows = Vec::new();
    match &garden.water {
        Some(WaterBudget::Known(found)) => rows.extend(water_rows(found, report.units)),
        Some(WaterBudget::Missing(what)) => rows.push(row(
            "Dissolved",
            format!("not known: dissolved is not given for {}", plain(what)),
        )),
        None => {}
    }
    if !rows.is_empty() {
        sections.push(Section {
            title: "What evaporation leaves behind",
            rows,
        });
    }
    sections.push(Section {
        title: "Reach and gravel",
        rows: bed_rows(report),
    });
    sections.retain(|section| !section.rows.is_empty());
    sections
}

fn fish_rows(found: &FishFigures, fish: &Fish, units: UnitSystem) -> Vec<Row> {
    let each = units.mass(fish.mass);
    let takes = |band: [f64; 2]| between_a_day(&units.feed(band[0]), &units.feed(band[1]));
    let room = |leafy: f64, fruiting: f64, mass: f64| {
        format!("{leafy} to {fruiting} of {}", units.mass(mass))
    };
    vec![
        row(
            "Stocking",
            format!(
                "{} of {each} in {} are {}; {} at {} each",
                fish.count,
                units.volume(found.volume),
                units.stocking(found.density),
                units.stocking(found.harvest_density),
                units.mass(fish.harvest_mass)
            ),
        ),
        row(
            "Feed",
            format!(
                "{}; the beds take {} with leafy greens, {} with fruiting plants",
                units.feed(found.feed),
                takes(found.leafy),
                takes(found.fruiting)
            ),
        ),
        row(
            "Room for",
            format!(
                "{} at the start, {} at the end, leafy greens to fruiting plants; husbandry advice \
                 decides",
                room(
                    found.start_with.with_leafy(),
                    found.start_with.with_fruiting(),
                    fish.mass
                ),
                room(
                    found.end_with.with_leafy(),
                    found.end_with.with_fruiting(),
                    fish.harvest_mass
                )
            ),
        ),
        row("Power cut", until_low(found, units)),
    ]
}

/// How long the fish have oxygen when pump or air stops.
pub(super) fn until_low(found: &FishFigures, units: UnitSystem) -> String {
    format!(
        "pump or air stops: low in oxygen (3 mg/L) after {}, at rest after {} at most; {} of water",
        minutes(found.until_low[0], units),
        minutes(found.until_low[1], units),
        units.volume(found.lowest_volume)
    )
}

/// A time down to the minute, where it is that long: nothing here is known to the second.
fn minutes(time: f64, units: UnitSystem) -> String {
    units.time(if time > 600.0 {
        60.0 * (time / 60.0).floor()
    } else {
        time
    })
}

fn water_rows(found: &WaterFigures, units: UnitSystem) -> Vec<Row> {
    let goes = |settles: f64| format!(", settling at {}", units.dissolved(settles));
    let mut rows = vec![row(
        "Dissolved",
        format!(
            "{} more in the first week; {} at the start, {} after 26 weeks{}",
            units.dissolved(found.weekly_rise),
            units.dissolved(found.initial),
            units.dissolved(found.after_season),
            found.settles.map_or_else(String::new, goes)
        ),
    )];
    if let Some(limit) = found.limit {
        let share = match found.pure_share.flatten() {
            Some(share) => format!(
                "{} of the top-off ({} a day) as {} ({})",
                units.percent(share),
                units.volume(DAY * share * found.lost),
                plain(&found.pure.0),
                units.dissolved(found.pure.1)
            ),
            None => format!("no share of {} alone", plain(&found.pure.0)),
        };
        let text = format!("{share} keeps 26 weeks under {}", units.dissolved(limit));
        rows.push(row("Pure water", text));
    }
    let hold = match found.exchange {
        Some(Some(share)) => format!("; {} a week hold the limit", units.percent(share)),
        Some(None) => "; no exchange holds the limit".to_owned(),
        None => String::new(),
    };
    rows.push(row(
        "Exchange",
        format!(
            "a tenth of the water a week for water of {} ends at {} at the most{hold}",
            units.dissolved(found.hard),
            units.dissolved(found.with_exchange)
        ),
    ));
    rows
}

fn bed_rows(report: &Report) -> Vec<Row> {
    let (garden, units) = (&report.assessment.garden, report.units);
    let limit = report.system.thresholds.reach;
    let mut rows = Vec::new();
    let told: Vec<String> = garden
        .reach
        .iter()
        .filter_map(|found| {
            let name = plain(&report.system.beds.get(found.bed)?.name);
            let depth = if found.needed.is_finite() {
                units.length(found.needed)
            } else {
                "no free side".to_owned()
            };
            let verdict = if found.needed > limit {
                ", too far"
            } else {
                ""
            };
            Some(format!("{name} {depth}{verdict}"))
        })
        .collect();
    if !told.is_empty() {
        rows.push(row(
            "Reach",
            format!(
                "{}; an arm reaches {}",
                told.join("; "),
                units.length(limit)
            ),
        ));
    }
    if garden.gravel.volume > 0.0 {
        rows.push(row(
            "To order",
            format!(
                "{} of gravel, {} dry",
                units.bulk(garden.gravel.volume),
                units.mass(garden.gravel.mass)
            ),
        ));
    }
    rows
}

/// The keys that only these parts have.
#[derive(Serialize)]
pub(super) struct GardenPart<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    fish: Option<FishPart>,
    #[serde(skip_serializing_if = "Option::is_none")]
    dissolved: Option<DissolvedPart<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reach: Vec<ReachPart<'a>>,
    gravel: GravelPart,
}

#[derive(Serialize)]
struct FishPart {
    count: u32,
    mass_kg: Number,
    volume_m3: Number,
    density_kg_m3: Number,
    harvest_density_kg_m3: Number,
    feed_kg_day: Number,
    bed_area_m2: Number,
    beds_take_leafy_kg_day: [Number; 2],
    beds_take_fruiting_kg_day: [Number; 2],
    oxygen_use_kg_day: [Number; 2],
    oxygen_saturation_kg_m3: Number,
    lowest_volume_m3: Number,
    until_low_oxygen_s: [Number; 2],
    start_with: RoomPart,
    end_with: RoomPart,
}

#[derive(Serialize)]
struct RoomPart {
    by_density: Number,
    by_feed_leafy: Number,
    by_feed_fruiting: Number,
}

#[derive(Serialize)]
struct DissolvedPart<'a> {
    missing: Option<&'a str>,
    volume_m3: Option<Number>,
    start_kg_m3: Option<Number>,
    first_week_rise_kg_m3: Option<Number>,
    after_26_weeks_kg_m3: Option<Number>,
    settles_kg_m3: Option<Number>,
    limit_kg_m3: Option<Number>,
    pure_share: Option<Number>,
    exchange_a_week: Option<Number>,
    with_a_tenth_a_week_kg_m3: Option<Number>,
}

#[derive(Serialize)]
struct ReachPart<'a> {
    bed: &'a str,
    needed_m: Number,
}

#[derive(Serialize)]
struct GravelPart {
    volume_m3: Number,
    dry_mass_kg: Number,
}

impl<'a> GardenPart<'a> {
    pub(super) fn new(report: &Report<'a>) -> Self {
        let garden = &report.assessment.garden;
        Self {
            fish: garden
                .fish
                .as_ref()
                .zip(report.system.fish.as_ref())
                .map(fish_part),
            dissolved: garden.water.as_ref().map(dissolved_part),
            reach: garden
                .reach
                .iter()
                .filter_map(|found| {
                    Some(ReachPart {
                        bed: &report.system.beds.get(found.bed)?.name,
                        needed_m: Number(found.needed),
                    })
                })
                .collect(),
            gravel: GravelPart {
                volume_m3: Number(garden.gravel.volume),
                dry_mass_kg: Number(garden.gravel.mass),
            },
        }
    }
}

fn fish_part((found, fish): (&FishFigures, &Fish)) -> FishPart {
    let day = |band: [f64; 2]| band.map(|rate| Number(DAY * rate));
    let room = |room: Room| RoomPart {
        by_density: Number(room.density),
        by_feed_leafy: Number(room.leafy),
        by_feed_fruiting: Number(room.fruiting),
    };
    FishPart {
        count: fish.count,
        mass_kg: Number(found.mass),
        volume_m3: Number(found.volume),
        density_kg_m3: Number(found.density),
        harvest_density_kg_m3: Number(found.harvest_density),
        feed_kg_day: Number(DAY * found.feed),
        bed_area_m2: Number(found.bed_area),
        beds_take_leafy_kg_day: day(found.leafy),
        beds_take_fruiting_kg_day: day(found.fruiting),
        oxygen_use_kg_day: day(found.oxygen_use),
        oxygen_saturation_kg_m3: Number(found.saturation),
        lowest_volume_m3: Number(found.lowest_volume),
        until_low_oxygen_s: found.until_low.map(Number),
        start_with: room(found.start_with),
        end_with: room(found.end_with),
    }
}

fn dissolved_part(budget: &WaterBudget) -> DissolvedPart<'_> {
    let (missing, known) = match budget {
        WaterBudget::Known(found) => (None, Some(found)),
        WaterBudget::Missing(what) => (Some(what.as_str()), None),
    };
    let of = |pick: fn(&WaterFigures) -> f64| known.map(|found| Number(pick(found)));
    let maybe = |pick: fn(&WaterFigures) -> Option<f64>| known.and_then(pick).map(Number);
    DissolvedPart {
        missing,
        volume_m3: of(|found| found.volume),
        start_kg_m3: of(|found| found.initial),
        first_week_rise_kg_m3: of(|found| found.weekly_rise),
        after_26_weeks_kg_m3: of(|found| found.after_season),
        settles_kg_m3: maybe(|found| found.settles),
        limit_kg_m3: maybe(|found| found.limit),
        pure_share: maybe(|found| found.pure_share.flatten()),
        exchange_a_week: maybe(|found| found.exchange.flatten()),
        with_a_tenth_a_week_kg_m3: of(|found| found.with_exchange),
    }
}
