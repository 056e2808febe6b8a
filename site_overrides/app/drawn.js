// What has been drawn: work that can wait for it takes nothing of the time until the reader sees a page come to life, or an answer.

/** Milliseconds after which no frame is waited for: a page in the background draws none. */
const UNDRAWN = 2000;

/** Resolves when what the page is like now has been drawn, and `after` milliseconds later. */
export function painted(after = 0) {
  return new Promise((then) => {
    requestAnimationFrame(() => setTimeout(then, after)); // the frame is drawn between the two
    setTimeout(then, UNDRAWN);
  });
}

let lives;

/** Resolves when everything that was mounted has been drawn; at once after that. */
export const drawn = new Promise((told) => { lives = told; }).then(() => painted());

/** Told by main.js when every behaviour of the page is mounted, or cannot be. */
export function alive() {
  lives();
}
