//! A vessel by its shape and measures.

use crate::hydraulics::vessel::VesselShape;
use crate::report::{Say, Text, said};

/// "a box of 1.2 m by 1 m, 350 mm deep".
pub(crate) fn shape_words(say: &Say, shape: &VesselShape) -> Text {
    let depth = |depth| say.length("depth", depth);
    match shape {
        VesselShape::Box {
            length,
            width,
            depth: deep,
        } => said!(
            "a box of {} by {}, {} deep",
            say.length("length", *length),
            say.length("width", *width),
            depth(*deep)
        ),
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth: deep,
        } => said!(
            "a tote of {} by {} at the top and {} by {} at the bottom, {} deep",
            say.length("top_length", *top_length),
            say.length("top_width", *top_width),
            say.length("bottom_length", *bottom_length),
            say.length("bottom_width", *bottom_width),
            depth(*deep)
        ),
        VesselShape::UprightCylinder {
            diameter,
            depth: deep,
        } => said!(
            "an upright drum of {} across, {} deep",
            say.length("diameter", *diameter),
            depth(*deep)
        ),
        VesselShape::LyingCylinder { diameter, length } => said!(
            "a lying drum of {} across, {} long",
            say.length("diameter", *diameter),
            say.length("length", *length)
        ),
        VesselShape::HalfDrum {
            length,
            width,
            depth: deep,
        } => said!(
            "a half drum of {} by {} across its opening, {} deep",
            say.length("length", *length),
            say.length("width", *width),
            depth(*deep)
        ),
        VesselShape::Table { .. } => said!(
            "a vessel of {}, {} deep",
            say.volume("full", shape.full_volume()),
            depth(shape.depth())
        ),
    }
}
