//! Published riser and stack capacities beside the start and run-on flows.

use crate::support::one_bed;
use ebbwright::model::Bed;
use ebbwright::siphon::{InflowWindow, SiphonLaw};

const LITRE_PER_MINUTE: f64 = 1e-3 / 60.0;
/// Cubic metres per second in a US gallon per minute.
const GALLON_PER_MINUTE: f64 = 231.0 * 0.0254 * 0.0254 * 0.0254 / 60.0;

/// The invented bed with a standpipe of `bore` and `drop` below its floor, bell and slots in scale.
fn bed(bore: f64, drop: f64) -> Bed {
    let mut bed = one_bed(9.0, drop).beds.remove(0);
    let scale = bore / bed.siphon.standpipe.bore;
    let pipe = &mut bed.siphon.standpipe;
    (pipe.bore, pipe.outside, pipe.lip_diameter) = (bore, bore + 0.0068, bore);
    let bell = &mut bed.siphon.bell;
    bell.bore *= scale;
    bell.outside *= scale;
    bell.slots.width *= scale;
    bell.clearance *= scale;
    bed
}

fn window(bore: f64, drop: f64) -> (InflowWindow, SiphonLaw) {
    let system = one_bed(9.0, drop);
    let bed = bed(bore, drop);
    let window = InflowWindow::new(
        &bed,
        &system.water,
        &system.coefficients,
        bed.siphon.drain.outlet,
    );
    (
        window,
        SiphonLaw::new(&bed, &system.water, &system.coefficients.nominal()),
    )
}

/// Rows `kind` of tests/data/08_weirs.csv: `(bore, head, flow)` in m, m, L/min.
fn rows(kind: &str) -> Vec<(f64, f64, f64)> {
    let mut reader = csv::Reader::from_path("tests/data/08_weirs.csv").unwrap();
    let number = |text: &str, name: &str| -> f64 {
        let from = text.find(name).unwrap() + name.len();
        text[from..]
            .split_whitespace()
            .next()
            .unwrap()
            .parse()
            .unwrap()
    };
    reader
        .records()
        .map(Result::unwrap)
        .filter(|row| row[0].starts_with(kind))
        .map(|row| {
            assert_eq!(&row[3], "L/min");
            (
                number(&row[1], "D="),
                number(&row[1], "h="),
                row[2].parse().unwrap(),
            )
        })
        .collect()
}

/// Flow at which a riser passes from weir to orifice and runs full, from its rows:
/// the lowest head on the weir branch (h^1.5), the highest on the orifice (h^0.5).
fn running_full(kind: &str, bore: f64) -> f64 {
    let of: Vec<_> = rows(kind).into_iter().filter(|row| row.0 == bore).collect();
    let (first, last) = (of[0], of[of.len() - 1]);
    let crossing = (last.2 / first.2) * first.1.powf(1.5) / last.1.sqrt();
    last.2 * (crossing / last.1).sqrt() * LITRE_PER_MINUTE
}

/// King County (WA) Surface Water Design Manual riser curves and EN 12056-3:2000
/// roof outlets, both from memory (tests/data/08_weirs.csv): a riser starts to run
/// full inside the start band, above its nominal; a code's outlet at its end.
/// Hills 1983 (from memory): a pipe vents itself up to a pipe Froude number of 0.31.
#[test]
fn riser_capacities_bracket_the_start_flow() {
    for bore in [0.02664, 0.04094, 0.05248] {
        let (window, _) = window(bore, 0.5);
        let riser = running_full("circular riser", bore);
        assert!(
            window.start.nominal < riser && riser < window.start.high,
            "{bore}: {riser} in {:?}",
            window.start
        );
        // EN 12056-3 keeps the weir up to half a bore: higher than where both meet.
        let weir = rows("circular outlet")
            .into_iter()
            .find(|row| row.0 == bore)
            .unwrap();
        let outlet = weir.2 * (0.5 * bore / weir.1).powf(1.5) * LITRE_PER_MINUTE;
        assert!(
            (window.start.high / outlet - 1.0).abs() < 0.02,
            "{bore}: {outlet}"
        );
        let venting = 0.31 * std::f64::consts::FRAC_PI_4 * bore * bore * (9.80665 * bore).sqrt();
        assert!((window.start.low / venting - 1.0).abs() < 0.05, "{bore}");
        assert!(venting < window.start.nominal);
    }
}

/// Wyly & Eaton, NBS Monograph 31 (1961): stacks one quarter full carry 17.5, 52 and
/// 112 gal/min at 2, 3 and 4 in (from memory). The crate's figures at 7/24 and 1/3 full
/// follow by the 5/3 power of the filling.
#[test]
fn stack_capacities_are_those_of_the_table() {
    for (inches, quarter) in [(2.0, 17.5), (3.0, 52.0), (4.0, 112.0)] {
        let (_, law) = window(inches * 0.0254, 0.5);
        let [low, high] = law.cross_checks().stack;
        for (found, filling) in [(low, 7.0 / 24.0), (high, 1.0 / 3.0_f64)] {
            let wanted = quarter * (filling / 0.25_f64).powf(5.0 / 3.0) * GALLON_PER_MINUTE;
            assert!(
                (found / wanted - 1.0).abs() < 0.02,
                "{inches} in: {found} for {wanted}"
            );
        }
    }
}

/// The same stacks beside the window: what starts a siphon for certain is less than
/// a stack carries, and what a stack carries lies between the flow from which the
/// siphon may run on and that up to which it may still break. For drops below the
/// bed of 0.2 to 0.45 m: a shorter leg is no stack, a longer one seals better than
/// a stack, whose figures know no length.
#[test]
fn stack_capacities_lie_between_start_and_run_on() {
    for bore in [0.0158, 0.0209, 0.0266, 0.0351, 0.0409, 0.0525] {
        for drop in [0.2, 0.3, 0.45] {
            let (window, law) = window(bore, drop);
            let [low, high] = law.cross_checks().stack;
            let what = format!("{bore} {drop}: {low} to {high}, {window:?}");
            assert!(window.start.high < low, "start {what}");
            assert!(window.run_on.low < high, "run-on {what}");
            assert!(window.run_on.high > low, "run-on {what}");
        }
    }
}

/// Air-clearing pipe Froude numbers 0.6 to 1.5 (Kent 1952; Wisner et al. 1975;
/// Escarameia 2007, all from memory, extrapolated to vertical) overlap the run-on band.
#[test]
fn air_clearing_velocities_overlap_the_run_on_band() {
    for bore in [0.0158, 0.0266, 0.0409] {
        for drop in [0.14, 0.3, 0.45] {
            let (window, _) = window(bore, drop);
            let unit = std::f64::consts::FRAC_PI_4 * bore * bore * (9.80665 * bore).sqrt();
            assert!(window.run_on.low < 1.5 * unit && window.run_on.high > 0.6 * unit);
        }
    }
}
