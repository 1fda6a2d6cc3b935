//! Every figure of `fit` under its key.

use crate::answer::fit::paste::{name, value};
use crate::answer::fit::{FitReport, keys};
use crate::answer::{At, Figure, Key, Kind};
use crate::study::fit::{Compared, Estimate, Known, Next};
use crate::study::measure::Measurable;
use crate::units::table::Quantity;

impl FitReport<'_> {
    /// All figures.
    pub(super) fn all(&self) -> Vec<Figure> {
        let (at, fit, paste) = (At::top(self.units), self.fit, self.paste());
        let mut all = vec![at.count(&keys::MEASURED_COUNT, fit.compared.len())];
        let effective = fit.effective;
        all.extend(effective.map(|count| at.figure(&keys::EFFECTIVE, count)));
        for (i, one) in fit.estimates.iter().enumerate() {
            all.extend(self.unknown(&at.item("unknowns", i), one));
        }
        for (i, one) in fit.compared.iter().enumerate() {
            all.extend(self.measurement(&at.item("measurements", i), one));
        }
        all.extend(self.owner_data());
        all.extend(fit.at_odds.map(|row| at.count(&keys::AT_ODDS, row)));
        for (i, one) in fit.next.iter().enumerate() {
            all.extend(self.next(&at.item("next", i), one));
        }
        all.push(at.word(&keys::COEFFICIENTS, paste.coefficients));
        for (i, one) in paste.others.into_iter().enumerate() {
            let at = at.item("lines", i);
            all.push(at.word(&keys::PLACE, one.place));
            all.push(at.word(&keys::TEXT, one.line));
        }
        all
    }

    fn unknown(&self, at: &At, one: &Estimate) -> Vec<Figure> {
        let band = one.prior.scale.band();
        let mut all = vec![at.word(&keys::NAME, name(self.system, one.prior.unknown))];
        all.extend(at.list(&keys::CREDIBLE, [band.low, band.nominal, band.high]));
        all.extend([
            self.estimate(at, &keys::VALUE, one, one.value()),
            self.estimate(at, &keys::LOW, one, one.at(-1.0)),
            self.estimate(at, &keys::HIGH, one, one.at(1.0)),
            at.figure(&keys::SPREAD, one.spread),
            at.word(
                &keys::KNOWN,
                match one.known() {
                    Known::Determined => "determined",
                    Known::Narrowed => "narrowed",
                    Known::Cut => "cut",
                    Known::Open => "not-told",
                },
            ),
        ]);
        all.extend(at.list(&keys::SHARES, one.shares.iter().copied()));
        let blocked = self.blocked_share(one);
        all.extend(blocked.map(|share| at.figure(&keys::BLOCKED, share)));
        all
    }

    fn measurement(&self, at: &At, one: &Compared) -> Vec<Figure> {
        let what = one.measurement.what;
        let mut all = vec![
            at.word(&keys::BED, self.bed(one.measurement.bed)),
            at.word(&keys::WHAT, what.key()),
            reading(at, &keys::MEASURED, what, one.measurement.value),
            reading(at, &keys::SIGMA, what, one.measurement.sigma),
        ];
        let before = one.before.ok();
        all.extend(before.map(|value| reading(at, &keys::SCENARIO, what, value)));
        all.push(reading(at, &keys::FITTED, what, one.after));
        all.push(at.figure(&keys::PULL, one.pull));
        all
    }

    fn next(&self, at: &At, next: &Next) -> Vec<Figure> {
        let mut all = vec![
            at.word(&keys::NEXT_BED, self.bed(next.bed)),
            at.word(&keys::NEXT_WHAT, next.what.key()),
            reading(at, &keys::EXPECTED, next.what, next.expected),
            reading(at, &keys::NEXT_SIGMA, next.what, next.sigma),
            at.figure(&keys::GAIN, next.gain),
        ];
        all.extend(at.list(&keys::SPREADS, next.spreads.iter().copied()));
        all.extend(at.list(&keys::LEAVES, self.leaves(&next.spreads)));
        all
    }

    /// An estimate as people read it: ratios of flows as flows.
    pub(super) fn estimate(&self, at: &At, key: &Key, one: &Estimate, figure: f64) -> Figure {
        at.shown(key, figure, self.shown(one, figure))
    }

    /// A value of what an estimate is of, in words.
    pub(super) fn shown(&self, one: &Estimate, figure: f64) -> String {
        let of = (self.system, self.speed);
        value(of, one.prior.unknown, figure, self.units)
    }
}

/// A reading, of the kind that was measured.
pub(super) fn reading(at: &At, key: &Key, what: Measurable, value: f64) -> Figure {
    let kind = match what.quantity() {
        Quantity::Flow => Kind::Flow,
        Quantity::Time => Kind::Time,
        _ => Kind::Length,
    };
    Figure {
        kind,
        ..at.shown(key, value, kind.shown(value, at.units()))
    }
}
