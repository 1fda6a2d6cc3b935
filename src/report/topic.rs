//! The questions that an owner has, each answered in a line; every check belongs to one.

use crate::assessment::{CheckId, Subject};
use crate::model::System;
use crate::report::bed_names::bed_name;

/// A question that an owner has, in the order of the answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Topic {
    /// Gravel that stays dry.
    DryGravel,
    /// Whether the siphons start.
    Starts,
    /// Whether they stop.
    Stops,
    /// How long a cycle takes.
    Cycle,
    /// Where the sump stands.
    Sump,
    /// Where its water goes with the pump off.
    PowerCut,
    /// What a dead siphon does.
    DeadSiphon,
    /// Pipes that lead back.
    DrainLine,
    /// Where the fish live.
    FishTank,
    /// What settles solids.
    Settler,
    /// What comes and goes.
    TopOff,
    /// Room over the beds.
    Headroom,
    /// Weight on the floor.
    Weight,
}

impl Topic {
    /// All of them, in order.
    pub const ALL: [Self; 13] = [
        Self::DryGravel,
        Self::Starts,
        Self::Stops,
        Self::Cycle,
        Self::Sump,
        Self::PowerCut,
        Self::DeadSiphon,
        Self::DrainLine,
        Self::FishTank,
        Self::Settler,
        Self::TopOff,
        Self::Headroom,
        Self::Weight,
    ];
    /// Their keys in the results.
    pub const KEYS: &'static [&'static str] = &[
        "dry-gravel",
        "starts",
        "stops",
        "cycle",
        "sump",
        "power-cut",
        "dead-siphon",
        "drain-line",
        "fish-tank",
        "settler",
        "top-off",
        "headroom",
        "weight",
    ];

    /// Its key in the results.
    pub const fn key(self) -> &'static str {
        Self::KEYS[self as usize]
    }

    /// As people read it.
    pub const fn label(self) -> &'static str {
        match self {
            Self::DryGravel => "Dry gravel",
            Self::Starts => "Starts",
            Self::Stops => "Stops",
            Self::Cycle => "Cycle",
            Self::Sump => "Sump",
            Self::PowerCut => "Power cut",
            Self::DeadSiphon => "If one fails",
            Self::DrainLine => "Drain line",
            Self::FishTank => "Fish tank",
            Self::Settler => "Settler",
            Self::TopOff => "Top-off",
            Self::Headroom => "Headroom",
            Self::Weight => "Weight",
        }
    }

    /// The question that a check helps to answer.
    pub const fn of(id: CheckId) -> Self {
        match id {
            CheckId::DryLayer => Self::DryGravel,
            CheckId::Rim => Self::DeadSiphon,
            CheckId::Starts => Self::Starts,
            CheckId::Breaks | CheckId::InflowRatio | CheckId::CrownPressure => Self::Stops,
            CheckId::Period => Self::Cycle,
            CheckId::PumpCover => Self::Sump,
            CheckId::SumpHigh => Self::PowerCut,
            CheckId::DrainLine | CheckId::Fall | CheckId::SumpEntry => Self::DrainLine,
            CheckId::TankLevel
            | CheckId::Turnover
            | CheckId::FishDensity
            | CheckId::FishFeed
            | CheckId::FishOxygen => Self::FishTank,
            CheckId::Settler => Self::Settler,
            CheckId::TopOff | CheckId::Dissolved => Self::TopOff,
            CheckId::Headroom | CheckId::Reach => Self::Headroom,
            CheckId::FloorLoad => Self::Weight,
        }
    }

    /// What the figure of a check is, and of what: `flow into north at its lip`.
    pub fn measured(id: CheckId, subject: Subject, name: &str) -> String {
        match id {
            CheckId::DryLayer => format!("dry gravel of {name}"),
            CheckId::Rim => format!("wall of {name} over the water of a dead siphon"),
            CheckId::Starts => format!("flow into {name} at its lip"),
            CheckId::Breaks => format!("flow into {name} at its break level"),
            CheckId::InflowRatio => format!("inflow of {name} over the flow of its siphon"),
            CheckId::CrownPressure => format!("pressure under the cap of {name}"),
            CheckId::Period => format!("time from flood to flood of {name}"),
            CheckId::PumpCover => "water over the pump's intake".to_owned(),
            CheckId::SumpHigh => "room under where the sump spills".to_owned(),
            CheckId::DrainLine if subject == Subject::LineSlope => {
                "slope of the drain line".to_owned()
            }
            CheckId::DrainLine => "flow in the drain line".to_owned(),
            CheckId::Fall => format!("fall of {name}"),
            CheckId::SumpEntry => {
                "lowest hole in the sump's wall over its highest water".to_owned()
            }
            CheckId::Headroom => format!("room over {name}"),
            CheckId::TopOff => "level of the float valve".to_owned(),
            CheckId::TankLevel => "lowest water of the fish".to_owned(),
            CheckId::Turnover => "turnover of the fish's water".to_owned(),
            _ => Self::with_name(id, subject, name),
        }
    }

    /// The question and what it is asked of: `dry gravel of north`.
    pub fn named(id: CheckId, subject: Subject, system: &System) -> String {
        let name = match subject {
            Subject::Bed(i) => bed_name(system, i),
            _ => String::new(),
        };
        Self::with_name(id, subject, &name)
    }

    fn with_name(id: CheckId, subject: Subject, name: &str) -> String {
        let topic = Self::of(id).label().to_lowercase();
        match subject {
            Subject::Bed(_) => format!("{topic} of {name}"),
            _ => topic,
        }
    }
}
