//! The same system in metric and in US units gives the same result.

use crate::cases;
use ebbwright::scenario::parse;
use ebbwright::simulation::{Sampling, simulate};
use proptest::prelude::*;

/// How one system of units writes a length in metres and a flow in cubic metres a second.
struct Writing {
    length: fn(f64) -> String,
    flow: fn(f64) -> String,
}

const METRIC: Writing = Writing {
    length: |m| format!("\"{} mm\"", m * 1000.0),
    flow: |q| format!("\"{} L/min\"", q * 60_000.0),
};
// Exact by definition: 1 in = 0.0254 m, 1 US gal = 231 in3.
const US: Writing = Writing {
    length: |m| format!("\"{} in\"", m / 0.0254),
    flow: |q| {
        format!(
            "\"{} gal/h\"",
            q * 3600.0 / (231.0 * 0.0254 * 0.0254 * 0.0254)
        )
    },
};

fn scenario(w: &Writing, floor: f64, lip: f64, bore: f64, flow: f64, width: f64) -> String {
    let l = w.length;
    format!(
        r#"
title = "two ways to write one invented system"
hours = 3
[sump]
shape = {{ box = {{ length = {}, width = {}, depth = {} }} }}
floor = {}
start-level = {}
overflow-level = {}
[pump]
intake-level = {}
steady-flow = {}
[[bed]]
name = "one"
floor = {}
shape = {{ box = {{ length = {}, width = {}, depth = {} }} }}
media = {{ depth = {}, void = 0.4 }}
inlet = {{ share = 1.0 }}
[bed.standpipe]
bore = {}
length = {}
[bed.bell]
bore = {}
clearance = {}
slots = {{ count = 6, width = {}, height = {} }}
[bed.drain]
outlet = {}
length = {}
k = 0.9
into = "sump"
"#,
        l(1.5),
        l(0.9),
        l(0.6),
        l(0.0),
        l(0.4),
        l(0.55),
        l(0.03),
        (w.flow)(flow),
        l(floor),
        l(1.2),
        l(width),
        l(0.35),
        l(0.3),
        l(bore),
        l(lip),
        l(bore + 0.05),
        l(bore),
        l(0.012),
        l(0.025),
        l(floor - 0.4),
        l(lip + 0.5),
    )
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn metric_and_us_files_give_the_same_result(
        floor in 0.95_f64..1.5, lip in 0.15_f64..0.25, bore in 0.015_f64..0.035,
        flow in 5e-5_f64..4e-4, width in 0.6_f64..1.2,
    ) {
        let runs = [&METRIC, &US].map(|w| {
            let text = scenario(w, floor, lip, bore, flow, width);
            let system = parse(&text, "test.toml")
                .unwrap_or_else(|e| panic!("{}", e.render(false)))
                .system;
            simulate(&system, Sampling::None).unwrap()
        });
        let [a, b] = runs;
        prop_assert_eq!(a.beds[0].regime, b.beds[0].regime);
        prop_assert_eq!(a.events.len(), b.events.len());
        prop_assert!((a.beds[0].peak_level - b.beds[0].peak_level).abs() < 1e-8);
        for (one, other) in a.beds[0].cycles.iter().zip(&b.beds[0].cycles) {
            prop_assert!((one.period() / other.period() - 1.0).abs() < 1e-7);
        }
    }
}
