// What was typed into a field: with its unit, and what is plainly wrong with it. The server has the last word.

export const UNITS = {
  length: { metric: "m", us: "ft" },
  small_length: { metric: "mm", us: "in" },
  mass: { metric: "kg", us: "lb" },
  force: { metric: "kN", us: "lbf" },
  area: { metric: "m2", us: "sq ft" },
};

export const inUnits = (system) => (system === "metric" ? "mm, kg" : "in, lb");

const BARE = /^[\d.,/ ¼½¾⅛⅜⅝⅞-]+$/;
const WORKING_LOAD = /\s*\(?\bwll\b\)?$/i;
export const hasUnit = (text) => text.split(";").every((part) => /[a-z"'′″]/i.test(part.replace(WORKING_LOAD, "")));

// "20" -> "20 mm"; "20; 16" -> "20 mm; 16 mm"; a unit that was typed stays as it is, and so does every sign.
export function withUnit(text, unit) {
  return text.split(";").map((part) => {
    const whole = part.trim();
    const load = WORKING_LOAD.test(whole) ? " WLL" : "";
    const bare = whole.replace(WORKING_LOAD, "");
    return BARE.test(bare) ? `${bare} ${unit}${load}` : whole;
  }).join("; ");
}

// What is wrong with a text, in words; empty where nothing is seen to be.
export function wrong(field, text) {
  if (field.kind === "count") {
    return /^\d{1,6}$/.test(text) ? "" : "Write a whole number, such as 100.";
  }
  if (field.kind !== "quantity" && field.kind !== "quantities") return "";
  for (const part of text.split(";").map((one) => one.trim())) {
    if (/^[-−–]/.test(part)) return "It cannot be below zero: take the sign away.";
    if (!/\d|[¼½¾⅛⅜⅝⅞]/.test(part)) return "Write a figure, such as the one in the example.";
    if (/\d,\d{1,2}(?!\d)|\d,\d{4,}/.test(part)) return "Write decimals with a point: 12.5, not 12,5.";
  }
  return "";
}

// "12,5 kg" -> "12.5 kg", to be offered and not to be done unasked; empty where the comma may be meant otherwise.
export function withPoint(text) {
  const alone = /^(\d+),(\d{1,2})(?!\d)([^,.]*)$/.exec(text);
  return alone ? `${alone[1]}.${alone[2]}${alone[3]}` : "";
}
