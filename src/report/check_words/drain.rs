//! Fall and size of drains and drain line.

use crate::assessment::why::{DrainLineWhy, FallWhy, LineFallWhy, LineSlopeWhy, Receiver};
use crate::report::{Say, Text, said};

pub(super) fn fall(say: &Say, name: &str, why: &FallWhy) -> Text {
    let floor = said!(
        "The floor of {} is {} over its outlet",
        name,
        say.length("to_outlet", why.to_outlet)
    );
    match why.receiver {
        Receiver::Line => said!(
            "{}, and the outlet is {} over the invert of the drain line there.",
            floor,
            say.length("to_receiver", why.to_receiver)
        ),
        Receiver::Sump if why.to_receiver < 0.0 => said!(
            "{}, and the sump's highest water at {} drowns the outlet by {}.",
            floor,
            say.elevation("high", why.high),
            say.length("drowned_by", -why.to_receiver)
        ),
        Receiver::Sump => said!(
            "{}, and the outlet is {} over the sump's highest water at {}.",
            floor,
            say.length("to_receiver", why.to_receiver),
            say.elevation("high", why.high)
        ),
    }
}

pub(super) fn line_fall(say: &Say, why: &LineFallWhy) -> Text {
    let mut text = if why.over >= 0.0 {
        said!(
            "The outlet of the drain line is {} over the sump's highest water at {}.",
            say.length("over", why.over),
            say.elevation("high", why.high)
        )
    } else {
        said!(
            "The sump's highest water at {} stands {} over the invert of the line's outlet{}.",
            say.elevation("high", why.high),
            say.length("drowned_by", -why.over),
            if why.full {
                " and drowns it, so the line runs full"
            } else {
                ""
            }
        )
    };
    if !why.flooded.is_empty() {
        text = text.and(said!(
            " It then stands above the break level of {}.",
            say.beds(&why.flooded)
        ));
    }
    text
}

pub(super) fn drain_line(say: &Say, why: &DrainLineWhy) -> Text {
    let filled = match &why.fill {
        None => Text::from("more than it carries by gravity"),
        Some((fill, bed)) => said!(
            "{} of its bore deep at most just above the drain of {} ({} to {} within the bands of its \
             roughness and of how the drains enter, along the flow or square to it)",
            say.percent("fill", fill.nominal),
            say.bed(*bed),
            say.percent("fill_low", fill.low),
            say.percent("fill_high", fill.high)
        ),
    };
    let took = if why.peak > 0.0 {
        said!(
            "took up to {} in this run, {}",
            say.flow("peak", why.peak),
            filled
        )
    } else {
        Text::from("took no water in this run")
    };
    let mut text = said!(
        "The drain line {}; it carries {} by gravity and {} half full.",
        took,
        say.flow("capacity", why.capacity),
        say.flow("half_full", why.half_full)
    );
    if let Some(together) = why.together {
        text = text.and(said!(
            " All its siphons together would bring {}.",
            say.flow("together", together)
        ));
    }
    if !why.held.is_empty() {
        text = text.and(said!(
            " Its water then stands above the break level of {}, which keeps the siphon from \
             breaking.",
            say.beds(&why.held)
        ));
    }
    text.and(what_comes_up(say, why))
}

/// Where the line pushes water up, or can, and whose water it is.
fn what_comes_up(say: &Say, why: &DrainLineWhy) -> Text {
    let from = |bed: Option<usize>| {
        bed.map_or_else(
            || Text::from("the sump"),
            |bed| said!("the siphon of {}", say.bed(bed)),
        )
    };
    let mut text = Text::default();
    for came in &why.came_up {
        text = text.and(said!(
            " In this run water of {} came back up the drain into {} for {}, up to {}{}.",
            from(came.from),
            say.bed(came.into),
            say.time("came_up_for", came.time),
            say.flow("came_up_at", came.peak),
            if came.over_wall {
                ", which went over its wall"
            } else {
                ""
            }
        ));
    }
    for may in &why.may_come_up {
        text = text.and(said!(
            " With all siphons running its water stands over the lip of {} and can push water of \
             {} up into it.",
            say.bed(may.into),
            from(may.from)
        ));
    }
    text
}

pub(super) fn line_slope(say: &Say, why: &LineSlopeWhy) -> Text {
    said!(
        "The drain line of {} bore falls {}; {} is usual for that size.",
        say.bore("bore", why.bore),
        say.percent("slope", why.slope),
        say.percent("usual", why.usual)
    )
}
