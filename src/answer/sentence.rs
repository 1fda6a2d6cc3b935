//! Sentences whose figures are named: where they stand in the results.

use crate::answer::{At, Figure, Form, Group, Key, Kind, Piece, Text};

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
    UNIT = Key::new("unit", Kind::Text, "SI unit of the value; 1 where it has none.");
    SHOWN = Key::new("shown", Kind::Text, "As the sentence prints it.");
}

keys! { pub(super) OF_LIST:
    OF = Key::new("of", Kind::Count, "The sentence of its list in which it stands, from 0.");
}

/// A sentence under its key, its figures beside it.
pub(super) fn told_at(at: &At, key: &Key, text: Text) -> Text {
    let words = Piece::Unsaid(at.word(key, text.to_string()));
    Placing::new(at, FIGURES).place(text, None).and(words)
}

/// A second sentence under a key beside the one that has `first` figures of the same list.
pub(super) fn told_after(at: &At, key: &Key, first: usize, text: Text) -> Text {
    let words = Piece::Unsaid(at.word(key, text.to_string()));
    let mut placing = Placing::new(at, FIGURES);
    placing.next = first;
    placing.place(text, None).and(words)
}

/// Sentences as a list of the results, and under `figures` those of all of them.
pub(super) fn told_list(at: &At, key: &Key, figures: Key, texts: Vec<Text>) -> Vec<Text> {
    let words = at.words(key, texts.iter().map(Text::to_string));
    let mut placing = Placing::new(at, figures);
    let texts = texts.into_iter().zip(words).enumerate();
    texts
        .map(|(i, (text, words))| placing.place(text, Some(i)).and(Piece::Unsaid(words)))
        .collect()
}

/// The sentence whose named figures the results hold under keys of their own: `depth` under
/// `depth_m` or `depth`.
pub(super) fn keyed(at: &At, group: Group, text: Text) -> Text {
    let called = |key: &Key, name: &str| {
        let bare = key.name.rsplit_once('_').map(|(bare, _)| bare);
        key.name == name || bare == Some(name)
    };
    let place = |figure: Figure| match group.iter().find(|key| called(key, &figure.key)) {
        Some(key) => at.put(key, figure),
        None => figure,
    };
    let pieces = text.0.into_iter().map(|piece| match piece {
        Piece::Figure(figure) => Piece::Figure(place(figure)),
        Piece::Unsaid(figure) => Piece::Unsaid(place(figure)),
        piece => piece,
    });
    Text(pieces.collect())
}

/// Puts named figures into a list of the results, in their order.
struct Placing<'a> {
    at: &'a At,
    list: Key,
    next: usize,
}

impl<'a> Placing<'a> {
    const fn new(at: &'a At, list: Key) -> Self {
        Self { at, list, next: 0 }
    }

    /// The text with each figure at its place, and behind it what only the results say of them.
    fn place(&mut self, text: Text, of: Option<usize>) -> Text {
        let mut beside = Vec::new();
        let pieces: Vec<Piece> = text
            .0
            .into_iter()
            .map(|piece| match piece {
                Piece::Figure(figure) => Piece::Figure(self.item(figure, of, &mut beside)),
                piece => piece,
            })
            .collect();
        Text(pieces.into_iter().chain(beside).collect())
    }

    fn item(&mut self, figure: Figure, of: Option<usize>, beside: &mut Vec<Piece>) -> Figure {
        let at = self.at.item(self.list.name, self.next);
        self.next += 1;
        let of = of.map(|i| at.count(&OF, i));
        let said = [
            at.word(&NAME, figure.key.clone()),
            at.word(&UNIT, figure.kind.unit().unwrap_or("1")),
            at.word(&SHOWN, figure.shown.clone()),
        ];
        beside.extend(of.into_iter().chain(said).map(Piece::Unsaid));
        at.put(&VALUE, figure)
    }
}
