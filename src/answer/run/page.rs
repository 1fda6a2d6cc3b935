//! What only the page tells: the system in words, how far to trust it, how it was computed.

use crate::answer::run::keys::{
    COEFFICIENT_BASIS, COEFFICIENT_KEY, COEFFICIENT_UNIT, COEFFICIENT_VALUE, COEFFICIENT_WHAT,
    COEFFICIENTS, DESCRIBED, EVALUATIONS, EVENTS, IN_WORDS, RESIDUAL_SHARE, STEPS, WATER_AT_START,
    WORK,
};
use crate::answer::sentence::told_at;
use crate::answer::{At, Block, Column, Piece, Place, Section, Table, Text, said};
use crate::model::{Bed, Coefficient, DrainTarget, Inlet, PumpSource};
use crate::report::{Report, Say, coefficient_meaning};

/// The job in one paragraph.
pub(super) fn opening(report: &Report, source: &str) -> Text {
    let at = At::top(report.units).part(DESCRIBED.name);
    said!(
        "This page answers whether the system described in `{}` will flood and drain by itself, \
         why, and what to change. {}",
        source,
        told_at(&at, &IN_WORDS, described(report))
    )
}

/// The system as its owner would describe it.
fn described(report: &Report) -> Text {
    let (system, say) = (report.system, report.say());
    let pump = match &system.pump.source {
        PumpSource::Curve(curve) => {
            let origin = if curve.is_estimate() {
                "estimated from the two figures on its box"
            } else {
                "by its curve"
            };
            let most = say.flow("pump_at_most", curve.open_flow());
            said!("a pump {}, at most {}", origin, most)
        }
        PumpSource::Steady(flow) => said!("a measured {}", say.flow("pump_flow", *flow)),
    };
    let line = system.drain_line.as_ref().map(|line| {
        said!(
            " A shared drain line of {} bore and {} length falls {} to the sump.",
            say.bore("line_bore", line.run.bore),
            say.length("line_length", line.run.length),
            say.percent("line_slope", line.slope)
        )
    });
    said!(
        "It has {}. The beds are fed by {}, and empty through automatic siphons towards a sump \
         that spills at {}.{}",
        beds_in_words(report),
        pump,
        say.elevation("overflow", system.sump.overflow_level),
        line
    )
}

/// The beds as their owner would describe them; those alike are described once.
pub(super) fn beds_in_words(report: &Report) -> Text {
    let say = report.say();
    let mut kinds: Vec<(Text, Vec<String>)> = Vec::new();
    for bed in &report.system.beds {
        let words = bed_in_words(bed, &say);
        let name = bed.name.clone();
        match kinds.iter_mut().find(|(kind, _)| *kind == words) {
            Some((_, names)) => names.push(name),
            None => kinds.push((words, vec![name])),
        }
    }
    let described = kinds.into_iter().map(|(words, names)| {
        let each = if names.len() > 1 { "each " } else { "" };
        said!("{} ({}{})", names.join(", "), each, words)
    });
    let described = Text::joined(described, "; ");
    match report.system.beds.len() {
        1 => said!("one bed, {}", described),
        n => said!("{} beds: {}", say.count("beds", n), described),
    }
}

fn bed_in_words(bed: &Bed, say: &Say) -> Text {
    let area = bed.shape.area(bed.siphon.standpipe.lip_height);
    let feed = match &bed.inlet {
        Inlet::Piped(_) => None,
        Inlet::Share(share) => Some(said!(
            ", taking {} of the flow",
            say.percent("share", *share)
        )),
        Inlet::Measured(flow) => Some(said!(", fed a measured {}", say.flow("inflow", *flow))),
    };
    let target = match bed.siphon.drain.into {
        DrainTarget::Sump => "straight into the sump",
        DrainTarget::Line { .. } => "into the drain line",
    };
    said!(
        "{} of surface, {} of gravel, a standpipe of {} bore whose lip is {} above the bed's \
         floor, draining {}{}",
        say.area("surface", area),
        say.length("gravel", bed.media.depth),
        say.bore("standpipe_bore", bed.siphon.standpipe.bore),
        say.length("lip", bed.siphon.standpipe.lip_height),
        target,
        feed
    )
}

/// What the bands rest on, and every soft coefficient.
pub(super) fn knowledge(report: &Report) -> Section {
    let stress = |word: &str| Piece::Stress(word.to_owned());
    let bands = said!(
        "There is no complete published measurement of such a siphon: geometry, inflow, start \
         and break levels and times together. The inflow at which it starts and the inflow at \
         which it runs on instead of breaking are therefore bands, put together from published \
         parts. The run itself uses the nominal values; {} and {} hold over the \
         whole band, {} means that your inflow lies inside it.",
        stress("will"),
        stress("will not"),
        stress("uncertain")
    );
    let figures = said!(
        "Volumes, fill times and pump flows are as good as the tape, the bucket and the pump's \
         curve: a drainable void that is wrong by a tenth makes fill and drain times wrong by \
         about a tenth. Measured times and levels of your own siphon narrow the bands: put the \
         coefficients they imply into the scenario's `[coefficients]` table."
    );
    let rows = Coefficient::ALL.into_iter().enumerate().map(|(i, which)| {
        let at = At::top(report.units).item(COEFFICIENTS.name, i);
        let band = report.system.coefficients[which];
        let (meaning, unit) = coefficient_meaning(which);
        let value = |end: &str, value: f64| -> Text {
            let figure = at.named(&COEFFICIENT_VALUE, end, value);
            figure.said(value.to_string()).into()
        };
        let basis = if band == which.default_band() {
            which.basis()
        } else {
            "given in the scenario"
        };
        vec![
            Text::from(Piece::Code(which.key().to_owned()))
                .and(Piece::Unsaid(at.word(&COEFFICIENT_KEY, which.key()))),
            at.word(&COEFFICIENT_WHAT, meaning).into(),
            value("low", band.low),
            value("nominal", band.nominal),
            value("high", band.high),
            at.word(&COEFFICIENT_UNIT, unit).into(),
            at.word(&COEFFICIENT_BASIS, basis)
                .said(report.units.words(basis))
                .into(),
        ]
    });
    let table = Table {
        rows: rows.collect(),
        columns: vec![
            Column::words("Coefficient"),
            Column::words("What it is"),
            Column::figures("Low"),
            Column::figures("Nominal"),
            Column::figures("High"),
            Column::words("Unit"),
            Column::words("Rests on"),
        ],
    };
    Section::new("How far to trust this")
        .at(Place::Back)
        .on_page()
        .with(Block::Sentence(bands))
        .with(Block::Sentence(figures))
        .with(Block::Table(table))
}

/// A smaller share than this is told in words.
const LEAST_SHARE: f64 = 1e-6;

/// The water balance as a share of the water in the system.
pub(super) fn balance(report: &Report, at: &At) -> Text {
    let share = report.run.residual.abs() / report.run.water_at_start;
    let size = if share == 0.0 {
        "nothing".to_owned()
    } else if share < LEAST_SHARE {
        "less than a millionth part".to_owned()
    } else if share.is_finite() {
        format!("a share of {share:.1e}")
    } else {
        "a share that is not known".to_owned()
    };
    said!(
        "Water balance: of {} at the start {} appeared or vanished by rounding.",
        at.figure(&WATER_AT_START, report.run.water_at_start),
        at.shown(&RESIDUAL_SHARE, share, size)
    )
}

/// How the figures were found.
pub(super) fn method(report: &Report) -> Section {
    let (work, at) = (report.run.work, At::top(report.units).part(WORK.name));
    let text = said!(
        "ebbwright {}. Water volumes are followed through time by a Runge-Kutta method of \
         order 5 with step-size control; every change of a siphon, a pump or a level switch is \
         located in time, none is stepped over. {} steps, {} evaluations, {} events. The same \
         scenario gives the same figures every time. `levels.csv` holds levels and flows over \
         time, less the rows that lie within {} and 0.5 % on straight lines between the \
         others; `result.json` holds all figures in SI units.",
        env!("CARGO_PKG_VERSION"),
        at.count(&STEPS, work.steps),
        at.count(&EVALUATIONS, work.evaluations),
        at.count(&EVENTS, work.events),
        report.units.words("0.2 mm")
    );
    Section::new("How it was computed")
        .at(Place::Back)
        .on_page()
        .with(Block::Sentence(text))
}
