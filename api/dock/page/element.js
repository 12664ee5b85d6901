// Elements are made one by one, so that no text from a sheet is ever read as markup.

import { WORDS } from "./words.js";

export function make(tag, attributes = {}, ...inner) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value !== null) element.setAttribute(name, value);
  }
  element.append(...inner.filter((part) => part !== null));
  return element;
}

// A button that does one thing at a time: a second tap while the first is worked on does nothing.
export function button(text, act, kind = null) {
  const element = make("button", { type: "button", class: kind, onclick: async () => {
    if (element.disabled) return;
    element.disabled = true;
    try {
      await act();
    } finally {
      element.disabled = false;
    }
  } }, text);
  return element;
}

export const actions = (...inner) => make("div", { class: "actions" }, ...inner);

export function when(at) {
  return new Date(at).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

const labels = {};

export function learnNames(fields) {
  for (const one of fields ?? []) labels[one.field] = one.label;
}

// "lead_line_length" -> "Lead line length"
export function named(field) {
  const words = labels[field] ?? field.replaceAll("_", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}

// How much is left to do, as the vocabulary says it.
export function left(required, advised) {
  const which = required && advised ? "both" : required ? "required" : advised ? "advised" : "nothing";
  return WORDS.left[which].replace("{required}", required).replace("{advised}", advised);
}

// "no entries", "1 entry", "2 entries"
export const count = (number, one, many = `${one}s`) => `${number || "no"} ${number === 1 ? one : many}`;
