// The box in which somebody types is a form of its own. At each key a browser reads the whole form that a box belongs to, to offer what
// it could fill in: of a long form that takes longer than all that the key is answered with.

let made = 0;

/** Let each text box of `form` be alone in a form while it has the focus; Enter in it still submits `form`. */
export function alone(form) {
  const lone = document.createElement("form");
  made += 1;
  lone.id = `lone-${made}`;
  lone.hidden = true;
  document.body.append(lone);
  lone.addEventListener("submit", (event) => {
    event.preventDefault();
    form.requestSubmit();
  });
  form.addEventListener("focusin", ({ target }) => { if (target.type === "text") target.setAttribute("form", lone.id); });
  form.addEventListener("focusout", ({ target }) => target.removeAttribute("form"));
}
