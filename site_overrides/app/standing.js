// What stands in the page becomes what is described, with as little new as can be: a key lays out and paints only what it changed, and
// elements are made only where there were none.
//
// A description is a text, or {name, attributes, children} of an HTML element (an attribute that is null is taken away), or
// {name, attributes, markup, suffix} of one that holds a drawing: its markup, and what is put after each id in it.

/** A description of an element. */
export function described(name, attributes = {}, ...children) {
  return { name, attributes, children: children.flat() };
}

/** Make the children of `place` those described. */
export function settle(place, coming) {
  let one = place.firstChild;
  for (const node of coming) {
    const next = one && one.nextSibling;
    if (!one) place.append(built(node));
    else if (!likened(one, node)) one.replaceWith(built(node));
    one = next;
  }
  while (one) {
    const next = one.nextSibling;
    one.remove();
    one = next;
  }
}

function built(node) {
  if (typeof node === "string") return document.createTextNode(node);
  const made = document.createElement(node.name);
  likened(made, node);
  return made;
}

/** Whether `one` is of the same kind as `node`, and is like it now. */
function likened(one, node) {
  if (typeof node === "string") {
    if (one.nodeType !== Node.TEXT_NODE) return false;
    if (one.data !== node) one.data = node;
    return true;
  }
  if (one.localName !== node.name) return false;
  for (const [name, value] of Object.entries(node.attributes)) attribute(one, name, value);
  if (node.markup === undefined) settle(one, node.children);
  else draw(one, node);
  return true;
}

function attribute(one, name, value) {
  if (one.getAttribute(name) === value) return;
  if (value === null) one.removeAttribute(name);
  else one.setAttribute(name, value);
}

/** Which drawing stands in an element: {markup, suffix}, and its elements in their order once they were asked for. */
const drawn = new WeakMap();

function draw(place, { markup, suffix }) {
  const stands = drawn.get(place);
  if (stands?.markup === markup && stands.suffix === suffix) return;
  if (stands?.suffix === suffix && amended(place, stands, markup)) {
    stands.markup = markup;
    return;
  }
  drawn.set(place, { markup, suffix });
  const template = document.createElement("template");
  template.innerHTML = markup;
  if (suffix) rename(template.content, suffix);
  redraw(place, template.content);
}

/** A start tag, and the text behind it: neither needs a parser of HTML. */
const START = /^([\w-]+)((?: [\w-]+="[^"&]*")*)(\/?)>([^&]*)$/;
const ATTRIBUTE = / ([\w-]+)="([^"]*)"/g;

/**
 * Whether the drawing in `place` could be made like `markup` by other values and texts in the elements that it has. To parse it and
 * to compare all of it takes a third of a key's script.
 */
function amended(place, stands, markup) {
  const [was, now] = [stands.markup.split("<"), markup.split("<")];
  if (was.length !== now.length) return false;
  const changes = [];
  let element = -1;
  for (const [index, tag] of now.entries()) {
    if (index && tag[0] !== "/") element += 1;
    if (tag === was[index]) continue;
    const [before, after] = [START.exec(was[index]), START.exec(tag)];
    if (!before || !after || before[1] !== after[1] || before[3] !== after[3]) return false;
    if (before[4] !== after[4] && (after[3] || !before[4] || !after[4])) return false;
    const [old, fresh] = [before, after].map(([, , attributes]) => [...attributes.matchAll(ATTRIBUTE)]);
    if (fresh.length !== old.length || fresh.some(([, name], at) => name !== old[at][1])) return false;
    const changed = fresh.filter(([one], at) => one !== old[at][0]);
    if (changed.some(([, name]) => IDS.has(name))) return false;
    changes.push([element, changed, before[4] !== after[4] && after[4]]);
  }
  stands.elements ??= place.querySelectorAll("*");
  for (const [at, attributes, text] of changes) {
    const one = stands.elements[at];
    for (const [, name, value] of attributes) one.setAttribute(name, value);
    if (text) one.firstChild.data = text;
  }
  return true;
}

/** What a suffix is put behind. */
const IDS = new Set(["id", "aria-labelledby"]);

function rename(drawing, suffix) {
  for (const element of drawing.querySelectorAll("[id], [aria-labelledby]")) {
    if (element.id) element.id += suffix;
    const by = element.getAttribute("aria-labelledby");
    if (by) element.setAttribute("aria-labelledby", by.split(" ").map((id) => id + suffix).join(" "));
  }
}

/** Make the children of `old` those of `fresh`, which are of a drawing. */
function redraw(old, fresh) {
  const standing = [...old.childNodes];
  const coming = [...fresh.childNodes];
  for (const [index, node] of coming.entries()) {
    const one = standing[index];
    if (!one) old.append(node);
    else if (one.nodeName !== node.nodeName) one.replaceWith(node);
    else if (node.nodeType === Node.TEXT_NODE) likened(one, node.data);
    else if (node.firstElementChild || !one.isEqualNode(node)) {
      for (const name of one.getAttributeNames()) if (!node.hasAttribute(name)) one.removeAttribute(name);
      for (const name of node.getAttributeNames()) attribute(one, name, node.getAttribute(name));
      redraw(one, node);
    }
  }
  for (const node of standing.slice(coming.length)) node.remove();
}
