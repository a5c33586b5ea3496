// The day list looks every few seconds whether something happened, and is drawn anew only
// then: what is unfolded stays so, the focus stays where it was (htmx finds it by its id),
// and what somebody is typing in is not drawn over.
"use strict";
(() => {
  const EVERY = 5000;
  const day = () => document.getElementById("day");
  let unfolded = [];

  document.body.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.target.id !== "day") return;
    const active = document.activeElement;
    if (day().contains(active) && active.matches("input, select, textarea")) event.detail.shouldSwap = false;
    unfolded = [...day().querySelectorAll("details[open]")].map((fold) => fold.id);
  });
  document.body.addEventListener("htmx:load", (event) => {
    if (event.detail.elt.id !== "day") return;
    for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
  });

  setInterval(() => {
    if (!document.hidden && day()) htmx.trigger(day(), "look");
  }, EVERY);
})();
