// What was done, the last at the end: each is taken back in reverse order, and says what it takes back.
const past = [];
// The changes as they stand; nothing while what belongs together is being done.
let stands = null;
const MOST_PAST = 30;

const standing = () => ({ with: state.with.slice(), aside: state.aside.slice() });

// A fault that was mended, or is only supposed, is no change that one makes.
const plainDone = (one) => plainLine(`${one.cured ? "Mended: " : one.trouble ? "Supposed: " : ""}${one.says}`);

// Of two lists of changes, what the later one has done.
function wasDone(was, now) {
  const added = now.filter((one) => !was.includes(one)), gone = was.filter((one) => !now.includes(one));
  const news = added.filter((one) => !isRead(one)), all = news.length ? news : added;
  if (all.length) return { says: all.map(plainDone).join("; "), short: all.length > 1 ? all.every((one) => one.tried) ? `${all.length} steps of the plan` : changesSaid(all.length) : null, supposed: all.some(isSupposed) };
  return gone.length ? { says: `${gone.map((one) => plainLine(one.says)).join("; ")} (was taken back)`, short: gone.length > 1 ? `${changesSaid(gone.length)} taken back` : null } : null;
}

const changesSaid = (n) => n === 1 ? "one change" : `${n} changes`;
// On a button two lines of a phone; whole it stands in the list, and is read out.
const BRIEF = 56;
const inBrief = ({ short, says }) => short || (says.length > BRIEF ? `${says.slice(0, BRIEF).replace(/[\s,;:(]+\S*$/, "")} \u2026` : says);

function putBy(one) {
  past.push(one);
  past.splice(0, past.length - MOST_PAST);
}

// After every change that came about.
function done() {
  if (!stands) return;
  const what = wasDone(stands.with, state.with);
  if (what) putBy({ ...stands, ...what });
  stands = standing();
  showMade();
}

// What belongs to what is being opened is no step of its own.
async function within(act) {
  stands = null;
  const found = await act();
  stands = standing();
  showMade();
  return found;
}

async function undo() {
  const last = past.pop();
  if (!last) return;
  if (last.text != null) { await reopened(last); return; }
  const flows = (all) => Object.assign({}, ...[...all.aside, ...all.with].filter(isRead).map((one) => one.step.flows));
  const now = flows(standing()), then = flows(last);
  for (const bed of new Set([...Object.keys(now), ...Object.keys(then)])) if (now[bed] !== then[bed]) readOf(bed).inflow = then[bed] || "";
  Object.assign(state, { with: last.with.slice(), aside: last.aside.slice() });
  stands = standing();
  await settle(null, true);
  if (JSON.stringify(now) !== JSON.stringify(then)) await showAsk();
}

// What was open before a form, a file or another number of beds.
async function reopened(was) {
  const { asked: seen, owned: form, says, back, supposed, ...rest } = was;
  stands = null;
  Object.assign(state, rest, { before: null, part: null });
  Object.assign(asked, seen);
  owned.told = { ...form };
  showUnits();
  showOwner();
  // What is still looked for is of what was open since.
  for (const engine of slow.values()) engine.end();
  dropPlan();
  dropCut();
  await compared();
  await answered();
  stands = standing();
  showMade();
  remember();
  showAsk();
  tell("What was open before is open again.");
}

// Where the answers are read, what they reckon with is a tap away.
function showMade() {
  const made = changesTried(), looked = state.with.find(isSupposed), last = past[past.length - 1];
  const count = made.length ? [`With ${changesSaid(made.length)}. `] : [];
  const button = last && !(looked && last.supposed) ? [make("button", { type: "button", id: "undo-last", "aria-label": last.back ? null : `Undo ${last.says}`, onclick: undo }, last.back ? last.says : `Undo the last: ${inBrief(last)}`), " "] : [];
  $("made").replaceChildren(...supposedNow(), ...count, ...button, ...(made.length ? [make("button", { type: "button", onclick: () => goTo("changes") }, "See them")] : []));
}

function supposedNow() {
  const looked = state.with.find(isSupposed);
  return looked ? [`Drawn with this ${looked.trouble ? "supposed" : "mended"}: ${looked.says} `, make("button", { type: "button", onclick: () => takeBack(looked) }, "Undo"), " "] : [];
}
