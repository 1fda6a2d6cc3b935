// What is open, what was changed, and the engine that answers.
const start = JSON.parse($("start").textContent);
const state = {
  name: start.name, text: start.text, units: start.units, with: [], keep: [], aside: [],
  answer: null, before: null, fields: [], part: null,
};

// An engine in a worker: one question under way, of those that may be dropped only the newest waits.
class Engine {
  constructor(ready) { this.ready = ready; this.waiting = new Map(); this.next = 0; this.busy = false; this.newest = null; }
  async begin() {
    const source = new Blob([$("worker").textContent], { type: "text/javascript" });
    const url = URL.createObjectURL(source);
    this.worker = new Worker(url);
    this.worker.onmessage = (event) => { const { id, ...rest } = event.data; this.waiting.get(id)?.(rest); this.waiting.delete(id); };
    const { module, answer } = await this.send(await this.ready());
    URL.revokeObjectURL(url);
    if (!module) throw new Error(JSON.parse(answer).error);
    return module;
  }
  send(message) {
    if (this.ended) return Promise.resolve({ module: true, answer: this.ended });
    const id = this.next++;
    return new Promise((done) => { this.waiting.set(id, done); this.worker.postMessage({ id, ...message }); });
  }
  async ask(question) { return JSON.parse((await this.send({ question: JSON.stringify(question) })).answer); }
  // While a finger moves: answers only the newest question.
  async live(question, then) {
    if (this.busy) { this.newest = [question, then]; return; }
    this.busy = true;
    then(await this.ask(question));
    this.busy = false;
    const newest = this.newest;
    this.newest = null;
    if (newest) this.live(...newest);
  }
  end(answer = DROPPED) {
    this.ended ||= answer;
    this.worker?.terminate();
    for (const done of this.waiting.values()) done({ module: true, answer: this.ended });
    this.waiting.clear();
  }
}

let kept = null;
const quick = new Engine(() => ({ text: $("engine").textContent }));
// Long questions have engines of their own, so that the drawing stays alive and a cause can be looked
// for while a plan is; a second question of one kind takes the place of the first.
const DROPPED = JSON.stringify({ error: "Asked anew meanwhile.", dropped: true });
const STOPPED = JSON.stringify({ error: "Stopped." });
const slow = new Map();
// How many whole runs a question is worth: as measured on gardens of one to four beds, then as it came out here.
const worth = { why: 60, plan: 20, fit: 30, cut: 10, measure: 10, bears: 3 };
// How long the last whole run took here, in ms.
let took = 0;
// What is under way, about how long that takes, for how long it is, and how to end it.
function waiting(node, says, call) {
  const since = Date.now(), takes = make("span", {}), clock = make("span", { role: "timer" });
  let about = 0;
  const stop = make("button", { type: "button", class: "stop", onclick: () => slow.get(call)?.end(STOPPED) }, "Stop");
  node.replaceChildren(make("p", { class: "waits" }, `${says} `, takes, clock, " ", stop));
  const ticking = setInterval(() => {
    const so = (Date.now() - since) / 1000;
    if (clock.isConnected) clock.textContent = `So far ${shownTime(so)}${about && so > 1.2 * about ? ", longer than thought" : ""}.`; else clearInterval(ticking);
  }, 1000);
  // Nobody counts the seconds of a wait that is soon over.
  return (seconds) => {
    about = Math.round(seconds);
    takes.textContent = about < 5 ? "" : `It takes about ${about < 20 ? `${about} s` : about < 60 ? `${Math.round(about / 10) * 10} s` : `${Math.round(about / 60)} min`}. `;
  };
}
// What takes long is answered by an engine of its own; `says` in `node` until then.
async function long(question, node, says) {
  const { call } = question, mine = new Engine(() => ({ given: kept })), tells = waiting(node, says, call);
  slow.get(call)?.end();
  slow.set(call, mine);
  await mine.begin();
  // One run beside it tells how fast this machine is now, unless that were much of the whole.
  let one = took;
  if (worth[call] >= 10) { const begun = performance.now(); await mine.ask({ ...work({ call: "answer" }), with: question.with }); one = performance.now() - begun; }
  tells((worth[call] || 0) * one / 1000);
  const begun = performance.now(), answer = slow.get(call) === mine ? await mine.ask(question) : JSON.parse(DROPPED);
  if (!answer.error && one > 0 && worth[call]) worth[call] = (performance.now() - begun) / one;
  mine.end();
  return answer;
}

const work = (more) => ({ text: state.text, name: state.name, with: state.with.map((one) => one.step), keep: state.keep, units: state.units, ...more });
const drawingWidth = () => Math.max(300, Math.min(1100, $("drawing").clientWidth || 360));

// While the finger moves, a few cycles are simulated; with the finger off, all of it.
const FEW = 3;
let tried = 0, lastRun = null;
async function answered(more) {
  const mine = ++tried, begun = performance.now(), asks = JSON.stringify(work());
  const answer = await quick.ask(work({ call: "answer", series: true, fields: true, width: drawingWidth(), ...more }));
  // What was simulated already takes no run.
  if (mine === tried && asks !== lastRun) took = performance.now() - begun;
  lastRun = asks;
  await released();
  if (mine === tried) show(answer, false);
  return answer;
}

function tryLive(step) {
  tried++;
  const question = work({ call: "answer", series: true, width: drawingWidth(), hours: FEW });
  question.with = [...question.with.filter((one) => keyOf(one) !== keyOf(step)), step];
  quick.live(question, (answer) => show(answer, true));
}

const keyOf = (step) => typeof step === "string" ? step.split("=")[0].trim() : JSON.stringify(step.do ? { do: step.do } : step);

// A change takes the place of an earlier one of the same key.
function change(step, says) {
  const same = state.with.findIndex((one) => keyOf(one.step) === keyOf(step));
  const was = same < 0 ? says.was : state.with[same].was;
  const one = { step, says: says.says, was, wish: says.wish };
  const before = state.with.slice();
  // A step of a plan that came after it may set the same: the newest has the last word.
  const outdone = state.with.slice(same + 1).some((later) => Array.isArray(later.step));
  if (same >= 0 && !outdone) state.with[same] = one;
  else {
    if (same >= 0) state.with.splice(same, 1);
    state.with.push(one);
  }
  return settle(before, says.wish);
}

// What was measured is no change: the system with it is what changes are compared with.
async function compared() {
  const facts = state.with.filter(isFact), cured = state.with.findIndex((one) => one.cured);
  if (cured >= 0) {
    const ill = [...state.with.slice(0, cured).map((one) => one.step), state.with[cured].cured];
    state.before = await quick.ask(work({ call: "answer", with: ill }));
    return;
  }
  state.before = facts.length < state.with.length ? await quick.ask(work({ call: "answer", with: facts.map((one) => one.step) })) : null;
}

// Answers the work as it now is; what cannot be built is taken back and said.
async function settle(before, facts) {
  if (state.aside.length && !state.with.some(isSupposed)) {
    state.with = [...allRead(), ...state.with.filter((one) => !isRead(one))];
    state.aside = [];
    facts = true;
  }
  if (facts) await compared();
  const answer = await answered();
  if (answer.error && before) {
    state.with = before;
    if (facts) await compared();
    await answered();
    faulty(answer);
    return answer;
  }
  done();
  remember();
  outdated();
  return answer;
}

// What was found before the last change is still there to read, and says so.
const STALE = "Found before the last change: ask again for what holds now.";
function outdated() {
  for (const id of ["plan-answer", "cut-answer"]) {
    const found = $(id);
    if (found.childElementCount && !found.querySelector(".stale")) found.prepend(make("p", { class: "stale" }, STALE));
  }
}

function show(answer, moving) {
  if (answer.error) { faulty(answer); return; }
  // While the finger moves only what is looked at.
  const looked = !moving || inView($("curves"));
  tell(moving ? "" : oddSizes(answer));
  state.answer = answer;
  if (answer.fields) state.fields = answer.fields;
  if (!state.before && state.with.every(isFact)) state.before = answer;
  showAnswer(answer);
  showDrawing(answer);
  if (looked) showCurves();
  if (!moving) { showDry(); showRest(answer); showSizes(); showChanges(); }
}

// Sizes that may be typing errors: nothing is refused for them.
// What is odd of several beds alike is told once, with what to do about it.
function oddSizes(answer) {
  const kinds = new Map(), kind = (one) => one.says.replace(/[\d.,/]+/g, "#");
  for (const one of answer.warnings || []) kinds.set(kind(one), [...(kinds.get(kind(one)) || []), one]);
  return [...kinds.values()].map(([one, ...more]) => `${whose(one.key, one.named)}: ${one.says}: ${one.help}${more.length ? ` (so too ${more.map((other) => whose(other.key, other.named).split(":")[0]).join(", ")})` : ""}`).join("; ");
}

function faulty(answer) {
  tell(faultWords(answer), true);
}

// What markup says: a figure may move by less than is printed.
const readOut = (html) => html.replace(/<[^>]*>/g, "");

function showAnswer(answer) {
  $("title").textContent = answer.title;
  document.title = answer.title;
  $("head").innerHTML = answer.head;
  const cards = $("cards"), was = new Map((state.before?.cards || []).map((one) => [one.asks, one]));
  cards.replaceChildren(...answer.cards.map((one) => {
    const earlier = was.get(one.asks), changed = Boolean(state.before && state.before !== answer && earlier && (earlier.status !== one.status || readOut(earlier.html) !== readOut(one.html)));
    const says = make("span", { class: "says", dir: "auto" });
    says.innerHTML = one.html;
    const before = make("p", { class: "was", dir: "auto" });
    if (changed) before.innerHTML = `${earlier.word} ${earlier.html}`;
    return make("div", { class: `card ${one.status}${changed ? " changed" : ""}` },
      make("p", {}, make("strong", { class: `status ${one.status}` }, one.word), " ", make("b", {}, one.asks), " ", says), changed ? before : null, otherwise(answer, one.asks));
  }));
  // What is not well, beside the slider, wherever one is on the page.
  const ill = answer.cards.filter((one) => one.status !== "pass"), healed = (state.before?.cards || []).filter((one) => one.status !== "pass" && answer.cards.some((now) => now.asks === one.asks && now.status === "pass"));
  const list = [...ill.map((one) => make("span", { class: `status ${one.status}` }, one.asks)), ...(healed.length ? [make("span", {}, `now PASS: ${healed.map((one) => one.asks).join(", ")}`)] : [])];
  // Whose verdict it is, while one's own system is still being typed.
  const example = start.fresh && state.text === start.text && !state.with.length ? ["Example: "] : [];
  $("brief").replaceChildren(...example, make("strong", { class: `status ${answer.verdict}` }, (answer.verdict || "").toUpperCase()), ...list.flatMap((node) => [" ", node]));
}

// Whoever has seen a bed do what is doubted says so where it is doubted; what is still to be built nobody has seen.
function otherwise(answer, asks) {
  // What was taken in is not asked for again.
  const taken = (bed) => asked.readings[bed]?.seen === "cycles" && state.with.some((one) => one.told?.[0] === bed);
  const beds = answer.contested?.[asks] || [], open = beds.filter((bed) => !taken(bed));
  if (!beds.length || !MEASURED.test(state.text)) return null;
  if (!open.length) return make("p", { class: "hint otherwise" }, `What you saw of ${beds.map((bed) => answer.beds[bed]).join(", ")} is taken in: so near its limit a bucket leaves the doubt.`);
  return make("p", { class: "choice otherwise" }, make("span", {}, "It stands, and you saw otherwise?"), ...open.map((bed) => make("button", { type: "button", onclick: (event) => seenOtherwise(bed, event.currentTarget) }, `${answer.beds[bed]} floods and empties`)));
}

function inView(node) {
  const box = node.getBoundingClientRect();
  return box.bottom > 0 && box.top < innerHeight;
}

function showRest(answer) {
  // All else stands under its heading, open or shut as it was; cautions are open.
  const shut = new Map([...$("rest").querySelectorAll("details.part")].map((one) => [one.id, one.open]));
  $("rest").replaceChildren(...answer.parts.filter((part) => part.place !== "lead").map((part) => {
    const id = `part-${part.key}`, body = make("div", {});
    body.innerHTML = part.html;
    stackable(body);
    return make("details", { id, class: "part", open: shut.get(id) ?? part.key === "cautions" }, make("summary", {}, make("h2", {}, part.title)), body);
  }));
}
