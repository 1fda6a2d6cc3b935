//! Levers that widen a window.

use crate::support::one_bed;
use ebbwright::assessment::assess;
use ebbwright::hydraulics::pipe_sizes::Schedule;
use ebbwright::model::{AirTube, Bed, DrainLosses, System};
use ebbwright::scenario;
use ebbwright::simulation::{Sampling, SharedTables, simulate};
use ebbwright::siphon::InflowWindow;
use ebbwright::study::mend::Judged;
use ebbwright::study::widen::{
    Effect, Hindrance, Levers, Opening, Step, certain_width, levers, nominal_width,
};
use ebbwright::units::UnitSystem;

fn levers_of(system: &System) -> Levers {
    let run = simulate(system, Sampling::None).unwrap();
    levers(system, &run, 0, UnitSystem::Metric)
}

/// The window of the bed alone, its outlet `tail` under it or at it.
fn window(system: &System, bed: &Bed) -> InflowWindow {
    // One bed: at its break the sump stands where it started.
    let tail = bed.siphon.drain.outlet.max(system.sump.start_level);
    InflowWindow::new(bed, &system.water, &system.coefficients, tail)
}

fn lowered(bed: &Bed, by: f64) -> Bed {
    let mut changed = bed.clone();
    changed.siphon.drain.outlet -= by;
    let DrainLosses::Computed { length, .. } = &mut changed.siphon.drain.losses else {
        panic!()
    };
    *length += by;
    changed
}

fn effect(found: &Levers, wanted: impl Fn(Step) -> bool) -> &Effect {
    let lever = found
        .levers
        .iter()
        .find(|lever| wanted(lever.step))
        .unwrap();
    lever.effect.as_ref().unwrap()
}

/// Each step put on the bed by hand gives the window the lever promises.
#[test]
fn every_lever_does_what_building_it_does() {
    let system = one_bed(9.0, 0.45);
    let found = levers_of(&system);
    let bed = &system.beds[0];
    let before = window(&system, bed);
    let by_hand: [(&str, Bed); 6] = [
        ("drop", lowered(bed, 0.1)),
        ("up", {
            // 40 mm PN16: 40 mm outside, 3.0 mm wall.
            let mut bed = bed.clone();
            let pipe = &mut bed.siphon.standpipe;
            (pipe.bore, pipe.outside, pipe.lip_diameter) = (0.034, 0.040, 0.034);
            bed
        }),
        ("down", {
            // 25 mm PN16: 1.9 mm wall.
            let mut bed = bed.clone();
            let pipe = &mut bed.siphon.standpipe;
            (pipe.bore, pipe.outside, pipe.lip_diameter) = (0.0212, 0.025, 0.0212);
            bed
        }),
        ("flare", {
            let mut bed = bed.clone();
            bed.siphon.standpipe.lip_diameter = 1.5 * 0.0266;
            bed
        }),
        ("slots", {
            let mut bed = bed.clone();
            bed.siphon.bell.slots.width = 0.018;
            bed
        }),
        ("tube", {
            let mut bed = bed.clone();
            let mouth_height = bed.siphon.bell.slots.height + 0.015;
            bed.siphon.bell.air_tube = Some(AirTube {
                bore: 0.004,
                mouth_height,
            });
            bed
        }),
    ];
    for (name, changed) in by_hand {
        let is_it = |step: Step| match (name, step) {
            ("drop", Step::LowerOutlet(by)) => (by - 0.1).abs() < 1e-12,
            ("up", Step::WiderPipe(Some(size))) => {
                size.nominal == "40" && size.schedule == Schedule::Pn16
            }
            ("down", Step::NarrowerPipe(Some(size))) => size.nominal == "25",
            ("flare", Step::Flare(diameter)) => (diameter - 0.0399).abs() < 1e-12,
            ("slots", Step::WiderSlots(width)) => (width - 0.018).abs() < 1e-12,
            ("tube", Step::AirTube { bore, .. }) => bore == 0.004,
            _ => false,
        };
        let promised = effect(&found, is_it);
        let built = window(&system, &changed);
        for (a, b) in [
            (promised.window.start, built.start),
            (promised.window.run_on, built.run_on),
            (promised.window.stall, built.stall),
        ] {
            for (a, b) in [(a.low, b.low), (a.nominal, b.nominal), (a.high, b.high)] {
                assert!((a / b - 1.0).abs() < 1e-6, "{name}: {a} for {b}");
            }
        }
        let gained = certain_width(&built) - certain_width(&before);
        assert!((promised.certain - gained).abs() < 1e-9, "{name}");
        let gained = nominal_width(&built) - nominal_width(&before);
        assert!((promised.nominal - gained).abs() < 1e-9, "{name}");
    }
}

#[test]
fn what_widens_most_comes_first() {
    let found = levers_of(&one_bed(9.0, 0.45));
    let widths: Vec<f64> = found
        .levers
        .iter()
        .filter_map(|lever| lever.effect.as_ref().ok())
        .map(|effect| certain_width(&effect.window))
        .collect();
    assert_eq!(widths.len(), 6);
    assert!(
        widths.windows(2).all(|pair| pair[0] >= pair[1]),
        "{widths:?}"
    );
    // More drop below the bed widens a free siphon more than anything else here.
    assert!(matches!(found.levers[0].step, Step::LowerOutlet(_)));
    assert_eq!(found.openings, []);
}

#[test]
fn a_flare_changes_the_level_and_no_flow() {
    let found = levers_of(&one_bed(9.0, 0.45));
    let flare = effect(&found, |step| matches!(step, Step::Flare(_)));
    assert_eq!(
        (flare.certain, flare.nominal, flare.break_level),
        (0.0, 0.0, 0.0)
    );
    assert!(flare.start_head < -0.001, "{}", flare.start_head);
}

/// The amounts that open a certain window do, and one step less does not.
#[test]
fn the_amount_that_opens_a_certain_window_is_the_least() {
    let system = one_bed(9.0, 0.14);
    let bed = &system.beds[0];
    assert!(certain_width(&window(&system, bed)) < 0.0);
    let found = levers_of(&system);
    let opens = |bed: Bed| certain_width(&window(&system, &bed)) > 0.0;
    let with_bore = |bore: f64| {
        let mut bed = bed.clone();
        let pipe = &mut bed.siphon.standpipe;
        (pipe.outside, pipe.lip_diameter) = (bore + 0.0068, bore);
        pipe.bore = bore;
        bed
    };
    let mut seen = 0;
    for opening in &found.openings {
        match *opening {
            Opening::LowerOutlet(by) => {
                assert!(
                    opens(lowered(bed, by)) && !opens(lowered(bed, by - 0.001)),
                    "{by}"
                );
            }
            Opening::Bore(bore) => {
                assert!(
                    opens(with_bore(bore)) && !opens(with_bore(bore + 1e-4)),
                    "{bore}"
                );
            }
            Opening::SlotWidth(width) => panic!("slots alone do not open it: {width}"),
        }
        seen += 1;
    }
    // A narrower bore does not: its leg is sure to carry air from 0.29 m/s, and swallows it
    // for good from 0.23 m/s where the drop is small.
    assert_eq!(seen, 1);
}

#[test]
fn what_cannot_be_done_says_why() {
    // Outlet 5 mm over the sump's water: no room for more drop.
    let mut system = one_bed(9.0, 0.595);
    let bell = &mut system.beds[0].siphon.bell;
    bell.air_tube = Some(AirTube {
        bore: 0.006,
        mouth_height: 0.04,
    });
    let roomy = levers_of(&system);
    // A bell that just goes over the standpipe takes neither flare nor wider pipe,
    // and slots that fill its girth cannot be wider.
    let bell = &mut system.beds[0].siphon.bell;
    (bell.bore, bell.outside, bell.slots.width) = (0.036, 0.040, 0.018);
    let tight = levers_of(&system);
    let why_of = |found: &Levers, wanted: fn(Step) -> bool| {
        let lever = found
            .levers
            .iter()
            .find(|lever| wanted(lever.step))
            .unwrap();
        lever.effect.as_ref().err().cloned()
    };
    assert_eq!(
        why_of(&roomy, |step| matches!(step, Step::LowerOutlet(_))),
        Some(Hindrance::NoRoom)
    );
    assert_eq!(
        why_of(&roomy, |step| matches!(step, Step::AirTube { .. })),
        Some(Hindrance::ThereAlready)
    );
    for wanted in [
        (|step| matches!(step, Step::Flare(_))) as fn(Step) -> bool,
        |step| matches!(step, Step::WiderPipe(_)),
        |step| matches!(step, Step::WiderSlots(_)),
    ] {
        assert!(matches!(
            why_of(&tight, wanted),
            Some(Hindrance::Unbuildable(_))
        ));
    }
    // One measured number for all losses says nothing about other pipes or slots.
    let mut measured = one_bed(9.0, 0.45);
    measured.beds[0].siphon.drain.losses = DrainLosses::Total { k: 3.0 };
    let found = levers_of(&measured);
    let refused = found
        .levers
        .iter()
        .filter(|lever| matches!(lever.effect, Err(Hindrance::MeasuredTotal)))
        .count();
    assert_eq!(refused, 3);
}

/// Levers are told over some cycles; over the whole day their verdicts are the same.
#[test]
fn what_a_lever_does_to_the_whole_shows_in_the_time_it_is_tried() {
    let mut tried = 0;
    for name in ["us-units-with-fractions", "four-beds-metric"] {
        let text = std::fs::read_to_string(format!("scenarios/{name}.toml")).unwrap();
        let system = scenario::parse(&text, name).unwrap().system;
        let run = simulate(&system, Sampling::None).unwrap();
        let today = assess(&system, &run).verdict;
        let tables = SharedTables::default();
        for i in 0..system.beds.len().min(2) {
            let mut found = levers(&system, &run, i, UnitSystem::Metric);
            found.tried(&system, i, (&run, today), &tables);
            for lever in found.levers.iter().filter(|lever| lever.effect.is_ok()) {
                let changed = lever
                    .step
                    .change(&system, i)
                    .unwrap()
                    .apply(&system)
                    .unwrap();
                let whole = Judged::new(&changed).unwrap().verdict();
                assert_eq!(lever.whole, Some(whole), "{name} {i} {:?}", lever.step);
                tried += 1;
            }
        }
    }
    assert!(tried > 15, "{tried}");
}
