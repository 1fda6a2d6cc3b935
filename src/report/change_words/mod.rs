//! A change in words, with its values before and after: "open the valve of "east" from
//! 50 % to 64 %".

mod names;
mod shape;

pub(crate) use shape::shape_words;

use crate::assessment::open_hole;
use crate::hydraulics::pipe_sizes::listed;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    AirTube, BedPart, Branch, BranchPart, Change, Disturbance, Level, Outlet, PumpPart, PumpSource,
    Quantity, System, Vessel,
};
use crate::report::bed_names::{bed_name, merged};
use crate::report::{self, Figure, Say, Text, said};
use crate::units::table::{Quantity as Measured, significant};
use crate::units::{HOUR, UnitSystem};

/// What to do to `system`, without a capital and without a full stop.
///
/// Lengths to the millimetre or the sixteenth of an inch, bores to a tenth of a millimetre,
/// valves in whole per cent.
pub fn change_words(change: &Change, system: &System, units: UnitSystem) -> Text {
    Words { system, units }.of(change)
}

#[derive(Clone, Copy)]
struct Words<'a> {
    system: &'a System,
    units: UnitSystem,
}

impl<'a> Words<'a> {
    const fn say(self) -> Say<'a> {
        Say {
            system: self.system,
            units: self.units,
        }
    }
}

/// What a figure is, as far as printing goes.
#[derive(Clone, Copy)]
enum Kind {
    Length,
    Elevation,
    Bore,
    /// The bore of a pipe that is sold by its size.
    Pipe,
    Flow,
    Volume,
    Area,
    Time,
    Percent,
    Slope,
    Temperature,
    Power,
    Number,
    /// Roughness: thousandths of a millimetre.
    Fine,
}

impl Words<'_> {
    fn of(self, change: &Change) -> Text {
        match change {
            Change::Set { what, to } => self.number(*what, *to),
            Change::RaiseAll { by } => said!(
                "{} everything over the sump by {}, the riser with it",
                raise(*by),
                self.by(*by)
            ),
            Change::MoveSump { by } => said!(
                "{} the sump by {}, with its water, overflow, pump and float valve, the riser \
                 getting that much {}",
                raise(*by),
                self.by(*by),
                if *by > 0.0 { "shorter" } else { "longer" }
            ),
            Change::RaiseBed { bed, by } => said!(
                "{} {} and its inlet by {}, its outlet staying where it is and its pipe getting \
                 that much {}",
                raise(*by),
                self.bed(*bed),
                self.by(*by),
                if *by > 0.0 { "longer" } else { "shorter" }
            ),
            Change::Replace { vessel, shape } => said!(
                "replace {} with {}",
                self.vessel(*vessel),
                shape_words(&self.say(), shape)
            ),
            Change::Tip(vessel) => {
                let lies = matches!(
                    self.system.shape_of(*vessel),
                    Some(VesselShape::LyingCylinder { .. })
                );
                let how = if lies { "on its end" } else { "on its side" };
                said!("lay {} {}", self.vessel(*vessel), how)
            }
            Change::Join { count } => said!(
                "use {} {} like the sump's instead of {}, joined at the bottom",
                self.say().count("to", *count as usize),
                if *count == 1 { "vessel" } else { "vessels" },
                self.say().count("from", self.system.sump.count as usize)
            ),
            Change::Stretch { vessel, area } => {
                let now = self.system.shape_of(*vessel).map(VesselShape::mean_area);
                let to = self.both(Kind::Area, now, *area);
                said!("make {} {} in area", self.vessel(*vessel), to)
            }
            Change::Valves(openings) => {
                let turns = openings.iter().map(|(outlet, opening)| {
                    let now = self.value(Quantity::Branch(*outlet, BranchPart::Opening));
                    let to = self.both(Kind::Percent, now, *opening);
                    said!("{} {} open", self.branch(*outlet), to)
                });
                let turns = merged(turns.collect(), self.system);
                said!("set the valves: {}", Text::joined(turns, ", "))
            }
            Change::PipeSize { bed, bore, outside } => self.pipe_size(*bed, *bore, *outside),
            Change::BellSize { bed, bore, .. } => {
                let now = self.value(Quantity::Bed(*bed, BedPart::BellBore));
                let to = self.both(Kind::Pipe, now, *bore);
                said!("take a bell of another bore for {}, {}", self.bed(*bed), to)
            }
            Change::AirTube { bed, tube } => self.air_tube(*bed, tube.as_ref()),
            Change::FitValve {
                outlet,
                kind,
                opening,
            } => said!(
                "fit a {} valve into {}, open to {}",
                kind.name(),
                self.branch(*outlet),
                self.figure("opening", Kind::Percent, *opening)
            ),
            Change::FitBypass(branch) => self.bypass(branch),
            Change::CheckValve(true) => "fit a check valve over the pump".into(),
            Change::CheckValve(false) => "take the check valve over the pump out".into(),
            Change::SealEntries(true) => {
                "seal the pipes into the sump's wall, each with a bulkhead fitting".into()
            }
            Change::SealEntries(false) => "leave the pipes through the sump's wall unsealed".into(),
            Change::Vent(true) => "open the drain line to the air".into(),
            Change::Vent(false) => "close the drain line to the air".into(),
            Change::ClearIncident(n) => said!("put right what the event is: {}", self.event(*n)),
            Change::Pump(source) => said!("take another pump: {}", self.pump(source)),
            Change::PumpSpeed(ratio) => self.pump_speed(*ratio),
            Change::Inflow { bed, to } => {
                let to = self.both(Kind::Flow, self.inflow(*bed), *to);
                said!("set the inflow of {} {}", self.bed(*bed), to)
            }
        }
    }

    fn pipe_size(self, bed: usize, bore: f64, outside: f64) -> Text {
        let now = self.system.beds.get(bed).map(|bed| {
            let pipe = &bed.siphon.standpipe;
            said!(" instead of {}", self.size("from", pipe.bore, pipe.outside))
        });
        said!(
            "make the standpipe of {} and its pipe below from {}{}",
            self.bed(bed),
            self.size("to", bore, outside),
            now
        )
    }

    fn air_tube(self, bed: usize, tube: Option<&AirTube>) -> Text {
        match tube {
            None => said!("take the air tube out of the bell of {}", self.bed(bed)),
            Some(tube) => said!(
                "put an air tube of {} bore into the bell of {}, its mouth {} above the bed's floor",
                self.say().bore("bore", tube.bore),
                self.bed(bed),
                self.say().length("mouth", tube.mouth_height)
            ),
        }
    }

    fn bypass(self, branch: &Branch) -> Text {
        let valve = branch.valve.as_ref().map(|valve| {
            said!(
                ", with a {} valve open to {}",
                valve.kind.name(),
                self.figure("opening", Kind::Percent, valve.opening)
            )
        });
        said!(
            "fit a bypass back to the sump: {} of pipe of {} bore that ends at {}{}",
            self.say().length("length", branch.run.length),
            self.say().bore("bore", branch.run.bore),
            self.say().elevation("end", branch.level),
            valve
        )
    }

    fn number(self, what: Quantity, to: f64) -> Text {
        let now = self.value(what);
        let (name, kind) = self.name(what);
        let more = now.is_none_or(|now| to > now);
        let steps = |verb: &str| said!("{} {} {}", verb, name.as_str(), self.both(kind, now, to));
        match what {
            Quantity::Hours => {
                let long = |name, hours: f64| self.say().time(name, HOUR * hours);
                let now = now.map(|now| said!(" instead of {}", long("from", now)));
                said!(
                    "simulate {}{}, hours = {} in the file",
                    long("to", to),
                    now,
                    self.say()
                        .printed(report::Kind::Number("h"), "hours", to, significant(to, 6))
                )
            }
            Quantity::Branch(_, BranchPart::Opening) => steps(if more { "open" } else { "close" }),
            Quantity::Branch(_, BranchPart::Hole) if now.is_none() => {
                said!("drill {} at {}", name, self.figure("to", kind, to))
            }
            Quantity::Bed(i, BedPart::Fouling) if to == 1.0 => {
                said!("dig out and wash the gravel of {}", self.bed(i))
            }
            Quantity::Level(Vessel::Sump | Vessel::Tank, Level::Start) => {
                let vessel = if matches!(what, Quantity::Level(Vessel::Tank, _)) {
                    "the fish tank"
                } else {
                    "the sump"
                };
                said!(
                    "fill {} to {}, the beds drained{}{}",
                    vessel,
                    self.figure("to", kind, to),
                    now.and_then(|now| self.water_between(what, now, to)),
                    self.under_holes(what, to)
                )
            }
            // The bell goes with the lip: a bell left as it is leaves another gap.
            Quantity::Bed(i, BedPart::StandpipeLength) => {
                let gap = self.value(Quantity::Bed(i, BedPart::Clearance));
                said!(
                    "{} over the bed's floor, its bell as much {}{}",
                    steps(if more { "lengthen" } else { "cut" }),
                    if more { "longer" } else { "shorter" },
                    gap.map(|gap| said!(
                        " (the gap over the lip stays {})",
                        self.figure("gap", Kind::Length, gap)
                    ))
                )
            }
            Quantity::Bed(_, BedPart::Outlet) => said!(
                "{}, its pipe that much {}",
                steps(if more { "raise" } else { "lower" }),
                if more { "shorter" } else { "longer" }
            ),
            _ => steps(self.verb(what, kind, more)),
        }
    }

    /// What has to be poured in or taken out between two levels, ", 31 gal more than at 16 in": what is
    /// described need not be what stands in it now.
    fn water_between(self, what: Quantity, now: f64, to: f64) -> Option<Text> {
        let holds = |level: f64| match what {
            Quantity::Level(Vessel::Sump, _) => Some(self.system.sump.volume_at(level)),
            Quantity::Level(Vessel::Tank, _) => {
                let tank = self.system.tank.as_ref()?;
                Some(tank.shape.volume(level - tank.floor))
            }
            _ => None,
        };
        let more = holds(to)? - holds(now)?;
        Some(said!(
            ", {} {} than at {}",
            self.say().volume("water", more.abs()),
            if more > 0.0 { "more" } else { "less" },
            self.say().elevation("from", now)
        ))
    }

    /// Where the sump would spill before its rim, beside filling it.
    fn under_holes(self, what: Quantity, to: f64) -> Option<Text> {
        let sump = matches!(what, Quantity::Level(Vessel::Sump, _));
        let hole = open_hole(self.system).filter(|_| sump)?;
        let hole_level = self.say().elevation("hole", hole.level);
        let (first, over) = match hole.certain {
            true => ("pipes go through its wall", ""),
            false => (
                "where pipes go through its wall",
                ", or bring them in over the rim",
            ),
        };
        Some(match hole.drowns(self.system, to) {
            false => said!(
                " ({}, its water has to stay under the lowest hole, at {}, unless that is sealed)",
                first,
                hole_level
            ),
            true => said!(
                " ({}, seal the holes first: the lowest, at {}, comes under water{})",
                first,
                hole_level,
                over
            ),
        })
    }

    /// What one does to such a figure.
    fn verb(self, what: Quantity, kind: Kind, more: bool) -> &'static str {
        let either = |if_more, if_less| if more { if_more } else { if_less };
        match (what, kind) {
            (Quantity::Coefficient(_) | Quantity::Ceiling, _) => "take",
            (Quantity::Bed(_, BedPart::Grain | BedPart::Void), _) => "take gravel with",
            (Quantity::Bed(_, BedPart::MediaDepth), _) => either("fill up", "take down"),
            (_, Kind::Elevation) => either("raise", "lower"),
            (_, Kind::Bore | Kind::Pipe) => either("widen", "narrow"),
            (_, Kind::Flow | Kind::Slope) => either("raise", "lower"),
            (_, Kind::Length) => either("lengthen", "shorten"),
            (_, Kind::Percent | Kind::Temperature) => either("raise", "lower"),
            (_, Kind::Number | Kind::Fine | Kind::Power) => either("raise", "lower"),
            _ => "change",
        }
    }

    fn value(self, what: Quantity) -> Option<f64> {
        what.value(self.system)
    }

    /// "from 50 % to 64 %", "to 64 %".
    fn both(self, kind: Kind, now: Option<f64>, to: f64) -> Text {
        let is = self.figure("to", kind, to);
        match now {
            Some(now) => said!("from {} to {}", self.figure("from", kind, now), is),
            None => said!("to {}", is),
        }
    }

    /// How far something is moved.
    fn by(self, by: f64) -> Figure {
        self.say().length("by", by.abs())
    }

    fn figure(self, name: &'static str, kind: Kind, value: f64) -> Figure {
        let (say, units) = (self.say(), self.units);
        let number = |unit, shown| say.printed(report::Kind::Number(unit), name, value, shown);
        match kind {
            Kind::Length => say.length(name, value),
            Kind::Elevation => say.elevation(name, value),
            Kind::Bore => say.bore(name, value),
            Kind::Pipe => say.bore(name, value).said(self.sold(value)),
            Kind::Flow => say.flow(name, value),
            Kind::Volume => say.volume(name, value),
            Kind::Area => say.area(name, value),
            Kind::Time => say.time(name, value),
            Kind::Percent => say
                .percent(name, value)
                .said(format!("{:.0} %", 100.0 * value)),
            Kind::Slope => say.percent(name, value),
            Kind::Power => number("W", units.power(value)),
            Kind::Temperature => number("degC", Measured::Temperature.text(value, units)),
            Kind::Number => number("1", significant(value, 3)),
            Kind::Fine => say
                .length(name, value)
                .said(Measured::Length.text(value, units)),
        }
    }

    fn bed(self, i: usize) -> String {
        match self.system.beds.get(i) {
            Some(_) if self.system.beds.len() == 1 => "the bed".to_owned(),
            Some(_) => bed_name(self.system, i),
            None => format!("bed {}", i + 1),
        }
    }

    fn vessel(self, vessel: Vessel) -> String {
        match vessel {
            Vessel::Sump => "the sump".to_owned(),
            Vessel::Tank => "the fish tank".to_owned(),
            Vessel::Settler => "the settler".to_owned(),
            Vessel::Bed(i) => self.bed(i),
        }
    }

    fn branch(self, outlet: Outlet) -> String {
        match outlet {
            Outlet::Bed(_) if self.system.beds.len() == 1 => "the inlet".to_owned(),
            Outlet::Bed(i) => self.bed(i),
            Outlet::Tank => "the fish tank".to_owned(),
            Outlet::Bypass => "the bypass".to_owned(),
            Outlet::Settler => "the settler".to_owned(),
        }
    }

    /// A bore, with the name of the pipe that is sold with it.
    fn sold(self, bore: f64) -> String {
        let shown = self.units.bore(bore);
        match listed(bore, None) {
            Some(size) => format!("{shown} ({})", size.label()),
            None => shown,
        }
    }

    /// A pipe by the name of its size where it is listed.
    fn size(self, name: &'static str, bore: f64, outside: f64) -> Text {
        let figure = self.say().bore(name, bore);
        let shown = figure.shown.clone();
        match listed(bore, Some(outside)) {
            Some(size) => figure
                .said(format!("{} pipe ({shown} bore)", size.label()))
                .into(),
            None => said!("pipe of {} bore", figure),
        }
    }

    fn pump(self, source: &PumpSource) -> Text {
        match source {
            PumpSource::Steady(flow) => said!("one that gives {}", self.say().flow("flow", *flow)),
            PumpSource::Curve(curve) => said!(
                "one that gives {} without head and lifts to {}",
                self.say().flow("open_flow", curve.open_flow()),
                self.say().head("shut_off_head", curve.shut_off_head())
            ),
        }
    }

    /// Few pumps can be made to run faster: one as strong is named beside.
    fn pump_speed(self, ratio: f64) -> Text {
        let speed = self.figure("speed", Kind::Percent, ratio);
        let stronger = match &self.system.pump.source {
            PumpSource::Curve(curve) if ratio > 1.0 => curve.at_speed(ratio).ok(),
            _ => None,
        };
        match stronger {
            Some(curve) => said!(
                "take a stronger pump: {} (this one at {} of its speed, where its drive can do that)",
                self.pump(&PumpSource::Curve(curve)),
                speed
            ),
            None => said!("run the pump at {} of its present speed", speed),
        }
    }

    fn inflow(self, i: usize) -> Option<f64> {
        let share = self.value(Quantity::Bed(i, BedPart::Share));
        let pump = self.value(Quantity::Pump(PumpPart::SteadyFlow));
        self.value(Quantity::Bed(i, BedPart::Flow))
            .or_else(|| share.zip(pump).map(|(share, pump)| share * pump))
    }

    fn event(self, n: usize) -> Text {
        let Some(incident) = self.system.incidents.get(n) else {
            return said!("event {}", self.say().count("event", n + 1));
        };
        match incident.what {
            Disturbance::PumpStops => "the pump that stops".into(),
            Disturbance::PumpStarts => "the pump that starts".into(),
            Disturbance::SiphonBlocked(i) => said!("the blocked siphon of {}", self.bed(i)),
            Disturbance::LineBlocked(share) => said!(
                "the drain line blocked by {}",
                self.figure("blocked", Kind::Percent, share)
            ),
            Disturbance::ValveShut(i) => said!("the shut valve of {}", self.bed(i)),
        }
    }
}

const fn raise(by: f64) -> &'static str {
    if by < 0.0 { "lower" } else { "raise" }
}

#[cfg(test)]
mod tests;
