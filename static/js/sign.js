// A signature drawn with a finger, a pen or a mouse. Without this script one signs on
// paper.
"use strict";
(() => {
  const box = document.querySelector("[data-sign]");
  if (!box) return;
  const form = box.closest("form");
  const svg = box.querySelector("svg"), ink = box.querySelector(".sign-ink");
  const field = form.querySelector("[name=signature]");
  const onScreen = form.querySelector("[name=signed][value=screen]");
  const { width, height } = svg.viewBox.baseVal;
  let strokes = [], drawing = null;
  box.hidden = false;
  try {
    strokes = JSON.parse(field.value || "[]");
  } catch {
    strokes = [];
  }

  function draw() {
    ink.setAttribute("d", strokes.map((points) => {
      const pairs = [];
      for (let at = 0; at < points.length; at += 2) pairs.push(`${points[at]} ${points[at + 1]}`);
      return `M${pairs.length > 1 ? pairs.join("L") : `${pairs[0]}L${pairs[0]}`}`;
    }).join(""));
  }

  const within = (value, most) => Math.min(most, Math.max(0, Math.round(value)));
  function pointOf(event) {
    const at = svg.getBoundingClientRect();
    return [within((event.clientX - at.left) * width / at.width, width), within((event.clientY - at.top) * height / at.height, height)];
  }

  svg.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || drawing) return;
    event.preventDefault();
    svg.setPointerCapture(event.pointerId);
    drawing = pointOf(event);
    strokes.push(drawing);
    draw();
  });
  svg.addEventListener("pointermove", (event) => {
    if (!drawing) return;
    for (const one of event.getCoalescedEvents?.() ?? [event]) {
      const [x, y] = pointOf(one);
      if (Math.abs(x - drawing.at(-2)) + Math.abs(y - drawing.at(-1)) >= 2) drawing.push(x, y);
    }
    draw();
  });
  function ended() {
    if (!drawing) return;
    drawing = null;
    keep();
  }
  svg.addEventListener("pointerup", ended);
  svg.addEventListener("pointercancel", ended);

  function keep() {
    field.value = strokes.length ? JSON.stringify(strokes) : "";
    if (strokes.length) onScreen.checked = true;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  box.querySelector("[data-sign-clear]").addEventListener("click", () => {
    strokes = [];
    draw();
    keep();
  });
  draw();
})();
