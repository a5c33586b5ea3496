/* A scanner of keyboard type, on every page.

   A scanner types faster than a hand: at most GAP ms between keys, ended by Enter or
   Tab. Its keys are read by where they lie on a US keyboard, which is what scanners
   send, so that the layout of this tablet doesn't matter. A scan submits no form and
   presses no button, but for one that its field names (data-adds). A code of ours leaves no trace in the field that had the focus;
   a foreign one stays only where the field asks for it (data-takes-scans). What a
   bench meter types into a reading (data-takes-readings) goes its usual way.

   The server says what a code is (shop/intake/scans.py); a tag and a place within
   two minutes put the thing there. What was scanned last is kept in this tab only. */
"use strict";

(() => {
  const GAP = 35, SHORTEST = 4, REMEMBERED = 120000, KEPT = "coldrail-scan";
  const OURS = /^CR-?[NTPB]|^\d{2,18}-\d{1,3}$/i;
  const A_BADGE = /^CR-?B/i;
  const A_SLIP = /\/slip\/[\w-]{24}\/?$/;
  const A_READING = /^[-+]?\d{1,6}([.,]\d{1,9})?(e[-+]?\d{1,3})?[a-z]{0,4}$/i;
  const SIGNS = {Minus: "-_", Period: ".>", Slash: "/?", Comma: ",<", Space: "  ",
    Semicolon: ";:", Equal: "=+", NumpadSubtract: "--", NumpadDecimal: ".."};
  const SHIFTED = ")!@#$%^&*(";

  const bar = document.getElementById("scan-bar");
  if (!bar) return;
  const said = bar.querySelector("[role=status]"), acts = bar.querySelector(".acts");
  const words = bar.dataset;
  let burst = nothing();

  function nothing() {
    return {byPlace: "", byKey: "", last: -Infinity, field: null};
  }

  function byPlace(event) {
    const code = event.code || "";
    if (/^Key[A-Z]$/.test(code)) return event.shiftKey ? code[3] : code[3].toLowerCase();
    const digit = /^(Digit|Numpad)(\d)$/.exec(code);
    if (digit) return event.shiftKey && digit[1] === "Digit" ? SHIFTED[digit[2]] : digit[2];
    if (SIGNS[code]) return SIGNS[code][event.shiftKey ? 1 : 0];
    return event.key;
  }

  const isText = (e) => e && (e.matches("textarea, select, [contenteditable]")
    || e.matches("input:not([type=checkbox], [type=radio], [type=submit], [type=button])"));

  function snapshot() {
    const at = document.activeElement;
    if (!isText(at) || at.readOnly) return null;
    return {at, value: at.value, from: start(at), to: end(at)};
  }

  /* Fields of numbers and days have no caret to ask for. */
  function start(at) { try { return at.selectionStart; } catch { return null; } }

  function end(at) { try { return at.selectionEnd; } catch { return null; } }

  function restore(field) {
    if (!field || field.at.value === field.value) return;
    field.at.value = field.value;
    if (field.from !== null && field.from !== undefined)
      try { field.at.setSelectionRange(field.from, field.to); } catch { /* no caret */ }
    field.at.dispatchEvent(new Event("input", {bubbles: true}));
  }

  document.addEventListener("keydown", (event) => {
    if (["Shift", "CapsLock", "NumLock"].includes(event.key)) return;
    const gap = event.timeStamp - burst.last;
    if (event.key === "Enter" || event.key === "Tab") {
      const done = burst;
      burst = nothing();
      if (gap <= GAP * 3 && done.byKey.length >= SHORTEST) ended(event, done);
      return;
    }
    if (event.ctrlKey || event.altKey || event.metaKey || event.repeat
      || event.isComposing || [...event.key].length !== 1) {
      burst = nothing();
      return;
    }
    if (gap > GAP) burst = {...nothing(), field: snapshot()};
    burst.byPlace += byPlace(event);
    burst.byKey += event.key;
    burst.last = event.timeStamp;
    if (!burst.field && burst.byKey.length > 1) event.preventDefault();
  }, true);

  /* A space presses a button when the key comes up again. */
  document.addEventListener("keyup", (event) => {
    if (event.code === "Space" && !burst.field && burst.byKey.length > 1)
      event.preventDefault();
  }, true);

  function ended(event, done) {
    const at = done.field && done.field.at;
    const text = OURS.test(done.byPlace) ? done.byPlace
      : OURS.test(done.byKey) ? done.byKey
        : A_SLIP.test(done.byPlace) ? done.byPlace
        : /^\d+$/.test(done.byPlace) ? done.byPlace : done.byKey;
    const isOurs = OURS.test(text) || A_SLIP.test(text);
    if (at && !isOurs && "takesReadings" in at.dataset && A_READING.test(done.byKey)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (at && !isOurs && "takesScans" in at.dataset) {
      const adds = document.getElementById(at.dataset.adds || "");
      if (adds) { adds.click(); return; }
      tell(words.kept);
      return;
    }
    restore(done.field);
    act(text, Boolean(at) && at.type === "search");
  }

  function tell(text) {
    acts.replaceChildren();
    said.textContent = "";
    said.textContent = text;
  }

  function offer(label, act) {
    const button = document.createElement(typeof act === "string" ? "a" : "button");
    button.textContent = label;
    button.className = "button quiet";
    if (typeof act === "string") button.href = act;
    else { button.type = "button"; button.addEventListener("click", act); }
    acts.append(button);
  }

  function remembered() {
    try {
      const kept = JSON.parse(sessionStorage.getItem(KEPT)) || {};
      return Date.now() - kept.at < REMEMBERED ? kept : {};
    } catch { return {}; }
  }

  function remember(kept) {
    sessionStorage.setItem(KEPT, JSON.stringify({...kept, at: Date.now()}));
  }

  const form = bar.querySelector("form");
  const key = () => Array.from(crypto.getRandomValues(new Uint8Array(16)),
    (byte) => byte.toString(16).padStart(2, "0")).join("");

  async function ask(url, posted) {
    const options = {headers: {Accept: "application/json"}};
    if (posted) {
      const body = new FormData(form);
      for (const [name, value] of Object.entries(posted)) body.set(name, value);
      Object.assign(options, {method: "POST", body});
      options.headers["Idempotency-Key"] = key();
    }
    const answer = await fetch(url, options);
    const isData = (answer.headers.get("Content-Type") || "").includes("json");
    if (!isData) throw new Error(answer.status);
    return {isDone: answer.ok, ...await answer.json()};
  }

  async function act(text, isSearch) {
    try {
      if (A_BADGE.test(text)) await badge(text);
      else if (A_SLIP.test(text)) await slip(text);
      else await led(await ask(`${words.scanUrl}?${new URLSearchParams({code: text})}`), isSearch);
    } catch { tell(words.failed); }
  }

  /* A badge is a secret: it stands in no address. */
  async function badge(text) {
    if (!words.badgeUrl) { tell(words.noBadges); return; }
    const answer = await ask(words.badgeUrl, {code: text});
    if (!answer.isDone || !answer.url) { tell(answer.said || words.failed); return; }
    await window.atTablet?.letIn().catch(() => {});
    location.assign(answer.url);
  }

  /* So is what the customer's slip carries: posted, and never searched for. */
  async function slip(text) {
    lead(await taken(await ask(words.slipUrl, {code: text})), true);
  }

  const pasted = document.getElementById("find");
  pasted?.form.addEventListener("submit", (event) => {
    if (!A_SLIP.test(pasted.value.trim())) return;
    event.preventDefault();
    act(pasted.value.trim(), true);
    pasted.value = "";
  });
  document.body.addEventListener("htmx:configRequest", (event) => {
    if (A_SLIP.test((event.detail.parameters.q || "").trim())) event.preventDefault();
  });

  async function led(answer, isSearch) {
    const kept = remembered();
    if (answer.kind === "tag" && kept.place) {
      await put(answer.code, kept.place);
      remember({place: kept.place});
    } else if (answer.kind === "place" && kept.tag) {
      sessionStorage.removeItem(KEPT);
      await put(kept.tag, answer.code);
    } else {
      if (["tag", "place"].includes(answer.kind)) remember({[answer.kind]: answer.code});
      lead(await taken(answer), isSearch);
    }
  }

  /* At the bench a scan takes the board in hand and leads to it; elsewhere it asks. */
  async function taken(answer) {
    if (!words.takeUrl || !["tag", "ticket"].includes(answer.kind)) return answer;
    const { url } = await ask(words.takeUrl, {code: answer.code});
    return url ? {...answer, url} : answer;
  }

  /* Places are scanned to put things there; what is typed is not left behind. */
  function lead(answer, isSearch) {
    const next = {tag: words.nextPlace, place: words.nextTag}[answer.kind];
    tell([answer.said, next].filter(Boolean).join(". "));
    if (!answer.url) return;
    const isSure = isSearch || ["tag", "ticket", "part", "paper"].includes(answer.kind);
    if (isSure && !isTypedIn()) location.assign(answer.url);
    else offer(answer.kind === "other" ? words.search : words.go, answer.url);
  }

  function isTypedIn() {
    return [...document.querySelectorAll("main input, main textarea, main select")].some(
      (e) => e.type !== "hidden" && (e.matches("[type=checkbox], [type=radio]")
        ? e.checked !== e.defaultChecked
        : e.matches("select") ? [...e.options].some((o) => o.selected !== o.defaultSelected
          && e.querySelector("[selected]"))
          : e.value !== e.defaultValue));
  }

  async function put(thing, place) {
    const answer = await ask(words.putUrl, {thing, place});
    tell(answer.said);
    if (!answer.isDone) return;
    shown(answer.tag, answer.place);
    offer(words.undo, async () => {
      try {
        const back = await ask(words.undoUrl, answer.undo);
        tell(back.said);
        if (back.isDone) shown(back.tag, back.place);
      } catch { tell(words.failed); }
    });
  }

  function shown(tag, place) {
    for (const at of document.querySelectorAll("[data-place-of]"))
      if (at.dataset.placeOf === tag) at.textContent = place;
  }
})();
