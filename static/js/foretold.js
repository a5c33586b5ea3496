// The word of a reading at the tap, while the reading is on its way to the shop's server.
// Nothing is judged here: the pad came with the word of every value that is sure
// (diagnostics/foretelling.py), and the server's own verdict takes the place of it.
"use strict";
window.foretold = (() => {
  const BESIDE = 1e-9;
  let last = null;

  const isAsOffered = (field) => {
    if (field.matches("[type=radio], [type=checkbox]")) return field.checked === field.defaultChecked;
    if (!field.matches("select")) return field.value === field.defaultValue;
    const set = [...field.options].findIndex((one) => one.defaultSelected);
    return field.selectedIndex === Math.max(0, set);
  };

  // Taken as the card says: meter, probes, what is in the board, a steady value.
  const isTakenSo = (form) =>
    [...form.querySelectorAll("[name=course], .how :is(input, select)")].filter((field) => field.name !== "note").every(isAsOffered);

  function wordIn(by, value, digit) {
    const fits = by.find(([coarsest]) => digit <= coarsest * (1 + BESIDE));
    if (!fits) return "";
    const word = fits[1].find(([low, high]) => value >= low && value <= high)?.[2] || "";
    return word === "unclear" && digit < fits[0] * (1 - BESIDE) ? "" : word;
  }

  // The digits typed, less the leads' own ohms.
  function lessLeads(one, leads) {
    const decimals = one.number.split(".")[1]?.length || 0;
    const number = Math.max(0, Number(one.number) - leads / 10 ** one.power).toFixed(decimals);
    return { ...one, number, value: Number(number) * 10 ** one.power };
  }

  function ofPad(pad) {
    const told = JSON.parse(pad.dataset.foretold), one = window.pad.read(pad);
    if (!one) return null;
    if (one.outcome) return { word: told.over, value: "OL" };
    const decimals = one.number.split(".")[1]?.length || 0;
    const digit = one.value === 0 && !decimals ? 0 : 10 ** (one.power - decimals);
    const shown = told.leads ? lessLeads(one, told.leads) : one;
    return { word: wordIn(told.by, one.value, digit), value: window.pad.shown(shown, pad.dataset.sign).first };
  }

  // {word, value}; null where only the server knows.
  function find(form, submitter) {
    if (submitter?.name === "category") return { word: submitter.dataset.word, value: submitter.textContent.trim() };
    const pad = form.querySelector("[data-foretold]");
    if (!pad || !isTakenSo(form)) return null;
    if (submitter?.name !== "outcome") return ofPad(pad);
    return submitter.value === "ol" ? { word: JSON.parse(pad.dataset.foretold).over, value: "OL" } : null;
  }

  function drawn({ word, value }, title) {
    const all = document.getElementById("foretold-words");
    const fresh = all.content.querySelector(`.verdict-${word}`).cloneNode(true), said = fresh.querySelector("[data-said]");
    said.textContent = said.textContent.replace("{value}", value).replace("{title}", title);
    return fresh;
  }

  // A fault here must not keep a reading from being kept.
  function say(form, submitter) {
    last = null;
    try {
      put(form, submitter);
    } catch (fault) {
      console.error(fault);
    }
  }

  // At the head of the card, as high as what stood there: what is below stays where it is.
  function put(form, submitter) {
    const card = form.closest("#card"), found = form.matches(".entry") && card ? find(form, submitter) : null;
    if (!found?.word) return;
    last = drawn(found, form.dataset.title);
    const place = card.querySelector(":scope > :is(.verdict, .card-head)");
    if (!place) return;
    place.style.height = `${place.offsetHeight}px`;
    place.classList.add("verdict", "is-foretold", "is-in-place");
    place.replaceChildren(last.querySelector("h1").cloneNode(true));
  }

  // While the network is away it stays above the next card.
  function stay(card) {
    if (!last || !card) return;
    card.prepend(last);
  }

  return { say, stay };
})();
