//! One library for the mathematics, so that a browser answers as the program does.

use std::fs;

use crate::all_sources;

/// Methods of an `f64` that the platform computes, each platform to digits of its own.
const OF_THE_PLATFORM: [&str; 24] = [
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp",
    "exp2", "exp_m1", "hypot", "ln", "ln_1p", "log10", "log2", "powf", "sin", "sin_cos", "sinh",
    "tan", "tanh",
];

#[test]
fn no_source_takes_a_function_from_the_platform() {
    let mut found = Vec::new();
    for path in all_sources() {
        // Where they are held against the platform's.
        if path.ends_with("numerics/maths.rs") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for (n, line) in text.lines().enumerate() {
            let calls = |name: &&&str| {
                line.contains(&format!(".{name}()"))
                    || line.contains(&format!("f64::{name}"))
                    || ["atan2", "hypot", "powf"].contains(*name)
                        && line.contains(&format!(".{name}("))
            };
            found.extend(
                OF_THE_PLATFORM
                    .iter()
                    .filter(calls)
                    .map(|name| format!("{}:{}: {name}", path.display(), n + 1)),
            );
        }
    }
    assert!(
        found.is_empty(),
        "use numerics::maths::Maths: {}",
        found.join("\n")
    );
}
