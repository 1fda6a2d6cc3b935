// What a file tells beside its sizes: what was assumed, measured, changed, read and seen.
const fileName = (title) => title.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "") || "garden";

// What was assumed stands in the file, and here until it is changed.
function assumedKeys(text, changes = state.with) {
  const changed = new Set(changes.map((one) => keyOf(one.step)));
  return (ASSUMED.exec(text)?.[1] || "").split(",").map((key) => key.trim()).filter((key) => key && !changed.has(key));
}

const assumedFields = () => assumedKeys(state.text).map((key) => state.fields.find((field) => field.key === key)).filter((field) => field && (field.written != null || field.default));
const assumedWords = (field) => `${placed(field)} ${field.written == null ? `(${field.default})` : writtenAs(field)}`;
function showAssumed() {
  const fields = assumedFields();
  $("assumed").replaceChildren(...(fields.length ? [make("h3", {}, "Assumed, not measured"), make("div", { class: "choice" }, ...fields.map((field) => make("button", { type: "button", "data-assumed": field.key, onclick: () => goToField(field.key) }, assumedWords(field))))] : []));
}

// A saved file names as assumed only what still is, says what was changed since it was measured, and
// keeps what was read and seen.
const MEASURED = /^# What (?:stands|stood) there, as it was measured(?:; changed since: (.*?))?\.$/m;
const TOLD = /^# Told by the bucket: (.*)\n/m;
// What the bucket tells of each bed nobody told of every bed: what stands there for all was only to begin with.
const toldByBucket = (field) => TOLD.exec(state.text)?.[1] === field.key;
const CHANGED = /^# Changed before it was saved: (.*)\.\n/m;
// A trouble that is only supposed is none.
const changesTried = () => state.with.filter((one) => !isFact(one) && !isSupposed(one));
// The text without what is told of the garden beside its sizes.
const unseen = (text) => text.replace(OBSERVED, "").replace(WISHED, "").replace(FOUND, "");
// What the file says of itself, with `changes` made among `all` that was done.
function noting(text, changes, all) {
  const tried = changes.map(plainDone), before = CHANGED.exec(text)?.[1];
  const noted = text.replace(ASSUMED, () => { const left = assumedKeys(text, all); return left.length ? `# Assumed, not measured: ${left.join(", ")}` : "# Every size was measured or set."; })
    .replace(MEASURED, (line, before) => { const all = [before, ...tried].filter(Boolean); return all.length ? `# What stood there, as it was measured; changed since: ${all.join("; ")}.` : line; })
    .replace(CHANGED, "").replace(TOLD, (line) => changes.every(leavesFlows) ? line : "");
  const since = [before, ...tried].filter(Boolean);
  return since.length && !MEASURED.test(noted) ? withLines(noted, `# Changed before it was saved: ${since.join("; ")}.\n`) : noted;
}
const withLines = (text, lines) => lines && !text.endsWith("\n") ? `${text}\n${lines}` : text + lines;
const lookedFor = () => foundNow().length ? `# Looked for before it was saved: ${foundNow().join(", ")}\n` : "";
const savedText = (text, changes) => withLines(noting(unseen(text), changes, state.with.filter((one) => isFact(one) || changes.includes(one))), wishedFor() + observed() + lookedFor());
// A change that no flow hangs on: what the bucket told holds beside it.
const UNFED = /^((every-bed|bed\[\d+\])\.(standpipe|bell|guard|media|drain)|checks|room|title)\b/;
const leavesFlows = (one) => [one.step].flat().every((edit) => UNFED.test(edit));

// What is wished for is in the file as any size is; this line says that it is a wish, and what was there before.
const WISHED = /^# Wished for: (\S+) = (.*?), before: (.*)\n/m;
const wishedFor = () => state.with.filter((one) => one.wish && one.step.includes(" = ")).map((one) => `# Wished for: ${one.step.replace(/"/g, "")}, before: ${one.was || "nothing"}\n`).join("");
async function wishedAgain() {
  const [, key, to, before] = WISHED.exec(state.text) || [];
  if (!key || state.with.some((one) => one.wish)) return;
  const without = await quick.ask(work({ call: "read", with: [before === "nothing" ? `${key} left out` : `${key} = ${before}`] }));
  if (without.error) return;
  state.text = without.text.replace(WISHED, "");
  state.with.push({ step: `${key} = ${to}`, says: `Dry gravel wanted ${to}`, was: before === "nothing" ? "" : before, wish: true });
}

// All that a file tells beside its sizes is there before anything is judged: a verdict without it would be
// another one a moment later.
async function asTold(inflows) {
  const stays = await changedAgain();
  const refused = await toldAgain(inflows);
  await wishedAgain();
  return { stays, refused };
}

const plainLine = (text) => text.replace(/[\u0000-\u001f\u007f-\u009f\u2028-\u202e]+/g, " ").replace(/\.+$/, "").trim();

// What was read with bucket, watch and tape, seen and checked: comments, one line each.
const OBSERVED = /^# (Read|Seen) at bed (\d+): (.*)\n/gm;
function observed() {
  const line = (what, bed, told) => pairsOf(told) ? `# ${what} at bed ${+bed + 1}: ${pairsOf(told)}\n` : "";
  const seen = { symptom: asked.symptom, beds: asked.symptom && asked.beds ? String(asked.beds) : "", ...Object.fromEntries(Object.entries(asked.checks).map(([cause, yes]) => [cause, yes ? "yes" : "no"])) };
  return Object.entries(asked.readings).map(([bed, mine]) => line("Read", bed, mine)).join("") + line("Seen", asked.bed, seen);
}

// A file that says so, opened, is again what the bucket told, and so are `inflows` that were just typed: the readings
// stand beside the answers, and valves that nobody read stay untold. They were read of what stands there, so they
// change nothing. What cannot be read is refused.
async function toldAgain(inflows) {
  if (state.with.length || !(inflows || TOLD.test(state.text))) return null;
  const { beds = [] } = await quick.ask(work({ call: "read" })), all = allRead(beds), found = await textWith(state.text, all);
  if (!found.error) state.with.push(...all);
  return found.error ? found : null;
}

function takeUp(text) {
  Object.assign(asked, { readings: {}, checks: {}, symptom: null, stood: null, beds: null, bed: 0 });
  for (const [, what, bed, rest] of text.matchAll(OBSERVED)) {
    const pairs = pairsIn(rest);
    if (what === "Read") Object.assign(readOf(bed - 1), Object.fromEntries(pairs));
    else for (const [key, text] of pairs) {
      asked.bed = bed - 1;
      // It was seen of what the file tells, whatever is changed from here on.
      if (key === "symptom") asked.stood = [];
      if (key === "symptom") asked.symptom = text; else if (key === "seen") readOf(asked.bed).seen = text; else if (key === "beds") asked.beds = +text; else asked.checks[key] = text === "yes";
    }
  }
}
