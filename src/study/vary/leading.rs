//! Which inputs a check's margin goes with.

use crate::numerics::in_order::InOrder;
use crate::numerics::maths::Maths;
use crate::study::vary::draw::Input;
use crate::study::vary::random::{CheckChance, Random};

/// An input, or the same input of several beds, that a margin goes with.
#[derive(Debug, Clone, PartialEq)]
pub struct Lead {
    /// `north: standpipe`, `pump`, `void of 4 beds`.
    pub name: String,
    /// Rank correlation `[-]`; of several beds the root of the sum of squares, by
    /// which the effects of inputs drawn each for itself add up.
    pub size: f64,
    /// Indices into the inputs of the study.
    pub inputs: Vec<usize>,
}

impl Random {
    /// Inputs whose rank correlation with the margin of `check` stands above what
    /// chance gives the greatest of all, the strongest first.
    ///
    /// The same input of several beds, pulling the same way, is one row, or a sump
    /// under many beds would show nothing but their voids. The bed that the
    /// check is about keeps its own rows.
    pub fn leading(&self, check: &CheckChance) -> Vec<Lead> {
        let above = (0..)
            .zip(&check.influence)
            .filter(|(_, size)| size.abs() > check.noise_of_all);
        let mut found: Vec<(Lead, Option<&str>)> = Vec::new();
        for (k, &size) in above {
            let input = &self.inputs[k];
            let shared = shared(input, &check.name.subject);
            let same = found
                .iter_mut()
                .find(|(lead, what)| shared.is_some() && *what == shared && lead.size * size > 0.0);
            if let Some((lead, _)) = same {
                lead.size = lead.size.hypotenuse(size).min(1.0).copysign(size);
                lead.inputs.push(k);
                lead.name = format!("{} of {} beds", input.what, lead.inputs.len());
            } else {
                let lead = Lead {
                    name: input.name.clone(),
                    size,
                    inputs: vec![k],
                };
                found.push((lead, shared));
            }
        }
        let mut leads: Vec<Lead> = found.into_iter().map(|(lead, _)| lead).collect();
        // Stable: equals stay in the order of the inputs.
        leads.order_by(|a, b| b.size.abs().total_cmp(&a.size.abs()));
        leads
    }
}

/// What `input` shares with those of other beds, if it belongs to a bed that is not `subject`.
fn shared<'a>(input: &'a Input, subject: &str) -> Option<&'a str> {
    let own = input.name == format!("{subject}: {}", input.what);
    (input.bed.is_some() && !own).then_some(input.what.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assessment::{CheckId, CheckUnit};
    use crate::study::vary::Tolerances;
    use crate::study::vary::draw::Kind;
    use crate::study::vary::random::CheckName;
    use crate::study::vary::statistics::Share;

    fn input(bed: Option<usize>, what: &str) -> Input {
        let name = match bed {
            Some(i) => format!("bed {i}: {what}"),
            None => what.to_owned(),
        };
        Input {
            kind: Kind::Void,
            bed,
            what: what.to_owned(),
            name,
            unit: "1",
            low: -0.1,
            high: 0.1,
        }
    }

    /// What leads a check about `subject`, as names and sizes.
    fn leads(subject: &str, parts: &[(Option<usize>, &str, f64)]) -> Vec<(String, f64)> {
        let share = Share::new(5, 10);
        let check = CheckChance {
            name: CheckName {
                id: CheckId::PumpCover,
                subject: subject.to_owned(),
            },
            unit: CheckUnit::Metre,
            passes: share,
            fails: share,
            margins: [0.0; 3],
            influence: parts.iter().map(|part| part.2).collect(),
            noise: 0.05,
            noise_of_all: 0.1,
        };
        let found = Random {
            seed: 1,
            tolerances: Tolerances::default(),
            inputs: parts.iter().map(|part| input(part.0, part.1)).collect(),
            checks: Vec::new(),
            none_fails: share,
            all_pass: share,
            draws: Vec::new(),
        };
        let leads = found.leading(&check).into_iter();
        leads
            .map(|lead| (lead.name, (lead.size * 1000.0).round() / 1000.0))
            .collect()
    }

    #[test]
    fn beds_that_pull_the_same_way_are_one_row() {
        let parts = [
            (Some(0), "void", 0.3),
            (Some(1), "void", 0.4),
            (Some(2), "void", -0.2),
            (Some(3), "void", 0.09),
            (Some(0), "standpipe", -0.35),
            (None, "pump", 0.45),
        ];
        let named = |found: &[(&str, f64)]| -> Vec<(String, f64)> {
            found
                .iter()
                .map(|(name, size)| ((*name).to_owned(), *size))
                .collect()
        };
        // 0.3 and 0.4 make 0.5; the third bed pulls the other way, the fourth is noise.
        assert_eq!(
            leads("pump", &parts),
            named(&[
                ("void of 2 beds", 0.5),
                ("pump", 0.45),
                ("bed 0: standpipe", -0.35),
                ("bed 2: void", -0.2),
            ])
        );
        // Of its own check a bed keeps its rows.
        assert_eq!(
            leads("bed 1", &parts),
            named(&[
                ("pump", 0.45),
                ("bed 1: void", 0.4),
                ("bed 0: standpipe", -0.35),
                ("bed 0: void", 0.3),
                ("bed 2: void", -0.2),
            ])
        );
    }
}
