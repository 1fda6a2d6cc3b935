// The drawing: water where the series says, pipes that run, parts to tap.
const player = { t: 0, from: 0, to: 1, playing: false, all: false, last: 0, waters: [], streams: [], parts: new Map(), series: null, shown: "" };
const calm = matchMedia("(prefers-reduced-motion: reduce)");

// What is folded on a narrow screen opens for what is gone to in it.
function unfoldTo(place) {
  for (const fold of [place.closest(".way"), place.querySelector(":scope > .way")]) if (fold) fold.open = true;
}

// A place of the page comes into view, and the keyboard goes on from there.
function goTo(id) {
  const place = $(id);
  if (!place) return;
  unfoldTo(place);
  place.tabIndex = -1;
  place.focus({ preventScroll: true });
  place.scrollIntoView({ behavior: calm.matches ? "auto" : "smooth" });
}

const LITTLE = 1e-6; // m3/s: a drip

function showDrawing(answer) {
  const holder = $("drawing");
  if (answer.scene !== player.shown) {
    holder.innerHTML = answer.scene;
    player.shown = answer.scene;
    const svg = holder.firstElementChild;
    svg.classList.add("moving");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", "The system from the side, to scale; its water moves with the time slider");
    player.waters = [...svg.querySelectorAll("[data-water]")].map((rect) => ({
      rect, key: rect.dataset.water, zero: +rect.dataset.zero, scale: +rect.dataset.scale, bottom: +rect.dataset.bottom, last: null,
    }));
    // What runs part full lies along the pipe's bottom.
    player.streams = [...svg.querySelectorAll(".stream")].map((path) => ({
      path, stations: path.dataset.stations.split(" "), bore: Math.max(1.6, +path.dataset.bore), last: "",
      points: path.dataset.points.split(" ").map((point) => point.split(",").map(Number)),
    }));
    // What is inside a pipe, once more over it: the water that runs.
    for (const pipe of svg.querySelectorAll("[data-part] > .s-low, [data-part] > .s-high")) {
      const run = pipe.cloneNode();
      run.setAttribute("class", "run");
      pipe.after(run);
    }
    player.parts = new Map();
    for (const group of svg.querySelectorAll("[data-part]")) {
      const list = player.parts.get(group.dataset.part) || [];
      player.parts.set(group.dataset.part, [...list, group]);
    }
    markChosen();
  }
  if (answer.series) {
    player.series = opened(answer.series);
    spanChosen();
  }
  place();
}

// Series in SI, and where a key's level stands.
function opened(series) {
  const u = series.units, by = (list, unit) => list.map((value) => value * unit);
  const out = { time: by(series.time, u.time), sump: by(series.sump, u.level), tank: by(series.tank, u.level), intoTank: by(series.into_tank, u.flow), pump: by(series.pump, u.flow), line: by(series.line, u.flow), fill: by(series.fill, u.fill), period: series.period, lasts: series.lasts, names: series.names };
  out.beds = series.beds.map((bed) => ({ level: by(bed.level, u.level), guard: by(bed.guard, u.level), inflow: by(bed.inflow, u.flow), siphon: by(bed.siphon, u.flow), mode: bed.mode }));
  if (series.stream?.beds) out.stream = new Map([["outlet", series.stream.depths[0]], ...series.stream.beds.map((bed, n) => [String(bed), series.stream.depths[n + 1]])]);
  out.end = out.time[out.time.length - 1] || 1;
  return out;
}

function levelsOf(key) {
  const [kind, index] = key.split("."), s = player.series;
  return kind === "sump" ? s.sump : kind === "tank" ? s.tank : kind === "bed" ? s.beds[index]?.level : kind === "guard" ? s.beds[index]?.guard : null;
}

// One cycle, late in the run when it has settled, or all of it.
function spanChosen() {
  const s = player.series, cycle = s.period > 0 ? Math.min(s.period * 1.02, s.end) : s.end;
  const share = (player.t - player.from) / (player.to - player.from);
  [player.from, player.to] = player.all ? [0, s.end] : [Math.max(0, s.lasts - 1.5 * cycle), Math.min(s.lasts, s.lasts - 0.5 * cycle) || s.lasts];
  if (player.to <= player.from) [player.from, player.to] = [0, s.end];
  player.t = player.from + Math.min(1, Math.max(0, share || 0)) * (player.to - player.from);
  $("time").min = player.from; $("time").max = player.to; $("time").value = player.t;
}

function indexAt(time, t) {
  let low = 0, high = time.length - 1;
  while (high - low > 1) { const mid = (low + high) >> 1; if (time[mid] <= t) low = mid; else high = mid; }
  return low;
}

function at(list, i, share) {
  const a = list[i], b = list[Math.min(i + 1, list.length - 1)];
  return a + share * (b - a);
}

// Everything at the time of the slider.
function place() {
  const s = player.series;
  if (!s) return;
  const i = indexAt(s.time, player.t), gap = s.time[Math.min(i + 1, s.time.length - 1)] - s.time[i];
  const share = gap > 0 ? Math.min(1, Math.max(0, (player.t - s.time[i]) / gap)) : 0;
  for (const water of player.waters) {
    const levels = levelsOf(water.key);
    if (!levels || !levels.length) continue;
    const y = Math.min(water.bottom, water.zero - water.scale * at(levels, i, share));
    if (water.last !== null && Math.abs(water.last - y) < 0.02) continue;
    water.last = y;
    water.rect.setAttribute("y", y.toFixed(2));
    water.rect.setAttribute("height", Math.max(0, water.bottom - y).toFixed(2));
  }
  const runs = (part, flow, spilling) => {
    for (const group of player.parts.get(part) || []) {
      group.classList.toggle("flows", flow > LITTLE && !spilling);
      group.classList.toggle("spills", flow > LITTLE && Boolean(spilling));
    }
  };
  runs("supply", at(s.pump, i, share));
  s.beds.forEach((bed, n) => {
    runs(`inlet.${n}`, Math.abs(at(bed.inflow, i, share)));
    const mode = bed.mode[i];
    runs(`drain.${n}`, at(bed.siphon, i, share), mode === "s" || mode === "p");
  });
  // What runs into the tank is its own pipe, not its overflow.
  if (s.intoTank.length) for (const group of player.parts.get("tank") || []) if (group.querySelector(".s-high")) group.classList.toggle("flows", at(s.intoTank, i, share) > LITTLE);
  if (s.stream) for (const stream of player.streams) lies(stream, s.stream, i, share);
  else if (s.line.length) {
    runs("line", at(s.line, i, share), at(s.fill, i, share) < 0.5);
    for (const group of player.parts.get("line") || []) group.dataset.fill = at(s.fill, i, share).toFixed(2);
  }
  $("clock").textContent = shownTime(player.t);
  told(s, i, share);
  moveCursor();
}

// The water along a pipe: from its bottom up to its depth at each station.
function lies(stream, depths, i, share) {
  const deep = stream.stations.map((station) => depths.has(station) ? at(depths.get(station), i, share) / 1000 : 0);
  const bottom = [], top = [];
  stream.points.forEach(([x, y], n) => {
    const low = y + stream.bore / 2;
    bottom.push(`${x} ${low.toFixed(1)}`);
    top.unshift(`${x} ${(low - deep[n] * stream.bore).toFixed(1)}`);
  });
  const d = deep.some((one) => one > 0) ? `M${bottom.join("L")}L${top.join("L")}z` : "";
  if (d !== stream.last) stream.path.setAttribute("d", d);
  stream.last = d;
}

const MODES = { ".": "filling", s: "spilling over the lip", p: "priming", f: "siphon runs full", r: "running on" };
let toldAt = 0;
function told(s, i, share) {
  const now = performance.now();
  if (player.playing && now - toldAt < 250) return;
  toldAt = now;
  const rows = s.beds.map((bed, n) => `${s.names[n]} ${shownHeight(at(bed.level, i, share))}, ${MODES[bed.mode[i]] || ""}`);
  rows.push(`sump ${shownHeight(at(s.sump, i, share))}`);
  if (s.tank.length) rows.push(`fish tank ${shownHeight(at(s.tank, i, share))}`);
  if (s.fill.length && s.line.some((flow) => flow > LITTLE)) rows.push(`drain line ${Math.round(100 * at(s.fill, i, share))} % deep`);
  rows.unshift("Water over the room's floor:");
  const list = $("levels");
  while (list.children.length > rows.length) list.lastChild.remove();
  rows.forEach((row, n) => {
    const item = list.children[n] || list.appendChild(make("li", { dir: "auto" }));
    if (item.textContent !== row) item.textContent = row;
  });
  $("time").setAttribute("aria-valuetext", shownTime(player.t));
}

// A cycle plays in 14 s, a whole run in 60 s.
function frame(now) {
  if (!player.playing) return;
  const seconds = Math.min(0.1, (now - player.last) / 1000);
  player.last = now;
  player.t += seconds * (player.to - player.from) / (player.all ? 60 : 14);
  if (player.t > player.to) player.t = player.from;
  $("time").value = player.t;
  place();
  requestAnimationFrame(frame);
}

function playing(on) {
  player.playing = on;
  $("play").textContent = on ? "❚❚" : "▶";
  $("play").setAttribute("aria-label", on ? "Pause" : "Play");
  $("drawing").firstElementChild?.classList.toggle("still", !on || calm.matches);
  if (on) { player.last = performance.now(); requestAnimationFrame(frame); }
}

$("play").addEventListener("click", () => playing(!player.playing));
$("time").addEventListener("input", () => { player.t = +$("time").value; place(); });
for (const [id, all] of [["span-cycle", false], ["span-all", true]]) {
  $(id).addEventListener("click", () => {
    player.all = all;
    $("span-cycle").setAttribute("aria-pressed", !all);
    $("span-all").setAttribute("aria-pressed", all);
    spanChosen();
    place();
  });
}

// The part nearest to a finger, which is wider than a pipe.
function partAt(x, y) {
  for (const reach of [0, 6, 12, 18]) {
    for (let turn = 0; turn < (reach ? 8 : 1); turn++) {
      const angle = turn * Math.PI / 4;
      const found = document.elementFromPoint(x + reach * Math.cos(angle), y + reach * Math.sin(angle))?.closest?.("#drawing [data-part]");
      if (found) return found.dataset.part;
    }
  }
  return null;
}

$("drawing").addEventListener("click", (event) => {
  const part = partAt(event.clientX, event.clientY);
  if (part) choosePart(part, true);
});
$("drawing").addEventListener("pointermove", (event) => {
  const svg = $("drawing").firstElementChild, water = player.waters[0];
  if (!svg || !water) return;
  const box = svg.getBoundingClientRect(), per = svg.viewBox.baseVal.width / box.width;
  const y = (event.clientY - box.top) * per;
  // The row of drawings whose floor is next below the finger.
  const zero = Math.min(...player.waters.map((one) => one.zero).filter((z) => z >= y - 4), Infinity);
  if (!Number.isFinite(zero)) return;
  const part = partAt(event.clientX, event.clientY);
  $("finger").textContent = `${shownHeight((zero - y) / water.scale)} above the floor${part ? `, ${partName(part)}` : ""}`;
});

// Three moments for print.
function stills() {
  const s = player.series;
  if (!s || !s.beds.length) return;
  const sum = (i) => s.beds.reduce((total, bed) => total + bed.level[i], 0);
  const flow = (i) => s.beds.reduce((total, bed) => total + bed.siphon[i], 0);
  const best = (value) => s.time.reduce((found, _, i) => value(i) > value(found) ? i : found, 0);
  // What never ran is not shown running, what never broke not as just broken.
  const breaks = (bed, i) => i > 0 && "fr".includes(bed.mode[i - 1]) && !"fr".includes(bed.mode[i]);
  const broken = s.time.map((time, i) => time > s.end / 3 && s.beds.some((bed) => breaks(bed, i)));
  const last = best((i) => broken[i] ? -sum(i) : -Infinity), drains = best(flow);
  const moments = [["Fullest", best(sum)], ...(flow(drains) > LITTLE ? [["Most water in the drains", drains]] : []), ...(broken[last] ? [[`Just broken: ${s.beds.flatMap((bed, n) => breaks(bed, last) ? [s.names[n]] : []).join(", ")}`, last]] : [])];
  const keep = player.t;
  const [fullest, ...others] = moments.map(([says, i]) => {
    player.t = s.time[i];
    place();
    const copy = $("drawing").firstElementChild.cloneNode(true);
    copy.querySelectorAll("[id]").forEach((node) => { const id = node.id; node.id = `${id}-${i}`; copy.querySelectorAll(`[clip-path="url(#${id})"]`).forEach((used) => used.setAttribute("clip-path", `url(#${id}-${i})`)); });
    return make("figure", {}, copy, make("figcaption", {}, `${says}, ${shownTime(s.time[i])}`));
  });
  // The first begins the page, where it has room whatever there is to say.
  $("fullest").replaceChildren(fullest);
  $("stills").replaceChildren(...others);
  player.t = keep;
  place();
  $("drawing").classList.add("has-stills");
}
addEventListener("beforeprint", stills);
