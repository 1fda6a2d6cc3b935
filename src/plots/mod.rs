//! Pictures of a finished run, as SVG and as PNG, and the section of a system for a screen.
#![cfg_attr(
    not(feature = "plots"),
    // Without pictures only the section is drawn, and its sheet can do more.
    allow(dead_code)
)]

mod axis;
#[cfg(feature = "plots")]
mod fit;
#[cfg(feature = "plots")]
mod flows;
mod font;
mod hatch;
#[cfg(feature = "plots")]
mod incidents;
#[cfg(feature = "plots")]
mod inflow;
mod labels;
#[cfg(feature = "plots")]
mod levels;
#[cfg(feature = "plots")]
mod map;
#[cfg(feature = "plots")]
mod map_hatch;
#[cfg(feature = "plots")]
mod map_kinds;
#[cfg(feature = "plots")]
mod map_legend;
#[cfg(feature = "plots")]
mod map_scale;
#[cfg(all(test, feature = "plots"))]
mod map_tests;
#[cfg(feature = "plots")]
mod map_zones;
mod page;
#[cfg(feature = "plots")]
mod paint;
mod palette;
mod pen;
#[cfg(feature = "plots")]
mod pump;
#[cfg(feature = "plots")]
mod reference;
mod section;
mod series;
mod sheet;
mod siphon_sheet;
#[cfg(feature = "plots")]
mod sump;
#[cfg(feature = "plots")]
mod tank;
#[cfg(feature = "plots")]
mod vary_chances;
#[cfg(feature = "plots")]
mod vary_sweep;
#[cfg(feature = "plots")]
mod volume;
#[cfg(feature = "plots")]
mod why;
mod window;

use thiserror::Error;

#[cfg(feature = "plots")]
pub use fit::draw_fit;
#[cfg(feature = "plots")]
pub use inflow::draw_inflow;
#[cfg(feature = "plots")]
pub use map::draw_map;
#[cfg(feature = "plots")]
pub use vary_chances::draw_chances;
#[cfg(feature = "plots")]
pub use vary_sweep::draw_sweep;

#[cfg(feature = "plots")]
use crate::assessment::Assessment;
#[cfg(feature = "plots")]
use crate::model::System;
#[cfg(feature = "plots")]
use crate::simulation::Run;
#[cfg(feature = "plots")]
use crate::units::UnitSystem;
pub use section::scene;
#[cfg(feature = "plots")]
use sheet::Sheet;
#[cfg(feature = "plots")]
pub use volume::draw_volume;
#[cfg(feature = "plots")]
pub use why::draw_why;

#[cfg(feature = "plots")]
pub use siphon_sheet::{Page, siphon_page};
pub use siphon_sheet::{SiphonPage, siphon_drawing};

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

#[cfg(feature = "plots")]
/// Beds up to which pages show each.
const MOST_BEDS: usize = 40;

#[cfg(feature = "plots")]
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

#[cfg(feature = "plots")]
/// All pages, not yet painted.
fn pages(
    system: &System,
    run: &Run,
    assessment: &Assessment,
    units: UnitSystem,
) -> Result<[(&'static str, Sheet); 5], PlotError> {
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

#[cfg(feature = "plots")]
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
#[cfg(all(test, feature = "plots"))]
mod tests;
