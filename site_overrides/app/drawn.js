// When all of the page has come to life and been drawn: what keeps a processor busy for long begins then, so that no task of the page
// has to wait for it.

/** Milliseconds after which no frame is waited for: a page in the background draws none. */
const UNDRAWN = 2000;

let lives;

/** Resolves when everything that was mounted has been drawn; at once after that. */
export const drawn = new Promise((told) => { lives = told; }).then(() => new Promise((then) => {
  requestAnimationFrame(() => setTimeout(then)); // the frame is drawn between the two
  setTimeout(then, UNDRAWN);
}));

/** Told by main.js when every behaviour of the page is mounted, or cannot be. */
export function alive() {
  lives();
}
