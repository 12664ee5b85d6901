// The queue of entries. "Saved on this phone" is not "received": only the server's answer makes it so.

import { all, get, put } from "./kept.js";

export const newKey = () => crypto.randomUUID();

export async function ask(path, options = {}) {
  const token = await get("settings", "token");
  const headers = { authorization: `Bearer ${token}`, ...options.headers };
  return fetch(path, { ...options, headers, cache: "no-store", signal: AbortSignal.timeout(20000) });
}

export async function save(entry) {
  const kept = { ...entry, key: newKey(), state: "waiting", detail: "", at: new Date().toISOString() };
  await put("queue", kept.key, kept);
  return kept;
}

export async function queue() {
  return (await all("queue")).sort((a, b) => a.at.localeCompare(b.at));
}

let sending = null;
let again = false;

// Send everything that waits, oldest first, one at a time. Whoever asks while it is sent is tried for once more.
export function sendAll(changed) {
  if (sending) {
    again = true;
    return sending;
  }
  sending = repeatedly(changed).finally(() => { sending = null; });
  return sending;
}

async function repeatedly(changed) {
  do {
    again = false;
    await run(changed);
  } while (again);
}

// One tab at a time: two tabs share the queue.
function run(changed) {
  return navigator.locks ? navigator.locks.request("dock-send", () => runAlone(changed)) : runAlone(changed);
}

async function runAlone(changed) {
  for (let entry = await nextOne(); entry; entry = await nextOne()) {
    const goOn = await sendOne(entry);
    await changed();
    if (!goOn) return;
  }
}

// The oldest entry that waits. A later one about a boat stays while an earlier conflict is to be looked at.
async function nextOne() {
  const entries = await queue();
  return entries.find((entry) => entry.state === "waiting" && !entries.some((other) =>
    other.state === "conflict" && other.boat === entry.boat && other.fleet === entry.fleet && other.at < entry.at));
}

async function sendOne(entry) {
  let answer;
  try {
    answer = await ask(`/v1/fleets/${entry.fleet}/boats/${entry.boat}/inspections`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": entry.key, "if-match": entry.etag },
      body: JSON.stringify(entry.body),
    });
  } catch {
    return false;
  }
  const told = await answer.json().catch(() => ({}));
  if (answer.status === 201) {
    await received(entry, told);
  } else if (answer.status === 412) {
    await put("queue", entry.key, { ...entry, state: "conflict", detail: "Somebody changed this boat meanwhile." });
  } else if ([400, 404, 409, 415, 422].includes(answer.status)) {
    const lines = (told.errors ?? []).map((one) => `${named(entry, one.field)}: ${one.expected}. ${one.mend ?? ""}`);
    await put("queue", entry.key, { ...entry, state: "refused", detail: [told.detail, ...lines].join("\n") });
  } else {
    await put("queue", entry.key, { ...entry, detail: told.title ?? `The server answered ${answer.status}.` });
    return false;
  }
  return true;
}

function named(entry, place) {
  const number = /^measurements\.(\d+)$/.exec(place);
  const one = number ? entry.body.measurements[Number(number[1])] : null;
  return one ? one.field.replaceAll("_", " ") : place;
}

async function received(entry, told) {
  const etag = told.boat_etag;
  await put("queue", entry.key, { ...entry, state: "received", detail: "", number: told.inspection.number });
  // Later entries from this phone were made on top of this one.
  for (const other of await queue()) {
    const next = other.state === "waiting" && other.boat === entry.boat && other.fleet === entry.fleet;
    if (next && other.etag === entry.etag) await put("queue", other.key, { ...other, etag });
  }
}

// After a look at what changed: send it again, on top of the version now seen.
export async function sendOnTop(entry, etag) {
  const again = { ...entry, key: newKey(), etag, state: "waiting", detail: "" };
  await put("queue", entry.key, { ...entry, state: "replaced", detail: "Sent again after a look at the changes." });
  await put("queue", again.key, again);
}
