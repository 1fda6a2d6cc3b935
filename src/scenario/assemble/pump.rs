//! The pump.

use super::super::fault::Faults;
use super::super::node::Node;
use super::super::rule::Rule;
use super::{clash, label, optional, refuse};
use crate::hydraulics::pump_curve::{PumpCurve, PumpCurveError};
use crate::model::{
    Duration, MOST_STARTS, Misfit, Power, Pump, PumpSource, Rules, Schedule, Sump, USUAL_COVER,
};
use crate::units::HOUR;

/// The pump before its source is settled: measured inflows can stand in for one.
pub(super) struct PumpInWaiting {
    /// `None`: the file gives no source.
    pub source: Option<PumpSource>,
    intake_level: f64,
    minimum_cover: f64,
    power: Option<Power>,
    tariff: Option<f64>,
    schedule: Option<Schedule>,
    check_valve: bool,
}

impl PumpInWaiting {
    pub fn with_source(self, source: PumpSource) -> Pump {
        Pump {
            source,
            intake_level: self.intake_level,
            minimum_cover: self.minimum_cover,
            power: self.power,
            tariff: self.tariff,
            schedule: self.schedule,
            check_valve: self.check_valve,
        }
    }
}

pub(super) fn pump(
    node: &Node,
    sump: Option<&Sump>,
    faults: &mut Faults<'_>,
) -> Option<PumpInWaiting> {
    let source = source(node, faults);
    let fits = intake_fits(node, sump, faults);
    let has_curve = node.has("curve") || node.has("box");
    if node.has("efficiency") && !has_curve {
        let labels = vec![label(&node.span_of("efficiency"), "no head is known")];
        let help = "write power = \"38 W\" instead, from a meter or the pump's plate";
        refuse(
            faults,
            Misfit::EfficiencyWithoutCurve,
            node.path_of("efficiency"),
            labels,
            help,
        );
        return None;
    }
    let schedule = optional(node, "schedule", |timer| {
        Some(Schedule {
            on: timer.number("on")?,
            off: timer.number("off")?,
        })
    });
    fits?;
    let power = match (node.optional("power")?, node.optional("efficiency")?) {
        (Some(watts), _) => Some(Power::Watts(watts)),
        (None, Some(efficiency)) => Some(Power::Efficiency(efficiency)),
        (None, None) => None,
    };
    Some(PumpInWaiting {
        source: source?,
        intake_level: node.number("intake-level")?,
        minimum_cover: node.number_or("minimum-cover", USUAL_COVER)?,
        power,
        tariff: node.optional("tariff")?,
        schedule: schedule?,
        check_valve: node.flag_or("check-valve", false)?,
    })
}

/// The timer's starts can all be followed.
pub(super) fn timer_fits(node: &Node, duration: Duration, faults: &mut Faults<'_>) {
    let Some(timer) = node.table("schedule") else {
        return;
    };
    let (Some(on), Some(off)) = (timer.number("on"), timer.number("off")) else {
        return;
    };
    let (period, time) = (on + off, duration.at_most());
    if let Some(misfit) = Rules::timer_starts(period, time) {
        let hours = (MOST_STARTS * period / HOUR).floor();
        let help = format!(
            "write hours = {hours} or less, or an on and off of at least {:.0} s together",
            (time / MOST_STARTS).ceil()
        );
        let labels = vec![label(
            &node.span_of("schedule"),
            format!("from start to start {period:.1} s"),
        )];
        refuse(faults, misfit, node.path_of("schedule"), labels, help);
    }
}

/// `Some(None)` if the file gives no source, `None` if it is faulty.
fn source(node: &Node, faults: &mut Faults<'_>) -> Option<Option<PumpSource>> {
    if node.has("steady-flow") {
        return node
            .number("steady-flow")
            .map(|flow| Some(PumpSource::Steady(flow)));
    }
    let (curve, key) = if node.has("curve") {
        let points: Vec<(f64, f64)> = node
            .pairs("curve")?
            .iter()
            .map(|pair| pair.values)
            .collect();
        (PumpCurve::from_points(&points), "curve")
    } else if node.has("box") {
        let figures = node.table("box")?;
        let (head, flow) = (
            figures.number("shut-off-head")?,
            figures.number("open-flow")?,
        );
        (PumpCurve::from_box_figures(head, flow), "box")
    } else {
        return Some(None);
    };
    let speed = node.number_or("speed", 1.0)?;
    match curve.and_then(|curve| curve.at_speed(speed)) {
        Ok(curve) => Some(Some(PumpSource::Curve(curve))),
        Err(error) => {
            bad_curve(node, key, error, faults);
            None
        }
    }
}

fn bad_curve(node: &Node, key: &str, error: PumpCurveError, faults: &mut Faults<'_>) {
    let row = match error {
        PumpCurveError::BadPoint { row }
        | PumpCurveError::FlowNotRising { row }
        | PumpCurveError::NotFalling { row } => Some(row),
        _ => None,
    };
    let pair = row.and_then(|row| node.pairs("curve")?.get(row.checked_sub(1)?).cloned());
    let span = pair.map_or_else(|| node.span_of(key), |pair| pair.span);
    let path = row.map_or_else(|| node.path_of(key), |row| node.path_of(key).entry(row));
    let help = "list the points from no flow to the greatest flow, head falling from each to the next, such as \
                curve = [ [\"0 L/h\", \"2.4 m\"], [\"1000 L/h\", \"1.9 m\"], [\"2500 L/h\", \"0 m\"] ]"
        .to_owned();
    clash(
        faults,
        Rule::PumpCurve(error),
        path,
        vec![label(&span, "this point")],
        help,
    );
}

/// The intake lies in the sump, and the water it needs above it below the overflow.
fn intake_fits(node: &Node, sump: Option<&Sump>, faults: &mut Faults<'_>) -> Option<()> {
    let (Some(intake), Some(sump)) = (node.at("intake-level"), sump) else {
        return Some(());
    };
    let (shown, floor, overflow) = (
        faults.length(intake.value),
        faults.length(sump.floor),
        faults.length(sump.overflow_level),
    );
    let path = node.path_of("intake-level");
    if let Some(misfit) = Rules::intake_in_sump(intake.value, sump.floor, sump.overflow_level) {
        let labels = vec![label(
            &intake.span,
            format!("allowed: {floor} to below {overflow}"),
        )];
        let help = "intake-level is the elevation of the pump's intake above the room's floor";
        refuse(faults, misfit, path, labels, help);
        return None;
    }
    let cover = node.number_or("minimum-cover", USUAL_COVER)?;
    if let Some(misfit) = Rules::cover_under_overflow(intake.value + cover, sump.overflow_level) {
        let labels = vec![label(
            &intake.span,
            format!("intake at {shown} plus cover of {}", faults.length(cover)),
        )];
        let help = "lower the pump, or give the maker's figure as minimum-cover = \"20 mm\"";
        refuse(faults, misfit, path, labels, help);
        return None;
    }
    Some(())
}
