// Pages to practise with are kept on this device, and shown when there is no network. What belongs to a person
// lies in a cache of that person's; it goes at sign-out, when somebody else's page is seen, and in time.
const FILES = "files";
const PERSON = "person-";
const OFFLINE = "/offline/";
const SIGN_IN = "/accounts/login/";
const SIGN_OUT = "/accounts/logout/";
const STATIC = "/static/";
const PARTS = /^\/music\/\d+\/(score\.svg|times\.json)/;
const MOST_KEPT = 60; // pages, times and drawings: the newest
const MOST_DRAWINGS = 12;
const HASHED = /\.[0-9a-f]{12}\.\w+$/;

const GONE = new Set([403, 404, 410]);

const isSignIn = (answer) => new URL(answer.url || self.location).pathname.startsWith(SIGN_IN);

async function forgetOthers(person = null) {
  for (const name of await caches.keys())
    if (name.startsWith(PERSON) && name !== PERSON + person) await caches.delete(name);
}

// Sees whose page it is before anything is kept of it. A part is kept anew only where it was kept before.
async function notice(address, answer, { isPart = false } = {}) {
  if (isSignIn(answer)) {
    await forgetOthers();
    return;
  }
  const person = answer.headers.get("Fairhearing-Person");
  if (!person) return;
  await forgetOthers(person);
  if (GONE.has(answer.status)) {
    // No longer this person's to see: not without network either.
    if (await caches.has(PERSON + person))
      await (await caches.open(PERSON + person)).delete(address, { ignoreVary: true, ignoreSearch: true });
    return;
  }
  if (!answer.ok || answer.redirected || !answer.headers.has("Fairhearing-Offline")) return;
  const cache = await caches.open(PERSON + person);
  if (isPart && !(await cache.match(address, { ignoreVary: true }))) return;
  await cache.put(address, answer);
  for (const old of (await cache.keys()).slice(0, -MOST_KEPT)) await cache.delete(old);
}

async function kept(address, options = {}) {
  const names = (await caches.keys()).filter((name) => name.startsWith(PERSON));
  if (names.length !== 1) return null;
  const cache = await caches.open(names[0]);
  const answer = (await cache.match(address, { ignoreVary: true })) ??
    (options.ignoreSearch && (await cache.match(address, { ignoreVary: true, ignoreSearch: true })));
  if (!answer) return null;
  if (Number(answer.headers.get("Fairhearing-Until")) * 1000 > Date.now()) return answer;
  await caches.delete(names[0]);
  return null;
}

// The page says itself that it is a kept one.
async function marked(answer) {
  const text = await answer.text();
  return new Response(text.replace("<body", "<body data-kept"), { status: 200, headers: answer.headers });
}

async function page(event) {
  const { request } = event;
  try {
    const answer = await fetch(request);
    if (answer.type !== "opaqueredirect") event.waitUntil(notice(request.url, answer.clone()));
    return answer;
  } catch {
    const answer = await kept(request.url, { ignoreSearch: true });
    return answer ? marked(answer) : ((await caches.match(OFFLINE)) ?? Response.error());
  }
}

async function part(event) {
  const { request } = event;
  try {
    const answer = await fetch(request);
    event.waitUntil(notice(request.url, answer.clone(), { isPart: true }));
    return answer;
  } catch (error) {
    const answer = await kept(request.url);
    if (answer) return answer;
    throw error;
  }
}

// A name with a hash never changes what it holds; others are asked for as long as there is a network.
async function file(request) {
  const cache = await caches.open(FILES);
  const known = await cache.match(request.url);
  if (known && HASHED.test(new URL(request.url).pathname)) return known;
  return fetch(request).catch((error) => known ?? Promise.reject(error));
}

async function signOut(request) {
  try {
    return await fetch(request);
  } catch {
    return (await caches.match(OFFLINE)) ?? Response.error();
  } finally {
    await forgetOthers();
  }
}

async function keepFiles(files) {
  const cache = await caches.open(FILES);
  const wanted = new Set(files.map((address) => new URL(address, self.location).href));
  wanted.add(new URL(OFFLINE, self.location).href);
  for (const request of await cache.keys()) if (!wanted.has(request.url)) await cache.delete(request);
  for (const address of wanted) {
    if (HASHED.test(address) && (await cache.match(address))) continue;
    // As nobody: the page for a time without network is everybody's.
    const answer = await fetch(address, { credentials: "omit" });
    if (answer.ok) await cache.put(address, answer);
  }
}

// The music on a page that was asked for and not shown yet.
function drawnIn(text) {
  return [...text.matchAll(/src(?:set)?="([^"]*\/score\.svg\?[^"]*)"/g)].map(([, address]) => address.replaceAll("&amp;", "&"));
}

async function keep({ files, pages }, source) {
  if (files) await keepFiles(files);
  const drawings = [];
  for (const address of pages) {
    const answer = await fetch(address, { credentials: "same-origin" });
    if (answer.headers.get("Content-Type")?.startsWith("text/html")) drawings.push(...drawnIn(await answer.clone().text()));
    await notice(new URL(address, self.location).href, answer);
  }
  for (const address of drawings.slice(0, MOST_DRAWINGS)) {
    const full = new URL(address, self.location).href;
    await notice(full, await fetch(full, { credentials: "same-origin" }));
  }
  if (files) source?.postMessage("kept", []);
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("message", (event) => event.waitUntil(keep(event.data, event.source).catch(() => null)));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (origin !== self.location.origin) return;
  if (request.method === "POST" && pathname === SIGN_OUT) event.respondWith(signOut(request));
  else if (request.method !== "GET") return;
  else if (pathname.startsWith(STATIC)) event.respondWith(file(request));
  else if (request.mode === "navigate") event.respondWith(page(event));
  else if (PARTS.test(pathname)) event.respondWith(part(event));
});
