//! A map as comma-separated values.

use crate::report::window_json::unit_symbol;
use crate::report::words::regime_key;
use crate::study::map::{MapAxis, MapPoint, RegimeMap};

/// One line for each point of `map`, SI units, the unit in the header: both
/// values, the regime with each set of coefficients, what is in doubt, and why
/// a point has no regime.
///
/// # Errors
/// None that plain numbers and text can cause; the writer's error is passed on.
pub fn map_csv(map: &RegimeMap) -> Result<Vec<u8>, csv::Error> {
    let plan = &map.plan;
    let head = |axis: &MapAxis| {
        let unit = unit_symbol(axis.quantity).replace('/', "_");
        format!("{}_{unit}", axis.quantity.key().replace('-', "_"))
    };
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record([
        head(&plan.x).as_str(),
        head(&plan.y).as_str(),
        "nominal",
        "starts_latest",
        "breaks_hardest",
        "in_doubt",
        "why_none",
    ])?;
    for (k, point) in map.cells.iter().enumerate() {
        let (x, y) = (
            plan.x.value(k % plan.points, plan.points),
            plan.y.value(k / plan.points, plan.points),
        );
        let (regimes, doubt, why) = match point {
            MapPoint::Simulated(found) => {
                let doubt = found.doubt();
                let kinds = [
                    (doubt.start, "start"),
                    (doubt.stop, "break"),
                    (doubt.spill, "spill"),
                ];
                let named: Vec<&str> = kinds
                    .iter()
                    .filter(|(there, _)| *there)
                    .map(|(_, name)| *name)
                    .collect();
                (
                    found.regimes.map(regime_key),
                    named.join(" "),
                    String::new(),
                )
            }
            MapPoint::Unbuildable(why) => ([""; 3], String::new(), why.to_string()),
            MapPoint::Failed(why) => ([""; 3], String::new(), why.to_string()),
        };
        let [nominal, late, hard] = regimes;
        writer.write_record([
            figure(x).as_str(),
            figure(y).as_str(),
            nominal,
            late,
            hard,
            doubt.as_str(),
            why.as_str(),
        ])?;
    }
    writer
        .into_inner()
        .map_err(|failed| csv::Error::from(failed.into_error()))
}

/// Nine significant figures, enough to simulate the point again.
fn figure(value: f64) -> String {
    format!("{value:.8e}")
}
