// The page of all visits on this device: by machine, newest first; out as files, in from files, away for good.
import { base, link, make, say } from "../app/site.js";
import { _, day, megabytes } from "../app/words.js";
import { files } from "./export.js";
import { MOST } from "./import.js";
import { known } from "./known.js";
import { merged, plan } from "./merge.js";
import * as remarks from "./remarks.js";
import { counted, machine } from "./shown.js";
import * as store from "./store.js";
import { csv, ofAnswers, ofVisits } from "./table.js";

/** Mount the element `[data-visits]` (macros/pages/templates/visits.html). */
export function mount(element) {
  const place = Object.fromEntries(["said", "kept", "remarks", "remarked", "carry", "parts", "file", "ask", "lost"]
    .map((name) => [name, element.querySelector(`[data-${name}]`)]));
  let visits = [];
  let asked = null; // the visit that is to be deleted, while that is asked
  let procedures = element.dataset.procedures ? JSON.parse(element.dataset.procedures) : null; // null: not fetched yet

  async function show() {
    try {
      visits = await store.all();
      if (remarks.grouped(visits).length) procedures ??= (await known()).procedures;
    } catch (trouble) {
      place.kept.replaceChildren();
      return say(place.said, trouble.message);
    }
    const at = document.activeElement?.closest("[data-visit] [data-do], [data-visit] summary");
    const opened = new Set([...place.kept.querySelectorAll("[open]")].map(({ dataset }) => dataset.visit));
    place.kept.replaceChildren(...(visits.length ? byMachine(visits, opened) : nothing()));
    place.carry.hidden = false;
    for (const button of place.carry.querySelectorAll("[data-do]")) button.hidden = !visits.length && button.dataset.do !== "import";
    const groups = remarks.grouped(visits);
    place.remarks.hidden = !groups.length;
    place.remarked.replaceChildren(...groups.flatMap((group) => [...procedure(group, procedures)]));
    if (at) again(at)?.focus();
  }

  /** The control that stands now where `before` stood. */
  function again(before) {
    const fold = [...place.kept.querySelectorAll("[data-visit]")].find(({ dataset }) => dataset.visit === before.closest("[data-visit]").dataset.visit);
    return fold?.querySelector(before.dataset.do ? `[data-do="${before.dataset.do}"]` : "summary");
  }

  const about = () => ({ made: new Date().toISOString(), edition: Number(document.documentElement.dataset.edition) || null });
  const today = () => new Date().toISOString().slice(0, 10);

  const does = {
    export: () => exported(visits, `visits-${today()}`),
    table: () => offered(`visits-${today()}.csv`, "text/csv", [csv(ofVisits(visits))]),
    answers: () => offered(`answers-${today()}.csv`, "text/csv", [csv(ofAnswers(visits))]),
    remarks: () => offered(`remarks-${today()}.json`, "application/json", [JSON.stringify(remarks.file(visits, about()), null, 1), "\n"]),
    "remarks-table": () => offered(`remarks-${today()}.csv`, "text/csv", [csv(remarks.rows(visits))]),
    import: () => place.file.click(),
    "export-one": (visit) => exported([visit], `visit-${visit.when}-${visit.customer || visit.id.slice(0, 8)}`),
    ask(visit) {
      asked = visit;
      say(place.lost, lost(visit));
      place.ask.showModal();
    },
    keep: () => place.ask.close(),
    async delete() {
      const what = named(asked);
      await store.remove(asked.id);
      place.ask.close();
      say(place.said, _("Deleted: {visit}.", { visit: what }));
      place.said.focus(); // what had it is gone
    },
  };

  element.addEventListener("click", async (event) => {
    const control = event.target.closest("[data-do]");
    if (!control) return;
    const id = control.closest("[data-visit]")?.dataset.visit;
    try {
      await does[control.dataset.do](visits.find((visit) => visit.id === id));
    } catch (trouble) {
      place.ask.close();
      say(place.said, trouble.message);
    }
  });

  place.file.addEventListener("change", async () => {
    const [file] = place.file.files;
    place.file.value = ""; // the same file can be chosen again
    if (file) await imported(file);
  });

  /** Say what became of what was asked for, where it is seen: on an upright tablet the line is far from the buttons. */
  function tell(words) {
    say(place.said, words);
    place.said.scrollIntoView({ block: "nearest" });
  }

  async function exported(many, name) {
    tell(_("The file is being made."));
    const made = [];
    for await (const texts of files(many, store.photograph, about())) made.push(new Blob(texts, { type: "application/json" }));
    const links = made.map((blob, index) => saving(blob, made.length > 1 ? `${name}-${index + 1}-${made.length}.json` : `${name}.json`));
    // One file goes out by the touch that asked for it; of several each is saved by a touch of its own.
    if (links.length === 1) links[0].click();
    place.parts.replaceChildren(...(links.length > 1 ? links : []).map((one) => {
      const item = make("li");
      item.append(one);
      return item;
    }));
    tell(links.length > 1
      ? _("Too much for one file: save each of the {count} files below the buttons.", { count: links.length })
      : _("Saved as {file}.", { file: links[0].download }));
  }

  function offered(name, type, texts) {
    saving(new Blob(texts, { type: `${type};charset=utf-8` }), name).click();
    tell(_("Saved as {file}.", { file: name }));
  }

  async function imported(file) {
    tell(_("Reading {file}, {room}.", { file: file.name, room: megabytes(file.size) }));
    const { taken, refused } = await beside(file);
    if (refused) return tell(`${sentence(refused)} ${_("Nothing was taken from {file}; what is here is as it was.", { file: file.name })}`);
    const { put, fresh, updated, same } = plan(await store.all(), taken.visits);
    try {
      // Merged once more with what is there at that moment: another window may have gone on writing.
      if (put.length) await store.putAll(put, merged);
    } catch (trouble) {
      const why = trouble.why === "full" ? _("This device has no room for what is in the file.") : trouble.message;
      return tell(`${why} ${_("Nothing was taken from {file}; what is here is as it was.", { file: file.name })}`);
    }
    tell([
      _("Taken from {file}: visits new here {fresh}, brought up to date {updated}, already here {same}.", { file: file.name, fresh, updated, same }),
      taken.edition > about().edition ? _("The file is of edition {theirs}, newer than this one: pages that it names may be missing here.", { theirs: taken.edition }) : "",
    ].join(" ").trim());
  }

  store.news.addEventListener("change", show);
  show();
}

/** The file read in a worker; in the page where no worker starts. */
async function beside(file) {
  const response = await fetch(new URL("record/visit.schema.json", base));
  const asked = { file, schema: await response.json() };
  try {
    const worker = new Worker(new URL("reading.js", import.meta.url), { type: "module" });
    const answer = await new Promise((done, failed) => {
      worker.addEventListener("message", ({ data }) => done(data));
      worker.addEventListener("error", failed);
      worker.postMessage(asked);
    });
    worker.terminate();
    return answer;
  } catch {
    const { reading } = await import("./reading.js");
    return reading(asked.file, asked.schema);
  }
}

function sentence({ why, detail }) {
  switch (why) {
    case "large": return _("The file is larger than {room}: export fewer visits at a time on the other device.", { room: megabytes(MOST) });
    case "empty": return _("The file is empty.");
    case "foreign": return _("This is no file of visits of a handbook.");
    case "newer": return _("The file was made by a newer edition of the handbook, in format {detail}, which this edition cannot read: bring the handbook up to date first.", { detail });
    case "damaged": return detail
      ? _("The file is damaged, at {detail}: export it again on the other device.", { detail })
      : _("The file is damaged, perhaps cut off: export it again on the other device.");
    default: return _("The file could not be read: {detail}", { detail });
  }
}

function saving(blob, name) {
  const made = make("a", "", _("Save {file}, {room}", { file: name, room: megabytes(blob.size) }));
  made.href = URL.createObjectURL(blob);
  made.download = name.replace(/[^\p{L}\p{N}.-]+/gu, "-");
  return made;
}

function nothing() {
  const press = make("div", "press");
  press.append(link(_("Begin a visit"), "visit/", "button"));
  return [make("p", "", _("No visit is kept on this device.")), press];
}

function byMachine(visits, opened) {
  const groups = new Map(); // newest first, as the visits come
  for (const visit of visits) {
    const title = machine(visit.machine) || _("Machine not named");
    groups.set(title, [...groups.get(title) ?? [], visit]);
  }
  return [...groups].map(([title, theirs]) => {
    const section = make("section", "by-machine");
    section.append(make("h2", "ruled", title), ...theirs.map((visit) => fold(visit, opened.has(visit.id))));
    return section;
  });
}

function fold(visit, open) {
  const details = make("details", "fold");
  Object.assign(details, { open });
  details.dataset.visit = visit.id;
  const summary = make("summary");
  const state = visit.ended ? visit.customer : [visit.customer, _("open")].filter(Boolean).join(", ");
  summary.append(make("b", "", day(visit.when)), " ", make("span", "", state));
  const held = make("div");
  const press = make("div", "press");
  press.append(link(_("Open this visit"), `visit/?visit=${encodeURIComponent(visit.id)}`, "button"),
    link(_("Job sheet for the customer"), `visits/sheet/?visit=${encodeURIComponent(visit.id)}`, "button"),
    button(_("Export this visit"), "export-one"), button(_("Delete this visit"), "ask"));
  held.append(make("p", "", [visit.who, counted(visit) || _("nothing entered yet")].filter(Boolean).join(": ")), press);
  if (visit.remains) held.append(make("p", "gap", _("Remains to do: {remains}", { remains: visit.remains })));
  details.append(summary, held);
  return details;
}

function button(words, does) {
  const made = make("button", "button", words);
  made.type = "button";
  made.dataset.do = does;
  return made;
}

function named(visit) {
  return [day(visit.when), machine(visit.machine), visit.customer].filter(Boolean).join(", ");
}

function lost(visit) {
  const held = counted(visit);
  return held
    ? _("{visit}. With it goes what was entered: {held}. No other device has it unless it was exported.", { visit: named(visit), held })
    : _("{visit}. Nothing was entered yet.", { visit: named(visit) });
}

function* procedure({ procedure: id, title, steps }, known) {
  const head = make("h3", "gap");
  head.append(linked(title, known.includes(id) && `procedures/${id}/`));
  yield head;
  const list = make("dl", "rows remarked");
  for (const { step, title: says, remarks: told } of steps) {
    const name = make("dt");
    name.append(linked(says, known.includes(id) && `procedures/${id}/#step-${step}`));
    const row = make("div");
    const words = make("dd");
    words.append(...told.flatMap(({ text, at, machine: where, edition }) => [make("p", "", text),
      make("p", "small", [where, day(at.slice(0, 10)), edition && _("edition {edition}", { edition })].filter(Boolean).join(", "))]));
    row.append(name, words);
    list.append(row);
  }
  yield list;
}

function linked(words, url) {
  return url ? link(words, url, "reach") : document.createTextNode(words);
}
