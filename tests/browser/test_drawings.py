"""Every drawing on a screen 320 px wide: its words stand on the sheet, and no word stands on another."""

from playwright.sync_api import Browser

from macros.building import ROOT
from macros.drawing.__main__ import sheet

MEASURE = """() => [...document.querySelectorAll("figure")].flatMap((figure) => {
  const name = figure.querySelector("figcaption").textContent;
  const page = figure.querySelector("svg").getBoundingClientRect();
  const words = [...figure.querySelectorAll("text")].map((text) => [text.textContent, text.getBoundingClientRect()]);
  const out = words.filter(([, box]) => box.left < page.left - 1 || box.right > page.right + 1
    || box.top < page.top - 2 || box.bottom > page.bottom + 2).map(([word]) => `${name}: "${word}" runs off the sheet`);
  const over = words.flatMap(([one, a], i) => words.slice(i + 1).filter(([, b]) =>
    Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4
  ).map(([other]) => `${name}: "${one}" and "${other}" stand on each other`));
  return [page.width === 320 ? [] : [`${name}: ${page.width} px wide`], out, over].flat();
})"""


def test_the_words_of_every_drawing_stand_on_its_sheet_at_320_px(browser: Browser):
    files = {path.stem: path for path in (ROOT / "content" / "drawings").glob("*.svg")}
    page = browser.new_page(viewport={"width": 320, "height": 640})
    page.set_content(sheet(files))
    assert page.locator("figure").count() == 3 * len(files)
    assert page.evaluate(MEASURE) == []
    page.close()


def test_a_word_that_runs_off_its_sheet_is_found(browser: Browser, tmp_path):
    text = ('<svg xmlns="http://www.w3.org/2000/svg" class="dw" viewBox="0 0 320 60" aria-labelledby="a d"><title id="a">A'
            '</title><desc id="d">B</desc><text x="300" y="20">lock nut</text><text x="8" y="40">hose</text>'
            '<text x="12" y="44">cuff</text></svg>')
    (tmp_path / "bad.svg").write_text(text, "utf-8")
    page = browser.new_page(viewport={"width": 320, "height": 640})
    page.set_content(sheet({"bad": tmp_path / "bad.svg"}, ("light",)))
    assert page.evaluate(MEASURE) == ['bad: "lock nut" runs off the sheet', 'bad: "hose" and "cuff" stand on each other']
    page.close()
