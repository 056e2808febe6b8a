// Says which edition this is and whether it is saved on this device; saves it when the reader asks, and goes on by itself.
import { keep, make, say } from "./site.js";
import { _, day, megabytes } from "./words.js";
import { Stopped, available, back, change, check, forget, fromFolder, held, onServer, record, save } from "./edition.js";

/** Under which the line is kept; boot.js knows it too. */
const LINE = "saved-line";
/** Milliseconds between two drawings: each asks the caches for much, and while something is saved they have enough to do. */
const REST = 200;
const news = new EventTarget();
let progress = null; // {done, total, bytes} while saving
let trouble = null;
let offered = null; // the list of a newer edition on the server

/** Mount one of: the page itself (goes on saving), a `[data-saved-line]`, or the panel `[data-saved]`. */
export function mount(element) {
  if (element === document.body) return watch();
  const draw = "savedLine" in element.dataset ? drawLine : drawPanel;
  const again = calmly(() => draw(element));
  news.addEventListener("change", again);
  again();
}

/** A function that does `draw` once at a time, and once more after a rest for all that it was called for meanwhile. */
function calmly(draw) {
  let drawing = false;
  let wanted = false;
  return async () => {
    wanted = true;
    if (drawing) return;
    drawing = true;
    try {
      while (wanted) {
        wanted = false;
        await draw();
        if (wanted) await new Promise((rested) => setTimeout(rested, REST));
      }
    } finally {
      drawing = false;
    }
  };
}

function changed() {
  news.dispatchEvent(new Event("change"));
}

async function watch() {
  if (!available) return;
  if (await record("wanted")) saveNow();
  // Asked when a page is shown again too: a tablet keeps pages open for weeks.
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") look(); });
  window.addEventListener("online", async () => { if (await record("wanted")) saveNow(); });
  look();
}

async function look() {
  const current = await record("current");
  if (!current || !navigator.onLine) return;
  navigator.serviceWorker.getRegistration().then((found) => found?.update()).catch(() => {});
  const list = await onServer().catch(() => null);
  const next = await record("next");
  offered = list && list.id !== current.id && list.id !== next?.id ? list : null;
  changed();
}

async function saveNow() {
  // One page saves at a time; another that was asked waits, and finds everything done.
  await (navigator.locks?.request("handbook-saving", saveHere) ?? saveHere());
}

async function saveHere() {
  trouble = null;
  progress = { done: 0, total: 0, bytes: 0 };
  changed();
  try {
    await save((now) => { progress = now; changed(); });
    offered = null;
  } catch (error) {
    trouble = error instanceof Stopped ? sentence(error) : _("Saving stopped: {detail}", { detail: String(error.message || error) });
  }
  progress = null;
  changed();
}

function sentence({ why, files }) {
  switch (why) {
    case "offline": return _("Saving stopped without signal. It goes on by itself when there is signal.");
    case "list": return _("Saving stopped: the server answered with something else than the list of files, perhaps a sign-in page. Sign in to the network, then save again.");
    case "refused": return _("Saving stopped. Files that came otherwise than listed and were not kept: {count}, the first {file}. A sign-in page or a broken transfer may be the reason. Save again.", { count: files.length, file: files[0] || "./" });
    case "room": return _("Saving stopped: there is not enough room on this device. Free some room, then save again.");
    default: return _("Saving stopped: this browser did not keep a file. Save again.");
  }
}

async function drawLine(element) {
  await sayLine(element);
  // The next page shows it from its first moment on (boot.js), so that nothing moves when this script has come.
  if (!progress) keep(LINE, { edition: document.documentElement.dataset.edition, text: element.textContent });
}

async function sayLine(element) {
  const edition = document.documentElement.dataset.edition;
  const current = await record("current");
  if (progress?.total) say(element, _("Saving: {done} of {total} files", progress));
  else if (offered || await record("next")) say(element, _("Edition {edition}, a newer one is there", { edition: current.edition }));
  else if (current) say(element, _("Edition {edition}, saved on this device", { edition: current.edition }));
  else if (fromFolder) say(element, _("Edition {edition}, in a folder", { edition }));
  else say(element, _("Edition {edition}, not saved on this device", { edition }));
}

async function drawPanel(element) {
  if (!element.querySelector(".saved-now")) {
    element.replaceChildren(make("p", "saved-asked"), make("p", "saved-now"), make("p", "saved-more"), make("div", "press"));
    for (const line of element.querySelectorAll("p")) line.setAttribute("role", "status");
  }
  const lines = { asked: "", now: "", more: "" };
  const buttons = [];
  const asked = new URLSearchParams(location.search).get("asked");
  if (asked) lines.asked = _("{address} is not among what this device has saved, and there is no signal.", { address: asked });
  if (!available) {
    lines.now = fromFolder
      ? _("This handbook was opened from a folder and needs no signal. Nothing need be saved.")
      : isSecureContext
      ? _("This browser or window cannot save the handbook on this device. A private window may be the reason.")
      : _("The handbook cannot be saved here, because this address is not a secure one (https).");
  } else {
    await describe(lines, buttons);
  }
  for (const [name, text] of Object.entries(lines)) say(element.querySelector(`.saved-${name}`), text);
  fillButtons(element.querySelector(".press"), buttons);
}

async function describe(lines, buttons) {
  const [current, next, previous, wanted] = await Promise.all(["current", "next", "previous", "wanted"].map(record));
  if (current) {
    const { edition, files } = current;
    const there = await held(current);
    lines.now = there === files
      ? _("Edition {edition}: all {files} files checked, on {day}. It takes {room}.", { edition, files, day: day(current.checked), room: megabytes(current.bytes) })
      : _("Edition {edition}: {there} of {files} files are here.", { edition, there, files });
  } else {
    lines.now = _("This handbook is not saved on this device yet. Saved, it opens and calculates without signal.");
  }
  if (progress) {
    lines.more = progress.total
      ? _("Saving: {done} of {total} files, {room}. You may go on reading; saving goes on by itself.", { ...progress, room: megabytes(progress.bytes) })
      : _("Saving: asking the server which files there are.");
    return;
  }
  if (trouble) lines.more = trouble;
  if (next) {
    lines.more ||= _("Edition {edition} of {day} is here whole: all {files} files checked. This device goes on with edition {current} until you change.",
      { edition: next.edition, day: day(next.date), files: next.files, current: current.edition });
    buttons.push([_("Change to edition {edition} of {day}", { edition: next.edition, day: day(next.date) }), async () => { await change(); location.assign(new URL("./", location.href)); }]);
  } else if (offered) {
    lines.more ||= _("Edition {edition} of {day} is on the server.", { edition: offered.edition, day: day(offered.date) });
    buttons.push([_("Fetch edition {edition} of {day}", { edition: offered.edition, day: day(offered.date) }), saveNow]);
  }
  if (wanted) buttons.push([_("Go on saving"), saveNow]);
  else if (!current) buttons.push([_("Save on this device"), begin]);
  if (current) buttons.push([_("Check the saved files again"), checkAgain]);
  if (previous) {
    buttons.push([_("Go back to edition {edition} of {day}", { edition: previous.edition, day: day(previous.date) }), async () => { await back(); location.assign(new URL("./", location.href)); }]);
  }
  if (current) buttons.push([_("Remove from this device"), async () => { await forget(); changed(); }]);
}

function begin() {
  // Asked with the reader's own touch: some browsers grant it only then.
  navigator.storage?.persist?.().catch(() => {});
  return saveNow();
}

async function checkAgain() {
  progress = { done: 0, total: 0, bytes: 0 };
  const current = await record("current");
  const done = await check((now) => { progress = now; changed(); });
  progress = null;
  trouble = done < current.files
    ? _("Files no longer as they were saved: {count}. They are fetched again.", { count: current.files - done })
    : null;
  changed();
  if (done < current.files) await saveNow();
}

function fillButtons(place, buttons) {
  const before = [...place.children].map((button) => button.textContent);
  if (before.join("\n") === buttons.map(([text]) => text).join("\n")) return; // keeps the focus where it is
  place.replaceChildren(...buttons.map(([text, act]) => {
    const button = make("button", "button", text);
    button.type = "button";
    button.addEventListener("click", act);
    return button;
  }));
}
