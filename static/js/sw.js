// The shop's service worker. A bench tablet's page of names, and what it is drawn with,
// are there while the network is away (switch.js keeps them); nothing else is kept, and
// nothing is answered from here while the network answers.
"use strict";
const NAMES = "/sign-in/switch/";
const SHELL = "tablet";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event, { pathname } = new URL(request.url);
  const isNames = request.mode === "navigate" && pathname === NAMES;
  if (request.method !== "GET" || !(isNames || pathname.startsWith("/static/"))) return;
  event.respondWith(fetch(request).catch(async (error) => {
    const kept = await (await caches.open(SHELL)).match(request, { ignoreSearch: isNames, ignoreVary: true });
    if (!kept) throw error;
    return kept;
  }));
});
