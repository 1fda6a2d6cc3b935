//! In what two systems of the same parts list differ.

use super::place::{self, path};
use crate::hydraulics::pump_curve::PumpCurve;
use crate::model::{
    BedPart, BranchPart, Incident, Inlet, Outlet, Pipe, PumpPart, PumpSource, Quantity, System,
    Vessel,
};
use crate::scenario::typed_edit::EditPath;

/// One thing that is not the same.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Difference {
    /// A number.
    Number(Quantity),
    /// Another kind of shape, or other areas of a table.
    Shape(Vessel),
    /// Another way to feed a bed.
    Inlet(usize),
    /// A valve that was not there, or of another kind.
    Valve(Outlet),
    /// Another pump.
    Source,
    /// An air tube that was not there, or is no more.
    AirTube(usize),
    /// With or without a check valve.
    CheckValve,
    /// Pipes sealed into the sump's wall or not.
    Sealed,
    /// Open to the air or not.
    Vented,
    /// More or fewer vessels joined to the sump.
    Joined,
    /// An event that does not happen any more.
    Incident(usize),
}

impl Difference {
    /// The keys it is written under in the scenario of `after`.
    pub(super) fn path(&self, after: &System) -> Option<EditPath> {
        Some(match *self {
            Self::Number(what) => return place::of(what, after),
            Self::Shape(vessel) => place::of_vessel(vessel, "shape"),
            Self::Inlet(i) => path(Some(("bed", i)), "inlet"),
            Self::Valve(outlet) => place::of_branch(outlet, "valve"),
            Self::Source => path(None, "pump"),
            Self::AirTube(i) => path(Some(("bed", i)), "bell.air-tube"),
            Self::CheckValve => path(None, "pump.check-valve"),
            Self::Sealed => path(None, "sump.sealed-entries"),
            Self::Vented => path(None, "drain-line.vented"),
            Self::Joined => path(None, "sump.count"),
            Self::Incident(n) => path(Some(("event", n)), ""),
        })
    }
}

/// Whether two numbers differ by no more than the share `slack` of the larger.
pub(super) fn close(a: f64, b: f64, slack: f64) -> bool {
    // Sums of levels that should vanish leave as little as this.
    (a - b).abs() <= (slack * a.abs().max(b.abs())).max(1e-12 * slack.sqrt())
}

/// Everything in `after` that is not as `before`, numbers by more than the share `slack`.
pub(super) fn differences(before: &System, after: &System, slack: f64) -> Vec<Difference> {
    let mut found = structure(before, after, slack);
    let said = |what: Quantity| {
        found.iter().any(|one| match (one, what) {
            (Difference::Shape(a), Quantity::Measure(b, _)) => *a == b,
            (Difference::Inlet(i), Quantity::Bed(k, BedPart::Share | BedPart::Flow)) => *i == k,
            (
                Difference::Inlet(i),
                Quantity::Branch(Outlet::Bed(k), _)
                | Quantity::Pipe(Pipe::Branch(Outlet::Bed(k)), _),
            ) => *i == k,
            (Difference::Valve(a), Quantity::Branch(b, BranchPart::Opening)) => *a == b,
            (Difference::AirTube(i), Quantity::Bed(k, BedPart::TubeBore | BedPart::TubeMouth)) => {
                *i == k
            }
            (Difference::Source, Quantity::Pump(PumpPart::SteadyFlow)) => true,
            _ => false,
        })
    };
    let numbers: Vec<Difference> = Quantity::all(after)
        .into_iter()
        .filter(|what| !said(*what) && differs(*what, before, after, slack))
        .map(Difference::Number)
        .collect();
    found.extend(numbers);
    found
}

fn differs(what: Quantity, before: &System, after: &System, slack: f64) -> bool {
    if let Quantity::Coefficient(which) = what {
        let (a, b) = (before.coefficients[which], after.coefficients[which]);
        return !(close(a.low, b.low, slack)
            && close(a.nominal, b.nominal, slack)
            && close(a.high, b.high, slack));
    }
    match (what.value(before), what.value(after)) {
        (Some(a), Some(b)) => !close(a, b, slack),
        (None, Some(_)) => true,
        (_, None) => false,
    }
}

fn structure(before: &System, after: &System, slack: f64) -> Vec<Difference> {
    let mut found = Vec::new();
    let vessels = [Vessel::Sump, Vessel::Tank, Vessel::Settler];
    let beds = 0..after.beds.len();
    for vessel in vessels.into_iter().chain(beds.clone().map(Vessel::Bed)) {
        if let (Some(a), Some(b)) = (before.shape_of(vessel), after.shape_of(vessel))
            && (place::shape_key(a) != place::shape_key(b)
                || (place::shape_key(b) == "table" && !same_table(a, b, slack)))
        {
            found.push(Difference::Shape(vessel));
        }
    }
    if !same_source(&before.pump.source, &after.pump.source, slack) {
        found.push(Difference::Source);
    }
    for i in beds.clone() {
        let (a, b) = (&before.beds[i], &after.beds[i]);
        let kind = |inlet: &Inlet| std::mem::discriminant(inlet);
        if kind(&a.inlet) != kind(&b.inlet) {
            found.push(Difference::Inlet(i));
        }
        if a.siphon.bell.air_tube.is_some() != b.siphon.bell.air_tube.is_some() {
            found.push(Difference::AirTube(i));
        }
    }
    let outlets = [Outlet::Bypass, Outlet::Tank, Outlet::Settler].into_iter();
    for outlet in outlets.chain(beds.map(Outlet::Bed)) {
        let kind = |system: &System| {
            let branch = system.branch_to(outlet)?;
            branch.valve.as_ref().map(|valve| valve.kind)
        };
        if kind(after).is_some() && kind(before) != kind(after) {
            found.push(Difference::Valve(outlet));
        }
    }
    if before.pump.check_valve != after.pump.check_valve {
        found.push(Difference::CheckValve);
    }
    if before.sump.sealed_entries != after.sump.sealed_entries {
        found.push(Difference::Sealed);
    }
    let vented = |system: &System| system.drain_line.as_ref().map(|line| line.vented);
    if vented(before) != vented(after) {
        found.push(Difference::Vented);
    }
    if before.sump.count != after.sump.count {
        found.push(Difference::Joined);
    }
    let gone = cleared(&before.incidents, &after.incidents);
    found.extend(gone.into_iter().map(Difference::Incident));
    found
}

fn same_table(
    a: &crate::hydraulics::vessel::VesselShape,
    b: &crate::hydraulics::vessel::VesselShape,
    slack: f64,
) -> bool {
    use crate::hydraulics::vessel::VesselShape::Table;
    let (Table { depth, area }, Table { depth: d, area: r }) = (a, b) else {
        return false;
    };
    let same = |a: &[f64], b: &[f64]| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| close(*a, *b, slack))
    };
    same(depth, d) && same(area, r)
}

fn same_source(a: &PumpSource, b: &PumpSource, slack: f64) -> bool {
    match (a, b) {
        // Its flow is a number of its own.
        (PumpSource::Steady(_), PumpSource::Steady(_)) => true,
        (PumpSource::Curve(a), PumpSource::Curve(b)) => same_curve(a, b, slack),
        _ => false,
    }
}

pub(super) fn same_curve(a: &PumpCurve, b: &PumpCurve, slack: f64) -> bool {
    let (one, other) = (a.points(), b.points());
    a.is_estimate() == b.is_estimate()
        && one.len() == other.len()
        && one
            .iter()
            .zip(&other)
            .all(|(a, b)| close(a.0, b.0, slack) && close(a.1, b.1, slack))
}

/// Which of `before` are not in `after`, counting from the last.
fn cleared(before: &[Incident], after: &[Incident]) -> Vec<usize> {
    let mut left = after.iter().rev().peekable();
    let mut gone = Vec::new();
    for (n, one) in before.iter().enumerate().rev() {
        if left.peek() == Some(&one) {
            left.next();
        } else {
            gone.push(n);
        }
    }
    gone
}
