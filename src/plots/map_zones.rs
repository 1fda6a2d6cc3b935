//! Areas and edges between the points of a grid of classes.

use super::palette::Rgb;

use crate::study::map::Edges;

use super::axis::Panel;
use super::page::count;
use super::palette::Stroke;
use super::sheet::{Point, Sheet};

/// A square grid of classes, row by row from the bottom.
pub(super) struct Zones<'a> {
    n: usize,
    classes: Vec<usize>,
    /// Where the class changes between points; halfway without.
    edges: Option<&'a Edges>,
}

impl<'a> Zones<'a> {
    pub(super) fn new(
        n: usize,
        edges: Option<&'a Edges>,
        class: impl Fn(usize, usize) -> usize,
    ) -> Self {
        Self {
            n,
            classes: (0..n * n).map(|k| class(k % n, k / n)).collect(),
            edges,
        }
    }

    /// Class in a column and row.
    pub(super) fn at(&self, column: usize, row: usize) -> usize {
        self.classes[row * self.n + column]
    }

    /// Class at any place of the panel, cut as [`fill`] fills and [`contour`] draws it.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn class_at(&self, panel: &Panel, (x, y): Point) -> usize {
        let block_of = |share: f64| {
            let k = (share * count(self.n - 1)).floor().max(0.0) as usize;
            k.min(self.n.saturating_sub(2))
        };
        let column = block_of((x - panel.left) / (panel.right - panel.left));
        let row = block_of((panel.bottom - y) / (panel.bottom - panel.top));
        let (under, pieces) = Block::new(panel, self, column, row).pieces();
        let piece = pieces.iter().find(|(piece, _)| holds(piece, (x, y)));
        piece.map_or(under, |(_, class)| *class)
    }

    /// Share of the way from a place to the next in its row, or to the one above,
    /// at which the class changes.
    fn share(&self, column: usize, row: usize, up: bool) -> f64 {
        self.edges.map_or(0.5, |edges| {
            if up {
                edges.up(column, row)
            } else {
                edges.across(column, row)
            }
        })
    }
}

/// The square between four neighbouring points, in turn from the lower left.
struct Block {
    corners: [Point; 4],
    classes: [usize; 4],
    /// Where the class changes on the side from each corner to the next.
    crossings: [Point; 4],
}

impl Block {
    fn new(panel: &Panel, zones: &Zones, column: usize, row: usize) -> Self {
        let last = count(zones.n - 1);
        let x = |k: usize| panel.left + count(k) / last * (panel.right - panel.left);
        let y = |k: usize| panel.bottom - count(k) / last * (panel.bottom - panel.top);
        let places = [
            (column, row),
            (column + 1, row),
            (column + 1, row + 1),
            (column, row + 1),
        ];
        let corners = places.map(|(c, r)| (x(c), y(r)));
        let shares = [
            zones.share(column, row, false),
            zones.share(column + 1, row, true),
            1.0 - zones.share(column, row + 1, false),
            1.0 - zones.share(column, row, true),
        ];
        Self {
            classes: places.map(|(c, r)| zones.at(c, r)),
            crossings: [0, 1, 2, 3].map(|k| {
                let (p, q) = (corners[k], corners[(k + 1) % 4]);
                (p.0 + shares[k] * (q.0 - p.0), p.1 + shares[k] * (q.1 - p.1))
            }),
            corners,
        }
    }

    /// Whether the class changes on the side from corner `k` to the next.
    fn changes(&self, k: usize) -> bool {
        self.classes[k % 4] != self.classes[(k + 1) % 4]
    }

    fn crossing(&self, k: usize) -> Point {
        self.crossings[k % 4]
    }

    /// Where the edges of more than two sides meet.
    fn centre(&self) -> Point {
        let met: Vec<Point> = (0..4)
            .filter(|&k| self.changes(k))
            .map(|k| self.crossings[k])
            .collect();
        let sum = met
            .iter()
            .fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
        (sum.0 / count(met.len()), sum.1 / count(met.len()))
    }

    /// The side from which two corners of one class face two of another.
    fn halved(&self) -> Option<usize> {
        (0..2).find(|&k| {
            self.changes(k) && self.changes(k + 2) && !self.changes(k + 1) && !self.changes(k + 3)
        })
    }

    fn is_plain(&self) -> bool {
        self.classes.iter().all(|&class| class == self.classes[0])
    }

    /// The class that fills the block, and the parts of other classes upon it.
    fn pieces(&self) -> (usize, Vec<(Vec<Point>, usize)>) {
        if self.is_plain() {
            return (self.classes[0], Vec::new());
        }
        if let Some(odd) = self.odd_one() {
            let triangle = vec![
                self.corners[odd],
                self.crossing(odd),
                self.crossing(odd + 3),
            ];
            return (
                self.classes[(odd + 1) % 4],
                vec![(triangle, self.classes[odd])],
            );
        }
        if let Some(k) = self.halved() {
            let half = vec![
                self.crossing(k),
                self.corners[k + 1],
                self.corners[(k + 2) % 4],
                self.crossing(k + 2),
            ];
            return (self.classes[k], vec![(half, self.classes[k + 1])]);
        }
        let quarter = |k: usize| {
            let around = vec![
                self.corners[k],
                self.crossing(k),
                self.centre(),
                self.crossing(k + 3),
            ];
            (around, self.classes[k])
        };
        (self.classes[0], [1, 2, 3].map(quarter).to_vec())
    }

    /// The corner that differs from three equal ones.
    fn odd_one(&self) -> Option<usize> {
        (0..4).find(|&k| {
            let others = [1, 2, 3].map(|step| self.classes[(k + step) % 4]);
            others[0] == others[1] && others[1] == others[2] && others[0] != self.classes[k]
        })
    }
}

/// Fills every class with its colour; a corner that differs from its three
/// neighbours is cut off straight.
pub(super) fn fill(sheet: &mut Sheet, panel: &Panel, zones: &Zones, color: impl Fn(usize) -> Rgb) {
    for row in 0..zones.n - 1 {
        // Plain blocks in a row are one rectangle: files stay small.
        let mut plain: Option<(Block, Block)> = None;
        for column in 0..zones.n - 1 {
            let block = Block::new(panel, zones, column, row);
            if block.is_plain() {
                match &mut plain {
                    Some((first, last)) if first.classes[0] == block.classes[0] => *last = block,
                    _ => {
                        flush(sheet, plain.take(), &color);
                        let again = Block::new(panel, zones, column, row);
                        plain = Some((again, block));
                    }
                }
                continue;
            }
            flush(sheet, plain.take(), &color);
            let (under, pieces) = block.pieces();
            sheet.area(block.corners.to_vec(), color(under));
            for (piece, class) in pieces {
                sheet.area(piece, color(class));
            }
        }
        flush(sheet, plain.take(), &color);
    }
}

fn flush(sheet: &mut Sheet, plain: Option<(Block, Block)>, color: &impl Fn(usize) -> Rgb) {
    if let Some((first, last)) = plain {
        sheet.rect(first.corners[3], last.corners[1], color(first.classes[0]));
    }
}

/// Whether a point lies inside a polygon: a line from it crosses the sides an odd number of times.
fn holds(polygon: &[Point], (x, y): Point) -> bool {
    let n = polygon.len();
    (0..n).fold(false, |inside, k| {
        let ((x0, y0), (x1, y1)) = (polygon[k], polygon[(k + 1) % n]);
        let crosses = (y0 > y) != (y1 > y) && x < x0 + (y - y0) / (y1 - y0) * (x1 - x0);
        inside != crosses
    })
}

/// Draws the edges between classes that `drawn` says are to be drawn.
pub(super) fn contour(
    sheet: &mut Sheet,
    panel: &Panel,
    zones: &Zones,
    stroke: Stroke,
    drawn: impl Fn(usize, usize) -> bool,
) {
    let mut lines: Vec<[Point; 2]> = Vec::new();
    for row in 0..zones.n - 1 {
        for column in 0..zones.n - 1 {
            let block = Block::new(panel, zones, column, row);
            if block.is_plain() {
                continue;
            }
            let shown = |k: usize| drawn(block.classes[k % 4], block.classes[(k + 1) % 4]);
            if let Some(odd) = block.odd_one() {
                lines.extend(shown(odd).then(|| [block.crossing(odd), block.crossing(odd + 3)]));
            } else if let Some(k) = block.halved() {
                lines.extend(shown(k).then(|| [block.crossing(k), block.crossing(k + 2)]));
            } else {
                let centre = block.centre();
                let sides = (0..4).filter(|&k| block.changes(k) && shown(k));
                lines.extend(sides.map(|k| [block.crossing(k), centre]));
            }
        }
    }
    for line in chained(&lines) {
        sheet.line(&line, stroke);
    }
}

/// Pieces that meet at their ends joined to polylines, so that long edges are
/// drawn in one go.
fn chained(lines: &[[Point; 2]]) -> Vec<Vec<Point>> {
    let mut left: Vec<[Point; 2]> = lines
        .iter()
        .copied()
        .filter(|[a, b]| !meets(*a, *b))
        .collect();
    let mut chains = Vec::new();
    while let Some([a, b]) = left.pop() {
        let mut chain = std::collections::VecDeque::from([a, b]);
        while let Some((k, next, at_end)) = neighbour(&left, &chain) {
            left.swap_remove(k);
            if at_end {
                chain.push_back(next);
            } else {
                chain.push_front(next);
            }
        }
        chains.push(chain.into());
    }
    chains
}

/// A piece that goes on from either end of a chain, and where it leads.
fn neighbour(
    left: &[[Point; 2]],
    chain: &std::collections::VecDeque<Point>,
) -> Option<(usize, Point, bool)> {
    let (first, last) = (*chain.front()?, *chain.back()?);
    left.iter().enumerate().find_map(|(k, &[a, b])| {
        if meets(a, last) {
            Some((k, b, true))
        } else if meets(b, last) {
            Some((k, a, true))
        } else if meets(a, first) {
            Some((k, b, false))
        } else if meets(b, first) {
            Some((k, a, false))
        } else {
            None
        }
    })
}

/// Whether two points are one but for rounding.
fn meets(a: Point, b: Point) -> bool {
    (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6
}

/// Middle of the place where a box of `size` px lies wholly in `class`, clear of
/// the frames `taken`, with most room around it; `None` where it fits nowhere.
pub(super) fn label_places(
    panel: &Panel,
    zones: &Zones,
    class: usize,
    size: (f64, f64),
    taken: &[(f64, f64, f64, f64)],
) -> Option<Point> {
    let n = zones.n;
    let sums = Sums::new(zones, class);
    let last = count(n - 1);
    let (cell_x, cell_y) = (
        (panel.right - panel.left) / last,
        (panel.bottom - panel.top) / last,
    );
    let mut best: Option<(f64, Point)> = None;
    for row in 0..n {
        for column in 0..n {
            if zones.at(column, row) != class {
                continue;
            }
            let at = (
                panel.left + count(column) * cell_x,
                panel.bottom - count(row) * cell_y,
            );
            let fits = |room: f64| {
                let (w, h) = (0.5 * room * size.0, 0.5 * room * size.1);
                let inside = at.0 - w >= panel.left
                    && at.0 + w <= panel.right
                    && at.1 - h >= panel.top
                    && at.1 + h <= panel.bottom;
                let clear = taken.iter().all(|&(l, t, r, b)| {
                    at.0 + w < l || at.0 - w > r || at.1 + h < t || at.1 - h > b
                });
                inside && clear && sums.all_within(column, row, (w / cell_x, h / cell_y))
            };
            let mut room = best.as_ref().map_or(1.0, |(room, _)| room * 1.05);
            let mut found = false;
            while fits(room) {
                found = true;
                room *= 1.05;
            }
            if found {
                best = Some((room / 1.05, at));
            }
        }
    }
    best.map(|(_, at)| at)
}

/// Counts of a class over rectangles of the grid.
struct Sums {
    n: usize,
    sums: Vec<u32>,
}

impl Sums {
    fn new(zones: &Zones, class: usize) -> Self {
        let n = zones.n;
        let mut sums = vec![0_u32; (n + 1) * (n + 1)];
        for row in 0..n {
            for column in 0..n {
                let one = u32::from(zones.at(column, row) == class);
                sums[(row + 1) * (n + 1) + column + 1] =
                    one + sums[row * (n + 1) + column + 1] + sums[(row + 1) * (n + 1) + column]
                        - sums[row * (n + 1) + column];
            }
        }
        Self { n, sums }
    }

    /// Whether all points within so many of a point, and the next beyond, are of the class.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn all_within(&self, column: usize, row: usize, (w, h): (f64, f64)) -> bool {
        let n = self.n;
        let ends = |middle: usize, half: f64| {
            let low = (count(middle) - half).floor().max(0.0) as usize;
            let high = ((count(middle) + half).ceil() as usize + 1).min(n);
            (low, high)
        };
        let ((l, r), (b, t)) = (ends(column, w), ends(row, h));
        let at = |row: usize, column: usize| self.sums[row * (n + 1) + column];
        let found = at(t, r) + at(b, l) - at(t, l) - at(b, r);
        usize::try_from(found).is_ok_and(|found| found == (r - l) * (t - b))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::maths::Maths;
    use crate::plots::palette::BLACK;
    use crate::plots::sheet::Mark;

    fn panel() -> Panel {
        Panel {
            left: 0.0,
            right: 40.0,
            top: 0.0,
            bottom: 40.0,
            across: (0.0, 1.0),
            up: (0.0, 1.0),
        }
    }

    fn area(points: &[Point]) -> f64 {
        let n = points.len();
        let cross = |k: usize| {
            let ((x0, y0), (x1, y1)) = (points[k], points[(k + 1) % n]);
            x0 * y1 - x1 * y0
        };
        0.5 * (0..n).map(cross).sum::<f64>().abs()
    }

    #[test]
    fn an_odd_corner_is_cut_off_half_way_and_edged_once() {
        // Five by five points 10 px apart, the lower left one of class 1: half a
        // square of 5 px, edged by its diagonal.
        let zones = Zones::new(5, None, |column, row| usize::from(column == 0 && row == 0));
        let mut sheet = Sheet::new(40.0, 40.0);
        let shade = |class: usize| Rgb(u8::try_from(class).unwrap_or(9), 0, 0);
        fill(&mut sheet, &panel(), &zones, shade);
        let of = |wanted: u8| -> f64 {
            let areas = sheet.marks.iter().map(|mark| match mark {
                Mark::Area { points, color } if color.0 == wanted => area(points),
                _ => 0.0,
            });
            areas.sum()
        };
        assert!((of(1) - 12.5).abs() < 1e-9, "{}", of(1));
        // The rest is under it: every square is filled.
        assert!((of(0) - 1600.0).abs() < 1e-9, "{}", of(0));

        let mut lines = Sheet::new(40.0, 40.0);
        contour(
            &mut lines,
            &panel(),
            &zones,
            Stroke::solid(BLACK, 1.0),
            |_, _| true,
        );
        assert_eq!(lines.marks.len(), 1);
        assert!((length(&lines) - 50.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_place_is_of_the_class_that_its_edge_leaves_it() {
        // The odd corner ends on the diagonal half way: x + y below 5 px from the corner.
        let zones = Zones::new(5, None, |column, row| usize::from((column, row) == (0, 0)));
        let class = |x: f64, up: f64| zones.class_at(&panel(), (x, 40.0 - up));
        for (x, up, wanted) in [
            (0.5, 0.5, 1),
            (2.0, 2.8, 1),
            (2.0, 3.2, 0),
            (4.0, 4.0, 0),
            (4.9, 0.05, 1),
            (5.1, 0.05, 0),
            (25.0, 31.0, 0),
        ] {
            assert_eq!(class(x, up), wanted, "{x}, {up}");
        }
        // Two corners face two: the edge lies half way between them.
        let zones = Zones::new(5, None, |column, _| usize::from(column < 2));
        let class = |x: f64| zones.class_at(&panel(), (x, 17.0));
        assert_eq!([14.9, 15.1].map(class), [1, 0]);
    }

    #[test]
    fn a_straight_edge_is_one_line_and_only_where_asked() {
        let zones = Zones::new(5, None, |column, _| usize::from(column < 2));
        for (drawn, wanted, marks) in [(true, 40.0, 1), (false, 0.0, 0)] {
            let mut lines = Sheet::new(40.0, 40.0);
            contour(
                &mut lines,
                &panel(),
                &zones,
                Stroke::solid(BLACK, 1.0),
                |_, _| drawn,
            );
            assert_eq!(lines.marks.len(), marks);
            assert!((length(&lines) - wanted).abs() < 1e-9);
        }
    }

    fn length(sheet: &Sheet) -> f64 {
        let lengths = sheet.marks.iter().map(|mark| match mark {
            Mark::Line { points, .. } => points
                .windows(2)
                .map(|pair| (pair[0].0 - pair[1].0).hypotenuse(pair[0].1 - pair[1].1))
                .sum(),
            _ => 0.0,
        });
        lengths.sum()
    }

    #[test]
    fn a_label_lies_inside_its_zone_and_clear_of_others() {
        let zones = Zones::new(41, None, |column, _| usize::from(column < 21));
        let place =
            |taken: &[(f64, f64, f64, f64)]| label_places(&panel(), &zones, 1, (15.0, 8.0), taken);
        let (x, _) = place(&[]).unwrap_or((99.0, 0.0));
        assert!((7.5..=12.5).contains(&x), "{x}");
        let (_, y) = place(&[(0.0, 0.0, 20.0, 20.0)]).unwrap_or((0.0, 0.0));
        assert!(y > 24.0, "{y}");
        assert_eq!(label_places(&panel(), &zones, 1, (25.0, 8.0), &[]), None);
    }
}
