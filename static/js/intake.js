// Taking one in: what is typed is kept on the server while one types, offers are reached
// by the arrow keys, and a signature is drawn. Without this script the page does all
// but the drawing: the slip is signed on paper then.
"use strict";
(() => {
  const form = document.querySelector(".intake-form[data-draft]");
  if (!form) return;
  const SAVE_AFTER = 800;

  // --- the draft ---
  const state = document.getElementById("draft-state");
  let timer = 0, isLeaving = false;

  async function save() {
    clearTimeout(timer);
    timer = 0;
    try {
      const answer = await fetch(form.dataset.draft, { method: "POST", body: new FormData(form), redirect: "manual", keepalive: true });
      state.textContent = answer.status === 204 ? state.dataset.kept : state.dataset.away;
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

  // --- the signature ---
  const box = form.querySelector("[data-sign]");
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
    later();
  }
  box.querySelector("[data-sign-clear]").addEventListener("click", () => {
    strokes = [];
    draw();
    keep();
  });
  draw();
})();
