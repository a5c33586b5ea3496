// What was done at one board on this tablet since its cards were kept, sent or not: the
// points that were read, how the board stands, what was passed by. And whether a card may
// be taken: nothing is judged here, so what an unjudged act might hold off is held off.
"use strict";
window.awayBoard = (path) => {
  const FILLED = ["supply_volts", "supply_limit_amps"];

  const valuesOf = (act, name) => act.fields.filter(([field]) => field === name).map(([, value]) => value);
  const valueOf = (act, name) => valuesOf(act, name)[0];
  const isHere = (act) => act.url.startsWith(path);

  async function waiting() {
    return (await outbox.all()).filter((item) => item.state === "waiting" && isHere(item));
  }

  // The acts one after the other, as the house will take them.
  async function since(kept) {
    const told = { points: new Set(), checks: new Set(), passed: new Map(), isPowered: false, isStruck: false, isSaid: false, stands: kept?.stands || "", fitted: [], supply: {} };
    for (const act of [...(kept?.sent || []), ...await waiting()]) tell(told, act, kept);
    return told;
  }

  function tell(told, act, kept) {
    const what = act.url.slice(path.length);
    if (what === "stands/") stand(told, act, valueOf(act, "condition"), kept);
    else if (what === "passed-by/") told.passed.set(valueOf(act, "check_id"), valueOf(act, "why") !== "after_all");
    else if (what.startsWith("strike/")) told.isStruck = true;
    else if (what === "reading/") read(told, act, kept);
  }

  function read(told, act, kept) {
    const point = valueOf(act, "point_id"), check = point.split("/")[0];
    told.points.add(point);
    told.checks.add(check);
    if (valueOf(act, "is_told")) return;
    const condition = valueOf(act, "condition") || kept?.cards.find((one) => one.check === check)?.condition;
    if (condition === undefined) told.isPowered = true; // of a check that is not kept: a doubt
    else if (condition && (condition !== told.stands || told.isSaid)) stand(told, act, condition, kept);
  }

  function stand(told, act, condition, kept) {
    Object.assign(told, { stands: condition, fitted: valuesOf(act, "fitted"), isSaid: true });
    told.isPowered ||= !kept?.powers || kept.powers.includes(condition); // an older version kept none
    for (const name of FILLED) if (valueOf(act, name)) told.supply[name] = valueOf(act, name);
  }

  // Why a card may not be taken now; "" where it may.
  function heldOff(card, kept, told) {
    if (card.held) return card.held;
    const isDoubted = card.gates.some((gate) => told.checks.has(gate))
      || (told.isPowered && card.gates.includes(kept.power_gone))
      || (told.isStruck && card.gates.length > 0);
    return isDoubted ? document.getElementById("waiting").dataset.gateWaits : "";
  }

  const isPassedBy = (card, told) => told.passed.get(card.check) ?? card.is_passed_by;

  function next(kept, told, after) {
    const at = kept.cards.findIndex((card) => card.point === after) + 1;
    const order = [...kept.cards.slice(at), ...kept.cards.slice(0, at)];
    return order.find((card) => !card.is_read && !told.points.has(card.point) && !isPassedBy(card, told) && !heldOff(card, kept, told));
  }

  // The step that asks how the board stands, or the entry: whichever the board needs now.
  function dress(root, told, asks = false) {
    const step = root.querySelector(".stand"), entry = root.querySelector("form.entry");
    if (!step || !entry) return;
    const wanted = step.querySelector("[name=condition]").value;
    step.hidden = !asks && (!wanted || wanted === told.stands);
    entry.hidden = !step.hidden;
    for (const field of (step.hidden ? step : entry).querySelectorAll("[autofocus]")) field.removeAttribute("autofocus");
    if (!told.isSaid) return;
    step.querySelector("[data-until-now]")?.remove();
    for (const [name, value] of Object.entries(told.supply)) step.querySelector(`[name=${name}]`)?.setAttribute("value", value);
    for (const box of root.querySelectorAll(":is(.stand, .entry) [name=fitted]")) {
      box.checked = told.fitted.includes(box.value);
      box.toggleAttribute("checked", box.checked);
    }
  }

  function dressed(html, told, asks) {
    const made = document.createElement("template");
    made.innerHTML = html;
    dress(made.content, told, asks);
    return made.innerHTML;
  }

  return { valueOf, since, heldOff, next, dress, dressed };
};
