// Keeps the page itself on the phone, so that it opens without signal. Data is kept by the page, never here.
// One version is one cache, filled whole or not at all: files of two versions are never mixed.
"use strict";

const VERSION = "{version}";
const NAMES = "{names}".split(" ");
const SHELL = `{shell}-shell-${VERSION}`;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const page = await fetch("./", { cache: "no-store" });
    const text = await page.clone().text();
    if (!page.ok || !text.includes(`${VERSION}/{shell}.js`)) throw new Error("the page is of another version");
    const shell = await caches.open(SHELL);
    await shell.addAll(NAMES.map((name) => `${VERSION}/${name}`));
    await shell.put("./", page);
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("{shell}-shell-") && name !== SHELL) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

// The kept page, at once; the network only for what this version does not hold.
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const own = new URL(request.url).pathname.startsWith(new URL("./", self.location).pathname);
  if (request.method !== "GET" || !own) return;
  event.respondWith((async () => {
    const shell = await caches.open(SHELL);
    return (await shell.match(request, { ignoreSearch: true })) ?? fetch(request);
  })());
});
