//! Numbers of a system, each with an address of its own.

use crate::model::{Coefficient, Inlet, PumpSource, System, TankFeed};

/// One number of a [`System`], in SI units. Beds, sources and incidents are meant by their
/// index. The addresses mirror the keys of a scenario.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Time to simulate, where it is given `[h]`.
    Hours,
    /// Temperature of the water `[degC]`.
    Temperature,
    /// Elevation of the ceiling `[m]`.
    Ceiling,
    /// Water lost to the air `[m3/s]`.
    Evaporation,
    /// Flow of a source `[m3/s]`.
    Source(usize),
    /// Nominal value of a soft coefficient, which is then taken as exact.
    Coefficient(Coefficient),
    /// A level of a vessel `[m]`.
    Level(Vessel, Level),
    /// A measure of a vessel's shape `[m]`.
    Measure(Vessel, Measure),
    /// Something about a pipe outside the beds.
    Pipe(Pipe, PipePart),
    /// Something about a branch of the supply.
    Branch(Outlet, BranchPart),
    /// Something about the pump.
    Pump(PumpPart),
    /// Fall per length of the drain line `[-]`.
    LineSlope,
    /// Elevation of the drain line's invert at its lower end `[m]`.
    LineOutlet,
    /// Bore of the tank's overflow pipe `[m]`.
    TankOverflowBore,
    /// Something about the float valve.
    TopOff(TopOffPart),
    /// Something inside or below a bed.
    Bed(usize, BedPart),
}

/// A vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Vessel {
    /// The sump.
    Sump,
    /// The fish tank.
    Tank,
    /// The settler.
    Settler,
    /// A bed.
    Bed(usize),
}

/// An elevation of a vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Level {
    /// Its inside bottom `[m]`. What is inside a bed goes with it, and the siphon's pipe
    /// becomes longer or shorter; its outlet and the inlet stay. Other vessels keep their levels.
    Floor,
    /// Its water at the start `[m]`.
    Start,
    /// Its overflow, or a bed's rim `[m]`.
    Overflow,
}

/// An inside measure of a shape `[m]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "the names are those of the shapes' measures")]
pub enum Measure {
    Length,
    Width,
    Depth,
    Diameter,
    TopLength,
    TopWidth,
    BottomLength,
    BottomWidth,
}

impl Measure {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Length,
        Self::Width,
        Self::Depth,
        Self::Diameter,
        Self::TopLength,
        Self::TopWidth,
        Self::BottomLength,
        Self::BottomWidth,
    ];
}

/// A pipe outside the beds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Pipe {
    /// Pump to manifold.
    Trunk,
    /// A branch of the supply.
    Branch(Outlet),
    /// The shared drain line.
    DrainLine,
}

/// What a branch of the supply leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Outlet {
    /// A bed.
    Bed(usize),
    /// The fish tank.
    Tank,
    /// Back to the sump.
    Bypass,
    /// The settler.
    Settler,
}

/// A number of a pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PipePart {
    /// Inside diameter `[m]`.
    Bore,
    /// Length along it `[m]`.
    Length,
    /// Roughness of its wall `[m]`.
    Roughness,
    /// Summed K of its fittings `[-]`.
    K,
}

/// A number of a branch, beside its pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BranchPart {
    /// Elevation of its outlet `[m]`.
    Level,
    /// How far its valve is open, 0 to 1.
    Opening,
    /// Elevation of its anti-siphon hole `[m]`; drilled where there is none.
    Hole,
}

/// A number of the pump.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PumpPart {
    /// Elevation of its intake `[m]`.
    Intake,
    /// Water needed above the intake `[m]`.
    Cover,
    /// A measured flow `[m3/s]`.
    SteadyFlow,
    /// Electrical power `[W]`.
    Power,
    /// Wire-to-water efficiency, 0 to 1.
    Efficiency,
    /// Price of energy `[1/kWh]`.
    Tariff,
    /// Running time of its timer `[s]`.
    TimerOn,
    /// Resting time of its timer `[s]`.
    TimerOff,
}

/// A number of the float valve.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TopOffPart {
    /// Sump level below which it opens `[m]`.
    Level,
    /// Flow while open `[m3/s]`.
    Flow,
    /// Bore of its supply `[m]`.
    Bore,
    /// Water it can draw on `[m3]`.
    Reservoir,
}

/// A number of a bed beside its levels, its shape and its branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BedPart {
    /// Depth of the gravel `[m]`.
    MediaDepth,
    /// Drainable void `[-]`.
    Void,
    /// Grain size `[m]`.
    Grain,
    /// Resistance over that of clean gravel `[-]`.
    Fouling,
    /// Inside diameter of the guard `[m]`.
    GuardDiameter,
    /// Openings of the guard `[m2]`.
    GuardOpenings,
    /// Share of the pump's steady flow, 0 to 1.
    Share,
    /// Measured inflow `[m3/s]`. A pump that gives just what the beds take follows.
    Flow,
    /// Bore of standpipe and drain pipe `[m]`; wall and relative flare stay.
    PipeBore,
    /// Outside diameter of the standpipe `[m]`.
    PipeOutside,
    /// Bed's floor to lip `[m]`; the bell keeps its clearance and the pipe its outlet, so
    /// that it becomes that much longer or shorter.
    StandpipeLength,
    /// Diameter of the lip `[m]`.
    Flare,
    /// Bore of the bell `[m]`; its wall stays.
    BellBore,
    /// Outside diameter of the bell `[m]`.
    BellOutside,
    /// Lip to underside of the cap `[m]`.
    Clearance,
    /// Number of slots, whole.
    SlotCount,
    /// Width of each slot `[m]`.
    SlotWidth,
    /// Crown of the slots above the bed's floor `[m]`.
    SlotHeight,
    /// Bore of the air tube `[m]`.
    TubeBore,
    /// Mouth of the air tube above the bed's floor `[m]`.
    TubeMouth,
    /// Air that leaks in while priming `[m3/s]`.
    AirLeak,
    /// Elevation of the siphon's outlet `[m]`; the pipe becomes that much longer or shorter.
    Outlet,
    /// Developed length from lip to outlet, by itself `[m]`.
    DrainLength,
    /// Summed K of the fittings below the lip, or the measured total `[-]`.
    DrainK,
    /// Roughness of the siphon's pipe `[m]`.
    DrainRoughness,
    /// Distance of the junction from the line's outlet `[m]`.
    Junction,
}

impl BedPart {
    /// All of them.
    pub const ALL: [Self; 26] = [
        Self::MediaDepth,
        Self::Void,
        Self::Grain,
        Self::Fouling,
        Self::GuardDiameter,
        Self::GuardOpenings,
        Self::Share,
        Self::Flow,
        Self::PipeBore,
        Self::PipeOutside,
        Self::StandpipeLength,
        Self::Flare,
        Self::BellBore,
        Self::BellOutside,
        Self::Clearance,
        Self::SlotCount,
        Self::SlotWidth,
        Self::SlotHeight,
        Self::TubeBore,
        Self::TubeMouth,
        Self::AirLeak,
        Self::Outlet,
        Self::DrainLength,
        Self::DrainK,
        Self::DrainRoughness,
        Self::Junction,
    ];
}

impl Quantity {
    /// Every number that `system` has now, in the order of its scenario.
    pub fn all(system: &System) -> Vec<Self> {
        let mut all = vec![Self::Hours, Self::Temperature, Self::Ceiling];
        all.extend(vessel(Vessel::Sump));
        all.extend(
            [
                PumpPart::Intake,
                PumpPart::Cover,
                PumpPart::SteadyFlow,
                PumpPart::Power,
                PumpPart::Efficiency,
                PumpPart::Tariff,
                PumpPart::TimerOn,
                PumpPart::TimerOff,
            ]
            .map(Self::Pump),
        );
        all.extend(pipe(Pipe::Trunk));
        all.extend(branch(Outlet::Bypass));
        for i in 0..system.beds.len() {
            all.extend(vessel(Vessel::Bed(i)));
            all.extend(branch(Outlet::Bed(i)));
            all.extend(BedPart::ALL.map(|part| Self::Bed(i, part)));
        }
        all.extend(pipe(Pipe::DrainLine));
        all.extend([Self::LineSlope, Self::LineOutlet]);
        all.extend(vessel(Vessel::Tank));
        all.push(Self::TankOverflowBore);
        all.extend(branch(Outlet::Tank));
        all.extend(vessel(Vessel::Settler));
        all.extend(branch(Outlet::Settler));
        all.extend(
            [
                TopOffPart::Level,
                TopOffPart::Flow,
                TopOffPart::Bore,
                TopOffPart::Reservoir,
            ]
            .map(Self::TopOff),
        );
        all.push(Self::Evaporation);
        all.extend((0..system.sources.len()).map(Self::Source));
        all.extend(Coefficient::ALL.map(Self::Coefficient));
        all.retain(|one| one.value(system).is_some());
        all
    }
}

fn vessel(which: Vessel) -> impl Iterator<Item = Quantity> {
    let levels = [Level::Floor, Level::Start, Level::Overflow];
    let levels = levels
        .into_iter()
        .map(move |one| Quantity::Level(which, one));
    let measures = Measure::ALL.into_iter();
    levels.chain(measures.map(move |one| Quantity::Measure(which, one)))
}

fn pipe(which: Pipe) -> impl Iterator<Item = Quantity> {
    [
        PipePart::Bore,
        PipePart::Length,
        PipePart::Roughness,
        PipePart::K,
    ]
    .into_iter()
    .map(move |part| Quantity::Pipe(which, part))
}

fn branch(which: Outlet) -> impl Iterator<Item = Quantity> {
    let parts = [BranchPart::Level, BranchPart::Opening, BranchPart::Hole];
    let parts = parts.map(|part| Quantity::Branch(which, part));
    parts.into_iter().chain(pipe(Pipe::Branch(which)))
}

impl System {
    /// The branch that leads there, where there is one.
    pub fn branch_to(&self, outlet: Outlet) -> Option<&crate::model::Branch> {
        match outlet {
            Outlet::Bypass => self.supply.bypass.as_ref(),
            Outlet::Settler => self.settler.as_ref()?.inlet.as_ref(),
            Outlet::Tank => match &self.tank.as_ref()?.fed_by {
                TankFeed::PumpBranch(branch) => Some(branch),
                TankFeed::WholePump => None,
            },
            Outlet::Bed(i) => match &self.beds.get(i)?.inlet {
                Inlet::Piped(branch) => Some(branch),
                Inlet::Share(_) | Inlet::Measured(_) => None,
            },
        }
    }

    pub(super) fn branch_to_mut(&mut self, outlet: Outlet) -> Option<&mut crate::model::Branch> {
        match outlet {
            Outlet::Bypass => self.supply.bypass.as_mut(),
            Outlet::Settler => self.settler.as_mut()?.inlet.as_mut(),
            Outlet::Tank => match &mut self.tank.as_mut()?.fed_by {
                TankFeed::PumpBranch(branch) => Some(branch),
                TankFeed::WholePump => None,
            },
            Outlet::Bed(i) => match &mut self.beds.get_mut(i)?.inlet {
                Inlet::Piped(branch) => Some(branch),
                Inlet::Share(_) | Inlet::Measured(_) => None,
            },
        }
    }

    /// The pump's steady flow, where it has one `[m3/s]`.
    pub(super) fn steady_flow(&self) -> Option<f64> {
        match self.pump.source {
            PumpSource::Steady(flow) => Some(flow),
            PumpSource::Curve(_) => None,
        }
    }
}
