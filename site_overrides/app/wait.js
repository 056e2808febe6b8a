// A stopwatch where a step says to wait: started by a touch, it survives a reload, and says when the time is over.
import { keep, make, recall, say } from "./site.js";
import { _ } from "./words.js";

/** Mount an element `[data-wait="SECONDS"]` with the wait in words and, as `data-of`, the step it belongs to. */
export function mount(element) {
  const key = `wait:${element.dataset.of}`;
  const seconds = Number(element.dataset.wait);
  const words = element.textContent.trim();
  const button = make("button", "button");
  const left = make("p", "left screen-only");
  const told = make("p", "over screen-only");
  let timer = 0;
  button.type = "button";
  left.setAttribute("role", "timer");
  told.setAttribute("role", "status");
  element.append(left, told, button);

  /** Seconds still to wait; null while the watch stands. A clock set back never makes the wait longer than it is. */
  function remaining() {
    const started = recall(key);
    return started === null ? null : Math.min(seconds, seconds - (Date.now() - started) / 1000);
  }

  function show() {
    clearTimeout(timer);
    const now = remaining();
    const over = now !== null && now <= 0;
    say(left, now === null || over ? "" : _("{time} to go", { time: clock(Math.ceil(now)) }));
    say(told, over ? _("The wait of {wait} is over.", { wait: words }) : "");
    say(button, now === null ? _("Start the stopwatch") : over ? _("Set the stopwatch back") : _("Stop the stopwatch"));
    if (now !== null && !over) timer = setTimeout(show, (now - Math.floor(now)) * 1000 || 1000);
  }

  button.addEventListener("click", () => {
    keep(key, remaining() === null ? Date.now() : null);
    show();
  });
  // A page that was put aside is shown as the clock has gone on.
  document.addEventListener("visibilitychange", show);
  show();
}

/** Seconds as minutes and seconds, 1:05. */
function clock(seconds) {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}
