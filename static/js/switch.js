// The names at a bench tablet: a number pad for gloved fingers, and a scanned badge.
"use strict";
(() => {
  const form = document.getElementById("switch");
  const badge = document.getElementById("badge");
  if (!form) return;
  const pin = form.elements.pin;
  const pad = form.querySelector(".pin-pad");
  const SLOW = 100; // ms between keys: a scanner is faster, fingers are slower
  const BADGE = /CR.?B.?[2-9A-Z]{28}$/;
  let typed = "", last = 0;

  pad.hidden = false;
  // The pad stands for the tablet's own keyboard, which would hide half the page.
  if (matchMedia("(pointer: coarse)").matches) pin.inputMode = "none";

  pad.addEventListener("click", ({ target }) => {
    const button = target.closest("button");
    if (!button) return;
    if (button.dataset.digit) pin.value = (pin.value + button.dataset.digit).slice(0, 8);
    if ("back" in button.dataset) pin.value = pin.value.slice(0, -1);
  });
  form.addEventListener("change", ({ target }) => {
    if (target.name === "person") pin.value = "";
  });

  // Whether the house answers at all; a browser's own word for it is not enough.
  async function isAway() {
    if (!navigator.onLine) return true;
    try {
      const asked = { method: "HEAD", cache: "no-store", redirect: "manual", signal: AbortSignal.timeout(1500) };
      return (await fetch("/sign-in/here/", asked)).status >= 500;
    } catch {
      return true;
    }
  }

  form.addEventListener("submit", async (event) => {
    const person = Number(new FormData(form).get("person"));
    event.preventDefault();
    if (!person || !pin.value || !(await isAway())) {
      await atTablet.letIn().catch(() => {});
      form.submit();
      return;
    }
    await atTablet.keep(person, pin.value, form.dataset.publicKey);
    pin.value = "";
    document.getElementById("refusal").hidden = document.getElementById("not-confirmed").hidden = true;
    document.getElementById("kept").hidden = false;
  });
  document.addEventListener("at-tablet", ({ detail }) => {
    document.getElementById("kept").hidden = true;
    if (detail.confirmed) location.assign("/bench/");
    else document.getElementById("not-confirmed").hidden = false;
  });

  // This page and what it is drawn with, for when the network is away (sw.js).
  async function keepPage() {
    await navigator.serviceWorker.register("/sw.js", { scope: "/" });
    const names = new URL("/sign-in/switch/", location).href;
    const page = await fetch(names, { cache: "no-store" });
    if (!page.ok) return;
    const shell = await caches.open("tablet");
    const parts = document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]");
    const drawn = [...parts].map((part) => part.href || part.src);
    await shell.addAll(drawn);
    await shell.put(names, page);
    for (const old of await shell.keys())
      if (![names, ...drawn].includes(old.url)) await shell.delete(old);
  }
  if ("serviceWorker" in navigator) keepPage().catch(() => {});

  // A badge's keys come from anywhere on the page; Enter sends it and nothing else.
  document.addEventListener("keydown", (event) => {
    // The key's own moment: a busy page handles keys late, and a scan would fall apart.
    if (event.timeStamp - last > SLOW) typed = "";
    last = event.timeStamp;
    if (event.key === "Enter" && BADGE.test(typed)) {
      event.preventDefault();
      event.stopImmediatePropagation();
      badge.elements.code.value = typed.match(BADGE)[0];
      typed = pin.value = "";
      badge.submit();
    } else if (event.key.length === 1) {
      typed = (typed + event.key.toUpperCase()).slice(-40);
      if (!/[0-9]/.test(event.key) && document.activeElement === pin) event.preventDefault();
    }
  }, true);
})();
