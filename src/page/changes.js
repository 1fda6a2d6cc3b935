// Changes in the saved file, a comment line each: opened again the list stands as it stood.
const CHANGE = /^# Change \d+: (.*)\r?(?:\n|$)/gm;
// What the lines above said before the changes were noted there.
const NOTED = /^# Noted with the changes: (.*)\r?(?:\n|$)/m;

// Where the lines of `after` are others: from which line on, how many, and what stood there before.
function unlike(before, after) {
  const a = before.split("\n"), b = after.split("\n");
  const alike = Array.from({ length: a.length + 1 }, () => new Uint16Array(b.length + 1));
  for (let i = a.length - 1; i >= 0; i--) for (let j = b.length - 1; j >= 0; j--) alike[i][j] = a[i] === b[j] ? alike[i + 1][j + 1] + 1 : Math.max(alike[i + 1][j], alike[i][j + 1]);
  const found = [], both = (i, j) => i < a.length && j < b.length;
  for (let i = 0, j = 0; i < a.length || j < b.length;) {
    if (both(i, j) && a[i] === b[j]) { i++; j++; continue; }
    const from = [i, j];
    while ((i < a.length || j < b.length) && !(both(i, j) && a[i] === b[j])) if (j === b.length || (i < a.length && alike[i + 1][j] >= alike[i][j + 1])) i++; else j++;
    found.push([from[1], j - from[1], a.slice(from[0], i)]);
  }
  return found;
}

// The text before a change; lines may have come or gone by hand above it.
function asBefore(after, places, moved = 0) {
  const lines = after.split("\n");
  for (const [at, count, old] of [...places].reverse()) lines.splice(at + moved, count, ...old);
  return lines.join("\n");
}

// JSON that a comment can hold.
const inComment = (value) => JSON.stringify(value).replace(/[\u007f-\u009f\u2028-\u202e\u2066-\u2069]/g, (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`);

// All that is no part of what is only looked at; what a bucket read and steps aside for a trouble stays read.
const allDone = () => [...(state.aside.length ? allRead() : []), ...state.with.filter((one) => !isSupposed(one) && !(state.aside.length && isRead(one)))];
const textWith = (text, ones) => quick.ask(work({ text, call: "read", with: ones.map((one) => one.step) }));

// The file with every change in it, and the lines that take them back.
async function changedText() {
  const made = allDone(), stood = (asked.stood || []).map((step) => JSON.stringify(step));
  let text = unseen(state.text), lines = "";
  for (const [n, one] of made.entries()) {
    const found = await textWith(text, [one]);
    if (found.error) return found;
    lines += `# Change ${n + 1}: ${inComment({ ...one, ...(stood.includes(JSON.stringify(one.step)) ? { stood: true } : {}), lines: unlike(text, found.text) })}\n`;
    text = found.text;
  }
  const noted = noting(text, changesTried(), made);
  return { text: withLines(noted, `${observed()}${lookedFor()}${lines}${noted === text ? "" : `# Noted with the changes: ${inComment(unlike(text, noted))}\n`}`) };
}

const jsonOf = (text) => { try { return JSON.parse(text); } catch { return null; } };
const isPlaces = (found) => Array.isArray(found) && found.every((one) => Array.isArray(one) && one[0] >= 0 && one[1] >= 0 && Array.isArray(one[2]));
const isChange = (one) => Boolean(one?.step) && typeof one.says === "string" && !isSupposed(one) && isPlaces(one.lines) && (!one.told || one.told[0] >= 0);
// How many lines above and below its place a change is looked for.
const FAR = [...Array(40).keys()].flatMap((n) => n ? [n, -n] : [0]);

// Takes the changes of a file back, the last one first, into the list. One that would not give again what stands
// there is none: somebody has edited the file since. Says which.
async function changedAgain() {
  const all = [...state.text.matchAll(CHANGE)].map(([, json]) => jsonOf(json)), ones = all.filter(isChange);
  if (!all.length || state.with.length) return "";
  let text = unseen(state.text).replace(CHANGE, "").replace(NOTED, ""), moved = 0;
  const noted = jsonOf(NOTED.exec(state.text)?.[1]), tried = ones.filter((one) => !isFact(one));
  if (isPlaces(noted)) text = FAR.map((far) => asBefore(text, noted, far)).find((then) => noting(then, tried, ones) === text) ?? text;
  const taken = [], stays = [];
  for (const one of all.reverse()) {
    const was = isChange(one) && await unchanged(text, one, moved), { lines, stood, ...rest } = one || {};
    if (!was) { stays.unshift(isChange(one) ? rest : { says: "a change whose line cannot be read", step: "" }); continue; }
    [text, moved] = was;
    taken.unshift(rest);
    if (stood && asked.symptom) asked.stood.unshift(rest.step);
  }
  Object.assign(state, { text: stays.length ? noting(text, stays, stays) : text, with: taken });
  return stays.length ? `The file was edited since, so this stands as if it were built and cannot be undone: ${stays.map(plainDone).join("; ")}.` : "";
}

async function unchanged(text, one, moved) {
  for (const far of FAR) {
    const was = asBefore(text, one.lines, moved + far);
    if ((await textWith(was, [one])).text === text) return [was, moved + far];
  }
  return null;
}

const PLANNED = /^# Nothing of it has been built\.\r?\n/m;
// What was only tried so far stands there now: no change any more, and undone like any step. What was read and
// seen before is of what stood then; a flow stays where no change touches it.
async function builtNow() {
  const made = changesTried(), was = JSON.parse(JSON.stringify(asked)), { keep } = state, still = made.every(leavesFlows);
  const { text, error } = await textWith(state.text, allDone());
  if (error) { tell(error, true); return; }
  const flows = still ? Object.entries(asked.readings).flatMap(([bed, { inflow }]) => inflow ? [[bed, { inflow }]] : []) : [];
  Object.assign(asked, { symptom: null, stood: null, beds: null, checks: {}, readings: Object.fromEntries(flows) });
  await opening(state.name, savedText(text, made).replace(PLANNED, ""), { says: `Built now: ${made.map(plainDone).join("; ")}`, short: `Built now: ${changesSaid(made.length)}`, asked: was });
  Object.assign(state, { keep });
  remember();
  showSizes();
  tell(`These are built now: changes are told against them from here on. ${was.symptom || Object.keys(was.readings).length ? "What was read and seen before is of what stood then; say anew what you see." : ""}`);
  goTo("told");
  offerBack();
}
