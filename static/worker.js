// Keeps on this device the pages that the server marks (x-kept) and the files
// they need, and shows them when there is no signal. The server puts the list
// FILES before this text. Nothing else is ever stored.
const PAGES = "kept-pages";
const SHELL = "files-" + FILES.join().length + "-" + FILES.map((f) => f.split("/")[2].slice(0, 4)).join("");
const PATIENCE = 6000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((c) => c.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("files-") && name !== SHELL) await caches.delete(name);
    }
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

// A kept page may name a file of an older program: the present one will do.
const file = async (request) => {
  const held = await caches.match(request);
  if (held) return held;
  try {
    return await fetch(request);
  } catch (fault) {
    const name = new URL(request.url).pathname.split("/").pop();
    const other = FILES.find((f) => f.endsWith("/" + name));
    const found = other && (await caches.match(other));
    if (found) return found;
    throw fault;
  }
};

const address = (url) => {
  const plain = new URL(url);
  return plain.origin + plain.pathname;
};

const store = async (url, reply) => {
  if (reply.status === 401) {
    // The sign-in is over, here or from the office: nothing stays behind.
    await caches.delete(PAGES);
  } else if (reply.ok && !reply.redirected && reply.headers.get("x-kept") === "yes" && !new URL(url).search) {
    const pages = await caches.open(PAGES);
    await pages.put(address(url), reply.clone());
  }
};

const fromStore = async (url) => {
  const pages = await caches.open(PAGES);
  const path = new URL(url).pathname;
  const head = /^\/heads\/\d+/.exec(path);
  const tries = [address(url), head && self.location.origin + head[0] + "/site", self.location.origin + "/site"];
  for (const one of tries) {
    const held = one && (await pages.match(one));
    if (held) return held;
  }
  const words = "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>" +
    "<title>No signal</title><main><h1>No signal</h1><p>This page is not kept on this device. Try again where there is a signal.</p>" +
    "<p><a href=/site>What is kept here</a></p></main></html>";
  return new Response(words, { status: 503, headers: { "content-type": "text/html; charset=utf-8" } });
};

const page = async (request) => {
  const halt = new AbortController();
  // Only where there is something to show instead is a slow answer given up.
  const kept = await (await caches.open(PAGES)).match(address(request.url));
  const timer = kept && setTimeout(() => halt.abort(), PATIENCE);
  try {
    const reply = await fetch(request, { signal: halt.signal });
    await store(request.url, reply);
    return reply;
  } catch (fault) {
    return fromStore(request.url);
  } finally {
    clearTimeout(timer);
  }
};

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
  else if (request.mode === "navigate") event.respondWith(page(request));
});
