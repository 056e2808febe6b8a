// From what is seen to the cause: one check after the other, each answered with a touch; nothing found is lost.
import { keep, link, make, recall, say } from "./site.js";
import { python } from "./python.js";
import { _ } from "./words.js";

/** Mount a `section[data-path]`; see macros/pages/templates/seen.html for its markup. */
export function mount(element) {
  new Path(element).open();
}

class Path {
  #asked = 0;

  constructor(element) {
    this.element = element;
    this.data = JSON.parse(element.querySelector(".path-data").textContent);
    this.key = `path:${this.data.id}`;
    const kept = recall(this.key) || {};
    // What an earlier edition knew and this one does not is left out.
    const known = ({ check, result }) => this.data.checks[check] && (result === undefined || this.data.checks[check].results.includes(result));
    this.found = (kept.found || []).filter(known);
    this.cannot = (kept.cannot || []).filter(known);
    this.mended = (kept.mended || []).filter(({ cause }) => this.data.causes[cause]);
    this.other = Boolean(kept.other);
    this.next = element.querySelector(".path-next");
    this.status = element.querySelector(".path-state");
  }

  open() {
    this.element.addEventListener("click", (event) => this.#pressed(event.target.closest("button")));
    python.addEventListener("change", () => this.#tell());
    python.start();
    this.#tell();
    this.#ask();
  }

  #pressed(button) {
    if (!button) return;
    const { result, take, same, mended, unmend, cannot, other, again } = button.dataset;
    if (result !== undefined) this.found.push({ check: this.check, result });
    else if (same !== undefined) this.found = this.found.map((one) => (one.check === same ? { ...one, again: true } : one));
    else if (mended !== undefined) this.mended.push({ cause: mended });
    else if (unmend !== undefined) this.mended = this.mended.filter(({ cause }) => cause !== unmend);
    else if (cannot !== undefined) this.cannot.push({ check: this.check });
    else if (other !== undefined) this.other = true;
    else if (take !== undefined) {
      this.found = this.found.filter(({ check }) => check !== take);
      this.cannot = this.cannot.filter(({ check }) => check !== take);
      if (take === "") this.other = false;
    } else if (again !== undefined) {
      this.found = [];
      this.cannot = [];
      this.mended = [];
      this.other = false;
    } else return;
    const { found, cannot: left, mended: vain, other: else_ } = this;
    const kept = { found, cannot: left, mended: vain, other: else_ };
    keep(this.key, found.length || left.length || vain.length || else_ ? kept : null);
    this.#ask();
  }

  #tell() {
    if (python.state === "failed") say(this.status, `${python.trouble.message} ${_("Follow the chart below instead.")}`);
    else if (python.state !== "ready") say(this.status, _("Python is starting; the buttons answer when it has."));
    else say(this.status, _("One cause at a time is assumed."));
  }

  async #ask() {
    this.#showFound();
    const number = ++this.#asked;
    const inputs = { symptom: this.data.id, faults: this.data.faults, found: this.found, mended: this.mended, cannot: this.cannot };
    let reply;
    try {
      reply = JSON.parse(await python.ask(JSON.stringify({ id: "fault-order", inputs })));
    } catch (error) {
      if (number === this.#asked) say(this.status, `${error.message} ${_("Follow the chart below instead.")}`);
      return;
    }
    if (number === this.#asked) this.#show(reply.result);
  }

  #show(result) {
    if (result.refused) {
      // Only an edition that changed its checks can lead here: begin again rather than stand still.
      say(this.status, result.refused.map(({ takes }) => takes).join(" "));
      return;
    }
    const head = make("h2", "", _("Check this next"));
    head.id = "next";
    const parts = [head];
    const press = make("div", "press");
    this.check = result.tables.checks?.[0]?.check;
    if (this.other) {
      head.textContent = _("Something else");
      parts.push(make("p", "says under", _("What you found is not on this path. Look at the floor again, or try these in their order.")));
      press.append(link(_("What do you see on the floor?"), "", "button"),
        ...Object.entries(this.data.go).map(([id, title]) => link(title, `procedures/${id}/`, "button")));
    } else if (result.outcome === "check-next") {
      const [row] = result.tables.checks;
      const check = this.data.checks[row.check];
      parts.push(make("p", "says under", sentence(check.title)));
      parts.push(make("p", "small", `${_("{minutes} min", { minutes: check.minutes })}. ${row.why}`));
      const how = make("p");
      how.append(link(_("How to: {procedure}", { procedure: check.procedure }), `procedures/${check.go}/`, "reach"));
      parts.push(how);
      for (const words of check.results) press.append(button("", "result", words, sentence(words)));
      press.append(button("other", "cannot", "", _("I cannot do this check")), button("other", "other", "", _("I found something else")));
    } else {
      head.textContent = { found: _("The cause"), likely: _("Mend this next"), "cannot-tell": _("Two causes are left"), contradiction: _("The results clash") }[result.outcome];
      parts.push(make("p", "says under", result.answer));
      const first = result.tables.remedies?.[0];
      if (first) {
        const cause = this.data.causes[first.cause];
        press.append(link(cause.procedure, `procedures/${cause.go}/`, "button remedy"));
      }
      const [look] = result.tables.again || [];
      if (look) {
        press.append(button("", "same", look.check, _("As before: {result}", { result: sentence(look.result) })),
          button("", "take", look.check, _("Otherwise than before")));
      }
      if (first) press.append(button("other", "mended", first.cause, _("Mended, and still seen")));
      press.append(button("other", "other", "", _("I found something else")));
    }
    parts.push(press);
    this.next.replaceChildren(...parts);
    this.#showCauses(result.tables.causes || []);
  }

  #showFound() {
    const section = this.element.querySelector(".path-found");
    const items = [
      ...this.found.map(({ check, result, again }) => [check,
        `${sentence(this.data.checks[check].title)} ${sentence(result)}${again ? ` ${_("Seen twice.")}` : ""}`]),
      ...this.cannot.map(({ check }) => [check, `${sentence(this.data.checks[check].title)} ${_("Cannot be done.")}`]),
      ...this.mended.map(({ cause }) => [cause, `${sentence(this.data.causes[cause].title)} ${_("Mended, and still seen.")}`, "unmend"]),
      ...(this.other ? [["", _("Something else was found.")]] : []),
    ];
    section.hidden = !items.length;
    section.querySelector(".lines").replaceChildren(...items.map(([check, words, back = "take"]) => {
      const item = make("li");
      item.append(make("span", "", words), button("", back, check, _("Take back")));
      return item;
    }));
  }

  #showCauses(causes) {
    const list = this.element.querySelector(".causes");
    list.replaceChildren(...causes.map(({ cause, probability }, place) => {
      const known = this.data.causes[cause];
      const item = make("li");
      const share = probability.value;
      item.append(make("span", "", sentence(known.title)), make("b", "", _("{number} %", { number: Math.round(share * 100) })), bar(share));
      if (place === 0 && this.found.length) item.append(link(known.procedure, `procedures/${known.go}/`));
      return item;
    }));
  }
}

function bar(share) {
  const space = "http://www.w3.org/2000/svg";
  const svg = document.createElementNS(space, "svg");
  svg.setAttribute("viewBox", "0 0 100 6");
  svg.setAttribute("preserveAspectRatio", "none");
  svg.setAttribute("aria-hidden", "true");
  const rect = document.createElementNS(space, "rect");
  rect.setAttribute("width", (share * 100).toFixed(1));
  rect.setAttribute("height", "6");
  svg.append(rect);
  return svg;
}

function button(look, name, value, words) {
  const made = make("button", `button ${look}`.trim(), words);
  made.type = "button";
  made.dataset[name] = value;
  return made;
}

function sentence(text) {
  const first = text.slice(0, 1).toUpperCase() + text.slice(1);
  return /[.?!…]$/.test(first) ? first : `${first}.`;
}
