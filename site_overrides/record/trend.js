// What was read at visit after visit, as pictures in the line style of the drawings.
import { make } from "../app/site.js";
import { _, day } from "../app/words.js";
import { quantity } from "./earlier.js";
import { ownUnit } from "../app/form.js";

const SPACE = "http://www.w3.org/2000/svg";
const [LEFT, RIGHT, TOP, BOTTOM] = [44, 300, 30, 190];
/** Points with their value written beside; of more only the first and the last have it. */
const WRITTEN = 5;

/** Put the pictures that `visits` (of one machine, the oldest first) give into `place`. `readings`: calculator -> its fields. */
export function trends(place, visits, readings) {
  for (const figure of place.querySelectorAll("figure")) figure.remove();
  const drawn = [wear(visits, readings["edge-life"]), suction(visits, readings["suction-drop"])].filter(Boolean);
  for (const svg of drawn) {
    const figure = make("figure", "drawn gap");
    figure.append(svg);
    place.append(figure);
  }
  place.hidden = !drawn.length;
}

/** Width of the worn flat over the hours on the edge; an edge renewed or turned begins a line of its own. */
function wear(visits, fields) {
  const given = readings(visits, "edge-life");
  const unit = unitOf(fields.flat, given.map(({ row }) => row.flat));
  const lines = [[]];
  for (const { row } of given) {
    const [x, y] = [quantity(fields.hours, row.hours) / 3600, shownIn(unit, quantity(fields.flat, row.flat))];
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    const line = lines.at(-1);
    if (line.some((point) => point.x === x)) continue; // told again at the next visit
    if (line.length && x < line.at(-1).x) lines.push([]);
    lines.at(-1).push({ x, y });
  }
  const all = lines.flat();
  if (all.length < 2) return null;
  return picture("wear", {
    title: _("Worn flat over the hours"),
    says: _("Read at {count} moments: {points}.", { count: all.length,
      points: all.map(({ x, y }) => _("{hours} h {flat} {unit}", { hours: short(x), flat: short(y), unit: unit.shown })).join(", ") }),
    lines: lines.map((points) => ({ points })), up: _("width of flat, {unit}", { unit: unit.shown }), along: _("hours on the edge"),
  });
}

/** Sealed vacuum next to the motor and at the far end of the path, visit by visit. */
function suction(visits, fields) {
  const read = visits.map((visit) => ({ visit, answer: visit.answers.findLast(({ calculator, inputs }) =>
    calculator === "suction-drop" && sealed(inputs).length > 1) })).filter(({ answer }) => answer);
  if (read.length < 2) return null;
  const unit = unitOf(fields.vacuum, read.flatMap(({ answer }) => sealed(answer.inputs).map((row) => row.vacuum)));
  const at = (index, which) => ({ x: index, y: shownIn(unit, quantity(fields.vacuum, sealed(read[index].answer.inputs).at(which).vacuum)) });
  const near = read.map((_one, index) => at(index, 0));
  const far = read.map((_one, index) => at(index, -1));
  const days = read.map(({ visit }) => day(visit.when));
  const titles = (which) => {
    const station = sealed(read.at(-1).answer.inputs).at(which).station;
    return fields.station["x-choices"].find(({ value }) => value === station)?.title ?? station;
  };
  return picture("suction", {
    title: _("Sealed vacuum from visit to visit"),
    says: days.map((when, index) => _("{day}: {near_at} {near} {unit}, {far_at} {far} {unit}.", { day: when, unit: unit.shown,
      near_at: titles(0), far_at: titles(-1), near: short(near[index].y), far: short(far[index].y) })).join(" "),
    lines: [{ points: near, name: titles(0) }, { points: far, name: titles(-1), dashed: true }],
    up: _("vacuum, {unit}", { unit: unit.shown }), along: _("visits"), ticks: days.map((_day, index) => [index, String(index + 1)]),
  });
}

const sealed = ({ readings = [] }) => readings.filter((row) => row.vacuum !== undefined && row.state !== "flowing");

function readings(visits, calculator) {
  return visits.flatMap((visit) => visit.answers.filter((one) => one.calculator === calculator).slice(-1))
    .flatMap(({ inputs }) => (inputs.readings ?? []).map((row) => ({ row })));
}

/** The unit in which the last of the values was written. */
function unitOf(field, values) {
  return (values.length && ownUnit(field, values.at(-1))) || field["x-units"].find(({ unit }) => unit === field["x-unit"]);
}

const shownIn = (unit, base) => (base - unit.offset) / unit.factor;
const short = (value) => String(Number(value.toPrecision(3)));

/** A line picture. `lines`: {points: [{x, y}], name, dashed}; `ticks`: [x, words] along the foot, else the ends are told. */
function picture(name, { title, says, lines, up, along, ticks }) {
  const named = lines.filter((line) => line.name);
  const height = 232 + named.length * 22;
  const all = lines.flatMap(({ points }) => points);
  const most = { x: Math.max(...all.map(({ x }) => x)), y: Math.max(...all.map(({ y }) => y)) * 1.15 || 1 };
  const least = ticks ? -0.4 : 0;
  const x = (value) => LEFT + ((value - least) / ((ticks ? most.x + 0.4 : most.x * 1.05) - least)) * (RIGHT - LEFT);
  const y = (value) => BOTTOM - (value / most.y) * (BOTTOM - TOP);
  const svg = drawn("svg", { class: "dw", viewBox: `0 0 320 ${height}`, role: "img",
    "aria-labelledby": `trend-${name}-title trend-${name}-says` });
  svg.append(drawn("title", { id: `trend-${name}-title` }, title), drawn("desc", { id: `trend-${name}-says` }, says));
  svg.append(drawn("path", { class: "thin", d: `M${LEFT} ${TOP - 8}V${BOTTOM}H312` }));
  for (const value of steps(most.y)) {
    svg.append(drawn("line", { class: "thin", x1: LEFT - 4, x2: LEFT, y1: y(value), y2: y(value) }),
      drawn("text", { class: "small end", x: LEFT - 8, y: y(value) + 4 }, short(value)));
  }
  for (const [value, words] of ticks ?? steps(most.x).map((one) => [one, short(one)])) {
    svg.append(drawn("line", { class: "thin", x1: x(value), x2: x(value), y1: BOTTOM, y2: BOTTOM + 4 }),
      drawn("text", { class: "small mid", x: x(value), y: BOTTOM + 18 }, words));
  }
  for (const { points, dashed } of lines) {
    const d = points.map((point, index) => `${index ? "L" : "M"}${x(point.x).toFixed(1)} ${y(point.y).toFixed(1)}`).join("");
    svg.append(drawn("path", { class: "bold", d, ...broken({ dashed }) }));
    for (const [index, point] of points.entries()) {
      svg.append(drawn("circle", { class: "thin paper", cx: x(point.x).toFixed(1), cy: y(point.y).toFixed(1), r: 5 }));
      const written = points.length <= WRITTEN || index === 0 || index === points.length - 1;
      if (written) {
        svg.append(drawn("text", { class: "small mid", x: x(point.x), y: y(point.y) + (dashed ? 20 : -10) }, short(point.y)));
      }
    }
  }
  for (const [index, line] of named.entries()) {
    const foot = 244 + index * 22;
    svg.append(drawn("path", { class: "bold", d: `M8 ${foot}h32`, ...broken(line) }), drawn("text", { class: "small", x: 48, y: foot + 4 }, line.name));
  }
  svg.append(drawn("text", { class: "small", x: 8, y: 14 }, up), drawn("text", { class: "small end", x: 312, y: 228 }, along));
  return svg;
}

const broken = ({ dashed }) => (dashed ? { "stroke-dasharray": "7 6" } : {});

/** Round values from 0 up to `most`, three to five of them. */
function steps(most) {
  const rough = most / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].find((one) => one * power >= rough) * power;
  return Array.from({ length: Math.floor(most / step) + 1 }, (_one, index) => index * step);
}

function drawn(tag, attributes, text = "") {
  const element = document.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.textContent = text;
  return element;
}
