// A garden of two beds that differ, a box fish tank and an upright drum (invented), and what tests do with it.
import { readFileSync } from "node:fs";

const GARDEN = readFileSync(new URL("box-and-drum.toml", import.meta.url), "utf8");

export const text = (tab, id) => tab.evaluate((id) => document.querySelector(id).textContent, id);
export const saved = async (tab) => { const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#save")]); return readFileSync(await download.path(), "utf8"); };
// What a button finds, asked for anew.
export const found = async (tab, button, node, done) => {
  await tab.evaluate((node) => document.querySelector(node).replaceChildren(), node);
  await tab.evaluate((button) => document.querySelector(button).click(), button);
  await tab.waitForSelector(`${node} ${done}`, { timeout: 120_000, state: "attached" });
  return text(tab, node);
};
// The trouble of its second bed, which the file tells already.
export const dribbles = async (tab) => {
  await tab.selectOption("#ask-bed", "1");
  await tab.waitForFunction(() => document.querySelector("#ask-bed").value === "1");
  if (await tab.getAttribute('[data-symptom="dribbles"]', "aria-pressed") !== "true") await tab.click('[data-symptom="dribbles"]');
};

export const boxAndDrum = ({ opened, page, begun }) => ({
  garden: (options) => opened(null, options || {}, page("box-and-drum", GARDEN)),
  // With the form that it was drawn from.
  form: async () => {
    const tab = await begun();
    await tab.setInputFiles("#open", { name: "box-and-drum.toml", mimeType: "text/plain", buffer: Buffer.from(GARDEN) });
    await tab.waitForFunction(() => document.querySelector("#own-tank-over")?.value === "130" && /bucket read/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
    await tab.evaluate(() => { document.querySelector("#new-own").open = true; });
    return tab;
  },
});
