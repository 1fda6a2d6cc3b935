//! What `absorb` found as a JSON document with fixed keys, SI units.

use crate::report::caution_words;
use serde_json::{Value, json};

use crate::assessment::{Status, SumpBounds};
use crate::hydraulics::vessel::VesselShape;
use crate::report::absorb::AbsorbReport;
use crate::report::words::status_word;
use crate::study::absorb::{
    FillRange, Smallest, Stance, Standing, VesselKind, freeboard_level, nearest_run,
};

impl AbsorbReport<'_> {
    /// One JSON document, indented, ending with a line break. Everything is SI.
    ///
    /// # Errors
    /// None that a document of plain numbers and text can cause; the error of
    /// the serialiser is passed on.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        let (system, absorb) = (self.system, self.absorb);
        let (volumes, level) = (&absorb.volumes, &self.run.sump.level);
        let name = |i: &usize| system.beds.get(*i).map(|bed| bed.name.clone());
        let document = json!({
            "schema": 1,
            "version": env!("CARGO_PKG_VERSION"),
            "title": system.title,
            "verdict": status_word(self.status()).to_lowercase(),
            "sump": {
                "shape": shape(&system.sump.shape),
                "start_level_m": number(system.sump.start_level),
                "simulated_m": { "min": number(level.min), "max": number(level.max) },
                "bounds": bounds(&volumes.bounds),
                "bounds_with_the_rest": self.disturbed.map(|found| bounds(&found.sump)),
                "low_volume_m3": number(volumes.low),
                "high_volume_m3": number(volumes.high),
                "lost_m3": number(volumes.lost),
                "dry_level_m": number(system.pump.least_level()),
                "freeboard_level_m": number(freeboard_level(system)),
                "overflow_level_m": number(system.sump.overflow_level),
                "free_volume": {
                    "needed_above_m3": number(absorb.free.needed_above),
                    "available_above_m3": number(absorb.free.available_above),
                    "needed_below_m3": number(absorb.free.needed_below),
                    "available_below_m3": number(absorb.free.available_below),
                },
                "fill": fill(&absorb.fill),
                "float_valve_at_most_m": number(absorb.lowest_normal),
                "float_valve_m": self.float_valve.map(number),
            },
            "power_cut": absorb.power_cut.as_ref().map(|cut| json!({
                "time_s": number(cut.time),
                "sump_before_m": number(cut.sump_before),
                "running": cut.running.iter().filter_map(name).collect::<Vec<_>>(),
                "from_beds_m3": number(cut.from_beds),
                "from_pipes_m3": number(cut.from_pipes),
                "sump_after_m": number(cut.level),
                "spilled_m3": number(cut.spilled),
                "simulated_m": cut.simulated.map(number),
            })),
            "all_beds_together": absorb.together.as_ref().map(|all| json!({
                "sump_before_m": number(all.before),
                "from_beds_m3": number(all.from_beds),
                "from_pipes_m3": number(all.from_pipes),
                "sump_after_m": number(all.level),
                "spilled_m3": number(all.spilled),
            })),
            "check_valve": {
                "fitted": system.pump.check_valve,
                "drain_back_without_m3": number(absorb.drain_back.without_check_valve),
                "drain_back_with_m3": number(absorb.drain_back.with_check_valve),
                "back_siphon_m3": number(absorb.drain_back.back_siphon),
                "bounds_without": bounds(&absorb.without_check_valve),
                "bounds_with": bounds(&absorb.with_check_valve),
            },
            "nearest_run": nearest_run(system).map(|run| json!({
                "bed": run.bed.as_ref().and_then(name),
                "level_m": number(run.level),
            })),
            "smallest": absorb.smallest.iter().map(smallest).collect::<Vec<_>>(),
            "drum": {
                "diameter_m": number(absorb.drum.diameter),
                "length_m": number(absorb.drum.length),
                "is_present": absorb.drum.is_present,
            },
            "standings": absorb.standings.iter().map(standing).collect::<Vec<_>>(),
            "cautions": caution_words(self.system, &self.assessment.cautions, self.units),
        });
        let mut text = serde_json::to_string_pretty(&document)?;
        text.push('\n');
        Ok(text)
    }
}

/// A number, `null` unless finite, and never a negative nought.
fn number(value: f64) -> Value {
    Value::from(value + 0.0)
}

fn bounds(bounds: &SumpBounds) -> Value {
    json!({
        "low_m": number(bounds.low),
        "high_m": number(bounds.high),
        "dead_siphons_m": number(bounds.dead_siphons),
    })
}

fn fill(fill: &FillRange) -> Value {
    json!({
        "passes": fill.range().is_some(),
        "least_m": fill.least.map(number),
        "most_m": fill.most.map(number),
    })
}

fn shape(shape: &VesselShape) -> Value {
    let mut value = match shape {
        VesselShape::Box {
            length,
            width,
            depth,
        } => json!({
            "kind": "box", "length_m": length, "width_m": width, "depth_m": depth
        }),
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth,
        } => {
            json!({
                "kind": "tapered",
                "top_length_m": top_length,
                "top_width_m": top_width,
                "bottom_length_m": bottom_length,
                "bottom_width_m": bottom_width,
                "depth_m": depth,
            })
        }
        VesselShape::UprightCylinder { diameter, depth } => {
            json!({ "kind": "upright-cylinder", "diameter_m": diameter, "depth_m": depth })
        }
        VesselShape::LyingCylinder { diameter, length } => {
            json!({ "kind": "lying-cylinder", "diameter_m": diameter, "length_m": length })
        }
        VesselShape::Table { depth, area } => {
            json!({ "kind": "table", "depths_m": depth, "areas_m2": area })
        }
    };
    value["full_m3"] = number(shape.full_volume());
    value
}

fn smallest(smallest: &Smallest) -> Value {
    let kind = match smallest.kind {
        VesselKind::Box => "box",
        VesselKind::Upright => "upright",
        VesselKind::Lying => "lying",
    };
    json!({
        "kind": kind,
        "shape": smallest.found.as_ref().map(|found| shape(&found.shape)),
        "fill": smallest.found.as_ref().map(|found| fill(&found.fill)),
        "shift_m": smallest.found.as_ref().map(|found| number(found.shift)),
    })
}

fn standing(standing: &Standing) -> Value {
    let stance = match standing.stance {
        Stance::AsItIs => "as-it-is",
        Stance::Upright => "upright",
        Stance::Lying => "lying",
    };
    let (system, volumes) = (&standing.system, &standing.volumes);
    json!({
        "stance": stance,
        "is_present": standing.is_present,
        "verdict": status_word(if standing.passes { Status::Pass } else { Status::Fail })
            .to_lowercase(),
        "shape": shape(&system.sump.shape),
        "top_m": number(system.sump.top()),
        "overflow_level_m": number(system.sump.overflow_level),
        "freeboard_level_m": number(freeboard_level(system)),
        "dry_level_m": number(system.pump.least_level()),
        "usable_m3": number(standing.usable),
        "needed_m3": number(standing.needed),
        "fill": fill(&standing.fill),
        "judged_at_m": number(system.sump.start_level),
        "bounds": bounds(&volumes.bounds),
        "lost_m3": number(volumes.lost),
        "simulated": standing.simulated.map(|found| json!({
            "min_m": number(found.low),
            "max_m": number(found.high),
            "after_power_cut_m": found.after_cut.map(number),
        })),
        "shift_m": number(standing.shift),
        "growing_height_m": standing.growing_height.map(number),
        "drums": standing.drums,
    })
}
