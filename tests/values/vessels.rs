//! Vessels: `06_horizontal_cylinder.csv` (exact geometry and fluids 1.3.1),
//! `06_containers.csv` (trade dimensions), and one very old frustum.

use ebbwright::hydraulics::vessel::VesselShape;

use crate::table::rows;

const INCH: f64 = 0.0254;

fn drum() -> VesselShape {
    VesselShape::LyingCylinder {
        diameter: 0.5715,
        length: 0.8509,
    }
}

#[test]
fn lying_drum_holds_what_the_library_says() {
    let drum = drum();
    let rows = rows("06_horizontal_cylinder.csv");
    assert_eq!(rows.len(), 21);
    for row in rows {
        let h = row.number("h_over_D") * 0.5715;
        let v = drum.volume(h);
        let fraction = v / drum.full_volume();
        for column in ["volume_fraction_flat_ends", "fluids_fraction"] {
            assert!(
                (fraction - row.number(column)).abs() < 1e-10,
                "{}: {column}, ours {fraction}",
                row.place()
            );
        }
        let library = row.number("fluids_V_m3_drum");
        assert!((v - library).abs() < 1e-10, "{}: {v}", row.place());
        let back = drum.depth_at(library);
        assert!((back - h).abs() < 1e-8, "{}: {back}", row.place());
    }
}

#[test]
fn a_drum_cut_open_anywhere_holds_what_the_library_says_so_deep() {
    let rows = rows("06_horizontal_cylinder.csv");
    let mut held = 0;
    for cut in [0.25, 0.5, 0.8_f64] {
        let depth: f64 = cut * 0.5715;
        // Chord of a circle (Euclid, Elements, III.35).
        let width = 2.0 * (depth * (0.5715 - depth)).sqrt();
        let part = VesselShape::HalfDrum {
            length: 0.8509,
            width,
            depth,
        };
        for row in &rows {
            let h = row.number("h_over_D") * 0.5715;
            if h > 1e-9 && h < depth + 1e-9 {
                let library = row.number("fluids_V_m3_drum");
                assert!((part.volume(h) - library).abs() < 1e-10, "{}", row.place());
                assert!((part.depth_at(library) - h).abs() < 1e-8, "{}", row.place());
                held += 1;
            }
        }
    }
    assert!(held > 25, "{held}");
}

#[test]
fn steel_drum_and_its_half_hold_the_geometric_volume() {
    let lying = VesselShape::LyingCylinder {
        diameter: 22.5 * INCH,
        length: 33.5 * INCH,
    };
    let upright = VesselShape::UprightCylinder {
        diameter: 22.5 * INCH,
        depth: 33.5 * INCH,
    };
    let radius = 0.5 * 22.5 * INCH;
    let mut held = 0;
    for row in rows("06_containers.csv") {
        let litres = match row.text("quantity") {
            "geometric volume" => {
                let both = [lying.full_volume(), upright.full_volume()];
                assert!((both[0] / both[1] - 1.0).abs() < 1e-14);
                both[0]
            }
            "volume brim full" => {
                // Told as a tape reads it, open at its middle.
                let half = VesselShape::HalfDrum {
                    length: 33.5 * INCH,
                    width: 22.5 * INCH,
                    depth: radius,
                };
                assert!((half.full_volume() / lying.volume(radius) - 1.0).abs() < 1e-14);
                half.full_volume()
            }
            "volume at depth = 3/4 of the radius (h/D=0.375)" => lying.volume(0.75 * radius),
            _ => continue,
        } * 1000.0;
        row.hold(row.text("quantity"), litres, row.number("value"), 1e-9);
        held += 1;
    }
    assert_eq!(held, 3);
}

#[test]
fn the_frustum_of_the_moscow_papyrus_holds_56() {
    // Moscow Mathematical Papyrus, problem 14 (from memory): a square
    // truncated pyramid of 4 by 4 below, 2 by 2 above, 6 high, holds 56.
    let frustum = |top: f64, bottom: f64| VesselShape::Tapered {
        top_length: top,
        top_width: top,
        bottom_length: bottom,
        bottom_width: bottom,
        depth: 6.0,
    };
    // Upside down it is a tote.
    for tote in [frustum(2.0, 4.0), frustum(4.0, 2.0)] {
        assert!((tote.full_volume() - 56.0).abs() < 1e-13);
    }
}

#[test]
fn a_table_of_a_drums_areas_approaches_the_drum() {
    // Independent route: trapezoids of the exact widths converge on the exact volume.
    let drum = drum();
    let off = |rows: u32| {
        let depth: Vec<f64> = (0..=rows)
            .map(|i| 0.5715 * f64::from(i) / f64::from(rows))
            .collect();
        let area: Vec<f64> = depth.iter().map(|&h| drum.area(h)).collect();
        let table = VesselShape::Table { depth, area };
        (table.full_volume() / drum.full_volume() - 1.0).abs()
    };
    assert!(off(10) < 0.04, "{}", off(10));
    assert!(off(1000) < 4e-5, "{}", off(1000));
}
