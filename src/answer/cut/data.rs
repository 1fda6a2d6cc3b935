//! Every figure of `cut` under its key.

use crate::answer::cut::{CutReport, keys};
use crate::answer::{At, Figure, Text};
use crate::assessment::Status;
use crate::report::{regime_key, verdict_key};
use crate::study::cut::{BedCut, Bound, Cut, CutList, Rounded, Stand};

impl CutReport<'_> {
    /// All figures that are not of one bed.
    pub(super) fn whole(&self) -> Vec<Figure> {
        let at = At::top(self.units);
        let mut all = vec![
            at.figure(&keys::WANTED, self.cuts.wanted),
            at.count(&keys::SIMULATIONS, self.cuts.simulations),
        ];
        let checks = self.cuts.assessment.checks.iter();
        let failing = checks.filter(|check| check.status == Status::Fail);
        for (k, check) in failing.enumerate() {
            let at = at.item("still_failing", k);
            all.push(at.word(&keys::ID, check.id.key()));
            all.push(at.word(&keys::SUBJECT, check.subject.name(self.system)));
        }
        all
    }

    /// All figures of one bed.
    pub(super) fn of_bed(&self, found: &BedCut) -> Vec<Figure> {
        let at = self.at(found);
        let mut all = vec![
            at.word(&keys::NAME, self.bed(found).name.as_str()),
            at.figure(&keys::ALLOWANCE, found.allowance),
        ];
        all.extend(stand(&at.part("present"), &found.present));
        all.push(at.figure(&keys::NOW, self.now(found)));
        // Of a bed without a length its finding says all.
        if found.can_stay() {
            all.push(at.flag(&keys::LEAVE, true));
        }
        if let Ok(cut) = &found.answer {
            all.push(at.flag(&keys::LEAVE, cut.is_as_good(self.now(found))));
            let at = at.part("cut");
            all.extend(cut_to(&at, cut));
            all.extend(self.of_rounding(found, &cut.millimetre, &at.part("millimetre")));
            all.extend(self.of_rounding(found, &cut.sixteenth, &at.part("sixteenth_inch")));
        }
        all
    }

    /// What is told of one rounding, whichever the reader's tape has.
    fn of_rounding(&self, found: &BedCut, rounded: &Rounded, at: &At) -> Vec<Figure> {
        let longer = rounded.stand.length - self.now(found);
        let mut all = vec![
            at.figure(&keys::LONGER, longer),
            at.word(&keys::IN_SCENARIO, self.lines(&rounded.bed)),
        ];
        let pieces = self.told_pieces(found, rounded, at);
        let texts = pieces.iter().flatten();
        all.extend(texts.flat_map(Text::figures).cloned());
        all
    }
}

fn cut_to(at: &At, cut: &Cut) -> Vec<Figure> {
    let mut all = stand(&at.part("computed"), &cut.exact).to_vec();
    all.extend(rounded(&at.part("millimetre"), &cut.millimetre));
    all.extend(rounded(&at.part("sixteenth_inch"), &cut.sixteenth));
    let band = at.part("band");
    let shortest = cut.band.shortest.iter();
    all.extend(shortest.flat_map(|end| bound(&band.part("shortest"), end)));
    all.extend(bound(&band.part("longest"), &cut.band.longest));
    all.extend([
        at.figure(&keys::START_HEAD, cut.start_head),
        at.figure(&keys::PEAK_SPREAD, cut.peak_spread),
        at.word(&keys::WILL_START, verdict_key(cut.will_start)),
        at.word(&keys::WILL_BREAK, verdict_key(cut.will_break)),
    ]);
    all
}

fn stand(at: &At, of: &Stand) -> [Figure; 3] {
    [
        at.figure(&keys::LENGTH, of.length),
        at.figure(&keys::PEAK_DEPTH, of.peak),
        at.figure(&keys::DRY_LAYER, of.dry_layer),
    ]
}

fn rounded(at: &At, of: &Rounded) -> Vec<Figure> {
    let mut all = stand(at, &of.stand).to_vec();
    all.push(at.figure(&keys::CLEARANCE, of.bed.siphon.bell.clearance));
    all.extend(pieces(&at.part("pieces"), &of.list));
    all
}

fn pieces(at: &At, list: &CutList) -> Vec<Figure> {
    let all = [
        (&keys::STANDPIPE, Some(list.standpipe)),
        (&keys::BELL, Some(list.bell)),
        (&keys::GUARD, list.guard),
        (&keys::AIR_TUBE, list.air_tube),
        (&keys::DOWN_LEG, Some(list.down_leg)),
        (&keys::LATERAL, list.lateral),
    ];
    all.into_iter()
        .filter_map(|(key, metres)| metres.map(|metres| at.figure(key, metres)))
        .collect()
}

fn bound(at: &At, of: &Bound) -> [Figure; 2] {
    [
        at.figure(&keys::BOUND_LENGTH, of.length),
        at.word(&keys::BOUND_REGIME, regime_key(of.regime)),
    ]
}
