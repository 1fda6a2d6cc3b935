//! Files that are read, and what they become.

use ebbwright::model::{
    Band, Coefficient, DrainLosses, DrainTarget, Duration, Inlet, Power, PumpSource, Thresholds,
};
use ebbwright::scenario::{FaultKind, Rule, Severity};

use super::reading::{close, read, system};

/// The smallest useful file: one bed, a measured flow.
pub const SMALL: &str = r#"
[sump]
shape = { box = { length = "1 m", width = "1 m", depth = "0.6 m" } }
floor = "0 m"
start-level = "0.40 m"
overflow-level = "0.55 m"
[pump]
intake-level = "0.05 m"
steady-flow = "9 L/min"
[[bed]]
name = "north"
floor = "1 m"
shape = { box = { length = "1 m", width = "1 m", depth = "0.35 m" } }
media = { depth = "0.30 m", void = 0.4 }
standpipe = { bore = "26.6 mm", length = "225 mm" }
bell = { bore = "78 mm", clearance = "25 mm", slots = { count = 6, width = "12 mm", height = "25 mm" } }
drain = { outlet = "0.62 m", length = "0.7 m" }
"#;

#[test]
fn the_example_of_the_format_is_read() {
    let system = system(include_str!("allotment.toml"));
    assert_eq!(system.title, "Allotment shed, one bed");
    assert_eq!(system.duration, Duration::Fixed(43_200.0));
    assert!(matches!(system.pump.source, PumpSource::Curve(_)));
    assert_eq!(system.pump.power, Some(Power::Watts(38.0)));
    // Perry table 6-4 in `hydraulics::fittings`: three elbows at 0.75 and a branch at 1.0.
    close(system.supply.trunk.k, 3.25);
    let line = system.drain_line.unwrap();
    assert_eq!((line.slope, line.outlet, line.vented), (0.02, 0.55, true));
    assert_eq!(
        system.beds[0].siphon.drain.into,
        DrainTarget::Line { at: 3.0 }
    );
    assert_eq!(
        system.coefficients[Coefficient::StartFroude],
        Band::exact(0.45)
    );
}

#[test]
fn what_is_left_out_takes_its_default() {
    let system = system(SMALL);
    assert_eq!(system.title, "test");
    assert_eq!(
        system.duration,
        Duration::UntilSettled {
            at_most: 48.0 * 3600.0
        }
    );
    close(system.water.temperature_c, 20.0);
    assert!(system.ceiling.is_none() && system.tank.is_none() && system.top_off.is_none());
    assert!(system.drain_line.is_none() && system.incidents.is_empty());
    assert_eq!(system.evaporation, 0.0);
    assert_eq!(system.thresholds, Thresholds::default());
    assert_eq!(system.pump.minimum_cover, 0.05);
    assert!(!system.pump.check_valve && system.pump.power.is_none());
    let bed = &system.beds[0];
    close(bed.rim_level(), 1.35);
    assert_eq!(bed.start_level(), None);
    assert!(matches!(bed.inlet, Inlet::Share(1.0)));
    // Common practice, no source: 3 mm of wall.
    close(bed.siphon.standpipe.outside, 0.0326);
    close(bed.siphon.bell.outside, 0.084);
    assert_eq!(bed.siphon.standpipe.lip_diameter, bed.siphon.standpipe.bore);
    assert_eq!(bed.siphon.drain.into, DrainTarget::Sump);
    let losses = DrainLosses::Computed {
        length: 0.7,
        k: 0.0,
        roughness: 1.5e-6,
    };
    assert_eq!(bed.siphon.drain.losses, losses);
}

#[test]
fn several_beds_run_for_a_day() {
    assert_eq!(
        system(include_str!("shares.toml")).duration,
        Duration::Fixed(86_400.0)
    );
}

#[test]
fn shares_are_kept_and_measured_inflows_need_no_pump_figures() {
    let shares = system(include_str!("shares.toml"));
    assert!(matches!(shares.beds[0].inlet, Inlet::Share(0.6)));
    assert!(matches!(shares.beds[1].inlet, Inlet::Share(0.4)));

    let text = include_str!("measured.toml");
    let measured = system(text);
    assert!(matches!(measured.pump.source, PumpSource::Curve(_)));
    let without = system(&text.replace("box = { shut", "#box = { shut"));
    let PumpSource::Steady(flow) = without.pump.source else {
        panic!("{:?}", without.pump.source)
    };
    close(flow, 6.0 / 60_000.0);
}

#[test]
fn a_steady_flow_may_be_split_by_pipes() {
    let text = include_str!("piped.toml")
        .replace("curve = [", "steady-flow = \"20 L/min\"\n#curve = [")
        .replace("speed = 0.5\nefficiency = 0.25", "");
    let system = system(&text);
    assert!(matches!(system.pump.source, PumpSource::Steady(_)));
    assert!(
        system
            .beds
            .iter()
            .all(|bed| matches!(bed.inlet, Inlet::Piped(_)))
    );
}

#[test]
fn siphons_drain_into_the_line_where_there_is_one() {
    let line = "[drain-line]\npipe = { bore = \"50 mm\", length = \"2 m\" }\nslope = \"2 %\"\noutlet = \"0.5 m\"\n";
    let system = system(&format!("{SMALL}{line}"));
    assert_eq!(
        system.beds[0].siphon.drain.into,
        DrainTarget::Line { at: 2.0 }
    );
}

#[test]
fn a_shape_may_be_any_of_the_five_in_any_vessel() {
    let shapes = [
        r#"box = { length = "1 m", width = "1 m", depth = "0.6 m" }"#,
        r#"tapered = { top-length = "1 m", top-width = "1 m", bottom-length = "0.9 m", bottom-width = "0.9 m", depth = "0.6 m" }"#,
        r#"upright-cylinder = { diameter = "0.6 m", depth = "0.6 m" }"#,
        r#"lying-cylinder = { diameter = "0.6 m", length = "1 m" }"#,
        r#"table = { depth = ["0 m", "0.6 m"], area = ["0.5 m2", "0.6 m2"] }"#,
    ];
    for shape in shapes {
        let text = SMALL.replace(
            r#"box = { length = "1 m", width = "1 m", depth = "0.6 m" }"#,
            shape,
        );
        close(system(&text).sump.shape.depth(), 0.6);
    }
}

/// A rim one rounding above the top is the top, and a level on a bound is within.
#[test]
fn sums_that_meet_are_equal_whatever_their_last_digit() {
    let text = SMALL
        .replace(
            "floor = \"1 m\"",
            "floor = \"0.95 m\"\nrim = \"1.30 m\"\nstart-level = \"1.30 m\"",
        )
        .replace("depth = \"0.30 m\"", "depth = \"0.35 m\"");
    let system = system(&text);
    assert!(system.beds[0].rim_level() <= 0.95 + 0.35);
    assert!(system.beds[0].start_level().unwrap() <= system.beds[0].rim_level());
}

/// Metric and US files of one system give one model (to rounding).
#[test]
fn units_of_the_file_do_not_matter() {
    let metric = system(SMALL);
    let gallons_per_hour = 9.0 * 60.0 / 3.785_411_784;
    let us = system(
        &SMALL
            .replace("\"1 m\"", &format!("\"{} in\"", 1.0 / 0.0254))
            .replace("\"9 L/min\"", &format!("\"{gallons_per_hour} gal/h\"")),
    );
    close(
        metric.beds[0].shape.full_volume(),
        us.beds[0].shape.full_volume(),
    );
    let (PumpSource::Steady(a), PumpSource::Steady(b)) = (metric.pump.source, us.pump.source)
    else {
        panic!()
    };
    close(a * 1e4, b * 1e4);
}

#[track_caller]
fn only_warning(text: &str) -> (Rule, String) {
    let scenario = read(text);
    assert_eq!(
        scenario.warnings.len(),
        1,
        "{}",
        scenario.render_warnings(false)
    );
    let warning = &scenario.warnings[0];
    assert_eq!(warning.severity, Severity::Warning);
    let FaultKind::Rule(rule) = &warning.kind else {
        panic!("{:?}", warning.kind)
    };
    (rule.clone(), scenario.render_warnings(false))
}

#[test]
fn a_standpipe_narrower_than_the_law_of_the_start_is_a_warning() {
    let (rule, text) = only_warning(&SMALL.replace("26.6 mm", "8 mm"));
    assert!(matches!(rule, Rule::BoreBelowLaw { .. }), "{rule:?}");
    assert!(text.contains("standpipe of 8 mm bore"), "{text}");
    assert!(read(&SMALL.replace("26.6 mm", "10 mm")).warnings.is_empty());
}

#[test]
fn what_looks_wrong_but_can_be_run_is_a_warning() {
    let line = "[drain-line]\npipe = { bore = \"50 mm\", length = \"2 m\" }\nslope = \"2 %\"\noutlet = \"0.5 m\"\n";
    let into_sump = SMALL.replace("length = \"0.7 m\"", "length = \"0.7 m\", into = \"sump\"");
    let bypass = "[supply]\npipe = { bore = \"25 mm\", length = \"1 m\" }\n[supply.bypass]\nlevel = \"0.5 m\"\npipe = { bore = \"15 mm\", length = \"0.5 m\" }\n";
    let late = "[[event]]\nat = \"30 h\"\npump = \"stops\"\n";
    let short = SMALL.replace("length = \"0.7 m\"", "length = \"0.5 m\"");

    let (rule, text) = only_warning(&short);
    assert!(matches!(rule, Rule::LengthBelowDrop { .. }));
    for part in [
        "1 warning",
        "Warning:",
        "test.toml:17:39",
        "0.5 m",
        "0.605 m",
        "help: ",
    ] {
        assert!(text.contains(part), "{part} in {text}");
    }
    assert!(!text.contains("rror"), "{text}");
    assert!(matches!(
        only_warning(&format!("{into_sump}{line}")).0,
        Rule::UnusedLine
    ));
    let settler = "[settler]\nkind = \"plain\"\nshape = { box = { length = \"1 m\", width = \"0.5 m\", depth = \"0.7 m\" } }\nfloor = \"0 m\"\noverflow-level = \"0.6 m\"\n";
    assert!(matches!(
        only_warning(&format!("{SMALL}{settler}")).0,
        Rule::UnusedSettler
    ));
    assert!(matches!(
        only_warning(&format!("{SMALL}{bypass}")).0,
        Rule::UnusedBranch
    ));
    assert!(matches!(
        only_warning(&format!("hours = 24\n{SMALL}{late}")).0,
        Rule::EventAfterEnd { .. }
    ));
}

#[test]
fn a_total_loss_makes_the_developed_length_needless() {
    for length in ["", "length = \"0.1 m\", "] {
        let text = SMALL.replace("length = \"0.7 m\"", &format!("{length}total-k = 3.0"));
        assert_eq!(
            system(&text).beds[0].siphon.drain.losses,
            DrainLosses::Total { k: 3.0 }
        );
    }
}
