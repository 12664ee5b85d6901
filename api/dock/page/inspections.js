// What was found aboard before, by whom; signing it off, or taking it back. Both need signal: they state that it
// is so now.

import { get } from "./kept.js";
import { actions, button, make, named, when } from "./element.js";
import { ask, kept } from "./server.js";
import { newKey } from "./send.js";
import { go } from "./screen.js";

export async function inspectionsOf(fleet, id, me) {
  const known = await kept(`inspections ${fleet} ${id}`);
  const items = [...known?.data?.items ?? []].reverse();
  return make("details", { class: "side", id: "inspections" },
    make("summary", {}, known ? `Inspections so far (${items.length})` : "Inspections so far"),
    known ? null : make("p", { class: "hint" }, "Not kept on this phone yet."),
    known && !items.length ? make("p", {}, "Nobody has recorded anything yet.") : null,
    ...items.map((one) => inspection(one, fleet, id, me)));
}

export const seenAt = (one) => `${when(one.observed_at_phone_clock)} by the phone's clock`;

const isOpen = (one) => ["recorded", "reopened"].includes(one.state);

const listed = (field, cell) => (cell ? `${named(field)} ${cell}` : `${named(field)} nothing`);

// Its state in words: of one that is open again, what the new list says.
function stateOf(one) {
  const now = (one.changed ?? []).map((cell) => listed(cell.field, cell.now));
  return now.length ? `${one.state}: the new list says ${now.join(", ")}` : one.state;
}

function whyOpen(one) {
  if (one.state !== "reopened") return null;
  const then = (one.changed ?? []).map((cell) => listed(cell.field, cell.listed)).join(", ");
  return make("p", { class: "bad" }, `It was signed off when the list said ${then}. What was found still counts:`
    + " look again, then sign it off or withdraw it.");
}

function inspection(one, fleet, id, me) {
  const own = one.made_by === me.label && isOpen(one);
  const may = {
    sign: ["officer", "scrutineer"].includes(me.role) && isOpen(one),
    withdraw: one.state !== "withdrawn" && (me.role === "officer" || (me.role === "scrutineer" && own)),
  };
  return make("section", { class: "item", "data-number": `${one.number}` },
    make("h3", {}, `No ${one.number}, ${stateOf(one)}`),
    whyOpen(one),
    make("p", {}, `By ${one.made_by}, received ${when(one.made_at)}.`),
    one.observed_at_phone_clock ? make("p", {}, `Seen ${seenAt(one)}, which nobody checked.`) : null,
    one.signed_at ? make("p", {}, `Signed off by ${one.signed_by}, ${when(one.signed_at)}.`) : null,
    one.withdrawn_at ? make("p", {}, `Withdrawn by ${one.withdrawn_by}, ${when(one.withdrawn_at)}: ${one.reason}`) : null,
    make("ul", {}, ...one.measured.map((measured) => make("li", {}, `${named(measured.field)}: ${measured.text}`))),
    one.note ? make("p", {}, one.note) : null,
    one.photo ? make("p", {}, `Photo: ${one.photo}`) : null,
    may.sign ? statement(one, fleet, id, { act: "sign-off", title: "Sign off", member: "statement",
      label: "Statement", text: "Seen and agreed aboard." }) : null,
    may.withdraw ? statement(one, fleet, id, { act: "withdrawal", title: "Withdraw", member: "reason",
      label: "Reason, to be read by others", text: "" }) : null);
}

function statement(one, fleet, id, { act, title, member, label, text }) {
  const field = `${act}-${one.number}`;
  const input = make("input", { id: field, maxlength: "500", autocomplete: "off" });
  input.value = text;
  const told = make("p", { class: "bad", role: "alert" });
  const key = newKey();
  const state = async () => {
    if (input.value.trim().length < 3) {
      told.textContent = `${label}: write a few words.`;
      return;
    }
    told.textContent = await perform(`${one.number}/${act}`, { [member]: input.value.trim() }, key, fleet, id);
    if (!told.textContent) await go("boat", { id });
  };
  return make("details", {}, make("summary", {}, title),
    make("label", { for: field }, label), input, told, actions(button(`${title} No ${one.number}`, state, "main")));
}

// What went wrong, in words; empty where it was done.
async function perform(what, body, key, fleet, id) {
  const boat = await kept(`boat ${fleet} ${id}`);
  if (!await get("settings", "token") || navigator.onLine === false) return "This needs signal. Nothing was done.";
  try {
    const answer = await ask(`/v1/fleets/${fleet}/boats/${id}/inspections/${what}`, {
      method: "POST",
      headers: { "content-type": "application/json", "idempotency-key": key, "if-match": boat.etag },
      body: JSON.stringify(body),
    });
    if (answer.ok) return "";
    const told = await answer.json();
    if (answer.status === 412) return "Somebody changed this boat meanwhile. Open her again, look, then do it.";
    return `Not done: ${told.detail ?? told.title}`;
  } catch {
    return "The server did not answer; it may have been done. Press again: it is never done twice.";
  }
}
