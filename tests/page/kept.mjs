// What is changed and saved is changed, not built: opened again it can be undone, until somebody says that it is built.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { program, scenario } from "./program.mjs";
import { saved, text } from "./box_and_drum.mjs";

const TUBS = readFileSync(new URL("two-tubs.toml", import.meta.url), "utf8");

export const kept = ({ opened, page, ready, settled, equal, holds, out, PHONE }) => {
  const list = (tab) => tab.evaluate(() => [...document.querySelectorAll("#changes li span")].map((one) => one.textContent));
  const said = (tab, words) => tab.waitForFunction((words) => new RegExp(words).test(document.querySelector("#told").textContent), words, { timeout: 60_000 }).catch(async () => { throw new Error(await text(tab, "#told")); });
  const set = async (tab, part, key, value) => {
    await tab.click(`#parts [data-part="${part.replace(/^\w+/, (role) => role === "siphon" ? "bed" : role)}"]`);
    if (part.startsWith("siphon")) await tab.click(`#parts [data-part="${part}"]`);
    const box = tab.locator(`#sizes [data-key="${key}"] .entry input`).first();
    await tab.evaluate(() => document.querySelectorAll("#sizes details").forEach((one) => { one.open = true; }));
    await settled(tab, async () => { await box.fill(value); await box.press("Tab"); });
  };
  const opens = async (tab, text, name = "again.toml") => {
    await tab.setInputFiles("#open", { name, mimeType: "text/plain", buffer: Buffer.from(text) });
    await said(tab, "is open");
  };
  // What is being looked for takes its time.
  const bare = (file) => file.replace(/^# Looked for .*\n/m, "");
  // What is judged now and what was before, without what only moves while it plays.
  const judged = (tab) => tab.evaluate(() => [document.querySelector("#head").textContent, ...[...document.querySelectorAll("#cards .card")].map((one) => one.textContent)]);
  // One size, a step of the whole, a power cut as a new table, and what a plan brings.
  const changed = async () => {
    const tab = await opened("does-not-fit");
    await tab.waitForSelector("#try-all", { timeout: 240_000 });
    await settled(tab, () => tab.click("#try-all"));
    await set(tab, "siphon.0", "bed[1].bell.clearance", "23");
    await tab.click('#parts [data-part="sump"]');
    await settled(tab, async () => { await tab.fill("#move-raise-all", "3"); await tab.press("#move-raise-all", "Tab"); });
    await tab.click('#parts [data-part="pump"]');
    await settled(tab, () => tab.click("text=The power fails at the worst moment"));
    return tab;
  };

  return {
    // Opened, the file told its changed sizes as if they were built, with no way back.
    async what_was_changed_is_changed_and_not_built_when_a_file_is_opened_again() {
      const tab = await changed(), file = await saved(tab), path = join(out, "changed.toml");
      const all = await list(tab), answers = await judged(tab);
      holds(all.length >= 4, `changes: ${all}`);
      writeFileSync(path, file);
      holds(answers[0].includes(JSON.parse(program("run", path, "--json")).headline), "the program reads other sizes");
      const other = await opened("one-bed-lying-drum");
      await opens(other, file);
      equal(await list(other), all, "the list of changes");
      equal(await judged(other), answers, "answers, and what they were before");
      holds(await other.locator(".card .was").count() > 0, "nothing says what was before");
      equal(bare(await saved(other)), bare(file), "saved again");
      // From the middle, by one, and then all.
      await settled(other, () => other.locator("#changes li").nth(all.length - 3).locator("button").click());
      equal(await list(other), all.filter((_, k) => k !== all.length - 3), "one undone");
      await settled(other, () => other.click("#undo-all"));
      equal(bare(await saved(other)), scenario("does-not-fit.toml"), "what stood there at first, to the letter");
      equal(other.heard, [], "console");
      // A page written of the file has them, too.
      const written = await opened(null, {}, page("changed-page", file));
      equal(await list(written), all, "on a page of its own");
      await written.reload();
      await ready(written);
      equal(await list(written), all, "after a reload");
    },

    async a_file_edited_by_hand_says_which_change_no_longer_fits_and_keeps_the_others() {
      const tab = await changed(), file = await saved(tab), all = await list(tab);
      const other = await opened("one-bed-lying-drum");
      // Lines above, another size and a comment are no matter.
      const more = `# Mine.\n# Another.\n${file.replace(/^intake-level = .*$/m, (line) => `${line} # as on Sunday`)}`;
      holds(more.includes("as on Sunday"), more);
      await opens(other, more);
      equal(await list(other), all, "lines were added");
      await settled(other, () => other.click("#undo-all"));
      equal(bare(await saved(other)), `# Mine.\n# Another.\n${scenario("does-not-fit.toml").replace(/^intake-level = .*$/m, (line) => `${line} # as on Sunday`)}`, "comments");
      // What was changed was set to something else.
      holds(/clearance = "23 mm"/.test(file), file);
      await opens(other, file.replace('clearance = "23 mm"', 'clearance = "24 mm"'));
      await said(other, "edited since, so this stands as if it were built.*23 mm");
      const left = await list(other);
      holds(left.length >= 1 && !left.some((one) => /23/.test(one)), `left: ${left}`);
      holds((await saved(other)).includes('clearance = "24 mm"'), "what was set by hand");
      // Lines that nobody can read do no harm.
      await opens(other, file.replace(/^# Change 1: .*$/m, '# Change 1: {"says":1,"step":{"do":"__proto__"},"lines":[[0,900,["x"]]]}').replace(/^# Change 2: .*$/m, "# Change 2: {{{"));
      await said(other, "whose line cannot be read");
      equal(other.heard, [], "console");
    },

    async what_was_read_seen_assumed_and_wished_for_stays_so_beside_changes() {
      const tab = await opened(null, {}, page("two-tubs", TUBS));
      await tab.fill("#dry", "2");
      await settled(tab, () => tab.press("#dry", "Tab"));
      await set(tab, "siphon.0", "bed[1].standpipe.length", "8");
      await tab.click('[data-symptom="runs-on"]');
      await set(tab, "siphon.1", "bed[2].standpipe.length", "8");
      const all = await list(tab), file = await saved(tab), other = await opened("one-bed-lying-drum");
      await opens(other, file);
      equal(await list(other), all, "the list");
      equal(await other.getAttribute('[data-symptom="runs-on"]', "aria-pressed"), "true", "what was seen");
      equal(bare(await saved(other)), bare(file), "saved again");
    },

    async what_is_built_now_is_no_change_any_more() {
      const tab = await opened("one-bed-lying-drum");
      await tab.fill('[data-reading="fill"]', "9 min");
      await tab.press('[data-reading="fill"]', "Tab");
      await set(tab, "siphon.0", "bed[1].standpipe.length", "205");
      const answers = (await judged(tab))[0], before = await text(tab, "#changes");
      await settled(tab, () => tab.click("#built-now"));
      await said(tab, "built now: changes are told against them");
      equal([(await judged(tab))[0], await list(tab), await tab.locator(".card .was").count()], [answers, [], 0], "as it stands now");
      holds(/Changed before: .*205/.test(await text(tab, "#changes")), await text(tab, "#changes"));
      equal(await tab.inputValue('[data-reading="fill"]'), "", "what was read of what stood before");
      const file = await saved(tab);
      holds(!/^# Change \d/m.test(file) && /length = "205 mm"/.test(file), file);
      // Undone like any step.
      holds(/Undo the last: Built now: one change/.test(await text(tab, "#undo-last")), await text(tab, "#made"));
      await tab.click("#undo-last");
      await tab.waitForFunction((before) => document.querySelector("#changes").textContent === before, before, { timeout: 60_000 });
      equal(await tab.inputValue('[data-reading="fill"]'), "9 min", "what was read");
    },

    // Four steps at once made a button 231 px high.
    async a_button_that_undoes_much_is_short_and_says_what_it_undoes() {
      const tab = await opened("does-not-fit", { viewport: PHONE });
      await tab.waitForSelector("#try-all", { timeout: 240_000 });
      await settled(tab, () => tab.click("#try-all"));
      const [words, high, whole] = await tab.evaluate(() => { const button = document.querySelector("#undo-last"); return [button.textContent, button.getBoundingClientRect().height, button.getAttribute("aria-label")]; });
      holds(/^Undo the last: \d+ steps of the plan$/.test(words), words);
      holds(high <= 60, `${high} px high: ${words}`);
      for (const one of await list(tab)) holds(whole.includes(one.replace(/ \(was .*\)$/, "").replace(/\.$/, "")), `${whole} without ${one}`);
    },
  };
};
