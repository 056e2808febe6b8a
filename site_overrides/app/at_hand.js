// The step at hand: the first one not ticked after the last that was. It is marked, and stays in view as steps are ticked.

/** Mount an element `[data-ticks]` with `.step` in it, each with its `input.tick`; app/tick.js sets the ticks. */
export function mount(element) {
  const steps = [...element.querySelectorAll(".step")];
  let ticked = false; // by a touch, of which nothing has been seen yet
  let touched = false; // the reader has begun to work here: from now on nothing moves but by a touch

  function mark() {
    const now = current(steps);
    for (const step of steps) {
      if (step === now) step.setAttribute("aria-current", "step");
      else step.removeAttribute("aria-current");
    }
    const begun = now && steps.some(done);
    if (ticked && begun) bring(now, "smooth");
    else if (!touched && begun && opened()) bring(now, "instant");
    ticked = false;
  }

  // On the way down: app/tick.js marks the step on the way up, and `mark` runs before the next listener is asked.
  element.addEventListener("change", ({ target }) => {
    if (target.matches(".tick[data-step]")) ticked = target.checked;
  }, { capture: true });
  for (const kind of ["pointerdown", "keydown", "wheel", "touchstart"]) {
    window.addEventListener(kind, () => { touched = true; }, { once: true, passive: true });
  }
  new MutationObserver(mark).observe(element, { subtree: true, attributeFilter: ["class"] });
  mark();
}

const done = (step) => step.classList.contains("done");

/** The step at hand; null when all are done. */
function current(steps) {
  const last = steps.findLastIndex(done);
  return steps.slice(last + 1).find((step) => !done(step)) ?? steps.find((step) => !done(step)) ?? null;
}

/** Whether the page was opened at no place of its own: not by a link to a step, and not where the browser left it. */
function opened() {
  return !location.hash && performance.getEntriesByType("navigation")[0]?.type === "navigate";
}

function bring(step, behavior) {
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
  const bar = document.querySelector(".bar")?.offsetHeight ?? 0;
  const room = window.innerHeight - bar - step.offsetHeight;
  step.scrollIntoView({ block: room > 0 ? "nearest" : "start", behavior: still ? "instant" : behavior });
}
