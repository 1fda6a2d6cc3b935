//! The cut list under the drawing.

use super::super::page::count;
use super::super::palette::{BLACK, GREY, MID_GREY, Stroke};
use super::super::sheet::{Align, BODY, HEADING, SMALL, Sheet, shorten, text_width, wrap};
use super::{MARGIN, SIZE};

/// Left edges of length and description `[px]`.
const LENGTH: f64 = MARGIN + 80.0;
const WHAT: f64 = LENGTH + 92.0;
/// Between two lines of one description, and between two pieces `[px]`.
const LINE: f64 = SMALL + 3.0;
const GAP: f64 = 5.0;
const HEAD: f64 = HEADING + 10.0;
/// Under the list.
const FOOT: &str = "Finished lengths in place: add what a joint in the floor and the sockets of fittings \
     take. Put it together dry and measure once more before gluing.";

/// Lines of a description; a figure stays with the word after it, its unit.
fn lines(what: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut held = String::new();
    for word in what.split_whitespace() {
        held.push_str(word);
        if word.ends_with(|c: char| c.is_ascii_digit()) {
            held.push(' ');
            continue;
        }
        put(&mut lines, &held);
        held.clear();
    }
    if !held.is_empty() {
        put(&mut lines, held.trim_end());
    }
    lines
}

/// Adds to the last line what fits there, else begins another.
fn put(lines: &mut Vec<String>, piece: &str) {
    match lines.last_mut() {
        Some(line) if line.is_empty() => line.push_str(piece),
        Some(line) if text_width(&format!("{line} {piece}"), SMALL) <= SIZE.0 - MARGIN - WHAT => {
            line.push(' ');
            line.push_str(piece);
        }
        _ => lines.push(piece.to_owned()),
    }
}

fn foot() -> Vec<String> {
    wrap(FOOT, SMALL, SIZE.0 - 2.0 * MARGIN)
}

/// Height of the list with its head and foot `[px]`.
pub(super) fn height(pieces: &[[String; 3]]) -> f64 {
    let rows: f64 = pieces
        .iter()
        .map(|[_, _, what]| count(lines(what).len()) * LINE + GAP)
        .sum();
    HEAD + rows + 6.0 + count(foot().len()) * LINE
}

/// Draws the list with its upper edge at `top` `[px]`.
pub(super) fn draw(sheet: &mut Sheet, pieces: &[[String; 3]], top: f64) {
    let rule = |sheet: &mut Sheet, y: f64| {
        sheet.line(
            &[(MARGIN, y), (SIZE.0 - MARGIN, y)],
            Stroke::solid(MID_GREY, 0.8),
        );
    };
    sheet.text(
        (MARGIN, top + HEADING),
        Align::Left,
        HEADING,
        BLACK,
        "To cut",
    );
    let mut y = top + HEAD;
    rule(sheet, y - 4.0);
    for [name, length, what] in pieces {
        let base = y + SMALL;
        let name = shorten(name, BODY, LENGTH - MARGIN - 6.0);
        sheet.text((MARGIN, base), Align::Left, BODY, BLACK, name);
        let length = shorten(length, BODY, WHAT - LENGTH - 6.0);
        sheet.text((LENGTH, base), Align::Left, BODY, BLACK, length);
        let lines = lines(what);
        for (k, line) in lines.iter().enumerate() {
            let line = shorten(line, SMALL, SIZE.0 - MARGIN - WHAT);
            sheet.text(
                (WHAT, base + count(k) * LINE),
                Align::Left,
                SMALL,
                BLACK,
                line,
            );
        }
        y += count(lines.len()) * LINE + GAP;
    }
    rule(sheet, y);
    for (k, line) in foot().into_iter().enumerate() {
        let at = (MARGIN, y + 6.0 + SMALL + count(k) * LINE);
        sheet.text(at, Align::Left, SMALL, GREY, line);
    }
}
