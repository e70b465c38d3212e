// The page is locked: a strict policy, no network, no message unseen.
import assert from "node:assert/strict";
import { test } from "node:test";
import { build } from "./browsers.mjs";
import { eventually, inPage, openPage, until } from "./page.mjs";
import { serve } from "./server.mjs";

// directives reads a content security policy.
function directives(policy) {
  return Object.fromEntries(policy.split(";").map((d) => d.trim().split(/\s+/)).filter(([name]) => name).map(([name,
    ...sources]) => [name, sources]));
}

export function safety(at) {
  test("a strict content security policy is in force", () =>
    inPage(at, async (page) => {
      const policy = directives(await page.tab.evaluate(() => document.querySelector(
        'meta[http-equiv="Content-Security-Policy"]').content));
      assert.deepEqual(policy["default-src"], ["'none'"]);
      assert.deepEqual(policy["base-uri"], ["'none'"]);
      assert.deepEqual(policy["form-action"], ["'none'"]);
      for (const [name, sources] of Object.entries(policy)) {
        for (const source of sources) {
          assert.doesNotMatch(source, /^\*|^https?:|unsafe-inline|'unsafe-eval'/, `${name} ${source}`);
        }
      }
      // In force, not only written down: what it forbids does not run, and is reported.
      const tried = await page.tab.evaluate(async () => {
        const before = watch.breaches.length;
        const script = document.createElement("script");
        script.textContent = "globalThis.slipped = true";
        document.body.append(script);
        script.remove();
        const reached = await fetch("http://127.0.0.1:5999/").then(() => true, () => false);
        return { ran: globalThis.slipped === true, reached, before };
      });
      assert.equal(tried.ran, false);
      assert.equal(tried.reached, false);
      await until(page.tab, "both breaches to be seen", (before) => watch.breaches.length >= before + 2 &&
        watch.breaches.splice(before), tried.before);
      // The messages of the two attempts, which come in their own time, are no faults.
      await eventually("the messages of both attempts", () => [/script/i,
        /127\.0\.0\.1:5999/].every((of) => page.faults.some((f) => of.test(f))));
      await page.frame();
      page.faults = page.faults.filter((f) => !/content.security.policy|127\.0\.0\.1:5999/i.test(f));
      page.requests.splice(0, page.requests.length,
        ...page.requests.filter((url) => !url.startsWith("http://127.0.0.1:5999/")));
    }));

  test("nothing is asked for but the page's own files", async () => {
    await inPage(at, async (page) => {
      await page.solved(() => page.paste("y'' = -y\ny(0) = 0\ny(1) = 1"));
      const resources = await page.tab.evaluate(() => performance.getEntriesByType("resource").map((e) => e.name));
      for (const url of [...resources, ...page.requests]) {
        assert.match(url, at.place === "disk" ?
          /^(file:.*\/nodespan\.html|blob:|data:)/ :
          new RegExp("^(http://127\\.0\\.0\\.1:\\d+/(|index\\.html|nodespan\\.(css|js|wasm)|math\\.woff2|sw\\.js|" +
            "icon\\.svg|manifest\\.webmanifest)(#.*)?$|blob:|data:)"));
      }
    });
  });

  test("licences and help can be reached", () =>
    inPage(at, async (page) => {
      for (const id of ["help", "licences"]) {
        await page.tab.focus(`#${id} > summary`);
        await page.tab.keyboard.press("Enter");
        await until(page.tab, `what is under ${id}`, (id) => document.getElementById(id).innerText.length > 500, id);
      }
      const licences = await page.text("licences");
      for (const name of ["gonum", "honnef.co/go/js/dom", "The Go Authors", "Open Font Licen"])
        assert.ok(licences.toLowerCase().includes(name.toLowerCase()), name);
    }));

  if (at.place === "server") {
    test("a server that does not know WebAssembly is served by another way", async () => {
      const server = await serve(`${build}/site`, { ".wasm": "application/octet-stream" });
      try {
        await inPage({ ...at, address: server.url }, async (page) => assert.match(await page.text("answer"), /\d/), {});
        assert.ok(server.seen.includes("/nodespan.wasm"));
      } finally {
        await server.close();
      }
    });
    return;
  }

  // A watch that sees nothing proves nothing: on a page that does what ours may not, all of it is seen.
  test("the tests see what they watch for", async () => {
    const page = await openPage(at.browser, "data:text/html," + encodeURIComponent(
      `<!doctype html><meta http-equiv="Content-Security-Policy" content="img-src 'none'"><p id="answer"></p>
       <script>console.error("a message"); setTimeout(() => { throw new Error("an exception") });
       document.body.append(Object.assign(new Image(), { src: "http://127.0.0.1:5999/a.png" }));
       fetch("http://127.0.0.1:5999/asked").catch(() => 0)</script>`));
    await eventually("a message on the console", () => page.faults.some((f) => f.includes("a message")));
    await eventually("an exception", () => page.faults.some((f) => f.includes("an exception")));
    await until(page.tab, "a breach", () => watch.breaches.some((b) => b.startsWith("img-src")));
    await eventually("a request", () => page.requests.some((r) => r.endsWith("/asked")));
    await page.tab.close();
  });
}
