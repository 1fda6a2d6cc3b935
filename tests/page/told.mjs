// What was told once stays told: in a form's file opened again, beside a bed that came, on paper, while one waits.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const CELLAR = readFileSync(new URL("cellar.toml", import.meta.url), "utf8");
const TUBS = readFileSync(new URL("two-tubs.toml", import.meta.url), "utf8");

export const told = ({ opened, page, ready, equal, holds, out, begun, put, THREE }) => {
  const saved = async (tab) => { const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#save")]); return readFileSync(await download.path(), "utf8"); };
  const choose = async (tab, told) => { for (const [key, value] of Object.entries(told)) await tab.selectOption(`#own-${key}`, value); };
  const { run, "flow-0": a, "flow-1": b, "flow-2": c, ...SIZES } = THREE;
  const PIPED = { ...SIZES, most: "4000", lift: "3", supply: "32", "supply-length": "300", inlet: "130", branch: "25", "branch-length": "40" };
  const drawn = async (tab, title) => {
    await tab.fill("#own-title", title);
    await tab.click("#own-draw");
    await tab.waitForFunction((title) => document.querySelector("#title").textContent === title, title, { timeout: 60_000 }).catch(async () => { throw new Error(await tab.textContent("#own-says")); });
  };
  const bucketRead = (tab) => tab.waitForFunction(() => /bucket read/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });

  return {
    // The tank could be chosen only once the flow was said to come from a pump, two menus farther up.
    async a_fish_tank_is_chosen_where_the_sump_is_and_has_a_valve_of_its_own() {
      const tab = await begun();
      await choose(tab, { fish: "branch", sump: "box", "tank-valve": "ball" });
      const group = await tab.evaluate(() => document.querySelector("#own-fish").closest("fieldset").contains(document.querySelector("#own-sump")));
      holds(group, "the tank is not asked where the sump is");
      await choose(tab, { "tank-shape": "box" });
      await put(tab, { ...PIPED, "tank-length": "100", "tank-width": "70", "tank-depth": "60", "tank-floor": "60", "tank-over": "110", "tank-inlet": "130", "tank-pipe": "20", "tank-run": "80", "tank-open": "40" });
      await drawn(tab, "With a tank");
      const text = await saved(tab);
      holds(/\[tank\][^[]*valve = \{ ball = "?40 ?%"? \}/.test(text), text);
      // The length of its branch overwrote its own.
      holds(/\[tank\]\nshape = \{ box = \{ length = "100 cm"/.test(text) && /\[tank\][^[]*length = "80 cm"/.test(text), text);
      // Without the tank the flow is asked as before.
      await tab.click("#new-own summary");
      await choose(tab, { fish: "none" });
      holds(await tab.isVisible("#own-source"), "how the flow is known is asked");
    },

    // What the bucket had told of valves came back as if somebody had set every one to a half.
    async a_form_s_file_opened_again_is_told_by_the_bucket_as_before() {
      const tab = await begun();
      await choose(tab, { sump: "box", source: "box", valve: "ball" });
      await put(tab, { ...PIPED, "read-0": "10", "read-1": "9", "read-2": "5" });
      await drawn(tab, "Told");
      await bucketRead(tab);
      const seen = async (tab) => [await tab.textContent("#cards"), await tab.textContent("#plan .unread"), await tab.locator("#own-open").count(), await tab.evaluate(() => [...document.querySelectorAll("#changes li span")].map((one) => one.textContent))];
      const first = await seen(tab), file = join(out, "told.toml");
      holds(first[1].length > 0, "the bucket tells nothing");
      writeFileSync(file, await saved(tab));
      const change = async (key, value) => { const box = tab.locator(`#sizes [data-key="${key}"] input[type="text"]`); await box.fill(value); await box.press("Tab"); await tab.waitForFunction((n) => document.querySelectorAll("#changes li").length === n, changed += 1, { timeout: 60_000 }); };
      let changed = await tab.locator("#changes li").count();
      await tab.click('#parts [data-part="every"]');
      await change("every-bed.standpipe.length", "205");
      holds(/^# Told by the bucket/m.test(await saved(tab)), "a cut pipe changes no flow");
      await tab.click('#parts [data-part="supply"]');
      await change("supply.pipe.length", "500");
      holds(!/^# Told by the bucket/m.test(await saved(tab)), "another pipe changes every flow");
      const again = await begun();
      await again.setInputFiles("#open", file);
      await bucketRead(again);
      equal(await seen(again), first, "opened again");
      await again.click('#parts [data-part="every"]');
      equal(await again.locator('#sizes [data-key="every-bed.inlet.valve.ball"]').count(), 0, "an opening that no bed has");
      // Taken out, it stays out.
      await again.locator("#changes li", { hasText: "bucket read" }).locator("button").click();
      await again.waitForFunction(() => !/bucket read/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
      await again.reload();
      await ready(again);
      holds(!/bucket read/.test(await again.textContent("#changes")), "back though it was taken out");
    },

    async the_chart_of_the_pump_shows_what_the_fish_tank_gets() {
      const tab = await opened("whole-loop");
      holds((await tab.locator("#curves .legend").allTextContents()).some((text) => text.includes("into the fish tank")), "no flow into the tank");
      const none = await opened(null, {}, page("two-tubs", TUBS));
      holds(!(await none.textContent("#curves")).includes("fish tank"), "a tank that is not there");
    },

    async what_was_found_stays_where_a_bed_comes() {
      const tab = await opened(null, {}, page("two-tubs", TUBS));
      await tab.click('[data-symptom="runs-on"]');
      await tab.click("#find-now");
      await tab.waitForSelector('#ask-answer [data-ask="suspect-0"]', { timeout: 120_000 });
      const first = await tab.textContent('#ask-answer [data-ask="suspect-0"] dl');
      await tab.click('#parts [data-part="bed.0"]');
      await tab.click("text=One more bed like kale");
      await tab.waitForFunction(() => document.querySelector("#told").textContent.includes("One more bed"), null, { timeout: 60_000 });
      equal(await tab.textContent('#ask-answer [data-ask="suspect-0"] dl'), first, "what was found");
      equal(await tab.locator("#ask-answer .stale").count(), 1, "told as of before");
      equal(await tab.locator("#ask-answer .cure, #ask-answer .trouble").count(), 0, "acts on beds that were");
      // Asked again, the answer takes its place: with three beds the sump runs dry, and what tells is asked.
      await tab.click("#find-now");
      await tab.waitForFunction(() => /That check said/.test(document.querySelector("#ask-answer").textContent) && !document.querySelector("#ask-answer .stale:not(.of-other)"), null, { timeout: 120_000 });
    },

    // Sheets told no time, one more bed had no clock: what waits says what is done, about how long it takes, and can be
    // ended. The clock of this page runs a thousand times as fast: every run is a long one.
    async who_waits_long_is_told_how_long() {
      const tab = await opened(null, {}, page("two-tubs", TUBS));
      await tab.context().addInitScript(() => { const now = performance.now.bind(performance); performance.now = () => 1000 * now(); });
      await tab.reload();
      await ready(tab);
      await tab.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
      const waits = async (node, act, says) => {
        await tab.evaluate((node) => {
          const box = document.querySelector(node);
          window.said = [];
          new MutationObserver(() => window.said.push(`${box.textContent}${box.querySelector(".stop") ? "" : " for ever"}`)).observe(box, { childList: true, subtree: true, characterData: true });
        }, node);
        await act();
        await tab.waitForFunction((says) => window.said.some((one) => new RegExp(says).test(one)), says, { timeout: 60_000 }).catch(async () => { throw new Error(`${node}: ${JSON.stringify(await tab.evaluate(() => window.said))}`); });
      };
      const takes = "It takes about \\d+ (s|min)\\. (So far [^.]*\\. )?.*Stop(?!.* for ever)";
      await tab.click('[data-symptom="runs-on"]');
      await waits("#ask-answer", () => tab.click("#find-now"), `^Simulating what may be wrong . ${takes}`);
      await waits("#cut-answer", () => tab.click("#find-cut"), `^Simulating lengths . ${takes}`);
      await waits("#told", () => tab.click(".one-more"), `One more bed like kale.*Simulating whether the system bears it . ${takes}`);
      await tab.waitForFunction(() => /One more bed like kale.* (Yes|No)[,:]/.test(document.querySelector("#told").textContent), null, { timeout: 60_000 });
      const fresh = await begun();
      await fresh.evaluate(() => { document.querySelector("#new-facts").open = true; new MutationObserver((all) => { window.stops ||= all.some((one) => [...one.addedNodes].some((node) => node.querySelector?.(".stop"))); }).observe(document.querySelector("#facts"), { childList: true, subtree: true }); });
      await fresh.click("#draft");
      await fresh.waitForFunction(() => window.stops, null, { timeout: 60_000 });
    },

    // It told half of what it took. On this machine a plan takes fifty runs.
    async how_long_it_takes_is_what_it_took_here() {
      const tab = await opened("dribbles");
      await tab.context().addInitScript(() => {
        let clock = 0;
        performance.now = () => clock;
        window.Worker = class extends Worker { postMessage(message) { clock += /"call":"plan"/.test(message.question) ? 50_000 : 1000; super.postMessage(message); } };
      });
      await tab.reload();
      await ready(tab);
      await tab.waitForSelector("#plan-answer section", { timeout: 120_000 });
      await tab.evaluate(() => { const box = document.querySelector("#plan-answer"); new MutationObserver(() => { window.said = `${window.said || ""}${box.textContent}`; }).observe(box, { childList: true, subtree: true, characterData: true }); });
      await tab.click("#find-plan");
      await tab.waitForSelector("#plan-answer section", { timeout: 120_000 });
      holds(/It takes about 50 s\./.test(await tab.evaluate(() => window.said)), await tab.evaluate(() => window.said));
    },

    // Undone at the drawing, a step still said that it was tried, and could not be tried again.
    async a_tried_step_that_is_undone_can_be_tried_again() {
      const tab = await opened("dribbles");
      await tab.click("#find-plan");
      const step = tab.locator("#plan-answer .try").first();
      await step.waitFor({ timeout: 120_000 });
      const asked = await step.textContent();
      const tried = () => tab.waitForFunction(() => /^Tried: now (PASS|WARN|FAIL)$/.test(document.querySelector("#plan-answer .try").textContent), null, { timeout: 60_000 });
      await step.click();
      await tried();
      await tab.click("#undo-last");
      await tab.waitForFunction((asked) => document.querySelector("#plan-answer .try").textContent === asked, asked, { timeout: 60_000 });
      await step.click();
      await tried();
      holds(await step.isDisabled(), "it is tried");
    },

    async beside_what_to_do_a_plan_is_folded() {
      const tab = await opened("does-not-fit");
      await tab.waitForSelector("#plan-answer [data-plan]", { timeout: 120_000 });
      const open = await tab.evaluate(() => [...document.querySelectorAll("#plan-answer [data-plan]:not(.folded)")].map((one) => one.dataset.plan));
      equal(open, ["what-to-do"], "unfolded");
      holds(await tab.locator("#plan-answer .folded").count() > 0, "nothing is folded");
    },

    // What was wished for came back as a size like any other, that nobody could take out.
    async a_wish_opened_again_is_a_wish() {
      const wished = (tab) => tab.waitForFunction(() => /Dry gravel wanted 60 mm/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
      const tab = await opened("one-bed-lying-drum");
      await tab.fill("#dry", "60");
      await tab.press("#dry", "Tab");
      await wished(tab);
      const text = await saved(tab), file = join(out, "wished.toml");
      writeFileSync(file, text);
      const other = await opened("dribbles");
      await other.setInputFiles("#open", file);
      await wished(other);
      equal(await saved(other), text, "saved once more");
      await other.locator("#changes li", { hasText: "Dry gravel wanted" }).locator("button").click();
      await other.waitForFunction(() => !/Dry gravel wanted/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
      holds(!/dry-layer = "60 mm"|Wished/.test(await saved(other)), "still wished for");
    },

    // Causes and sheets had to be asked for again, from a file that told the trouble.
    async what_was_looked_for_is_there_when_opened_again() {
      const tab = await opened(null, {}, page("two-tubs", TUBS));
      holds(!(await saved(tab)).includes("Looked for"), "nothing was looked for");
      await tab.click('[data-symptom="runs-on"]');
      await tab.click("#find-now");
      await tab.waitForSelector('#ask-answer [data-ask="suspect-0"]', { timeout: 120_000 });
      await tab.click("#find-cut");
      await tab.waitForSelector("#cut-answer .sheet", { timeout: 120_000 });
      const file = join(out, "looked.toml");
      writeFileSync(file, await saved(tab));
      const other = await opened("one-bed-lying-drum");
      await other.setInputFiles("#open", file);
      await other.waitForSelector('#ask-answer [data-ask="suspect-0"]', { timeout: 120_000 });
      await other.waitForSelector("#cut-answer .sheet", { timeout: 120_000 });
      equal(await other.locator("#plan-answer section").count(), 0, "a plan that nobody asked for");
    },

    // The plan said something else than to clear the pipe that the check had found blocked.
    async what_a_check_has_found_the_plan_says_first() {
      const tab = await opened(null, {}, page("two-tubs", TUBS));
      await tab.click('[data-symptom="runs-on"]');
      await tab.click("#find-now");
      await tab.waitForSelector('#ask-answer [data-ask="suspect-0"]', { timeout: 120_000 });
      const check = tab.locator('#ask-answer section[data-ask^="suspect-"] .checks:not(:has-text("gravel"))').first();
      const asks = await check.getAttribute("aria-label");
      await tab.evaluate(() => document.querySelectorAll("#ask-answer .folded").forEach((one) => one.classList.remove("folded")));
      await check.locator("text=Yes").click();
      await tab.waitForSelector("#checked", { timeout: 120_000 });
      holds((await tab.textContent("#checked")).toLowerCase().includes(asks.toLowerCase()), asks);
      await tab.click("#find-plan");
      await tab.waitForSelector("#plan-answer [data-plan]", { timeout: 120_000 });
      holds(/First what the check at/.test(await tab.textContent("#plan-answer")), (await tab.textContent("#plan-answer")).slice(0, 300));
      // An answer taken back is in no plan.
      await tab.click("#checked button");
      await tab.waitForFunction(() => !document.querySelector("#checked"), null, { timeout: 120_000 });
      equal(await tab.textContent("#plan-answer"), "", "a plan of an answer that was taken back");
    },

    // Buttons to print and put in stood under sheets that were gone.
    async sheets_of_what_was_open_before_leave_no_button() {
      const tab = await opened("one-bed-lying-drum");
      await tab.click("#find-cut");
      await tab.waitForSelector("#put-cut:visible", { timeout: 120_000 });
      const file = join(out, "tubs.toml");
      writeFileSync(file, TUBS);
      await tab.setInputFiles("#open", file);
      await tab.waitForFunction(() => !document.querySelector("#cut-answer .sheet"), null, { timeout: 60_000 });
      equal(await tab.locator("#print-cut:visible, #put-cut:visible").count(), 0, "buttons without sheets");
    },

    async a_drum_is_chosen_by_its_name() {
      const tab = await begun();
      await choose(tab, { drum: "barrel" });
      const { "sump-length": length, "sump-width": width, "sump-depth": depth, ...sizes } = THREE;
      await put(tab, sizes);
      await drawn(tab, "A barrel");
      const text = await saved(tab);
      holds(/lying-cylinder = \{ diameter = "57.2 cm", length = "85.1 cm" \}/.test(text), text);
      holds(/^# Assumed.*sump\.shape\.lying-cylinder\.diameter/m.test(text), "nobody measured it");
    },

    async a_word_that_only_the_list_explains_leads_there() {
      const tab = await opened("little-to-spare");
      await tab.evaluate(() => { document.querySelectorAll("#rest details").forEach((one) => { one.open = true; }); });
      await tab.locator('#rest a[href="#words"]', { hasText: "Froude number" }).first().click();
      holds(await tab.evaluate(() => document.querySelector("#words").open), "the list is shut");
    },

    async on_a_phone_charts_stand_open_for_who_asks() {
      const tab = await opened("one-bed-lying-drum", { viewport: { width: 360, height: 740 } });
      equal(await tab.locator("#curves svg").first().isVisible(), false, "two screens of charts");
      await tab.click("#charts-open > summary");
      await tab.locator("#curves svg").first().waitFor();
      const high = await (await opened("one-bed-lying-drum", { viewport: { width: 1600, height: 900 } })).locator("#curves svg").first().isVisible();
      holds(high, "on a desk they are open");
    },

    async on_paper_the_first_drawing_has_the_sheet_s_width() {
      const tab = await opened("four-beds-metric");
      await tab.emulateMedia({ media: "print" });
      await tab.setViewportSize({ width: 700, height: 1000 });
      const [sheet, first, second] = await tab.evaluate(() => { dispatchEvent(new Event("beforeprint")); return [document.querySelector("#stills"), ...document.querySelectorAll(".stills figure")].map((one) => one.getBoundingClientRect().width); });
      holds(first > 0.95 * sheet && second > 0.4 * sheet, `${first} and ${second} of ${sheet} px`);
    },

    // The drawing did not fit below the answers: on US Letter half of the first page stayed empty.
    async on_paper_of_any_size_no_page_is_left_half_empty() {
      for (const name of ["four-beds-metric", "us-units-with-fractions", "one-bed-lying-drum"]) {
        const tab = await opened(name);
        for (const format of ["A4", "Letter"]) {
          const pdf = (await tab.pdf({ format })).toString("latin1");
          equal((pdf.match(/\/Type\s*\/Page\b/g) || []).length, 2, `${name} on ${format}`);
        }
        await tab.emulateMedia({ media: "print" });
        const tops = await tab.evaluate(() => ["#head", "#fullest figure", "#cards", "#stills figure"].map((one) => document.querySelector(one).getBoundingClientRect().top));
        holds(tops.every((top, k) => !k || top > tops[k - 1]), `${tops}`);
      }
    },

    // A wish was left out of the list where a bucket had told something too; a pipe too short was told in eight lines.
    async a_file_with_a_wish_and_a_bucket_has_both_again_and_says_once_what_is_odd() {
      const tab = await opened(null, {}, page("cellar", CELLAR));
      const list = await tab.textContent("#changes");
      holds(/bucket read: window 10 L in 75 s/.test(list) && /Dry gravel wanted 5 cm/.test(list), list);
      const odd = await tab.textContent("#told");
      equal([odd.split("straight down").length, /\(so too wall\)/.test(odd), /measure along the pipe/.test(odd)], [2, true, true], odd);
      // What a bucket read before a bed came is told with what was changed.
      await tab.click('#parts [data-part="bed.1"]');
      await tab.getByRole("button", { name: "One more bed like wall" }).click();
      await tab.waitForFunction(() => /One more bed like wall/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
      const since = await tab.textContent("#changes");
      holds(/As the bucket read: window 10 L in 75 s, wall 10 L in 4 min 10 s; /.test(since), since);
    },

    // The form asked where the sump spills, "a hole in its wall, or its rim", and never whether a drain's hole is sealed.
    async whether_a_drain_s_hole_is_sealed_is_asked_where_a_drain_ends_under_the_rim() {
      const tab = await begun();
      await choose(tab, { sump: "upright-cylinder" });
      const { "sump-length": l, "sump-width": w, ...sizes } = PIPED;
      await choose(tab, { source: "box" });
      await put(tab, { ...sizes, "sump-diameter": "80", "sump-depth": "60", outlet: "65" });
      await tab.press("#own-outlet", "Tab");
      equal(await tab.locator("#own-entry").count(), 0, "asked though it ends over the rim");
      await tab.fill("#own-sump-depth", "80");
      await tab.press("#own-sump-depth", "Tab");
      await tab.locator("#own-entry").waitFor();
      await tab.fill("#own-spill", "78");
      await drawn(tab, "Open");
      holds(!/sealed-entries|entries = /.test(await saved(tab)), "sealed though nobody said so");
      await tab.click("#new-own summary");
      await choose(tab, { entry: "sealed" });
      await drawn(tab, "Sealed");
      holds(/sealed-entries = true/.test(await saved(tab)), "not sealed though it was told");
    },

    // Tubs that differ had one inlet for all, 5 cm over the rim of the first; an opening was asked that the bucket tells.
    async a_tub_of_its_own_has_its_inlet_over_its_own_rim_and_no_opening_is_asked_that_a_bucket_tells() {
      const tab = await begun();
      const { inlet, ...sizes } = PIPED;
      await put(tab, { beds: sizes.beds, names: sizes.names });
      await tab.locator("#own-alike").waitFor();
      await choose(tab, { sump: "box", source: "box", valve: "ball", alike: "own" });
      await put(tab, { ...sizes, "b1-floor": "80" });
      holds(await tab.isVisible("#own-open"), "how far open is asked until a bucket tells it");
      await put(tab, { "read-0": "10", "read-1": "9", "read-2": "5" });
      await tab.press("#own-read-2", "Tab");
      await tab.locator("#own-open").waitFor({ state: "detached" });
      await drawn(tab, "Own");
      const text = await saved(tab), over = (from) => +/level = "([\d.]+) cm"/.exec(text.slice(text.indexOf(from)))[1];
      const [first, own] = [over("[every-bed]"), over("[[bed]]")], floor = +sizes.floor;
      equal(Math.round(10 * (first - own)), Math.round(10 * (floor - 80)), text);
    },

    // It said "Mended: Nothing is broken".
    async what_helps_where_nothing_is_broken_is_put_in_and_not_called_mended() {
      const tab = await opened(null, {}, page("cellar", CELLAR));
      await tab.selectOption("#ask-bed", "wall");
      await tab.click('[data-symptom="never-starts"]');
      await tab.click("#find-now");
      const cure = tab.locator('#ask-answer section:has-text("Nothing is broken") .cure');
      await cure.first().waitFor({ state: "attached", timeout: 120_000 });
      await cure.first().click();
      await tab.waitForFunction(() => /Changes made.*What helps is put in/.test(document.querySelector("#changes").textContent), null, { timeout: 60_000 });
      const all = await tab.textContent("#changes") + await tab.textContent("#made");
      holds(!/Mended|mended:/.test(all) && !/Nothing is broken/.test(all), all);
    },

    // A cure that is not there says why.
    async every_cause_can_be_tried_or_says_why_not() {
      const tab = await opened("dribbles");
      await tab.click('[data-symptom="dribbles"]');
      await tab.click("#find-now");
      await tab.locator("#ask-answer .plan").first().waitFor({ state: "attached", timeout: 120_000 });
      const mute = await tab.evaluate(() => [...document.querySelectorAll('#ask-answer [data-ask^="suspect-"]')].filter((one) => !/^.?\s*Nothing is broken/.test(one.textContent) && !one.querySelector(".cure, .undrawn")).map((one) => one.textContent.slice(0, 80)));
      equal(mute, [], "causes without a cure and without a reason");
    },
  };
};
