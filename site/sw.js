// The service worker of the folder: after the first visit the page works with no network. The build fills in what the
// folder holds, each file with its hash, and a version that follows from them. A version is fetched whole or not at
// all, into a store of its own; the one before serves every open page until the last of them is closed, so that no
// page is made of two versions.
"use strict";
const version = VERSION;
const files = FILES;
const store = "nodespan-" + version;

addEventListener("install", (event) => event.waitUntil((async () => {
	const cache = await caches.open(store);
	await Promise.all(Object.entries(files).map(async ([file, integrity]) => {
		const response = await fetch(file, { integrity, cache: "no-cache" });
		if (!response.ok) throw new Error(file + ": " + response.status);
		// made anew: one that was redirected is no answer to a navigation
		await cache.put(file, new Response(await response.blob(), { headers: response.headers }));
	}));
})()));

addEventListener("activate", (event) => event.waitUntil((async () => {
	for (const name of await caches.keys()) {
		if (name.startsWith("nodespan-") && name !== store) await caches.delete(name);
	}
})()));

addEventListener("fetch", (event) => {
	const { url, method } = event.request;
	const home = new URL("./", location).href;
	if (method !== "GET" || !url.startsWith(home)) return;
	const name = new URL(url).pathname.slice(new URL(home).pathname.length);
	const file = name === "" || name === "index.html" ? "./" : name;
	if (!Object.hasOwn(files, file)) return;
	event.respondWith((async () => (await (await caches.open(store)).match(file)) ?? fetch(event.request))());
});
