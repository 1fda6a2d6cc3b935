// Parts and their sizes; every change is one line to undo.
const ROLES = {
  bed: ["bed", (n) => [[`bed[${n + 1}]`, ["standpipe", "bell", "guard", "drain", "inlet"]]]],
  siphon: ["siphon", (n) => [[`bed[${n + 1}].standpipe`], [`bed[${n + 1}].bell`], [`bed[${n + 1}].guard`]]],
  drain: ["drain pipe", (n) => [[`bed[${n + 1}].drain`]]],
  inlet: ["inlet", (n) => [[`bed[${n + 1}].inlet`]]],
  every: ["every bed", () => [["every-bed"]]],
  sump: ["sump", () => [["sump"], ["top-off"], ["losses"], ["source"]]],
  "top-off": ["float valve", () => [["top-off"]]],
  pump: ["pump", () => [["pump"]]],
  supply: ["supply pipe", () => [["supply", ["bypass"]]]],
  bypass: ["bypass", () => [["supply.bypass"]]],
  line: ["drain line", () => [["drain-line"]]],
  tank: ["fish tank", () => [["tank"]]],
  settler: ["settler", () => [["settler"]]],
  room: ["room, water, limits", () => [["room"], ["water"], ["title"], ["hours"], ["checks"], ["coefficients"], ["event"], ["garden"], ["fish"], ["plants"]]],
};

function partName(part) {
  const [role, n] = part.split("."), bed = state.answer?.beds?.[n];
  return bed == null ? ROLES[role]?.[0] || part : `${bed}: ${ROLES[role][0]}`;
}

const below = (key, [place, without]) => (key === place || key.startsWith(`${place}.`) || key.startsWith(`${place}[`)) && !(without || []).some((one) => key.startsWith(`${place}.${one}.`) || key === `${place}.${one}`);
const fieldsOf = (part) => { const [role, n] = part.split("."); const places = ROLES[role]?.[1](+n) || []; return state.fields.filter((field) => places.some((one) => below(field.key, one))); };

function choosePart(part, go) {
  state.part = part;
  showSizes();
  markChosen();
  if (go) unfoldTo($("sizes"));
  if (go) $("sizes").scrollIntoView({ block: "nearest", behavior: calm.matches ? "auto" : "smooth" });
}

function markChosen() {
  for (const [part, groups] of player.parts) groups.forEach((group) => group.classList.toggle("chosen", part === state.part));
}

function allParts() {
  const beds = state.answer.beds.flatMap((_, n) => [`bed.${n}`, `siphon.${n}`, `inlet.${n}`, `drain.${n}`]);
  return ["every", ...beds, "sump", "pump", "supply", "bypass", "line", "tank", "settler", "room"].filter((part) => fieldsOf(part).some((field) => field.written != null));
}

// A bed with its siphon and pipes is one group.
const groupOf = (part) => part.includes(".") ? `bed ${part.split(".")[1]}` : part;

function showSizes() {
  // What is being typed is not drawn over by an answer to what was asked before.
  const typing = document.activeElement;
  if (!state.answer || (typing?.type === "text" && typing.closest("#sizes") && typing.dataset.shown != null && typing.value !== typing.dataset.shown)) return;
  const parts = allParts(), groups = [...new Set(parts.map(groupOf))];
  if (!parts.includes(state.part)) state.part = state.part && fieldsOf(state.part).length ? state.part : parts[0];
  showOneMore();
  const chips = $("parts");
  const had = chips.contains(document.activeElement) ? document.activeElement.dataset.part : null;
  const chip = (part, says, on) => make("button", { type: "button", "data-part": part, "aria-pressed": on, dir: "auto", onclick: () => choosePart(part) }, says);
  const fellows = parts.filter((part) => groupOf(part) === groupOf(state.part));
  chips.replaceChildren(make("div", { class: "choice" }, ...groups.map((group) => { const part = parts.find((one) => groupOf(one) === group); return chip(part, part === group ? partName(part) : state.answer.beds[+group.split(" ")[1]], groupOf(state.part) === group); })),
    ...(fellows.length > 1 ? [make("div", { class: "choice" }, ...fellows.map((part) => chip(part, ROLES[part.split(".")[0]][0], part === state.part)))] : []));
  if (had) [...chips.querySelectorAll(`[data-part="${had}"]`)].pop()?.focus();
  const mine = fieldsOf(state.part).filter((field) => !toldByBucket(field)), was = focusedField();
  // First what is changed most; what is measured once and the rest only where they are asked for.
  const written = mine.filter((field) => field.written != null && field.group !== "seldom");
  const first = written.filter((field) => field.group === "first"), usual = written.filter((field) => field.group !== "first");
  const folded = (name, says, fields) => fields.length ? [make("details", { class: name, open: $("sizes").querySelector(`.${name}`)?.open || false }, make("summary", {}, `${fields.length} ${says}`), ...fields.map(fieldRow))] : [];
  $("sizes").replaceChildren(
    make("h3", { dir: "auto" }, partName(state.part)),
    make("p", { class: "hint" }, "Every change is simulated at once. What is ticked \u201ckeep\u201d no plan touches."),
    ...wholes(state.part),
    ...(first.length ? first : usual).map(fieldRow),
    ...folded("usual", "further sizes", first.length ? usual : []),
    ...folded("seldom", "seldom needed", mine.filter((field) => !written.includes(field))),
  );
  for (const box of $("sizes").querySelectorAll("input")) box.dataset.shown = box.value;
  if (was) document.getElementById(was)?.focus({ preventScroll: true });
}

// What a size means stands below it while it is looked at.
for (const looked of ["focusin", "focusout"]) $("sizes").addEventListener(looked, async () => {
  await released();
  const row = $("sizes").contains(document.activeElement) && document.activeElement.closest(".field");
  for (const one of $("sizes").querySelectorAll(".field")) one.classList.toggle("helped", one === row);
});
$("sizes").addEventListener("change", (event) => { event.target.dataset.shown = event.target.value; }, true);
const focusedField = () => $("sizes").contains(document.activeElement) ? document.activeElement.id : null;
const fieldId = (field) => `field-${field.key.replace(/[^a-z0-9]/gi, "-")}`;

// Steps that tape and hand can do.
const STEPS = { mm: 1, cm: 0.1, m: 0.005, in: 0.0625, ft: 0.01, "L/min": 0.1, "L/h": 5, "gal/h": 5, "gal/min": 0.05, "%": 0.1, L: 1, gal: 0.5, s: 1, min: 0.1, h: 0.1 };

function sliderRange(entry) {
  const v = entry.value, step = entry.whole || entry.share ? 1 : STEPS[entry.unit] || (Math.max(1e-3, Math.abs(v) / 100));
  const reach = Math.max(Math.abs(v) * 0.5, 20 * step);
  const on = (value) => Math.round(value / step) * step;
  const low = entry.share ? entry.least : Math.max(entry.least, on(v - reach));
  const high = entry.share ? entry.most : Math.min(entry.most, on(v + reach));
  return { step, low, high };
}

// As far as a hand can set it; the scenario keeps all digits.
const HAND = { mm: 0, cm: 1, m: 3, in: 2, ft: 2, "L/min": 1, "gal/min": 2, "L/h": 0, "gal/h": 0, "%": 1, L: 1, gal: 1 };
const shortly = (text, unit = "") => text.replace(/(\d+\.\d{4,})(\s*([a-zA-Z/%]+))?/g, (_, number, after = "", of = unit) => {
  const all = Number(number), rounded = Number(all.toFixed(HAND[of] ?? 3));
  // What is small keeps its first digits: a slot of 1/16 in is no slot of 2 mm.
  return `${Math.abs(rounded - all) <= 0.005 * Math.abs(all) ? rounded : Number(all.toPrecision(3))}${after}`;
});
const tidy = (value) => Number(value.toPrecision(10)).toString();
// A share of one is entered in per cent; a hand that types 0.5 means half.
const sharing = (raw) => NUMBER.test(raw) && fractionOf(raw.replace(",", ".")) <= 1 ? String(fractionOf(raw.replace(",", "."))) : typed(raw, "%");
// As it stands in its box: in the units that are read.
// What a person calls one of the words of a list, or yes and no.
function saidAs(field, word) {
  const { as, words, says } = field.entry;
  return as === "choice" ? says[words.indexOf(word)] ?? word : as === "flag" ? { true: "yes", false: "no" }[word] ?? word : null;
}
const writtenAs = (field) => saidAs(field, field.written) ?? (field.entry.as === "number" && field.entry.value != null && field.entry.unit && !field.written.endsWith(field.entry.unit) ? `${shortly(tidy(field.entry.value), field.entry.unit)} ${field.entry.unit}` : shortly(field.written ?? ""));
const written = (field, value) => `${field.key} = ${tidy(value)}${field.entry.unit ? ` ${field.entry.unit}` : ""}`;

// A pipe that no list of sizes has is told by what was measured across its inside.
const SOLD_AS = /\.nominal$/;
const insideOf = (field, text) => {
  const [, told, ...also] = SOLD_AS.test(field.key) && /^bore\s*=?\s*"?([^"]+)"?$|^(.+?)\s*inside$/i.exec(text) || [];
  return told || also[0] ? typed(told || also[0], smallUnit()) : null;
};
function asBore(field, bore) {
  const pipe = field.key.replace(SOLD_AS, ""), has = (key) => state.fields.some((one) => one.key === `${pipe}.${key}` && one.written != null);
  return [...["nominal", "schedule"].filter(has).map((key) => `${pipe}.${key} left out`), `${pipe}.bore = ${bore}`];
}

function fieldRow(field) {
  const id = fieldId(field), entry = field.entry, locked = field.kept || state.keep.includes(field.key);
  const says = (now) => ({ says: `${placed(field)} ${saidAs(field, now) ?? shortly(now)}`, was: field.written && writtenAs(field) });
  const set = async (text, raw) => {
    const bore = insideOf(field, text), found = bore ? await change(asBore(field, bore), { ...says(""), says: `${placed(field)}: ${bore} inside` }) : await change(`${field.key} = ${text}`, says(text));
    if (found?.error) refused(field, raw ?? text, found);
  };
  const row = make("div", { class: "field", "data-key": field.key });
  const name = make("label", { class: "name", for: id }, capital(nameOf(field)), field.over ? make("small", {}, `over ${field.over}`) : null, field.reaches ? make("small", { class: "reaches", dir: "auto" }, field.reaches.says) : null);
  const lock = make("label", { class: "lock" }, make("input", {
    type: "checkbox", checked: locked, disabled: field.kept, "aria-label": `${nameOf(field)} stays as it is`,
    onchange: (event) => { state.keep = event.target.checked ? [...state.keep, field.key] : state.keep.filter((key) => key !== field.key); remember(); showSizes(); },
  }), field.kept ? "kept, as told" : "keep");
  let control, slider = null;
  if (entry.as === "number" && (entry.value != null || entry.unit || entry.whole)) {
    const value = entry.value;
    control = make("span", { class: "entry" }, make("input", {
      id, type: "text", inputmode: keypad(), disabled: locked, value: value == null ? "" : shortly(tidy(value), entry.unit), placeholder: suchAs(entry.share && NUMBER.test(field.example) ? tidy(100 * field.example) : field.example),
      onchange: (event) => { const raw = event.target.value.trim(); if (raw) set(entry.share ? sharing(raw) : typed(raw, entry.unit), raw); },
    }), entry.unit ? make("span", {}, entry.unit) : null);
    if (value != null) {
      const { step, low, high } = sliderRange(entry);
      slider = make("input", {
        type: "range", min: low, max: high, step, value, disabled: locked, "aria-label": nameOf(field), id: `${id}-slider`, "aria-valuetext": writtenAs(field),
        oninput: (event) => { control.firstChild.value = tidy(+event.target.value); tryLive(written(field, +event.target.value)); },
        onchange: (event) => change(written(field, +event.target.value), says(`${tidy(+event.target.value)} ${entry.unit}`.trim())),
      });
      // Attributes come in no order that suits a range: the value once more, last.
      slider.value = value;
    }
  } else if (entry.as === "choice" || entry.as === "flag") {
    const words = entry.as === "flag" ? ["true", "false"] : entry.words;
    const shown = field.written == null ? ["", ...words] : words;
    control = make("select", { id, disabled: locked, onchange: (event) => event.target.value && set(event.target.value) }, ...shown.map((word) => make("option", { value: word, selected: word === (field.written ?? "") }, word ? saidAs(field, word) : "not told")));
  } else {
    control = make("input", { id, type: "text", disabled: locked, value: field.written ?? "", placeholder: suchAs(field.example), onchange: (event) => event.target.value.trim() && set(event.target.value.trim()) });
  }
  const help = [field.says ? spoken(field.key) : null, field.help, field.allowed ? `allowed: ${field.allowed}` : null, field.written == null && field.default ? `else ${field.default}` : null, SOLD_AS.test(field.key) ? `of a pipe not listed type its inside width: "${isUs() ? "1.05 in" : "27 mm"} inside"` : null, field.shared ? "what every bed has; a change here is this bed's alone" : null].filter(Boolean).join("; ");
  row.append(name, control, lock);
  if (slider) row.append(slider);
  row.append(make("p", { class: "help" }, help));
  return row;
}

// A value that cannot be: it stays where it was typed, and what is wrong with it stands below.
function refused(field, text, answer) {
  const row = $("sizes").querySelector(`[data-key="${CSS.escape(field.key)}"]`);
  const input = row && document.getElementById(fieldId(field));
  if (!input) return;
  tell("");
  input.value = text;
  input.setAttribute("aria-invalid", "true");
  row.append(make("p", { class: "fault", role: "alert" }, faultWords(answer)));
}

// What is no single size.
function wholes(part) {
  const rows = [];
  const button = (says, doing) => make("button", { type: "button", onclick: () => change(doing, { says, was: "" }) }, says);
  const sumps = +(state.fields.find((field) => field.key === "sump.count")?.written ?? 1);
  if (part === "sump") {
    const shape = state.fields.find((field) => /^sump\.shape\.\w+-cylinder/.test(field.key) && field.written != null)?.key;
    if (shape) rows.push(button(shape.includes("lying") ? "Set it on its end" : "Lay it on its side", { do: "tip-sump" }));
    rows.push(button(`${sumps + 1} alike, joined`, { do: "join-sump", count: sumps + 1 }));
    if (sumps > 1) rows.push(button(sumps > 2 ? `Only ${sumps - 1} alike` : "Only one", { do: "join-sump", count: sumps - 1 }));
    rows.push(mover("The sump with all in it higher by", "move-sump", "its water, overflow, pump and float go with it; pipes become shorter or longer"));
    rows.push(mover("Everything over the sump higher by", "raise-all", ALL_RAISED));
  }
  if (part === "every") rows.push(mover("All beds, inlets and drains higher by", "raise-all", ALL_RAISED));
  if (part.startsWith("bed.")) {
    const bed = +part.split(".")[1], name = state.answer.beds[bed];
    rows.push(mover(`${name} with its inlet higher by`, "raise-bed", "its drain ends where it did, so it falls farther", { bed }));
    if (state.answer.beds.length > 1) rows.push(make("button", { type: "button", class: "take-out", onclick: () => otherBeds(`${name} taken out`, { do: "take-out", bed }, (k) => k === bed ? null : k > bed ? k - 1 : k) }, `Take ${name} out`));
  }
  if (part === "pump") rows.push(button("The power fails at the worst moment", { do: "stop-pump", at: "worst" }));
  const buttons = rows.filter((row) => row.tagName === "BUTTON");
  return [...rows.filter((row) => row.tagName !== "BUTTON"), ...(buttons.length ? [make("div", { class: "choice" }, ...buttons)] : [])];
}

// One more bed is a question on the whole: it is like the one that is open, else the first, unless another is chosen.
function showOneMore() {
  const open = +(/^\w+\.(\d+)$/.exec(state.part)?.[1] ?? 0), says = (like) => `One more bed like ${state.answer.beds[like]}`;
  let like = open;
  const add = make("button", { type: "button", class: "one-more", onclick: () => otherBeds(says(like), { do: "one-more", bed: like }, (k) => k) }, says(like));
  const choose = make("select", { id: "one-more-like", onchange: (event) => { like = +event.target.value; add.textContent = says(like); } }, ...state.answer.beds.map((name, n) => make("option", { value: n, selected: n === open }, name)));
  $("more-beds").replaceChildren(...(state.answer.beds.length > 1 ? [make("label", { for: "one-more-like" }, "Does it bear one more bed, like "), choose] : [make("span", {}, "Does it bear one more bed?")]), " ", add);
}

// Another number of beds is another garden: what was changed so far is part of it.
async function otherBeds(says, step, now) {
  const kept = state.with.filter((one) => !isSupposed(one)), was = JSON.parse(JSON.stringify(asked)), keep = state.keep;
  tell("Reckoning with another number of beds\u2026");
  const found = await quick.ask(work({ call: "read", with: [...kept.map((one) => one.step), step] }));
  if (found.error) { tell(faultWords(found), true); return; }
  const bears = work({ call: "bears", with: [...kept.map((one) => one.step), step] });
  const bed = now(asked.bed), told = bed == null ? null : $("ask-answer");
  asked.readings = Object.fromEntries(Object.entries(asked.readings).filter(([k]) => now(+k) != null).map(([k, mine]) => [now(+k), mine]));
  if (bed == null) Object.assign(asked, { symptom: null, stood: null, beds: null, checks: {} });
  asked.bed = bed ?? 0;
  await opening(state.name, savedText(found.text, [...state.with.filter(isRead), ...changesTried(), { says, step }]), { says, asked: was });
  asked.bed = bed ?? 0;
  state.keep = keep.flatMap((key) => {
    const [, k, rest] = /^bed\[(\d+)\](.*)$/.exec(key) || [];
    return k == null ? [key] : now(k - 1) == null ? [] : [`bed[${now(k - 1) + 1}]${rest}`];
  });
  remember();
  await showAsk();
  keepFound(told);
  const shared = step.do === "one-more" && state.fields.some((field) => /\.inlet\.flow$/.test(field.key) && field.written != null) ? " The pump brings no more water for it: what the bucket read is shared among all beds now." : "";
  const answer = make("span", {});
  tell(`${says}.${shared} `);
  $("told").append(answer);
  offerBack();
  $("top").scrollIntoView({ behavior: calm.matches ? "auto" : "smooth" });
  if (step.do !== "one-more") return;
  const { says: borne, error } = await long(bears, answer, "Simulating whether the system bears it \u2026");
  answer.replaceChildren(borne || error);
}

const ALL_RAISED = "sump, pump and fish tank stay; the pipe from the pump becomes longer";

// How far something is moved: by a slider, or as typed.
function mover(says, kind, help, more) {
  const unit = tapeUnit(), id = `move-${kind}`;
  const now = state.with.find((one) => one.step.do === kind && one.step.bed === more?.bed), value = now ? lengthIn(now.step.by, unit) : 0;
  const doing = (by) => ({ do: kind, by: `${by} ${unit}`, ...more });
  const by = (value) => change(doing(value), { says: `${says} ${value} ${unit}`, was: "" });
  const slider = make("input", {
    type: "range", min: isUs() ? -12 : -30, max: isUs() ? 12 : 30, step: isUs() ? 0.25 : 0.5, "aria-label": `${says}, ${unit}`, id: `${id}-slider`,
    oninput: () => { box.value = slider.value; tryLive(doing(slider.value)); },
    onchange: () => by(slider.value),
  });
  slider.value = value;
  const box = make("input", { id, type: "text", inputmode: keypad(), value: String(value), onchange: () => { const told = lengthIn(box.value, unit); if (told != null) by(told); else box.value = String(value); } });
  return make("div", { class: "field mover" }, make("label", { for: id, class: "name" }, says, make("small", {}, help)), make("span", { class: "entry" }, box, make("span", {}, unit)), slider);
}

// A change of the same size may have taken its place since the list was drawn: then that is meant.
function takeBack(one, at = state.with.indexOf(one)) {
  if (at < 0) return;
  const last = past[past.length - 1], now = state.with[at];
  // What was done last is undone as such.
  if (last?.with && last.text == null && last.with.length === state.with.length - 1 && !last.with.includes(now) && last.with.every((other) => state.with.includes(other))) { undo(); return; }
  const before = state.with.slice();
  state.with.splice(before.includes(one) ? before.indexOf(one) : at, 1);
  unread(one);
  settle(before, isFact(one) || isSupposed(one));
}

function showChanges() {
  const made = changesTried(), tried = made.length > 0;
  $("save").textContent = tried ? "Save with changes" : "Save";
  $("save-built").hidden = !tried;
  showAssumed();
  showUnread();
  triesAnew();
  $("supposed").replaceChildren(...supposedNow());
  // What was read or wished for is no change: one thing undone does not take the other away.
  const item = ([one, at]) => make("li", { dir: "auto" }, make("span", {}, one.trouble ? `Supposed, not changed: ${one.says}` : one.cured ? `Mended${one.step.length ? " (and the steps beside it done)" : ""}, and compared with it: ${one.says}` : one.was ? `${one.says} (was ${one.was})` : one.says),
    make("button", { type: "button", "aria-label": `Undo ${one.says}`, onclick: () => takeBack(one, at) }, isFact(one) ? "Take out" : "Undo"));
  const listed = (says, which) => { const rows = state.with.map((one, at) => [one, at]).filter(([one]) => which(one)).map(item); return rows.length ? [make("h3", {}, says), make("ol", {}, ...rows)] : []; };
  const changes = [...listed("Supposed, and looked at", isSupposed), ...listed("Changes made", (one) => made.includes(one))];
  showMade();
  const earlier = (CHANGED.exec(state.text) || MEASURED.exec(state.text))?.[1];
  $("changes").replaceChildren(...(earlier ? [make("p", { dir: "auto" }, `Changed before: ${earlier}.`)] : []), ...listed("Read and wished for", isFact), ...changes, ...(changes.length ? [make("div", { class: "choice" },
    make("button", { type: "button", id: "undo-all", onclick: () => { const before = state.with; state.with = before.filter(isFact); settle(before, true); } }, "Undo all changes"),
    tried ? make("button", { type: "button", id: "built-now", onclick: builtNow }, made.length === 1 ? "This is built now" : "These are built now") : null)] : []));
}

function goToField(key) {
  const part = allParts().find((one) => fieldsOf(one).some((field) => field.key === key));
  if (part) choosePart(part);
  unfoldTo($("sizes"));
  const row = $("sizes").querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!row) return;
  const details = row.closest("details");
  if (details) details.open = true;
  row.querySelector("input, select")?.focus({ preventScroll: true });
  row.scrollIntoView({ block: "center", behavior: calm.matches ? "auto" : "smooth" });
}
