//! Walks along an integrated stretch to its first events.

use crate::numerics::in_order::InOrder;
use crate::numerics::integrate::{StepEnd, Trajectory};
use crate::numerics::root::brent_between;
use crate::simulation::engine::Engine;
use crate::simulation::observer::Observer;
use crate::simulation::plant::{Layout, Moment, Plant};
use crate::simulation::stretch::Clock;
use crate::simulation::watch::{Reads, Watch};

/// Event times are bracketed to this, as their clock reads; at most 22 times that in
/// seconds.
const EVENT_WIDTH: f64 = 1e-9;
/// Events closer than this happen together `[s]`.
pub(super) const TOGETHER: f64 = 1e-6;
/// Whether a watch is falling shows after this time `[s]`.
const SOON: f64 = 1e-3;
/// A watch that was never seen positive has fired once it stands this far under zero, in
/// its own unit: it began there by rounding, and its rate began at nought.
const OVERDUE: f64 = 1e-9;

/// A point at which a trajectory was looked at, `t` as its clock reads.
#[derive(Clone, Copy)]
pub(super) struct Sight<const B: usize> {
    t: f64,
    now: Moment<B>,
}

/// Lists that every stretch fills anew, kept so that none has to be allocated.
pub(super) struct Lists<const B: usize> {
    pub(super) watches: Vec<Watch>,
    /// Whether each watch has been seen positive.
    pub(super) armed: Vec<bool>,
    /// The same while the stepper looks ahead.
    pub(super) ahead: Vec<bool>,
    pub(super) turns: Vec<Sight<B>>,
    pub(super) fired: Vec<usize>,
}

impl<const B: usize> Lists<B> {
    pub(super) fn new() -> Self {
        Self {
            watches: Vec::new(),
            armed: Vec::new(),
            ahead: Vec::new(),
            turns: Vec::new(),
            fired: Vec::new(),
        }
    }
}

impl<const B: usize, const N: usize> Engine<'_, B, N> {
    /// Walks the steps in order, looking also where a level turns inside a step.
    /// Leaves time and state at the first events, which it returns, or at the end.
    pub(super) fn follow(
        &mut self,
        clock: Clock,
        trajectory: &Trajectory<N, Moment<B>>,
        lists: &mut Lists<B>,
        observer: &mut Observer<B>,
    ) -> Vec<Watch> {
        let Lists {
            watches,
            armed,
            ahead,
            turns,
            fired,
        } = lists;
        let mut turned = false;
        let mut before = Sight {
            t: clock.reading(self.here.t),
            now: self.here.sight,
        };
        for (step, end) in trajectory.ends.iter().enumerate() {
            turns.clear();
            let sight = Sight {
                t: end.t,
                now: end.sight,
            };
            self.turning_points(trajectory, step, &before, &sight, turns);
            if !turned && !turns.is_empty() {
                turned = true;
                for end in &trajectory.ends[..step] {
                    arm(&self.plant, watches, armed, &end.sight);
                }
            }
            turns.push(sight);
            for here in turns.iter() {
                fired.clear();
                // Nothing fired at any end but the last, or the stretch would have
                // stopped there: only turns make it worth looking again.
                if turned || step + 1 == trajectory.ends.len() {
                    let armed = if turned { &*armed } else { &*ahead };
                    let value = |k: usize| watches[k].value(&self.plant, &here.now);
                    fired.extend((0..watches.len()).filter(|&k| has_fired(armed[k], value(k))));
                }
                if turned {
                    arm(&self.plant, watches, armed, &here.now);
                }
                if !fired.is_empty() {
                    let late = if turned { &*armed } else { &*ahead };
                    let watches = fired.iter().map(|&k| (watches[k], !late[k]));
                    let (t, events) = self.locate(clock, trajectory, step, watches, &before, here);
                    let since = clock.time(before.t);
                    self.here.t = clock.time(t);
                    self.here.y = trajectory.state(step, t);
                    self.look();
                    let state = |t: f64| trajectory.state(step, clock.reading(t));
                    let from = (since, &before.now);
                    observer.fill_in(&self.plant, &self.modes, &state, from, self.here.t);
                    observer.see(&self.plant, &self.modes, self.here.t, &self.here.sight);
                    return events;
                }
                let (since, until) = (clock.time(before.t), clock.time(here.t));
                let state = |t: f64| trajectory.state(step, clock.reading(t));
                let from = (since, &before.now);
                observer.fill_in(&self.plant, &self.modes, &state, from, until);
                observer.see(&self.plant, &self.modes, until, &here.now);
                before = *here;
            }
            self.here = StepEnd {
                t: clock.time(end.t),
                dy: end.dy / clock.pace(end.t),
                ..*end
            };
        }
        Vec::new()
    }

    /// Moments inside a step at which a bed's, the sump's or the tank's volume turns: where the
    /// step's own curve of it does, for that is what is recorded of it.
    fn turning_points(
        &self,
        trajectory: &Trajectory<N, Moment<B>>,
        step: usize,
        from: &Sight<B>,
        to: &Sight<B>,
        turns: &mut Vec<Sight<B>>,
    ) {
        let at = |t: f64| {
            let state = trajectory.state(step, t);
            self.plant.moment_between(&state, &self.modes, &from.now)
        };
        for (vessel, state) in self.free_vessels() {
            let net = |now: &Moment<B>| vessel.gain(now);
            if net(&from.now) * net(&to.now) >= 0.0 {
                continue;
            }
            // By the gains themselves at the ends: a clock that starts from rest has slopes of nought.
            let ends = [from, to].map(|end| (end.t, net(&end.now)));
            let turn = match trajectory.slope(step, state) {
                Some(slope) => brent_between(slope, ends, EVENT_WIDTH),
                None => brent_between(|t| net(&at(t)), ends, EVENT_WIDTH),
            };
            if let Ok(t) = turn
                && t > from.t
                && t < to.t
            {
                let mut now = at(t);
                self.plant.see_line(&mut now);
                turns.push(Sight { t, now });
            }
        }
        turns.order_by(|a, b| a.t.total_cmp(&b.t));
    }

    /// What may rise or fall, and where its water stands in the state.
    fn free_vessels(&self) -> impl Iterator<Item = (Gaining, usize)> {
        let modes = &self.modes;
        let beds = (0..self.plant.laws.len()).filter(|&i| !modes.held(i));
        let beds = beds.map(|i| (Gaining::Bed(i), Layout::<B>::bed(i)));
        let sump = (!modes.sump_spilling).then_some((Gaining::Sump, Layout::<B>::SUMP));
        let has_tank = self.plant.tank.is_some() && !modes.tank_spilling;
        let tank = has_tank.then_some((Gaining::Tank, Layout::<B>::TANK));
        beds.chain(sump).chain(tank)
    }

    /// Finds when the fired watches fell to zero between `from` and `to`, or, where one of
    /// them is late, to [`OVERDUE`] under it; returns the time just past the first and all
    /// that fall together, in order of precedence.
    fn locate(
        &self,
        clock: Clock,
        trajectory: &Trajectory<N, Moment<B>>,
        step: usize,
        fired: impl Iterator<Item = (Watch, bool)>,
        from: &Sight<B>,
        to: &Sight<B>,
    ) -> (f64, Vec<Watch>) {
        let mut scratch = to.now;
        let width = clock.width(EVENT_WIDTH);
        let plant = &self.plant;
        let mut candidates: Vec<Candidate> = fired
            .map(|(watch, late)| {
                let slack = if late { OVERDUE } else { 0.0 };
                let ends = [from, to].map(|end| (end.t, watch.value(plant, &end.now) + slack));
                Candidate { watch, slack, ends }
            })
            .collect();
        // What comes first is found early, and spares the others their search.
        candidates.order_by(|a, b| a.straight().total_cmp(&b.straight()));
        let mut times: Vec<(f64, Watch)> = Vec::new();
        let mut first = f64::INFINITY;
        let mut just_after: Option<(f64, Moment<B>)> = None;
        let mut near = from.now;
        for Candidate { watch, slack, ends } in candidates {
            let time = match glanced_at(plant, watch) {
                Some(bed) => {
                    let sump = trajectory.curve(step, Layout::<B>::SUMP);
                    let bed = bed.map(|i| (i, trajectory.curve(step, Layout::<B>::bed(i))));
                    let value = |t: f64| {
                        let bed = bed.as_ref().map(|(i, volume)| (*i, volume(t)));
                        plant.glance(sump(t), bed, &self.modes, &mut scratch);
                        watch.value(plant, &scratch) + slack
                    };
                    past_zero(value, ends, width)
                }
                None => {
                    // Each from the one looked at before, which is nearer and nearer.
                    let mut at = |t: f64| {
                        let state = trajectory.state(step, t);
                        near = plant.moment_between(&state, &self.modes, &near);
                        near
                    };
                    let value = |mut now: Moment<B>| {
                        if watch.reads() == Reads::Line {
                            plant.see_line(&mut now);
                        }
                        watch.value(plant, &now) + slack
                    };
                    // Every flow of every bed at once is dear, a line with all its beds most of all.
                    let last = first + TOGETHER;
                    if last < to.t {
                        let now = match just_after {
                            Some((t, now)) if t == last => now,
                            _ => just_after.insert((last, at(last))).1,
                        };
                        if value(now) > 0.0 {
                            continue;
                        }
                    }
                    past_zero(|t| value(at(t)), ends, width)
                }
            };
            first = first.min(time);
            times.push((time, watch));
        }
        times.order_by(|a, b| a.0.total_cmp(&b.0));
        times.retain(|(t, _)| *t <= first + TOGETHER);
        let last = times[times.len() - 1].0;
        let mut events: Vec<Watch> = times.into_iter().map(|(_, watch)| watch).collect();
        events.order_by(Ord::cmp);
        (last, events)
    }

    /// Watches already past zero and still falling: a jump took them there.
    pub(super) fn overdue(&self, lists: &Lists<B>) -> Vec<Watch> {
        if lists.armed.iter().all(|&a| a) {
            return Vec::new();
        }
        let plant = &self.plant;
        let soon = |i: usize| self.here.y[i] + SOON * self.here.dy[i];
        let mut scratch = self.here.sight;
        let mut all: Option<Moment<B>> = None;
        let mut falls = |watch: Watch, value: f64| {
            let now = match glanced_at(plant, watch) {
                Some(bed) => {
                    let bed = bed.map(|i| (i, soon(Layout::<B>::bed(i))));
                    plant.glance(soon(Layout::<B>::SUMP), bed, &self.modes, &mut scratch);
                    &scratch
                }
                None => all.get_or_insert_with(|| {
                    let y = self.here.y + self.here.dy * SOON;
                    plant.moment(&y, &self.modes, &self.here.sight)
                }),
            };
            watch.value(plant, now) < value
        };
        let unarmed = lists.watches.iter().zip(&lists.armed);
        unarmed
            .filter(|(_, armed)| !**armed)
            .filter(|(watch, _)| {
                let value = watch.value(plant, &self.here.sight);
                value < -OVERDUE || falls(**watch, value)
            })
            .map(|(watch, _)| *watch)
            .collect()
    }
}

/// What water comes into and leaves.
#[derive(Clone, Copy)]
enum Gaining {
    Bed(usize),
    Sump,
    Tank,
}

impl Gaining {
    /// What it gains `[m3/s]`.
    fn gain<const B: usize>(self, now: &Moment<B>) -> f64 {
        match self {
            Self::Bed(i) => now.inflow[i] - now.outflow[i],
            Self::Sump => now.sump_net,
            Self::Tank => now.tank_net,
        }
    }
}

/// A watch that fell to zero in a step.
struct Candidate {
    watch: Watch,
    /// What is added to its values.
    slack: f64,
    /// Readings and values before and after.
    ends: [(f64, f64); 2],
}

impl Candidate {
    /// When it would be zero if its value fell along a straight line, as the clock reads.
    fn straight(&self) -> f64 {
        let [(from, before), (to, after)] = self.ends;
        from + (to - from) * before / (before - after)
    }
}

/// Most watches look at a level or two, that of the sump and of the bed told here if any;
/// `None`: this one needs every flow.
fn glanced_at(plant: &Plant, watch: Watch) -> Option<Option<usize>> {
    match watch.reads() {
        Reads::Sump => Some(None),
        Reads::Bed(i) if !plant.reached[i] => Some(Some(i)),
        Reads::Bed(_) | Reads::Flows | Reads::Line => None,
    }
}

/// Whether a watch with this value has fired.
pub(super) fn has_fired(armed: bool, value: f64) -> bool {
    value <= if armed { 0.0 } else { -OVERDUE }
}

/// Arms every watch that is positive at `now`.
fn arm<const B: usize>(plant: &Plant, watches: &[Watch], armed: &mut [bool], now: &Moment<B>) {
    for (watch, armed) in watches.iter().zip(armed) {
        *armed |= watch.value(plant, now) > 0.0;
    }
}

/// The earliest reading after that of the first of `ends` up to that of the second, to `width`,
/// at which `value` is no longer positive; beside them stand its values, the first positive
/// and the second not.
fn past_zero(mut value: impl FnMut(f64) -> f64, ends: [(f64, f64); 2], mut width: f64) -> f64 {
    let to = ends[1].0;
    let mut t = brent_between(&mut value, ends, width).unwrap_or(to);
    while t < to && value(t) > 0.0 {
        t = (t + width).min(to);
        width *= 2.0;
    }
    t
}
