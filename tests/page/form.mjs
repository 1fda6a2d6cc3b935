// The form: all that is wrong with it is told at once, and what nobody knows yet may stay open.
import { saved, text } from "./box_and_drum.mjs";

export const formAtOnce = ({ equal, holds, begun, put, THREE }) => {
  const drawn = async (tab, title) => {
    await tab.click("#own-draw");
    await tab.waitForFunction((title) => document.querySelector("#title").textContent === title, title, { timeout: 60_000 }).catch(async () => { throw new Error(await text(tab, "#owner")); });
  };
  const faulty = async (tab) => {
    // What was said before is not what is waited for.
    await tab.evaluate(() => { document.querySelector("#own-says").textContent = ""; document.querySelector("#own-draw").click(); });
    await tab.waitForFunction(() => document.querySelector("#own-says").textContent, null, { timeout: 60_000 });
    return tab.evaluate(() => ({ boxes: [...document.querySelectorAll("#owner .own")].filter((row) => row.querySelector(".fault")).map((row) => row.dataset.own), said: document.querySelector("#own-says").textContent, more: document.querySelectorAll("#own-says .fault").length - 1 }));
  };

  return {
    // Once what was missing was put in, other boxes were at fault; the count was of faults, and of boxes that mend themselves.
    async all_faults_of_the_form_are_told_in_one_round_and_counted() {
      const tab = await begun();
      await tab.selectOption("#own-sump", "box");
      await tab.selectOption("#own-source", "box");
      const { lip, run, "bed-depth": depth, "sump-depth": rim, "flow-0": a, "flow-1": b, "flow-2": c, ...told } = THREE;
      await put(tab, { ...told, gravel: "-3", stand: "wide", most: "4000", supply: "32", "supply-length": "300", branch: "25", "branch-length": "40", air: "much", "read-1": "plenty" });
      const first = await faulty(tab);
      equal(first.boxes, ["bed-depth", "gravel", "stand", "lip", "sump-depth", "air", "lift", "read-1"], `told at once: ${await text(tab, "#owner")}`);
      equal(first.more, 0, first.said);
      holds(first.said.startsWith("8 boxes of the form need a look"), first.said);
      equal(await tab.evaluate(() => document.activeElement.id), "own-bed-depth", "the first is gone to");
      // Mended, it is drawn: nothing new turns up.
      await put(tab, { "bed-depth": depth, gravel: "28", stand: "26", lip, "sump-depth": rim, air: "6", lift: "3", "read-1": "9", title: "Mended" });
      await drawn(tab, "Mended");
      equal(tab.heard, [], "console");
    },

    // A fall that could not be read made its drain pipes ends "missing", a sump's depth its spill unread.
    async what_cannot_be_read_is_the_fault_of_its_own_box_alone() {
      const { "flow-0": a, "flow-1": b, "flow-2": c, run, ...sizes } = THREE, { "sump-width": width, "sump-depth": depth, ...drum } = sizes;
      const piped = { most: "4000", lift: "3", supply: "32", "supply-length": "300", branch: "25", "branch-length": "40" };
      const kinds = [
        [{ sump: "box" }, THREE],
        [{ sump: "box", into: "line", source: "box", valve: "ball", alike: "own", timer: "yes", float: "tub", when: "runs", "then-0": "lip" },
          { ...sizes, ...piped, outlet: "", line: "50", "line-length": "400", "line-end": "56", fall: "2", "at-0": "50", open: "80", "b1-lip": "210", "b1-floor": "87", "b2-gravel": "27", "read-0": "9", on: "30", off: "15", "float-level": "18", "float-flow": "6", "float-tub": "50", air: "6", grain: "16", guard: "110", gap: "25", ceiling: "3" }],
        [{ sump: "lying-cylinder", drum: "own", fish: "branch", spills: "settler", "tank-valve": "ball" },
          { ...drum, ...piped, beds: "1", names: "", branch: "", "branch-length": "", "sump-diameter": "60", "sump-length": "150", spill: "", outlet: "62", "tank-diameter": "100", "tank-depth": "90", "tank-floor": "70", "tank-over": "140", "settler-diameter": "50", "settler-depth": "70", "settler-floor": "62", "settler-over": "120", "tank-run": "100", "tank-open": "80" }],
      ];
      const typed = (tab, id, to) => tab.evaluate(([id, to]) => { const box = document.querySelector(`#own-${id}`); box.value = to; box.dispatchEvent(new Event("change", { bubbles: true })); }, [id, to]);
      for (const [words, told] of kinds) {
        const tab = await begun();
        await put(tab, { beds: told.beds });
        for (const [id, word] of Object.entries(words)) await tab.selectOption(`#own-${id}`, word);
        await put(tab, told);
        for (const id of Object.keys(told).filter((id) => told[id] && !["names"].includes(id))) {
          await typed(tab, id, "two per metre");
          const found = await faulty(tab);
          equal([found.boxes, found.more], [[id], 0], `${id} unread: ${found.said}`);
          await typed(tab, id, told[id]);
        }
        await put(tab, { title: "Whole" });
        await drawn(tab, "Whole");
        equal(tab.heard, [], "console");
      }
    },

    // Ratios are falls as well, and tell where the beds' pipes meet the line.
    async a_fall_is_read_as_a_ratio_too() {
      const tab = await begun();
      await tab.selectOption("#own-sump", "box");
      await tab.selectOption("#own-into", "line");
      const { outlet, run, ...told } = THREE;
      await put(tab, { ...told, line: "50", "line-length": "400", "line-end": "60", fall: "1 in 50", title: "Ratio" });
      await drawn(tab, "Ratio");
      const file = await saved(tab);
      holds(/slope = "1 in 50"/.test(file) && /outlet = "70\.5 cm"/.test(file), file);
    },

    // Slots that stand over the lips of two beds are two faults of the one box that asks for slots.
    async two_faults_of_one_box_are_one_box() {
      const tab = await begun();
      await tab.selectOption("#own-sump", "box");
      await put(tab, { beds: "3" });
      await tab.selectOption("#own-alike", "own");
      await put(tab, { ...THREE, "b1-lip": "10", "b2-lip": "12" });
      const found = await faulty(tab), faults = await tab.locator('[data-own="slot-height"] .fault').count();
      equal([found.boxes, faults], [["slot-height"], 2], found.said);
      holds(found.said.startsWith("One box of the form needs a look"), found.said);
    },

    // Before the line lies nobody knows how far along it a bed will join.
    async where_a_bed_joins_the_line_may_stay_unknown_and_is_said_to_be_assumed() {
      for (const us of [false, true]) {
        const tab = await begun();
        await tab.selectOption("#own-sump", "box");
        await tab.selectOption("#own-into", "line");
        const { outlet, run, ...told } = THREE;
        await put(tab, { ...told, line: "50", "line-length": "400", "line-end": "60", "at-0": us ? "50" : "", title: "Planned" });
        if (us) await tab.click("#units");
        await drawn(tab, "Planned");
        const file = await saved(tab);
        holds((us ? /name = "north"[^[]*at = "50 cm"[^]*name = "middle"[^[]*at = "88\.5 in"[^]*name = "south"[^[]*at = "157\.4 in"/ : /name = "north"[^[]*at = "133\.3 cm"[^]*name = "middle"[^[]*at = "266\.6 cm"[^]*name = "south"[^[]*at = "400 cm"/).test(file), file);
        holds((us ? /^# Assumed.*bed\[2\]\.drain\.at, .*bed\[3\]\.drain\.at/m : /^# Assumed.*bed\[1\]\.drain\.at/m).test(file), file);
        holds((us ? /middle: way from its junction[^;]*88\.5 in/ : /middle: way from its junction[^;]*266\.6 cm/).test(await text(tab, "#assumed")), await text(tab, "#assumed"));
        // Its pipe ends where it meets the line there: 60 cm, 2 % of the way, half of 50 mm.
        holds(us || /outlet = "65\.2 cm"/.test(file), file);
        equal(tab.heard, [], "console");
      }
    },

    // Half drums are what many beds are made of; a float valve was in no question.
    async half_drums_and_a_float_valve_are_told_as_a_tape_reads_them() {
      const tab = await begun();
      await tab.selectOption("#own-sump", "box");
      await tab.selectOption("#own-bed-shape", "half-drum");
      await put(tab, { beds: "3" });
      await tab.selectOption("#own-alike", "own");
      await tab.selectOption("#own-float", "tub");
      holds(/Width inside, across the opening.*Depth inside, at the middle.*at its lowest point/s.test(await text(tab, "#owner")), await text(tab, "#owner"));
      await put(tab, { ...THREE, "bed-length": "85", "bed-width": "57", "bed-depth": "36", "b1-length": "80", "b2-width": "55", "float-level": "18", "float-flow": "10 L in 2 min", "float-tub": "50", title: "Halves" });
      await drawn(tab, "Halves");
      await tab.waitForFunction(() => / sizes that were not told are assumed: they stand under Sizes/.test(document.querySelector("#told").textContent), null, { timeout: 60_000 });
      const file = await saved(tab);
      holds(/\[every-bed\][^]*shape = \{ half-drum = \{ length = "85 cm", width = "57 cm", depth = "36 cm" \} \}/.test(file), file);
      holds(/name = "middle"[^[]*half-drum = \{ length = "80 cm" \}/.test(file) && /name = "south"[^[]*half-drum = \{ width = "55 cm" \}/.test(file), file);
      holds(/\[top-off\]\nlevel = "18 cm"\nflow = "10 L in 2 min"\nbore = "12 mm"\nreservoir = "50 L"/.test(file), file);
      holds(/# Assumed.*top-off\.bore/.test(file), file);
      equal(tab.heard, [], "console");
    },

    // Left and opened again, the example stood there as if it were one's own.
    async what_the_file_shows_is_hidden_while_one_s_own_is_taken_up() {
      const tab = await begun();
      await tab.selectOption("#own-sump", "box");
      await put(tab, { ...THREE, title: "Mine" });
      await drawn(tab, "Mine");
      await tab.reload({ waitUntil: "commit" });
      await tab.waitForFunction(() => document.body?.classList.contains("returning"), null, { timeout: 60_000 });
      equal(await tab.evaluate(() => getComputedStyle(document.querySelector("#answer")).visibility), "hidden", "the example");
      await tab.waitForFunction(() => document.body.dataset.ready === "true", null, { timeout: 60_000 });
      equal(await tab.evaluate(() => [getComputedStyle(document.querySelector("#answer")).visibility, document.querySelector("#title").textContent]), ["visible", "Mine"], "one's own");
    },
  };
};
