//! Fish tank and settler: right of the last bed where there is room, else in a row of their own.

use crate::hydraulics::vessel::VesselShape;
use crate::model::{Branch, Outlet, Settler, System, Tank, TankFeed, TankOutlet};
use crate::simulation::Run;
use crate::units::UnitSystem;

use super::super::palette::{BLACK, BLUE, SHORT, Stroke, WATER_HIGH, WATER_LOW};
use super::super::sheet::{Align, SMALL, Sheet, shorten};
use super::plan::{OVER_INLET, Plan, tank_top};
use super::vessel::{Drawn, side_width};
use super::{
    Elevation, HAIR, Part, Side, View, WALL, caption, column, labels_width, note, pipe,
    surface_mark, valve,
};

/// A settler's overflow, where no tank tells of one `[m]`; for the picture alone.
const SETTLER_OVERFLOW: f64 = 0.040;
/// Last bed's labels to the tank, and the tank's to the settler `[px]`.
const GAP: f64 = 24.0;
/// Air over a row of their own `[m]`.
const AIR: f64 = 0.15;

/// One vessel of the two.
struct Member<'a> {
    name: &'static str,
    shape: &'a VesselShape,
    floor: f64,
    overflow: f64,
    /// Water levels drawn `[m]`.
    water: (f64, f64),
    labels: Vec<Elevation>,
}

impl Member<'_> {
    /// What the supply's branch to it is called.
    fn outlet(&self) -> Outlet {
        match self.name {
            "settler" => Outlet::Settler,
            _ => Outlet::Tank,
        }
    }
}

/// Whether the beds get their water from the tank, and the tank the whole pump's.
pub(super) fn between(system: &System) -> bool {
    system.tank.as_ref().is_some_and(|tank| {
        tank.overflows_to == TankOutlet::Beds && matches!(tank.fed_by, TankFeed::WholePump)
    })
}

fn members<'a>(system: &'a System, run: Option<&Run>) -> Vec<Member<'a>> {
    let tank = system.tank.as_ref();
    let behind = tank.is_some_and(|tank| tank.overflows_to == TankOutlet::Settler);
    let settler = system.settler.as_ref();
    let settler = settler.filter(|settler| behind || settler.inlet.is_some());
    let tank = tank.map(|tank| tank_member(tank, run));
    tank.into_iter()
        .chain(settler.map(settler_member))
        .collect()
}

fn settler_member(settler: &Settler) -> Member<'_> {
    let mut labels = vec![
        Elevation::new("settler top", settler.top(), Part::Wall),
        Elevation::new("overflow, to the sump", settler.overflow_level, Part::Wall),
        Elevation::new("settler floor", settler.floor, Part::Wall),
    ];
    if let Some(branch) = &settler.inlet {
        let inlet = Elevation::new("inlet, from the pump", branch.level, Part::Inlet);
        labels.insert(0, inlet);
    }
    Member {
        name: "settler",
        shape: &settler.shape,
        floor: settler.floor,
        overflow: settler.overflow_level,
        water: (settler.overflow_level, settler.overflow_level),
        labels,
    }
}

fn tank_member<'a>(tank: &'a Tank, run: Option<&Run>) -> Member<'a> {
    let water = run
        .and_then(|run| run.tank.as_ref())
        .map_or((tank.start_level, tank.start_level), |found| {
            (found.level.min, found.level.max)
        });
    let over = match tank.overflows_to {
        TankOutlet::Beds => "overflow, to the beds",
        TankOutlet::Settler => "overflow, to the settler",
        TankOutlet::Sump => "overflow, to the sump",
    };
    let mut labels = vec![
        Elevation::new("tank top", tank.top(), Part::Wall),
        Elevation::new("highest water", water.1, Part::Wall),
        Elevation::new(over, tank.overflow_level, Part::Wall),
        Elevation::new("lowest water", water.0, Part::Wall),
        Elevation::new("tank floor", tank.floor, Part::Wall),
    ];
    if let TankFeed::PumpBranch(branch) = &tank.fed_by {
        let inlet = Elevation::new("inlet, from the pump", branch.level, Part::Inlet);
        labels.insert(0, inlet);
    }
    Member {
        name: "fish tank",
        shape: &tank.shape,
        floor: tank.floor,
        overflow: tank.overflow_level,
        water,
        labels,
    }
}

/// Where the vessels go: the left edge `[px]`, and whether in a row of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    left: f64,
    pub(super) own_row: bool,
}

/// Where tank and settler go; `None` without either.
pub(super) fn spot(
    system: &System,
    run: &Run,
    plan: &Plan,
    bed_column: f64,
    units: UnitSystem,
) -> Option<Spot> {
    let members = members(system, Some(run));
    if members.is_empty() {
        return None;
    }
    let needs: f64 = members
        .iter()
        .map(|member| {
            plan.scale * side_width(member.shape) + labels_width(&member.labels, units) + GAP
        })
        .sum();
    let free = plan
        .rows
        .last()
        .and_then(|row| row.last())
        .map(|place| place.right() + bed_column + GAP)
        .filter(|left| left + needs <= plan.paper.right());
    Some(Spot {
        left: free.unwrap_or(plan.paper.left() + plan.paper.indent),
        own_row: free.is_none(),
    })
}

/// The row of tank and settler alone, below `top` `[px]`; no higher than they need.
pub(super) fn row(system: &System, plan: &Plan, top_px: f64) -> View {
    let tank = system.tank.as_ref().map_or(0.0, tank_top);
    let settler = system.settler.as_ref().map_or(0.0, |settler| {
        let inlet = settler.inlet.as_ref();
        inlet.map_or(settler.top(), |branch| settler.top().max(branch.level))
    });
    let highest = tank.max(settler) + OVER_INLET + AIR;
    let lowest = system.sump.floor.min(0.0);
    View {
        scale: plan.scale,
        zero: top_px + plan.scale * highest,
        top: top_px,
        bottom: top_px + plan.scale * (highest - lowest),
    }
}

/// Draws both with their labels.
pub(super) fn draw(
    sheet: &mut Sheet,
    system: &System,
    run: &Run,
    view: &View,
    spot: Spot,
    units: UnitSystem,
) {
    let mut left = spot.left;
    for member in members(system, Some(run)) {
        let width = view.px(side_width(member.shape));
        let vessel = Drawn {
            shape: member.shape,
            floor: member.floor,
            centre: left + 0.5 * width,
            view,
        };
        let (low, high) = member.water;
        vessel.fill(sheet, (member.floor, low), WATER_LOW);
        vessel.fill(sheet, (low, high), WATER_HIGH);
        for level in [high, low] {
            vessel.surface(sheet, level, Stroke::solid(BLUE, 1.2));
        }
        let mark = vessel.centre + 0.1 * width;
        surface_mark(sheet, mark, view.y(high), BLUE);
        // Upright pipe with its lip at the overflow.
        let x = vessel.centre + 0.28 * width;
        let foot = (view.y(member.floor) + 9.0).min(view.zero - 2.0);
        let bore = view.px(overflow_bore(system));
        pipe(
            sheet,
            &[(x, view.y(member.overflow)), (x, foot)],
            bore,
            WATER_LOW,
        );
        vessel.walls(sheet, member.floor + member.shape.depth(), WALL);
        inlet(sheet, system, &member, &vessel, false);
        let edge = left + width;
        for label in &member.labels {
            let from = match label.part {
                Part::Inlet => vessel.centre - 0.3 * width,
                _ => vessel.centre + vessel.half_width(label.z),
            };
            let y = view.y(label.z);
            sheet.line(&[(from, y), (edge, y)], HAIR);
        }
        let labels = labels_width(&member.labels, units);
        caption(sheet, view, left, member.name, width + labels);
        let range = (view.top, view.zero - 3.0);
        column(sheet, &member.labels, units, view, edge, range, Side::Right);
        left = edge + labels + GAP;
    }
}

/// Both without labels and with water that moves; right of the last bed, or in a row of their own.
pub(super) fn draw_moving(
    sheet: &mut Sheet,
    system: &System,
    plan: &Plan,
    view: &View,
    spot: Spot,
) {
    let mut left = spot.left;
    for (k, member) in members(system, None).into_iter().enumerate() {
        let width = view.px(side_width(member.shape));
        let key = match member.name {
            "fish tank" => "tank",
            other => other,
        };
        let vessel = Drawn {
            shape: member.shape,
            floor: member.floor,
            centre: left + 0.5 * width,
            view,
        };
        let top = member.floor + member.shape.depth();
        sheet.open(key);
        sheet.water(
            key,
            vessel.slice((member.floor, top)),
            (view.zero, view.scale),
        );
        let x = vessel.centre + 0.28 * width;
        let foot = (view.y(member.floor) + 9.0).min(view.zero - 2.0);
        let path = [(x, view.y(member.overflow)), (x, foot)];
        pipe(sheet, &path, view.px(overflow_bore(system)), WATER_LOW);
        vessel.walls(sheet, top, WALL);
        let branch = system.branch_to(member.outlet()).filter(|_| k == 0);
        if branch.is_none() {
            inlet(sheet, system, &member, &vessel, true);
        }
        sheet.close();
        if let Some(branch) = branch {
            sheet.open(key);
            branch_pipe(sheet, plan, branch, &vessel, spot);
            sheet.close();
        }
        // Far over its foot a name says little of whose it is.
        let middle = view.y(0.5 * (member.floor + member.overflow)) + 0.5 * SMALL;
        let name = shorten(member.name, SMALL, 0.76 * width - 8.0);
        sheet.text((left + 6.0, middle), Align::Left, SMALL, BLACK, name);
        caption(sheet, view, left, member.name, width + GAP);
        left += width + GAP;
    }
}

/// The pipe that brings a vessel its water: on from where the feed pipe ends at the last bed, or into
/// a row of their own from its left edge.
fn branch_pipe(sheet: &mut Sheet, plan: &Plan, branch: &Branch, vessel: &Drawn, spot: Spot) {
    let view = vessel.view;
    let bore = view.px(branch.run.bore);
    let x = vessel.centre - 0.3 * view.px(side_width(vessel.shape));
    let over = view.y(branch.level + OVER_INLET);
    let last = plan.rows.last().and_then(|row| row.last());
    let mut path = match last.filter(|_| !spot.own_row) {
        Some(place) => {
            let (feed, between) = (view.y(plan.manifold), spot.left - 0.5 * GAP);
            vec![(place.inlet_x(), feed), (between, feed), (between, over)]
        }
        None => vec![(plan.paper.left() + 6.0, over)],
    };
    path.extend([(x, over), (x, view.y(branch.level))]);
    pipe(sheet, &path, bore, WATER_HIGH);
    if branch.valve.is_some() {
        valve(sheet, (x, 0.5 * (over + view.y(branch.level))));
    }
    if spot.own_row {
        let at = (plan.paper.left() + 6.0, over - 0.5 * bore - 6.0);
        note(sheet, at, Align::Left, "from the pump");
    }
}

/// Where both go without labels.
pub(super) fn bare_spot(system: &System, plan: &Plan) -> Option<Spot> {
    let members = members(system, None);
    let needs: f64 = members
        .iter()
        .map(|member| plan.scale * side_width(member.shape) + GAP)
        .sum();
    let last = plan.rows.last().and_then(|row| row.last());
    let free = last
        .map(|place| place.right() + GAP)
        .filter(|left| left + needs <= plan.paper.right());
    (!members.is_empty()).then(|| Spot {
        left: free.unwrap_or(plan.paper.left() + plan.paper.indent),
        own_row: free.is_none(),
    })
}

/// Bore that upright overflows are drawn with `[m]`.
fn overflow_bore(system: &System) -> f64 {
    let tank = system.tank.as_ref();
    tank.map_or(SETTLER_OVERFLOW, |tank| tank.overflow_bore)
}

/// Where water comes in; `told` where no label beside it says from where.
fn inlet(sheet: &mut Sheet, system: &System, member: &Member, vessel: &Drawn, told: bool) {
    let (view, tank) = (vessel.view, system.tank.as_ref());
    let width = view.px(side_width(member.shape));
    let x = vessel.centre - 0.3 * width;
    let to = member.outlet();
    if let Some(branch) = system.branch_to(to) {
        let path = [
            (x, view.y(branch.level + OVER_INLET)),
            (x, view.y(branch.level)),
        ];
        pipe(sheet, &path, view.px(branch.run.bore), WATER_HIGH);
        if told {
            let (bore, above) = (view.px(branch.run.bore), path[0].1);
            // On from the pump, whose pipe ends at the last bed.
            sheet.line(
                &[(x - width * 0.5, above), (x, above)],
                Stroke::new(BLACK, 1.4, SHORT),
            );
            let at = (x + 0.5 * bore + 4.0, above + SMALL);
            note(sheet, at, Align::Left, "from the pump");
        }
    } else if let (Outlet::Tank, Some(tank)) = (to, tank) {
        // Where the pump's pipe ends over the tank is not known.
        let rim = tank.top();
        let (above, end) = (view.y(rim + OVER_INLET), view.y(rim));
        sheet.line(&[(x, above), (x, end)], Stroke::new(BLACK, 1.4, SHORT));
        let at = (x + 6.0, above + SMALL);
        note(sheet, at, Align::Left, "from the pump");
    }
}
