// Numbers as people type them, only so far as a form needs: the calculators themselves judge every value.

const NUMBER = /^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?$/;
const FRACTION = /^([+-]?)(?:(\d+)[ -]+)?(\d+)\s*\/\s*(\d+)$/;

function plain(text) {
  return text.replace(/\u2212/g, "-").replace(/[\u00a0\u202f\u2009]/g, " ").trim();
}

/** Thousands, or a fraction behind a comma. */
const DOUBTFUL = /^[+-]?[1-9]\d{0,2},\d{3}$/;

/** The number that `text` is, or null when it is none, has a unit, or could be read in two ways ("1,284"). */
export function number(text) {
  const clean = plain(text);
  const parts = FRACTION.exec(clean);
  if (parts) {
    const [, sign, whole, top, bottom] = parts;
    const value = Number(whole || 0) + Number(top) / Number(bottom);
    return Number.isFinite(value) ? (sign === "-" ? -value : value) : null;
  }
  if (!NUMBER.test(clean) || DOUBTFUL.test(clean)) return null;
  const value = Number(clean.replace(",", "."));
  return Number.isFinite(value) ? value : null;
}

/** The two numbers as which `text` can be read ("1,284": 1284 and 1.284); none where it can be read in one way or not at all. */
export function ways(text) {
  const clean = plain(text);
  return DOUBTFUL.test(clean) ? [clean.replace(",", ""), clean.replace(",", ".")] : [];
}

/** Whether `text` is digits and signs alone, so that the unit chosen beside it belongs to it. */
export function bare(text) {
  return /\d/.test(text) && /^[\d\s.,+/-]*(?:[eE][+-]?\d+)?\s*$/.test(plain(text));
}

/** `value` of the unit `from` in the unit `to`, each {factor, offset}, as text of six significant digits. */
export function converted(value, from, to) {
  const si = value * from.factor + from.offset;
  return String(Number(((si - to.offset) / to.factor).toPrecision(6)));
}
