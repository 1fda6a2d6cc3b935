//! Reading a quantity: a number and its unit, as written beside a tape measure.
//!
//! Numbers may be decimals (`0.3`, `1e-3`), fractions (`3/4`, `1 1/2`,
//! `1-1/2`, `1½`); lengths and times may come in parts (`7 ft 2 in`, `5' 3"`,
//! `2 min 35 s`); slopes also as `1:50` or `1 in 50`, flows as a bucket gives them (`1 gal in 25 s`). Anything that two people
//! could read differently, such as `1,000`, is refused.

use super::number::{Ratio, number, vulgar};
use super::table::{Quantity, Unit, quotient_of, simple_unit_spellings, unit};

pub use super::unread::QuantityError;

/// Longest text looked at; nothing sensible is longer.
const LONGEST: usize = 80;

/// What a bucket and a stopwatch say: `1 gal in 25 s`, `10 L / 1 min 6 s`, `10 L in 3:20` `[m3/s]`.
fn bucket(text: &str) -> Option<f64> {
    let parts = [" in ", " per ", "/"].iter();
    let mut parts = parts.filter_map(|between| text.split_once(between));
    parts.find_map(|(volume, time)| {
        let volume = parse(volume, Quantity::Volume).ok()?;
        let time = stopwatch(time).or_else(|| parse(time, Quantity::Time).ok())?;
        (time > 0.0).then(|| volume / time)
    })
}

/// `3:20`, minutes and seconds as a stopwatch shows them `[s]`; beside a volume it is nothing else.
fn stopwatch(text: &str) -> Option<f64> {
    let (minutes, seconds) = text.trim().split_once(':')?;
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    let whole = seconds.split_once('.').map_or(seconds, |(whole, _)| whole);
    if minutes.is_empty() || !digits(minutes) || whole.len() != 2 || !digits(whole) {
        return None;
    }
    let (minutes, seconds): (f64, f64) = (minutes.parse().ok()?, seconds.parse().ok()?);
    (seconds < 60.0).then_some(60.0 * minutes + seconds)
}

/// Reads a quantity into SI (temperature: degC).
///
/// Any sign and size is read; ranges are the caller's business.
///
/// # Errors
/// [`QuantityError`] for whatever is not clearly the quantity wanted.
///
/// # Example
/// ```
/// use ebbwright::units::{parse::parse, table::Quantity};
/// assert_eq!(parse("1 1/2 in", Quantity::Length)?, 0.0381);
/// assert_eq!(parse("7 ft 2 in", Quantity::Length)?, 2.1844);
/// assert_eq!(parse("300 L/h", Quantity::Flow)?, 300.0 / 3.6e6);
/// assert_eq!(parse("10 L in 50 s", Quantity::Flow)?, 0.01 / 50.0);
/// assert_eq!(parse("10 L in 3:20", Quantity::Flow)?, 0.01 / 200.0);
/// assert!(parse("10 L in 3:2", Quantity::Flow).is_err());
/// assert!(parse("1,000 L/h", Quantity::Flow).is_err());
/// # Ok::<(), ebbwright::units::parse::QuantityError>(())
/// ```
pub fn parse(text: &str, wanted: Quantity) -> Result<f64, QuantityError> {
    if text.len() > LONGEST {
        return Err(QuantityError::TooLong { wanted });
    }
    let text = plain_characters(text)?;
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty);
    }
    refuse_separators(text)?;
    refuse_not_finite(text)?;
    if wanted == Quantity::Slope
        && let Some(si) = slope_ratio(text)?
    {
        return Ok(si);
    }
    if wanted == Quantity::Flow
        && let Some(si) = bucket(text)
    {
        return Ok(si);
    }
    let (ratio, written, rest) = number(text)?;
    if wanted == Quantity::Length
        && let Some(inches) = rest.strip_prefix('-')
        && let Ok((_, inches, "" | "in" | "\"" | " in")) = number(inches)
    {
        return Err(QuantityError::FeetAndInches {
            text: text.to_owned(),
            feet: written.to_owned(),
            inches: inches.to_owned(),
        });
    }
    let spelled = squeeze(rest);
    if spelled.is_empty() {
        return Err(QuantityError::NoUnit {
            number: written.to_owned(),
            wanted,
        });
    }
    let si = match unit(&spelled) {
        Some(found) if found.quantity == wanted => found.ratio_to_si(ratio.over, ratio.under),
        Some(found) => {
            return Err(QuantityError::WrongQuantity {
                unit: spelled,
                found: found.quantity,
                wanted,
            });
        }
        None => in_parts(text, ratio, rest, wanted)?,
    };
    if !si.is_finite() {
        return Err(QuantityError::NotFinite {
            text: text.to_owned(),
        });
    }
    Ok(si)
}

/// Replaces blanks that look ordinary, and refuses what merely looks like a sign or a digit.
fn plain_characters(text: &str) -> Result<String, QuantityError> {
    text.chars()
        .map(|c| match c {
            '\u{a0}' | '\u{2009}' | '\u{202f}' | '\t' => Ok(' '),
            ' '..='~' | '°' | '€' | '£' | '″' | '′' | '²' | '³' => Ok(c),
            c if vulgar(c).is_some() => Ok(c),
            '\u{2212}' | '\u{2010}'..='\u{2015}' => Err((c, Some("a plain hyphen, -,"))),
            '\u{2018}' | '\u{2019}' => Err((c, Some("a plain ' or ft"))),
            '\u{201c}' | '\u{201d}' => Err((c, Some("a plain \" or in"))),
            '\u{2044}' | '\u{2215}' => Err((c, Some("a plain slash, /,"))),
            other => Err((other, None)),
        })
        .collect::<Result<String, _>>()
        .map_err(|(character, instead)| QuantityError::Character { character, instead })
}

/// `1,000`, `1_000`, `1 000` and `2,5`: different people read different numbers.
fn refuse_separators(text: &str) -> Result<(), QuantityError> {
    let bytes = text.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    for (i, byte) in bytes.iter().enumerate() {
        let Some(before) = i.checked_sub(1) else {
            continue;
        };
        // A blank separates only before exactly three digits that do not begin a fraction.
        let thousands = digit(i + 1) && digit(i + 2) && digit(i + 3) && !digit(i + 4);
        let separates = match byte {
            b',' | b'_' => digit(i + 1),
            b' ' => thousands && bytes.get(i + 4) != Some(&b'/'),
            _ => false,
        };
        if !(separates && digit(before)) {
            continue;
        }
        let start = text[..i]
            .rfind(|c: char| !c.is_ascii_digit())
            .map_or(0, |at| at + 1);
        let tail = text[i + 1..]
            .find(|c: char| !c.is_ascii_digit())
            .map_or(text.len(), |n| i + 1 + n);
        let (whole, part) = (&text[start..i], &text[i + 1..tail]);
        let (separator, readings) = match byte {
            b',' if thousands => ("a comma", format!("{whole}{part} or {whole}.{part}")),
            b',' => ("a comma", format!("{whole}.{part}")),
            b'_' => ("an underscore", format!("{whole}{part}")),
            _ => ("a blank", format!("{whole}{part}")),
        };
        return Err(QuantityError::Separator {
            text: text[start..tail].to_owned(),
            separator,
            readings,
        });
    }
    Ok(())
}

fn refuse_not_finite(text: &str) -> Result<(), QuantityError> {
    let bare = text.trim_start_matches(['+', '-']).to_ascii_lowercase();
    let word = bare
        .split(|c: char| !c.is_ascii_alphabetic())
        .next()
        .unwrap_or_default();
    if matches!(word, "nan" | "inf" | "infinity") {
        return Err(QuantityError::NotFinite {
            text: text.to_owned(),
        });
    }
    Ok(())
}

/// `1:50` or `1 in 50`, rise to run.
fn slope_ratio(text: &str) -> Result<Option<f64>, QuantityError> {
    // `1/4 in / ft` and `1/4 in per ft` are inches, not a ratio.
    let inches = |run: &str| run.trim_start().starts_with(['/', 'p']);
    let ratio = text
        .split_once(':')
        .or_else(|| text.split_once(" in ").filter(|(_, run)| !inches(run)));
    let Some((rise, run)) = ratio else {
        return Ok(None);
    };
    let side = |text: &str| -> Result<f64, QuantityError> {
        let (ratio, _, rest) = number(text.trim())?;
        if rest.trim().is_empty() {
            Ok(ratio.value())
        } else {
            Err(QuantityError::NotANumber {
                text: text.trim().to_owned(),
            })
        }
    };
    let (rise, run) = (side(rise)?, side(run)?);
    if run == 0.0 {
        return Err(QuantityError::Fraction {
            text: text.to_owned(),
        });
    }
    Ok(Some(rise / run))
}

/// A unit without blanks, `per` as a slash, raised figures as plain ones. A
/// blank before a digit stays: `5 ft 2` lacks a unit, it is no area.
fn squeeze(text: &str) -> String {
    let text = text
        .trim()
        .replace(" per ", "/")
        .replace('²', "2")
        .replace('³', "3");
    let text = text
        .strip_prefix("per ")
        .map_or(text.clone(), |rest| format!("/{rest}"));
    let text = text.strip_suffix('.').unwrap_or(&text);
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '^' => {}
            ' ' if !chars.peek().is_some_and(char::is_ascii_digit) => {}
            _ => out.push(c),
        }
    }
    out
}

/// `7 ft 2 in`, `5' 3"`, `2 min 35 s`: first number already read.
fn in_parts(text: &str, first: Ratio, rest: &str, wanted: Quantity) -> Result<f64, QuantityError> {
    let mut part = Ratio {
        over: first.over.abs(),
        under: first.under,
    };
    let mut rest = rest;
    let mut sum = 0.0;
    let mut before: Option<Unit> = None;
    loop {
        // The point of `ft.` belongs to the unit, that of `.5` to the number.
        let digit = |c: char| c.is_ascii_digit();
        let end = rest
            .char_indices()
            .find(|(i, c)| {
                digit(*c) || vulgar(*c).is_some() || *c == '.' && rest[i + 1..].starts_with(digit)
            })
            .map(|(i, _)| i);
        let (spelling, next) = rest.split_at(end.unwrap_or(rest.len()));
        let spelled = squeeze(spelling);
        let several = matches!(wanted, Quantity::Length | Quantity::Time);
        let found = unit(&spelled);
        let Some(unit) = found.filter(|u| u.quantity == wanted && several) else {
            let unit = if several { spelled } else { squeeze(rest) };
            let suggestion = nearest(&unit, wanted);
            return Err(QuantityError::UnknownUnit {
                unit,
                wanted,
                suggestion,
            });
        };
        // 7 ft 12 in is a slip: a part is less than one of the unit before. The hair is rounding.
        let descends = before.is_none_or(|b| {
            b.is_larger_than(unit) && unit.to_si(part.value()) < b.to_si(1.0) * (1.0 - 1e-12)
        });
        if !descends {
            return Err(QuantityError::Parts {
                text: text.to_owned(),
            });
        }
        sum += unit.ratio_to_si(part.over, part.under);
        before = Some(unit);
        if next.trim().is_empty() {
            return Ok(if first.over.is_sign_negative() {
                -sum
            } else {
                sum
            });
        }
        let (next, written, after) = number(next.trim_start())?;
        if after.trim().is_empty() {
            return Err(QuantityError::NoUnit {
                number: written.to_owned(),
                wanted,
            });
        }
        part = next;
        rest = after;
    }
}

/// A known spelling close to this one, among units of the wanted quantity.
fn nearest(spelling: &str, wanted: Quantity) -> Option<&'static str> {
    let close = |a: &str, b: &str| {
        let distance =
            strsim::damerau_levenshtein(&a.to_ascii_lowercase(), &b.to_ascii_lowercase());
        // With more than one letter in three wrong it is another word.
        (distance * 3 <= a.len().max(b.len())).then_some(distance)
    };
    if let Some((over, under)) = quotient_of(wanted)
        && let Some((a, b)) = spelling.split_once('/')
    {
        // Only one side is wrong as a rule; name the unit that should stand there.
        let wrong = if unit(a).is_some_and(|u| u.quantity == over) {
            (b, under)
        } else {
            (a, over)
        };
        return nearest(wrong.0, wrong.1);
    }
    simple_unit_spellings(wanted)
        // A single letter is near to every short word.
        .filter(|name| name.len() > 1 || spelling.len() <= 2)
        .filter_map(|name| Some((close(spelling, name)?, name)))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}
