//! Maps of regimes.
use crate::support::{LITRE_PER_MINUTE, one_bed};
use ebbwright::simulation::{Sampling, simulate};
use ebbwright::study::map::{MapAxis, MapPlan};
use ebbwright::study::map_quantity::MapQuantity;

#[test]

fn timing() {
    let system = one_bed(9.0, 0.55);
    let run = simulate(&system, Sampling::None).unwrap();
    let x = MapAxis { quantity: MapQuantity::Inflow, from: LITRE_PER_MINUTE, to: 30.0 * LITRE_PER_MINUTE };
    let y = MapAxis { quantity: MapQuantity::Bore, from: 0.015, to: 0.040 };
    let plan = MapPlan::new(&system, &run, 0, (x, y), 100).unwrap();
    let t = std::time::Instant::now();
    let map = plan.clone().simulate(&|| {});
    println!("{:?}", t.elapsed());
    let mut count = std::collections::BTreeMap::new();
    for cell in &map.cells { *count.entry(format!("{cell:?}")).or_insert(0) += 1; }
    for (k, v) in count { println!("{v} {k}"); }
}
