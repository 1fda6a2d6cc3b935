//! Where to aim while no inflow is sure.

use crate::fixes::judge;
use crate::support::LITRE_PER_MINUTE;
use ebbwright::assessment::{Aim, CheckId};
use ebbwright::siphon::best_inflow;
use ebbwright::units::UnitSystem;

// Where no inflow is sure both to start and to stop, the flow that is printed is the best there is, to the
// digit before: less would hardly start.
#[test]
fn where_no_inflow_is_sure_the_fix_aims_between() {
    let text = include_str!("../../scenarios/drain-line-too-small.toml");
    let system = ebbwright::scenario::parse(text, "line.toml")
        .unwrap()
        .system;
    let digit = 0.1 * LITRE_PER_MINUTE;
    let found = judge(&system, UnitSystem::Metric);
    let checks = found.checks.iter().filter(|one| one.id == CheckId::Breaks);
    let mut aims = 0;
    for fix in checks.flat_map(|one| &one.fixes) {
        let Some(Aim::InflowAtMost { bed, to, .. }) = fix.aim else {
            continue;
        };
        let window = found.beds[bed].window();
        let best = best_inflow(window.start, window.breaks_below()).flow;
        assert!(
            (best - to) >= 0.0 && best - to <= digit,
            "{bed}: {to} {best}"
        );
        aims += 1;
    }
    assert!(aims > 0);
}
