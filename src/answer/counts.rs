//! The headline of a judged system, and the counts in it.

use crate::answer::sentence::keyed;
use crate::answer::{At, Figure, Key, Kind, Text};
use crate::report::{self, Counts, Report};

keys! { pub(super) KEYS:
    JUDGED = Key::new("judged", Kind::Count, "Checks that judge.");
    FAILED = Key::new("failed", Kind::Count, "Those of them that failed.");
    POINTS = Key::new("points", Kind::Count, "Questions to look at: several checks of one question are one.");
}

/// How it stands, in a line; its counts at `at`.
pub(super) fn headline(report: &Report, at: &At) -> Text {
    keyed(at, KEYS, report::headline(report))
}

/// All counts, those that the headline leaves out among them.
pub(super) fn figures(report: &Report, at: &At) -> [Figure; 3] {
    let Counts {
        judged,
        failed,
        points,
    } = Counts::of(report);
    [
        at.count(&JUDGED, judged),
        at.count(&FAILED, failed),
        at.count(&POINTS, points),
    ]
}
