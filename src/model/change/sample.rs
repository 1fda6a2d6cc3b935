//! A system with every part that there is; its data is invented.
#![allow(clippy::unwrap_used)]

use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::valves::ValveKind;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    Bed, Branch, Disturbance, DrainLine, Incident, IncidentTime, Inlet, Settler, SettlerKind,
    Source, Supply, System, Tank, TankFeed, TankOutlet, TopOff, Valve,
};

const RUN: PipeRun = PipeRun {
    bore: 0.02,
    length: 1.5,
    roughness: 1.5e-6,
    k: 2.0,
};

pub(crate) fn tub() -> VesselShape {
    VesselShape::Box {
        length: 1.2,
        width: 1.0,
        depth: 0.40,
    }
}

pub(crate) fn branch(level: f64) -> Branch {
    Branch {
        level,
        run: RUN,
        valve: Some(Valve {
            kind: ValveKind::Ball,
            opening: 0.5,
        }),
        anti_siphon_hole: Some(level - 0.02),
    }
}

/// A system with every part that there is.
pub(crate) fn whole() -> System {
    let bed = |name, at| {
        Bed::builder(name, tub(), 1.0)
            .gravel(0.3, 0.4)
            .grain(0.01)
            .guard(0.16, Some(0.006))
            .air_tube(0.006, 0.04)
            .inlet(Inlet::Piped(branch(1.5)))
            .start_level(1.1)
            .outlet(0.75)
            .into_line(at)
    };
    let drum = VesselShape::UprightCylinder {
        diameter: 0.6,
        depth: 0.6,
    };
    let mut system = System::builder()
        .sump(tub(), 0.0)
        .sump_levels(0.25, 0.35)
        .ceiling(2.4)
        .pump_curve(PumpCurve::from_box_figures(3.0, 8e-4).unwrap())
        .supply(Supply {
            trunk: RUN,
            bypass: Some(branch(0.6)),
        })
        .bed(bed("north", 3.0))
        .bed(bed("south", 1.0))
        .drain_line(DrainLine {
            run: PipeRun {
                bore: 0.06,
                length: 4.0,
                ..RUN
            },
            slope: 0.02,
            outlet: 0.6,
            vented: true,
        })
        .tank(Tank {
            shape: drum.clone(),
            floor: 0.8,
            start_level: 1.3,
            overflow_level: 1.3,
            overflow_bore: 0.04,
            fed_by: TankFeed::PumpBranch(branch(1.5)),
            overflows_to: TankOutlet::Settler,
        })
        .settler(Settler {
            kind: SettlerKind::RadialFlow,
            shape: drum,
            floor: 0.5,
            overflow_level: 1.0,
            inlet: None,
        })
        .top_off(TopOff {
            level: 0.15,
            flow: 1e-5,
            bore: 0.006,
            reservoir: Some(0.2),
        })
        .evaporation(1e-7)
        .incident(Incident {
            at: IncidentTime::Worst,
            what: Disturbance::PumpStops,
        })
        .build()
        .unwrap();
    system.sources.push(Source {
        name: "condensate".to_owned(),
        flow: 1e-8,
        dissolved: None,
    });
    system
}
