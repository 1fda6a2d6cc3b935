//! Watches a run and keeps its figures.

use crate::hydraulics::constants::{GRAVITY, STANDARD_ATMOSPHERE};
use crate::model::{Power, System};
use crate::network::supply::OutletEnd;
use crate::numerics::integrate::StepEnd;
use crate::simulation::modes::Modes;
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::regimes::{ModeSpan, classify, last_regime};
use crate::simulation::timetable::Due;
use crate::simulation::{
    BedOutcome, BedSeries, Coincidence, Cycle, Event, EventKind, IncidentOutcome, LineOutcome,
    PumpOutcome, Recording, Run, RunEnd, Sampling, SiphonMode, Spread, SumpOutcome, SupplyOutcome,
    TankOutcome, TopOffOutcome, Work,
};
use nalgebra::SVector;

/// Breaks closer than this coincide `[s]`.
const COINCIDENCE: f64 = 60.0;
/// Slower than this a level counts as standing: 0.1 mm in 10 min `[m/s]`.
pub(super) const STANDING_RATE: f64 = 1e-4 / 600.0;
/// Successive periods and peaks that agree this well make a cycle `[-]`.
const CYCLE_AGREEMENT: f64 = 1e-4;
/// Sump levels at successive breaks that agree this well `[m]`.
const SUMP_AGREEMENT: f64 = 1e-4;

/// Smallest and largest value seen.
#[derive(Debug, Clone, Copy)]
struct Extremes {
    min: f64,
    max: f64,
}

impl Extremes {
    const NONE: Self = Self {
        min: f64::INFINITY,
        max: f64::NEG_INFINITY,
    };

    fn see(&mut self, value: f64) {
        self.min = self.min.min(value);
        self.max = self.max.max(value);
    }

    fn spread(&self, mean: f64) -> Spread {
        if self.min > self.max {
            Spread {
                mean: 0.0,
                min: 0.0,
                max: 0.0,
            }
        } else {
            // The mean comes from an integral; rounding must not carry it outside.
            Spread {
                mean: mean.clamp(self.min, self.max),
                min: self.min,
                max: self.max,
            }
        }
    }
}

/// What is kept about one bed while it runs.
#[derive(Debug, Clone)]
struct BedTrack {
    spans: Vec<ModeSpan>,
    cycles: Vec<Cycle>,
    last_break: Option<(f64, f64)>,
    priming_began: Option<f64>,
    full_began: Option<f64>,
    awaits_full_flow: bool,
    cycle_peak: f64,
    first_peak: f64,
    peak: f64,
    inflow: Extremes,
    counted_from: (f64, f64),
    least_at_start: Option<f64>,
    most_at_break: Option<f64>,
    start_flows: (f64, u32),
    break_flows: (f64, u32),
    crown_pressure: f64,
    has_broken: bool,
    last_overflow: Option<f64>,
}

impl BedTrack {
    fn new() -> Self {
        Self {
            spans: Vec::new(),
            cycles: Vec::new(),
            last_break: None,
            priming_began: None,
            full_began: None,
            awaits_full_flow: false,
            cycle_peak: f64::NEG_INFINITY,
            first_peak: f64::NEG_INFINITY,
            peak: f64::NEG_INFINITY,
            inflow: Extremes::NONE,
            counted_from: (0.0, 0.0),
            least_at_start: None,
            most_at_break: None,
            start_flows: (0.0, 0),
            break_flows: (0.0, 0),
            crown_pressure: STANDARD_ATMOSPHERE,
            has_broken: false,
            last_overflow: None,
        }
    }

    /// Follows the siphon's mode and how still the level stands.
    fn follow_mode(
        &mut self,
        t: f64,
        mode: SiphonMode,
        brimming: bool,
        idle: bool,
        (level, still): (f64, bool),
    ) {
        match self.spans.last_mut() {
            Some(span) if span.mode == mode && span.brimming == brimming && span.idle == idle => {
                span.go_on(t, level, still);
            }
            last => {
                if let Some(span) = last {
                    span.to = t;
                }
                self.spans
                    .push(ModeSpan::begin(mode, brimming, idle, t, level, still));
            }
        }
    }

    fn broke(&mut self, t: f64, water: f64, sump_level: f64, left: Left) {
        if let (Some((began, water_then)), Some(primed), Some(full)) =
            (self.last_break, self.priming_began, self.full_began)
        {
            self.cycles.push(Cycle {
                began,
                fill: primed - began,
                prime: full - primed,
                drain: t - full,
                peak_level: self.cycle_peak,
                water: water - water_then,
                sump_level,
                left_depth: left.depth,
                left_volume: left.volume,
            });
        }
        if !self.has_broken {
            self.has_broken = true;
            self.inflow = Extremes::NONE;
            self.crown_pressure = STANDARD_ATMOSPHERE;
            self.counted_from = (t, water);
        }
        self.last_break = Some((t, water));
        self.priming_began = None;
        self.full_began = None;
        self.cycle_peak = f64::NEG_INFINITY;
    }

    /// When three successive cycles agree: the end of the third `[s]`.
    fn settled(&self, floor: f64, since: f64) -> Option<f64> {
        let last = self.cycles.get(self.cycles.len().checked_sub(3)?..)?;
        let (a, rest) = last.split_first()?;
        let alike = rest.iter().all(|c| {
            (c.period() / a.period() - 1.0).abs() <= CYCLE_AGREEMENT
                && ((c.peak_level - floor) / (a.peak_level - floor) - 1.0).abs() <= CYCLE_AGREEMENT
                && (c.sump_level - a.sump_level).abs() <= SUMP_AGREEMENT
        });
        (alike && a.began >= since).then(|| last[2].began + last[2].period())
    }
}

/// Water left in a bed above the level at which its siphon broke: over the guard's
/// level `[m]`, and how much `[m3]`.
#[derive(Debug, Clone, Copy)]
struct Left {
    depth: f64,
    volume: f64,
}

/// Keeps the figures of a run.
pub(super) struct Observer<const B: usize> {
    pub(super) work: Work,
    sampling: Sampling,
    recording: Recording,
    events: Vec<Event>,
    beds: Vec<BedTrack>,
    floors: Vec<f64>,
    sump: Extremes,
    pump_flow: Extremes,
    pump_head: Extremes,
    pump_ran: f64,
    ran_dry: f64,
    line_peak: f64,
    line_fill: f64,
    line_grade: f64,
    line_largest: usize,
    surcharged: f64,
    last_seen: f64,
    water_at_start: f64,
    began: f64,
    tank: Extremes,
    incidents: Vec<IncidentOutcome>,
    supply: SupplyOutcome,
    top_off: TopOffTrack,
}

/// What is kept about the float valve.
#[derive(Debug, Clone, Copy, Default)]
struct TopOffTrack {
    /// When whole days had passed: time `[s]` and water added by then `[m3]`, last two.
    days: [(f64, f64); 2],
    /// The bed that breaks first, and what the system had gained when it last broke `[m3]`.
    at_break: Option<(usize, f64)>,
    most_per_cycle: f64,
    spent: Option<f64>,
}

impl TopOffTrack {
    fn broke(&mut self, bed: usize, gained: f64) {
        match &mut self.at_break {
            None => self.at_break = Some((bed, gained)),
            Some((first, then)) if *first == bed => {
                self.most_per_cycle = self.most_per_cycle.max(gained - *then);
                *then = gained;
            }
            Some(_) => {}
        }
    }

    /// Water added a day [m3/day]: over the last whole day, or the whole run of `t` `[s]`.
    fn per_day(&self, t: f64, added: f64) -> f64 {
        let [(from, before), (to, after)] = self.days;
        if from > 0.0 {
            (after - before) / (to - from) * DAY
        } else {
            added / t * DAY
        }
    }
}

const DAY: f64 = 86_400.0;

impl<const B: usize> Observer<B> {
    pub(super) fn new<const N: usize>(
        system: &System,
        plant: &Plant,
        here: &StepEnd<N, Moment<B>>,
        sampling: Sampling,
    ) -> Self {
        let n = plant.laws.len();
        Self {
            work: Work::default(),
            sampling,
            recording: Recording {
                beds: vec![BedSeries::default(); n],
                ..Recording::default()
            },
            events: Vec::new(),
            beds: vec![BedTrack::new(); n],
            floors: system.beds.iter().map(|bed| bed.floor).collect(),
            sump: Extremes::NONE,
            pump_flow: Extremes::NONE,
            pump_head: Extremes::NONE,
            pump_ran: 0.0,
            ran_dry: 0.0,
            line_peak: 0.0,
            line_fill: 0.0,
            line_grade: f64::NEG_INFINITY,
            line_largest: 0,
            surcharged: 0.0,
            last_seen: here.t,
            water_at_start: ledger::<B, N>(&here.y, n),
            began: here.t,
            tank: Extremes::NONE,
            incidents: Vec::new(),
            supply: SupplyOutcome::default(),
            top_off: TopOffTrack::default(),
        }
    }

    /// Takes in one moment; modes have not changed since the one before it.
    pub(super) fn see(&mut self, plant: &Plant, modes: &Modes<B>, t: f64, now: &Moment<B>) {
        let passed = t - self.last_seen;
        self.last_seen = t;
        if modes.pump.runs() {
            self.pump_ran += passed;
            self.pump_flow.see(now.pump_flow);
            self.pump_head.see(now.pump_head);
        }
        if modes.pump.switched_on() && !modes.pump.covered {
            self.ran_dry += passed;
        }
        if modes.line_surcharged {
            self.surcharged += passed;
        }
        self.sump.see(now.sump_level);
        for incident in &mut self.incidents {
            incident.lowest = incident.lowest.min(now.sump_level);
            incident.highest = incident.highest.max(now.sump_level);
        }
        if plant.tank.is_some() {
            self.tank.see(now.tank_level);
        }
        if plant.top_off.is_some() && t >= self.top_off.days[1].0 + DAY {
            self.top_off.days = [self.top_off.days[1], (t, now.added)];
        }
        for (i, bed) in self.beds.iter_mut().enumerate() {
            let level = now.level[i];
            let mode = modes.siphons[i];
            bed.cycle_peak = bed.cycle_peak.max(level);
            let peak = if bed.has_broken {
                &mut bed.peak
            } else {
                &mut bed.first_peak
            };
            *peak = peak.max(level);
            bed.inflow.see(now.inflow[i].max(0.0));
            match mode {
                SiphonMode::Spilling
                    // A bed that waits at its lip for the timer, or for the pipes to fill
                    // again, starts with what comes then.
                    if modes.pump.switched_on() && !modes.pipes_filling => {
                        let least = bed.least_at_start.get_or_insert(now.inflow[i]);
                        *least = least.min(now.inflow[i]);
                    }
                SiphonMode::FullBore => {
                    if bed.awaits_full_flow {
                        bed.awaits_full_flow = false;
                        bed.start_flows.0 += now.outflow[i];
                        bed.start_flows.1 += 1;
                    }
                    let pressure = plant.laws[i].crown_pressure(now.guard[i], now.outflow[i]);
                    bed.crown_pressure = bed.crown_pressure.min(pressure);
                }
                _ => {}
            }
            let spills = modes.brimming[i] && now.spill[i] > 0.0;
            if spills {
                bed.last_overflow = Some(t);
            }
            let rate = (now.inflow[i] - now.outflow[i]) / plant.storages[i].area(level);
            let still = modes.held(i) || rate.abs() <= STANDING_RATE;
            let idle = !modes.pump.switched_on();
            bed.follow_mode(t, mode, spills, idle, (level, still));
        }
        if let Some(line) = &now.line {
            if line.flow > self.line_peak {
                self.line_peak = line.flow;
                self.line_largest = (0..plant.laws.len())
                    .max_by(|&a, &b| now.outflow[a].total_cmp(&now.outflow[b]))
                    .unwrap_or(0);
            }
            self.line_fill = self.line_fill.max(line.fill);
            self.line_grade = self.line_grade.max(line.upper_grade);
        }
        if self.sampling != Sampling::None {
            self.record(modes, t, now);
        }
    }

    /// Series between two times inside one step, as densely as asked; `state` interpolates.
    pub(super) fn fill_in<const N: usize>(
        &mut self,
        plant: &Plant,
        modes: &Modes<B>,
        state: &dyn Fn(f64) -> SVector<f64, N>,
        from: f64,
        to: f64,
    ) {
        let Sampling::Every(interval) = self.sampling else {
            return;
        };
        let mut k = (from / interval).floor() + 1.0;
        while k * interval < to {
            let t = k * interval;
            if t > from {
                let now = plant.moment(&state(t), modes);
                self.record(modes, t, &now);
            }
            k += 1.0;
        }
    }

    fn record(&mut self, modes: &Modes<B>, t: f64, now: &Moment<B>) {
        let series = &mut self.recording;
        series.time.push(t);
        for (i, bed) in series.beds.iter_mut().enumerate() {
            bed.level.push(now.level[i]);
            bed.guard_level.push(now.guard[i]);
            bed.inflow.push(now.inflow[i]);
            bed.siphon_flow.push(now.outflow[i]);
            bed.mode.push(modes.siphons[i]);
        }
        series.sump_level.push(now.sump_level);
        if self.tank.min <= self.tank.max {
            series.tank_level.push(now.tank_level);
            series.tank_inflow.push(now.tank_in);
            series.tank_outflow.push(now.tank_out);
        }
        series.pump_flow.push(now.pump_flow);
        series.pump_head.push(now.pump_head);
        series
            .line_flow
            .push(now.line.map_or(0.0, |line| line.flow));
        series
            .line_fill
            .push(now.line.map_or(0.0, |line| line.fill));
    }

    /// Takes in an event; `now` is the moment just before it.
    pub(super) fn event<const N: usize>(
        &mut self,
        plant: &Plant,
        t: f64,
        kind: EventKind,
        now: &Moment<B>,
        y: &SVector<f64, N>,
    ) {
        self.work.events += 1;
        self.events.push(Event { time: t, kind });
        match kind {
            EventKind::PrimingBegan(i) => self.beds[i].priming_began = Some(t),
            EventKind::FullBoreBegan(i) if self.beds[i].full_began.is_none() => {
                self.beds[i].full_began = Some(t);
                self.beds[i].awaits_full_flow = true;
            }
            EventKind::Broke(i) | EventKind::RunOnBegan(i) => {
                let bed = &mut self.beds[i];
                let most = bed.most_at_break.get_or_insert(now.inflow[i]);
                *most = most.max(now.inflow[i]);
                if now.outflow[i] > now.inflow[i] {
                    bed.break_flows.0 += now.outflow[i];
                    bed.break_flows.1 += 1;
                }
                if kind == EventKind::Broke(i) {
                    let storage = &plant.storages[i];
                    let (level, guard) = (now.level[i], now.guard[i]);
                    let left = Left {
                        depth: level - guard,
                        volume: storage.volume(level) - storage.volume(guard),
                    };
                    bed.broke(t, y[Layout::<B>::inflow(i)], now.sump_level, left);
                    if plant.top_off.is_some() {
                        self.top_off.broke(i, gained::<B, N>(y));
                    }
                }
            }
            EventKind::ReservoirSpent => self.top_off.spent = Some(t),
            _ => {}
        }
    }

    /// Takes in that an incident is about to happen.
    pub(super) fn incident(&mut self, t: f64, due: Due) {
        self.incidents.push(IncidentOutcome {
            index: due.index,
            time: t,
            lowest: f64::INFINITY,
            highest: f64::NEG_INFINITY,
        });
    }

    /// Takes in that the pump has stopped and `back` `[m3]` ran out of its pipes.
    pub(super) fn stopped(&mut self, back: f64) {
        self.supply.stops += 1;
        self.supply.drained_back = self.supply.drained_back.max(back);
    }

    /// When every bed's last three cycles agreed, all after the last incident `[s]`.
    pub(super) fn settled(&self) -> Option<f64> {
        let since = self.incidents.last().map_or(0.0, |incident| incident.time);
        let ends: Option<Vec<f64>> = self
            .beds
            .iter()
            .zip(&self.floors)
            .map(|(bed, &floor)| bed.settled(floor, since))
            .collect();
        ends.map(|ends| ends.into_iter().fold(0.0, f64::max))
    }

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
                turnover_per_hour: 3600.0 * inflow / tank.law.volume(tank.law.overflow_level),
                lowest_possible: held.min(tank.law.overflow_level),
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
            turnover_per_hour: 3600.0 * inflow / usual,
            lowest_possible: plant.dry_level.min(system.sump.start_level),
            overflowed: y[Layout::<B>::SUMP_SPILL],
        })
    }

    pub(super) fn finish<const N: usize>(
        self,
        system: &System,
        plant: &Plant,
        modes: &Modes<B>,
        t: f64,
        y: &SVector<f64, N>,
        ended: RunEnd,
    ) -> Run {
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
                Some(system.water.density * GRAVITY * lifted / share)
            }
            _ => None,
        };
        let coincidences = coincidences(&self.events);
        let ran = t - self.began;
        let tank = self.tank_outcome::<N>(system, plant, ran, y);
        let top_off = plant.top_off.as_ref().map(|_| {
            let added = y[Layout::<B>::ADDED];
            let gained = gained::<B, N>(y);
            TopOffOutcome {
                added,
                added_per_day: self.top_off.per_day(t, added),
                evaporated: y[Layout::<B>::EVAPORATED],
                gained,
                most_gained_per_cycle: self.top_off.most_per_cycle,
                reservoir_spent: self.top_off.spent,
            }
        });
        let beds = self
            .beds
            .iter()
            .enumerate()
            .map(|(i, bed)| bed_outcome::<B, N>(bed, i, plant, modes, t, y))
            .collect();
        Run {
            duration: t,
            ended,
            beds,
            sump: SumpOutcome {
                level: self.sump.spread(y[Layout::<B>::SUMP_LEVEL] / t),
                ran_dry: self.ran_dry,
                overflowed: y[Layout::<B>::SUMP_SPILL],
            },
            pump: PumpOutcome {
                flow: self.pump_flow.spread(mean_flow),
                head: knows_head.then(|| self.pump_head.spread(mean_head)),
                energy_kwh_day: joules.map(|j| j / 3.6e6 * 86_400.0 / t),
            },
            line: plant.line.as_ref().map(|line| LineOutcome {
                peak_flow: self.line_peak,
                capacity: line.capacity(),
                half_full: line.half_full(),
                peak_fill: self.line_fill,
                surcharged: self.surcharged,
                peak_grade: self.line_grade,
                largest_bed: self.line_largest,
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
            events: self.events,
            recording: self.recording,
            work: self.work,
        }
    }
}

/// Water in the system less all that came in, plus all that was lost `[m3]`: constant.
fn ledger<const B: usize, const N: usize>(y: &SVector<f64, N>, beds: usize) -> f64 {
    let held = (0..beds).map(|i| y[Layout::<B>::bed(i)]).sum::<f64>()
        + y[Layout::<B>::SUMP]
        + y[Layout::<B>::TANK]
        + y[Layout::<B>::PIPES];
    let lost = (0..beds).map(|i| y[Layout::<B>::bed_spill(i)]).sum::<f64>()
        + y[Layout::<B>::SUMP_SPILL]
        + y[Layout::<B>::TANK_SPILL]
        + y[Layout::<B>::EVAPORATED];
    held + lost - y[Layout::<B>::ADDED]
}

/// Water that the system has gained through the float valve, net of the air `[m3]`.
fn gained<const B: usize, const N: usize>(y: &SVector<f64, N>) -> f64 {
    y[Layout::<B>::ADDED] - y[Layout::<B>::EVAPORATED]
}

fn bed_outcome<const B: usize, const N: usize>(
    bed: &BedTrack,
    i: usize,
    plant: &Plant,
    modes: &Modes<B>,
    t: f64,
    y: &SVector<f64, N>,
) -> BedOutcome {
    let regimes = classify(&bed.spans, t);
    let (since, water_then) = bed.counted_from;
    let mean = if t > since {
        (y[Layout::<B>::inflow(i)] - water_then) / (t - since)
    } else {
        bed.inflow.max.max(0.0)
    };
    let mean_of = |(sum, count): (f64, u32)| (count > 0).then(|| sum / f64::from(count));
    let overflowed_since_break = bed
        .last_overflow
        .is_some_and(|at| bed.last_break.is_none_or(|(broke, _)| at >= broke));
    BedOutcome {
        regime: last_regime(&regimes, &bed.spans, overflowed_since_break),
        regimes,
        cycles: bed.cycles.clone(),
        peak_level: if bed.has_broken && bed.peak.is_finite() {
            bed.peak
        } else {
            bed.first_peak
        },
        first_peak_level: bed.first_peak,
        break_level: plant.laws[i].break_level(plant.laws[i].outlet()),
        inflow: bed.inflow.spread(mean),
        inflow_least_at_start: bed.least_at_start,
        inflow_most_at_break: bed.most_at_break,
        siphon_flow_at_start: mean_of(bed.start_flows),
        siphon_flow_at_break: mean_of(bed.break_flows),
        crown_pressure_min: bed.crown_pressure,
        overflowed: y[Layout::<B>::bed_spill(i)],
        last_mode: modes.siphons[i],
    }
}

fn coincidences(events: &[Event]) -> Vec<Coincidence> {
    let breaks: Vec<(f64, usize)> = events
        .iter()
        .filter_map(|event| match event.kind {
            EventKind::Broke(i) => Some((event.time, i)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    for (k, &(time, first)) in breaks.iter().enumerate() {
        for &(later, second) in &breaks[k + 1..] {
            if later - time > COINCIDENCE {
                break;
            }
            if second != first {
                found.push(Coincidence {
                    time,
                    first,
                    second,
                });
            }
        }
    }
    found
}
