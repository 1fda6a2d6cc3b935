//! Numbers as people write them: decimals, fractions, mixed numbers.

use super::unread::QuantityError;

/// A number as a fraction, exact wherever its digits fit a double.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ratio {
    pub over: f64,
    pub under: f64,
}

impl Ratio {
    pub fn value(self) -> f64 {
        self.over / self.under
    }
}

/// The value of a fraction that is one character.
pub(super) fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 0.5,
        '¼' => 0.25,
        '¾' => 0.75,
        '⅛' => 0.125,
        '⅜' => 0.375,
        '⅝' => 0.625,
        '⅞' => 0.875,
        _ => return None,
    })
}

/// Reads a number at the start: its value, its text, and what follows.
pub(super) fn number(text: &str) -> Result<(Ratio, &str, &str), QuantityError> {
    let not_a_number = || {
        let shown = text.split(' ').next().unwrap_or(text);
        QuantityError::NotANumber {
            text: shown.to_owned(),
        }
    };
    if let Some((ratio, rest)) = leading_vulgar(text.trim_start_matches(['+', '-'])) {
        let written = &text[..text.len() - rest.len()];
        let signs = written.matches(['+', '-']).count();
        if signs > 1 {
            return Err(not_a_number());
        }
        let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
        return Ok((
            Ratio {
                over: sign * ratio.over,
                under: ratio.under,
            },
            written,
            rest,
        ));
    }
    let end = decimal_end(text).ok_or_else(not_a_number)?;
    let (written, rest) = text.split_at(end);
    let ratio = decimal(written).ok_or_else(not_a_number)?;
    if !ratio.value().is_finite() {
        return Err(QuantityError::NotFinite {
            text: written.to_owned(),
        });
    }
    let whole = written
        .trim_start_matches(['+', '-'])
        .bytes()
        .all(|b| b.is_ascii_digit());
    if !whole {
        return Ok((ratio, written, rest));
    }
    let consumed = |rest: &str| text.len() - rest.len();
    let mixed = |part: Ratio| {
        let sign = if written.starts_with('-') { -1.0 } else { 1.0 };
        Ratio {
            over: ratio.over * part.under + sign * part.over,
            under: part.under,
        }
    };
    // 3/4
    if let Some(after) = rest.strip_prefix('/')
        && let Some((below, rest)) = digits(after)
    {
        let written = &text[..consumed(rest)];
        if below == 0.0 {
            return Err(QuantityError::Fraction {
                text: written.to_owned(),
            });
        }
        return Ok((
            Ratio {
                over: ratio.over,
                under: below,
            },
            written,
            rest,
        ));
    }
    // 1 1/2 and 1-1/2
    let after = rest.strip_prefix('-').unwrap_or_else(|| rest.trim_start());
    if after.len() < rest.len()
        && let Some((above, slash)) = digits(after)
        && let Some((below, rest)) = slash.strip_prefix('/').and_then(digits)
    {
        let written = &text[..consumed(rest)];
        if above >= below {
            return Err(QuantityError::Fraction {
                text: written.to_owned(),
            });
        }
        return Ok((
            mixed(Ratio {
                over: above,
                under: below,
            }),
            written,
            rest,
        ));
    }
    // 1½ and 1 ½
    if let Some((part, rest)) = leading_vulgar(rest.trim_start()) {
        return Ok((mixed(part), &text[..consumed(rest)], rest));
    }
    Ok((ratio, written, rest))
}

/// A decimal as digits over a power of ten.
fn decimal(written: &str) -> Option<Ratio> {
    let (mantissa, exponent) = match written.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, exponent.parse::<i32>().unwrap_or(i32::MAX)),
        None => (written, 0),
    };
    let decimals = mantissa.split_once('.').map_or(0, |(_, part)| part.len());
    let over: f64 = mantissa.replace('.', "").parse().ok()?;
    let shift = exponent.saturating_sub(i32::try_from(decimals).ok()?);
    // Powers of ten are exact up to 22; beyond, let the library round.
    if shift.abs() > 22 {
        return Some(Ratio {
            over: written.parse().ok()?,
            under: 1.0,
        });
    }
    let power = 10f64.powi(shift.abs());
    Some(if shift < 0 {
        Ratio { over, under: power }
    } else {
        Ratio {
            over: over * power,
            under: 1.0,
        }
    })
}

fn leading_vulgar(text: &str) -> Option<(Ratio, &str)> {
    let mut chars = text.chars();
    let eighths = 8.0 * vulgar(chars.next()?)?;
    Some((
        Ratio {
            over: eighths,
            under: 8.0,
        },
        chars.as_str(),
    ))
}

/// A run of digits and what follows.
fn digits(text: &str) -> Option<(f64, &str)> {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    let value = text[..end].parse().ok()?;
    Some((value, &text[end..]))
}

/// Where a decimal number at the start ends.
fn decimal_end(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let skip_digits = |mut i: usize| {
        while bytes.get(i).is_some_and(u8::is_ascii_digit) {
            i += 1;
        }
        i
    };
    let start = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = skip_digits(start);
    let mut count = end - start;
    if bytes.get(end) == Some(&b'.') {
        let after = skip_digits(end + 1);
        count += after - end - 1;
        end = after;
    }
    if count == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let after = skip_digits(signed);
        if after > signed {
            end = after;
        }
    }
    Some(end)
}
