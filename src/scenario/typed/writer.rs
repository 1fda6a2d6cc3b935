//! The edits that say a difference.

use toml_edit::{Array, DocumentMut, InlineTable, Value};

use super::differs::{Difference, close, same_curve};
use super::{SAME, figure, place};
use crate::hydraulics::pipe_sizes::{PIPE_SIZES, PipeSize, Schedule};
use crate::hydraulics::pump_curve::PumpCurve;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    BedPart, DrainLosses, Inlet, Level, Measure, PipePart, PumpPart, PumpSource, Quantity, System,
    Vessel,
};
use crate::scenario::edit::value_at;
use crate::scenario::typed_edit::{Edit, EditPath, Part};
use crate::units::UnitSystem;
use crate::units::table::Quantity as Kind;

/// Turns differences into edits of one document.
pub(super) struct Writer<'a> {
    document: &'a DocumentMut,
    before: &'a System,
    after: &'a System,
    usual: UnitSystem,
    /// Leaves keys out that a default may say by itself.
    lean: bool,
}

impl<'a> Writer<'a> {
    pub(super) fn new(
        document: &'a DocumentMut,
        before: &'a System,
        after: &'a System,
        lean: bool,
    ) -> Self {
        Self {
            usual: figure::units_of(&document.to_string()),
            document,
            before,
            after,
            lean,
        }
    }

    pub(super) fn edits(&self, differences: &[Difference]) -> Vec<Edit> {
        let mut edits = Vec::new();
        for one in differences {
            // What has no key is found missing when the text is read again.
            let _ = self.edit(one, &mut edits);
        }
        edits
    }

    fn edit(&self, one: &Difference, edits: &mut Vec<Edit>) -> Option<()> {
        let path = one.path(self.after)?;
        match one {
            Difference::Number(what) => self.number(*what, &path, edits)?,
            Difference::Shape(vessel) => {
                let shape = self.shape(self.after.shape_of(*vessel)?);
                edits.push(Edit::new(path, Some(shape)));
            }
            Difference::Inlet(i) => {
                let inlet = match self.after.beds.get(*i)?.inlet {
                    Inlet::Share(share) => table([("share", figure::number(share)?)]),
                    Inlet::Measured(flow) => table([("flow", self.figure(Kind::Flow, flow))]),
                    Inlet::Piped(_) => return None,
                };
                edits.push(Edit::new(path, Some(inlet)));
            }
            Difference::Valve(outlet) => {
                let valve = self.after.branch_to(*outlet)?.valve.as_ref()?;
                let opening = figure::number(valve.opening)?;
                edits.push(Edit::new(path, Some(table([(valve.kind.name(), opening)]))));
            }
            Difference::AirTube(i) => {
                let bed = self.after.beds.get(*i)?;
                let of = |part| Quantity::Bed(*i, part).value(self.after);
                let tube = bed.siphon.bell.air_tube.as_ref().map(|tube| {
                    let mouth = of(BedPart::TubeMouth).unwrap_or_default();
                    table([
                        ("bore", self.figure(Kind::Length, tube.bore)),
                        ("mouth", self.figure(Kind::Length, mouth)),
                    ])
                });
                edits.push(Edit::new(path, tube));
            }
            Difference::CheckValve => {
                let fitted = Value::from(self.after.pump.check_valve);
                edits.push(Edit::new(path, Some(fitted)));
            }
            Difference::Sealed => {
                let sealed = Value::from(self.after.sump.sealed_entries);
                edits.push(Edit::new(path, Some(sealed)));
            }
            Difference::Vented => {
                let open = Value::from(self.after.drain_line.as_ref()?.vented);
                edits.push(Edit::new(path, Some(open)));
            }
            Difference::Joined if self.after.sump.count == 1 => self.remove(&path, edits),
            Difference::Joined => {
                let count = Value::from(i64::from(self.after.sump.count));
                edits.push(Edit::new(path, Some(count)));
            }
            Difference::Incident(_) => edits.push(Edit::new(path, None)),
            Difference::Source => self.source(edits)?,
        }
        Some(())
    }

    fn number(&self, what: Quantity, path: &EditPath, edits: &mut Vec<Edit>) -> Option<()> {
        let value = what.value(self.after)?;
        match what {
            Quantity::Bed(i, BedPart::PipeBore) => {
                let outside = Quantity::Bed(i, BedPart::PipeOutside).value(self.after);
                self.bore(path, value, outside, edits)
            }
            Quantity::Bed(i, BedPart::BellBore) => {
                let outside = Quantity::Bed(i, BedPart::BellOutside).value(self.after);
                self.bore(path, value, outside, edits)
            }
            Quantity::Pipe(_, PipePart::Bore) => self.bore(path, value, None, edits),
            Quantity::Pipe(_, PipePart::K) => self.loss(what, path, value, edits),
            Quantity::Bed(i, BedPart::DrainK) => {
                match self.after.beds.get(i)?.siphon.drain.losses {
                    DrainLosses::Computed { .. } => self.loss(what, path, value, edits),
                    DrainLosses::Total { .. } => self.plain(path, value, edits),
                }
            }
            Quantity::Coefficient(which) => {
                let band = self.after.coefficients[which];
                if close(band.low, band.high, SAME) {
                    return self.plain(path, value, edits);
                }
                let mut list = Array::new();
                for end in [band.low, band.nominal, band.high] {
                    list.push(figure::number(end)?);
                }
                edits.push(Edit::new(path.clone(), Some(Value::Array(list))));
                Some(())
            }
            Quantity::Pump(part @ (PumpPart::Power | PumpPart::Efficiency)) => {
                // A scenario says one or the other.
                let other = match part {
                    PumpPart::Power => "efficiency",
                    _ => "power",
                };
                self.remove(&beside(path, other), edits);
                self.plain(path, value, edits)
            }
            _ if self.lean && has_default(what) && self.now(path).is_none() => Some(()),
            _ => self.plain(path, value, edits),
        }
    }

    /// One figure under its key.
    fn plain(&self, path: &EditPath, value: f64, edits: &mut Vec<Edit>) -> Option<()> {
        let value = figure::at(path, value, self.now(path), self.usual)?;
        edits.push(Edit::new(path.clone(), Some(value)));
        Some(())
    }

    /// A bore by its measure, or by the name of its size where the file has a name and the
    /// size is listed.
    fn bore(
        &self,
        path: &EditPath,
        bore: f64,
        outside: Option<f64>,
        edits: &mut Vec<Edit>,
    ) -> Option<()> {
        let (nominal, schedule) = (beside(path, "nominal"), beside(path, "schedule"));
        if self.now(&nominal).is_none() {
            return self.plain(path, bore, edits);
        }
        match listed(bore, outside) {
            Some(size) => {
                edits.push(Edit::new(nominal, Some(Value::from(size.nominal))));
                let series = Value::from(series_key(size.schedule));
                edits.push(Edit::new(schedule, Some(series)));
            }
            None => {
                self.remove(&nominal, edits);
                self.remove(&schedule, edits);
                self.plain(path, bore, edits)?;
            }
        }
        Some(())
    }

    /// The summed K: `k` makes up for what the fittings do not say.
    fn loss(
        &self,
        what: Quantity,
        path: &EditPath,
        value: f64,
        edits: &mut Vec<Edit>,
    ) -> Option<()> {
        let now = self.now(path);
        let own = now.map_or(Some(0.0), |now| {
            now.as_float().or(now.as_integer().map(|k| k as f64))
        })?;
        let fittings = what.value(self.before).map_or(0.0, |sum| sum - own);
        // The fittings alone lose more: they go, and `k` says it all.
        if value < fittings - SAME {
            self.remove(&beside(path, "fittings"), edits);
            return self.plain(path, value, edits);
        }
        self.plain(path, (value - fittings).max(0.0), edits)
    }

    /// Another pump, or the same at another speed.
    fn source(&self, edits: &mut Vec<Edit>) -> Option<()> {
        let key = |key: &str| place::path(None, &format!("pump.{key}"));
        let without = |keys: &[&str], edits: &mut Vec<Edit>| {
            for one in keys {
                self.remove(&key(one), edits);
            }
        };
        match (&self.before.pump.source, &self.after.pump.source) {
            (_, PumpSource::Steady(flow)) => {
                without(&["curve", "box", "speed"], edits);
                self.plain(&key("steady-flow"), *flow, edits)
            }
            (PumpSource::Curve(was), PumpSource::Curve(is)) if ratio(was, is).is_some() => {
                let speed = key("speed");
                let now = self.now(&speed).map_or(Some(1.0), |now| {
                    now.as_float().or(now.as_integer().map(|k| k as f64))
                })?;
                self.plain(&speed, now * ratio(was, is)?, edits)
            }
            (_, PumpSource::Curve(curve)) => {
                without(&["steady-flow", "speed"], edits);
                let (value, new, old) = match curve {
                    PumpCurve::Parabola {
                        shut_off_head,
                        open_flow,
                    } => {
                        let figures = table([
                            ("shut-off-head", self.figure(Kind::Length, *shut_off_head)),
                            ("open-flow", self.figure(Kind::Flow, *open_flow)),
                        ]);
                        (figures, "box", "curve")
                    }
                    PumpCurve::Points(_) => (self.points(curve), "curve", "box"),
                };
                without(&[old], edits);
                edits.push(Edit::new(key(new), Some(value)));
                Some(())
            }
        }
    }

    fn points(&self, curve: &PumpCurve) -> Value {
        let mut list = Array::new();
        for (flow, head) in curve.points() {
            let mut pair = Array::new();
            pair.push(self.figure(Kind::Flow, flow));
            pair.push(self.figure(Kind::Length, head));
            list.push(pair);
        }
        Value::Array(list)
    }

    fn shape(&self, shape: &VesselShape) -> Value {
        let measures = match shape {
            VesselShape::Table { depth, area } => {
                let list = |kind, values: &[f64]| {
                    let figures = values.iter().map(|value| self.figure(kind, *value));
                    Value::Array(figures.collect())
                };
                table([
                    ("depth", list(Kind::Length, depth)),
                    ("area", list(Kind::Area, area)),
                ])
            }
            _ => table(Measure::ALL.into_iter().filter_map(|measure| {
                let value = measure.of(shape)?;
                Some((
                    place::measure_key(measure),
                    self.figure(Kind::Length, value),
                ))
            })),
        };
        table([(place::shape_key(shape), measures)])
    }

    fn figure(&self, kind: Kind, value: f64) -> Value {
        Value::from(figure::text(kind, value, None, self.usual))
    }

    fn remove(&self, path: &EditPath, edits: &mut Vec<Edit>) {
        if value_at(self.document, path).is_some() {
            edits.push(Edit::new(path.clone(), None));
        }
    }

    /// What stands there, where it is a value.
    fn now(&self, path: &EditPath) -> Option<&'a Value> {
        value_at(self.document, path)?.as_value()
    }
}

/// Numbers that a scenario may leave to other keys.
fn has_default(what: Quantity) -> bool {
    matches!(
        what,
        Quantity::Bed(
            _,
            BedPart::PipeOutside | BedPart::BellOutside | BedPart::Flare | BedPart::Junction
        ) | Quantity::Level(Vessel::Bed(_), Level::Overflow)
            | Quantity::Level(Vessel::Tank, Level::Start)
            | Quantity::Pump(PumpPart::SteadyFlow)
    )
}

/// The key `name` in the table of `path`.
fn beside(path: &EditPath, name: &str) -> EditPath {
    let mut parts = path.parts().to_vec();
    parts.pop();
    parts.push(Part::Name(name.to_owned()));
    EditPath::of(parts)
}

fn table<'k>(entries: impl IntoIterator<Item = (&'k str, Value)>) -> Value {
    let mut table = InlineTable::new();
    for (key, value) in entries {
        table.insert(key, value);
    }
    Value::InlineTable(table)
}

/// The listed size of these diameters.
fn listed(bore: f64, outside: Option<f64>) -> Option<&'static PipeSize> {
    PIPE_SIZES.iter().find(|size| {
        close(size.bore, bore, SAME)
            && outside.is_none_or(|outside| close(size.outside, outside, SAME))
    })
}

/// As the format has it.
const fn series_key(schedule: Schedule) -> &'static str {
    match schedule {
        Schedule::Sch40 => "40",
        Schedule::Sch80 => "80",
        Schedule::Pn10 => "PN10",
        Schedule::Pn16 => "PN16",
    }
}

/// The speed of `is` over that of `was`, where it is the same pump.
fn ratio(was: &PumpCurve, is: &PumpCurve) -> Option<f64> {
    // The open flow goes with the speed.
    let ratio = is.open_flow() / was.open_flow();
    let turned = was.at_speed(ratio).ok()?;
    same_curve(&turned, is, SAME).then_some(ratio)
}
