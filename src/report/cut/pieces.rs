//! The cut list in words.

use crate::hydraulics::pipe_sizes::{PIPE_SIZES, Schedule};
use crate::model::{Bed, Bell, DrainTarget, Standpipe};
use crate::report::cut::CutReport;
use crate::scenario::FittingCount;
use crate::study::cut::{BedCut, Cut};
use crate::units::UnitSystem;

/// A listed size is meant where bore and outside are this close to it `[m]`.
const SAME_SIZE: f64 = 5e-5;

impl CutReport<'_> {
    /// Piece, length to cut, and what it is, in the order of assembly; nothing
    /// for a bed without an answer.
    pub fn pieces(&self, found: &BedCut) -> Vec<[String; 3]> {
        found
            .answer
            .as_ref()
            .map_or_else(|_| Vec::new(), |cut| self.list(found, cut))
    }

    fn list(&self, found: &BedCut, cut: &Cut) -> Vec<[String; 3]> {
        let units = self.units;
        let chosen = cut.rounded(units);
        let (bed, list) = (&chosen.bed, &chosen.list);
        let length = |metres: f64| units.length(metres);
        let mut rows = vec![
            [
                "standpipe".to_owned(),
                length(list.standpipe),
                standpipe(units, &bed.siphon.standpipe),
            ],
            ["bell tube".to_owned(), length(list.bell), bell(units, bed)],
        ];
        if let Some(guard_length) = list.guard {
            rows.push([
                "guard".to_owned(),
                length(guard_length),
                guard(units, bed, guard_length),
            ]);
        }
        if let (Some(tube_length), Some(tube)) = (list.air_tube, &bed.siphon.bell.air_tube) {
            let what = format!(
                "{} bore, from the cap's underside down to its mouth {} above the bed's floor; \
                 its bend into the cap comes on top",
                units.bore(tube.bore),
                length(tube.mouth_height)
            );
            rows.push(["air tube".to_owned(), length(tube_length), what]);
        }
        rows.push([
            "down leg".to_owned(),
            length(list.down_leg),
            format!(
                "{} bore, bed floor down to the middle of the outlet",
                units.bore(bed.siphon.standpipe.bore)
            ),
        ]);
        rows.extend(self.lateral(found, bed, list.lateral));
        rows
    }

    /// The pipe to the side and the fittings.
    fn lateral(&self, found: &BedCut, bed: &Bed, lateral: Option<f64>) -> Vec<[String; 3]> {
        let units = self.units;
        let to = match bed.siphon.drain.into {
            DrainTarget::Sump => "the sump",
            DrainTarget::Line { .. } => "the drain line",
        };
        let mut rows = Vec::new();
        match lateral {
            Some(length) if length > 0.0 => rows.push([
                "lateral".to_owned(),
                units.length(length),
                format!("to {to}, along the middle of pipe and fittings; falls all the way"),
            ]),
            Some(_) => {}
            None => rows.push([
                "lateral".to_owned(),
                "as built".to_owned(),
                "the scenario gives a measured loss instead of a length".to_owned(),
            ]),
        }
        let fittings = self.fittings.get(found.bed).map_or(&[][..], Vec::as_slice);
        if !fittings.is_empty() {
            rows.push(["fittings".to_owned(), String::new(), in_words(fittings)]);
        }
        rows
    }
}

fn in_words(fittings: &[FittingCount]) -> String {
    fittings
        .iter()
        .map(|found| format!("{} x {}", found.count, found.fitting.name()))
        .collect::<Vec<_>>()
        .join(", ")
}

fn standpipe(units: UnitSystem, pipe: &Standpipe) -> String {
    let flare = if pipe.lip_diameter > pipe.bore {
        format!(
            ", top flared to {}, flare included",
            units.bore(pipe.lip_diameter)
        )
    } else {
        String::new()
    };
    let size = size(pipe.bore, pipe.outside);
    format!(
        "{} bore, {} outside{size}{flare}; bed floor to lip, the joint in the floor on top",
        units.bore(pipe.bore),
        units.bore(pipe.outside)
    )
}

fn bell(units: UnitSystem, bed: &Bed) -> String {
    let Bell {
        bore,
        outside,
        slots,
        clearance,
        ..
    } = &bed.siphon.bell;
    let size = size(*bore, *outside);
    let slot = if slots.count == 1 { "slot" } else { "slots" };
    format!(
        "{} bore, {} outside{size}; bed floor to underside of cap, {} over the lip; {} {slot} {} \
         wide, {} high at its foot",
        units.bore(*bore),
        units.bore(*outside),
        units.length(*clearance),
        slots.count,
        units.length(slots.width),
        units.length(slots.height)
    )
}

fn guard(units: UnitSystem, bed: &Bed, length: f64) -> String {
    let Some(guard) = &bed.guard else {
        return String::new();
    };
    let openings = guard.slot_area.map_or_else(String::new, |area| {
        format!(", {} of openings in all", units.area(area))
    });
    format!(
        "{} inside{openings}; bed floor to {} above the gravel (common practice, no source)",
        units.bore(guard.diameter),
        units.length(length - bed.media.depth)
    )
}

/// The listed pipe of these diameters, in brackets.
fn size(bore: f64, outside: f64) -> String {
    PIPE_SIZES
        .iter()
        .find(|size| {
            (size.bore - bore).abs() < SAME_SIZE && (size.outside - outside).abs() < SAME_SIZE
        })
        .map_or_else(String::new, |size| {
            let unit = match size.schedule {
                Schedule::Sch40 | Schedule::Sch80 => "in",
                Schedule::Pn10 | Schedule::Pn16 => "mm",
            };
            format!(" ({} {unit} {})", size.nominal, size.schedule.name())
        })
}
