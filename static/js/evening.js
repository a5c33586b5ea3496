// The evening list: minutes go up and down by taps, and the sum says so at once.
// Without this the fields are typed into; the server adds up what it records.
"use strict";
(() => {
  const fields = [...document.querySelectorAll("[data-minutes]")];
  const total = document.querySelector("[data-total]");
  const count = (field) => Math.max(0, Math.round(Number(field.value) || 0));

  function sum() {
    if (total) total.textContent = `${fields.reduce((all, one) => all + count(one), 0)} ${total.dataset.total}`;
  }

  for (const hidden of document.querySelectorAll(".evening [hidden]")) hidden.hidden = false;
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("[data-add]");
    const field = button && document.getElementById(button.dataset.to);
    if (!field) return;
    field.value = Math.max(0, count(field) + Number(button.dataset.add));
    // What a gap adds, or a silence takes off, is added or taken once.
    if (Math.abs(button.dataset.add) !== 5) {
      for (const one of button.parentElement.querySelectorAll("[data-add]")) one.disabled = true;
    }
    sum();
  });
  for (const field of fields) field.addEventListener("input", sum);
})();
