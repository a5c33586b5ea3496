/* A button that copies what stands in a field; shown where the browser can. */
(() => {
  "use strict";
  if (!navigator.clipboard) return;
  for (const button of document.querySelectorAll("[data-copies]")) {
    const field = document.getElementById(button.dataset.copies);
    button.hidden = false;
    button.addEventListener("click", async () => {
      await navigator.clipboard.writeText(field.value);
      button.textContent = button.dataset.copied;
    });
  }
})();
