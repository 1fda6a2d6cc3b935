//! Fall and size of drains and drain line.

use crate::assessment::why::{DrainLineWhy, FallWhy, LineFallWhy, LineSlopeWhy, Receiver};
use crate::report::check_words::Say;

pub(super) fn fall(say: &Say, name: &str, why: &FallWhy) -> String {
    let units = say.units;
    let floor = format!(
        "The floor of {name} is {} over its outlet",
        units.length(why.to_outlet)
    );
    match why.receiver {
        Receiver::Line => format!(
            "{floor}, and the outlet is {} over the invert of the drain line there.",
            units.length(why.to_receiver)
        ),
        Receiver::Sump if why.to_receiver < 0.0 => format!(
            "{floor}, and the sump's highest water at {} drowns the outlet by {}.",
            units.elevation(why.high),
            units.length(-why.to_receiver)
        ),
        Receiver::Sump => format!(
            "{floor}, and the outlet is {} over the sump's highest water at {}.",
            units.length(why.to_receiver),
            units.elevation(why.high)
        ),
    }
}

pub(super) fn line_fall(say: &Say, why: &LineFallWhy) -> String {
    let units = say.units;
    let mut text = if why.over >= 0.0 {
        format!(
            "The outlet of the drain line is {} over the sump's highest water at {}.",
            units.length(why.over),
            units.elevation(why.high)
        )
    } else {
        format!(
            "The sump's highest water at {} stands {} over the invert of the line's outlet{}.",
            units.elevation(why.high),
            units.length(-why.over),
            if why.full {
                " and drowns it, so the line runs full"
            } else {
                ""
            }
        )
    };
    if !why.flooded.is_empty() {
        text += &format!(
            " It then stands above the break level of {}.",
            say.beds(&why.flooded)
        );
    }
    text
}

pub(super) fn drain_line(say: &Say, why: &DrainLineWhy) -> String {
    let units = say.units;
    let filled = match &why.fill {
        None => "more than it carries by gravity".to_owned(),
        Some((fill, bed)) => format!(
            "{} of its bore deep at most just above the drain of {} ({} to {} within the bands of its \
             roughness and of how the drains enter, along the flow or square to it)",
            units.percent(fill.nominal),
            say.bed(*bed),
            units.percent(fill.low),
            units.percent(fill.high)
        ),
    };
    let took = if why.peak > 0.0 {
        format!("took up to {} in this run, {filled}", units.flow(why.peak))
    } else {
        "took no water in this run".to_owned()
    };
    let mut text = format!(
        "The drain line {took}; it carries {} by gravity and {} half full.",
        units.flow(why.capacity),
        units.flow(why.half_full)
    );
    if let Some(together) = why.together {
        text += &format!(
            " All its siphons together would bring {}.",
            units.flow(together)
        );
    }
    if !why.held.is_empty() {
        text += &format!(
            " Its water then stands above the break level of {}, which keeps the siphon from \
             breaking.",
            say.beds(&why.held)
        );
    }
    text + &what_comes_up(say, why)
}

/// Where the line pushes water up, or can, and whose water it is.
fn what_comes_up(say: &Say, why: &DrainLineWhy) -> String {
    let units = say.units;
    let from = |bed: Option<usize>| {
        bed.map_or_else(
            || "the sump".to_owned(),
            |bed| format!("the siphon of {}", say.bed(bed)),
        )
    };
    let mut text = String::new();
    for came in &why.came_up {
        text += &format!(
            " In this run water of {} came back up the drain into {} for {}, up to {}{}.",
            from(came.from),
            say.bed(came.into),
            units.time(came.time),
            units.flow(came.peak),
            if came.over_wall {
                ", which went over its wall"
            } else {
                ""
            }
        );
    }
    for may in &why.may_come_up {
        text += &format!(
            " With all siphons running its water stands over the lip of {} and can push water of \
             {} up into it.",
            say.bed(may.into),
            from(may.from)
        );
    }
    text
}

pub(super) fn line_slope(say: &Say, why: &LineSlopeWhy) -> String {
    let units = say.units;
    format!(
        "The drain line of {} bore falls {}; {} is usual for that size.",
        units.bore(why.bore),
        units.percent(why.slope),
        units.percent(why.usual)
    )
}
