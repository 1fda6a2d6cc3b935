//! Lines of words and numbers, compared number by number.

/// How far a number may be off, relative.
const OFF: f64 = 1e-6;
/// And in itself, where it is a difference of larger ones.
const OFF_AT_NOUGHT: f64 = 1e-10;

/// Words and numbers of a line, told apart.
fn parts(line: &str) -> Vec<Result<f64, String>> {
    let mut found = Vec::new();
    for word in line.split_inclusive(|c: char| !(c.is_ascii_alphanumeric() || "+-._".contains(c))) {
        let bare =
            word.trim_end_matches(|c: char| !(c.is_ascii_alphanumeric() || "._".contains(c)));
        let number = bare.starts_with(|c: char| c.is_ascii_digit() || c == '-');
        match bare.parse() {
            Ok(value) if number => {
                found.push(Ok(value));
                found.push(Err(word[bare.len()..].to_owned()));
            }
            _ => found.push(Err(word.to_owned())),
        }
    }
    found
}

/// The line with nine digits of every number that is not whole, without the names of fields:
/// they come in the order of their types.
pub fn short(line: &str) -> String {
    let written = parts(line).into_iter().map(|part| match part {
        Ok(value) if value == value.trunc() && value.abs() < 1e9 => format!("{value}"),
        Ok(value) => {
            let nine = format!("{value:.8e}").parse::<f64>().unwrap();
            let (plain, by_ten) = (format!("{nine}"), format!("{nine:e}"));
            if by_ten.len() < plain.len() {
                by_ten
            } else {
                plain
            }
        }
        Err(word) if word.ends_with(':') => String::new(),
        Err(word) => word,
    });
    let line = written.collect::<String>();
    [
        (" {  ", " { "),
        ("  ", " "),
        (", ", ","),
        (" }", "}"),
        (" { ", "{"),
    ]
    .iter()
    .fold(line, |line, (long, short)| line.replace(long, short))
}

fn same(before: &str, now: &str) -> bool {
    let (before, now) = (parts(before), parts(now));
    before.len() == now.len()
        && before.iter().zip(&now).all(|pair| match pair {
            (Ok(a), Ok(b)) => a == b || (a - b).abs() <= OFF * a.abs().max(b.abs()) + OFF_AT_NOUGHT,
            (a, b) => a == b,
        })
}

/// Lines that differ by more than rounding, as they are now and were before.
pub fn differing(before: &str, now: &str) -> Vec<String> {
    let mut found = Vec::new();
    let (mut before, mut now) = (before.lines(), now.lines());
    loop {
        match (before.next(), now.next()) {
            (None, None) => return found,
            (Some(a), Some(b)) if same(a, b) => {}
            (a, b) => found.push(format!(
                "{}\n    before: {}",
                b.unwrap_or("(none)"),
                a.unwrap_or("(none)")
            )),
        }
    }
}

#[test]
fn numbers_are_compared_and_words_are_not() {
    let line = "bed B { x: 0.25, y: Some(-1e-5), z: inf, of: 3 }";
    assert!(same(line, &line.replace("0.25", "0.2500001")));
    assert!(!same(line, &line.replace("0.25", "0.250001")));
    assert!(!same(line, &line.replace("-1e-5", "1e-5")));
    assert!(!same(line, &line.replace("Some", "None")));
    assert!(!same(line, &line.replace("inf", "-inf")));
    assert!(!same(line, &line.replace("of: 3", "of: 4")));
    assert!(differing(line, line).is_empty() && differing(line, "").len() == 1);
}
