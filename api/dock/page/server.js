// Asking the server, and what is known of it: whether it answers, whether the token counts, what its clock says.

import { get, put } from "./kept.js";

const MOST_WAITED_MS = 20000;
const CLOCK_OFF_MS = 5 * 60 * 1000;  // as far ahead as the server lets a time of observation be
const COMPARED_LATELY_MS = 60 * 1000;
export const known = { answers: null, signedOut: false, clockOff_ms: 0 };
let heard = () => {};
let compared = null;  // when, by a clock that nobody sets

export function onNews(tell) { heard = tell; }

export async function ask(path, options = {}, token = null) {
  const own = token ?? await get("settings", "token");
  const headers = { authorization: `Bearer ${own}`, ...options.headers };
  const before = { ...known };
  try {
    const signal = AbortSignal.timeout(MOST_WAITED_MS);
    const answer = await fetch(path, { ...options, headers, cache: "no-store", signal });
    known.answers = true;
    if (isServers(answer)) {
      const off = Date.now() - Date.parse(answer.headers.get("date"));
      known.clockOff_ms = Math.abs(off) > CLOCK_OFF_MS ? off : 0;
      compared = performance.now();
    }
    if (!token) known.signedOut = answer.status === 401;
    return answer;
  } catch (problem) {
    known.answers = false;
    throw problem;
  } finally {
    if (JSON.stringify(before) !== JSON.stringify(known)) heard();
  }
}

// Whether this phone's clock is right is known from any answer of the server; where there was none lately, one is
// asked for.
export async function compareClock() {
  const lately = compared !== null && performance.now() - compared < COMPARED_LATELY_MS;
  if (!lately && !isServers(await ask("/v1/me"))) throw new Error("not the server");
}

// A page of a hotspot may answer in the server's place: only JSON is the server's.
export const isServers = (answer) => /json/.test(answer.headers.get("content-type") ?? "");

export const kept = (name) => get("boats", name);

// Ask for the newest, and keep it. `data` is null where there is none; `why` says why it is not the newest.
export async function newest(name, path) {
  const old = await kept(name);
  const not = (why) => ({ data: null, etag: null, at: null, ...old, fresh: false, why });
  try {
    const answer = await ask(path, { headers: old?.etag ? { "if-none-match": old.etag } : {} });
    if (answer.status === 304) return { ...old, fresh: true, why: "" };
    if (answer.status === 401) return not("this token does not count any more");
    if (answer.status === 403) return not("this token may not read that");
    if (answer.status === 404) return { data: null, etag: null, fresh: false, why: "it is not in the list any more" };
    if (!answer.ok || !isServers(answer)) return not(`the server answered ${answer.status}`);
    const value = { data: await answer.json(), etag: answer.headers.get("etag"), at: new Date().toISOString() };
    await keep(name, value);
    return { ...value, fresh: true, why: "" };
  } catch {
    return not(navigator.onLine === false ? "no signal" : "the server does not answer");
  }
}

// Keeping for later may fail on a full phone; reading goes on.
export async function keep(name, value) {
  try {
    await put("boats", name, value);
    return true;
  } catch {
    return false;
  }
}
