//! Pictures of a finished run, as SVG and as PNG.

mod axis;
mod fit;
mod flows;
mod font;
mod hatch;
mod incidents;
mod inflow;
mod labels;
mod levels;
mod map;
mod map_hatch;
mod map_kinds;
mod map_legend;
mod map_scale;
#[cfg(test)]
mod map_tests;
mod map_zones;
mod page;
mod paint;
mod palette;
mod pump;
mod reference;
mod section;
mod series;
mod sheet;
mod siphon_sheet;
mod sump;
mod tank;
mod vary_chances;
mod vary_sweep;
mod volume;
mod why;
mod window;

use thiserror::Error;

pub use fit::draw_fit;
pub use inflow::draw_inflow;
pub use map::draw_map;
pub use vary_chances::draw_chances;
pub use vary_sweep::draw_sweep;

use crate::assessment::Assessment;
use crate::model::System;
use crate::simulation::Run;
use crate::units::UnitSystem;
use sheet::Sheet;
pub use volume::draw_volume;
pub use why::draw_why;

pub use siphon_sheet::{Page, SiphonPage, siphon_page};

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
        /// Width in pixels.
        width: f64,
        /// Height in pixels.
        height: f64,
    },
    /// The drawing library failed.
    #[error("drawing failed: {0}")]
    Drawing(String),
}

/// Beds up to which pages show each.
const MOST_BEDS: usize = 40;

/// Draws all pictures of a run: `levels`, `sump`, `flows`, `pump` and `section`.
///
/// The same input gives the same bytes. Of more than 40 beds, pages that show
/// each bed show the first 40 and say so. A run recorded without series
/// ([`Sampling::None`](crate::simulation::Sampling::None)) gives pictures
/// without curves over time.
///
/// # Errors
/// [`PlotError`] when the drawing library fails.
pub fn draw_all(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Result<Vec<Plot>, PlotError> {
    pages(system, run, assessment, units)?
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

/// All pages, not yet painted.
fn pages(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Result<[(&'static str, Sheet); 5], PlotError> {
    // Widths of texts are asked for while pages are laid out.
    font::register()?;
    let fewer = first_beds(system, run);
    let (shown, shown_run) = fewer.as_ref().map_or((system, run), |(s, r)| (s, r));
    Ok([
        ("levels", levels::draw(shown, shown_run, units)),
        ("sump", sump::draw(system, run, assessment, units)),
        ("flows", flows::draw(shown, shown_run, units)),
        ("pump", pump::draw(system, run, units)),
        ("section", section::draw(shown, shown_run, units)),
    ])
}

/// More beds than one page takes: the first of them, with a title that says so.
fn first_beds(system: &System, run: &Run) -> Option<(System, Run)> {
    let beds = system.beds.len();
    if beds <= MOST_BEDS {
        return None;
    }
    let (mut system, mut run) = (system.clone(), run.clone());
    system.title = format!(
        "{}. Only the first {MOST_BEDS} of {beds} beds",
        system.title
    );
    system.beds.truncate(MOST_BEDS);
    run.beds.truncate(MOST_BEDS);
    run.recording.beds.truncate(MOST_BEDS);
    Some((system, run))
}

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;
