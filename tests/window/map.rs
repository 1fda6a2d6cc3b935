//! Maps of regimes.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::answer::map_series;
use ebbwright::assessment::assess;
use ebbwright::model::{DrainTarget, Duration, Guard, Inlet, Misfit, PumpSource, System};
use ebbwright::plots::draw_map;
use ebbwright::simulation::{Regime, Sampling, simulate, simulate_with};
use ebbwright::study::map::Question;
use ebbwright::study::map::quantity::MapQuantity;
use ebbwright::study::map::range::usual_axis;
use ebbwright::study::map::{
    Corner, Doubt, MapAxis, MapError, MapPlan, MapPoint, RegimeMap, Simulated, lasting_regime,
};
use ebbwright::study::window::{BedWindow, windows};
use ebbwright::units::UnitSystem;

fn windows_of(system: &System) -> Vec<BedWindow> {
    let run = simulate(system, Sampling::None).unwrap();
    windows(system, &run, &assess(system, &run)).beds
}

fn axis(quantity: MapQuantity, from: f64, to: f64) -> MapAxis {
    MapAxis { quantity, from, to }
}

fn inflow(from: f64, to: f64) -> MapAxis {
    axis(
        MapQuantity::Inflow,
        from * LITRE_PER_MINUTE,
        to * LITRE_PER_MINUTE,
    )
}

fn plan(system: &System, x: MapAxis, y: MapAxis, points: usize) -> MapPlan {
    MapPlan::new(system, &windows_of(system)[0], 0, (x, y), points).unwrap()
}

fn default_map(points: usize) -> RegimeMap {
    let bore = axis(MapQuantity::Bore, 0.016, 0.040);
    plan(&one_bed(9.0, 0.5), inflow(2.0, 60.0), bore, points).simulate(&|| {})
}

fn regimes(point: &MapPoint) -> [Regime; 3] {
    match point {
        MapPoint::Simulated(found) => found.regimes,
        other => panic!("{other:?}"),
    }
}

/// Every point is what a run of the bed built by hand gives.
#[test]
fn a_map_is_its_point_runs() {
    let map = default_map(9);
    let mut seen = std::collections::BTreeSet::new();
    for row in 0..9 {
        for column in 0..9 {
            // Inflow 2 to 60 L/min, bore 16 to 40 mm, both ends included.
            let flow = (2.0 + 58.0 * column as f64 / 8.0) * LITRE_PER_MINUTE;
            let bore = 0.016 + 0.024 * row as f64 / 8.0;
            let mut system = one_bed(9.0, 0.5);
            system.pump.source = PumpSource::Steady(flow);
            system.beds[0].inlet = Inlet::Measured(flow);
            let pipe = &mut system.beds[0].siphon.standpipe;
            pipe.outside += bore - pipe.bore;
            pipe.lip_diameter = bore;
            pipe.bore = bore;
            let wanted = Corner::ALL.map(|corner| {
                let values = corner.values(&system.coefficients);
                lasting_regime(&simulate_with(&system, &values, Sampling::None).unwrap(), 0)
            });
            assert_eq!(regimes(map.cell(column, row)), wanted, "{column}, {row}");
            seen.extend(wanted.map(|regime| format!("{regime:?}")));
        }
    }
    let named: Vec<&str> = seen.iter().map(String::as_str).collect();
    assert_eq!(
        named,
        ["Cycles", "Dribbles", "Overflows", "RunsOn", "Stalls"]
    );
}

/// Over a sump that would run dry while a bed stands full the map still shows the siphon,
/// not the pump drawing air by turns: more inflow never brings back what lies behind.
#[test]
fn a_small_sump_leaves_no_islands_on_a_map() {
    let mut system = one_bed(9.0, 0.5);
    let sump = &mut system.sump;
    (sump.start_level, sump.overflow_level) = (0.20, 0.58);
    sump.shape = ebbwright::hydraulics::vessel::VesselShape::LyingCylinder {
        diameter: 0.6,
        length: 0.7,
    };
    let n = 25;
    let bore = axis(MapQuantity::Bore, 0.013, 0.034);
    let map = plan(&system, inflow(2.0, 40.0), bore, n).simulate(&|| {});
    let order = [
        Regime::Dribbles,
        Regime::Cycles,
        Regime::RunsOn,
        Regime::Stalls,
        Regime::Overflows,
    ];
    let mut seen = std::collections::BTreeSet::new();
    for row in 0..n {
        let places: Vec<usize> = (0..n)
            .map(|column| {
                let regime = regimes(map.cell(column, row))[0];
                order.iter().position(|one| *one == regime).unwrap()
            })
            .collect();
        assert!(places.is_sorted(), "row {row}: {places:?}");
        seen.extend(places);
    }
    assert!(seen.len() >= 4, "{seen:?}");
}

/// Pipe Froude number at the start, not squared: `Q = Fs (pi/4) D^2 sqrt(g D)` with
/// Fs 0.30, 0.45 and 0.60 (self-venting limit of Hills 1983 and Simpson 1968 to
/// EN 12056-3 outlets, from memory), worked here by hand.
#[test]
fn the_start_lines_of_a_map_are_those_of_the_formula() {
    let n = 25;
    let bore = axis(MapQuantity::Bore, 0.018, 0.034);
    let map = plan(&one_bed(9.0, 0.6), inflow(2.0, 26.0), bore, n).simulate(&|| {});
    let cell = 24.0 / 24.0 * LITRE_PER_MINUTE;
    let mut checked = 0;
    for row in 0..n {
        let d = 0.018 + 0.016 * row as f64 / 24.0;
        let per_froude = std::f64::consts::FRAC_PI_4 * d * d * (9.80665 * d).sqrt();
        let ask = |question: Question| {
            let at = Question::ALL.iter().position(|&q| q == question).unwrap();
            let answer = |column: usize| question.answer(map.cell(column, row)) == Some(true);
            (
                &map.edges.ends[at],
                (0..n - 1).find(|&c| answer(c) != answer(c + 1)),
            )
        };
        let nominal = |column: usize| regimes(map.cell(column, row))[0] == Regime::Dribbles;
        let middle = (
            &map.edges.nominal,
            (0..n - 1).find(|&c| nominal(c) != nominal(c + 1)),
        );
        for (froude, (edges, column)) in [
            (0.30, ask(Question::MayStart)),
            (0.45, middle),
            // In narrow bores the sealed leg asks for more: 0.29 m/s.
            (
                0.60_f64.max(0.29 / (9.80665 * d).sqrt()),
                ask(Question::StartsForCertain),
            ),
        ] {
            let wanted = froude * per_froude;
            let Some(column) = column else {
                assert!(!(2.0 * LITRE_PER_MINUTE..=26.0 * LITRE_PER_MINUTE).contains(&wanted));
                continue;
            };
            let found = map.plan.x.value(column, n) + edges.across(column, row) * cell;
            // Found to a sixteenth of the way between two points.
            assert!(
                (found - wanted).abs() < cell / 16.0,
                "{froude}, {row}: {found} for {wanted}"
            );
            checked += 1;
        }
    }
    assert!(checked > 60, "{checked}");
}

#[test]
fn a_map_is_the_same_on_one_thread_and_on_two() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| default_map(14))
    };
    let (one, two) = (on(1), on(2));
    assert_eq!(one.cells, two.cells);
    assert_eq!(one.edges, two.edges);
    let text = |map| map_series(map).csv().to_string();
    assert_eq!(text(&one), text(&two));
    let draw = |map: &RegimeMap| draw_map(map, "invented", UnitSystem::Metric).unwrap();
    assert_eq!(draw(&one), draw(&two));
}

#[test]
fn every_simulation_is_counted_and_none_is_taken_for_what_is_foretold() {
    use std::sync::atomic::{AtomicUsize, Ordering};
    let count = AtomicUsize::new(0);
    let bore = axis(MapQuantity::Bore, 0.02, 0.03);
    let plan = plan(&one_bed(9.0, 0.5), inflow(6.0, 12.0), bore, 5);
    let map = plan.simulate(&|| {
        count.fetch_add(1, Ordering::Relaxed);
    });
    // Three corners, each over its own squares: what lies off its edges is not simulated.
    let points = count.into_inner();
    assert!(
        (25..75).contains(&points) && map.cells.len() == 25,
        "{points}"
    );
    // Looking for the edges takes time too, and is counted on its own: two looks where the closed
    // form is right, four more where it is not.
    let answers = |k: usize| {
        let cell = &map.cells[k];
        let nominal = Some(regimes(cell)[0]);
        (nominal, Question::ALL.map(|question| question.answer(cell)))
    };
    let differ = |a: usize, b: usize| {
        let (one, other) = (answers(a), answers(b));
        let ends = one.1.iter().zip(other.1).filter(|(a, b)| **a != *b).count();
        ends + usize::from(one.0 != other.0)
    };
    let across = (0..25).filter(|k| k % 5 < 4).map(|k| differ(k, k + 1));
    let up = (0..20).map(|k| differ(k, k + 5));
    let edges: usize = across.chain(up).sum();
    let looks = AtomicUsize::new(0);
    let _ = map.plan.clone().with_edges(map.cells, &|| {
        looks.fetch_add(1, Ordering::Relaxed);
    });
    let looks = looks.into_inner();
    assert!(
        edges > 8 && looks >= edges && looks < 3 * edges,
        "{looks} {edges}"
    );
}

#[test]
fn every_quantity_is_built_as_asked_and_has_a_usual_range_round_today() {
    let system = one_bed(9.0, 0.5);
    let window = &windows_of(&system)[0];
    for quantity in MapQuantity::ALL {
        let axis = usual_axis(quantity, &system, 0, window).unwrap();
        let today = quantity.value(&system, 0).unwrap();
        assert!(
            axis.from <= today && today <= axis.to,
            "{quantity:?}: {axis:?} without {today}"
        );
        let other = if quantity == MapQuantity::Void {
            usual_axis(MapQuantity::Temperature, &system, 0, window).unwrap()
        } else {
            usual_axis(MapQuantity::Void, &system, 0, window).unwrap()
        };
        let plan = plan(&system, axis, other, 5);
        let still = other.quantity.value(&system, 0).unwrap();
        for share in [0.35, 0.5, 0.65] {
            let value = axis.from + share * (axis.to - axis.from);
            let built = plan.system_at(value, still).unwrap();
            let got = quantity.value(&built, 0).unwrap();
            assert!(
                (got - value).abs() < 1e-12 * (1.0 + value.abs()),
                "{quantity:?}: {got}"
            );
            // Nothing else that can be asked for has moved.
            for same in MapQuantity::ALL.into_iter().filter(|&q| q != quantity) {
                let moves_along = quantity == MapQuantity::Bore && same == MapQuantity::Flare;
                let (a, b) = (
                    same.value(&system, 0).unwrap(),
                    same.value(&built, 0).unwrap(),
                );
                assert!(
                    moves_along || (a - b).abs() < 1e-12,
                    "{quantity:?} moved {same:?}"
                );
            }
        }
    }
}

#[test]
fn parts_that_do_not_fit_are_named() {
    let mut system = one_bed(9.0, 0.5);
    system.beds[0].guard = Some(Guard {
        diameter: 0.110,
        slot_area: None,
    });
    let void = axis(MapQuantity::Void, 0.3, 0.5);
    type Why = fn(&Misfit) -> bool;
    let cases: [(MapQuantity, f64, Why); 12] = [
        (MapQuantity::Bore, 0.075, |why| {
            matches!(why, Misfit::BellInsideStandpipe { .. })
        }),
        (MapQuantity::Flare, 0.020, |why| {
            matches!(why, Misfit::FlareBelowBore { .. })
        }),
        (MapQuantity::Flare, 0.080, |why| {
            matches!(why, Misfit::LipWiderThanBell { .. })
        }),
        (MapQuantity::Standpipe, 0.36, |why| {
            matches!(why, Misfit::LipAboveRim { .. })
        }),
        (MapQuantity::Standpipe, 0.02, |why| {
            matches!(why, Misfit::SlotsAboveLip { .. })
        }),
        (MapQuantity::BellBore, 0.030, |why| {
            matches!(why, Misfit::BellInsideStandpipe { .. })
        }),
        (MapQuantity::SlotArea, 0.0100, |why| {
            matches!(why, Misfit::SlotsRoundBell { .. })
        }),
        (MapQuantity::Drop, 1.2, |why| {
            matches!(why, Misfit::OutletBelowSump { .. })
        }),
        (MapQuantity::SumpLevel, 0.59, |why| {
            matches!(why, Misfit::StartLevel { .. })
        }),
        (MapQuantity::BellBore, 0.105, |why| {
            matches!(why, Misfit::GuardInsideBell { .. })
        }),
        // It just touches, which the scenario reader refuses too.
        (MapQuantity::BellBore, 0.104, |why| {
            matches!(why, Misfit::GuardInsideBell { .. })
        }),
        (MapQuantity::BedArea, 0.011, |why| {
            matches!(why, Misfit::WiderThanBed { .. })
        }),
    ];
    for (quantity, value, fits) in cases {
        let (least, most) = quantity.allowed();
        let plan = plan(&system, axis(quantity, least, most), void, 2);
        let point = plan.point(value, 0.4);
        let MapPoint::Unbuildable(why) = &point else {
            panic!("{quantity:?}: {point:?}")
        };
        assert!(fits(why), "{quantity:?}: {why}");
    }
}

#[test]
fn impossible_maps_are_refused() {
    let system = one_bed(9.0, 0.5);
    let found = windows_of(&system).remove(0);
    let void = axis(MapQuantity::Void, 0.3, 0.5);
    let ask = |i, axes, points| MapPlan::new(&system, &found, i, axes, points).unwrap_err();
    assert_eq!(ask(1, (inflow(1.0, 2.0), void), 9), MapError::NoBed(1));
    assert_eq!(ask(0, (void, void), 9), MapError::SameAxes("void"));
    assert_eq!(ask(0, (inflow(1.0, 2.0), void), 1), MapError::Points(1));
    let backwards = axis(MapQuantity::Void, 0.5, 0.3);
    assert!(matches!(
        ask(0, (inflow(1.0, 2.0), backwards), 9),
        MapError::Range { key: "void", .. }
    ));
}

#[test]
fn one_of_several_beds_is_mapped_alone_with_its_mean_inflow() {
    let system = pumped_beds(2);
    let found = windows_of(&system).remove(1);
    let axes = (
        axis(MapQuantity::Drop, 0.3, 0.6),
        axis(MapQuantity::Clearance, 0.01, 0.03),
    );
    let plan = MapPlan::new(&system, &found, 1, axes, 2).unwrap();
    let built = plan.system_at(0.5, 0.02).unwrap();
    assert_eq!(built.beds.len(), 1);
    assert_eq!(built.beds[0].name, "bed 2");
    assert!(matches!(built.beds[0].inlet, Inlet::Measured(flow) if flow == found.today.range.mean));
    assert_eq!(plan.here, (0.55, 0.025));
}

#[test]
fn doubt_names_what_the_corners_disagree_about() {
    use Regime::{Cycles, Dribbles, NeverFills, Overflows, RunsOn, Stalls};
    let none = Doubt::default();
    let (start, stop, spill) = (
        Doubt {
            start: true,
            ..none
        },
        Doubt { stop: true, ..none },
        Doubt {
            spill: true,
            ..none
        },
    );
    for (regimes, wanted) in [
        ([Cycles; 3], none),
        ([Dribbles, Dribbles, NeverFills], none),
        ([RunsOn, RunsOn, Stalls], none),
        ([Cycles, Dribbles, Cycles], start),
        ([RunsOn, Dribbles, RunsOn], start),
        ([Cycles, Cycles, RunsOn], stop),
        (
            [Dribbles, Cycles, Stalls],
            Doubt {
                stop: true,
                ..start
            },
        ),
        ([Stalls, Stalls, Overflows], spill),
        (
            [Cycles, Overflows, RunsOn],
            Doubt {
                stop: true,
                ..spill
            },
        ),
    ] {
        assert_eq!(Simulated { regimes }.doubt(), wanted, "{regimes:?}");
    }
}

/// A bed over a drum whose water covers the outlet: what the drum gives while the bed fills
/// decides whether it starts.
fn drowned(drop: f64) -> System {
    let mut system = one_bed(10.5, drop);
    let sump = &mut system.sump;
    (sump.start_level, sump.overflow_level) = (0.46, 0.53);
    sump.shape = ebbwright::hydraulics::vessel::VesselShape::LyingCylinder {
        diameter: 0.572,
        length: 0.851,
    };
    system
}

/// What one run of the whole system says holds at today's point of the map, and the edges are
/// those of the window. Only the run, and the window worked from closures, are held against.
#[test]
fn over_a_drowned_outlet_the_map_is_what_run_and_window_say() {
    let mut cycling = 0;
    for drop in [0.60, 0.70, 0.75, 0.80] {
        let system = drowned(drop);
        let run = simulate(&system, Sampling::None).unwrap();
        let found = &windows_of(&system)[0];
        let axes = (axis(MapQuantity::Drop, 0.5, 0.9), inflow(2.0, 40.0));
        let plan = MapPlan::new(&system, found, 0, axes, 2).unwrap();
        let regime = |flow: f64| regimes(&plan.point(drop, flow))[0];
        assert_eq!(regime(plan.here.1), lasting_regime(&run, 0), "{drop}");
        let (start, end) = (found.window.start.nominal, found.breaks_below.nominal);
        if lasting_regime(&run, 0) != Regime::Cycles {
            continue;
        }
        cycling += 1;
        assert!(regime(0.97 * end) == Regime::Cycles, "{drop}");
        assert!(regime(1.03 * start) == Regime::Cycles, "{drop}");
        assert_eq!(regime(0.97 * start), Regime::Dribbles, "{drop}");
        let above = regime(1.05 * end);
        assert!(
            matches!(above, Regime::RunsOn | Regime::Stalls),
            "{drop}: {above:?}"
        );
    }
    assert!(cycling >= 3, "{cycling}");
}

/// Every shipped scenario: today's point shows what each bed did in a run of the whole system.
#[test]
fn todays_point_is_what_the_run_does_in_every_scenario() {
    let (mut checked, mut wrong) = (0, Vec::new());
    for entry in std::fs::read_dir("scenarios").unwrap() {
        let path = entry.unwrap().path();
        let scenario = ebbwright::scenario::read(&path).unwrap();
        let mut system = ebbwright::study::window::without_incidents(&scenario.system);
        system.duration = Duration::UntilSettled {
            at_most: 12.0 * 3600.0,
        };
        let run = simulate(&system, Sampling::None).unwrap();
        // A pump that draws air is the one thing of the run that a map leaves out on purpose.
        if run.sump.ran_dry > 0.0 {
            continue;
        }
        let found = windows(&system, &run, &assess(&system, &run));
        for i in 0..system.beds.len() {
            let range = |quantity| usual_axis(quantity, &system, i, &found.beds[i]).unwrap();
            let did = lasting_regime(&run, i);
            for (x, y) in [
                (MapQuantity::Drop, MapQuantity::Void),
                (MapQuantity::Drop, MapQuantity::Inflow),
            ] {
                let axes = (range(x), range(y));
                let plan = MapPlan::new(&system, &found.beds[i], i, axes, 2).unwrap();
                // A bed that gets nothing has no inflow to put on an axis.
                if plan.here.1 < y.allowed().0 {
                    continue;
                }
                let there = regimes(&plan.point(plan.here.0, plan.here.1))[0];
                if there != did {
                    let name = &system.beds[i].name;
                    wrong.push(format!(
                        "{} {name} {y:?}: {there:?}, in the run {did:?}",
                        path.display()
                    ));
                }
            }
            checked += 1;
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(checked >= 15, "{checked}");
}

/// No outlet ends under what it runs into: the sump's floor, or the invert of the line.
#[test]
fn the_usual_range_of_the_drop_ends_at_the_bottom_of_what_it_runs_into() {
    let system = drowned(0.75);
    let range = usual_axis(MapQuantity::Drop, &system, 0, &windows_of(&system)[0]).unwrap();
    assert!((range.to - 1.0).abs() < 1e-12, "{range:?}");
    let path = "scenarios/drain-line-too-small.toml";
    let system = ebbwright::scenario::read(std::path::Path::new(path))
        .unwrap()
        .system;
    let line = system.drain_line.as_ref().unwrap();
    for (i, found) in windows_of(&system).iter().enumerate() {
        let bed = &system.beds[i];
        let DrainTarget::Line { at } = bed.siphon.drain.into else {
            continue;
        };
        let range = usual_axis(MapQuantity::Drop, &system, i, found).unwrap();
        let room = bed.floor - line.outlet - line.slope * at;
        assert!(range.to <= room + 1e-9, "{range:?} over {room}");
    }
}
