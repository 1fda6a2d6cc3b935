//! The cut list in words.

use crate::answer::cut::{CutReport, keys};
use crate::answer::{At, Text};
use crate::hydraulics::pipe_sizes::listed;
use crate::model::{Bed, Bell, DrainTarget, Standpipe};
use crate::scenario::FittingCount;
use crate::study::cut::{BedCut, Cut};
use crate::units::UnitSystem;

impl CutReport<'_> {
    /// Piece, length to cut, and what it is, in the order of assembly; nothing
    /// for a bed without an answer.
    pub fn pieces(&self, found: &BedCut) -> Vec<[Text; 3]> {
        found
            .answer
            .as_ref()
            .map_or_else(|_| Vec::new(), |cut| self.list(found, cut))
    }

    fn list(&self, found: &BedCut, cut: &Cut) -> Vec<[Text; 3]> {
        let units = self.units;
        let chosen = cut.rounded(units);
        let (bed, list) = (&chosen.bed, &chosen.list);
        let at = self.chosen(found).part("pieces");
        let line = |name: &str, length: Text, what: String| [name.into(), length, what.into()];
        let length = |key, metres| Text::from(at.figure(key, metres));
        let pipe = &bed.siphon.standpipe;
        let mut rows = vec![
            line(
                "standpipe",
                length(&keys::STANDPIPE, list.standpipe),
                standpipe(units, pipe),
            ),
            line(
                "bell tube",
                length(&keys::BELL, list.bell),
                bell(units, bed),
            ),
        ];
        if let Some(metres) = list.guard {
            let what = guard(units, bed, metres);
            rows.push(line("guard", length(&keys::GUARD, metres), what));
        }
        if let (Some(metres), Some(tube)) = (list.air_tube, &bed.siphon.bell.air_tube) {
            let what = format!(
                "{} bore, from the cap's underside down to its mouth {} above the bed's floor; \
                 its bend into the cap comes on top",
                units.bore(tube.bore),
                units.length(tube.mouth_height)
            );
            rows.push(line("air tube", length(&keys::AIR_TUBE, metres), what));
        }
        rows.push(line(
            "down leg",
            length(&keys::DOWN_LEG, list.down_leg),
            format!(
                "{} bore, bed floor down to the middle of the outlet",
                units.bore(pipe.bore)
            ),
        ));
        rows.extend(self.lateral(found, bed, list.lateral, &at));
        rows
    }

    /// The pipe to the side and the fittings.
    fn lateral(&self, found: &BedCut, bed: &Bed, lateral: Option<f64>, at: &At) -> Vec<[Text; 3]> {
        let to = match bed.siphon.drain.into {
            DrainTarget::Sump => "the sump",
            DrainTarget::Line { .. } => "the drain line",
        };
        let mut rows = Vec::new();
        match lateral {
            Some(length) if length > 0.0 => rows.push([
                "lateral".into(),
                at.figure(&keys::LATERAL, length).into(),
                format!("to {to}, along the middle of pipe and fittings; falls all the way").into(),
            ]),
            Some(_) => {}
            None => rows.push([
                "lateral".into(),
                "as built".into(),
                "the scenario gives a measured loss instead of a length".into(),
            ]),
        }
        let fittings = self.fittings.get(found.bed).map_or(&[][..], Vec::as_slice);
        if !fittings.is_empty() {
            rows.push([
                "fittings".into(),
                Text::default(),
                in_words(fittings).into(),
            ]);
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
    listed(bore, Some(outside)).map_or_else(String::new, |size| format!(" ({})", size.label()))
}
