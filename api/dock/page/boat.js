// One boat: what is open, the sheet to be filled, and what was found aboard before.

import { drop, get, put } from "./kept.js";
import { actions, button, learnNames, left, make, when } from "./element.js";
import { WORDS } from "./words.js";
import { keep, kept, newest } from "./server.js";
import { openEntries, save, SEEN, sendAll } from "./send.js";
import { addView, go } from "./screen.js";
import { form } from "./form.js";
import { findingsOf } from "./findings.js";
import { inspectionsOf } from "./inspections.js";

const DRAFT_PAUSE_MS = 300;
export const mayWrite = (me) => ["officer", "scrutineer"].includes(me.role);
export const draftName = (fleet, id) => `${fleet} ${id}`;

addView("boat", async (show, { id }, here) => {
  const fleet = await get("settings", "fleet");
  const name = `boat ${fleet} ${id}`;
  const path = `/v1/fleets/${fleet}/boats/${id}`;
  const old = await kept(name);
  const fields = await kept("fields") ?? await newest("fields", "/v1/fields");
  learnNames(fields.data?.items);
  let typing = false;
  const draw = async (value) => show(...await sheet(fleet, id, value, fields, () => { typing = true; }));
  // What is kept is shown at once; the newest follows when it comes.
  if (old?.data && fields.data) await draw({ ...old, fresh: null, why: "" });
  else show(make("p", { class: "hint", role: "status" }, "Looking for this boat."));
  const now = await newest(name, path);
  if (!here()) return;
  if (!now.data || !fields.data) {
    const why = now.data ? fields.why : now.why;
    show(make("h2", {}, "This boat cannot be shown"), make("p", { class: "bad" }, `Not kept on this phone, and ${why}.`),
      actions(button("Try again", () => go("boat", { id }), "main")));
    return;
  }
  if (old?.data && old.etag === now.etag) freshness(now);
  else if (typing) tellNewer(id);
  else await draw(now);
  if (now.fresh) await fillRest(fleet, id, now, here, await get("settings", "me"));
});

async function sheet(fleet, id, value, fields, typing) {
  const boat = value.data;
  const me = await get("settings", "me");
  const system = await get("settings", "system") ?? "metric";
  const draft = await get("drafts", draftName(fleet, id)) ?? null;
  const mine = (await openEntries()).filter((entry) => entry.boat === id && entry.fleet === fleet).length;
  const open = `On her entry: ${left(boat.open_shalls, boat.open_shoulds)}.`;
  const sendIt = async (body) => {
    clearTimeout(late);
    // What is corrected was seen when it was first entered.
    const seen = draft?.replaces ? draft.seen : new Date().toISOString();
    const entry = { fleet, boat: id, name: boat.boat_name, etag: value.etag,
      body: seen ? { ...body, [SEEN]: seen } : body };
    await save(entry, { replaces: draft?.replaces ?? null, draft: draftName(fleet, id) });
    await go("queue");
    sendAll();
  };
  let late = 0;
  const typed = (texts) => {
    typing();
    clearTimeout(late);
    const whole = { ...texts, system: document.querySelector("main").dataset.system ?? system,
      at: new Date().toISOString(), replaces: draft?.replaces ?? null, seen: draft?.seen ?? null,
      errors: draft?.errors ?? {} };
    late = setTimeout(() => put("drafts", draftName(fleet, id), whole).catch(() => {}), DRAFT_PAUSE_MS);
  };
  document.querySelector("main").dataset.system = system;
  const element = form(boat, fields.data.items, { system, canWrite: mayWrite(me), draft, errors: draft?.errors ?? {},
    typed, take: sendIt });
  return [
    make("h2", {}, `${boat.boat_name} (${boat.entry_no})`),
    make("p", {}, `Berth ${boat.berth || "not given"}${boat.sail_no ? `, sail ${boat.sail_no}` : ""}. `,
      make("span", { class: boat.computed && !boat.open_shalls ? "good" : "bad" }, open)),
    make("p", { id: "freshness", role: "status", class: value.fresh === false ? "state waiting" : "hint" },
      value.fresh === false ? keptAs(value) : ""),
    make("div", { id: "newer", role: "status" }),
    mine ? make("p", { class: "state waiting" }, `${mine} of your entries not received yet.`) : null,
    boat.computed ? null : make("p", { class: "bad" }, `Her figures are ${WORDS.state["not computed"]}: ${boat.reason_not_computed}`),
    draft ? draftTold(fleet, id, draft) : null,
    await findingsOf(fleet, id, system),
    element,
    await inspectionsOf(fleet, id, me),
  ];
}

const keptAs = (value) => `As kept on this phone ${when(value.at)}; ${value.why}.`;

function freshness(now) {
  const told = document.querySelector("#freshness");
  if (!told || now.fresh) return;
  told.className = "state waiting";
  told.textContent = keptAs(now);
}

function tellNewer(id) {
  document.querySelector("#newer")?.replaceChildren(
    make("p", { class: "state waiting" }, "Somebody recorded something about this boat just now."),
    button("Show the new figures; what I typed stays", () => go("boat", { id })));
}

function draftTold(fleet, id, draft) {
  const first = draft.seen ? ` It keeps the time it was first entered, ${when(draft.seen)}; what you measure anew`
    + " is better saved as a new entry." : "";
  const text = draft.replaces ? `To be corrected: mend what is marked, then save and send.${first}`
    : `Not saved yet: what was typed ${when(draft.at)} stands in the fields below.`;
  return make("div", { class: "state waiting" }, make("p", {}, text),
    draft.replaces ? null : actions(button("Empty the fields", async () => {
      await drop("drafts", draftName(fleet, id));
      await go("boat", { id });
    })));
}

// Findings and earlier inspections follow her figures, and are kept with them.
async function fillRest(fleet, id, boat, here, me) {
  const [findings, inspections] = ["findings", "inspections"].map((what) => `${what} ${fleet} ${id}`);
  const path = `/v1/fleets/${fleet}/boats/${id}`;
  const known = await kept(findings);
  if (known?.version !== boat.data.version) {
    const now = await newest(findings, `${path}/findings?limit=200`);
    if (now.fresh) await keep(findings, { data: now.data, etag: now.etag, at: now.at, version: boat.data.version });
  }
  await newest(inspections, `${path}/inspections?limit=200`);
  if (!here()) return;
  const system = await get("settings", "system") ?? "metric";
  const parts = [await findingsOf(fleet, id, system), await inspectionsOf(fleet, id, me)];
  if (!here()) return;
  for (const part of parts) {
    const old = document.getElementById(part.id);
    part.open = Boolean(old?.open);  // looked at now: the reader may have opened it meanwhile
    old?.replaceWith(part);
  }
}
