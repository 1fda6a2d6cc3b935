//! Depths of one vessel, asked for again and again.

use super::VesselShape;
use super::frustum::Frustum;
use super::quintic::{quintic, quintic_at};

/// Pieces to begin with, and at most.
const PIECES: [u16; 2] = [8, 64];
/// Agreement with the searched depth, as a share of the vessel's: rounding, or nearly.
const AGREEMENT: f64 = 1e-13;

/// A vessel whose depth is told from its volume without a search: where sides slope,
/// polynomials of fifth degree are laid through depth, slope and bend at evenly spaced volumes.
///
/// # Example
/// ```
/// use ebbwright::hydraulics::vessel::{DepthCurve, VesselShape};
/// let tote = VesselShape::Tapered {
///     top_length: 0.6, top_width: 0.4, bottom_length: 0.5, bottom_width: 0.32, depth: 0.35,
/// };
/// let curve = DepthCurve::new(tote.clone());
/// assert!((curve.depth_at(0.04) - tote.depth_at(0.04)).abs() < 1e-13);
/// ```
#[derive(Debug, Clone)]
pub struct DepthCurve {
    shape: VesselShape,
    per_volume: f64,
    pieces: Vec<[f64; 6]>,
}

impl DepthCurve {
    /// The curve of `shape`. Valid for every shape; one that is quick to ask is asked, as is one
    /// that 64 pieces do not follow.
    pub fn new(shape: VesselShape) -> Self {
        let mut curve = Self {
            per_volume: 0.0,
            pieces: Vec::new(),
            shape,
        };
        if let VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth,
        } = curve.shape
        {
            let (top, bottom) = ([top_length, top_width], [bottom_length, bottom_width]);
            let frustum = Frustum::new(top, bottom, depth);
            let mut count = PIECES[0];
            while count <= PIECES[1] && !curve.follows(&frustum, count) {
                count *= 2;
            }
        }
        curve
    }

    /// Depth `[m]` of a water volume `[m3]`, as [`VesselShape::depth_at`] has it. Valid for
    /// any volume.
    #[inline]
    pub fn depth_at(&self, volume: f64) -> f64 {
        let place = volume * self.per_volume;
        match self.pieces.get(place as usize) {
            Some(piece) if volume > 0.0 => quintic_at(piece, place.fract()),
            _ => self.shape.depth_at(volume),
        }
    }

    /// Lays `count` pieces; keeps them if they agree in their middles.
    fn follows(&mut self, frustum: &Frustum, count: u16) -> bool {
        let depth = self.shape.depth();
        let step = frustum.volume(depth) / f64::from(count);
        let node = |k: u16| {
            let h = frustum.depth_at(step * f64::from(k));
            let area = frustum.area(h);
            let bend = -frustum.area_slope(h) / area.powi(3);
            (h, step / area, step * step * bend)
        };
        let nodes: Vec<(f64, f64, f64)> = (0..=count).map(node).collect();
        let pairs = nodes.windows(2);
        self.pieces = pairs.map(|pair| quintic(pair[0], pair[1])).collect();
        self.per_volume = 1.0 / step;
        let follows = (0..count).all(|k| {
            let volume = step * (f64::from(k) + 0.5);
            let off = self.depth_at(volume) - frustum.depth_at(volume);
            off.abs() <= AGREEMENT * depth
        });
        if !follows {
            self.pieces.clear();
        }
        follows
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tote_is_told_as_it_is_searched_and_a_twisted_one_too() {
        let tote = |top_length: f64, bottom_width: f64| VesselShape::Tapered {
            top_length,
            top_width: 0.4,
            bottom_length: 0.5,
            bottom_width,
            depth: 0.35,
        };
        assert!(!DepthCurve::new(tote(0.6, 0.32)).pieces.is_empty());
        assert!(DepthCurve::new(tote(1e-4, 0.4)).pieces.is_empty());
        for shape in [
            tote(0.6, 0.32),
            tote(1.2, 0.2),
            tote(0.1, 0.4),
            tote(1e-4, 0.4),
        ] {
            let curve = DepthCurve::new(shape.clone());
            let full = shape.full_volume();
            for k in -5..=1200_i16 {
                let volume = full * f64::from(k) / 1000.0;
                let off = curve.depth_at(volume) - shape.depth_at(volume);
                assert!(off.abs() < 2e-13, "{shape:?} {volume}: {off}");
            }
        }
    }
}
