// Opens what is folded while the page is printed, for browsers whose style sheets cannot.

/** Mount on the page's body. */
export function mount(body) {
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [...body.querySelectorAll("details:not([open])")];
    for (const fold of opened) fold.open = true;
  });
  window.addEventListener("afterprint", () => {
    for (const fold of opened) fold.open = false;
    opened = [];
  });
}
