//! Why each size is what it is, said of the system that was simulated at the end.

use super::text::{MARK, an_hour, long};
use crate::assessment::Why;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{Bed, Inlet, PumpSource, System};
use crate::scenario::guessed::PLANNED;
use crate::study::draft::{Facts, PumpFact, Sizes, SumpFact};
use crate::study::mend::Judged;
use crate::study::window::windows;
use crate::units::UnitSystem;
use crate::units::table::significant;

/// Blank between a number and its unit, where no line ends.
const BOUND: char = '\u{1}';
/// Width of a comment.
const WIDTH: usize = 96;

/// The text with every mark replaced by its reason.
pub(super) fn told(
    text: &str,
    facts: &Facts,
    sizes: &Sizes,
    system: &System,
    judged: &Judged,
) -> String {
    let teller = Teller {
        facts,
        sizes,
        system,
        judged,
        units: sizes.units,
    };
    let mut out = String::new();
    for line in text.lines() {
        match line.trim_start().strip_prefix(MARK) {
            Some(key) => {
                for paragraph in teller.reason(key.trim()) {
                    wrap(&mut out, &paragraph);
                }
            }
            None => {
                out.push_str(line);
                out.push('\n');
            }
        }
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
    out
}

/// `text` as comment lines; a first blank indents what follows.
fn wrap(out: &mut String, text: &str) {
    let indent = if text.starts_with(' ') { "#   " } else { "# " };
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.is_empty() && indent.len() + line.len() + 1 + word.len() > WIDTH {
            out.push_str(&format!("{indent}{line}\n"));
            line.clear();
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(&word.replace(BOUND, " "));
    }
    out.push_str(format!("{indent}{line}").trim_end());
    out.push('\n');
}

struct Teller<'t> {
    facts: &'t Facts,
    sizes: &'t Sizes,
    system: &'t System,
    judged: &'t Judged,
    units: UnitSystem,
}

impl Teller<'_> {
    fn reason(&self, key: &str) -> Vec<String> {
        if key == "facts" {
            return self.facts();
        }
        let one = match key {
            "vessel" => self.vessel(),
            "fill" => self.fill(),
            "overflow" => format!(
                "The overflow: a hole {} under the brim.",
                self.length(self.system.sump.top() - self.system.sump.overflow_level)
            ),
            "intake" => "The pump stands on the bottom; this much water must stay over its intake."
                .to_owned(),
            "pump" => self.pump(),
            "trunk" => format!(
                "From the pump up to the inlets and {} aside; at most about 1 m/s in it.",
                self.length(self.sizes.trunk.1 - self.sizes.inlet)
            ),
            "bypass" => "The pump gives more than the beds take: the rest goes back to the sump, \
                         so that the valves of the beds need not be all but shut."
                .to_owned(),
            "line" => format!(
                "One line for {} siphons, wide enough for all at once.",
                self.system.beds.len()
            ),
            "tank" | "stand" | "tank-overflow" | "tank-inlet" => self.tank(key),
            "line-outlet" => {
                "Its lower end opens over the sump's overflow, never under water.".to_owned()
            }
            _ => match self.system.beds.first() {
                Some(bed) => self.bed(key, bed),
                None => String::new(),
            },
        };
        vec![one]
    }

    fn bed(&self, key: &str, bed: &Bed) -> String {
        let siphon = &bed.siphon;
        match key {
            "floor" => format!(
                "Floor of the bed: {} over the siphon's outlet, so that it falls far enough to \
                 run full; the rim is then {} under the ceiling.",
                self.length(bed.floor - siphon.drain.outlet),
                self.length(self.sizes.ceiling - bed.rim_level())
            ),
            "bed" => "Inside; every bed is alike.".to_owned(),
            "gravel" => format!(
                "Gravel up to {} under the rim. void: what a bucket of it takes in water; assumed.",
                self.length(bed.rim_height - bed.media.depth)
            ),
            "guard" => "A pipe with slots round the bell keeps gravel out.".to_owned(),
            "inlet" => self.inlet(bed),
            "pipe" => self.pipe(bed),
            "lip" => self.lip(bed),
            "bell" => "Wide enough that water rises round the pipe without loss; the cap stands \
                       one bore over the lip."
                .to_owned(),
            "slots" => self.slots(bed),
            "drop" => format!(
                "Open end of the siphon's pipe, {}. length: along the pipe from the lip, \
                 standpipe included.",
                match self.system.drain_line {
                    Some(_) => "over the line at its upper end",
                    None => "over the sump's overflow",
                }
            ),
            _ => String::new(),
        }
    }

    fn facts(&self) -> Vec<String> {
        let assumed = given_or;
        let facts = self.facts;
        let [long, wide, deep] = self.sizes.bed.map(|side| self.long(side));
        let count = self.sizes.beds;
        vec![
            format!(
                "{} with siphons, sized by `ebbwright new` from:",
                counted(count, "bed")
            ),
            format!(
                " beds: {count} ({})",
                if facts.beds.is_some() {
                    "given"
                } else {
                    "as many as fit, assumed"
                }
            ),
            format!(
                " each {long} x {wide} x {deep} inside ({})",
                assumed(facts.bed.is_some())
            ),
            format!(
                " ceiling: {} ({})",
                self.long(self.sizes.ceiling),
                assumed(facts.ceiling.is_some())
            ),
            format!(" sump: {}", self.sump_words(assumed(facts.sump.is_some()))),
            format!(
                " pump: {} ({})",
                self.pump_words(),
                assumed(facts.pump.is_some())
            ),
            self.tank_fact(),
            "Replace what is assumed by what you have and run `ebbwright new` again, or change it \
             here and ask `ebbwright mend`."
                .to_owned(),
            "All other sizes were found: simulated, all beds together, and changed until nothing \
             failed. `keep` protects what is yours."
                .to_owned(),
            PLANNED.to_owned(),
            "Elevations (floor, outlet, level) are above the room's floor; heights inside a bed \
             (standpipe, slots, gravel) above that bed's floor."
                .to_owned(),
        ]
    }

    fn sump_words(&self, assumed: &str) -> String {
        let (shape, count) = &self.sizes.vessel;
        let volume = bound(&self.units.volume(shape.full_volume()));
        let one = match self.facts.sump.as_ref().unwrap_or(&SumpFact::LyingDrum) {
            SumpFact::LyingDrum => "a lying drum",
            SumpFact::UprightDrum => "an upright drum",
            SumpFact::Tote => "a pallet tank, cut open",
            SumpFact::Volume(_) => "a box",
            SumpFact::Shape(_) => "a vessel",
        };
        let joined = match (*count, self.facts.vessels) {
            (1, _) => String::new(),
            (count, Some(_)) => format!("; {count} of them, joined at the bottom"),
            (count, None) => {
                format!("; {count} of them, joined at the bottom, since one cannot take the flood")
            }
        };
        format!("{one} of {volume} ({assumed}){joined}")
    }

    fn tank_fact(&self) -> String {
        let (Some(fact), Some(tank)) = (&self.facts.tank, &self.sizes.tank) else {
            return " fish tank: none".to_owned();
        };
        let volume = bound(&self.units.volume(tank.shape.full_volume()));
        let one = match fact.vessel {
            SumpFact::LyingDrum => "a lying drum",
            SumpFact::UprightDrum => "an upright drum",
            SumpFact::Tote => "a pallet tank",
            SumpFact::Volume(_) => "a round one",
            SumpFact::Shape(VesselShape::Box { .. }) => "a box",
            SumpFact::Shape(_) => "a vessel",
        };
        let stands = match tank.floor {
            (0.0, given) => format!("on the floor ({})", given_or(given)),
            (height, given) => {
                format!("its bottom {} up ({})", self.long(height), given_or(given))
            }
        };
        let measures = match fact.vessel {
            SumpFact::Volume(_) => "given, its measures assumed",
            _ => "given",
        };
        format!(" fish tank: {one} of {volume} ({measures}), {stands}")
    }

    /// The fish tank as simulated.
    fn tank(&self, key: &str) -> String {
        let Some(tank) = &self.system.tank else {
            return String::new();
        };
        match key {
            "tank" => format!(
                "The fish tank, inside. Up to its overflow it holds {}.",
                bound(&self.units.volume(tank.volume_at(tank.overflow_level)))
            ),
            "stand" => {
                let stands = match self.sizes.tank.as_ref().map(|tank| tank.floor) {
                    Some((_, true)) => "Its bottom; the overflow is then",
                    Some((0.0, _)) => "It stands on the floor; the overflow is then",
                    _ => "Its bottom, as low as it may be: the overflow is then",
                };
                format!(
                    "{stands} {} over the sump's brim, so that the water runs there by itself.",
                    self.length(tank.overflow_level - self.system.sump.top())
                )
            }
            "tank-overflow" => format!(
                "An upright pipe that ends {} under the tank's brim, wide enough for all that the \
                 pump gives here.",
                self.length(tank.top() - tank.overflow_level)
            ),
            _ => self.tank_inlet(),
        }
    }

    fn tank_inlet(&self) -> String {
        let checks = &self.judged.judging().1.checks;
        let why = checks.iter().find_map(|check| match &check.why {
            Why::Turnover(why) => Some(why),
            _ => None,
        });
        let over = "It ends over the tank's wall, never under water, so that no pump that stops \
                    lets the fish's water run back.";
        let Some(why) = why else {
            return over.to_owned();
        };
        let what = match self.sizes.pump {
            PumpFact::Measured(_) => "What the beds leave comes here,",
            _ => "The valve stands so that it gives",
        };
        format!(
            "{over} {what} {}: the fish's water is renewed at a rate of {} per hour.",
            self.flow(why.flow),
            bound(&significant(why.an_hour, 2))
        )
    }

    fn pump_words(&self) -> String {
        match self.sizes.pump {
            PumpFact::Measured(flow) => format!("{} measured", an_hour(flow, self.units)),
            PumpFact::Box {
                open_flow,
                shut_off_head,
            } => format!(
                "{} at most, lifts {} at most",
                an_hour(open_flow, self.units),
                self.long(shut_off_head)
            ),
            PumpFact::At { flow, head } => {
                format!("{} at {}", an_hour(flow, self.units), self.long(head))
            }
        }
    }

    fn vessel(&self) -> String {
        let count = self.sizes.vessel.1;
        let flood = self.sizes.beds as f64 * self.sizes.flood();
        let joined = if count > 1 {
            format!(
                " All {count} of them together do: joined by a wide pipe at the bottom they stand at \
                 one level."
            )
        } else {
            String::new()
        };
        format!(
            "The beds take about {} when all are flooded; it must hold that between the pump's \
             least water and the overflow.{joined}",
            bound(&self.units.volume(flood))
        )
    }

    fn fill(&self) -> String {
        let sump = self.judged.judging().0.sump.level;
        format!(
            "Fill to here with all beds drained. In the run the water stood between {} and {}.",
            bound(&self.units.elevation(sump.min)),
            bound(&self.units.elevation(sump.max))
        )
    }

    fn pump(&self) -> String {
        let flow = self.judged.run.pump.flow.mean;
        let note = match self.sizes.pump {
            PumpFact::Measured(_) => "Measured with a bucket at the height of the beds.",
            PumpFact::At { .. } => {
                "Assumed from one flow at one lift: it stops lifting at 1 1/2 times that height. \
                 Put the figures of its box here."
            }
            PumpFact::Box { .. } => {
                "The two figures on its box; boxes promise 10 to 30 % too much."
            }
        };
        match self.system.pump.source {
            PumpSource::Steady(_) => note.to_owned(),
            PumpSource::Curve(_) => {
                format!("{note} Through these pipes it gives {}.", self.flow(flow))
            }
        }
    }

    fn inlet(&self, bed: &Bed) -> String {
        let (run, found) = self.judged.judging();
        let window = windows(self.system, run, found);
        let Some(first) = window.beds.first() else {
            return String::new();
        };
        let what = match bed.inlet {
            Inlet::Share(_) => "The share that gives",
            _ => "The valve stands so that it gives",
        };
        format!(
            "{what} {}; this siphon needs {} to start for certain and breaks up to {}.",
            self.flow(first.today.range.mean),
            self.flow(first.window.start.high),
            self.flow(first.breaks_below.low)
        )
    }

    fn pipe(&self, bed: &Bed) -> String {
        let outcome = self.judged.judging().0.beds.first();
        let period = outcome.and_then(|bed| bed.cycles.last());
        let period = period.map_or(String::new(), |cycle| {
            format!(
                ", and fills a bed in {}",
                bound(&self.units.time(cycle.fill + cycle.prime))
            )
        });
        format!(
            "A pipe of {} bore starts with what the pump can give each bed{period}.",
            bound(&self.units.bore(bed.siphon.standpipe.bore))
        )
    }

    fn lip(&self, bed: &Bed) -> String {
        let peak = self
            .judged
            .judging()
            .0
            .beds
            .first()
            .map(|bed| bed.peak_level);
        let Some(peak) = peak else {
            return String::new();
        };
        format!(
            "The water comes {} over this lip and leaves {} of dry gravel.",
            self.length(peak - bed.lip_level()),
            self.length(bed.gravel_over(peak))
        )
    }

    fn slots(&self, bed: &Bed) -> String {
        let tube = match &bed.siphon.bell.air_tube {
            Some(_) => "the air tube lets air in at its mouth and breaks the siphon there.",
            None => "it breaks there without an air tube.",
        };
        format!("Their upper edge is where air comes in: {tube}")
    }

    fn length(&self, metres: f64) -> String {
        bound(&self.units.length(metres))
    }

    fn long(&self, metres: f64) -> String {
        bound(&long(metres, self.units))
    }

    fn flow(&self, flow: f64) -> String {
        bound(&self.units.flow(flow))
    }
}

const fn given_or(given: bool) -> &'static str {
    if given { "given" } else { "assumed" }
}

/// A quantity that stays on one line.
fn bound(text: &str) -> String {
    text.replace(' ', &BOUND.to_string())
}

/// A small number in words.
pub(super) fn counted(count: usize, what: &str) -> String {
    match count {
        1 => format!("One {what}"),
        2 => format!("Two {what}s"),
        3 => format!("Three {what}s"),
        4 => format!("Four {what}s"),
        _ => format!("{count} {what}s"),
    }
}
