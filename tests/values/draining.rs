//! Tanks that drain through a hole: rows T and M of
//! `07_tank_siphon_examples.csv`, with the hole as a drowned mouth and the
//! time from an integral over the vessel's own area (no time stepping here).

use std::f64::consts::PI;

use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::hydraulics::weir::{drowned_lip_flow, standing_head};

use crate::table::{Row, rows};

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

fn row(id: &str) -> Row {
    rows("07_tank_siphon_examples.csv")
        .into_iter()
        .find(|r| r.text("id") == id)
        .expect(id)
}

fn bore_of_area(area: f64) -> f64 {
    (4.0 * area / PI).sqrt()
}

/// Time from level `h1` to `h2`: integral of A dh / (Qin - Q(h)), by Simpson
/// in sqrt(h), where the integrand is smooth down to zero.
fn drain_time(
    vessel: &VesselShape,
    outlet: impl Fn(f64) -> f64,
    inflow: f64,
    h1: f64,
    h2: f64,
) -> f64 {
    const STEPS: u32 = 2000;
    let (u1, u2) = (h1.sqrt(), h2.sqrt());
    let step = (u2 - u1) / f64::from(STEPS);
    let integrand = |i: u32| {
        let u = u1 + step * f64::from(i);
        let h = u * u;
        vessel.area(h) * 2.0 * u / (inflow - outlet(h))
    };
    let mut sum = integrand(0) + integrand(STEPS);
    for i in 1..STEPS {
        sum += integrand(i) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    sum * step / 3.0
}

#[test]
fn flow_through_a_hole_under_a_steady_head() {
    // College Physics 2e, 12.3: 10 cm2, 5 m deep, ideal: 0.0099 m3/s.
    let t1 = row("T1");
    let q = drowned_lip_flow(bore_of_area(10e-4), 5.0, 1.0);
    t1.hold("flow", q, t1.number("published"), 0.005);
    // Munson example 3.7 (from memory): 0.1 m jet, 2.0 m deep: 0.0492 m3/s.
    let t4 = row("T4");
    let q = drowned_lip_flow(0.1, 2.0, 1.0);
    t4.hold("flow", q, t4.number("published"), 0.002);
    // The other way round: 70 cm3/s through 0.25 cm2 stands 40 cm deep.
    let t5 = row("T5");
    let bore = bore_of_area(0.25e-4);
    // A lip too long to count leaves the drowned mouth alone.
    let head = standing_head(1e3, bore, 70e-6, 1.8, 1.0);
    t5.hold("depth", head * 100.0, t5.number("published"), 0.001);
}

#[test]
fn textbook_tanks_drain_in_the_published_time() {
    // Exam problem: 4 ft diameter, 5 in2 hole, 6 ft to 2 ft, ideal: 94 s (two digits).
    let t2 = row("T2");
    let tank = VesselShape::UprightCylinder {
        diameter: 4.0 * FOOT,
        depth: 6.0 * FOOT,
    };
    let bore = bore_of_area(5.0 * INCH * INCH);
    let out = |h: f64| drowned_lip_flow(bore, h, 1.0);
    let time = drain_time(&tank, out, 0.0, 6.0 * FOOT, 2.0 * FOOT);
    t2.hold("time", time, t2.number("published"), 0.008);
    // Cengel and Cimbala (from memory): 3 ft diameter, 0.5 in jet, 4 ft to 2 ft: 757 s.
    let t3 = row("T3");
    let tank = VesselShape::UprightCylinder {
        diameter: 3.0 * FOOT,
        depth: 4.0 * FOOT,
    };
    let out = |h: f64| drowned_lip_flow(0.5 * INCH, h, 1.0);
    let time = drain_time(&tank, out, 0.0, 4.0 * FOOT, 2.0 * FOOT);
    t3.hold("time", time, t3.number("published"), 0.001);
}

#[test]
fn a_tank_with_inflow_settles_and_drains_as_simmons_has_it() {
    // 4 ft2, hole of 5/3 in2 with Q = 0.6 a sqrt(64 h) ft3/s, 100 in3/s in.
    // The book takes g = 32; its Cd is scaled to our g.
    let hole = 5.0 / 3.0 * INCH * INCH;
    let cd = 0.6 * (32.0 * FOOT / 9.806_65).sqrt();
    let steady = standing_head(1e3, bore_of_area(hole), 100.0 * INCH.powi(3), 1.8, cd);
    let level = row("T6");
    level.hold("level", steady / FOOT, level.number("published"), 1e-9);
    let time_row = rows("07_tank_siphon_examples.csv")
        .into_iter()
        .find(|r| r.text("id") == "T6" && r.text("quantity") == "time")
        .unwrap();
    let tank = VesselShape::Box {
        length: 2.0 * FOOT,
        width: 2.0 * FOOT,
        depth: 3.0 * FOOT,
    };
    let out = |h: f64| drowned_lip_flow(bore_of_area(hole), h, cd);
    let time = drain_time(&tank, out, 0.0, 2.0 * FOOT, FOOT);
    time_row.hold("time", time, time_row.number("recomputed"), 1e-9);
}

#[test]
fn draining_with_inflow_meets_the_closed_form() {
    // Rows M1 to M4: closed form confirmed by a separate integration.
    // (area, bore, Cd, inflow L/h, from, to)
    let cases = [
        ("M1", 0.4, 0.02664, 0.60, 0.0, 0.30, 0.05),
        ("M2", 0.4, 0.02664, 0.60, 600.0, 0.30, 0.05),
        ("M3", 0.4, 0.02664, 0.60, 1800.0, 0.0, 0.10),
        ("M4", 0.2564, 0.0127, 0.62, 0.0, 0.5, 0.1),
    ];
    for (id, area, bore, cd, inflow, from, to) in cases {
        let row = row(id);
        let tank = VesselShape::Table {
            depth: vec![0.0, 0.25, 1.0],
            area: vec![area; 3],
        };
        let out = |h: f64| drowned_lip_flow(bore, h, cd);
        let time = drain_time(&tank, out, inflow / 3.6e6, from, to);
        row.hold("time", time, row.number("published"), 1e-8);
    }
}
