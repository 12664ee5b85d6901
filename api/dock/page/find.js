// Finding a boat, and keeping them all on this phone for use without signal.

import { get } from "./kept.js";
import { left, make, when } from "./element.js";
import { WORDS } from "./words.js";
import { ask, isServers, keep, kept, newest } from "./server.js";
import { addView, go } from "./screen.js";

const MOST_KEPT = 500;
const MOST_SHOWN = 60;
const PAUSE_MS = 300;  // between two boats, so that a hundred boats stay far below the server's rate
let keeping = null;

const plain = (text) => text.normalize("NFKD").replace(/[\u0300-\u036f\s-]/g, "").toLowerCase();

// The list as a whole: all pages of one version, or what was kept of an earlier one.
async function newestList(fleet) {
  const name = `list ${fleet}`;
  const old = await kept(name);
  const items = [];
  let next = null;
  let etag = null;
  do {
    const headers = old && !next ? { "if-none-match": old.etag } : {};
    const path = `/v1/fleets/${fleet}/boats?limit=200${next ? `&cursor=${next}` : ""}`;
    const answer = await ask(path, { headers });
    if (answer.status === 304) return { ...old, fresh: true, why: "" };
    if (!answer.ok || !isServers(answer)) return { data: null, ...old, fresh: false, why: whyNot(answer.status) };
    etag ??= answer.headers.get("etag");
    const page = await answer.json();
    items.push(...page.items);
    next = page.next;
  } while (next);
  const value = { data: items, etag, at: new Date().toISOString() };
  await keep(name, value);
  return { ...value, fresh: true, why: "" };
}

function whyNot(status) {
  if (status === 401) return "this token does not count any more";
  if (status === 403) return "this token may not read that";
  return `the server answered ${status}`;
}

// Keep every boat on this phone, slowly, so that the numbers are there without signal.
async function keepAll(fleet, boats) {
  let there = 0;
  await newest("fields", "/v1/fields");
  for (const boat of boats.slice(0, MOST_KEPT)) {
    if (await get("settings", "fleet") !== fleet) return;
    const old = await kept(`boat ${fleet} ${boat.id}`);
    if (old?.data.version === boat.version && await kept(`findings ${fleet} ${boat.id}`)) {
      there += 1;
    } else {
      if (navigator.onLine === false) return;
      const now = await newest(`boat ${fleet} ${boat.id}`, `/v1/fleets/${fleet}/boats/${boat.id}`);
      await newest(`findings ${fleet} ${boat.id}`, `/v1/fleets/${fleet}/boats/${boat.id}/findings?limit=200`);
      if (now.data && await kept(`boat ${fleet} ${boat.id}`)) there += 1;
      await new Promise((done) => setTimeout(done, PAUSE_MS));
    }
    const told = document.querySelector("#kept");
    if (told) told.textContent = `${there} of ${boats.length} boats are kept for use without signal.`;
  }
}

function matching(boats, words) {
  const wanted = plain(words);
  const texts = (boat) => [boat.boat_name, boat.entry_no, boat.berth, boat.sail_no].map(plain);
  const found = boats.filter((boat) => texts(boat).some((text) => text.includes(wanted)));
  const whole = (boat) => texts(boat).some((text) => text === wanted);
  return [...found.filter(whole), ...found.filter((boat) => !whole(boat))];
}

function line(boat) {
  const open = boat.computed ? left(boat.open_shalls, 0) : WORDS.state["not computed"];
  return make("button", { type: "button", class: "boat", onclick: () => go("boat", { id: boat.id }) },
    make("b", {}, boat.boat_name),
    make("span", {}, `No ${boat.entry_no}, berth ${boat.berth || "not given"}`, boat.sail_no ? `, sail ${boat.sail_no}` : ""),
    make("span", { class: boat.computed && !boat.open_shalls ? "good" : "bad" }, open));
}

addView("find", async (show, _detail, here) => {
  const fleet = await get("settings", "fleet");
  const me = await get("settings", "me");
  const list = make("div");
  const field = make("input", { id: "find", type: "search", autocomplete: "off", autocapitalize: "off",
    spellcheck: "false", enterkeyhint: "search" });
  const hint = make("p", { class: "hint", role: "status" });
  const told = make("p", { class: "hint", id: "kept" });
  let boats = [];
  const fill = () => {
    const found = matching(boats, field.value);
    const more = found.length > MOST_SHOWN ? `, the first ${MOST_SHOWN} are shown` : "";
    if (boats.length) hint.textContent = `${found.length} of ${boats.length} boats${more}`;
    list.replaceChildren(...found.slice(0, MOST_SHOWN).map(line));
  };
  field.addEventListener("input", fill);
  show(make("h2", { class: "unseen" }, "Find a boat"),
    make("label", { for: "find" }, "Name, number, berth or sail number"), field, hint, list, told);
  const old = await kept(`list ${fleet}`);
  hint.textContent = "Looking for the list.";
  if (old) boats = old.data;
  if (old) fill();
  const now = await newestList(fleet).catch(() => ({
    data: null, ...old, fresh: false, why: navigator.onLine === false ? "no signal" : "the server does not answer",
  }));
  if (!here()) return;
  boats = now.data ?? [];
  fill();
  if (!boats.length) {
    hint.textContent = now.fresh ? "No boats yet: the officer uploads the entry list."
      : `No list of boats is kept on this phone, and it cannot be read: ${now.why}.`;
  } else if (!now.fresh) {
    hint.textContent += `. As kept ${when(now.at)}; ${now.why}.`;
  }
  if (me.role === "chandlery") told.textContent = "This token shows the list alone: it may not read a boat.";
  else keeping ??= keepAll(fleet, boats).catch(() => {}).finally(() => { keeping = null; });
});
