// What is kept on this phone: the token, boats for reading without signal, and entries that wait to be sent.

const NAME = "drogue-muster-dock";
const STORES = ["settings", "boats", "queue"];
let opened = null;

function open() {
  opened ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => STORES.forEach((store) => request.result.createObjectStore(store));
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  return opened;
}

async function within(store, mode, work) {
  const base = await open();
  return new Promise((done, failed) => {
    const change = base.transaction(store, mode, { durability: "strict" });
    const request = work(change.objectStore(store));
    change.oncomplete = () => done(request.result);
    change.onerror = () => failed(change.error);
    change.onabort = () => failed(change.error);
  });
}

export const put = (store, key, value) => within(store, "readwrite", (kept) => kept.put(value, key));
export const get = (store, key) => within(store, "readonly", (kept) => kept.get(key));
export const all = (store) => within(store, "readonly", (kept) => kept.getAll());
export const drop = (store, key) => within(store, "readwrite", (kept) => kept.delete(key));
export const clear = (store) => within(store, "readwrite", (kept) => kept.clear());
