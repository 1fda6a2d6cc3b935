// Something is wrong, or was measured: symptoms, readings, stopwatch; ranked causes come back.
const asked = { symptom: null, bed: 0, readings: {}, checks: {} };
const bedsSaid = (n) => n === 1 ? "one bed" : `${n} beds`;
// Readings are those of one bed.
const readOf = (bed) => asked.readings[bed] ||= {};
// What everybody can read with bucket, watch and tape.
const EASY = ["inflow", "fill", "drain", "period", "highest", "left"];

// A bed in outline for each symptom: water level, siphon, and what is odd about it.
const SIGNS = {
  dribbles: ["M6 18H42", "M24 26v3m0 4v3m0 4v3"], "never-starts": ["M6 16H42", "M17 6l14 0"], "runs-on": ["M6 35H42", "M24 26V46M20 46h8"],
  stalls: ["M6 26H42", "M24 30V46"], "breaks-early": ["M6 30H42", "M19 42l10 4M29 42l-10 4"], "slow-drain": ["M6 24H42", "M24 30v6M24 40v2"],
  "overflows-bed": ["M6 8H42", "M3 10v12M45 10v12"], "sump-overflows": ["M10 40H38", "M5 42v6M43 42v6"], "pump-runs-dry": ["M10 47H38", "M20 40h8v5h-8z"],
  "line-gurgles": ["M4 42H44", "M14 38a3 3 0 1 0 .1 0M28 36a4 4 0 1 0 .1 0"], "uneven-beds": ["M6 16H22M26 30H42", ""], "period-drifts": ["M24 6a18 18 0 1 0 .1 0", "M24 14V24L32 28"],
};

function sign(key) {
  const [water, odd] = SIGNS[key] || ["", ""];
  const svg = draw("svg", { viewBox: "0 0 48 48", "aria-hidden": "true" });
  if (!["period-drifts", "pump-runs-dry"].includes(key)) svg.append(draw("path", { d: "M4 10V38H44V10", stroke: "currentColor", "stroke-width": 2 }), draw("path", { d: "M24 38V20", stroke: "currentColor", "stroke-width": 4 }));
  svg.append(draw("path", { d: water, stroke: "var(--water)", "stroke-width": 3 }), draw("path", { d: odd, stroke: "var(--fail)", "stroke-width": 3 }));
  return svg;
}

// What was looked for stands there again where a file or the page is opened again.
let askNow = null;
const FOUND = /^# Looked for before it was saved: (.*)\n/m;
const foundNow = () => [["why", "ask-answer"], ["plan", "plan-answer"], ["cut", "cut-answer"]].filter(([call, id]) => $(id)?.querySelector("section, li, .sheet") && (call !== "why" || askNow?.last === "why")).map(([call]) => call);
async function lookedForAgain(calls) {
  if (calls.includes("why")) await askNow("why");
  if (calls.includes("plan")) await findPlan();
  if (calls.includes("cut")) await findCut();
}

async function showAsk() {
  const list = await quick.ask({ call: "catalogue", units: state.units });
  const beds = state.answer.beds;
  asked.bed = Math.min(asked.bed, beds.length - 1);
  // What a file tells without the number of beds was seen in its garden.
  if (asked.symptom) asked.beds ||= beds.length;
  const symptoms = make("div", { id: "symptoms", role: "group", "aria-label": "What is wrong" }, ...list.symptoms.map((one) => make("button", {
    type: "button", "data-symptom": one.key, "aria-pressed": asked.symptom === one.key,
    onclick: (event) => {
      asked.symptom = asked.symptom === one.key ? null : one.key;
      Object.assign(asked, { stood: asked.symptom && asItStood(true), beds: asked.symptom && beds.length });
      symptoms.querySelectorAll("button").forEach((button) => button.setAttribute("aria-pressed", button.dataset.symptom === asked.symptom));
      event.currentTarget.focus();
      remember();
    },
  }, sign(one.key), make("span", {}, one.says))));
  const bed = make("select", { id: "ask-bed", onchange: async (event) => { Object.assign(asked, { bed: +event.target.value, checks: {} }); remember(); await showAsk(); $("ask-bed").focus(); } }, ...beds.map((name, n) => make("option", { value: n, selected: n === asked.bed }, name)));
  const mine = readOf(asked.bed);
  const reading = (one) => make("label", {}, make("span", {}, capital(one.says), one.how ? make("small", {}, one.how) : null),
    make("input", { "data-reading": one.key, value: mine[one.key] || "", placeholder: suchAs(example(one)), onchange: (event) => {
      mine[one.key] = typed(event.target.value, unitOf(example(one)));
      event.target.value = mine[one.key];
      remember();
      if (one.key === "inflow") bucketRead(asked.bed, event.target); else showUnread();
    } }));
  const easy = list.readings.filter((one) => EASY.includes(one.key)), more = list.readings.filter((one) => !EASY.includes(one.key));
  const readings = make("div", { id: "readings" }, ...easy.map(reading),
    make("details", { open: more.some((one) => mine[one.key]) }, make("summary", {}, `${more.length} more that can be read`), ...more.map(reading)));
  const protocol = make("details", {}, make("summary", {}, "What to measure, step by step"));
  protocol.addEventListener("toggle", async () => {
    if (!protocol.open) return;
    const body = make("div", {});
    protocol.replaceChildren(protocol.firstChild, body);
    const found = await long(work({ call: "measure", bed: asked.bed }), body, "Looking what is worth measuring \u2026");
    if (found.dropped) return;
    body.replaceChildren();
    if (found.error) body.append(make("p", { class: "fault" }, found.error)); else filled(body, found);
  });
  const seen = make("select", { id: "ask-seen", onchange: (event) => { mine.seen = event.target.value; remember(); showUnread(); } }, make("option", { value: "" }, "choose, or leave it"), ...list.seen.map((word) => make("option", { value: word, selected: mine.seen === word }, word.replace(/-/g, " "))));
  // Of another bed than the one complained of only what was read and seen is known.
  const question = (call, bed) => work({ with: asItStood(call === "fit" && readsStay()), others: othersRead(bed, call === "why" || readsStay()), call, bed, readings: readOf(bed), ...(bed === asked.bed ? { symptom: asked.symptom, checks: asked.checks } : {}) });
  const ask = askNow = async (call, bed = asked.bed) => {
    ask.last = call;
    const found = await long(question(call, bed), $("ask-answer"), call === "why" ? "Simulating what may be wrong \u2026" : "Simulating what was read \u2026");
    if (found.dropped) return;
    // What was found before the last change may stand in its place, and the form may have been drawn anew since.
    const answer = $("ask-answer");
    if (found.error) { answer.replaceChildren(make("p", { class: "fault" }, faultWords(found))); return; }
    filled(answer, found);
    const since = state.with.filter((one) => !isSupposed(one)).length - asItStood(true).length;
    if (since > 0) answer.prepend(make("p", { class: "stale" }, `Of the system as it stood when it was read, without the ${since === 1 ? "step" : `${since} steps`} tried since.`));
    if (asked.symptom && asked.beds && asked.beds !== state.answer.beds.length) answer.prepend(make("p", { class: "stale of-other" }, `What was seen and read is of the garden with ${bedsSaid(asked.beds)}; this is reckoned for the one with ${bedsSaid(state.answer.beds.length)}, and shares are others there.`));
    if (call === "why") { checks(answer, list, () => ask("why")); cures(answer, found); foldedBut(answer, "ask", /^(suspect-(?!0)|what-to-measure|how-far)/); } else learnt(answer, found, bed);
    remember();
  };
  $("ask").replaceChildren(
    ...(beds.length > 1 ? [make("p", {}, make("label", {}, "Which bed ", bed))] : []), symptoms,
    make("p", {}, make("button", { type: "button", id: "find-now", onclick: () => { ask("why"); goTo("ask-answer"); } }, "Find the cause")),
    make("h3", {}, "Bucket, stopwatch and tape"), make("p", {}, "What is read makes the answer surer; all of it may be left out."), stopwatch(), readings,
    make("p", {}, make("label", {}, "Seen to do ", seen)), protocol,
    make("div", { class: "choice" }, make("button", { type: "button", id: "find-why", onclick: () => ask("why") }, "Find the cause with them"), make("button", { type: "button", id: "find-fit", onclick: () => ask("fit") }, "What the readings tell")),
    make("div", { id: "ask-answer", "aria-live": "polite" }));
  if (asked.symptom || Object.values(asked.readings).some((mine) => Object.values(mine).some(Boolean))) unfoldTo($("ask"));
}

// What was found stays to be read where beds come or go; what acts on the beds there were is gone.
function keepFound(found) {
  if (!found?.querySelector("section")) return;
  found.querySelectorAll(".choice:not(.checks)").forEach((node) => node.remove());
  if (!found.querySelector(".stale")) found.prepend(make("p", { class: "stale" }, STALE));
  $("ask-answer").replaceWith(found);
}

// Beside every suspect: the trouble in the drawing, and what it is like once mended. Where nothing
// is broken the plan is what helps.
function cures(answer, found) {
  (found.suspects || []).forEach((one, k) => {
    const section = answer.querySelector(`[data-ask="suspect-${k}"]`);
    if (!section) return;
    if (!one.edits) { section.append(make("p", { class: "undrawn" }, "It cannot be drawn or tried here: no size of the system says it. The quick check tells.")); return; }
    // What shows only where much is unlucky at once is not in the drawing, nor is its cure to be seen there.
    const buttons = one.drawn ? [
      ...(one.edits.length || one.cure?.length ? [make("button", { type: "button", class: "cure", onclick: () => one.edits.length ? mended(one) : helped(one) }, "Try the cure")] : []),
      ...(one.edits.length ? [make("button", { type: "button", class: "trouble", onclick: () => troubled(one) }, "See it in the drawing")] : []),
    ] : [];
    if (!one.drawn) section.append(make("p", { class: "undrawn" }, "Why there is no \u201cTry the cure\u201d here: only a siphon far from the usual shows with this what you see, and the drawing is of a usual one, which would still work. The quick check tells."));
    section.append(make("div", { class: "choice" }, ...buttons, make("button", { type: "button", class: "plan", onclick: async () => { if (one.edits.length) await troubled(one, true); goTo("plan"); $("find-plan").click(); } }, one.edits.length ? "What else would help" : "Find what would help")));
  });
}

// A trouble that is only looked at, or one that is mended and compared with.
const isSupposed = (one) => Boolean(one.trouble || one.cured);

// Puts a trouble into the work, in place of another. One of pump, pipes or valves is what the bucket
// read: the reading steps aside for it.
const OF_FLOW = /^(pump|supply|(every-bed|bed\[\d+\])\.inlet)\b/;
async function suppose(one, step) {
  const before = state.with.slice(), aside = state.aside;
  state.with = before.filter((other) => !isSupposed(other));
  if (aside.length) state.with = [...allRead(), ...state.with.filter((other) => !isRead(other))];
  const ofFlow = one.edits.some((edit) => OF_FLOW.test(edit));
  state.aside = ofFlow ? state.with.filter(isRead) : [];
  if (ofFlow) state.with = withoutRead(asked.bed);
  state.with.push({ says: one.says, was: "", ...step });
  const answer = await settle(before, true);
  if (answer.error) state.aside = aside;
  return answer;
}

async function troubled(one, stay) {
  const answer = await suppose(one, { step: one.edits, trouble: true });
  if (!answer.error && !stay) {
    // Late, when it shows; at the start every bed is empty.
    player.t = player.from + 0.9 * (player.to - player.from);
    $("time").value = player.t;
    place();
    goTo("picture");
  }
  return answer;
}

// The answers with the trouble stand beside those without it: a step that changes nothing of the
// system, to be undone like any other.
async function mended(one) {
  const answer = await suppose(one, { step: one.cure || [], cured: one.edits });
  if (answer.error) return;
  tell(`Mended: ${one.says}. Struck through is how it was.${state.aside.length ? " What the bucket read is left out: it was read with the trouble in it." : ""} ${await stillSeen()}`);
  goTo("answer");
}

// Whether what was complained of is gone with what was put in.
async function stillSeen() {
  if (!asked.symptom) return "";
  const found = await long(work({ call: "still-seen", seen: { bed: asked.bed, symptom: asked.symptom } }), $("told"), "Simulating whether that ends what was seen \u2026");
  return found.says || "";
}

// Where nothing is broken there is nothing to mend: what helps is a change like any other, undone and saved.
async function helped(one) {
  if (state.with.some((other) => JSON.stringify(other.step) === JSON.stringify(one.cure))) { goTo("changes"); return; }
  const before = state.with.slice();
  state.with = before.filter((other) => !isSupposed(other));
  state.with.push({ step: one.cure, says: `What helps is put in: ${one.cure.map(plainChange).join("; ")}`, was: "", tried: true });
  const answer = await settle(before, before.some(isSupposed));
  if (answer.error) return;
  tell(`What helps is put in; nothing had to be mended. Struck through is how it was. ${await stillSeen()}`);
  goTo("answer");
}

// What the readings tell goes into the scenario as one change, to be undone.
function learnt(answer, found, bed) {
  if (!found.edits?.length) return;
  answer.append(make("div", { class: "choice" }, make("button", { type: "button", id: "put-fit", onclick: async (event) => {
    event.target.disabled = true;
    const now = await putIn(bed, found);
    if (now.error) event.target.disabled = false; else goTo("answer");
  } }, "Take in what the readings tell")));
}

// It takes the flow of the bucket with it, but for beds that share a pump.
const readsStay = () => state.answer.beds.length > 1 && state.fields.some((field) => /\.inlet\.level$/.test(field.key) && field.written != null);
function putIn(bed, found) {
  const before = state.with.slice();
  // Flows that stand as the bucket read them are not moved by what else the readings tell of the pump.
  const edits = readsStay() && (state.aside.length || before.some(isRead)) ? found.edits.filter((edit) => !edit.startsWith("pump.")) : found.edits;
  if (!readsStay()) state.with = withoutRead(bed);
  state.with.push({ step: edits, says: edits.length ? `As the readings tell: ${edits.map((edit) => found.says?.[edit.split(" ")[0]] ?? plainChange(edit)).join("; ")}` : `What was read of ${state.answer.beds[bed]} is taken in; it changes no size`, was: "", told: [bed, otherReadings(bed)] });
  return settle(before, true);
}

// A flow that a bucket read is the flow that every place reckons with.
const isFact = (one) => isRead(one) || Boolean(one.told || one.wish);
const isRead = (one) => one.step.do === "read-inflow";
const readStep = (flows, beds = state.answer.beds) => ({ step: { do: "read-inflow", flows }, says: `As the bucket read: ${Object.entries(flows).map(([k, flow]) => `${beds[k]} ${flow}`).join(", ")}`, was: "" });

// All that was read with the bucket at once.
function allRead(beds = state.answer.beds) {
  const flows = Object.fromEntries(Object.entries(asked.readings).filter(([bed, mine]) => mine.inflow && beds[bed] != null).map(([bed, mine]) => [bed, mine.inflow]));
  return Object.keys(flows).length ? [readStep(flows, beds)] : [];
}

// What the other beds get and do tells whose trouble it is: the pump's, or this bed's alone.
function othersRead(asking, flows) {
  const told = Object.entries(asked.readings).map(([bed, { inflow, seen }]) => [bed, { ...(flows && inflow ? { inflow } : {}), ...(seen ? { seen } : {}) }]);
  return Object.fromEntries(told.filter(([bed, mine]) => +bed !== +asking && state.answer.beds[bed] != null && Object.keys(mine).length));
}

// A bed that does what its card doubts: what was seen of it tells more of its siphon than any rule.
// Whatever trouble is told of another bed stays with that one.
// Causes that were found of it stay.
async function seenOtherwise(bed, button) {
  readOf(bed).seen = "cycles";
  remember();
  if (bed === asked.bed) $("ask-seen").value = "cycles";
  await takeIn(bed, button);
}

async function bucketRead(bed, input) {
  const text = readOf(bed).inflow, before = state.with.slice();
  const row = input?.closest("label");
  document.querySelectorAll("#readings .fault").forEach((node) => node.remove());
  // Read again, it stands in place of what was read before; read after a change, it is what that came to.
  state.with = withoutRead(bed);
  const last = state.with[state.with.length - 1];
  if (text && last && isRead(last)) state.with.push(readStep({ ...state.with.pop().step.flows, [bed]: text }));
  else if (text) state.with.push(readStep({ [bed]: text }));
  else if (!before.some(isRead)) return null;
  const answer = await settle(before, true);
  if (answer.error && row) {
    tell("");
    row.after(make("p", { class: "fault", role: "alert" }, `Not reckoned with. ${faultWords(answer)}`));
  }
  return answer;
}

const withoutRead = (bed) => state.with.flatMap((one) => {
  if (!isRead(one)) return [one];
  const { [bed]: gone, ...flows } = one.step.flows;
  return Object.keys(flows).length ? [readStep(flows)] : [];
});

// With a reading's change undone the reading is gone too; with a fit undone the bucket's comes back.
function unread(one) {
  const beds = isRead(one) ? Object.keys(one.step.flows) : one.told ? [one.told[0]] : [];
  for (const bed of beds) {
    const read = readOf(bed).inflow;
    if (one.told && read) state.with = [readStep({ [bed]: read }), ...withoutRead(bed)];
    else delete readOf(bed).inflow;
  }
  if (beds.length) showAsk();
}

// What was read was read of what stood there: what was only tried since was not.
function asItStood(withReads) {
  // The bed that is asked about keeps what was told of its inlet: what it gets is the question, and its own
  // reading alone says nothing of a pump that others share.
  // Where the bucket alone tells how far the valves stand open nothing else was planned.
  const ofOthers = (one) => Object.keys(one.step.flows).some((bed) => +bed !== +asked.bed);
  const unasked = (one) => !isRead(one) || TOLD.test(state.text) ? [one] : ofOthers(one) ? [{ step: { ...one.step, but: asked.bed } }] : [];
  // What steps aside for a trouble that is only supposed was read all the same.
  const own = state.aside.length ? [...allRead(), ...state.with.filter((one) => !isRead(one))] : state.with;
  const all = withReads ? own : own.flatMap(unasked), read = own.findLastIndex(isRead);
  const steps = new Set(own.filter((one, k) => !isSupposed(one) && (k < read || !one.tried)));
  return all.filter((one) => isRead(one) || steps.has(one)).map((one) => one.step);
}

// What stood when the trouble was told, with a trouble that was mended since: a change made later, by
// hand or by a plan, may be what mends it. What was read before that change is of what stood.
function stoodThen() {
  const text = (step) => JSON.stringify(step), then = asked.stood?.map(text), own = state.with.filter((one) => !isSupposed(one));
  const since = then ? own.findIndex((one) => !isFact(one) && !then.includes(text(one.step))) : -1;
  const before = (since < 0 ? own : own.slice(0, since)).map((one) => one.step);
  // What stood then may have been undone or set anew.
  const stood = then ? then.every((step) => before.map(text).includes(step)) ? before : asked.stood : asItStood(true);
  return [...stood, ...state.with.filter((one) => one.cured).map((one) => one.cured)];
}

// Readings beside the bucket's, of beds whose readings are not in the scenario yet.
const otherReadings = (bed) => JSON.stringify(Object.entries(readOf(bed)).filter(([key, text]) => key !== "inflow" && text));
const notIn = () => Object.keys(asked.readings).filter((bed) => otherReadings(bed) !== "[]" && state.answer.beds[bed] != null && !state.with.some((one) => one.told && +one.told[0] === +bed && one.told[1] === otherReadings(bed)));
function showUnread() {
  for (const node of document.querySelectorAll(".unread")) {
    node.replaceChildren(...(state.answer.told || []).map((line) => make("p", { dir: "auto" }, line)), ...notIn().map((bed) => make("p", {}, `Not taken in yet: what was read of ${state.answer.beds[bed]} beside the bucket. `,
      make("button", { type: "button", onclick: (event) => takeIn(+bed, event.target) }, "Take it in"))));
  }
}

async function takeIn(bed, button) {
  const wait = make("div");
  button.disabled = true;
  button.after(wait);
  const found = await long(work({ with: asItStood(readsStay()), call: "fit", bed, readings: readOf(bed), checks: {} }), wait, "Simulating what was read \u2026");
  wait.remove();
  button.disabled = false;
  if (found.dropped) return;
  if (found.error) button.parentElement.append(make("span", { class: "fault" }, faultWords(found)));
  else await putIn(bed, found);
}

// A document under headings of its own.
function filled(node, found) {
  node.innerHTML = found.head + found.parts.map((part) => `<section data-ask="${part.key}"><h3></h3>${part.html}</section>`).join("");
  stackable(node);
  untyped(node);
  found.parts.forEach((part, i) => { node.querySelectorAll("section > h3")[i].textContent = part.title; });
}

function example(one) {
  const quoted = [...one.example.matchAll(/"([^"]+)"/g)].map((found) => found[1]);
  const first = quoted[0] || "100 mm";
  if (!isUs()) return first;
  // A bucket tells gallons a minute, a pump's box gallons an hour.
  if (unitOf(first) === "L/min") return IN_US["L/min"];
  return quoted.find((text) => /\d (in|gal)/.test(text)) || IN_US[unitOf(first)] || first;
}

const IN_US = { "L/min": "1.3 gal/min", mm: "4 in", cm: "4 in", m: "40 in", L: "5 gal" };
const unitOf = (text) => /[^\d\s.,/-].*$/.exec(text)?.[0] || "";

// The quick check of a cause is answered where it is asked.
function checks(answer, list, again) {
  // A plan begins with what a check has found: it is of other answers now.
  const answered = (one, yes) => { if (yes == null) delete asked.checks[one.key]; else asked.checks[one.key] = yes; dropPlan(); remember(); again(); goTo("ask-answer"); };
  const choice = (one) => { const button = (says, yes) => make("button", { type: "button", "aria-pressed": asked.checks[one.key] === yes, onclick: () => answered(one, yes) }, says); return [button("Yes", true), button("No", false)]; };
  for (const section of answer.querySelectorAll('[data-ask^="suspect-"]')) {
    const text = section.textContent.toLowerCase(), one = list.causes.find((cause) => cause.check && text.includes(cause.check.toLowerCase()));
    if (!one) continue;
    // What the check is held against was never measured: then it tells as much of that as of the bed.
    const guess = /-void$/.test(one.key) && assumedKeys(state.text).some((key) => key.endsWith("media.void"));
    if (guess) section.append(make("p", { class: "guess" }, "The void it is held against was assumed here, nobody measured it."));
    section.append(make("div", { class: "choice checks", role: "group", "aria-label": one.check }, make("span", {}, "Quick check:"), ...choice(one)));
  }
  // What the first lines ask stands there to be answered, and what was answered can be taken back.
  const first = answer.querySelector("section[data-ask]");
  if (!first) return;
  const head = [...answer.children].slice(0, [...answer.children].indexOf(first)).map((one) => one.textContent).join(" ").toLowerCase();
  const next = list.causes.find((one) => one.check && asked.checks[one.key] == null && head.includes(one.check.toLowerCase()));
  const done = list.causes.filter((one) => one.check && asked.checks[one.key] != null);
  if (next) first.before(make("div", { class: "choice checks", id: "next-check", role: "group", "aria-label": next.check }, make("span", {}, "That check said:"), ...choice(next)));
  if (done.length) first.before(make("ul", { id: "checked" }, ...done.map((one) => make("li", {}, make("span", {}, `${capital(one.check)} ${asked.checks[one.key] ? "Yes" : "No"}. `), make("button", { type: "button", onclick: () => answered(one, null) }, "Take back")))));
}

// Two buttons for what can be heard: the rush when the siphon starts, the gurgle when it stops.
function stopwatch() {
  const clock = make("output", {}, ""), heard = { rush: null, gurgle: null };
  let ticking = null;
  const put = (key, seconds) => {
    const text = `${Math.floor(seconds / 60)} min ${Math.round(seconds % 60)} s`;
    readOf(asked.bed)[key] = text;
    remember();
    const input = document.querySelector(`[data-reading="${key}"]`);
    if (input) input.value = text;
  };
  const press = (what) => {
    const now = Date.now() / 1000, other = what === "rush" ? heard.gurgle : heard.rush;
    if (other !== null) put(what === "rush" ? "fill" : "drain", now - other);
    if (what === "gurgle" && heard.gurgle !== null) put("period", now - heard.gurgle);
    heard[what] = now;
    clearInterval(ticking);
    ticking = setInterval(() => { clock.textContent = `${shownTime(Date.now() / 1000 - now)} since the ${what}`; }, 250);
  };
  return make("div", { class: "choice", id: "stopwatch" }, make("button", { type: "button", id: "rush", onclick: () => press("rush") }, "Rush: it starts"), make("button", { type: "button", id: "gurgle", onclick: () => press("gurgle") }, "Gurgle: it stops"), clock);
}

// What a narrow screen opens when it is asked for.
function folded(node, button, head) {
  const set = (open) => { node.classList.toggle("folded", !open); button.setAttribute("aria-expanded", open); };
  button.classList.add("unfold");
  button.addEventListener("click", () => set(node.classList.contains("folded")));
  if (head) head.replaceChildren(button); else node.prepend(button);
  set(false);
}

function foldedBut(node, kind, some) {
  for (const section of node.querySelectorAll(`[data-${kind}]`)) if (some.test(section.dataset[kind])) {
    const head = section.querySelector("h3");
    folded(section, make("button", { type: "button" }, head.textContent), head);
  }
}
