// Begins: what was there is taken up, the engine is unpacked, the page comes alive.
function showUnits() {
  $("units").textContent = isUs() ? "in, gal" : "mm, L";
  $("units").setAttribute("aria-label", isUs() ? "in, gal: change to millimetres" : "mm, L: change to inches");
}

$("units").addEventListener("click", async () => {
  keepUnits();
  // What was found, or is being looked for, is told in the units that are read now.
  const found = [...foundNow(), ...[...slow].filter(([, engine]) => !engine.ended).map(([call]) => call)];
  state.units = isUs() ? "metric" : "us";
  bareAgain(ownerParts().flatMap(([, list]) => list));
  showUnits();
  await compared();
  await answered();
  remember();
  await showAsk();
  showFacts();
  showOwner();
  lookedForAgain(found);
});

// Places far down the page, near; without a step in the history, which may hold the work.
for (const link of document.querySelectorAll("#jumps a, #to-words a")) {
  link.addEventListener("click", (event) => {
    event.preventDefault();
    if (link.hash === "#words") $("words").open = true;
    goTo(link.hash.slice(1));
  });
}

// Whether somebody goes by keys.
let tabbed = false;

// On a narrow screen what plays is chosen where something moves with it; elsewhere the bar takes less room.
const moving = new Set();
const sees = new IntersectionObserver((all) => {
  for (const one of all) if (one.isIntersecting) moving.add(one.target); else moving.delete(one.target);
  $("player").classList.toggle("brief", !moving.size && !tabbed);
// What lies behind the links at the top or the bar at the bottom is not in view.
}, { rootMargin: "-60px 0px -120px 0px" });
for (const id of ["picture", "curves"]) sees.observe($(id));

// While somebody types the bar gives way; it comes back late, lest a tap that ends the typing lands on it.
// Who goes by keys has to get to it.
let typing = null;
addEventListener("pointerdown", () => { tabbed = false; }, true);
addEventListener("keydown", (event) => {
  if (event.key !== "Tab") return;
  tabbed = true;
  document.body.classList.remove("typing");
  $("player").classList.remove("brief");
}, true);
addEventListener("focusin", (event) => {
  if (tabbed || !event.target.matches?.("input:not([type=range], [type=checkbox], [type=file])")) return;
  clearTimeout(typing);
  document.body.classList.add("typing");
});
addEventListener("focusout", () => {
  clearTimeout(typing);
  typing = setTimeout(() => document.body.classList.remove("typing"), 600);
});

let resizing = null;
addEventListener("resize", () => {
  clearTimeout(resizing);
  resizing = setTimeout(async () => {
    // Until the engine stands, it draws by the width there is then.
    if (!state.answer) return;
    const found = await quick.ask(work({ call: "read", width: drawingWidth() }));
    if (!found.error) showDrawing({ ...state.answer, scene: found.scene, series: null });
  }, 150);
});

(async () => {
  recalled();
  showUnits();
  // What the file shows is not what was open when it was left.
  const other = state.text !== start.text || state.with.length > 0;
  document.body.classList.toggle("returning", other);
  if (other) tell("Taking up what was open\u2026");
  try {
    // The page is painted first; the engine stands at the end of the file.
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done, 0)));
    if (document.readyState === "loading") await new Promise((done) => document.addEventListener("DOMContentLoaded", done));
    kept = await quick.begin();
    const told = await asTold();
    await compared();
    let answer = await answered();
    if (answer.error && state.text !== start.text) {
      Object.assign(state, { text: start.text, name: start.name, with: [], keep: [], aside: [] });
      takeUp(start.text);
      takeForm(start.text);
      answer = await answered();
    }
    document.querySelector("main").classList.add("alive");
    document.body.classList.remove("returning");
    if (other) tell("");
    document.querySelectorAll(".live").forEach((node) => { node.hidden = false; });
    if (!answer.error) {
      await answered();
      await within(() => null);
      await showAsk();
      showFacts();
      showOwner();
      if (start.fresh && state.text === start.text) {
        document.querySelector("main").prepend($("new"));
        $("new-own").open = Object.keys(owned.told).length > 0;
        $("new-facts").open = Object.values(planned.told).some(Boolean);
        tell("What stands below is an example. Begin with your own here, or open a file.");
      }
    }
    if (told.stays) tell(told.stays);
    playing(false);
    document.body.dataset.ready = "true";
    lookedForAgain([...(state.found || []), state.answer?.verdict === "fail" ? "plan" : ""]);
  } catch (error) {
    document.body.classList.remove("returning");
    tell(`This browser cannot run the engine; what stands here is the report. (${error.message})`, true);
    document.body.dataset.ready = "failed";
  }
})();
