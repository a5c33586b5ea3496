// Taking one in: what is typed is kept on the server while one types, and offers are
// reached by the arrow keys. Without this script the page does all the rest.
"use strict";
(() => {
  const form = document.querySelector(".intake-form[data-draft]");
  if (!form) return;
  const SAVE_AFTER = 800;

  // --- the draft ---
  const state = document.getElementById("draft-state");
  const slip = document.getElementById("live-slip"), hasRoom = matchMedia("(min-width: 1100px)");
  let timer = 0, isLeaving = false, asked = 0;
  if (slip) slip.hidden = false; // by the style sheet only where there is room

  async function save() {
    clearTimeout(timer);
    timer = 0;
    const own = ++asked, withSlip = slip && hasRoom.matches && !isLeaving;
    try {
      const answer = await fetch(form.dataset.draft, { method: "POST", body: new FormData(form), headers: withSlip ? { "With-Slip": "yes" } : {}, redirect: "manual", keepalive: true });
      state.textContent = answer.ok ? state.dataset.kept : state.dataset.away;
      if (answer.status === 200 && own === asked) slip.innerHTML = await answer.text();
    } catch {
      state.textContent = state.dataset.away;
    }
  }

  function later() {
    clearTimeout(timer);
    timer = setTimeout(save, SAVE_AFTER);
  }
  form.addEventListener("input", later);
  form.addEventListener("submit", () => { isLeaving = true; clearTimeout(timer); timer = 0; });
  addEventListener("pagehide", () => { if (timer && !isLeaving) save(); });
  addEventListener("pageshow", () => { isLeaving = false; });

  // --- the offers ---
  const offered = () => [...form.querySelectorAll("#offers .offers a")];
  form.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowDown" && event.key !== "ArrowUp") return;
    const links = offered(), at = links.indexOf(event.target);
    if (!links.length || (at < 0 && !event.target.matches("#id_name, #id_phone"))) return;
    event.preventDefault();
    const to = at + (event.key === "ArrowDown" ? 1 : -1);
    (links[to] ?? (to < 0 ? form.querySelector("#id_name") : links[at])).focus();
  });
  // A customer or a device was chosen: on to what only this customer can tell.
  document.body.addEventListener("htmx:load", (event) => {
    const fresh = event.detail.elt.id;
    if (fresh === "customer" && document.getElementById("id_customer").value) {
      (document.querySelector("#earlier .rows a") ?? document.getElementById("id_told") ?? document.getElementById("id_machine-0-model"))?.focus();
      later();
    }
    if (fresh === "device" && !document.activeElement.matches("#id_told")) {
      document.getElementById("id_model")?.focus();
      later();
    }
  });
})();
