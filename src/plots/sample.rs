//! Invented systems and their runs, for tests of the drawings only.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use crate::assessment::{Assessment, BedVerdict, Status, SumpBounds, Verdict};
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{
    AirTube, Band, Bed, Bell, Branch, Coefficients, Disturbance, Drain, DrainLine, DrainLosses,
    DrainTarget, Duration, Guard, Incident, IncidentTime, Inlet, Media, Pump, PumpSource, Settler,
    SettlerKind, Siphon, Slots, Standpipe, Sump, Supply, System, Tank, TankFeed, TankOutlet,
    Thresholds, TopOff, Valve,
};
use crate::simulation::{Run, Sampling, simulate};
use crate::units::HOUR;

/// What to invent.
#[derive(Debug, Clone)]
pub(super) struct Wish {
    pub(super) beds: usize,
    pub(super) line: bool,
    /// A measured flow for each bed instead of a pump curve [L/min].
    pub(super) steady: Option<f64>,
    pub(super) sump: VesselShape,
    pub(super) bed_shape: VesselShape,
    pub(super) hours: f64,
    /// Bore of the drain line `[m]`.
    pub(super) line_bore: f64,
    /// Every length of the room multiplied by this.
    pub(super) scale: f64,
    pub(super) air_tube: bool,
    /// A fish tank that overflows there, a float valve, a power cut and a blocked siphon.
    pub(super) tank: Option<TankOutlet>,
    pub(super) title: String,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            beds: 1,
            line: true,
            steady: None,
            sump: VesselShape::LyingCylinder {
                diameter: 0.572,
                length: 0.851,
            },
            bed_shape: VesselShape::Box {
                length: 1.2,
                width: 1.0,
                depth: 0.35,
            },
            hours: 12.0,
            line_bore: 0.0525,
            scale: 1.0,
            air_tube: true,
            tank: None,
            title: "Invented shed".to_owned(),
        }
    }
}

const NAMES: [&str; 8] = [
    "north",
    "south",
    "by the door",
    "window",
    "east",
    "west",
    "long bed under the gutter with far too long a name for any label",
    "W",
];

/// The system wished for.
pub(super) fn system(wish: &Wish) -> System {
    let mut system = plain_system(wish);
    if let Some(overflows_to) = wish.tank {
        with_tank(&mut system, overflows_to);
    }
    system
}

/// Adds a fish tank over the beds or beside them, and what else closes the loop.
fn with_tank(system: &mut System, overflows_to: TankOutlet) {
    let top = system
        .beds
        .iter()
        .map(|bed| bed.rim_level())
        .fold(0.0, f64::max);
    let by_gravity = overflows_to == TankOutlet::Beds;
    let floor = if by_gravity { top + 0.1 } else { top - 0.6 };
    system.tank = Some(Tank {
        shape: VesselShape::UprightCylinder {
            diameter: 0.9,
            depth: 0.5,
        },
        floor,
        start_level: floor + 0.4,
        overflow_level: floor + 0.4,
        overflow_bore: 0.05,
        fed_by: if by_gravity {
            TankFeed::WholePump
        } else {
            TankFeed::PumpBranch(Branch {
                level: floor + 0.55,
                run: PipeRun {
                    bore: 0.015,
                    length: 1.0,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 2.0,
                },
                valve: None,
                anti_siphon_hole: None,
            })
        },
        overflows_to,
    });
    if overflows_to == TankOutlet::Settler {
        system.settler = Some(Settler {
            kind: SettlerKind::RadialFlow,
            shape: VesselShape::UprightCylinder {
                diameter: 0.6,
                depth: 0.7,
            },
            floor: floor - 0.4,
            overflow_level: floor + 0.25,
            inlet: None,
        });
    }
    system.top_off = Some(TopOff {
        level: system.pump.intake_level + 0.09,
        flow: 1e-5,
        bore: 0.006,
        reservoir: None,
    });
    let incident = |hours: f64, what| Incident {
        at: IncidentTime::At(HOUR * hours),
        what,
    };
    system.incidents = vec![
        incident(1.0, Disturbance::PumpStops),
        incident(1.5, Disturbance::PumpStarts),
        incident(2.9, Disturbance::SiphonBlocked(0)),
        incident(2.95, Disturbance::ValveShut(0)),
    ];
}

fn plain_system(wish: &Wish) -> System {
    let s = wish.scale;
    let n = f64::from(u32::try_from(wish.beds).unwrap());
    let sump_depth = wish.sump.depth();
    let pipe = |bore: f64, length: f64, k: f64| PipeRun {
        bore,
        length,
        roughness: PLASTIC_ROUGHNESS,
        k,
    };
    let curve = PumpCurve::from_points(&[
        (0.0, 2.4 * s),
        (1000.0 / 3.6e6 * n, 1.9 * s),
        (2000.0 / 3.6e6 * n, 0.9 * s),
        (2500.0 / 3.6e6 * n, 0.0),
    ])
    .unwrap();
    let beds = (0..wish.beds)
        .map(|i| {
            let x = f64::from(u32::try_from(i).unwrap());
            let floor = (0.95 + 0.01 * x) * s;
            let depth = wish.bed_shape.depth();
            let lip_height = 0.643 * depth;
            let crown = 0.025_f64.min(0.2 * depth);
            Bed {
                name: NAMES[i % NAMES.len()].to_owned(),
                floor,
                shape: wish.bed_shape.clone(),
                rim_height: depth,
                media: Media {
                    depth: 0.857 * depth,
                    void: 0.40 - 0.005 * x,
                    grain: Some(0.012),
                    fouling: 1.0,
                },
                guard: Some(Guard {
                    diameter: 0.110,
                    slot_area: Some(0.006),
                }),
                inlet: if wish.steady.is_some() {
                    Inlet::Share(1.0 / n)
                } else {
                    Inlet::Piped(Branch {
                        level: floor + depth + 0.05,
                        run: pipe(0.015, 0.6, 2.0),
                        valve: Some(Valve {
                            kind: ValveKind::Ball,
                            opening: 0.6,
                        }),
                        anti_siphon_hole: None,
                    })
                },
                start_depth: None,
                access: None,
                siphon: Siphon {
                    standpipe: Standpipe {
                        bore: 0.0266,
                        outside: 0.0334,
                        lip_height,
                        lip_diameter: 0.040,
                    },
                    bell: Bell {
                        bore: 0.078,
                        outside: 0.083,
                        clearance: 0.025,
                        slots: Slots {
                            count: 6,
                            width: 0.012,
                            height: crown,
                        },
                        air_tube: wish.air_tube.then_some(AirTube {
                            bore: 0.008,
                            mouth_height: 0.030,
                        }),
                        air_leak: 0.0,
                    },
                    drain: Drain {
                        outlet: floor - 0.33 * s,
                        losses: DrainLosses::Computed {
                            length: 0.6 * s,
                            k: 1.5,
                            roughness: PLASTIC_ROUGHNESS,
                        },
                        into: if wish.line {
                            DrainTarget::Line {
                                at: 3.0 * s * (x + 1.0) / n,
                            }
                        } else {
                            DrainTarget::Sump
                        },
                    },
                },
            }
        })
        .collect();
    System {
        title: wish.title.clone(),
        duration: Duration::Fixed(wish.hours * HOUR),
        water: Water::at(20.0).unwrap(),
        ceiling: Some(2.3 * s),
        sump: Sump {
            shape: wish.sump.clone(),
            count: 1,
            floor: 0.0,
            start_level: 0.87 * sump_depth,
            overflow_level: 0.93 * sump_depth,
            holds_fish: false,
        },
        pump: Pump {
            source: match wish.steady {
                Some(flow) => PumpSource::Steady(n * flow / 60_000.0),
                None => PumpSource::Curve(curve),
            },
            intake_level: 0.05 * s,
            minimum_cover: 0.06,
            power: None,
            tariff: None,
            schedule: None,
            check_valve: false,
        },
        supply: Supply {
            trunk: pipe(0.0266 * n.sqrt(), 3.0 * s, 3.0),
            bypass: None,
        },
        beds,
        drain_line: wish.line.then(|| DrainLine {
            run: pipe(wish.line_bore, 3.0 * s, 0.5),
            slope: 0.02,
            outlet: 0.55 * s,
            vented: true,
        }),
        tank: None,
        settler: None,
        top_off: None,
        evaporation: 0.0,
        sources: Vec::new(),
        dissolved: Default::default(),
        fish: None,
        incidents: Vec::new(),
        coefficients: Coefficients::default(),
        thresholds: Thresholds::default(),
    }
}

/// Its run.
pub(super) fn run(system: &System) -> Run {
    simulate(system, Sampling::Every(10.0))
        .unwrap_or_else(|error| panic!("{}: {error}", system.title))
}

/// A verdict with bounds around what the run did.
pub(super) fn assessment(system: &System, run: &Run) -> Assessment {
    let verdict = BedVerdict {
        start_flow: Band::exact(1e-4),
        run_on_flow: Band::exact(3e-4),
        stall_flow: Band::exact(5e-4),
        inflow_at_start: 2e-4,
        inflow_at_break: 2e-4,
        will_start: Verdict::Will,
        will_break: Verdict::Will,
    };
    Assessment {
        verdict: Status::Pass,
        beds: vec![verdict; system.beds.len()],
        sump: SumpBounds {
            low: run.sump.level.min - 0.02,
            high: run.sump.level.max + 0.02,
            dead_siphons: run.sump.level.min - 0.09,
        },
        checks: Vec::new(),
        cautions: Vec::new(),
        notes: Vec::new(),
        garden: Default::default(),
    }
}
