// The calculator of a step: beside the steps where there is room for it, else under its own step, opened by a touch there.
import { keep, recall } from "./site.js";

/** Mount a link `[data-opens="ID"]` in a step: the calculator with that id is the step's. */
export function mount(link) {
  const calc = document.getElementById(link.dataset.opens);
  const step = link.closest(".step");
  const spread = step.closest(".spread");
  const home = document.createComment("");
  const key = `open:${calc.id}`;
  calc.before(home);

  // On paper every calculator stands beside, as the sheet for print has it.
  const beside = () => matchMedia("print").matches || getComputedStyle(spread).display === "grid";

  function place(besides = beside()) {
    const within = calc.contains(document.activeElement) ? document.activeElement : null;
    if (besides === (calc.previousSibling !== home)) {
      if (besides) home.after(calc);
      else step.append(calc);
      within?.focus({ preventScroll: true });
    }
    show(besides);
  }

  function show(besides) {
    const open = recall(key, false) || location.hash === `#${calc.id}`;
    calc.hidden = !besides && !open;
    if (besides) {
      for (const name of ["role", "aria-expanded", "aria-controls"]) link.removeAttribute(name);
      return;
    }
    link.setAttribute("role", "button");
    link.setAttribute("aria-expanded", String(open));
    link.setAttribute("aria-controls", calc.id);
  }

  function turn(event) {
    if (beside()) return;
    event.preventDefault();
    keep(key, calc.hidden || null);
    if (location.hash === `#${calc.id}`) history.replaceState(null, "", location.pathname + location.search);
    show(false);
    if (!calc.hidden) calc.scrollIntoView({ block: "nearest" });
  }

  link.addEventListener("click", turn);
  link.addEventListener("keydown", (event) => { if (event.key === " ") turn(event); });
  window.addEventListener("resize", () => place());
  window.addEventListener("hashchange", () => show(beside()));
  window.addEventListener("beforeprint", () => place(true));
  window.addEventListener("afterprint", () => place());
  place();
}
