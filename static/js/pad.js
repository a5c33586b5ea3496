/* The number pad of the bench. All by delegation: cards come and go.

   The server's grammar (diagnostics/engine/quantities.py) is the one rule. Here only the
   plain entries are understood, for the echo before the tap: what this does not know for
   sure it leaves to the server and says so. Digits typed anywhere on the page go into the
   field, seen before scan.js looks where the focus is, so that a meter and a scanner meet
   the field as if it had the focus. Enter, PageDown and F13 to F24 take what is understood:
   a foot switch sends one of them. */
"use strict";

(() => {
  const POWER = {p: -12, n: -9, u: -6, m: -3, "": 0, k: 3, K: 3, M: 6, G: 9};
  const UP = [["p", -12], ["n", -9], ["µ", -6], ["m", -3], ["", 0], ["k", 3], ["M", 6], ["G", 9]];
  const SPELLED = {V: /^(V|v|volts?)$/, ohm: /^(Ω|R|r|ohms?)$/i, A: /^(A|a|amps?)$/,
    Hz: /^Hz$/i, s: /^s$/, "%": /^%$/, K: /^(K|C|°C)$/};
  const PLAIN = /^([+-]?) ?(\d{1,12}(?:[.,]\d{1,12})?|[.,]\d{1,12}) ?([a-zA-ZΩ%°]{0,6})$/;
  const MARKED = /^([+-]?) ?(\d{1,9})([pnumkMRrVv])(\d{1,9})$/;
  const EITHER = /^[1-9]\d{0,2}[.,]\d{3}$/;
  const TYPED_ANYWHERE = /^[-+.,0-9]$/;
  const TAKES = /^(Enter|PageDown|F1[3-9]|F2[0-4])$/;
  const FIELD = "[data-takes-readings]";

  /* {number, power, outcome}: digits as typed and a power of ten; null: ask the server. */
  function understood(text, unit, least, most) {
    const typed = text.replace(/^[ \t]+|[ \t]+$/g, "").replace(/[\u2212\u2013]/g, "-").replace(/[µμ]/g, "u")
      .replace(/\u2126/g, "Ω");
    if (/^ol$/i.test(typed)) return {outcome: "ol"};
    const found = parts(typed, unit);
    if (!found) return null;
    const value = Number(`${found.sign === "-" ? "-" : ""}${found.number}e${found.power}`);
    if (!(value >= least && value <= most)) return null;
    return {...found, value: value === 0 ? 0 : value};
  }

  function parts(typed, unit) {
    const marked = MARKED.exec(typed);
    if (marked) {
      const [, sign, whole, letter, part] = marked;
      const isUnit = /[rv]/i.test(letter);
      if (isUnit && unit !== (/r/i.test(letter) ? "ohm" : "V")) return null;
      if (!isUnit && POWER[letter] < 0 && unit === "Hz") return null;
      return {sign, number: `${whole}.${part}`, power: isUnit ? 0 : POWER[letter]};
    }
    const plain = PLAIN.exec(typed);
    if (!plain) return null;
    const [, sign, digits, rest] = plain;
    const power = powerOf(rest, unit);
    if (power === null || (power <= 0 && EITHER.test(digits))) return null;
    return {sign, number: digits.replace(",", "."), power};
  }

  /* The prefix of what stands behind the digits; null where it is not known for sure. */
  function powerOf(rest, unit) {
    if (!rest) return 0;
    const isUnit = (text) => Boolean(SPELLED[unit] && SPELLED[unit].test(text));
    if (isUnit(rest)) return 0;
    const power = POWER[rest[0]];
    if (power === undefined || (power < 0 && unit === "Hz")) return null;
    return rest.length === 1 || isUnit(rest.slice(1)) ? power : null;
  }

  /* "0.41" shifted by three places is "410": no float ever touches it. */
  function shifted(number, by) {
    const [whole, part = ""] = number.split(".");
    const at = whole.length + by, digits = whole + part;
    const padded = at <= 0 ? "0".repeat(1 - at) + digits : digits.padEnd(at, "0");
    const cut = Math.max(at, 1);
    const left = padded.slice(0, cut).replace(/^0+(?=\d)/, ""), right = padded.slice(cut);
    return right ? `${left}.${right}` : left;
  }

  const signed = (one, number) => (one.sign === "-" ? "\u2212" : "") + number;
  const POINT = (1.5).toLocaleString(document.documentElement.lang).charAt(1);
  const withUnit = (number, mark) => `${number.replace(".", POINT)}${mark ? "\u00a0" : ""}${mark}`;

  /* As typed, and again with another prefix: a slip of a thousand shows before the tap. */
  function shown(one, sign) {
    if (one.outcome) return {first: "OL", second: ""};
    const own = UP.find(([, power]) => power === one.power)[0];
    const first = withUnit(signed(one, shifted(one.number, 0)), own + sign);
    if (!sign || "%K".includes(sign) || one.value === 0) return {first, second: ""};
    const size = Math.floor(Math.log10(Math.abs(one.value)) + 1e-9);
    const fits = UP.filter(([, power]) => power <= size).pop() || UP[0];
    const other = fits[1] === one.power ? UP[4] : fits;
    if (other[1] === one.power) return {first, second: ""};
    const again = shifted(one.number, one.power - other[1]);
    if (again.length > 12) return {first, second: ""};
    return {first, second: withUnit(signed(one, again), other[0] + sign)};
  }

  const padOf = (element) => element.closest("form")?.querySelector("[data-pad]");
  const read = (pad) => understood(pad.querySelector("#id_typed").value, pad.dataset.unit,
    Number(pad.dataset.least), Number(pad.dataset.most));

  function say(pad) {
    const field = pad.querySelector("#id_typed"), echo = pad.querySelector(".echo");
    const take = pad.querySelector(".take"), one = read(pad);
    const text = one && shown(one, pad.dataset.sign);
    take.textContent = text ? take.dataset.take.replace("{value}", text.first) : take.dataset.plain;
    echo.replaceChildren();
    if (!field.value.trim()) return;
    if (!text) { echo.textContent = pad.dataset.asked; return; }
    const bold = document.createElement("b");
    bold.textContent = text.first;
    echo.append(`${pad.dataset.understood} `, bold, text.second ? ` = ${text.second}` : "");
  }

  function sayAll() {
    for (const pad of document.querySelectorAll("[data-pad]")) { say(pad); course(pad); }
  }

  /* --- keys of the pad --- */

  let asked = null; // the number of a course that the keys go to

  function fieldFor(pad) {
    if (asked && asked.isConnected && asked.form === pad.closest("form")
      && asked.checkVisibility()) return asked;
    return pad.querySelector("#id_typed");
  }

  function press(key, field) {
    const text = field.value;
    const isHere = document.activeElement === field;
    const from = isHere ? field.selectionStart : text.length;
    const to = isHere ? field.selectionEnd : text.length;
    if (key === "-") set(field, /^[-\u2212]/.test(text) ? text.slice(1) : `-${text}`);
    else if (key === "rub") set(field, from === to ? text.slice(0, Math.max(0, from - 1)) + text.slice(to)
      : text.slice(0, from) + text.slice(to), from === to ? Math.max(0, from - 1) : from);
    else if (/[kMmµnp]/.test(key) && /[kMmµunp]$/.test(text)) set(field, text.slice(0, -1) + key);
    else set(field, text.slice(0, from) + key + text.slice(to), from + key.length);
  }

  function set(field, text, caret = text.length) {
    field.value = text;
    if (document.activeElement === field) field.setSelectionRange(caret, caret);
    field.dispatchEvent(new Event("input", {bubbles: true}));
  }

  /* A tap on the pad leaves the focus where it is: Enter goes on meaning "take". */
  document.addEventListener("mousedown", (event) => {
    if (event.target.closest("[data-key]")) event.preventDefault();
  });

  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-key]");
    if (key) press(key.dataset.key, fieldFor(padOf(key)));
    const lying = event.target.closest("[data-ladder]");
    if (!lying) return;
    const isShown = lying.closest("nav").classList.toggle("is-shown");
    lying.setAttribute("aria-expanded", String(isShown));
  });

  document.addEventListener("input", (event) => {
    const pad = event.target.closest("form") && padOf(event.target);
    if (pad && event.target.id === "id_typed") say(pad);
  });

  /* --- courses and ticks --- */

  /* A course with numbers of its own has no plain value: the pad serves those then. */
  function course(pad) {
    const form = pad.closest("form"), chosen = form.querySelector("[name=course]:checked");
    const hasAsks = Boolean(chosen && "asks" in chosen.dataset);
    for (const asks of form.querySelectorAll("[data-course]"))
      asks.hidden = !hasAsks || asks.dataset.course !== chosen.value;
    for (const field of form.querySelectorAll("[data-is-ask]"))
      field.disabled = field.closest("[data-course]").hidden;
    pad.querySelector(".reading-field").hidden = hasAsks;
    pad.querySelector(".pad-head").hidden = hasAsks;
    if (hasAsks) asked = form.querySelector("[data-is-ask]:not(:disabled)");
    mark();
  }

  function mark() {
    for (const one of document.querySelectorAll("[data-is-ask]"))
      one.classList.toggle("is-filled-next", one === asked);
  }

  document.addEventListener("change", (event) => {
    if (event.target.name === "course") course(padOf(event.target));
    const rows = event.target.closest(".tick-rows");
    if (rows) ticked(rows);
  });

  function ticked(rows) {
    const names = [...rows.querySelectorAll(".tick-row")]
      .filter((row) => !row.querySelector("[data-as-good]")?.checked)
      .map((row) => row.querySelector("legend").textContent.toLowerCase());
    const take = rows.parentElement.querySelector(".take");
    take.textContent = names.length ? take.dataset.except.replace("{names}", names.join(", "))
      : take.dataset.all;
  }

  /* --- the tablet's own keyboard stays away where fingers tap --- */

  function quiet(field) {
    if (matchMedia("(any-pointer: coarse)").matches) field.inputMode = "none";
  }

  document.addEventListener("pointerdown", (event) => {
    if (event.target.matches?.(FIELD)) quiet(event.target);
  }, true);

  document.addEventListener("focusin", (event) => {
    if (!event.target.matches?.(FIELD)) return;
    quiet(event.target);
    if ("isAsk" in event.target.dataset) { asked = event.target; mark(); }
    else asked = null;
  });

  /* --- keyboard and foot switch --- */

  const isTyping = (at) => at.matches("input, select, textarea, [contenteditable]");

  /* At the window, so that it comes before scan.js. */
  window.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    const at = event.target instanceof Element ? event.target : document.body;
    if (TYPED_ANYWHERE.test(event.key) && !isTyping(at)) {
      const pad = document.querySelector("#card [data-pad]");
      if (pad) fieldFor(pad).focus({preventScroll: true});
    }
  }, true);

  document.addEventListener("keydown", (event) => {
    if (!TAKES.test(event.key) || event.defaultPrevented || event.repeat) return;
    const at = event.target instanceof Element ? event.target : document.body;
    const pad = document.querySelector("#card [data-pad]");
    if (!pad) return;
    const isOurs = pad.contains(at) || !isTyping(at);
    if (event.key === "Enter" && at.matches("a, button, summary, select, textarea")) return;
    const isEmpty = !fieldFor(pad).value.trim();
    const isAsk = "isAsk" in fieldFor(pad).dataset;
    if (at.matches(FIELD)) {
      if (isEmpty && !isAsk) event.preventDefault(); // a foot switch that bounced
      else take(pad, event);
    } else if (isOurs && !isEmpty && (isAsk || read(pad))) take(pad, event);
  });

  function take(pad, event) {
    event.preventDefault();
    pad.closest("form").requestSubmit(pad.querySelector(".take"));
  }

  /* The focus stays in the page, and a verdict that has it is in sight: htmx doesn't scroll. */
  document.addEventListener("htmx:afterSettle", () => {
    sayAll();
    if (document.activeElement === document.body)
      document.querySelector(".is-shown .is-open > .stage-head, #card #id_typed")
        ?.focus({preventScroll: true});
    const head = document.getElementById("verdict"), card = document.getElementById("card");
    if (!head || document.activeElement !== head) return;
    const masthead = document.querySelector(".bench-masthead"), box = head.getBoundingClientRect();
    const top = masthead ? masthead.getBoundingClientRect().bottom : 0;
    const foot = card.querySelector(".entry:not([hidden]) .entry-foot")?.getBoundingClientRect().top ?? innerHeight;
    const isNarrow = matchMedia("(max-width: 47.49em)").matches;
    if (isNarrow || box.top < top || box.bottom > foot) card.scrollIntoView();
  });
  sayAll();
  /* Where letters are very large the fonts and the masthead move the field that has the focus. */
  addEventListener("load", async () => {
    await document.fonts.ready;
    const field = document.activeElement?.closest(".reading-field");
    if (field && field.getBoundingClientRect().bottom > innerHeight) field.scrollIntoView({block: "end"});
  });
  window.pad = {understood, shown, read};
})();
