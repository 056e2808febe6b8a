// What is typed is on the disk within half a second, however long the typing goes on without a pause.

/** Milliseconds after the first key that is not written yet. */
const WITHIN = 300;

const waiting = new Set();

/** Call `save()` soon after keys in `box`, and at once when it is left or a choice is made. Returns whether something waits. */
export function pen(box, save) {
  let timer = 0;

  function write() {
    if (!timer) return;
    clearTimeout(timer);
    timer = 0;
    waiting.delete(write);
    save();
  }

  box.addEventListener("input", () => {
    waiting.add(write);
    timer ||= setTimeout(write, WITHIN);
  });
  box.addEventListener("change", write);
  box.addEventListener("blur", write);
  return () => timer !== 0;
}

function all() {
  for (const write of [...waiting]) write();
}

// The earlier one leaves time for the disk; a tablet's browser tells the later one alone.
for (const kind of ["beforeunload", "pagehide"]) window.addEventListener(kind, all);
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "hidden") all(); });
