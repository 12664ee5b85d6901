// What is left to do about a boat: the sentence, what is needed and found, and how to mend it.

import { left, make } from "./element.js";
import { WORDS } from "./words.js";
import { kept } from "./server.js";

const OPEN = ["short", "absent", "unproven"];

export async function findingsOf(fleet, id, system) {
  const known = await kept(`findings ${fleet} ${id}`);
  const all = known?.data?.items ?? [];
  const open = all.filter((one) => OPEN.includes(one.standing) || belowAdvised(one));
  const shalls = open.filter((one) => one.level === "shall" && !belowAdvised(one));
  const rest = open.filter((one) => !shalls.includes(one));
  const waived = all.filter((one) => one.standing === "waived");
  const name = WORDS.state.open.charAt(0).toUpperCase() + WORDS.state.open.slice(1);
  const title = known ? `${name} (${open.length})` : name;
  return make("details", { class: "side", id: "findings" }, make("summary", {}, title),
    known ? null : make("p", { class: "hint" }, "Not kept on this phone yet."),
    known && !open.length ? make("p", {}, `${left(0, 0)}.`) : null,
    ...[...shalls, ...rest, ...waived].map((one) => finding(one, system)));
}

// What is required is met, and yet the further limit is not shown to be kept.
function belowAdvised(one) {
  return one.standing === "meets" && OPEN.includes(one.advised_standing);
}

function finding(one, system) {
  const figure = (quantity) => make("span", { "data-metric": quantity.metric, "data-us": quantity.us }, quantity[system]);
  return make("section", { class: "item" },
    belowAdvised(one) ? make("p", { class: "standing" }, WORDS.standing["below advised"])
      : make("p", { class: one.level === "shall" && one.standing !== "waived" ? "bad" : "standing" },
        `${WORDS.level[one.level]}, ${WORDS.standing[one.standing]}`),
    make("h3", {}, one.sentence),
    one.required || one.found ? make("dl", { class: "needs" },
      one.required ? make("div", {}, make("dt", {}, "Required"), make("dd", {}, figure(one.required))) : null,
      one.advised ? make("div", {}, make("dt", {}, "Advised"), make("dd", {}, figure(one.advised))) : null,
      make("div", {}, make("dt", {}, "There"), make("dd", {}, one.found ? figure(one.found) : WORDS.state["not known"]))) : null,
    one.note ? make("p", {}, one.note) : null,
    one.remedy ? make("p", {}, one.remedy) : null);
}
