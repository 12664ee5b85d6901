// The page begins here: what is heard, what is looked at again, and what the buttons above do.

import { get, put } from "./kept.js";
import { button, learnNames, make } from "./element.js";
import { kept, known, onNews } from "./server.js";
import { onChange, sendAll } from "./send.js";
import { back, go, notice, refresh, shown, tellSignal, tellUnits } from "./screen.js";
import { home, start, tellSignedOut, tokenInAddress } from "./sign_in.js";
import { switchForm } from "./form.js";
import { lookForNewer } from "./newer.js";
import "./find.js";
import "./boat.js";
import "./queue.js";

const TRY_AGAIN_MS = 30000;

async function switchUnits() {
  const system = await get("settings", "system") ?? "metric";
  const next = system === "metric" ? "us" : "metric";
  await put("settings", "system", next);
  await tellUnits();
  const view = document.querySelector("#view");
  view.dataset.system = next;
  switchForm(view, next);
}

async function news() {
  await tellSignal();
  tellSignedOut();
  notice("clock", ...(known.clockOff_ms ? [make("p", {}, "This phone's clock is wrong by"
    + ` ${Math.round(Math.abs(known.clockOff_ms) / 60000)} minutes: times shown here are too. The server notes its own.`)]
    : [null]));
}

async function begin() {
  const fromLink = tokenInAddress();
  try {
    await put("settings", "opened", new Date().toISOString());
  } catch {
    const told = make("div", {}, make("h2", {}, "Nothing can be kept on this phone"),
      make("p", { class: "bad", role: "alert" }, "The browser does not let this page keep anything: the phone is full, or"
        + " this is a private window, or storage is switched off. Without it an entry could be lost, so none is taken."),
      make("p", {}, "Open the page in a normal window, or free some space, then try again. Until then, write on paper."),
      make("div", { class: "actions" }, button("Try again", () => location.reload(), "main")));
    document.querySelector("#view").replaceChildren(told);
    return;
  }
  learnNames((await kept("fields"))?.data?.items);
  onNews(news);
  onChange(async () => {
    await tellSignal();
    if (shown === "queue") await refresh();
  });
  document.querySelector("#to-find").addEventListener("click", async () => go(...await home()));
  document.querySelector("#to-queue").addEventListener("click", () => go("queue"));
  document.querySelector("#units").addEventListener("click", switchUnits);
  window.addEventListener("popstate", (event) => back(event.state));
  window.addEventListener("hashchange", () => {
    const token = tokenInAddress();
    if (token) start(token);
  });
  window.addEventListener("online", () => { tellSignal(); sendAll(); });
  window.addEventListener("offline", tellSignal);
  setInterval(sendAll, TRY_AGAIN_MS);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") sendAll();
  });
  lookForNewer();
  navigator.storage?.persist?.().catch(() => {});
  await tellSignal();
  await start(fromLink);
}

begin();
