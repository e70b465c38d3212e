// How many answers there are, and why there is none: further solutions, and the branch that turns back.
import assert from "node:assert/strict";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { inPage, until } from "./page.mjs";

const strut = "theta'' + k^2 sin(theta) = 0\ntheta(0) = 0, theta(1) = 0\nk = 5 in [1, 8]";

// found waits until the search has ended, and returns what it says. There are numbers in it where it searched.
const found = (page, what = /./) => until(page.tab, `the end of a search (${what})`, (what) => {
  const text = document.getElementById("findings-text").innerText;
  return new RegExp(what).test(text) && text;
}, what.source);

const buttons = (page) => page.tab.evaluate(() => [...document.querySelectorAll("#findings button")].map((b) => ({
  text: b.innerText.replace(/[\u2009\u202f\u2061\s]/g, ""), pressed: b.getAttribute("aria-pressed"),
  off: b.disabled, curves: b.querySelectorAll("svg path:not(.axis)").length })));

export function finding(at) {
  // The strut buckles at k = π (Euler); between π and 2π there are three solutions.
  test("a strut has buckled: its solutions stand beside each other, and a press makes one the answer", () =>
    inPage(at, async (page) => {
      assert.match(await page.solved(() => page.paste(strut)), /trivial/, "zero is never told without saying so");
      const words = await found(page, /solutions were found/);
      assert.match(words, /^3 solutions .* number 1 is the trivial one.* with the other sign.*proves nothing/);
      const list = await buttons(page);
      assert.deepEqual(list.map((b) => [b.pressed, b.off, b.curves]),
        [["true", false, 1], ["false", false, 1], ["false", false, 1]]);
      await accessible(page, "three solutions");
      const before = await page.sheet();
      await page.tab.focus("#findings button:nth-child(2)");
      const answer = await page.solved(() => page.tab.keyboard.press("Enter"));
      assert.doesNotMatch(answer, /trivial/);
      assert.match(await page.sheet(), /^guess theta = .*x/m, "the guess stands in the sheet");
      assert.match(await found(page, /solutions were found/), /^3 solutions/);
      const after = await buttons(page);
      assert.deepEqual(after.map((b) => b.pressed), ["true", "false", "false"]);
      assert.equal(after[0].text.slice(2), list[1].text.slice(2), "the one that was pressed is the answer now");
      await page.tab.focus("#sheet");
      await page.tab.keyboard.down("Control");
      const again = await page.solved(() => page.tab.keyboard.press("z"));
      await page.tab.keyboard.up("Control");
      assert.match(again, /trivial/);
      assert.equal(await page.sheet(), before, "the press can be undone");
    }));

  test("a theorem that leaves one solution is named, and a search that was for an older sheet does not stay", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste("y'' = y^3; y(0) = 0; y(1) = 1"));
      assert.match(await found(page), /no other solution: .*maximum principle/);
      await page.solved(() => page.paste("y'' + y = 0; y(0) = 0; y(2) = 1"));
      assert.match(await found(page, /linear/), /Fredholm/);
      await page.solved(() => page.paste(strut));
      await found(page, /3 solutions were found/);
      await page.faulted(() => page.paste(strut.replace("= 5", "=")));
      assert.deepEqual((await buttons(page)).map((b) => b.off), [true, true, true]);
    }));

  // Frank-Kamenetskii 1955: the exponential source has solutions up to 3.513 830 719.
  test("a sheet past a fold is told so, with the value there", () =>
    inPage(at, async (page) => {
      const headline = await page.answered(() => page.paste("y'' + lam exp(y) = 0; y(0) = 0; y(1) = 0; lam = 4"));
      assert.match(headline, /did not converge/);
      assert.match(await found(page), /lam = 4.* up to 3\.513[\s\u202f]?830[\s\u202f]?719.* turns back/);
      await accessible(page, "the reason why there is no answer");
    }));

  // The same source; against the constant its branch turns back there, and a value below has two solutions.
  test("how it moves with a constant: the branch is drawn, its fold told, and a press on a point makes it the answer",
    () =>
      inPage(at, async (page) => {
        await page.solved(() => page.paste("y'' + lam exp(y) = 0\ny(0) = 0, y(1) = 0\nlam = 1 in [0.5, 5]"));
        await page.press("#trace > summary");
        await page.press("#trace-form button");
        const words = await until(page.tab, "the branch", () => document.getElementById("trace-text").innerText);
        assert.match(words, /up to lam = 3\.513[\s\u202f]?830[\s\u202f]?719.*; below it there are two/);
        const drawn = await page.tab.evaluate(() => ["branch", "fold", "crossing"].map((name) =>
          document.querySelectorAll(`#trace-picture .${name}`).length));
        assert.deepEqual(drawn, [1, 1, 0]);
        await accessible(page, "branches");
        await page.press("[data-trace=tsv]");
        const rows = (await page.tab.evaluate(() => watch.written.at(-1))).trim().split("\n");
        assert.equal(rows[0], "branch\tlam\ty(0.5)\terror");
        assert.ok(rows.length > 30, `${rows.length} rows`);
        await page.tab.focus("#trace-place");
        await page.tab.keyboard.press("End");
        const last = await page.text("trace-chosen");
        const answer = await page.solved(() => page.press("#trace-pick"));
        assert.match(await page.sheet(), /^lam = 0\.5 in \[0\.5, 5\]$/m);
        assert.match(await page.sheet(), /^guess y = /m);
        const digits = (text) => text.replace(/[^\d.−=]/g, "").match(/[\d.]+$|(?<=0\.5=)[\d.]{6}/)[0];
        assert.equal(digits(last.slice(last.indexOf("y("))).slice(0, 6), digits(answer).slice(0, 6));
        assert.ok(await page.tab.evaluate(() => !document.getElementById("trace-shown").hidden),
          "the branch stays, for the next point");
        await page.put("trace-to", "much");
        await page.press("#trace-form button");
        assert.match(await page.text("trace-told"), /two different numbers/);
        await page.solved(() => page.paste("y'' + lam exp(y) = 0\ny(0) = 0, y(1) = 0\nlam = 2"));
        assert.ok(await page.tab.evaluate(() => document.getElementById("trace-shown").hidden),
          "branches of another sheet do not stay");
      }));
}
