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

    /// Change of the area with depth at `h`, inside.
    pub(super) fn area_slope(&self, h: f64) -> f64 {
        let ([l, w], [dl, dw]) = (self.bottom, self.rise);
        (l + dl * h) * dw + (w + dw * h) * dl
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
        // Mostly the area is close to linear, and its straight line a good start. Where
        // one side opens while the other closes it is not: steps stay between what is too low
        // and what is too high.
        let bottom = self.area(0.0);
        let rise = (self.area(self.depth) - bottom) / self.depth;
        let (mut low, mut high) = (0.0, self.depth);
        let mut h = linear_area_depth(bottom, rise, volume);
        if !(h > low && h < high) {
            h = 0.5 * (low + high);
        }
        for _ in 0..60 {
            let lacking = volume - self.volume(h);
            let area = self.area(h);
            // Halley's step: the error left is of the order of its cube.
            let by_area = lacking / area;
            let step = by_area / (1.0 + 0.5 * by_area * self.area_slope(h) / area);
            if step.abs() <= 1e-6 * h {
                return h + step;
            }
            *(if lacking > 0.0 { &mut low } else { &mut high }) = h;
            let next = h + step;
            h = if next > low && next < high {
                next
            } else {
                0.5 * (low + high)
            };
        }
        h
    }
}
