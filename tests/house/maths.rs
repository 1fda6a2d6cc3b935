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

/// Sorting that brings its own copy of the code for each kind of element.
const SORTS: [&str; 3] = [".sort_by(", ".sort_by_key(", ".sort_unstable"];

// Tests, and what never runs in a browser, may sort as they like.
#[test]
fn what_the_page_carries_sorts_through_one_copy() {
    let mut found = Vec::new();
    for path in all_sources() {
        let elsewhere = ["numerics/in_order.rs", "/commands/", "main.rs"];
        if elsewhere
            .iter()
            .any(|one| path.to_string_lossy().contains(one))
        {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let body = text.split("mod tests {").next().unwrap_or_default();
        for (n, line) in body.lines().enumerate() {
            if SORTS.iter().any(|sort| line.contains(sort)) {
                found.push(format!("{}:{}", path.display(), n + 1));
            }
        }
    }
    assert!(
        found.is_empty(),
        "use numerics::in_order::InOrder: {}",
        found.join("\n")
    );
}
