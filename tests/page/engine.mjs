// The engine in the page answers as the program does: for every shipped scenario every sentence and
// every number is the same, to the last digit. Both take their mathematics from one library.
import { engine, program, scenario, SCENARIOS, ROOT } from "./program.mjs";
import { join } from "node:path";

let compared = 0;
const differences = [];

function compare(place, native, page, name) {
  if (native && page && typeof native === "object" && typeof page === "object") {
    const keys = new Set([...Object.keys(native), ...Object.keys(page)]);
    for (const key of keys) compare(place ? `${place}.${key}` : key, native[key], page[key], name);
    return;
  }
  compared++;
  if (native !== page) differences.push(`${name} ${place}: ${JSON.stringify(native)} natively, ${JSON.stringify(page)} in the page`);
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
