//! Remarks on what `fit` found.

use crate::answer::fit::paste::name;
use crate::answer::fit::{FitReport, keys};
use crate::answer::{At, Text, said};
use crate::model::{Bed, Coefficient, DrainLosses, System};
use crate::numerics::in_order::InOrder;
use crate::study::fit::{Compared, Estimate, Fit, Known, Unknown};

use super::data::reading;

/// Shares below this are not named.
const SMALL_SHARE: f64 = 0.05;
/// An estimate this many deviations out of its credible middle deserves a remark.
const FAR_OUT: f64 = 2.0;
/// Measurements that take less than this share of the spreads away are not advised.
const SMALL_GAIN: f64 = 0.005;
/// Most measurements that are advised.
const MOST_ADVISED: usize = 3;

impl FitReport<'_> {
    pub(super) fn headline(&self) -> Text {
        let mut told = self.for_the_owner();
        if told.is_empty() || !self.fit.compared.is_empty() || !self.fit.seen.is_empty() {
            told.push(self.found());
        }
        Text::joined(told, " ")
    }

    /// What the figures determine.
    fn found(&self) -> Text {
        let count = self.fit.compared.len();
        if self.nothing_known() {
            let first = self.fit.next.first().map(|next| {
                let bed = self.bed(next.bed);
                format!(" Measure the {} of \"{bed}\" first.", next.what.words())
            });
            return said!("Nothing was measured, so nothing was learnt.{}", first);
        }
        if count == 0 && self.fit.seen.is_empty() {
            return "These facts leave the bands as they are.".into();
        }
        let figures = said!(
            "{} measurement{}",
            At::top(self.units).count(&keys::MEASURED_COUNT, count),
            if count == 1 { "" } else { "s" }
        );
        let estimates = self.fit.estimates.iter().enumerate();
        let known = estimates.filter(|(_, one)| one.known() == Known::Determined);
        let list: Vec<Text> = known
            .map(|(i, one)| {
                let at = self.at(i);
                let value = self.estimate(&at, &keys::VALUE, one, one.value());
                said!("{} {}", self.name(&at, one), value)
            })
            .collect();
        if list.is_empty() {
            return said!("From {}: no unknown is determined yet.", figures);
        }
        said!("From {}: {}.", figures, Text::joined(list, ", "))
    }

    pub(super) fn remarks(&self) -> Vec<Text> {
        let mut found = vec![Text::from(
            "\"not told\": the spread is about as wide as before; these measurements do not \
             determine it, and its value is the scenario's assumption.",
        )];
        for (i, one) in self.fit.estimates.iter().enumerate() {
            let at = self.at(i);
            if one.offset.abs() > FAR_OUT {
                let band = one.prior.scale.band();
                found.push(said!(
                    "{} lies outside the credible {} to {}: something else may be wrong.",
                    self.name(&at, one),
                    self.credible(&at, one, 0, band.low),
                    self.credible(&at, one, 2, band.high)
                ));
            }
            found.extend(self.blocked(&at, one));
        }
        found
    }

    /// A larger loss as a share of blocked slots.
    fn blocked(&self, at: &At, one: &Estimate) -> Option<Text> {
        let Unknown::TotalLoss(i) = one.prior.unknown else {
            return None;
        };
        let share = self.blocked_share(one)?;
        Some(said!(
            "The total loss of \"{}\" is what a clean siphon would have with {} of its slots' \
             area blocked.",
            self.bed(i),
            at.figure(&keys::BLOCKED, share)
        ))
    }

    pub(super) fn blocked_share(&self, one: &Estimate) -> Option<f64> {
        let Unknown::TotalLoss(i) = one.prior.unknown else {
            return None;
        };
        let bed = self.system.beds.get(i)?;
        let more = one.value() - one.prior.scale.band().nominal;
        if one.known() == Known::Open || more <= 0.0 {
            return None;
        }
        blocked_share(self.system, bed, more)
    }

    pub(super) fn figure_name(&self, one: &Compared) -> String {
        let what = one.measurement.what.words();
        if self.system.beds.len() > 1 {
            format!("{what}, {}", self.bed(one.measurement.bed))
        } else {
            what.to_owned()
        }
    }

    pub(super) fn agreement(&self) -> String {
        match self.fit.at_odds.and_then(|row| self.fit.compared.get(row)) {
            Some(one) => format!(
                "The {} is at odds with the other measurements and the credible bands. Measure it \
                 again: {}. If it stays, the system does something that this model with this \
                 scenario does not.",
                self.figure_name(one),
                self.units.words(one.measurement.what.how())
            ),
            None => {
                "All measurements agree with one another and with the model; \"off by\" counts \
                 in units of each one's own spread."
                    .to_owned()
            }
        }
    }

    pub(super) fn fixed(&self) -> Vec<Text> {
        let estimates = self.fit.estimates.iter().enumerate();
        let told = estimates.filter(|(_, one)| one.known() != Known::Open);
        told.map(|(i, one)| {
            let at = self.at(i);
            let mut shares: Vec<(usize, f64)> = one.shares.iter().copied().enumerate().collect();
            shares.retain(|(_, share)| *share >= SMALL_SHARE);
            shares.order_by(|a, b| b.1.total_cmp(&a.1));
            let list = shares.iter().filter_map(|&(k, share)| {
                let figure = self.figure_name(self.fit.compared.get(k)?);
                let share = at.named(&keys::SHARES, &k.to_string(), share);
                Some(said!("{} {}", figure, share))
            });
            let list = Text::joined(list, ", ");
            let list = if list.is_empty() {
                "what was seen".into()
            } else {
                list
            };
            said!("{}: {}", self.name(&at, one), list)
        })
        .collect()
    }

    pub(super) fn advice(&self) -> Vec<Text> {
        let next = self.fit.next.iter().enumerate();
        let told = next.filter(|(_, next)| next.gain > SMALL_GAIN);
        let told: Vec<Text> = told
            .take(MOST_ADVISED)
            .map(|(k, next)| {
                let at = At::top(self.units).item("next", k);
                said!(
                    "{} of \"{}\": {} (expected {} +- {}).{}",
                    next.what.words(),
                    at.word(&keys::NEXT_BED, self.bed(next.bed)),
                    self.units.words(next.what.how()),
                    reading(&at, &keys::EXPECTED, next.what, next.expected),
                    reading(&at, &keys::NEXT_SIGMA, next.what, next.sigma),
                    self.effect(&at, &next.spreads)
                )
            })
            .collect();
        if told.is_empty() {
            return vec!["Nothing more would tell much.".into()];
        }
        told
    }

    /// What a measurement leaves of the spread that each unknown has now.
    pub(super) fn leaves(&self, spreads: &[f64]) -> Vec<f64> {
        let estimates = self.fit.estimates.iter().zip(spreads);
        estimates
            .map(|(one, spread)| spread / one.straight.max(1e-9))
            .collect()
    }

    /// Which of the chief unknowns a measurement would narrow, most first.
    fn effect(&self, at: &At, spreads: &[f64]) -> Option<Text> {
        let left = self.leaves(spreads).into_iter().enumerate();
        let mut gains: Vec<(f64, Text)> = left
            .filter_map(|(k, left)| {
                let unknown = self.fit.estimates.get(k)?.prior.unknown;
                let figure = at.named(&keys::LEAVES, &k.to_string(), left);
                let told = said!("{} to {}", name(self.system, unknown), figure);
                (unknown.is_headline() && left < 0.95).then_some((left, told))
            })
            .collect();
        gains.order_by(|a, b| a.0.total_cmp(&b.0));
        let list = Text::joined(gains.into_iter().map(|(_, text)| text), ", ");
        (!list.is_empty()).then(|| said!(" It would narrow {} of its spread.", list))
    }
}

/// Share of the slots' area whose blocking adds `more` to the loss coefficient; `None`
/// where one measured number stands for all losses.
fn blocked_share(system: &System, bed: &Bed, more: f64) -> Option<f64> {
    if matches!(bed.siphon.drain.losses, DrainLosses::Total { .. }) {
        return None;
    }
    let area = bed.siphon.standpipe.area();
    let orifice = system.coefficients[Coefficient::SlotOrifice].nominal;
    let clean = (area / (orifice * bed.siphon.bell.slots.area())).powi(2);
    Some(1.0 - (clean / (clean + more)).sqrt())
}

/// With fewer draws that count the ends of an interval are rough.
const FEW: f64 = 100.0;

pub(super) fn trust(fit: &Fit, top: &At) -> Vec<Text> {
    const STRAIGHT: &str = "come from a straight line through the fit. They hold if the model is \
         right, the measurements are independent and no bed dribbles for long before it starts; \
         where one does, its start flow may lie farther off than stated.";
    let spreads = match fit.effective {
        Some(count) if count < FEW => said!(
            "Spreads come from simulating sets of unknowns, each counted by how well it explains \
             the measurements; only about {} of them do, so take the spreads as rough and \
             look at the measurement that fits worst.",
            top.shown(&keys::EFFECTIVE, count, format!("{count:.0}"))
        ),
        Some(_) => {
            "Spreads come from simulating hundreds of sets of unknowns, each counted by how \
             well it explains the measurements; so they may reach farther to one side. They hold \
             if the model is right and the measurements are independent."
                .into()
        }
        None if fit.compared.is_empty() && fit.seen.is_empty() && fit.facts.is_empty() => {
            "Spreads are those of the credible bands: no measurement narrows them yet.".into()
        }
        None if fit.compared.is_empty() && fit.seen.is_empty() => {
            "What facts leave is what explains them and lies within the credible bands; over random \
             beds the truth lay inside as often as DEVELOPERS.md says. Of a band that is cut nothing \
             is said to lie in its middle."
                .into()
        }
        None if fit.system.beds.len() > 1 => said!(
            "With several beds the spreads are widened as simulated pairs of beds taught, and else {} \
             DEVELOPERS.md says how often they hold.",
            STRAIGHT
        ),
        None => {
            said!("Hardly any set of unknowns does what was measured, so the spreads {}", STRAIGHT)
        }
    };
    vec![
        spreads,
        "Credible bands come from publications or, for void (30 % either way), loss and pump (speed \
         25 % below to 15 % above), from common practice without a source."
            .into(),
        "The siphon's few seconds of ragged break are not in the model; a level left is best read \
         at the moment the siphon stops."
            .into(),
    ]
}
