//! Damage to a text: bytes, tokens of other files, other units, numbers at the edge.

use crate::dice::Dice;
use crate::splices::SPLICES;

const UNITS: &[&str] = &[
    "mm", "cm", "m", "in", "ft", "L", "m3", "gal", "qt", "L/min", "L/h", "gal/h", "gpm", "m3/h",
    "cm2", "in2", "m2", "s", "min", "h", "day", "degC", "degF", "W", "kWh", "%", "kg", "lb", "psi",
    "bar", "mg/L", "mm/m", "in/ft", "EUR/kWh", "",
];

const NUMBERS: &[&str] = &[
    "0",
    "-0.0",
    "1e-9",
    "0.001",
    "1e308",
    "-1e308",
    "1e-308",
    "5e-324",
    "nan",
    "inf",
    "-inf",
    "9223372036854775807",
    "9223372036854775808",
    "0x7f",
    "1_000",
    "1/3",
    "1/0",
    "0/0",
    "7-1/16",
    "3 1/2",
    "½",
    "1e99999",
    "--1",
    "+1",
    ".5",
    "5.",
    "0.30000000000000004",
    "1e16",
];

/// `text` with one to four damages; `other` is the file whose tokens come in.
pub fn damaged(text: &str, other: &str, dice: &mut Dice) -> String {
    let mut text = text.to_owned();
    for _ in 0..=dice.roll(4) {
        text = match dice.roll(4) {
            0 => bytes(text, dice),
            1 => tokens(&text, other, dice),
            2 => in_place_of(&text, is_unit, UNITS, dice),
            _ => in_place_of(&text, is_number, NUMBERS, dice),
        };
    }
    text
}

fn bytes(text: String, dice: &mut Dice) -> String {
    let mut bytes = text.into_bytes();
    if bytes.is_empty() {
        return String::new();
    }
    let at = dice.roll(bytes.len());
    let to = (at + 1 + dice.roll(40)).min(bytes.len());
    match dice.roll(6) {
        0 => {
            bytes.drain(at..to);
        }
        1 => bytes[at] = dice.roll(256) as u8,
        2 => {
            let piece = bytes[at..to].to_vec();
            let spot = dice.roll(bytes.len());
            bytes.splice(spot..spot, piece);
        }
        3 => bytes[at] = b"0123456789"[dice.roll(10)],
        4 => bytes.truncate(at),
        _ => {
            bytes.splice(at..at, dice.one(SPLICES).bytes());
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

/// Words, numbers and single signs, each with its place.
fn pieces(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut from = 0;
    let mut kind = None;
    for (at, c) in text.char_indices() {
        let now = match c {
            c if c.is_alphabetic() || c == '-' || c == '_' => 0,
            c if c.is_ascii_digit() || c == '.' => 1,
            ' ' => 2,
            _ => 3,
        };
        if kind != Some(now) || now == 3 {
            if at > from {
                found.push(&text[from..at]);
            }
            (from, kind) = (at, Some(now));
        }
    }
    found.push(&text[from..]);
    found
}

/// A line, a table or a token of another file in place of one of this.
fn tokens(text: &str, other: &str, dice: &mut Dice) -> String {
    let split = |text: &'_ str, how: usize| -> Vec<String> {
        match how {
            0 => text.split_inclusive('\n').map(str::to_owned).collect(),
            1 => text.split_inclusive("\n\n").map(str::to_owned).collect(),
            _ => pieces(text).into_iter().map(str::to_owned).collect(),
        }
    };
    let how = dice.roll(4);
    let (mut ours, theirs) = (split(text, how), split(other, how));
    if ours.is_empty() || theirs.is_empty() {
        return text.to_owned();
    }
    let at = dice.roll(ours.len());
    let theirs = dice.one(&theirs).clone();
    if dice.chance(0.5) {
        ours[at] = theirs;
    } else {
        ours.insert(at, theirs);
    }
    ours.concat()
}

fn is_unit(piece: &str) -> bool {
    UNITS.contains(&piece)
}

fn is_number(piece: &str) -> bool {
    piece.parse::<f64>().is_ok()
}

/// One of the pieces that are of a kind, replaced by one of `words`.
fn in_place_of(text: &str, kind: fn(&str) -> bool, words: &[&str], dice: &mut Dice) -> String {
    let mut pieces = pieces(text);
    let places: Vec<usize> = (0..pieces.len()).filter(|&i| kind(pieces[i])).collect();
    if !places.is_empty() {
        pieces[*dice.one(&places)] = words[dice.roll(words.len())];
    }
    pieces.concat()
}
