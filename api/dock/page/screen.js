// The one place views are shown in, what is told above them, and the way back.

import { get } from "./kept.js";
import { make } from "./element.js";
import { known } from "./server.js";
import { inUnits } from "./reading.js";
import { openEntries } from "./send.js";

const view = document.querySelector("#view");
const notices = document.querySelector("#notices");
const views = {};
let turn = 0;
export let shown = "";

// Each view is a function of (show, detail); `show` does nothing once another view was asked for.
export function addView(name, render) { views[name] = render; }

export async function go(name, detail = null) {
  const { name: was, detail: old } = history.state ?? {};
  const same = was === name && JSON.stringify(old ?? null) === JSON.stringify(detail);
  history[same ? "replaceState" : "pushState"]({ name, detail }, "");
  await render(name, detail, true);
}

export async function back(state) {
  await render(views[state?.name] ? state.name : "find", state?.detail ?? null, true);
}

// Show the present view anew, where the reader is not in the middle of something.
export async function refresh() {
  const { name, detail } = history.state ?? {};
  if (shown && shown === name) await render(name, detail, false);
}

async function render(name, detail, moves) {
  turn += 1;
  const mine = turn;
  shown = name;
  let first = moves;
  const show = (...parts) => {
    if (mine !== turn) return false;
    const within = view.contains(document.activeElement);
    view.replaceChildren(...parts.filter((part) => part !== null));
    document.title = `${view.querySelector("h2")?.textContent ?? "Dock"}, Drogue Muster`;
    if (first) {
      window.scrollTo(0, 0);
      view.focus({ preventScroll: true });
      first = false;
    } else if (within) {
      view.focus({ preventScroll: true });  // what had the focus is there no more: a keyboard goes on from here
    }
    return true;
  };
  await views[name](show, detail, () => mine === turn);
}

// Something to be known whatever is shown; `parts` null takes it away.
export function notice(key, ...parts) {
  const id = `notice-${key}`;
  const old = document.getElementById(id);
  const told = parts[0] === null ? null : make("div", { id, class: "notice" }, ...parts);
  if (told && old && told.textContent === old.textContent) return;
  if (told && old) old.replaceWith(told);
  else if (told) notices.append(told);
  else old?.remove();
}

export async function tellSignal() {
  const waiting = (await openEntries()).length;
  const out = navigator.onLine === false;
  const silent = !out && known.answers === false;
  const signal = document.querySelector("#signal");
  signal.className = out || silent ? "out" : "";
  const text = out ? "No signal" : silent ? "Server does not answer" : "Signal";
  if (signal.textContent !== text) signal.textContent = text;
  document.querySelector("#waiting-count").textContent = waiting ? `(${waiting})` : "";
}

export async function tellUnits() {
  const system = await get("settings", "system") ?? "metric";
  const units = document.querySelector("#units");
  units.textContent = inUnits(system);
  units.setAttribute("aria-label", `${inUnits(system)}: switch the units`);
}

export const openWays = (open) => { document.querySelector("#ways").hidden = !open; };
