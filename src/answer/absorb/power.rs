//! What a power cut does.

use crate::answer::absorb::{AbsorbReport, keys};
use crate::answer::oxygen::until_low;
use crate::answer::{At, Figure, Row, Text, said};

impl AbsorbReport<'_> {
    pub(super) fn cut_answer(&self) -> Text {
        let sump = &self.system.sump;
        let ever = self.ever();
        let Some(cut) = &self.absorb.power_cut else {
            return ever;
        };
        let at = At::top(self.units).part("power_cut");
        let running = match cut.running.as_slice() {
            [] => "with no siphon running".to_owned(),
            [i] => format!("while {} drains", self.bed(*i)),
            many => {
                let beds: Vec<String> = many.iter().map(|&i| self.bed(i)).collect();
                format!("while {} drain together", beds.join(" and "))
            }
        };
        let moment = if cut.time > 0.0 {
            said!("{} from its start", at.figure(&keys::TIME, cut.time))
        } else {
            "its very start".into()
        };
        let ends = if cut.spilled > 0.0 {
            said!(
                "sends {} over the sump's overflow",
                at.figure(&keys::SPILLED, cut.spilled)
            )
        } else {
            said!(
                "leaves the sump at {}, {} under its overflow",
                at.figure(&keys::AFTER, cut.level),
                at.figure(&keys::UNDER, sump.overflow_level - cut.level)
            )
        };
        said!(
            "A power cut at the worst moment of this run, {} {}, {}. {}",
            moment,
            running,
            ends,
            ever
        )
    }

    /// What goes for every moment and all coefficients.
    fn ever(&self) -> Text {
        let (at, sump) = (self.at_sump(), &self.system.sump);
        let (high, lost) = (self.absorb.volumes.bounds.high, self.absorb.volumes.lost);
        if high > sump.overflow_level || lost > 0.0 {
            said!(
                "Whatever the moment and the coefficients, up to {} can go over the overflow at {}.",
                at.figure(&keys::LOST, lost),
                at.figure(&keys::OVERFLOW, sump.overflow_level)
            )
        } else {
            said!(
                "Whatever the moment and the coefficients, it cannot rise over {}, {} under its \
                 overflow.",
                at.part("bounds").figure(&keys::HIGH, high),
                at.figure(&keys::LEFT, sump.overflow_level - high)
            )
        }
    }

    pub(super) fn cut_rows(&self) -> Vec<Row> {
        let (top, absorb) = (At::top(self.units), self.absorb);
        let mut rows = Vec::new();
        let ends = |level: Figure, spilled: Figure, spills: bool| {
            if spills {
                said!("the sump fills to its overflow and spills {}", spilled)
            } else {
                said!("the sump ends at {}", level)
            }
        };
        if let Some(cut) = &absorb.power_cut {
            let at = top.part("power_cut");
            let simulated = cut.simulated.map(|level| {
                said!(
                    " (simulated with that cut: {})",
                    at.figure(&keys::CUT_SIMULATED, level)
                )
            });
            let text = said!(
                "sump at {}; then {} come down from the beds and {} from the pipes: {}{}",
                at.figure(&keys::BEFORE, cut.sump_before),
                at.figure(&keys::FROM_BEDS, cut.from_beds),
                at.figure(&keys::FROM_PIPES, cut.from_pipes),
                ends(
                    at.figure(&keys::AFTER, cut.level),
                    at.figure(&keys::SPILLED, cut.spilled),
                    cut.spilled > 0.0
                ),
                simulated
            );
            rows.push(Row::new("Worst moment", text));
        }
        if let Some(all) = &absorb.together {
            let at = top.part("all_beds_together");
            let (who, water) = if self.system.beds.len() == 1 {
                ("the bed at its highest, then it drains", "from it")
            } else {
                (
                    "every bed at its highest, then all drain together",
                    "from the beds",
                )
            };
            let text = said!(
                "{} with the pump off: sump at {}, {} come {} and {} from the pipes; {}",
                who,
                at.figure(&keys::ALL_BEFORE, all.before),
                at.figure(&keys::ALL_FROM_BEDS, all.from_beds),
                water,
                at.figure(&keys::ALL_FROM_PIPES, all.from_pipes),
                ends(
                    at.figure(&keys::ALL_AFTER, all.level),
                    at.figure(&keys::ALL_SPILLED, all.spilled),
                    all.spilled > 0.0
                )
            );
            rows.push(Row::new("All at once", text));
        }
        if let Some(fish) = &self.assessment.garden.fish {
            let at = top.part(keys::FISH.name);
            rows.push(Row::new("Fish", until_low(fish, &at)));
        }
        rows.push(Row::new("Check valve", self.check_valve()));
        if absorb.drain_back.back_siphon > 0.0 {
            let back = absorb.drain_back.back_siphon;
            let text = said!(
                "inlets end under the highest water: without a check valve up to {} run back \
                 through them; end them higher or drill an anti-siphon hole over the water",
                top.part("check_valve").figure(&keys::BACK_SIPHON, back)
            );
            rows.push(Row::new("Back-siphon", text));
        }
        rows
    }

    fn check_valve(&self) -> Text {
        let (at, absorb) = (At::top(self.units).part("check_valve"), self.absorb);
        let has = if self.system.pump.check_valve {
            "fitted"
        } else {
            "not fitted"
        };
        let (without, with) = (at.part("bounds_without"), at.part("bounds_with"));
        said!(
            "{}; without one {} drain back from the supply pipes and the high bound is {}, with one \
             {} and {}",
            has,
            at.figure(&keys::BACK_WITHOUT, absorb.drain_back.without_check_valve),
            without.figure(&keys::HIGH, absorb.without_check_valve.high),
            at.figure(&keys::BACK_WITH, absorb.drain_back.with_check_valve),
            with.figure(&keys::HIGH, absorb.with_check_valve.high)
        )
    }
}
