// Small helpers. Text of a scenario goes in as text nodes only; markup comes from the engine.
const $ = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";

function make(tag, attributes, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name.startsWith("aria-") && value != null) node.setAttribute(name, String(value));
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  node.append(...children.filter((child) => child != null));
  return node;
}

function draw(tag, attributes, text) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes || {})) node.setAttribute(name, value);
  if (text != null) node.textContent = text;
  return node;
}

const INCH = 0.0254, GALLON = 3.785411784e-3;
const round = (value, digits) => Number(value.toFixed(digits)).toString();
const isUs = () => state.units === "us";
// Elevations and depths near the finger; every other figure is the engine's own text.
// Heights that stand beside one another have one unit.
const shownHeight = (m) => isUs() ? `${round(m / INCH, 1)} in` : `${m.toFixed(3)} m`;
const shownFlow = (q) => isUs() ? `${round(q / GALLON * 60, 1)} gal/min` : `${round(q * 6e4, 1)} L/min`;

function shownTime(s) {
  const h = Math.floor(s / 3600), min = Math.floor(s / 60) % 60, sec = Math.floor(s % 60);
  return h ? `${h} h ${min} min` : min ? `${min} min ${sec} s` : `${sec} s`;
}

// Nothing moves between a finger's going down and its coming up: the tap would land beside.
let held = false;
const ups = [];
const released = () => held ? new Promise((done) => ups.push(done)) : Promise.resolve();
addEventListener("pointerdown", () => { held = true; }, true);
for (const up of ["pointerup", "pointercancel"]) addEventListener(up, () => setTimeout(() => { held = false; ups.splice(0).forEach((done) => done()); }, 30), true);

function tell(text, bad) {
  $("told").textContent = text || "";
  $("told").classList.toggle("bad", Boolean(bad));
}

// Keys for numbers; those of inches have fractions, which a pad of digits has not.
const keypad = () => isUs() ? null : "decimal";

// What a person types: a bare number or fraction gets the unit that stands beside its box.
const NUMBER = /^[-+]?(\d+([.,]\d+)?|[.,]\d+|\d+[ -]\d+\/\d+|\d+([.,]\d+)?\/\d+([.,]\d+)?)$/;
function typed(text, unit) {
  const plain = text.trim().replace(/^"+|"+$/g, "");
  if (!NUMBER.test(plain)) return plain;
  const number = plain.replace(/,/g, ".").replace(/^([-+]?)\./, "$10.");
  return unit ? `${number} ${unit}` : number.includes("/") ? String(+fractionOf(number).toFixed(6)) : number;
}

// "1 1/2" as a number.
const fractionOf = (text) => text.split(/[ -]/).reduce((sum, part) => { const [over, under] = part.split("/"); return sum + over / (under || 1); }, 0);

// A value as the file has it: what is no bare number stands in quotes.
const inFile = (text) => /^[-+]?\d+(\.\d+)?$/.test(text) ? text : JSON.stringify(text);

// What stands grey in an empty box and is not assumed.
const suchAs = (example) => example?.trim() ? `such as ${example}` : example;

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

// What is wrong with a value, as a page says it: nothing is written in quotes here.
const faultWords = (answer) => inPlainWords(answer.faults?.length ? answer.faults.map((one) => `${whose(one.key, one.named)}: ${one.says}. ${one.help}`).join(" ") : answer.error);
// What the engine says of a file, without the file's language.
const inPlainWords = (text) => text.replace(/, in quotes/g, "").replace(/(^|\s)[a-z][\w.-]* = (?:"[^"]*"|[^\s:"]+): /g, "$1");

// Tables of many columns become lists on a narrow screen: each cell knows its heading.
function stackable(node) {
  for (const table of node.querySelectorAll("table")) {
    const heads = [...table.querySelectorAll("thead th")].map((head) => head.textContent);
    if (heads.length < 4) continue;
    table.classList.add("many");
    for (const row of table.querySelectorAll("tbody tr")) [...row.children].forEach((cell, n) => {
      cell.dataset.head = heads[n] || "";
      // Heading and content stand side by side: what a cell says is one piece.
      if (cell.childNodes.length > 1) cell.replaceChildren(make("span", {}, ...cell.childNodes));
    });
  }
  explained(node);
}

// Rows that only somebody at a terminal needs.
const TYPED = ["In the scenario", "Check's name"];
function untyped(node) {
  for (const term of node.querySelectorAll("dt")) if (TYPED.includes(term.textContent.trim())) term.parentElement.remove();
}

// What a size is called by who measures it, and whose it is.
const reached = (field) => field.reaches ? field.reaches.beds || "no bed" : "every bed";
const nameOf = (field) => field.says || spoken(field.key);
function placed(field) {
  const bed = /^bed\[(\d+)\]/.exec(field.key), whose = bed ? state.answer?.beds?.[bed[1] - 1] : field.key.startsWith("every-bed") ? reached(field) : null;
  return whose ? `${whose}: ${nameOf(field)}` : nameOf(field);
}

// The same of a key that may be no field of the form.
function whose(key, named) {
  const field = state.fields.find((one) => one.key === key);
  if (field) return placed(field);
  const alike = state.fields.find((one) => one.written != null && one.key.replace(/\[\d+\]/g, "") === key);
  return alike ? nameOf(alike) : named || key;
}

// A change as the engine writes it, in plain words.
function plainChange(edit) {
  const [, key, gone, value] = /^(\S+)( left out)?(?: = (.*))?$/.exec(edit) || [];
  const field = state.fields.find((one) => one.key === key), bare = (value || "").replace(/"/g, "");
  return key ? `${field ? whose(key) : spoken(key)} ${gone ? "left out" : (field && saidAs(field, bare)) ?? shortly(bare)}` : edit;
}

// How a key reads: "bed[2].standpipe.length" below "bed[2]" is "standpipe length".
const spoken = (key) => key.replace(/^(bed\[\d+\]|every-bed)\.?/, "").replace(/\[(\d+)\]/g, " $1").replace(/[.-]/g, " ") || key;

// A word of the trade that only the list at the end explains leads there.
function explained(node) {
  const walk = document.createTreeWalker(node, NodeFilter.SHOW_TEXT), texts = [];
  while (walk.nextNode()) texts.push(walk.currentNode);
  for (const text of texts) {
    const at = text.data.indexOf("Froude number");
    if (at < 0 || text.parentElement.closest("a")) continue;
    const word = text.splitText(at);
    word.splitText(13);
    word.replaceWith(make("a", { href: "#words", onclick: (event) => { event.preventDefault(); $("words").open = true; goTo("words"); } }, word.data));
  }
}
