// The sheet of one boat: what she needs, what was entered or found, and large fields for what is found now.

import { actions, make, named } from "./element.js";
import { hasUnit, withUnit, wrong } from "./reading.js";

const PHOTO = /^[A-Za-z0-9._/-]*$/;

// `draft` is what was typed before, `errors` what the server found wrong with it; `typed` is told of every change.
export function form(boat, fields, { system, canWrite, draft, errors, typed, take }) {
  const known = new Map(fields.map((field) => [field.field, field]));
  const rows = boat.measures.filter((one) => known.has(one.field));
  const first = rows.filter((one) => one.needed.length || one.open_level === "shall");
  const rest = rows.filter((one) => !first.includes(one));
  const gear = rest.filter((one) => known.get(one.field).group !== "boat");
  const herself = rest.filter((one) => !gear.includes(one));
  const controls = [];
  const row = (one) => item(one, known.get(one.field), { system, canWrite, draft, errors, controls });
  const note = make("textarea", { id: "note", rows: "3", maxlength: "2000" });
  const photo = make("input", { id: "photo", maxlength: "200", autocapitalize: "off", spellcheck: "false",
    "aria-describedby": "photo-wrong" });
  const photoWrong = make("p", { class: "bad", id: "photo-wrong" });
  note.value = draft?.note ?? "";
  photo.value = draft?.photo ?? "";
  const told = make("p", { class: "bad", role: "alert" });
  const saving = make("button", { class: "main" }, "Save and send");
  const end = canWrite ? [
    make("div", { class: "item" }, make("label", { for: "note" }, "Note"), note,
      make("label", { for: "photo" }, "Photo, by name or number"), photo, photoWrong),
    make("div", { class: "last" }, told, actions(saving)),
  ] : [];
  const submit = async (event) => {
    event.preventDefault();
    if (saving.disabled) return;
    photoWrong.textContent = PHOTO.test(photo.value.trim()) ? ""
      : "Letters, digits, dots, hyphens and strokes only, such as IMG_0412.jpg.";
    const bad = controls.filter((one) => !one.check());
    if (bad.length || photoWrong.textContent) {
      told.textContent = "Not saved yet: something is to be mended above.";
      const place = bad[0]?.input ?? photo;
      place.closest("details")?.setAttribute("open", "");
      place.focus();
      return;
    }
    const measurements = controls.map((one) => one.read()).filter(Boolean);
    const body = { measurements, photo: photo.value.trim(), note: note.value.replaceAll("\r", "").trim() };
    if (!measurements.length && !body.note && !body.photo) {
      told.textContent = "Nothing was entered.";
      return;
    }
    saving.disabled = true;
    told.textContent = "";
    try {
      await take(body);
    } catch {
      told.textContent = "NOT saved: this phone's storage is full or blocked. Keep this page open, free some space,"
        + " and press again. Or write it on paper.";
      saving.disabled = false;
    }
  };
  const texts = () => Object.fromEntries(controls.map((one) => [one.field, one.input.value]).filter(([, text]) => text));
  const element = make("form", { onsubmit: submit, novalidate: "", oninput: () => {
    saving.disabled = false;
    typed({ fields: texts(), note: note.value, photo: photo.value });
  } },
  ...first.map(row), folded("More gear to look at", gear.map(row), draft), folded("The boat herself", herself.map(row), draft),
  ...end);
  return element;
}

function folded(title, rows, draft) {
  if (!rows.length) return null;
  const begun = draft && rows.some((one) => one.dataset.typed);
  return make("details", { open: begun ? "" : null }, make("summary", {}, title), ...rows);
}

function item(one, field, { system, canWrite, draft, errors, controls }) {
  const id = `f-${one.field}`;
  const parts = [canWrite ? make("label", { for: id }, named(one.field)) : make("h3", {}, named(one.field)),
    figures(one, system)];
  let begun = false;
  if (canWrite) {
    const text = draft?.fields[one.field] ?? "";
    begun = Boolean(text);
    parts.push(...control(id, one, field, { system, text, draft, error: errors[one.field] ?? "", controls }));
  }
  return make("section", { class: "item", "data-typed": begun ? "yes" : null }, ...parts);
}

// Needed beside what is there, in large figures of the same units; below, how it was written.
function figures(one, system) {
  const [first, ...others] = one.needed;
  const bare = /^[\d., ]+$/.test(one.entered);  // its unit stands in the sheet's header
  const said = one.found ?? one.answered;  // her skipper's word stands before the list, and behind what was found
  const written = said ? said.text : one.entered;
  const there = one.value ? both(one.value, system) : written || "nothing";
  const box = (title, inner, kind) => make("div", {}, make("dt", {}, title),
    make("dd", { class: `${kind}${(inner.textContent ?? inner).length > 12 ? " long" : ""}` }, inner));
  const asked = (needed) => (needed.at_most ? "At most" : needed.level === "shall" ? "Needed" : "Advised");
  const below = (title, inner) => make("div", { class: "before" }, make("dt", {}, title), make("dd", {}, inner));
  const asWritten = one.value && written && !(bare && !said) && written !== one.value.metric && written !== one.value.us;
  return make("dl", { class: first ? "needs" : "needs one" },
    first ? box(asked(first), both(first, system), "need") : null,
    box(one.found ? "Found" : one.answered ? "Her word" : "Entered", there, "there"),
    ...others.map((other) => below(asked(other), both(other, system))),
    asWritten ? below("Written", written) : null,
    said ? below("Entered before", `${one.entered || "nothing"}${bare && one.value ? ", unit as in the list" : ""}`) : null);
}

// A figure that follows the switch of units.
function both(quantity, system) {
  return make("span", { "data-metric": quantity.metric, "data-us": quantity.us }, quantity[system]);
}

function control(id, one, field, { system, text, draft, error, controls }) {
  const hint = make("p", { class: "hint", id: `${id}-hint` }, field.guidance);
  const bad = make("p", { class: "bad", id: `${id}-wrong` }, error);
  const described = { "aria-describedby": `${id}-wrong ${id}-hint`, "aria-invalid": error ? "true" : null };
  const choice = field.choices;
  if (choice.length) {
    const select = make("select", { id, "aria-describedby": `${id}-wrong` },
      make("option", { value: "" }, "not looked at"),
      ...choice.map((word) => make("option", { value: word }, word)));
    select.value = choice.includes(text) ? text : "";
    controls.push({ field: one.field, input: select, check: () => true,
      read: () => (select.value ? { field: one.field, value: select.value } : null) });
    return [select, bad];
  }
  const mode = field.kind === "quantity" ? "decimal" : field.kind === "count" ? "numeric" : null;
  // Feet and inches need letters: a keypad of figures alone is offered for metric units only.
  const input = make("input", { id, maxlength: "60", autocomplete: "off", autocapitalize: "off", spellcheck: "false",
    type: field.kind === "date" ? "date" : "text", inputmode: mode === "decimal" && system === "us" ? null : mode,
    "data-keys": mode === "decimal" ? "decimal" : null, ...described });
  const units = field.metric?.unit ? { metric: field.metric.unit, us: field.us.unit } : null;
  const kept = units && draft?.system && draft.system !== system && text ? withUnit(text, units[draft.system]) : text;
  input.value = kept;
  const unit = units ? make("span", { class: "unit", "data-metric": units.metric, "data-us": units.us }, units[system])
    : null;
  const follow = () => { if (unit) unit.hidden = Boolean(input.value.trim()) && hasUnit(input.value); };
  input.addEventListener("input", follow);
  input.addEventListener("units", follow);
  follow();
  const whole = () => {
    const typed = input.value.trim();
    return unit && typed ? withUnit(typed, unit.textContent) : typed;
  };
  controls.push({
    field: one.field, input,
    check: () => {
      const told = whole() ? wrong(field, whole()) : "";
      bad.replaceChildren(told);
      input.setAttribute("aria-invalid", told ? "true" : "false");
      return !told;
    },
    read: () => (whole() ? { field: one.field, value: whole() } : null),
  });
  return [make("div", { class: unit ? "write" : "" }, input, unit), bad, hint];
}

// Show in the other units. A bare figure that was typed keeps the unit it was typed in.
export function switchForm(view, next) {
  for (const unit of view.querySelectorAll(".unit")) {
    const input = unit.parentElement.querySelector("input");
    if (input.value.trim()) input.value = withUnit(input.value.trim(), unit.textContent);
    if (input.dataset.keys) input.inputMode = next === "us" ? "" : input.dataset.keys;
    input.dispatchEvent(new Event("units"));
  }
  view.querySelectorAll("[data-metric]").forEach((one) => { one.textContent = one.dataset[next]; });
  view.querySelector("form")?.dispatchEvent(new Event("input"));
}
