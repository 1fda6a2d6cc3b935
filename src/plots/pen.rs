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
    for mark in &sheet.marks {
        match mark {
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
    let mut out = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        let _ = write!(
            out,
            "{}{} {}",
            if i == 0 { 'M' } else { 'L' },
            short(*x),
            short(*y)
        );
    }
    out
}

/// To a tenth of a pixel.
fn short(px: f64) -> f64 {
    (px * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

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
