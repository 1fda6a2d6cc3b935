//! What the sizes of a scenario are called by somebody with a tape in the hand, and what their
//! heights are measured from.

/// Keys by the end of their place, and what a person measures there; the first that fits counts.
/// Set here, in the words of the trade where everybody knows them.
const PLAIN: &[(&str, &str)] = &[
    ("bed.name", "what it is called"),
    ("bed.floor", "height of the bed's floor, under the gravel"),
    ("rim", "height of the wall where it would spill"),
    ("checks.dry-layer", "dry gravel wanted"),
    ("checks.dry-layer-least", "least dry gravel that passes"),
    ("checks.levelling-error", "how far levels may be off"),
    (
        "checks.rim-freeboard",
        "wall wanted over a dead siphon's water",
    ),
    (
        "checks.sump-freeboard",
        "room wanted under the sump's overflow",
    ),
    ("media.depth", "depth of the gravel"),
    (
        "media.void",
        "water among the stones, a share of the volume",
    ),
    ("media.grain", "size of the stones"),
    ("media.fouling", "resistance of dirt and roots"),
    ("guard.diameter", "inside diameter of the gravel guard"),
    ("guard.slot-area", "area of the guard's openings"),
    ("inlet.level", "height of the inlet's end"),
    ("inlet.pipe.bore", "inside diameter of the inlet pipe"),
    ("inlet.pipe.nominal", "pipe size of the inlet"),
    ("inlet.pipe.length", "length of the inlet pipe"),
    ("inlet.share", "share of the pump's flow"),
    ("inlet.flow", "flow into the bed, by bucket"),
    (
        "inlet.anti-siphon-hole",
        "height of the air hole in the inlet",
    ),
    ("valve.ball", "how far the ball valve is open"),
    ("valve.gate", "how far the gate valve is open"),
    ("standpipe.bore", "inside diameter of the standpipe"),
    ("standpipe.nominal", "pipe size of the standpipe"),
    ("standpipe.outside", "outside diameter of the standpipe"),
    ("standpipe.length", "height of the standpipe, up to its lip"),
    ("standpipe.flare", "diameter of its widened top"),
    ("bell.bore", "inside diameter of the bell"),
    ("bell.nominal", "pipe size of the bell"),
    ("bell.outside", "outside diameter of the bell"),
    ("bell.clearance", "gap between standpipe and the bell's cap"),
    ("slots.count", "number of slots at the bell's foot"),
    ("slots.width", "width of a slot"),
    ("slots.height", "height of the slots' upper end"),
    ("air-tube.bore", "inside diameter of the air tube"),
    ("air-tube.mouth", "height of the air tube's open end"),
    ("air-leak", "air that leaks into the bell"),
    ("drain.outlet", "height where the drain pipe ends"),
    (
        "drain.length",
        "length of the pipe, from the lip to its end",
    ),
    ("drain.into", "where the drain pipe leads"),
    ("drain.at", "way from its junction to the line's lower end"),
    ("drain.total-k", "all losses of the pipe as one number, K"),
    ("schedule", "wall series of the pipe"),
    ("roughness", "roughness of the pipe's wall"),
    ("fittings.elbow-90", "elbows, 90 degrees"),
    ("fittings.elbow-45", "elbows, 45 degrees"),
    ("fittings.tee-run", "tees passed straight on"),
    ("fittings.tee-branch", "tees turned off at"),
    ("k", "other losses, K"),
    ("shape.box.length", "length inside"),
    ("shape.box.width", "width inside"),
    ("shape.box.depth", "depth inside"),
    ("shape.upright-cylinder.diameter", "diameter inside"),
    ("shape.upright-cylinder.depth", "depth inside"),
    ("shape.lying-cylinder.diameter", "diameter inside"),
    ("shape.lying-cylinder.length", "length inside"),
    ("shape.half-drum.length", "length inside"),
    ("shape.half-drum.width", "width inside, across the opening"),
    ("shape.half-drum.depth", "depth inside, at the middle"),
    ("shape.tapered.top-length", "length inside, at the top"),
    ("shape.tapered.top-width", "width inside, at the top"),
    (
        "shape.tapered.bottom-length",
        "length inside, at the bottom",
    ),
    ("shape.tapered.bottom-width", "width inside, at the bottom"),
    ("shape.tapered.depth", "depth inside"),
    ("sump.count", "number of such vessels, joined"),
    ("sump.floor", "height of the sump's bottom"),
    (
        "sump.start-level",
        "height of the sump's water at the start",
    ),
    ("sump.overflow-level", "height where the sump would spill"),
    ("sump.fish-tank", "fish live in the sump"),
    (
        "sump.sealed-entries",
        "pipes are sealed into the sump's wall",
    ),
    (
        "sump.entries",
        "how pipes come into the sump, under its rim",
    ),
    ("bed.start-level", "height of the bed's water at the start"),
    ("intake-level", "height where the pump sucks"),
    ("minimum-cover", "water the pump needs over its intake"),
    ("box.shut-off-head", "highest lift, from the pump's box"),
    ("box.open-flow", "most flow, from the pump's box"),
    ("pump.curve", "the pump's curve, flow and lift"),
    ("pump.steady-flow", "flow of the pump, by bucket"),
    ("pump.speed", "speed of the pump, 1 as its curve"),
    ("pump.power", "power of the pump"),
    ("pump.check-valve", "check valve over the pump"),
    ("schedule.on", "time the pump runs"),
    ("schedule.off", "time the pump rests"),
    ("supply.pipe.bore", "inside diameter of the supply pipe"),
    ("supply.pipe.nominal", "pipe size of the supply"),
    ("supply.pipe.length", "length of the supply pipe"),
    ("bypass.level", "height of the bypass's end"),
    ("bypass.pipe.bore", "inside diameter of the bypass"),
    ("bypass.pipe.nominal", "pipe size of the bypass"),
    ("bypass.pipe.length", "length of the bypass"),
    ("drain-line.pipe.bore", "inside diameter of the drain line"),
    ("drain-line.pipe.nominal", "pipe size of the drain line"),
    ("drain-line.pipe.length", "length of the drain line"),
    ("drain-line.slope", "fall of the drain line"),
    ("drain-line.outlet", "height of the drain line's lower end"),
    ("drain-line.vented", "air gets into the drain line"),
    ("tank.floor", "height of the tank's bottom"),
    ("tank.overflow-level", "height of the tank's overflow"),
    ("tank.overflow-bore", "inside diameter of its overflow pipe"),
    (
        "tank.start-level",
        "height of the tank's water at the start",
    ),
    ("tank.fed-by", "what fills it"),
    ("overflows-to", "where its overflow goes"),
    ("settler.kind", "kind of settler"),
    ("settler.floor", "height of the settler's bottom"),
    ("settler.overflow-level", "height of the settler's overflow"),
    (
        "top-off.level",
        "height of water under which the float opens",
    ),
    ("top-off.flow", "flow of the open float valve"),
    ("top-off.bore", "inside diameter of its supply"),
    ("top-off.reservoir", "water it can draw on"),
    ("losses.evaporation", "water that evaporates"),
    ("room.ceiling", "height of the ceiling"),
    ("water.temperature", "temperature of the water"),
    ("title", "what the system is called"),
    ("hours", "time to simulate, in hours"),
];

/// Words that a file chooses among, by the key's name, and how a person says them.
const CHOICES: &[(&str, &str, &str)] = &[
    ("entries", "over-rim", "over the rim"),
    ("entries", "holes", "through holes in the wall"),
    ("fed-by", "pump", "the pump"),
    ("overflows-to", "beds", "into the beds"),
    ("overflows-to", "sump", "to the sump"),
    ("overflows-to", "settler", "into the settler"),
    ("into", "line", "into the drain line"),
    ("into", "sump", "over the sump"),
    ("kind", "radial-flow", "in at its middle"),
    ("kind", "plain", "in at one end"),
    ("schedule", "40", "Sch 40"),
    ("schedule", "80", "Sch 80"),
];

/// How a person says `word`, one that the key `name` chooses among.
pub(super) fn choice(name: &str, word: &str) -> String {
    let found = CHOICES.iter().find(|one| (one.0, one.1) == (name, word));
    found.map_or(word, |one| one.2).to_owned()
}

/// Heights inside a bed.
const OVER_BED: &[&str] = &[
    "standpipe.length",
    "slots.height",
    "air-tube.mouth",
    "media.depth",
];

/// What stands at `place`, which may have numbers of list entries; `every-bed` reads as a bed.
pub(crate) fn plain(place: &str) -> Option<&'static str> {
    let place = bare(place);
    let fits = |end: &str| place == end || place.ends_with(&format!(".{end}"));
    let found = PLAIN.iter().find(|(end, _)| fits(end));
    found.map(|(_, says)| *says)
}

/// Words about what is wrong at `place` of a file, for somebody who has none: keys of more than one word by what a
/// person measures there, those of the part that it is about first. What stands in quotes was typed,
/// and stays, as does a line of a file.
pub(crate) fn without_keys_at(place: &str, text: &str) -> String {
    let place = bare(place);
    let part = place.rsplit_once('.').map_or("", |(part, _)| part);
    let own = |word: &str| {
        let exact = format!("{part}.{word}");
        let found = PLAIN
            .iter()
            .find(|(end, _)| word.contains('-') && *end == exact);
        found.map(|(_, says)| *says)
    };
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    let part_of_word = |c: char| c.is_ascii_alphanumeric() || c == '-';
    while let Some(begin) = rest.find(part_of_word) {
        let (before, from) = rest.split_at(begin);
        let (word, after) = from.split_at(from.find(|c| !part_of_word(c)).unwrap_or(from.len()));
        let quote = ['"', '\''];
        let typed = before.ends_with(quote) || after.starts_with(quote) || after.starts_with(" = ");
        let named = match typed {
            true => None,
            false => own(word).or_else(|| key_called(word)),
        };
        out.push_str(before);
        out.push_str(named.unwrap_or(word));
        rest = after;
    }
    out + rest
}

/// What a person measures at a key of more than one word, wherever that stands.
fn key_called(word: &str) -> Option<&'static str> {
    let is = |end: &str| end == word || end.ends_with(&format!(".{word}"));
    let found = PLAIN.iter().find(|(end, _)| word.contains('-') && is(end));
    found.map(|(_, says)| *says)
}

/// Whether a length at `place` is a height inside a bed, over that bed's floor.
pub(super) fn over_bed(place: &str) -> bool {
    let place = bare(place);
    OVER_BED.iter().any(|end| place.ends_with(end))
}

/// Without numbers of list entries.
fn bare(place: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for c in place.chars() {
        match c {
            '[' => inside = true,
            ']' => inside = false,
            _ if !inside => out.push(c),
            _ => {}
        }
    }
    match out.strip_prefix("every-bed") {
        Some(rest) => format!("bed{rest}"),
        None => out,
    }
}

#[cfg(test)]
mod tests {
    use super::without_keys_at;

    #[test]
    fn keys_among_words_are_called_by_what_is_measured_there() {
        assert_eq!(
            without_keys_at(
                "",
                "dry-layer-least is 38 mm, more than dry-layer of 5 mm (\"start-level\")."
            ),
            "least dry gravel that passes is 38 mm, more than dry gravel wanted of 5 mm (\"start-level\")."
        );
        assert_eq!(
            without_keys_at("", "well-known: -3 mm"),
            "well-known: -3 mm"
        );
    }
}
