//! The rules put to a whole system.

use super::rules::{Rules, slot_widths};
use super::{Misfit, within};
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::vessel::VesselShape;
use crate::model::{
    Bed, Branch, Coefficient, Disturbance, DrainLosses, DrainTarget, Inlet, MOST_JOINED, Power,
    PumpSource, Sump, System, TankFeed, TankOutlet,
};

impl System {
    /// Everything that keeps this system from being built or from working at any flow;
    /// empty where it can be simulated. The scenario reader refuses by the same rules.
    pub fn misfits(&self) -> Vec<Misfit> {
        let mut found = self.vessels();
        found.extend(self.pump_and_supply());
        if self.beds.is_empty() {
            found.push(Misfit::NoBed);
        }
        for (i, bed) in self.beds.iter().enumerate() {
            if self.beds[..i].iter().any(|other| other.name == bed.name) {
                let name = bed.name.clone();
                found.push(Misfit::DuplicateName { name });
            }
            found.extend(bed.misfits(self));
        }
        found.extend(self.incidents.iter().filter_map(|one| match one.what {
            Disturbance::SiphonBlocked(index) | Disturbance::ValveShut(index) => {
                (index >= self.beds.len()).then_some(Misfit::NoSuchBed { index })
            }
            Disturbance::LineBlocked(_) => self.drain_line.is_none().then_some(Misfit::NoLine),
            _ => None,
        }));
        for which in Coefficient::ALL {
            let band = self.coefficients[which];
            found.extend(Rules::band(band.low, band.nominal, band.high));
        }
        found.extend(Rules::limits(&self.thresholds));
        found
    }

    fn vessels(&self) -> Vec<Misfit> {
        let Sump {
            shape,
            floor,
            start_level,
            overflow_level,
            count,
            ..
        } = &self.sump;
        let mut found = self.vessel(shape, *floor, *overflow_level, Some(*start_level));
        if !(1..=MOST_JOINED).contains(count) {
            found.push(Misfit::Impossible {
                what: "the number of vessels joined to the sump",
                value: f64::from(*count),
            });
        }
        if let Some(tank) = &self.tank {
            found.extend(self.vessel(
                &tank.shape,
                tank.floor,
                tank.overflow_level,
                Some(tank.start_level),
            ));
            found.extend(above_zero(
                "the bore of the tank's overflow",
                tank.overflow_bore,
            ));
            if let TankFeed::PumpBranch(branch) = &tank.fed_by {
                found.extend(self.branch(branch, Some(tank.floor)));
            }
        }
        if let Some(settler) = &self.settler {
            found.extend(self.vessel(&settler.shape, settler.floor, settler.overflow_level, None));
            if let Some(inlet) = &settler.inlet {
                found.extend(self.branch(inlet, Some(settler.floor)));
            }
            found.extend(Rules::settler_surface(
                settler.area(),
                settler.overflow_level,
            ));
        }
        if let Some(line) = &self.drain_line {
            found.extend(pipe("the drain line", &line.run));
            found.extend(above_zero("the slope of the drain line", line.slope));
            found.extend(Rules::line_over_sump(line.outlet, *floor));
        }
        if let Some(valve) = &self.top_off {
            found.extend(Rules::top_off_level(valve.level, *floor, *overflow_level));
            found.extend(above_zero("the bore of the float valve", valve.bore));
        }
        found
    }

    fn vessel(
        &self,
        shape: &VesselShape,
        floor: f64,
        overflow: f64,
        start: Option<f64>,
    ) -> Vec<Misfit> {
        // Of a shape that is none nothing else can be asked.
        if let Err(error) = shape.check() {
            return vec![Misfit::Shape(error)];
        }
        let mut found = Vec::new();
        let first = Rules::overflow_over_floor(overflow, floor)
            .or_else(|| Rules::overflow_in_shape(overflow, floor + shape.depth()))
            .or_else(|| Rules::overflow_under_ceiling(overflow, self.ceiling));
        found.extend(first);
        found.extend(start.and_then(|level| Rules::start_level(level, floor, overflow)));
        found
    }

    fn pump_and_supply(&self) -> Vec<Misfit> {
        let (pump, sump) = (&self.pump, &self.sump);
        let mut found = Vec::new();
        found.extend(
            Rules::intake_in_sump(pump.intake_level, sump.floor, sump.overflow_level).or_else(
                || {
                    let needed = pump.least_level();
                    Rules::cover_under_overflow(needed, sump.overflow_level)
                },
            ),
        );
        if let PumpSource::Steady(flow) = pump.source {
            found.extend(above_zero("the pump's flow", flow));
            if matches!(pump.power, Some(Power::Efficiency(_))) {
                found.push(Misfit::EfficiencyWithoutCurve);
            }
        }
        if let Some(timer) = &pump.schedule {
            found.extend(above_zero("the pump's running time", timer.on));
            found.extend(above_zero("the pump's resting time", timer.off));
            let time = self.duration.at_most();
            found.extend(Rules::timer_starts(timer.on + timer.off, time));
        }
        found.extend(pipe("the supply pipe", &self.supply.trunk));
        if let Some(bypass) = &self.supply.bypass {
            found.extend(pipe("the bypass", &bypass.run));
        }
        let inlets: Vec<Inlet> = self.beds.iter().map(|bed| bed.inlet.clone()).collect();
        found.extend(
            Rules::inlets_alike(&inlets, |i| self.beds[i].name.clone())
                .map(|(_, misfit)| misfit)
                .or_else(|| Rules::pump_feeds(&inlets, &pump.source)),
        );
        found.extend(self.beds_cut_off());
        found
    }

    /// Piped beds hang on the pump or on the tank's overflow.
    pub(crate) fn beds_cut_off(&self) -> Option<Misfit> {
        let piped = |bed: &Bed| matches!(bed.inlet, Inlet::Piped(_));
        let tank = self.tank.as_ref()?;
        (self.beds.iter().any(piped)
            && matches!(tank.fed_by, TankFeed::WholePump)
            && tank.overflows_to != TankOutlet::Beds)
            .then_some(Misfit::BedsCutOff)
    }

    fn branch(&self, branch: &Branch, floor: Option<f64>) -> Vec<Misfit> {
        let mut found = pipe("an inlet's pipe", &branch.run);
        found.extend(
            floor
                .and_then(|floor| Rules::inlet_over_floor(branch.level, floor))
                .or_else(|| Rules::inlet_under_ceiling(branch.level, self.ceiling)),
        );
        if let Some(valve) = &branch.valve
            && !(0.0..=1.0).contains(&valve.opening)
        {
            found.push(Misfit::Impossible {
                what: "the opening of a valve",
                value: valve.opening,
            });
        }
        found
    }
}

impl Bed {
    /// What keeps this bed from being built as part of `system`; it need not be one of its beds.
    pub fn misfits(&self, system: &System) -> Vec<Misfit> {
        if let Err(error) = self.shape.check() {
            return vec![Misfit::Shape(error)];
        }
        // Sizes first: between parts without a size heights mean nothing.
        let mut found = self.sizes();
        if !found.is_empty() {
            return found;
        }
        found.extend(
            Rules::rim_over_floor(self.rim_level(), self.floor)
                .or_else(|| Rules::rim_in_shape(self.rim_level(), self.floor + self.shape.depth()))
                .or_else(|| Rules::rim_under_ceiling(self.rim_level(), system.ceiling)),
        );
        found.extend(Rules::media_under_rim(self.media.depth, self.rim_height));
        found.extend(self.siphon_misfits());
        found.extend(self.column_misfits());
        found.extend(self.outlet_misfits(system));
        let start = self.start_level();
        found.extend(
            start.and_then(|level| Rules::bed_start_level(level, self.floor, self.rim_level())),
        );
        if let Inlet::Piped(branch) = &self.inlet {
            found.extend(system.branch(branch, Some(self.floor)));
        }
        found
    }

    fn sizes(&self) -> Vec<Misfit> {
        let (pipe, bell) = (&self.siphon.standpipe, &self.siphon.bell);
        let mut found: Vec<Misfit> = [
            ("the bore of the standpipe", pipe.bore),
            ("the bore of the bell", bell.bore),
            ("the clearance of the bell", bell.clearance),
            ("the width of the slots", bell.slots.width),
            ("the height of the slots", bell.slots.height),
            ("the number of slots", f64::from(bell.slots.count)),
            ("the depth of the media", self.media.depth),
        ]
        .into_iter()
        .filter_map(|(what, value)| above_zero(what, value))
        .collect();
        if let DrainLosses::Computed { length, .. } = self.siphon.drain.losses {
            found.extend(above_zero("the length of the siphon's pipe", length));
        }
        match self.inlet {
            Inlet::Share(value) if !(0.0..=1.0).contains(&value) => {
                let what = "the share of a bed";
                found.push(Misfit::Impossible { what, value });
            }
            // Nothing at all is a bed that stays dry.
            Inlet::Measured(value) if !(0.0..f64::INFINITY).contains(&value) => {
                let what = "the inflow of a bed";
                found.push(Misfit::Impossible { what, value });
            }
            _ => {}
        }
        let void = self.media.void;
        if !(void > 0.0 && void < 1.0) {
            found.push(Misfit::Impossible {
                what: "the drainable void",
                value: void,
            });
        }
        found
    }

    fn siphon_misfits(&self) -> Vec<Misfit> {
        let (pipe, bell) = (&self.siphon.standpipe, &self.siphon.bell);
        let tube = bell.air_tube.as_ref();
        [
            Rules::pipe_in_bell(pipe.outside, bell.bore)
                .or_else(|| Rules::lip_in_bell(pipe.lip_diameter, bell.bore)),
            Rules::wall(pipe.outside, pipe.bore),
            Rules::flare(pipe.lip_diameter, pipe.bore),
            Rules::wall(bell.outside, bell.bore),
            Rules::slots_round_bell(slot_widths(self), bell.outside),
            tube.and_then(|tube| Rules::tube_in_bell(tube.bore, bell.bore)),
            Rules::lip_under_rim(self.lip_level(), self.rim_level()),
            Rules::slots_under_lip(bell.slots.height, pipe.lip_height),
            tube.and_then(|tube| Rules::tube_under_lip(tube.mouth_height, pipe.lip_height)),
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// Guard over bell, and the wider of the two into the bed.
    fn column_misfits(&self) -> Option<Misfit> {
        let bell = self.siphon.bell.outside;
        let (mut what, mut widest) = ("the bell", bell);
        if let Some(guard) = &self.guard {
            let openings = guard
                .slot_area
                .and_then(|area| Rules::guard_openings(area, guard.diameter, self.media.depth));
            let misfit = Rules::guard_over_bell(guard.diameter, bell).or(openings);
            if misfit.is_some() {
                return misfit;
            }
            (what, widest) = ("the guard", guard.diameter);
        }
        Rules::column_in_bed(what, widest, 2.0 * self.shape.half_width())
    }

    fn outlet_misfits(&self, system: &System) -> Vec<Misfit> {
        let drain = &self.siphon.drain;
        let mut found = Vec::new();
        found.extend(Rules::outlet_under_bed(
            drain.outlet,
            self.floor,
            Some(self.opening_level()),
        ));
        match (&drain.into, &system.drain_line) {
            (DrainTarget::Sump, _) => {
                found.extend(Rules::outlet_over_sump(drain.outlet, system.sump.floor));
            }
            (DrainTarget::Line { .. }, None) => found.push(Misfit::NoLine),
            (DrainTarget::Line { at }, Some(line)) => match within(0.0, *at, line.run.length) {
                Some(at) => {
                    found.extend(Rules::outlet_over_line(drain.outlet, line.invert(at)));
                }
                None => found.extend(Rules::junction_on_line(*at, line.run.length)),
            },
        }
        found
    }
}

/// Also refuses what is not a number.
fn above_zero(what: &'static str, value: f64) -> Option<Misfit> {
    let fits = value.is_finite() && value > 0.0;
    (!fits).then_some(Misfit::Impossible { what, value })
}

fn pipe(what: &'static str, run: &PipeRun) -> Vec<Misfit> {
    let mut found = Vec::new();
    found.extend(above_zero(what, run.bore));
    if !(run.length.is_finite() && run.length >= 0.0) {
        let value = run.length;
        found.push(Misfit::Impossible { what, value });
    }
    found
}
