// What was typed into a field: with its unit, and what is plainly wrong with it. The server has the last word.

export const inUnits = (system) => (system === "metric" ? "mm, kg" : "in, lb");

const BARE = /^[\d.,/ ¼½¾⅛⅜⅝⅞-]+$/;
const WORKING_LOAD = /\s*\(?\bwll\b\)?$/i;
const FIGURE = /^(\d+(?:[.,]\d+)?)\s*(\D*)$/;
const TWO_WAYS = /(?<![\d.,])[1-9]\d{0,2}[.,]\d{3}(?![\d.,])/;  // 9,300: nine or nine thousand?
const ROUNDING = 1e-5;
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

// What is wrong with a text that carries its unit, in words; empty where nothing is seen to be.
export function wrong(field, text) {
  if (!field.pattern) return "";
  const fits = new RegExp(`^(?:${field.pattern})$`, "iu");
  const figures = field.kind.startsWith("quantit");
  for (const part of (figures ? text.split(";") : [text]).map((one) => one.trim())) {
    if (/^[-−–]/.test(part)) return "It cannot be below zero: take the sign away.";
    if (!fits.test(part)) return { count: "Write a whole number, such as 100.", bolts: "Write number, size and grade,"
      + " such as 4 x M12 A4-70." }[field.kind] ?? "Write a figure, such as the one in the example.";
    if (figures && TWO_WAYS.test(part)) return "It can be read in two ways: leave out the sign before three digits, or"
      + " write the decimals otherwise, such as 12.5.";
    const outside = bounds(field, part);
    if (outside) return outside;
  }
  return "";
}

// Of a figure in one of the units the field is usually written in: whether it can be.
function bounds(field, part) {
  const [, figure, unit] = FIGURE.exec(part) ?? [];
  const known = [field.metric, field.us].find((one) => one && one.unit.toLowerCase() === unit?.trim().toLowerCase());
  const value = Number(figure?.replace(",", "."));
  if (!known || (value >= known.least * (1 - ROUNDING) && value <= known.most * (1 + ROUNDING))) return "";
  return `Only from ${known.least} to ${known.most} ${known.unit}`.trim() + " is possible: look at the unit.";
}
