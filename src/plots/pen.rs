//! A sheet as an `svg` element for a page, without any drawing library: colours are classes, so
//! that a page can be dark; parts are groups with keys.

use std::fmt::Write;

use super::palette::{BLACK, BLUE, GREY, MID_GREY, PALE_GREY, Rgb, WATER_HIGH, WATER_LOW, WHITE};
use super::sheet::{Align, Mark, Point, Sheet};
use crate::units::display::markup;

/// Names of colours in classes: `f-ink` fills with ink, `s-ink` draws with it.
const CLASSES: [(Rgb, &str); 8] = [
    (BLACK, "ink"),
    (WHITE, "paper"),
    (GREY, "soft"),
    (MID_GREY, "hair"),
    (PALE_GREY, "pale"),
    (BLUE, "water"),
    (WATER_LOW, "low"),
    (WATER_HIGH, "high"),
];

/// The sheet; `level` gives the elevation of the water with a key at first `[m]`, without it
/// the vessel is empty.
pub(super) fn svg(sheet: &Sheet, level: &dyn Fn(&str) -> Option<f64>) -> String {
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {} {}\" width=\"{}\" height=\"{}\">",
        sheet.width, sheet.height, sheet.width, sheet.height
    );
    let mut clips = 0;
    let mut marks = sheet.marks.iter().peekable();
    while let Some(mark) = marks.next() {
        match mark {
            // What is hatched is one path: every byte travels.
            Mark::Line {
                points,
                color: MID_GREY,
                width,
            } if points.len() == 2 => {
                let mut places = path(points);
                while let Some(Mark::Line { points, .. }) =
                    marks.next_if(|next| is_hatch(next, *width))
                {
                    places.push_str(&path(points));
                }
                let _ = write!(
                    out,
                    "<path d=\"{places}\"{} stroke-width=\"{}\"/>",
                    painted('s', MID_GREY),
                    short(*width)
                );
            }
            Mark::Open(key) => {
                let _ = write!(out, "<g data-part=\"{}\">", markup(key));
            }
            Mark::Close => out.push_str("</g>"),
            Mark::Line {
                points,
                color,
                width,
            } => {
                let _ = write!(
                    out,
                    "<path d=\"{}\"{} stroke-width=\"{}\"/>",
                    path(points),
                    painted('s', *color),
                    short(*width)
                );
            }
            Mark::Area { points, color } => {
                let _ = write!(
                    out,
                    "<path d=\"{}z\"{}/>",
                    path(points),
                    painted('f', *color)
                );
            }
            Mark::Stream {
                points,
                stations,
                bore,
            } => {
                let places: Vec<String> = points
                    .iter()
                    .map(|(x, y)| format!("{},{}", short(*x), short(*y)))
                    .collect();
                let _ = write!(
                    out,
                    "<path class=\"stream\" data-stations=\"{}\" data-points=\"{}\" \
                     data-bore=\"{}\"/>",
                    markup(&stations.join(" ")),
                    places.join(" "),
                    short(*bore)
                );
            }
            Mark::Grains { points } => {
                let _ = write!(out, "<path d=\"{}z\" class=\"grains\"/>", path(points));
            }
            Mark::Text {
                at,
                align,
                size,
                color,
                text,
            } => {
                let anchor = match align {
                    Align::Left => "start",
                    Align::Centre => "middle",
                    Align::Right => "end",
                };
                let _ = write!(
                    out,
                    "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" font-size=\"{}\"{}>{}</text>",
                    short(at.0),
                    short(at.1),
                    short(*size),
                    painted('f', *color),
                    markup(text)
                );
            }
            Mark::Water {
                key,
                points,
                heights,
            } => {
                clips += 1;
                water(&mut out, clips, (key, points, *heights), level(key));
            }
        }
    }
    out.push_str("</svg>");
    out
}

/// Whether it is one more line of a hatching with lines so wide.
fn is_hatch(mark: &Mark, width: f64) -> bool {
    let Mark::Line {
        points,
        color: MID_GREY,
        width: own,
    } = mark
    else {
        return false;
    };
    points.len() == 2 && (own - width).abs() < 1e-9
}

/// A rectangle as wide as the vessel from its bottom to the surface, cut to its inside.
fn water(
    out: &mut String,
    clip: usize,
    (key, points, (zero, scale)): (&str, &[Point], (f64, f64)),
    level: Option<f64>,
) {
    let least = |values: &dyn Fn(&Point) -> f64| points.iter().map(values).fold(f64::MAX, f64::min);
    let (left, right) = (least(&|p| p.0), -least(&|p| -p.0));
    let (top, bottom) = (least(&|p| p.1), -least(&|p| -p.1));
    let surface = level.map_or(bottom, |level| (zero - scale * level).clamp(top, bottom));
    let key = markup(key);
    let _ = write!(
        out,
        "<clipPath id=\"inside-{clip}\"><path d=\"{}z\"/></clipPath><g clip-path=\"url(#inside-{clip})\">\
         <rect data-water=\"{key}\" data-zero=\"{zero}\" data-scale=\"{scale}\" data-bottom=\"{}\" \
         x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" class=\"f-low\"/></g>",
        path(points),
        short(bottom),
        short(left),
        short(surface),
        short(right - left),
        short(bottom - surface)
    );
}

fn painted(what: char, color: Rgb) -> String {
    if let Some((_, name)) = CLASSES.iter().find(|(known, _)| *known == color) {
        return format!(" class=\"{what}-{name}\"");
    }
    let Rgb(red, green, blue) = color;
    let hex = format!("#{red:02x}{green:02x}{blue:02x}");
    match what {
        's' => format!(" class=\"s-own\" stroke=\"{hex}\""),
        _ => format!(" fill=\"{hex}\""),
    }
}

fn path(points: &[Point]) -> String {
    let mut kept: Vec<Point> = Vec::new();
    for (x, y) in points {
        let next = (short(*x), short(*y));
        if kept.last() == Some(&next) {
            continue;
        }
        // A wall is as straight with its two ends: every byte travels.
        if let [.., before, last] = kept[..]
            && (straight((before.0, last.0, next.0), (before.1, last.1, next.1))
                || straight((before.1, last.1, next.1), (before.0, last.0, next.0)))
        {
            kept.pop();
        }
        kept.push(next);
    }
    let mut out = String::new();
    for (i, (x, y)) in kept.iter().enumerate() {
        let _ = write!(out, "{}{x} {y}", if i == 0 { 'M' } else { 'L' });
    }
    out
}

/// Whether three points have one place across and go on along.
fn straight(across: (f64, f64, f64), along: (f64, f64, f64)) -> bool {
    let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
    same(across.0, across.1)
        && same(across.1, across.2)
        && (along.1 - along.0) * (along.2 - along.1) > 0.0
}

/// To a tenth of a pixel.
fn short(px: f64) -> f64 {
    (px * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    // A box's wall took fifty points, its ground eighty paths: a third of the drawing's bytes.
    #[test]
    fn what_is_straight_has_two_ends_and_what_bends_has_all_its_points() {
        let wall = [
            (1.0, 9.0),
            (1.0, 7.0),
            (1.0, 7.01),
            (1.0, 4.0),
            (5.0, 4.0),
            (9.0, 4.0),
        ];
        assert_eq!(path(&wall), "M1 9L1 4L9 4");
        let there_and_back = [(1.0, 9.0), (1.0, 4.0), (1.0, 6.0)];
        assert_eq!(path(&there_and_back), "M1 9L1 4L1 6");
        let bent = [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)];
        assert_eq!(path(&bent), "M0 0L1 1L2 2");
    }

    #[test]
    fn a_name_is_text_whatever_it_says() {
        let mut sheet = Sheet::new(100.0, 50.0);
        sheet.open("a\"b");
        sheet.text(
            (1.0, 2.0),
            Align::Left,
            12.0,
            BLACK,
            "<script>alert(1)</script>\u{202e}\u{7}",
        );
        sheet.close();
        let svg = svg(&sheet, &|_| None);
        assert!(!svg.contains("<script") && !svg.contains('\u{202e}') && !svg.contains('\u{7}'));
        assert!(svg.contains("&lt;script&gt;") && svg.contains("data-part=\"a&quot;b\""));
    }
}
