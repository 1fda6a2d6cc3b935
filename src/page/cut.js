// To cut: the dry gravel wanted, sheets with lengths, and their print.
// The dry gravel that is wanted is the scenario's: what is cut for is what is judged by.
const DRY = "checks.dry-layer";
function showDry() {
  const field = state.fields.find((one) => one.key === DRY);
  if (document.activeElement !== $("dry")) $("dry").value = field?.written ?? "";
  $("dry").placeholder = field?.default?.replace(/ (mm|in)$/, "") || (isUs() ? "1 15/16" : "50");
  $("dry-unit").textContent = /[a-z]$/.test($("dry").value) ? "" : isUs() ? "in" : "mm";
}
$("dry").addEventListener("change", async () => {
  $("dry").closest("p").querySelector(".fault")?.remove();
  $("dry").removeAttribute("aria-invalid");
  const raw = $("dry").value.trim(), dry = typed(raw, isUs() ? "in" : "mm"), field = state.fields.find((one) => one.key === DRY);
  const before = state.with.slice(), own = before.findIndex((one) => keyOf(one.step) === DRY);
  if (dry === (field?.written ?? "")) return;
  if (!dry && own >= 0) { state.with.splice(own, 1); settle(before, true); return; }
  const found = await change(dry ? `${DRY} = ${dry}` : `${DRY} left out`, { says: `Dry gravel wanted ${dry || field?.default}`, was: field?.written ?? "", wish: true });
  if (found?.error) { tell(""); $("dry").value = raw; $("dry").closest("p").append(make("span", { class: "fault", role: "alert" }, ` ${faultWords(found)}`)); $("dry").setAttribute("aria-invalid", "true"); }
});

const LETTER = 1050; // px: a little under the height of US Letter
async function findCut() {
  const found = await long(work({ call: "cut", dry_layer: null }), $("cut-answer"), "Simulating lengths \u2026");
  if (found.dropped) return;
  if (found.error) { $("cut-answer").replaceChildren(make("p", { class: "fault" }, found.error)); return; }
  filled($("cut-answer"), found);
  // On paper, before the sheets: of when it is, and what flows it reckons with.
  const flows = state.answer.cards.filter((one) => one.asks === "Starts" || (one.asks === "Stops" && one.status !== "pass")).map((one) => { const says = make("p", { class: "print" }); says.innerHTML = `<b>${one.word === "PASS" ? "" : `${one.word} `}${one.asks}</b> ${one.html}`; return says; });
  const done = state.with.filter((one) => !isFact(one));
  const guessed = assumedFields().filter((field) => /\.(outside|clearance)$|\.slots\.|\.drain\.(outlet|length|at)$/.test(field.key)).map(assumedWords);
  $("cut-answer").prepend(make("p", { class: "print dated" }), ...state.with.filter(isRead).map((one) => make("p", { class: "print" }, one.says)), ...(done.length ? [make("p", { class: "print" }, `Cut for the system with these changes made: ${done.map(plainDone).join("; ")}.`)] : []), ...flows, ...(guessed.length ? [make("p", { class: "guessed" }, `Assumed, not measured: ${guessed.join("; ")}.`)] : []));
  found.sheets.forEach((svg, i) => {
    const sheet = make("div", { class: "sheet", role: "region", tabindex: 0, "aria-label": `Sheet ${i + 1}: ${found.sheet_of[i]}` });
    sheet.innerHTML = svg;
    // Nothing is drawn below: so it fits US Letter, which is shorter than A4, to scale.
    const paper = sheet.querySelector("svg"), { width } = paper.viewBox.baseVal;
    paper.setAttribute("viewBox", `0 0 ${width} ${LETTER}`);
    paper.setAttribute("height", LETTER);
    // A sheet that lies alone beside the saw says of when it is, and what it must not be used for yet.
    const wait = found.not_yet;
    paper.append(draw("text", { x: 30, y: 108, "font-size": 12, "font-weight": 600 }, `${today()}${wait ? `. ${wait}: see the first page` : ""}`));
    // With nothing drawn there is nothing to cut: what to do instead stands before.
    if (!paper.querySelector("path, line, polyline, polygon")) sheet.classList.add("none");
    $("cut-answer").append(sheet);
    if (i) folded(sheet, make("button", { type: "button" }, `Sheet ${i + 1}: ${found.sheet_of[i]}`));
  });
  // A screen shows the first bed at length; paper has them all.
  foldedBut($("cut-answer"), "ask", /^bed-(?!0\b)/);
  $("print-cut").hidden = false;
  $("put-cut").hidden = !found.edits.length;
  $("put-cut").onclick = async () => {
    const before = state.with.slice();
    state.with.push({ step: found.edits, says: "Pipes cut as on these sheets", was: "", tried: true });
    const now = await settle(before);
    if (now.error) return;
    $("put-cut").hidden = true;
    goTo("answer");
    // The sheets follow what was put in.
    await findCut();
    $("cut-answer").querySelector("section, .sheet")?.before(make("p", { class: "put-in" }, "These lengths are put in: see Changes made."));
  };
  remember();
}
$("find-cut").addEventListener("click", findCut);
function dropCut() {
  $("cut-answer").replaceChildren();
  for (const id of ["print-cut", "put-cut"]) $(id).hidden = true;
}
$("print-cut").addEventListener("click", () => {
  document.body.classList.add("sheets");
  print();
});
const today = () => new Date().toLocaleDateString("en", { dateStyle: "long" });
addEventListener("beforeprint", () => {
  const day = today();
  for (const node of document.querySelectorAll(".dated")) node.textContent = node.closest("#cut") ? `${state.answer?.title ?? ""}, ${day}` : day;
});
addEventListener("afterprint", () => document.body.classList.remove("sheets"));
