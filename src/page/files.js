// Files in and out, and what survives a reload. Some browsers keep nothing for a local file:
// then the history entry of this page holds it.
function mark(text) {
  let hash = 5381;
  for (let i = 0; i < text.length; i++) hash = (hash * 33 ^ text.charCodeAt(i)) >>> 0;
  return `ebbwright ${hash.toString(36)}`;
}
const MARK = mark(start.text + start.name);

function remember() {
  const saved = JSON.stringify({ name: state.name, text: state.text, with: state.with, aside: state.aside, keep: state.keep, units: state.units, asked, owned: owned.told, facts: planned.told, found: foundNow(), past });
  try { localStorage.setItem(MARK, saved); } catch { /* nothing is kept for local files */ }
  try { history.replaceState({ [MARK]: saved }, ""); } catch { /* too long, or forbidden */ }
}

function recalled() {
  let saved = null;
  try { saved = localStorage.getItem(MARK); } catch { /* as above */ }
  try { saved = saved || history.state?.[MARK]; } catch { /* as above */ }
  if (!saved) {
    takeUp(state.text);
    takeForm(state.text);
    // The page was made in units of its own: what was typed in others says so.
    if (state.units !== start.units) { keepUnits(); state.units = start.units; }
    return;
  }
  try {
    const { name, text, with: changes, aside, keep, units, asked: told, owned: own, facts, found, past: before } = JSON.parse(saved);
    state.found = found;
    Object.assign(asked, told);
    owned.told = own || {};
    planned.told = facts || {};
    // One and the same change is one object, as it was before: undoing asks which are the same.
    const known = new Map();
    const ones = (all) => (all || []).map((one) => {
      const key = JSON.stringify(one);
      if (!known.has(key)) known.set(key, one);
      return known.get(key);
    });
    if (typeof text === "string" && Array.isArray(changes)) Object.assign(state, { name, text, with: ones(changes), aside: ones(aside), keep: keep || [], units });
    past.push(...(before || []).map((step) => ({ ...step, with: ones(step.with), aside: ones(step.aside) })));
  } catch { /* not ours */ }
}

// What was open before is a tap away: a form drawn anew or another file takes its place unasked.
function offerBack() {
  const last = past[past.length - 1];
  if (last?.text == null) return;
  $("told").append(" ", make("button", { type: "button", id: "back", "aria-label": last.back || inBrief(last) === last.says ? null : `Undo: ${last.says}`, onclick: undo }, last.back ? last.says : `Undo: ${inBrief(last)}`));
}

// In place of what is open; `step` where it is the same garden otherwise; `inflows` were just read at its beds, and
// are reckoned with where `piped`.
async function opening(name, text, step, inflows, piped) {
  const question = { text, name, with: [], keep: [], units: state.units, call: "read" };
  const found = await quick.ask(question);
  if (found.error) { faulty(found); return found; }
  const { with: changes, aside, keep } = state;
  const was = { name: state.name, text: state.text, with: changes, aside, keep, asked: JSON.parse(JSON.stringify(asked)), owned: { ...owned.told }, units: state.units, ...(step || { says: "Back to what was open before", back: true }) };
  // An example that nobody touched is nothing to go back to.
  if (step || was.text !== start.text || was.with.length || observed() || ofAnotherForm(text)) putBy(was); else past.length = 0;
  await within(async () => {
    Object.assign(state, { name, text, with: [], keep: [], aside: [], before: null, part: null });
    takeUp(text);
    if (!step) takeForm(text);
    // What is still looked for is of what was open before.
    for (const engine of slow.values()) engine.end();
    dropPlan();
    dropCut();
    for (const [bed, inflow] of Object.entries(inflows || {})) readOf(bed).inflow = inflow;
    Object.assign(found, await asTold(piped));
    await compared();
    await answered();
  });
  remember();
  await showAsk();
  return found;
}

// A system of one's own: its answers are in view, and the way in is out of the way.
function arrive() {
  document.querySelectorAll("#new details").forEach((one) => { one.open = false; });
  $("second").prepend($("new"));
  tell("");
  $("top").scrollIntoView({ behavior: calm.matches ? "auto" : "smooth" });
}

// The questions that a system is drafted from; what is left empty is found. What was typed outlasts a reload.
const planned = { told: {} };
function showFacts() {
  const us = isUs(), asks = [["title", "What you call it", ""], ["room", "Height of the room", us ? "7 ft" : "2.2 m"], ["beds", "How many beds", "4"], ["bed", "Length x width x depth of each bed", us ? "48 x 24 x 12 in" : "120 x 60 x 30 cm"],
    ["drum", "The sump: lying, upright, tote, a volume, or measures", "lying"], ["pump", "The pump: most flow and highest lift from its box", us ? "800 gal/h, 10 ft" : "3000 L/h, 3 m"],
    ["tank", "Fish tank, if there is one: a volume, or measures; and what it stands on", us ? "80 gal on 16 in" : "300 L on 40 cm"]];
  const says = make("div", { "aria-live": "polite" });
  const keep = (event) => { planned.told[event.target.dataset.fact] = event.target.value; };
  const inputs = asks.map(([key, ask, example]) => make("label", {}, make("span", {}, ask), make("input", { "data-fact": key, placeholder: suchAs(example), value: planned.told[key] || "", oninput: keep, onchange: remember })));
  const begin = make("button", { type: "button", id: "draft", onclick: async () => {
    const told = { ...planned.told };
    begin.disabled = true;
    const found = await long({ call: "draft", units: state.units, ...told }, says, "Simulating sizes \u2026");
    begin.disabled = false;
    if (found.dropped) return;
    $("facts").querySelectorAll(".fault").forEach((node) => node.remove());
    $("facts").querySelectorAll("[aria-invalid]").forEach((node) => node.removeAttribute("aria-invalid"));
    says.replaceChildren();
    if (found.error) {
      const fault = make("p", { class: "fault", role: "alert" }, found.error), box = $("facts").querySelector(`[data-fact="${found.fact}"]`);
      // What is wrong stands at its box.
      if (box) { box.setAttribute("aria-invalid", "true"); box.closest("label").after(fault); box.focus(); } else says.append(fault);
      return;
    }
    await opening(`${fileName(told.title || "")}.toml`, found.text);
    arrive();
    const notes = [...found.troubles, ...found.notes];
    if (notes.length) tell(notes.join(" "), true);
  } }, "Find every other size");
  $("facts").replaceChildren(make("div", { class: "facts" }, ...inputs), make("p", {}, begin), says);
}

$("open").addEventListener("change", async (event) => {
  const file = event.target.files[0];
  if (!file) return;
  let text = await file.text();
  // A saved page holds its scenario.
  const inside = /<script type="application\/json" id="start">([^<]*)<\/script>/.exec(text);
  if (inside) text = JSON.parse(inside[1]).text;
  const found = await opening(file.name.replace(/\.html$/, ".toml"), text);
  event.target.value = "";
  if (!found?.error) { tell([`${file.name} is open.`, found.stays, oddSizes(state.answer)].filter(Boolean).join(" ")); offerBack(); lookedForAgain(FOUND.exec(text)?.[1].split(", ") || []); }
});

// Changes that are only tried are no part of what stands there: either can be kept.
async function saving(changes, says) {
  const facts = allDone().filter(isFact);
  const { text, error } = changes.length ? await changedText() : await textWith(state.text, facts);
  if (error) { tell(error, true); return; }
  const url = URL.createObjectURL(new Blob([changes.length ? text : savedText(text, [])], { type: "text/plain" }));
  const link = make("a", { href: url, download: `${state.name.replace(changesTried().length ? /(-changed)?\.toml$/ : /\.toml$/, "")}${changes.length ? "-changed" : ""}.toml` });
  link.click();
  tell(`Saved as ${link.download}${says}.`);
  setTimeout(() => URL.revokeObjectURL(url), 1000);
}
$("save").addEventListener("click", () => saving(changesTried(), changesTried().length ? ", with every change that was made: opened again, each can still be undone" : ""));
$("save-built").addEventListener("click", () => saving([], ", as it stands: without the changes made here"));
$("print").addEventListener("click", () => print());
