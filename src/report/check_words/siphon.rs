//! Start, break, inflow ratio, cap pressure and period of a siphon.

use crate::assessment::why::{
    BreakSeen, BreaksWhy, CrownWhy, InflowRatioWhy, LowRimWhy, Meanwhile, PastIt, PeriodWhy,
    StartReason, StartsWhy,
};
use crate::model::Band;
use crate::report::{Say, Text, said};
use crate::simulation::Regime;
use crate::units::HOUR;

/// What a siphon does that gets too little to start, and starts as its drain line empties.
pub(crate) const STARTS_LATE: &str = "stands just over its lip and trickles away, and starts only as \
                                      the water over its outlet falls and the head at its lip grows";

pub(super) fn starts(say: &Say, name: &str, why: &StartsWhy) -> Text {
    let inflow = || say.flow("inflow", why.inflow);
    let needs = || start_band(say, why.needs);
    let enough = || {
        said!(
            "{} gets at least {} at its lip and needs {} to start",
            name,
            inflow(),
            needs()
        )
    };
    match &why.reason {
        StartReason::LeakyBell {
            air,
            carried,
            certain,
            and_too_little,
        } => {
            let beside = if *and_too_little {
                said!(
                    " Beside that it gets only {} at its lip and needs {} to start.",
                    inflow(),
                    needs()
                )
            } else {
                Text::default()
            };
            said!(
                "The bell of {} lets in {} of air; priming carries away as little as {}, so it \
                 {} get rid of the air under its cap.{}",
                name,
                say.flow("air", *air),
                say.flow("carried", *carried),
                if *certain { "cannot" } else { "may not" },
                beside
            )
        }
        StartReason::ShutInRun => {
            said!(
                "The inlet valve of {} is shut, so no water comes to fill it to its lip.",
                name
            )
        }
        StartReason::Shut => said!(
            "The inlet valve of {} is shut, so no water comes; it needs {} to start.",
            name,
            needs()
        ),
        StartReason::NoWater => said!(
            "No water comes into {}; it needs {} to start.",
            name,
            needs()
        ),
        StartReason::LowRim(low) => low_rim(say, name, needs(), low),
        StartReason::NotAtLip { stands } => {
            let met = if *stands {
                "never reaches its lip, its water no longer rises"
            } else {
                "has not come to its lip in this run"
            };
            said!(
                "{} {}; its inflow is at least {}, and it needs {} to start.",
                name,
                met,
                inflow(),
                needs()
            )
        }
        StartReason::NeverFed => said!(
            "{} comes to its lip in this run only while the pump stands or draws air; its \
             inflow is at least {} else, and it needs {} to start.",
            name,
            inflow(),
            needs()
        ),
        StartReason::StartsAnyway { swings_to } => {
            let cause = match swings_to {
                Some(most) => said!(
                    "whenever its inflow, which swings up to {}, is greater",
                    say.flow("most", *most)
                ),
                None => {
                    return said!(
                        "{} gets only {} at its lip and needs {} to start: it {}.",
                        name,
                        inflow(),
                        needs(),
                        STARTS_LATE
                    );
                }
            };
            said!(
                "{} gets as little as {} at its lip and needs {} to start; in this \
                 run it starts {}.",
                name,
                inflow(),
                needs(),
                cause
            )
        }
        StartReason::DribblesAnyway => said!("{}, yet it dribbles in this run.", enough()),
        StartReason::EnoughButDry => said!(
            "{}, yet it dribbles in this run, for the sump runs dry and the pump draws air.",
            enough()
        ),
        StartReason::Enough { no_longer: true } => {
            said!(
                "{}, yet at the end of this run its water no longer comes to its lip.",
                enough()
            )
        }
        StartReason::Enough { no_longer: false } => said!("{}.", enough()),
        StartReason::InBand(meanwhile) => said!(
            "{} gets {} at its lip, inside the band in which nobody can say: it needs \
             {} to start.{}",
            name,
            inflow(),
            needs(),
            match meanwhile {
                Meanwhile::NoDribble => "",
                Meanwhile::Dribbles => " In this run it dribbles.",
                Meanwhile::DribblesForDrySump => {
                    " In this run it dribbles, for the sump runs dry and the pump draws air."
                }
            }
        ),
        StartReason::TooLittle => said!(
            "{} gets only {} at its lip and needs {} to start; it would dribble for \
             ever.",
            name,
            inflow(),
            needs()
        ),
    }
}

/// Why the start flow cannot be had under the rim, or may not.
fn low_rim(say: &Say, name: &str, needs: Text, low: &LowRimWhy) -> Text {
    let cause = match low.by_slots {
        Some(area) => said!(
            "The slots of the bell of {}, {} in all, hold its water back",
            name,
            say.area("slots_area", area)
        ),
        None => said!("The lip of {} stands close under its rim", name),
    };
    said!(
        "{}: with the bed full to the rim as little as {} runs over the lip, and it takes \
         {} to start. However much comes in, it {} and spills over the wall.",
        cause,
        say.flow("passed", low.passed),
        needs,
        if low.certain {
            "never starts"
        } else {
            "may not start"
        }
    )
}

/// The inflow at which it starts.
fn start_band(say: &Say, needs: Band) -> Text {
    say.band(["start_flow", "start_flow_low", "start_flow_high"], needs)
}

pub(super) fn breaks(say: &Say, name: &str, why: &BreaksWhy) -> Text {
    let inflow = || say.flow("inflow", why.inflow);
    let most = || say.band(["most", "most_low", "most_high"], why.most);
    let otherwise = || match why.past {
        PastIt::RunsFull => Text::from("runs full for ever"),
        PastIt::RunsFullAbove(stall) => said!(
            "no longer breaks, and above {} it runs full for ever",
            say.flow("stall", stall)
        ),
        PastIt::RunsOn => Text::from("swallows air and runs on instead of breaking"),
    };
    let never_met = |met: &str| {
        said!(
            "{} {}; its greatest inflow is {}, and above {} it {}.",
            name,
            met,
            inflow(),
            most(),
            otherwise()
        )
    };
    let mut text = match why.seen {
        BreakSeen::Starved => said!(
            "{} gets up to {} while the pump has water, and that decides: once it draws \
             air the inflow fails and any siphon breaks; above {} it {}.",
            name,
            inflow(),
            most(),
            otherwise()
        ),
        BreakSeen::Met => {
            said!(
                "{} gets up to {} at its break level; above {} it {}.",
                name,
                inflow(),
                most(),
                otherwise()
            )
        }
        BreakSeen::Unpowered => {
            never_met("broke in this run only while the pump did not feed it, which proves nothing")
        }
        BreakSeen::Never => never_met("never came down to its break level in this run"),
    };
    if let Some(depth) = why.under_water {
        text = text.and(said!(
            " Its outlet then stands {} under water.",
            say.length("under_water", depth)
        ));
    }
    if why.breaks_anyway {
        text = text.and(" In this run it breaks all the same.");
    }
    match why.never {
        Some(Regime::Stalls) => text.and(" In this run it stalls."),
        Some(_) => text.and(" In this run it runs on."),
        None => text,
    }
}

pub(super) fn inflow_ratio(say: &Say, name: &str, why: &InflowRatioWhy) -> Text {
    if why.siphon <= 0.0 {
        return said!(
            "The siphon of {} gives nothing at its break level. Its outlet is the cause: {}. {} \
             come in.",
            name,
            water_over(say, why.over_outlet),
            say.flow("inflow", why.inflow)
        );
    }
    said!(
        "The inflow of {}, {}, is {} of the {} its siphon gives at the break level; {} leaves it \
         room to empty the bed, and above {} little is left.",
        name,
        say.flow("inflow", why.inflow),
        say.percent("ratio", why.inflow / why.siphon),
        say.flow("siphon_flow", why.siphon),
        say.percent("limit_ratio", why.limit),
        say.percent("most_ratio", why.most)
    )
}

/// "the water there stands 640 mm over it and reaches its break level".
pub(in crate::report) fn water_over(say: &Say, over: f64) -> Text {
    if over > 0.0 {
        said!(
            "the water there stands {} over it and reaches its break level",
            say.length("over_outlet", over)
        )
    } else {
        Text::from("it is above the break level")
    }
}

pub(super) fn crown(say: &Say, name: &str, why: &CrownWhy) -> Text {
    if why.ran_full {
        said!(
            "The pressure under the cap of {} falls to {} absolute, at worst {}; below {} the \
             water column may part.",
            name,
            say.pressure("lowest", why.lowest),
            say.pressure("worst", why.worst),
            say.pressure("limit", why.limit)
        )
    } else {
        said!(
            "{} never ran full in this run; running full its cap would see {} absolute at worst, \
             and {} is the least.",
            name,
            say.pressure("worst", why.worst),
            say.pressure("limit", why.limit)
        )
    }
}

pub(super) fn period(say: &Say, name: &str, why: &PeriodWhy) -> Text {
    let wanted = said!(
        "{} to {} is common",
        say.time("wanted_low", why.wanted.0),
        say.time("wanted_high", why.wanted.1)
    );
    let mut text = match why.period {
        Some(period) if why.seen => said!(
            "{} floods every {}, {} times an hour; {}.",
            name,
            say.time("period", period),
            say.number("per_hour", HOUR / period, 1),
            wanted
        ),
        Some(period) => said!(
            "{} completed no cycle in this run; from volumes and flows it would flood every {}; \
             {}.",
            name,
            say.time("period", period),
            wanted
        ),
        None => said!(
            "{} completes no cycle, its mean inflow is {}; {}.",
            name,
            say.flow("inflow", why.inflow),
            wanted
        ),
    };
    if why.none_cycles {
        text = text.and(" In this run no bed completed a cycle: nothing shows that it works.");
    }
    text
}
