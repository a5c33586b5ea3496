// How many acts of this tablet wait for the network, always in sight; what the house
// did not take, until somebody decides; and a word before the tablet's storage is full.
"use strict";
(() => {
  const box = document.getElementById("waiting");
  const state = box.querySelector("[data-state]"), said = document.getElementById("waiting-said");
  const list = box.querySelector("[data-list]"), storage = document.getElementById("storage");
  const words = box.dataset;
  const LEAST_FREE = 50e6, MOST_USED = 0.9, LOOK_EVERY = 60000, A_MOMENT = 700;
  let why = "all", last = "", soon = 0;

  const count = (text, n) => text.replace("{n}", n);

  function announce(kind, text) {
    if (kind === last) return;
    if (last || kind !== "sent") said.textContent = text;
    last = kind;
  }

  function line(item) {
    const row = box.querySelector("template").content.firstElementChild.cloneNode(true);
    const at = new Date(item.takenAt).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit" });
    row.querySelector("[data-what]").textContent = `${item.shown?.what || item.url}, ${at}`;
    row.querySelector("[data-why]").textContent = item.state === "refused" ? item.said : words.waits;
    const acts = row.querySelector("[data-acts]");
    acts.hidden = item.state !== "refused";
    acts.querySelector("[data-again]").onclick = async () => {
      await outbox.change(item, { state: "waiting" });
      outbox.sendNow();
    };
    acts.querySelector("[data-away]").onclick = () => outbox.forget(item.seq);
    return row;
  }

  async function show() {
    const items = await outbox.all();
    const refused = items.filter((item) => item.state === "refused");
    const waiting = items.filter((item) => item.state === "waiting");
    const parts = [];
    if (waiting.length) parts.push(count(words.notSent, waiting.length));
    if (refused.length) parts.push(count(words.notTaken, refused.length));
    const kind = refused.length ? "refused" : waiting.length ? "waiting" : "sent";
    state.textContent = parts.join(" · ") || words.allSent;
    box.className = `waiting is-${kind}`;
    list.replaceChildren(...items.slice(0, 30).map(line));
    box.querySelector("[data-none]").hidden = items.length > 0;
    box.querySelector("[data-door]").hidden = !(waiting.length && why === "door");
    announce(waiting.length && why !== "all" ? `${kind} ${why}` : refused.length ? kind : "sent", state.textContent);
  }

  // Said before it happens: what is left is what the browser gives this site.
  async function weigh() {
    if (!navigator.storage?.estimate) return;
    const { usage, quota } = await navigator.storage.estimate();
    const left = quota - usage, isNear = left < LEAST_FREE || usage > MOST_USED * quota;
    storage.hidden = !isNear;
    if (isNear) storage.textContent = count(words.nearlyFull, Math.max(0, Math.floor(left / 1e6)));
  }

  // What the house answers at once never waited: nobody is told of it.
  function showSoon() {
    soon = soon || setTimeout(showNow, A_MOMENT);
  }

  function showNow() {
    clearTimeout(soon);
    soon = 0;
    return show();
  }

  outbox.news.addEventListener("changed", showSoon);
  outbox.news.addEventListener("state", ({ detail }) => {
    if (detail.lane === "acts") why = detail.state;
    showNow();
  });
  outbox.news.addEventListener("full", () => {
    storage.hidden = false;
    storage.textContent = words.full;
  });
  box.hidden = false;
  show();
  weigh();
  setInterval(weigh, LOOK_EVERY);
  // Safari throws away after a week what is not installed or asked to stay.
  navigator.storage?.persist?.().catch(() => {});
})();
