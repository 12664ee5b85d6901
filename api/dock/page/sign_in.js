// Signing in: by the link, or by a token typed or pasted. The old token is kept until the new one is seen to count.

import { clear, get, put } from "./kept.js";
import { actions, make } from "./element.js";
import { ask, known, newest } from "./server.js";
import { openEntries, sendAll } from "./send.js";
import { addView, back, go, notice, openWays, shown, tellSignal, tellUnits } from "./screen.js";

const TOKEN = /dm_[\w-]{43}/;

// The token in the address, which is taken out of it at once.
export function tokenInAddress() {
  const found = /^#(dm_[\w-]{43})$/.exec(location.hash);
  if (found) history.replaceState(null, "", location.pathname);
  return found ? found[1] : null;
}

// Ask who holds a token; what is wrong, in words, where it does not count or nobody answers.
async function holder(token) {
  try {
    const answer = await ask("/v1/me", {}, token);
    const told = await answer.json();
    if (answer.ok) return { me: told, wrong: "", refused: false };
    return { me: null, wrong: `${told.title}. ${advice(answer)}`, refused: answer.status === 401 };
  } catch {
    const why = navigator.onLine === false ? "There is no signal." : "The server does not answer.";
    return { me: null, wrong: `${why} Signing in needs it.`, refused: false };
  }
}

function advice(answer) {
  const wait = answer.headers.get("retry-after");
  if (wait) return `Wait ${Math.ceil(Number(wait) / 60)} min and try again.`;
  return "Ask the safety officer for a new one.";
}

export async function take(token, me) {
  const before = await get("settings", "me");
  const other = before && ["label", "role", "fleet_id", "boat_id"].some((name) => before[name] !== me[name]);
  if (other) await clear("boats");  // what one may read, another may not
  await put("settings", "token", token);
  await put("settings", "me", me);
  if (other && before.fleet_id !== me.fleet_id) await put("settings", "fleet", null);
  known.signedOut = false;
}

// With the token kept before, or with one that came by the link. True where the page can be used.
export async function start(fromLink) {
  const token = fromLink ?? await get("settings", "token");
  if (!token) return go("sign-in", "");
  const { me, wrong, refused } = await holder(token);
  if (me) await take(token, me);
  const before = await get("settings", "me");
  if (!before || (fromLink && !me)) return go("sign-in", wrong);
  if (refused) known.signedOut = true;
  return enter();
}

async function enter() {
  const me = await get("settings", "me");
  const fleet = me.fleet_id ?? await get("settings", "fleet");
  if (!fleet) return go("fleets");
  await put("settings", "fleet", fleet);
  openWays(true);
  document.querySelector("#to-find").textContent = me.boat_id ? "My boat" : "Boats";
  await tellUnits();
  await tellSignal();
  tellSignedOut();
  if (history.state?.name && !["sign-in", "fleets"].includes(history.state.name)) await back(history.state);
  else await go(...await home());
  return sendAll();
}

export async function home() {
  const me = await get("settings", "me");
  return me.boat_id ? ["boat", { id: me.boat_id }] : ["find", null];
}

export function tellSignedOut() {
  notice("signed-out", ...(known.signedOut && shown !== "sign-in" ? [
    make("p", {}, "Your token does not count any more. What you enter stays on this phone and is not sent."
      + " Ask the safety officer for a new token, then sign in again: everything is sent then."),
    actions(make("button", { type: "button", onclick: () => go("sign-in", "") }, "Sign in again")),
  ] : [null]));
}

addView("sign-in", async (show, reason) => {
  const waiting = (await openEntries()).length;
  tellSignedOut();
  const field = make("input", { id: "token", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    "aria-describedby": "token-wrong" });
  const wrong = make("p", { class: "bad", id: "token-wrong", role: "alert" }, reason ?? "");
  const send = make("button", { class: "main" }, "Sign in");
  const submit = async (event) => {
    event.preventDefault();
    const token = TOKEN.exec(field.value);  // a pasted link will do as well
    if (!token) {
      wrong.textContent = "This is no token. It begins with dm_ and has 46 characters; paste it, or open the link again.";
      return field.focus();
    }
    send.disabled = true;
    wrong.textContent = "";
    const { me, wrong: told } = await holder(token[0]);
    send.disabled = false;
    if (!me) {
      wrong.textContent = told;
      return null;
    }
    await take(token[0], me);
    return enter();
  };
  show(make("form", { onsubmit: submit },
    make("h2", {}, "Sign in"),
    waiting ? make("p", { class: "state waiting" }, `${entries(waiting)} on this phone, not received yet. `
      + "Nothing of it is lost: it is sent once you have signed in.") : null,
    make("label", { for: "token" }, "Token from the safety officer"), field, wrong, actions(send)));
});

const entries = (count) => (count === 1 ? "1 entry waits" : `${count} entries wait`);

addView("fleets", async (show) => {
  openWays(false);
  const fleets = await newest("fleets", "/v1/fleets");
  const items = fleets.data?.items ?? [];
  const choose = async (fleet) => {
    await put("settings", "fleet", fleet.id);
    await enter();
  };
  if (fleets.fresh && items.length === 1) return choose(items[0]);
  return show(make("h2", {}, "Which fleet?"),
    fleets.why ? make("p", { class: "bad" }, `The fleets cannot be read: ${fleets.why}.`) : null,
    fleets.fresh && !items.length ? make("p", {}, "There is no fleet yet. The officer uploads the entry list.") : null,
    ...items.map((fleet) => make("button", { type: "button", class: "boat", onclick: () => choose(fleet) },
      make("b", {}, fleet.name), `${fleet.boats} boats`)));
});
