//! Every figure of `vary` under its key.

use crate::answer::vary::random::warns;
use crate::answer::vary::{RandomReport, SweepReport, keys};
use crate::answer::{At, Figure, status_key};
use crate::report::{regime_key, unit_symbol};
use crate::study::vary::random::CheckChance;
use crate::study::vary::statistics::Share;
use crate::study::vary::sweep::SweepPoint;

impl RandomReport<'_> {
    /// All figures but the notes.
    pub(super) fn all(&self) -> Vec<Figure> {
        let (at, found) = (At::top(self.units), self.found);
        let of = &found.tolerances;
        let tolerances = at.part("tolerances");
        let mut all = vec![
            at.word(&keys::KIND, "random"),
            at.word(&keys::DESIGN, "latin-hypercube"),
            at.count(&keys::SEED, found.seed),
            at.count(&keys::DRAWS, found.draws.len()),
            at.count(&keys::INPUT_COUNT, found.inputs.len()),
            tolerances.figure(&keys::TAPE, of.tape),
            tolerances.figure(&keys::VOID, of.void),
            tolerances.figure(&keys::PUMP, of.pump),
            tolerances.figure(&keys::BORE, of.bore),
            tolerances.flag(&keys::COEFFICIENTS, of.coefficients),
            at.count(&keys::WITHOUT_ANSWER, found.unanswered().0),
        ];
        all.extend(share(&at.part("none_fails"), &found.none_fails));
        all.extend(share(&at.part("all_pass"), &found.all_pass));
        for (i, input) in found.inputs.iter().enumerate() {
            let at = at.item("inputs", i);
            all.push(at.word(&keys::INPUT_NAME, input.name.as_str()));
            all.push(at.word(&keys::INPUT_UNIT, input.unit));
            all.push(at.figure(&keys::INPUT_LOW, input.low));
            all.push(at.figure(&keys::INPUT_HIGH, input.high));
        }
        let checks = found.checks.iter().enumerate();
        all.extend(checks.flat_map(|(k, check)| self.check(&at.item("checks", k), check)));
        all
    }

    fn check(&self, at: &At, check: &CheckChance) -> Vec<Figure> {
        let [margin_5, margin_50, margin_95] = check.margins;
        let mut all = vec![
            at.word(&keys::ID, check.name.id.key()),
            at.word(&keys::SUBJECT, check.name.subject.as_str()),
            at.word(&keys::MARGIN_UNIT, check.unit.symbol()),
            at.figure(&keys::MARGIN_5, margin_5),
            at.figure(&keys::MARGIN_50, margin_50),
            at.figure(&keys::MARGIN_95, margin_95),
            at.figure(&keys::NOISE, check.noise),
            at.figure(&keys::NOISE_OF_ALL, check.noise_of_all),
        ];
        all.extend(share(&at.part("passes"), &check.passes));
        all.extend(share(&at.part("warns"), &warns(check)));
        all.extend(share(&at.part("fails"), &check.fails));
        all.extend(at.list(&keys::CORRELATIONS, check.influence.iter().copied()));
        for (i, lead) in self.found.leading(check).into_iter().enumerate() {
            let at = at.item("leading", i);
            all.push(at.word(&keys::LEAD_NAME, lead.name));
            all.push(at.figure(&keys::LEAD_SIZE, lead.size));
            all.extend(at.counts(&keys::LEAD_INPUTS, lead.inputs));
        }
        all
    }
}

fn share(at: &At, of: &Share) -> [Figure; 5] {
    [
        at.count(&keys::HITS, of.hits),
        at.count(&keys::OF, of.of),
        at.figure(&keys::SHARE, of.share),
        at.figure(&keys::LOW_95, of.low),
        at.figure(&keys::HIGH_95, of.high),
    ]
}

impl SweepReport<'_> {
    /// All figures.
    pub(super) fn all(&self) -> Vec<Figure> {
        let (at, found) = (At::top(self.units), self.found);
        let mut all = vec![
            at.word(&keys::SWEEP_KIND, "sweep"),
            at.word(&keys::BED, self.system.beds[found.bed].name.as_str()),
        ];
        for (i, axis) in found.axes.iter().enumerate() {
            let at = at.item("axes", i);
            all.push(at.word(&keys::QUANTITY, axis.quantity.key()));
            all.push(at.word(&keys::AXIS_UNIT, unit_symbol(axis.quantity)));
            all.push(at.figure(&keys::FROM, axis.from));
            all.push(at.figure(&keys::TO, axis.to));
            all.push(at.count(&keys::ALONG, found.points));
        }
        all.extend(self.counted());
        let points = found.cells.iter().enumerate();
        all.extend(points.flat_map(|(k, cell)| point(&at.item("points", k), cell)));
        all
    }
}

fn point(at: &At, cell: &SweepPoint) -> Vec<Figure> {
    let mut all = at.list(&keys::VALUES, cell.values.iter().copied());
    match &cell.reading {
        Ok(reading) => {
            all.extend([
                at.word(&keys::REGIME, regime_key(reading.regime)),
                at.figure(&keys::PEAK, reading.peak),
                at.figure(&keys::DRY_LAYER, reading.dry_layer),
                at.figure(&keys::INFLOW, reading.inflow),
                at.figure(&keys::SUMP_LOW, reading.sump.0),
                at.figure(&keys::SUMP_HIGH, reading.sump.1),
                at.word(&keys::VERDICT, status_key(reading.verdict)),
            ]);
            let period = reading.period;
            all.extend(period.map(|period| at.figure(&keys::PERIOD, period)));
            all.extend(at.words(&keys::FAILING, &reading.failing));
        }
        Err(why) => all.push(at.word(&keys::WHY_NONE, why.as_str())),
    }
    all
}
