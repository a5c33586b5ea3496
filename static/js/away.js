// The bench while the network is away: the board's cards, drawn by the server before,
// and the page that the service worker shows then (sw.js). Nothing is judged here: a
// check that was held off stays so, and what a waiting reading might hold off is.
"use strict";
window.benchAway = (() => {
  const AWAY = "/bench/away/", SHELL = "bench";
  const LEAST_BETWEEN = 30000, KEPT_BOARDS = 12;
  const ALONE = { "X-By-Itself": "1" };
  const BOARD = /^\/bench\/[^/]+\/\d+\//;
  const path = location.pathname.match(BOARD)?.[0] || "";
  const isShell = "away" in document.body.dataset || document.getElementById("away") !== null;
  const name = `cards ${path}`;
  let keptAt = 0, keptVersion = "", sent = [];

  const board = awayBoard(path), { valueOf, heldOff } = board;
  const words = () => document.getElementById("waiting").dataset;
  const recallCards = () => outbox.recall(name);

  // --- what is shown ----------------------------------------------------------

  const own = (id) => document.getElementById(id).content.firstElementChild.cloneNode(true);

  function put(html) {
    htmx.swap("#card", html, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 20 });
  }

  const keptWords = (count) => words().keptAway.replace("{n}", count);

  // At the head of the card, and where there is none in the form itself.
  async function banner(form) {
    const said = own("away-kept"), count = await outbox.waiting();
    said.textContent = keptWords(count);
    document.querySelector(".kept-away")?.remove();
    (document.getElementById("card") || form).prepend(said);
  }

  async function recount() {
    const said = document.querySelector(".kept-away"), count = said && await outbox.waiting();
    if (count) said.textContent = keptWords(count);
    else said?.remove();
  }

  function showCard(card, kept, told, asks = false) {
    const why = heldOff(card, kept, told);
    history.replaceState(history.state, "", `${path}?check=${card.check}&point=${encodeURIComponent(card.point)}`);
    if (!why) return put(board.dressed(card.html, told, asks));
    const held = own("away-held");
    held.querySelector("h1").textContent = card.title;
    held.querySelector("[data-why]").textContent = why;
    return put(held.outerHTML);
  }

  function showNone(kept, told) {
    const none = own("away-none"), list = none.querySelector("ul");
    for (const card of kept ? kept.cards : []) {
      const why = heldOff(card, kept, told);
      if (card.is_read || told.points.has(card.point) || !why) continue;
      const line = document.createElement("li");
      line.textContent = `${card.title}: ${why}`;
      list.append(line);
    }
    put(none.outerHTML);
  }

  function showNext(kept, told, after) {
    const card = kept && board.next(kept, told, after);
    if (card) showCard(card, kept, told);
    else showNone(kept, told);
  }

  // After something was kept and not sent: what comes then, or the same page.
  async function goOn(form, item) {
    if (!path) return banner(form);
    const kept = await recallCards(), told = await board.since(kept), act = item.url.slice(path.length);
    const isAfterAll = valueOf(item, "why") === "after_all";
    if (form.matches(".entry")) {
      showNext(kept, told, valueOf(item, "point_id"));
      foretold.stay(document.getElementById("card"));
    }
    else if (act === "stands/") showEntry(form, item, kept, told);
    else if (act === "passed-by/" && isAfterAll) showOf(kept, told, valueOf(item, "check_id"));
    else if (act === "passed-by/") showNext(kept, told, valueOf(item, "point"));
    return banner(form);
  }

  // The board stands as the check needs it, as far as this tablet knows.
  function showEntry(form, item, kept, told) {
    const card = kept?.cards.find((one) => one.point === valueOf(item, "point"));
    if (card && heldOff(card, kept, told)) return showCard(card, kept, told);
    const place = form.closest(".stand").parentElement;
    board.dress(place, told);
    place.querySelector("form.entry #id_typed, form.entry button:not([hidden])")?.focus();
  }

  function showOf(kept, told, check, point = "", asks = false) {
    const ofCheck = (kept ? kept.cards : []).filter((one) => one.check === check);
    const card = ofCheck.find((one) => one.point === point)
      || ofCheck.find((one) => !told.points.has(one.point)) || ofCheck[0];
    if (card) showCard(card, kept, told, asks);
    return Boolean(card);
  }

  // A card that is asked for by a link which the network did not answer.
  async function follow(url) {
    const kept = await recallCards(), told = await board.since(kept);
    const asked = new URL(url, location).searchParams;
    return showOf(kept, told, asked.get("check"), asked.get("point"), Boolean(asked.get("ask")));
  }

  // --- what is kept for then --------------------------------------------------

  async function keepCards() {
    const version = document.getElementById("ladder")?.dataset.version || "";
    if (!path || isShell || version === keptVersion || Date.now() - keptAt < LEAST_BETWEEN) return;
    keptAt = Date.now();
    sent = [];
    const answer = await fetch(`${path}cards/${location.search}`, { headers: ALONE, redirect: "manual", cache: "no-store" });
    if (!answer.ok) return;
    const kept = await answer.json();
    await outbox.remember(name, { ...kept, sent, at: Date.now() });
    keptVersion = kept.version;
    await listBoard(kept);
  }

  async function listBoard({ board: number, ticket }) {
    const boards = (await outbox.recall("boards") || []).filter((one) => one.path !== path);
    boards.unshift({ path, board: number, ticket });
    for (const old of boards.splice(KEPT_BOARDS)) await outbox.remember(`cards ${old.path}`, undefined);
    await outbox.remember("boards", boards);
  }

  // The page for then, with what it is drawn with: new where a new version is served.
  async function keepShell() {
    await navigator.serviceWorker.register("/sw.js", { scope: "/" });
    const page = await fetch(AWAY, { headers: ALONE, redirect: "manual", cache: "no-store" });
    if (!page.ok) return;
    const html = await page.clone().text(), shell = await caches.open(SHELL);
    const old = await shell.match(AWAY);
    if (old && await old.text() === html) return;
    const drawn = new DOMParser().parseFromString(html, "text/html").querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src]");
    const fonts = performance.getEntriesByType("resource").map((one) => one.name).filter((url) => url.endsWith(".woff2"));
    const urls = [...new Set([...[...drawn].map((one) => new URL(one.getAttribute("href") || one.getAttribute("src"), location).href), ...fonts])];
    await shell.addAll(urls);
    await shell.put(AWAY, page);
    for (const one of await shell.keys())
      if (one.url !== new URL(AWAY, location).href && !urls.includes(one.url)) await shell.delete(one);
  }

  const whenIdle = (act) => (window.requestIdleCallback ? requestIdleCallback(act, { timeout: 4000 }) : setTimeout(act, 1500));

  // --- the page for then ------------------------------------------------------

  const isTyping = () => document.querySelector("form[aria-busy]") !== null
    || [...document.querySelectorAll("main input[type=text], main textarea")].some((field) => field.value !== field.defaultValue);

  async function wake() {
    const boards = await outbox.recall("boards") || [];
    const here = boards.find((one) => one.path === path);
    if (here) {
      document.getElementById("away-board").textContent = [here.ticket, here.board].filter(Boolean).join(", ");
      const kept = await recallCards();
      if (!await follow(location.href)) showNext(kept, await board.since(kept), "");
    }
    const list = document.getElementById("away-boards");
    for (const one of boards.filter((one) => one !== here)) {
      const line = document.createElement("li"), link = document.createElement("a");
      link.href = one.path;
      link.className = "button quiet";
      link.textContent = [one.ticket, one.board].filter(Boolean).join(", ");
      line.append(link);
      list.append(line);
    }
    document.getElementById("away-others").hidden = !list.childElementCount;
    setTimeout(look, 3000);
  }

  // Back as soon as the house answers, but never over what is being typed.
  async function look() {
    try {
      await outbox.ask();
      document.getElementById("away-back").hidden = false;
      outbox.sendNow();
      if (!isTyping()) return location.reload();
    } catch (why) {
      if (why === "door") document.getElementById("away-door").hidden = false;
    }
    setTimeout(look, 3000);
  }

  // What the house has taken since is on none of the cards that are kept.
  async function markSent({ detail: { item, outcome } }) {
    const there = item.url.match(BOARD)?.[0];
    if (outcome !== "done" || !there) return;
    const act = { url: item.url, fields: item.fields };
    if (there === path) sent.push(act);
    const kept = await outbox.recall(`cards ${there}`);
    if (kept) await outbox.remember(`cards ${there}`, { ...kept, sent: [...(kept.sent || []), act] });
  }

  outbox.news.addEventListener("changed", recount);
  outbox.news.addEventListener("settled", (event) => markSent(event).catch(() => {}));
  document.addEventListener("htmx:sendError", ({ detail }) => {
    const asked = detail.requestConfig;
    if (asked?.verb === "get" && asked.target?.id === "card") follow(asked.path).catch(() => {});
  });
  if (isShell) wake();
  else whenIdle(() => {
    if ("serviceWorker" in navigator) keepShell().catch(() => {});
    keepCards().catch(() => {});
    if (path) setInterval(() => { if (!document.hidden) keepCards().catch(() => {}); }, 5000);
  });
  return { goOn, isShell, isTyping };
})();
