//! Invented systems and their runs, for tests of the drawings only.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use crate::assessment::{Assessment, BedVerdict, Status, SumpBounds, Verdict};
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    Band, Bed, BedBuilder, Branch, Disturbance, DrainLine, DrainLosses, Duration, Incident,
    IncidentTime, Inlet, Settler, SettlerKind, Supply, System, Tank, TankFeed, TankOutlet, TopOff,
    Valve,
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
    let n = count(wish);
    let depth = wish.sump.depth();
    let mut system = System::builder()
        .title(&wish.title)
        .duration(Duration::Fixed(wish.hours * HOUR))
        .ceiling(2.3 * s)
        .sump(wish.sump.clone(), 0.0)
        .sump_levels(0.87 * depth, 0.93 * depth)
        .intake(0.05 * s)
        .supply(Supply {
            trunk: pipe(0.0266 * n.sqrt(), 3.0 * s, 3.0),
            bypass: None,
        });
    system = match wish.steady {
        Some(flow) => system.steady_flow(n * flow / 60_000.0),
        None => system.pump_curve(curve(s, n)),
    };
    if wish.line {
        system = system.drain_line(DrainLine {
            run: pipe(wish.line_bore, 3.0 * s, 0.5),
            slope: 0.02,
            outlet: 0.55 * s,
            vented: true,
        });
    }
    for i in 0..wish.beds {
        system = system.bed(bed(wish, i));
    }
    let mut system = system.build().unwrap();
    system.pump.minimum_cover = 0.06;
    system
}

fn count(wish: &Wish) -> f64 {
    f64::from(u32::try_from(wish.beds).unwrap())
}

fn pipe(bore: f64, length: f64, k: f64) -> PipeRun {
    PipeRun {
        bore,
        length,
        roughness: PLASTIC_ROUGHNESS,
        k,
    }
}

/// Of a pump for `n` beds in a room of scale `s`.
fn curve(s: f64, n: f64) -> PumpCurve {
    PumpCurve::from_points(&[
        (0.0, 2.4 * s),
        (1000.0 / 3.6e6 * n, 1.9 * s),
        (2000.0 / 3.6e6 * n, 0.9 * s),
        (2500.0 / 3.6e6 * n, 0.0),
    ])
    .unwrap()
}

/// Of bed `i`; a second round of names is numbered.
fn name(i: usize) -> String {
    let name = NAMES[i % NAMES.len()];
    match i / NAMES.len() {
        0 => name.to_owned(),
        round => format!("{name} {}", round + 1),
    }
}

fn bed(wish: &Wish, i: usize) -> BedBuilder {
    let s = wish.scale;
    let x = f64::from(u32::try_from(i).unwrap());
    let floor = (0.95 + 0.01 * x) * s;
    let depth = wish.bed_shape.depth();
    let mut bed = Bed::builder(&name(i), wish.bed_shape.clone(), floor)
        .gravel(0.857 * depth, 0.40 - 0.005 * x)
        .grain(0.012)
        .guard(0.110, Some(0.006))
        .standpipe(0.0266, 0.643 * depth)
        .flare(0.040)
        .bell(0.078, 0.025)
        .slots(6, 0.012, 0.025_f64.min(0.2 * depth))
        .outlet(floor - 0.33 * s)
        .losses(DrainLosses::Computed {
            length: 0.6 * s,
            k: 1.5,
            roughness: PLASTIC_ROUGHNESS,
        });
    if wish.air_tube {
        bed = bed.air_tube(0.008, 0.030);
    }
    if wish.line {
        bed = bed.into_line(3.0 * s * (x + 1.0) / count(wish));
    }
    if wish.steady.is_none() {
        bed = bed.inlet(Inlet::Piped(Branch {
            level: floor + depth + 0.05,
            run: pipe(0.015, 0.6, 2.0),
            valve: Some(Valve {
                kind: ValveKind::Ball,
                opening: 0.6,
            }),
            anti_siphon_hole: None,
        }));
    }
    bed
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
