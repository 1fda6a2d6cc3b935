//! Sump, pump and drain line.

use crate::answer::plan::joining_words;
use crate::answer::run::keys::{
    BOUND_HIGH, BOUND_LOW, CAPACITY, COST, DEAD, ENERGY, FILL_RATIO, FLOW, FULLEST, GRADE,
    HALF_FULL, HEAD, JOINING, JOINING_FLOW, JOINING_WITHIN, LARGEST, LEAST_LEVEL, LEVEL, LINE_PEAK,
    MAY_SPILL, OVERFLOW, PEAK_FILL, RAN_DRY, SUMP_SPILLED, SURCHARGED,
};
use crate::answer::{At, Block, Figure, Row, Section, Text, said};
use crate::assessment::{LEVELS_DIFFER, Why};
use crate::report::Report;
use crate::simulation::LineOutcome;

/// The sections of the three.
pub(super) fn sections(report: &Report) -> Vec<Section> {
    let mut sections = vec![sump(report), pump(report)];
    sections.extend(
        report
            .run
            .line
            .as_ref()
            .map(|line| drain_line(report, line)),
    );
    sections
}

fn sump(report: &Report) -> Section {
    let at = At::top(report.units).part("sump");
    let (sump, bounds) = (&report.run.sump, &report.assessment.sump);
    let least = report.system.pump.least_level();
    let least = At::top(report.units)
        .part("pump")
        .figure(&LEAST_LEVEL, least);
    let high = at.figure(&BOUND_HIGH, bounds.high);
    let level = sump.level;
    let mut rows = vec![
        Row::new(
            "Water level",
            said!(
                "{} to {}, mean {}",
                at.named(&LEVEL, "min", level.min),
                at.named(&LEVEL, "max", level.max),
                at.named(&LEVEL, "mean", level.mean)
            ),
        ),
        Row::new(
            "Lowest in use",
            said!(
                "{}, with every bed at its peak at once and every siphon working",
                at.figure(&BOUND_LOW, bounds.low)
            ),
        ),
        Row::new("Pump needs", said!("{}, or it draws air", least)),
        Row::new(
            "Highest possible",
            highest_possible(report, high.clone(), &at),
        ),
        Row::new(
            "Spills at",
            at.figure(&OVERFLOW, report.system.sump.overflow_level),
        ),
        Row::new(
            "Siphons dead",
            said!(
                "{}, where none starts any more and every bed stands at its lip and over, its pipe \
                 taking all that comes{}",
                at.figure(&DEAD, bounds.dead_siphons),
                match bounds.dead_siphons < bounds.low {
                    true => ": then the beds hold more than at their peaks in use",
                    false => "",
                }
            ),
        ),
    ];
    if let Some(found) = &report.assessment.garden.joining {
        let figures = [
            at.figure(&JOINING, found.bore),
            at.figure(&JOINING_FLOW, found.flow),
            at.figure(&JOINING_WITHIN, LEVELS_DIFFER),
        ];
        rows.push(Row::new(
            "Joined by",
            joining_words(figures, found, report.units),
        ));
    }
    let dry = at.figure(&RAN_DRY, sump.ran_dry);
    let spilled = at.figure(&SUMP_SPILLED, sump.overflowed);
    if sump.ran_dry > 0.0 {
        rows.push(Row::new("Drew air", said!("for {} in all", dry.clone())));
    }
    if sump.overflowed > 0.0 {
        rows.push(Row::new("Spilled", spilled.clone()));
    }
    Section::new("Sump")
        .with(Block::Rows(rows))
        .with(Block::Data(vec![high, dry, spilled]))
}

/// The highest water of the sump, and what it spills where that finds no room.
fn highest_possible(report: &Report, high: Figure, at: &At) -> Text {
    let mut checks = report.assessment.checks.iter();
    let lost = checks.find_map(|check| match &check.why {
        Why::SumpHigh(why) => why.lost,
        _ => None,
    });
    match lost {
        Some(lost) => said!(
            "its overflow: it spills {} with every bed drained and the pump off",
            at.figure(&MAY_SPILL, lost)
        ),
        None => said!("{}, with every bed drained and the pump off", high),
    }
}

fn pump(report: &Report) -> Section {
    let at = At::top(report.units).part("pump");
    let pump = &report.run.pump;
    let head = match pump.head {
        Some(head) => at.spread(&HEAD, head),
        None => "not known: its flow was measured, its curve is not given".into(),
    };
    let day = pump.energy_kwh_day;
    let energy = match (day, report.system.pump.tariff) {
        (None, _) => "not known: the scenario gives no power".into(),
        (Some(day), None) => said!("{} a day", at.figure(&ENERGY, day)),
        (Some(day), Some(tariff)) => said!(
            "{} a day, costing {} a day in the currency of the tariff",
            at.figure(&ENERGY, day),
            at.shown(&COST, day * tariff, format!("{:.2}", day * tariff))
        ),
    };
    Section::new("Pump").with(Block::Rows(vec![
        Row::new("Flow", at.spread(&FLOW, pump.flow)),
        Row::new("Head", head),
        Row::new("Energy", energy),
    ]))
}

fn drain_line(report: &Report, line: &LineOutcome) -> Section {
    let at = At::top(report.units).part("drain_line");
    let fullest = report.bed_named(&at, &FULLEST, line.fullest_bed);
    let surcharged = at.figure(&SURCHARGED, line.surcharged);
    let mut rows = vec![
        Row::new("Peak flow", at.figure(&LINE_PEAK, line.peak_flow)),
        Row::new(
            "Carries",
            said!(
                "{} by gravity, {} half full",
                at.figure(&CAPACITY, line.capacity),
                at.figure(&HALF_FULL, line.half_full)
            ),
        ),
        Row::new(
            "Fullest",
            said!(
                "{} of its diameter ({} to {}) just above the drain of {}",
                at.named(&FILL_RATIO, "nominal", line.fill.nominal),
                at.named(&FILL_RATIO, "low", line.fill.low),
                at.named(&FILL_RATIO, "high", line.fill.high),
                fullest
            ),
        ),
        Row::new(
            "Under pressure",
            if line.surcharged > 0.0 {
                said!("for {} in all", surcharged)
            } else {
                surcharged.said("never").into()
            },
        ),
        Row::new(
            "Highest grade",
            said!("{} at its upper end", at.figure(&GRADE, line.peak_grade)),
        ),
    ];
    if let Some(largest) = report.bed_named(&at, &LARGEST, line.largest_bed) {
        rows.push(Row::new(
            "Largest siphon",
            said!("{}, at the peak", largest),
        ));
    }
    Section::new("Drain line")
        .with(Block::Rows(rows))
        .with(Block::Data(vec![at.figure(&PEAK_FILL, line.peak_fill)]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Sample;
    use crate::units::UnitSystem::Metric;

    // By hand: 0.912 kWh a day at 0.30 each are 0.2736 a day.
    #[test]
    fn energy_costs_what_the_tariff_says() {
        let mut sample = Sample::new();
        let said = |sample: &Sample| {
            let section = pump(&sample.report(Metric));
            let Some(Block::Rows(rows)) = section.blocks.first() else {
                return String::new();
            };
            rows[2].text.to_string()
        };
        assert_eq!(said(&sample), "0.91 kWh a day");
        sample.system.pump.tariff = Some(0.30);
        assert_eq!(
            said(&sample),
            "0.91 kWh a day, costing 0.27 a day in the currency of the tariff"
        );
        sample.run.pump.energy_kwh_day = None;
        assert_eq!(said(&sample), "not known: the scenario gives no power");
    }
}
