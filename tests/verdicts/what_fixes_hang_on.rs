//! Conditions and amounts of fixes that other tests hardly feel, each by hand.

use crate::fixes::{find, judge, with_line};
use crate::mend::amount;
use crate::settler::{STAY, through, with_settler};
use crate::support::{self, LITRE_PER_MINUTE, bed};
use ebbwright::assessment::{CheckId, Hint, Status};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::simulation::{RunEnd, Sampling, simulate};
use ebbwright::units::UnitSystem::Metric;
use ebbwright::units::table::Quantity as Measured;

/// A bed of 0.48 m2 of water that begins at 100 mm, over a sump of 0.8 m2.
fn over_a_sump(start_level: f64) -> System {
    let mut system = support::one_bed(10.5, 0.5);
    system.beds[0].start_depth = Some(0.100);
    system.sump.shape = VesselShape::Box {
        length: 1.0,
        width: 0.8,
        depth: 0.6,
    };
    system.sump.start_level = start_level;
    system
}

// By hand: from 100 mm to the lip at 225 mm the bed takes 0.48 m2 x 0.125 m = 60 L, a sump of
// 0.8 m2 falls by 75 mm, the supply's 2 m of 26.6 mm hold 1.1 L, 1.4 mm, and 2 to 30 mm stand over
// the lip of a dead pipe, 1.2 to 18 mm.
#[test]
fn what_dead_siphons_would_leave_is_told_where_the_pump_would_draw_air() {
    const TOLD: &str = "With every siphon dead it would fall to ";
    let low = judge(&over_a_sump(0.104), Metric);
    let check = find(&low, CheckId::PumpCover, "pump");
    let left = amount(&check.because, TOLD, Measured::Length);
    let most = 0.104 - 0.075 - 0.0014 - 0.0012;
    assert!(left < most + 0.0006 && left > most - 0.0174, "{left}");
    // 126 mm more stand over what the pump needs, and the words go.
    let ample = judge(&over_a_sump(0.230), Metric);
    let check = find(&ample, CheckId::PumpCover, "pump");
    assert!(!check.because.contains(TOLD), "{}", check.because);
}

// By hand: half the loading allowed and 30 min ask for 0.6 m of water.
#[test]
fn a_deep_basin_is_only_filled_and_a_shallow_one_made_deeper() {
    let flow = through(&with_settler(SettlerKind::PlainBasin, 1.0, 0.5));
    let diameter = (flow * 3600.0 / 1.2 / std::f64::consts::FRAC_PI_4).sqrt();
    for (depth, steps) in [(2.0, 1), (0.55, 2)] {
        let mut system = with_settler(SettlerKind::PlainBasin, diameter, 0.50);
        let settler = system.settler.as_mut().unwrap();
        settler.shape = VesselShape::UprightCylinder { diameter, depth };
        let assessment = judge(&system, Metric);
        let fix = find(&assessment, CheckId::Settler, STAY).first();
        assert_eq!(fix.changes.len(), steps, "{fix:?}");
        let overflow = fix.changes.iter().find_map(|change| match change {
            Change::Set {
                what: Quantity::Level(Vessel::Settler, Level::Overflow),
                to,
            } => Some(*to),
            _ => None,
        });
        // Up to what volume and tape are rounded to.
        let over = overflow.unwrap() - 0.600;
        assert!((-1e-6..0.04).contains(&over), "{over}");
    }
}

fn changes(system: &System, subject: &str) -> Vec<Vec<Change>> {
    let assessment = judge(system, Metric);
    let fixes = &find(&assessment, CheckId::Fall, subject).fixes;
    fixes.iter().map(|fix| fix.changes.clone()).collect()
}

fn raises_bed(way: &[Change]) -> bool {
    matches!(way, [Change::RaiseBed { bed: 0, by }, ..] if *by > 0.0)
}

fn raises_all(way: &[Change]) -> bool {
    matches!(way, [Change::RaiseAll { by }] if *by > 0.0)
}

// An outlet 15 mm under its floor cannot rise by 40 mm: the bed rises with it, or all beds do
// where there are several over a sump. One with half a metre under its floor rises alone.
#[test]
fn what_rises_with_a_drowned_outlet_follows_from_the_room_over_it() {
    let drowned = |count: usize, floor: f64, drop: f64| {
        let beds = ["north", "south"].into_iter().take(count);
        let share = Inlet::Share(1.0 / count as f64);
        let beds = beds.map(|name| bed(name, floor, drop, share.clone()));
        let flow = 10.5 * count as f64 * LITRE_PER_MINUTE;
        let mut system = support::system(beds.collect(), flow, Duration::Fixed(7200.0));
        // No water to spare.
        system.pump.intake_level = 0.22;
        system
    };
    let one = changes(&drowned(1, 0.385, 0.015), "north");
    assert!(one.iter().any(|way| raises_bed(way)), "{one:?}");
    assert!(!one.iter().any(|way| raises_all(way)), "{one:?}");
    let two = changes(&drowned(2, 0.385, 0.015), "north");
    assert!(two.iter().any(|way| raises_bed(way)), "{two:?}");
    assert!(two.iter().any(|way| raises_all(way)), "{two:?}");
    let room = changes(&drowned(2, 0.985, 0.615), "north");
    assert!(!room.is_empty() && !room.iter().any(|way| raises_bed(way)));
    assert!(!room.iter().any(|way| raises_all(way)), "{room:?}");
}

// Water that the sump lacks has to come first; where it lacks none a bed that may go over its
// wall is kept from that.
#[test]
fn a_bed_that_may_spill_is_kept_in_only_where_the_sump_has_its_water() {
    // The lowest wall over which nothing goes with the nominal coefficients.
    let walled = |millimetres: u32| {
        let mut system = support::one_bed(10.5, 0.5);
        system.beds[0].rim_height = 1e-3 * f64::from(millimetres);
        system.beds[0].media.depth = 0.225;
        system
    };
    let dry = |system: &System| simulate(system, Sampling::None).unwrap().beds[0].overflowed == 0.0;
    let mut system = (227..300).map(walled).find(dry).unwrap();
    let kept = |system: &System| {
        let assessment = judge(system, Metric);
        let check = find(&assessment, CheckId::PumpCover, "pump");
        assert_ne!(check.status, Status::Pass, "{check:#?}");
        let hint = |hint: &Hint| matches!(hint, Hint::KeepFromOverflowing(_));
        check.fixes.iter().any(|fix| fix.hints.iter().any(hint))
    };
    assert!(kept(&system));
    system.sump.start_level = 0.10;
    assert!(!kept(&system));
}

// Cycles before an event say nothing of those after it: three whole ones have to follow.
#[test]
fn a_run_settles_on_what_follows_its_last_event() {
    let mut system = with_line(1, 0.060, 0.02);
    system.duration = Duration::UntilSettled { at_most: 172_800.0 };
    let run = simulate(&system, Sampling::None).unwrap();
    let period = run.beds[0].cycles.last().unwrap().period();
    let RunEnd::Settled { at } = run.ended else {
        panic!("{:?}", run.ended);
    };
    // A tenth of a line that is roomy changes nothing.
    let event = at + 3600.0;
    system.incidents = vec![Incident {
        at: IncidentTime::At(event),
        what: Disturbance::LineBlocked(0.1),
    }];
    let run = simulate(&system, Sampling::None).unwrap();
    assert!(matches!(run.ended, RunEnd::Settled { .. }));
    let longer = run.duration - event;
    assert!(longer > 2.9 * period, "{longer} {period}");
}
