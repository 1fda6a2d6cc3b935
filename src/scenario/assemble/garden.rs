//! Fish, sources of water, what is dissolved in it, sides of a bed.

use super::super::fault::Faults;
use super::super::node::Node;
use super::super::rule::Rule;
use super::{clash, label};
use crate::model::{Dissolved, Fish, Side, Source, USUAL_HARVEST};

/// The fish, which must have a vessel to live in.
pub(super) fn fish(node: &Node, root: &Node, faults: &mut Faults<'_>) -> Option<Fish> {
    let in_sump = root
        .table("sump")
        .is_none_or(|sump| sump.flag_or("fish-tank", false).unwrap_or(true));
    if !in_sump && !root.has("tank") {
        clash(
            faults,
            Rule::NoWaterForFish,
            node.path.clone(),
            vec![label(&node.span, "where do they live?")],
            "add a [tank], or write fish-tank = true in [sump]".to_owned(),
        );
        return None;
    }
    let count = node.number("count")?;
    let mass = match node.number("mass") {
        Some(mass) => mass,
        None => node.number("total-mass")? / count,
    };
    Some(Fish {
        // The walk has let through whole numbers of its range only.
        count: count as u32,
        mass,
        feed: node.optional("feed")?,
        harvest_mass: node.number_or("harvest-mass", USUAL_HARVEST.max(mass))?,
    })
}

/// Every source; `None` once one is faulty.
pub(super) fn sources(root: &Node) -> Option<Vec<Source>> {
    if root.has("source") && root.tables("source").is_empty() {
        return None;
    }
    let each = root.tables("source").iter().map(|node| {
        Some(Source {
            name: node.text("name")?.to_owned(),
            flow: node.number("flow")?,
            dissolved: node.optional("dissolved")?,
        })
    });
    each.collect()
}

/// What is dissolved in filling and top-off.
pub(super) fn dissolved(root: &Node) -> Option<Dissolved> {
    let of = |key| match root.table(key) {
        Some(node) => node.optional("dissolved"),
        None => Some(None),
    };
    Some(Dissolved {
        filled: of("water")?,
        top_off: of("top-off")?,
    })
}

/// `Some(None)`: not told.
pub(super) fn access(bed: &Node) -> Option<Option<Vec<Side>>> {
    if !bed.has("access") {
        return Some(None);
    }
    let words = bed.words("access")?;
    let sides = Side::ALL
        .into_iter()
        .filter(|side| words.contains(&side.key()));
    Some(Some(sides.collect()))
}
