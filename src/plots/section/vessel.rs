//! A vessel seen from its narrow end: profile, water, gravel.

use super::super::palette::Rgb;
use crate::numerics::maths::Maths;

use crate::hydraulics::vessel::VesselShape;

use super::super::palette::{MID_GREY, Stroke};
use super::super::sheet::{Point, Sheet};
use super::View;

/// Points of a curved wall.
const STEPS: u32 = 48;

/// Greatest width of the end that is drawn `[m]`. A vessel known only by a table
/// of areas is drawn as wide as a square of that area.
pub(in crate::plots) fn side_width(shape: &VesselShape) -> f64 {
    let depth = shape.depth();
    (0..=STEPS)
        .map(|i| width_at(shape, depth * f64::from(i) / f64::from(STEPS)))
        .fold(0.0, f64::max)
}

/// Width of that end at a height above the vessel's floor `[m]`.
pub(in crate::plots) fn width_at(shape: &VesselShape, height: f64) -> f64 {
    let share = (height / shape.depth()).clamp(0.0, 1.0);
    let between = |bottom: f64, top: f64| bottom + share * (top - bottom);
    match shape {
        VesselShape::Box { length, width, .. } => length.min(*width),
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            ..
        } => {
            if top_length < top_width {
                between(*bottom_length, *top_length)
            } else {
                between(*bottom_width, *top_width)
            }
        }
        VesselShape::UprightCylinder { diameter, .. } => *diameter,
        VesselShape::LyingCylinder { diameter, .. } => {
            2.0 * diameter * (share * (1.0 - share)).sqrt()
        }
        VesselShape::HalfDrum { length, depth, .. } => shape.area(share * depth) / length,
        VesselShape::Table { .. } => shape.area(height.clamp(0.0, shape.depth())).max(0.0).sqrt(),
    }
}

/// A vessel on the page.
#[derive(Debug, Clone, Copy)]
pub(in crate::plots) struct Drawn<'a> {
    pub(in crate::plots) shape: &'a VesselShape,
    /// Elevation of its inside bottom `[m]`.
    pub(in crate::plots) floor: f64,
    /// Its middle `[px]`.
    pub(in crate::plots) centre: f64,
    pub(in crate::plots) view: &'a View,
}

impl Drawn<'_> {
    /// Half its width at an elevation `[px]`.
    pub(in crate::plots) fn half_width(&self, elevation: f64) -> f64 {
        0.5 * self.view.px(width_at(self.shape, elevation - self.floor))
    }

    /// Its right side from one elevation up to another, as points.
    fn side(&self, (from, to): (f64, f64), sign: f64) -> Vec<Point> {
        (0..=STEPS)
            .map(|i| {
                // Closer steps at both ends, where a circle turns.
                let share =
                    0.5 - 0.5 * (std::f64::consts::PI * f64::from(i) / f64::from(STEPS)).cosine();
                let z = from + share * (to - from);
                (self.centre + sign * self.half_width(z), self.view.y(z))
            })
            .collect()
    }

    /// The inside between two elevations, as a polygon.
    pub(in crate::plots) fn slice(&self, range: (f64, f64)) -> Vec<Point> {
        let mut points = self.side(range, -1.0);
        points.extend(self.side(range, 1.0).into_iter().rev());
        points
    }

    /// Fills the inside between two elevations; nothing if they are not in order.
    pub(in crate::plots) fn fill(&self, sheet: &mut Sheet, (from, to): (f64, f64), color: Rgb) {
        let to = to.min(self.floor + self.shape.depth());
        let from = from.max(self.floor);
        if to > from {
            sheet.area(self.slice((from, to)), color);
        }
    }

    /// Walls and bottom up to an elevation, open at the top.
    pub(in crate::plots) fn walls(&self, sheet: &mut Sheet, rim: f64, stroke: Stroke) {
        let range = (self.floor, rim);
        let mut points = self.side(range, -1.0);
        points.reverse();
        points.extend(self.side(range, 1.0));
        sheet.line(&points, stroke);
    }

    /// A water surface from wall to wall.
    pub(in crate::plots) fn surface(&self, sheet: &mut Sheet, elevation: f64, stroke: Stroke) {
        let half = self.half_width(elevation);
        let y = self.view.y(elevation);
        sheet.line(&[(self.centre - half, y), (self.centre + half, y)], stroke);
    }

    /// Grains from the floor up to an elevation, none within `clear` px of the middle.
    pub(in crate::plots) fn gravel(&self, sheet: &mut Sheet, surface: f64, clear: f64) {
        const PITCH: f64 = 7.0;
        const GRAIN: f64 = 1.5;
        let lowest = self.view.y(self.floor) - 0.5 * PITCH;
        let mut row = 0.0;
        loop {
            let y = lowest - row * 0.8 * PITCH;
            let z = (self.view.zero - y) / self.view.scale;
            if z > surface {
                break;
            }
            let half = self.half_width(z) - 0.5 * PITCH;
            let mut x = if row % 2.0 == 0.0 { 0.0 } else { 0.5 * PITCH };
            while x <= half {
                for x in [x, -x] {
                    if x.abs() >= clear {
                        let at = self.centre + x;
                        sheet.area(
                            vec![
                                (at - GRAIN, y),
                                (at, y - GRAIN),
                                (at + GRAIN, y),
                                (at, y + GRAIN),
                            ],
                            MID_GREY,
                        );
                    }
                    if x == 0.0 {
                        break;
                    }
                }
                x += PITCH;
            }
            row += 1.0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drum_is_as_wide_as_it_is_high() {
        let drum = VesselShape::LyingCylinder {
            diameter: 0.6,
            length: 0.9,
        };
        assert!((side_width(&drum) - 0.6).abs() < 1e-12);
        // Chord of a circle of radius 0.3 at 0.1 above its lowest point.
        let chord = 2.0 * (0.3_f64.powi(2) - 0.2_f64.powi(2)).sqrt();
        assert!((width_at(&drum, 0.1) - chord).abs() < 1e-12);
    }

    #[test]
    fn height_and_width_share_one_scale() {
        let drum = VesselShape::LyingCylinder {
            diameter: 0.6,
            length: 0.9,
        };
        let view = View {
            scale: 200.0,
            zero: 500.0,
            top: 0.0,
            bottom: 500.0,
        };
        let drawn = Drawn {
            shape: &drum,
            floor: 0.1,
            centre: 300.0,
            view: &view,
        };
        // 0.6 m at 200 px/m is 120 px, both ways; the floor is 20 px up.
        let points = drawn.slice((0.1, 0.7));
        let across: Vec<f64> = points.iter().map(|p| p.0).collect();
        let up: Vec<f64> = points.iter().map(|p| p.1).collect();
        let range = |values: &[f64]| {
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            (low, values.iter().copied().fold(low, f64::max))
        };
        for ((low, high), expected) in [
            (range(&across), (240.0, 360.0)),
            (range(&up), (360.0, 480.0)),
        ] {
            assert!((low - expected.0).abs() < 1e-9 && (high - expected.1).abs() < 1e-9);
        }
    }

    #[test]
    fn a_tapered_tote_shows_its_narrow_end() {
        let tote = VesselShape::Tapered {
            top_length: 0.8,
            top_width: 0.5,
            bottom_length: 0.7,
            bottom_width: 0.4,
            depth: 0.3,
        };
        assert!((width_at(&tote, 0.15) - 0.45).abs() < 1e-12);
    }
}
