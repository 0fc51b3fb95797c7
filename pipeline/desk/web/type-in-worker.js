// The form goes on being there without a connection: what the desk answered last is
// shown again while it does not answer. Browsers take this script on the machine of
// the desk itself only, since other machines ask without encryption.
"use strict";
const kept = "spadefoot-type-in";
const parts = ["/style.css", "/web/desk.js", "/web/type-in.js"];

// keyOf is what a request is kept by; nothing for what is not kept.
const keyOf = (request) => {
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return "";
  if (parts.includes(url.pathname)) return url.pathname;
  if (url.pathname !== "/type-in" || url.searchParams.has("row") || url.searchParams.has("secret")) return "";
  return "/type-in?form=" + encodeURIComponent(url.searchParams.get("form") || "");
};

const ask = async (request) => {
  const answer = await fetch(request);
  if (answer.ok && !answer.headers.has("Refresh")) await (await caches.open(kept)).put(keyOf(request), answer.clone());
  return answer;
};

addEventListener("install", (event) => {
  skipWaiting();
  event.waitUntil(Promise.all([...parts, "/type-in"].map((part) => ask(new Request(part)))));
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    await clients.claim();
    const open = (await clients.matchAll()).map((client) => new Request(client.url)).filter(keyOf);
    await Promise.all(open.map(ask));
  })());
});

addEventListener("fetch", (event) => {
  const key = keyOf(event.request);
  if (!key) return;
  event.respondWith(ask(event.request).catch(async (error) => {
    const answer = await (await caches.open(kept)).match(key);
    if (!answer) throw error;
    return answer;
  }));
});
