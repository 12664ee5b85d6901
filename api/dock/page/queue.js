// What was entered on this phone: what waits, what was received, what needs a look; and who is signed in.

import { drop, get, put } from "./kept.js";
import { actions, button, count, left, make, named, when } from "./element.js";
import { known, newest } from "./server.js";
import { ofAnother, progress, queue, SEEN, sendAll, sendOnTop, set } from "./send.js";
import { addView, go } from "./screen.js";
import { draftName } from "./boat.js";
import { seenAt } from "./inspections.js";

const STATES = {
  waiting: "Saved on this phone, not received yet",
  conflict: "Not received: the boat was changed meanwhile",
  refused: "Not received: it was refused",
  received: "Received",
  replaced: "Sent again",
  dropped: "Dropped by you, never received",
};
const DONE = ["received", "replaced", "dropped"];

addView("queue", async (show) => {
  const me = await get("settings", "me");
  const entries = (await queue()).reverse();
  const open = entries.filter((entry) => !DONE.includes(entry.state));
  const done = entries.filter((entry) => DONE.includes(entry.state));
  const items = await Promise.all(open.map((entry) => item(entry, me)));
  const past = await Promise.all(done.map((entry) => item(entry, me)));
  show(make("h2", {}, "To send"),
    open.length ? null : make("p", {}, entries.length ? "Nothing waits." : "Nothing was entered on this phone."),
    open.length ? actions(button("Send now", sendAll, "main")) : null,
    make("p", { class: "hint", id: "progress" }, progress.busy ? "Sending." : progress.told),
    ...items, ...past, await thisPhone(me));
  const left = open.length ? `${count(open.length, "entry", "entries")} not received yet.` : "Nothing waits.";
  document.querySelector("#told").textContent = entries.length ? `${left} ${progress.told}` : "";
});

async function item(entry, me) {
  const other = entry.state === "waiting" && ofAnother(entry, me);
  const told = entry.body.measurements.map((one) => make("li", {}, `${named(one.field)}: ${one.value}`));
  const stands = entry.state === "received" && entry.open_shalls !== undefined
    ? make("p", {}, `On her entry now: ${left(entry.open_shalls, 0)}.`) : null;
  return make("section", { class: "item", "data-state": entry.state },
    make("h3", {}, entry.name),
    make("p", { class: `state ${entry.state}` }, STATES[entry.state]),
    make("p", { class: "hint" }, `Entered ${when(entry.body[SEEN] ?? entry.at)} by this phone's clock`
      + `${entry.by ? `, by ${entry.by}` : ""}`),
    entry.timeless ? make("p", {}, "The server is not told when it was entered: this phone's clock is wrong, or the"
      + " entry waited for more than a month.") : null,
    make("ul", {}, ...told),
    entry.body.note ? make("p", {}, entry.body.note) : null,
    entry.body.photo ? make("p", {}, `Photo: ${entry.body.photo}`) : null,
    ...entry.detail.split("\n").filter(Boolean).map((line) => make("p", {}, line)),
    stands,
    other ? anothers(entry, me) : null,
    entry.state === "conflict" ? await conflict(entry) : null,
    entry.state === "refused" ? choices(entry, button("Correct it", () => correct(entry), "main")) : null,
    entry.state === "dropped" ? actions(button("Put it back", () => set(entry, { state: "waiting", detail: "" }))) : null,
    DONE.includes(entry.state) ? actions(button("Take off this list", () => remove(entry))) : null);
}

async function remove(entry) {
  await drop("queue", entry.key);
  await set(entry, {});
}

function anothers(entry, me) {
  return make("div", {},
    make("p", {}, `Entered while ${entry.by} was signed in; now it is ${me.label}. The server would note it as ${me.label}'s.`),
    choices(entry, button(`Send it as ${me.label}`, async () => {
      await set(entry, { by: me.label });
      await sendAll();
    })));
}

// What stands now, beside what was entered here: nothing is overwritten before somebody looked.
async function conflict(entry) {
  const path = `/v1/fleets/${entry.fleet}/boats/${entry.boat}`;
  const now = await newest(`boat ${entry.fleet} ${entry.boat}`, path);
  if (!now.fresh) return make("div", {}, make("p", {}, `The present values cannot be shown: ${now.why}.`), choices(entry));
  const list = await newest(`inspections ${entry.fleet} ${entry.boat}`, `${path}/inspections?limit=200`);
  const stand = (mine) => now.data.measures.find((measure) => measure.field === mine.field);
  const rows = entry.body.measurements.map((mine) => {
    const one = stand(mine);
    const by = list.data?.items.find((inspection) => inspection.id === one?.found?.inspection);
    return make("div", {}, make("h4", {}, named(mine.field)), make("dl", { class: "needs" },
      make("div", {}, make("dt", {}, one?.found ? "Now (found)" : one?.answered ? "Now (her word)" : "Now (entered)"),
        make("dd", { class: "there" }, one?.found?.text ?? one?.answered?.text ?? (one?.entered || "nothing"))),
      make("div", {}, make("dt", {}, "Yours"), make("dd", { class: "there" }, mine.value)),
      by ? make("div", { class: "before" }, make("dt", {}, "Found by"), make("dd", {}, foundBy(by))) : null),
    by && mineIsOlder(entry, by) ? make("p", { class: "bad" }, "As far as the clocks tell, what stands was seen after"
      + " yours. Yours would count all the same once it is sent.") : null);
  });
  const same = entry.body.measurements.length
    && entry.body.measurements.every((mine) => stand(mine)?.found?.text === mine.value);
  return make("div", {}, ...rows,
    same ? make("p", {}, "The same values stand already: yours was received before, or another found the same.") : null,
    choices(entry, button("I have looked: send mine", async () => {
      await sendOnTop(entry, now.etag);
      await sendAll();
    }, "main"), button("Correct mine", () => correct(entry))));
}

const foundBy = (by) => `${by.made_by}, received ${when(by.made_at)}`
  + `${by.observed_at_phone_clock ? `, seen ${seenAt(by)}` : ""}`;

const mineIsOlder = (entry, by) => Boolean(entry.body[SEEN]
  && Date.parse(entry.body[SEEN]) < Date.parse(by.observed_at_phone_clock ?? by.made_at));

// The fields are filled with what was entered; it is replaced when the new one is saved.
async function correct(entry) {
  const { measurements, note, photo } = entry.body;
  const fields = Object.fromEntries(measurements.map((one) => [one.field, one.value]));
  const system = await get("settings", "system") ?? "metric";
  await put("drafts", draftName(entry.fleet, entry.boat),
    { fields, note, photo, system, at: entry.at, replaces: entry.key, seen: entry.body[SEEN] ?? null,
      errors: entry.errors });
  await go("boat", { id: entry.boat });
}

// Dropping takes two taps, and can be taken back.
function choices(entry, ...others) {
  const sure = button("Yes, drop mine: it is not received", () => set(entry, { state: "dropped", detail: "" }), "warn");
  sure.hidden = true;
  return actions(...others, button("Drop mine", () => {
    sure.hidden = false;
    sure.focus();
  }), sure);
}

async function thisPhone(me) {
  const until = me.expires_at ? ` Its token counts until ${when(me.expires_at)}.` : "";
  const clock = Math.round(Math.abs(known.clockOff_ms) / 60000);
  return make("section", { class: "item" }, make("h3", {}, "This phone"),
    make("p", {}, `Signed in: ${me.label}, ${me.role}.${until}`),
    clock ? make("p", { class: "bad" }, `This phone's clock is ${count(clock, "minute")} ${known.clockOff_ms > 0 ? "fast" : "slow"}.`
      + " The server notes its own time.") : null,
    actions(button("Sign in with another token", () => go("sign-in", "")),
      me.fleet_id ? null : button("Another fleet", () => go("fleets"))));
}
