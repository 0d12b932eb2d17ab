// After one visit the page works with no network. The build puts the list of files
// and their hash in place of the two words below; a new build is a new worker, which
// fetches its files, and then throws the old ones away.

const version = "VERSION";
const files = ["FILES"];
const patience = 4000; // ms

self.addEventListener("install", (event) => {
	event.waitUntil((async () => {
		const cache = await caches.open(version);
		await cache.addAll(files);
		await self.skipWaiting();
	})());
});

self.addEventListener("activate", (event) => {
	event.waitUntil((async () => {
		for (const key of await caches.keys()) {
			if (key.startsWith("quietpump-") && key !== version) await caches.delete(key);
		}
		await self.clients.claim();
	})());
});

// The page itself comes from the network while there is one, so that a new build is
// seen at once; everything else is named by its hash and never changes.
self.addEventListener("fetch", (event) => {
	const { request } = event;
	if (request.method !== "GET" || new URL(request.url).origin !== self.location.origin) return;
	event.respondWith((async () => {
		const cache = await caches.open(version);
		if (request.mode !== "navigate") return (await cache.match(request, { ignoreSearch: true })) ?? fetch(request);
		// Where the signal is too thin for an answer, the one from last time is shown.
		const kept = await cache.match("./");
		const late = new Promise((resolve) => { if (kept) setTimeout(resolve, patience, kept); });
		return Promise.race([fetch(request).catch(() => kept ?? Response.error()), late]);
	})());
});
