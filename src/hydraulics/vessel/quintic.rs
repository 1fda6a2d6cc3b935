//! Polynomials of fifth degree that meet value, slope and bend at both ends.

/// The polynomial on 0 to 1 with these values, slopes and second derivatives at its ends.
pub(super) fn quintic(a: (f64, f64, f64), b: (f64, f64, f64)) -> [f64; 6] {
    // What value, slope and bend still lack at the far end.
    let rise = b.0 - a.0 - a.1 - 0.5 * a.2;
    let slope = b.1 - a.1 - a.2;
    let bend = b.2 - a.2;
    [
        a.0,
        a.1,
        0.5 * a.2,
        10.0 * rise - 4.0 * slope + 0.5 * bend,
        -15.0 * rise + 7.0 * slope - bend,
        6.0 * rise - 3.0 * slope + 0.5 * bend,
    ]
}

/// Its value at `t`.
#[inline]
pub(super) fn quintic_at([a, b, c, d, e, f]: &[f64; 6], t: f64) -> f64 {
    a + t * (b + t * (c + t * (d + t * (e + t * f))))
}
