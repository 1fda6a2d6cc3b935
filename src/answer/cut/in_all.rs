//! What to bring home for all of it: every pipe of the system with its pieces, fittings and valves.

use crate::answer::cut::{CutReport, keys};
use crate::answer::{At, Block, Column, Section, Table, Text, said};
use crate::hydraulics::pipe_run::PipeRun;
use crate::hydraulics::pipe_sizes::{listed, on_sale};
use crate::model::{Branch, Inlet, Outlet, PumpSource, TankFeed};
use crate::scenario::FittingCount;
use crate::study::cut::{CutList, Step};

/// One kind of pipe with a purpose, in as many pieces as there are places for it.
struct Part {
    name: &'static str,
    bore: f64,
    outside: Option<f64>,
    /// To the reader's tape `[m]`; none where nobody has told any.
    lengths: Vec<f64>,
    /// The same to the millimetre, whoever reads it: results hang on no unit `[m]`.
    exact: Vec<f64>,
    /// What goes with it, and how many of it.
    with: Vec<(String, f64)>,
}

impl Part {
    fn new(name: &'static str, bore: f64, outside: Option<f64>, lengths: Vec<f64>) -> Self {
        Self {
            name,
            bore,
            outside,
            exact: lengths.clone(),
            lengths,
            with: Vec::new(),
        }
    }

    /// As it is cut: `length` to the reader's tape, `millimetres` to that of the results `[m]`.
    fn cut(name: &'static str, pipe: (f64, Option<f64>), length: f64, millimetres: f64) -> Self {
        Self {
            exact: vec![millimetres],
            ..Self::new(name, pipe.0, pipe.1, vec![length])
        }
    }

    fn of_run(name: &'static str, run: &PipeRun, fittings: &[FittingCount]) -> Self {
        Self::new(name, run.bore, None, vec![run.length]).fitted(fittings)
    }

    fn of_branch(name: &'static str, branch: &Branch, fittings: &[FittingCount]) -> Self {
        let mut part = Self::of_run(name, &branch.run, fittings);
        if let Some(valve) = &branch.valve {
            part.add(format!("{} valve", valve.kind.name()), 1.0);
        }
        part
    }

    fn fitted(mut self, fittings: &[FittingCount]) -> Self {
        for found in fittings {
            self.add(found.fitting.name().to_owned(), found.count);
        }
        self
    }

    fn add(&mut self, what: String, count: f64) {
        match self.with.iter_mut().find(|one| one.0 == what) {
            Some((_, all)) => *all += count,
            None => self.with.push((what, count)),
        }
    }

    /// With another of the same pipe for the same purpose; given back where a shop sees a difference.
    fn joined(&mut self, other: Self) -> Result<(), Self> {
        let one = (self.name, self.bore, self.outside);
        if one != (other.name, other.bore, other.outside) {
            return Err(other);
        }
        self.lengths.extend(other.lengths);
        self.exact.extend(other.exact);
        for (what, count) in other.with {
            self.add(what, count);
        }
        Ok(())
    }
}

impl CutReport<'_> {
    /// All pipes, with what they come to.
    pub(super) fn in_all(&self) -> Section {
        let parts = self.parts();
        let rows = parts.iter().enumerate();
        let table = Table {
            columns: vec![
                Column::words("Part"),
                Column::words("Pipe"),
                Column::figures("In all"),
                Column::words("As"),
                Column::words("With"),
            ],
            rows: rows.map(|(k, part)| self.row(k, part)).collect(),
        };
        let section = Section::new("Pipe for the whole system").with(Block::Table(table));
        section.with(Block::Sentence(
            "Add what joints, sockets and saw cuts take, and what goes through walls. Fittings that are told \
             only as a loss are not counted."
                .into(),
        ))
    }

    fn row(&self, k: usize, part: &Part) -> Vec<Text> {
        let at = At::top(self.units).item(keys::IN_ALL.name, k);
        let bore = at.figure(&keys::PART_BORE, part.bore);
        // A label in millimetres is no help in a shop that sells by inches, nor the other way.
        let sold = listed(part.bore, part.outside);
        let here = sold.filter(|size| on_sale(self.units).any(|one| one == *size));
        let sold = here.map(|size| format!(" bore ({})", size.label()));
        let with = part
            .with
            .iter()
            .map(|(what, count)| format!("{count} x {what}"));
        let with: Vec<String> = with.collect();
        let (total, each) = match part.lengths.is_empty() {
            true => ("as built".into(), Text::default()),
            false => (
                at.shown(
                    &keys::TOTAL,
                    part.exact.iter().sum(),
                    self.units.length(part.lengths.iter().sum()),
                )
                .into(),
                said!(
                    "{} x {}",
                    at.count(&keys::COUNT, part.lengths.len()),
                    self.each(&at, part)
                ),
            ),
        };
        vec![
            at.word(&keys::PART_NAME, part.name).into(),
            said!("{}{}", bore, sold.unwrap_or_else(|| " inside".to_owned())),
            total,
            each,
            at.word(&keys::WITH, with.join(", ")).into(),
        ]
    }

    /// The length of each piece, or between which they lie.
    fn each(&self, at: &At, part: &Part) -> Text {
        let ends = |of: &[f64]| {
            let least = of.iter().copied().fold(f64::INFINITY, f64::min);
            [least, of.iter().copied().fold(0.0, f64::max)]
        };
        let [least, most] = ends(&part.exact);
        let [short, long] = ends(&part.lengths).map(|metres| self.units.length(metres));
        let alike = short == long;
        let longest = at.shown(&keys::LONGEST_PIECE, most, long);
        let shortest = at.shown(&keys::SHORTEST_PIECE, least, short);
        match alike {
            true => said!("{}{}", longest, shortest.said("")),
            false => said!("{} to {}", shortest, longest),
        }
    }

    /// Every pipe of the system, alike ones together, from the beds to the pump.
    fn parts(&self) -> Vec<Part> {
        let mut all: Vec<Part> = Vec::new();
        let of_beds = (0..self.system.beds.len()).flat_map(|i| self.of_one_bed(i));
        for part in of_beds.chain(self.of_all_beds()) {
            let left = all
                .iter_mut()
                .try_fold(part, |part, known| match known.joined(part) {
                    Ok(()) => Err(()),
                    Err(part) => Ok(part),
                });
            all.extend(left.ok());
        }
        all
    }

    /// The siphon of bed `i` as it is cut, and its inlet.
    fn of_one_bed(&self, i: usize) -> Vec<Part> {
        let found = self.cuts.beds.iter().find(|found| found.bed == i);
        let cut = found.and_then(|found| found.answer.as_ref().ok());
        let bed = &self.system.beds[i];
        let list = |step: Step| match (cut, step) {
            (Some(cut), Step::Millimetre) => cut.millimetre.list.clone(),
            (Some(cut), Step::Sixteenth) => cut.sixteenth.list.clone(),
            (None, step) => CutList::of(bed, step),
        };
        let [own, metric] = [Step::of(self.units), Step::Millimetre].map(list);
        let drains = self.fittings.drains.get(i).map_or(&[][..], Vec::as_slice);
        let (pipe, bell) = (&bed.siphon.standpipe, &bed.siphon.bell);
        let whole = |list: &CutList| list.standpipe + list.down_leg + list.lateral.unwrap_or(0.0);
        let standpipe = (pipe.bore, Some(pipe.outside));
        let mut parts = vec![
            Part::cut("siphon pipe", standpipe, whole(&own), whole(&metric)).fitted(drains),
            Part::cut(
                "bell",
                (bell.bore, Some(bell.outside)),
                own.bell,
                metric.bell,
            ),
        ];
        if let (Some(guard), Some(length), Some(exact)) = (&bed.guard, own.guard, metric.guard) {
            parts.push(Part::cut("guard", (guard.diameter, None), length, exact));
        }
        let tubes = (&bell.air_tube, own.air_tube, metric.air_tube);
        if let (Some(tube), Some(length), Some(exact)) = tubes {
            parts.push(Part::cut("air tube", (tube.bore, None), length, exact));
        }
        if let Inlet::Piped(branch) = &bed.inlet {
            let fittings = self.fittings.inlets.get(i).map_or(&[][..], Vec::as_slice);
            parts.push(Part::of_branch("inlet", branch, fittings));
        }
        parts
    }

    /// What the beds share.
    fn of_all_beds(&self) -> Vec<Part> {
        let (system, fittings) = (self.system, self.fittings);
        let mut parts = Vec::new();
        let line = system.drain_line.iter();
        parts.extend(line.map(|line| Part::of_run("drain line", &line.run, &fittings.line)));
        if matches!(system.pump.source, PumpSource::Curve(_)) {
            let trunk = &system.supply.trunk;
            parts.push(Part::of_run("supply pipe", trunk, &fittings.supply));
        }
        let back = system.supply.bypass.iter();
        parts.extend(back.map(|back| Part::of_branch("bypass", back, &fittings.bypass)));
        if let Some(tank) = &system.tank {
            if let TankFeed::PumpBranch(branch) = &tank.fed_by {
                parts.push(Part::of_branch("fish tank's inlet", branch, &fittings.tank));
            }
            let overflow = Part::new("fish tank's overflow", tank.overflow_bore, None, Vec::new());
            parts.push(overflow);
        }
        if let Some(branch) = system.branch_to(Outlet::Settler) {
            parts.push(Part::of_branch(
                "settler's inlet",
                branch,
                &fittings.settler,
            ));
        }
        parts
    }
}
