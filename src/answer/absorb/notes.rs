//! How to read the answer of `absorb`.

use crate::answer::absorb::{AbsorbReport, keys};
use crate::answer::{At, Text, said};
use crate::study::absorb::nearest_run;

impl AbsorbReport<'_> {
    pub(super) fn notes(&self) -> Vec<Text> {
        let mut notes: Vec<Text> = vec![
            "The bounds follow from volumes alone, whatever the timing and wherever the soft \
             coefficients lie within their bands: lowest with every bed at its highest and all \
             pipes, bells and the line full, highest with every bed drained, the pump off and the \
             pipes run back. How high the beds stand at a power cut does not matter to the high \
             bound: what is in them is not in the sump."
                .into(),
            "Fill levels are for the sump with the pump off, the pipes empty and the beds as at \
             the start, drained to their break level unless a start level is given. Water in the \
             pipes is counted against the sump for both bounds, so it does not matter whether it \
             was in them when the sump was filled."
                .into(),
            "The power cut is looked for at every recorded moment of the simulated run once every \
             bed has broken, nominal coefficients, a sample at least every ten seconds and at \
             every event. After the cut \
             water only comes down, so volumes tell where the sump ends: a running siphon empties \
             its bed to the break level, a bed that is priming is counted as running, a bed that \
             spills falls to its lip, a filling one keeps its water. The cut is then simulated as \
             well. Float valve, losses to the air and incidents of the scenario are left out here."
                .into(),
            "Usable is the water between the pump's cover and the freeboard, needed what moves between \
             the bounds. A vessel that is not the sump as it is keeps the sump's floor, its pump and the \
             distance from overflow to top; everything over it is moved as far as its overflow is \
             higher or lower, inlets and riser with it. Describe the one you choose in the \
             scenario and run that."
                .into(),
            "Drums joined at the bottom count as one vessel: the joint has to pass the fastest \
             siphon with little difference in level, which is not checked here."
                .into(),
            "Smallest drums keep the proportions of the drum compared above; the smallest box \
             keeps the footprint of the sump as it is. They leave nothing to spare: take the next \
             size up."
                .into(),
        ];
        if nearest_run(self.system).is_some() {
            let at = At::top(self.units).part(keys::NEAREST.name);
            notes.push(said!(
                "Outlet to overflow: how far the lowest outlet, left where it is, ends over or under \
                 the vessel's overflow, the highest its water can ever stand. The check \"fall\" of \
                 \"run\" measures each run to the water that beds and pipes can bring the sump to, \
                 {} here.",
                at.figure(&keys::HIGHEST_WATER, self.highest_water())
            ));
        }
        if !self.absorb.drum.is_present {
            notes.push(
                "The 55 US gal drum has the inside measures of trade tables (22.5 in x 33.5 in); \
                 the standard behind them was not read. Measure yours."
                    .into(),
            );
        }
        if self.lacks_a_run() {
            notes.push(
                "A run with another vessel or with the power cut that is missing here gave no answer, \
                 or was given up for it would take too long. Bounds and fill levels do not need it."
                    .into(),
            );
        }
        if self.system.tank.is_some() {
            notes.push("The fish tank stays where it is when the beds are moved.".into());
        }
        notes
    }

    fn lacks_a_run(&self) -> bool {
        let cut = self.absorb.power_cut.as_ref();
        let mut standings = self.absorb.standings.iter();
        cut.is_some_and(|cut| cut.simulated.is_none())
            || standings.any(|standing| standing.simulated.is_none())
    }
}
