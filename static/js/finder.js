// The circuit finder: a tap on the picture sets a mark, arrow keys move a cursor and
// Enter sets it. Without this script the form's own cell does.
const STEP = 0.01, FAR = 0.05;
const COLUMNS = "ABCDEFGH", ROWS = "123456";
let x = 0.5, y = 0.5, wasOnStage = false;

const within = (part) => Math.min(1, Math.max(0, part));
const stage = () => document.querySelector("[data-finder]");

const cell = () => COLUMNS[Math.min(Math.floor(x * 8), 7)] + ROWS[Math.min(Math.floor(y * 6), 5)];

const aim = () => {
  const cross = document.querySelector("#aim");
  if (!cross) return;
  cross.setAttribute("x", `${100 * x}%`);
  cross.setAttribute("y", `${100 * y}%`);
};

const set = () => {
  const form = document.querySelector("#mark-form");
  form.elements.x.value = x.toFixed(5);
  form.elements.y.value = y.toFixed(5);
  form.elements.cell.value = "";
  form.requestSubmit();
};

document.addEventListener("click", (event) => {
  const here = event.target.closest("[data-finder]");
  if (!here) return;
  const box = here.getBoundingClientRect();
  x = within((event.clientX - box.left) / box.width);
  y = within((event.clientY - box.top) / box.height);
  wasOnStage = true;
  aim();
  set();
});

const MOVES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
document.addEventListener("keydown", (event) => {
  const here = stage(), move = MOVES[event.key];
  if (!here || event.target !== here || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Enter") {
    event.preventDefault();
    wasOnStage = true;
    set();
  } else if (move) {
    event.preventDefault();
    const step = event.shiftKey ? FAR : STEP;
    x = within(x + move[0] * step);
    y = within(y + move[1] * step);
    aim();
    document.querySelector("[data-said]").textContent = `${here.dataset.at} ${cell()}`;
  }
});

const ready = () => {
  for (const one of document.querySelectorAll("[data-with-script]")) one.hidden = false;
  aim();
  if (wasOnStage && stage()) stage().focus({ preventScroll: true });
  wasOnStage = false;
};
document.addEventListener("htmx:afterSettle", ready);
ready();
