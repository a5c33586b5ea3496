// The shop's service worker. A bench tablet's page of names, the bench page for when the
// network is away, and what they are drawn with are there then (switch.js and away.js
// keep them); nothing else is kept, and nothing is answered from here while the network
// answers.
"use strict";
const NAMES = "/sign-in/switch/", AWAY = "/bench/away/";
const BENCH = /^\/bench\/([^/]+\/\d+\/)?$/;
const GONE = new Set([502, 503, 504]); // a server before the shop's says so for it
const WITHIN = 8000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// What pages are drawn with is read to its end first: half a script is none.
async function asked(request, isPage) {
  if (isPage) return fetch(request, { signal: AbortSignal.timeout(WITHIN) });
  const found = await fetch(request);
  if (!found.ok) return found;
  const { status, statusText, headers } = found;
  return new Response(await found.blob(), { status, statusText, headers });
}

async function answer(request, kept, isPage) {
  let found = null, why = null;
  try {
    found = await asked(request, isPage);
    if (!GONE.has(found.status)) return found;
  } catch (error) {
    why = error;
  }
  const own = await caches.match(kept, { ignoreSearch: isPage, ignoreVary: true });
  if (own) return own;
  if (found) return found;
  throw why;
}

self.addEventListener("fetch", (event) => {
  const { request } = event, { pathname, origin } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  const isNavigation = request.mode === "navigate";
  if (isNavigation && pathname === NAMES) event.respondWith(answer(request, NAMES, true));
  else if (isNavigation && BENCH.test(pathname)) event.respondWith(answer(request, AWAY, true));
  else if (pathname.startsWith("/static/")) event.respondWith(answer(request, request, false));
});
