// The bench while the network is away: the board's cards, drawn by the server before,
// and the page that the service worker shows then (sw.js). Nothing is judged here: a
// check that was held off stays so, and what a waiting reading might hold off is.
"use strict";
window.benchAway = (() => {
  const AWAY = "/bench/away/", SHELL = "bench";
  const LEAST_BETWEEN = 30000, KEPT_BOARDS = 12;
  const ALONE = { "X-By-Itself": "1" };
  const path = location.pathname.match(/^\/bench\/[^/]+\/\d+\//)?.[0] || "";
  const isShell = "away" in document.body.dataset || document.getElementById("away") !== null;
  const name = `cards ${path}`;
  let keptAt = 0, keptVersion = "";

  const words = () => document.getElementById("waiting").dataset;
  const fieldOf = (item, name) => item.fields.find(([field]) => field === name)?.[1];

  // --- which card is next -----------------------------------------------------

  async function waitingHere() {
    return (await outbox.all()).filter((item) => item.state === "waiting" && item.url === `${path}reading/`);
  }

  // Why a card may not be read now; "" where it may.
  function heldOff(card, kept, points) {
    if (card.held) return card.held;
    const read = kept.cards.filter((one) => points.has(one.point));
    if (read.some((one) => card.gates.includes(one.check))) return words().gateWaits;
    const isPowered = read.some((one) => one.powers);
    return isPowered && card.gates.includes(kept.power_gone) ? words().gateWaits : "";
  }

  function nextCard(kept, points, after) {
    const at = kept.cards.findIndex((card) => card.point === after) + 1;
    const order = [...kept.cards.slice(at), ...kept.cards.slice(0, at)];
    return order.find((card) => !card.is_read && !points.has(card.point) && !heldOff(card, kept, points));
  }

  // --- what is shown ----------------------------------------------------------

  const own = (id) => document.getElementById(id).content.firstElementChild.cloneNode(true);

  function put(html) {
    htmx.swap("#card", html, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 20 });
  }

  const countWaiting = async () => (await outbox.all()).filter((one) => one.state === "waiting").length;
  const keptWords = (count) => words().keptAway.replace("{n}", count);

  async function banner() {
    const said = own("away-kept");
    said.textContent = keptWords(await countWaiting());
    document.getElementById("card").prepend(said);
  }

  async function recount() {
    const said = document.querySelector(".kept-away"), count = said && await countWaiting();
    if (count) said.textContent = keptWords(count);
    else said?.remove();
  }

  function showCard(card, kept, points) {
    const why = heldOff(card, kept, points);
    history.replaceState(history.state, "", `${path}?check=${card.check}&point=${encodeURIComponent(card.point)}`);
    if (!why) return put(card.html);
    const held = own("away-held");
    held.querySelector("h1").textContent = card.title;
    held.querySelector("[data-why]").textContent = why;
    return put(held.outerHTML);
  }

  function showNone(kept, points) {
    const none = own("away-none"), list = none.querySelector("ul");
    for (const card of kept ? kept.cards : []) {
      const why = heldOff(card, kept, points);
      if (card.is_read || points.has(card.point) || !why) continue;
      const line = document.createElement("li");
      line.textContent = `${card.title}: ${why}`;
      list.append(line);
    }
    put(none.outerHTML);
  }

  // After something was kept and not sent: the next card of the walk, or the same page.
  async function goOn(form, item) {
    const point = fieldOf(item, "point_id");
    if (form.matches(".entry") && path) {
      const kept = await outbox.recall(name), points = await pointsWaiting();
      const card = kept && nextCard(kept, points, point);
      if (card) showCard(card, kept, points);
      else showNone(kept, points);
    }
    if (document.getElementById("card")) await banner();
  }

  const pointsWaiting = async () => new Set((await waitingHere()).map((item) => fieldOf(item, "point_id")));

  // A card that is asked for by a link which the network did not answer.
  async function follow(url) {
    const kept = await outbox.recall(name);
    const asked = new URL(url, location).searchParams;
    const points = await pointsWaiting();
    const ofCheck = (kept ? kept.cards : []).filter((one) => one.check === asked.get("check"));
    const card = ofCheck.find((one) => one.point === asked.get("point"))
      || ofCheck.find((one) => !points.has(one.point)) || ofCheck[0];
    if (card) showCard(card, kept, points);
    return Boolean(card);
  }

  // --- what is kept for then --------------------------------------------------

  async function keepCards() {
    const version = document.getElementById("ladder")?.dataset.version || "";
    if (!path || isShell || version === keptVersion || Date.now() - keptAt < LEAST_BETWEEN) return;
    keptAt = Date.now();
    const answer = await fetch(`${path}cards/${location.search}`, { headers: ALONE, redirect: "manual", cache: "no-store" });
    if (!answer.ok) return;
    const kept = await answer.json();
    await outbox.remember(name, { ...kept, at: Date.now() });
    keptVersion = kept.version;
    await listBoard(kept);
  }

  async function listBoard({ board, ticket }) {
    const boards = (await outbox.recall("boards") || []).filter((one) => one.path !== path);
    boards.unshift({ path, board, ticket });
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
    || [...document.querySelectorAll("#card input[type=text], #card textarea")].some((field) => field.value);

  async function wake() {
    const boards = await outbox.recall("boards") || [];
    const here = boards.find((one) => one.path === path);
    if (here) {
      document.getElementById("away-board").textContent = [here.ticket, here.board].filter(Boolean).join(", ");
      const kept = await outbox.recall(name), points = await pointsWaiting();
      if (!await follow(location.href)) {
        const card = nextCard(kept, points, "");
        if (card) showCard(card, kept, points);
        else showNone(kept, points);
      }
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

  // What the house has taken since needs no card any more.
  async function markRead({ detail: { item, outcome } }) {
    const kept = outcome === "done" && item.url === `${path}reading/` && await outbox.recall(name);
    const card = kept && kept.cards.find((one) => one.point === fieldOf(item, "point_id"));
    if (!card || card.is_read) return;
    card.is_read = true;
    await outbox.remember(name, kept);
  }

  outbox.news.addEventListener("changed", recount);
  outbox.news.addEventListener("settled", (event) => markRead(event).catch(() => {}));
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
