//! Why a check came out as it did, in words.
//!
//! One file for each room of `assessment::checks`; every figure is printed in the reader's units
//! and has a name, which is the field's of the reason: what it is called beside its value in SI.

mod drain;
mod entry;
mod garden;
mod levels;
pub(super) mod loop_parts;
pub(super) mod siphon;
pub(super) mod sump;

use crate::assessment::{Check, Subject, Why};
use crate::model::System;
use crate::report::{Say, Text};
use crate::units::UnitSystem;

/// Why `check`, of a run of `system`, came out as it did: one or more sentences with their
/// figures in `units`. The key of a figure is its name among those of this check.
pub fn because(system: &System, check: &Check, units: UnitSystem) -> Text {
    why_words(system, check.subject, &check.why, units)
}

/// The same for a reason alone.
pub(super) fn why_words(system: &System, subject: Subject, why: &Why, units: UnitSystem) -> Text {
    let say = Say { system, units };
    let name = say.subject(subject);
    match why {
        Why::DryLayer(why) => levels::dry_layer(&say, &name, why),
        Why::Rim(why) => levels::rim(&say, &name, why),
        Why::Headroom(why) => levels::headroom(&say, &name, why),
        Why::BedLoad(why) => levels::bed_load(&say, &name, why),
        Why::SumpLoad(why) => levels::sump_load(&say, why),
        Why::Starts(why) => siphon::starts(&say, &name, why),
        Why::Breaks(why) => siphon::breaks(&say, &name, why),
        Why::InflowRatio(why) => siphon::inflow_ratio(&say, &name, why),
        Why::Crown(why) => siphon::crown(&say, &name, why),
        Why::Period(why) => siphon::period(&say, &name, why),
        Why::Fall(why) => drain::fall(&say, &name, why),
        Why::LineFall(why) => drain::line_fall(&say, why),
        Why::DrainLine(why) => drain::drain_line(&say, why),
        Why::LineSlope(why) => drain::line_slope(&say, why),
        Why::PumpCover(why) => sump::pump_cover(&say, why),
        Why::SumpHigh(why) => sump::sump_high(&say, why),
        Why::SumpDepth(why) => sump::sump_depth(&say, why),
        Why::TopOff(why) => sump::top_off(&say, why),
        Why::SumpEntry(why) => entry::sump_entry(&say, why),
        Why::TankFall(why) => loop_parts::tank_fall(&say, &name, why),
        Why::TankDepth(why) => loop_parts::tank_depth(&say, why),
        Why::Turnover(why) => loop_parts::turnover(&say, why),
        Why::WantedSettler(why) => loop_parts::wanted_settler(&say, why),
        Why::SettlerLoading(why) => loop_parts::settler_loading(&say, why),
        Why::SettlerRetention(why) => loop_parts::settler_retention(&say, why),
        Why::Density(why) => garden::density(&say, why),
        Why::Feed(why) => garden::feed(&say, why),
        Why::Oxygen(why) => garden::oxygen(&say, why),
        Why::Dissolved(why) => garden::dissolved(&say, why),
        Why::Reach(why) => garden::reach(&say, &name, why),
    }
}
