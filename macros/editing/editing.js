// Renews the page when the content was saved, and shows what is wrong with it while it is. Sent by `serve --edit` alone.
const own = new URL(import.meta.url);
const built = own.searchParams.get("built");
const panel = document.createElement("section");
panel.className = "edit-problems";
panel.setAttribute("role", "alert");
document.body.prepend(panel);

let shown = null;
function show(html) {
  if (html === shown) return; // said once
  shown = html;
  panel.innerHTML = html;
  panel.hidden = !html;
}

show("");
for (let turn = ""; ;) {
  let news;
  try {
    news = await (await fetch(new URL(`now?turn=${turn}`, own), { cache: "no-store" })).json();
  } catch {
    await new Promise((go) => { setTimeout(go, 1000); }); // the program was ended, or is being started again
    continue;
  }
  turn = news.turn;
  if (String(news.built) !== built) {
    location.reload();
    break;
  }
  show(news.html);
}
