//! The inputs that are not known exactly, each with its range.

use crate::model::{Branch, Coefficient, Inlet, PumpSource, System, TankFeed};
use crate::study::vary::plan::sides;
use crate::study::vary::tolerances::Tolerances;

/// What one input is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Plan size of a vessel, by its index.
    Side(Vessel, usize),
    /// Bed floor to lip.
    Standpipe,
    /// Depth of gravel.
    Gravel,
    /// Height of the bell's openings.
    Openings,
    /// Lip to cap.
    Clearance,
    /// Bed floor down to the outlet.
    Drop,
    Bore(Pipe),
    Void,
    SumpLevel,
    Pump,
    Soft(Coefficient),
}

/// Whose plan size.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Vessel {
    Bed,
    Sump,
    Tank,
    Settler,
}

/// Whose bore.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pipe {
    /// Standpipe and the drain below it.
    Standpipe,
    Bell,
    Inlet,
    Trunk,
    Bypass,
    SettlerFeed,
    TankFeed,
    TankOverflow,
    DrainLine,
}

/// One uncertain input and its range.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    pub(super) kind: Kind,
    /// Index of the bed it belongs to; `None`: the whole system.
    pub bed: Option<usize>,
    /// What it is, without the name of its bed: `standpipe`, `start-froude`.
    pub what: String,
    /// Name in files and on pages: `north: standpipe`, `start-froude`.
    pub name: String,
    /// SI unit of the range, `1` for plain numbers.
    pub unit: &'static str,
    /// Least value; of lengths and void the change from the scenario's, of bores
    /// and pump the change as a share of it.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

impl Input {
    /// The value at a position from 0 to 1 in its range.
    pub fn value(&self, position: f64) -> f64 {
        self.low + (self.high - self.low) * position
    }
}

/// Every input of `system` that varies within `tolerances`: those of each bed,
/// those of the other parts, the soft coefficients. What no flow depends on,
/// such as the trunk behind a measured flow, is left out.
pub(super) fn inputs(system: &System, tolerances: &Tolerances) -> Vec<Input> {
    let mut found = Listing {
        system,
        tolerances,
        inputs: Vec::new(),
    };
    for i in 0..system.beds.len() {
        found.bed(i);
    }
    found.other_parts();
    found.coefficients();
    found.inputs
}

struct Listing<'a> {
    system: &'a System,
    tolerances: &'a Tolerances,
    inputs: Vec<Input>,
}

impl Listing<'_> {
    fn either_way(&mut self, kind: Kind, bed: Option<usize>, what: String, by: f64) {
        if by <= 0.0 {
            return;
        }
        let unit = match kind {
            Kind::Bore(_) | Kind::Void | Kind::Pump => "1",
            _ => "m",
        };
        let name = match bed.and_then(|i| self.system.beds.get(i)) {
            Some(bed) => format!("{}: {what}", bed.name),
            None => what.clone(),
        };
        self.inputs.push(Input {
            kind,
            bed,
            what,
            name,
            unit,
            low: -by,
            high: by,
        });
    }

    fn tape(&mut self, kind: Kind, bed: Option<usize>, what: &str) {
        self.either_way(kind, bed, what.to_owned(), self.tolerances.tape);
    }

    fn bore(&mut self, pipe: Pipe, bed: Option<usize>, of: &str) {
        let what = format!("{of} bore");
        self.either_way(Kind::Bore(pipe), bed, what, self.tolerances.bore);
    }

    fn sides(&mut self, vessel: Vessel, bed: Option<usize>, of: &str, names: &[&str]) {
        for (side, name) in names.iter().enumerate() {
            self.tape(Kind::Side(vessel, side), bed, &format!("{of} {name}"));
        }
    }

    fn bed(&mut self, i: usize) {
        let bed = &self.system.beds[i];
        // A rim that follows from a side must be there before the gravel is.
        self.sides(Vessel::Bed, Some(i), "bed", sides(&bed.shape));
        for (kind, what) in [
            (Kind::Standpipe, "standpipe"),
            (Kind::Gravel, "gravel depth"),
            (Kind::Openings, "slot height"),
            (Kind::Clearance, "clearance"),
            (Kind::Drop, "drop to outlet"),
        ] {
            self.tape(kind, Some(i), what);
        }
        self.bore(Pipe::Standpipe, Some(i), "standpipe");
        self.bore(Pipe::Bell, Some(i), "bell");
        if matches!(&bed.inlet, Inlet::Piped(branch) if open(branch)) {
            self.bore(Pipe::Inlet, Some(i), "inlet");
        }
        let void = self.tolerances.void;
        self.either_way(Kind::Void, Some(i), "void".to_owned(), void);
    }

    fn other_parts(&mut self) {
        let system = self.system;
        self.sides(Vessel::Sump, None, "sump", sides(&system.sump.shape));
        self.tape(Kind::SumpLevel, None, "sump level");
        let mut piped = system
            .beds
            .iter()
            .any(|bed| matches!(bed.inlet, Inlet::Piped(_)));
        if let Some(tank) = &system.tank {
            self.sides(Vessel::Tank, None, "fish tank", sides(&tank.shape));
            if matches!(&tank.fed_by, TankFeed::PumpBranch(branch) if open(branch)) {
                self.bore(Pipe::TankFeed, None, "fish tank inlet");
            }
            self.bore(Pipe::TankOverflow, None, "fish tank overflow");
            piped = true;
        }
        if let Some(settler) = &system.settler {
            self.sides(Vessel::Settler, None, "settler", sides(&settler.shape));
            if settler.inlet.as_ref().is_some_and(open) {
                self.bore(Pipe::SettlerFeed, None, "settler inlet");
                piped = true;
            }
        }
        if let Some(branch) = &system.supply.bypass
            && open(branch)
        {
            self.bore(Pipe::Bypass, None, "bypass");
            piped = true;
        }
        if piped && matches!(system.pump.source, PumpSource::Curve(_)) {
            self.bore(Pipe::Trunk, None, "supply pipe");
        }
        if system.drain_line.is_some() {
            self.bore(Pipe::DrainLine, None, "drain line");
        }
        self.either_way(Kind::Pump, None, "pump".to_owned(), self.tolerances.pump);
    }

    fn coefficients(&mut self) {
        if !self.tolerances.coefficients {
            return;
        }
        for which in Coefficient::ALL {
            let band = self.system.coefficients[which];
            let used = !which.is_of_line() || self.system.drain_line.is_some();
            if used && band.low < band.high {
                self.inputs.push(Input {
                    kind: Kind::Soft(which),
                    bed: None,
                    what: which.key().to_owned(),
                    name: which.key().to_owned(),
                    unit: "SI",
                    low: band.low,
                    high: band.high,
                });
            }
        }
    }
}

/// Whether anything can flow through `branch`.
fn open(branch: &Branch) -> bool {
    branch.resistance().is_some()
}
