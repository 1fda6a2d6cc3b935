// Levels and flows as plain SVG on the time of the slider.
const COLOURS = ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9"];
const DASHES = ["", "7 3", "2 3", "9 3 2 3", "12 4", "4 2"];
const curves = { zoom: 2, cursors: [], window: [0, 1] };
const CHART = { width: 640, height: 190, left: 52, right: 8, top: 8, bottom: 26 };

function chartWindow() {
  const s = player.series;
  if (!curves.zoom || !(s.period > 0)) return [0, s.end];
  const wide = Math.min(s.end, curves.zoom * s.period * 1.02), middle = Math.min(s.end - wide / 2, Math.max(wide / 2, player.t));
  return [middle - wide / 2, middle + wide / 2];
}

// Whole parts of a minute, an hour, a day, in seconds.
const CLOCK = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];

// As many as have room.
const onClock = (low, high) => { const room = Math.max(2, Math.min(5, Math.floor(CHART.width / 100))); return marks(low, high, CLOCK.find((one) => one >= (high - low) / room) || 86400 * Math.ceil((high - low) / room / 86400)); };

function rounded(low, high) {
  const span = high - low || 1, raw = span / 4, ten = 10 ** Math.floor(Math.log10(raw));
  return marks(low, high, [1, 2, 5, 10].map((m) => m * ten).find((m) => m >= raw));
}

function marks(low, high, step) {
  const out = [];
  for (let v = Math.ceil(low / step) * step; v <= high + 1e-9; v += step) out.push(Number(v.toPrecision(12)));
  return out;
}

function showCurves() {
  const s = player.series;
  if (!s || !s.time.length) return;
  // As many units as pixels, so that letters keep their size.
  CHART.width = Math.max(300, Math.min(900, $("curves").clientWidth || 340));
  const [from, to] = curves.window = chartWindow();
  const first = Math.max(0, indexAt(s.time, from)), last = Math.min(s.time.length - 1, indexAt(s.time, to) + 1);
  const lengthUnit = isUs() ? "in" : "m", flowUnit = isUs() ? "gal/min" : "L/min";
  const len = (v) => isUs() ? v / INCH : v, flow = (v) => isUs() ? v / GALLON * 60 : v * 6e4;
  const charts = [
    ["Water in the beds", lengthUnit, s.beds.map((bed, n) => [s.names[n], bed.level.map(len)])],
    [s.tank.length ? "Water in sump and fish tank" : "Water in the sump", lengthUnit, [["sump", s.sump.map(len)], ...(s.tank.length ? [["fish tank", s.tank.map(len)]] : [])]],
    ["Flow through the siphons", flowUnit, s.beds.map((bed, n) => [s.names[n], bed.siphon.map(flow)])],
    [s.intoTank.length ? "Flow of the pump, into the beds and the fish tank" : "Flow of the pump and into the beds", flowUnit, [...s.beds.map((bed, n) => [`into ${s.names[n]}`, bed.inflow.map(flow)]), ...(s.intoTank.length ? [["into the fish tank", s.intoTank.map(flow)]] : []), ["pump", s.pump.map(flow)]]],
  ];
  const open = [...$("curves").querySelectorAll("details")].map((one) => one.open);
  curves.cursors = [];
  $("curves").replaceChildren(...charts.map(([says, unit, lines], n) => chart(says, unit, lines, s.time, first, last, from, to, open[n])));
  moveCursor();
}

// Between sample `i` and its neighbour, where the window cuts off.
function valueAt(time, values, i, t) {
  const other = t > time[i] ? i + 1 : i - 1, span = time[other] - time[i];
  return t === time[i] || !span ? values[i] : values[i] + (values[other] - values[i]) * (t - time[i]) / span;
}

function chart(says, unit, lines, time, first, last, from, to, open) {
  const c = CHART, svg = draw("svg", { viewBox: `0 0 ${c.width} ${c.height}`, role: "img", "aria-label": `${says}, ${unit}, over time` });
  let low = Infinity, high = -Infinity;
  for (const [, values] of lines) for (let i = first; i <= last; i++) { if (values[i] < low) low = values[i]; if (values[i] > high) high = values[i]; }
  const least = low < 0 ? -Infinity : 0;
  if (!(high > low)) { low -= 0.5; high = low + 1; }
  const pad = 0.05 * (high - low);
  low = Math.max(least, low - pad); high += pad;
  const x = (t) => c.left + (t - from) / (to - from) * (c.width - c.left - c.right), y = (v) => c.height - c.bottom - (v - low) / (high - low) * (c.height - c.top - c.bottom);
  for (const v of rounded(low, high)) {
    svg.append(draw("path", { d: `M${c.left} ${y(v).toFixed(1)}H${c.width - c.right}`, class: "s-pale", "stroke-width": 1 }), draw("text", { x: c.left - 5, y: y(v) + 4, "text-anchor": "end", "font-size": 12, class: "f-soft" }, v));
  }
  // At the edges a time would be cut off.
  const side = (t) => x(t) > c.width - 44 ? "end" : x(t) < c.left ? "start" : "middle";
  let taken = -Infinity;
  for (const t of onClock(from, to)) {
    // One that would run into the one before is left out.
    const wide = 7 * shownTime(t).length, begins = x(t) - { end: wide, start: 0, middle: wide / 2 }[side(t)];
    if (begins < taken + 6) continue;
    taken = begins + wide;
    svg.append(draw("text", { x: x(t), y: c.height - 8, "text-anchor": side(t), "font-size": 12, class: "f-soft" }, shownTime(t)));
  }
  lines.forEach(([, values], n) => {
    let d = "", px = NaN, py = NaN;
    for (let i = first; i <= last; i++) {
      const at = Math.min(to, Math.max(from, time[i])), a = x(at), b = y(valueAt(time, values, i, at));
      if (Math.abs(a - px) < 0.4 && Math.abs(b - py) < 0.4) continue;
      d += `${d ? "L" : "M"}${a.toFixed(1)} ${b.toFixed(1)}`;
      px = a; py = b;
    }
    svg.append(draw("path", { d, stroke: COLOURS[n % COLOURS.length], "stroke-width": 1.8, "stroke-dasharray": DASHES[n % DASHES.length], "stroke-linejoin": "round" }));
  });
  const cursor = draw("path", { class: "cursor" });
  svg.append(cursor);
  curves.cursors.push({ cursor, x, top: c.top, bottom: c.height - c.bottom });
  svg.addEventListener("pointerdown", (event) => {
    const box = svg.getBoundingClientRect(), at = from + ((event.clientX - box.left) / box.width * c.width - c.left) / (c.width - c.left - c.right) * (to - from);
    player.t = Math.min(player.to, Math.max(player.from, at));
    $("time").value = player.t;
    place();
  });
  const legend = make("ul", { class: "legend" }, ...lines.map(([name], n) => {
    const key = draw("svg", { viewBox: "0 0 28 8", width: 28, height: 8, "aria-hidden": "true" });
    key.append(draw("path", { d: "M0 4H28", stroke: COLOURS[n % COLOURS.length], "stroke-width": 2.5, "stroke-dasharray": DASHES[n % DASHES.length] }));
    return make("li", { dir: "auto" }, key, ` ${name}`);
  }));
  const details = make("details", { open: open || false }, make("summary", {}, "Table"));
  const fill = () => { if (details.open && !details.querySelector("table")) details.append(table(says, unit, lines, time, first, last)); };
  details.addEventListener("toggle", fill);
  fill();
  return make("figure", {}, make("figcaption", {}, `${says}, ${unit}`), svg, legend, details);
}

function table(says, unit, lines, time, first, last) {
  const stride = Math.max(1, Math.ceil((last - first) / 120)), rows = [];
  for (let i = first; i <= last; i += stride) rows.push(make("tr", {}, make("td", { class: "figure" }, shownTime(time[i])), ...lines.map(([, values]) => make("td", { class: "figure" }, round(values[i], unit === "m" ? 3 : 1)))));
  return make("div", { class: "wide", role: "region", tabindex: 0, "aria-label": says }, make("table", {}, make("thead", {}, make("tr", {}, make("th", { scope: "col" }, "Time"), ...lines.map(([name]) => make("th", { scope: "col", dir: "auto" }, `${name}, ${unit}`)))), make("tbody", {}, ...rows)));
}

function moveCursor() {
  const [from, to] = curves.window;
  if (curves.zoom && (player.t < from || player.t > to) && !player.playing) { showCurves(); return; }
  for (const { cursor, x, top, bottom } of curves.cursors) {
    const at = x(player.t).toFixed(1);
    cursor.setAttribute("d", player.t >= from && player.t <= to ? `M${at} ${top}V${bottom}` : "");
  }
}

// On a phone they take two screens: there they stand open for who asks, and on paper.
const chartsOpen = $("charts-open"), narrow = matchMedia("(max-width: 30rem)");
chartsOpen.open = !narrow.matches;
// Sizes and trouble take four: they open for who asks, for who goes to something in them, and where
// something was told of them.
const foldWays = () => { for (const way of document.querySelectorAll(".way")) way.open = !narrow.matches; };
foldWays();
narrow.addEventListener("change", foldWays);
chartsOpen.addEventListener("toggle", () => { if (chartsOpen.open && state.answer) showCurves(); });
addEventListener("beforeprint", () => { chartsOpen.dataset.shut = !chartsOpen.open; chartsOpen.open = true; });
addEventListener("afterprint", () => { chartsOpen.open = chartsOpen.dataset.shut !== "true"; });

for (const button of document.querySelectorAll("[data-zoom]")) {
  button.addEventListener("click", () => {
    curves.zoom = +button.dataset.zoom;
    document.querySelectorAll("[data-zoom]").forEach((one) => one.setAttribute("aria-pressed", one === button));
    showCurves();
  });
}
