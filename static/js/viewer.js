// The photo viewer: arrow keys turn, the link to the full size becomes a switch.
const frame = document.querySelector("[data-frame]"), whole = document.querySelector("[data-whole]");
const names = [whole.textContent, whole.dataset.fit];

whole.addEventListener("click", (event) => {
  event.preventDefault();
  whole.textContent = names[frame.classList.toggle("is-whole") ? 1 : 0];
});

document.addEventListener("keydown", (event) => {
  const isTyping = event.target.closest("input, select, textarea");
  const isPanning = frame.classList.contains("is-whole");
  if (isTyping || isPanning || event.altKey || event.ctrlKey || event.metaKey) return;
  const turn = { ArrowLeft: "prev", ArrowRight: "next" }[event.key];
  document.querySelector(`[rel=${turn}]`)?.click();
});
