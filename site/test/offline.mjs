// The folder works after the first visit with its server stopped, and goes from one version to the next as a whole.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { build } from "./browsers.mjs";
import { openPage, until } from "./page.mjs";
import { serve } from "./server.mjs";

const sum = (data) => "sha256-" + createHash("sha256").update(data).digest("base64");

// next is the folder as another build would make it: another page, and what follows from it.
function next() {
  const page = readFileSync(`${build}/site/index.html`, "utf8");
  const other = page.replace(/<p class="version">Nodespan [^.]*\./, '<p class="version">Nodespan, the next.');
  assert.notEqual(other, page);
  const worker = readFileSync(`${build}/site/sw.js`, "utf8").replace(sum(page), sum(other))
    .replace(/const version = "[^"]*"/, 'const version = "next"');
  return { "/index.html": Buffer.from(other), "/sw.js": Buffer.from(worker) };
}

const version = (page) => page.tab.evaluate(() => document.querySelector(".version").textContent.includes("the next"));

const stored = (page) => until(page.tab, "a service worker at work", () => navigator.serviceWorker.getRegistration()
  .then((r) => r?.active?.state === "activated"));

export function offline(at) {
  test("with its server stopped the page opens, solves, and takes up the next version whole once it is there",
    async () => {
      let server = await serve(`${build}/site`);
      const address = server.url;
      const port = Number(new URL(address).port);
      const open = async () => {
        const page = await openPage(at.browser, address);
        await page.solved();
        assert.deepEqual(page.faults, []);
        return page;
      };
      try {
        let page = await open();
        await stored(page);
        await page.tab.close();
        await server.close();

        page = await open(); // with no server
        assert.match(await page.text("answer"), /\d/);
        await page.solved(() => page.paste("y'' = -y\ny(0) = 0\ny(1) = 1"));
        assert.equal(await version(page), false);
        await page.tab.close();

        server = await serve(`${build}/site`, {}, {}, { port, changed: next() });
        page = await open();
        assert.equal(await version(page), false, "the version that is stored is what opens");
        await until(page.tab, "the next version to be stored", () => navigator.serviceWorker.getRegistration()
          .then((r) => r.waiting?.state === "installed"));
        const second = await open();
        assert.equal(await version(second), false, "beside an open page of the version before, the same");
        await second.tab.close();
        await page.tab.close();
        await server.close();

        page = await open();
        assert.equal(await version(page), true, "the next version, with no server");
        assert.deepEqual(await page.tab.evaluate(() => caches.keys()), ["nodespan-next"]);
        await page.tab.close();
      } finally {
        await server.close().catch(() => {});
      }
    });
}
