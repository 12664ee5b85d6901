// A new version of this page is fetched whole beside the one in use, and taken when the reader says so.

import { button, make } from "./element.js";
import { notice } from "./screen.js";

const NOT_KEPT = "This page cannot be opened again without signal here: keep it open while you are out.";

export async function lookForNewer() {
  if (!("serviceWorker" in navigator)) {
    notice("offline", make("p", {}, `${NOT_KEPT} Its address would have to begin with https.`));
    return;
  }
  try {
    const registered = await navigator.serviceWorker.register("worker.js");
    const tell = () => {
      if (registered.waiting && navigator.serviceWorker.controller) offer(registered.waiting);
    };
    registered.addEventListener("updatefound", () => registered.installing?.addEventListener("statechange", tell));
    tell();
  } catch {
    notice("offline", make("p", {}, NOT_KEPT));
  }
}

function offer(waiting) {
  notice("newer", make("p", {}, "A new version of this page is here. What you typed or saved stays."),
    button("Take the new version", () => {
      navigator.serviceWorker.addEventListener("controllerchange", () => location.reload(), { once: true });
      waiting.postMessage("take over");
    }));
}
