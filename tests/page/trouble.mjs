// Trouble as it is told on the page: checks where the description is at fault, what helps as a change, one
// more bed, what is printed of what never ran, and what a phone folds.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const CELLAR = readFileSync(new URL("cellar.toml", import.meta.url), "utf8");

export const trouble = ({ opened, page, equal, holds, out }) => {
  const seenWrong = async (tab, symptom) => {
    await tab.click(`[data-symptom="${symptom}"]`);
    await tab.click("#find-now");
    await tab.waitForSelector("#ask-answer section[data-ask]", { timeout: 120_000 });
  };
  const until = (tab, id, says) => tab.waitForFunction(([id, says]) => new RegExp(says).test(document.querySelector(id).textContent), [id, says], { timeout: 60_000 });

  return {
    // A check was promised, and none could be answered; what it found stood second and folded.
    async where_the_description_is_at_fault_what_tells_is_asked_and_answered() {
      const tab = await opened("sump-runs-dry");
      await seenWrong(tab, "overflows-bed");
      const next = tab.locator("#next-check");
      holds(/stand higher than the start/.test(await next.getAttribute("aria-label")), "another check");
      await next.getByRole("button", { name: "Yes" }).click();
      await tab.waitForSelector("#checked", { timeout: 120_000 });
      const first = tab.locator('#ask-answer [data-ask="suspect-0"]');
      holds(/too much water/.test(await first.textContent()), await first.textContent());
      holds(!(await first.evaluate((one) => one.classList.contains("folded"))), "what was found is folded");
      holds(/Looked at and found/.test(await tab.textContent("#ask-answer")), "not in the first lines");
      const dry = await opened("sump-runs-dry");
      await seenWrong(dry, "pump-runs-dry");
      const all = await dry.textContent("#ask-answer");
      holds(!/quick check|answer goes back/i.test(all), all);
    },

    // It was looked at and gone: not saved, and in no list of changes.
    async what_helps_where_nothing_is_broken_is_saved_opened_again_and_undone() {
      const tab = await opened(null, {}, page("cellar", CELLAR));
      await tab.selectOption("#ask-bed", "wall");
      await seenWrong(tab, "never-starts");
      await tab.locator('#ask-answer section:has-text("Nothing is broken") .cure').first().evaluate((button) => button.click());
      await until(tab, "#changes", "Changes made.*What helps is put in");
      const status = (tab) => tab.evaluate(() => [...document.querySelectorAll("#cards .card > .status, #cards .card p > .status")].map((one) => one.textContent));
      await until(tab, "#told", "nothing had to be mended");
      const answers = await status(tab);
      const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#save")]);
      const file = join(out, "helped.toml");
      writeFileSync(file, readFileSync(await download.path(), "utf8"));
      const again = await opened(null, {}, page("cellar", CELLAR));
      await again.setInputFiles("#open", file);
      await until(again, "#changes", "What helps is put in");
      await until(again, "#told", "is open");
      holds(answers.length > 5, "no answers");
      equal(await status(again), answers, "answers of the file");
      await tab.click("#undo-last");
      await tab.waitForFunction(() => !/What helps is put in/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
    },

    // It was like the bed that was open, said nothing of whether that goes, and was undone by "what was open before".
    async one_more_bed_is_like_any_and_says_yes_or_no() {
      const tab = await opened(null, {}, page("cellar", CELLAR));
      await tab.click('#parts [data-part="bed.1"]');
      await tab.selectOption("#one-more-like", "window");
      await tab.getByRole("button", { name: "One more bed like window", exact: true }).click();
      await until(tab, "#told", "One more bed like window\\..*(Yes|No)[,:]");
      await tab.getByRole("button", { name: "Undo: One more bed like window" }).click();
      await until(tab, "#told", "open again");
      equal(await tab.locator("#ask-bed option").count(), 2, "beds");
    },

    // "Just broken" stood under siphons that never ran.
    async what_never_ran_is_not_printed_as_just_broken() {
      const says = async (name) => {
        const tab = await opened(name);
        await tab.evaluate(() => dispatchEvent(new Event("beforeprint")));
        return tab.evaluate(() => [...document.querySelectorAll(".stills figcaption")].map((one) => one.textContent.split(/[,:]/)[0]));
      };
      equal(await says("sump-runs-dry"), ["Fullest"], "a bed that water never fills");
      equal(await says("dribbles"), ["Fullest", "Most water in the drains"], "a siphon that only trickles");
      equal(await says("one-bed-lying-drum"), ["Fullest", "Most water in the drains", "Just broken"], "one that works");
    },

    // Eight thousand pixels stood there at once.
    async a_phone_opens_short_and_reaches_all_by_key() {
      const tab = await opened("four-beds-metric", { folded: true });
      const high = await tab.evaluate(() => document.documentElement.scrollHeight);
      holds(high < 5200, `${high} px`);
      equal(await tab.locator(".way[open]").count(), 0, "folded");
      const folds = tab.locator(".way > summary");
      equal(await folds.count(), 2, "folds");
      for (let n = 0; n < 2; n++) {
        await folds.nth(n).focus();
        await tab.keyboard.press("Enter");
      }
      equal(await tab.locator(".way[open]").count(), 2, "opened by key");
      await tab.evaluate(() => document.querySelectorAll(".way").forEach((one) => { one.open = false; }));
      await tab.click('#jumps a[href="#wrong"]');
      holds(await tab.isVisible("#symptoms"), "a link to what is folded");
      await tab.click("#drawing", { position: { x: 30, y: 30 } }).catch(() => {});
      const desk = await opened("four-beds-metric", { folded: true, viewport: { width: 1600, height: 900 } });
      holds(await desk.isVisible("#symptoms") && await desk.isVisible("#sizes"), "open on a desk");
    },
  };
};
