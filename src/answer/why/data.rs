//! Every figure of `why` under its key.

use crate::answer::why::cure::fill_of;
use crate::answer::why::{WhyReport, keys};
use crate::answer::{At, Figure, Key, Kind};
use crate::report::regime_key;
use crate::study::why::{
    ALL_CLEAR, BedSight, Cause, Complaint, Diagnosis, Doubt, Doubtful, Figure as Reads, Misfed,
    Outcome, Scale, Shows, Suspect,
};

impl WhyReport<'_> {
    /// All figures.
    pub(super) fn all(&self) -> Vec<Figure> {
        let (at, found) = (self.top(), self.diagnosis);
        let bed = found.question.bed;
        let mut all = vec![at.word(&keys::BED, self.bed_name(bed))];
        let symptom = found.question.symptom;
        all.extend(symptom.map(|symptom| at.word(&keys::SYMPTOM, symptom.key())));
        for (i, one) in found.question.readings.iter().enumerate() {
            let at = at.item("measured", i);
            all.push(at.word(&keys::FIGURE, figure_key(one.figure)));
            all.extend(self.of_bed(&at, &keys::OF_BED, one.figure, one.bed));
            all.push(reading(&at, &keys::VALUE, one.figure, one.value));
            all.push(reading(&at, &keys::SIGMA, one.figure, one.sigma));
        }
        all.extend(shows(&at.part("as_in_file"), &found.promised.beds[bed]));
        all.extend(self.others_get());
        for (k, one) in found.suspects.iter().enumerate() {
            all.extend(self.suspect_data(&at.item("suspects", k), one));
        }
        for (k, fact) in found.question.facts.iter().enumerate() {
            let at = at.item("facts", k);
            all.extend([
                at.word(&keys::FACT_BED, self.bed_name(fact.bed)),
                at.word(&keys::FACT_WHAT, fact.kind.key()),
                at.figure(&keys::FACT_FLOW, fact.flow),
                at.flag(&keys::FACT_DISAGREES, found.cut.calls_wrong(k)),
            ]);
        }
        all.extend(
            found
                .doubt
                .iter()
                .flat_map(|doubt| doubted(&at.part("doubt"), doubt)),
        );
        if found.runs_dry() {
            let at = at.part(keys::DRY_PART.name);
            all.push(at.figure(&keys::DRY_WATER, self.system.sump.start_level));
            all.extend(fill_of(self).map(|level| at.figure(&keys::DRY_FILL, level)));
        }
        all.extend(found.misfed.iter().flat_map(|one| misfed(&at, one)));
        all.extend([
            at.count(&keys::READING_COUNT, found.question.readings.len()),
            at.figure(&keys::LARGEST, most(found)),
            at.figure(&keys::ALL_CLEAR_SHARE, ALL_CLEAR),
            at.figure(&keys::OTHER, found.other),
        ]);
        for (k, next) in found.next.iter().enumerate() {
            let at = at.item("measure_next", k);
            all.push(at.word(&keys::NEXT_FIGURE, figure_key(next.figure)));
            all.extend(self.of_bed(&at, &keys::NEXT_BED, next.figure, next.bed));
            all.push(at.figure(&keys::WORTH, next.worth));
            for (i, &(outcome, value)) in next.expected.iter().enumerate() {
                let at = at.item("expected", i);
                all.push(at.word(&keys::EXPECTED_BY, outcome.key()));
                all.push(reading(&at, &keys::EXPECTED_VALUE, next.figure, value));
            }
        }
        all
    }

    /// What the other beds get as described.
    pub(super) fn others_get(&self) -> Vec<Figure> {
        let found = self.diagnosis;
        let beds = found.promised.beds.iter().enumerate();
        let others = beds.filter(|(i, _)| *i != found.question.bed);
        let flows = others.map(|(_, bed)| bed.inflow);
        self.top().list(&keys::OTHERS_GET, flows)
    }

    /// The bed's name, of a figure of one bed.
    fn of_bed(&self, at: &At, key: &Key, figure: Reads, bed: usize) -> Option<Figure> {
        let bed = self.system.beds.get(bed)?;
        figure.of_a_bed().then(|| at.word(key, bed.name.as_str()))
    }

    fn suspect_data(&self, at: &At, suspect: &Suspect) -> Vec<Figure> {
        let (question, mut all) = (&self.diagnosis.question, Vec::new());
        all.push(at.word(&keys::CAUSE, suspect.outcome.key()));
        all.push(at.figure(&keys::SHARE, suspect.share));
        if let Some((best, (low, high))) = suspect.severity {
            let at = at.part("severity");
            all.push(at.figure(&keys::BEST, best));
            all.push(at.figure(&keys::LEAST, low));
            all.push(at.figure(&keys::MOST, high));
        }
        for (i, one) in suspect.evidence.iter().enumerate() {
            let at = at.item("evidence", i);
            let figure = question.readings[one.reading].figure;
            let value = |key, value| reading(&at, key, figure, value);
            all.push(at.count(&keys::READING_INDEX, one.reading));
            let read = &question.readings[one.reading];
            let planned = read.figure.in_sight(&self.diagnosis.promised, read.bed);
            all.extend(planned.map(|planned| value(&keys::AS_PLANNED, planned)));
            all.push(value(&keys::EXPECTED, one.expected));
            all.push(value(&keys::LOW, one.allowed.0));
            all.push(value(&keys::HIGH, one.allowed.1));
            all.push(at.figure(&keys::OFF, one.off));
        }
        if let Some(shown) = &suspect.shows {
            all.extend(shows(&at.part("shows"), &shown.sight.beds[question.bed]));
            all.push(complaint(at, shown.complaint));
            all.extend(drawn_worse(at, shown));
        }
        if let Outcome::Cause(cause) = suspect.outcome {
            all.push(at.word(&keys::CHECK, cause.entry().check));
            all.push(at.word(&keys::FIX, cause.entry().fix));
            all.extend(described_as(self, at, cause));
        }
        all.extend(suspect.aim.map(|flow| at.figure(&keys::AIM, flow)));
        if let Some(remedy) = &suspect.remedy {
            all.extend(shows(&at.part("after"), &remedy.after.beds[question.bed]));
        }
        all
    }
}

/// What a check is held against, as it is described: the figure it compares with.
pub(super) fn described_as(answer: &WhyReport, at: &At, cause: Cause) -> Option<Figure> {
    let system = answer.system;
    let bed = system.beds.get(answer.diagnosis.question.bed)?;
    Some(match cause {
        Cause::LessVoid | Cause::MoreVoid => at.figure(&keys::DESCRIBED_VOID, bed.media.void),
        Cause::TooLittleDrop => {
            let drop = bed.lip_level() - bed.siphon.drain.outlet;
            at.figure(&keys::DESCRIBED_DROP, drop)
        }
        Cause::LipLow => at.figure(&keys::DESCRIBED_LIP, bed.siphon.standpipe.lip_height),
        Cause::WaterLost | Cause::TooMuchWater => {
            at.figure(&keys::DESCRIBED_WATER, system.sump.start_level)
        }
        _ => return None,
    })
}

/// Whether what a cause shows is what is complained of.
pub(super) fn complaint(at: &At, complaint: Complaint) -> Figure {
    let word = match complaint {
        Complaint::Expected => "expected",
        Complaint::WithBadLuck => "with-bad-luck",
        Complaint::NotShown => "not-shown",
    };
    at.word(&keys::SHOWN_COMPLAINT, word)
}

/// How bad it has to be before a usual siphon shows what is complained of, where what explains best
/// takes bad luck.
pub(super) fn drawn_worse(at: &At, shown: &Shows) -> Option<Figure> {
    let unlucky = shown.complaint == Complaint::WithBadLuck;
    let severity = shown.drawn.filter(|_| unlucky)?;
    Some(at.shown(&keys::DRAWN, severity, format!("{:.0} %", 100.0 * severity)))
}

/// Where a flow that was read has its place.
pub(super) const fn misfed_part(fails: Doubtful) -> &'static str {
    match fails {
        Doubtful::Start => keys::STARVED_PART.name,
        Doubtful::Break => keys::OVERFED_PART.name,
    }
}

fn misfed(at: &At, found: &Misfed) -> Vec<Figure> {
    let at = at.part(misfed_part(found.fails));
    match found.fails {
        Doubtful::Start => vec![
            at.figure(&keys::STARVED_INFLOW, found.inflow),
            at.figure(&keys::STARVED_LOW, found.edge.low),
            at.figure(&keys::STARVED_HIGH, found.edge.high),
            at.flag(&keys::STARVED_BUILT, found.as_described),
        ],
        Doubtful::Break => vec![
            at.figure(&keys::OVERFED_INFLOW, found.inflow),
            at.figure(&keys::OVERFED_LOW, found.edge.low),
            at.figure(&keys::OVERFED_USUAL, found.edge.nominal),
            at.figure(&keys::OVERFED_HIGH, found.edge.high),
            at.flag(&keys::OVERFED_BUILT, found.as_described),
        ],
    }
}

fn doubted(at: &At, doubt: &Doubt) -> [Figure; 4] {
    let of = match doubt.what {
        Doubtful::Start => "start",
        Doubtful::Break => "break",
    };
    [
        at.word(&keys::DOUBT_OF, of),
        at.figure(&keys::DOUBT_INFLOW, doubt.inflow),
        at.figure(&keys::DOUBT_CERTAIN, doubt.certain),
        at.figure(&keys::DOUBT_TO_TRY, doubt.to_try),
    ]
}

/// The largest share in the catalogue.
pub(super) fn most(diagnosis: &Diagnosis) -> f64 {
    let shares = diagnosis.suspects.iter().map(|suspect| suspect.share);
    shares.fold(0.0, f64::max)
}

/// A reading, of the kind that its figure has.
pub(super) fn reading(at: &At, key: &Key, figure: Reads, value: f64) -> Figure {
    let kind = kind(figure);
    Figure {
        kind,
        ..at.shown(key, value, kind.shown(value, at.units()))
    }
}

pub(super) const fn kind(figure: Reads) -> Kind {
    match figure.scale() {
        Scale::Flow => Kind::Flow,
        Scale::Time => Kind::Time,
        Scale::Level => Kind::Length,
    }
}

fn shows(at: &At, bed: &BedSight) -> Vec<Figure> {
    let mut all = vec![at.word(&keys::REGIME_THERE, regime_key(bed.regime))];
    all.extend(
        [
            (&keys::INFLOW, Some(bed.inflow)),
            (&keys::FILL, bed.fill),
            (&keys::DRAIN, bed.drain),
            (&keys::PERIOD, bed.period),
            (&keys::HIGHEST, Some(bed.peak)),
            (&keys::LEFT, bed.left),
            (&keys::STANDING, bed.standing),
        ]
        .into_iter()
        .filter_map(|(key, value)| value.map(|value| at.figure(key, value))),
    );
    all
}

/// Fixed key of a figure, its unit at the end.
fn figure_key(figure: Reads) -> String {
    let name = figure.key().replace('-', "_");
    let unit = match figure.scale() {
        Scale::Flow => "m3_s",
        Scale::Time => "s",
        Scale::Level => "m",
    };
    format!("{name}_{unit}")
}
