//! Invented systems near enough to a working one that most beds have an answer.

use crate::support::{self, LITRE_PER_MINUTE};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use proptest::prelude::*;

#[derive(Debug, Clone)]
struct Choice {
    shape: usize,
    size: (f64, f64, f64),
    media: f64,
    void: f64,
    bore: f64,
    flare: f64,
    clearance: f64,
    slots: (f64, f64),
    tube: bool,
    guard: bool,
    drop: f64,
    /// Inflow over the nominal start flow.
    strength: f64,
    present: f64,
    floor: f64,
    grain: Option<f64>,
}

fn choice() -> impl Strategy<Value = Choice> {
    (
        (
            0_usize..4,
            (0.7..1.6, 0.6..1.2, 0.30..0.42),
            0.75..1.0,
            0.30..0.50,
        ),
        (
            0.014..0.034,
            prop_oneof![2 => Just(1.0), 1 => 1.2..1.6],
            0.6..1.4,
        ),
        ((0.008..0.016, 0.012..0.030), any::<bool>(), any::<bool>()),
        (
            0.45..0.85,
            1.05..1.6,
            0.3..0.9,
            0.0..0.03,
            prop::option::weighted(0.4, 0.008..0.020),
        ),
    )
        .prop_map(|(bed, siphon, bell, rest)| {
            let (shape, size, media, void) = bed;
            let (bore, flare, clearance) = siphon;
            let (slots, tube, guard) = bell;
            let (drop, strength, present, floor, grain) = rest;
            Choice {
                shape,
                size,
                media,
                void,
                bore,
                flare,
                clearance,
                slots,
                tube,
                guard,
                drop,
                strength,
                present,
                floor,
                grain,
            }
        })
}

/// One to three beds: steady or pumped, straight to the sump or into a line.
pub fn system() -> impl Strategy<Value = System> {
    (
        prop::collection::vec(choice(), 1..=3),
        any::<bool>(),
        prop::bool::weighted(0.4),
    )
        .prop_map(|(choices, pumped, line)| build(&choices, pumped, line))
}

fn build(choices: &[Choice], pumped: bool, line: bool) -> System {
    let start = |choice: &Choice| {
        0.45 * std::f64::consts::FRAC_PI_4 * choice.bore.powi(2) * (9.80665 * choice.bore).sqrt()
    };
    let flows: Vec<f64> = choices
        .iter()
        .map(|choice| choice.strength * start(choice))
        .collect();
    let total: f64 = flows.iter().sum();
    let count = choices.len() as f64;
    let beds = choices
        .iter()
        .zip(&flows)
        .enumerate()
        .map(|(i, (choice, flow))| {
            let floor = 1.0 + choice.floor;
            let inlet = if pumped {
                // A throttle that makes the flow depend little on the other beds.
                let run = PipeRun {
                    bore: 0.016,
                    length: 1.0,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 1.0,
                };
                let opening = (0.25 + 0.8 * flow / (25.0 * LITRE_PER_MINUTE)).min(1.0);
                let valve = Some(Valve {
                    kind: ValveKind::Ball,
                    opening,
                });
                Inlet::Piped(Branch {
                    level: floor + 0.5,
                    run,
                    valve,
                    anti_siphon_hole: None,
                })
            } else {
                Inlet::Share(flow / total)
            };
            bed(choice, i, floor, inlet, line)
        })
        .collect();
    let mut system = support::system(beds, total, Duration::Fixed(4.0 * 3600.0));
    system.sump.shape = VesselShape::Box {
        length: 1.6 * count,
        width: 0.9,
        depth: 0.5,
    };
    system.sump.start_level = 0.30;
    system.sump.overflow_level = 0.48;
    if choices.len() == 1 {
        system.duration = Duration::UntilSettled {
            at_most: 48.0 * 3600.0,
        };
    }
    if line {
        system.drain_line = Some(DrainLine {
            run: PipeRun {
                bore: 0.075,
                length: 1.0 + count,
                roughness: PLASTIC_ROUGHNESS,
                k: 0.5,
            },
            slope: 0.02,
            outlet: 0.5,
            vented: true,
        });
    }
    if pumped {
        let curve = [
            (0.0, 2.8),
            (0.6 * total, 2.4),
            (1.4 * total, 1.7),
            (2.6 * total, 0.0),
        ];
        system.pump.source = PumpSource::Curve(PumpCurve::from_points(&curve).unwrap());
        system.supply.trunk.bore = 0.04;
    }
    system
}

fn bed(choice: &Choice, i: usize, floor: f64, inlet: Inlet, line: bool) -> Bed {
    let (length, width, depth) = choice.size;
    let mut bed = support::bed(&format!("bed {}", i + 1), floor, choice.drop, inlet);
    bed.shape = match choice.shape {
        0 => VesselShape::Box {
            length,
            width,
            depth,
        },
        1 => VesselShape::UprightCylinder {
            diameter: width,
            depth,
        },
        2 => VesselShape::Tapered {
            top_length: length,
            top_width: width,
            bottom_length: 0.85 * length,
            bottom_width: 0.8 * width,
            depth,
        },
        _ => VesselShape::LyingCylinder {
            diameter: 2.0 * depth,
            length,
        },
    };
    bed.rim_height = depth;
    bed.media = Media {
        depth: choice.media * depth,
        void: choice.void,
        grain: choice.grain,
        fouling: 1.0,
    };
    let (slot_width, crown) = choice.slots;
    let lip = crown + 0.02 + choice.present * (depth - crown - 0.04);
    let siphon = &mut bed.siphon;
    siphon.standpipe = Standpipe {
        bore: choice.bore,
        outside: choice.bore + 0.006,
        lip_height: lip,
        lip_diameter: choice.bore * choice.flare,
    };
    siphon.bell.bore = 2.4 * choice.bore + 0.012;
    siphon.bell.outside = siphon.bell.bore + 0.006;
    siphon.bell.clearance = choice.clearance * choice.bore;
    siphon.bell.slots = Slots {
        count: 6,
        width: slot_width,
        height: crown,
    };
    siphon.bell.air_tube = choice.tube.then_some(AirTube {
        bore: 0.008,
        mouth_height: crown + 0.01,
    });
    let diameter = siphon.bell.outside + 0.03;
    bed.guard = choice.guard.then_some(Guard {
        diameter,
        slot_area: None,
    });
    if line {
        siphon.drain.into = DrainTarget::Line { at: 1.0 + i as f64 };
        siphon.drain.outlet = siphon
            .drain
            .outlet
            .max(0.5 + 0.02 * (1.0 + i as f64) + 0.05);
    }
    let outlet = siphon.drain.outlet;
    siphon.drain.losses = DrainLosses::Computed {
        length: floor + lip - outlet + 0.15,
        k: 0.9,
        roughness: PLASTIC_ROUGHNESS,
    };
    bed
}
