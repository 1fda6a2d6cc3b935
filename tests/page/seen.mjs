// What somebody has seen of a garden that stands: said where it is doubted, kept for each bed, and told whether a
// cure would end it. In a garden of two beds that differ (invented).
import { join } from "node:path";
import { boxAndDrum, dribbles, saved, text } from "./box_and_drum.mjs";
import { program, ROOT } from "./program.mjs";
import { THREE } from "./ways.mjs";

const OTHER = join(ROOT, "scenarios/four-beds-metric.toml");

export const seen = ({ opened, page, ready, settled, equal, holds, out, begun, put }) => {
  const { garden } = boxAndDrum({ opened, page });
  const starts = (tab) => tab.evaluate(() => [...document.querySelectorAll("#cards .card")].find((one) => /Starts/.test(one.textContent)).className);
  const told = (tab, says) => tab.waitForFunction((says) => new RegExp(says).test(document.querySelector("#told").textContent), says, { timeout: 60_000 });

  return {
    // A bed that floods and empties was told that it cannot, and there was no place to say so.
    async whoever_saw_otherwise_says_so_where_it_is_doubted() {
      const tab = await garden();
      equal(/ fail/.test(await starts(tab)), true, "nothing is doubted: choose another garden");
      const says = tab.locator("#cards .otherwise button", { hasText: "B floods and empties" });
      // Causes that were found of the bed that dribbles are not lost for it.
      await dribbles(tab);
      await tab.click("#find-now");
      await tab.waitForSelector("#ask-answer .checks", { timeout: 120_000 });
      const causes = () => tab.locator('#ask-answer [data-ask^="suspect-"]').count(), found = await causes();
      await settled(tab, () => says.first().click());
      equal(await causes(), found, "causes that were found");
      await tab.selectOption("#ask-bed", "1");
      await tab.waitForFunction(() => document.querySelector("#ask-seen").value === "cycles");
      equal(/ fail/.test(await starts(tab)), false, `what was seen is still out of the question: ${await text(tab, "#cards")}`);
      // It is of that bed, and stays with it.
      await tab.selectOption("#ask-bed", "0");
      await tab.waitForFunction(() => document.querySelector("#ask-seen").value === "");
      await tab.reload();
      await ready(tab);
      await tab.selectOption("#ask-bed", "1");
      await tab.waitForFunction(() => document.querySelector("#ask-seen").value === "cycles");
      // What is still to be built nobody has seen.
      const planned = await opened("dribbles");
      holds(/ fail/.test(await starts(planned)), "it would start: choose another scenario");
      equal(await planned.locator(".otherwise").count(), 0, "asked of what is only planned");
    },

    // "Mended" left open whether that ends what was complained of.
    async a_cure_says_whether_what_was_seen_is_gone() {
      const tab = await garden();
      await dribbles(tab);
      equal(await tab.getAttribute('[data-symptom="dribbles"]', "aria-pressed"), "true", "what is complained of");
      await tab.click("#find-now");
      await tab.waitForSelector("#ask-answer .cure", { timeout: 120_000 });
      await settled(tab, () => tab.locator("#ask-answer .cure").first().click());
      await told(tab, "is not to be expected any more");
    },

    // What a bucket had read of one garden stood in the form beside another, and what was seen of it was told of the
    // next garden that was drawn.
    async what_was_read_is_of_its_garden_alone() {
      const { "flow-0": a, "flow-1": b, "flow-2": c, run, ...sizes } = THREE;
      const here = (tab) => tab.evaluate(() => ({
        flows: [...document.querySelectorAll("#owner [id^=own-read], #owner [id^=own-flow]")].map((box) => box.value).filter(Boolean),
        read: [...document.querySelectorAll("#readings [data-reading]")].map((box) => box.value).filter(Boolean),
        seen: [document.querySelector("#ask-seen").value, document.querySelector('#symptoms [aria-pressed="true"]')?.dataset.symptom].filter(Boolean),
      }));
      const titled = (tab, title) => tab.waitForFunction((title) => document.querySelector("#title").textContent.startsWith(title) && document.querySelector("#ask-bed, #ask"), title, { timeout: 60_000 });
      const nothing = { flows: [], read: [], seen: [] }, mine = { flows: ["10", "9", "5"], read: ["10 L/min", "5 min"], seen: ["cycles", "slow-drain"] };
      const tab = await begun();
      const draws = async (title, told) => { await tab.evaluate(() => { document.querySelector("#new-own").open = true; }); await put(tab, { ...told, title }); await tab.click("#own-draw"); await titled(tab, title); await tab.waitForFunction(() => !document.querySelector("#new-own").open); };
      await tab.selectOption("#own-sump", "box");
      await tab.selectOption("#own-source", "box");
      await put(tab, { beds: "3" });
      await put(tab, { ...sizes, most: "4000", lift: "3", supply: "32", "supply-length": "300", branch: "25", "branch-length": "40", "read-0": "10", "read-1": "9", "read-2": "5" });
      await draws("Mine");
      await tab.fill('[data-reading="fill"]', "5 min");
      await tab.press('[data-reading="fill"]', "Tab");
      await tab.selectOption("#ask-seen", "cycles");
      await tab.click('[data-symptom="slow-drain"]');
      equal(await here(tab), mine, "as it was read");
      const file = await saved(tab);

      await tab.setInputFiles("#open", OTHER);
      await tab.waitForFunction(() => document.querySelector("#back"), null, { timeout: 60_000 });
      equal(await here(tab), nothing, "beside another garden");
      await tab.click("#back");
      await titled(tab, "Mine");
      await tab.waitForFunction(() => /What was open before is open again/.test(document.querySelector("#told").textContent), null, { timeout: 60_000 });
      equal(await here(tab), mine, "back");
      // The same beds drawn again keep what was seen and timed there.
      await draws("Mine, measured anew", { "bed-length": "118" });
      equal(await here(tab), mine, "drawn again");
      await draws("Another", { names: "a, b, c", "bed-length": "90", "read-0": "", "read-1": "", "read-2": "" });
      equal(await here(tab), nothing, "of another garden");
      await tab.setInputFiles("#open", { name: "mine.toml", mimeType: "text/plain", buffer: Buffer.from(file) });
      await titled(tab, "Mine");
      await tab.waitForFunction(() => document.querySelector("#own-read-0")?.value === "10" && document.querySelector("#back"), null, { timeout: 60_000 });
      equal(await here(tab), mine, "its file");
      await tab.reload();
      await ready(tab);
      equal(await here(tab), mine, "after a reload");
      equal(tab.heard, [], "console");
    },

    // A page made of a garden's file had its form empty, and who touched only the form lost it to the next file.
    async a_form_is_its_garden_s() {
      const tab = await begun();
      await put(tab, { "bed-length": "120", names: "" });
      await tab.setInputFiles("#open", OTHER);
      await tab.waitForFunction(() => document.querySelector("#back"), null, { timeout: 60_000 });
      equal(await tab.inputValue("#own-bed-length"), "", "beside another garden");
      await tab.click("#back");
      await tab.waitForFunction(() => /What was open before is open again/.test(document.querySelector("#told").textContent), null, { timeout: 60_000 });
      equal(await tab.inputValue("#own-bed-length"), "120", "back");
      equal(await (await garden()).inputValue("#own-tank-over"), "130", "a page with a form's file");
      // Made for inches it is read in inches, and what was typed in centimetres says so.
      const us = join(out, "in-inches.html");
      program("page", join(ROOT, "tests/page/box-and-drum.toml"), "--out", us, "--units", "us", "--force");
      const inches = await opened(null, {}, us);
      equal([await inches.inputValue("#own-tank-over"), await text(inches, "#units")], ["130 cm", "in, gal"], "in the units it was made in");
    },
  };
};
