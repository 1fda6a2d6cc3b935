// The engine in the page answers as the program does: for every shipped scenario every sentence is
// the same and every number within rounding of the two platforms' mathematics.
import { engine, program, scenario, SCENARIOS, ROOT } from "./program.mjs";
import { join } from "node:path";

const SHARE = 1e-6;
// A float valve that switches all the time: the last digit of the mathematics decides when.
const SHARES = { "does-not-fit.toml": 1e-5 };
const LEAST = 1e-9; // SI; below it a number is rounding
// Sizes of the work, not of the answer, and what is left of water by rounding.
const WORK = /^(work\.|residual)/;

let compared = 0;
const differences = [];

function compare(place, native, page, name) {
  if (typeof native === "number" && typeof page === "number") {
    compared++;
    if (WORK.test(place) || Math.abs(native - page) <= Math.max(LEAST, (SHARES[name] ?? SHARE) * Math.abs(native))) return;
    differences.push(`${name} ${place}: ${native} natively, ${page} in the page`);
  } else if (native && page && typeof native === "object" && typeof page === "object") {
    const keys = new Set([...Object.keys(native), ...Object.keys(page)]);
    for (const key of keys) compare(place ? `${place}.${key}` : key, native[key], page[key], name);
  } else {
    compared++;
    if (native !== page && !/Water balance/.test(String(native))) differences.push(`${name} ${place}: ${JSON.stringify(native)} natively, ${JSON.stringify(page)} in the page`);
  }
}

const ask = await engine();
for (const name of SCENARIOS) {
  const native = JSON.parse(program("run", join(ROOT, "scenarios", name), "--units", "metric", "--json"));
  const answer = ask({ call: "results", text: scenario(name), name, units: "metric" });
  if (answer.error) { differences.push(`${name}: ${answer.error}`); continue; }
  compare("", native, JSON.parse(answer.json), name);
}
console.log(`${compared} figures and sentences of ${SCENARIOS.length} scenarios compared`);
for (const line of differences.slice(0, 60)) console.error(line);
if (differences.length || compared < 1000) { console.error(`${differences.length} differ`); process.exit(1); }
