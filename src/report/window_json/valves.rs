//! Valve settings and what they lack, as JSON.

use serde::Serialize;

use crate::model::System;
use crate::report::json::Number;
use crate::report::window_json::{Ends, ends, trust_key};
use crate::report::words::regime_key;
use crate::simulation::Regime;
use crate::study::valves::{BedSetting, Setting, Shortfall, ValvePlan};

#[derive(Serialize)]
pub(super) struct ValvesPart<'a> {
    works: bool,
    sump_m: Ends,
    beds: Vec<SettingPart<'a>>,
    bypass: Option<BypassPart>,
    short: Vec<ShortPart<'a>>,
}

#[derive(Serialize)]
struct SettingPart<'a> {
    name: &'a str,
    set: &'static str,
    valve: Option<&'static str>,
    now: Option<Number>,
    to: Option<Number>,
    k: Option<Number>,
    flow_m3_s: Ends,
    window_m3_s: Ends,
    trust: &'static str,
    inside: bool,
    simulated: Option<&'static str>,
}

#[derive(Serialize)]
struct BypassPart {
    valve: Option<&'static str>,
    now: Number,
    to: Number,
    flow_m3_s: Ends,
}

#[derive(Serialize)]
struct ShortPart<'a> {
    what: &'static str,
    bed: Option<&'a str>,
    flow_m3_s: Option<Number>,
    head_m: Option<Number>,
    bore_m: Option<Number>,
    needed: bool,
}

pub(super) fn valves_part<'a>(system: &'a System, plan: &ValvePlan) -> ValvesPart<'a> {
    let name = |i: usize| system.beds.get(i).map(|bed| bed.name.as_str());
    ValvesPart {
        works: plan.works(),
        sump_m: ends(plan.sump),
        beds: system
            .beds
            .iter()
            .zip(&plan.beds)
            .enumerate()
            .map(|(i, (bed, setting))| {
                setting_part(&bed.name, setting, plan.regimes.get(i).copied())
            })
            .collect(),
        bypass: plan.bypass.map(|found| BypassPart {
            valve: found.kind.map(|kind| kind.name()),
            now: Number(found.now),
            to: Number(found.opening),
            flow_m3_s: ends(found.flow),
        }),
        short: plan
            .shortfalls
            .iter()
            .map(|short| short_part(short, name))
            .collect(),
    }
}

fn setting_part<'a>(
    name: &'a str,
    found: &BedSetting,
    simulated: Option<Regime>,
) -> SettingPart<'a> {
    let mut part = SettingPart {
        name,
        set: "nothing",
        valve: None,
        now: None,
        to: None,
        k: None,
        flow_m3_s: ends(found.flow),
        window_m3_s: ends(found.window),
        trust: trust_key(found.trust),
        inside: found.is_inside(),
        simulated: simulated.map(regime_key),
    };
    match &found.setting {
        Setting::Valve {
            kind,
            now,
            opening,
            k,
        } => {
            part.set = if now.is_some() { "valve" } else { "new-valve" };
            part.valve = Some(kind.name());
            part.now = now.map(Number);
            part.to = Some(Number(*opening));
            part.k = Some(Number(*k));
        }
        Setting::Unvalved => {}
        Setting::Share { now, share } => {
            part.set = "share";
            part.now = Some(Number(*now));
            part.to = Some(Number(*share));
        }
        Setting::Measured { now } => {
            part.set = "bucket";
            part.now = Some(Number(*now));
        }
    }
    part
}

fn short_part<'a>(short: &Shortfall, name: impl Fn(usize) -> Option<&'a str>) -> ShortPart<'a> {
    let blank = ShortPart {
        what: "",
        bed: None,
        flow_m3_s: None,
        head_m: None,
        bore_m: None,
        needed: true,
    };
    match *short {
        Shortfall::NoWindow { bed } => ShortPart {
            what: "window",
            bed: name(bed),
            ..blank
        },
        Shortfall::Pump { flow, head, .. } => ShortPart {
            what: "pump",
            flow_m3_s: Some(Number(flow)),
            head_m: head.map(Number),
            ..blank
        },
        Shortfall::Branch { bed, needed, .. } => ShortPart {
            what: "branch-bore",
            bed: name(bed),
            bore_m: Some(Number(needed)),
            ..blank
        },
        Shortfall::Trunk { needed, .. } => ShortPart {
            what: "trunk-bore",
            bore_m: Some(Number(needed)),
            ..blank
        },
        Shortfall::Bypass { flow, needed } => ShortPart {
            what: "bypass",
            flow_m3_s: Some(Number(flow)),
            needed,
            ..blank
        },
        Shortfall::Swing { bed, swing, .. } => ShortPart {
            what: "sump-swing",
            bed: name(bed),
            flow_m3_s: Some(Number(swing)),
            ..blank
        },
    }
}
