//! Valve openings.
use crate::support::pumped_beds;
use ebbwright::assessment::assess;
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::valves::settings;
use ebbwright::study::window::windows;
use ebbwright::study::widen::levers;
use ebbwright::units::UnitSystem;

#[test]
#[ignore]
fn show() {
    for n in [1, 2, 4] {
        let system = pumped_beds(n);
        let run = simulate(&system, Sampling::None).unwrap();
        let a = assess(&system, &run, UnitSystem::Metric);
        let w = windows(&system, &run, &a);
        let s = settings(&system, &run, &a, &w);
        println!("{:#?} {:?} {:?} {:?}", s.beds, s.shortfalls, s.regimes, s.sump);
        println!("{:?}", w.system);
        let l = levers(&system, &run, 0, UnitSystem::Metric);
        println!("{:#?}", l);
    }
}
