//! A system that switches to and fro without end says so instead of hanging.

use crate::support::one_bed;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::simulation::{Sampling, SimulationError, simulate};

// A sump of 10 mm x 10 mm holds 1 mL in the pump's recovery height: while the
// siphon runs, the pump empties and regains it many times a second.
#[test]
fn a_sump_like_a_drinking_straw_is_refused_as_chatter() {
    let mut system = one_bed(57.0, 0.5);
    system.sump.shape = VesselShape::Box {
        length: 0.01,
        width: 0.01,
        depth: 0.6,
    };
    system.sump.start_level = 0.3;
    system.beds[0].start_level = Some(1.30);
    match simulate(&system, Sampling::None) {
        Err(SimulationError::Chatter { time, sequence, .. }) => {
            assert!(time < 600.0, "given up only at {time} s");
            assert!(sequence.contains("pump"), "{sequence}");
        }
        other => panic!(
            "expected chatter, got {:?}",
            other.map(|run| run.events.len())
        ),
    }
}
