// The one classic script: starts the modules, and says so on the page when they cannot start.
// It stays readable to old browsers, which would refuse a newer script without a word.
(function () {
  "use strict";
  var script = document.currentScript;
  var root = document.documentElement;

  function kept(key) {
    return JSON.parse(localStorage.getItem("handbook:" + new URL(root.dataset.base, location.href).pathname + ":" + key)) || {};
  }

  // Before anything is drawn, so that the page does not change sides or colours, and nothing moves, under the reader's eyes.
  try {
    var settings = kept("settings");
    ["hand", "text", "scheme"].forEach(function (name) {
      if (typeof settings[name] === "string") root.dataset[name] = settings[name];
    });
    var line = kept("saved-line");
    if (line.edition === root.dataset.edition) {
      document.querySelectorAll("[data-saved-line]").forEach(function (place) { place.textContent = line.text; });
    }
  } catch (nothing) { /* nothing is kept here: the page stands as it was delivered */ }

  // A module that was not given is asked for twice more, after a rest: what answers without a network is a worker, which a
  // browser may end while a page is loading.
  function load(address, more) {
    return import(address).catch(function (why) {
      if (!more) throw why;
      return new Promise(function (rested) { setTimeout(rested, 100); }).then(function () { return load(address, more - 1); });
    });
  }

  function say(trouble) {
    console.error(trouble);
    var words = script.dataset.failed; // of the catalogue, by way of main.html
    document.querySelectorAll(".calc-state, .visit-state, [data-saved]").forEach(function (place) { place.textContent = words; });
  }

  function start() {
    try {
      (window.handbookLoad || load)(new URL("main.js", script.src), 2).catch(say);
    } catch (refused) {
      say(refused);
    }
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})();
