// Keeps the page itself for hours without the boat's computer in reach. What the boat says is never kept: an old word
// must not look like a new one.
declare const KEPT: string[];
declare const KEPT_NAME: string;
const worker = self as unknown as ServiceWorkerGlobalScope;

worker.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT_NAME).then((cache) => cache.addAll(KEPT)));
  void worker.skipWaiting();
});

worker.addEventListener("activate", (event) => {
  const older = caches.keys().then((names) => names.filter((name) => name !== KEPT_NAME));
  event.waitUntil(older.then((names) => Promise.all(names.map((name) => caches.delete(name)))));
  event.waitUntil(worker.clients.claim());
});

worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== worker.location.origin || url.pathname.startsWith("/api/")) return;
  if (event.request.mode === "navigate") {
    event.respondWith(fetch(event.request).catch(() => page()));
    return;
  }
  event.respondWith(caches.match(event.request).then((held) => held ?? fetch(event.request)));
});

async function page(): Promise<Response> {
  return (await caches.match("/")) ?? Response.error();
}
