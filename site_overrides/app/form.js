// A calculator's form: reads it, fills it, adds and removes rows, switches units in place.
//
// A path such as "readings/2/vacuum" is the `name` of its input. Fields are described by JSON Schema.
import { bare, converted, number } from "./number.js";
import { say } from "./site.js";

export class Form {
  #given = new Map(); // path -> {shows, given}: what was typed, while the box shows it converted
  changes = 0; // how often something but the reader's own hand changed what stands in it

  /** `form`: the element; `schema`: the calculator's description. */
  constructor(form, schema) {
    this.form = form;
    this.schema = schema;
    this.units = this.#deliveredUnits();
    this.switchUnits(); // chosen while this script was still on its way
  }

  /** Every input but the unit choices, by path. Radios of one field come as one list. */
  boxes() {
    const found = new Map();
    for (const box of this.form.querySelectorAll("[name]")) {
      if (box.name.startsWith("unit:")) continue;
      found.set(box.name, [...(found.get(box.name) || []), box]);
    }
    return found;
  }

  /** The description of the field at a path; undefined for one that there is not. */
  field(path) {
    return path.split("/").reduce((schema, step) =>
      (/^\d+$/.test(step) ? schema?.items : schema?.properties?.[step]), this.schema);
  }

  /** What stands in the box at a path: text, or true and false for a tick. */
  value(path) {
    return read(this.boxes().get(path) || []);
  }

  /** All values by path. */
  values() {
    return Object.fromEntries([...this.boxes()].map(([path, boxes]) => [path, read(boxes)]));
  }

  /** Values that differ from the page as delivered: [path, value] pairs. */
  edited() {
    return [...this.boxes()].filter(([, boxes]) => boxes.some(differs)).map(([path, boxes]) => [path, read(boxes)]);
  }

  set(path, value) {
    this.changes += 1;
    this.#given.delete(path);
    for (const box of this.boxes().get(path) || []) {
      if (box.type === "checkbox") box.checked = value === true || value === "true";
      else if (box.type === "radio") box.checked = box.value === String(value);
      else box.value = value ?? "";
    }
  }

  /** The inputs as the calculators take them: a plain object with lists, empty boxes left out. */
  inputs() {
    return this.#inputs(this.#standing());
  }

  /** The inputs as they were if, in turn, each of `texts` stood in the box at `path`. */
  inputsWith(path, texts) {
    const standing = this.#standing();
    return texts.map((text) => this.#inputs({ ...standing, values: { ...standing.values, [path]: text } }));
  }

  /** What the form is made of now: how many rows each list has, what stands in each box, and which boxes are not asked. */
  #standing() {
    const boxes = this.boxes();
    return {
      rows: this.lists().map((name) => [name, this.rows(name)]),
      values: Object.fromEntries([...boxes].map(([path, all]) => [path, read(all)])),
      idle: new Set([...boxes].filter(([, [first]]) => first.disabled).map(([path]) => path)),
    };
  }

  #inputs({ rows, values, idle }) {
    const inputs = {};
    for (const [list, many] of rows) inputs[list] = Array.from({ length: many }, () => ({}));
    for (const [path, value] of Object.entries(values)) {
      if (value === "" || value === null || idle.has(path)) continue;
      const [name, row, inner] = path.split("/");
      if (inner === undefined) inputs[name] = this.#typed(path, value);
      else inputs[name][Number(row)][inner] = this.#typed(path, value);
    }
    // Empty rows at the end are rows not used; one in the middle is asked about.
    for (const [name] of rows) while (inputs[name].length && this.#blank(values, name, inputs[name].length - 1)) inputs[name].pop();
    return inputs;
  }

  /** Whether nothing was typed in a row. A choice that must be made always is made, so it does not count. */
  #blank(values, list, row) {
    const { items } = this.field(list);
    return Object.entries(values).filter(([path]) => path.startsWith(`${list}/${row}/`)).every(([path, value]) => {
      const name = path.split("/")[2];
      const field = items.properties[name];
      if (field.enum) return (items.required || []).includes(name) || value === (field.default ?? "");
      return typeof value !== "string" || !value.trim();
    });
  }

  #typed(path, value) {
    const held = this.#given.get(path);
    if (held && held.shows === value) return held.given;
    const unit = this.unitOf(path);
    return typeof value === "string" && unit && bare(value) ? `${value.trim()} ${unit.unit}` : value;
  }

  // ---- units ----

  /** Unit chosen for each quantity, from the radios. */
  unitsChosen() {
    const chosen = {};
    for (const radio of this.form.querySelectorAll('[name^="unit:"]')) {
      if (radio.checked) chosen[radio.name.slice("unit:".length)] = radio.value;
    }
    return chosen;
  }

  /** Whether the units chosen are those of the page as delivered. */
  asDelivered() {
    const delivered = this.#deliveredUnits();
    return Object.entries(this.units).every(([quantity, unit]) => delivered[quantity] === unit);
  }

  #deliveredUnits() {
    const delivered = [...this.form.querySelectorAll('[name^="unit:"]')].filter((radio) => radio.defaultChecked);
    return Object.fromEntries(delivered.map((radio) => [radio.name.slice("unit:".length), radio.value]));
  }

  /** The unit in which a bare number at a path is meant: {unit, shown, factor, offset}; null without units. */
  unitOf(path, units = this.units) {
    const field = this.field(path);
    const offered = field?.["x-units"];
    if (!offered) return null;
    return offered.find(({ unit }) => unit === units[field["x-quantity"]])
      || offered.find(({ unit }) => unit === field["x-unit"]);
  }

  /** Choose units without converting what stands in the boxes. */
  setUnits(units) {
    this.changes += 1;
    for (const radio of this.form.querySelectorAll('[name^="unit:"]')) {
      const wanted = units[radio.name.slice("unit:".length)];
      if (wanted === undefined) continue;
      radio.checked = radio.value === wanted;
    }
    this.units = this.unitsChosen();
    this.#label();
  }

  /** The reader chose another unit: convert what stands in the boxes. */
  switchUnits() {
    this.changes += 1;
    const before = this.units;
    const after = this.unitsChosen();
    for (const [path, boxes] of this.boxes()) {
      const [from, to] = [this.unitOf(path, before), this.unitOf(path, after)];
      if (from && to && from.unit !== to.unit) this.#convert(path, boxes[0], from, to);
    }
    this.units = after;
    this.#label();
  }

  #convert(path, box, from, to) {
    if (!bare(box.value)) return; // it has a unit of its own, or is no number
    const held = this.#given.get(path);
    // From what was typed, never from what was rounded for showing: there and back gives the same value.
    const first = held && held.shows === box.value ? held : { ...from, text: box.value.trim() };
    const value = number(first.text);
    if (first.unit === to.unit) box.value = first.text;
    else if (value !== null) box.value = converted(value, first, to);
    else box.value = `${box.value.trim()} ${from.unit}`; // ambiguous: it keeps the unit it was typed in
    if (value !== null) this.#given.set(path, { ...first, shows: box.value, given: `${first.text} ${first.unit}` });
  }

  #label() {
    for (const unit of this.form.querySelectorAll(".unit")) {
      const box = unit.closest("[data-field]")?.querySelector("[name]");
      const chosen = box && this.unitOf(box.name);
      if (chosen) say(unit, chosen.shown);
    }
    for (const unit of this.form.querySelectorAll("[data-unit-of]")) {
      const chosen = this.unitOf(`${unit.dataset.unitOf.replace("/", "/0/")}`);
      if (chosen) say(unit, chosen.shown);
    }
  }

  /** Choose the unit that all `values` for the field at `path` are written in, where it is one and is offered. */
  chooseUnitOf(path, values) {
    const field = this.field(path);
    const units = new Set(values.map((value) => ownUnit(field, value)?.unit));
    if (units.size !== 1) return;
    const [unit] = units;
    for (const radio of this.form.querySelectorAll(`[name="unit:${field["x-quantity"]}"]`)) {
      if (radio.value === unit) radio.checked = true;
    }
    this.switchUnits();
  }

  // ---- rows ----

  lists() {
    return [...this.form.querySelectorAll("[data-list]")].map((list) => list.dataset.list);
  }

  list(name) {
    return this.form.querySelector(`[data-list="${CSS.escape(name)}"]`);
  }

  rows(name) {
    return this.list(name).querySelectorAll("[data-row]").length;
  }

  /** Make a list `count` rows long, at least as many as it takes and at most; new rows are empty. */
  setRows(name, count) {
    this.changes += 1;
    const { minItems = 0, maxItems = 50 } = this.field(name) || {};
    const wanted = Math.max(Math.min(count, maxItems), minItems);
    const list = this.list(name);
    while (this.rows(name) > wanted) [...list.querySelectorAll("[data-row]")].pop().remove();
    while (this.rows(name) < wanted && this.#addRow(list, name));
    for (const add of this.form.querySelectorAll(`[data-add="${CSS.escape(name)}"]`)) add.disabled = wanted >= maxItems;
    for (const remove of list.querySelectorAll("[data-remove]")) remove.hidden = wanted <= minItems;
  }

  #addRow(list, name) {
    const rows = [...list.querySelectorAll("[data-row]")];
    const template = list.querySelector("template");
    const source = template ? template.content.firstElementChild : rows.at(-1);
    if (!source) return false;
    const row = source.cloneNode(true);
    const index = rows.length;
    for (const why of row.querySelectorAll(".why")) why.remove();
    for (const element of [row, ...row.querySelectorAll("*")]) {
      element.classList.remove("refused");
      element.removeAttribute("aria-invalid");
      renumber(element, name, index);
    }
    if (rows.length) rows.at(-1).after(row);
    else if (template) template.before(row);
    if (!template) for (const box of row.querySelectorAll("[name]")) empty(box);
    return true;
  }

  /** Take one row out; those after it move up, values and all. */
  removeRow(name, index) {
    const values = this.values();
    const last = this.rows(name) - 1;
    for (let row = index; row < last; row += 1) {
      for (const path of Object.keys(values).filter((key) => key.startsWith(`${name}/${row}/`))) {
        const from = path.replace(`${name}/${row}/`, `${name}/${row + 1}/`);
        const held = this.#given.get(from);
        this.set(path, values[from]);
        if (held) this.#given.set(path, held);
      }
    }
    for (const path of Object.keys(values)) if (path.startsWith(`${name}/${last}/`)) this.#given.delete(path);
    this.setRows(name, last);
  }

  // ---- keeping ----

  /** Everything needed to make the form as it is again, as plain JSON. */
  state() {
    return { values: this.values(), units: this.units, given: [...this.#given],
      rows: Object.fromEntries(this.lists().map((name) => [name, this.rows(name)])) };
  }

  restore({ values = {}, units = {}, given = [], rows = {} }) {
    this.setUnits(units);
    for (const [name, count] of Object.entries(rows)) if (this.list(name)) this.setRows(name, count);
    for (const [path, value] of Object.entries(values)) this.set(path, value);
    for (const [path, held] of given) if (this.value(path) === held.shows) this.#given.set(path, held);
  }

  /** Put a calculator's inputs (a plain object, lists and all) into the form, in the units they are written in. */
  fill(inputs) {
    for (const name of this.lists()) if (name in inputs) this.setRows(name, inputs[name].length);
    for (const [path, value] of flat(inputs)) this.setInput(path, value);
  }

  /** One input: a text with a unit that the form offers is shown in the unit chosen. */
  setInput(path, value) {
    const [own, chosen] = [ownUnit(this.field(path), value), this.unitOf(path)];
    if (!own || !chosen) return this.set(path, value);
    this.set(path, own.text);
    if (own.unit !== chosen.unit) this.#convert(path, this.boxes().get(path)?.[0] ?? { value: "" }, own, chosen);
  }
}

/** A quantity as text and the unit it is written in: "40 inH2O" or 19.6 in the field's own unit. */
export function ownUnit(field, value) {
  const offered = field?.["x-units"];
  if (!offered || value === null || typeof value === "boolean") return null;
  const text = String(value).trim();
  if (bare(text)) return { ...offered.find(({ unit }) => unit === field["x-unit"]), text };
  const found = offered.find(({ unit }) => text.endsWith(` ${unit}`) && bare(text.slice(0, -unit.length)));
  return found ? { ...found, text: text.slice(0, -found.unit.length).trim() } : null;
}

/** A plain object with lists of rows -> [path, value] pairs. */
export function* flat(inputs) {
  for (const [name, value] of Object.entries(inputs)) {
    if (!Array.isArray(value)) yield [name, value];
    else for (const [row, inner] of value.entries()) for (const [key, one] of Object.entries(inner)) yield [`${name}/${row}/${key}`, one];
  }
}

/** Add or take away one id in `aria-describedby`. */
export function describe(box, id, add) {
  const ids = new Set((box.getAttribute("aria-describedby") || "").split(" ").filter(Boolean));
  if (add) ids.add(id);
  else ids.delete(id);
  if (ids.size) box.setAttribute("aria-describedby", [...ids].join(" "));
  else box.removeAttribute("aria-describedby");
}

function empty(box) {
  if (box.type === "checkbox") box.checked = false;
  else if (box.tagName === "SELECT") box.selectedIndex = 0;
  else if (box.type !== "radio") box.value = "";
}

function differs(box) {
  if (box.type === "checkbox" || box.type === "radio") return box.checked !== box.defaultChecked;
  if (box.tagName !== "SELECT") return box.value !== box.defaultValue;
  const delivered = [...box.options].findIndex((option) => option.defaultSelected);
  return box.selectedIndex !== Math.max(delivered, 0);
}

function read(boxes) {
  const [first] = boxes;
  if (!first) return null;
  if (first.type === "checkbox") return first.checked;
  if (first.type === "radio") return boxes.find((box) => box.checked)?.value ?? "";
  return first.value;
}

const NUMBERED = ["id", "for", "name", "aria-labelledby", "aria-describedby", "aria-label",
  "data-field", "data-remove", "data-row"];

/** Give a row's element the names of row `index`: in paths, in ids made from paths, and where it is written. */
function renumber(element, list, index) {
  for (const attribute of NUMBERED) {
    const text = element.getAttribute(attribute);
    if (text === null) continue;
    const said = attribute === "data-row" || attribute === "data-remove" ? text.replace(/^\d*$|ROW/, index) : text;
    element.setAttribute(attribute, said.replace(/ROW1/g, index + 1).replace(/ROW/g, index)
      .replace(new RegExp(`(${list}[/-])\\d+`, "g"), `$1${index}`)
      .replace(attribute === "aria-label" ? /\d+(?=\D*$)/ : /$^/, index + 1));
  }
  if (element.matches?.("[data-number]")) element.textContent = String(index + 1);
}
