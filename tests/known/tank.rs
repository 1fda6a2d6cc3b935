//! A fish tank in each of its arrangements.

use crate::support::{LITRE_PER_MINUTE, one_bed, pumped_beds};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    Branch, Disturbance, Duration, Incident, IncidentTime, Inlet, PumpSource, System, Tank,
    TankFeed, TankOutlet,
};
use ebbwright::network::supply::{OutletEnd, SupplyTree, Surroundings};
use ebbwright::network::tank::TankLaw;
use ebbwright::simulation::{EventKind, Run, RunEnd, Sampling, simulate};
use std::f64::consts::PI;

/// Surface of the tank of these tests [m2]: 0.9 m across.
const SURFACE: f64 = PI / 4.0 * 0.9 * 0.9;

fn tank(floor: f64, fed_by: TankFeed, overflows_to: TankOutlet) -> Tank {
    Tank {
        shape: VesselShape::UprightCylinder {
            diameter: 0.9,
            depth: 0.7,
        },
        floor,
        start_level: floor + 0.6,
        overflow_level: floor + 0.6,
        overflow_bore: 0.040,
        fed_by,
        overflows_to,
    }
}

fn branch(level: f64) -> Branch {
    Branch {
        level,
        run: PipeRun {
            bore: 0.02,
            length: 1.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 3.0,
        },
        valve: None,
        anti_siphon_hole: None,
    }
}

/// One bed on 10 L/min of a pump that gives 30, the rest through a tank of 0.382 m3.
fn beside_the_bed(to: TankOutlet) -> System {
    let mut system = one_bed(30.0, 0.5);
    system.beds[0].inlet = Inlet::Share(1.0 / 3.0);
    system.duration = Duration::Fixed(6.0 * 3600.0);
    system.tank = Some(tank(0.3, TankFeed::WholePump, to));
    system
}

/// Two beds on branches of different length under a tank that the whole pump fills.
fn over_the_beds(litres_per_minute: f64) -> System {
    let mut system = pumped_beds(2);
    system.pump.source = PumpSource::Steady(litres_per_minute * LITRE_PER_MINUTE);
    system.duration = Duration::Fixed(6.0 * 3600.0);
    for (bed, length) in system.beds.iter_mut().zip([0.8, 2.5]) {
        let Inlet::Piped(branch) = &mut bed.inlet else {
            panic!("a branch")
        };
        branch.run.bore = 0.0266;
        branch.run.length = length;
        branch.valve = None;
    }
    system.tank = Some(tank(1.2, TankFeed::WholePump, TankOutlet::Beds));
    system
}

fn times(run: &Run, kind: EventKind) -> Vec<f64> {
    run.events
        .iter()
        .filter(|event| event.kind == kind)
        .map(|event| event.time)
        .collect()
}

fn conserves(run: &Run) {
    assert!(
        run.residual.abs() <= 1e-9 * run.water_at_start,
        "{}",
        run.residual
    );
}

// By hand: 20 L/min through pi/4 0.9^2 x 0.6 m3 = 381.7 L: 3.144 times an hour; and the
// water stands over the overflow's lip by (Q / (Cw pi d))^(2/3), Cw = 1.80.
#[test]
fn the_rest_of_the_pump_turns_the_tank_over() {
    for to in [TankOutlet::Sump, TankOutlet::Settler] {
        let run = simulate(&beside_the_bed(to), Sampling::Every(60.0)).unwrap();
        conserves(&run);
        let outcome = run.tank.unwrap();
        let inflow = 20.0 * LITRE_PER_MINUTE;
        assert!(
            (outcome.inflow / inflow - 1.0).abs() < 1e-9,
            "{}",
            outcome.inflow
        );
        assert!((outcome.turnover_per_hour - 1.2 / (SURFACE * 0.6)).abs() < 1e-6);
        assert!((outcome.turnover_per_hour - 3.144).abs() < 0.001);
        let head = (inflow / (1.80 * PI * 0.040)).powf(2.0 / 3.0);
        let level = *run.recording.tank_level.last().unwrap();
        assert!((level - 0.9 - head).abs() < 1e-6, "{level} {head}");
        assert!((outcome.lowest_possible - 0.9).abs() < 1e-12);
        assert!(!run.beds[0].cycles.is_empty());
    }
}

// Closed form: over a weir's lip A dh/dt = -Cw pi d h^1.5, so 1/sqrt(h) grows with
// Cw pi d / (2 A). A run ends when no level moves by more than 0.1 mm in 6000 s; here those that
// still do are a wide tank and a sump that gets its water, the narrower of the two last.
#[test]
fn a_wide_tank_counts_as_still_when_its_level_is_and_not_its_flow() {
    let surface = 4.0 * 3.0;
    let wide = |depth: f64| VesselShape::Box {
        length: 4.0,
        width: 3.0,
        depth,
    };
    let tapered = VesselShape::Tapered {
        top_length: 4.0,
        top_width: 3.0,
        bottom_length: 1.0,
        bottom_width: 1.0,
        depth: 0.6,
    };
    let of_tapered = |level: f64| (1.0 + 3.0 * level / 0.6) * (1.0 + 2.0 * level / 0.6);
    let sumps: [(VesselShape, &dyn Fn(f64) -> f64); 2] =
        [(wide(0.6), &|_| surface), (tapered, &of_tapered)];
    for (sump, narrower) in sumps {
        let mut system = beside_the_bed(TankOutlet::Sump);
        system.duration = Duration::UntilSettled {
            at_most: 48.0 * 3600.0,
        };
        system.sump.shape = sump;
        system.tank.as_mut().unwrap().shape = wide(0.7);
        system.incidents = vec![Incident {
            at: IncidentTime::At(3600.0),
            what: Disturbance::PumpStops,
        }];
        let run = simulate(&system, Sampling::Every(60.0)).unwrap();
        conserves(&run);
        assert!(matches!(run.ended, RunEnd::Standing { .. }));
        let series = &run.recording;
        let stop = series.time.iter().position(|&t| t == 3600.0).unwrap();
        let weir = 1.80 * PI * 0.040;
        let over = series.tank_level[stop] - 0.9;
        let last = narrower(*series.sump_level.last().unwrap());
        let still = (last * 1e-4 / 6000.0 / weir).powf(2.0 / 3.0);
        let takes = 2.0 * surface / weir * (1.0 / still.sqrt() - 1.0 / over.sqrt());
        let took = run.duration - 3600.0;
        // It is looked at where steps end.
        assert!(
            took >= 0.999 * takes && took < 1.05 * takes,
            "{took} {takes}"
        );
    }
}

// Closed form: an empty tank fills to its overflow in V/Q.
#[test]
fn an_empty_tank_fills_first() {
    let mut system = beside_the_bed(TankOutlet::Sump);
    system.sump.shape = VesselShape::Box {
        length: 2.0,
        width: 1.0,
        depth: 0.6,
    };
    system.tank.as_mut().unwrap().start_level = 0.3;
    let run = simulate(&system, Sampling::Every(1.0)).unwrap();
    conserves(&run);
    let series = &run.recording;
    let exact = SURFACE * 0.6 / (20.0 * LITRE_PER_MINUTE);
    for (k, &t) in series.time.iter().enumerate() {
        // The last second lies in the step over the overflow's onset, read between its ends.
        if t <= exact - 1.0 {
            let level = 0.3 + 20.0 * LITRE_PER_MINUTE * t / SURFACE;
            assert!((series.tank_level[k] - level).abs() < 1e-6, "{t}");
            assert!(series.tank_outflow[k] < 1e-12 || t > exact - 1e-3, "{t}");
        }
    }
}

// Energy: both gravity branches start from one level in the down pipe, which stands
// no higher than the tank; each loses what is left over its own end. And what the
// overflow passes is what the branches carry.
#[test]
fn gravity_splits_the_overflow_as_the_branches_let_it() {
    let system = over_the_beds(20.0);
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    conserves(&run);
    let series = &run.recording;
    let mut seen = 0;
    for k in 0..series.time.len() {
        let flows = [series.beds[0].inflow[k], series.beds[1].inflow[k]];
        if flows.iter().any(|&q| q < 1e-5) {
            continue;
        }
        let held: Vec<f64> = system
            .beds
            .iter()
            .zip(flows)
            .map(|(bed, q)| {
                let Inlet::Piped(branch) = &bed.inlet else {
                    panic!("a branch")
                };
                branch.level + branch.resistance().unwrap().head_loss(q, &system.water)
            })
            .collect();
        assert!((held[0] - held[1]).abs() < 2e-6, "{held:?}");
        assert!(held[0] <= series.tank_level[k] + 1e-6);
        let out = series.tank_outflow[k];
        assert!((flows[0] + flows[1] - out).abs() < 1e-12, "{out}");
        let head = series.tank_level[k] - 1.8;
        let weir = 1.80 * PI * 0.040 * head.powf(1.5);
        assert!((out / weir - 1.0).abs() < 1e-5, "{out} {weir}");
        seen += 1;
    }
    assert!(seen > 300);
    // All of the pump's water goes through the tank: no bed is fed past it.
    let outcome = run.tank.unwrap();
    assert!((outcome.inflow / (20.0 * LITRE_PER_MINUTE) - 1.0).abs() < 1e-9);
    assert!(run.beds.iter().all(|bed| !bed.cycles.is_empty()));
}

// Narrow branches hold the water back: the tank rises until they carry it, or to its
// wall, where the rest is lost.
#[test]
fn branches_too_narrow_bring_the_tank_over_its_wall() {
    let mut system = over_the_beds(25.0);
    system.duration = Duration::Fixed(1200.0);
    for bed in &mut system.beds {
        if let Inlet::Piped(branch) = &mut bed.inlet {
            branch.run.bore = 0.010;
        }
    }
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    conserves(&run);
    let began = times(&run, EventKind::TankOverflowBegan);
    assert_eq!(began.len(), 1);
    assert!(run.tank.unwrap().overflowed > 0.05);
    assert!(run.tank.unwrap().level.max <= 1.9 + 1e-9);
    // What the branches carry from the wall's level, by Darcy and Weisbach.
    let series = &run.recording;
    let k = series
        .time
        .iter()
        .position(|&t| t > began[0] + 60.0)
        .unwrap();
    for (bed, series) in system.beds.iter().zip(&series.beds) {
        let Inlet::Piped(branch) = &bed.inlet else {
            panic!("a branch")
        };
        let head = branch
            .resistance()
            .unwrap()
            .head_loss(series.inflow[k], &system.water);
        assert!((branch.level + head - 1.9).abs() < 2e-6, "{head}");
    }
}

#[test]
fn the_beds_run_dry_a_little_after_the_pump_stops() {
    let mut system = over_the_beds(25.0);
    let what = Disturbance::PumpStops;
    system.incidents = vec![Incident {
        at: IncidentTime::At(7200.0),
        what,
    }];
    let run = simulate(&system, Sampling::Every(5.0)).unwrap();
    conserves(&run);
    let series = &run.recording;
    let at = |t: f64| series.time.iter().position(|&s| s > t).unwrap();
    assert!(
        series.beds[0].inflow[at(7201.0)] > 1e-5,
        "the tank is still over its lip"
    );
    assert!(series.beds[0].inflow[at(9000.0)] < 1e-7);
    // It comes to rest at the lip and no lower.
    assert!(run.tank.unwrap().level.min >= 1.8 - 1e-12);
}

// The tank's branch hangs on the tree beside the beds': the same manifold head.
#[test]
fn tank_and_beds_share_the_pump() {
    let mut system = pumped_beds(2);
    system.duration = Duration::Fixed(4.0 * 3600.0);
    system.tank = Some(tank(
        0.5,
        TankFeed::PumpBranch(branch(1.25)),
        TankOutlet::Sump,
    ));
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    conserves(&run);
    let PumpSource::Curve(curve) = &system.pump.source else {
        panic!("a curve")
    };
    let series = &run.recording;
    for k in 0..series.time.len() {
        let flow = series.pump_flow[k];
        let sum = series.beds[0].inflow[k] + series.beds[1].inflow[k] + series.tank_inflow[k];
        assert!((sum / flow - 1.0).abs() < 1e-7, "{sum} {flow}");
        let manifold = series.sump_level[k] + curve.head(flow)
            - system.supply.trunk.head_loss(flow, &system.water);
        let needed = 1.25
            + branch(1.25)
                .resistance()
                .unwrap()
                .head_loss(series.tank_inflow[k], &system.water);
        assert!((needed - manifold).abs() < 1e-5, "{needed} {manifold}");
    }
}

/// A pumped system whose tank's inlet ends under water.
fn drowned(check_valve: bool, hole: Option<f64>) -> System {
    let mut system = pumped_beds(1);
    system.duration = Duration::Fixed(3.0 * 3600.0);
    system.pump.check_valve = check_valve;
    system.sump.shape = VesselShape::Box {
        length: 2.0,
        width: 2.0,
        depth: 0.6,
    };
    system.sump.start_level = 0.2;
    let inlet = Branch {
        anti_siphon_hole: hole,
        ..branch(0.7)
    };
    system.tank = Some(tank(0.5, TankFeed::PumpBranch(inlet), TankOutlet::Sump));
    let what = Disturbance::PumpStops;
    system.incidents = vec![Incident {
        at: IncidentTime::At(3600.0),
        what,
    }];
    system
}

// Volumes: the tank falls from where it stood to the inlet's end or the hole.
#[test]
fn a_tank_runs_back_through_a_drowned_inlet() {
    for (check_valve, hole, lowest) in [
        (false, None, 0.7),
        (false, Some(1.0), 1.0),
        // The valve holds the water back, but not against a leak above it.
        (true, None, 0.7),
    ] {
        let system = drowned(check_valve, hole);
        let run = simulate(&system, Sampling::Every(10.0)).unwrap();
        conserves(&run);
        let outcome = run.tank.unwrap();
        assert!((outcome.lowest_possible - lowest).abs() < 1e-12);
        let last = *run.recording.tank_level.last().unwrap();
        if check_valve {
            assert!(last > 1.1 && run.supply.siphoned_back == 0.0, "{last}");
        } else {
            assert!((last - lowest).abs() < 1e-7, "{last}");
            // It also goes on over its overflow for a while.
            let stop = run
                .recording
                .time
                .iter()
                .position(|&t| t == 3600.0)
                .unwrap();
            let fell = (run.recording.tank_level[stop] - lowest) * SURFACE;
            let back = run.supply.siphoned_back;
            assert!(back < fell && back > fell - 0.02 * SURFACE, "{back} {fell}");
            assert_eq!(times(&run, EventKind::TankBackSiphonEnded).len(), 1);
        }
        assert!(outcome.level.min >= lowest - 1e-7);
    }
}

// While the pump runs against the tank's water, its branch sees that instead of its end.
#[test]
fn a_drowned_inlet_is_pumped_against_the_tanks_level() {
    let system = drowned(true, None);
    let run = simulate(&system, Sampling::Every(60.0)).unwrap();
    let tree = SupplyTree::new(&system);
    let series = &run.recording;
    let k = series.time.iter().position(|&t| t > 3000.0).unwrap();
    let duty = tree.duty_in(series.sump_level[k], |end| match end {
        OutletEnd::Tank => Surroundings::under(series.tank_level[k]),
        _ => Surroundings::Air,
    });
    assert!((series.tank_inflow[k] / duty.tank_flow - 1.0).abs() < 1e-7);
    let free = tree.duty(series.sump_level[k]);
    assert!(free.tank_flow > 1.01 * duty.tank_flow, "the water counts");
}

// By hand: the sump's mean inflow is the pump's 10 L/min over what it holds.
#[test]
fn the_sump_itself_can_hold_the_fish() {
    let mut system = one_bed(10.0, 0.5);
    system.sump.holds_fish = true;
    let run = simulate(&system, Sampling::None).unwrap();
    let outcome = run.tank.unwrap();
    let held = 0.96 * run.sump.level.mean;
    assert!(
        (outcome.turnover_per_hour - 0.6 / held).abs() < 1e-9,
        "{outcome:?}"
    );
    // A leak above the pump empties it until the pump draws air: 30 mm + 50 mm.
    assert!((outcome.lowest_possible - 0.08).abs() < 1e-12);
    system.sump.holds_fish = false;
    assert!(simulate(&system, Sampling::None).unwrap().tank.is_none());
}

// Continuity: up to there the pipes take all that comes over the lip, past it no more than they can.
#[test]
fn a_tank_backs_up_from_where_its_pipes_take_no_more() {
    let law = |bore: f64| {
        let mut system = over_the_beds(20.0);
        for bed in &mut system.beds {
            if let Inlet::Piped(branch) = &mut bed.inlet {
                branch.run.bore = bore;
            }
        }
        TankLaw::new(&system, &system.coefficients.nominal()).unwrap()
    };
    let given = |law: &TankLaw, level: f64| {
        let mut beds = [0.0; 2];
        let all = law.overflow(level, &|_| f64::NEG_INFINITY, &mut beds);
        assert!((beds[0] + beds[1] - all).abs() < 1e-12);
        (all, law.free_overflow(level))
    };
    let narrow = law(0.0158);
    let level = narrow.backing_up_level();
    assert!(level > 1.81 && level < 1.89, "{level}");
    let (all, free) = given(&narrow, level - 1e-6);
    assert!((all - free).abs() < 1e-12);
    let (all, free) = given(&narrow, level + 1e-6);
    assert!(all < free && free - all < 1e-6, "{all} {free}");
    // Wide ones take it all up to the wall.
    assert_eq!(law(0.04).backing_up_level(), 1.9);
}
