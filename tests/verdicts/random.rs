//! Invented systems drawn at random: several beds, every shape, shared lines,
//! drowned outlets, inlets under water, tight sumps, too much and too little inflow.

use crate::support::{self, LITRE_PER_MINUTE};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use proptest::prelude::*;

fn bed_shape() -> impl Strategy<Value = VesselShape> {
    let depth = 0.30..0.45;
    prop_oneof![
        (0.4..1.5, 0.3..1.2, depth.clone()).prop_map(|(length, width, depth)| {
            VesselShape::Box {
                length,
                width,
                depth,
            }
        }),
        (0.5..1.2, depth.clone())
            .prop_map(|(diameter, depth)| VesselShape::UprightCylinder { diameter, depth }),
        (0.4..1.5, 0.3..1.2, 0.6..1.0, depth.clone()).prop_map(|(length, width, waist, depth)| {
            VesselShape::Tapered {
                top_length: length,
                top_width: width,
                bottom_length: waist * length,
                bottom_width: waist * width,
                depth,
            }
        }),
        (0.6..0.9, 0.8..1.2)
            .prop_map(|(diameter, length)| VesselShape::LyingCylinder { diameter, length }),
        (0.6..1.2, 0.5..1.0, depth.clone()).prop_map(|(length, width, depth)| {
            VesselShape::HalfDrum {
                length,
                width,
                depth,
            }
        }),
    ]
}

fn sump_shape() -> impl Strategy<Value = VesselShape> {
    prop_oneof![
        (0.6..1.5, 0.5..1.2).prop_map(|(length, width)| VesselShape::Box {
            length,
            width,
            depth: 0.7
        }),
        (0.6..1.2).prop_map(|diameter| VesselShape::UprightCylinder {
            diameter,
            depth: 0.7
        }),
        (0.8..1.5).prop_map(|length| VesselShape::LyingCylinder {
            diameter: 0.7,
            length
        }),
    ]
}

#[derive(Debug, Clone)]
struct SiphonChoice {
    bore: f64,
    drop: f64,
    slot_width: f64,
    flare: f64,
    tube: Option<f64>,
    guard: bool,
    total_k: Option<f64>,
}

fn siphon() -> impl Strategy<Value = SiphonChoice> {
    (
        0.015..0.045,
        0.15..0.75,
        0.004..0.015,
        prop_oneof![2 => Just(1.0), 1 => 1.1..1.6],
        prop::option::weighted(0.5, 0.0015..0.008),
        prop::bool::ANY,
        prop::option::weighted(0.3, 2.0..20.0),
    )
        .prop_map(
            |(bore, drop, slot_width, flare, tube, guard, total_k)| SiphonChoice {
                bore,
                drop,
                slot_width,
                flare,
                tube,
                guard,
                total_k,
            },
        )
}

#[derive(Debug, Clone)]
struct BedChoice {
    shape: VesselShape,
    siphon: SiphonChoice,
    floor: f64,
    litres: f64,
    lip: f64,
    start: Option<f64>,
    inlet: f64,
    on_line: bool,
}

fn bed() -> impl Strategy<Value = BedChoice> {
    (
        bed_shape(),
        siphon(),
        0.75..1.2,
        prop_oneof![3 => 3.0..25.0, 1 => 25.0..70.0],
        0.15..0.26,
        prop::option::weighted(0.4, 0.0..0.28),
        prop_oneof![1 => 0.0..0.03, 3 => 0.0..0.5],
        prop::bool::weighted(0.7),
    )
        .prop_map(
            |(shape, siphon, floor, litres, lip, start, inlet, on_line)| BedChoice {
                shape,
                siphon,
                floor,
                litres,
                lip,
                start,
                inlet,
                on_line,
            },
        )
}

/// Any system of one to three beds.
pub fn system() -> impl Strategy<Value = System> {
    (
        prop::collection::vec(bed(), 1..=3),
        sump_shape(),
        0.12..0.55,
        0.01..0.15,
        prop::option::weighted(0.5, (0.026..0.07, 0.005..0.04, 0.0..0.25)),
        supply(),
    )
        .prop_map(|(choices, shape, start, spare, line, supply)| {
            build(&choices, shape, start, spare, line, &supply)
        })
}

/// Gravel of 2 to 16 mm, fouled up to 100 times, round siphons with a guard and without,
/// over a sump that seldom runs dry.
pub fn gravelly() -> impl Strategy<Value = System> {
    let gravel = (
        0.002_f64..0.016,
        0.0_f64..2.0,
        prop::option::of(20e-4..120e-4),
    );
    (system(), prop::collection::vec(gravel, 3)).prop_map(|(mut system, gravels)| {
        for (bed, (grain, decades, slots)) in system.beds.iter_mut().zip(gravels) {
            bed.media.grain = Some(grain);
            bed.media.fouling = 10_f64.powf(decades);
            if let Some(guard) = &mut bed.guard {
                guard.slot_area = slots;
            }
        }
        system.sump.shape = VesselShape::Box {
            length: 2.0,
            width: 1.5,
            depth: 0.7,
        };
        system
    })
}

#[derive(Debug, Clone)]
struct SupplyChoice {
    piped: bool,
    check_valve: bool,
    /// Loss of a bypass that ends low and can draw the beds back.
    bypass: Option<f64>,
}

fn supply() -> impl Strategy<Value = SupplyChoice> {
    (
        prop::bool::ANY,
        prop::bool::ANY,
        prop::option::weighted(0.4, 2.0..200.0),
    )
        .prop_map(|(piped, check_valve, bypass)| SupplyChoice {
            piped,
            check_valve,
            bypass,
        })
}

fn build(
    choices: &[BedChoice],
    shape: VesselShape,
    start: f64,
    spare: f64,
    line: Option<(f64, f64, f64)>,
    supply: &SupplyChoice,
) -> System {
    let total: f64 = choices.iter().map(|c| c.litres).sum::<f64>() * LITRE_PER_MINUTE;
    let lowest_floor = choices
        .iter()
        .map(|c| c.floor)
        .fold(f64::INFINITY, f64::min);
    let line = line.map(|(bore, slope, above)| DrainLine {
        run: PipeRun {
            bore,
            length: 3.0,
            roughness: PLASTIC_ROUGHNESS,
            k: 1.0,
        },
        slope,
        outlet: (lowest_floor - 0.35 + above).max(0.2),
        vented: true,
    });
    let beds = choices
        .iter()
        .enumerate()
        .map(|(i, choice)| {
            let at = 3.0 - i as f64;
            let line = line.as_ref().filter(|_| choice.on_line);
            build_bed(
                choice,
                i,
                total,
                line.map(|line| (at, line.invert(at))),
                supply.piped,
            )
        })
        .collect();
    let mut system = support::system(beds, total, Duration::Fixed(2.0 * 3600.0));
    system.sump.shape = shape;
    system.sump.start_level = start;
    system.sump.overflow_level = (start + spare).min(0.69);
    system.drain_line = line;
    system.pump.check_valve = supply.check_valve;
    if supply.piped {
        system.supply.bypass = supply.bypass.map(|k| branch(0.7, k));
        system.pump.source = PumpSource::Curve(
            PumpCurve::from_points(&[
                (0.0, 2.2),
                (0.5 * total, 1.9),
                (1.2 * total, 1.2),
                (2.0 * total, 0.0),
            ])
            .unwrap(),
        );
    }
    system
}

fn branch(level: f64, k: f64) -> Branch {
    Branch {
        anti_siphon_hole: None,
        level,
        run: PipeRun {
            bore: 0.016,
            length: 1.0,
            roughness: PLASTIC_ROUGHNESS,
            k,
        },
        valve: None,
    }
}

fn build_bed(
    choice: &BedChoice,
    i: usize,
    total: f64,
    line: Option<(f64, f64)>,
    piped: bool,
) -> Bed {
    let flow = choice.litres * LITRE_PER_MINUTE;
    let floor = choice.floor;
    let inlet = if piped {
        Inlet::Piped(branch(floor + choice.inlet, 4.0))
    } else {
        Inlet::Share(flow / total)
    };
    let mut bed = support::bed(&format!("bed {}", i + 1), floor, choice.siphon.drop, inlet);
    bed.shape = choice.shape.clone();
    let depth = choice.shape.depth().min(0.45);
    bed.rim_height = depth - 0.01;
    bed.media.depth = depth - 0.05;
    bed.start_depth = choice.start;
    let pick = &choice.siphon;
    let siphon = &mut bed.siphon;
    siphon.standpipe = Standpipe {
        bore: pick.bore,
        outside: pick.bore + 0.005,
        lip_height: choice.lip,
        lip_diameter: pick.bore * pick.flare,
    };
    siphon.bell.bore = 2.2 * pick.bore + 0.02;
    siphon.bell.outside = siphon.bell.bore + 0.006;
    siphon.bell.clearance = 0.7 * pick.bore;
    siphon.bell.slots.width = pick.slot_width;
    siphon.bell.air_tube = pick.tube.map(|bore| AirTube {
        bore,
        mouth_height: 0.035,
    });
    if let Some((at, invert)) = line {
        siphon.drain.into = DrainTarget::Line { at };
        siphon.drain.outlet = siphon.drain.outlet.max(invert + 0.01).min(floor - 0.02);
    }
    if let Some(k) = pick.total_k {
        siphon.drain.losses = DrainLosses::Total { k };
    }
    if pick.guard {
        let diameter = siphon.bell.outside + 0.03;
        bed.guard = Some(Guard {
            diameter,
            slot_area: None,
        });
    }
    bed
}

/// Coefficient values within their bands; the ends are drawn often.
pub fn values() -> impl Strategy<Value = CoefficientValues> {
    let end = prop_oneof![Just(0.0), Just(1.0), 0.0..1.0];
    prop::collection::vec(end, Coefficient::ALL.len()).prop_map(|shares| {
        let bands = Coefficients::default();
        Coefficient::ALL
            .into_iter()
            .zip(shares)
            .fold(bands.nominal(), |values, (which, share)| {
                let band = bands[which];
                values.with(which, band.low + share * (band.high - band.low))
            })
    })
}
