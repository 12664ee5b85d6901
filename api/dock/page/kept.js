// What is kept on this phone: the token, boats for reading without signal, what was typed, and what waits.

const NAME = "drogue-muster-dock";
const STORES = ["settings", "boats", "queue", "drafts"];
const FORM = 2;
const MOST_WAITED_MS = 5000;
let opened = null;

function open() {
  opened ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, FORM);
    const late = setTimeout(() => failed(new Error("the store does not open")), MOST_WAITED_MS);
    request.onupgradeneeded = () => STORES.filter((store) => !request.result.objectStoreNames.contains(store))
      .forEach((store) => request.result.createObjectStore(store));
    request.onsuccess = () => {
      clearTimeout(late);
      request.result.onversionchange = () => { request.result.close(); opened = null; };
      request.result.onclose = () => { opened = null; };
      done(request.result);
    };
    request.onerror = () => failed(request.error);
  });
  return opened;
}

// Do `work` on stores in one change: all of it is kept, or none.
async function within(stores, mode, work) {
  const base = await open();
  return new Promise((done, failed) => {
    const change = base.transaction(stores, mode, { durability: "strict" });
    const request = work(...[stores].flat().map((store) => change.objectStore(store)));
    change.oncomplete = () => done(request?.result);
    change.onerror = () => failed(change.error);
    change.onabort = () => failed(change.error ?? new Error("it was not kept"));
  });
}

export const put = (store, key, value) => within(store, "readwrite", (kept) => kept.put(value, key));
export const get = (store, key) => within(store, "readonly", (kept) => kept.get(key));
export const all = (store) => within(store, "readonly", (kept) => kept.getAll());
export const drop = (store, key) => within(store, "readwrite", (kept) => kept.delete(key));
export const clear = (store) => within(store, "readwrite", (kept) => kept.clear());

// Go on with what was read, in the same change; where that fails, the change as a whole does.
function then(request, work) {
  request.onsuccess = () => {
    try {
      work(request.result);
    } catch {
      request.transaction.abort();
    }
  };
}

// Add an entry behind all others (the order of entry, whatever the clock says); what it replaces, and what was
// typed for it, go in the same change.
export function addToQueue(entry, replaced, draft) {
  return within(["queue", "drafts"], "readwrite", (queue, drafts) => then(queue.getAll(), (others) => {
    const last = Math.max(0, ...others.map((other) => other.place));
    const older = replaced ? others.find((other) => other.key === replaced) : null;
    if (older) queue.put({ ...older, state: "replaced" }, older.key);
    queue.put({ ...entry, place: older ? older.place : last + 1 }, entry.key);
    if (draft) drafts.delete(draft);
  }));
}

// Change an entry as it stands now; two tabs may be at it.
export function amend(key, changes) {
  return within("queue", "readwrite", (queue) => then(queue.get(key), (entry) => {
    if (entry) queue.put({ ...entry, ...changes }, key);
  }));
}
