//! Verdicts and fixes name the cause, not what shows first.

use crate::fixes::{find, judge, mended, with_line};
use crate::mend::mend;
use crate::support::{self, LITRE_PER_MINUTE};
use crate::told::Assessment;
use approx::assert_relative_eq;
use ebbwright::assessment::{Aim, CheckId, Hint, Status, Verdict};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::scenario;
use ebbwright::simulation::{Event, EventKind, Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;
use std::path::Path;

fn read(file: &str) -> System {
    scenario::read(Path::new(file)).unwrap().system
}

fn advice(assessment: &Assessment) -> String {
    let texts: Vec<&str> = assessment
        .checks
        .iter()
        .map(|check| &*check.first_fix)
        .collect();
    texts.join("\n")
}

/// A bed that breaks only since the pump draws air: 60 L/min against a stall near 37.
#[test]
fn a_break_that_a_dry_pump_brought_about_is_none() {
    let mut system = support::one_bed(60.0, 0.5);
    // The bed's 100 L raise the sump by 13 mm, still under the 80 mm the pump needs.
    system.sump.shape = VesselShape::Box {
        length: 4.0,
        width: 2.0,
        depth: 0.6,
    };
    system.sump.start_level = 0.06;
    system.beds[0].start_depth = Some(1.25 - system.beds[0].floor);
    system.duration = Duration::Fixed(3600.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let broke = |event: &Event| event.kind == EventKind::Broke(0);
    assert!(run.sump.ran_dry > 0.0 && run.events.iter().any(broke));
    assert_eq!(run.beds[0].inflow_most_at_break, None);
    let assessment = judge(&system, Metric);
    assert_eq!(assessment.beds[0].will_break, Verdict::WillNot);
    assert_relative_eq!(assessment.beds[0].inflow_at_break, 60.0 * LITRE_PER_MINUTE);
    let check = find(&assessment, CheckId::Breaks, "north");
    assert_eq!(check.status, Status::Fail);
    assert!(
        check.because.contains("while the pump has water"),
        "{}",
        check.because
    );
    assert!(
        check.because.contains("it runs full for ever"),
        "{}",
        check.because
    );
}

fn long_flat_drain(litres: f64) -> System {
    let mut system = support::one_bed(litres, 0.03);
    let DrainLosses::Computed { length, k, .. } = &mut system.beds[0].siphon.drain.losses else {
        panic!()
    };
    (*length, *k) = (5.0, 8.0);
    system
}

/// A dead siphon passes no more than a live one that runs full.
#[test]
fn a_dead_siphon_stands_at_least_as_high_as_a_full_one() {
    let system = long_flat_drain(22.0);
    let run = simulate(&system, Sampling::None).unwrap();
    let live = system.beds[0].rim_level() - run.beds[0].peak_level;
    let rim = judge(&system, Metric);
    let rim = find(&rim, CheckId::Rim, "north");
    assert!(rim.value <= live + 1e-6, "dead {} live {live}", rim.value);
    assert_eq!(rim.status, Status::Fail);
    mended(&system, CheckId::Rim, "north", Status::Fail, "throttle");
}

#[test]
fn a_full_cap_over_the_lip_is_not_called_empty() {
    let mut system = long_flat_drain(12.0);
    if let DrainLosses::Computed { k, .. } = &mut system.beds[0].siphon.drain.losses {
        *k = 60.0;
    }
    let assessment = judge(&system, Metric);
    let cap = find(&assessment, CheckId::CrownPressure, "north");
    assert!(cap.value >= 101_325.0, "{}", cap.value);
    assert!(!cap.because.contains("never ran full"), "{}", cap.because);
}

#[test]
fn a_drowned_outlet_is_freed_before_anything_is_cut_or_built() {
    let mut system = support::one_bed(10.5, 0.8);
    system.sump.shape = VesselShape::Box {
        length: 4.0,
        width: 2.0,
        depth: 0.6,
    };
    mended(
        &system,
        CheckId::DryLayer,
        "north",
        Status::Fail,
        "raise the outlet",
    );
    mended(
        &system,
        CheckId::Rim,
        "north",
        Status::Fail,
        "raise the outlet",
    );
}

#[test]
fn advice_on_the_sump_holds_at_the_rounded_figure_and_never_changes_nothing() {
    let system = read("scenarios/sump-runs-dry.toml");
    mended(
        &system,
        CheckId::PumpCover,
        "pump",
        Status::Fail,
        "cut every standpipe",
    );
    let mut better = system.clone();
    let first = judge(&system, Metric);
    mend(
        &mut better,
        find(&first, CheckId::PumpCover, "pump").first(),
    );
    let second = judge(&better, Metric);
    assert_eq!(
        find(&second, CheckId::SumpHigh, "sump").status,
        Status::Pass
    );
    assert!(!advice(&second).contains(" 0 L"), "{}", advice(&second));
}

#[test]
fn a_leak_does_not_hide_a_lack_of_inflow() {
    let mut system = support::one_bed(4.0, 0.7);
    system.beds[0].siphon.bell.air_leak = 1.2 * LITRE_PER_MINUTE;
    mended(
        &system,
        CheckId::Starts,
        "north",
        Status::Fail,
        "seal the bell",
    );
}

/// Its outlet stands in the line's water; as that falls the head at the lip jumps.
#[test]
fn a_bed_that_cycles_is_not_said_to_dribble_for_ever() {
    let system = read("tests/data/falling_tail.toml");
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(run.beds[0].cycles.len() > 1);
    let assessment = judge(&system, Metric);
    let bed = &assessment.beds[0];
    assert!(bed.inflow_at_start < bed.start_flow.low);
    assert_eq!(bed.will_start, Verdict::Uncertain);
    let check = find(&assessment, CheckId::Starts, "b0");
    assert_eq!(check.status, Status::Warn);
    assert!(
        check.because.contains("as the water over its outlet falls"),
        "{}",
        check.because
    );
}

/// The valve is set for the inflow that the check counts: sump at its overflow.
#[test]
fn a_rim_is_throttled_at_the_sump_level_that_it_is_judged_at() {
    let mut system = support::pumped_beds(1);
    system.duration = Duration::Fixed(4.0 * 3600.0);
    system.beds[0].rim_height = 1.27 - system.beds[0].floor;
    system.sump.start_level = 0.25;
    system.beds[0].siphon.standpipe.bore = 0.020;
    system.beds[0].siphon.standpipe.lip_diameter = 0.020;
    let Inlet::Piped(branch) = &mut system.beds[0].inlet else {
        panic!()
    };
    branch.valve.as_mut().unwrap().opening = 1.0;
    mended(
        &system,
        CheckId::Rim,
        "bed 1",
        Status::Fail,
        "close its ball valve",
    );
}

#[test]
fn a_share_is_never_advised_above_what_it_is() {
    let narrow = with_line(3, 0.030, 0.02);
    let assessment = judge(&narrow, Metric);
    for check in &assessment.checks {
        for fix in &check.fixes {
            if let Some(Aim::InflowAtMost { from, to, .. }) = fix.aim {
                assert!(to < from, "{check:?}");
            }
        }
    }
    assert!(
        find(&assessment, CheckId::Rim, "north")
            .first_fix
            .contains("drain line")
    );
}

#[test]
fn a_drowned_line_is_referred_to_its_fall() {
    let mut system = with_line(2, 0.040, 0.02);
    system.drain_line.as_mut().unwrap().outlet = 0.20;
    let assessment = judge(&system, Metric);
    let line = find(&assessment, CheckId::DrainLine, "drain line");
    assert_ne!(line.status, Status::Pass);
    assert!(line.first_fix.contains("see fall"), "{}", line.first_fix);
    assert_ne!(
        find(&assessment, CheckId::Fall, "drain line").status,
        Status::Pass
    );
}

#[test]
fn a_line_that_throttles_its_siphons_is_sized_for_what_they_give_freely() {
    let system = read("scenarios/drain-line-too-small.toml");
    let warned = judge(&system, Metric);
    let status = |id, subject: &str| find(&warned, id, subject).status;
    mended(
        &system,
        CheckId::DrainLine,
        "drain line",
        Status::Fail,
        "drain line",
    );
    mended(
        &system,
        CheckId::PumpCover,
        "pump",
        status(CheckId::PumpCover, "pump"),
        "drain line",
    );
    let dry = warned.checks.iter().filter(|c| c.id == CheckId::DryLayer);
    let held: Vec<_> = dry.filter(|c| c.status != Status::Pass).collect();
    assert!(!held.is_empty());
    for check in held {
        mended(
            &system,
            CheckId::DryLayer,
            &check.subject,
            check.status,
            "drain line",
        );
    }
}

#[test]
fn narrow_slots_are_widened() {
    let mut system = support::one_bed(11.0, 0.5);
    system.beds[0].siphon.bell.slots = Slots {
        count: 4,
        width: 0.004,
        height: 0.005,
    };
    let before = find(&judge(&system, Metric), CheckId::Breaks, "north").status;
    assert_ne!(before, Status::Pass);
    mended(&system, CheckId::Breaks, "north", before, "widen the slots");
}

/// Outlet 0.20 m, slots 0.325 m, sump 0.40 m: no flow at all lets it break.
#[test]
fn an_outlet_under_water_to_the_break_level_is_said_to_be() {
    let bed = support::bed("low", 0.30, 0.10, Inlet::Share(1.0));
    let mut system = support::system(
        vec![bed],
        11.0 * LITRE_PER_MINUTE,
        Duration::Fixed(6.0 * 3600.0),
    );
    system.sump.shape = VesselShape::Box {
        length: 4.0,
        width: 2.0,
        depth: 0.6,
    };
    let assessment = judge(&system, Metric);
    let all = advice(&assessment);
    assert!(
        !all.contains(" 0 L/min") && !all.contains("not known"),
        "{all}"
    );
    for id in [CheckId::Breaks, CheckId::InflowRatio] {
        let check = find(&assessment, id, "low");
        assert!(
            check.first_fix.contains("over it") && check.first_fix.contains("See fall"),
            "{check:?}"
        );
        assert!(!check.because.contains("not known"), "{}", check.because);
    }
    assert_ne!(find(&assessment, CheckId::Fall, "low").status, Status::Pass);
}

/// The bed is judged on what the pump gives while it has water, and so is the report.
#[test]
fn the_inflow_that_is_judged_is_at_hand() {
    let assessment = judge(&read("scenarios/sump-runs-dry.toml"), Metric);
    assert_relative_eq!(
        assessment.beds[0].inflow_at_start,
        11.0 * LITRE_PER_MINUTE,
        max_relative = 1e-9
    );
}

/// Close above the start flow most of the inflow leaves over the lip while the
/// bed still rises, and a tail over the outlet lifts the start.
#[test]
fn the_period_from_flows_agrees_with_a_simulated_cycle() {
    for (litres, drop, sump) in [(7.9, 0.6, 0.40), (9.0, 0.6, 0.40), (11.0, 0.66, 0.40)] {
        let mut system = support::one_bed(litres, drop);
        system.sump.shape = VesselShape::Box {
            length: 30.0,
            width: 20.0,
            depth: 0.6,
        };
        system.sump.start_level = sump;
        let simulated = find(&judge(&system, Metric), CheckId::Period, "north").value;
        system.duration = Duration::Fixed(300.0);
        let worked_out = judge(&system, Metric);
        let check = find(&worked_out, CheckId::Period, "north");
        assert!(check.because.contains("from volumes and flows"));
        assert_relative_eq!(check.value, simulated, max_relative = 0.01);
    }
}

#[test]
fn a_small_change_of_inflow_is_printed_as_one() {
    // A limit just above a printed figure, and an inflow just above the limit.
    let low = |drop: f64| {
        let bed = &judge(&support::one_bed(30.0, drop), Metric).beds[0];
        bed.run_on_flow.low.min(bed.stall_flow.low) / LITRE_PER_MINUTE
    };
    let (drop, limit) = (0..40)
        .map(|k| 0.45 + 0.001 * f64::from(k))
        .map(|drop| (drop, low(drop)))
        .find(|(_, limit)| (0.005..0.025).contains(&(10.0 * limit).fract().mul_add(0.1, 0.0)))
        .unwrap();
    let assessment = judge(&support::one_bed(limit + 0.015, drop), Metric);
    let fix = find(&assessment, CheckId::Breaks, "north").first();
    let Some(Aim::InflowAtMost { from, to, .. }) = fix.aim else {
        panic!("{fix:?}");
    };
    assert!(from > to, "{fix:?}");
    assert_relative_eq!(
        from,
        (limit + 0.015) * LITRE_PER_MINUTE,
        max_relative = 1e-3
    );
}

#[test]
fn past_the_stall_it_is_said_to_run_full() {
    let assessment = judge(&support::one_bed(60.0, 0.5), Metric);
    let check = find(&assessment, CheckId::Breaks, "north");
    assert!(
        check.because.contains("runs full for ever"),
        "{}",
        check.because
    );
    assert!(!check.because.contains("swallows"), "{}", check.because);
}

/// Sump 0.96 m2 at 0.57 m with its overflow at 0.58 m; the bed's 0.48 m2 x 0.175 m
/// and the trunk's 1.1114 L come to it. What does not fit is lost for good.
#[test]
fn water_lost_over_the_overflow_is_missing_with_dead_siphons_too() {
    let mut system = support::one_bed(4.0, 0.4);
    system.beds[0].start_depth = Some(1.20 - system.beds[0].floor);
    system.sump.start_level = 0.57;
    let bounds = judge(&system, Metric).sump;
    let pipe = 0.001_111_4;
    let lost = 0.96 * (0.57 - 0.58) + 0.48 * 0.175 + pipe;
    // From 1.20 m to the lip at 1.225 m and 6.135 mm over it, slots and annulus 0.249 mm.
    let dead = 0.96 * 0.57 - 0.48 * 0.031384 - pipe;
    assert_relative_eq!(0.96 * bounds.dead_siphons, dead - lost, epsilon = 5e-5);
}

#[test]
fn beds_that_are_alike_share_a_note() {
    let assessment = judge(&with_line(2, 0.069, 0.02), Metric);
    let said: Vec<_> = assessment
        .notes
        .iter()
        .filter(|note| note.contains("breaking siphon"))
        .collect();
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].starts_with("\"north\", \"south\": "), "{said:?}");
}

#[test]
fn without_a_supply_pipe_there_is_no_submergence_note() {
    let mut system = support::one_bed(11.0, 0.5);
    system.supply.trunk.length = 0.0;
    assert!(
        !judge(&system, Metric)
            .notes
            .iter()
            .any(|note| note.contains("ANSI/HI"))
    );
}

#[test]
fn headroom_that_nobody_asked_for_does_not_cite_the_scenario() {
    let mut system = support::one_bed(11.0, 0.5);
    system.ceiling = Some(2.3);
    let basis = |system: &System| find(&judge(system, Metric), CheckId::Headroom, "north").basis;
    assert!(basis(&system).starts_with("derived"));
    system.thresholds.growing_height = Some(0.5);
    assert!(basis(&system).contains("asked for"));
}

/// A siphon narrowed for a longer period is told both ends of its inflow.
#[test]
fn a_narrower_siphon_is_told_the_least_inflow_too() {
    let mut system = support::one_bed(10.3, 0.6);
    system.beds[0].shape = VesselShape::Box {
        length: 0.9,
        width: 0.8,
        depth: 0.35,
    };
    let first = judge(&system, Metric);
    let fix = find(&first, CheckId::Period, "north").first();
    let [Hint::LeaveAtLeast(least)] = fix.hints[..] else {
        panic!("{fix:?}");
    };
    let Some(Aim::InflowAtMost { to, .. }) = fix.aim else {
        panic!("{fix:?}");
    };
    assert!(least <= to, "{fix:?}");
    let mut better = system.clone();
    mend(&mut better, fix);
    let second = judge(&better, Metric);
    let after = find(&second, CheckId::Period, "north");
    assert_eq!(after.status, Status::Pass, "{fix:?}");
    assert_eq!(second.beds[0].will_start, Verdict::Will);
}

/// Two beds at one pump, the first with more than it needs.
fn shared_by_two(total: f64, shares: [f64; 2]) -> System {
    let beds = [("rich", shares[0]), ("poor", shares[1])]
        .map(|(name, share)| support::bed(name, 1.0, 0.6, Inlet::Share(share)))
        .to_vec();
    support::system(
        beds,
        total * LITRE_PER_MINUTE,
        Duration::Fixed(6.0 * 3600.0),
    )
}

#[test]
fn a_bed_with_too_small_a_share_takes_what_another_can_spare() {
    let system = shared_by_two(25.0, [0.85, 0.15]);
    let words = "set its share to";
    mended(&system, CheckId::Starts, "poor", Status::Fail, words);
    let fix = find(&judge(&system, Metric), CheckId::Starts, "poor")
        .first()
        .clone();
    let share = |bed| {
        let what = Quantity::Bed(bed, BedPart::Share);
        move |change: &Change| matches!(change, Change::Set { what: own, .. } if *own == what)
    };
    assert_eq!(fix.changes.len(), 2, "{fix:?}");
    assert!(fix.changes.iter().any(share(0)) && fix.changes.iter().any(share(1)));
}

#[test]
fn where_no_bed_can_spare_any_the_pump_gives_more_and_no_other_bed_gets_it() {
    let system = shared_by_two(13.5, [0.80, 0.20]);
    let words = "a pump flow of";
    mended(&system, CheckId::Starts, "poor", Status::Fail, words);
    let mut better = system.clone();
    let fix = find(&judge(&system, Metric), CheckId::Starts, "poor")
        .first()
        .clone();
    mend(&mut better, &fix);
    let inflow = |system: &System| {
        simulate(system, Sampling::None).unwrap().beds[0]
            .inflow
            .mean
    };
    assert_relative_eq!(inflow(&better), inflow(&system), max_relative = 0.01);
}
