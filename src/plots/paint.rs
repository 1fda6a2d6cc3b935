//! Draws a sheet, by one routine, as SVG and as PNG.

use crate::numerics::maths::Maths;
use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, RGBColor, TextStyle};

use super::font::{self, HEIGHT_OVER_EM};
use super::palette::{Rgb, WHITE};
use super::sheet::{Align, Mark, Point, Sheet};
use super::{PlotError, sheet};

/// The SVG backend counts in whole units; this many to a pixel keep slopes and
/// thin lines true in print.
const SVG_UNITS: f64 = 10.0;
/// Bitmaps are drawn this many times larger and averaged down: wide lines come
/// without antialiasing.
const OVERSAMPLING: u32 = 2;

/// What differs between backends.
#[derive(Debug, Clone, Copy)]
struct Medium {
    /// Backend units to a pixel.
    scale: f64,
    /// Backend's font size over em.
    size_over_em: f64,
    /// Baseline below the top anchor, over em.
    baseline_over_em: f64,
    /// Whether wide lines must be handed over as polygons that include their edge pixels.
    polygons: bool,
}

/// The SVG backend writes a font-size of size / 1.24 and lets the baseline lie
/// 0.76 em below a top anchor.
const SVG: Medium = Medium {
    scale: SVG_UNITS,
    size_over_em: 1.24,
    baseline_over_em: 0.76,
    polygons: false,
};

/// The bitmap backend takes the line height for the size and puts the baseline
/// half of it below a top anchor.
const BITMAP: Medium = Medium {
    scale: OVERSAMPLING as f64,
    size_over_em: HEIGHT_OVER_EM,
    baseline_over_em: 0.5 * HEIGHT_OVER_EM,
    polygons: true,
};

/// The sheet as an SVG document.
pub(super) fn svg(sheet: &Sheet) -> Result<String, PlotError> {
    font::register()?;
    let (width, height) = size(sheet, SVG.scale)?;
    let mut document = String::new();
    {
        let mut backend = SVGBackend::with_string(&mut document, (width, height));
        paint(sheet, &mut backend, SVG)?;
    }
    // The backend states its own units as the size; the view box keeps them.
    let stated = format!("width=\"{width}\" height=\"{height}\"");
    let wanted = format!("width=\"{}\" height=\"{}\"", sheet.width, sheet.height);
    Ok(document.replacen(&stated, &wanted, 1))
}

/// The sheet as a PNG file.
pub(super) fn png(sheet: &Sheet) -> Result<Vec<u8>, PlotError> {
    font::register()?;
    let (width, height) = size(sheet, BITMAP.scale)?;
    let mut large = vec![255_u8; 3 * width as usize * height as usize];
    {
        let mut backend = BitMapBackend::with_buffer(&mut large, (width, height));
        paint(sheet, &mut backend, BITMAP)?;
    }
    let small = average(&large, width as usize);
    encode(&small, width / OVERSAMPLING, height / OVERSAMPLING)
}

/// Size in backend units.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn size(sheet: &Sheet, scale: f64) -> Result<(u32, u32), PlotError> {
    let fits = |px: f64| (1.0..=20_000.0).contains(&px);
    if fits(sheet.width) && fits(sheet.height) {
        let units = |px: f64| (px.round() * scale) as u32;
        Ok((units(sheet.width), units(sheet.height)))
    } else {
        Err(PlotError::Size {
            width: sheet.width,
            height: sheet.height,
        })
    }
}

fn paint<DB: DrawingBackend>(
    sheet: &Sheet,
    backend: &mut DB,
    medium: Medium,
) -> Result<(), PlotError> {
    let corner = unit((sheet.width, sheet.height), medium.scale);
    backend
        .draw_rect((0, 0), corner, &rgb(WHITE), true)
        .map_err(failed)?;
    for mark in &sheet.marks {
        match mark {
            Mark::Line {
                points,
                color,
                width,
            } => line(backend, points, rgb(*color), *width, medium)?,
            Mark::Area { points, color } => {
                let points: Vec<_> = points.iter().map(|&p| unit(p, medium.scale)).collect();
                backend.fill_polygon(points, &rgb(*color)).map_err(failed)?;
            }
            // Keys and moving water are for screens.
            Mark::Open(_)
            | Mark::Close
            | Mark::Water { .. }
            | Mark::Stream { .. }
            | Mark::Grains { .. } => {}
            Mark::Text {
                at,
                align,
                size,
                color,
                text,
            } => {
                let color = rgb(*color);
                let style =
                    TextStyle::from(font::at_size(size * medium.scale * medium.size_over_em))
                        .color(&color)
                        .pos(Pos::new(anchor(*align), VPos::Top));
                let top = at.1 - size * medium.baseline_over_em;
                let corner = unit((at.0, top), medium.scale);
                backend.draw_text(text, &style, corner).map_err(failed)?;
            }
        }
    }
    backend.present().map_err(failed)
}

#[allow(clippy::needless_pass_by_value)]
fn failed(error: impl std::fmt::Display) -> PlotError {
    PlotError::Drawing(error.to_string())
}

const fn rgb(Rgb(red, green, blue): Rgb) -> RGBColor {
    RGBColor(red, green, blue)
}

fn anchor(align: Align) -> HPos {
    match align {
        Align::Left => HPos::Left,
        Align::Centre => HPos::Center,
        Align::Right => HPos::Right,
    }
}

fn line<DB: DrawingBackend>(
    backend: &mut DB,
    points: &[Point],
    color: RGBColor,
    width: f64,
    medium: Medium,
) -> Result<(), PlotError> {
    if !medium.polygons {
        let style = color.stroke_width(whole((width * medium.scale).max(1.0)));
        let points: Vec<_> = points.iter().map(|&p| unit(p, medium.scale)).collect();
        return backend.draw_path(points, &style).map_err(failed);
    }
    // A filled polygon covers its edge pixels too: one pixel narrower.
    let half = 0.5 * (width * medium.scale - 1.0).max(0.0);
    for pair in points.windows(2) {
        let (a, b) = (scaled(pair[0], medium.scale), scaled(pair[1], medium.scale));
        let length = (b.0 - a.0).hypotenuse(b.1 - a.1);
        if length == 0.0 {
            continue;
        }
        let (nx, ny) = ((b.1 - a.1) / length * half, (a.0 - b.0) / length * half);
        let corners = [
            (a.0 + nx, a.1 + ny),
            (b.0 + nx, b.1 + ny),
            (b.0 - nx, b.1 - ny),
            (a.0 - nx, a.1 - ny),
        ];
        let corners = corners.map(|p| unit(p, 1.0));
        backend.fill_polygon(corners, &color).map_err(failed)?;
    }
    if half >= 1.0 && points.len() > 2 {
        for &joint in &points[1..points.len() - 1] {
            let joint = scaled(joint, medium.scale);
            let disc = sheet::circle(joint, half);
            let disc = disc.into_iter().map(|p| unit(p, 1.0));
            backend.fill_polygon(disc, &color).map_err(failed)?;
        }
    }
    Ok(())
}

fn scaled(point: Point, scale: f64) -> Point {
    (point.0 * scale, point.1 * scale)
}

/// Whole backend units. Far outside the page one place is as good as another,
/// and the bitmap backend takes a step for every unit.
#[allow(clippy::cast_possible_truncation)]
fn unit(point: Point, scale: f64) -> (i32, i32) {
    const FAR: f64 = 1e6;
    let whole = |px: f64| (px * scale).round().clamp(-FAR, FAR) as i32;
    (whole(point.0), whole(point.1))
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn whole(value: f64) -> u32 {
    value.round() as u32
}

/// Each 2 x 2 block of RGB pixels as one.
fn average(large: &[u8], width: usize) -> Vec<u8> {
    let mut small = Vec::with_capacity(large.len() / 4);
    for rows in large.chunks_exact(2 * 3 * width) {
        let (upper, lower) = rows.split_at(3 * width);
        for (upper, lower) in upper.chunks_exact(6).zip(lower.chunks_exact(6)) {
            let mean = |channel: usize| {
                let sum = [
                    upper[channel],
                    upper[channel + 3],
                    lower[channel],
                    lower[channel + 3],
                ]
                .iter()
                .map(|&value| u16::from(value))
                .sum::<u16>();
                u8::try_from((sum + 2) / 4).unwrap_or(u8::MAX)
            };
            small.extend([mean(0), mean(1), mean(2)]);
        }
    }
    small
}

fn encode(pixels: &[u8], width: u32, height: u32) -> Result<Vec<u8>, PlotError> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Default);
    encoder.set_filter(png::FilterType::NoFilter);
    let mut writer = encoder.write_header().map_err(failed)?;
    writer.write_image_data(pixels).map_err(failed)?;
    writer.finish().map_err(failed)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_pixels_average_to_one_rounded() {
        let large = [[0, 10, 255], [1, 20, 255], [1, 30, 255], [1, 41, 255]].concat();
        assert_eq!(average(&large, 2), [1, 25, 255]);
    }
}
