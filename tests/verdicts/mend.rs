//! Does to a system what a fix says, and reads amounts from words.

use ebbwright::assessment::{Aim, Fix};
use ebbwright::model::*;
use ebbwright::units::parse::parse;
use ebbwright::units::table::Quantity as Measured;

/// The quantity that follows `marker` in `text`.
pub fn amount(text: &str, marker: &str, quantity: Measured) -> f64 {
    let at = text
        .find(marker)
        .unwrap_or_else(|| panic!("no '{marker}' in '{text}'"));
    let words: Vec<&str> = text[at + marker.len()..]
        .split_whitespace()
        .take(3)
        .collect();
    (1..=words.len())
        .rev()
        .find_map(|n| {
            let phrase = words[..n].join(" ");
            parse(phrase.trim_end_matches(['.', ',', ':', ')', ';']), quantity).ok()
        })
        .unwrap_or_else(|| panic!("no {quantity:?} after '{marker}' in '{text}'"))
}

/// Does all of `fix` to `system`.
pub fn mend(system: &mut System, fix: &Fix) {
    assert!(!fix.changes.is_empty(), "nothing to do in: {fix:?}");
    for change in &fix.changes {
        change
            .apply_to(system)
            .unwrap_or_else(|why| panic!("{change:?}: {why:?}"));
    }
}

/// Whether a change gives `what` another value on the side asked for.
fn sets(system: &System, fix: &Fix, which: impl Fn(Quantity) -> bool, side: f64) -> bool {
    fix.changes.iter().any(|change| match change {
        Change::Set { what, to } if which(*what) => {
            let now = what.value(system);
            side == 0.0 || now.is_some_and(|now| (to - now) * side > 0.0)
        }
        _ => false,
    })
}

/// Whether `fix` of `system` is of the kind that a builder would call so.
pub fn does(system: &System, fix: &Fix, words: &str) -> bool {
    let bed = |part: BedPart| move |what| matches!(what, Quantity::Bed(_, own) if own == part);
    let is = |wanted: Quantity| move |what| what == wanted;
    let set = |which: &dyn Fn(Quantity) -> bool, side| sets(system, fix, which, side);
    let start = |vessel| Quantity::Level(vessel, Level::Start);
    match words {
        "cut the standpipe" => set(&bed(BedPart::StandpipeLength), -1.0),
        "cut every standpipe" => {
            let cuts = fix.changes.iter();
            let cut = |change: &&Change| {
                matches!(
                    change,
                    Change::Set {
                        what: Quantity::Bed(_, BedPart::StandpipeLength),
                        ..
                    }
                )
            };
            cuts.filter(cut).count() == system.beds.len()
        }
        "longer" => set(&bed(BedPart::StandpipeLength), 1.0),
        "lower the outlet" => set(&bed(BedPart::Outlet), -1.0),
        "raise the outlet" => set(&bed(BedPart::Outlet), 1.0),
        "widen the slots" => set(&bed(BedPart::SlotWidth), 1.0),
        "seal the bell" => set(&bed(BedPart::AirLeak), -1.0),
        "of gravel to" => set(&bed(BedPart::MediaDepth), 1.0),
        "begin with the water" => set(
            &|what| matches!(what, Quantity::Level(Vessel::Bed(_), Level::Start)),
            -1.0,
        ),
        "fill the sump" => set(&is(start(Vessel::Sump)), 0.0),
        "fill the sump only" => set(&is(start(Vessel::Sump)), -1.0),
        "fill the fish tank to" => set(&is(start(Vessel::Tank)), 1.0),
        "raise the overflow of the fish tank" => {
            set(&is(Quantity::Level(Vessel::Tank, Level::Overflow)), 1.0)
        }
        "drill an anti-siphon hole" => {
            set(&is(Quantity::Branch(Outlet::Tank, BranchPart::Hole)), 0.0)
        }
        "lower the pump's intake" => set(&is(Quantity::Pump(PumpPart::Intake)), -1.0),
        "raise the pump's intake by" => set(&is(Quantity::Pump(PumpPart::Intake)), 1.0),
        "use a drain line" | "drain line" => {
            set(&is(Quantity::Pipe(Pipe::DrainLine, PipePart::Bore)), 1.0)
        }
        "slope of" | "upper end" => set(&is(Quantity::LineSlope), 1.0),
        "raise the drain line" => set(&is(Quantity::LineOutlet), 1.0),
        "with its siphon and outlet" => fix
            .changes
            .iter()
            .any(|change| matches!(change, Change::RaiseBed { by, .. } if *by < 0.0)),
        "ball valve from" | "open its ball valve from 0 %" => set(&of_bed_valve, 1.0),
        "close its ball valve" => set(&of_bed_valve, -1.0),
        "bypass valve from" => set(
            &is(Quantity::Branch(Outlet::Bypass, BranchPart::Opening)),
            -1.0,
        ),
        "set its share to" => set(&bed(BedPart::Share), 1.0),
        "a pump flow of" => set(&is(Quantity::Pump(PumpPart::SteadyFlow)), 1.0),
        "seal the pipes" => fix.changes.contains(&Change::SealEntries(true)),
        "raise the inflow" => matches!(fix.aim, Some(Aim::InflowAtLeast { .. })),
        "throttle" => matches!(fix.aim, Some(Aim::InflowAtMost { .. })),
        other => panic!("no kind of fix is called {other}"),
    }
}

fn of_bed_valve(what: Quantity) -> bool {
    matches!(what, Quantity::Branch(Outlet::Bed(_), BranchPart::Opening))
}
