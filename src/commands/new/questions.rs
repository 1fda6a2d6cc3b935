//! Questions for the facts that were not given.

use std::io::{self, BufRead, Write};

use crate::scenario::{
    FactError, bed_fact, pump_fact, room_fact, sump_fact, tank_fact, units_typed,
};
use crate::study::draft::Facts;
use crate::units::UnitSystem;

/// Times that one question is put before its default is taken.
const PATIENCE: usize = 4;

/// What was said before any question, beside the facts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Given {
    /// The units; else the first answer with one decides them.
    pub(super) units: bool,
    /// Whether there is a fish tank.
    pub(super) tank: bool,
}

/// Asks for what `facts` lack; an empty answer, or the end of the input, takes the default.
pub(super) fn ask(
    facts: &mut Facts,
    mut given: Given,
    input: &mut impl BufRead,
    screen: &mut impl Write,
) -> io::Result<()> {
    let missing = facts.beds.is_none()
        || facts.bed.is_none()
        || facts.ceiling.is_none()
        || facts.sump.is_none()
        || facts.pump.is_none()
        || !given.tank;
    if !missing {
        return Ok(());
    }
    writeln!(
        screen,
        "A few facts; every other size is found for you. Enter takes what stands in [brackets]."
    )?;
    let asks_tank = !given.tank;
    let mut seen = |facts: &mut Facts, text: &str| {
        if let (false, Some(units)) = (given.units, units_typed(text)) {
            facts.units = units;
            given.units = true;
        }
    };
    if facts.ceiling.is_none() {
        let shown = by(facts.units, "2.4 m", "8 ft");
        let question = format!(
            "Height of the room, or length x width x height, with units, such as {}",
            by(
                facts.units,
                "\"2.2 m\" or \"7 ft\"",
                "\"7 ft\" or \"2.2 m\""
            )
        );
        if let Some((text, room)) = one(&question, shown, input, screen, typed(facts, room_fact))? {
            seen(facts, &text);
            facts.room = room.0.or(facts.room);
            facts.ceiling = room.1;
        }
    }
    if facts.beds.is_none() {
        let question = "How many beds, 1 to 12";
        let read = |text: &str| match text.parse::<usize>() {
            Ok(count) if (1..=12).contains(&count) => Ok(count),
            _ => Err(format!(
                "{text:?} is no number of beds\n  Type a whole number, such as 4."
            )),
        };
        let found = one(question, "as many as fit the sump", input, screen, read)?;
        facts.beds = found.map(|(_, count)| count);
    }
    if facts.bed.is_none() {
        let question = "Inside length x width x depth of each bed";
        let shown = by(facts.units, "1.2 m x 0.6 m x 300 mm", "4 ft x 2 ft x 12 in");
        let read = typed(facts, bed_fact);
        if let Some((text, bed)) = one(question, shown, input, screen, read)? {
            seen(facts, &text);
            facts.bed = Some(bed);
        }
    }
    if facts.sump.is_none() {
        let question = "The sump: lying, upright (a drum), tote, a volume, or measures";
        let read = typed(facts, sump_fact);
        if let Some((text, (sump, count))) = one(question, "lying", input, screen, read)? {
            seen(facts, &text);
            facts.sump = Some(sump);
            facts.vessels = count;
        }
    }
    if facts.pump.is_none() {
        let question = format!(
            "The pump: most flow and highest lift from its box, such as {}, or \"{} measured\"",
            by(facts.units, "\"3000 L/h, 3 m\"", "\"800 gal/h, 10 ft\""),
            by(facts.units, "600 L/h", "160 gal/h"),
        );
        let read = typed(facts, pump_fact);
        let shown = "none yet: name one that fits";
        if let Some((text, pump)) = one(&question, shown, input, screen, read)? {
            seen(facts, &text);
            facts.pump = Some(pump);
        }
    }
    if asks_tank {
        let question = format!(
            "A fish tank beside the sump: a volume or measures, and what it stands on, such as {}",
            by(facts.units, "\"300 L on 40 cm\"", "\"80 gal on 16 in\"")
        );
        let read = typed(facts, tank_fact);
        if let Some((text, tank)) = one(&question, "none", input, screen, read)? {
            seen(facts, &text);
            facts.tank = tank;
        }
    }
    Ok(())
}

/// Reads one fact; what to type instead is told in the units of the answer, or those so far.
fn typed<T>(
    facts: &Facts,
    read: fn(&str) -> Result<T, FactError>,
) -> impl Fn(&str) -> Result<T, String> + use<T> {
    let units = facts.units;
    move |text| read(text).map_err(|error| error.told(units_typed(text).unwrap_or(units)))
}

const fn by(units: UnitSystem, metric: &'static str, us: &'static str) -> &'static str {
    match units {
        UnitSystem::Metric => metric,
        UnitSystem::Us => us,
    }
}

/// Puts one question until the answer can be read; `None` for the default.
fn one<T>(
    question: &str,
    default: &str,
    input: &mut impl BufRead,
    screen: &mut impl Write,
    read: impl Fn(&str) -> Result<T, String>,
) -> io::Result<Option<(String, T)>> {
    for _ in 0..PATIENCE {
        write!(screen, "{question} [{default}]: ")?;
        screen.flush()?;
        let mut line = String::new();
        if input.read_line(&mut line)? == 0 {
            writeln!(screen)?;
            return Ok(None);
        }
        let text = line.trim();
        if text.is_empty() {
            return Ok(None);
        }
        match read(text) {
            Ok(value) => return Ok(Some((text.to_owned(), value))),
            Err(problem) => writeln!(screen, "  {}", problem.trim_start())?,
        }
    }
    writeln!(screen, "  Taking {default}.")?;
    Ok(None)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::study::draft::{PumpFact, SumpFact};

    fn asked(facts: &mut Facts, answers: &str) -> String {
        let mut screen = Vec::new();
        let given = Given {
            units: false,
            tank: false,
        };
        ask(facts, given, &mut answers.as_bytes(), &mut screen).unwrap();
        String::from_utf8(screen).unwrap()
    }

    #[test]
    fn every_missing_fact_is_asked_for_and_units_follow_the_answers() {
        let mut facts = Facts::default();
        let answers = "7 ft\n4\n4 ft x 2 ft x 12 in\n2 lying\n800 gal/h, 10 ft\n80 gal on 16 in\n";
        let screen = asked(&mut facts, answers);
        assert_eq!(facts.units, UnitSystem::Us);
        assert_eq!(facts.beds, Some(4));
        assert_eq!(facts.vessels, Some(2));
        assert_eq!(facts.sump, Some(SumpFact::LyingDrum));
        assert!(matches!(facts.pump, Some(PumpFact::Box { .. })));
        let tank = facts.tank.unwrap();
        assert!((tank.stand.unwrap() - 16.0 * 0.0254).abs() < 1e-9);
        assert!(screen.contains("\"80 gal on 16 in\" [none]"), "{screen}");
        // After "7 ft" the defaults are in feet.
        assert!(screen.contains("[4 ft x 2 ft x 12 in]"), "{screen}");
    }

    #[test]
    fn what_was_given_is_not_asked_and_enter_takes_the_default() {
        let mut facts = Facts {
            beds: Some(3),
            ..Facts::default()
        };
        let screen = asked(&mut facts, "\n\n\n\n\n");
        assert!(!screen.contains("How many"), "{screen}");
        assert_eq!(facts.beds, Some(3));
        assert_eq!((facts.bed, facts.pump), (None, None));
        assert_eq!(facts.tank, None);
    }

    #[test]
    fn a_bad_answer_says_what_to_type_and_asks_again() {
        let mut facts = Facts::default();
        let screen = asked(&mut facts, "tall\n7 ft\nmany\n2\n4 ft\n\n\n\n");
        assert!(screen.contains("Type the height of the room"), "{screen}");
        assert!(screen.contains("Type a whole number"), "{screen}");
        assert!(screen.contains("has 1 measure"), "{screen}");
        assert_eq!(facts.beds, Some(2));
    }

    #[test]
    fn the_end_of_the_input_takes_every_default() {
        let mut facts = Facts::default();
        let screen = asked(&mut facts, "");
        assert_eq!(facts, Facts::default());
        assert!(screen.ends_with('\n'));
    }
}
