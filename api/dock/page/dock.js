// The views: sign in, find a boat, measure her, and see what is sent and what is not.

import { clear, drop, get, put } from "./kept.js";
import { ask, queue, save, sendAll, sendOnTop } from "./send.js";
import { make } from "./element.js";
import { form, inUnits, UNITS } from "./form.js";

const view = document.querySelector("#view");
const ways = document.querySelector("#ways");
const signal = document.querySelector("#signal");
let shown = () => {};
let fetchingAll = null;
const MOST_KEPT = 500;
const TRY_AGAIN_MS = 30000;

function show(...parts) {
  view.replaceChildren(...parts.filter((part) => part !== null));
  window.scrollTo(0, 0);
  view.focus({ preventScroll: true });
}

async function tellSignal() {
  const waiting = (await queue()).filter((entry) => ["waiting", "conflict", "refused"].includes(entry.state));
  const out = navigator.onLine === false;
  signal.className = out ? "out" : "";
  signal.textContent = out ? "No signal" : "Signal";
  document.querySelector("#waiting-count").textContent = waiting.length ? `(${waiting.length})` : "";
}

async function changed() {
  await tellSignal();
  if (shown === queueView) await queueView();
}

// Fetch, or take what this phone kept; null where neither is there.
async function load(name, path, { held = null } = {}) {
  const kept = await get("boats", name);
  try {
    const headers = kept && kept.etag ? { "if-none-match": kept.etag } : {};
    const answer = await ask(path, { headers });
    if (answer.status === 304) return { ...kept, fresh: true };
    if (answer.status === 401) { await signIn("This token does not count any more."); throw new Error("signed out"); }
    if (!answer.ok) return kept ?? held;
    const value = { data: await answer.json(), etag: answer.headers.get("etag"), at: new Date().toISOString() };
    await put("boats", name, value);
    return { ...value, fresh: true };
  } catch (problem) {
    if (problem.message === "signed out") throw problem;
    return kept ? { ...kept, fresh: false } : held;
  }
}

async function loadBoats(fleet) {
  const items = [];
  let next = null;
  do {
    const path = `/v1/fleets/${fleet}/boats?limit=200${next ? `&cursor=${next}` : ""}`;
    const page = await load(`list ${fleet} ${next ?? ""}`, path);
    if (!page) break;
    items.push(...page.data.items);
    next = page.data.next;
  } while (next);
  return items;
}

// Keep every boat on this phone, slowly, so that the numbers are there without signal.
async function keepAll(fleet, boats) {
  let kept = 0;
  await load("fields", "/v1/fields");
  for (const boat of boats.slice(0, MOST_KEPT)) {
    if (navigator.onLine === false) return;
    if (await load(`boat ${fleet} ${boat.id}`, `/v1/fleets/${fleet}/boats/${boat.id}`)) kept += 1;
    const told = document.querySelector("#kept");
    if (told) told.textContent = `${kept} of ${boats.length} boats are kept for use without signal.`;
    await new Promise((done) => setTimeout(done, 150));
  }
}

async function signIn(reason = "") {
  ways.hidden = true;
  shown = signIn;
  const field = make("input", { id: "token", autocomplete: "off", autocapitalize: "off", spellcheck: "false" });
  const take = async (event) => {
    event.preventDefault();
    await put("settings", "token", field.value.trim());
    await start();
  };
  show(make("form", { onsubmit: take },
    make("h2", {}, "Sign in"),
    make("p", { class: "bad", role: "alert" }, reason),
    make("label", { for: "token" }, "Token from the safety officer"),
    field,
    make("div", { class: "actions" }, make("button", { class: "main" }, "Sign in"))));
}

async function findView() {
  shown = findView;
  const fleet = await get("settings", "fleet");
  const list = make("div");
  const field = make("input", { id: "find", type: "search", autocomplete: "off", enterkeyhint: "search" });
  const hint = make("p", { class: "hint", role: "status" });
  const told = make("p", { class: "hint", id: "kept", role: "status" });
  show(make("label", { for: "find" }, "Name, number or berth"), field, hint, list, told);
  const boats = await loadBoats(fleet);
  const fill = () => {
    const words = field.value.trim().toLowerCase();
    const found = boats.filter((boat) =>
      [boat.boat_name, boat.entry_no, boat.berth, boat.sail_no].some((text) => text.toLowerCase().includes(words)));
    hint.textContent = boats.length ? `${found.length} of ${boats.length} boats` : "No boats are kept on this phone yet.";
    list.replaceChildren(...found.slice(0, 60).map((boat) => make("button",
      { type: "button", class: "boat", onclick: () => boatView(boat.id) },
      make("b", {}, boat.boat_name),
      `${boat.entry_no}, berth ${boat.berth || "not given"}, `,
      make("span", { class: boat.open_shalls ? "bad" : "good" },
        boat.open_shalls ? `${boat.open_shalls} open` : "none open"))));
  };
  field.addEventListener("input", fill);
  fill();
  fetchingAll ??= keepAll(fleet, boats).finally(() => { fetchingAll = null; });
}

async function boatView(id) {
  shown = boatView;
  const fleet = await get("settings", "fleet");
  const kept = await load(`boat ${fleet} ${id}`, `/v1/fleets/${fleet}/boats/${id}`);
  const fields = await load("fields", "/v1/fields");
  if (!kept || !fields) {
    show(make("p", { class: "bad" }, "This boat is not kept on this phone, and there is no signal."));
    return;
  }
  const boat = kept.data;
  const role = await get("settings", "role");
  const system = await get("settings", "system") ?? "metric";
  const mine = (await queue()).filter((entry) => entry.boat === id && entry.fleet === fleet && entry.state !== "received"
    && entry.state !== "replaced");
  const head = [
    make("h2", {}, `${boat.boat_name} (${boat.entry_no})`),
    make("p", {}, `Berth ${boat.berth || "not given"}. `,
      make("span", { class: boat.open_shalls ? "bad" : "good" },
        boat.open_shalls ? `${boat.open_shalls} open shalls.` : "No open shalls.")),
    kept.fresh ? null : make("p", { class: "state waiting" }, `As kept on this phone ${when(kept.at)}; no signal.`),
    mine.length ? make("p", { class: "state waiting" }, `${mine.length} of your entries not received yet.`) : null,
    boat.computed ? null : make("p", { class: "bad" }, `Not computed: ${boat.reason_not_computed}`),
  ].filter(Boolean);
  const canWrite = ["officer", "scrutineer"].includes(role);
  const sheet = form(boat, fields.data.items, system, canWrite, async (body) => {
    const entry = await save({ fleet, boat: id, name: boat.boat_name, etag: kept.etag, body });
    await changed();
    await queueView();
    await sendAll(changed);
    return entry;
  });
  show(...head, sheet);
}

const STATES = {
  waiting: "Saved on this phone, not received yet",
  conflict: "Not received: the boat was changed meanwhile",
  refused: "Not received: it was refused",
  received: "Received",
  replaced: "Sent again",
};

async function queueView() {
  shown = queueView;
  const entries = (await queue()).reverse();
  const rows = await Promise.all(entries.map(queueItem));
  show(make("h2", {}, "To send"),
    make("div", { class: "actions" }, make("button", { type: "button", class: "main", onclick: () => sendAll(changed) },
      "Send now")),
    entries.length ? null : make("p", {}, "Nothing was entered on this phone."), ...rows);
}

async function queueItem(entry) {
  const told = entry.body.measurements.map((one) =>
    make("li", {}, `${one.field.replaceAll("_", " ")}: ${one.value}`));
  const item = make("section", { class: "item", "data-state": entry.state },
    make("h3", {}, entry.name),
    make("p", { class: `state ${entry.state}` }, STATES[entry.state]),
    make("p", { class: "hint" }, when(entry.at)),
    make("ul", {}, ...told), entry.body.note ? make("p", {}, entry.body.note) : "");
  entry.detail.split("\n").filter(Boolean).forEach((line) => item.append(make("p", {}, line)));
  if (entry.state === "conflict") item.append(await conflict(entry));
  if (entry.state === "refused") item.append(actions(entry, null));
  if (entry.state === "received") item.append(make("div", { class: "actions" },
    make("button", { type: "button", onclick: () => remove(entry) }, "Take off this list")));
  return item;
}

// What stands now, beside what was entered here: nothing is overwritten before somebody looked.
async function conflict(entry) {
  const path = `/v1/fleets/${entry.fleet}/boats/${entry.boat}`;
  const now = await load(`boat ${entry.fleet} ${entry.boat}`, path);
  if (!now || !now.fresh) return make("p", {}, "With signal, the present values are shown here.");
  const rows = entry.body.measurements.flatMap((mine) => {
    const one = now.data.measures.find((measure) => measure.field === mine.field);
    const stands = one && one.found ? `${one.found.text} (found)` : `${(one && one.entered) || "nothing"} (entered)`;
    return [make("dt", {}, mine.field.replaceAll("_", " ")), make("dd", {}, `now ${stands}; yours ${mine.value}`)];
  });
  return make("div", {}, make("dl", { class: "needs" }, ...rows), actions(entry, now.etag));
}

function actions(entry, etag) {
  const again = etag ? make("button", { type: "button", class: "main", onclick: async () => {
    await sendOnTop(entry, etag);
    await sendAll(changed);
  } }, "I have looked: send mine") : null;
  return make("div", { class: "actions" }, again,
    make("button", { type: "button", onclick: () => remove(entry) }, "Drop mine"));
}

async function remove(entry) {
  await drop("queue", entry.key);
  await changed();
}

function when(at) {
  return new Date(at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

async function tellUnits() {
  const system = await get("settings", "system") ?? "metric";
  const button = document.querySelector("#units");
  button.textContent = inUnits(system);
  button.setAttribute("aria-pressed", system === "us");
  button.setAttribute("aria-label", `Units: ${inUnits(system)}. Switch.`);
}

async function switchUnits() {
  const system = await get("settings", "system") ?? "metric";
  const next = system === "metric" ? "us" : "metric";
  await put("settings", "system", next);
  await tellUnits();
  view.querySelectorAll("[data-dimension]").forEach((one) => { one.textContent = UNITS[one.dataset.dimension][next]; });
  view.querySelectorAll("[data-metric]").forEach((one) => { one.textContent = one.dataset[next]; });
}

async function start() {
  let me = await get("settings", "me");
  try {
    const answer = await ask("/v1/me");
    if (answer.status === 401 || answer.status === 429) return signIn((await answer.json()).title);
    if (answer.ok) {
      me = await answer.json();
      await put("settings", "me", me);
    }
  } catch { /* no signal: what is kept has to do */ }
  if (!me) return signIn("There is no signal; signing in the first time needs it.");
  await put("settings", "role", me.role);
  let fleet = me.fleet_id ?? await get("settings", "fleet");
  if (!fleet || !me.fleet_id) {
    const fleets = me.fleet_id ? null : await load("fleets", "/v1/fleets");
    if (fleets && fleets.data.items.length > 1) return chooseFleet(fleets.data.items);
    fleet = fleet ?? (fleets && fleets.data.items[0] ? fleets.data.items[0].id : null);
  }
  return enter(fleet, me);
}

async function enter(fleet, me) {
  if (!fleet) return show(make("p", { class: "bad" }, "There is no fleet yet."));
  await put("settings", "fleet", fleet);
  ways.hidden = false;
  await tellUnits();
  await tellSignal();
  if (me && me.boat_id) await boatView(me.boat_id);
  else await findView();
  return sendAll(changed);
}

function chooseFleet(fleets) {
  shown = chooseFleet;
  show(make("h2", {}, "Which fleet?"), ...fleets.map((fleet) => make("button",
    { type: "button", class: "boat", onclick: () => enter(fleet.id, null) }, make("b", {}, fleet.name),
    `${fleet.boats} boats`)));
}

async function begin() {
  if (/^#dm_[\w-]{43}$/.test(location.hash)) {
    const token = location.hash.slice(1);
    history.replaceState(null, "", location.pathname);
    if (await get("settings", "token") !== token) {
      await clear("boats");
      await drop("settings", "me");
      await drop("settings", "fleet");
    }
    await put("settings", "token", token);
  }
  const home = async () => {
    const me = await get("settings", "me");
    return me && me.boat_id ? boatView(me.boat_id) : findView();
  };
  document.querySelector("#to-find").addEventListener("click", home);
  document.querySelector("#to-queue").addEventListener("click", queueView);
  document.querySelector("#units").addEventListener("click", switchUnits);
  window.addEventListener("online", () => { tellSignal(); sendAll(changed); });
  window.addEventListener("offline", tellSignal);
  setInterval(() => sendAll(changed), TRY_AGAIN_MS);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") sendAll(changed);
  });
  if ("serviceWorker" in navigator) navigator.serviceWorker.register("worker.js").catch(() => {});
  if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  await tellSignal();
  if (await get("settings", "token")) await start();
  else await signIn();
}

begin();
