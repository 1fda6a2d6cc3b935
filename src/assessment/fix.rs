//! What to change so that a check passes: values, no words.

use crate::assessment::status::{CheckId, Subject};
use crate::model::Change;

/// One way to make a check pass.
#[derive(Debug, Clone, Default)]
pub struct Fix {
    /// What to do, all of it in this order; empty where it is no change of the system.
    pub changes: Vec<Change>,
    /// What the changes bring about, where that is not their own number.
    pub aim: Option<Aim>,
    /// What has to be said beside them, or in their place.
    pub hints: Vec<Hint>,
}

/// What a fix brings about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// A bed's inflow is raised `[m3/s]`.
    InflowAtLeast {
        /// Which.
        bed: usize,
        /// From this.
        from: f64,
        /// To this or more.
        to: f64,
    },
    /// A bed's inflow is throttled `[m3/s]`.
    InflowAtMost {
        /// Which.
        bed: usize,
        /// From this.
        from: f64,
        /// To this or less.
        to: f64,
    },
    /// The sump holds so much more at the start, or less where negative `[m3]`.
    Water(f64),
}

/// Advice that is no change of the system, or that goes with one. Figures are SI.
#[derive(Debug, Clone, PartialEq)]
pub enum Hint {
    /// Another check comes first.
    First(CheckId, Subject),
    /// The start or the break of this bed comes first.
    StartOrBreakFirst(usize),
    /// These beds have to be kept from overflowing first.
    KeepFromOverflowing(Vec<usize>),
    /// The water at a bed's outlet has to go first.
    ClearOutlet {
        /// Which bed.
        bed: usize,
        /// How far it stands over the outlet; not over it where negative `[m]`.
        over: f64,
        /// The check that deals with it.
        see: CheckId,
    },
    /// The outlet of the drain line has to be freed of water first.
    ClearLineOutlet,
    /// It may then run on instead of breaking.
    MayRunOn,
    /// It may then not start, which only more fall below the bed mends.
    MayNotStart,
    /// If it still starts.
    IfItStarts,
    /// At least so much has to be left for it to start `[m3/s]`.
    LeaveAtLeast(f64),
    /// An overflow pipe would have kept the water of a bed in.
    Overflow {
        /// Which bed.
        bed: usize,
        /// Bore of the pipe `[m]`.
        bore: f64,
        /// Its lip at most at this elevation `[m]`.
        lip: f64,
        /// How far that is under the rim `[m]`.
        under_rim: f64,
    },
    /// Water that pauses let run back through the inlet of this bed.
    RunsBack(usize),
    /// Simulating longer `[s]`.
    Simulate(f64),
    /// A pump that runs longer before it stops for good `[s]`.
    RunPump(f64),
    /// More slots in the bell of this bed.
    MoreSlots(usize),
    /// A pump that gives a flow at a head `[m3/s]`, `[m]`.
    Pump(f64, f64),
    /// A drain of its own for this bed.
    OwnDrain(usize),
    /// Entries along the flow.
    Wyes,
    /// A line higher over the sump's water and with more fall.
    HigherLine,
    /// A sump that holds so much more between the pump's cover and its freeboard `[m3]`.
    LargerSump(f64),
    /// A tank of their own for the fish, or a sump that holds so much more `[m3]`.
    FishElsewhere(f64),
    /// Gravel to be washed or coarser: so much stays in it at a break, so much a cycle moves `[m3]`.
    WashGravel {
        /// Of which bed.
        bed: usize,
        /// Left in it `[m3]`.
        left: f64,
        /// Moved by a cycle `[m3]`.
        moved: f64,
    },
    /// A bed so many times as large.
    LargerBed {
        /// Which.
        bed: usize,
        /// Times.
        times: f64,
    },
    /// A bed divided, or a wider siphon.
    Divide {
        /// Which.
        bed: usize,
        /// Into so many.
        into: f64,
    },
    /// A cap that stands too high over its water.
    ShorterSiphon(usize),
    /// A bed lower together with sump and drain.
    LowerWithSump {
        /// Which.
        bed: usize,
        /// By this `[m]`.
        by: f64,
        /// What its outlet has to fall `[m]`.
        fall: f64,
    },
    /// Wider pipes from the fish tank to the beds, or a higher wall.
    WidenTankPipes,
    /// Too little room for a float valve between the pump's need and the sump's lowest `[m]`.
    NoRoomForFloat(f64),
    /// A check valve holds the water until it, or the pipe above it, leaks.
    UntilItLeaks,
    /// A mean flow for the fish's water `[m3/s]`; whether a timer could rest less.
    TankFlow {
        /// At least so much `[m3/s]`.
        to: f64,
        /// Whether the pump has a timer.
        timer: bool,
    },
    /// A settler with the surface of a circle so far across `[m]`, or so much flow `[m3/s]`.
    SettlerSize {
        /// Diameter `[m]`.
        across: f64,
        /// Flow `[m3/s]`.
        or_flow: f64,
    },
    /// Turning a basin into a radial-flow settler.
    RadialFlow,
    /// Fewer fish, or more water.
    FewerFish {
        /// At most so many.
        count: f64,
        /// Of this mass `[kg]`.
        each: f64,
        /// Or so much water `[m3]`.
        or_water: f64,
    },
    /// Less feed `[kg/s]`, or more beds `[m2]`.
    LessFeed {
        /// At most so much `[kg/s]`.
        feed: f64,
        /// Or so much area `[m2]`.
        or_area: f64,
    },
    /// An air pump without the mains; so many fish would have an hour.
    AirPump(f64),
    /// Purer water for what the air takes, or an exchange.
    PurerWater {
        /// The purest that is told.
        source: String,
        /// Share of it and flow `[-]`, `[m3/s]`; `None` where no share is enough.
        share: Option<(f64, f64)>,
        /// Share of all water exchanged every week; `None` where that does not hold it.
        exchange: Option<f64>,
    },
    /// Another free side, or a bed at most so deep from one side `[m]`.
    FreeSide {
        /// Which bed.
        bed: usize,
        /// Depth `[m]`.
        arm: f64,
    },
}

impl Fix {
    /// These changes.
    pub(super) fn of(changes: impl IntoIterator<Item = Change>) -> Self {
        Self {
            changes: changes.into_iter().collect(),
            ..Self::default()
        }
    }

    /// No change, but this to say.
    pub(super) fn hint(hint: Hint) -> Self {
        Self::default().noting(hint)
    }

    /// This one, and `other` after it.
    pub(super) fn and(mut self, other: Self) -> Self {
        self.changes.extend(other.changes);
        self.hints.extend(other.hints);
        self.aim = self.aim.or(other.aim);
        self
    }

    /// With something said beside it.
    pub(super) fn noting(mut self, hint: Hint) -> Self {
        self.hints.push(hint);
        self
    }

    /// With what it brings about.
    pub(super) const fn aiming(mut self, aim: Aim) -> Self {
        self.aim = Some(aim);
        self
    }
}
