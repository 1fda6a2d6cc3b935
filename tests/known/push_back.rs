//! A drain line that pushes water back up into a bed, and one that is blocked.

use crate::support::{LITRE_PER_MINUTE, bed, system};
use crate::told::assess;
use ebbwright::assessment::{CheckId, Status};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::network::drain_line::DrainLineLaw;
use ebbwright::scenario::parse;
use ebbwright::simulation::{EventKind, Hang, Run, Sampling, simulate};
use ebbwright::units::UnitSystem;

/// A high bed at `high` and a low one beside it, on one line of `bore` `[m]`.
fn two_heights(high: f64, bore: f64) -> System {
    let mut beds = vec![
        bed("upper", high, high - 0.65, Inlet::Share(0.6)),
        bed("lower", 0.80, 0.12, Inlet::Share(0.4)),
    ];
    beds[0].siphon.drain.into = DrainTarget::Line { at: 2.5 };
    beds[1].siphon.drain.into = DrainTarget::Line { at: 2.0 };
    let mut system = system(beds, 22.0 * LITRE_PER_MINUTE, Duration::Fixed(4.0 * 3600.0));
    system.sump.shape = VesselShape::Box {
        length: 2.4,
        width: 1.0,
        depth: 0.6,
    };
    system.drain_line = Some(DrainLine {
        run: PipeRun {
            bore,
            length: 3.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 0.5,
        },
        slope: 0.02,
        outlet: 0.585,
        vented: true,
    });
    system
}

fn times(run: &Run, kind: EventKind) -> Vec<f64> {
    let these = run.events.iter().filter(|event| event.kind == kind);
    these.map(|event| event.time).collect()
}

// "Two beds at different heights on one undersized line: its grade stands over the lower bed's
// rim, and nothing runs back."
#[test]
fn a_line_too_small_floods_the_lower_bed() {
    let system = two_heights(2.2, 0.020);
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    let began = times(&run, EventKind::CameUpDrain(1));
    assert!(!began.is_empty(), "{:?}", run.events);
    let came = run.beds[1].came_up.unwrap();
    assert_eq!(came.from, Some(0));
    assert!(came.time > 30.0 && came.peak_flow > 0.0, "{came:?}");
    assert!(
        run.residual.abs() <= 1e-9 * run.water_at_start,
        "{}",
        run.residual
    );
    // Up the pipe only while the line stands over lip and water.
    let series = &run.recording;
    let up = series.beds[1]
        .siphon_flow
        .iter()
        .filter(|&&q| q < 0.0)
        .count();
    assert!(
        up as f64 > 0.8 * came.time && (up as f64) < 1.2 * came.time + 5.0,
        "{up} {came:?}"
    );
    assert!(series.beds[0].siphon_flow.iter().all(|&q| q >= 0.0));
    // The lower bed rises by what comes in at its inlet and up its drain.
    let storage = BedStorage::new(&system.beds[1]);
    let k = series
        .time
        .iter()
        .position(|&t| t > began[0] + 10.0)
        .unwrap();
    let rise =
        storage.volume(series.beds[1].level[k + 10]) - storage.volume(series.beds[1].level[k]);
    let came_in: f64 = (k..k + 10)
        .map(|j| {
            let net = |j: usize| series.beds[1].inflow[j] - series.beds[1].siphon_flow[j];
            0.5 * (net(j) + net(j + 1)) * (series.time[j + 1] - series.time[j])
        })
        .sum();
    assert!(series.beds[1].siphon_flow[k] < 0.0);
    assert!((rise / came_in - 1.0).abs() < 1e-3, "{rise} {came_in}");
}

#[test]
fn the_report_names_both_beds_of_a_flood() {
    let system = two_heights(2.2, 0.020);
    let run = simulate(&system, Sampling::None).unwrap();
    let assessment = assess(&system, &run, UnitSystem::Metric);
    let checks = assessment.checks.iter();
    let line = checks
        .clone()
        .find(|c| c.id == CheckId::DrainLine && c.subject == "drain line")
        .unwrap();
    assert_eq!(line.status, Status::Fail);
    let named = "water of the siphon of \"upper\" came back up the drain into \"lower\"";
    assert!(line.because.contains(named), "{}", line.because);
    // No simulated level may pass the bound it was judged by.
    assert!(
        run.beds[1].peak_level.max(run.beds[1].first_peak_level)
            <= system.beds[1].rim_level() + 1e-9
    );
}

// Wide enough, the same beds never see each other.
#[test]
fn a_line_wide_enough_pushes_nothing_up() {
    let run = simulate(&two_heights(2.2, 0.0814), Sampling::None).unwrap();
    assert!(run.beds.iter().all(|bed| bed.came_up.is_none()));
    assert!(times(&run, EventKind::CameUpDrain(1)).is_empty());
}

fn blocked(share: f64, bore: f64) -> System {
    let mut system = two_heights(1.2, bore);
    system.incidents = vec![Incident {
        at: IncidentTime::At(3600.0),
        what: Disturbance::LineBlocked(share),
    }];
    system
}

// Was refused with "more than 400 events".
#[test]
fn a_line_blocked_to_any_share_runs() {
    for share in [0.5, 0.9, 0.99, 0.999, 0.999_999, 1.0] {
        let system = blocked(share, 0.06);
        let run = simulate(&system, Sampling::None).unwrap_or_else(|e| panic!("{share}: {e}"));
        assert!(run.residual.abs() <= 1e-9 * run.water_at_start, "{share}");
        let assessment = assess(&system, &run, UnitSystem::Metric);
        let line = assessment
            .checks
            .iter()
            .find(|c| c.id == CheckId::DrainLine && c.subject == "drain line")
            .unwrap();
        assert_eq!(line.status, Status::Fail, "{share}");
        assert!(line.is_undone(), "{line:?}");
    }
}

// Nothing gets out: both beds fill and what the pump brings goes over a wall.
#[test]
fn a_line_blocked_altogether_keeps_its_water_in_the_beds() {
    let mut system = blocked(1.0, 0.06);
    let free = simulate(&two_heights(1.2, 0.06), Sampling::None).unwrap();
    let full = times(&free, EventKind::FullBoreBegan(0))[0] + 5.0;
    system.incidents[0].at = IncidentTime::At(full);
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    let series = &run.recording;
    for (k, &t) in series.time.iter().enumerate() {
        if t > full + 1.0 {
            let out = series.beds[0].siphon_flow[k] + series.beds[1].siphon_flow[k];
            assert!(out.abs() < 1e-15, "{t}: {out}");
        }
    }
    assert!(run.beds.iter().any(|bed| bed.overflowed > 0.0));
    assert!(!times(&run, EventKind::CameUpDrain(1)).is_empty());
    assert_eq!(run.beds[1].came_up.unwrap().from, Some(0));
}

// A bore of 2 mm took minutes in the search for the highest tail.
#[test]
fn a_line_as_thin_as_a_straw_is_judged() {
    let system = two_heights(1.2, 0.002);
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
    let assessment = assess(&system, &run, UnitSystem::Metric);
    let failed = |id| {
        assessment
            .checks
            .iter()
            .any(|c| c.id == id && c.status == Status::Fail)
    };
    assert!(failed(CheckId::DrainLine));
}

// Flows and tails agree, water that runs up included, whatever the line's width.
#[test]
fn flows_settled_up_and_down_agree_with_their_tails() {
    for bore in [0.002, 0.010, 0.020, 0.0266, 0.035] {
        let system = two_heights(2.2, bore);
        let law = DrainLineLaw::new(&system, &system.coefficients.nominal()).unwrap();
        let levels = [2.45, 0.85];
        let outlets = [0.65, 0.68];
        let lip = 1.025;
        let demand = |i: usize, tail: f64| {
            let head: f64 = if i == 1 && tail > lip {
                lip - tail
            } else {
                levels[i] - tail
            };
            let give = 6e-4 * head.abs().sqrt();
            if head < 0.0 && i == 1 && tail > lip {
                -give
            } else if head > 0.0 {
                give
            } else {
                0.0
            }
        };
        let (mut flows, mut tails) = ([0.0; 2], [0.0; 2]);
        let state = law.settle(0.3, &outlets, &demand, &mut flows, &mut tails);
        assert!((state.flow - flows[0] - flows[1]).abs() < 1e-15);
        for i in 0..2 {
            let off = (flows[i] - demand(i, tails[i])).abs();
            assert!(off < 1e-11, "{bore} bed {i}: {flows:?} {tails:?} {off}");
        }
        // A wider line carries all that the upper bed gives below the lower lip.
        assert!(bore > 0.021 || flows[1] < 0.0, "{bore}: {flows:?}");
    }
}

// Water: the pump is too weak for the bed and lets its water run back, until the inlet's end
// comes free. What a line pushes up into the bed from then on goes out through the inlet as it
// comes, neither more nor less: the level stays where the inlet draws air. Each look took steps of
// microseconds before, and the run was given up.
#[test]
fn what_a_line_pushes_into_a_bed_runs_back_through_a_weak_pump() {
    let text = include_str!("../fuzz/fallen/a-bed-that-runs-back-at-its-inlets-end.toml");
    let system = parse(text, "kept.toml").unwrap().system;
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
    let held = EventKind::Hangs(Hang::Inlet(1));
    let from = run.events.iter().find(|event| event.kind == held).unwrap();
    let (series, bed) = (&run.recording, &run.recording.beds[1]);
    let mut seen = 0;
    for (k, &t) in series.time.iter().enumerate() {
        // Moments on the second alone: at events it is let go of for a moment.
        if t < from.time + 2.0 || t.fract() != 0.0 {
            continue;
        }
        let over = bed.level[k] - 0.5217;
        assert!((-1e-9..1e-4).contains(&over), "{t}: {over}");
        let (pushed, back) = (-bed.siphon_flow[k], -bed.inflow[k]);
        assert!(pushed > 1e-5, "{t}: {pushed}");
        assert!(
            (back / pushed - 1.0).abs() < 1e-3,
            "{t}: {back} of {pushed}"
        );
        seen += 1;
    }
    assert!(seen > 150, "{seen}");
}
