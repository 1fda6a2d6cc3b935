//! Pipes that come into the sump under its rim.

use crate::assessment::why::{Comes, SumpEntryWhy};
use crate::model::Entries;
use crate::report::{Say, Text, bed_names, said};

/// "left", "right" and the settler.
fn names(say: &Say, list: &[Comes]) -> String {
    let beds: Vec<usize> = list
        .iter()
        .filter_map(|one| match one {
            Comes::Bed(i) => Some(*i),
            _ => None,
        })
        .collect();
    let others = list.iter().filter_map(|one| match one {
        Comes::Bed(_) => None,
        Comes::Line => Some("the drain line"),
        Comes::Tank => Some("the fish tank"),
        Comes::Settler => Some("the settler"),
    });
    let beds = (!beds.is_empty()).then(|| bed_names(say.system, &beds));
    let all: Vec<String> = beds.into_iter().chain(others.map(str::to_owned)).collect();
    all.join(" and ")
}

/// "the sump's rim", of a lying drum its top.
pub(crate) const fn edge(lying: bool) -> &'static str {
    if lying {
        "the top of the lying drum, which is open where it is cut out,"
    } else {
        "the sump's rim"
    }
}

pub(super) fn sump_entry(say: &Say, why: &SumpEntryWhy) -> Text {
    let rim = || say.elevation("rim", why.rim);
    let mut text = Vec::new();
    if why.told == Entries::Holes && !why.sealed {
        let all: Vec<Comes> = why.over.iter().chain(&why.through).copied().collect();
        text.push(said!(
            "As told, what comes from {} goes through the sump's wall under its rim at {}.",
            names(say, &all),
            rim()
        ));
        text.push(hole(say, why));
        return Text::joined(text, " ");
    }
    if !why.over.is_empty() && why.told == Entries::OverRim {
        text.push(said!(
            "As told, what comes from {} goes over {} at {}, with {} of fall down to it from the bed.",
            names(say, &why.over),
            edge(why.lying),
            rim(),
            say.length("room", why.room)
        ));
    } else if !why.over.is_empty() {
        text.push(said!(
            "What comes from {} ends under {} at {}: it has to go over it, with {} of fall down to \
             it from the bed, or through the wall.",
            names(say, &why.over),
            edge(why.lying),
            rim(),
            say.length("room", why.room)
        ));
    }
    if !why.through.is_empty() {
        text.push(said!(
            "What comes from {} begins under {} at {}: going over it would need a rise, which a \
             drain that falls has not, so it goes through the wall.",
            names(say, &why.through),
            edge(why.lying),
            rim()
        ));
    }
    text.push(hole(say, why));
    Text::joined(text, " ")
}

/// What a hole in the wall would do.
fn hole(say: &Say, why: &SumpEntryWhy) -> Text {
    let high = say.elevation("high", why.high);
    let Some(hole) = why.hole() else {
        return said!(
            "So its wall has no hole; its water rises to {} at most.",
            high
        );
    };
    let lowest = say.elevation("lowest_hole", hole.level);
    if why.sealed {
        return said!(
            "As told, its pipes go over the rim or their holes, the lowest at {}, are sealed; the sump can \
             rise to {}.",
            lowest,
            high
        );
    }
    let leaks = said!(
        "A hole leaks as soon as water stands over it, unless the pipe is sealed into it (bulkhead \
         fitting): the lowest, at {}, and not the rim, is where the sump would spill",
        lowest
    );
    if why.high > hole.level {
        said!(
            "{}, and its water can rise to {}, {} over it.",
            leaks,
            high,
            say.length("over_hole", why.high - hole.level)
        )
    } else {
        said!("{}; its water rises to {} at most.", leaks, high)
    }
}
