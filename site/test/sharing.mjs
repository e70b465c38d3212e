// Links and frames: the sheet and the method in the address, and nothing else anywhere.
import assert from "node:assert/strict";
import { createServer } from "node:http";
import { test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { eventually, inPage, openPage } from "./page.mjs";
import { fin, pasted } from "./sheets.mjs";

// fragment makes a link's fragment by the published form (DEVELOPERS.md), without the page's own code.
export function fragment(sheet, method = "") {
  return "#1." + deflateRawSync(method + "\n" + sheet).toString("base64url");
}

export function sharing(at) {
  test("a copied link opens the same sheet, method and table", async () => {
    let link;
    let table;
    await inPage(at, async (page) => {
      await page.solved(() => page.paste(pasted[4].sheet)); // Greek and typographic primes
      await page.solved(() => page.setMethod({ "method-name": "one", nodes: "12", family: "chebyshev", digits: "6" }));
      table = await page.table();
      link = await page.copied("#copy-link");
      assert.match(await page.text("copied-link"), /Copied the link/);
      assert.ok(link.startsWith(at.address + "#1."), link);
      assert.ok(link.length < at.address.length + 400, `${link.length} characters`);
    });
    await inPage(at, async (page) => {
      await page.solved();
      assert.equal(await page.sheet(), pasted[4].sheet);
      const controls = await page.tab.evaluate(() => ["method-name", "nodes", "family",
        "digits"].map((id) => document.getElementById(id).value));
      assert.deepEqual(controls, ["one", "12", "chebyshev", "6"]);
      assert.deepEqual(await page.table(), table);
    }, { fragment: link.slice(at.address.length) });
  });

  test("a fragment made by the published form is solved, and so is the next one in the same tab", () =>
    inPage(at, async (page) => {
      await page.solved();
      assert.equal(await page.sheet(), "y'' = -y\ny(0) = 0\ny(1) = 1");
      await page.solved(() => page.tab.evaluate((hash) => (location.hash = hash),
        fragment("y'' = y\ny(0) = 0\ny(1) = 1", "method=one nodes=7")));
      assert.equal(await page.sheet(), "y'' = y\ny(0) = 0\ny(1) = 1");
      assert.equal((await page.table()).rows.length, 9, "seven nodes and the ends");
    }, { fragment: fragment("y'' = -y\ny(0) = 0\ny(1) = 1") }));

  test("damaged, foreign and oversized fragments do no harm and are named", async () => {
    const good = fragment("y'' = -y\ny(0) = 0\ny(1) = 1");
    for (const [what, hash, says] of [
      ["cut short", good.slice(0, -8), /damaged|cut short/],
      ["not base64", "#1.!!!!", /damaged|cut short/],
      ["of a later version", good.replace("#1.", "#9."), /newer/],
      ["with unknown members", fragment("y'' = 0", "colour=red"), /damaged|cut short/],
      ["with a method of its own", fragment("y'' = 0", "method=<img"), /damaged|cut short/],
      ["with a number out of range", fragment("y'' = 0", "method=one nodes=1000000000"), /damaged|cut short/],
      ["that unpacks to megabytes", fragment("y".repeat(5_000_000)), /long|damaged|cut short/],
    ]) {
      await inPage(at, async (page) => {
        const headline = await page.answered();
        assert.match(headline, says, what);
        await page.solved(() => page.paste("y'' = -y\ny(0) = 0\ny(1) = 1"));
      }, { fragment: hash });
    }
    // An anchor of another page's making is no problem of ours.
    await inPage(at, (page) => page.solved(), { fragment: "#answer" });
  });

  test("mark-up in a sheet stays text", () =>
    inPage(at, async (page) => {
      await page.faulted();
      assert.match(await page.text("fault"), /^Line/);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("main img, main script").length), 0);
    }, { fragment: fragment("y'' = <img src=x onerror=alert(1)> y\ny(0) = 0\ny(1) = 1") }));

  if (at.place !== "server") return; // a course page cannot show a file of somebody else's disk

  test("the copied frame shows the problem solved in another page, narrow", async () => {
    let snippet;
    await inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      snippet = await page.copied("#copy-frame");
    });
    assert.match(snippet, /^<iframe src="[^"]+" title="[^"]+"/);
    const course = createServer((_, response) =>
      response.writeHead(200, { "Content-Type": "text/html; charset=utf-8" })
        .end(`<!doctype html><html lang="en"><title>Course</title><link rel="icon" href="data:,">
          <body style="margin:0"><div style="width:340px">${snippet}</div>`));
    await new Promise((resolve) => course.listen(0, "127.0.0.1", resolve));
    const address = `http://127.0.0.1:${course.address().port}/`;
    const page = await openPage(at.browser, address);
    try {
      const frame = page.tab.frames().find((f) => f.url().startsWith(at.address)) ?? (
        await page.tab.waitForFrame((f) => f.url().startsWith(at.address)));
      await eventually("a node table in the frame",
        () => frame.evaluate(() => document.querySelectorAll("#node-table tbody tr").length));
      assert.ok(await frame.evaluate(
        () => document.documentElement.scrollWidth <= document.documentElement.clientWidth),
        "no sideways scrolling in a narrow frame");
      assert.ok(await frame.evaluate(() => document.documentElement.classList.contains("framed")));
      assert.deepEqual(page.faults, []);
    } finally {
      await page.tab.close();
      course.closeAllConnections();
      await new Promise((resolve) => course.close(resolve));
    }
  });
}
