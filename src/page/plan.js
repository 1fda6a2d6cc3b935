// The plan; each step can be put into the drawing.
async function findPlan() {
  const button = $("find-plan");
  button.disabled = true;
  const plan = await long(work({ call: "plan", seen: { bed: asked.bed, symptom: asked.symptom, checks: asked.checks }, stood: stoodThen() }), $("plan-answer"), "Simulating changes \u2026");
  if (plan.dropped) return;
  button.disabled = false;
  if (plan.error) { $("plan-answer").replaceChildren(make("p", { class: "fault" }, plan.error)); return; }
  $("plan-answer").innerHTML = plan.head + plan.parts.filter((part) => part.place !== "back").map((part) => `<section data-plan="${part.key}"><h3></h3>${part.html}</section>`).join("");
  stackable($("plan-answer"));
  untyped($("plan-answer"));
  plan.parts.filter((part) => part.place !== "back").forEach((part, i) => { const head = $("plan-answer").querySelectorAll("[data-plan] > h3")[i]; head.textContent = part.title; head.hidden = part.title === "What to do"; });
  foldedBut($("plan-answer"), "plan", /^(?!what-to-do)/);
  const supposed = state.with.find((one) => one.trouble);
  if (supposed) $("plan-answer").prepend(make("p", { class: "supposed" }, `Planned with this supposed, until it is undone: ${supposed.says} `, make("button", { type: "button", onclick: () => takeBack(supposed) }, "Undo")));
  $("plan").classList.add("answered");
  const items = [...$("plan-answer").querySelectorAll(".findings > li")];
  const all = [...plan.steps, ...plan.surer];
  const put = (n) => ({ step: all[n], says: items[n]?.querySelector("p")?.textContent || all[n].map(plainChange).join(", "), was: "", tried: true });
  // A step was simulated with those before it, and is tried with them.
  const tryTo = (last) => async (event) => {
    const button = event.target;
    button.disabled = true;
    Object.assign(button, { says: button.textContent, steps: all.slice(0, last + 1) });
    const before = state.with.slice();
    for (let n = 0; n <= last; n++) if (!before.some((one) => one.step === all[n])) state.with.push(put(n));
    const now = await settle(before);
    if (now.error) return;
    // Where the finger is; with all of them the answers themselves.
    // What only the last step brings is no alarm before it.
    const left = plan.steps.length - 1 - last;
    button.textContent = left > 0 && now.verdict !== "pass" ? `Tried: ${left} more to go` : `Tried: now ${now.verdict.toUpperCase()}`;
    if (button.id === "try-all") goTo("answer");
  };
  all.forEach((_, n) => items[n]?.append(make("button", { type: "button", class: "try", onclick: tryTo(n) }, n ? "Try it with those before" : "Try it")));
  if (plan.steps.length > 1) $("plan-answer").append(make("button", { type: "button", class: "try", id: "try-all", onclick: tryTo(plan.steps.length - 1) }, "Try all steps"));
  foldSecond(plan.works);
  remember();
}
// On a phone what only settles doubts waits until it is asked for; what still fails does not.
function foldSecond(works) {
  const section = $("plan-answer").querySelector('[data-plan="what-to-do"]'), lists = [...section?.querySelectorAll(":scope > .findings") || []];
  const second = [...(works ? section?.querySelectorAll(":scope > ul:not(.findings)") || [] : []), ...(lists[1] ? [lists[1].previousElementSibling, lists[1]] : [])];
  if (!second.length || !narrow.matches) return;
  const box = make("div", {});
  second[0].before(box);
  box.append(...second);
  folded(box, make("button", { type: "button" }, "What stays in doubt, and what makes it surer"));
}
$("find-plan").addEventListener("click", findPlan);
function dropPlan() {
  $("find-plan").disabled = false;
  $("plan-answer").replaceChildren();
  $("plan").classList.remove("answered");
}

// A step that was undone elsewhere, or did not come about, can be tried again.
function triesAnew() {
  for (const button of $("plan-answer").querySelectorAll(".try")) {
    if (!button.steps || button.steps.every((step) => state.with.some((one) => one.step === step))) continue;
    Object.assign(button, { textContent: button.says, disabled: false, steps: null });
  }
}
