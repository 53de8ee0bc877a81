// Keeps the page for use without a network: taken whole at the first visit, and whole again
// when the page has changed.
const KEPT = "tautspan-@hash@";
const FILES = ["./", "index.html", "style.css", "script.js", "engine.bin", "regular.woff2", "semibold.woff2", "manifest.webmanifest", "icon.svg"];
self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES)).then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((all) => Promise.all(all.filter((name) => name.startsWith("tautspan-") && name !== KEPT).map((name) => caches.delete(name))))
    .then(() => self.clients.claim()));
});
self.addEventListener("fetch", (event) => {
  event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept || fetch(event.request)));
});
