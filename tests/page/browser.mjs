// The page in Chromium. Every test is named after the fault it guards; figures of speed are printed,
// and never decide.
import { readFileSync, statSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";
import { folder, program, scenario, ROOT } from "./program.mjs";
import { form, THREE, ways } from "./ways.mjs";
import { near } from "./near.mjs";
import { told } from "./told.mjs";
import { plain } from "./plain.mjs";
import { trouble } from "./trouble.mjs";
import { seen } from "./seen.mjs";
import { ownWords } from "./own_words.mjs";
import { kept } from "./kept.mjs";
import { formAtOnce } from "./form.mjs";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const PHONE = { width: 360, height: 740 }, DESK = { width: 1600, height: 900 };
const out = folder();
const files = new Map();

// The page of a shipped scenario, or of a text.
function page(name, text) {
  if (!files.has(name)) {
    const from = text ? join(out, `${name}.toml`) : join(ROOT, "scenarios", `${name}.toml`);
    if (text) writeFileSync(from, text);
    const to = join(out, `${name}.html`);
    program("page", from, "--out", to, "--force");
    files.set(name, to);
  }
  return files.get(name);
}

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});

async function opened(name, options = {}, file = page(name)) {
  const { folded, ...rest } = options;
  const context = await browser.newContext({ viewport: PHONE, bypassCSP: Boolean(options.axe), acceptDownloads: true, ...rest });
  const tab = await context.newPage();
  const heard = [];
  tab.on("console", (message) => heard.push(`${message.type()}: ${message.text()}`));
  tab.on("pageerror", (error) => heard.push(`error: ${error.message}`));
  tab.on("request", (request) => { if (!/^(file|blob|data):/.test(request.url())) heard.push(`request: ${request.url()}`); });
  await tab.goto(pathToFileURL(file).href);
  await ready(tab);
  // What a phone folds is in reach; one test asks whether it does.
  if (!folded) await tab.evaluate(() => document.querySelectorAll(".way").forEach((one) => { one.open = true; }));
  tab.heard = heard;
  return tab;
}

const ready = async (tab) => {
  await tab.waitForFunction(() => document.body.dataset.ready, null, { timeout: 60_000 });
  equal(await tab.evaluate(() => document.body.dataset.ready), "true", "the engine begins");
};

function equal(found, wanted, what) {
  if (JSON.stringify(found) !== JSON.stringify(wanted)) throw new Error(`${what}: ${JSON.stringify(found)}, wanted ${JSON.stringify(wanted)}`);
}
function holds(condition, what) { if (!condition) throw new Error(what); }

// Cards as they stand: what is judged, how, and in which words.
const cards = (tab) => tab.evaluate(() => [...document.querySelectorAll("#cards .card")].map((card) => `${card.querySelector(".status").textContent.toLowerCase()} ${card.querySelector(".says").textContent}`));
const answers = (json) => {
  const found = JSON.parse(json);
  return [...found.answers, ...(found.what_if ? [found.what_if] : [])].map((one) => `${one.status} ${one.words}${one.settled_by ? ` ${one.settled_by}` : ""}`);
};

// Puts a slider to a value as a finger would leave it.
async function slide(tab, selector, value) {
  await tab.locator(selector).evaluate((node, to) => {
    node.value = to;
    node.dispatchEvent(new Event("input", { bubbles: true }));
    node.dispatchEvent(new Event("change", { bubbles: true }));
  }, value);
}

async function settled(tab, act) {
  await tab.evaluate(() => { window.before = document.querySelector("#changes").textContent; });
  await act();
  await tab.waitForFunction(() => document.querySelector("#changes").textContent !== window.before, null, { timeout: 60_000 });
}

const tests = {
  async nothing_is_said_on_the_console_and_nothing_asked_of_a_network() {
    for (const name of ["one-bed-lying-drum", "four-beds-metric"]) {
      const tab = await opened(name);
      await tab.click("#play");
      await tab.waitForTimeout(400);
      await tab.click("#play");
      equal(tab.heard, [], name);
    }
  },

  async the_page_answers_as_the_program_does() {
    for (const name of ["one-bed-lying-drum", "four-beds-metric"]) {
      const tab = await opened(name);
      equal(await cards(tab), answers(program("run", join(ROOT, "scenarios", `${name}.toml`), "--json")), name);
    }
  },

  async water_stands_where_the_series_says() {
    const name = "one-bed-lying-drum", results = join(out, "run");
    program("run", join(ROOT, "scenarios", `${name}.toml`), "--out", results, "--force");
    const [head, ...rows] = readFileSync(join(results, "levels.csv"), "utf8").trim().split("\n").map((line) => line.split(","));
    const column = (part) => head.findIndex((title) => title.includes(part));
    const tab = await opened(name);
    await tab.locator("#drawing").scrollIntoViewIfNeeded();
    await tab.click("#span-all");
    const level = head.findIndex((title) => /level/.test(title) && !/sump/.test(title)), sump = column("sump");
    holds(level > 0 && sump > 0, `columns of ${head}`);
    for (const row of [rows[Math.floor(rows.length / 3)], rows[Math.floor(rows.length / 2)], rows[rows.length - 5]]) {
      await slide(tab, "#time", row[0]);
      const found = await tab.evaluate(() => Object.fromEntries([...document.querySelectorAll("#drawing [data-water]")].map((rect) => [rect.dataset.water, { y: +rect.getAttribute("y"), zero: +rect.dataset.zero, scale: +rect.dataset.scale, bottom: +rect.dataset.bottom }])));
      for (const [key, at] of [["bed.0", level], ["sump", sump]]) {
        const water = found[key], wanted = Math.min(water.bottom, water.zero - water.scale * Number(row[at]));
        holds(Math.abs(water.y - wanted) <= 1, `${key} at ${row[0]} s: ${water.y} px, wanted ${wanted} px`);
      }
    }
  },

  async a_change_by_finger_gives_what_with_gives() {
    const name = "one-bed-lying-drum", tab = await opened(name);
    await tab.click('#parts [data-part="bed.0"]');
    await tab.click('#parts [data-part="siphon.0"]');
    const field = '[data-key="bed[1].standpipe.length"]';
    const value = Number(await tab.inputValue(`${field} .entry input`)), unit = await tab.textContent(`${field} .entry span`);
    const rest = await tab.textContent("#rest");
    await settled(tab, () => slide(tab, `${field} input[type=range]`, value - 20));
    holds(await tab.textContent("#rest") !== rest, "figures of the system before the change");
    const to = await tab.inputValue(`${field} .entry input`);
    equal(Number(to), value - 20, "the slider's value");
    const wanted = program("run", join(ROOT, "scenarios", `${name}.toml`), "--with", `bed[1].standpipe.length = ${to} ${unit}`, "--json");
    equal(await cards(tab), answers(wanted), "answers after the change");
    holds(await tab.locator(".card .was").count() > 0, "nothing says what was before");
    await tab.click("#undo-all");
    await tab.waitForFunction(() => !document.querySelector("#changes").textContent);
    equal(await cards(tab), answers(program("run", join(ROOT, "scenarios", `${name}.toml`), "--json")), "answers after undoing");
  },

  async what_cannot_be_built_is_said_and_taken_back() {
    const tab = await opened("one-bed-lying-drum");
    await tab.click('#parts [data-part="siphon.0"]');
    await tab.fill('[data-key="bed[1].standpipe.length"] .entry input', "9000");
    await tab.press('[data-key="bed[1].standpipe.length"] .entry input', "Enter");
    const fault = tab.locator('[data-key="bed[1].standpipe.length"] .fault');
    await fault.waitFor();
    holds(/standpipe/.test(await fault.textContent()), "the fault names its key");
    equal(await tab.textContent("#changes"), "", "changes");
  },

  async the_plan_tried_passes() {
    const tab = await opened("dribbles");
    holds(await tab.locator("#head .status.fail").count(), "it fails at first");
    await tab.click("#find-plan");
    await tab.waitForSelector("#plan-answer .try", { timeout: 120_000 });
    await settled(tab, async () => tab.click(await tab.locator("#try-all").count() ? "#try-all" : "#plan-answer .try"));
    equal(await tab.locator("#head .status.fail").count(), 0, "failing verdicts after the plan");
    equal(tab.heard, [], "console");
  },

  async a_file_comes_out_as_it_went_in() {
    const tab = await opened("one-bed-lying-drum");
    const saved = async () => { const [download] = await Promise.all([tab.waitForEvent("download"), tab.click("#save")]); return readFileSync(await download.path(), "utf8"); };
    equal(await saved(), scenario("one-bed-lying-drum.toml"), "the scenario saved");
    await tab.setInputFiles("#open", join(ROOT, "scenarios/four-beds-metric.toml"));
    await tab.waitForFunction(() => /four beds/i.test(document.querySelector("#title").textContent));
    equal(await saved(), scenario("four-beds-metric.toml"), "another opened and saved");
  },

  // Beds of a draft share most sizes: they could not be seen, nor changed for all at once.
  async what_every_bed_has_can_be_changed_for_all_and_for_one() {
    const text = scenario("one-bed-lying-drum.toml").replace(/^media = .*$/m, "").replace("[[bed]]", '[every-bed]\nmedia = { depth = "300 mm", void = 0.40 }\n\n[[bed]]');
    page("shared", text);
    const tab = await opened("shared");
    await tab.click('#parts [data-part="every"]');
    const all = tab.locator('#sizes .field[data-key="every-bed.media.depth"] input[type=text]');
    await settled(tab, async () => { await all.fill("31"); await all.dispatchEvent("change"); });
    holds(/every bed: .*gravel/.test(await tab.textContent("#changes")), "changed for all");
    await tab.click('#parts [data-part="bed.0"]');
    const own = tab.locator("#sizes .field", { hasText: "what every bed has" }).first();
    holds(await own.count() === 1, "the bed shows what it shares");
    equal(tab.heard, [], "console");
  },

  async times_under_a_chart_are_whole_parts_of_the_clock() {
    const tab = await opened("four-beds-metric");
    const all = await tab.locator("#curves svg text").allTextContents();
    const times = all.filter((one) => /(s|min|h)$/.test(one) && /\d/.test(one));
    holds(times.length > 4, `times: ${times}`);
    for (const one of times) holds(!/\d\.\d/.test(one), one);
    equal(tab.heard, [], "console");
  },

  async work_survives_a_reload() {
    const tab = await opened("one-bed-lying-drum");
    await tab.click('#parts [data-part="sump"]');
    const row = tab.locator("#sizes .field", { has: tab.locator("input[type=range]") }).nth(2);
    const slider = row.locator("input[type=range]");
    await settled(tab, () => slider.evaluate((node) => { node.stepUp(1); node.dispatchEvent(new Event("input")); node.dispatchEvent(new Event("change")); }));
    const changes = await tab.textContent("#changes");
    await tab.reload();
    await ready(tab);
    equal(await tab.textContent("#changes"), changes, "changes after a reload");
  },

  async a_name_does_nothing_but_stand_there() {
    const nasty = '<script>alert(1)</script>"\\\'&\u202e<img src=x onerror=alert(2)>';
    const text = scenario("one-bed-lying-drum.toml").replace(/^name = .*$/m, `name = ${JSON.stringify(nasty.slice(0, 39))}`).replace(/^title = .*$/m, `title = ${JSON.stringify(nasty)}`);
    page("nasty", text);
    const tab = await opened("nasty");
    await tab.click("#play");
    await tab.click("#play");
    equal(tab.heard, [], "console");
    equal(await tab.locator("img, #first script, #second script, #rest script").count(), 0, "elements made of a name");
    holds((await tab.textContent("#title")).includes("<script>"), "the title shows as it is");
  },

  async everything_is_reached_by_keyboard() {
    const tab = await opened("one-bed-lying-drum");
    const wanted = await tab.evaluate(() => {
      let n = 0;
      const all = [...document.querySelectorAll("button, input, select, summary, [tabindex]")].filter((node) => !node.disabled && node.checkVisibility());
      for (const node of all) node.dataset.reach = n++;
      return n;
    });
    await tab.evaluate(() => { window.reached = new Set(); document.addEventListener("focusin", (event) => window.reached.add(event.target.dataset.reach)); });
    for (let i = 0; i < wanted + 20; i++) await tab.keyboard.press("Tab");
    const missed = await tab.evaluate(() => [...document.querySelectorAll("[data-reach]")].filter((node) => !window.reached.has(node.dataset.reach)).map((node) => node.outerHTML.slice(0, 90)));
    equal(missed, [], `of ${wanted} controls not reached`);
    equal(await tab.locator("#symptoms button").count(), 12, "symptoms");
  },

  async nothing_is_wider_than_the_screen() {
    const tab = await opened("four-beds-metric");
    for (const viewport of [PHONE, { width: 740, height: 360 }, DESK, { width: 900, height: 1600 }]) {
      await tab.setViewportSize(viewport);
      await tab.waitForTimeout(300);
      const wide = await tab.evaluate(() => document.documentElement.scrollWidth);
      holds(wide <= viewport.width, `${wide} px wide on a screen of ${viewport.width}`);
    }
  },

  async nobody_is_kept_out() {
    for (const [viewport, colorScheme] of [[PHONE, "light"], [DESK, "dark"]]) {
      const tab = await opened("one-bed-lying-drum", { viewport, colorScheme, axe: true });
      await tab.click('[data-symptom="dribbles"]');
      await tab.click("#find-now");
      await tab.waitForSelector("#ask-answer .cure", { timeout: 120_000 });
      await tab.evaluate(() => document.querySelectorAll("#new details").forEach((one) => { one.open = true; }));
      await tab.evaluate(AXE);
      const found = await tab.evaluate(() => window.axe.run({ resultTypes: ["violations"] }));
      equal(found.violations.map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 120)).join(" | ")}`), [], `${colorScheme} ${viewport.width}`);
    }
  },

  async a_few_facts_become_a_system() {
    const tab = await opened("one-bed-lying-drum");
    await tab.click("#new-facts summary");
    await tab.fill('[data-fact="title"]', "Cellar");
    await tab.fill('[data-fact="room"]', "2.2 m");
    await tab.fill('[data-fact="beds"]', "1");
    await tab.click("#draft");
    await tab.waitForFunction(() => document.querySelector("#title").textContent === "Cellar", null, { timeout: 120_000 });
    equal(await tab.locator("#head .status.fail").count(), 0, "a drafted system fails");
    equal(tab.heard, [], "console");
  },

  // Questions drawn anew for other units came back empty.
  async facts_that_are_typed_outlast_a_change_of_units() {
    const tab = await opened("one-bed-lying-drum");
    await tab.click("#new-facts summary");
    const typed = { title: "Cellar", room: "2.2 m", beds: "1" };
    for (const [fact, told] of Object.entries(typed)) await tab.fill(`[data-fact="${fact}"]`, told);
    const example = await tab.getAttribute('[data-fact="room"]', "placeholder");
    await tab.click("#units");
    await tab.waitForFunction((before) => document.querySelector('[data-fact="room"]').placeholder !== before, example, { timeout: 30_000 });
    for (const [fact, told] of Object.entries(typed)) equal(await tab.inputValue(`[data-fact="${fact}"]`), told, fact);
  },

  // After a reload the questions of a planned garden were empty; a phone's width cut their examples off.
  async facts_of_a_planned_garden_outlast_a_reload_and_their_examples_fit_a_phone() {
    const file = join(out, "planned.html");
    program("page", "--out", file, "--force");
    const tab = await opened(null, { viewport: { width: 360, height: 740 } }, file);
    await tab.click("#new-facts summary");
    for (const units of ["metric", "us"]) {
      const cut = await tab.evaluate(() => [...document.querySelectorAll("[data-fact]")].filter((box) => {
        const pen = document.createElement("canvas").getContext("2d"), look = getComputedStyle(box);
        pen.font = `${look.fontSize} ${look.fontFamily}`;
        return pen.measureText(box.placeholder).width > box.clientWidth - parseFloat(look.paddingLeft) - parseFloat(look.paddingRight);
      }).map((box) => box.placeholder));
      equal(cut, [], units);
      const example = await tab.getAttribute('[data-fact="room"]', "placeholder");
      await tab.click("#units");
      await tab.waitForFunction((before) => document.querySelector('[data-fact="room"]').placeholder !== before, example, { timeout: 30_000 });
    }
    const typed = { title: "Cellar", beds: "1", pump: "3500 L/h 2.8 m", tank: "300 L on 40 cm" };
    for (const [fact, told] of Object.entries(typed)) await tab.fill(`[data-fact="${fact}"]`, told);
    await tab.press('[data-fact="tank"]', "Tab");
    await tab.reload();
    await tab.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
    for (const [fact, told] of Object.entries(typed)) equal(await tab.inputValue(`[data-fact="${fact}"]`), told, fact);
    holds(await tab.evaluate(() => document.querySelector("#new-facts").open), "what was typed is not in view");
    await tab.click("#draft");
    await tab.waitForFunction(() => document.querySelector("#title").textContent === "Cellar", null, { timeout: 120_000 });
    holds(/Fish tank.*its water is renewed/s.test(await tab.textContent("#cards")), await tab.textContent("#cards"));
    equal(tab.heard, [], "console");
  },

  async places_far_down_the_page_are_one_tap_away_and_no_work_is_lost() {
    const tab = await opened("one-bed-lying-drum", { reducedMotion: "reduce" });
    for (const place of ["cut", "wrong", "plan", "whatif", "part-cautions"]) {
      await tab.click(`#jumps a[href="#${place}"]`);
      const top = await tab.evaluate((place) => document.getElementById(place).getBoundingClientRect().top, place);
      holds(top > -2 && top < 740, `${place} begins at ${top} px of the screen`);
      await tab.evaluate(() => scrollTo(0, 0));
    }
    equal(await tab.evaluate(() => location.hash), "", "a step in the history");
  },

  async a_fraction_without_a_unit_is_read_in_the_unit_beside_its_box() {
    const tab = await opened("us-units-with-fractions");
    await tab.click('#parts [data-part="bed.0"]');
    await tab.click('#parts [data-part="siphon.0"]');
    const box = () => tab.locator('[data-key="bed[1].standpipe.length"] input[type="text"]');
    const settled = () => tab.waitForFunction(() => document.querySelector("#changes li"), null, { timeout: 60_000 });
    await box().fill("8 3/4");
    await box().press("Tab");
    await settled();
    equal(await box().inputValue(), "8.75", "eight and three quarters");
    equal(await tab.textContent("#told"), "", "a complaint");
  },

  // On a slow phone the answer to one change came while the next was typed, and took it away.
  async what_is_being_typed_outlasts_the_answer_to_what_was_typed_before() {
    const tab = await opened("drain-line-too-small");
    await tab.click('#parts [data-part="siphon.0"]');
    const box = (key) => tab.locator(`[data-key="bed[1].${key}"] input[type="text"]`);
    // At once, as on a phone that takes its time to answer.
    await tab.evaluate(() => {
      document.querySelectorAll("#sizes details").forEach((one) => { one.open = true; });
      const [first, next] = ["standpipe.length", "bell.clearance"].map((key) => document.querySelector(`[data-key="bed[1].${key}"] input[type="text"]`));
      first.focus();
      first.value = "200";
      first.dispatchEvent(new Event("change", { bubbles: true }));
      next.focus();
      next.value = "31";
    });
    await tab.waitForFunction(() => document.querySelector("#changes li"), null, { timeout: 60_000 });
    await tab.waitForTimeout(1000);
    equal(await box("bell.clearance").inputValue(), "31", "what is being typed");
    await box("bell.clearance").dispatchEvent("change");
    await tab.waitForFunction(() => document.querySelectorAll("#changes li").length === 2, null, { timeout: 60_000 });
  },

  async a_value_that_is_refused_stays_where_it_was_typed_with_what_is_wrong() {
    const tab = await opened("one-bed-lying-drum");
    await tab.click('#parts [data-part="siphon.0"]');
    const row = tab.locator('[data-key="bed[1].standpipe.length"]');
    await row.locator('input[type="text"]').fill("long");
    await row.locator('input[type="text"]').press("Tab");
    await row.locator(".fault").waitFor({ timeout: 60_000 });
    equal(await row.locator('input[type="text"]').inputValue(), "long", "what was typed");
    holds(!(await row.locator(".fault").textContent()).includes("in quotes"), "quotes on a page");
    equal(await tab.textContent("#told"), "", "said twice");
  },

  async what_is_typed_after_a_step_of_the_plan_has_the_last_word() {
    const tab = await opened("dribbles");
    await tab.click('#parts [data-part="siphon.0"]');
    const box = () => tab.locator('[data-key="bed[1].standpipe.bore"] input[type="text"]');
    const put = async (bore, changes) => {
      await box().fill(bore);
      await box().press("Tab");
      await tab.waitForFunction((n) => document.querySelectorAll("#changes li").length === n, changes, { timeout: 60_000 });
    };
    await tab.waitForSelector("#plan-answer .try", { timeout: 120_000 });
    await put("26", 1);
    await tab.click("#plan-answer .try");
    await tab.waitForFunction(() => document.querySelectorAll("#changes li").length === 2, null, { timeout: 60_000 });
    holds((await tab.textContent("#plan-answer")).includes("before the last change"), "an old plan says nothing of its age");
    equal(await box().inputValue(), "17", "the step of the plan");
    await put("22", 2);
    await tab.waitForTimeout(1500);
    equal(await box().inputValue(), "22", "the standpipe");
  },

  async the_dry_layer_that_is_asked_for_is_the_one_that_is_cut_for() {
    const tab = await opened("one-bed-lying-drum");
    const wanted = [];
    for (const dry of ["50", "60 mm"]) {
      await tab.fill("#dry", dry);
      await tab.click("#find-cut");
      await tab.waitForFunction((dry) => document.querySelector("#cut-answer .sheet") && document.querySelector("#cut-answer").textContent.includes(dry), dry.replace(" mm", "") + " mm", { timeout: 60_000 });
      wanted.push(await tab.evaluate(() => /Standpipe:?\s*(\d+) mm/.exec(document.querySelector("#cut-answer").textContent)?.[1]));
    }
    equal(Number(wanted[0]) - Number(wanted[1]), 10, "ten millimetres more of dry gravel");
    equal(await tab.evaluate(() => document.body.innerText.includes("null")), false, "null is said");
  },

  async what_is_seen_and_timed_is_explained() {
    const name = "one-bed-lying-drum", tab = await opened(name);
    await tab.click('[data-symptom="runs-on"]');
    await tab.fill('[data-reading="inflow"]', "14 L/min");
    await tab.click("#find-why");
    await tab.waitForSelector("#ask-answer section", { timeout: 120_000 });
    const shown = await tab.evaluate(() => document.querySelector("#ask-answer").textContent);
    const native = JSON.parse(program("why", join(ROOT, "scenarios", `${name}.toml`), "--symptom", "runs-on", "--inflow", "14 L/min", "--json"));
    holds(shown.includes(native.headline), `${shown.slice(0, 200)} has not ${native.headline}`);
    await tab.click("#rush");
    await tab.waitForTimeout(1100);
    await tab.click("#gurgle");
    equal(await tab.inputValue('[data-reading="drain"]'), "0 min 1 s", "the stopwatch");
  },

  async who_wants_no_motion_gets_none() {
    const tab = await opened("one-bed-lying-drum", { reducedMotion: "reduce" });
    await tab.click("#play");
    await tab.waitForTimeout(200);
    equal(await tab.evaluate(() => document.getAnimations().filter((one) => one.playState === "running").length), 0, "animations");
  },

  async it_prints_on_four_pages_and_sheets_to_scale() {
    const tab = await opened("four-beds-metric", { viewport: DESK });
    const pages = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page\b/g) || []).length;
    const count = pages(await tab.pdf({ format: "A4" }));
    holds(count >= 1 && count <= 4, `${count} pages`);
    await tab.evaluate(() => { document.body.classList.remove("sheets"); });
    const one = await opened("one-bed-lying-drum");
    await one.click("#find-cut");
    await one.waitForSelector("#print-cut:visible", { timeout: 120_000 });
    await one.emulateMedia({ media: "print" });
    await one.evaluate(() => document.body.classList.add("sheets"));
    const width = await one.evaluate(() => document.querySelector(".sheet svg").getBoundingClientRect().width);
    holds(Math.abs(width - 794) < 0.5, `a sheet of A4 is ${width} px wide`);
    equal(pages(await one.pdf({ preferCSSPageSize: true, format: "A4" })), 2, "pages of one bed's sheet and what goes with it");
  },

  async without_script_it_is_still_a_report() {
    const tab = await (await browser.newContext({ viewport: PHONE, javaScriptEnabled: false })).newPage();
    await tab.goto(pathToFileURL(page("one-bed-lying-drum")).href);
    holds(await tab.locator("#head .status").count() > 0, "no verdict");
    holds(await tab.locator("#drawing svg [data-water]").count() > 0, "no drawing");
    holds(await tab.locator("#rest section").count() > 3, "no figures");
  },
};
const { put, begun } = form({ opened, out });
Object.assign(tests, ways({ opened, page, ready, settled, equal, holds, out, put, begun, PHONE, DESK }));
Object.assign(tests, near({ opened, page, settled, equal, holds, begun, put, THREE }));
Object.assign(tests, trouble({ opened, page, equal, holds, out }));
Object.assign(tests, seen({ opened, page, ready, settled, equal, holds, out, begun, put }));
Object.assign(tests, ownWords({ opened, page, settled, equal, holds, begun, put, PHONE }));
Object.assign(tests, plain({ opened, page, ready, settled, equal, holds, begun, put, PHONE }));
Object.assign(tests, kept({ opened, page, ready, settled, equal, holds, out, PHONE }));
Object.assign(tests, formAtOnce({ equal, holds, begun, put, THREE }));
Object.assign(tests, told({ opened, page, ready, equal, holds, out, begun, put, THREE }));

async function figures() {
  for (const name of ["one-bed-lying-drum", "four-beds-metric", "drain-line-too-small"]) {
    page(name);
    const started = Date.now(), tab = await opened(name, { viewport: DESK });
    const paint = await tab.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime);
    const size = statSync(page(name)).size;
    const alive = Date.now() - started;
    await tab.click('#parts [data-part="bed.0"]');
    await tab.click('#parts [data-part="siphon.0"]');
    const moved = [];
    for (let i = 0; i < 5; i++) {
      moved.push(await tab.evaluate((n) => new Promise((done) => {
        const slider = document.querySelector('[data-key="bed[1].standpipe.length"] input[type=range]'), begun = performance.now();
        const watch = new MutationObserver(() => { watch.disconnect(); requestAnimationFrame(() => done(performance.now() - begun)); });
        watch.observe(document.querySelector("#head"), { childList: true });
        slider.value = +slider.value - (n % 2 ? -1 : 1);
        slider.dispatchEvent(new Event("input", { bubbles: true }));
      }), i));
    }
    await tab.click("#play");
    const frames = await tab.evaluate(() => new Promise((done) => { let n = 0; const begun = performance.now(); const tick = () => { n++; if (performance.now() - begun > 2000) done(n / 2); else requestAnimationFrame(tick); }; requestAnimationFrame(tick); }));
    console.log(`  ${name}: ${(size / 1e6).toFixed(2)} MB, first paint ${paint.toFixed(0)} ms, alive after ${alive} ms, slider to verdict ${moved.map((ms) => ms.toFixed(0)).join(" ")} ms, ${frames.toFixed(0)} frames a second playing`);
    holds(size <= 1.5e6, `${name} has ${size} bytes`);
    await tab.context().close();
  }
}

// For the README: the page on a phone and on a desk.
async function pictures() {
  for (const [name, file, viewport] of [["one-bed-lying-drum", "phone", PHONE], ["four-beds-metric", "desk", { width: 1600, height: 1180 }]]) {
    const tab = await opened(name, { viewport });
    // At the first moment of the cycle in which most drains run.
    await tab.evaluate(() => {
      const time = document.querySelector("#time"), [from, to] = [+time.min, +time.max];
      const at = (share) => { time.value = from + share * (to - from); time.dispatchEvent(new Event("input")); return document.querySelectorAll('[data-part^="drain."].flows').length; };
      const shares = [...Array(200).keys()].map((k) => k / 200), most = Math.max(...shares.map(at));
      at(shares[shares.findIndex((share) => at(share) === most)]);
      if (innerWidth < 500) document.querySelector("#picture").scrollIntoView();
    });
    await tab.waitForTimeout(500);
    await tab.screenshot({ path: join(ROOT, `plots/page-${file}.png`) });
  }
}

const only = process.argv[2];
if (only === "pictures") { await pictures(); await browser.close(); process.exit(0); }
let failed = 0;
for (const [name, test] of Object.entries(tests).filter(([name]) => !only || name.includes(only))) {
  try {
    await test();
    console.log(`ok   ${name}`);
  } catch (error) {
    failed++;
    console.error(`FAIL ${name}: ${error.message}`);
  }
  for (const context of browser.contexts()) await context.close();
}
if (!only || only === "figures") await figures();
await browser.close();
if (failed) { console.error(`${failed} failed`); process.exit(1); }
