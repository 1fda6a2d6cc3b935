//! What only the page tells: the system in words, how far to trust it, how it was computed.

use crate::answer::{Block, Column, Kind, Piece, Place, Section, Table, Text, said};
use crate::model::{Bed, Coefficient, DrainTarget, Inlet, PumpSource};
use crate::report::{Report, coefficient_meaning};
use crate::units::UnitSystem;

/// The job in one paragraph.
pub(super) fn opening(report: &Report, source: &str) -> Text {
    let (system, units) = (report.system, report.units);
    let bare = |kind: Kind, value| kind.bare(value, units);
    let pump = match &system.pump.source {
        PumpSource::Curve(curve) => {
            let origin = if curve.is_estimate() {
                "estimated from the two figures on its box"
            } else {
                "by its curve"
            };
            let most = bare(Kind::Flow, curve.open_flow());
            said!("a pump {}, at most {}", origin, most)
        }
        PumpSource::Steady(flow) => said!("a measured {}", bare(Kind::Flow, *flow)),
    };
    let line = system.drain_line.as_ref().map(|line| {
        said!(
            " A shared drain line of {} bore and {} length falls {} to the sump.",
            bare(Kind::Bore, line.run.bore),
            bare(Kind::Length, line.run.length),
            bare(Kind::Share, line.slope)
        )
    });
    said!(
        "This page answers whether the system described in `{}` will flood and drain by itself, \
         why, and what to change. It has {}. The beds are fed by {}, and empty through \
         automatic siphons towards a sump that spills at {}.{}",
        source,
        beds_in_words(report),
        pump,
        bare(Kind::Elevation, system.sump.overflow_level),
        line
    )
}

/// The beds as their owner would describe them; those alike are described once.
pub(super) fn beds_in_words(report: &Report) -> String {
    let mut kinds: Vec<(String, Vec<String>)> = Vec::new();
    for bed in &report.system.beds {
        let words = bed_in_words(bed, report.units);
        let name = bed.name.clone();
        match kinds.iter_mut().find(|(kind, _)| *kind == words) {
            Some((_, names)) => names.push(name),
            None => kinds.push((words, vec![name])),
        }
    }
    let described: Vec<_> = kinds
        .iter()
        .map(|(words, names)| match names.as_slice() {
            [name] => format!("{name} ({words})"),
            names => format!("{} (each {words})", names.join(", ")),
        })
        .collect();
    match report.system.beds.len() {
        1 => format!("one bed, {}", described.concat()),
        n => format!("{n} beds: {}", described.join("; ")),
    }
}

fn bed_in_words(bed: &Bed, units: UnitSystem) -> String {
    let area = bed.shape.area(bed.siphon.standpipe.lip_height);
    let feed = match &bed.inlet {
        Inlet::Piped(_) => String::new(),
        Inlet::Share(share) => format!(", taking {} of the flow", units.percent(*share)),
        Inlet::Measured(flow) => format!(", fed a measured {}", units.flow(*flow)),
    };
    let target = match bed.siphon.drain.into {
        DrainTarget::Sump => "straight into the sump",
        DrainTarget::Line { .. } => "into the drain line",
    };
    format!(
        "{} of surface, {} of gravel, a standpipe of {} bore whose lip is {} above the bed's \
         floor, draining {target}{feed}",
        units.area(area),
        units.length(bed.media.depth),
        units.bore(bed.siphon.standpipe.bore),
        units.length(bed.siphon.standpipe.lip_height),
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
    let rows = Coefficient::ALL.into_iter().map(|which| {
        let band = report.system.coefficients[which];
        let (meaning, unit) = coefficient_meaning(which);
        let basis = if band == which.default_band() {
            which.basis()
        } else {
            "given in the scenario"
        };
        vec![
            Piece::Code(which.key().to_owned()).into(),
            meaning.into(),
            band.low.to_string().into(),
            band.nominal.to_string().into(),
            band.high.to_string().into(),
            unit.into(),
            basis.into(),
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

/// The water balance as a share of the water in the system.
pub(super) fn balance(report: &Report) -> String {
    let share = report.run.residual.abs() / report.run.water_at_start;
    let size = if share == 0.0 {
        "nothing".to_owned()
    } else if share.is_finite() {
        format!("a share of {share:.1e}")
    } else {
        "a share that is not known".to_owned()
    };
    format!(
        "Water balance: of {} at the start {size} appeared or vanished by rounding.",
        report.units.volume(report.run.water_at_start)
    )
}

/// How the figures were found.
pub(super) fn method(report: &Report) -> Section {
    let work = report.run.work;
    let text = said!(
        "ebbwright {}. Water volumes are followed through time by a Runge-Kutta method of \
         order 5 with step-size control; every change of a siphon, a pump or a level switch is \
         located in time, none is stepped over. {} steps, {} evaluations, {} events. The same \
         scenario gives the same figures every time. `levels.csv` holds levels and flows over \
         time, less the rows that lie within 0.2 mm and 0.5 % on straight lines between the \
         others; `result.json` holds all figures in SI units.",
        env!("CARGO_PKG_VERSION"),
        work.steps.to_string(),
        work.evaluations.to_string(),
        work.events.to_string()
    );
    Section::new("How it was computed")
        .at(Place::Back)
        .on_page()
        .with(Block::Sentence(text))
}
