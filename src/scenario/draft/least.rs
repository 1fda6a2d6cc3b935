//! Facts that cannot work: which of them stands in the way, and the least that would do.

use super::reasons::counted;
use super::text::{an_hour, long};
use super::{Draft, Effort, best};
use crate::assessment::CheckId;
use crate::model::System;
use crate::study::draft::{Facts, PumpFact, SumpFact, TankFact};
use crate::study::mend::Judged;
use crate::units::UnitSystem;

/// How far a length is raised in the search, in steps of 50 mm or 2 in.
/// Doubled each time, since what lies between is halved afterwards.
const RAISES: [u32; 6] = [1, 2, 4, 8, 16, 32];
/// The same for the depth of a bed, in half such steps.
const DEEPER: [u32; 3] = [1, 2, 4];
/// How much stronger a pump is tried.
const STRONGER: [f64; 7] = [1.15, 1.3, 1.5, 1.75, 2.0, 3.0, 4.0];
/// How much more a box of given volume holds.
const LARGER: [f64; 6] = [1.25, 1.5, 2.0, 2.5, 3.0, 4.0];
/// How much less a fish tank of given volume holds.
const SMALLER: [f64; 6] = [0.8, 0.65, 0.5, 0.4, 0.3, 0.2];

/// What fails, then each single fact that, changed this much, makes the whole pass by simulation.
pub(super) fn told(facts: &Facts, found: &Draft) -> Vec<String> {
    let system = &found.system;
    let mut told = failing(system, &found.judged);
    if told.is_empty() {
        told.push(format!(
            "the sump holds so little that only {} of the flood that the gravel could take fits in",
            facts.units.percent(found.flooded)
        ));
    }
    let ways: Vec<String> = [ceiling, beds, depth, vessel, pump, stand, less_fish]
        .iter()
        .filter_map(|way| way(facts, system))
        .collect();
    if ways.is_empty() {
        told.push("No single one of the facts, changed, makes it work.".to_owned());
    } else {
        told.push("Any one of these makes it work, each simulated:".to_owned());
        told.extend(ways.into_iter().map(|way| format!("  {way}")));
    }
    told
}

/// What a person sees going wrong.
fn failing(system: &System, judged: &Judged) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for one in judged.failing() {
        let words = match one.id {
            CheckId::Headroom => "the beds do not fit under the ceiling".to_owned(),
            CheckId::PumpCover => "the beds take so much that the pump draws air".to_owned(),
            CheckId::SumpHigh => "the sump cannot take what the beds give back".to_owned(),
            CheckId::Starts => "too little water comes to start the siphons".to_owned(),
            CheckId::Breaks => "the siphons do not stop".to_owned(),
            CheckId::DryLayer => "the gravel does not stay dry at the top".to_owned(),
            CheckId::Turnover => "too little water comes to the fish".to_owned(),
            CheckId::Fall => {
                "the fish tank stands so low that its overflow does not run to the sump".to_owned()
            }
            CheckId::Rim => "a bed spills when its siphon is dead".to_owned(),
            other => format!("{} of {} fails", other.key(), one.subject.name(system)),
        };
        if !told.contains(&words) {
            told.push(words);
        }
    }
    told
}

fn works(facts: &Facts) -> bool {
    best(facts, "a draft", Effort::Quick, &|_| {})
        .ok()
        .flatten()
        .is_some_and(|found| found.works())
}

fn step(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Metric => 0.05,
        UnitSystem::Us => 2.0 * 0.0254,
    }
}

/// The least number of steps that does, between the tried ones halved.
fn least(tried: &[u32], enough: impl Fn(u32) -> bool) -> Option<u32> {
    let mut low = 0;
    let mut high = tried.iter().copied().find(|&n| {
        let does = enough(n);
        if !does {
            low = n;
        }
        does
    })?;
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        if enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

/// The same facts under the lowest ceiling that works.
pub(super) fn higher_ceiling(facts: &Facts) -> Option<Facts> {
    let given = facts.ceiling?;
    let step = step(facts.units);
    let raised = |n: u32| Facts {
        ceiling: Some(given + step * f64::from(n)),
        ..facts.clone()
    };
    Some(raised(least(&RAISES, |n| works(&raised(n)))?))
}

/// What to say of a draft that has another ceiling than the person.
pub(super) fn told_of_ceiling(facts: &Facts, higher: &Facts) -> Vec<String> {
    let said = |facts: &Facts| {
        facts
            .ceiling
            .map_or_else(String::new, |m| long(m, facts.units))
    };
    vec![
        format!("the beds do not fit under a ceiling of {}", said(facts)),
        format!(
            "The least that works is {}, or a lower sump; the file has that ceiling.",
            said(higher)
        ),
    ]
}

fn ceiling(facts: &Facts, _: &System) -> Option<String> {
    let higher = higher_ceiling(facts)?;
    Some(format!(
        "a ceiling of {} or more",
        long(higher.ceiling?, facts.units)
    ))
}

fn beds(facts: &Facts, _: &System) -> Option<String> {
    let given = facts.beds?;
    let fewer = (1..given).rev().find(|&beds| {
        works(&Facts {
            beds: Some(beds),
            ..facts.clone()
        })
    })?;
    let all = counted(fewer, "bed").to_lowercase();
    Some(format!("{all} instead of {given}"))
}

fn depth(facts: &Facts, _: &System) -> Option<String> {
    let [length, width, depth] = facts.bed?;
    let by = 0.5 * step(facts.units);
    let with = |depth: f64| Facts {
        bed: Some([length, width, depth]),
        ..facts.clone()
    };
    if let Some(n) = least(&DEEPER, |n| works(&with(depth + by * f64::from(n)))) {
        let deeper = long(depth + by * f64::from(n), facts.units);
        return Some(format!("beds at least {deeper} deep"));
    }
    let lower = |n: u32| depth - by * f64::from(n);
    let n = least(&DEEPER, |n| lower(n) > 0.12 && works(&with(lower(n))))?;
    Some(format!("beds at most {} deep", long(lower(n), facts.units)))
}

fn vessel(facts: &Facts, system: &System) -> Option<String> {
    let sump = facts.sump.as_ref()?;
    if let SumpFact::Volume(volume) = sump {
        let more = |by: f64| Facts {
            sump: Some(SumpFact::Volume(by * volume)),
            ..facts.clone()
        };
        let by = LARGER.into_iter().find(|&by| works(&more(by)))?;
        return Some(format!("a sump of {}", facts.units.volume(by * volume)));
    }
    let now = facts.vessels?;
    let more = (now + 1..=now + 4).find(|&count| {
        works(&Facts {
            vessels: Some(count),
            ..facts.clone()
        })
    })?;
    let each = system.sump.shape.full_volume();
    Some(format!(
        "{more} such vessels of {} joined for the sump instead of {now}",
        facts.units.volume(each)
    ))
}

fn pump(facts: &Facts, _: &System) -> Option<String> {
    let given = facts.pump?;
    let stronger = |by: f64| match given {
        PumpFact::Box {
            open_flow,
            shut_off_head,
        } => PumpFact::Box {
            open_flow: by * open_flow,
            shut_off_head: by.sqrt() * shut_off_head,
        },
        PumpFact::At { flow, head } => PumpFact::At {
            flow: by * flow,
            head,
        },
        PumpFact::Measured(flow) => PumpFact::Measured(by * flow),
    };
    let with = |by: f64| Facts {
        pump: Some(stronger(by)),
        ..facts.clone()
    };
    let by = STRONGER.into_iter().find(|&by| works(&with(by)))?;
    let units = facts.units;
    Some(match stronger(by) {
        PumpFact::Measured(flow) => format!("{} at the beds", an_hour(flow, units)),
        PumpFact::At { flow, head } => {
            format!(
                "a pump of {} at {}",
                an_hour(flow, units),
                long(head, units)
            )
        }
        PumpFact::Box {
            open_flow,
            shut_off_head,
        } => format!(
            "a pump of {} that lifts {}",
            an_hour(open_flow, units),
            long(shut_off_head, units)
        ),
    })
}

/// The fish tank higher up.
fn stand(facts: &Facts, _: &System) -> Option<String> {
    let tank = facts.tank.as_ref()?;
    let given = tank.stand?;
    let by = step(facts.units);
    let raised = |n: u32| given + by * f64::from(n);
    let n = least(&RAISES, |n| {
        works(&Facts {
            tank: Some(TankFact {
                stand: Some(raised(n)),
                ..tank.clone()
            }),
            ..facts.clone()
        })
    })?;
    let height = long(raised(n), facts.units);
    Some(format!("the fish tank's bottom {height} up, or higher"))
}

/// A smaller fish tank, or none.
fn less_fish(facts: &Facts, _: &System) -> Option<String> {
    let tank = facts.tank.as_ref()?;
    let with = |tank: Option<TankFact>| Facts {
        tank,
        ..facts.clone()
    };
    if let SumpFact::Volume(volume) = tank.vessel {
        let less = |by: f64| TankFact {
            vessel: SumpFact::Volume(by * volume),
            ..tank.clone()
        };
        let by = SMALLER.into_iter().find(|&by| works(&with(Some(less(by)))));
        if let Some(by) = by {
            return Some(format!(
                "a fish tank of {}",
                facts.units.volume(by * volume)
            ));
        }
    }
    works(&with(None)).then(|| "no fish tank".to_owned())
}
