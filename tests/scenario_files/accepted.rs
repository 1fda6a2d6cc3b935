//! Files that are read, and what they become.

use ebbwright::hydraulics::valves::ValveKind;
use ebbwright::hydraulics::vessel::VesselShape;
use ebbwright::model::{
    Band, Coefficient, Disturbance, DrainLosses, DrainTarget, Duration, IncidentTime, Inlet, Power,
    PumpSource, SettlerKind, System, TankFeed, TankOutlet, Thresholds,
};
use ebbwright::scenario::{self, FaultKind, Rule, Scenario, Severity};

fn read(text: &str) -> Scenario {
    scenario::parse(text, "test.toml").unwrap_or_else(|error| panic!("{}", error.render(false)))
}

fn system(text: &str) -> System {
    let scenario = read(text);
    assert!(
        scenario.warnings.is_empty(),
        "{}",
        scenario.render_warnings(false)
    );
    scenario.system
}

#[track_caller]
fn close(value: f64, expected: f64) {
    assert!(
        (value - expected).abs() <= 1e-12 * expected.abs().max(1.0),
        "{value}, not {expected}"
    );
}

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
fn the_starters_are_read_without_warnings() {
    for text in [scenario::starter(), scenario::starter_us()] {
        assert_eq!(system(text).beds.len(), 1);
        assert!(text.contains("invented"));
        assert!(
            text.lines().all(|line| line.len() <= 160),
            "a line too long for a narrow window"
        );
    }
}

/// A newcomer removes the # from one key or one table: it must be spelt right
/// and in range; at most it needs another part beside it.
#[test]
fn each_part_of_the_starters_that_is_commented_out_can_be_taken_in() {
    let hidden = |line: &str| line.len() > 1 && line.starts_with('#') && !line.starts_with("# ");
    for starter in [scenario::starter(), scenario::starter_us()] {
        let lines: Vec<&str> = starter.lines().collect();
        let (mut i, mut parts) = (0, 0);
        while i < lines.len() {
            if !hidden(lines[i]) {
                i += 1;
                continue;
            }
            let mut text: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            let part = i;
            if lines[i].starts_with("#[") {
                while i < lines.len() && hidden(lines[i]) {
                    text[i].remove(0);
                    i += 1;
                }
            } else {
                text[i].remove(0);
                // It takes the place of the same key above it, such as another shape.
                let name = text[i].split('=').next().unwrap().to_owned();
                let table = lines[..i]
                    .iter()
                    .rposition(|line| line.starts_with('['))
                    .unwrap_or(0);
                for line in &mut text[table..part] {
                    if line.starts_with(&name) {
                        line.clear();
                    }
                }
                i += 1;
            }
            parts += 1;
            let Err(error) = scenario::parse(&text.join("\n"), "starter.toml") else {
                continue;
            };
            for fault in error.faults() {
                let needs_another_part = matches!(
                    fault.kind,
                    FaultKind::SeveralOf { .. }
                        | FaultKind::Rule(
                            Rule::NoInlet | Rule::NoSupply | Rule::JunctionWithoutLine
                        )
                );
                assert!(
                    needs_another_part,
                    "{}: {}",
                    lines[part],
                    error.render(false)
                );
            }
        }
        assert!(parts > 20, "{parts} parts");
    }
}

#[test]
fn the_starter_with_a_second_bed_taken_in_needs_only_the_first_bed_s_inlet() {
    for starter in [scenario::starter(), scenario::starter_us()] {
        let from = starter.find("\n#[[bed]]").unwrap();
        let to = from + starter[from..].find("\n# ---").unwrap();
        let second = starter[from..to].replace("\n#", "\n");
        let text = format!("{}{second}{}", &starter[..from], &starter[to..])
            .replace("#inlet = { share = 0.5 }", "inlet = { share = 0.5 }");
        assert_eq!(system(&text).beds.len(), 2);
    }
}

/// The starters describe nearly the same system in metric and US units.
#[test]
fn the_two_starters_agree_to_a_few_percent() {
    let (metric, us) = (system(scenario::starter()), system(scenario::starter_us()));
    let pairs = [
        (metric.beds[0].floor, us.beds[0].floor),
        (
            metric.beds[0].shape.full_volume(),
            us.beds[0].shape.full_volume(),
        ),
        (
            metric.beds[0].siphon.standpipe.lip,
            us.beds[0].siphon.standpipe.lip,
        ),
        (
            metric.beds[0].siphon.drain.outlet,
            us.beds[0].siphon.drain.outlet,
        ),
        (metric.sump.shape.full_volume(), us.sump.shape.full_volume()),
        (metric.sump.start_level, us.sump.start_level),
    ];
    for (a, b) in pairs {
        assert!((a / b - 1.0).abs() < 0.05, "{a} and {b}");
    }
}

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
fn every_key_of_a_piped_system_arrives_in_the_model() {
    let system = system(include_str!("piped.toml"));
    assert_eq!(system.title, "Three beds, piped");
    assert_eq!(system.duration, Duration::Fixed(108_000.0));
    close(system.water.temperature_c, 20.0);
    close(system.ceiling.unwrap(), 2.7432);

    let sump = &system.sump;
    let tapered = VesselShape::Tapered {
        top_length: 1.2,
        top_width: 0.8,
        bottom_length: 1.1,
        bottom_width: 0.7,
        depth: 0.6,
    };
    assert_eq!(sump.shape, tapered);
    assert_eq!(
        (sump.floor, sump.start_level, sump.overflow_level),
        (-0.1, 0.40, 0.47)
    );

    let pump = &system.pump;
    assert_eq!((pump.intake_level, pump.minimum_cover), (-0.05, 0.04));
    let PumpSource::Curve(curve) = &pump.source else {
        panic!("{:?}", pump.source)
    };
    // Half speed by the affinity laws: a quarter of the head, half of the flow.
    close(curve.shut_off_head(), 0.75);
    close(curve.head(1000.0 / 3.6e6), 0.5);
    assert_eq!(pump.power, Some(Power::Efficiency(0.25)));
    assert_eq!(pump.tariff, Some(0.30));
    let schedule = pump.schedule.unwrap();
    assert_eq!((schedule.on, schedule.off), (900.0, 2700.0));
    assert!(pump.check_valve);

    let trunk = &system.supply.trunk;
    // EN ISO 1452-2, 32 mm outside, 2.4 mm wall at PN16 (from memory, see `hydraulics::pipe_sizes`).
    close(trunk.bore, 0.0272);
    assert_eq!((trunk.length, trunk.roughness), (3.0, 1e-5));
    // The sum of the table in `hydraulics::fittings`, by hand, plus 0.5.
    close(
        trunk.k,
        0.75 + 0.45
            + 1.3
            + 0.35
            + 0.2
            + 1.5
            + 0.4
            + 1.0
            + 0.04
            + 0.04
            + 2.0
            + 15.0
            + 0.5
            + 0.78
            + 0.28
            + 0.15
            + 0.04
            + 1.0
            + 0.5,
    );
    let bypass = system.supply.bypass.as_ref().unwrap();
    assert_eq!(
        (bypass.level, bypass.run.bore, bypass.run.length),
        (0.5, 0.015, 0.5)
    );
    close(bypass.run.k, 1.75);
    let valve = bypass.valve.as_ref().unwrap();
    assert_eq!((valve.kind, valve.opening), (ValveKind::Gate, 0.25));

    let bed = &system.beds[0];
    assert_eq!(
        (bed.name.as_str(), bed.floor, bed.rim),
        ("north", 1.0, 1.40)
    );
    assert_eq!(
        bed.shape,
        VesselShape::LyingCylinder {
            diameter: 0.58,
            length: 0.9
        }
    );
    assert_eq!(
        (
            bed.media.depth,
            bed.media.void,
            bed.media.grain,
            bed.media.fouling
        ),
        (0.30, 0.4, Some(0.012), 2.0)
    );
    assert_eq!(system.beds[1].media.fouling, 1.0);
    let guard = bed.guard.as_ref().unwrap();
    assert_eq!((guard.diameter, guard.slot_area), (0.15, Some(0.008)));
    assert_eq!(bed.start_level, Some(1.05));
    let Inlet::Piped(inlet) = &bed.inlet else {
        panic!("{:?}", bed.inlet)
    };
    // ASTM D1785: 0.840 in outside, 0.109 in wall.
    close(inlet.run.bore, 0.622 * 0.0254);
    close(inlet.run.k, 1.6);
    assert_eq!(inlet.anti_siphon_hole, Some(1.45));
    let valve = inlet.valve.as_ref().unwrap();
    assert_eq!((valve.kind, valve.opening), (ValveKind::Ball, 0.6));
    let standpipe = &bed.siphon.standpipe;
    // ASTM D1785: 1.315 in outside, 0.133 in wall.
    close(standpipe.bore, 1.049 * 0.0254);
    assert_eq!((standpipe.outside, standpipe.lip_diameter), (0.034, 0.040));
    close(standpipe.lip, 1.225);
    let bell = &bed.siphon.bell;
    // ASTM D1785 Schedule 80 (from memory): 3.500 in outside, 0.300 in wall.
    close(bell.bore, 2.9 * 0.0254);
    assert_eq!((bell.outside, bell.clearance), (0.090, 0.025));
    assert_eq!(
        (bell.slots.count, bell.slots.width, bell.slots.height),
        (6, 0.012, 0.025)
    );
    close(bell.slots.crown, 1.025);
    let tube = bell.air_tube.as_ref().unwrap();
    assert_eq!(tube.bore, 0.008);
    close(tube.mouth, 1.03);
    close(bell.air_leak, 0.5 / 60_000.0);
    let drain = &bed.siphon.drain;
    assert_eq!(drain.outlet, 0.62);
    assert_eq!(
        drain.losses,
        DrainLosses::Computed {
            length: 0.7,
            k: 1.8,
            roughness: 2e-6
        }
    );
    assert_eq!(drain.into, DrainTarget::Line { at: 2.0 });

    assert_eq!(
        system.beds[1].shape,
        VesselShape::UprightCylinder {
            diameter: 0.6,
            depth: 0.4
        }
    );
    let table = VesselShape::Table {
        depth: vec![0.0, 0.2, 0.4],
        area: vec![0.3, 0.35, 0.4],
    };
    assert_eq!(system.beds[2].shape, table);
    assert_eq!(
        system.beds[2].siphon.drain.losses,
        DrainLosses::Total { k: 3.0 }
    );
    assert_eq!(system.beds[2].siphon.drain.into, DrainTarget::Sump);

    let line = system.drain_line.as_ref().unwrap();
    close(line.run.bore, 2.067 * 0.0254);
    assert_eq!(
        (line.run.length, line.run.roughness, line.outlet),
        (3.0, 3e-6, 0.5)
    );
    close(line.run.k, 0.9);
    close(line.slope, 1.0 / 48.0);
    assert!(!line.vented);

    let tank = system.tank.as_ref().unwrap();
    assert_eq!(
        tank.shape,
        VesselShape::Box {
            length: 1.0,
            width: 1.0,
            depth: 0.7
        }
    );
    assert_eq!(
        (tank.floor, tank.start_level, tank.overflow_level),
        (0.3, 0.8, 0.9)
    );
    assert_eq!(
        (tank.overflow_bore, tank.overflows_to),
        (0.050, TankOutlet::Settler)
    );
    let TankFeed::PumpBranch(branch) = &tank.fed_by else {
        panic!("{:?}", tank.fed_by)
    };
    assert_eq!(branch.anti_siphon_hole, Some(1.0));
    assert_eq!(
        (branch.level, branch.run.bore, branch.run.length),
        (1.1, 0.02, 1.0)
    );
    close(branch.run.k, 1.15);

    let settler = system.settler.as_ref().unwrap();
    assert_eq!(settler.kind, SettlerKind::PlainBasin);
    assert_eq!((settler.floor, settler.overflow_level), (0.25, 0.85));
    close(settler.area(), 0.6);
    close(settler.volume(), 0.36);

    let top_off = system.top_off.as_ref().unwrap();
    assert_eq!(
        (top_off.level, top_off.bore, top_off.reservoir),
        (0.2, 0.006, Some(0.1))
    );
    close(top_off.flow, 2.0 / 60_000.0);
    close(system.evaporation, 4e-3 / 86_400.0);

    let incidents: Vec<_> = system.incidents.iter().map(|i| (i.at, i.what)).collect();
    assert_eq!(
        incidents,
        [
            (IncidentTime::Worst, Disturbance::PumpStops),
            (IncidentTime::At(7200.0), Disturbance::SiphonBlocked(2)),
            (IncidentTime::At(9000.0), Disturbance::LineBlocked(0.5)),
            (IncidentTime::At(10_800.0), Disturbance::ValveShut(1)),
        ]
    );

    let given = [1.7, 0.61, 0.45, 0.2, 0.62, 1.1, 0.4, 0.5, 0.25, 0.6, 0.0092];
    for (which, value) in Coefficient::ALL.into_iter().zip(given) {
        let band = if which == Coefficient::StartFroude {
            Band::new(0.40, value, 0.50)
        } else {
            Band::exact(value)
        };
        assert_eq!(system.coefficients[which], band, "{which:?}");
    }
    let thresholds = Thresholds {
        dry_layer: 0.060,
        dry_layer_least: 0.030,
        levelling_error: 0.004,
        rim_freeboard: 0.020,
        inflow_ratio: 0.45,
        inflow_ratio_most: 0.65,
        period_least: 1200.0,
        period_most: 3000.0,
        sump_freeboard: 0.040,
        growing_height: Some(0.8),
        crown_pressure: 40_000.0,
        fall_back: 0.006,
    };
    assert_eq!(system.thresholds, thresholds);
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
    close(bed.rim, 1.35);
    assert_eq!(bed.start_level, None);
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
    assert!(system.beds[0].rim <= 0.95 + 0.35);
    assert!(system.beds[0].start_level.unwrap() <= system.beds[0].rim);
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
        Rule::UnusedBypass
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
