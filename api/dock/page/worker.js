// Keeps the page itself on the phone, so that it opens without signal. Data is kept by the page, never here.
"use strict";

const SHELL = "dock-shell-1";
const FILES = ["./", "dock.css", "dock.js", "element.js", "form.js", "kept.js", "send.js", "mark.svg"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((shell) => shell.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((name) => name !== SHELL).map((name) => caches.delete(name))))
    .then(() => self.clients.claim()));
});

// The newest page with signal, the kept one without.
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const own = new URL(request.url).pathname.startsWith(new URL("./", self.location).pathname);
  if (request.method !== "GET" || !own) return;
  event.respondWith((async () => {
    const shell = await caches.open(SHELL);
    try {
      const answer = await fetch(request);
      if (answer.ok) await shell.put(request, answer.clone());
      return answer;
    } catch {
      return (await shell.match(request, { ignoreSearch: true })) ?? Response.error();
    }
  })());
});
