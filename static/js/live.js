// The columns beside the card: drawn anew at once after a reading, whose answer is the card
// alone, and every two seconds where others changed something; a sentence says who read
// what. The card, and what is being typed, stays.
"use strict";
(() => {
  const EVERY = 2000;
  const path = location.pathname.match(/^\/bench\/[^/]+\/\d+\/$/)?.[0];
  const ladder = document.getElementById("ladder");
  if (!path || !ladder?.dataset.version || benchAway.isShell) return;

  // A fold with a form that somebody has opened is not drawn over.
  const isInUse = (part) => part.contains(document.activeElement) || part.querySelector("details[open] form") !== null;

  const later = new Map(); // drawn once its place is free

  function draw(fresh) {
    const part = document.getElementById(fresh.id);
    later.delete(fresh.id);
    if (!part) return;
    if (isInUse(part)) {
      later.set(fresh.id, fresh);
      if (fresh.dataset.version) part.dataset.version = fresh.dataset.version;
      return;
    }
    part.replaceWith(fresh);
    htmx.process(fresh);
  }

  async function look() {
    const asked = new URLSearchParams(location.search);
    asked.set("seen", document.getElementById("ladder").dataset.version);
    const answer = await fetch(`${path}live/?${asked}`, {
      headers: { "X-By-Itself": "1", "HX-Request": "true" }, redirect: "manual", cache: "no-store", signal: AbortSignal.timeout(8000),
    });
    if (answer.status !== 200 || answer.headers.get("HX-Redirect")) return;
    const page = document.createElement("template");
    page.innerHTML = await answer.text();
    const said = page.content.querySelector("[data-news]")?.textContent.trim();
    for (const part of page.content.querySelectorAll("#ladder, #beside, #more-hand, #id_offered")) draw(part);
    if (said) document.getElementById("news").textContent = said;
  }

  let timer = 0, isLooking = false, isAskedFor = false;

  async function run() {
    clearTimeout(timer);
    isLooking = true;
    isAskedFor = false;
    if (!document.hidden) {
      for (const fresh of [...later.values()]) draw(fresh);
      try {
        await look();
        outbox.news.dispatchEvent(new CustomEvent("reached"));
      } catch {
        // the network is away: the outbox says so
      }
    }
    isLooking = false;
    timer = setTimeout(run, isAskedFor ? 0 : EVERY);
  }
  timer = setTimeout(run, EVERY);

  document.addEventListener("htmx:afterSettle", () => {
    const card = document.querySelector("#card[data-alone]");
    if (!card) return;
    delete card.dataset.alone;
    isAskedFor = true;
    if (!isLooking) run();
  });
})();
