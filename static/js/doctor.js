// Looks at this device, and shows of each matter the outcome that it found.
// All words stand in the page; here are only the bounds.
const MINUTE = 60, DAY = 24 * 60 * MINUTE, BENCH_SIDE = 700;

const list = document.querySelector("[data-doctor]");

function show(check, outcome, values = {}) {
  const row = list.querySelector(`[data-check="${check}"]`);
  const button = row.querySelector("button");
  if (button) button.hidden = outcome === "well";
  for (const part of row.querySelectorAll("[data-outcome]")) {
    part.hidden = part.dataset.outcome !== outcome;
    if (part.hidden) continue;
    for (const [key, value] of Object.entries(values)) {
      for (const slot of part.querySelectorAll(`[data-value="${key}"]`)) {
        slot.textContent = value;
      }
    }
  }
}

async function answer() {
  const asked = Date.now();
  const response = await fetch(list.dataset.answer, { cache: "no-store" });
  const told = await response.json();
  const middle = (asked + Date.now()) / 2000;
  return { ...told, off: middle - told.now };
}

function clock(off) {
  const seconds = Math.abs(off);
  if (seconds >= DAY / 2) return show("clock", "wrong", { days: (seconds / DAY).toLocaleString(document.documentElement.lang, { maximumFractionDigits: 1 }) });
  if (seconds <= MINUTE) return show("clock", "well", { seconds: Math.round(seconds) });
  return show("clock", "off", { minutes: Math.max(1, Math.round(seconds / MINUTE)) });
}

async function server() {
  try {
    const told = await answer();
    clock(told.off);
    show("cookie", told.cookie ? "well" : "lost");
  } catch {
    show("clock", "unreached");
    show("cookie", "unreached");
  }
}

async function trust() {
  if (!window.isSecureContext) {
    show("trust", "plain");
    return show("worker", "insecure");
  }
  if (!("serviceWorker" in navigator)) {
    show("trust", "unknown");
    return show("worker", "missing");
  }
  try {
    // A browser that was only talked past its warning has a page, but refuses here.
    await navigator.serviceWorker.register(list.dataset.worker, { scope: "/" });
    await navigator.serviceWorker.ready;
    show("worker", "well");
    return show("trust", location.protocol === "https:" ? "well" : "loopback");
  } catch (refused) {
    show("worker", "refused", { reason: refused.name });
    return show("trust", location.protocol === "https:" ? "untrusted" : "unknown");
  }
}

async function storage() {
  if (!navigator.storage?.persisted) return show("storage", "unknown");
  return show("storage", (await navigator.storage.persisted()) ? "well" : "loose");
}

async function keepStorage() {
  show("storage", (await navigator.storage?.persist?.()) ? "well" : "refused");
}

function screenSize() {
  const { innerWidth: width, innerHeight: height } = window;
  const isLarge = Math.min(width, height) >= BENCH_SIDE;
  show("screen", isLarge ? "well" : "small", { size: `${width} × ${height}` });
}

async function camera() {
  if (!navigator.mediaDevices?.getUserMedia) return show("camera", "insecure");
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ video: true });
    for (const track of stream.getTracks()) track.stop();
    return show("camera", "well");
  } catch (refused) {
    return show("camera", refused.name === "NotFoundError" ? "none" : "refused");
  }
}

list.querySelector("[data-ask-camera]").addEventListener("click", camera);
list.querySelector("[data-ask-storage]").addEventListener("click", keepStorage);
window.addEventListener("resize", screenSize);
screenSize();
await Promise.all([server(), trust(), storage()]);
list.dataset.doctor = "done";
