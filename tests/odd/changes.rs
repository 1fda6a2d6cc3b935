//! Every change of every system: what is written into the text and read again is what is
//! applied, and undoing gives the text back.

use crate::file::scenario;
use crate::throws;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pipe_sizes::PIPE_SIZES;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    AirTube, BedPart, Branch, BranchPart, Change, Outlet, PumpSource, Quantity, System, Valve,
    Vessel,
};
use ebbwright::scenario::{
    Keep, Scenario, WriteError, parse, starter, starter_us, touched, written,
};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Random systems looked at.
const SYSTEMS: usize = 24;
/// Numbers changed in each.
const NUMBERS: usize = 30;

/// Two numbers of a text and of what was meant: twelve figures are written, and heights and
/// the slopes of a pump's curve are differences of them.
fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) || (a - b).abs() <= 1e-13
}

/// Where two systems differ, field by field: numbers by more than rounding, all else at all.
fn difference(a: &System, b: &System) -> Option<String> {
    let (a, b) = (format!("{a:?}"), format!("{b:?}"));
    let tokens = |text: &str| -> Vec<String> {
        let split = |c: char| c.is_whitespace() || "(){}[],".contains(c);
        text.split(split).map(str::to_owned).collect()
    };
    let (a, b) = (tokens(&a), tokens(&b));
    let same = |a: &String, b: &String| match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => close(a, b),
        _ => a == b,
    };
    if a.len() != b.len() {
        return Some(format!("{} and {} words", a.len(), b.len()));
    }
    let at = a.iter().zip(&b).position(|(a, b)| !same(a, b))?;
    let from = at.saturating_sub(8);
    Some(format!(
        "{} .. and .. {}",
        a[from..=at].join(" "),
        b[from..=at].join(" ")
    ))
}

/// Some other value for each of a few numbers.
fn numbers(system: &System, throw: &[f64]) -> Vec<Change> {
    let all = Quantity::all(system);
    let pick = |k: usize| all[(throw[k] * all.len() as f64) as usize % all.len()];
    (0..NUMBERS.min(throw.len() - 1))
        .map(|k| {
            let what = pick(k);
            let now = what.value(system).unwrap_or_default();
            let by = 0.9 + 0.2 * throw[k + 1];
            let to = match what {
                Quantity::Bed(_, BedPart::SlotCount) => now + 1.0,
                Quantity::Branch(_, BranchPart::Opening) => throw[k + 1],
                _ => now * by,
            };
            Change::set(what, to)
        })
        .collect()
}

fn shapes(depth: f64) -> Vec<VesselShape> {
    vec![
        VesselShape::Box {
            length: 1.31,
            width: 0.93,
            depth,
        },
        VesselShape::UprightCylinder {
            diameter: 1.1,
            depth: 1.05 * depth,
        },
        VesselShape::LyingCylinder {
            diameter: 1.1 * depth,
            length: 2.1,
        },
        VesselShape::Tapered {
            top_length: 1.3,
            top_width: 1.2,
            bottom_length: 1.1,
            bottom_width: 1.0,
            depth,
        },
        VesselShape::Table {
            depth: vec![0.0, 0.5 * depth, depth],
            area: vec![0.9, 1.1, 1.3],
        },
    ]
}

fn branch(level: f64) -> Branch {
    Branch {
        level,
        run: PipeRun {
            bore: 0.013,
            length: 0.7,
            roughness: 1.5e-6,
            k: 1.3,
        },
        valve: Some(Valve {
            kind: ValveKind::Gate,
            opening: 0.4,
        }),
        anti_siphon_hole: None,
    }
}

/// One of everything else.
fn composites(system: &System, by: f64) -> Vec<Change> {
    let mut all = vec![
        Change::RaiseAll { by: by / 10.0 },
        Change::RaiseAll { by: -by / 50.0 },
        Change::FitBypass(branch(1.07)),
        Change::CheckValve(!system.pump.check_valve),
        Change::SealEntries(!system.sump.sealed_entries),
        Change::Join {
            count: system.sump.count + 1,
        },
        Change::Join { count: 1 },
        Change::Vent(false),
        Change::PumpSpeed(0.9 + by / 5.0),
        Change::Pump(PumpSource::Steady(3.1e-4)),
        Change::Pump(PumpSource::Curve(
            PumpCurve::from_box_figures(3.3, 9.1e-4).unwrap(),
        )),
        Change::Pump(PumpSource::Curve(
            PumpCurve::from_points(&[(0.0, 4.1), (3e-4, 3.3), (7e-4, 1.2)]).unwrap(),
        )),
    ];
    all.extend((0..system.incidents.len()).map(Change::ClearIncident));
    let beds = 0..system.beds.len();
    let vessels = [Vessel::Sump, Vessel::Tank, Vessel::Settler].into_iter();
    for vessel in vessels.chain(beds.clone().map(Vessel::Bed)) {
        let Some(now) = system.shape_of(vessel) else {
            continue;
        };
        all.push(Change::Tip(vessel));
        all.push(Change::Stretch {
            vessel,
            area: (1.0 + by / 5.0) * now.mean_area(),
        });
        let other = |shape| Change::Replace { vessel, shape };
        all.extend(shapes(1.02 * now.depth()).into_iter().map(other));
    }
    let outlets = beds.clone().map(Outlet::Bed);
    let valves: Vec<Outlet> = outlets
        .chain([Outlet::Tank, Outlet::Bypass])
        .filter(|one| system.branch_to(*one).is_some())
        .collect();
    for outlet in &valves {
        all.push(Change::FitValve {
            outlet: *outlet,
            kind: ValveKind::Gate,
            opening: 0.3 + by / 3.0,
        });
        let level = system.branch_to(*outlet).map_or(0.0, |branch| branch.level);
        if *outlet != Outlet::Bypass {
            all.push(Change::drill_hole(*outlet, level - 0.011));
        }
    }
    let fitted = |outlet: &Outlet| {
        let branch = system.branch_to(*outlet);
        branch.is_some_and(|branch| branch.valve.is_some())
    };
    all.push(Change::Valves(
        valves
            .into_iter()
            .filter(fitted)
            .map(|one| (one, 0.37))
            .collect(),
    ));
    for bed in beds {
        let of = |part| Quantity::Bed(bed, part).value(system).unwrap_or_default();
        all.push(Change::RaiseBed { bed, by: by / 20.0 });
        all.push(Change::RaiseBed {
            bed,
            by: -by / 50.0,
        });
        all.push(Change::clean_gravel(bed));
        all.push(Change::AirTube { bed, tube: None });
        let mouth = of(BedPart::SlotHeight) + 0.005;
        let siphon = &system.beds[bed].siphon;
        all.push(Change::AirTube {
            bed,
            tube: Some(AirTube {
                bore: 0.0061,
                mouth_height: mouth,
            }),
        });
        all.push(Change::Inflow {
            bed,
            to: (1.0 + by) * 5e-5,
        });
        let near = PIPE_SIZES.iter().filter(|size| {
            let ratio = size.bore / siphon.standpipe.bore;
            (0.6..1.5).contains(&ratio)
        });
        for size in near.take(4) {
            all.push(Change::PipeSize {
                bed,
                bore: size.bore,
                outside: size.outside,
            });
        }
        all.push(Change::BellSize {
            bed,
            bore: 1.1 * of(BedPart::BellBore),
            outside: 1.1 * of(BedPart::BellOutside),
        });
    }
    all
}

fn kind(change: &Change) -> String {
    let all = format!("{change:?}");
    let end = all.find([' ', '(', '{']).unwrap_or(all.len());
    all[..end].to_owned()
}

/// What became of one change.
enum Tried {
    /// It cannot be built, or not be said within the ranges of the keys.
    No,
    Yes,
    Wrong(String),
}

fn tried(scenario: &Scenario, change: &Change) -> Tried {
    let (text, system) = (scenario.text(), &scenario.system);
    let one = std::slice::from_ref(change);
    let Ok(applied) = change.apply(system) else {
        return Tried::No;
    };
    let after = match written(scenario, one, &[]) {
        Ok(after) => after,
        // A value beyond the range of its key, a bypass without a supply.
        Err(WriteError::Scenario(_)) => return Tried::No,
        Err(error) => return Tried::Wrong(error.to_string()),
    };
    if let Some(what) = difference(&after.system, &applied) {
        return Tried::Wrong(format!("{what}\n{}", after.text));
    }
    let back = after.undo.apply(&after.text);
    if back != text {
        return Tried::Wrong("undoing gives another text".to_owned());
    }
    if difference(&parse(&back, "odd.toml").unwrap().system, system).is_some() {
        return Tried::Wrong("undoing gives another system".to_owned());
    }
    for edit in after.edits.iter().take(1) {
        let kept = std::slice::from_ref(edit.path());
        if !matches!(written(scenario, one, kept), Err(WriteError::Edit(_))) {
            return Tried::Wrong(format!("{} is kept and changes", edit.path()));
        }
    }
    let keys = touched(one, system).unwrap();
    let keep = Keep::new(&keys[..keys.len().min(1)], system);
    if keys.is_empty() != after.edits.is_empty()
        || (!keys.is_empty() && keep.forbids(one, system).unwrap().is_none())
    {
        return Tried::Wrong(format!("it touches {keys:?}"));
    }
    Tried::Yes
}

fn shipped() -> Vec<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    let mut texts: Vec<String> = files
        .iter()
        .map(|path| std::fs::read_to_string(path).unwrap())
        .collect();
    texts.extend([starter().to_owned(), starter_us().to_owned()]);
    texts
}

/// How many of each kind were written, and what went wrong.
fn outcome(text: &str, throw: &[f64]) -> (BTreeMap<String, usize>, Vec<String>) {
    let mut scenario = parse(text, "odd.toml").unwrap();
    scenario.keep.clear();
    let mut changes = numbers(&scenario.system, throw);
    changes.extend(composites(&scenario.system, throw[0]));
    let (mut counts, mut wrong) = (BTreeMap::new(), Vec::new());
    for change in changes {
        match tried(&scenario, &change) {
            Tried::No => {}
            Tried::Yes => *counts.entry(kind(&change)).or_default() += 1,
            Tried::Wrong(what) => wrong.push(format!("{change:?}: {what}")),
        }
    }
    (counts, wrong)
}

#[test]
fn a_change_that_is_written_and_read_is_the_change_that_is_applied() {
    let throws = throws(SYSTEMS);
    let odd = throws.iter().map(|throw| scenario(throw));
    let texts: Vec<String> = shipped().into_iter().chain(odd).collect();
    let looked: Vec<_> = texts
        .par_iter()
        .enumerate()
        .map(|(i, text)| outcome(text, &throws[i % SYSTEMS]))
        .collect();
    let wrong: Vec<&String> = looked.iter().flat_map(|(_, wrong)| wrong).collect();
    let firsts = wrong.iter().take(30).filter_map(|one| one.lines().next());
    let shown: Vec<&str> = firsts
        .chain(wrong.first().map(|one| one.as_str()))
        .collect();
    assert!(
        wrong.is_empty(),
        "{} wrong\n{}",
        wrong.len(),
        shown.join("\n")
    );
    let mut counts = BTreeMap::<&str, usize>::new();
    for (kind, count) in looked.iter().flat_map(|(counts, _)| counts) {
        *counts.entry(kind).or_default() += count;
    }
    println!("{counts:?}");
    let kinds = [
        "Set",
        "RaiseAll",
        "RaiseBed",
        "Replace",
        "Tip",
        "Join",
        "Stretch",
        "Valves",
        "PipeSize",
        "BellSize",
        "AirTube",
        "FitValve",
        "FitBypass",
        "CheckValve",
        "SealEntries",
        "Vent",
        "ClearIncident",
        "Pump",
        "PumpSpeed",
        "Inflow",
    ];
    for kind in kinds {
        assert!(
            counts.get(kind).is_some_and(|n| *n > 2),
            "{kind}: {counts:?}"
        );
    }
}
