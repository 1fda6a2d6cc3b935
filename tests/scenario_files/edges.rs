//! Where allowed ends: a value just inside is read, one just outside is refused.

use ebbwright::scenario;

use super::accepted::SMALL;

/// A text of the small scenario, what it becomes, a value just allowed, one just not.
const EDGES: &[(&str, &str, &str, &str)] = &[
    // Rules between values; `@` stands for the value.
    (
        r#"length = "225 mm""#,
        r#"length = "@""#,
        "349.9 mm",
        "350 mm",
    ),
    (
        r#"outlet = "0.62 m", length = "0.7 m""#,
        r#"outlet = "@", length = "3 m""#,
        "0.9999 m",
        "1 m",
    ),
    (
        r#"outlet = "0.62 m", length = "0.7 m""#,
        r#"outlet = "@", length = "3 m""#,
        "0 m",
        "-0.0001 m",
    ),
    (
        r#"height = "25 mm""#,
        r#"height = "@""#,
        "224.9 mm",
        "225 mm",
    ),
    (
        r#"clearance = "25 mm""#,
        r#"clearance = "25 mm", air-tube = { bore = "8 mm", mouth = "@" }"#,
        "224.9 mm",
        "225 mm",
    ),
    (
        r#"clearance = "25 mm""#,
        r#"clearance = "25 mm", air-tube = { bore = "@", mouth = "30 mm" }"#,
        "50 mm",
        "50.1 mm",
    ),
    (r#"bore = "78 mm""#, r#"bore = "@""#, "32.7 mm", "32.6 mm"),
    (
        r#"length = "225 mm""#,
        r#"length = "225 mm", flare = "@""#,
        "77.9 mm",
        "78 mm",
    ),
    (
        r#"length = "225 mm""#,
        r#"length = "225 mm", flare = "@""#,
        "26.6 mm",
        "26.5 mm",
    ),
    (
        r#"length = "225 mm""#,
        r#"length = "225 mm", outside = "@""#,
        "26.7 mm",
        "26.6 mm",
    ),
    // pi times 84 mm over six is 43.98 mm.
    (r#"width = "12 mm""#, r#"width = "@""#, "43.9 mm", "44.0 mm"),
    (
        "name = \"north\"",
        "name = \"north\"\nguard = { diameter = \"@\" }",
        "84.1 mm",
        "84 mm",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\nguard = { diameter = \"@\" }",
        "0.9999 m",
        "1.0001 m",
    ),
    // pi times 110 mm times 300 mm is 1036.7 cm2.
    (
        "name = \"north\"",
        "name = \"north\"\nguard = { diameter = \"110 mm\", slot-area = \"@\" }",
        "1036 cm2",
        "1037 cm2",
    ),
    (
        r#"depth = "0.30 m""#,
        r#"depth = "@""#,
        "0.35 m",
        "0.3501 m",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\nrim = \"@\"",
        "1.35 m",
        "1.3501 m",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\nrim = \"@\"",
        "1.301 m",
        "1 m",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\nstart-level = \"@\"",
        "1.35 m",
        "1.3501 m",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\nstart-level = \"@\"",
        "1 m",
        "0.9999 m",
    ),
    (
        r#"start-level = "0.40 m""#,
        r#"start-level = "@""#,
        "0.55 m",
        "0.5501 m",
    ),
    (
        r#"start-level = "0.40 m""#,
        r#"start-level = "@""#,
        "0 m",
        "-0.0001 m",
    ),
    (
        r#"overflow-level = "0.55 m""#,
        r#"overflow-level = "@""#,
        "0.6 m",
        "0.6001 m",
    ),
    (
        r#"intake-level = "0.05 m""#,
        r#"intake-level = "@""#,
        "0 m",
        "-0.0001 m",
    ),
    // 50 mm of cover under the overflow at 0.55 m.
    (
        r#"intake-level = "0.05 m""#,
        r#"intake-level = "@""#,
        "0.4999 m",
        "0.5 m",
    ),
    (
        "[pump]",
        "[top-off]\nlevel = \"@\"\nflow = \"2 L/min\"\nbore = \"6 mm\"\n[pump]",
        "0.5499 m",
        "0.55 m",
    ),
    (
        "[pump]",
        "[top-off]\nlevel = \"@\"\nflow = \"2 L/min\"\nbore = \"6 mm\"\n[pump]",
        "0 m",
        "-0.0001 m",
    ),
    (
        "\n[sump]",
        "room = { ceiling = \"@\" }\n[sump]",
        "1.3501 m",
        "1.35 m",
    ),
    // The line's invert at its upper end: 0.5 m plus 2 % of 2 m.
    (
        "[pump]",
        "[drain-line]\npipe = { bore = \"50 mm\", length = \"2 m\" }\nslope = \"2 %\"\noutlet = \"@\"\n[pump]",
        "0.58 m",
        "0.5801 m",
    ),
    (
        "[pump]",
        "[drain-line]\npipe = { bore = \"50 mm\", length = \"2 m\" }\nslope = \"2 %\"\noutlet = \"@\"\n[pump]",
        "0 m",
        "-0.0001 m",
    ),
    (
        "drain = { outlet = \"0.62 m\", length = \"0.7 m\" }",
        "drain = { outlet = \"0.62 m\", length = \"0.7 m\", at = \"@\" }\n[drain-line]\npipe = { bore = \"50 mm\", length = \"2 m\" }\nslope = \"2 %\"\noutlet = \"0.5 m\"",
        "2 m",
        "2.001 m",
    ),
    (
        "name = \"north\"",
        "name = \"north\"\ninlet = { flow = \"@\" }",
        "9 L/min",
        "9.1 L/min",
    ),
    // Ranges.
    ("\n[sump]", "hours = @\n[sump]", "0.1", "0.09"),
    ("\n[sump]", "hours = @\n[sump]", "8760", "8761"),
    (
        "\n[sump]",
        "water = { temperature = \"@\" }\n[sump]",
        "0 degC",
        "-0.1 degC",
    ),
    (
        "\n[sump]",
        "water = { temperature = \"@\" }\n[sump]",
        "40 degC",
        "104.1 degF",
    ),
    ("void = 0.4", "void = @", "0.05", "0.04"),
    ("void = 0.4", "void = @", "0.95", "0.96"),
    ("count = 6", "count = @", "1", "0"),
    (
        r#"clearance = "25 mm""#,
        r#"clearance = "@""#,
        "1 mm",
        "0.9 mm",
    ),
    (
        r#"steady-flow = "9 L/min""#,
        r#"steady-flow = "@""#,
        "0.02 L/min",
        "0.019 L/min",
    ),
    (
        r#"steady-flow = "9 L/min""#,
        r#"steady-flow = "@""#,
        "2000 L/min",
        "2001 L/min",
    ),
];

fn outcome(from: &str, to: &str, value: &str) -> Result<(), String> {
    assert_eq!(SMALL.matches(from).count(), 1, "{from}");
    let text = SMALL.replace(from, &to.replace('@', value));
    scenario::parse(&text, "edge.toml")
        .map(|_| ())
        .map_err(|error| error.render(false))
}

#[test]
fn values_just_inside_are_read_and_just_outside_are_refused() {
    for (from, to, inside, outside) in EDGES {
        if let Err(message) = outcome(from, to, inside) {
            panic!("{inside} in {to} was refused:\n{message}");
        }
        assert!(
            outcome(from, to, outside).is_err(),
            "{outside} in {to} was read"
        );
    }
}

#[test]
fn shares_may_miss_one_by_the_rounding_of_thirds() {
    let text = include_str!("shares.toml");
    let with = |a: &str, b: &str| {
        let text = text.replace("share = 0.6", &format!("share = {a}"));
        scenario::parse(
            &text.replace("share = 0.4", &format!("share = {b}")),
            "shares.toml",
        )
        .is_ok()
    };
    assert!(with("0.3334", "0.6667"));
    assert!(with("0.2", "0.2"), "what is left goes back to the sump");
    assert!(!with("0.334", "0.668"));
}
