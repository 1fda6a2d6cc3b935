//! The text of one bed with its siphon.

use crate::dice::Dice;
use crate::file::{Feed, Line, flow, m, rounded};
use std::f64::consts::PI;

/// A bed as text, and what other parts must know of it.
pub struct BedPlan {
    pub name: String,
    pub rim: f64,
    /// Inflow wanted `[m3/s]`.
    pub flow: f64,
    /// Water of one flood, about `[m3]`.
    pub flood: f64,
    pub text: String,
}

/// A vessel: its text, depth and clear width `[m]`, and mean area `[m2]`.
pub struct Vessel {
    pub text: String,
    pub depth: f64,
    pub width: f64,
    pub area: f64,
}

/// Any shape, `side` long and `depth` deep or about so.
pub fn vessel(dice: &mut Dice<'_>, side: f64, depth: f64) -> Vessel {
    let (side, depth) = (rounded(side.max(0.021)), rounded(depth.max(0.021)));
    let other = rounded((side * dice.ratio(0.8, 0.4, 2.5)).max(0.021));
    let waist = dice.even(0.85, 0.4, 1.0);
    let kind = dice.one_of(5);
    let (text, depth, width, area) = match kind {
        0 => (
            format!(
                "box = {{ length = {}, width = {}, depth = {} }}",
                m(side),
                m(other),
                m(depth)
            ),
            depth,
            side.min(other),
            side * other,
        ),
        1 => (
            format!(
                "upright-cylinder = {{ diameter = {}, depth = {} }}",
                m(side),
                m(depth)
            ),
            depth,
            side,
            0.25 * PI * side * side,
        ),
        2 => {
            let (a, b) = (
                rounded((waist * side).max(0.021)),
                rounded((waist * other).max(0.021)),
            );
            (
                format!(
                    "tapered = {{ top-length = {}, top-width = {}, bottom-length = {}, bottom-width = {}, depth = {} }}",
                    m(side),
                    m(other),
                    m(a),
                    m(b),
                    m(depth)
                ),
                depth,
                a.min(b),
                0.25 * (side + a) * (other + b),
            )
        }
        3 => {
            let diameter = rounded(depth * dice.even(1.0, 0.8, 2.0).max(0.03));
            let diameter = diameter.max(0.03);
            (
                format!(
                    "lying-cylinder = {{ diameter = {}, length = {} }}",
                    m(diameter),
                    m(side)
                ),
                diameter,
                diameter.min(side),
                0.75 * diameter * side,
            )
        }
        _ => {
            let areas =
                [waist, 1.0, waist * waist].map(|share| (1e4 * share * side * side).max(0.5));
            let list: Vec<String> = areas
                .iter()
                .map(|area| format!("\"{area:.3} cm2\""))
                .collect();
            (
                format!(
                    "table = {{ depth = [\"0 m\", {}, {}], area = [{}] }}",
                    m(rounded(0.5 * depth)),
                    m(depth),
                    list.join(", ")
                ),
                depth,
                0.4 * side,
                0.7 * side * side,
            )
        }
    };
    Vessel {
        text: format!("shape = {{ {text} }}\n"),
        depth,
        width,
        area,
    }
}

/// Bore, outside and lip of a standpipe, its bell.
struct Pipes {
    bore: f64,
    outside: f64,
    bell: f64,
    bell_outside: f64,
}

fn pipes(dice: &mut Dice<'_>, width: f64) -> Pipes {
    let bore = rounded(
        dice.ratio(0.0266, 0.005, 0.075)
            .min(0.25 * width)
            .max(0.005),
    );
    let outside = rounded(bore + dice.ratio(0.006, 0.0006, 0.01));
    let gap = dice.ratio(0.04, 0.003, 0.08).min(0.3 * width).max(0.002);
    let bell = rounded((outside + gap).max(0.010));
    Pipes {
        bore,
        outside,
        bell,
        bell_outside: rounded(bell + dice.ratio(0.006, 0.001, 0.012)),
    }
}

/// Bed `i`: every size from a cup to a pond, every height, mostly near what works.
pub fn bed(dice: &mut Dice<'_>, i: usize, feed: Feed, line: Option<Line>) -> BedPlan {
    let name = format!("bed {}", i + 1);
    let floor = rounded(dice.even(1.0, 0.3, 1.9));
    let (side, deep) = (dice.ratio(1.0, 0.12, 3.5), dice.ratio(0.35, 0.10, 0.9));
    let shape = vessel(dice, side, deep);
    let cut = if dice.chance(0.3) {
        dice.even(1.0, 0.5, 1.0)
    } else {
        1.0
    };
    let rim = rounded(floor + cut * shape.depth);
    let wall = rim - floor;
    let pipes = pipes(dice, shape.width);
    let lip = rounded(wall * dice.even(0.65, 0.2, 0.97)).clamp(0.010, wall - 0.002);
    let void = dice.even(0.4, 0.06, 0.94);
    let strength = dice.ratio(1.0, 0.05, 8.0);
    let own = 0.45 * 0.25 * PI * pipes.bore.powi(2) * (9.81 * pipes.bore).sqrt();
    let inflow = (strength * own).clamp(0.03 / 6e4, 400.0 / 6e4);

    let mut text = format!(
        "\n[[bed]]\nname = \"{name}\"\nfloor = {}\n{}",
        m(floor),
        shape.text
    );
    if cut < 1.0 {
        text += &format!("rim = {}\n", m(rim));
    }
    text += &gravel(dice, &shape, wall, &pipes, void);
    text += &inlet(dice, feed, floor, wall, inflow);
    if dice.chance(0.4) {
        text += &format!(
            "start-level = {}\n",
            m(floor + wall * dice.even(0.2, 0.0, 1.0))
        );
    }
    text += &standpipe(dice, &pipes, lip);
    text += &bell(dice, &pipes, lip);
    text += &drain(dice, floor, lip, line);
    BedPlan {
        name,
        rim,
        flow: inflow,
        flood: shape.area * void * lip,
        text,
    }
}

fn gravel(dice: &mut Dice<'_>, shape: &Vessel, wall: f64, pipes: &Pipes, void: f64) -> String {
    let depth = rounded(wall * dice.even(0.86, 0.3, 1.0)).clamp(0.020, wall);
    let grain = dice.chance(0.35).then(|| dice.ratio(0.012, 0.0008, 0.05));
    let fouling = dice.chance(0.3).then(|| dice.ratio(3.0, 1.0, 100.0));
    let mut text = format!("media = {{ depth = {}, void = {void:.3}", m(depth));
    if let Some(grain) = grain {
        text += &format!(", grain = \"{:.2} mm\"", 1e3 * grain);
    }
    if let Some(fouling) = fouling {
        text += &format!(", fouling = {fouling:.2}");
    }
    text += " }\n";
    let (has_guard, gap) = (dice.chance(0.45), dice.ratio(0.04, 0.004, 0.1));
    let openings = dice.chance(0.5).then(|| dice.ratio(0.2, 1e-3, 0.9));
    let diameter = rounded((pipes.bell_outside + gap).min(0.9 * shape.width));
    if has_guard && diameter >= pipes.bell_outside.max(0.02) + 0.001 {
        text += &format!("guard = {{ diameter = {}", m(diameter));
        if let Some(share) = openings {
            let area = (share * PI * diameter * depth).max(2e-6);
            text += &format!(", slot-area = \"{:.3} cm2\"", 1e4 * area);
        }
        text += " }\n";
    }
    text
}

fn inlet(dice: &mut Dice<'_>, feed: Feed, floor: f64, wall: f64, inflow: f64) -> String {
    let (covered, height) = (dice.chance(0.3), dice.even(0.5, 0.0, 1.0));
    let (bore, length, k) = (
        dice.ratio(0.015, 0.004, 0.04),
        dice.ratio(0.6, 0.02, 12.0),
        dice.ratio(3.0, 0.05, 60.0),
    );
    let valve = dice
        .chance(0.4)
        .then(|| (dice.one_of(2), dice.even(0.6, 0.0, 1.0)));
    let hole = dice.chance(0.25).then(|| dice.even(0.9, 0.0, 1.2));
    match feed {
        // The shares are written by the whole: each its part of the pump's flow.
        Feed::Shares => "inlet = { share = SHARE }\n".to_owned(),
        Feed::Measured => format!("inlet = {{ flow = {} }}\n", flow(inflow)),
        Feed::SteadyPipes | Feed::Pipes => {
            let level = floor + wall * if covered { height } else { 1.1 };
            let mut text = format!(
                "inlet = {{ level = {}, pipe = {{ bore = \"{:.2} mm\", length = {} }}, k = {k:.2}",
                m(level),
                1e3 * bore,
                m(length)
            );
            if let Some((kind, opening)) = valve {
                text += &format!(", valve = {{ {} = {opening:.2} }}", ["ball", "gate"][kind]);
            }
            if let Some(share) = hole {
                text += &format!(", anti-siphon-hole = {}", m(floor + share * wall));
            }
            text + " }\n"
        }
    }
}

fn standpipe(dice: &mut Dice<'_>, pipes: &Pipes, lip: f64) -> String {
    let widest = (pipes.bell - 0.001).min(2.0 * pipes.bore);
    let flare = dice.chance(0.3).then(|| dice.even(0.5, 0.0, 1.0));
    let mut text = format!(
        "[bed.standpipe]\nbore = {}\noutside = {}\nlength = {}\n",
        m(pipes.bore),
        m(pipes.outside),
        m(lip)
    );
    if let Some(share) = flare.filter(|_| widest > pipes.bore) {
        text += &format!(
            "flare = {}\n",
            m(pipes.bore + share * (widest - pipes.bore))
        );
    }
    text
}

fn bell(dice: &mut Dice<'_>, pipes: &Pipes, lip: f64) -> String {
    let clearance = dice.ratio(0.02, 0.0012, 0.09);
    let height = rounded(lip * dice.ratio(0.11, 0.02, 0.9)).clamp(0.001, (lip - 0.001).min(0.5));
    let count = 1 + dice.one_of(24);
    let width = dice
        .ratio(0.01, 0.001, 0.03)
        .min(0.95 * PI * pipes.bell_outside / count as f64)
        .max(0.001);
    let count = count
        .min((0.95 * PI * pipes.bell_outside / width) as usize)
        .max(1);
    let mut text = format!(
        "[bed.bell]\nbore = {}\noutside = {}\nclearance = {}\nslots = {{ count = {count}, width = \"{:.2} mm\", height = {} }}\n",
        m(pipes.bell),
        m(pipes.bell_outside),
        m(clearance),
        1e3 * width,
        m(height)
    );
    let tube = dice
        .chance(0.4)
        .then(|| (dice.ratio(0.006, 0.001, 0.012), dice.even(0.15, 0.0, 0.95)));
    if let Some((bore, mouth)) = tube {
        let bore = bore.min(pipes.bell - 0.001);
        text += &format!(
            "air-tube = {{ bore = \"{:.2} mm\", mouth = {} }}\n",
            1e3 * bore,
            m(mouth * (lip - 0.002))
        );
    }
    if dice.chance(0.06) {
        text += &format!("air-leak = {}\n", flow(dice.ratio(0.2, 0.01, 20.0) / 6e4));
    }
    text
}

/// The drain, into the line where there is one below it.
fn drain(dice: &mut Dice<'_>, floor: f64, lip: f64, line: Option<Line>) -> String {
    let drop = dice.ratio(0.5, 0.004, 1.5);
    let at = dice.even(1.0, 0.0, 1.0);
    let wants_line = !dice.chance(0.2);
    let junction = line.map(|line| (line, rounded(at * line.length)));
    let junction = junction.filter(|(line, at)| wants_line && line.invert(*at) < floor - 0.004);
    let least = junction.map_or(0.0, |(line, at)| line.invert(at)) + 0.0002;
    let outlet = rounded((floor - drop).max(least).min(floor - 0.002));
    let mut text = format!("[bed.drain]\noutlet = {}\n", m(outlet));
    let (extra, k) = (dice.ratio(0.1, 0.001, 6.0), dice.ratio(1.0, 0.02, 20.0));
    let total = dice.chance(0.25).then(|| dice.ratio(4.0, 0.05, 150.0));
    match total {
        Some(k) => text += &format!("total-k = {k:.2}\n"),
        None => text += &format!("length = {}\nk = {k:.2}\n", m(floor + lip - outlet + extra)),
    }
    match junction {
        Some((_, at)) => text += &format!("into = \"line\"\nat = {}\n", m(at)),
        None if line.is_some() => text += "into = \"sump\"\n",
        None => {}
    }
    text
}
