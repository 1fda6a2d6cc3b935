//! Fittings of all pipes, as they have to be bought. The model keeps only their summed loss.

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

/// Fittings of every pipe of a scenario; a pipe that names none, only a loss, has none.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fittings {
    /// From the pump up.
    pub supply: Vec<FittingCount>,
    /// The way back to the sump.
    pub bypass: Vec<FittingCount>,
    /// To the fish tank.
    pub tank: Vec<FittingCount>,
    /// To the settler.
    pub settler: Vec<FittingCount>,
    /// The shared drain line.
    pub line: Vec<FittingCount>,
    /// To each bed, in file order.
    pub inlets: Vec<Vec<FittingCount>>,
    /// The drain of each bed, in file order.
    pub drains: Vec<Vec<FittingCount>>,
}

impl Scenario {
    /// Fittings of all its pipes.
    pub fn fittings(&self) -> Fittings {
        // The text has been judged: what does not fit here cannot be there.
        let document: DocumentMut = self.source.text.parse().unwrap_or_default();
        let root = every_bed::beside(&document)
            .or_else(|| self.source.text.parse().ok())
            .unwrap_or_default();
        let root = toml::Value::Table(root);
        let beds = root.get("bed").and_then(toml::Value::as_array);
        let of_beds = |part: &str| {
            let beds = beds.into_iter().flatten();
            beds.map(|bed| below(bed, &[part])).collect()
        };
        Fittings {
            supply: below(&root, &["supply"]),
            bypass: below(&root, &["supply", "bypass"]),
            tank: below(&root, &["tank", "inlet"]),
            settler: below(&root, &["settler", "inlet"]),
            line: below(&root, &["drain-line"]),
            inlets: of_beds("inlet"),
            drains: of_beds("drain"),
        }
    }
}

/// The fittings of the table to which these keys lead.
fn below(root: &toml::Value, keys: &[&str]) -> Vec<FittingCount> {
    let table = keys
        .iter()
        .try_fold(root, |at, key| at.get(key))
        .and_then(|at| at.get("fittings"))
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
        let found = scenario.fittings().drains;
        // The starter's drain has { elbow-90 = 2 }.
        assert_eq!(found.len(), scenario.system.beds.len());
        assert_eq!(found[0].len(), 1);
        assert_eq!(found[0][0].count, 2.0);
        assert_eq!(Some(found[0][0].fitting), Fitting::from_name("elbow-90"));
        let text = starter().replace("fittings = { elbow-90 = 2 }\ninto", "k = 1.4\ninto");
        assert_ne!(text, starter());
        assert!(parse(&text, "k.toml").unwrap().fittings().drains[0].is_empty());
    }

    #[test]
    fn every_pipe_has_its_own_fittings() {
        let text = "[supply]\nfittings = { elbow-90 = 3, exit = 1 }\n[supply.bypass]\nfittings = { elbow-45 = 2 }\n\
                    [drain-line]\nfittings = { tee-run = 4 }\n[tank.inlet]\nfittings = { union = 1 }\n";
        let root: toml::Value = toml::from_str(text).unwrap();
        let names = |keys: &[&str]| {
            let found = super::below(&root, keys);
            found
                .iter()
                .map(|one| (one.fitting.name(), one.count))
                .collect::<Vec<_>>()
        };
        // The shape of a pipe's end is nothing to buy.
        assert_eq!(names(&["supply"]), [("elbow-90", 3.0)]);
        assert_eq!(names(&["supply", "bypass"]), [("elbow-45", 2.0)]);
        assert_eq!(names(&["drain-line"]), [("tee-run", 4.0)]);
        assert_eq!(names(&["tank", "inlet"]), [("union", 1.0)]);
        assert_eq!(names(&["settler", "inlet"]), []);
    }

    // A cut list without the elbows that every bed has sent somebody to the shop twice.
    #[test]
    fn fittings_of_every_bed_are_those_of_each() {
        let shared = "[every-bed.drain]\nfittings = { elbow-90 = 2 }\n";
        let text = starter().replace("fittings = { elbow-90 = 2 }\n", "") + shared;
        let found = parse(&text, "shared.toml").unwrap().fittings().drains;
        let alone = parse(starter(), "starter.toml").unwrap().fittings().drains;
        assert_eq!(found, alone);
    }
}
