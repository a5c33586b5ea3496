// The shop's service worker. It keeps nothing: whoever signs out leaves nothing here.
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
