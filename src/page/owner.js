// The owner's way in: what stands there, as measured, becomes a scenario. Nothing is added but what
// the list of assumptions names.
const owned = { told: {} };
const ASSUMED = /^# Assumed, not measured: (.*)$/m;
const typedIn = (id) => (owned.told[id] || "").trim();
const bedCalled = (n) => typedIn("names").split(",")[n]?.trim() || `bed ${n + 1}`;
const MOST_BEDS = 12;
const bedCount = () => Math.min(MOST_BEDS, Math.max(1, Math.floor(+typedIn("beds")) || 1));
const bedsUnread = () => typedIn("beds") !== "" && String(bedCount()) !== typedIn("beds");
const tapeUnit = () => isUs() ? "in" : "cm", smallUnit = () => isUs() ? "in" : "mm", flowUnit = () => isUs() ? "gal/min" : "L/min";

const ROOM = "over the room's floor", BED = "over the bed's floor";
const SUMPS = {
  "lying-cylinder": ["Lying drum", ["diameter", "length"]], "upright-cylinder": ["Upright drum", ["diameter", "depth"]],
  "half-drum": ["Half drum, lying", ["length", "width", "depth"]], box: ["Box or tote", ["length", "width", "depth"]], tapered: ["Sloping box or tote", ["top-length", "top-width", "bottom-length", "bottom-width", "depth"]],
};
// What most people have, by its name; inside, common practice, no source.
const DRUMS = { own: "As measured", barrel: "55 gal drum" }, DRUM = { "lying-cylinder": true, "upright-cylinder": true };
const BARREL = { in: ["22 1/2", "33 1/2"], cm: ["57.2", "85.1"] };
const BEDS = { box: ["Box", ["length", "width", "depth"]], "upright-cylinder": ["Round tub", ["diameter", "depth"]], "half-drum": ["Half drum, lying", ["length", "width", "depth"]] };
const TANKS = { "upright-cylinder": ["Round", ["diameter", "depth"]], box: ["Box", ["length", "width", "depth"]] };
const MEASURES = { diameter: "Diameter inside", length: "Length inside", width: "Width inside", depth: "Depth inside", "top-length": "Length inside, at the top", "top-width": "Width inside, at the top", "bottom-length": "Length inside, at the bottom", "bottom-width": "Width inside, at the bottom" };
// What is open at its top lengthwise is wide where it is open, and deep at its middle.
const CUT_OPEN = { width: "Width inside, across the opening", depth: "Depth inside, at the middle" };
const askedOf = (shape, key, isBed) => (shape === "half-drum" && CUT_OPEN[key]) || (isBed && key === "depth" ? "Depth inside, floor to rim" : MEASURES[key]);
const chosen = (id, words) => typedIn(id) || Object.keys(words)[0];
const INTO = { sump: "Over the sump", line: "One drain line" };
const ALIKE = { alike: "Alike", own: "Some differ" };
const TIMER = { no: "All the time", yes: "By a timer" };
const FISH = { none: "No fish", sump: "In the sump", branch: "Tank, own pipe", pump: "Tank, all through it" };
// A tank beside the sump needs pump and pipes.
const besideSump = () => ["branch", "pump"].includes(chosen("fish", FISH));
const sourceNow = () => besideSump() ? "box" : chosen("source", SOURCE);
const FLOAT = { none: "None", mains: "From the mains", tub: "From a tub" };
const SPILLS = { sump: "To the sump", settler: "Into a settler", beds: "Into the beds" };
const SETTLERS = { "radial-flow": "In at its middle", plain: "In at one end" };
const wordsOf = (shapes) => Object.fromEntries(Object.entries(shapes).map(([key, [words]]) => [key, words]));
// What of a bed may differ from the first: its name here, key below the bed, what is asked.
const OWN = [["length", null], ["width", null], ["diameter", null], ["depth", null], ["floor", "floor"], ["gravel", "media.depth"], ["grain", "media.grain"], ["lip", "standpipe.length"], ["outlet", "drain.outlet"], ["run", "drain.length"], ["inlet", "inlet.level"]];
const CALLED = { lip: "Height of the lip", outlet: "Height where its drain ends" };
const ENTRY = { unknown: "Not known", over: "Over the rim", sealed: "Sealed holes", open: "Open holes" };
// Whether a pipe ends under the sump's rim: then it goes over it, or through the wall.
function underRim() {
  const tape = tapeUnit(), sump = chosen("sump", SUMPS), deep = sump === "lying-cylinder" ? "sump-diameter" : "sump-depth";
  const rim = metresOf(typedIn(deep) || (DRUM[sump] && chosen("drum", DRUMS) === "barrel" ? BARREL[tape][+(deep === "sump-depth")] : ""), tape);
  return (onLine() ? ["line-end"] : ["outlet", ...Array.from({ length: bedCount() }, (_, k) => `b${k}-outlet`)]).some((id) => metres(id, tape) < rim);
}
// What other boxes hang on: where one of these answers changes, the form is drawn anew.
const hangsOn = () => [underRim(), bucketTells(), INLET.map(typedIn).join()].join();
const INLET = ["floor", "bed-depth"];
const SOURCE = { bucket: "By bucket", box: "Pump, bucket" };
const BUCKET = () => `hold a bucket under the inlet: ${isUs() ? "gallons" : "litres"} divided by minutes, or as it was timed: ${isUs() ? "1 gal in 25 s" : "10 L in 62 s"}`;
// A sump is lowest while the beds are full: what stands in them when it is measured counts.
const WHEN = { drained: "Beds emptied", runs: "While it runs" };
const THEN = { low: "Just emptied", half: "Half way up", lip: "Up to the lip" };
const VALVE = { none: "None", ball: "Ball valve", gate: "Gate valve" };

// Each entry: its name, where it is written, what is asked, unit, and what it is measured from; `else`
// is assumed where nothing is told, `free` may be left out, `worked` is worked out from others where they are told.
function ownerParts() {
  const sump = chosen("sump", SUMPS), tape = tapeUnit(), small = smallUnit(), us = isUs(), entries = (...list) => list.filter(Boolean);
  const line = onLine(), box = sourceNow() === "box", valve = chosen("valve", VALVE);
  const beds = [...Array(bedCount()).keys()], shape = chosen("bed-shape", BEDS), fish = chosen("fish", FISH), spills = chosen("spills", SPILLS), runs = chosen("when", WHEN) === "runs", tank = besideSump(), tankValve = chosen("tank-valve", VALVE);
  const barrel = DRUM[sump] && chosen("drum", DRUMS) === "barrel", topped = chosen("float", FLOAT);
  const sized = (id, at, shapes, unit) => shapes[chosen(`${id}-shape`, shapes)][1].map((key) => ({ id: `${id}-${key}`, at: `${at}.shape.${chosen(`${id}-shape`, shapes)}.${key}`, asks: askedOf(chosen(`${id}-shape`, shapes), key, id === "bed"), unit }));
  // Behind valves that a bucket tells, pipes that nobody knows change little.
  const told = valve !== "none" && bucketTells();
  const unknown = (metric, inches) => told ? { else: us ? inches : metric } : {};
  const guessed = (metric, inches) => `left out where nobody knows it, valves are there and a bucket was held at every bed: then it is guessed as ${us ? `${inches} in` : `${metric} mm`}`;
  const siblings = chosen("alike", ALIKE) === "own" && beds.length > 1 ? beds.slice(1) : [];
  const as = { length: "bed-length", width: "bed-width", diameter: "bed-diameter", depth: "bed-depth" };
  const common = [
    ["The beds", entries(
      { id: "beds", asks: "How many beds", unit: "", eg: " " },
      { id: "names", asks: "What you call them, with commas between", unit: null, eg: "north, south", free: true },
      beds.length > 1 && { id: "alike", asks: "Their sizes", words: ALIKE },
      { id: "bed-shape", asks: siblings.length ? `Shape; below it the sizes of ${bedCalled(0)}` : "Shape", words: wordsOf(BEDS) },
      ...sized("bed", "bed", BEDS, tape),
      { id: "floor", at: "bed.floor", asks: "Height of the bed's floor", unit: tape, over: ROOM, ...(shape === "half-drum" ? { help: "at its lowest point" } : {}) },
      { id: "gravel", at: "bed.media.depth", asks: "Depth of the gravel", unit: tape, over: BED },
      { id: "grain", at: "bed.media.grain", asks: "Size of the stones (grain)", unit: small, eg: us ? "5/8" : "16", free: true, help: "left out, the gravel is taken to let the water through freely" },
      { id: "void", at: "bed.media.void", asks: "Water among the stones (void)", unit: "%", share: true, else: "40", help: `fill a bucket of gravel up with water: ${us ? "gallons" : "litres"} of water over ${us ? "gallons" : "litres"} of bucket` })],
    ["The siphon in a bed", entries(
      { id: "stand", at: "bed.standpipe.bore", asks: "The standpipe", pipe: true },
      { id: "lip", at: "bed.standpipe.length", asks: "Height of its upper end, the lip", unit: small, over: BED },
      { id: "bell", at: "bed.bell.bore", asks: "The bell, the capped pipe over it", pipe: true },
      { id: "guard", at: "bed.guard.diameter", asks: "Guard pipe around the bell, its width inside", unit: small, free: true, help: "left out where there is none" },
      { id: "gap", at: "bed.bell.clearance", asks: "Gap between lip and cap (clearance)", unit: small, else: us ? "1" : "25" },
      { id: "slots", at: "bed.bell.slots.count", asks: "Slots at its foot", unit: "", else: "6" },
      { id: "slot-width", at: "bed.bell.slots.width", asks: "Width of a slot", unit: small, else: us ? "1/2" : "12" },
      { id: "slot-height", at: "bed.bell.slots.height", asks: "Height of a slot's upper end", unit: small, over: BED, else: us ? "1" : "25" })],
    ["The drain pipe of a bed", entries(
      { id: "outlet", at: "bed.drain.outlet", asks: "Height where it ends", unit: tape, over: ROOM, help: "the pipe is taken to be as wide inside as the standpipe", ...(line ? { free: true, quiet: true, help: "as wide as the standpipe; left out where it is not known: then it ends where it meets the line" } : {}) },
      { id: "run", worked: true, at: "bed.drain.length", asks: "Length from the lip to there", unit: tape, is: true, eg: "?", else: straightDown(0), help: "left out where it is not known: then it is guessed as straight down" },
      { id: "elbows", at: "bed.drain.fittings.elbow-90", asks: "Elbows in it", unit: "", free: true },
      { id: "into", asks: "Where they lead", words: INTO },
      line && { id: "line", at: "drain-line.pipe.bore", asks: "The drain line", pipe: true },
      line && { id: "line-length", at: "drain-line.pipe.length", asks: "Its length", unit: tape },
      line && { id: "fall", at: "drain-line.slope", asks: "Its fall", unit: "%", else: "2", help: `of its length: 2 %, or ${us ? "1/4 in/ft" : "20 mm/m"}; or of the whole line: ${us ? "3 in" : "8 cm"}` },
      line && { id: "line-end", at: "drain-line.outlet", asks: "Height of its lower end", unit: tape, over: ROOM },
      ...(line ? beds.map((n) => ({ id: `at-${n}`, at: `bed.${n}.drain.at`, asks: `From ${bedCalled(n)} along it to its lower end`, unit: tape, free: true, quiet: true, help: n === beds[0] ? "where that bed's pipe joins it; left out where it is not known yet: then the beds are spread evenly along the line in their order, the last at its upper end" : "" })) : []))],
  ];
  const first = (id) => common.flatMap(([, list]) => list).find((one) => one.id === id);
  return [
    ...common,
    ...siblings.map((k) => [`${capital(bedCalled(k))}: only what differs from ${bedCalled(0)}`, OWN.filter(([key]) => key === "inlet" ? box : !as[key] || BEDS[shape][1].includes(key)).map(([key, at]) => {
      const like = first(as[key] || key) || { asks: "Height where water pours in", unit: tape, over: ROOM };
      return { id: `b${k}-${key}`, at: `bed.${k}.${at || `shape.${shape}.${key}`}`, asks: CALLED[key] || like.asks, unit: like.unit, over: like.over, free: true, quiet: true };
    })]),
    ["Sump and fish", entries(
      { id: "fish", asks: "Where the fish live", words: FISH, help: tank ? "its sizes are asked below; it takes pump and pipes" : null },
      { id: "sump", asks: "What the sump is", words: wordsOf(SUMPS) },
      DRUM[sump] && { id: "drum", asks: "Its size", words: DRUMS, help: barrel ? `taken as ${us ? "22 1/2 in by 33 1/2 in" : "572 mm by 851 mm"} inside unless you measure it: common practice, no source` : null },
      ...SUMPS[sump][1].map((key, k) => ({ id: `sump-${key}`, at: `sump.shape.${sump}.${key}`, asks: askedOf(sump, key), unit: tape, ...(barrel ? { else: BARREL[tape][k] } : {}) })),
      { id: "when", asks: "Its water is measured", words: WHEN, help: "of the two, the first is surer" },
      { id: "water", at: "sump.start-level", asks: "Height of its water", unit: tape, over: ROOM, help: runs ? "best just when a bed has emptied; how each bed stood at that moment is asked below" : "pump off, every bed run empty" },
      ...(runs ? beds.map((n) => ({ id: `then-${n}`, asks: beds.length > 1 ? `Water in ${bedCalled(n)} then` : "Water in the bed then", words: THEN })) : []),
      { id: "spill", worked: true, at: "sump.overflow-level", asks: "Height where it would spill", unit: tape, over: ROOM, else: typedIn(sump === "lying-cylinder" ? "sump-diameter" : "sump-depth") || (barrel ? BARREL[tape][sump === "lying-cylinder" ? 0 : 1] : ""), help: "an overflow in its wall, or its rim" },
      underRim() && { id: "entry", asks: "How the pipes come into it", words: ENTRY, help: "a pipe ends under its rim: it goes over the rim, or through a hole in the wall; an open hole leaks as soon as water stands over it" },
      { id: "intake", at: "pump.intake-level", asks: "Height where the pump sucks", unit: tape, over: ROOM, else: us ? "2" : "5" },
      { id: "float", asks: "Float valve that tops it up", words: FLOAT },
      ...(topped === "none" ? [] : [
        { id: "float-level", at: "top-off.level", asks: "Height of its water where the valve opens", unit: tape, over: ROOM },
        { id: "float-flow", at: "top-off.flow", asks: "Flow while it is open", unit: flowUnit(), wide: true, else: us ? "1 1/2" : "6", help: "hold a bucket under it" },
        { id: "float-bore", at: "top-off.bore", asks: "Bore of the pipe to it", unit: small, else: us ? "1/2" : "12" }]),
      topped === "tub" && { id: "float-tub", at: "top-off.reservoir", asks: "Water in the tub", unit: us ? "gal" : "L" },
      { id: "air", at: "losses.evaporation", asks: "What air and plants take in a day", unit: us ? "gal/day" : "L/day", free: true, help: "tells how long it can be left alone; how much you fill up in a hot week, over seven" })],
    ["The water into the beds", entries(
      !tank && { id: "source", asks: "How the flow is known", words: SOURCE },
      ...(box ? [
        { id: "most", at: "pump.box.open-flow", asks: "Most flow, as printed on its box", unit: us ? "gal/h" : "L/h" },
        { id: "lift", at: "pump.box.shut-off-head", asks: "Highest lift, as printed on its box", unit: us ? "ft" : "m" },
        { id: "inlet", worked: true, at: "bed.inlet.level", asks: "Height where water pours into a bed", unit: tape, over: ROOM, else: justOver("floor", "bed-depth"), is: true, eg: justOver("floor", "bed-depth") || " ", help: `may be left out: then ${us ? "2 in" : "5 cm"} over ${beds.length > 1 ? "each bed's" : "the bed's"} rim` },
        ...beds.map((n) => ({ id: `read-${n}`, asks: beds.length > 1 ? `Flow into ${bedCalled(n)}, by bucket` : "Flow into the bed, by bucket", unit: flowUnit(), wide: true, free: true, help: n ? null : `${BUCKET()}; what it reads goes before what pump and pipes would give` })),
        { id: "valve", asks: "Valve at a bed", words: VALVE },
        valve !== "none" && { id: "open", unasked: bucketTells() && !typedIn("open"), at: `bed.inlet.valve.${valve}`, asks: "How far open", unit: "%", share: true, ...(bucketTells() ? { else: "50", eg: " ", help: "left out, the bucket tells it" } : { else: "100" }) },
        { id: "supply", at: "supply.pipe.bore", asks: "The supply pipe", pipe: true, help: guessed("25", "1"), ...unknown("25", "1") },
        { id: "supply-length", at: "supply.pipe.length", asks: "Its length", unit: tape, eg: " ", ...unknown("300", "120") },
        { id: "supply-elbows", at: "supply.fittings.elbow-90", asks: "Elbows in it", unit: "", free: true },
        // One bed at the end of the supply has no pipe that branches off, but its last piece.
        ...(beds.length > 1 ? [
          { id: "branch", at: "bed.inlet.pipe.bore", asks: "The pipe that branches off to a bed", pipe: true, help: guessed("25", "1"), ...unknown("25", "1") },
          { id: "branch-length", at: "bed.inlet.pipe.length", asks: "Its length", unit: tape, eg: " ", ...unknown("30", "12"), ...(told ? { help: `left out where nobody knows it: then ${us ? "12 in" : "30 cm"}` } : {}) }] : [
          { id: "branch", at: "bed.inlet.pipe.bore", asks: "A last pipe to the bed, where it is another", worked: true, help: "else it is taken as the supply pipe", pipe: true, like: "supply", else: typedIn("supply") || unknown("25", "1").else },
          { id: "branch-length", at: "bed.inlet.pipe.length", asks: "Its length", unit: tape, else: us ? "2" : "5" }]),
      ].filter(Boolean) : beds.map((n) => ({ id: `flow-${n}`, at: `bed.${n}.inlet.flow`, asks: beds.length > 1 ? `Flow into ${bedCalled(n)}` : "Flow into the bed", unit: flowUnit(), wide: true, help: n ? null : BUCKET() }))))],
    ...(tank ? [["The fish tank", entries(
        { id: "tank-shape", asks: "Its shape", words: wordsOf(TANKS) }, ...sized("tank", "tank", TANKS, tape),
        { id: "tank-floor", at: "tank.floor", asks: "Height of its bottom", unit: tape, over: ROOM },
        { id: "tank-over", at: "tank.overflow-level", asks: "Height of its overflow", unit: tape, over: ROOM },
        { id: "tank-bore", at: "tank.overflow-bore", asks: "Bore of its upright overflow pipe", unit: small, else: us ? "1 1/2" : "40" },
        ...(fish === "branch" ? [
          { id: "tank-inlet", worked: true, at: "tank.inlet.level", asks: "Height where water pours into it", unit: tape, over: ROOM, else: justOver("tank-over") },
          { id: "tank-pipe", worked: true, at: "tank.inlet.pipe.bore", asks: "The pipe that branches off to it", pipe: true, like: "supply", else: typedIn("supply") || unknown("25", "1").else, help: "left out where it is not known: then it is taken as the supply pipe" },
          { id: "tank-run", at: "tank.inlet.pipe.length", asks: "Its length", unit: tape, else: us ? "40" : "100", help: "left out where it is not known" },
          { id: "tank-valve", asks: "Valve in it", words: VALVE },
          tankValve !== "none" && { id: "tank-open", at: `tank.inlet.valve.${tankValve}`, asks: "How far open", unit: "%", share: true, else: "100" }].filter(Boolean) : []),
        { id: "spills", asks: "Its overflow leads", words: SPILLS },
        ...(spills === "settler" ? [
          { id: "settler", asks: "The settler", words: SETTLERS }, { id: "settler-shape", asks: "Its shape", words: wordsOf(TANKS) }, ...sized("settler", "settler", TANKS, tape),
          { id: "settler-floor", at: "settler.floor", asks: "Height of its bottom", unit: tape, over: ROOM },
          { id: "settler-over", at: "settler.overflow-level", asks: "Height of its overflow", unit: tape, over: ROOM }] : []))]] : []),
    ["The pump's time", entries(
      { id: "timer", asks: "The pump runs", words: TIMER },
      ...(chosen("timer", TIMER) === "yes" ? [{ id: "on", at: "pump.schedule.on", asks: "Runs for", unit: "min" }, { id: "off", at: "pump.schedule.off", asks: "Rests for", unit: "min" }] : []))],
    ["The room", [{ id: "ceiling", at: "room.ceiling", asks: "Height of the ceiling", unit: isUs() ? "ft" : "m", free: true }, { id: "title", asks: "What you call it all", unit: null, eg: "My system", free: true }]],
  ];
}

// Every box that was shown, also of a choice that is no longer made.
const everShown = new Map();

// What was typed was typed in a unit: with others beside the boxes it says its own.
function keepUnits() {
  for (const one of everShown.values()) {
    const told = typedIn(one.id), as = one.pipe ? pipeAs(one.id) : null, unit = one.pipe ? as === "bore" && smallUnit() : one.share ? null : one.unit;
    if (as && told) owned.told[`${one.id}-as`] = as;
    if (told && unit && NUMBER.test(told)) owned.told[one.id] = `${told} ${unit}`;
  }
}
// Back in its own units a bare number is enough.
function bareAgain(parts) {
  for (const one of parts) {
    const unit = one.pipe ? pipeAs(one.id) === "bore" && smallUnit() : one.share ? null : one.unit, [, number, named] = /^(.*?) (\S+)$/.exec(typedIn(one.id)) || [];
    if (unit && named === unit && NUMBER.test(number)) owned.told[one.id] = number;
  }
}

// Whether a bucket was held at every bed behind a pump.
const bucketTells = () => [...Array(bedCount()).keys()].every((n) => typedIn(`read-${n}`));
// A length as the tape shows it, in metres; nothing where it is no length.
const METRES = { mm: 1e-3, cm: 1e-2, m: 1, in: INCH, ft: 12 * INCH };
function metresOf(text, unit) {
  const [, number, named] = /^(.*?)\s*(mm|cm|m|in|ft)?$/.exec(text.trim()) || [];
  return number && NUMBER.test(number) ? fractionOf(number.replace(",", ".")) * METRES[named || unit] : NaN;
}
const metres = (id, unit) => metresOf(typedIn(id), unit);
// A length that may be negative, in a unit; null where it is none.
function lengthIn(text, unit) {
  const [, sign, rest] = /^\s*([-\u2212+]?)(.*)$/.exec(text), found = metresOf(rest, unit);
  return Number.isFinite(found) ? +round((sign && sign !== "+" ? -1 : 1) * found / METRES[unit], 3) : null;
}

// A fall as told: per cent, a length over another, or that of the whole line.
// "2 cm per metre" is 2 cm/m.
const typedFall = () => typedIn("fall").replace(/\s*\bper\b\s*/i, "/").replace(/\b(metres?|meters?)\b/gi, "m").replace(/\b(foot|feet)\b/gi, "ft").replace(/\b(inch|inches)\b/gi, "in").trim();
const WHOLE_FALL = /^(\d+([.,]\d+)?|(\d+\s+)?\d+\/\d+)\s*(mm|cm|m|in|ft)$/;
function fallOf(text) {
  if (WHOLE_FALL.test(text.trim())) return metresOf(text.trim(), tapeUnit()) / metres("line-length", tapeUnit());
  const [, rise, of, over] = /^(.+?)\s*(mm|cm|m|in|ft)\s*\/\s*(mm|cm|m|in|ft)$/.exec(text.trim()) || [];
  const number = (raw) => NUMBER.test(raw) ? fractionOf(raw.replace(",", ".")) : NaN;
  const [, one, to] = /^(\S+?)\s*(?::|\sin\s)\s*(\S+)$/.exec(text.trim()) || [];
  return over ? number(rise) * METRES[of] / METRES[over] : to ? number(one) / number(to) : number(text.replace(/%|percent/, "").trim()) / 100;
}
// Where a bed's pipe meets the line, the middle of it there, in the tape's unit; null where that is not told.
function joinsAt(k) {
  const tape = tapeUnit(), as = pipeAs("line"), bore = metresOf(typedIn("line"), as === "bore" ? smallUnit() : as.startsWith("PN") ? "mm" : "in");
  const at = owned.places?.[k] ?? metres(`at-${k}`, tape), middle = metres("line-end", tape) + fallOf(typedFall() || "2") * at + bore / 2;
  return middle > 0 ? Math.ceil(middle / METRES[tape] * 10) / 10 : null;
}
// Where nobody told it the engine assumes a place.
async function placeJunctions() {
  const unit = tapeUnit(), told = [...Array(bedCount()).keys()].map((k) => typed(typedIn(`at-${k}`), unit));
  owned.places = onLine() ? (await quick.ask({ call: "junctions", length: typed(typedIn("line-length"), unit), told })).at : null;
}
const onLine = () => chosen("into", INTO) === "line";

// A hand over these heights together, in the tape's unit: where a pipe pours over an edge.
function justOver(...ids) {
  const sum = ids.reduce((sum, id) => sum + metres(id, tapeUnit()), 0) / METRES[tapeUnit()];
  return sum > 0 ? round(sum + (isUs() ? 2 : 5), 1) : null;
}

// Lip to outlet, where nobody could measure along the pipe; of a bed with heights of its own by those.
function downOf(k) {
  const tape = tapeUnit(), own = (id) => typedIn(`b${k}-${id}`) ? `b${k}-${id}` : id;
  const end = typedIn(own("outlet")) || !onLine() ? metres(own("outlet"), tape) : (joinsAt(k) ?? NaN) * METRES[tape];
  return (metres(own("floor"), tape) + metres(own("lip"), smallUnit()) - end) / METRES[tape];
}
const straightDown = (k) => downOf(k) > 0 ? round(downOf(k), 1) : null;
function straightOf(k) {
  const typedOwn = (id) => chosen("alike", ALIKE) === "own" && typedIn(`b${k}-${id}`), apart = onLine() && !typedIn("outlet");
  return k > 0 && !typedIn("run") && !typedOwn("run") && (apart || ["floor", "lip", "outlet"].some(typedOwn)) ? straightDown(k) : null;
}

// A tub of other sizes has its inlet over its own rim, where that was not measured.
function poursOf(k) {
  const own = (id, as) => typedIn(`b${k}-${id}`) ? `b${k}-${id}` : as || id;
  const apart = chosen("alike", ALIKE) === "own" && k > 0 && ["floor", "depth"].some((id) => typedIn(`b${k}-${id}`));
  return apart && sourceNow() === "box" && !typedIn("inlet") && !typedIn(`b${k}-inlet`) ? justOver(own("floor"), own("depth", "bed-depth")) : null;
}

const pipeAs = (id) => typedIn(`${id}-as`) || (isUs() ? "nominal" : "bore");

// Stands where a size is missing, until all that is told is judged without it.
const LACKS = "\u0000";
const withoutLacks = (text) => text.includes(LACKS) ? text.replace(/[\w.-]+ = \0(, )?/g, "").replace(/,\s*\}/g, " }") : text;
// What was told, as a scenario; with what it lacks and what it had to assume.
function ownersText() {
  const parts = ownerParts().flatMap(([, list]) => list), by = new Map(parts.map((one) => [one.id, one]));
  const lacking = parts.filter((one) => one.at && !typedIn(one.id) && !one.else && !one.free), assumed = [], n = bedCount();
  // What is worked out from others is not what is missing.
  const missing = lacking.filter((one) => !one.worked);
  const bed = (at) => at.replace(/^bed\.(\d+)\./, (_, i) => `bed[${+i + 1}].`).replace(/^bed\./, n > 1 ? "every-bed." : "bed[1].");
  const quoted = (text) => JSON.stringify(text);
  const value = (id) => {
    const one = by.get(id);
    if (lacking.includes(one)) return LACKS;
    if (!typedIn(id) && !(id === "open" && bucketTells())) assumed.push(bed(one.at));
    const told = typedIn(id) || one.else, text = one.share ? sharing(told) : typed(told, one.unit);
    return one.unit && !one.share ? quoted(text) : inFile(text);
  };
  const has = (id) => by.has(id) && Boolean(typedIn(id));
  const pipe = (id) => {
    const one = by.get(id);
    if (lacking.includes(one)) return `bore = ${LACKS}`;
    const told = typedIn(id) || one.else, as = typedIn(id) ? pipeAs(id) : pipeAs(one.like || id);
    if (!typedIn(id)) assumed.push(bed(one.at));
    if (as === "bore") return `bore = ${quoted(typed(told, smallUnit()))}`;
    if (as === "nominal") return `nominal = ${quoted(typed(told, "in"))}`;
    return as === "80" ? `nominal = ${quoted(typed(told, "in"))}, schedule = "80"` : `nominal = ${quoted(told.replace(/\s*mm$/, ""))}, schedule = "${as}"`;
  };
  const elbows = (id) => has(id) ? [`fittings = { elbow-90 = ${inFile(typed(typedIn(id), ""))} }`] : [];
  const sump = chosen("sump", SUMPS), line = onLine(), box = sourceNow() === "box", valve = chosen("valve", VALVE);
  const inlet = (k) => box ? `inlet = { level = ${value("inlet")}, pipe = { ${pipe("branch")}, length = ${value("branch-length")} }${valve === "none" ? "" : `, valve = { ${valve} = ${value("open")} }`} }` : `inlet = { flow = ${value(`flow-${k}`)} }`;
  const names = typedIn("names").split(",").map((name) => name.trim()).filter(Boolean);
  const named = (k) => quoted((names[k] || (n > 1 ? `bed ${k + 1}` : "bed")).slice(0, 40));
  const of = n > 1 ? "every-bed" : "bed";
  // How high the water stood in a bed when the sump was measured.
  const stood = (k) => {
    const then = has("when") && chosen("when", WHEN) === "runs" ? chosen(`then-${k}`, THEN) : "low";
    if (then === "low") return [];
    const own = (id, unit) => metres(typedIn(`b${k}-${id}`) ? `b${k}-${id}` : id, unit);
    const level = own("floor", tapeUnit()) + own("lip", smallUnit()) * (then === "half" ? 0.5 : 1);
    return level > 0 ? [`start-level = ${quoted(`${round(level / METRES[tapeUnit()], 3)} ${tapeUnit()}`)}`] : [];
  };
  const shaped = (id, shapes) => { const shape = chosen(`${id}-shape`, shapes); return `shape = { ${shape} = { ${shapes[shape][1].map((key) => `${key} = ${value(`${id}-${key}`)}`).join(", ")} } }`; };
  // A fall of the whole line is one over its length.
  const slope = () => {
    const told = typedFall(), share = fallOf(told);
    if (WHOLE_FALL.test(told)) return share >= 0 ? quoted(`${round(100 * share, 3)} %`) : LACKS;
    // What cannot be read is told as it was typed.
    return told === typedIn("fall") || !Number.isFinite(share) ? value("fall") : quoted(told);
  };
  // Each bed's pipe ends where it meets the line, unless that was measured.
  const joined = (k) => {
    if (!line || has("outlet") || has(`b${k}-outlet`)) return null;
    assumed.push(`bed[${k + 1}].drain.outlet`);
    return joinsAt(k) == null ? LACKS : quoted(`${joinsAt(k)} ${tapeUnit()}`);
  };
  // Where that is not known it is put evenly along the line, not over its end.
  const joins = (k) => {
    if (!line) return [];
    if (has(`at-${k}`)) return [["drain.at", value(`at-${k}`)]];
    assumed.push(`bed[${k + 1}].drain.at`);
    const tape = tapeUnit(), at = owned.places?.[k];
    return [["drain.at", at > 0 ? quoted(`${Math.floor(at / METRES[tape] * 10) / 10} ${tape}`) : LACKS]];
  };
  const common = [
    `floor = ${value("floor")}`, shaped("bed", BEDS),
    `media = { depth = ${value("gravel")}, void = ${value("void")}${has("grain") ? `, grain = ${value("grain")}` : ""} }`, ...(box || n === 1 ? [inlet(0)] : []),
    ...(has("guard") ? [`guard = { diameter = ${value("guard")} }`] : []),
    "", `[${of}.standpipe]`, ...pipe("stand").split(", "), `length = ${value("lip")}`,
    "", `[${of}.bell]`, ...pipe("bell").split(", "), `clearance = ${value("gap")}`, `slots = { count = ${value("slots")}, width = ${value("slot-width")}, height = ${value("slot-height")} }`,
    "", `[${of}.drain]`, ...(has("outlet") || !line ? [`outlet = ${value("outlet")}`] : n === 1 ? [`outlet = ${joined(0)}`] : []), `length = ${value("run")}`, ...elbows("elbows"), `into = "${line ? "line" : "sump"}"`, ...(line && n === 1 ? joins(0).map(([, at]) => `at = ${at}`) : []),
  ];
  // Keys below a bed become tables in one line: drain.at beside drain.outlet.
  const inner = (pairs) => {
    const tables = {};
    for (const [key, text] of pairs) {
      const [head, ...rest] = key.split(".");
      if (rest.length) (tables[head] ||= []).push([rest.join("."), text]); else tables[head] = text;
    }
    return Object.entries(tables).map(([head, text]) => `${head} = ${Array.isArray(text) ? `{ ${inner(text).join(", ")} }` : text}`);
  };
  const own = (k) => {
    if (n === 1) return ["", "[[bed]]", `name = ${named(k)}`, ...stood(k), ...common];
    const run = straightOf(k), end = joined(k), pours = poursOf(k);
    if (pours) assumed.push(`bed[${k + 1}].inlet.level`);
    if (run) assumed.push(`bed[${k + 1}].drain.length`);
    const differs = OWN.map(([key, at]) => [`b${k}-${key}`, at || `shape.${chosen("bed-shape", BEDS)}.${key}`]).filter(([id]) => has(id)).map(([id, at]) => [at, value(id)]);
    return ["", "[[bed]]", `name = ${named(k)}`, ...stood(k), ...(box ? [] : [inlet(k)]), ...inner([...differs, ...(end ? [["drain.outlet", end]] : []), ...(pours ? [["inlet.level", quoted(`${pours} ${tapeUnit()}`)]] : []), ...(run ? [["drain.length", quoted(`${run} ${tapeUnit()}`)]] : []), ...joins(k)])];
  };
  const tanks = () => has("tank-floor") ? [
    "", "[tank]", shaped("tank", TANKS), `floor = ${value("tank-floor")}`, `overflow-level = ${value("tank-over")}`, `overflow-bore = ${value("tank-bore")}`,
    ...(by.has("tank-inlet") ? [`inlet = { level = ${value("tank-inlet")}, pipe = { ${pipe("tank-pipe")}, length = ${value("tank-run")} }${by.has("tank-open") ? `, valve = { ${chosen("tank-valve", VALVE)} = ${value("tank-open")} }` : ""} }`] : []), `overflows-to = "${chosen("spills", SPILLS)}"`,
    ...(by.has("settler") ? ["", "[settler]", `kind = "${chosen("settler", SETTLERS)}"`, shaped("settler", TANKS), `floor = ${value("settler-floor")}`, `overflow-level = ${value("settler-over")}`] : []),
  ] : [];
  const lines = [
    `title = ${quoted(typedIn("title") || "My system")}`, ...(has("ceiling") ? [`room = { ceiling = ${value("ceiling")} }`] : []),
    "", "[sump]", `shape = { ${sump} = { ${SUMPS[sump][1].map((key) => `${key} = ${value(`sump-${key}`)}`).join(", ")} } }`, `floor = "0 ${tapeUnit()}"`, `start-level = ${value("water")}`, `overflow-level = ${value("spill")}`, ...(chosen("fish", FISH) === "sump" ? ["fish-tank = true"] : []), ...({ over: ['entries = "over-rim"'], sealed: ['entries = "holes"', "sealed-entries = true"], open: ['entries = "holes"'] }[by.has("entry") && chosen("entry", ENTRY)] || []),
    "", "[pump]", `intake-level = ${value("intake")}`, ...(box ? [`box = { shut-off-head = ${value("lift")}, open-flow = ${value("most")} }`] : []), ...(has("on") ? [`schedule = { on = ${value("on")}, off = ${value("off")} }`] : []),
    ...(box ? ["", "[supply]", `pipe = { ${pipe("supply")}, length = ${value("supply-length")} }`, ...elbows("supply-elbows")] : []),
    ...(line ? ["", "[drain-line]", `pipe = { ${pipe("line")}, length = ${value("line-length")} }`, `slope = ${slope()}`, `outlet = ${value("line-end")}`] : []),
    ...tanks(),
    ...(by.has("float-level") ? ["", "[top-off]", `level = ${value("float-level")}`, `flow = ${value("float-flow")}`, `bore = ${value("float-bore")}`, ...(by.has("float-tub") ? [`reservoir = ${value("float-tub")}`] : [])] : []),
    ...(has("air") ? ["", "[losses]", `evaporation = ${value("air")}`] : []),
    ...(n > 1 ? ["", "[every-bed]", ...common] : []),
    ...[...Array(n).keys()].flatMap(own),
  ];
  // What stands on the sheets to cut by and nobody measured.
  for (const [id, key] of [["stand", "standpipe"], ["bell", "bell"]]) if (pipeAs(id) === "bore") assumed.push(bed(`bed.${key}.outside`));
  assumed.push("sump.floor");
  const told = by.has("open") && !typedIn("open") && bucketTells() ? `# Told by the bucket: ${bed(by.get("open").at)}\n` : "";
  return { text: `# What stands there, as it was measured.\n# Assumed, not measured: ${assumed.join(", ")}\n${formTold()}${told}${withoutLacks(lines.join("\n"))}\n`, missing, lacking };
}

// What nobody told stands somewhere to be looked at.
function drawnSo() {
  const guesses = assumedKeys(state.text, state.with).length;
  return `Drawn as it was put in.${guesses ? ` ${guesses === 1 ? "One size that was not told is" : `${guesses} sizes that were not told are`} assumed: ${guesses === 1 ? "it stands" : "they stand"} under Sizes.` : ""}`;
}

// What was typed into the form goes along in the file: it is there again where that is opened.
const PUT_IN = /^# Put in \((metric|us)\): (.*)$/m;
const pairsOf = (told) => Object.entries(told).filter(([, text]) => text).map(([key, text]) => `${key} = ${JSON.stringify(plainLine(text))}`).join(", ");
const PAIR = /([a-z0-9-]+) = ("(?:[^"\\]|\\.)*")/g;
const pairsIn = (text) => [...text.matchAll(PAIR)].flatMap(([, key, json]) => { try { return [[key, JSON.parse(json)]]; } catch { return []; } });
const formTold = () => `# Put in (${state.units}): ${pairsOf(owned.told)}\n`;
// Whether opening this text would take what stands in the form away.
const ofAnotherForm = (text) => pairsOf(owned.told) && PUT_IN.exec(text)?.[2] !== pairsOf(owned.told);
// A form is its garden's, as what a bucket read there is: a file without one leaves it empty.
function takeForm(text) {
  const [, units, pairs] = PUT_IN.exec(text) || [];
  // Drawn from the form it stands there already.
  if (pairs ? !ofAnotherForm(text) && pairsOf(owned.told) && units === state.units : !pairsOf(owned.told)) return;
  owned.told = Object.fromEntries(pairsIn(pairs || ""));
  // What older files say of it.
  if (owned.told.sealed === "sealed") owned.told.entry ||= "sealed";
  if (units) state.units = units;
  showUnits();
  showOwner();
}

// The box that a tap is on, until a key says that it is over.
let tapped = null;
$("owner").addEventListener("pointerdown", (event) => { tapped = event.target.closest("input, select, button")?.id || event.target.closest("label")?.htmlFor || null; }, true);
$("owner").addEventListener("keydown", () => { tapped = null; }, true);

function ownerRow(one) {
  const id = `own-${one.id}`;
  const put = (key) => (event) => {
    owned.told[key] = event.target.value;
    remember();
    // What was missing is there now.
    const row = event.target.closest(".own");
    row?.querySelectorAll(".fault").forEach((node) => node.remove());
    row?.querySelectorAll("[aria-invalid]").forEach((node) => node.removeAttribute("aria-invalid"));
  };
  // The form is drawn anew between a tap's beginning and its end: the box that it went to is gone to.
  const redo = (event) => {
    put(one.id)(event);
    const focus = tapped && tapped !== event.target.id ? tapped : document.activeElement?.id || event.target.id;
    const go = () => document.getElementById(focus)?.focus({ preventScroll: true });
    showOwner();
    go();
    if (focus === tapped) setTimeout(go);
  };
  const said = [one.over, one.help, one.else && !one.pipe && !one.eg ? `else ${typed(one.else, one.unit)} is assumed` : one.free && !one.quiet ? "may be left out" : null].filter(Boolean).join("; ");
  const ask = make("label", { for: id }, one.asks, said ? make("small", {}, said) : null);
  if (one.words) {
    const now = chosen(one.id, one.words);
    return make("div", { class: "own", "data-own": one.id }, ask, make("select", { id, "aria-label": one.asks, onchange: redo }, ...Object.entries(one.words).map(([key, says]) => make("option", { value: key, selected: key === now }, says))));
  }
  const input = make("input", { id, value: owned.told[one.id] || "", placeholder: one.is ? one.eg : suchAs(one.eg) || one.else || null, inputmode: one.unit === null ? null : keypad(), enterkeyhint: "next", autocomplete: "off", onkeydown: onward, onchange: one.id === "beds" || one.id === "names" ? redo : (event) => { const was = hangsOn(); put(one.id)(event); if (hangsOn() !== was) redo(event); } });
  const unit = one.pipe ? make("select", { "aria-label": `${one.asks}, how it is measured`, id: `${id}-as`, onchange: put(`${one.id}-as`) }, ...[["bore", `${smallUnit()} inside`], ["nominal", "in pipe, Sch 40"], ["80", "in pipe, Sch 80"], ["PN10", "mm outside, PN10"], ["PN16", "mm outside, PN16"]].map(([key, says]) => make("option", { value: key, selected: key === pipeAs(one.id) }, says))) : one.unit ? make("span", {}, one.unit) : null;
  return make("div", { class: `own${one.pipe ? " piped" : one.wide ? " piped wide" : ""}`, "data-own": one.id }, ask, make("span", { class: "entry" }, input, unit));
}

// Enter goes on to the next box, as a tape goes on to the next size.
function onward(event) {
  if (event.key !== "Enter") return;
  event.preventDefault();
  const here = event.target.id;
  event.target.blur();
  const boxes = [...$("owner").querySelectorAll("input")], next = boxes[boxes.findIndex((box) => box.id === here) + 1] || $("own-draw");
  next.focus({ preventScroll: true });
  next.scrollIntoView({ block: "center", behavior: calm.matches ? "auto" : "smooth" });
}

function showOwner() {
  const parts = ownerParts();
  for (const [, list] of parts) for (const one of list) everShown.set(one.id, one);
  const says = make("div", { "aria-live": "polite", id: "own-says" });
  $("owner").replaceChildren(
    make("p", {}, "Measure with tape and bucket; a bare number is read in the unit beside its box. What of a bed is not asked here is changed afterwards under Sizes."),
    ...parts.map(([title, list]) => make("fieldset", {}, make("legend", {}, title), ...list.filter((entry) => !entry.unasked).map(ownerRow))),
    make("p", {}, make("button", { type: "button", id: "own-draw", onclick: () => drawOwned(says) }, "Draw what stands there")), says);
}
