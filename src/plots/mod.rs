//! Pictures of a finished run, as SVG and as PNG.

mod axis;
mod flows;
mod font;
mod hatch;
mod labels;
mod levels;
mod page;
mod paint;
mod palette;
mod pump;
mod reference;
mod section;
mod series;
mod sheet;
mod sump;
mod window;

use thiserror::Error;

use crate::assessment::Assessment;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;

/// One finished picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plot {
    /// Name without extension.
    pub name: &'static str,
    /// The picture as an SVG document.
    pub svg: String,
    /// The picture as a PNG file.
    pub png: Vec<u8>,
}

/// Why a picture could not be drawn.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PlotError {
    /// The bundled font was refused.
    #[error("the bundled font could not be read; this is a fault of the program")]
    Font,
    /// A page larger than any printer or viewer takes.
    #[error("a plot of {width:.0} x {height:.0} px is too large to draw")]
    Size {
        /// Width [px].
        width: f64,
        /// Height [px].
        height: f64,
    },
    /// The drawing library failed.
    #[error("drawing failed: {0}")]
    Drawing(String),
}

/// Draws all pictures of a run.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_all(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Result<Vec<Plot>, PlotError> {
    font::register()?;
    [
        ("levels", levels::draw(system, run, units)),
        ("sump", sump::draw(system, run, assessment, units)),
        ("flows", flows::draw(system, run, units)),
        ("pump", pump::draw(system, run, units)),
        ("section", section::draw(system, run, units)),
    ]
    .into_iter()
    .map(|(name, sheet)| {
        Ok(Plot {
            name,
            svg: paint::svg(&sheet)?,
            png: paint::png(&sheet)?,
        })
    })
    .collect()
}

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;
