//! Invented systems with plausible runs, for tests of the drawings only.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use crate::assessment::{Assessment, BedVerdict, Status, SumpBounds, Verdict};
use crate::hydraulics::friction::PLASTIC_ROUGHNESS;
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::hydraulics::water::Water;
use crate::model::{
    AirTube, Band, Bed, Bell, Branch, Coefficient, Coefficients, Drain, DrainLine, DrainLosses,
    DrainTarget, Duration, Guard, Inlet, Media, Pump, PumpSource, Siphon, Slots, Standpipe, Sump,
    Supply, System, Thresholds, Valve,
};
use crate::network::drain_line::DrainLineLaw;
use crate::network::supply::SupplyTree;
use crate::simulation::{
    BedOutcome, BedSeries, Cycle, Event, EventKind, LineOutcome, PumpOutcome, Recording, Regime,
    RegimeSpan, Run, RunEnd, SiphonMode, Spread, SumpOutcome, Work,
};
use crate::siphon::SiphonLaw;

/// What to invent.
#[derive(Debug, Clone)]
pub(super) struct Wish {
    pub(super) beds: usize,
    pub(super) line: bool,
    pub(super) steady: bool,
    pub(super) sump: VesselShape,
    pub(super) bed_shape: VesselShape,
    pub(super) hours: f64,
    /// Pump strength over what suits the beds.
    pub(super) pump: f64,
    /// Every length of the room multiplied by this.
    pub(super) scale: f64,
    pub(super) air_tube: bool,
    pub(super) title: String,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            beds: 1,
            line: true,
            steady: false,
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
            pump: 1.0,
            scale: 1.0,
            air_tube: true,
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
        (1000.0 / 3.6e6 * n * wish.pump, 1.9 * s),
        (2000.0 / 3.6e6 * n * wish.pump, 0.9 * s),
        (2500.0 / 3.6e6 * n * wish.pump, 0.0),
    ])
    .unwrap();
    let beds = (0..wish.beds)
        .map(|i| {
            let x = f64::from(u32::try_from(i).unwrap());
            let floor = (0.95 + 0.01 * x) * s;
            let depth = wish.bed_shape.depth();
            let lip = floor + 0.643 * depth;
            let crown = floor + 0.025_f64.min(0.2 * depth);
            Bed {
                name: NAMES[i % NAMES.len()].to_owned(),
                floor,
                shape: wish.bed_shape.clone(),
                rim: floor + depth,
                media: Media {
                    depth: 0.857 * depth,
                    void: 0.40 - 0.005 * x,
                    grain: Some(0.012),
                },
                guard: Some(Guard {
                    diameter: 0.110,
                    slot_area: Some(0.006),
                }),
                inlet: if wish.steady {
                    Inlet::Share(1.0 / n)
                } else {
                    Inlet::Piped(Branch {
                        level: floor + depth + 0.05,
                        run: pipe(0.015, 0.6, 2.0),
                        valve: Some(Valve {
                            kind: ValveKind::Ball,
                            opening: 0.6,
                        }),
                    })
                },
                start_level: None,
                siphon: Siphon {
                    standpipe: Standpipe {
                        bore: 0.0266,
                        outside: 0.0334,
                        lip,
                        lip_diameter: 0.040,
                    },
                    bell: Bell {
                        bore: 0.078,
                        outside: 0.083,
                        clearance: 0.025,
                        slots: Slots {
                            count: 6,
                            width: 0.012,
                            height: crown - floor,
                            crown,
                        },
                        air_tube: wish.air_tube.then_some(AirTube {
                            bore: 0.008,
                            mouth: floor + 0.030,
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
        duration: Duration::Fixed(wish.hours * 3600.0),
        water: Water::at(20.0).unwrap(),
        ceiling: Some(2.3 * s),
        sump: Sump {
            shape: wish.sump.clone(),
            floor: 0.0,
            start_level: 0.87 * sump_depth,
            overflow_level: 0.93 * sump_depth,
        },
        pump: Pump {
            source: if wish.steady {
                PumpSource::Steady(n * 10.0 / 60_000.0)
            } else {
                PumpSource::Curve(curve)
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
            run: pipe(0.0525, 3.0 * s, 0.5),
            slope: 0.02,
            outlet: 0.55 * s,
            vented: true,
        }),
        tank: None,
        top_off: None,
        evaporation: 0.0,
        incidents: Vec::new(),
        coefficients: Coefficients::default(),
        thresholds: Thresholds::default(),
    }
}

/// Where one bed stands in the rough stepping below.
struct Stepping {
    law: SiphonLaw,
    volume: f64,
    mode: SiphonMode,
    since: f64,
    broke: Option<f64>,
    primed: f64,
    full: f64,
    peak: f64,
    cycles: Vec<Cycle>,
}

/// A run by plain steps of a few seconds: rough, but with the shapes of a real one.
pub(super) fn run(system: &System) -> Run {
    let Duration::Fixed(duration) = system.duration else {
        panic!("samples have a fixed duration")
    };
    let tree = SupplyTree::new(system);
    let nominal = system.coefficients.nominal();
    let line = DrainLineLaw::new(system, nominal.get(Coefficient::LineManning));
    let mut beds: Vec<Stepping> = system
        .beds
        .iter()
        .map(|bed| {
            let law = SiphonLaw::new(bed, &system.water, &nominal);
            let level = law.break_level(f64::NEG_INFINITY);
            Stepping {
                volume: bed.media.void * bed.shape.volume(level - bed.floor),
                law,
                mode: SiphonMode::Filling,
                since: 0.0,
                broke: None,
                primed: 0.0,
                full: 0.0,
                peak: 0.0,
                cycles: Vec::new(),
            }
        })
        .collect();
    let sump_volume = system
        .sump
        .shape
        .volume(system.sump.start_level - system.sump.floor);
    let total = sump_volume + beds.iter().map(|b| b.volume).sum::<f64>();
    let mut recording = Recording {
        beds: vec![BedSeries::default(); beds.len()],
        ..Recording::default()
    };
    let mut events = Vec::new();
    let (mut time, step) = (0.0, 4.0);
    while time <= duration {
        let in_beds: f64 = beds.iter().map(|b| b.volume).sum();
        let sump_level =
            system.sump.floor + system.sump.shape.depth_at((total - in_beds).max(1e-4));
        let duty = tree.duty(sump_level);
        let mut line_flow = 0.0;
        for (i, (state, bed)) in beds.iter_mut().zip(&system.beds).enumerate() {
            let level = bed.floor + bed.shape.depth_at(state.volume / bed.media.void);
            let tail = bed.siphon.drain.outlet;
            let law = &state.law;
            let siphon = match state.mode {
                SiphonMode::Filling => 0.0,
                SiphonMode::Spilling | SiphonMode::Priming => law.lip_flow(level, 0.0),
                SiphonMode::FullBore => law.full_flow(level - tail),
                SiphonMode::RunningOn => duty.bed_flows[i],
            };
            let series = &mut recording.beds[i];
            series.level.push(level);
            series.inflow.push(duty.bed_flows[i]);
            series.siphon_flow.push(siphon);
            series.mode.push(state.mode);
            state.peak = state.peak.max(level);
            line_flow += siphon;
            state.volume = (state.volume + step * (duty.bed_flows[i] - siphon)).max(0.0);
            let next = match state.mode {
                SiphonMode::Filling if level > law.lip() => SiphonMode::Spilling,
                SiphonMode::Spilling if siphon >= law.start_flow() => SiphonMode::Priming,
                SiphonMode::Priming
                    if time - state.since >= law.priming_time().unwrap_or(f64::INFINITY) =>
                {
                    SiphonMode::FullBore
                }
                SiphonMode::FullBore if level <= law.break_level(tail) => {
                    if duty.bed_flows[i] > law.run_on_flow(tail) {
                        SiphonMode::RunningOn
                    } else {
                        SiphonMode::Filling
                    }
                }
                mode => mode,
            };
            if next != state.mode {
                let kind = match next {
                    SiphonMode::Filling => EventKind::Broke(i),
                    SiphonMode::Spilling => EventKind::LipReached(i),
                    SiphonMode::Priming => EventKind::PrimingBegan(i),
                    SiphonMode::FullBore => EventKind::FullBoreBegan(i),
                    SiphonMode::RunningOn => EventKind::RunOnBegan(i),
                };
                match next {
                    SiphonMode::Priming => state.primed = time,
                    SiphonMode::FullBore => state.full = time,
                    SiphonMode::Filling => {
                        if let Some(began) = state.broke {
                            state.cycles.push(Cycle {
                                began,
                                fill: state.primed - began,
                                prime: state.full - state.primed,
                                drain: time - state.full,
                                peak_level: state.peak,
                                water: 0.0,
                                sump_level,
                            });
                        }
                        state.broke = Some(time);
                    }
                    _ => {}
                }
                events.push(Event { time, kind });
                state.mode = next;
                state.since = time;
            }
        }
        recording.time.push(time);
        recording.sump_level.push(sump_level);
        recording.pump_flow.push(duty.pump_flow);
        recording.pump_head.push(duty.pump_head.unwrap_or(f64::NAN));
        recording.line_flow.push(line_flow);
        recording.line_fill.push(0.4);
        time += step;
    }
    let outcomes = beds
        .iter()
        .zip(&recording.beds)
        .map(|(state, series)| outcome(state, series, duration))
        .collect();
    Run {
        duration,
        ended: RunEnd::TimeReached,
        beds: outcomes,
        sump: SumpOutcome {
            level: spread(&recording.sump_level),
            ran_dry: 0.0,
            overflowed: 0.0,
        },
        pump: PumpOutcome {
            flow: spread(&recording.pump_flow),
            head: spread(&recording.pump_head),
            energy_kwh_day: None,
        },
        line: line.map(|line| LineOutcome {
            peak_flow: spread(&recording.line_flow).max,
            capacity: line.capacity(),
            half_full: line.half_full(),
            peak_fill: 0.4,
            surcharged: 0.0,
            peak_grade: 0.6,
            largest_bed: 0,
        }),
        residual: 0.0,
        water_at_start: total,
        coincidences: Vec::new(),
        events,
        recording,
        work: Work::default(),
    }
}

fn outcome(state: &Stepping, series: &BedSeries, duration: f64) -> BedOutcome {
    let regime = match state.mode {
        SiphonMode::RunningOn => Regime::RunsOn,
        _ if !state.cycles.is_empty() => Regime::Cycles,
        SiphonMode::Spilling => Regime::Dribbles,
        SiphonMode::FullBore => Regime::Stalls,
        _ => Regime::NeverFills,
    };
    BedOutcome {
        regime,
        regimes: vec![RegimeSpan {
            from: 0.0,
            to: duration,
            regime,
        }],
        cycles: state.cycles.clone(),
        peak_level: state.peak,
        first_peak_level: state.peak,
        break_level: state.law.break_level(f64::NEG_INFINITY),
        inflow: spread(&series.inflow),
        inflow_least_at_start: None,
        inflow_most_at_break: None,
        siphon_flow_at_start: None,
        siphon_flow_at_break: None,
        crown_pressure_min: 95_000.0,
        overflowed: 0.0,
        last_mode: state.mode,
    }
}

fn spread(values: &[f64]) -> Spread {
    let count = f64::from(u32::try_from(values.len()).unwrap());
    Spread {
        mean: values.iter().sum::<f64>() / count,
        min: values.iter().copied().fold(f64::INFINITY, f64::min),
        max: values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    }
}

/// A verdict with bounds around what the run did.
pub(super) fn assessment(system: &System, run: &Run) -> Assessment {
    let verdict = BedVerdict {
        start_flow: Band::exact(1e-4),
        run_on_flow: Band::exact(3e-4),
        stall_flow: Band::exact(5e-4),
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
    }
}
