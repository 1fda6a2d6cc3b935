//! Pumps: `09_pumps.csv`. Not used: prices (P6 and part of P2), efficiency
//! ranges and correlations (P8, P9), and the head of P4, whose fittings are
//! not listed in the row.

use ebbwright::hydraulics::pump_curve::{PumpCurve, hydraulic_power};
use ebbwright::hydraulics::water::Water;
use ebbwright::numerics::root::brent;

use crate::table::{Row, number_after, rows};

const FOOT: f64 = 0.3048;
const GPM: f64 = 3.785_411_784e-3 / 60.0;
const HORSEPOWER: f64 = 745.699_871_582_270_2;

fn rows_of(id: &str, count: usize) -> Vec<Row> {
    let found: Vec<Row> = rows("09_pumps.csv")
        .into_iter()
        .filter(|r| r.text("id") == id)
        .collect();
    assert_eq!(found.len(), count, "{id}");
    found
}

#[test]
fn affinity_laws_meet_the_worked_example() {
    // Crane TP-410 example 7.33: 126 ft and 400 gpm at 3500 rpm, run at 1700 rpm.
    let ratio = 1700.0 / 3500.0;
    let (q, h) = (400.0 * GPM, 126.0 * FOOT);
    let by_points = PumpCurve::from_points(&[(0.0, 1.3 * h), (q, h), (1.6 * q, 0.4 * h)]).unwrap();
    let by_box = PumpCurve::from_box_figures(2.0 * h, q * 2.0_f64.sqrt()).unwrap();
    assert!((by_box.head(q) - h).abs() < 1e-12);
    for row in rows_of("P1", 3) {
        for pump in [&by_points, &by_box] {
            let slow = pump.at_speed(ratio).unwrap();
            let published = row.number("published");
            match row.text("quantity") {
                "flow" => {
                    let head = 29.725_714_285_714_3 * FOOT;
                    row.hold("flow", slow.flow(head) / GPM, published, 1e-8);
                }
                "head" => {
                    let head = slow.head(q * ratio) / FOOT;
                    row.hold("head", head, published, 1e-7);
                }
                "power" => {
                    // At one efficiency power goes with flow times head.
                    let at = |p: &PumpCurve, q: f64| hydraulic_power(1000.0, q, p.head(q));
                    let share = at(&slow, q * ratio) / at(pump, q);
                    row.hold("power", 17.5 * share, published, 1e-6);
                }
                other => panic!("{}: {other}", row.place()),
            }
        }
    }
}

#[test]
fn power_and_efficiency_rows_are_met() {
    // Crane example 7.34: 428 ft, 700 gpm, 62.364 lb/ft3, pump 70.7 %, motor 95 %, drive 96 %.
    let density = 62.364 * 0.453_592_37 / FOOT.powi(3);
    let brake = hydraulic_power(density, 700.0 * GPM, 428.0 * FOOT) / 0.707 / HORSEPOWER;
    for row in rows_of("P2", 4) {
        match row.text("quantity") {
            // The book's gallon and pound-force are rounded in the fifth digit.
            "brake power" => row.hold("brake", brake, row.number("published"), 1e-4),
            "electrical power" => {
                row.hold("plug", brake / 0.95 / 0.96, row.number("published"), 1e-4);
            }
            _ => {} // cost
        }
    }
    // Crane example 7.15: 421 ft at 100 gpm and 70 % need 15.2 hp (three digits), water at 60 F.
    let water = Water::at((60.0 - 32.0) / 1.8).unwrap();
    let brake = hydraulic_power(water.density, 100.0 * GPM, 421.0 * FOOT) / 0.7 / HORSEPOWER;
    for row in rows_of("P4", 2) {
        if row.text("quantity") == "brake power" {
            row.hold("brake", brake, row.number("published"), 0.004);
        }
    }
    // Small pumps, invented figures: efficiency from plug to water at 20 degC.
    let water = Water::at(20.0).unwrap();
    for row in rows_of("P5", 5) {
        let given = row.text("given");
        let q = number_after(given, "") / 3.6e6;
        let head = number_after(given, " at ");
        let watts = number_after(given, "drawing ");
        let percent = 100.0 * hydraulic_power(water.density, q, head) / watts;
        row.hold("efficiency", percent, row.number("recomputed"), 1e-4);
    }
}

#[test]
fn a_hydraulic_power_from_a_physics_textbook() {
    // 40.0 L/s raised by 0.920 MPa: 36.8 kW (College Physics 2e, 12.3).
    let row = rows("07_tank_siphon_examples.csv")
        .into_iter()
        .find(|r| r.text("id") == "O2")
        .unwrap();
    let head = 0.920e6 / (1000.0 * 9.806_65);
    let kilowatts = hydraulic_power(1000.0, 0.040, head) / 1000.0;
    row.hold("power", kilowatts, row.number("published"), 1e-12);
}

#[test]
fn operating_point_of_the_open_textbook() {
    // Maurer, examples 7.1 to 7.3 (ft and cfs): pump 82.5 - 0.201 Q^2, system 30 + 0.16 Q^2.
    let cfs = FOOT.powi(3);
    let open = (82.5_f64 / 0.201).sqrt();
    let pump = PumpCurve::from_box_figures(82.5 * FOOT, open * cfs).unwrap();
    let system = |q: f64| (30.0 + 0.16 * (q / cfs).powi(2)) * FOOT;
    let q = brent(|q| pump.head(q) - system(q), 0.0, pump.open_flow(), 0.0).unwrap();
    for row in rows_of("P3", 2) {
        // Published coefficients are rounded to three digits.
        match row.text("quantity") {
            "operating flow" => row.hold("flow", q / cfs, row.number("published"), 1e-3),
            "operating head" => {
                row.hold("head", pump.head(q) / FOOT, row.number("published"), 1e-3);
            }
            other => panic!("{}: {other}", row.place()),
        }
    }
}

#[test]
fn points_of_a_published_fit_give_its_curve() {
    // The three points Maurer fits: (0, 81), (5000 gpm, 60), (7850 gpm, 20).
    // His least-squares parabola misses them by up to 2.4 ft, so a curve
    // through the points cannot agree with it better than that.
    let pump = PumpCurve::from_points(&[
        (0.0, 81.0 * FOOT),
        (5000.0 * GPM, 60.0 * FOOT),
        (7850.0 * GPM, 20.0 * FOOT),
    ])
    .unwrap();
    let cfs = FOOT.powi(3);
    for i in 0..=78 {
        let q = f64::from(i) * 100.0 * GPM;
        let fit = 82.5 - 0.201 * (q / cfs).powi(2);
        let ours = pump.head(q) / FOOT;
        assert!((ours - fit).abs() < 3.5, "{q}: {ours} ft against {fit} ft");
    }
}

#[test]
fn box_figures_give_the_parabola() {
    let pump = PumpCurve::from_box_figures(1.0, 1.0).unwrap();
    for row in rows_of("P7", 5) {
        let q = number_after(row.text("given"), "at Q/Qmax=");
        let expected = row.number("recomputed");
        assert!((pump.head(q) - expected).abs() < 1e-15, "{}", row.place());
        assert!((pump.flow(expected) - q).abs() < 1e-15, "{}", row.place());
    }
}
