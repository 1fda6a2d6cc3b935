//! Every key of the format arrives in the model.

use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    Band, Coefficient, Disturbance, DrainLosses, DrainTarget, Duration, IncidentTime, Inlet, Power,
    PumpSource, SettlerKind, Side, TankFeed, TankOutlet, Thresholds,
};

use super::reading::{close, system};

#[test]
fn every_key_of_a_piped_system_arrives_in_the_model() {
    let system = system(include_str!("piped.toml"));
    assert_eq!(system.title, "Three beds, piped");
    assert_eq!(system.duration, Duration::Fixed(108_000.0));
    close(system.water.temperature_c, 20.0);
    close(system.ceiling.unwrap(), 2.7432);

    let sump = &system.sump;
    let tapered = VesselShape::Tapered {
        top_length: 1.2,
        top_width: 0.8,
        bottom_length: 1.1,
        bottom_width: 0.7,
        depth: 0.6,
    };
    assert_eq!((&sump.shape, sump.count), (&tapered, 2));
    assert_eq!(
        (sump.floor, sump.start_level, sump.overflow_level),
        (-0.1, 0.40, 0.47)
    );

    let pump = &system.pump;
    assert_eq!((pump.intake_level, pump.minimum_cover), (-0.05, 0.04));
    let PumpSource::Curve(curve) = &pump.source else {
        panic!("{:?}", pump.source)
    };
    // Half speed by the affinity laws: a quarter of the head, half of the flow.
    close(curve.shut_off_head(), 0.75);
    close(curve.head(1000.0 / 3.6e6), 0.5);
    assert_eq!(pump.power, Some(Power::Efficiency(0.25)));
    assert_eq!(pump.tariff, Some(0.30));
    let schedule = pump.schedule.unwrap();
    assert_eq!((schedule.on, schedule.off), (900.0, 2700.0));
    assert!(pump.check_valve);

    let trunk = &system.supply.trunk;
    // EN ISO 1452-2, 32 mm outside, 2.4 mm wall at PN16 (from memory, see `hydraulics::pipe_sizes`).
    close(trunk.bore, 0.0272);
    assert_eq!((trunk.length, trunk.roughness), (3.0, 1e-5));
    // The sum of the table in `hydraulics::fittings`, by hand, plus 0.5.
    close(
        trunk.k,
        0.75 + 0.45
            + 1.3
            + 0.35
            + 0.2
            + 1.5
            + 0.4
            + 1.0
            + 0.04
            + 0.04
            + 2.0
            + 15.0
            + 0.5
            + 0.78
            + 0.28
            + 0.15
            + 0.04
            + 1.0
            + 0.5,
    );
    let bypass = system.supply.bypass.as_ref().unwrap();
    assert_eq!(
        (bypass.level, bypass.run.bore, bypass.run.length),
        (0.5, 0.015, 0.5)
    );
    close(bypass.run.k, 1.75);
    let valve = bypass.valve.as_ref().unwrap();
    assert_eq!((valve.kind, valve.opening), (ValveKind::Gate, 0.25));

    let bed = &system.beds[0];
    assert_eq!(
        (bed.name.as_str(), bed.floor, bed.rim_level()),
        ("north", 1.0, 1.40)
    );
    assert_eq!(
        bed.shape,
        VesselShape::LyingCylinder {
            diameter: 0.58,
            length: 0.9
        }
    );
    assert_eq!(
        (
            bed.media.depth,
            bed.media.void,
            bed.media.grain,
            bed.media.fouling
        ),
        (0.30, 0.4, Some(0.012), 2.0)
    );
    assert_eq!(system.beds[1].media.fouling, 1.0);
    let guard = bed.guard.as_ref().unwrap();
    assert_eq!((guard.diameter, guard.slot_area), (0.15, Some(0.008)));
    assert_eq!(bed.start_level(), Some(1.05));
    let Inlet::Piped(inlet) = &bed.inlet else {
        panic!("{:?}", bed.inlet)
    };
    // ASTM D1785: 0.840 in outside, 0.109 in wall.
    close(inlet.run.bore, 0.622 * 0.0254);
    close(inlet.run.k, 1.6);
    assert_eq!(inlet.anti_siphon_hole, Some(1.45));
    let valve = inlet.valve.as_ref().unwrap();
    assert_eq!((valve.kind, valve.opening), (ValveKind::Ball, 0.6));
    let standpipe = &bed.siphon.standpipe;
    // ASTM D1785: 1.315 in outside, 0.133 in wall.
    close(standpipe.bore, 1.049 * 0.0254);
    assert_eq!((standpipe.outside, standpipe.lip_diameter), (0.034, 0.040));
    close(standpipe.lip_height, 0.225);
    let bell = &bed.siphon.bell;
    // ASTM D1785 Schedule 80 (from memory): 3.500 in outside, 0.300 in wall.
    close(bell.bore, 2.9 * 0.0254);
    assert_eq!((bell.outside, bell.clearance), (0.090, 0.025));
    assert_eq!(
        (bell.slots.count, bell.slots.width, bell.slots.height),
        (6, 0.012, 0.025)
    );
    let tube = bell.air_tube.as_ref().unwrap();
    assert_eq!(tube.bore, 0.008);
    close(tube.mouth_height, 0.03);
    close(bell.air_leak, 0.5 / 60_000.0);
    let drain = &bed.siphon.drain;
    assert_eq!(drain.outlet, 0.62);
    assert_eq!(
        drain.losses,
        DrainLosses::Computed {
            length: 0.7,
            k: 1.8,
            roughness: 2e-6
        }
    );
    assert_eq!(drain.into, DrainTarget::Line { at: 2.0 });

    assert_eq!(
        system.beds[1].shape,
        VesselShape::UprightCylinder {
            diameter: 0.6,
            depth: 0.4
        }
    );
    let table = VesselShape::Table {
        depth: vec![0.0, 0.2, 0.4],
        area: vec![0.3, 0.35, 0.4],
    };
    assert_eq!(system.beds[2].shape, table);
    assert_eq!(
        system.beds[2].siphon.drain.losses,
        DrainLosses::Total { k: 3.0 }
    );
    assert_eq!(system.beds[2].siphon.drain.into, DrainTarget::Sump);

    let line = system.drain_line.as_ref().unwrap();
    close(line.run.bore, 2.067 * 0.0254);
    assert_eq!(
        (line.run.length, line.run.roughness, line.outlet),
        (3.0, 3e-6, 0.5)
    );
    close(line.run.k, 0.9);
    close(line.slope, 1.0 / 48.0);
    assert!(!line.vented);

    let tank = system.tank.as_ref().unwrap();
    assert_eq!(
        tank.shape,
        VesselShape::Box {
            length: 1.0,
            width: 1.0,
            depth: 0.7
        }
    );
    assert_eq!(
        (tank.floor, tank.start_level, tank.overflow_level),
        (0.3, 0.8, 0.9)
    );
    assert_eq!(
        (tank.overflow_bore, tank.overflows_to),
        (0.050, TankOutlet::Settler)
    );
    let TankFeed::PumpBranch(branch) = &tank.fed_by else {
        panic!("{:?}", tank.fed_by)
    };
    assert_eq!(branch.anti_siphon_hole, Some(1.0));
    assert_eq!(
        (branch.level, branch.run.bore, branch.run.length),
        (1.1, 0.02, 1.0)
    );
    close(branch.run.k, 1.15);

    let settler = system.settler.as_ref().unwrap();
    assert_eq!(settler.kind, SettlerKind::PlainBasin);
    assert_eq!((settler.floor, settler.overflow_level), (0.25, 0.85));
    close(settler.area(), 0.6);
    close(settler.volume(), 0.36);
    let inlet = settler.inlet.as_ref().unwrap();
    assert_eq!((inlet.level, inlet.run.bore), (0.95, 0.016));

    let top_off = system.top_off.as_ref().unwrap();
    assert_eq!(
        (top_off.level, top_off.bore, top_off.reservoir),
        (0.2, 0.006, Some(0.1))
    );
    close(top_off.flow, 2.0 / 60_000.0);
    close(system.evaporation, 4e-3 / 86_400.0);

    let gallon = 3.785_411_784e-3;
    // 15 grains, of 7000 in a pound, in a US gallon.
    close(
        system.dissolved.top_off.unwrap(),
        15.0 * 0.453_592_37 / 7000.0 / gallon,
    );
    close(system.dissolved.filled.unwrap(), 0.2);
    let [condensate, tap] = &system.sources[..] else {
        panic!("{:?}", system.sources)
    };
    assert_eq!(
        (condensate.name.as_str(), condensate.dissolved),
        ("condensate", Some(0.010))
    );
    close(condensate.flow, 3.0 * gallon / 86_400.0);
    assert_eq!((tap.name.as_str(), tap.dissolved), ("slow tap", None));
    let fish = system.fish.unwrap();
    assert_eq!(fish.count, 20);
    close(fish.mass, 0.2);
    close(fish.feed.unwrap(), 2.0 * 0.453_592_37 / 16.0 / 86_400.0);
    close(fish.harvest_mass, 0.453_592_37);
    assert_eq!(bed.access, Some(vec![Side::Front, Side::Left]));
    assert_eq!(system.beds[1].access, None);

    let incidents: Vec<_> = system.incidents.iter().map(|i| (i.at, i.what)).collect();
    assert_eq!(
        incidents,
        [
            (IncidentTime::Worst, Disturbance::PumpStops),
            (IncidentTime::At(7200.0), Disturbance::SiphonBlocked(2)),
            (IncidentTime::At(9000.0), Disturbance::LineBlocked(0.5)),
            (IncidentTime::At(10_800.0), Disturbance::ValveShut(1)),
        ]
    );

    let given = [
        1.7, 0.61, 0.45, 0.2, 0.62, 1.1, 0.4, 0.5, 0.25, 0.6, 0.0092, 0.4,
    ];
    for (which, value) in Coefficient::ALL.into_iter().zip(given) {
        let band = if which == Coefficient::StartFroude {
            Band::new(0.40, value, 0.50)
        } else {
            Band::exact(value)
        };
        assert_eq!(system.coefficients[which], band, "{which:?}");
    }
    let thresholds = Thresholds {
        dry_layer: 0.060,
        dry_layer_least: 0.030,
        levelling_error: 0.004,
        rim_freeboard: 0.020,
        inflow_ratio: 0.45,
        inflow_ratio_most: 0.65,
        period_least: 1200.0,
        period_most: 3000.0,
        sump_freeboard: 0.040,
        growing_height: Some(0.8),
        tank_depth: Some(0.3),
        reach: 0.7,
        dissolved: Some(0.5),
        crown_pressure: 40_000.0,
        fall_back: 0.006,
    };
    assert_eq!(system.thresholds, thresholds);
}
