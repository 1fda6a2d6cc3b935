//! Parts of the laws that runs hardly feel, each against its formula worked out by hand.

use crate::support::{bed, one_bed};
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    AirTube, Bed, Disturbance, Duration, Incident, IncidentTime, Inlet, Schedule, System, Tank,
    TankFeed, TankOutlet,
};
use ebbwright::network::tank::TankLaw;
use ebbwright::simulation::{EventKind, Hang, Sampling, simulate};
use ebbwright::siphon::SiphonLaw;
use std::f64::consts::PI;

const G: f64 = 9.80665;

fn law(change: impl Fn(&mut Bed)) -> SiphonLaw {
    let system = one_bed(9.0, 0.5);
    let mut bed = bed("north", 1.0, 0.5, Inlet::Share(1.0));
    change(&mut bed);
    SiphonLaw::new(&bed, &system.water, &system.coefficients.nominal())
}

/// US gallon per minute [m3/s].
const GALLON_PER_MINUTE: f64 = 3.785_411_784e-3 / 60.0;

// Q = 27.8 r^(5/3) D^(8/3) gal/min (Wyly & Eaton, NBS Monograph 31, 1961): a 2 in stack takes
// 28.29 gal/min a third full and 22.64 at 7/24, worked out by hand.
#[test]
fn a_two_inch_stack_takes_what_its_formula_says() {
    let law = law(|bed| bed.siphon.standpipe.bore = 0.0508);
    let [low, high] = law.cross_checks().stack;
    assert!((high / GALLON_PER_MINUTE - 28.29).abs() < 0.01, "{high}");
    assert!((low / GALLON_PER_MINUTE - 22.64).abs() < 0.01, "{low}");
}

// Pipe Froude numbers 0.6, 1.0 and 1.5: v = F sqrt(g D), 0.7058 m/s at F = 1 in 50.8 mm.
#[test]
fn air_is_cleared_at_the_published_froude_numbers() {
    let law = law(|bed| bed.siphon.standpipe.bore = 0.0508);
    let area = PI / 4.0 * 0.0508 * 0.0508;
    let found = law.cross_checks().air_clearing;
    for (flow, froude) in found.into_iter().zip([0.6, 1.0, 1.5]) {
        let v = flow / area;
        assert!((v - 0.7058 * froude).abs() < 1e-4 * froude, "{v}");
    }
}

// Bernoulli from the bed to the outlet: H = (1 + K) v^2 / 2g.
#[test]
fn a_full_siphon_loses_the_head_it_has() {
    let law = law(|_| ());
    let area = PI / 4.0 * 0.0266 * 0.0266;
    for head in [0.4, 0.6, 0.8] {
        let flow = law.full_flow(head);
        let v = flow / area;
        let lost = (1.0 + law.total_loss(flow)) * v * v / (2.0 * G);
        assert!((lost / head - 1.0).abs() < 1e-6, "{head}: {lost}");
    }
}

#[test]
fn the_most_a_siphon_gives_is_the_greater_of_both_ways() {
    let law = law(|_| ());
    for over in [0.005, 0.05, 0.1] {
        let level = law.lip() + over;
        let full = law.full_flow(level - law.outlet());
        assert!(full > law.lip_flow(level, 0.0) && full > 1e-4);
        assert_eq!(law.most_flow(level), full);
    }
    // An outlet just under the lip leaves a full pipe almost no head.
    let short = self::law(|bed| {
        bed.siphon.drain.outlet = bed.floor + bed.siphon.standpipe.lip_height - 0.001;
    });
    let level = short.lip() + 0.05;
    let (full, over) = (short.full_flow(0.051), short.lip_flow(level, 0.0));
    assert_eq!(short.most_flow(level), full.max(over));
}

// Cd A sqrt(2 rho_w g s / rho_a) with Cd = 0.60 and rho_a = 1.204 kg/m3: the suction is what the
// pressure under the cap lacks of the air's.
#[test]
fn an_uncovered_tube_passes_what_the_suction_draws() {
    let law = law(|bed| {
        let (bore, mouth_height) = (0.008, 0.04);
        bed.siphon.bell.air_tube = Some(AirTube { bore, mouth_height });
    });
    let mouth = 1.04;
    for tail in [0.5, 0.6] {
        let flow = law.full_flow(mouth - tail);
        let lacks = 101_325.0 - law.crown_pressure(mouth, flow);
        assert!(lacks > 500.0, "{lacks}");
        let passed = 0.60 * PI / 4.0 * 0.008 * 0.008 * (2.0 * lacks / 1.204).sqrt();
        let found = law.tube_air_flow(tail).unwrap();
        assert!((found / passed - 1.0).abs() < 1e-9, "{found} {passed}");
    }
}

fn upright(diameter: f64, overflow_bore: f64, to: TankOutlet) -> Tank {
    Tank {
        shape: VesselShape::UprightCylinder {
            diameter,
            depth: 0.7,
        },
        floor: 0.3,
        start_level: 0.9,
        overflow_level: 0.9,
        overflow_bore,
        fed_by: TankFeed::WholePump,
        overflows_to: to,
    }
}

// Below the drowning level the lip is a weir, h^1.5, above it a drowned mouth, h^0.5; both
// give the same there.
#[test]
fn the_lip_of_a_tank_changes_its_law_where_it_drowns() {
    let mut system = one_bed(30.0, 0.5);
    system.tank = Some(upright(0.9, 0.04, TankOutlet::Sump));
    let law = TankLaw::new(&system, &system.coefficients.nominal()).unwrap();
    let drowns = law.drowning_level() - 0.9;
    assert!(drowns > 0.005 && drowns < 0.02, "{drowns}");
    let flow = |share: f64| law.free_overflow(0.9 + share * drowns);
    let power = |low: f64, high: f64| (flow(high) / flow(low)).ln() / (high / low).ln();
    assert!((power(0.5, 0.999) - 1.5).abs() < 1e-9);
    assert!((power(1.001, 2.0) - 0.5).abs() < 1e-9);
    assert!((flow(1.0 + 1e-9) / flow(1.0 - 1e-9) - 1.0).abs() < 1e-6);
    let mut beds = [7.0];
    let dry = |_: usize| f64::NEG_INFINITY;
    assert_eq!(law.overflow(0.9, &dry, &mut beds), 0.0);
    assert_eq!(law.overflow(0.95, &dry, &mut beds), law.free_overflow(0.95));
}

// A timer of tenths of a second switches the wall of a slender tank until it is held. Held, it
// gives over its wall what is too much, never back what has gone over: when the pump stops, it
// falls.
#[test]
fn a_tank_held_at_its_wall_falls_when_the_pump_stops() {
    let mut system: System = one_bed(60.0, 0.5);
    system.beds[0].inlet = Inlet::Share(0.0);
    system.tank = Some(upright(0.1, 0.020, TankOutlet::Sump));
    system.pump.check_valve = true;
    system.pump.schedule = Some(Schedule { on: 0.3, off: 0.3 });
    system.incidents.push(Incident {
        at: IncidentTime::At(40.0),
        what: Disturbance::PumpStops,
    });
    system.duration = Duration::Fixed(60.0);
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    let hangs = |event: &&ebbwright::simulation::Event| event.kind == EventKind::Hangs(Hang::Tank);
    let held = run.events.iter().find(hangs).unwrap().time;
    assert!(held < 39.0, "{held}");
    let at = |t: f64| {
        run.recording
            .time
            .iter()
            .position(|time| *time >= t)
            .unwrap()
    };
    let level = |t: f64| run.recording.tank_level[at(t)];
    assert!((level(39.0) - 1.0).abs() < 0.02, "{}", level(39.0));
    assert!(level(58.0) < 0.92, "{}", level(58.0));
    assert!(run.residual.abs() <= 1e-9 * run.water_at_start);
}
