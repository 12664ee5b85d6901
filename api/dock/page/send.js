// The queue of entries. "Saved on this phone" is not "received": only the server's answer makes it so.

import { addToQueue, all, amend, get } from "./kept.js";
import { ask, compareClock, isServers, known, newest } from "./server.js";
import { named } from "./element.js";

// Without https there is no randomUUID; a key has to be random all the same.
export const newKey = () => Array.from(crypto.getRandomValues(new Uint8Array(16)),
  (byte) => byte.toString(16).padStart(2, "0")).join("");
export const progress = { busy: false, told: "" };
const OPEN = ["waiting", "conflict", "refused"];
export const SEEN = "observed_at_phone_clock";  // when it was entered, by this phone's clock
const tabs = new BroadcastChannel("drogue-muster-dock");
let changed = async () => {};

export function onChange(tell) {
  changed = tell;
  tabs.onmessage = tell;
}

export async function queue() {
  return (await all("queue")).sort((a, b) => a.place - b.place);
}

export async function openEntries() {
  return (await queue()).filter((entry) => OPEN.includes(entry.state));
}

// Keep an entry on the phone; it throws where that failed, and then nothing of it is kept.
export async function save(entry, { replaces = null, draft = null } = {}) {
  const me = await get("settings", "me");
  const by = me ? me.label : "";
  const fresh = { ...entry, key: newKey(), by, state: "waiting", detail: "", errors: {}, sent: false };
  await addToQueue({ ...fresh, at: new Date().toISOString() }, replaces, draft);
  await news();
}

export async function set(entry, changes) {
  await amend(entry.key, changes);
  await news();
}

async function news() {
  tabs.postMessage("changed");
  await changed();
}

let sending = null;
let again = false;

// Send everything that waits, oldest first, one at a time. Whoever asks while it is sent is tried for once more.
export function sendAll() {
  if (sending) {
    again = true;
    return sending;
  }
  sending = repeatedly().finally(() => { sending = null; });
  return sending;
}

async function repeatedly() {
  do {
    again = false;
    // One tab at a time: two tabs share the queue.
    await (navigator.locks ? navigator.locks.request("dock-send", runAlone) : runAlone());
  } while (again);
}

async function runAlone() {
  const tried = new Set();
  for (let entry = await nextOne(tried); entry; entry = await nextOne(tried)) {
    tried.add(entry.key);
    progress.busy = true;
    await changed();
    const goOn = await sendOne(entry).finally(() => { progress.busy = false; });
    await news();
    if (!goOn) return;
  }
}

// The oldest entry that waits and is its holder's. Later ones about a boat stay behind one that is not through.
async function nextOne(tried) {
  const me = await get("settings", "me");
  const entries = await queue();
  const behind = (entry) => entries.some((other) => ["waiting", "conflict"].includes(other.state)
    && other.boat === entry.boat && other.fleet === entry.fleet && other.place < entry.place);
  return entries.find((entry) => entry.state === "waiting" && !tried.has(entry.key) && !behind(entry)
    && !ofAnother(entry, me));
}

// Whether somebody else was signed in when it was entered: it would be recorded under the wrong name.
export const ofAnother = (entry, me) => Boolean(me && entry.by && entry.by !== me.label);

// The version an entry is about: the one it was made on, or what this phone's own entries made of it since.
function version(entry, entries) {
  let etag = entry.etag;
  if (entry.sent) return etag;  // a key is used with one version alone
  const own = entries.filter((other) => other.state === "received" && other.boat === entry.boat
    && other.fleet === entry.fleet);
  for (let next = own.find((one) => one.etag === etag); next; next = own.find((one) => one.etag === etag)) {
    etag = next.after;
  }
  return etag;
}

// The same entry without its time: one that is known to be wrong is no evidence, and never costs the entry.
async function withoutTime(entry) {
  const { [SEEN]: _wrong, ...body } = entry.body;
  await amend(entry.key, { body, timeless: true });
  return { ...entry, body, timeless: true };
}

function noAnswer() {
  progress.told = "The server does not answer. It is tried again every half minute while this page is open.";
  return false;
}

async function sendOne(asked) {
  let entry = asked, answer, told;
  // Once sent, an entry stays as it is: its key is used with one body alone.
  if (entry.body[SEEN] && !entry.sent) {
    try {
      await compareClock();
    } catch {
      return noAnswer();
    }
    if (known.clockOff_ms) entry = await withoutTime(entry);
  }
  const etag = version(entry, await queue());
  await amend(entry.key, { etag, sent: true });
  try {
    answer = await ask(`/v1/fleets/${entry.fleet}/boats/${entry.boat}/inspections`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": entry.key, "if-match": etag },
      body: JSON.stringify(entry.body),
    });
    told = await answer.json();
    if (!isServers(answer)) throw new Error("not the server");
  } catch {
    return noAnswer();
  }
  progress.told = "";
  const status = answer.status;
  if (status === 201) {
    const stands = { open_shalls: told.open_shalls, number: told.inspection.number };
    await amend(entry.key, { state: "received", detail: "", errors: {}, after: told.boat_etag, ...stands });
    await newest(`boat ${entry.fleet} ${entry.boat}`, `/v1/fleets/${entry.fleet}/boats/${entry.boat}`);
    return true;
  }
  if (status === 412) {
    await amend(entry.key, { state: "conflict", detail: "Somebody changed this boat after you looked at her." });
    return true;
  }
  if (status === 401) {
    await amend(entry.key, { detail: "This token does not count any more. Sign in again, and it is sent." });
    return false;
  }
  if (status === 403) {
    await amend(entry.key, { detail: "This token may not record that. Sign in with a scrutineer's token." });
    return true;
  }
  if (status >= 500 || status === 408 || status === 425 || status === 429) {
    const title = told.title ?? `It answered ${status}`;
    await amend(entry.key, { detail: `The server could not take it: ${title}. It is tried again.` });
    return status !== 429 && status !== 503;
  }
  // The time was refused, or is not known to a server of an older version: it goes without.
  if (status === 422 && told.code === "not-valid" && entry.body[SEEN]) return sendOne(await withoutTime(entry));
  await amend(entry.key, { state: "refused", ...reasons(entry, told) });
  return true;
}

// What the server said, in general and by field.
function reasons(entry, told) {
  const errors = {};
  const lines = told.errors ? ["Nothing of it was kept by the server."] : [told.detail ?? told.title];
  for (const one of told.errors ?? []) {
    const number = /^measurements\.(\d+)$/.exec(one.field);
    const measured = number ? entry.body.measurements[Number(number[1])] : null;
    const mend = one.mend ? ` ${one.mend.charAt(0).toUpperCase()}${one.mend.slice(1)}.` : "";
    if (measured) errors[measured.field] = `Expected: ${one.expected}.${mend}`;
    lines.push(`${measured ? named(measured.field) : one.field}: expected ${one.expected}.${mend}`);
  }
  return { detail: lines.join("\n"), errors };
}

// After a look at what changed: send it again, on top of the version now seen.
export function sendOnTop(entry, etag) {
  const { fleet, boat, name, body } = entry;
  return save({ fleet, boat, name, body, etag }, { replaces: entry.key });
}
