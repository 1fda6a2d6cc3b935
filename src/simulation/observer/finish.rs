//! The outcome of a finished run.

use crate::hydraulics::pump_curve::hydraulic_power;
use crate::model::{Power, System};
use crate::network::supply::OutletEnd;
use crate::numerics::integrate::StepEnd;
use crate::simulation::modes::Modes;
use crate::simulation::observer::track::BedTrack;
use crate::simulation::observer::{Observer, gained, ledger};
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::regimes::classify;
use crate::simulation::{
    BedOutcome, LineOutcome, PumpOutcome, Regime, Run, RunEnd, SumpOutcome, SupplyOutcome,
    TankOutcome, TopOffOutcome,
};
use crate::units::{DAY, HOUR};
use nalgebra::SVector;

impl<const B: usize> Observer<B> {
    /// Figures of the vessel that the fish live in.
    fn tank_outcome<const N: usize>(
        &self,
        system: &System,
        plant: &Plant,
        ran: f64,
        y: &SVector<f64, N>,
    ) -> Option<TankOutcome> {
        if let Some(tank) = &plant.tank {
            // A leak in the supply draws the tank back past any check valve at the pump.
            let held = plant.held_back_at_worst(OutletEnd::Tank);
            let inflow = y[Layout::<B>::TANK_IN] / ran;
            return Some(TankOutcome {
                level: self.tank.spread(y[Layout::<B>::TANK_LEVEL] / ran),
                inflow,
                turnover_per_hour: HOUR * inflow / tank.law.volume(tank.law.overflow_level),
                lowest_possible: held.min(tank.law.overflow_level).min(self.tank.min),
                overflowed: y[Layout::<B>::TANK_SPILL],
            });
        }
        if !system.sump.holds_fish {
            return None;
        }
        let level = self.sump.spread(y[Layout::<B>::SUMP_LEVEL] / ran);
        let inflow = y[Layout::<B>::PUMPED] / ran;
        let usual = plant.sump_shape.volume(level.mean - plant.sump_floor);
        Some(TankOutcome {
            level,
            inflow,
            turnover_per_hour: HOUR * inflow / usual,
            lowest_possible: plant
                .dry_level
                .min(system.sump.start_level)
                .min(self.sump.min),
            overflowed: y[Layout::<B>::SUMP_SPILL],
        })
    }

    /// Takes the figures together, the run having come to `end`.
    pub(in crate::simulation) fn finish<const N: usize>(
        mut self,
        system: &System,
        plant: &Plant,
        modes: &Modes<B>,
        end: &StepEnd<N, Moment<B>>,
        ended: RunEnd,
    ) -> Run {
        let (t, y) = (end.t, &end.y);
        self.thinning.flush(&mut self.recording);
        self.cut_short(plant, &plant.moment(y, modes, &end.sight));
        let n = plant.laws.len();
        let residual = ledger::<B, N>(y, n) - self.water_at_start;
        let pumped = y[Layout::<B>::PUMPED];
        let mean_flow = if self.pump_ran > 0.0 {
            pumped / self.pump_ran
        } else {
            0.0
        };
        let lifted = y[Layout::<B>::LIFTED];
        let knows_head = self.pump_head.max > 0.0;
        let mean_head = if pumped > 0.0 { lifted / pumped } else { 0.0 };
        let joules = match system.pump.power {
            Some(Power::Watts(watts)) => Some(watts * (self.pump_ran + self.ran_dry)),
            Some(Power::Efficiency(share)) if knows_head => {
                Some(hydraulic_power(system.water.density, pumped, mean_head) / share)
            }
            _ => None,
        };
        let ran = t - self.began;
        let tank = self.tank_outcome::<N>(system, plant, ran, y);
        let top_off = plant.top_off.as_ref().map(|_| {
            let added = y[Layout::<B>::ADDED];
            let gained = gained::<B, N>(y);
            TopOffOutcome {
                added,
                added_per_day: self.top_off.per_day(t, added),
                evaporated: y[Layout::<B>::NET_LOST] + system.sourced() * t,
                gained,
                most_gained_per_cycle: self.top_off.most_per_cycle,
                reservoir_spent: self.top_off.spent,
            }
        });
        let event_count = self.events.count();
        let events = self.events.into_list();
        let (coincidences, meetings) = self.meetings.told();
        let (powered, pumping) = self.pump_time.told(t);
        let beds = self
            .beds
            .into_iter()
            .enumerate()
            .map(|(i, bed)| bed_outcome::<B, N>(bed, i, plant, modes, t, y))
            .collect();
        Run {
            duration: t,
            ended,
            beds,
            sump: SumpOutcome {
                level: self.sump.spread(y[Layout::<B>::SUMP_LEVEL] / t),
                highest_powered: self
                    .sump_powered
                    .range()
                    .map_or(self.sump.max, |range| range.1),
                ran_dry: self.ran_dry,
                overflowed: y[Layout::<B>::SUMP_SPILL],
            },
            pump: PumpOutcome {
                flow: self.pump_flow.spread(mean_flow),
                head: knows_head.then(|| self.pump_head.spread(mean_head)),
                energy_kwh_day: joules.map(|j| j / 3.6e6 * DAY / t),
                powered,
                pumping,
            },
            line: plant.line.as_ref().map(|line| LineOutcome {
                peak_flow: self.line.peak,
                capacity: line.capacity(),
                half_full: line.half_full(),
                peak_fill: self.line.fill.nominal,
                fill: self.line.fill,
                fullest_bed: self.line.fullest,
                surcharged: self.surcharged,
                peak_grade: self.line.grade,
                largest_bed: self.line.largest,
            }),
            tank,
            top_off,
            supply: SupplyOutcome {
                siphoned_back: y[Layout::<B>::SIPHONED_BACK],
                ..self.supply
            },
            incidents: self.incidents,
            residual,
            water_at_start: self.water_at_start,
            coincidences,
            meetings,
            events,
            event_count,
            recording: self.recording,
            work: self.work,
        }
    }
}

fn bed_outcome<const B: usize, const N: usize>(
    bed: BedTrack,
    i: usize,
    plant: &Plant,
    modes: &Modes<B>,
    t: f64,
    y: &SVector<f64, N>,
) -> BedOutcome {
    let cycled = !bed.cycles.is_empty();
    let regimes = classify(bed.told.as_ref(), &bed.spans, t, cycled);
    let whole = bed.so_far(t, y[Layout::<B>::inflow(i)]);
    let powered = bed.at_cut.unwrap_or(whole);
    let mean_of = |(sum, count): (f64, u32)| (count > 0).then(|| sum / f64::from(count));
    BedOutcome {
        regime: whole.regime,
        regime_powered: powered.regime,
        inflow_powered: powered.inflow,
        tends_to: match powered.regime {
            Regime::Unfinished if powered.filled => Regime::Cycles,
            Regime::Unfinished => Regime::NeverFills,
            told => told,
        },
        regimes,
        cycle_count: bed.cycles.count(),
        cycles: bed.cycles.into_list(),
        peak_level: if bed.has_broken && bed.peak.is_finite() {
            bed.peak
        } else {
            bed.first_peak
        },
        first_peak_level: bed.first_peak,
        break_level: plant.laws[i].break_level(plant.laws[i].outlet()),
        inflow: whole.inflow,
        inflow_least_at_start: bed.least_at_start,
        inflow_most_at_break: bed.most_at_break,
        inflow_pumped: bed.pumped.range(),
        siphon_flow_at_start: mean_of(bed.start_flows),
        siphon_flow_at_break: mean_of(bed.break_flows),
        crown_pressure_min: bed.crown_pressure,
        overflowed: y[Layout::<B>::bed_spill(i)],
        came_up: bed.came_up,
        last_mode: modes.siphons[i],
        left_level: bed.at_breaks[1].map(|(level, _)| level),
        last_level: plant.storages[i].level(y[Layout::<B>::bed(i)]),
    }
}
