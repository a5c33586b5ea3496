// The hits under the search field by the keys: down and up go through them, Escape goes
// back to the field and folds them away. Enter in the field asks for the page as ever.
"use strict";
(() => {
  const field = document.getElementById("find");
  const hits = document.getElementById("find-hits");
  if (!field || !hits) return;
  const box = field.closest("form");
  const fold = field.closest("details");

  const links = () => [...hits.querySelectorAll("a")];

  function step(event, by) {
    const all = links();
    if (!all.length || hits.hidden) return;
    event.preventDefault();
    const at = all.indexOf(document.activeElement) + by;
    if (at < 0) field.focus();
    else all[Math.min(at, all.length - 1)].focus();
  }

  box.addEventListener("keydown", (event) => {
    if (event.key === "ArrowDown") step(event, 1);
    else if (event.key === "ArrowUp") step(event, -1);
    else if (event.key === "Escape" && (!hits.hidden || fold)) {
      hits.hidden = true;
      if (fold) fold.open = false;
      (fold ? fold.querySelector("summary") : field).focus();
    }
  });

  // What is asked for no more is not shown when it comes.
  box.addEventListener("htmx:beforeSwap", ({ detail }) => {
    detail.shouldSwap = detail.shouldSwap && detail.requestConfig.parameters.q === field.value;
  });
  field.addEventListener("input", () => { hits.hidden = false; });
  field.addEventListener("focus", () => { hits.hidden = false; });
  document.addEventListener("focusin", ({ target }) => {
    if (!box.contains(target)) hits.hidden = true;
  });
  document.addEventListener("pointerdown", ({ target }) => {
    if (!box.contains(target)) hits.hidden = true;
  });
  fold?.addEventListener("toggle", () => { if (fold.open) field.focus(); });
})();
