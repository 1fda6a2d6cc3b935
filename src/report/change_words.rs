//! A change in words, with its values before and after: "open the valve of "east" from
//! 50 % to 64 %".

use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule};
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    BedPart, BranchPart, Change, Disturbance, Level, Measure, Outlet, Pipe, PipePart, PumpPart,
    PumpSource, Quantity, System, TopOffPart, Vessel,
};
use crate::report::step_words::merged;
use crate::units::UnitSystem;
use crate::units::display::plain;
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
            Change::Join { count } => format!(
                "use {count} vessels like the sump's in all, joined at the bottom by a wide pipe{}",
                match self.system.sump.count {
                    1 => String::new(),
                    now => format!(", instead of {now}"),
                }
            ),
            Change::Stretch { vessel, area } => {
                let now = self.system.shape_of(*vessel).map(VesselShape::mean_area);
                let to = self.both(Kind::Area, now, *area);
                format!("make {} {to} in area", self.vessel(*vessel))
            }
            Change::Valves(openings) => {
                let turns = openings.iter().map(|(outlet, opening)| {
                    let now = self.value(Quantity::Branch(*outlet, BranchPart::Opening));
                    let to = self.both(Kind::Percent, now, *opening);
                    format!("{} {to}", self.branch(*outlet))
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
                    "make standpipe and drain of {} from {}{}",
                    self.bed(*bed),
                    self.size(*bore, *outside),
                    now.map_or_else(String::new, |now| format!(" instead of {now}"))
                )
            }
            Change::BellSize { bed, bore, .. } => {
                let now = self.value(Quantity::Bed(*bed, BedPart::BellBore));
                let to = self.both(Kind::Bore, now, *bore);
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
                let now = now.map_or_else(String::new, |now| {
                    format!(" instead of {}", self.figure(kind, now))
                });
                format!(
                    "fill {vessel} to {}{now}, the beds drained",
                    self.figure(kind, to)
                )
            }
            Quantity::Bed(_, BedPart::StandpipeLength) => {
                let verb = if more { "lengthen" } else { "cut" };
                format!("{}, its drain by as much", steps(verb))
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

    /// What one does to such a figure.
    fn verb(self, what: Quantity, kind: Kind, more: bool) -> &'static str {
        let either = |if_more, if_less| if more { if_more } else { if_less };
        match (what, kind) {
            (Quantity::Coefficient(_) | Quantity::Ceiling, _) => "take",
            (Quantity::Bed(_, BedPart::Grain | BedPart::Void), _) => "take gravel with",
            (_, Kind::Elevation) => either("raise", "lower"),
            (_, Kind::Bore) => either("widen", "narrow"),
            (_, Kind::Flow | Kind::Slope) => either("raise", "lower"),
            (_, Kind::Length) => either("lengthen", "shorten"),
            (_, Kind::Percent | Kind::Temperature) => either("raise", "lower"),
            (_, Kind::Number | Kind::Fine | Kind::Power) => either("raise", "lower"),
            _ => "change",
        }
    }

    /// What a number is called, and how it is printed.
    fn name(self, what: Quantity) -> (String, Kind) {
        let (name, kind) = match what {
            Quantity::Temperature => ("the temperature of the water", Kind::Temperature),
            Quantity::Ceiling => ("the elevation of the ceiling as", Kind::Elevation),
            Quantity::Evaporation => ("the loss to the air", Kind::Flow),
            Quantity::LineSlope => ("the slope of the drain line", Kind::Slope),
            Quantity::LineOutlet => ("the lower end of the drain line", Kind::Elevation),
            Quantity::TankOverflowBore => ("the overflow pipe of the fish tank", Kind::Bore),
            Quantity::Source(n) => {
                let source = self.system.sources.get(n);
                let name = source.map_or_else(String::new, |one| plain(&one.name));
                return (format!("the flow of \"{name}\""), Kind::Flow);
            }
            Quantity::Coefficient(which) => {
                return (format!("the coefficient {} as", which.key()), Kind::Number);
            }
            Quantity::Level(vessel, level) => {
                let of = self.vessel(vessel);
                let name = match (level, vessel) {
                    (Level::Floor, _) => of,
                    (Level::Start, _) => format!("the water in {of} at the start"),
                    (Level::Overflow, Vessel::Bed(_)) => format!("the rim of {of}"),
                    (Level::Overflow, _) => format!("the overflow of {of}"),
                };
                return (name, Kind::Elevation);
            }
            Quantity::Measure(vessel, measure) => {
                let name = format!("the {} of {}", measure_words(measure), self.vessel(vessel));
                return (name, Kind::Length);
            }
            Quantity::Pipe(pipe, part) => {
                let of = match pipe {
                    Pipe::Trunk => "the supply pipe".to_owned(),
                    Pipe::DrainLine => "the drain line".to_owned(),
                    Pipe::Branch(outlet) => format!("the pipe of {}", self.branch(outlet)),
                };
                return match part {
                    PipePart::Bore => (of, Kind::Bore),
                    PipePart::Length => (of, Kind::Length),
                    PipePart::Roughness => (format!("the roughness of {of}"), Kind::Fine),
                    PipePart::K => (format!("the K of the fittings of {of}"), Kind::Number),
                };
            }
            Quantity::Branch(outlet, part) => {
                let of = self.branch(outlet);
                return match part {
                    BranchPart::Level => (format!("the end of {of}"), Kind::Elevation),
                    BranchPart::Opening => (format!("the valve of {of}"), Kind::Percent),
                    BranchPart::Hole if self.value(what).is_none() => {
                        (format!("an anti-siphon hole into {of}"), Kind::Elevation)
                    }
                    BranchPart::Hole => (format!("the anti-siphon hole of {of}"), Kind::Elevation),
                };
            }
            Quantity::Pump(part) => match part {
                PumpPart::Intake => ("the pump's intake", Kind::Elevation),
                PumpPart::Cover => ("the water needed over the pump's intake", Kind::Length),
                PumpPart::SteadyFlow => ("the pump's flow", Kind::Flow),
                PumpPart::Power => ("the pump's power", Kind::Power),
                PumpPart::Efficiency => ("the pump's efficiency", Kind::Percent),
                PumpPart::Tariff => ("the price of a kilowatt-hour", Kind::Number),
                PumpPart::TimerOn => ("the pump's running time", Kind::Time),
                PumpPart::TimerOff => ("the pump's resting time", Kind::Time),
            },
            Quantity::TopOff(part) => match part {
                TopOffPart::Level => ("the level at which the float valve opens", Kind::Elevation),
                TopOffPart::Flow => ("the float valve's flow", Kind::Flow),
                TopOffPart::Bore => ("the float valve's supply", Kind::Bore),
                TopOffPart::Reservoir => ("the float valve's reservoir", Kind::Volume),
            },
            Quantity::Bed(i, part) => {
                let (name, kind) = bed_part(part);
                return (format!("{name} of {}", self.bed(i)), kind);
            }
        };
        (name.to_owned(), kind)
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
            Some(bed) => format!("\"{}\"", plain(&bed.name)),
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

    /// A pipe by the name of its size where it is listed.
    fn size(self, bore: f64, outside: f64) -> String {
        let same = |size: &&PipeSize| {
            (size.bore - bore).abs() < 5e-5 && (size.outside - outside).abs() < 5e-4
        };
        let bore = self.units.bore(bore);
        match PIPE_SIZES.iter().find(same) {
            Some(size) if matches!(size.schedule, Schedule::Sch40 | Schedule::Sch80) => {
                format!(
                    "{} in {} pipe ({bore} bore)",
                    size.nominal,
                    size.schedule.name()
                )
            }
            Some(size) => {
                format!(
                    "{} mm {} pipe ({bore} bore)",
                    size.nominal,
                    size.schedule.name()
                )
            }
            None => format!("pipe of {bore} bore"),
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

const fn bed_part(part: BedPart) -> (&'static str, Kind) {
    match part {
        BedPart::MediaDepth => ("the gravel", Kind::Length),
        BedPart::Void => ("a drainable void", Kind::Percent),
        BedPart::Grain => ("a grain size", Kind::Bore),
        BedPart::Fouling => ("the fouling of the gravel", Kind::Number),
        BedPart::GuardDiameter => ("the guard round the bell", Kind::Bore),
        BedPart::GuardOpenings => ("the openings of the guard", Kind::Area),
        BedPart::Share => ("the share of the pump's flow", Kind::Percent),
        BedPart::Flow => ("the inflow", Kind::Flow),
        BedPart::PipeBore => ("standpipe and drain", Kind::Bore),
        BedPart::PipeOutside => ("the outside of the standpipe", Kind::Bore),
        BedPart::StandpipeLength => ("the standpipe", Kind::Length),
        BedPart::Flare => ("the lip of the standpipe", Kind::Bore),
        BedPart::BellBore => ("the bell", Kind::Bore),
        BedPart::BellOutside => ("the outside of the bell", Kind::Bore),
        BedPart::Clearance => ("the clearance over the lip", Kind::Length),
        BedPart::SlotCount => ("the number of slots", Kind::Number),
        BedPart::SlotWidth => ("the slots", Kind::Bore),
        BedPart::SlotHeight => ("the crown of the slots over the bed's floor", Kind::Length),
        BedPart::TubeBore => ("the air tube", Kind::Bore),
        BedPart::TubeMouth => (
            "the mouth of the air tube over the bed's floor",
            Kind::Length,
        ),
        BedPart::AirLeak => ("the leak of air into the bell", Kind::Flow),
        BedPart::Outlet => ("the siphon's outlet", Kind::Elevation),
        BedPart::DrainLength => ("the siphon's pipe by itself", Kind::Length),
        BedPart::DrainK => ("the K of the siphon's pipe", Kind::Number),
        BedPart::DrainRoughness => ("the roughness of the siphon's pipe", Kind::Fine),
        BedPart::Junction => (
            "the way from the line's outlet to the junction",
            Kind::Length,
        ),
    }
}

const fn measure_words(measure: Measure) -> &'static str {
    match measure {
        Measure::Length => "length",
        Measure::Width => "width",
        Measure::Depth => "depth",
        Measure::Diameter => "diameter",
        Measure::TopLength => "length at the top",
        Measure::TopWidth => "width at the top",
        Measure::BottomLength => "length at the bottom",
        Measure::BottomWidth => "width at the bottom",
    }
}

/// "a box of 1.2 m by 1 m, 350 mm deep".
fn shape_words(shape: &VesselShape, units: UnitSystem) -> String {
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
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::hydraulics::pump_curve::PumpCurve;
    use crate::hydraulics::valves::ValveKind;
    use crate::model::{AirTube, Incident, IncidentTime, sample};
    use std::fmt::Write as _;

    /// One of each that is more than a number, and both ways where there are two.
    fn composites() -> Vec<Change> {
        let drum = VesselShape::UprightCylinder {
            diameter: 0.57,
            depth: 0.85,
        };
        let tube = AirTube {
            bore: 0.008,
            mouth_height: 0.045,
        };
        let shapes = [
            sample::tub(),
            drum.clone(),
            VesselShape::LyingCylinder {
                diameter: 0.57,
                length: 0.85,
            },
            VesselShape::Tapered {
                top_length: 1.2,
                top_width: 1.0,
                bottom_length: 1.1,
                bottom_width: 0.9,
                depth: 0.6,
            },
            VesselShape::Table {
                depth: vec![0.0, 0.4],
                area: vec![0.3, 0.4],
            },
        ];
        let mut all: Vec<Change> = shapes
            .map(|shape| Change::Replace {
                vessel: Vessel::Sump,
                shape,
            })
            .to_vec();
        all.extend([
            Change::RaiseAll { by: 0.08 },
            Change::RaiseAll { by: -0.08 },
            Change::RaiseBed { bed: 0, by: 0.05 },
            Change::RaiseBed { bed: 1, by: -0.05 },
            Change::Tip(Vessel::Tank),
            Change::Join { count: 2 },
            Change::Stretch {
                vessel: Vessel::Bed(0),
                area: 1.5,
            },
            Change::Valves(vec![(Outlet::Bed(0), 0.64), (Outlet::Bypass, 0.2)]),
            Change::PipeSize {
                bed: 0,
                bore: 0.0351,
                outside: 0.0422,
            },
            Change::PipeSize {
                bed: 0,
                bore: 0.0333,
                outside: 0.0400,
            },
            Change::BellSize {
                bed: 0,
                bore: 0.0963,
                outside: 0.1100,
            },
            Change::AirTube { bed: 0, tube: None },
            Change::AirTube {
                bed: 0,
                tube: Some(tube),
            },
            Change::FitValve {
                outlet: Outlet::Bed(1),
                kind: ValveKind::Gate,
                opening: 0.5,
            },
            Change::FitBypass(sample::branch(0.6)),
            Change::CheckValve(true),
            Change::CheckValve(false),
            Change::Vent(true),
            Change::Vent(false),
            Change::Pump(PumpSource::Steady(2e-4)),
            Change::Pump(PumpSource::Curve(
                PumpCurve::from_box_figures(2.4, 7e-4).unwrap(),
            )),
            Change::PumpSpeed(0.85),
            Change::Inflow { bed: 0, to: 1e-4 },
            Change::clean_gravel(0),
        ]);
        all.extend((0..5).map(Change::ClearIncident));
        all
    }

    /// Every number up and down, and every other change.
    fn all(system: &System) -> Vec<Change> {
        let mut all = Vec::new();
        for what in Quantity::all(system) {
            let now = what.value(system).unwrap();
            let (up, down) = match what {
                Quantity::Bed(_, BedPart::SlotCount) => (now + 2.0, now - 2.0),
                _ => (1.1 * now, 0.9 * now),
            };
            all.push(Change::set(what, up));
            all.push(Change::set(what, down));
        }
        all.extend(composites());
        all
    }

    fn sick() -> System {
        let mut system = sample::whole();
        let whats = [
            Disturbance::PumpStarts,
            Disturbance::SiphonBlocked(0),
            Disturbance::LineBlocked(0.4),
            Disturbance::ValveShut(1),
        ];
        system.incidents.extend(whats.map(|what| Incident {
            at: IncidentTime::Worst,
            what,
        }));
        system
    }

    fn told(units: UnitSystem) -> String {
        let system = sick();
        let mut text = String::new();
        for change in all(&system) {
            writeln!(text, "{}", change_words(&change, &system, units)).unwrap();
        }
        text
    }

    fn snapshot(name: &str, units: UnitSystem) {
        insta::with_settings!({ snapshot_path => "../../tests/snapshots", prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(name, told(units));
        });
    }

    #[test]
    fn every_change_has_words_in_metric_units() {
        snapshot("change-words-metric", UnitSystem::Metric);
    }

    #[test]
    fn every_change_has_words_in_us_units() {
        snapshot("change-words-us", UnitSystem::Us);
    }

    #[test]
    fn a_valve_is_opened_or_closed_in_whole_per_cent() {
        let system = sample::whole();
        let said = |opening| {
            let turn = Change::turn(Outlet::Bed(1), opening);
            change_words(&turn, &system, UnitSystem::Metric)
        };
        assert_eq!(said(0.64), "open the valve of \"south\" from 50 % to 64 %");
        assert_eq!(
            said(0.123),
            "close the valve of \"south\" from 50 % to 12 %"
        );
    }
}
