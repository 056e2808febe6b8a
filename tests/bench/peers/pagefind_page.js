// The peer of the search: Pagefind by its own interface, asked once; titles and excerpts of the ten best are shown.
bench.asked = performance.now();
const pagefind = await import(new URL("pagefind/pagefind.js", location.href));
await pagefind.init();
const { results } = await pagefind.search(new URLSearchParams(location.search).get("q"));
for (const one of await Promise.all(results.slice(0, 10).map((result) => result.data()))) {
  const entry = document.createElement("li");
  entry.innerHTML = `<a href="${one.url}">${one.meta.title}</a> ${one.excerpt}`;
  document.querySelector("#found").append(entry);
}
