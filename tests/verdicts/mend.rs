//! Does to a system what a printed fix says, reading the amounts from its words.

use ebbwright::model::*;
use ebbwright::units::parse::parse;
use ebbwright::units::table::Quantity;

/// The quantity that follows `marker` in `text`.
pub fn amount(text: &str, marker: &str, quantity: Quantity) -> f64 {
    let at = text
        .find(marker)
        .unwrap_or_else(|| panic!("no '{marker}' in '{text}'"));
    let words: Vec<&str> = text[at + marker.len()..]
        .split_whitespace()
        .take(3)
        .collect();
    (1..=words.len())
        .rev()
        .find_map(|n| {
            let phrase = words[..n].join(" ");
            parse(phrase.trim_end_matches(['.', ',', ':', ')', ';']), quantity).ok()
        })
        .unwrap_or_else(|| panic!("no {quantity:?} after '{marker}' in '{text}'"))
}

fn percent(text: &str, marker: &str) -> f64 {
    let at = text
        .find(marker)
        .unwrap_or_else(|| panic!("no '{marker}' in '{text}'"));
    let word = text[at + marker.len()..].split_whitespace().next().unwrap();
    word.parse::<f64>().unwrap() / 100.0
}

/// Applies every step that `text` names to the bed called `subject`, or to the system.
pub fn mend(system: &mut System, subject: &str, text: &str) {
    let lower = text.to_lowercase();
    let mut steps = 0;
    let mut step = |word: &str, act: &mut dyn FnMut()| {
        if lower.contains(word) {
            act();
            steps += 1;
        }
    };
    let i = system
        .beds
        .iter()
        .position(|bed| bed.name == subject)
        .unwrap_or(0);
    let length = |marker: &str| amount(&lower, marker, Quantity::Length);
    let named = format!("\"{subject}\"");

    let mut next = system.clone();
    step("cut every standpipe", &mut || {
        for bed in &mut next.beds {
            bed.siphon.standpipe.lip_height -= length("cut every standpipe ");
        }
    });
    step("cut the standpipe of", &mut || {
        next.beds[i].siphon.standpipe.lip_height -=
            length(&format!("cut the standpipe of {named} "));
    });
    step("make the standpipe of", &mut || {
        next.beds[i].siphon.standpipe.lip_height +=
            length(&format!("make the standpipe of {named} "));
    });
    step("lower the outlet of", &mut || {
        let drop = length(&format!("lower the outlet of {named} by "));
        lower_outlet(&mut next.beds[i], drop);
    });
    step("raise the outlet of", &mut || {
        let rise = length(&format!("raise the outlet of {named} by "));
        lower_outlet(&mut next.beds[i], -rise);
    });
    step("use a standpipe and drain pipe of at most", &mut || {
        let pipe = &mut next.beds[i].siphon.standpipe;
        let bore = length("drain pipe of at most ");
        pipe.outside += bore - pipe.bore;
        pipe.lip_diameter *= bore / pipe.bore;
        pipe.bore = bore;
    });
    step("use a standpipe and drain pipe of at least", &mut || {
        let pipe = &mut next.beds[i].siphon.standpipe;
        let bore = length("drain pipe of at least ");
        pipe.outside += bore - pipe.bore;
        pipe.lip_diameter *= bore / pipe.bore;
        pipe.bore = bore;
    });
    step("begin with the water of", &mut || {
        next.beds[i].start_depth =
            Some(length(&format!("water of {named} at ")) - next.beds[i].floor);
    });
    step("of gravel to", &mut || {
        next.beds[i].media.depth += length("add ")
    });
    step("build the wall of", &mut || {
        let higher = length(&format!("wall of {named} "));
        next.beds[i].rim_height += higher;
        if let ebbwright::hydraulics::vessel::VesselShape::Box { depth, .. } =
            &mut next.beds[i].shape
        {
            *depth += higher;
        }
    });
    step("with its siphon and outlet by", &mut || {
        let down = length("with its siphon and outlet by ");
        sink(&mut next.beds[i], down);
    });
    step("widen the slots of the bell", &mut || {
        next.beds[i].siphon.bell.slots.width = length(&format!("bell of {named} to "));
    });
    step("seal the bell of", &mut || {
        next.beds[i].siphon.bell.air_leak =
            0.999 * amount(&lower, "lets in less than ", Quantity::Flow);
    });
    step("fill the sump", &mut || {
        let marker = if lower.contains("sump only to") {
            "sump only to "
        } else {
            "fill the sump to "
        };
        next.sump.start_level = length(marker);
    });
    step("lower the pump's intake by", &mut || {
        next.pump.intake_level -= length("lower the pump's intake by ");
    });
    step("fit a check valve", &mut || next.pump.check_valve = true);
    step("raise the pump's intake by", &mut || {
        next.pump.intake_level += length("raise the pump's intake by ");
    });
    let tank = next.tank.as_mut();
    if let Some(tank) = tank {
        step("raise the overflow of the fish tank to", &mut || {
            tank.overflow_level = length("overflow of the fish tank to ");
        });
        step("fill the fish tank to", &mut || {
            tank.start_level = length("fill the fish tank to ");
        });
        step("drill an anti-siphon hole", &mut || {
            if let TankFeed::PumpBranch(inlet) = &mut tank.fed_by {
                inlet.anti_siphon_hole = Some(length("inlet of the fish tank at "));
            }
        });
    }
    step("use a drain line of at least", &mut || {
        if let Some(line) = &mut next.drain_line {
            line.run.bore = length("drain line of at least ");
        }
    });
    step("at a slope of", &mut || {
        if let Some(line) = &mut next.drain_line {
            line.slope = percent(&lower, "at a slope of ");
        }
    });
    step("raise the upper end of the drain line by", &mut || {
        if let Some(line) = &mut next.drain_line {
            line.slope += length("upper end of the drain line by ") / line.run.length;
        }
    });
    step("raise the drain line by", &mut || {
        if let Some(line) = &mut next.drain_line {
            line.outlet += length("raise the drain line by ");
        }
    });
    step("raise the inflow of", &mut || {
        set_inflow(&mut next, i, &lower, "to at least ")
    });
    step("throttle the inflow of", &mut || {
        set_inflow(&mut next, i, &lower, "to at most ")
    });
    assert!(steps > 0, "nothing to do in: {text}");
    *system = next;
}

/// Sets the inflow the way the text says, or to its figure where it leaves the way open.
fn set_inflow(system: &mut System, i: usize, text: &str, marker: &str) {
    if text.contains("bypass valve from") {
        let opening = percent(text, "bypass valve from ");
        let valve = system
            .supply
            .bypass
            .as_mut()
            .unwrap()
            .valve
            .as_mut()
            .unwrap();
        assert!((valve.opening - opening).abs() < 0.01);
        valve.opening = percent(&text[text.find("bypass valve from ").unwrap()..], " to ");
        return;
    }
    if text.contains("a pump flow of ") {
        system.pump.source = PumpSource::Steady(amount(text, "a pump flow of ", Quantity::Flow));
    }
    for (j, bed) in system.beds.iter_mut().enumerate() {
        let marker = if j == i {
            "set its share to ".to_owned()
        } else {
            format!("that of \"{}\" to ", bed.name.to_lowercase())
        };
        if let Inlet::Share(share) = &mut bed.inlet
            && let Some(at) = text.find(&marker)
        {
            let word = text[at + marker.len()..].split([' ', ',']).next().unwrap();
            *share = word.trim_end_matches('.').parse().unwrap();
        }
    }
    let told = text.contains("a pump flow of ") || text.contains("set its share to ");
    let alone = system.beds.len() == 1;
    match &mut system.beds[i].inlet {
        Inlet::Measured(flow) => *flow = amount(text, marker, Quantity::Flow),
        Inlet::Share(share) => {
            if alone && !told {
                let wanted = amount(text, marker, Quantity::Flow);
                system.pump.source = PumpSource::Steady(wanted / *share);
            } else {
                assert!(told, "no share and no pump flow in: {text}");
            }
        }
        Inlet::Piped(branch) => {
            let valve = branch.valve.as_mut().expect("a valve to set");
            let from = text.find("valve from ").expect("an opening");
            valve.opening = percent(&text[from..], " to ");
        }
    }
}

fn lower_outlet(bed: &mut Bed, drop: f64) {
    bed.siphon.drain.outlet -= drop;
    if let DrainLosses::Computed { length, .. } = &mut bed.siphon.drain.losses {
        *length += drop;
    }
}

/// The whole bed lower by `down` [m], its inlet included.
fn sink(bed: &mut Bed, down: f64) {
    bed.floor -= down;
    bed.siphon.drain.outlet -= down;
    if let Inlet::Piped(branch) = &mut bed.inlet {
        branch.level -= down;
    }
}
