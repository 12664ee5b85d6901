// The sheet of one boat: what she needs, what was entered, and large fields for what is found.

import { make } from "./element.js";

export const UNITS = {
  length: { metric: "m", us: "ft" },
  small_length: { metric: "mm", us: "in" },
  mass: { metric: "kg", us: "lb" },
  force: { metric: "kN", us: "lbf" },
  area: { metric: "m2", us: "sq ft" },
};

export const inUnits = (system) => (system === "metric" ? "mm, kg" : "in, lb");

export function form(boat, fields, system, canWrite, take) {
  const known = new Map(fields.map((field) => [field.field, field]));
  const rows = boat.measures.filter((one) => known.has(one.field));
  const first = rows.filter((one) => one.required || one.required_text);
  const rest = rows.filter((one) => !first.includes(one) && known.get(one.field).group !== "boat");
  const inputs = [];
  const told = make("p", { class: "bad", role: "alert" });
  const note = make("textarea", { id: "note", rows: "2", maxlength: "2000" });
  const photo = make("input", { id: "photo", maxlength: "200", autocapitalize: "off" });
  const submit = async (event) => {
    event.preventDefault();
    const measurements = inputs.map((read) => read()).filter(Boolean);
    if (!measurements.length && !note.value.trim() && !photo.value.trim()) {
      told.textContent = "Nothing was entered.";
      return;
    }
    if (!/^[A-Za-z0-9._/-]*$/.test(photo.value.trim())) {
      told.textContent = "Photo: letters, digits, dots, hyphens and strokes only.";
      return;
    }
    await take({ measurements, photo: photo.value.trim(), note: note.value.replaceAll("\r", "").trim() });
  };
  const row = (one) => item(one, known.get(one.field), system, canWrite, inputs);
  const end = canWrite ? [
    make("label", { for: "note" }, "Note"), note, make("label", { for: "photo" }, "Photo, by name or number"), photo,
    told, make("div", { class: "actions last" }, make("button", { class: "main" }, "Save and send")),
  ] : [];
  return make("form", { onsubmit: submit, novalidate: "" }, ...first.map(row),
    make("details", {}, make("summary", {}, "More to look at"), ...rest.map(row)), ...end);
}

function item(one, field, system, canWrite, inputs) {
  const text = { metric: one.required_text, us: one.required_text_us };
  const needed = one.required ? both(one.required, system) : one.required_text ? both(text, system) : "";
  const found = one.found ? one.found.text : "";
  const bare = /^[\d., ]+$/.test(one.entered) && one.value && !one.found;  // its unit stands in the sheet's header
  const list = make("dl", { class: "needs needed" },
    ...(needed ? [make("dt", {}, one.at_most ? "At most" : "Needed"), make("dd", { class: "need" }, needed)] : []),
    make("dt", {}, "Entered"), make("dd", {}, bare ? both(one.value, system) : one.entered || "nothing"),
    ...(found ? [make("dt", {}, "Found"), make("dd", {}, found)] : []));
  const id = `f-${one.field}`;
  const parts = [make("label", { for: id }, field.label), list];
  if (canWrite) parts.push(...control(id, one, field, system, inputs));
  return make("section", { class: "item" }, ...parts);
}

// A figure that follows the switch of units.
function both(quantity, system) {
  return make("span", { "data-metric": quantity.metric, "data-us": quantity.us }, quantity[system]);
}

function control(id, one, field, system, inputs) {
  const hint = make("p", { class: "hint" }, field.guidance);
  if (field.kind === "choice" || field.kind === "yes_no") {
    const words = field.kind === "choice" ? field.choices : ["yes", "no"];
    const select = make("select", { id }, make("option", { value: "" }, "not looked at"),
      ...words.map((word) => make("option", { value: word }, word)));
    inputs.push(() => (select.value ? { field: one.field, value: select.value } : null));
    return [select];
  }
  const decimal = field.dimension !== "" && field.kind === "quantity";
  const input = make("input", {
    id, maxlength: "60", autocomplete: "off",
    inputmode: decimal ? "decimal" : field.kind === "count" ? "numeric" : null,
  });
  if (!field.dimension) {
    inputs.push(() => (input.value.trim() ? { field: one.field, value: input.value.trim() } : null));
    return [input, hint];
  }
  const unit = make("span", { class: "unit", "data-dimension": field.dimension }, UNITS[field.dimension][system]);
  inputs.push(() => (input.value.trim() ? { field: one.field, value: withUnit(input.value, unit.textContent) } : null));
  return [make("div", { class: "write" }, input, unit), hint];
}

// "20" -> "20 mm"; "20; 16" -> "20 mm; 16 mm"; a unit that was typed stays as it is, and so does every sign.
function withUnit(text, unit) {
  return text.split(";").map((part) => {
    const bare = part.trim();
    return /^[\d.,/ -]+$/.test(bare) ? `${bare} ${unit}` : bare;
  }).join("; ");
}
