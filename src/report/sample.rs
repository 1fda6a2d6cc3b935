//! An invented system with invented results, for the tests of this folder.
//! Its figures are chosen to exercise the wording, not to be hydraulics.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use crate::assessment::why::{
    BreakSeen, BreaksWhy, DryLayerWhy, InflowRatioWhy, LoadWhy, PastIt, SumpHighWhy, SumpSeen,
};
use crate::assessment::{
    Assessment, BedVerdict, Caution, Check, CheckId, CheckUnit, Note, Status, Subject, SumpBounds,
    Verdict, Why,
};
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    Band, Bed, BedBuilder, Branch, DrainLine, DrainLosses, Duration, Inlet, Supply, System,
};
use crate::report::Report;
use crate::simulation::{
    BedOutcome, BedSeries, Coincidence, Cycle, LineOutcome, PumpOutcome, Recording, Regime,
    RegimeSpan, Run, RunEnd, SiphonMode, Spread, SumpOutcome, SupplyOutcome, Work,
};
use crate::units::UnitSystem;

const L_PER_MIN: f64 = 1e-3 / 60.0;

pub(crate) struct Sample {
    pub system: System,
    pub run: Run,
    pub assessment: Assessment,
}

impl Sample {
    /// Two beds, the first cycling, the second running on.
    pub fn new() -> Self {
        Self {
            system: system(),
            run: run(),
            assessment: assessment(),
        }
    }

    pub fn report(&self, units: UnitSystem) -> Report<'_> {
        Report::new(&self.system, &self.run, &self.assessment, units)
    }

    /// The first bed alone, with nothing to complain about.
    pub fn passing() -> Self {
        let mut sample = Self::new();
        sample.system.beds.truncate(1);
        sample.system.drain_line = None;
        sample.run.beds.truncate(1);
        sample.run.line = None;
        sample.run.recording.beds.truncate(1);
        sample.run.coincidences.clear();
        sample.run.meetings = 0;
        sample.run.ended = RunEnd::Settled { at: 5200.0 };
        sample.assessment.beds.truncate(1);
        sample
            .assessment
            .checks
            .retain(|check| check.status == Status::Pass);
        sample.run.pump.head = None;
        sample.assessment.verdict = Status::Pass;
        sample
    }
}

fn pipe(bore: f64, length: f64) -> PipeRun {
    PipeRun {
        bore,
        length,
        roughness: 1.5e-6,
        k: 2.0,
    }
}

fn bed(name: &str) -> BedBuilder {
    let shape = VesselShape::Box {
        length: 1.2,
        width: 1.0,
        depth: 0.35,
    };
    Bed::builder(name, shape, 0.95)
        .gravel(0.30, 0.40)
        .inlet(Inlet::Piped(Branch {
            level: 1.35,
            run: pipe(0.015, 0.6),
            valve: None,
            anti_siphon_hole: None,
        }))
        .standpipe(0.0266, 0.225)
        .bell(0.078, 0.025)
        .outlet(0.62)
        .losses(DrainLosses::Computed {
            length: 0.6,
            k: 1.8,
            roughness: 1.5e-6,
        })
        .into_line(3.0)
}

fn system() -> System {
    let tub = VesselShape::Box {
        length: 0.8,
        width: 0.6,
        depth: 0.6,
    };
    let mut system = System::builder()
        .title("Two invented beds")
        .duration(Duration::Fixed(43_200.0))
        .ceiling(2.3)
        .sump(tub, 0.0)
        .sump_levels(0.50, 0.53)
        .steady_flow(20.0 * L_PER_MIN)
        .intake(0.05)
        .supply(Supply {
            trunk: pipe(0.0266, 3.0),
            bypass: None,
        })
        .bed(bed("north"))
        .bed(bed("south"))
        .drain_line(DrainLine {
            run: pipe(0.0525, 3.0),
            slope: 0.02,
            outlet: 0.55,
            vented: true,
        })
        .build()
        .unwrap();
    system.pump.minimum_cover = 0.06;
    system
}

fn cycle(began: f64, fill: f64) -> Cycle {
    Cycle {
        began,
        fill,
        trickle: 20.0,
        prime: 3.2,
        drain: 300.0,
        peak_level: 1.193,
        water: 0.105,
        sump_level: 0.49,
        sump_range: (0.36, 0.49),
        left_depth: 0.0,
        left_volume: 0.0,
    }
}

fn outcome(regime: Regime) -> BedOutcome {
    BedOutcome {
        regime,
        regime_powered: regime,

        tends_to: regime,
        regimes: vec![RegimeSpan {
            from: 0.0,
            to: 43_200.0,
            regime,
        }],
        cycles: vec![cycle(100.0, 730.0), cycle(1133.2, 736.8)],
        cycle_count: 2,
        peak_level: 1.193,
        first_peak_level: 1.1931,
        break_level: 0.976,
        inflow: Spread {
            mean: 9.8 * L_PER_MIN,
            min: 9.6 * L_PER_MIN,
            max: 10.1 * L_PER_MIN,
        },
        inflow_powered: Spread {
            mean: 9.8 * L_PER_MIN,
            min: 9.6 * L_PER_MIN,
            max: 10.1 * L_PER_MIN,
        },
        inflow_least_at_start: Some(9.7 * L_PER_MIN),
        inflow_most_at_break: Some(10.0 * L_PER_MIN),
        inflow_pumped: Some((9.6 * L_PER_MIN, 10.1 * L_PER_MIN)),
        siphon_flow_at_start: Some(31.0 * L_PER_MIN),
        siphon_flow_at_break: Some(24.0 * L_PER_MIN),
        crown_pressure_min: 95_000.0,
        overflowed: 0.0,
        came_up: None,
        last_mode: SiphonMode::Filling,
        last_level: 1.25,
        left_level: Some(0.976),
    }
}

fn run() -> Run {
    let mut south = outcome(Regime::RunsOn);
    south.cycles.clear();
    south.cycle_count = 0;
    south.regimes = vec![
        RegimeSpan {
            from: 0.0,
            to: 7200.0,
            regime: Regime::Unfinished,
        },
        RegimeSpan {
            from: 7200.0,
            to: 43_200.0,
            regime: Regime::RunsOn,
        },
    ];
    south.siphon_flow_at_break = None;
    south.inflow_most_at_break = None;
    south.first_peak_level = 1.21;
    south.peak_level = 1.26;
    Run {
        duration: 43_200.0,
        ended: RunEnd::TimeReached,
        beds: vec![outcome(Regime::Cycles), south],
        sump: SumpOutcome {
            level: Spread {
                mean: 0.41,
                min: 0.312,
                max: 0.498,
            },
            highest_powered: 0.498,
            ran_dry: 0.0,
            overflowed: 0.0,
        },
        pump: PumpOutcome {
            flow: Spread {
                mean: 19.6 * L_PER_MIN,
                min: 19.2 * L_PER_MIN,
                max: 20.2 * L_PER_MIN,
            },
            head: Some(Spread {
                mean: 1.1,
                min: 1.0,
                max: 1.2,
            }),
            energy_kwh_day: Some(0.912),
            powered: 43_200.0,
            pumping: 43_200.0,
        },
        line: Some(LineOutcome {
            peak_flow: 55.0 * L_PER_MIN,
            capacity: 110.0 * L_PER_MIN,
            half_full: 52.0 * L_PER_MIN,
            peak_fill: 0.52,
            fill: Band::new(0.48, 0.52, 0.61),
            fullest_bed: 1,
            surcharged: 0.0,
            peak_grade: 0.64,
            largest_bed: 0,
        }),
        tank: None,
        top_off: None,
        supply: SupplyOutcome::default(),
        incidents: Vec::new(),
        residual: -3e-14,
        water_at_start: 0.31,
        coincidences: vec![Coincidence {
            time: 11_400.0,
            first: 0,
            second: 1,
        }],
        meetings: 1,
        events: Vec::new(),
        event_count: 0,
        recording: recording(),
        work: Work {
            steps: 4200,
            evaluations: 25_300,
            events: 246,
        },
    }
}

fn recording() -> Recording {
    let series = |level: f64, mode| BedSeries {
        level: vec![level, level + 0.1],
        guard_level: vec![level, level + 0.1],
        inflow: vec![1.6e-4, 1.61e-4],
        siphon_flow: vec![0.0, -0.0],
        mode: vec![mode, SiphonMode::FullBore],
    };
    Recording {
        time: vec![0.0, 10.0],
        beds: vec![
            series(1.0, SiphonMode::Filling),
            series(1.01, SiphonMode::RunningOn),
        ],
        sump_level: vec![0.5, 0.4],
        pump_flow: vec![3.3e-4, f64::NAN],
        pump_head: vec![1.0, 1.1],
        line_flow: vec![0.0, 9.1e-4],
        line_fill: vec![0.0, 0.52],
        ..Recording::default()
    }
}

fn band(low: f64, nominal: f64, high: f64) -> Band {
    Band::new(low * L_PER_MIN, nominal * L_PER_MIN, high * L_PER_MIN)
}

fn verdict(will_break: Verdict, inflow_at_break: f64) -> BedVerdict {
    BedVerdict {
        start_flow: band(5.5, 8.2, 9.0),
        run_on_flow: band(9.5, 12.1, 15.0),
        stall_flow: band(20.0, 24.0, 26.0),
        inflow_at_start: 9.7 * L_PER_MIN,
        inflow_at_break: inflow_at_break * L_PER_MIN,
        will_start: Verdict::Will,
        will_break,
    }
}

fn check(
    id: CheckId,
    subject: Subject,
    status: Status,
    figures: [f64; 3],
    unit: CheckUnit,
) -> Check {
    let [value, limit, margin] = figures;
    Check {
        id,
        subject,
        status,
        value,
        limit,
        margin,
        unit,
        why: why(id, figures),
        basis: "common practice, no source",
    }
}

fn why(id: CheckId, [value, limit, margin]: [f64; 3]) -> Why {
    match id {
        CheckId::DryLayer => Why::DryLayer(DryLayerWhy {
            left: value,
            foreseen: false,
            worst: value,
            allowance: 0.005,
            wanted: limit,
        }),
        CheckId::SumpHigh => Why::SumpHigh(SumpHighWhy {
            high: value,
            overflow: limit,
            wanted: 0.05,
            lost: None,
            topped_up: false,
            seen: SumpSeen::RoseTo(value),
            hole: None,
            by_hole: false,
            filled: value,
            from_supply: 0.0,
            from_beds: 0.0,
        }),
        CheckId::Breaks => Why::Breaks(BreaksWhy {
            inflow: value,
            most: Band::exact(limit),
            seen: BreakSeen::Met,
            past: PastIt::RunsOn,
            under_water: None,
            breaks_anyway: false,
            never: Some(Regime::RunsOn),
        }),
        CheckId::InflowRatio => Why::InflowRatio(InflowRatioWhy {
            inflow: value,
            siphon: 1.0,
            limit,
            most: 0.7,
            over_outlet: margin,
        }),
        _ => Why::SumpLoad(LoadWhy {
            load: value,
            dwelling: (limit, limit),
        }),
    }
}

fn assessment() -> Assessment {
    use CheckUnit::{CubicMetrePerSecond, FloorLoad, Metre, Ratio};
    Assessment {
        verdict: Status::Fail,
        beds: vec![
            verdict(Verdict::Will, 10.0),
            verdict(Verdict::WillNot, 10.1),
        ],
        sump: SumpBounds {
            low: 0.25,
            high: 0.52,
            dead_siphons: 0.2,
        },
        checks: vec![
            check(
                CheckId::DryLayer,
                Subject::Bed(0),
                Status::Pass,
                [0.057, 0.05, 0.007],
                Metre,
            ),
            check(
                CheckId::SumpHigh,
                Subject::Sump,
                Status::Warn,
                [0.52, 0.48, -0.04],
                Metre,
            ),
            check(
                CheckId::Breaks,
                Subject::Bed(1),
                Status::Fail,
                [14.2 * L_PER_MIN, 12.1 * L_PER_MIN, -2.1 * L_PER_MIN],
                CubicMetrePerSecond,
            ),
            check(
                CheckId::InflowRatio,
                Subject::Bed(0),
                Status::Pass,
                [0.41, 0.5, 0.09],
                Ratio,
            ),
            check(
                CheckId::FloorLoad,
                Subject::SettlerStay,
                Status::Pass,
                [5700.0, 1900.0, -3800.0],
                FloorLoad,
            ),
        ],
        cautions: vec![Caution::Mains],
        notes: vec![Note::EstimatedPump],
        garden: Default::default(),
    }
}
