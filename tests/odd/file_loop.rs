//! The text of what beds share: sump, pump, line, tank, float valve, air, incidents.

use crate::dice::Dice;
use crate::file::{Feed, Line, Whole, flow, m, rounded, seconds};
use crate::file_bed::vessel;
use std::fmt::Write as _;

pub fn drain_line(dice: &mut Dice<'_>) -> Option<(Line, String)> {
    let there = dice.chance(0.45);
    let bore = dice.ratio(0.052, 0.012, 0.15);
    let line = Line {
        outlet: rounded(dice.even(0.5, 0.0, 0.9)),
        slope: (1e4 * dice.ratio(0.02, 0.0006, 0.3)).round() / 1e4,
        length: rounded(dice.ratio(3.0, 0.3, 15.0)),
    };
    let (k, vented) = (dice.ratio(0.5, 0.02, 15.0), !dice.chance(0.2));
    let text = format!(
        "\n[drain-line]\npipe = {{ bore = \"{:.2} mm\", length = {} }}\nslope = \"{:.2} %\"\noutlet = {}\nvented = {vented}\nk = {k:.2}\n",
        1e3 * bore,
        m(line.length),
        100.0 * line.slope,
        m(line.outlet)
    );
    there.then_some((line, text))
}

/// Sump and pump's place in it; and the level at which it spills `[m]`.
pub fn sump(dice: &mut Dice<'_>, whole: &Whole) -> (String, f64) {
    // Room for all floods together, or far too little, or far more.
    let room: f64 = whole
        .beds
        .iter()
        .map(|bed| bed.flood)
        .sum::<f64>()
        .clamp(0.005, 3.0);
    let depth = dice.ratio(0.7, 0.15, 1.2);
    let size = dice.ratio(2.0, 0.3, 12.0);
    let shape = vessel(
        dice,
        (size * room / depth / 0.8).sqrt().clamp(0.05, 8.0),
        depth,
    );
    let overflow = rounded(shape.depth * dice.even(0.95, 0.4, 1.0)).max(0.02);
    let start = overflow
        * if dice.chance(0.05) {
            1.0
        } else {
            dice.even(0.7, 0.02, 1.0)
        };
    let intake = dice.even(0.05, 0.0, 0.6) * overflow;
    let cover = rounded(dice.even(0.05, 0.0, 0.12)).min(rounded(0.8 * (overflow - intake)));
    let joined = if dice.chance(0.15) { "count = 2\n" } else { "" };
    let text = format!(
        "\n[sump]\n{}{joined}floor = \"0 m\"\nstart-level = {}\noverflow-level = {}\nfish-tank = {}\n\n[pump]\nintake-level = {}\nminimum-cover = {}\n",
        shape.text,
        m(start.min(overflow)),
        m(overflow),
        dice.chance(0.2),
        m(intake),
        m(cover)
    );
    (text, overflow)
}

pub fn pump(dice: &mut Dice<'_>, whole: &Whole, timer: &str) -> String {
    let strength = dice.ratio(1.5, 0.5, 4.0);
    let given = dice.chance(0.4);
    let boxed = dice.chance(0.3);
    let top = whole.beds.iter().map(|bed| bed.rim).fold(0.0, f64::max);
    let head = (top + 0.2) * dice.ratio(1.6, 0.7, 4.0);
    let open = (strength * 1.6 * whole.flow).clamp(0.06 / 6e4, 1990.0 / 6e4);
    let mut text = String::new();
    match whole.feed {
        Feed::Shares | Feed::SteadyPipes => {
            let _ = writeln!(text, "steady-flow = {}", flow(whole.flow));
        }
        Feed::Measured if given => {
            let _ = writeln!(
                text,
                "steady-flow = {}",
                flow(strength.max(1.001) * whole.flow)
            );
        }
        Feed::Measured => {}
        Feed::Pipes if boxed => {
            let _ = writeln!(
                text,
                "box = {{ shut-off-head = {}, open-flow = {} }}",
                m(head.min(49.0)),
                flow(open)
            );
        }
        Feed::Pipes => {
            let points = [(0.0, 1.0), (0.5, 0.8), (0.8, 0.45), (1.0, 0.0)];
            let list: Vec<String> = points
                .iter()
                .map(|(q, h)| format!("[{}, {}]", flow(q * open), m(h * head)))
                .collect();
            let _ = writeln!(text, "curve = [ {} ]", list.join(", "));
        }
    }
    let _ = writeln!(
        text,
        "power = \"35 W\"\n{timer}check-valve = {}",
        dice.chance(0.4)
    );
    let (bore, length, k) = (
        dice.ratio(0.026, 0.008, 0.06),
        dice.ratio(3.0, 0.1, 20.0),
        dice.ratio(3.0, 0.1, 30.0),
    );
    let bypass = dice.chance(0.3).then(|| {
        (
            dice.even(0.6, 0.1, 2.5),
            dice.ratio(0.015, 0.004, 0.03),
            dice.ratio(10.0, 0.5, 300.0),
            dice.even(0.4, 0.0, 1.0),
        )
    });
    if matches!(whole.feed, Feed::Pipes | Feed::SteadyPipes) || whole.has_tank {
        let _ = writeln!(
            text,
            "\n[supply]\npipe = {{ bore = \"{:.2} mm\", length = {} }}\nk = {k:.2}",
            1e3 * bore,
            m(length)
        );
    }
    if let Some((level, bore, k, opening)) =
        bypass.filter(|_| matches!(whole.feed, Feed::Pipes | Feed::SteadyPipes))
    {
        let _ = writeln!(
            text,
            "[supply.bypass]\nlevel = {}\npipe = {{ bore = \"{:.2} mm\", length = \"1 m\" }}\nk = {k:.2}\nvalve = {{ ball = {opening:.2} }}",
            m(level),
            1e3 * bore
        );
    }
    text
}

pub fn tank(dice: &mut Dice<'_>, whole: &Whole) -> String {
    let piped = matches!(whole.feed, Feed::Pipes | Feed::SteadyPipes);
    let (side, depth) = (dice.ratio(0.9, 0.1, 2.5), dice.ratio(0.7, 0.08, 1.2));
    let shape = vessel(dice, side, depth);
    let branch = dice.chance(0.6);
    let mut target = ["sump", "settler", "beds"][dice.one_of(3)];
    if piped && !branch {
        target = "beds";
    }
    let top = whole.beds.iter().map(|bed| bed.rim).fold(0.0, f64::max);
    let high = dice.even(0.1, -0.3, 1.0);
    let floor = rounded(if target == "beds" {
        top + high
    } else {
        dice.even(0.3, 0.0, 1.8)
    });
    let overflow = rounded(floor + shape.depth * dice.even(0.9, 0.4, 1.0));
    let mut text = format!(
        "\n[tank]\n{}floor = {}\noverflow-level = {}\nfed-by = \"pump\"\noverflows-to = \"{target}\"\n",
        shape.text,
        m(floor),
        m(overflow)
    );
    if dice.chance(0.5) {
        let _ = writeln!(
            text,
            "start-level = {}",
            m(floor + (overflow - floor) * dice.even(0.9, 0.0, 1.0))
        );
    }
    if dice.chance(0.6) {
        let _ = writeln!(
            text,
            "overflow-bore = \"{:.1} mm\"",
            1e3 * dice.ratio(0.04, 0.0101, 0.1)
        );
    }
    let (height, bore, k) = (
        dice.even(1.05, 0.0, 1.4),
        dice.ratio(0.02, 0.005, 0.04),
        dice.ratio(2.0, 0.1, 50.0),
    );
    let hole = dice.chance(0.3).then(|| dice.even(0.9, 0.0, 1.2));
    if branch {
        let hole = hole.map_or(String::new(), |share| {
            format!(", anti-siphon-hole = {}", m(floor + share * shape.depth))
        });
        let _ = writeln!(
            text,
            "inlet = {{ level = {}, pipe = {{ bore = \"{:.2} mm\", length = \"1 m\" }}, k = {k:.2}{hole} }}",
            m(floor + height * shape.depth),
            1e3 * bore
        );
    }
    let (kind, side) = (dice.one_of(2), dice.ratio(0.8, 0.1, 2.0));
    if target == "settler" {
        let shape = vessel(dice, side, 0.6);
        let _ = writeln!(
            text,
            "\n[settler]\nkind = \"{}\"\n{}floor = {}\noverflow-level = {}",
            ["radial-flow", "plain"][kind],
            shape.text,
            m(floor),
            m(floor + 0.8 * shape.depth)
        );
        if dice.chance(0.3) {
            let _ = writeln!(
                text,
                "inlet = {{ level = {}, pipe = {{ bore = \"15 mm\", length = \"1.2 m\" }} }}",
                m(floor + 0.9 * shape.depth)
            );
        }
    }
    text
}

/// Float valve, losses, water, soft coefficients.
pub fn rest(dice: &mut Dice<'_>, sump_overflow: f64) -> String {
    let mut text = String::new();
    let (valve, level) = (dice.chance(0.3), dice.even(0.3, 0.005, 1.0));
    let (added, bore) = (dice.ratio(2.0, 0.02, 40.0), dice.ratio(0.006, 0.002, 0.02));
    let reservoir = dice.chance(0.5).then(|| dice.ratio(60.0, 1.0, 2000.0));
    if valve {
        let _ = writeln!(
            text,
            "\n[top-off]\nlevel = {}\nflow = {}\nbore = {}",
            m(level * (sump_overflow - 0.0005)),
            flow(added / 6e4),
            m(bore)
        );
        if let Some(litres) = reservoir {
            let _ = writeln!(text, "reservoir = \"{litres:.2} L\"");
        }
    }
    let air = dice.ratio(4.0, 0.05, 300.0);
    if dice.chance(0.3) {
        let _ = writeln!(text, "\n[losses]\nevaporation = \"{air:.3} L/day\"");
    }
    let temperature = dice.even(20.0, 0.0, 40.0);
    if dice.chance(0.2) {
        let _ = writeln!(text, "\n[water]\ntemperature = \"{temperature:.1} degC\"");
    }
    let (froude, sealed) = (dice.even(0.45, 0.2, 0.8), dice.even(0.4, 0.25, 0.65));
    if dice.chance(0.15) {
        let _ = writeln!(
            text,
            "\n[coefficients]\nstart-froude = {froude:.3}\nsealed-void = {sealed:.3}"
        );
    }
    text
}

pub fn events(dice: &mut Dice<'_>, whole: &Whole) -> String {
    let mut text = String::new();
    for _ in 0..[0, 0, 1, 0, 2, 3][dice.one_of(6)] {
        let kind = dice.one_of(5);
        let (at, worst) = (dice.even(0.5, 0.0, 1.0), dice.chance(0.15));
        let (bed, share) = (dice.one_of(whole.beds.len()), dice.even(0.5, 0.0, 1.0));
        let name = &whole.beds[bed].name;
        // The worst moment is searched with hundreds of runs.
        let worst = worst && whole.beds.len() <= 2 && whole.line.is_none();
        let at = if worst {
            "\"worst\"".to_owned()
        } else {
            seconds(3600.0 * at * whole.hours)
        };
        let what = match kind {
            0 => "pump = \"stops\"".to_owned(),
            1 => "pump = \"starts\"".to_owned(),
            2 => format!("siphon-blocked = \"{name}\""),
            3 => format!("valve-shut = \"{name}\""),
            _ if whole.line.is_some() => format!(
                "line-blocked = {:.2}",
                if share > 0.9 { 1.0 } else { share }
            ),
            _ => "pump = \"stops\"".to_owned(),
        };
        let _ = writeln!(text, "\n[[event]]\nat = {at}\n{what}");
    }
    text
}
