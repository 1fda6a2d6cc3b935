// What a reader would have to work out: foreign units, examples that look like answers, words of the file's format, an
// unnamed vessel, and answers that do not say of which garden they are. In a garden of two beds that differ (invented).
import { boxAndDrum, dribbles, found, saved, text } from "./box_and_drum.mjs";

export const ownWords = ({ opened, page, settled, equal, holds, begun, put, PHONE }) => {
  const { garden, form } = boxAndDrum({ opened, page, begun });
  const all = (tab) => tab.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
  const drawn = async (tab, title) => {
    await tab.fill("#own-title", title);
    await tab.click("#own-draw");
    await tab.waitForFunction((title) => document.querySelector("#title").textContent === title, title, { timeout: 60_000 }).catch(async () => { throw new Error(await tab.textContent("#owner")); });
  };
  const why = (tab) => found(tab, "#find-now", "#ask-answer", '[data-ask="suspect-0"]');
  const inches = async (tab) => {
    await tab.click("#units");
    await tab.waitForFunction(() => /^in/.test(document.querySelector("#units").textContent) && / in\b/.test(document.querySelector("#cards").textContent), null, { timeout: 60_000 });
  };

  return {
    // The length of the tank's own pipe was compulsory; a person wrote 0.
    async what_nobody_knows_of_the_tank_s_pipe_is_guessed_and_said() {
      const tab = await form();
      await put(tab, { "tank-run": "", "tank-pipe": "" });
      await drawn(tab, "Guessed");
      const file = await saved(tab);
      holds(/\[tank\][^[]*pipe = \{ bore = "25 mm", length = "100 cm" \}/.test(file), file);
      holds(/Assumed, not measured: .*tank\.inlet\.pipe\.bore, tank\.inlet\.pipe\.length/.test(file), file);
      holds(await tab.locator('[data-assumed="tank.inlet.pipe.length"]').count() === 1, "not said among what was assumed");
    },

    // Five taps away, beside the sizes of the drawn bed.
    async the_stones_of_a_bed_that_differs_are_asked_with_its_sizes() {
      const tab = await form();
      await put(tab, { grain: "10", "b1-grain": "20" });
      await drawn(tab, "Stones");
      holds(/\[every-bed\][^]*grain = "10 mm"[^]*name = "B"[^]*media = \{[^}]*grain = "20 mm" \}/.test(await saved(tab)), await saved(tab));
    },

    // A grey 51.2 looked like what is reckoned with.
    async what_stands_grey_in_an_empty_box_says_that_it_is_an_example() {
      const tab = await garden();
      await inches(tab);
      await all(tab);
      let boxes = 0;
      for (const part of ["every", "bed.1", "sump", "pump", "tank", "room"]) {
        await tab.click(`#parts [data-part="${part}"]`);
        await all(tab);
        const grey = await tab.evaluate(() => [...document.querySelectorAll("#sizes input[type=text]")].filter((one) => !one.value && one.placeholder.trim()).map((one) => [one.placeholder, one.parentElement.querySelector("span")?.textContent]));
        boxes += grey.length;
        for (const [says, unit] of grey) {
          holds(says.startsWith("such as "), `${part}: ${says}`);
          if (unit === "in") holds(/^such as (\d+ )?(\d+\/(2|4|8|16)|\d+)$/.test(says) || /^such as 0\.0/.test(says), `${part}: no tape shows ${says}`);
        }
      }
      holds(boxes > 10, `${boxes} empty boxes`);
      const readings = await tab.evaluate(() => [...document.querySelectorAll("#readings input")].map((one) => one.placeholder));
      equal(readings.filter((one) => !one.startsWith("such as ")), [], "readings");
    },

    // "kg/m3", "bore plus 6 mm" and "to 1 mm" stood on pages in inches.
    async a_page_in_inches_says_nothing_in_millimetres() {
      const metric = /\d ?(mm|cm|m|L|kg|g)\b|kg\/m3|kN\/m2|\b(mm|cm|millimetres|litres)\b/;
      for (const [name, bed] of [["whole-loop", null], [null, "1"]]) {
        const tab = name ? await opened(name) : await garden();
        await inches(tab);
        if (bed) { await dribbles(tab); await why(tab); await found(tab, "#find-plan", "#plan-answer", "[data-plan]"); }
        await found(tab, "#find-cut", "#cut-answer", ".sheet");
        const seen = new Set();
        for (const part of await tab.evaluate(() => [...document.querySelectorAll("#parts [data-part]")].map((one) => one.dataset.part))) {
          await tab.locator(`#parts [data-part="${part}"]`).first().click();
          const lines = await tab.evaluate(() => [...document.querySelectorAll("main p, main li, main td, main dd, main small, main svg text, #assumed button, main input")].filter((one) => !one.closest("#new, #changes, .unread")).map((one) => one.placeholder || one.textContent));
          lines.forEach((line) => seen.add(line));
        }
        equal([...seen].filter((line) => metric.test(line) && !line.includes("sqrt(2 g H") && !line.startsWith("As the bucket read")), [], name || "box and drum");
      }
    },

    // "(dribbles)" behind a sentence is a word to type at a terminal.
    async what_is_seen_is_told_without_its_key() {
      const tab = await garden();
      await dribbles(tab);
      holds(!/\((dribbles|never-starts|runs-on)\)/.test(await why(tab)), await text(tab, "#ask-answer"));
    },

    async a_list_of_words_is_read_as_the_form_says_them() {
      const tab = await garden();
      await tab.click('#parts [data-part="sump"]');
      await all(tab);
      const box = tab.locator('[data-key="sump.entries"] select');
      equal(await box.locator("option").allTextContents(), ["not told", "over the rim", "through holes in the wall"], "how pipes come in");
      await settled(tab, () => box.selectOption({ label: "over the rim" }));
      holds(/over the rim/.test(await text(tab, "#changes")) && !/over-rim/.test(await text(tab, "#changes")), await text(tab, "#changes"));
    },

    // Only a plan's step or a cure counted.
    async a_trouble_that_was_mended_by_hand_is_said_to_be_mended() {
      const tab = await garden();
      await dribbles(tab);
      await all(tab);
      await tab.click('#parts [data-part="bed.1"]');
      await tab.locator('#parts [data-part="inlet.1"]').last().click();
      const box = tab.locator('[data-key="bed[2].inlet.valve.ball"] .entry input');
      await settled(tab, async () => { await box.fill("50"); await box.press("Tab"); });
      const after = await found(tab, "#find-plan", "#plan-answer", "[data-plan]");
      holds(/is mended with what was changed since/.test(after), after.slice(0, 500));
      // Undone, it is there again.
      await settled(tab, () => tab.click("#undo-last"));
      const again = await found(tab, "#find-plan", "#plan-answer", "[data-plan]");
      holds(!/is mended/.test(again), again.slice(0, 500));
    },

    // A bed more, and the shares were others without a word.
    async causes_of_a_garden_with_another_number_of_beds_say_so() {
      const tab = await garden();
      await dribbles(tab);
      await why(tab);
      equal(await tab.locator("#ask-answer .of-other").count(), 0, "of the garden that is open");
      await all(tab);
      await tab.click('#parts [data-part="bed.0"]');
      await tab.locator(".one-more").click();
      await tab.waitForFunction(() => document.querySelector("#ask-bed").options.length === 3, null, { timeout: 120_000 });
      const says = /of the garden with 2 beds; this is reckoned for the one with 3 beds/;
      await found(tab, "#find-now", "#ask-answer", "[data-ask]");
      holds(says.test(await text(tab, "#ask-answer")), (await text(tab, "#ask-answer")).slice(0, 300));
      const other = await garden();
      await other.setInputFiles("#open", { name: "three.toml", mimeType: "text/plain", buffer: Buffer.from(await saved(tab)) });
      await other.waitForFunction(() => document.querySelector("#ask-bed").options.length === 3, null, { timeout: 120_000 });
      await found(other, "#find-now", "#ask-answer", "[data-ask]");
      holds(says.test(await text(other, "#ask-answer")), (await text(other, "#ask-answer")).slice(0, 300));
      // Pressed anew, it is seen in this one.
      await other.evaluate(() => { const one = document.querySelector('[data-symptom="dribbles"]'); one.click(); one.click(); });
      await found(other, "#find-now", "#ask-answer", "[data-ask]");
      equal(await other.locator("#ask-answer .of-other").count(), 0, "seen in the garden that is open");
    },

    // A vessel without a name under the beds, with a stub of a pipe.
    async the_tank_is_drawn_with_its_name_and_its_pipe() {
      for (const viewport of [PHONE, { width: 1600, height: 900 }]) {
        const tab = await garden({ viewport });
        const { pipes, named, wide } = await tab.evaluate(() => {
          const parts = [...document.querySelectorAll('#drawing [data-part="tank"]')], water = document.querySelector('#drawing [data-water="tank"]').getBoundingClientRect();
          const pipes = parts.flatMap((one) => [...one.querySelectorAll(".s-high")]).map((one) => one.getBoundingClientRect());
          const named = [...document.querySelectorAll("#drawing text")].map((one) => [one.textContent, one.getBoundingClientRect()]).filter(([says, box]) => says === "fish tank" && box.left >= water.left && box.right <= water.right);
          return { pipes: pipes.map((box) => box.width), named: named.length, wide: water.width };
        });
        // It leads to the vessel from outside, and does not begin over it.
        holds(pipes.some((width) => width > 0.2 * wide), `${viewport.width}: ${pipes} of ${wide}`);
        holds(named >= 1, `${viewport.width}: no name at the tank`);
      }
    },

    // Three rows of bar beside a list that moves nothing; names cut at half the screen.
    async on_a_phone_the_bar_is_short_beside_trouble_and_names_have_the_width() {
      const tab = await form();
      await all(tab);
      await tab.evaluate(() => document.querySelector("#wrong").scrollIntoView({ behavior: "instant" }));
      await tab.waitForFunction(() => document.querySelector("#player").classList.contains("brief"), null, { timeout: 5_000 });
      const width = await tab.evaluate(() => document.querySelector("#own-names").getBoundingClientRect().width);
      holds(width > 0.75 * PHONE.width, `${width} px for the names`);
    },
  };
};
