//! Fittings of each siphon's pipe, as they have to be bought. The model keeps
//! only their summed loss.

use super::{Scenario, every_bed};
use crate::hydraulics::fittings::Fitting;
use toml_edit::DocumentMut;

/// How many of one fitting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittingCount {
    /// Which.
    pub fitting: Fitting,
    /// How many, as written in the scenario.
    pub count: f64,
}

impl Scenario {
    /// Fittings in the drain of each bed, in file order; a bed whose drain names
    /// none, only a loss, has none.
    pub fn drain_fittings(&self) -> Vec<Vec<FittingCount>> {
        // The text has been judged: what does not fit here cannot be there.
        let document: DocumentMut = self.source.text.parse().unwrap_or_default();
        let root = every_bed::beside(&document)
            .or_else(|| self.source.text.parse().ok())
            .unwrap_or_default();
        let beds = root.get("bed").and_then(toml::Value::as_array);
        beds.into_iter().flatten().map(of_bed).collect()
    }
}

fn of_bed(bed: &toml::Value) -> Vec<FittingCount> {
    let table = bed
        .get("drain")
        .and_then(|drain| drain.get("fittings"))
        .and_then(toml::Value::as_table);
    table
        .into_iter()
        .flatten()
        .filter_map(|(name, count)| {
            let count = match count {
                toml::Value::Integer(count) => f64::from(u32::try_from(*count).ok()?),
                other => other.as_float()?,
            };
            Some(FittingCount {
                fitting: Fitting::from_name(name)?,
                count,
            })
        })
        .filter(|found| found.count > 0.0 && is_a_piece(found.fitting))
        .collect()
}

/// The shape of a pipe's end is no piece.
fn is_a_piece(fitting: Fitting) -> bool {
    !matches!(
        fitting,
        Fitting::EntranceSharp
            | Fitting::EntranceProjecting
            | Fitting::EntranceDeburred
            | Fitting::EntranceRounded
            | Fitting::EntranceBellmouth
            | Fitting::Exit
    )
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use crate::hydraulics::fittings::Fitting;
    use crate::scenario::{parse, starter};

    #[test]
    fn fittings_are_those_of_the_file() {
        let scenario = parse(starter(), "starter.toml").unwrap();
        let found = scenario.drain_fittings();
        // The starter's drain has { elbow-90 = 2 }.
        assert_eq!(found.len(), scenario.system.beds.len());
        assert_eq!(found[0].len(), 1);
        assert_eq!(found[0][0].count, 2.0);
        assert_eq!(Some(found[0][0].fitting), Fitting::from_name("elbow-90"));
        let text = starter().replace("fittings = { elbow-90 = 2 }\ninto", "k = 1.4\ninto");
        assert_ne!(text, starter());
        assert!(parse(&text, "k.toml").unwrap().drain_fittings()[0].is_empty());
    }

    // A cut list without the elbows that every bed has sent somebody to the shop twice.
    #[test]
    fn fittings_of_every_bed_are_those_of_each() {
        let shared = "[every-bed.drain]\nfittings = { elbow-90 = 2 }\n";
        let text = starter().replace("fittings = { elbow-90 = 2 }\n", "") + shared;
        let found = parse(&text, "shared.toml").unwrap().drain_fittings();
        let alone = parse(starter(), "starter.toml").unwrap().drain_fittings();
        assert_eq!(found, alone);
    }
}
