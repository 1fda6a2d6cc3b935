//! A scenario written from sizes, with a mark where each reason will stand.

use crate::hydraulics::circular::full_area;
use std::fmt::Write as _;

use crate::hydraulics::pipe_sizes::{PipeSize, Schedule};
use crate::hydraulics::vessel::VesselShape;
use crate::study::draft::{Feed, PumpFact, Sizes};
use crate::units::UnitSystem;

/// What begins the line of a reason that is still to be written.
pub(super) const MARK: &str = "#@";

/// The scenario, with marks for its reasons.
pub(super) fn text(sizes: &Sizes, title: &str) -> String {
    let page = Page {
        sizes,
        units: sizes.units,
    };
    let mut out = format!("{MARK}facts\n\ntitle = {title:?}\n");
    let _ = writeln!(out, "keep  = [{}]", kept(sizes).join(", "));
    let _ = writeln!(
        out,
        "room  = {{ ceiling = {} }}\n",
        page.long(sizes.ceiling)
    );
    page.sump(&mut out);
    page.pump(&mut out);
    page.supply(&mut out);
    page.line(&mut out);
    page.tank(&mut out);
    page.beds(&mut out);
    out
}

/// What is the owner's, so that no change touches it.
fn kept(sizes: &Sizes) -> Vec<String> {
    let pump = match sizes.pump {
        PumpFact::Measured(_) => "pump.steady-flow",
        _ => "pump.box",
    };
    let tank = sizes.tank.as_ref();
    let stand = tank.is_some_and(|tank| tank.floor.1);
    let keys = [
        "room",
        "sump.shape",
        "sump.count",
        pump,
        "pump.speed",
        "bed.*.shape",
    ];
    keys.into_iter()
        .chain(tank.map(|_| "tank.shape"))
        .chain(stand.then_some("tank.floor"))
        .map(|key| format!("{key:?}"))
        .collect()
}

struct Page<'s> {
    sizes: &'s Sizes,
    units: UnitSystem,
}

impl Page<'_> {
    fn length(&self, metres: f64) -> String {
        format!("{:?}", self.units.length(metres))
    }

    fn long(&self, metres: f64) -> String {
        format!("{:?}", long(metres, self.units))
    }

    fn height(&self, metres: f64) -> String {
        format!("{:?}", self.units.elevation(metres))
    }

    fn flow(&self, flow: f64) -> String {
        format!("{:?}", an_hour(flow, self.units))
    }

    fn sump(&self, out: &mut String) {
        let sizes = self.sizes;
        let _ = writeln!(
            out,
            "[sump]\n{MARK}vessel\nshape = {{ {} }}\ncount = {}\nfloor = {}\n{MARK}fill\nstart-level = {}\n\
             {MARK}overflow\noverflow-level = {}\n",
            self.shape(&sizes.vessel.0),
            sizes.vessel.1,
            self.height(0.0),
            self.height(sizes.fill),
            self.height(sizes.overflow),
        );
    }

    fn shape(&self, shape: &VesselShape) -> String {
        let of = |name: &str, measures: &[(&str, f64)]| {
            let all = measures
                .iter()
                .map(|(key, value)| format!("{key} = {}", self.long(*value)));
            format!("{name} = {{ {} }}", all.collect::<Vec<_>>().join(", "))
        };
        match *shape {
            VesselShape::UprightCylinder { diameter, depth } => of(
                "upright-cylinder",
                &[("diameter", diameter), ("depth", depth)],
            ),
            VesselShape::LyingCylinder { diameter, length } => of(
                "lying-cylinder",
                &[("diameter", diameter), ("length", length)],
            ),
            VesselShape::Box {
                length,
                width,
                depth,
            } => of(
                "box",
                &[("length", length), ("width", width), ("depth", depth)],
            ),
            // A draft has no other.
            _ => of("box", &[("depth", shape.depth())]),
        }
    }

    fn pump(&self, out: &mut String) {
        let sizes = self.sizes;
        let _ = writeln!(
            out,
            "[pump]\n{MARK}intake\nintake-level = {}\nminimum-cover = {}\n{MARK}pump",
            self.height(sizes.intake.0),
            self.length(sizes.intake.1),
        );
        let _ = match (sizes.pump, sizes.pump.box_figures()) {
            (PumpFact::Measured(flow), _) => {
                writeln!(out, "steady-flow = {}\n", self.flow(flow))
            }
            (_, Some((open, lift))) => writeln!(
                out,
                "box = {{ shut-off-head = {}, open-flow = {} }}\n",
                self.long(lift),
                self.flow(open)
            ),
            (_, None) => Ok(()),
        };
    }

    fn supply(&self, out: &mut String) {
        let sizes = self.sizes;
        if matches!(sizes.pump, PumpFact::Measured(_)) {
            return;
        }
        let _ = writeln!(
            out,
            "[supply]\n{MARK}trunk\npipe = {}\nfittings = {{ elbow-90 = 3 }}",
            self.pipe(sizes.trunk.0, sizes.trunk.1)
        );
        if let Some(bypass) = &sizes.bypass {
            let level = sizes.overflow + 0.5 * (sizes.floor - sizes.overflow);
            let level =
                crate::units::amounts::length(self.units, level, crate::units::amounts::Side::Down);
            let _ = writeln!(
                out,
                "{MARK}bypass\nbypass = {{ level = {}, pipe = {}, valve = {{ ball = {:.2} }}, fittings = {{ elbow-90 = 2 }} }}",
                self.height(level),
                self.pipe(bypass.size, sizes.branch.1),
                bypass.opening
            );
        }
        out.push('\n');
    }

    fn line(&self, out: &mut String) {
        let Some(line) = &self.sizes.line else {
            return;
        };
        let slope = match self.units {
            UnitSystem::Metric => "2 %",
            UnitSystem::Us => "1/4 in/ft",
        };
        let _ = writeln!(
            out,
            "[drain-line]\n{MARK}line\npipe = {}\nslope = {slope:?}\n{MARK}line-outlet\noutlet = {}\nvented = true\n",
            self.pipe(line.size, line.length),
            self.height(line.outlet),
        );
    }

    fn tank(&self, out: &mut String) {
        let Some(tank) = &self.sizes.tank else {
            return;
        };
        // A measured flow is shared out: what the beds leave goes there whatever a valve does.
        let valve = match self.sizes.pump {
            PumpFact::Measured(_) => String::new(),
            _ => format!(", valve = {{ ball = {:.2} }}", tank.opening),
        };
        let _ = writeln!(
            out,
            "[tank]\n{MARK}tank\nshape = {{ {} }}\n{MARK}stand\nfloor = {}\n{MARK}tank-overflow\noverflow-level = {}\noverflow-bore = {:?}\noverflows-to = \"sump\"\n\
             {MARK}tank-inlet\ninlet = {{ level = {}, pipe = {}{valve}, fittings = {{ elbow-90 = 2 }} }}\n",
            self.shape(&tank.shape),
            self.height(tank.floor.0),
            self.height(tank.overflow),
            self.units.bore(tank.pipe.bore),
            self.height(tank.inlet),
            self.pipe(tank.branch.0, tank.branch.1),
        );
    }

    /// What all beds share stands once.
    fn beds(&self, out: &mut String) {
        let sizes = self.sizes;
        if sizes.beds == 1 {
            let _ = writeln!(out, "[[bed]]\nname = \"{}\"", name(0));
            self.bed(out, "bed");
            return;
        }
        out.push_str("[every-bed]\n");
        self.bed(out, "every-bed");
        let first = sizes.feed.first();
        for i in 0..sizes.beds {
            let _ = writeln!(out, "[[bed]]\nname = \"{}\"", name(i));
            let feed = sizes.feed.get(i);
            match feed.filter(|_| feed != first) {
                Some(Feed::Share(share)) => {
                    let _ = writeln!(out, "inlet = {{ share = {share:.3} }}");
                }
                Some(Feed::Valve(opening)) => {
                    let _ = writeln!(out, "inlet = {{ valve = {{ ball = {opening:.2} }} }}");
                }
                None => {}
            }
            if let Some(at) = sizes.line.as_ref().and_then(|line| line.at.get(i)) {
                let _ = writeln!(out, "drain = {{ at = {} }}", self.long(*at));
            }
            out.push('\n');
        }
    }

    fn bed(&self, out: &mut String, table: &str) {
        let sizes = self.sizes;
        let [length, width, depth] = sizes.bed.map(|side| self.long(side));
        let _ = writeln!(
            out,
            "{MARK}floor\nfloor = {}\n{MARK}bed\nshape = {{ box = {{ length = {length}, width = {width}, depth = {depth} }} }}\n{MARK}gravel\nmedia = {{ depth = {}, void = {:.2} }}",
            self.height(sizes.floor),
            self.length(sizes.gravel),
            sizes.void,
        );
        if let Some(guard) = sizes.guard {
            // Openings of eight times the pipe.
            let area = 8.0 * full_area(sizes.pipe.bore);
            let area = match self.units {
                UnitSystem::Metric => format!("{:.0} cm2", (area * 1e4).ceil()),
                UnitSystem::Us => format!("{:.0} in2", (area / 0.0254 / 0.0254).ceil()),
            };
            let _ = writeln!(
                out,
                "{MARK}guard\nguard = {{ diameter = {:?}, slot-area = {area:?} }}",
                self.units.bore(guard.bore)
            );
        }
        self.inlet(out);
        self.siphon(out, table);
    }

    fn inlet(&self, out: &mut String) {
        let sizes = self.sizes;
        let _ = match sizes.feed.first() {
            Some(Feed::Share(share)) => {
                writeln!(out, "{MARK}inlet\ninlet = {{ share = {share:.3} }}")
            }
            feed => {
                let opening = match feed {
                    Some(Feed::Valve(opening)) => *opening,
                    _ => 1.0,
                };
                writeln!(
                    out,
                    "{MARK}inlet\ninlet = {{ level = {}, pipe = {}, valve = {{ ball = {opening:.2} }}, fittings = {{ elbow-90 = 2 }} }}",
                    self.height(sizes.inlet),
                    self.pipe(sizes.branch.0, sizes.branch.1),
                )
            }
        };
    }

    fn siphon(&self, out: &mut String, table: &str) {
        let sizes = self.sizes;
        let (count, width, height) = sizes.slots;
        let _ = writeln!(
            out,
            "[{table}.standpipe]\n{MARK}pipe\n{}\n{MARK}lip\nlength = {}\n[{table}.bell]\n{MARK}bell\n{}\nclearance = {}\n{MARK}slots\nslots = {{ count = {count}, width = {}, height = {} }}",
            size(sizes.pipe),
            self.length(sizes.lip),
            size(sizes.bell),
            self.length(sizes.clearance),
            self.length(width),
            self.length(height),
        );
        if let Some((bore, mouth)) = sizes.air_tube {
            let _ = writeln!(
                out,
                "air-tube = {{ bore = {}, mouth = {} }}",
                self.length(bore),
                self.length(mouth)
            );
        }
        let into = if sizes.line.is_some() { "line" } else { "sump" };
        let _ = writeln!(
            out,
            "[{table}.drain]\n{MARK}drop\noutlet = {}\nlength = {}\nfittings = {{ elbow-90 = 1 }}\ninto = {into:?}\n",
            self.height(sizes.outlet),
            self.length(sizes.drain),
        );
    }

    fn pipe(&self, pipe: &PipeSize, length: f64) -> String {
        format!(
            "{{ {}, length = {} }}",
            size(pipe).replace('\n', ", "),
            self.long(length)
        )
    }
}

/// Name of the n-th bed.
pub(super) fn name(i: usize) -> String {
    const NAMES: [&str; 4] = ["one", "two", "three", "four"];
    NAMES
        .get(i)
        .map_or_else(|| format!("bed {}", i + 1), ToString::to_string)
}

/// The keys of a pipe from the tables.
fn size(pipe: &PipeSize) -> String {
    let (unit, schedule) = match pipe.schedule {
        Schedule::Sch40 => ("in", "40"),
        Schedule::Sch80 => ("in", "80"),
        Schedule::Pn10 => ("mm", "PN10"),
        Schedule::Pn16 => ("mm", "PN16"),
    };
    format!(
        "nominal = \"{} {unit}\"\nschedule = \"{schedule}\"",
        pipe.nominal
    )
}

/// A length that people say in feet from three feet up.
pub(super) fn long(metres: f64, units: UnitSystem) -> String {
    const FOOT: f64 = 0.3048;
    let feet = (metres / FOOT + 1e-6).floor();
    if units == UnitSystem::Metric || feet < 3.0 {
        return units.length(metres);
    }
    let rest = metres - feet * FOOT;
    // Less than half of the sixteenth that is shown.
    if rest < 0.5 * 0.0254 / 16.0 {
        return format!("{feet} ft");
    }
    format!("{feet} ft {}", units.length(rest))
}

/// As on the box of a pump.
pub(super) fn an_hour(flow: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.0} L/h", flow * 3.6e6),
        UnitSystem::Us => format!("{:.0} gal/h", flow * 3600.0 / 0.003_785_411_784),
    }
}
