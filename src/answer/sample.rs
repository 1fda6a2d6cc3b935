//! A document with one block of each kind, for the tests of the renderers.

use crate::answer::{
    At, BAND, Block, Column, Document, ENDS, Finding, Group, Key, KeyTable, Kind, Picture, Piece,
    Place, Row, SPREAD, Section, Table, Text, said,
};
use crate::assessment::Status;
use crate::model::Band;
use crate::simulation::Spread;
use crate::units::UnitSystem;

keys! { TOP:
    BEDS = Key::new("beds", Kind::Part, "Every bed.").of(crate::answer::Form::List);
    LINE = Key::new("line", Kind::Part, "The line.").absent("the system has none");
    POINTS = Key::new("points", Kind::Number("m"), "Points.").of(crate::answer::Form::List);
}
keys! { BED:
    NAME = Key::new("name", Kind::Text, "Its name.");
    INFLOW = Key::new("inflow_m3_s", Kind::Flow, "Inflow.").of(SPREAD);
    START = Key::new("start_flow_m3_s", Kind::Flow, "Starts above.").of(BAND);
    PEAK = Key::new("peak_depth_m", Kind::Length, "Highest water above the floor.");
    SPENT = Key::new("spent_s", Kind::Time, "When it was empty.").absent("it never was");
    WINDOW = Key::new("window_m3_s", Kind::Flow, "Window.").of(ENDS).absent("there is none");
    WORKS = Key::new("works", Kind::Flag, "Whether it works.");
    REGIME = Key::new("regime", Kind::Word(&["cycles", "stalls"]), "What it does.");
}
keys! { LINE_KEYS:
    FULL = Key::new("full_m3_s", Kind::Flow, "Full flow.");
}

pub(super) static KEYS: KeyTable = KeyTable {
    command: "sample",
    means: "A sample.",
    groups: &[
        ("", TOP as Group),
        ("beds[]", BED as Group),
        ("line", LINE_KEYS as Group),
    ],
};

/// A name that is out to do harm wherever it is printed.
pub(super) const HOSTILE: &str =
    "<script>alert(1)</script> | `x` \u{202e}gnp\u{1b}[2J \" ' & =1+1 \\ *b*\n# h";

/// The sample, its bed and title of this name.
pub(super) fn document(name: &str) -> Document {
    let units = UnitSystem::Metric;
    let bed = At::top(units).item("beds", 0);
    let inflow = Spread {
        mean: 8.0e-3 / 60.0,
        min: 7.0e-3 / 60.0,
        max: 9.5e-3 / 60.0,
    };
    let start = Band {
        low: 1e-4,
        nominal: 1.5e-4,
        high: 2e-4,
    };
    let rows = vec![
        Row::new("Water a cycle", bed.spread(&INFLOW, inflow)),
        Row::new("Starts above", bed.band(&START, start)),
        Row::new(
            "Peak water",
            said!(
                "{} above the floor of {}, `a.toml`",
                bed.figure(&PEAK, 0.225),
                bed.word(&NAME, name)
            ),
        ),
        Row::new(name, name),
    ];
    let table = Table {
        columns: vec![
            Column::words("Result"),
            Column::words("About").at_most(16),
            Column::figures("Found"),
            Column::words("Rests on").at_most(0),
        ],
        rows: vec![vec![
            Piece::Status(Status::Fail, "FAIL").into(),
            name.into(),
            bed.figure(&PEAK, 0.225).into(),
            name.into(),
        ]],
    };
    let finding = Finding {
        status: Some((Status::Warn, "WARN")),
        title: said!("starts: {}", name),
        rows: vec![Row::new(
            "Why",
            said!("it does, see {}", Piece::Code(name.to_owned())),
        )],
    };
    let picture = Picture {
        file: "levels (all).svg".to_owned(),
        caption: name.to_owned(),
        svg: "<?xml version=\"1.0\"?>\n<svg viewBox=\"0 0 1 1\"></svg>\n".to_owned(),
    };
    let mut document = Document {
        keys: &KEYS,
        title: name.to_owned(),
        verdict: Some(Status::Fail),
        headline: said!("Something has to change in {}.", name),
        opening: said!("This page is about `{}`.", name),
        remarks: vec![name.into()],
        sections: vec![
            Section::new(format!("Bed {name}"))
                .keyed("bed-0")
                .with(Block::Rows(rows))
                .with(Block::Table(table))
                .with(Block::Data(vec![
                    bed.flag(&WORKS, true),
                    bed.word(&REGIME, "cycles"),
                ])),
            Section::new("What to change")
                .at(Place::Lead)
                .with(Block::Findings(vec![finding])),
            Section::new("Notes")
                .at(Place::Back)
                .with(Block::List(vec![name.into()])),
            Section::new("For the page")
                .on_page()
                .with(Block::Sentence(Text::from(Piece::Stress(name.to_owned()))))
                .with(Block::Code("toml", format!("{name}\n```\nend"))),
        ],
    };
    document.add_pictures([picture]);
    document
}
