//! Monotone cubic: values and slopes of `scipy.interpolate.PchipInterpolator`
//! 1.17.1, computed once (`pchip_scipy.csv`, the call is in the rows), over a
//! pump curve, uneven steps, a turning point and the three kinds of end.

use ebbwright::numerics::pchip::Pchip;

use crate::table::rows;

#[test]
fn values_and_slopes_are_those_of_scipy() {
    let mut held = 0;
    for row in rows("pchip_scipy.csv") {
        let points: Vec<(f64, f64)> = row
            .text("points")
            .split(';')
            .map(|pair| {
                let (x, y) = pair.split_once(' ').unwrap();
                (x.parse().unwrap(), y.parse().unwrap())
            })
            .collect();
        let curve = Pchip::new(&points).unwrap();
        let x = row.number("x");
        for (what, ours, scipy) in [
            ("value", curve.value(x), row.number("value")),
            ("slope", curve.slope(x), row.number("slope")),
        ] {
            assert!(
                (ours - scipy).abs() < 1e-12,
                "{} ({}): {what} at {x} is {ours}, scipy {scipy}",
                row.place(),
                row.text("case")
            );
        }
        held += 1;
    }
    assert_eq!(held, 90);
}
