//! Invented systems that work: random, from a seed.

use crate::support::{LITRE_PER_MINUTE, bed, system};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use ebbwright::network::supply::SupplyTree;
use ebbwright::simulation::Regime;
use ebbwright::siphon::InflowWindow;
use ebbwright::siphon::best_inflow;
use ebbwright::study::why::{Dice, Sight};

/// A number between `low` and `high`.
pub fn between(dice: &mut Dice, low: f64, high: f64) -> f64 {
    low + (high - low) * dice.unit()
}

fn chance(dice: &mut Dice, share: f64) -> bool {
    dice.unit() < share
}

/// The next system that cycles as built, with a sump that neither spills nor runs dry.
pub fn healthy(dice: &mut Dice) -> System {
    loop {
        let system = any(dice);
        let nominal = system.coefficients.nominal();
        let Ok((sight, _)) = Sight::of(&system, &nominal, 8.0 * 3600.0) else {
            continue;
        };
        let works = sight
            .beds
            .iter()
            .all(|bed| bed.regime == Regime::Cycles && bed.period.is_some());
        if works && !sight.sump_spills && sight.ran_dry == 0.0 && sight.line_fill < 0.75 {
            return system;
        }
    }
}

fn any(dice: &mut Dice) -> System {
    let count = 1 + (3.0 * dice.unit()) as usize;
    let piped = chance(dice, 0.6);
    let shared = !piped && chance(dice, 0.5);
    let on_line = count > 1 && chance(dice, 0.5);
    let (mut beds, mut flows) = (Vec::new(), Vec::new());
    for i in 0..count {
        let (bed, flow) = any_bed(dice, i, on_line);
        beds.push(bed);
        flows.push(flow);
    }
    let total: f64 = flows.iter().sum();
    for (bed, flow) in beds.iter_mut().zip(&flows) {
        bed.inlet = if piped {
            Inlet::Piped(Branch {
                level: bed.rim_level() + 0.05,
                run: PipeRun {
                    bore: 0.015,
                    length: 0.8,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 2.0,
                },
                valve: Some(Valve {
                    kind: ValveKind::Ball,
                    opening: between(dice, 0.5, 0.75),
                }),
                anti_siphon_hole: None,
            })
        } else if shared {
            Inlet::Share(flow / total)
        } else {
            Inlet::Measured(*flow)
        };
    }
    let mut system = system(beds, total, Duration::Fixed(6.0 * 3600.0));
    let n = count as f64;
    system.sump.shape = VesselShape::Box {
        length: between(dice, 0.9, 1.3) * n,
        width: 0.8,
        depth: 0.6,
    };
    system.sump.start_level = between(dice, 0.38, 0.48);
    system.sump.overflow_level = 0.55;
    if piped {
        let lift = 1.7;
        let head = between(dice, 1.5, 2.2) * lift;
        let curve = |open: f64| {
            let shape = [(0.0, 1.0), (0.35, 0.83), (0.7, 0.5), (1.0, 0.0)];
            PumpCurve::from_points(&shape.map(|(q, h)| (q * open, h * head)))
                .expect("a falling curve")
        };
        // The pump that gives all beds together what they want.
        let (mut low, mut high) = (total, 30.0 * total);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            system.pump.source = PumpSource::Curve(curve(middle));
            let got: f64 = SupplyTree::new(&system).duty(0.35).bed_flows.iter().sum();
            if got < total {
                low = middle
            } else {
                high = middle
            }
        }
    }
    if on_line {
        system.drain_line = Some(DrainLine {
            run: PipeRun {
                bore: between(dice, 0.050, 0.080),
                length: 1.0 + n,
                roughness: PLASTIC_ROUGHNESS,
                k: 0.5,
            },
            slope: 0.02,
            outlet: 0.56,
            vented: true,
        });
    }
    if chance(dice, 0.35) {
        system.evaporation = 6e-3 / 86_400.0 * n;
        system.top_off = Some(TopOff {
            level: 0.13,
            flow: 2.0 * LITRE_PER_MINUTE,
            bore: 0.008,
            reservoir: None,
        });
    }
    if chance(dice, 0.25) {
        system.pump.schedule = Some(Schedule {
            on: between(dice, 2700.0, 7200.0),
            off: 900.0,
        });
    }
    system
}

/// A bed and the inflow that suits it `[m3/s]`.
fn any_bed(dice: &mut Dice, i: usize, on_line: bool) -> (Bed, f64) {
    let floor = between(dice, 1.05, 1.25);
    let outlet = if on_line {
        0.75
    } else {
        between(dice, 0.57, 0.70)
    };
    let mut bed = bed(
        &format!("bed {}", i + 1),
        floor,
        floor - outlet,
        Inlet::Share(1.0),
    );
    bed.shape = VesselShape::Box {
        length: between(dice, 0.9, 1.4),
        width: between(dice, 0.7, 1.1),
        depth: 0.35,
    };
    bed.media.void = between(dice, 0.36, 0.46);
    if chance(dice, 0.3) {
        bed.media.grain = Some(between(dice, 0.010, 0.020));
        bed.guard = Some(Guard {
            diameter: 0.125,
            slot_area: Some(between(dice, 0.005, 0.010)),
        });
    }
    let bores = [0.0158, 0.0212, 0.0266];
    let bore = bores[(3.0 * dice.unit()) as usize];
    let lip_height = between(dice, 0.18, 0.24);
    bed.siphon.standpipe = Standpipe {
        bore,
        outside: bore + 0.006,
        lip_height,
        lip_diameter: bore,
    };
    let bell = 2.9 * bore;
    bed.siphon.bell = Bell {
        bore: bell,
        outside: bell + 0.006,
        clearance: between(dice, 0.8, 1.2) * bore,
        slots: Slots {
            count: 6,
            width: between(dice, 0.40, 0.6) * bore,
            height: 0.025,
        },
        air_tube: chance(dice, 0.4).then_some(AirTube {
            bore: 0.4 * bore,
            mouth_height: 0.045,
        }),
        air_leak: 0.0,
    };
    bed.siphon.drain = Drain {
        outlet,
        losses: DrainLosses::Computed {
            length: floor + lip_height - outlet + 0.1,
            k: 0.9,
            roughness: PLASTIC_ROUGHNESS,
        },
        into: if on_line {
            DrainTarget::Line { at: 1.0 + i as f64 }
        } else {
            DrainTarget::Sump
        },
    };
    let water = ebbwright::hydraulics::water::Water::at(20.0).expect("20 degC is in range");
    let window = |bed: &Bed| InflowWindow::new(bed, &water, &Coefficients::default(), outlet);
    let own = window(&bed);
    let mut untubed = bed.clone();
    untubed.siphon.bell.air_tube = None;
    let needs_tube = 1.1 * window(&untubed).breaks_below().nominal;
    // Half of the tubes are there because the siphon would not break without.
    let flow = if needs_tube < own.breaks_below().nominal / 1.1 && chance(dice, 0.5) {
        between(dice, needs_tube, own.breaks_below().nominal / 1.1)
    } else {
        best_inflow(own.start, own.breaks_below()).flow * between(dice, 0.9, 1.1)
    };
    (bed, flow)
}
