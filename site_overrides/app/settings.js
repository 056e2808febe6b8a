// The reader's own settings: which hand, how large the text, light or dark. boot.js applies them early.
import { keep, recall } from "./site.js";

/** Mount an element `[data-settings]` with choices named hand, text and scheme. */
export function mount(element) {
  const kept = recall("settings", {});
  for (const choice of element.querySelectorAll("[name]")) {
    const value = kept[choice.name] ?? "";
    if (choice.type === "radio") choice.checked = choice.value === value || (!value && choice.defaultChecked);
    else if (choice.type === "checkbox") choice.checked = choice.value === value;
  }
  element.addEventListener("change", ({ target }) => {
    const value = target.type === "checkbox" && !target.checked ? "" : target.value;
    const now = { ...recall("settings", {}), [target.name]: value };
    keep("settings", now);
    if (value) document.documentElement.dataset[target.name] = value;
    else delete document.documentElement.dataset[target.name];
  });
}
