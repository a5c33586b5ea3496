// Before a session ends by itself the page says so, and a tap keeps it and what was
// typed. The server decides; this asks it, marked as asked by the page itself.
"use strict";
(() => {
  const box = document.getElementById("ending");
  if (!box) return;
  const ALONE = { "X-By-Itself": "1" };
  const { url, door } = box.dataset;
  const warn = Number(box.dataset.warn);
  let timer = 0;

  const leave = () => {
    location.assign(`${door}?next=${encodeURIComponent(location.pathname + location.search)}`);
  };

  const after = (seconds, act) => {
    clearTimeout(timer);
    timer = setTimeout(act, Math.max(0, seconds) * 1000);
  };

  async function look() {
    let left = 0;
    try {
      const answer = await fetch(url, { headers: ALONE, redirect: "manual" });
      if (answer.ok) left = (await answer.json()).left;
    } catch {
      after(15, look); // the network is away: the clock of the server runs on
      return;
    }
    wait(left);
  }

  function wait(left) {
    if (left <= 0) {
      leave();
    } else if (left > warn) {
      box.hidden = true;
      after(left - warn, look);
    } else {
      if (box.hidden) box.hidden = false;
      after(Math.min(left, 5), look);
    }
  }

  box.addEventListener("submit", async (event) => {
    event.preventDefault();
    const answer = await fetch(url, { method: "POST", body: new FormData(event.target), redirect: "manual" });
    if (!answer.ok) return leave();
    wait((await answer.json()).left);
  });

  // What htmx asks for by itself (polling) is no sign that somebody is there.
  document.body.addEventListener("htmx:configRequest", ({ detail }) => {
    if (!detail.triggeringEvent) Object.assign(detail.headers, ALONE);
  });
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) look();
  });
  wait(Number(box.dataset.left));
})();
