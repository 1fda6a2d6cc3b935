//! Fish, water, reach and gravel.

use crate::answer::oxygen::until_low;
use crate::answer::run::keys::{
    AFTER_SEASON, ARM, BED_AREA, BULK, BY_DENSITY, BY_FRUITING, BY_LEAFY, DENSITY, DISSOLVED_START,
    DISSOLVED_VOLUME, DRY_MASS, EACH, EXCHANGE, FEED, FISH_COUNT, FISH_EACH, FISH_MASS,
    FISH_VOLUME, FRUITING, HARD, HARVEST_DENSITY, HARVEST_EACH, LEAFY, LIMIT, MISSING, NEEDED,
    OXYGEN, PURE_DAY, PURE_HAS, PURE_SHARE, REACH, REACH_BED, SATURATION, SETTLES, WEEK_RISE,
    WITH_EXCHANGE, WITH_FRUITING, WITH_LEAFY,
};
use crate::answer::{At, Block, Figure, Key, Row, Section, Text, said};
use crate::assessment::{FishFigures, Room, WaterBudget, WaterFigures};
use crate::model::Fish;
use crate::report::Report;
use crate::units::DAY;
use crate::units::display::between_a_day;

/// The sections of what this system tells; gravel always.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    let (top, garden) = (At::top(report.units), &report.assessment.garden);
    let mut sections = Vec::new();
    if let (Some(found), Some(fish)) = (&garden.fish, &report.system.fish) {
        let at = top.part("fish");
        sections.push(
            Section::new("Fish")
                .with(Block::Rows(fish_rows(found, fish, &at)))
                .with(Block::Data(fish_data(found, &at))),
        );
    }
    let at = top.part("dissolved");
    let water = Section::new("What evaporation leaves behind");
    sections.extend(match &garden.water {
        Some(WaterBudget::Known(found)) => Some(
            water
                .with(Block::Rows(water_rows(found, &at)))
                .with(Block::Data(water_data(found, &at))),
        ),
        Some(WaterBudget::Missing(what)) => {
            let text = said!(
                "not known: dissolved is not given for {}",
                at.word(&MISSING, what.as_str())
            );
            Some(water.with(Block::Rows(vec![Row::new("Dissolved", text)])))
        }
        None => None,
    });
    sections.push(reach_and_gravel(report, &top));
    sections
}

fn fish_rows(found: &FishFigures, fish: &Fish, at: &At) -> Vec<Row> {
    let units = at.units();
    let feed =
        |key: &Key, name: &str, feed: f64| at.named(key, name, DAY * feed).said(units.feed(feed));
    let takes = |key: &Key, [least, most]: [f64; 2]| {
        let (low, high) = (feed(key, "0", least), feed(key, "1", most));
        let whole = between_a_day(&low.shown, &high.shown);
        let rest = format!(" to {}", high.shown);
        let first = whole.strip_suffix(&rest).unwrap_or(&low.shown).to_owned();
        said!("{} to {}", low.said(first), high)
    };
    let room = |name: &str, room: &Room, each: f64| {
        let at = at.part(name);
        said!(
            "{} to {} of {}",
            at.figure(&WITH_LEAFY, room.with_leafy())
                .said(room.with_leafy().to_string()),
            at.figure(&WITH_FRUITING, room.with_fruiting())
                .said(room.with_fruiting().to_string()),
            at.figure(&EACH, each)
        )
    };
    vec![
        Row::new(
            "Stocking",
            said!(
                "{} of {} in {} are {}; {} at {} each",
                at.count(&FISH_COUNT, fish.count),
                at.figure(&FISH_EACH, fish.mass),
                at.figure(&FISH_VOLUME, found.volume),
                at.figure(&DENSITY, found.density),
                at.figure(&HARVEST_DENSITY, found.harvest_density),
                at.figure(&HARVEST_EACH, fish.harvest_mass)
            ),
        ),
        Row::new(
            "Feed",
            said!(
                "{}; the beds take {} with leafy greens, {} with fruiting plants",
                at.shown(&FEED, DAY * found.feed, units.feed(found.feed)),
                takes(&LEAFY, found.leafy),
                takes(&FRUITING, found.fruiting)
            ),
        ),
        Row::new(
            "Room for",
            said!(
                "{} at the start, {} at the end, leafy greens to fruiting plants; husbandry advice \
                 decides",
                room("start_with", &found.start_with, fish.mass),
                room("end_with", &found.end_with, fish.harvest_mass)
            ),
        ),
        Row::new("Power cut", until_low(found, at)),
    ]
}

fn fish_data(found: &FishFigures, at: &At) -> Vec<Figure> {
    let mut out = vec![
        at.figure(&FISH_MASS, found.mass),
        at.figure(&BED_AREA, found.bed_area),
        at.figure(&SATURATION, found.saturation),
    ];
    out.extend(at.list(&OXYGEN, found.oxygen_use.map(|rate| DAY * rate)));
    for (name, room) in [
        ("start_with", &found.start_with),
        ("end_with", &found.end_with),
    ] {
        let at = at.part(name);
        out.push(at.figure(&BY_DENSITY, room.density));
        out.push(at.figure(&BY_LEAFY, room.leafy));
        out.push(at.figure(&BY_FRUITING, room.fruiting));
    }
    out
}

fn water_rows(found: &WaterFigures, at: &At) -> Vec<Row> {
    let settles = found
        .settles
        .map(|settles| said!(", settling at {}", at.figure(&SETTLES, settles)));
    let mut rows = vec![Row::new(
        "Dissolved",
        said!(
            "{} more in the first week; {} at the start, {} after 26 weeks{}",
            at.figure(&WEEK_RISE, found.weekly_rise),
            at.figure(&DISSOLVED_START, found.initial),
            at.figure(&AFTER_SEASON, found.after_season),
            settles
        ),
    )];
    if let Some(limit) = found.limit {
        let (pure, has) = (&*found.pure.0, found.pure.1);
        let share = match found.pure_share.flatten() {
            Some(share) => said!(
                "{} of the top-off ({} a day) as {} ({})",
                at.figure(&PURE_SHARE, share),
                at.figure(&PURE_DAY, DAY * share * found.lost),
                pure,
                at.figure(&PURE_HAS, has)
            ),
            None => said!("no share of {} alone", pure),
        };
        let text = said!(
            "{} keeps 26 weeks under {}",
            share,
            at.figure(&LIMIT, limit)
        );
        rows.push(Row::new("Pure water", text));
    }
    let hold = match found.exchange {
        Some(Some(share)) => said!("; {} a week hold the limit", at.figure(&EXCHANGE, share)),
        Some(None) => "; no exchange holds the limit".into(),
        None => Text::default(),
    };
    rows.push(Row::new(
        "Exchange",
        said!(
            "a tenth of the water a week for water of {} ends at {} at the most{}",
            at.figure(&HARD, found.hard),
            at.figure(&WITH_EXCHANGE, found.with_exchange),
            hold
        ),
    ));
    rows
}

fn water_data(found: &WaterFigures, at: &At) -> Vec<Figure> {
    let mut out = vec![at.figure(&DISSOLVED_VOLUME, found.volume)];
    let share = found.pure_share.flatten();
    out.extend(share.map(|share| at.figure(&PURE_SHARE, share)));
    let exchange = found.exchange.flatten();
    out.extend(exchange.map(|share| at.figure(&EXCHANGE, share)));
    out
}

fn reach_and_gravel(report: &Report, top: &At) -> Section {
    let garden = &report.assessment.garden;
    let limit = report.system.thresholds.reach;
    let mut rows = Vec::new();
    let mut told: Vec<Text> = Vec::new();
    for found in &garden.reach {
        let at = top.item(REACH.name, told.len());
        let Some(name) = report.bed_named(&at, &REACH_BED, found.bed) else {
            continue;
        };
        let needed = at.figure(&NEEDED, found.needed);
        let needed = if found.needed.is_finite() {
            needed
        } else {
            needed.said("no free side")
        };
        let verdict = if found.needed > limit {
            ", too far"
        } else {
            ""
        };
        told.push(said!("{} {}{}", name, needed, verdict));
    }
    if !told.is_empty() {
        let text = said!(
            "{}; an arm reaches {}",
            Text::joined(told, "; "),
            top.figure(&ARM, limit)
        );
        rows.push(Row::new("Reach", text));
    }
    let at = top.part("gravel");
    let gravel = [
        at.figure(&BULK, garden.gravel.volume),
        at.figure(&DRY_MASS, garden.gravel.mass),
    ];
    if garden.gravel.volume > 0.0 {
        let [volume, mass] = gravel.clone();
        rows.push(Row::new(
            "To order",
            said!("{} of gravel, {} dry", volume, mass),
        ));
    }
    Section::new("Reach and gravel")
        .with(Block::Rows(rows))
        .with(Block::Data(
            gravel
                .into_iter()
                .chain([top.figure(&ARM, limit)])
                .collect(),
        ))
}
