//! Start, break, inflow ratio, cap pressure and period of a siphon.

use crate::assessment::why::{
    BreakSeen, BreaksWhy, CrownWhy, InflowRatioWhy, LowRimWhy, PastIt, PeriodWhy, StartReason,
    StartsWhy,
};
use crate::report::check_words::Say;
use crate::simulation::Regime;
use crate::units::HOUR;
use crate::units::UnitSystem;

pub(super) fn starts(say: &Say, name: &str, why: &StartsWhy) -> String {
    let units = say.units;
    let inflow = units.flow(why.inflow);
    let band = say.band(why.needs);
    let enough = format!("{name} gets at least {inflow} at its lip and needs {band} to start");
    match &why.reason {
        StartReason::LeakyBell {
            air,
            carried,
            certain,
            and_too_little,
        } => {
            let beside = if *and_too_little {
                format!(" Beside that it gets only {inflow} at its lip and needs {band} to start.")
            } else {
                String::new()
            };
            format!(
                "The bell of {name} lets in {} of air; priming carries away as little as {}, so it \
                 {} get rid of the air under its cap.{beside}",
                units.flow(*air),
                units.flow(*carried),
                if *certain { "cannot" } else { "may not" }
            )
        }
        StartReason::ShutInRun => {
            format!("The inlet valve of {name} is shut, so no water comes to fill it to its lip.")
        }
        StartReason::Shut => format!(
            "The inlet valve of {name} is shut, so no water comes; it needs {band} to start."
        ),
        StartReason::NoWater => format!("No water comes into {name}; it needs {band} to start."),
        StartReason::LowRim(low) => low_rim(units, name, &band, low),
        StartReason::NotAtLip { stands } => {
            let met = if *stands {
                "never reaches its lip, its water no longer rises"
            } else {
                "has not come to its lip in this run"
            };
            format!("{name} {met}; its inflow is at least {inflow}, and it needs {band} to start.")
        }
        StartReason::NeverFed => format!(
            "{name} comes to its lip in this run only while the pump stands or draws air; its \
             inflow is at least {inflow} else, and it needs {band} to start."
        ),
        StartReason::StartsAnyway { swings_to } => {
            let cause = match swings_to {
                Some(most) => format!(
                    "whenever its inflow, which swings up to {}, is greater",
                    units.flow(*most)
                ),
                None => {
                    "as the water over its outlet falls and the head at its lip grows".to_owned()
                }
            };
            format!(
                "{name} gets as little as {inflow} at its lip and needs {band} to start; in this \
                 run it starts {cause}."
            )
        }
        StartReason::DribblesAnyway => format!("{enough}, yet it dribbles in this run."),
        StartReason::Enough { no_longer: true } => {
            format!("{enough}, yet at the end of this run its water no longer comes to its lip.")
        }
        StartReason::Enough { no_longer: false } => format!("{enough}."),
        StartReason::InBand { dribbles } => format!(
            "{name} gets {inflow} at its lip, inside the band in which nobody can say: it needs \
             {band} to start.{}",
            if *dribbles {
                " In this run it dribbles."
            } else {
                ""
            }
        ),
        StartReason::TooLittle => format!(
            "{name} gets only {inflow} at its lip and needs {band} to start; it would dribble for \
             ever."
        ),
    }
}

/// Why the start flow cannot be had under the rim, or may not.
fn low_rim(units: UnitSystem, name: &str, band: &str, low: &LowRimWhy) -> String {
    let cause = match low.by_slots {
        Some(area) => format!(
            "The slots of the bell of {name}, {} in all, hold its water back",
            units.area(area)
        ),
        None => format!("The lip of {name} stands close under its rim"),
    };
    format!(
        "{cause}: with the bed full to the rim as little as {} runs over the lip, and it takes \
         {band} to start. However much comes in, it {} and spills over the wall.",
        units.flow(low.passed),
        if low.certain {
            "never starts"
        } else {
            "may not start"
        }
    )
}

pub(super) fn breaks(say: &Say, name: &str, why: &BreaksWhy) -> String {
    let units = say.units;
    let inflow = units.flow(why.inflow);
    let most = say.band(why.most);
    let otherwise = match why.past {
        PastIt::RunsFull => "runs full for ever".to_owned(),
        PastIt::RunsFullAbove(stall) => format!(
            "no longer breaks, and above {} it runs full for ever",
            units.flow(stall)
        ),
        PastIt::RunsOn => "swallows air and runs on instead of breaking".to_owned(),
    };
    let never_met = |met: &str| {
        format!("{name} {met}; its greatest inflow is {inflow}, and above {most} it {otherwise}.")
    };
    let mut text = match why.seen {
        BreakSeen::Starved => format!(
            "{name} gets up to {inflow} while the pump has water, and that decides: once it draws \
             air the inflow fails and any siphon breaks; above {most} it {otherwise}."
        ),
        BreakSeen::Met => {
            format!("{name} gets up to {inflow} at its break level; above {most} it {otherwise}.")
        }
        BreakSeen::Unpowered => {
            never_met("broke in this run only while the pump did not feed it, which proves nothing")
        }
        BreakSeen::Never => never_met("never came down to its break level in this run"),
    };
    if let Some(depth) = why.under_water {
        text += &format!(
            " Its outlet then stands {} under water.",
            units.length(depth)
        );
    }
    if why.breaks_anyway {
        text += " In this run it breaks all the same.";
    }
    match why.never {
        Some(Regime::Stalls) => text += " In this run it stalls.",
        Some(_) => text += " In this run it runs on.",
        None => {}
    }
    text
}

pub(super) fn inflow_ratio(say: &Say, name: &str, why: &InflowRatioWhy) -> String {
    let units = say.units;
    if why.siphon <= 0.0 {
        return format!(
            "The siphon of {name} gives nothing at its break level. Its outlet is the cause: {}. {} \
             come in.",
            water_over(units, why.over_outlet),
            units.flow(why.inflow)
        );
    }
    format!(
        "The inflow of {name}, {}, is {} of the {} its siphon gives at the break level; {} leaves it \
         room to empty the bed, and above {} little is left.",
        units.flow(why.inflow),
        units.percent(why.inflow / why.siphon),
        units.flow(why.siphon),
        units.percent(why.limit),
        units.percent(why.most)
    )
}

/// "the water there stands 640 mm over it and reaches its break level".
pub(in crate::report) fn water_over(units: UnitSystem, over: f64) -> String {
    if over > 0.0 {
        let over = units.length(over);
        format!("the water there stands {over} over it and reaches its break level")
    } else {
        "it is above the break level".to_owned()
    }
}

pub(super) fn crown(say: &Say, name: &str, why: &CrownWhy) -> String {
    let units = say.units;
    if why.ran_full {
        format!(
            "The pressure under the cap of {name} falls to {} absolute, at worst {}; below {} the \
             water column may part.",
            units.pressure(why.lowest),
            units.pressure(why.worst),
            units.pressure(why.limit)
        )
    } else {
        format!(
            "{name} never ran full in this run; running full its cap would see {} absolute at worst, \
             and {} is the least.",
            units.pressure(why.worst),
            units.pressure(why.limit)
        )
    }
}

pub(super) fn period(say: &Say, name: &str, why: &PeriodWhy) -> String {
    let units = say.units;
    let wanted = format!(
        "{} to {} is common",
        units.time(why.wanted.0),
        units.time(why.wanted.1)
    );
    let mut text = match why.period {
        Some(period) if why.seen => format!(
            "{name} floods every {}, {:.1} times an hour; {wanted}.",
            units.time(period),
            HOUR / period
        ),
        Some(period) => format!(
            "{name} completed no cycle in this run; from volumes and flows it would flood every {}; \
             {wanted}.",
            units.time(period)
        ),
        None => format!(
            "{name} completes no cycle, its mean inflow is {}; {wanted}.",
            units.flow(why.inflow)
        ),
    };
    if why.none_cycles {
        text += " In this run no bed completed a cycle: nothing shows that it works.";
    }
    text
}
