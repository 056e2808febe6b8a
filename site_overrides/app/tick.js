// Ticks of steps: kept for each procedure until they are cleared.
import { keep, recall } from "./site.js";

/** Mount an element `[data-ticks="PROCEDURE"]` with `input.tick[data-step]` and `[data-clear-ticks]` in it. */
export function mount(element) {
  const key = `ticks:${element.dataset.ticks}`;
  const ticks = [...element.querySelectorAll(".tick[data-step]")];
  const clear = element.querySelector("[data-clear-ticks]");

  function show() {
    const done = new Set(recall(key, []));
    for (const tick of ticks) {
      tick.checked = done.has(tick.dataset.step);
      tick.closest(".step")?.classList.toggle("done", tick.checked);
    }
    if (clear) clear.hidden = !done.size;
  }

  element.addEventListener("change", ({ target }) => {
    if (!target.matches(".tick[data-step]")) return;
    const done = ticks.filter((tick) => tick.checked).map((tick) => tick.dataset.step);
    keep(key, done.length ? done : null);
    show();
  });
  clear?.addEventListener("click", () => {
    keep(key, null);
    show();
    ticks[0]?.focus();
  });
  show();
}
