// The pages of a course, as the command writes them: opened from disk and from a server, and what filters of learning
// platforms leave of a block.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { test } from "node:test";
import { pathToFileURL } from "node:url";
import sanitize from "sanitize-html";
import { build } from "./browsers.mjs";
import { accessible } from "./looks.mjs";
import { eventually, openPage } from "./page.mjs";
import { serve } from "./server.mjs";

// A page of a course has little in it, and one from disk may not fetch its style sheet again, as axe would.
const small = { fewest: 5, preload: false };

const program = resolve(import.meta.dirname, "../../build/nodespan");
const purify = readFileSync(createRequire(import.meta.url).resolve("dompurify/dist/purify.min.js"), "utf8");
const shelf = "# A shelf, <b>loaded</b> evenly.\nq = 2 in [1, 8]\ny'' = -q/2^2\ny(0) = 0\ny(1) = 0";
const fin = "T'' = 4 T\nT(0) = 1\nT'(1) = 0";

// written hands over a folder of two problems, written by the command with the page as it was built.
async function written(trial) {
  const folder = mkdtempSync(join(tmpdir(), "nodespan-"));
  try {
    writeFileSync(join(folder, "shelf.txt"), shelf);
    writeFileSync(join(folder, "fin.txt"), fin);
    execFileSync(program, ["-pages", join(folder, "course"), "-page", join(build, "nodespan.html"), "-title",
      "The hut’s course", join(folder, "shelf.txt"), join(folder, "fin.txt")], { timeout: 60_000 });
    await trial(join(folder, "course"));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

export function course(at) {
  test("a course is opened, gone through and read, on a laptop and on a phone", () => written(async (folder) => {
    const server = at.place === "server" && await serve(folder);
    const address = server ? server.url : pathToFileURL(folder).href + "/";
    const page = await openPage(at.browser, address + "index.html", { width: 1366, height: 768 });
    const fits = () => page.tab.evaluate(
      () => document.documentElement.scrollWidth <= document.documentElement.clientWidth);
    const follow = (words) => Promise.all([page.tab.waitForNavigation(), page.tab.evaluate((words) =>
      [...document.querySelectorAll("a")].find((a) => a.textContent.startsWith(words)).click(), words)]);
    const answer = async () => {
      const [frame] = await eventually("a frame", () => {
        const frames = page.tab.mainFrame().childFrames();
        return frames.length > 0 && frames;
      });
      const said = await eventually("an answer in the frame", () => frame.evaluate(
        () => document.querySelector("#answer > .headline .number")?.textContent));
      await eventually("the frame to be as high as what it shows", async () => {
        const height = await frame.evaluate(() => document.body.getBoundingClientRect().height);
        const outer = await page.tab.evaluate(() => document.querySelector("iframe").clientHeight);
        return height > 200 && Math.abs(outer - height) <= 2;
      });
      return said;
    };
    try {
      assert.match(await page.tab.evaluate(() => document.body.innerText), /A shelf, <b>loaded<\/b> evenly/);
      await accessible(page, "the index", small);
      await follow("Shelf");
      assert.match(await answer(), /^0\.062/);
      await accessible(page, "a problem", small);
      await page.tab.setViewport({ width: 390, height: 844 });
      assert.ok(await fits(), "a problem on a phone");
      await follow("Next: Fin");
      assert.match(await answer(), /^0\.265/);
      await follow("Handout");
      assert.ok(await fits(), "a handout on a phone");
      await page.tab.goto(address + "lecturer/index.html");
      assert.ok(await fits(), "the lecturer's page on a phone");
      await accessible(page, "the lecturer's page", small);
      // Firefox looks for a server's icon of every page, also of one whose policy allows no pictures.
      assert.deepEqual(page.faults.filter((fault) => !fault.includes("/favicon.ico")), []);
    } finally {
      await page.tab.close();
      await server?.close?.();
    }
  }));

  if (at.place !== "server") return;

  test("the hut's course: six frames on one page start when they come near, each with its answer", async () => {
    const page = await openPage(at.browser, at.address + "course/all.html", { width: 1366, height: 768 });
    try {
      await accessible(page, "six frames", small);
      let moved = 0;
      for (let i = 0; i < 6; i++) {
        await page.tab.evaluate((i) => document.querySelectorAll("iframe")[i].scrollIntoView(), i);
        const element = (await page.tab.$$("iframe"))[i];
        const frame = await eventually("the frame's page", () => element.contentFrame());
        await eventually(`an answer in frame ${i + 1}`, () => frame.evaluate(
          () => document.querySelector("#answer > .headline .number, #figure")?.checkVisibility() &&
            document.getElementById("answer").getAttribute("aria-busy") === "false"));
        moved += await frame.evaluate(() => document.querySelectorAll(".slider").length);
      }
      assert.equal(moved, 5, "constants that move");
      await page.tab.setViewport({ width: 320, height: 640 });
      assert.ok(await page.tab.evaluate(
        () => document.documentElement.scrollWidth <= document.documentElement.clientWidth), "320 pixels");
      assert.deepEqual(page.faults, []);
    } finally {
      await page.tab.close();
    }
  });

  test("filters that keep mark-up leave a block whole; those that keep text leave its sheet and its table", () =>
    written(async (folder) => {
      const page = await openPage(at.browser, at.address, {});
      try {
        await page.solved();
        await page.tab.evaluate(purify + "; 0");
        for (const name of readdirSync(join(folder, "blocks"))) {
          const block = readFileSync(join(folder, "blocks", name), "utf8");
          const rows = block.match(/<tr>/g).length;
          const kept = await page.tab.evaluate((block) => {
            const body = DOMPurify.sanitize(block, { RETURN_DOM: true });
            const removed = DOMPurify.removed.map((r) => (r.element ?? r.attribute)?.nodeName ?? r.attribute?.name);
            const count = (selector) => body.querySelectorAll(selector).length;
            return { removed, formulas: count("math mi"), lines: count("svg polyline"), rows: count("tr"),
              sheet: body.querySelector("pre").textContent, link: body.querySelector("a").getAttribute("href") };
          }, block);
          assert.deepEqual(kept.removed, [], name);
          assert.ok(kept.formulas > 5 && kept.lines > 0 && kept.rows === rows, `${name}: ${JSON.stringify(kept)}`);
          assert.equal(kept.sheet, name === "fin.html" ? fin : shelf);
          assert.match(kept.link, /^\.\.\/nodespan\.html#1\./);
          const strict = sanitize(block);
          assert.doesNotMatch(strict, /<(math|svg|script|style|iframe)/);
          assert.equal(strict.match(/<tr>/g).length, rows, name);
          const sheet = /<pre>([^]*)<\/pre>/.exec(strict)[1];
          assert.equal(sheet.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&"), kept.sheet);
          assert.match(strict, /<a href="\.\.\/nodespan\.html#1\./);
        }
      } finally {
        await page.tab.close();
      }
    }));
}
