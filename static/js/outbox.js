// What is done at the bench is first written on the tablet, then sent in its order, one
// at a time, until the house has answered: through a lost network, a reload, a closed
// browser, another person, a new version. Nothing is dropped unless a person says so.
// window.outbox is the store and its sender; outbox-forms.js puts in, waiting.js shows.
"use strict";
window.outbox = (() => {
  const FORM = "1"; // of what is kept here; the house takes every older one too
  const SEND_WITHIN = 20000;
  const AGAIN_AFTER = [500, 1000, 2000, 4000, 8000, 15000, 30000];
  const CLOCK_SET = 30000; // ms
  const LANES = ["acts", "photos"];
  const ASK = "/bench/tablet/";
  const ALONE = { "X-By-Itself": "1" };
  const news = new EventTarget();
  const running = {}, timers = {}, fails = { acts: 0, photos: 0 };
  let token = "", presence = null, putting = Promise.resolve(), opening = null;

  const base = () => {
    opening = opening || idb.openDB("coldrail-outbox", 2, {
      upgrade(made, old, _new, change) {
        if (old < 1) {
          made.createObjectStore("items", { keyPath: "seq", autoIncrement: true });
          made.createObjectStore("kept");
        }
        change.objectStore("items").createIndex("state", "state");
      },
      blocking(_old, _new, event) { event.target.close(); opening = null; },
      terminated() { opening = null; },
    });
    return opening;
  };

  const tell = (name, detail) => news.dispatchEvent(new CustomEvent(name, { detail }));

  // RFC 9562, 5.7: ordered by the moment, so that keys tell their order too.
  function uuid7(at) {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    for (let n = 0; n < 6; n += 1) bytes[n] = Math.floor(at / 2 ** (40 - 8 * n)) % 256;
    bytes[6] = 0x70 | (bytes[6] & 0x0f);
    bytes[8] = 0x80 | (bytes[8] & 0x3f);
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  // --- what is kept -----------------------------------------------------------

  const remember = async (name, value) => (await base()).put("kept", value, name);
  const recall = async (name) => (await base()).get("kept", name);
  const all = async () => (await base()).getAll("items");
  const waiting = async () => (await base()).countFromIndex("items", "state", "waiting");
  const forget = async (seq) => {
    await (await base()).delete("items", seq);
    tell("changed");
  };
  const change = async (item, values) => {
    Object.assign(item, values);
    await (await base()).put("items", item);
    tell("changed");
  };

  // The house's word about who is here, with how far this clock is ahead of its own.
  async function here(told) {
    const at = Date.now(), ahead = at - told.now, before = (await recall("presence"))?.offset;
    // Each look at the house's clock is too large by the way here: the least is the best,
    // unless this clock was set since.
    const isSame = before !== undefined && Math.abs(ahead - before) < CLOCK_SET;
    presence = { person: told.person, word: told.word, at, offset: isSame ? Math.min(ahead, before) : ahead };
    if (told.token) token = told.token;
    await remember("presence", presence);
  }

  async function who() {
    const known = presence || await recall("presence") || {};
    const late = window.atTablet ? await atTablet.now().catch(() => null) : null;
    const isNewer = late && (late.confirmed === null || late.at > (known.at || 0));
    if (isNewer) return { person: late.person, switch: late.key, offset: known.offset };
    return known;
  }

  // Strict: on the disk before the page goes on, as far as the tablet's maker is honest.
  async function put(item) {
    const { person, word, switch: by, offset } = await who();
    Object.assign(item, { person, word, switch: by, offset });
    const write = (await base()).transaction("items", "readwrite", { durability: "strict" });
    item.seq = await write.store.add(item);
    await write.done;
    tell("changed");
    return item;
  }

  // One after the other, so that their numbers are the order in which they were done.
  function keep({ url, fields, lane = "acts", blob = null, shown = {} }) {
    const takenAt = Date.now(), key = uuid7(takenAt);
    const own = fields.map(([name, value]) => [name, name === "uuid" ? key : value]);
    const item = { form: FORM, key, takenAt, url, lane, blob, shown, fields: own, state: "waiting" };
    const kept = putting.catch(() => {}).then(() => put(item));
    putting = kept;
    kept.then(() => send(lane), () => {});
    return kept;
  }

  // --- sending ----------------------------------------------------------------

  const body = (item) => {
    if (!item.blob) return new URLSearchParams(item.fields);
    const form = new FormData();
    for (const [name, value] of item.fields) form.append(name, value);
    form.append("photos", item.blob, "photo");
    return form;
  };

  const headers = (item) => {
    const told = {
      "HX-Request": "true", "Idempotency-Key": item.key, "X-CSRFToken": token,
      "Taken-At": item.takenAt, "Tablet-Clock": Date.now(), "Tablet-Offset": item.offset,
      "Tablet-Sequence": item.seq, "Taken-Form": item.form, "Taken-By": item.person,
      "Taken-Word": item.word, "Taken-Switch": item.switch,
      "X-By-Itself": Date.now() - item.takenAt > 10000 ? "1" : null,
    };
    return Object.fromEntries(Object.entries(told).filter(([, value]) => value != null));
  };

  async function ask() {
    const answer = await fetch(ASK, { headers: ALONE, redirect: "manual", cache: "no-store", signal: AbortSignal.timeout(SEND_WITHIN) });
    if (answer.ok && !answer.headers.get("HX-Redirect")) return answer.json();
    throw answer.type === "opaqueredirect" || answer.status === 403 ? "door" : "away";
  }

  const post = async (item) => fetch(item.url, {
    method: "POST", body: body(item), headers: headers(item), redirect: "manual", signal: AbortSignal.timeout(SEND_WITHIN * (item.blob ? 6 : 1)),
  });

  // "done", "refused", or why it waits: "away" (nobody answers), "door" (nobody is signed in).
  async function attempt(item) {
    if (item.switch && window.atTablet && !await atTablet.looked(item.switch)) return "away";
    if (!token) token = (await ask()).token;
    let answer = await post(item);
    if (answer.status === 403) {
      token = (await ask()).token; // another session has begun since
      answer = await post(item);
    }
    if (answer.headers.get("Tablet-Kept")) return done(item, answer);
    if (answer.headers.get("Tablet-Refused") || [404, 405, 410, 413].includes(answer.status)) return refused(item, answer);
    const isDoor = answer.type === "opaqueredirect" || answer.headers.get("HX-Redirect") || answer.status === 403;
    return isDoor ? "door" : "away";
  }

  // Answered is kept there: it goes from here before anything is done with the answer.
  async function done(item, answer) {
    const [html] = await Promise.all([answer.text().catch(() => ""), forget(item.seq)]);
    tell("settled", { item, outcome: "done", html, wentTo: answer.headers.get("Tablet-Went-To"), pushUrl: answer.headers.get("HX-Push-Url") });
    return "done";
  }

  async function refused(item, answer) {
    const html = await answer.text().catch(() => "");
    await change(item, { state: "refused", said: saidIn(html) || `${answer.status} ${answer.statusText}`.trim() });
    tell("settled", { item, outcome: "refused", html });
    return "refused";
  }

  function saidIn(html) {
    if (html.startsWith("{")) return (JSON.parse(html).refused || []).join(" ");
    const page = new DOMParser().parseFromString(html, "text/html");
    const found = [...page.querySelectorAll(".wrong p, .error-summary, .errorlist li")].map((one) => one.textContent.trim());
    return [...new Set(found)].join(" ") || page.querySelector("main p, p")?.textContent.trim() || "";
  }

  async function first(lane) {
    let at = await (await base()).transaction("items").store.index("state").openCursor("waiting");
    while (at && at.value.lane !== lane) at = await at.continue();
    return at?.value;
  }

  async function sendAll(lane) {
    for (let item = await first(lane); item; item = await first(lane)) {
      let outcome;
      try {
        outcome = await attempt(item);
      } catch (error) {
        outcome = error === "door" ? "door" : "away";
      }
      if (outcome === "door" || outcome === "away") return outcome;
      fails[lane] = 0;
    }
    return "all";
  }

  // One sender for all tabs of this browser.
  async function run(lane) {
    const state = navigator.locks
      ? await navigator.locks.request(`coldrail-outbox-${lane}`, () => sendAll(lane))
      : await sendAll(lane);
    clearTimeout(timers[lane]);
    if (state !== "all") {
      const after = AGAIN_AFTER[Math.min(fails[lane], AGAIN_AFTER.length - 1)];
      fails[lane] += 1;
      timers[lane] = setTimeout(() => send(lane), after * (0.75 + Math.random() / 2));
    }
    tell("state", { lane, state });
  }

  function send(lane) {
    if (running[lane]) {
      running[lane].again = true;
      return running[lane].ended;
    }
    const own = { again: false };
    running[lane] = own;
    own.ended = run(lane).catch(() => tell("state", { lane, state: "away" })).finally(() => {
      running[lane] = null;
      if (own.again) send(lane);
    });
    return own.ended;
  }

  const sendNow = () => {
    for (const lane of LANES) {
      fails[lane] = 0;
      send(lane);
    }
  };

  // What became of an item: "done" or "refused" with the answer, else "waiting".
  function settled(item, within) {
    return new Promise((tellIt) => {
      const end = (value) => {
        clearTimeout(timer);
        news.removeEventListener("settled", heard);
        news.removeEventListener("state", stopped);
        tellIt(value);
      };
      const heard = ({ detail }) => { if (detail.item.seq === item.seq) end(detail); };
      const stopped = ({ detail }) => { if (detail.lane === item.lane && detail.state !== "all") end({ item, outcome: "waiting" }); };
      const timer = setTimeout(() => end({ item, outcome: "waiting" }), within);
      news.addEventListener("settled", heard);
      news.addEventListener("state", stopped);
    });
  }

  news.addEventListener("reached", () => { if (fails.acts || fails.photos) sendNow(); });
  addEventListener("online", sendNow);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sendNow(); });
  document.addEventListener("at-tablet", async () => {
    await ask().then(here, () => {});
    sendNow();
  });
  return { keep, send, sendNow, settled, all, waiting, forget, change, remember, recall, here, ask, news };
})();
