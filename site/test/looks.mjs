// The page for everyone: in both designs, on a phone, magnified, on paper, and for people who do not see it.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { launch } from "./browsers.mjs";
import { inPage, until } from "./page.mjs";
import { faulty, fin } from "./sheets.mjs";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// accessible lets axe-core look at the page in its present state.
export async function accessible(page, state, { fewest = 20, preload = true } = {}) {
  await page.tab.evaluate(axe + "; 0");
  const violations = await page.tab.evaluate(async (fewest, preload) => {
    const { violations, passes } = await axe.run(document, { resultTypes: ["violations", "passes"], iframes: false,
      preload });
    if (passes.length < fewest) throw new Error(`axe checked only ${passes.length} rules`);
    return violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.html.slice(0, 120)).join(" | ")}`);
  }, fewest, preload);
  assert.deepEqual(violations, [], state);
}

async function everyState(at, design) {
  await inPage(at, async (page) => {
    assert.equal(await page.tab.evaluate(() => matchMedia("(prefers-color-scheme: dark)").matches), design === "dark");
    await accessible(page, `${design}, solved`);
    await page.tab.evaluate(() => document.querySelectorAll("details").forEach((d) => (d.open = true)));
    await page.tab.focus("#figure");
    await page.tab.keyboard.press("Home");
    await accessible(page, `${design}, help and licences open, figure read by keyboard`);
    await page.solved(() => page.setMethod({ "method-name": "pieces" }));
    await accessible(page, `${design}, with the method's controls`);
    await page.faulted(() => page.paste(faulty[0].sheet));
    await accessible(page, `${design}, faulty sheet`);
  });
}

// sideways returns by how many pixels the page is wider than the screen.
const sideways = (page) => page.tab.evaluate(() => Math.max(document.documentElement.scrollWidth,
  document.body.scrollWidth) - document.documentElement.clientWidth);

export function looks(at) {
  test("axe-core finds nothing in the light design", () => everyState(at, "light"));

  if (at.place === "disk") {
    test("axe-core finds nothing in the dark design, and its figure is drawn for it", async () => {
      const light = {};
      await inPage(at, async (page) => {
        light.picture = await page.picture("figure");
      });
      const browser = await launch(at.name, { dark: true });
      try {
        const inDark = { ...at, browser, page: undefined };
        await everyState(inDark, "dark");
        await inPage(inDark, async (page) => {
          const background = await page.tab.evaluate(() => getComputedStyle(document.body).backgroundColor.match(
            /[\d.]+/g).slice(0, 3).map(Number));
          assert.ok(Math.max(...background) < 100, `the paper is ${background}`);
          assert.notEqual((await page.picture("figure")).sum, light.picture.sum);
        });
      } finally {
        await browser.close();
      }
    });
  }

  for (const [what, options] of [
    ["on a phone, 320 pixels wide", { width: 320, height: 640, scale: 2 }],
    ["magnified to 200 %", { width: 640, height: 400, scale: 2 }], // 1280 × 800 at 200 %
    ["on a wide screen", { width: 2200, height: 1200 }],
  ]) {
    test(`nothing is cut off ${what}`, () =>
      inPage(at, async (page) => {
        assert.equal(await sideways(page), 0, "no sideways scrolling");
        for (const sheet of [
          fin.sheet,
          "Averylongnameofanunknown'' = -Averylongnameofaconstant_withasubscript^2 Averylongnameofanunknown\n" +
            "Averylongnameofanunknown(0) = 1\nAverylongnameofanunknown(1) = 0\n" +
            "Averylongnameofaconstant_withasubscript = 123.456789012345",
        ]) {
          await page.solved(() => page.paste(sheet));
          assert.equal(await sideways(page), 0, "no sideways scrolling");
        }
        await until(page.tab, "a figure with as many pixels as the screen has", () => {
          const figure = document.getElementById("figure");
          return Math.abs(figure.width - figure.getBoundingClientRect().width * devicePixelRatio) <= 2;
        });
      }, options));
  }

  test("the page prints, without its controls", () =>
    inPage(at, async (page) => {
      const pdf = await page.tab.pdf({ format: "a4" });
      assert.equal(Buffer.from(pdf.slice(0, 5)).toString(), "%PDF-");
      assert.ok(pdf.length > 20_000, `${pdf.length} bytes`);
      if (at.name === "chromium") {
        await page.tab.emulateMediaType("print");
        const visible = await page.tab.evaluate(() => [...document.querySelectorAll(
          "button, #examples, #share")].filter((e) => e.getClientRects().length > 0).map((e) => e.id || e.innerText));
        assert.deepEqual(visible, [], "no controls on paper");
        assert.equal(await page.tab.evaluate(() => document.getElementById("own").getClientRects().length), 0,
          "no empty field on paper");
        assert.ok(await page.tab.evaluate(() => ["reading", "answer", "figure-paper", "ladder-paper",
          "node-table"].every((id) => document.getElementById(id).getClientRects().length > 0)),
          "every section on paper");
        await page.tab.emulateMediaType(undefined);
      }
    }));

  test("the same facts in words and numbers for people who do not see the figure", () =>
    inPage(at, async (page) => {
      const described = await page.tab.evaluate(() => ["figure", "residual"].map((id) => {
        const canvas = document.getElementById(id);
        return [canvas.getAttribute("role"),
          document.getElementById(canvas.getAttribute("aria-describedby")).innerText];
      }));
      assert.deepEqual(described.map(([role]) => role), ["slider", "img"], "the figure is read as a slider");
      for (const [, words] of described) {
        assert.ok(words.length > 40, words);
      }
      const [, figure] = described[0];
      assert.match(figure, /\bT\b.*\bx\b.*\d/, "the curve, in words and numbers");
      assert.match(figure, /residual is at most \d.*near x = \d/, "and its residual");
      assert.equal(await page.tab.evaluate(() => document.getElementById("answer").getAttribute("aria-live")),
        "polite");
      assert.ok(await page.tab.evaluate(() => [...document.querySelectorAll("#node-table thead th")].every(
        (th) => th.scope === "col")));
    }));
}
