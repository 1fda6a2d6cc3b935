//! Where the section is on the page.

/// Where the section is on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// Pixels in a metre.
    pub(super) scale: f64,
    /// Height of the bed's floor `[px]`.
    pub(super) floor: f64,
    /// Edges of the drawing `[px]`.
    pub(super) left: f64,
    pub(super) right: f64,
}

impl Frame {
    pub(super) fn centre(&self) -> f64 {
        0.5 * (self.left + self.right)
    }

    /// Height of the page at a height above the bed's floor `[m]`.
    pub(super) fn y(&self, height: f64) -> f64 {
        self.floor - self.scale * height
    }

    pub(super) fn px(&self, length: f64) -> f64 {
        self.scale * length
    }

    /// A place right of the middle `[m]` on the page; `edge` where it is infinite.
    pub(super) fn part_x(&self, part: f64, edge: f64) -> f64 {
        if part.is_finite() {
            self.centre() + self.px(part)
        } else {
            edge
        }
    }
}
