//! Timer, tank, float valve, air, gravel and incidents for random systems.

use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use proptest::prelude::*;

fn branch(level: f64, length: f64, hole: Option<f64>) -> Branch {
    Branch {
        level,
        run: PipeRun {
            bore: 0.016,
            length,
            roughness: PLASTIC_ROUGHNESS,
            k: 3.0,
        },
        valve: None,
        anti_siphon_hole: hole,
    }
}

fn any_incident(beds: usize) -> impl Strategy<Value = Incident> {
    (0.0_f64..18_000.0, 0usize..5, 0.0_f64..0.95, 0..beds).prop_map(|(at, kind, share, bed)| {
        let what = match kind {
            0 => Disturbance::PumpStops,
            1 => Disturbance::PumpStarts,
            2 => Disturbance::SiphonBlocked(bed),
            3 => Disturbance::LineBlocked(share),
            _ => Disturbance::ValveShut(bed),
        };
        Incident {
            at: IncidentTime::At(at),
            what,
        }
    })
}

/// Timer and check valve, float valve, evaporation and gravel, tank, incidents,
/// and whether a pump curve and pipes take the place of shares.
pub type Extras = (
    (bool, f64, f64, bool),
    (bool, f64, f64, Option<f64>),
    (bool, f64, Option<f64>, f64),
    (usize, f64, f64, f64),
    Vec<Incident>,
    bool,
);

/// Other parts for a system, thrown together at random.
pub fn extras() -> impl Strategy<Value = Extras> {
    (
        (
            prop::bool::ANY,
            60.0_f64..3000.0,
            60.0_f64..3000.0,
            prop::bool::ANY,
        ),
        (
            prop::bool::ANY,
            0.1_f64..0.55,
            0.05_f64..3.0,
            prop::option::of(0.001_f64..0.2),
        ),
        (
            prop::bool::ANY,
            0.0_f64..1e-6,
            prop::option::of(0.002_f64..0.02),
            1.0_f64..5.0,
        ),
        (0usize..5, 0.2_f64..0.9, 0.02_f64..0.06, -0.05_f64..0.3),
        prop::collection::vec(any_incident(3), 0..4),
        prop::bool::ANY,
    )
}

/// `system` with these parts.
pub fn fit_out(
    mut system: System,
    (timer, valve, rest, tank, incidents, pumped): Extras,
) -> System {
    let count = system.beds.len();
    if timer.0 {
        system.pump.schedule = Some(Schedule {
            on: timer.1,
            off: timer.2,
        });
    }
    system.pump.check_valve = timer.3;
    if valve.0 {
        system.top_off = Some(TopOff {
            level: valve.1,
            flow: valve.2 / 60_000.0,
            bore: 0.006,
            reservoir: valve.3,
        });
    }
    if rest.0 {
        system.evaporation = rest.1;
    }
    for bed in &mut system.beds {
        bed.media.grain = rest.2;
        bed.media.fouling = rest.3;
    }
    let (kind, height, bore, drown) = tank;
    if pumped || kind == 4 {
        let flow = match &system.pump.source {
            PumpSource::Steady(flow) => *flow,
            PumpSource::Curve(curve) => 0.5 * curve.open_flow(),
        };
        let points = [(0.0, 3.5), (1.5 * flow, 2.0), (3.0 * flow, 0.0)];
        system.pump.source = PumpSource::Curve(PumpCurve::from_points(&points).unwrap());
        for bed in &mut system.beds {
            let level = bed.rim_level() - drown.min(0.9 * bed.rim_height);
            bed.inlet = Inlet::Piped(branch(level, 1.0, (height > 0.6).then_some(level + 0.03)));
        }
    }
    let outlet = match kind {
        1 | 4 => TankOutlet::Beds,
        2 => TankOutlet::Settler,
        _ => TankOutlet::Sump,
    };
    if kind > 0 {
        let floor = if kind == 4 || kind == 1 { 1.6 } else { 0.2 };
        let fed_by = if kind == 3 || (pumped && outlet != TankOutlet::Beds) {
            TankFeed::PumpBranch(branch(floor + 0.6 * height + drown, 1.0, None))
        } else {
            TankFeed::WholePump
        };
        system.tank = Some(Tank {
            shape: VesselShape::UprightCylinder {
                diameter: 0.9,
                depth: height + 0.05,
            },
            floor,
            start_level: floor + 0.9 * height,
            overflow_level: floor + height,
            overflow_bore: bore,
            fed_by,
            overflows_to: outlet,
        });
    }
    system.incidents = incidents
        .into_iter()
        .map(|mut incident| {
            if let Disturbance::SiphonBlocked(i) | Disturbance::ValveShut(i) = &mut incident.what {
                *i = (*i).min(count - 1);
            }
            incident
        })
        .collect();
    system
}
