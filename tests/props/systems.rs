//! Random systems, from sensible to hopeless.

use crate::support::{LITRE_PER_MINUTE, bed, system};
use ebbwright::hydraulics::friction::PLASTIC_ROUGHNESS;
use ebbwright::hydraulics::pipe_run::PipeRun;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::*;
use proptest::prelude::*;

/// One bed: sizes over everything a hobby builder would try.
pub fn any_bed() -> impl Strategy<Value = Bed> {
    (
        (0.4_f64..2.0, 0.3_f64..1.5, 0.25_f64..0.45, 0.25_f64..0.55),
        (0.4_f64..0.9, 0.3_f64..0.9, 0.0125_f64..0.042),
        (0.1_f64..0.9, 2u32..10, 0.004_f64..0.015, 0.010_f64..0.040),
        (0usize..4, prop::bool::ANY, prop::bool::ANY),
    )
        .prop_map(|(size, siphon, drain, kind)| {
            let (length, width, depth, void) = size;
            let (lip_share, clearance_share, bore) = siphon;
            let (drop, count, slot_width, slot_height) = drain;
            let (shape, guarded, flared) = kind;
            let mut bed = bed("bed", 1.0, drop, Inlet::Share(1.0));
            bed.shape = match shape {
                0 => VesselShape::Box {
                    length,
                    width,
                    depth,
                },
                1 => VesselShape::UprightCylinder {
                    diameter: width.max(0.5),
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
                depth: 0.86 * depth,
                void,
                grain: None,
                fouling: 1.0,
            };
            let lip_height = slot_height + lip_share * (0.8 * depth - slot_height);
            let outside = bore + 0.006;
            bed.siphon.standpipe = Standpipe {
                bore,
                outside,
                lip_height,
                lip_diameter: if flared { 1.5 * bore } else { bore },
            };
            bed.siphon.bell = Bell {
                bore: outside + 0.02 + bore,
                outside: outside + 0.026 + bore,
                clearance: clearance_share * bore + 0.003,
                slots: Slots {
                    count,
                    width: slot_width,
                    height: slot_height,
                },
                air_tube: None,
                air_leak: 0.0,
            };
            bed.siphon.drain.losses = DrainLosses::Computed {
                length: lip_height + drop + 0.1,
                k: 0.9,
                roughness: PLASTIC_ROUGHNESS,
            };
            bed.guard = guarded.then_some(Guard {
                diameter: outside + 0.08 + bore,
                slot_area: None,
            });
            bed
        })
}

/// A system of `beds` random beds with a steady flow, some on a shared line.
pub fn any_system(beds: std::ops::Range<usize>) -> impl Strategy<Value = System> {
    (
        prop::collection::vec((any_bed(), 0.2_f64..1.0, 0.3_f64..1.0), beds),
        0.15_f64..6.0,
        prop::bool::ANY,
        (0.02_f64..0.11, 0.01_f64..0.04, 0.3_f64..0.95),
        (0.15_f64..0.55, 0usize..3),
    )
        .prop_map(|(parts, strength, has_line, line, sump)| {
            let (line_bore, slope, line_height) = line;
            let (start_level, sump_shape) = sump;
            let total_share: f64 = parts.iter().map(|p| p.1).sum();
            let count = parts.len() as f64;
            let mut beds = Vec::new();
            let mut flow = 0.0;
            for (i, (mut bed, share, floor)) in parts.into_iter().enumerate() {
                let shift = floor;
                raise(&mut bed, shift);
                bed.name = format!("bed {i}");
                bed.inlet = Inlet::Share(share / total_share);
                let d = bed.siphon.standpipe.bore;
                flow += strength * 0.45 * 0.785 * d * d * (9.81 * d).sqrt();
                if has_line {
                    bed.siphon.drain.into = DrainTarget::Line { at: 0.8 + i as f64 };
                }
                beds.push(bed);
            }
            let mut system = system(
                beds,
                flow.max(0.2 * LITRE_PER_MINUTE),
                Duration::Fixed(6.0 * 3600.0),
            );
            system.sump.shape = match sump_shape {
                0 => VesselShape::Box {
                    length: 0.9 * count,
                    width: 0.8,
                    depth: 0.6,
                },
                1 => VesselShape::LyingCylinder {
                    diameter: 0.6,
                    length: 1.2 * count,
                },
                _ => VesselShape::UprightCylinder {
                    diameter: 0.9 * count.sqrt(),
                    depth: 0.6,
                },
            };
            system.sump.start_level = start_level;
            if has_line {
                system.drain_line = Some(DrainLine {
                    run: PipeRun {
                        bore: line_bore,
                        length: 1.0 + count,
                        roughness: PLASTIC_ROUGHNESS,
                        k: 0.5,
                    },
                    slope,
                    outlet: line_height,
                    vented: true,
                });
            }
            system
        })
}

/// Moves a bed and everything on it up by `shift` [m].
pub fn raise(bed: &mut Bed, shift: f64) {
    bed.floor += shift;
    bed.siphon.drain.outlet += shift;
}
