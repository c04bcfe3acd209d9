// On the page shown without network: the pages this device has kept for whoever is signed in.
const section = document.querySelector("[data-kept-pages]");
const SHOWN = /^\/(music|entries)\//;

async function nameOf(answer) {
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return page.querySelector("meta[name=keep-offline]")?.dataset.name ?? page.title;
}

const names = (await caches.keys()).filter((name) => name.startsWith("person-"));
// With two people's pages on one device none is shown.
const cache = names.length === 1 ? await caches.open(names[0]) : null;
for (const request of (await cache?.keys()) ?? []) {
  const answer = await cache.match(request);
  const isPage = SHOWN.test(new URL(request.url).pathname) && answer.headers.get("Content-Type")?.startsWith("text/html");
  if (!isPage || Number(answer.headers.get("Fairhearing-Until")) * 1000 < Date.now()) continue;
  const line = document.createElement("li");
  const link = Object.assign(document.createElement("a"), { href: request.url, textContent: await nameOf(answer) });
  line.append(link);
  section.querySelector("ul").append(line);
  section.hidden = false;
}
