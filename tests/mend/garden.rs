//! Random gardens that work, as scenario text, and wrong sizes put into them. All are invented.

use ebbwright::assessment::{Assessment, Status, assess};
use ebbwright::model::System;
use ebbwright::numerics::split_mix::SplitMix64;
use ebbwright::scenario;
use ebbwright::simulation::{Run, Sampling, simulate};
use ebbwright::siphon::InflowWindow;
use ebbwright::study::valves::{Setting, settings};
use ebbwright::study::window::windows;
use std::fmt::Write as _;

/// Draws from a seed.
pub struct Draw(SplitMix64);

impl Draw {
    pub fn new(seed: u64) -> Self {
        Self(SplitMix64::new(seed))
    }

    /// Evenly between two values.
    pub fn even(&mut self, low: f64, high: f64) -> f64 {
        let unit = (self.0.next_bits() >> 11) as f64 / (1_u64 << 53) as f64;
        low + unit * (high - low)
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.even(0.0, 1.0) < share
    }

    pub fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.0.next_bits() % all.len() as u64) as usize]
    }
}

/// Nominal size, bore and bell of the siphons on offer: Schedule 40.
const PIPES: [(&str, f64, &str); 3] = [
    ("3/4 in", 0.0209, "2-1/2 in"),
    ("1 in", 0.0266, "3 in"),
    ("1-1/4 in", 0.0351, "3 in"),
];

#[derive(Debug, Clone)]
pub struct BedPlan {
    pub area: (f64, f64),
    pub gravel: f64,
    pub void: f64,
    pub lip: f64,
    pub slots: (u32, f64),
    pub drop: f64,
    pub opening: f64,
}

#[derive(Debug, Clone, Copy)]
pub enum Vessel {
    Box(f64, f64, f64),
    Upright(f64, f64),
    Lying(f64, f64),
}

impl Vessel {
    fn depth(self) -> f64 {
        match self {
            Self::Box(_, _, depth) | Self::Upright(_, depth) | Self::Lying(depth, _) => depth,
        }
    }

    fn text(self) -> String {
        match self {
            Self::Box(length, width, depth) => format!(
                "box = {{ length = \"{length:.3} m\", width = \"{width:.3} m\", depth = \"{depth:.3} m\" }}"
            ),
            Self::Upright(diameter, depth) => format!(
                "upright-cylinder = {{ diameter = \"{diameter:.3} m\", depth = \"{depth:.3} m\" }}"
            ),
            Self::Lying(diameter, length) => format!(
                "lying-cylinder = {{ diameter = \"{diameter:.3} m\", length = \"{length:.3} m\" }}"
            ),
        }
    }
}

/// Everything that a garden's text is made from `[m]`, `[m3/s]`.
#[derive(Debug, Clone)]
pub struct Garden {
    pub beds: Vec<BedPlan>,
    pub floor: f64,
    pub pipe: usize,
    pub vessel: Vessel,
    pub sump_floor: f64,
    pub start: f64,
    pub overflow: f64,
    pub pump_flow: f64,
    pub pump_head: f64,
    pub branch: f64,
    pub line: Option<f64>,
    pub float: Option<f64>,
}

impl Garden {
    /// A garden drawn with sizes that go together; it may still not work.
    fn drawn(draw: &mut Draw) -> Self {
        let count = draw.one_of(&[1, 1, 2, 2, 3, 4, 4]);
        let pipe = if count > 2 {
            draw.one_of(&[0, 0, 1])
        } else {
            draw.one_of(&[0, 1, 1, 2])
        };
        let like = BedPlan {
            area: (draw.even(0.8, 1.6), draw.even(0.6, 1.1)),
            gravel: draw.even(0.27, 0.34),
            void: draw.even(0.36, 0.45),
            lip: 0.0,
            slots: (draw.one_of(&[6, 8, 10]), draw.even(0.010, 0.014)),
            drop: draw.even(0.35, 0.6),
            opening: 0.6,
        };
        let alike = draw.chance(0.6);
        let mut beds = vec![like; count];
        for bed in &mut beds {
            if !alike {
                bed.area.0 *= draw.even(0.8, 1.2);
                bed.drop *= draw.even(0.9, 1.1);
            }
            bed.lip = ((bed.gravel - draw.even(0.075, 0.095)) * 1e3).floor() / 1e3;
        }
        let floor = draw.even(1.0, 1.2);
        let flood: f64 = beds
            .iter()
            .map(|bed| bed.area.0 * bed.area.1 * bed.void * bed.lip)
            .sum();
        let vessel = Self::vessel_for(draw, 1.9 * flood + 0.06);
        let depth = vessel.depth();
        let line = (count > 1 && draw.chance(0.5)).then_some(0.0814);
        Self {
            beds,
            floor,
            pipe,
            vessel,
            sump_floor: 0.0,
            start: draw.even(0.6, 0.75) * depth,
            overflow: 0.93 * depth,
            pump_flow: 0.0,
            pump_head: draw.even(2.4, 3.2),
            branch: draw.one_of(&[0.0158, 0.0209]),
            line,
            float: draw.chance(0.4).then(|| draw.even(0.2, 0.26) * depth),
        }
    }

    fn vessel_for(draw: &mut Draw, volume: f64) -> Vessel {
        let depth = draw.even(0.4, 0.52);
        let kind = draw.one_of(&[0, 1, 2]);
        if kind == 0 {
            let length = draw.even(1.0, 1.5) * (volume / depth).sqrt();
            Vessel::Box(length, volume / depth / length, depth)
        } else if kind == 1 {
            Vessel::Upright((volume / depth / std::f64::consts::FRAC_PI_4).sqrt(), depth)
        } else {
            let diameter = draw.even(0.5, 0.57);
            Vessel::Lying(
                diameter,
                volume / std::f64::consts::FRAC_PI_4 / diameter / diameter,
            )
        }
    }

    pub fn text(&self) -> String {
        let m = |x: f64| format!("\"{:.4} m\"", (1e4 * x).round() / 1e4);
        let mut out =
            String::from("# An invented garden, drawn at random.\nhours = 12\n\n[sump]\n");
        let _ = write!(
            out,
            "shape = {{ {} }}\nfloor = {}\nstart-level = {}\noverflow-level = {}\n\n",
            self.vessel.text(),
            m(self.sump_floor),
            m(self.sump_floor + self.start),
            m(self.sump_floor + self.overflow),
        );
        let points: Vec<String> = [0.0, 0.35, 0.7, 1.0]
            .iter()
            .map(|&share: &f64| {
                format!(
                    "[\"{:.1} L/h\", \"{:.3} m\"]",
                    3.6e6 * share * self.pump_flow,
                    self.pump_head * (1.0 - share.powf(1.7))
                )
            })
            .collect();
        let _ = write!(
            out,
            "[pump]\nintake-level = {}\nminimum-cover = \"50 mm\"\ncurve = [{}]\n\n\
             [supply]\npipe = {{ bore = \"32 mm\", length = \"3.5 m\" }}\nfittings = {{ elbow-90 = 3 }}\n\n",
            m(self.sump_floor + 0.03),
            points.join(", ")
        );
        let (nominal, _, bell) = PIPES[self.pipe];
        let lowest = self
            .beds
            .iter()
            .map(|bed| self.floor - bed.drop)
            .fold(f64::INFINITY, f64::min);
        if let Some(bore) = self.line {
            let _ = write!(
                out,
                "[drain-line]\npipe = {{ bore = \"{:.1} mm\", length = \"5 m\" }}\nslope = \"2 %\"\noutlet = {}\nvented = true\n\n",
                1e3 * bore,
                m(lowest - 0.21)
            );
        }
        for (i, bed) in self.beds.iter().enumerate() {
            let outlet = self.floor - bed.drop;
            let into = if self.line.is_some() {
                format!("into = \"line\"\nat = \"{:.1} m\"", 1.0 + i as f64)
            } else {
                "into = \"sump\"".to_owned()
            };
            let _ = write!(
                out,
                "[[bed]]\nname = \"bed {name}\"\nfloor = {floor}\n\
                 shape = {{ box = {{ length = {length}, width = {width}, depth = \"0.38 m\" }} }}\n\
                 media = {{ depth = {gravel}, void = {void:.3} }}\n\
                 inlet = {{ level = {inlet}, pipe = {{ bore = \"{branch:.1} mm\", length = \"0.6 m\" }}, valve = {{ ball = {opening:.2} }}, fittings = {{ elbow-90 = 1 }} }}\n\n\
                 [bed.standpipe]\nnominal = \"{nominal}\"\nschedule = \"40\"\nlength = {lip}\n\n\
                 [bed.bell]\nnominal = \"{bell}\"\nschedule = \"40\"\nclearance = \"24 mm\"\n\
                 slots = {{ count = {count}, width = \"{slot:.1} mm\", height = \"22 mm\" }}\n\n\
                 [bed.drain]\noutlet = {outlet}\nlength = {drain}\nfittings = {{ elbow-90 = 1 }}\n{into}\n\n",
                name = i + 1,
                floor = m(self.floor),
                length = m(bed.area.0),
                width = m(bed.area.1),
                gravel = m(bed.gravel),
                void = bed.void,
                inlet = m(self.floor + 0.42),
                branch = 1e3 * self.branch,
                opening = bed.opening,
                lip = m(bed.lip),
                count = bed.slots.0,
                slot = 1e3 * bed.slots.1,
                outlet = m(outlet),
                drain = m(bed.lip + bed.drop + 0.15),
            );
        }
        if let Some(level) = self.float {
            let _ = write!(
                out,
                "[top-off]\nlevel = {}\nflow = \"4 L/min\"\nbore = \"6 mm\"\n",
                m(self.sump_floor + level)
            );
        }
        out
    }

    pub fn system(&self) -> Option<System> {
        Some(scenario::parse(&self.text(), "garden.toml").ok()?.system)
    }
}

/// What a system does and how it is judged.
pub fn judged(system: &System) -> Option<(Run, Assessment)> {
    let run = simulate(system, Sampling::None).ok()?;
    let found = assess(system, &run);
    Some((run, found))
}

pub fn passes(system: &System) -> bool {
    judged(system).is_some_and(|(_, found)| found.verdict != Status::Fail)
}

/// A garden that works: pump and valves fitted to the siphons it has.
pub fn working(draw: &mut Draw) -> Garden {
    loop {
        let mut garden = Garden::drawn(draw);
        let ease = draw.even(1.2, 1.8);
        if fit_pump(&mut garden, ease).is_some() && garden.system().is_some_and(|s| passes(&s)) {
            return garden;
        }
    }
}

fn fit_pump(garden: &mut Garden, ease: f64) -> Option<()> {
    garden.pump_flow = 40e-3 / 60.0;
    let system = garden.system()?;
    let bed = &system.beds[0];
    let window = InflowWindow::new(
        bed,
        &system.water,
        &system.coefficients,
        bed.siphon.drain.outlet,
    );
    let wanted = 0.5 * (window.start.nominal + window.breaks_below().nominal);
    garden.pump_flow = (1e6 * 2.0 * ease * wanted * garden.beds.len() as f64).round() / 1e6;
    let system = garden.system()?;
    let (run, found) = judged(&system)?;
    let plan = settings(&system, &run, &found, &windows(&system, &run, &found));
    for (bed, set) in garden.beds.iter_mut().zip(&plan.beds) {
        if let Setting::Valve { opening, .. } = set.setting {
            bed.opening = (1e2 * opening).round() / 1e2;
        }
    }
    Some(())
}

/// A size that somebody got wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum WrongSize {
    TooLittleFlow,
    TooMuchFlow,
    WidePipe,
    SmallPump,
    SmallSump,
    HighSump,
    HighFloat,
    ThinLine,
    LipTooHigh,
    TooLittleDrop,
    SlotsTooSmall,
    OddFill,
}

impl WrongSize {
    pub const ALL: [Self; 12] = [
        Self::TooLittleFlow,
        Self::TooMuchFlow,
        Self::WidePipe,
        Self::SmallPump,
        Self::SmallSump,
        Self::HighSump,
        Self::HighFloat,
        Self::ThinLine,
        Self::LipTooHigh,
        Self::TooLittleDrop,
        Self::SlotsTooSmall,
        Self::OddFill,
    ];

    pub fn put_into(self, garden: &mut Garden, draw: &mut Draw) {
        let one = draw
            .chance(0.5)
            .then(|| draw.one_of(&(0..garden.beds.len()).collect::<Vec<_>>()));
        let mut each = |change: &mut dyn FnMut(&mut BedPlan)| {
            for (i, bed) in garden.beds.iter_mut().enumerate() {
                if one.is_none_or(|only| only == i) {
                    change(bed);
                }
            }
        };
        match self {
            Self::TooLittleFlow => {
                let by = draw.even(0.5, 0.75);
                each(&mut |bed| bed.opening *= by);
            }
            Self::TooMuchFlow => {
                garden.pump_flow *= draw.even(1.2, 1.8);
                for bed in &mut garden.beds {
                    bed.opening = 1.0;
                }
            }
            Self::WidePipe => garden.pipe = 2,
            Self::SmallPump => {
                garden.pump_flow *= draw.even(0.4, 0.7);
                garden.pump_head *= draw.even(0.7, 0.9);
            }
            Self::SmallSump => {
                let by = draw.even(0.45, 0.7);
                garden.vessel = match garden.vessel {
                    Vessel::Box(length, width, depth) => Vessel::Box(by * length, width, depth),
                    Vessel::Upright(diameter, depth) => {
                        Vessel::Upright(by.sqrt() * diameter, depth)
                    }
                    Vessel::Lying(diameter, length) => Vessel::Lying(diameter, by * length),
                };
            }
            Self::HighSump => garden.sump_floor = draw.even(0.3, 0.7),
            Self::HighFloat => garden.float = Some(draw.even(0.8, 0.92) * garden.vessel.depth()),
            Self::ThinLine => garden.line = garden.line.map(|_| draw.even(0.028, 0.045)),
            Self::LipTooHigh => {
                let by = draw.even(0.04, 0.07);
                each(&mut |bed| bed.lip = (bed.lip + by).min(0.345));
            }
            Self::TooLittleDrop => {
                let drop = draw.even(0.03, 0.10);
                each(&mut |bed| bed.drop = drop);
            }
            Self::SlotsTooSmall => {
                let (count, width) = (draw.one_of(&[2, 3, 4]), draw.even(0.003, 0.006));
                each(&mut |bed| bed.slots = (count, width));
            }
            Self::OddFill => {
                garden.start = draw.one_of(&[0.25, 0.9]) * garden.vessel.depth();
            }
        }
    }
}

/// A garden that works, what is wrong with it, and the same garden then failing.
pub struct Broken {
    pub wrong: Vec<WrongSize>,
    pub garden: Garden,
}

/// A working garden with one to three wrong sizes; it is read and it fails.
pub fn broken(seed: u64) -> Broken {
    let mut draw = Draw::new(seed);
    loop {
        let sound = working(&mut draw);
        for _ in 0..8 {
            let mut garden = sound.clone();
            let mut wrong: Vec<WrongSize> = (0..draw.one_of(&[1, 1, 2, 3]))
                .map(|_| draw.one_of(&WrongSize::ALL))
                .collect();
            wrong.sort();
            wrong.dedup();
            for one in &wrong {
                one.put_into(&mut garden, &mut draw);
            }
            if garden.system().is_some_and(|system| !passes(&system)) {
                return Broken { wrong, garden };
            }
        }
    }
}
