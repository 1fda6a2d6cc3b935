// The form drawn: what is wrong with it is told at its boxes, all at once; what can be built is opened.
// A row with what is wrong with it; the first is gone to.
function ownFault(id, text) {
  const row = document.querySelector(`[data-own="${id}"]`);
  row?.append(make("p", { class: "fault", role: "alert" }, text));
  row?.querySelector("input, select")?.setAttribute("aria-invalid", "true");
  return row;
}

// Which bed of what is open each bed of the form is, by its name; none where the form tells of another garden.
function sameBeds() {
  const then = MEASURED.test(state.text) ? Object.fromEntries(pairsIn(PUT_IN.exec(state.text)?.[2] || "")) : {}, beds = state.answer?.beds || [];
  const now = [...Array(bedCount()).keys()].map((k) => { const name = typedIn("names").split(",")[k]?.trim(); return name ? beds.indexOf(name) : beds[k] == null ? -1 : k; });
  const as = (key) => (then[key] || "").trim() === typedIn(key), renamed = now.filter((k) => k >= 0).length < Math.min(now.length, beds.length);
  return Object.keys(then).length && (as("title") || (then.names && !renamed)) ? now : [];
}

async function drawOwned(says) {
  document.querySelectorAll("#owner .fault").forEach((node) => node.remove());
  document.querySelectorAll("#owner [aria-invalid]").forEach((node) => node.removeAttribute("aria-invalid"));
  await placeJunctions();
  const { text, missing, lacking } = ownersText(), was = JSON.parse(JSON.stringify(asked)), same = sameBeds(), piped = sourceNow() === "box";
  // A flow by bucket is a reading too; behind a pump it takes the place of what is reckoned.
  const inflows = Object.fromEntries([...Array(bedCount()).keys()].map((k) => [k, typedIn(`${piped ? "read" : "flow"}-${k}`)]).filter(([, read]) => read).map(([k, read]) => [k, typed(read, flowUnit())]));
  // All that is wrong is told at once: what is missing, what cannot be read, and what else of it cannot be.
  const unread = piped ? Object.entries((await quick.ask({ call: "inflows", flows: inflows, units: state.units })).faults) : [];
  const rows = [...missing.map((one) => ownFault(one.id, MISSING)), ...unread.map(([k, words]) => ownFault(`read-${k}`, words))];
  if (bedsUnread()) rows.unshift(ownFault("beds", `Not read: a whole number from 1 to ${MOST_BEDS} belongs here.`));
  const name = `${fileName(typedIn("title") || "my system")}.toml`, said = $("told").textContent, lacks = lacking.length || rows.length;
  const found = lacks ? await quick.ask({ call: "read", text, name, units: state.units }) : await opening(name, text, null, inflows, piped);
  if (lacks || found.error) {
    // What was drawn before is still what stands below.
    tell(said);
    ownFaults(found, lacking, rows, says);
    return;
  }
  // Drawn again, it is the same garden: what was seen there stays.
  if (same.includes(was.bed)) Object.assign(asked, { symptom: was.symptom, stood: was.symptom && [], beds: was.beds, checks: was.checks, bed: same.indexOf(was.bed) });
  same.forEach((then, k) => { const { inflow, ...read } = was.readings[then] || {}; Object.assign(readOf(k), read); });
  remember();
  const { refused } = found;
  await showAsk();
  arrive();
  if (refused?.error) faulty(refused); else { tell(oddSizes(state.answer) || drawnSo()); offerBack(); }
}

// What is wrong in the form, each at its box, the first in view; what has no box stands below. A box that nothing was
// typed into is at fault only for what does not go together: else it follows from another, and is not told beside it.
const MISSING = "Missing: without it nothing can be drawn.";
function ownFaults(found, lacking, rows, says) {
  const parts = ownerParts().flatMap(([, list]) => list), rest = [], follows = [];
  const at = (one, words, fault) => one ? rows.push(ownFault(one.id, words)) : rest.push(`${fault.named || fault.key}: ${words}`);
  for (const fault of found.faults || []) {
    if (fault.warning) continue;
    const key = fault.key.replace(/^every-bed\b/, "bed").replace(/^bed\[(\d+)\]/, (_, k) => parts.some((one) => one.at === fault.key.replace(/^bed\[\d+\]/, `bed.${k - 1}`)) ? `bed.${k - 1}` : "bed").replace(/\.nominal$/, ".bore");
    const one = parts.find((part) => part.at === key) || parts.find((part) => part.at?.startsWith(`${key}.`));
    const told = [one, inPlainWords(`${fault.says}. ${fault.help}`), fault];
    if (fault.missing || !(fault.together || (one && typedIn(one.id)))) follows.push(told); else at(...told);
  }
  if (found.error && !found.faults) rest.push(found.error);
  // Heights that lead to no length of drain: unless one of them cannot be read.
  const drain = ["floor", "lip", "outlet"].some((id) => rows.includes(document.querySelector(`[data-own="${id}"]`)));
  if (!drain && downOf(0) <= 0 && lacking.some((one) => one.id === "run")) rows.push(ownFault("run", MISSING));
  // Nothing else is wrong: then what could not be worked out has to be told.
  if (!rows.length && !rest.length) for (const one of lacking) rows.push(ownFault(one.id, MISSING));
  if (!rows.length && !rest.length) for (const one of follows) at(...one);
  const boxes = [...new Set(rows.filter(Boolean))].sort((a, b) => a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1);
  const looks = (n) => n === 1 ? "One box of the form needs a look; it is in view." : `${n} boxes of the form need a look; the first is in view.`;
  says.replaceChildren(...(boxes.length ? [make("p", { class: "fault" }, looks(boxes.length))] : []), ...rest.map((line) => make("p", { class: "fault" }, line)));
  const first = boxes[0]?.querySelector("input, select");
  first?.focus({ preventScroll: true });
  boxes[0]?.scrollIntoView({ block: "center", behavior: calm.matches ? "auto" : "smooth" });
}
