// The peer of the answer: a page that does nothing but show what is typed.
document.querySelector("input").addEventListener("input", ({ target }) => {
  document.querySelector(".answer").textContent = target.value;
});
