//! Invented systems that several test binaries build on.
#![allow(dead_code)]

use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::pump_curve::PumpCurve;
use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::hydraulics::water::Water;
use ebbwright::model::*;

/// Cubic metres per second in one litre per minute.
pub const LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;

/// A bed 1.2 m x 1.0 m with a 26.6 mm siphon falling `drop` from bed floor to outlet.
pub fn bed(name: &str, floor: f64, drop: f64, inlet: Inlet) -> Bed {
    Bed {
        name: name.to_owned(),
        floor,
        shape: VesselShape::Box {
            length: 1.2,
            width: 1.0,
            depth: 0.35,
        },
        rim_height: 0.35,
        media: Media {
            depth: 0.30,
            void: 0.40,
            grain: None,
            fouling: 1.0,
        },
        guard: None,
        inlet,
        start_depth: None,
        access: None,
        siphon: Siphon {
            standpipe: Standpipe {
                bore: 0.0266,
                outside: 0.0334,
                lip_height: 0.225,
                lip_diameter: 0.0266,
            },
            bell: Bell {
                bore: 0.078,
                outside: 0.084,
                clearance: 0.025,
                slots: Slots {
                    count: 6,
                    width: 0.012,
                    height: 0.025,
                },
                air_tube: None,
                air_leak: 0.0,
            },
            drain: Drain {
                outlet: floor - drop,
                losses: DrainLosses::Computed {
                    length: 0.225 + drop + 0.1,
                    k: 0.9,
                    roughness: PLASTIC_ROUGHNESS,
                },
                into: DrainTarget::Sump,
            },
        },
    }
}

/// Beds fed in equal shares of a steady `flow` [m3/s], over a roomy sump.
pub fn system(beds: Vec<Bed>, flow: f64, duration: Duration) -> System {
    System {
        title: "invented test system".to_owned(),
        duration,
        water: Water::at(20.0).expect("20 degC is in range"),
        ceiling: None,
        sump: Sump {
            shape: VesselShape::Box {
                length: 1.2,
                width: 0.8,
                depth: 0.6,
            },
            count: 1,
            floor: 0.0,
            start_level: 0.40,
            overflow_level: 0.58,
            holds_fish: false,
            sealed_entries: false,
            entries: ebbwright::model::Entries::Untold,
        },
        pump: Pump {
            source: PumpSource::Steady(flow),
            intake_level: 0.03,
            minimum_cover: 0.05,
            power: None,
            tariff: None,
            schedule: None,
            check_valve: false,
        },
        supply: Supply {
            trunk: PipeRun {
                bore: 0.0266,
                length: 2.0,
                roughness: PLASTIC_ROUGHNESS,
                k: 2.0,
            },
            bypass: None,
        },
        beds,
        drain_line: None,
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

/// One bed with `litres_per_minute` in and `drop` below its floor.
pub fn one_bed(litres_per_minute: f64, drop: f64) -> System {
    let bed = bed("north", 1.0, drop, Inlet::Share(1.0));
    system(
        vec![bed],
        litres_per_minute * LITRE_PER_MINUTE,
        Duration::UntilSettled {
            at_most: 48.0 * 3600.0,
        },
    )
}

/// `count` beds of slightly different floor levels, piped from one pump with a
/// curve, simulated for a day.
pub fn pumped_beds(count: usize) -> System {
    let beds: Vec<Bed> = (0..count)
        .map(|i| {
            let floor = 1.0 + 0.01 * i as f64;
            let inlet = Inlet::Piped(Branch {
                level: floor + 0.40,
                run: PipeRun {
                    bore: 0.0158,
                    length: 0.8,
                    roughness: PLASTIC_ROUGHNESS,
                    k: 2.5,
                },
                valve: Some(Valve {
                    kind: ValveKind::Ball,
                    opening: 0.5,
                }),
                anti_siphon_hole: None,
            });
            bed(&format!("bed {}", i + 1), floor, 0.55, inlet)
        })
        .collect();
    let n = count as f64;
    let mut system = system(beds, 0.0, Duration::Fixed(86_400.0));
    system.sump.shape = VesselShape::Box {
        length: 1.2 * n,
        width: 0.8,
        depth: 0.6,
    };
    let litres = 600.0 * n * LITRE_PER_MINUTE / 60.0;
    system.pump.source = PumpSource::Curve(
        PumpCurve::from_points(&[
            (0.0, 2.6),
            (litres, 2.1),
            (1.6 * litres, 1.5),
            (2.4 * litres, 0.0),
        ])
        .expect("a falling curve"),
    );
    system.supply.trunk.bore = 0.0266 * n.sqrt();
    system
}
