//! A change in words, with its values before and after: "open the valve of "east" from
//! 50 % to 64 %".

mod names;

use crate::hydraulics::pipe_sizes::listed;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    BedPart, BranchPart, Change, Disturbance, Level, Outlet, PumpPart, PumpSource, Quantity,
    System, Vessel,
};
use crate::report::bed_names::bed_name;
use crate::report::bed_names::merged;
use crate::units::HOUR;
use crate::units::UnitSystem;
use crate::units::table::{Quantity as Measured, significant};

/// What to do to `system`, without a capital and without a full stop.
///
/// Lengths to the millimetre or the sixteenth of an inch, bores to a tenth of a millimetre,
/// valves in whole per cent.
pub fn change_words(change: &Change, system: &System, units: UnitSystem) -> String {
    Words { system, units }.of(change)
}

#[derive(Clone, Copy)]
struct Words<'a> {
    system: &'a System,
    units: UnitSystem,
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
    fn of(self, change: &Change) -> String {
        let units = self.units;
        match change {
            Change::Set { what, to } => self.number(*what, *to),
            Change::RaiseAll { by } => format!(
                "{} everything over the sump by {}, the riser with it",
                raise(*by),
                units.length(by.abs())
            ),
            Change::MoveSump { by } => format!(
                "{} the sump by {}, with its water, overflow, pump and float valve, the riser \
                 getting that much {}",
                raise(*by),
                units.length(by.abs()),
                if *by > 0.0 { "shorter" } else { "longer" }
            ),
            Change::RaiseBed { bed, by } => format!(
                "{} {} and its inlet by {}, its outlet staying where it is and its pipe getting \
                 that much {}",
                raise(*by),
                self.bed(*bed),
                units.length(by.abs()),
                if *by > 0.0 { "longer" } else { "shorter" }
            ),
            Change::Replace { vessel, shape } => format!(
                "replace {} with {}",
                self.vessel(*vessel),
                shape_words(shape, units)
            ),
            Change::Tip(vessel) => {
                let lies = matches!(
                    self.system.shape_of(*vessel),
                    Some(VesselShape::LyingCylinder { .. })
                );
                let how = if lies { "on its end" } else { "on its side" };
                format!("lay {} {how}", self.vessel(*vessel))
            }
            Change::Join { count } => {
                let vessels = if *count == 1 { "vessel" } else { "vessels" };
                format!(
                    "use {count} {vessels} like the sump's instead of {}, joined at the bottom",
                    self.system.sump.count
                )
            }
            Change::Stretch { vessel, area } => {
                let now = self.system.shape_of(*vessel).map(VesselShape::mean_area);
                let to = self.both(Kind::Area, now, *area);
                format!("make {} {to} in area", self.vessel(*vessel))
            }
            Change::Valves(openings) => {
                let turns = openings.iter().map(|(outlet, opening)| {
                    let now = self.value(Quantity::Branch(*outlet, BranchPart::Opening));
                    let to = self.both(Kind::Percent, now, *opening);
                    format!("{} {to} open", self.branch(*outlet))
                });
                let turns: Vec<String> = turns.collect();
                format!("set the valves: {}", merged(&turns, self.system).join(", "))
            }
            Change::PipeSize { bed, bore, outside } => {
                let now = self.system.beds.get(*bed).map(|bed| {
                    let pipe = &bed.siphon.standpipe;
                    self.size(pipe.bore, pipe.outside)
                });
                format!(
                    "make the standpipe of {} and its pipe below from {}{}",
                    self.bed(*bed),
                    self.size(*bore, *outside),
                    now.map_or_else(String::new, |now| format!(" instead of {now}"))
                )
            }
            Change::BellSize { bed, bore, .. } => {
                let now = self.value(Quantity::Bed(*bed, BedPart::BellBore));
                let to = self.both(Kind::Pipe, now, *bore);
                format!("take a bell of another bore for {}, {to}", self.bed(*bed))
            }
            Change::AirTube { bed, tube: None } => {
                format!("take the air tube out of the bell of {}", self.bed(*bed))
            }
            Change::AirTube {
                bed,
                tube: Some(tube),
            } => {
                format!(
                    "put an air tube of {} bore into the bell of {}, its mouth {} above the bed's floor",
                    units.bore(tube.bore),
                    self.bed(*bed),
                    units.length(tube.mouth_height)
                )
            }
            Change::FitValve {
                outlet,
                kind,
                opening,
            } => format!(
                "fit a {} valve into {}, open to {}",
                kind.name(),
                self.branch(*outlet),
                self.figure(Kind::Percent, *opening)
            ),
            Change::FitBypass(branch) => format!(
                "fit a bypass back to the sump: {} of pipe of {} bore that ends at {}{}",
                units.length(branch.run.length),
                units.bore(branch.run.bore),
                units.elevation(branch.level),
                branch
                    .valve
                    .as_ref()
                    .map_or_else(String::new, |valve| format!(
                        ", with a {} valve open to {}",
                        valve.kind.name(),
                        self.figure(Kind::Percent, valve.opening)
                    ))
            ),
            Change::CheckValve(true) => "fit a check valve over the pump".to_owned(),
            Change::CheckValve(false) => "take the check valve over the pump out".to_owned(),
            Change::Vent(true) => "open the drain line to the air".to_owned(),
            Change::Vent(false) => "close the drain line to the air".to_owned(),
            Change::ClearIncident(n) => format!("put right what the event is: {}", self.event(*n)),
            Change::Pump(source) => format!("take another pump: {}", self.pump(source)),
            Change::PumpSpeed(ratio) => format!(
                "run the pump at {} of its present speed",
                self.figure(Kind::Percent, *ratio)
            ),
            Change::Inflow { bed, to } => {
                let now = self.inflow(*bed);
                let to = self.both(Kind::Flow, now, *to);
                format!("set the inflow of {} {to}", self.bed(*bed))
            }
        }
    }

    fn number(self, what: Quantity, to: f64) -> String {
        let now = self.value(what);
        let (name, kind) = self.name(what);
        let more = now.is_none_or(|now| to > now);
        let steps = |verb: &str| format!("{verb} {name} {}", self.both(kind, now, to));
        match what {
            Quantity::Hours => {
                let long = |hours: f64| self.units.time(HOUR * hours);
                let now = now.map_or_else(String::new, |now| format!(" instead of {}", long(now)));
                let hours = significant(to, 6);
                format!("simulate {}{now}, hours = {hours} in the file", long(to))
            }
            Quantity::Branch(_, BranchPart::Opening) => steps(if more { "open" } else { "close" }),
            Quantity::Branch(_, BranchPart::Hole) if now.is_none() => {
                format!("drill {name} at {}", self.figure(kind, to))
            }
            Quantity::Bed(i, BedPart::Fouling) if to == 1.0 => {
                format!("dig out and wash the gravel of {}", self.bed(i))
            }
            Quantity::Level(Vessel::Sump | Vessel::Tank, Level::Start) => {
                let vessel = if matches!(what, Quantity::Level(Vessel::Tank, _)) {
                    "the fish tank"
                } else {
                    "the sump"
                };
                let more = now.and_then(|now| self.water_between(what, now, to));
                format!(
                    "fill {vessel} to {}, the beds drained{}",
                    self.figure(kind, to),
                    more.unwrap_or_default()
                )
            }
            Quantity::Bed(_, BedPart::StandpipeLength) => {
                let steps = steps(if more { "lengthen" } else { "cut" });
                format!("{steps} over the bed's floor")
            }
            Quantity::Bed(_, BedPart::Outlet) => {
                let verb = if more { "raise" } else { "lower" };
                format!(
                    "{}, its pipe that much {}",
                    steps(verb),
                    if more { "shorter" } else { "longer" }
                )
            }
            _ => steps(self.verb(what, kind, more)),
        }
    }

    /// What has to be poured in or taken out between two levels: ", 31 gal more than now".
    fn water_between(self, what: Quantity, now: f64, to: f64) -> Option<String> {
        let holds = |level: f64| match what {
            Quantity::Level(Vessel::Sump, _) => Some(self.system.sump.volume_at(level)),
            Quantity::Level(Vessel::Tank, _) => {
                let tank = self.system.tank.as_ref()?;
                Some(tank.shape.volume(level - tank.floor))
            }
            _ => None,
        };
        let more = holds(to)? - holds(now)?;
        let side = if more > 0.0 { "more" } else { "less" };
        Some(format!(
            ", {} {side} than now",
            self.units.volume(more.abs())
        ))
    }

    /// What one does to such a figure.
    fn verb(self, what: Quantity, kind: Kind, more: bool) -> &'static str {
        let either = |if_more, if_less| if more { if_more } else { if_less };
        match (what, kind) {
            (Quantity::Coefficient(_) | Quantity::Ceiling, _) => "take",
            (Quantity::Bed(_, BedPart::Grain | BedPart::Void), _) => "take gravel with",
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
    fn both(self, kind: Kind, now: Option<f64>, to: f64) -> String {
        let (was, is) = (now.map(|now| self.figure(kind, now)), self.figure(kind, to));
        match was {
            Some(was) => format!("from {was} to {is}"),
            None => format!("to {is}"),
        }
    }

    fn figure(self, kind: Kind, value: f64) -> String {
        let units = self.units;
        match kind {
            Kind::Length => units.length(value),
            Kind::Elevation => units.elevation(value),
            Kind::Bore => units.bore(value),
            Kind::Pipe => self.sold(value),
            Kind::Flow => units.flow(value),
            Kind::Volume => units.volume(value),
            Kind::Area => units.area(value),
            Kind::Time => units.time(value),
            Kind::Percent => format!("{:.0} %", 100.0 * value),
            Kind::Slope => units.percent(value),
            Kind::Power => units.power(value),
            Kind::Temperature => Measured::Temperature.text(value, units),
            Kind::Number => significant(value, 3),
            Kind::Fine => Measured::Length.text(value, units),
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
            Outlet::Bed(i) if self.system.beds.len() == 1 => {
                let _ = i;
                "the inlet".to_owned()
            }
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
    fn size(self, bore: f64, outside: f64) -> String {
        let shown = self.units.bore(bore);
        match listed(bore, Some(outside)) {
            Some(size) => format!("{} pipe ({shown} bore)", size.label()),
            None => format!("pipe of {shown} bore"),
        }
    }

    fn pump(self, source: &PumpSource) -> String {
        match source {
            PumpSource::Steady(flow) => format!("one that gives {}", self.units.flow(*flow)),
            PumpSource::Curve(curve) => format!(
                "one that gives {} without head and lifts to {}",
                self.units.flow(curve.open_flow()),
                self.units.head(curve.shut_off_head())
            ),
        }
    }

    fn inflow(self, i: usize) -> Option<f64> {
        let share = self.value(Quantity::Bed(i, BedPart::Share));
        let pump = self.value(Quantity::Pump(PumpPart::SteadyFlow));
        self.value(Quantity::Bed(i, BedPart::Flow))
            .or_else(|| share.zip(pump).map(|(share, pump)| share * pump))
    }

    fn event(self, n: usize) -> String {
        let Some(incident) = self.system.incidents.get(n) else {
            return format!("event {}", n + 1);
        };
        match incident.what {
            Disturbance::PumpStops => "the pump that stops".to_owned(),
            Disturbance::PumpStarts => "the pump that starts".to_owned(),
            Disturbance::SiphonBlocked(i) => format!("the blocked siphon of {}", self.bed(i)),
            Disturbance::LineBlocked(share) => format!(
                "the drain line blocked by {}",
                self.figure(Kind::Percent, share)
            ),
            Disturbance::ValveShut(i) => format!("the shut valve of {}", self.bed(i)),
        }
    }
}

const fn raise(by: f64) -> &'static str {
    if by < 0.0 { "lower" } else { "raise" }
}

/// "a box of 1.2 m by 1 m, 350 mm deep".
pub(crate) fn shape_words(shape: &VesselShape, units: UnitSystem) -> String {
    let length = |metres: &f64| units.length(*metres);
    match shape {
        VesselShape::Box {
            length: l,
            width,
            depth,
        } => format!(
            "a box of {} by {}, {} deep",
            length(l),
            length(width),
            length(depth)
        ),
        VesselShape::Tapered {
            top_length,
            top_width,
            bottom_length,
            bottom_width,
            depth,
        } => format!(
            "a tote of {} by {} at the top and {} by {} at the bottom, {} deep",
            length(top_length),
            length(top_width),
            length(bottom_length),
            length(bottom_width),
            length(depth)
        ),
        VesselShape::UprightCylinder { diameter, depth } => format!(
            "an upright drum of {} across, {} deep",
            length(diameter),
            length(depth)
        ),
        VesselShape::LyingCylinder {
            diameter,
            length: l,
        } => format!(
            "a lying drum of {} across, {} long",
            length(diameter),
            length(l)
        ),
        VesselShape::Table { .. } => format!(
            "a vessel of {}, {} deep",
            units.volume(shape.full_volume()),
            units.length(shape.depth())
        ),
    }
}

#[cfg(test)]
mod tests;
