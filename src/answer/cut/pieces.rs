//! The cut list in words.

use crate::answer::cut::{CutReport, keys};
use crate::answer::sentence::told_at;
use crate::answer::{At, Figure, Text, said};
use crate::hydraulics::pipe_sizes::listed;
use crate::model::{Bed, Bell, DrainTarget, Standpipe};
use crate::report::Say;
use crate::scenario::{FittingCount, GuessedDrain};
use crate::study::cut::{BedCut, Rounded};

/// A piece before it is told: its name, its length or what stands for it, and what it is.
struct Piece {
    name: &'static str,
    length: Result<f64, &'static str>,
    what: Text,
}

impl CutReport<'_> {
    /// Piece, length to cut, and what it is, in the order of assembly; nothing
    /// for a bed without an answer.
    pub fn pieces(&self, found: &BedCut) -> Vec<[Text; 3]> {
        let chosen = found.answer.as_ref().map(|cut| cut.rounded(self.units));
        chosen.map_or_else(
            |_| Vec::new(),
            |chosen| self.told_pieces(found, chosen, &self.chosen(found)),
        )
    }

    /// The same with one rounding, whose place is `at`.
    pub(super) fn told_pieces(&self, found: &BedCut, chosen: &Rounded, at: &At) -> Vec<[Text; 3]> {
        let pieces = self.list(found, chosen).into_iter().enumerate();
        pieces
            .map(|(i, piece)| {
                let at = at.item(keys::LIST.name, i);
                let length = piece.length.map_or_else(Text::from, |metres| {
                    at.figure(&keys::PIECE_LENGTH, metres).into()
                });
                [
                    at.word(&keys::PIECE_NAME, piece.name).into(),
                    length,
                    told_at(&at, &keys::PIECE_WHAT, piece.what),
                ]
            })
            .collect()
    }

    fn list(&self, found: &BedCut, chosen: &Rounded) -> Vec<Piece> {
        let say = self.say();
        let (bed, list) = (&chosen.bed, &chosen.list);
        let piece = |name, metres, what| Piece {
            name,
            length: Ok(metres),
            what,
        };
        let pipe = &bed.siphon.standpipe;
        // Whoever has the list beside the saw has not read that nothing need be cut.
        let now = self.now(found);
        let left = !self.planned && found.answer.as_ref().is_ok_and(|cut| cut.is_as_good(now));
        let left = |what: Text| match left {
            true => what.and(". Leave the one that stands; this is for a new one"),
            false => what,
        };
        let mut pieces = vec![
            piece("standpipe", list.standpipe, left(standpipe(&say, pipe))),
            piece("bell tube", list.bell, left(bell(&say, bed))),
        ];
        if let Some(metres) = list.guard {
            pieces.push(piece("guard", metres, guard(&say, bed, metres)));
        }
        if let (Some(metres), Some(tube)) = (list.air_tube, &bed.siphon.bell.air_tube) {
            let what = said!(
                "{} bore, from the cap's underside down to its mouth {} above the bed's floor; \
                 its bend into the cap comes on top",
                say.bore("bore", tube.bore),
                say.length("mouth", tube.mouth_height)
            );
            pieces.push(piece("air tube", metres, what));
        }
        let guessed = self.guessed.get(found.bed).copied().unwrap_or_default();
        let down = said!(
            "{} bore, bed floor down to the middle of the outlet{}",
            say.bore("bore", pipe.bore),
            guessed.outlet.then_some(UNMEASURED_END)
        );
        pieces.push(piece("down leg", list.down_leg, down));
        pieces.extend(lateral(bed, list.lateral, guessed));
        let fittings = self
            .fittings
            .drains
            .get(found.bed)
            .map_or(&[][..], Vec::as_slice);
        if !fittings.is_empty() {
            pieces.push(Piece {
                name: "fittings",
                length: Err(""),
                what: in_words(&say, fittings),
            });
        }
        pieces
    }
}

/// What is reckoned from a level or a length that nobody has measured.
const UNMEASURED_END: &str = ". Where it ends was assumed: measure before you cut";
const UNMEASURED_LENGTH: &str = ". Its length was assumed: measure before you cut";

/// The pipe to the side.
fn lateral(bed: &Bed, lateral: Option<f64>, guessed: GuessedDrain) -> Option<Piece> {
    let to = match bed.siphon.drain.into {
        DrainTarget::Sump => "the sump",
        DrainTarget::Line { .. } => "the drain line",
    };
    let (length, what) = match lateral {
        Some(length) if length > 0.0 => (
            Ok(length),
            said!(
                "to {}, along the middle of pipe and fittings; falls all the way{}",
                to,
                match guessed {
                    GuessedDrain { length: true, .. } => Some(UNMEASURED_LENGTH),
                    GuessedDrain { outlet: true, .. } => Some(UNMEASURED_END),
                    _ => None,
                }
            ),
        ),
        Some(_) => return None,
        None => (
            Err("as built"),
            "the scenario gives a measured loss instead of a length".into(),
        ),
    };
    Some(Piece {
        name: "lateral",
        length,
        what,
    })
}

fn in_words(say: &Say, fittings: &[FittingCount]) -> Text {
    let fittings = fittings.iter().map(|found| {
        let count: Figure = say.count("count", found.count as usize);
        said!("{} x {}", count, found.fitting.name())
    });
    Text::joined(fittings, ", ")
}

fn standpipe(say: &Say, pipe: &Standpipe) -> Text {
    let flare = (pipe.lip_diameter > pipe.bore).then(|| {
        said!(
            ", top flared to {}, flare included",
            say.bore("flare", pipe.lip_diameter)
        )
    });
    said!(
        "{} bore, {} outside{}{}; bed floor to lip, the joint in the floor on top",
        say.bore("bore", pipe.bore),
        say.bore("outside", pipe.outside),
        size(pipe.bore, pipe.outside),
        flare
    )
}

fn bell(say: &Say, bed: &Bed) -> Text {
    let Bell {
        bore,
        outside,
        slots,
        clearance,
        ..
    } = &bed.siphon.bell;
    let slot = if slots.count == 1 { "slot" } else { "slots" };
    said!(
        "{} bore, {} outside{}; bed floor to underside of cap, {} over the lip; {} {} {} wide, {} \
         high at its foot",
        say.bore("bore", *bore),
        say.bore("outside", *outside),
        size(*bore, *outside),
        say.length("clearance", *clearance),
        say.count("slots", slots.count as usize),
        slot,
        say.length("slot_width", slots.width),
        say.length("slot_height", slots.height)
    )
}

fn guard(say: &Say, bed: &Bed, length: f64) -> Text {
    let Some(guard) = &bed.guard else {
        return Text::default();
    };
    let openings = guard
        .slot_area
        .map(|area| said!(", {} of openings in all", say.area("openings", area)));
    said!(
        "{} inside{}; bed floor to {} above the gravel (common practice, no source)",
        say.bore("inside", guard.diameter),
        openings,
        say.length("above_gravel", length - bed.media.depth)
    )
}

/// The listed pipe of these diameters, in brackets.
fn size(bore: f64, outside: f64) -> String {
    listed(bore, Some(outside)).map_or_else(String::new, |size| format!(" ({})", size.label()))
}
