//! Properties that every picture keeps.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::sample::{self, Wish};
use super::*;

#[test]
#[ignore = "writes the samples to look at"]
fn write_samples() {
    let folder = std::path::PathBuf::from(std::env::var("PLOT_SAMPLES").unwrap());
    let cases = [
        ("one", Wish::default(), UnitSystem::Metric),
        (
            "four",
            Wish {
                beds: 4,
                hours: 24.0,
                sump: crate::hydraulics::vessel::VesselShape::UprightCylinder {
                    diameter: 1.2,
                    depth: 0.8,
                },
                ..Wish::default()
            },
            UnitSystem::Us,
        ),
        (
            "eight",
            Wish {
                beds: 8,
                hours: 24.0,
                sump: crate::hydraulics::vessel::VesselShape::Box {
                    length: 2.0,
                    width: 1.0,
                    depth: 0.8,
                },
                ..Wish::default()
            },
            UnitSystem::Metric,
        ),
        (
            "steady",
            Wish {
                steady: true,
                line: false,
                ..Wish::default()
            },
            UnitSystem::Metric,
        ),
    ];
    for (name, wish, units) in cases {
        let system = sample::system(&wish);
        let run = sample::run(&system);
        let assessment = sample::assessment(&system, &run);
        for plot in draw_all(&system, &run, &assessment, units).unwrap() {
            std::fs::write(folder.join(format!("{name}-{}.svg", plot.name)), &plot.svg).unwrap();
            std::fs::write(folder.join(format!("{name}-{}.png", plot.name)), &plot.png).unwrap();
        }
    }
}
