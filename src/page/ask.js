// Something is wrong, or was measured: symptoms, readings, stopwatch; ranked causes come back.
const asked = { symptom: null, bed: 0, readings: {}, checks: {}, seen: "" };
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

async function showAsk() {
  const list = await quick.ask({ call: "catalogue" });
  const beds = state.answer.beds;
  asked.bed = Math.min(asked.bed, beds.length - 1);
  const symptoms = make("div", { id: "symptoms", role: "group", "aria-label": "What is wrong" }, ...list.symptoms.map((one) => make("button", {
    type: "button", "data-symptom": one.key, "aria-pressed": asked.symptom === one.key,
    onclick: (event) => {
      asked.symptom = asked.symptom === one.key ? null : one.key;
      symptoms.querySelectorAll("button").forEach((button) => button.setAttribute("aria-pressed", button.dataset.symptom === asked.symptom));
      event.currentTarget.focus();
      remember();
    },
  }, sign(one.key), make("span", {}, one.says))));
  const bed = make("select", { id: "ask-bed", onchange: async (event) => { asked.bed = +event.target.value; remember(); await showAsk(); $("ask-bed").focus(); } }, ...beds.map((name, n) => make("option", { value: n, selected: n === asked.bed }, name)));
  const mine = readOf(asked.bed);
  const reading = (one) => make("label", {}, make("span", {}, capital(one.says), one.how ? make("small", {}, one.how) : null),
    make("input", { "data-reading": one.key, value: mine[one.key] || "", placeholder: example(one), onchange: (event) => { mine[one.key] = typed(event.target.value, unitOf(example(one))); event.target.value = mine[one.key]; remember(); } }));
  const easy = list.readings.filter((one) => EASY.includes(one.key)), more = list.readings.filter((one) => !EASY.includes(one.key));
  const readings = make("div", { id: "readings" }, ...easy.map(reading),
    make("details", { open: more.some((one) => mine[one.key]) }, make("summary", {}, `${more.length} more that can be read`), ...more.map(reading)));
  const protocol = make("details", {}, make("summary", {}, "What to measure, step by step"));
  protocol.addEventListener("toggle", async () => {
    if (!protocol.open) return;
    const found = await long(work({ call: "measure", bed: asked.bed }));
    if (found.dropped) return;
    const body = make("div", {});
    if (found.error) body.append(make("p", { class: "fault" }, found.error)); else filled(body, found);
    protocol.replaceChildren(protocol.firstChild, body);
  });
  const seen = make("select", { id: "ask-seen", onchange: (event) => { asked.seen = event.target.value; remember(); } }, make("option", { value: "" }, ""), ...list.seen.map((word) => make("option", { value: word, selected: asked.seen === word }, word.replace(/-/g, " "))));
  const answer = make("div", { id: "ask-answer", "aria-live": "polite" });
  const question = (call) => work({ call, bed: asked.bed, symptom: asked.symptom, seen: asked.seen || null, readings: readOf(asked.bed), checks: asked.checks });
  const ask = async (call) => {
    answer.replaceChildren(make("p", {}, "Simulating ..."));
    const found = await long(question(call));
    if (found.dropped) return;
    if (found.error) { answer.replaceChildren(make("p", { class: "fault" }, faultWords(found))); return; }
    filled(answer, found);
    if (call === "why") { checks(answer, list, () => ask("why")); cures(answer, found); } else learnt(answer, found);
    remember();
  };
  $("ask").replaceChildren(
    ...(beds.length > 1 ? [make("p", {}, make("label", {}, "Which bed ", bed))] : []), symptoms,
    make("p", {}, make("button", { type: "button", id: "find-now", onclick: () => { ask("why"); goTo("ask-answer"); } }, "Find the cause")),
    make("h3", {}, "Bucket, stopwatch and tape"), make("p", {}, "What is read makes the answer surer; all of it may be left out."), stopwatch(), readings,
    make("p", {}, make("label", {}, "Seen to do ", seen)), protocol,
    make("div", { class: "choice" }, make("button", { type: "button", id: "find-why", onclick: () => ask("why") }, "Find the cause with them"), make("button", { type: "button", id: "find-fit", onclick: () => ask("fit") }, "What the readings tell")),
    answer);
}

// Beside every suspect: the trouble in the drawing, and what it is like once mended. Where nothing
// is broken the plan is what helps.
function cures(answer, found) {
  (found.suspects || []).forEach((one, k) => {
    const section = answer.querySelector(`[data-ask="suspect-${k}"]`);
    if (!section || !one.edits) return;
    const buttons = one.edits.length ? [
      make("button", { type: "button", class: "cure", onclick: () => mended(one) }, "Try the cure"),
      make("button", { type: "button", class: "trouble", onclick: () => troubled(one) }, "See it in the drawing"),
    ] : [];
    section.append(make("div", { class: "choice" }, ...buttons, make("button", { type: "button", class: "plan", onclick: async () => { if (one.edits.length) await troubled(one, true); goTo("plan"); $("find-plan").click(); } }, one.edits.length ? "What else would help" : "Find what would help")));
  });
}

const isTrouble = (says) => (one) => one.trouble && (!says || one.says === says);

// Puts a trouble into the work, in place of another.
async function troubled(one, stay) {
  const before = state.with.slice(), says = one.says;
  state.with = state.with.filter((other) => !isTrouble()(other));
  state.with.push({ step: one.edits, says, was: "", trouble: true });
  const answer = await settle(before);
  if (!answer.error && !stay) {
    // Late, when it shows; at the start every bed is empty.
    player.t = player.from + 0.9 * (player.to - player.from);
    $("time").value = player.t;
    place();
    goTo("picture");
  }
  return answer;
}

// The answers with the trouble stand beside those without it.
async function mended(one) {
  const ill = await troubled(one, true);
  if (ill.error) return;
  state.with = state.with.filter((other) => !isTrouble(one.says)(other));
  state.before = ill;
  state.apart = true;
  await answered();
  remember();
  goTo("answer");
}

// What the readings tell goes into the scenario as one change, to be undone.
function learnt(answer, found) {
  if (!found.edits?.length) return;
  answer.append(make("div", { class: "choice" }, make("button", { type: "button", id: "put-fit", onclick: async (event) => {
    event.target.disabled = true;
    const before = state.with.slice();
    state.with.push({ step: found.edits, says: `As the readings tell: ${found.edits.map(plainChange).join("; ")}`, was: "" });
    const now = await settle(before);
    if (now.error) event.target.disabled = false; else goTo("answer");
  } }, "Put this into the scenario")));
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
  for (const section of answer.querySelectorAll('[data-ask^="suspect-"]')) {
    const text = section.textContent.toLowerCase(), one = list.causes.find((cause) => cause.check && text.includes(cause.check.toLowerCase()));
    if (!one) continue;
    const button = (says, yes) => make("button", { type: "button", "aria-pressed": asked.checks[one.key] === yes, onclick: () => { asked.checks[one.key] = yes; remember(); again(); } }, says);
    section.append(make("div", { class: "choice checks", role: "group", "aria-label": one.check }, make("span", {}, "Quick check:"), button("Yes", true), button("No", false)));
  }
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

const LETTER = 1050; // px: a little under the height of US Letter
$("find-cut").addEventListener("click", async () => {
  const dry = typed($("dry").value, isUs() ? "in" : "mm");
  $("dry").value = dry;
  $("cut-answer").replaceChildren(make("p", {}, "Simulating ..."));
  const found = await long(work({ call: "cut", dry_layer: dry || null }));
  if (found.dropped) return;
  if (found.error) { $("cut-answer").replaceChildren(make("p", { class: "fault" }, found.error)); return; }
  filled($("cut-answer"), found);
  found.sheets.forEach((svg, i) => {
    const sheet = make("div", { class: "sheet", role: "region", tabindex: 0, "aria-label": `Sheet ${i + 1}` });
    sheet.innerHTML = svg;
    // Nothing is drawn below: so it fits US Letter, which is shorter than A4, to scale.
    const paper = sheet.querySelector("svg"), { width } = paper.viewBox.baseVal;
    paper.setAttribute("viewBox", `0 0 ${width} ${LETTER}`);
    paper.setAttribute("height", LETTER);
    $("cut-answer").append(sheet);
  });
  $("print-cut").hidden = false;
});
$("print-cut").addEventListener("click", () => {
  document.body.classList.add("sheets");
  print();
});
addEventListener("afterprint", () => document.body.classList.remove("sheets"));
