//! What `fit` found, in sections for the terminal and the page alike.

mod json;
mod paste;

pub use paste::{Paste, PasteLine, paste};

use crate::model::{Bed, Coefficient, DrainLosses, System};
use crate::report::Picture;
use crate::report::text::Look;
use crate::report::window_page::{Block, Section, as_markdown, as_text};
use crate::study::fit::{Compared, Estimate, Fit, Known, Next, Unknown};
use crate::units::UnitSystem;
use paste::{name, value};

/// Everything there is to say about a fit.
#[derive(Debug, Clone, Copy)]
pub struct FitReport<'a> {
    /// The system as described.
    pub system: &'a System,
    /// What was found.
    pub fit: &'a Fit,
    /// Speed that the scenario's `[pump]` has now.
    pub speed: f64,
    /// Units of text and page; JSON is SI.
    pub units: UnitSystem,
}

/// Shares below this are not named.
const SMALL_SHARE: f64 = 0.05;
/// An estimate this many deviations out of its credible middle deserves a remark.
const FAR_OUT: f64 = 2.0;

impl FitReport<'_> {
    /// Estimates, comparison, what is open and what to measure next, as a terminal shows them.
    pub fn text(&self, look: Look) -> String {
        as_text(&self.system.title, &self.headline(), &self.sections(), look)
    }

    /// The same as a page in Markdown. `source` is the scenario's file name; pictures are
    /// linked, not copied.
    pub fn markdown(&self, source: &str, pictures: &[Picture]) -> String {
        let opening = format!(
            "This page says what measurements on the running system tell about the figures that \
             `{}` could only assume.",
            source.replace('`', "'")
        );
        as_markdown(
            &self.system.title,
            &[opening, self.headline()],
            &self.sections(),
            pictures,
        )
    }

    /// The lines to put into the scenario.
    pub fn paste(&self) -> Paste {
        paste(self.system, self.fit, self.speed)
    }

    fn headline(&self) -> String {
        let count = self.fit.compared.len();
        if count == 0 && self.fit.seen.is_empty() {
            return match self.fit.next.first() {
                Some(next) => format!(
                    "Nothing was measured, so nothing was learnt. Measure the {} of \"{}\" first.",
                    next.what.words(),
                    self.bed(next.bed)
                ),
                None => "Nothing was measured, so nothing was learnt.".to_owned(),
            };
        }
        let known: Vec<&Estimate> = self
            .fit
            .estimates
            .iter()
            .filter(|one| one.known() == Known::Determined)
            .collect();
        let figures = if count == 1 {
            "1 measurement".to_owned()
        } else {
            format!("{count} measurements")
        };
        if known.is_empty() {
            return format!("From {figures}: no unknown is determined yet.");
        }
        let list: Vec<String> = known
            .iter()
            .map(|one| {
                format!(
                    "{} {}",
                    name(self.system, one.prior.unknown),
                    self.value(one, one.value())
                )
            })
            .collect();
        format!("From {figures}: {}.", list.join(", "))
    }

    fn bed(&self, i: usize) -> &str {
        self.system.beds.get(i).map_or("?", |bed| &bed.name)
    }

    fn value(&self, one: &Estimate, figure: f64) -> String {
        value(self.system, one.prior.unknown, figure, self.units)
    }

    fn sections(&self) -> Vec<Section> {
        let mut sections = vec![Section {
            heading: "What the measurements say".to_owned(),
            blocks: vec![self.estimates(), Block::List(self.remarks())],
        }];
        if !self.fit.compared.is_empty() {
            sections.push(Section {
                heading: "Measured against simulated".to_owned(),
                blocks: vec![self.comparison(), Block::Paragraph(self.agreement())],
            });
            let fixed = self.fixed();
            if !fixed.is_empty() {
                sections.push(Section {
                    heading: "Which measurement fixed what".to_owned(),
                    blocks: vec![Block::List(fixed)],
                });
            }
        }
        sections.push(Section {
            heading: "What to measure next".to_owned(),
            blocks: vec![Block::List(self.advice())],
        });
        sections.extend(self.lines());
        sections.push(Section {
            heading: "How far to trust this".to_owned(),
            blocks: vec![Block::List(trust(self.fit))],
        });
        sections
    }

    fn estimates(&self) -> Block {
        let head = [
            "unknown",
            "scenario",
            "fitted",
            "2 in 3 within",
            "how known",
        ];
        let rows = self
            .fit
            .estimates
            .iter()
            .map(|one| {
                vec![
                    name(self.system, one.prior.unknown),
                    self.value(one, one.prior.scale.band().nominal),
                    self.value(one, one.value()),
                    format!(
                        "{} to {}",
                        self.value(one, one.at(-1.0)),
                        self.value(one, one.at(1.0))
                    ),
                    match one.known() {
                        Known::Determined => "determined",
                        Known::Narrowed => "narrowed",
                        Known::Open => "not told",
                    }
                    .to_owned(),
                ]
            })
            .collect();
        Block::Table {
            head: head.map(str::to_owned).to_vec(),
            rows,
        }
    }

    fn remarks(&self) -> Vec<String> {
        let mut found = vec![
            "\"not told\": the spread is about as wide as before; these measurements do not \
             determine it, and its value is the scenario's assumption."
                .to_owned(),
        ];
        for one in &self.fit.estimates {
            if one.offset.abs() > FAR_OUT {
                let band = one.prior.scale.band();
                found.push(format!(
                    "{} lies outside the credible {} to {}: something else may be wrong.",
                    name(self.system, one.prior.unknown),
                    self.value(one, band.low),
                    self.value(one, band.high)
                ));
            }
            found.extend(self.blocked(one));
        }
        found
    }

    /// A larger loss as a share of blocked slots.
    fn blocked(&self, one: &Estimate) -> Option<String> {
        let Unknown::TotalLoss(i) = one.prior.unknown else {
            return None;
        };
        let bed = self.system.beds.get(i)?;
        let more = one.value() - one.prior.scale.band().nominal;
        if one.known() == Known::Open || more <= 0.0 {
            return None;
        }
        let share = blocked_share(self.system, bed, more)?;
        Some(format!(
            "The total loss of \"{}\" is what a clean siphon would have with {} of its slots' \
             area blocked.",
            bed.name,
            self.units.percent(share)
        ))
    }

    fn comparison(&self) -> Block {
        let head = ["measured", "value", "+-", "scenario", "fitted", "off by"];
        let rows = self
            .fit
            .compared
            .iter()
            .map(|one| {
                let what = one.measurement.what;
                let text = |value| what.text(value, self.units);
                vec![
                    self.figure_name(one),
                    text(one.measurement.value),
                    text(one.measurement.sigma),
                    one.before.map_or_else(|_| "none".to_owned(), text),
                    text(one.after),
                    format!("{:+.1} +-", one.pull + 0.0),
                ]
            })
            .collect();
        Block::Table {
            head: head.map(str::to_owned).to_vec(),
            rows,
        }
    }

    fn figure_name(&self, one: &Compared) -> String {
        let what = one.measurement.what.words();
        if self.system.beds.len() > 1 {
            format!("{what}, {}", self.bed(one.measurement.bed))
        } else {
            what.to_owned()
        }
    }

    fn agreement(&self) -> String {
        match self.fit.at_odds.and_then(|row| self.fit.compared.get(row)) {
            Some(one) => format!(
                "The {} is at odds with the other measurements and the credible bands. Measure it \
                 again: {}. If it stays, the system does something that this model with this \
                 scenario does not.",
                self.figure_name(one),
                one.measurement.what.how()
            ),
            None => {
                "All measurements agree with one another and with the model; \"off by\" counts \
                     in units of each one's own spread."
                    .to_owned()
            }
        }
    }

    fn fixed(&self) -> Vec<String> {
        self.fit
            .estimates
            .iter()
            .filter(|one| one.known() != Known::Open)
            .map(|one| {
                let mut shares: Vec<(f64, String)> = one
                    .shares
                    .iter()
                    .zip(&self.fit.compared)
                    .filter(|(share, _)| **share >= SMALL_SHARE)
                    .map(|(share, figure)| (*share, self.figure_name(figure)))
                    .collect();
                shares.sort_by(|a, b| b.0.total_cmp(&a.0));
                let list: Vec<String> = shares
                    .iter()
                    .map(|(share, what)| format!("{what} {}", self.units.percent(*share)))
                    .collect();
                let list = if list.is_empty() {
                    "what was seen".to_owned()
                } else {
                    list.join(", ")
                };
                format!("{}: {list}", name(self.system, one.prior.unknown))
            })
            .collect()
    }

    fn advice(&self) -> Vec<String> {
        let told: Vec<&Next> = self
            .fit
            .next
            .iter()
            .filter(|next| next.gain > 0.005)
            .take(3)
            .collect();
        if told.is_empty() {
            return vec!["Nothing more would tell much.".to_owned()];
        }
        told.iter()
            .map(|next| {
                let mut gains: Vec<(f64, String)> = self
                    .fit
                    .estimates
                    .iter()
                    .zip(&next.spreads)
                    .filter(|(one, _)| one.prior.unknown.is_headline())
                    .map(|(one, spread)| {
                        let left = spread / one.straight.max(1e-9);
                        let name = name(self.system, one.prior.unknown);
                        (left, format!("{name} to {}", self.units.percent(left)))
                    })
                    .filter(|(left, _)| *left < 0.95)
                    .collect();
                gains.sort_by(|a, b| a.0.total_cmp(&b.0));
                let list: Vec<String> = gains.into_iter().map(|(_, text)| text).collect();
                let effect = if list.is_empty() {
                    String::new()
                } else {
                    format!(" It would narrow {} of its spread.", list.join(", "))
                };
                format!(
                    "{} of \"{}\": {} (expected {} +- {}).{effect}",
                    next.what.words(),
                    self.bed(next.bed),
                    next.what.how(),
                    next.what.text(next.expected, self.units),
                    next.what.text(next.sigma, self.units)
                )
            })
            .collect()
    }

    fn lines(&self) -> Option<Section> {
        let paste = self.paste();
        let mut blocks = Vec::new();
        if !paste.coefficients.is_empty() {
            blocks.push(Block::Paragraph(
                "Put this into the scenario; where it has [coefficients] already, in place of the \
                 lines of the same name:"
                    .to_owned(),
            ));
            blocks.push(Block::Code(paste.coefficients));
        }
        for other in paste.others {
            blocks.push(Block::Paragraph(format!("In {}:", other.place)));
            blocks.push(Block::Code(format!("{}\n", other.line)));
        }
        (!blocks.is_empty()).then(|| Section {
            heading: "For your scenario".to_owned(),
            blocks,
        })
    }
}

/// Share of the slots' area whose blocking adds `more` to the loss coefficient; `None`
/// where one measured number stands for all losses.
fn blocked_share(system: &System, bed: &Bed, more: f64) -> Option<f64> {
    if matches!(bed.siphon.drain.losses, DrainLosses::Total { .. }) {
        return None;
    }
    let bore = bed.siphon.standpipe.bore;
    let area = std::f64::consts::FRAC_PI_4 * bore * bore;
    let orifice = system.coefficients[Coefficient::SlotOrifice].nominal;
    let clean = (area / (orifice * bed.siphon.bell.slots.area())).powi(2);
    Some(1.0 - (clean / (clean + more)).sqrt())
}

/// With fewer draws that count the ends of an interval are rough.
const FEW: f64 = 100.0;

fn trust(fit: &Fit) -> Vec<String> {
    const STRAIGHT: &str = "come from a straight line through the fit. They hold if the model is \
         right, the measurements are independent and no bed dribbles for long before it starts; \
         where one does, its start flow may lie farther off than stated.";
    let spreads = match fit.effective {
        Some(count) if count < FEW => format!(
            "Spreads come from simulating sets of unknowns, each counted by how well it explains \
             the measurements; only about {count:.0} of them do, so take the spreads as rough and \
             look at the measurement that fits worst."
        ),
        Some(_) => {
            "Spreads come from simulating hundreds of sets of unknowns, each counted by how \
             well it explains the measurements; so they may reach farther to one side. They hold \
             if the model is right and the measurements are independent."
                .to_owned()
        }
        None if fit.compared.is_empty() && fit.seen.is_empty() => {
            "Spreads are those of the credible bands: no measurement narrows them yet.".to_owned()
        }
        None if fit.system.beds.len() > 1 => format!("With several beds the spreads {STRAIGHT}"),
        None => {
            format!("Hardly any set of unknowns does what was measured, so the spreads {STRAIGHT}")
        }
    };
    vec![
        spreads,
        "Credible bands come from publications or, for void (30 % either way), loss and pump (speed \
         25 % below to 15 % above), from common practice without a source."
            .to_owned(),
        "The siphon's few seconds of ragged break are not in the model; a level left is best read \
         at the moment the siphon stops."
            .to_owned(),
    ]
}
