// Forms marked data-outbox go through the outbox. While the house answers, its answer
// stands where htmx would have put it; else the page says that it is kept, and away.js
// goes on with the walk. Without this script they are plain forms.
"use strict";
(() => {
  const PATIENCE = 6000; // ms for an answer, before the page goes on without
  const words = () => document.getElementById("waiting").dataset;
  let hasWaited = false;

  const shownOf = (form, submitter, fields) => {
    const head = form.closest("#card")?.querySelector("h1");
    const typed = fields.find(([name, value]) => name === "typed" && value);
    const said = typed ? typed[1] : submitter?.textContent;
    const is = form.matches(".entry") && head ? head.textContent : form.dataset.outbox;
    return { what: [is, said].filter(Boolean).map((one) => one.trim()).join(": ") };
  };

  const fieldsOf = (form, submitter) =>
    [...new FormData(form, submitter)].filter(([name, value]) =>
      typeof value === "string" && !["csrfmiddlewaretoken", "idempotency_key"].includes(name));

  // The page's own columns come with the card, out of band.
  const swap = (html) => {
    const at = document.getElementById("card") ? "#card" : "main";
    return htmx.swap(at, html, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 20 }, at === "main" ? { select: "main" } : {});
  };

  // An address that differs by its place on the page alone would not be loaded anew.
  function leave(there) {
    const isSame = there.pathname + there.search === location.pathname + location.search;
    if (!isSame) return location.assign(there);
    history.replaceState(history.state, "", there);
    return location.reload();
  }

  const goTo = (url) => {
    const there = new URL(url, location);
    if (!document.getElementById("card") || !/^\/bench\/[^/]+\/\d+\/$/.test(there.pathname)) return leave(there);
    history.pushState({ htmx: true }, "", there);
    return htmx.ajax("GET", there.href, { target: "#card", swap: "outerHTML" });
  };

  async function answered({ outcome, item, html, wentTo, pushUrl }, form) {
    if (outcome === "refused") {
      await outbox.forget(item.seq); // it stands on the page, with what was typed
      return swap(html);
    }
    if (wentTo) return goTo(wentTo);
    if (pushUrl) history.pushState({ htmx: true }, "", pushUrl);
    return html.includes('id="card"') ? swap(html) : goTo(location.href);
  }

  async function take(form, submitter) {
    const fields = fieldsOf(form, submitter);
    foretold.say(form, submitter);
    form.setAttribute("aria-busy", "true");
    let item;
    try {
      item = await outbox.keep({ url: new URL(form.action).pathname, fields, shown: shownOf(form, submitter, fields) });
    } catch {
      outbox.news.dispatchEvent(new CustomEvent("full"));
      form.dataset.outboxOff = "";
      form.removeAttribute("aria-busy");
      return setTimeout(() => form.requestSubmit(submitter)); // not while it is submitted
    }
    const found = await outbox.settled(item, PATIENCE);
    form.removeAttribute("aria-busy");
    if (found.outcome === "waiting") {
      hasWaited = true;
      return benchAway.goOn(form, item);
    }
    return answered(found, form);
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("[data-outbox]") || "outboxOff" in form.dataset) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    if (!form.matches("[aria-busy]")) take(form, event.submitter);
  }, true);

  // A page without a card that draws itself anew shows what has come in once all has.
  outbox.news.addEventListener("state", ({ detail }) => {
    const isOver = hasWaited && detail.lane === "acts" && detail.state === "all";
    if (isOver && !document.getElementById("card") && !benchAway.isTyping()) location.reload();
  });

  // Who is at the tablet, as this page was told; its token serves until another session.
  const told = words();
  if (told.person) {
    const token = document.querySelector("#waiting [name=csrfmiddlewaretoken]")?.value;
    outbox.here({ person: Number(told.person), word: told.word, now: Number(told.now), token }).catch(() => {});
  }
  outbox.sendNow();
})();
