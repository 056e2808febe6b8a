// The one classic script: starts the modules, and says so on the page when they cannot start.
// It stays readable to old browsers, which would refuse a newer script without a word.
(function () {
  "use strict";
  var script = document.currentScript;
  // Before anything is drawn, so that the page does not change sides or colours under the reader's eyes.
  try {
    var kept = JSON.parse(localStorage.getItem("handbook:" + new URL(document.documentElement.dataset.base, location.href).pathname + ":settings")) || {};
    ["hand", "text", "scheme"].forEach(function (name) {
      if (typeof kept[name] === "string") document.documentElement.dataset[name] = kept[name];
    });
  } catch (nothing) { /* nothing is kept here: the page's own settings stand */ }

  function say() {
    var words = script.dataset.failed; // of the catalogue, by way of main.html
    document.querySelectorAll(".calc-state, .visit-state, [data-saved]").forEach(function (place) { place.textContent = words; });
  }

  function start() {
    try {
      (window.handbookLoad || function (address) { return import(address); })(new URL("main.js", script.src)).catch(say);
    } catch (refused) {
      say();
    }
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})();
