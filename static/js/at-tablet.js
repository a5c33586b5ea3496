// Who is at this bench tablet, also while the network is away. The PIN is sealed with
// the house's public key and kept, with the moment and the person's number and nothing
// else, until the house can look at it. What needs to know (a reading that waits for
// the network) asks atTablet.now().
"use strict";
window.atTablet = (() => {
  const INFO = new TextEncoder().encode("coldrail.switch");
  const LATER = "/sign-in/switch/later/";
  const NAMES = "/sign-in/switch/";
  const AGAIN = 2000; // ms until a house that did not answer is asked again
  let sending = null;

  const bytes = (text) => Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
  const text = (parts) => btoa(String.fromCharCode(...parts.flatMap((part) => [...new Uint8Array(part)])));

  async function seal(what, publicKey) {
    const curve = { name: "ECDH", namedCurve: "P-256" };
    const house = await crypto.subtle.importKey("raw", bytes(publicKey), curve, false, []);
    const own = await crypto.subtle.generateKey(curve, true, ["deriveBits"]);
    const shared = await crypto.subtle.deriveBits({ name: "ECDH", public: house }, own.privateKey, 256);
    const base = await crypto.subtle.importKey("raw", shared, "HKDF", false, ["deriveKey"]);
    const key = await crypto.subtle.deriveKey(
      { name: "HKDF", hash: "SHA-256", salt: new Uint8Array(), info: INFO },
      base, { name: "AES-GCM", length: 256 }, false, ["encrypt"]);
    const iv = crypto.getRandomValues(new Uint8Array(12));
    const box = await crypto.subtle.encrypt({ name: "AES-GCM", iv }, key, new TextEncoder().encode(JSON.stringify(what)));
    return text([await crypto.subtle.exportKey("raw", own.publicKey), iv, box]);
  }

  const open = () => new Promise((done, failed) => {
    const asked = indexedDB.open("coldrail-tablet", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("switches", { keyPath: "at" });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });

  // Opened once; anew where another page deletes it or the browser closes it.
  let base = null;
  async function opened() {
    base = base || open().then((store) => {
      store.onversionchange = () => { store.close(); base = null; };
      store.onclose = () => { base = null; };
      return store;
    });
    try {
      return await base;
    } catch (error) {
      base = null;
      throw error;
    }
  }

  async function inStore(mode, act) {
    const store = await opened();
    return new Promise((done, failed) => {
      const run = store.transaction("switches", mode);
      const asked = act(run.objectStore("switches"));
      run.oncomplete = () => done(asked.result);
      run.onerror = run.onabort = () => failed(run.error);
    });
  }

  const all = () => inStore("readonly", (store) => store.getAll());

  // {person, at, key, sealed, confirmed: null until looked at}, or null: nobody switched
  // while the network was away, and the session's person is at the tablet.
  async function now() {
    const last = (await all()).at(-1);
    return last && last.person ? last : null;
  }

  async function keep(person, pin, publicKey) {
    const key = crypto.randomUUID(), at = Date.now();
    const sealed = await seal({ key, person, pin, at }, publicKey);
    const kept = { key, person, at, sealed, confirmed: null };
    await inStore("readwrite", (store) => store.put(kept));
    setTimeout(insist, AGAIN, key);
    return kept;
  }

  // A house that was only slow comes back without the browser's word for it.
  async function insist(key) {
    if (!await looked(key).catch(() => false)) setTimeout(insist, AGAIN, key);
  }

  // The house itself lets somebody in now: what it has looked at is done with.
  async function letIn() {
    const done = (await all()).filter((kept) => kept.confirmed !== null);
    await inStore("readwrite", (store) => {
      for (const kept of done) store.delete(kept.at);
      return store.put({ at: Date.now(), person: null, confirmed: true });
    });
  }

  async function token() {
    const page = await (await fetch(NAMES, { cache: "no-store" })).text();
    return new DOMParser().parseFromString(page, "text/html").querySelector("[name=csrfmiddlewaretoken]").value;
  }

  // In their order, each until the house has answered; the last says who is here.
  async function sent() {
    let last = null;
    for (const kept of await all()) {
      if (kept.confirmed !== null) continue;
      const body = new URLSearchParams({ key: kept.key, sealed: kept.sealed, csrfmiddlewaretoken: await token() });
      const answer = await fetch(LATER, { method: "POST", body });
      if (!answer.ok && answer.status !== 422) return null;
      kept.confirmed = answer.ok && (await answer.json()).confirmed;
      await inStore("readwrite", (store) => store.put(kept));
      last = kept;
    }
    if (last) document.dispatchEvent(new CustomEvent("at-tablet", { detail: last }));
    return last;
  }

  function send() {
    sending = sending || sent().catch(() => null).finally(() => { sending = null; });
    return sending;
  }

  // Whether the house has looked at a switch; what is not kept here any more, it has.
  async function looked(key) {
    const isOpen = async () => (await all()).some((kept) => kept.key === key && kept.confirmed === null);
    if (!await isOpen()) return true;
    await send();
    return !await isOpen();
  }

  addEventListener("online", send);
  send();
  return { now, keep, letIn, send, looked };
})();
