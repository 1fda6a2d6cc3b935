//! Sentences whose figures are named: where they stand in the results.

use crate::answer::{At, Figure, Form, Key, Kind, Piece, Text};

/// The figures of a sentence beside it.
pub(super) const FIGURES: Key = Key::new(
    "figures",
    Kind::Part,
    "The figures in the sentence, in its order.",
)
.of(Form::List);

keys! { pub(super) FIGURE_KEYS:
    NAME = Key::new("name", Kind::Text, "What it is.");
    VALUE = Key::new("value", Kind::Number("that of `unit`"), "Its value, SI.").absent("it is not known");
    UNIT = Key::new("unit", Kind::Text, "SI unit of the value.");
    SHOWN = Key::new("shown", Kind::Text, "As the sentence prints it.");
}

/// The sentence with each figure at its place in the list beside `at`; one without a name is
/// only read.
pub(super) fn placed(at: &At, text: Text) -> Text {
    let mut next = 0;
    let pieces = text.0.into_iter().map(|piece| match piece {
        Piece::Figure(figure) if figure.key.is_some() => {
            let place = at.item(FIGURES.name, next);
            next += 1;
            Piece::Figure(place.put(&VALUE, figure))
        }
        piece => piece,
    });
    Text(pieces.collect())
}

/// The sentence where no results hold it: its figures are only read.
pub(super) fn unplaced(text: Text) -> Text {
    let pieces = text.0.into_iter().map(|piece| match piece {
        Piece::Figure(figure) => Piece::Figure(Figure {
            key: None,
            ..figure
        }),
        piece => piece,
    });
    Text(pieces.collect())
}

/// The list of these figures, for the results alone.
pub(super) fn listed(at: &At, text: &Text) -> Vec<Figure> {
    let named = text.figures().filter(|figure| figure.key.is_some());
    let listed = named.enumerate().flat_map(|(k, figure)| {
        let at = at.item(FIGURES.name, k);
        [
            at.word(&NAME, figure.key.clone().unwrap_or_default()),
            at.put(&VALUE, figure.clone()),
            at.word(&UNIT, figure.kind.unit().unwrap_or("1")),
            at.word(&SHOWN, figure.shown.clone()),
        ]
    });
    listed.collect()
}
