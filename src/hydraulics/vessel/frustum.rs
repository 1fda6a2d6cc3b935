//! Rectangular vessels with sloping walls.

use super::steps::linear_area_depth;

/// Rectangular frustum: length and width linear in depth.
pub(super) struct Frustum {
    bottom: [f64; 2],
    rise: [f64; 2],
    depth: f64,
}

impl Frustum {
    pub(super) fn new(top: [f64; 2], bottom: [f64; 2], depth: f64) -> Frustum {
        let rise = [(top[0] - bottom[0]) / depth, (top[1] - bottom[1]) / depth];
        Frustum {
            bottom,
            rise,
            depth,
        }
    }

    pub(super) fn area(&self, h: f64) -> f64 {
        let h = h.clamp(0.0, self.depth);
        (self.bottom[0] + self.rise[0] * h) * (self.bottom[1] + self.rise[1] * h)
    }

    pub(super) fn volume(&self, h: f64) -> f64 {
        let ([l, w], [dl, dw]) = (self.bottom, self.rise);
        let inside = h.min(self.depth);
        let prismoid =
            inside * (l * w + inside * ((l * dw + w * dl) / 2.0 + inside * dl * dw / 3.0));
        prismoid + self.area(self.depth) * (h - inside)
    }

    pub(super) fn depth_at(&self, volume: f64) -> f64 {
        let full = self.volume(self.depth);
        if volume >= full {
            return self.depth + (volume - full) / self.area(self.depth);
        }
        // The area is close to linear, so its straight line is a good start for Newton.
        let bottom = self.area(0.0);
        let rise = (self.area(self.depth) - bottom) / self.depth;
        let mut h = linear_area_depth(bottom, rise, volume);
        for _ in 0..30 {
            let step = (volume - self.volume(h)) / self.area(h);
            h += step;
            // The error left is of the order of the step's square.
            if step.abs() <= 1e-9 * h {
                break;
            }
        }
        h
    }
}
