"""What is measured on a page as it is drawn: targets, contrast of text, sideways scroll. Scripts run in the page."""

LEAST_TARGET = 48
"""Least size of what is touched, in CSS pixels: this project's own measure (WCAG 2.2, 2.5.5, asks for 44)."""

LEAST_CONTRAST = 7.0
"""Least contrast of body text (WCAG 2.2, 1.4.6)."""

LARGE_CONTRAST = 4.5
"""Least contrast of large text: 24 px, or 18.66 px in bold (WCAG 2.2, 1.4.6)."""

#: Everything that can be touched: [what it is and its words, its lesser side]. A box inside its label is touched by the
#: label too. A link in the middle of a sentence is as high as its line, as WCAG 2.5.5 allows.
TARGETS = """() => {
  for (const fold of document.querySelectorAll('details')) fold.open = true;
  const inSentence = (one) => one.tagName === 'A' && getComputedStyle(one).display === 'inline'
    && [...one.parentNode.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && /\\w/.test(node.data));
  const found = [];
  for (const one of document.querySelectorAll('a[href], button, input, select, textarea, summary')) {
    if (one.closest('.skip') || !one.checkVisibility({ visibilityProperty: true }) || inSentence(one)) continue;
    const sizes = [one, one.closest('label')].filter(Boolean).map((each) => each.getBoundingClientRect());
    const [width, height] = [Math.max(...sizes.map((r) => r.width)), Math.max(...sizes.map((r) => r.height))];
    found.push([`${one.tagName} ${(one.textContent || one.name).trim().slice(0, 40)} ${width} x ${height}`, Math.min(width, height)]);
  }
  return found;
}"""

#: Every text that is seen: [the text, its contrast against what is painted under it (WCAG 2.2), whether it is large].
#: Texts of switched-off controls and of drawings' shapes are left to axe and to the drawings' own tests.
CONTRASTS = """() => {
  for (const fold of document.querySelectorAll('details')) fold.open = true;
  const parts = (colour) => { const n = colour.match(/[\\d.]+/g).map(Number); return n.length > 3 ? n : [...n, 1]; };
  const lum = ([r, g, b]) => [r, g, b].map((v) => v / 255).map((c) => (c <= .04045 ? c / 12.92 : ((c + .055) / 1.055) ** 2.4))
    .reduce((sum, c, i) => sum + c * [.2126, .7152, .0722][i], 0);
  const over = (top, under) => [0, 1, 2].map((i) => top[i] * top[3] + under[i] * (1 - top[3])).concat(1);
  const ground = (element) => {
    const layers = [];
    for (let at = element; at; at = at.parentElement) {
      const colour = parts(getComputedStyle(at).backgroundColor);
      if (colour[3]) layers.push(colour);
      if (colour[3] === 1) break;
    }
    return layers.reverse().reduce((under, top) => over(top, under), [255, 255, 255, 1]);
  };
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const at = node.parentElement;
    if (!node.data.trim() || at.closest('script, template, svg, :disabled') || !at.checkVisibility({ visibilityProperty: true })) continue;
    const style = getComputedStyle(at);
    const [text, under] = [parts(style.color), ground(at)];
    const lums = [lum(over(text, under)), lum(under)].sort((a, b) => b - a);
    const size = parseFloat(style.fontSize);
    found.push([node.data.trim().slice(0, 60), (lums[0] + .05) / (lums[1] + .05), size >= 24 || (size >= 18.66 && style.fontWeight >= 700)]);
  }
  return found;
}"""

#: Pixels by which the page can be scrolled sideways.
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def small(page) -> list[str]:
    """What can be touched and is smaller than LEAST_TARGET."""
    return [words for words, size in page.evaluate(TARGETS) if size < LEAST_TARGET - 0.5]


def faint(page) -> list[str]:
    """Texts that stand out too little."""
    return [f"{words} {ratio:.2f}" for words, ratio, large in page.evaluate(CONTRASTS)
            if ratio < (LARGE_CONTRAST if large else LEAST_CONTRAST)]
