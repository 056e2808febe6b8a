// Lays out an answer, with the markup of the page as delivered (macros/pages/templates/answer.html).
import { make } from "./site.js";
import { _ } from "./words.js";

/** Replace what stands in `place` by the answer `shown` (texts made by the calculators, see calculators/present.py). */
export function render(place, shown) {
  place.replaceChildren(...("refused" in shown ? refusal(shown) : answer(shown)));
}

function refusal({ refused }) {
  const list = make("ul", "refusals");
  for (const { text } of refused) list.append(make("li", "", text));
  return [make("p", "says", _("Not calculated.")), list];
}

function* answer(shown) {
  yield make("p", "says", shown.answer);
  if (shown.picture) yield picture(shown.picture);
}

/** The picture, as markup: drawn by our own calculators, which escape every text in it. */
function picture(svg) {
  const figure = make("figure");
  figure.append(document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true));
  return figure;
}
