//! A page as a list of marks, in pixels at final size, before any backend.
//!
//! Every plot fills one [`Sheet`]; [`paint`](super::paint) draws it, the same
//! way for SVG and for bitmap.

use super::palette::Rgb;
use crate::numerics::maths::Maths;
use crate::units::display::plain;

use super::font;
use super::palette::{Dash, SOLID, Stroke};

/// A point `[px]`, y downward.
pub(super) type Point = (f64, f64);

/// Smallest text allowed `[px]`.
pub(super) const SMALL: f64 = 11.0;
/// Text of labels and axes `[px]`.
pub(super) const BODY: f64 = 12.0;
/// Heading of a panel `[px]`.
pub(super) const HEADING: f64 = 13.0;
/// Title of a page `[px]`.
pub(super) const TITLE: f64 = 18.0;

/// Which end of a text its position is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Centre,
    Right,
}

/// One thing to draw. Later marks cover earlier ones.
#[derive(Debug, Clone)]
pub(super) enum Mark {
    Line {
        points: Vec<Point>,
        color: Rgb,
        width: f64,
    },
    Area {
        points: Vec<Point>,
        color: Rgb,
    },
    Text {
        at: Point,
        align: Align,
        size: f64,
        color: Rgb,
        text: String,
    },
    /// From here to the matching [`Close`](Self::Close): marks of a part with this key.
    Open(String),
    Close,
    /// The inside of a vessel with this key, for a surface that moves; files have none.
    Water {
        key: String,
        points: Vec<Point>,
        /// Where elevation zero is, and pixels in a metre.
        heights: (f64, f64),
    },
    /// What runs part full in a pipe, deeper or shallower from station to station; files have none.
    Stream {
        /// Centre of the pipe at each station.
        points: Vec<Point>,
        /// Whose depth counts at each station.
        stations: Vec<String>,
        bore: f64,
    },
    /// Gravel as a pattern; files draw grains.
    Grains {
        points: Vec<Point>,
    },
}

/// A page.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) marks: Vec<Mark>,
}

impl Sheet {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            width: width.ceil(),
            height: height.ceil(),
            marks: Vec::new(),
        }
    }

    /// A polyline, dashed where the stroke is.
    pub(super) fn line(&mut self, points: &[Point], stroke: Stroke) {
        for points in dashes(points, stroke.dash) {
            self.marks.push(Mark::Line {
                points,
                color: stroke.color,
                width: stroke.width,
            });
        }
    }

    /// A closed polygon outline.
    pub(super) fn outline(&mut self, points: &[Point], stroke: Stroke) {
        let mut closed = points.to_vec();
        closed.extend(points.first().copied());
        self.line(&closed, stroke);
    }

    /// A filled polygon.
    pub(super) fn area(&mut self, points: Vec<Point>, color: Rgb) {
        self.marks.push(Mark::Area { points, color });
    }

    /// What follows, up to [`close`](Self::close), belongs to a part with this key.
    pub(super) fn open(&mut self, key: &str) {
        self.marks.push(Mark::Open(key.to_owned()));
    }

    /// Ends what [`open`](Self::open) began.
    pub(super) fn close(&mut self) {
        self.marks.push(Mark::Close);
    }

    /// The inside of a vessel whose water moves.
    pub(super) fn water(&mut self, key: &str, points: Vec<Point>, heights: (f64, f64)) {
        self.marks.push(Mark::Water {
            key: key.to_owned(),
            points,
            heights,
        });
    }

    /// What runs part full in a pipe along `points`, its depth that of a station at each.
    pub(super) fn stream(&mut self, points: &[Point], stations: Vec<String>, bore: f64) {
        self.marks.push(Mark::Stream {
            points: points.to_vec(),
            stations,
            bore,
        });
    }

    /// A polygon full of gravel.
    pub(super) fn grains(&mut self, points: Vec<Point>) {
        self.marks.push(Mark::Grains { points });
    }

    /// A filled rectangle between two corners.
    pub(super) fn rect(&mut self, a: Point, b: Point, color: Rgb) {
        self.area(vec![a, (b.0, a.1), b, (a.0, b.1)], color);
    }

    /// A filled disc.
    pub(super) fn disc(&mut self, centre: Point, radius: f64, color: Rgb) {
        self.area(circle(centre, radius), color);
    }

    /// A text whose baseline starts, is centred or ends at a point.
    pub(super) fn text(
        &mut self,
        at: Point,
        align: Align,
        size: f64,
        color: Rgb,
        text: impl Into<String>,
    ) {
        let text: String = text.into();
        self.marks.push(Mark::Text {
            at,
            align,
            size,
            color,
            // Control characters have no shape, and most no place in SVG.
            text: plain(&text),
        });
    }

    /// Everything a sheet holds, moved down by `dy`.
    pub(super) fn append(&mut self, other: Sheet, dy: f64) {
        let shift = |(x, y): Point| (x, y + dy);
        for mut mark in other.marks {
            match &mut mark {
                Mark::Open(_) | Mark::Close => {}
                Mark::Water {
                    points, heights, ..
                } => {
                    heights.0 += dy;
                    for point in points {
                        *point = shift(*point);
                    }
                }
                Mark::Line { points, .. }
                | Mark::Area { points, .. }
                | Mark::Stream { points, .. }
                | Mark::Grains { points } => {
                    for point in points {
                        *point = shift(*point);
                    }
                }
                Mark::Text { at, .. } => *at = shift(*at),
            }
            self.marks.push(mark);
        }
    }
}

/// A circle as a polygon fine enough for print.
pub(super) fn circle(centre: Point, radius: f64) -> Vec<Point> {
    let sides = (radius * 1.5).clamp(12.0, 120.0).round();
    let mut points = Vec::new();
    let mut i = 0.0;
    while i < sides {
        let angle = std::f64::consts::TAU * i / sides;
        points.push((
            centre.0 + radius * angle.cosine(),
            centre.1 + radius * angle.sine(),
        ));
        i += 1.0;
    }
    points
}

/// Width of a text `[px]`.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    font::width_in_em(text) * size
}

/// Words of a text on as few lines as fit a width `[px]`.
pub(super) fn wrap(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), size) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// A text cut to a width `[px]`, with an ellipsis where something is missing.
pub(super) fn shorten(text: &str, size: f64, width: f64) -> String {
    if text_width(text, size) <= width {
        return text.to_owned();
    }
    let mut kept: String = text.to_owned();
    while kept.pop().is_some() {
        let cut = format!("{}…", kept.trim_end());
        if text_width(&cut, size) <= width {
            return cut;
        }
    }
    String::new()
}

/// A polyline longer than this is drawn solid `[px]`: a year of floods goes up and down in every
/// column, where dashes are not seen but make a picture of a hundred megabytes.
const LONGEST_DASHED: f64 = 40_000.0;

/// The strokes of a dashed polyline.
fn dashes(points: &[Point], dash: Dash) -> Vec<Vec<Point>> {
    if points.len() < 2 {
        return Vec::new();
    }
    let each = points.windows(2);
    let length: f64 = each
        .map(|ends| (ends[1].0 - ends[0].0).hypotenuse(ends[1].1 - ends[0].1))
        .sum();
    if dash == SOLID || length > LONGEST_DASHED {
        return vec![points.to_vec()];
    }
    let mut strokes = Vec::new();
    let mut current = vec![points[0]];
    let mut index = 0;
    let mut left = dash[0];
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let length = (x1 - x0).hypotenuse(y1 - y0);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let share = done / length;
            let point = (x0 + share * (x1 - x0), y0 + share * (y1 - y0));
            if index % 2 == 0 {
                current.push(point);
                strokes.push(std::mem::take(&mut current));
            }
            index = (index + 1) % dash.len();
            left = dash[index];
            current = vec![point];
        }
        left -= length - done;
        if index % 2 == 0 {
            current.push((x1, y1));
        }
    }
    if index % 2 == 0 && current.len() > 1 {
        strokes.push(current);
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_goes_up_and_down_all_year_is_one_stroke() {
        let zigzag: Vec<Point> = (0..1000)
            .map(|k| (f64::from(k), 70.0 * f64::from(k % 2)))
            .collect();
        assert_eq!(dashes(&zigzag, &[4.0, 2.0]), [zigzag]);
    }

    #[test]
    fn dashes_keep_their_lengths_round_a_corner() {
        // 12 px of path, 4 on 2 off: strokes 0-4, 6-10; the second turns at 8.
        let strokes = dashes(&[(0.0, 0.0), (8.0, 0.0), (8.0, 4.0)], &[4.0, 2.0]);
        assert_eq!(
            strokes,
            vec![
                vec![(0.0, 0.0), (4.0, 0.0)],
                vec![(6.0, 0.0), (8.0, 0.0), (8.0, 2.0)],
            ]
        );
    }

    #[test]
    fn a_shortened_text_fits_and_says_so() {
        let long = "a bed with a name that nobody would ever give to a bed";
        let cut = shorten(long, 12.0, 100.0);
        assert!(text_width(&cut, 12.0) <= 100.0 && cut.ends_with('…'));
        assert_eq!(shorten("north", 12.0, 100.0), "north");
    }
}
