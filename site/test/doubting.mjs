// How far an answer can be trusted: the ladder, second opinions, the exact solution, one's own numbers.
import assert from "node:assert/strict";
import { test } from "node:test";
import { accessible } from "./looks.mjs";
import { eventually, inPage, until } from "./page.mjs";
import { fin } from "./sheets.mjs";

// climbed waits until the ladder of the sheet that is shown is complete, and returns its sentence.
const climbed = (page) =>
  until(page.tab, "a ladder", () => {
    const section = document.getElementById("ladders");
    return !section.hidden && !section.classList.contains("awaited") &&
      !document.getElementById("ladder-text").classList.contains("awaited") &&
      /\d/.test(document.getElementById("ladder-text").innerText) && document.getElementById("ladder-text").innerText;
  });

// climb does something after which a new ladder is complete: one that comes after the first figure of its sheet. The
// ladder of the sheet before may still come to its end while this begins.
async function climb(page, action) {
  const start = await page.tab.evaluate(() => performance.now());
  await page.solved(action);
  await climbed(page);
  await until(page.tab, "a complete ladder", (start) => {
    const answer = performance.getEntriesByName("nodespan-redraw").find((m) => m.startTime > start);
    return performance.getEntriesByName("nodespan-ladder").at(-1)?.startTime > answer.startTime;
  }, start);
  return page.text("ladder-text");
}

const shown = (page) => page.tab.evaluate(() => document.getElementById("ladder").getAttribute("aria-valuetext"));
const method = (page) => page.tab.evaluate(() => Object.fromEntries(["method-name", "nodes", "family", "elements",
  "order"].map((id) => [id, document.getElementById(id).value])));
const string = "y'' + y = 0\ny(0) = 0\ny(2) = 1";

export function doubting(at) {
  test("the ladder comes after the answer, and says the same as the native command", () =>
    inPage(at, async (page) => {
      const start = await page.tab.evaluate(() => performance.now());
      const words = await climb(page, () => page.paste(fin.sheet));
      assert.match(words, /Legendre nodes give 8 digits/);
      assert.match(words, /measured against/);
      assert.ok((await page.picture("ladder")).ink > 0.01, "the ladder is drawn");
      assert.match(await shown(page), /interior Legendre nodes: error/);
      const [answer, ladder] = await page.tab.evaluate((start) => [
        performance.getEntriesByName("nodespan-redraw").find((m) => m.startTime > start).startTime,
        performance.getEntriesByName("nodespan-ladder").at(-1).startTime,
      ], start);
      assert.ok(ladder > answer, "the answer does not wait for the ladder");
      assert.match(await page.text("resolution"), /Lebesgue constant/);
    }));

  test("a rung is chosen by the keyboard, and everything follows", () =>
    inPage(at, async (page) => {
      await climb(page, () => page.paste(fin.sheet));
      await page.tab.focus("#ladder");
      await page.solved(() => page.tab.keyboard.press("Home"));
      assert.match(await shown(page), /^1 interior Legendre node:/);
      for (let n = 2; n <= 5; n++) await page.solved(() => page.tab.keyboard.press("ArrowRight"));
      assert.match(await shown(page), /^5 interior Legendre nodes:/);
      assert.deepEqual(await method(page), { "method-name": "one", nodes: "5", family: "", elements: "", order: "" });
      assert.equal((await page.table()).rows.length, 7, "five nodes and two ends");
      await until(page.tab, "the verdict on five nodes",
        () => /^Five interior/.test(document.getElementById("resolution").innerText));
      await page.solved(() => page.tab.keyboard.press("ArrowDown"));
      assert.equal((await method(page))["method-name"], "pieces");
      await page.solved(() => page.tab.keyboard.press("ArrowDown"));
      await page.solved(() => page.tab.keyboard.press("ArrowDown"));
      const now = await method(page);
      assert.deepEqual([now["method-name"], now.order], ["differences", "4"]);
      assert.match(await shown(page), /differences of order 4/);
      await page.solved(() => page.tab.keyboard.press("End"));
      assert.ok(Number((await method(page)).nodes) > 100);
      await page.solved(() => page.tab.keyboard.press("ArrowLeft"));
      assert.ok(await page.tab.evaluate(() => document.activeElement.id === "ladder"),
        "the keyboard stays on the ladder");
    }));

  test("a rung is chosen by the pointer", () =>
    inPage(at, async (page) => {
      await climb(page, () => page.paste(fin.sheet));
      await page.tab.evaluate(() => document.getElementById("ladder").scrollIntoView({ block: "center" }));
      // Wherever the ladder lies under the pointer: along a falling line some rung is met.
      const box = await page.tab.evaluate(() => {
        const { left, top, width, height } = document.getElementById("ladder").getBoundingClientRect();
        return { left, top, width, height };
      });
      let told = "";
      for (let i = 2; i < 40 && !told; i++) {
        for (const share of [0.35, 0.45, 0.55]) {
          await page.tab.mouse.move(box.left + (box.width * i) / 40, box.top + box.height * share);
          await page.frame(); // the page has heard of the movement: what is told is of this place, not the one before
          told = await page.tab.evaluate(() => (document.getElementById("rungs").classList.contains(
            "over") ? document.getElementById("ladder-readout").innerText : ""));
          if (told) {
            const place = [box.left + (box.width * i) / 40, box.top + box.height * share];
            await page.solved(() => page.tab.mouse.click(...place));
            break;
          }
        }
      }
      assert.match(told, /error/);
      assert.equal(`${await shown(page)}.`, told);
    }));

  test("the other families, and the ladder in numbers", () =>
    inPage(at, async (page) => {
      await climb(page, () => page.paste(fin.sheet));
      const before = await page.picture("ladder");
      await page.tab.focus("#others");
      await page.tab.keyboard.press(" ");
      await until(page.tab, "the other families",
        () => /Chebyshev/.test(document.getElementById("ladder-text").innerText));
      await page.tab.focus("#ladder-numbers > summary");
      await page.tab.keyboard.press("Enter");
      const rows = await page.tab.evaluate(() => [...document.querySelectorAll("#ladder-table tbody tr")].map(
        (r) => r.innerText));
      assert.equal(rows.length, 8);
      for (const family of ["Legendre", "Chebyshev", "Lobatto", "Radau", "equispaced"])
        assert.ok(rows.some((r) => r.includes(family)), family);
      await eventually("the other families to be drawn", async () => (await page.picture("ladder")).sum !== before.sum);
      await accessible(page, "ladder with other families and in numbers");
      await page.press("#others");
      await until(page.tab, "the ladder without them",
        () => !/Chebyshev/.test(document.getElementById("ladder-text").innerText));
    }));

  test("equispaced nodes wiggle, and are told to", () =>
    inPage(at, async (page) => {
      await page.setMethod({ "method-name": "one", family: "equispaced", nodes: "18" });
      const words = await climb(page, () => page.paste("y' + 50 x y/(1 + 25 x^2) = 0\ny(0) = 1\n-1 < x < 1"));
      assert.match(words, /wiggles and the error grows/);
      await until(page.tab, "the verdict", () => /wiggle/.test(document.getElementById("resolution").innerText));
    }));

  test("other methods are asked, at a chosen point too", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(fin.sheet));
      await page.put("ask", "0.2");
      await page.tab.focus("#check-method");
      await page.tab.keyboard.press("Enter");
      const words = await until(page.tab, "an agreement",
        () => /digits everywhere/.test(document.getElementById("checked").innerText) &&
        document.getElementById("checked").innerText);
      assert.match(words, /pieces agree .* T\(0.2\) to \d+ digits/);
      assert.match(words, /Finite differences .* agree/);
      await page.solved(() => page.paste(string));
      assert.equal(await page.text("checked"), "", "an agreement about another sheet does not stay");
    }));

  test("an exact solution is measured against, and a wrong one is called wrong first", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(`${string}\nexact y = sin(x)/sin(2)`));
      const right = await until(page.tab, "the exactness", () => document.getElementById("exactness").innerText);
      assert.match(right, /root mean square/);
      assert.match(right, /satisfies the equation and the conditions/);
      const before = await page.picture("figure");
      await page.tab.focus("#errors");
      await page.tab.keyboard.press(" ");
      await until(page.tab, "the error curve", () => /exact: /.test(document.getElementById("figure-text").innerText));
      await eventually("it to be drawn", async () => (await page.picture("figure")).sum !== before.sum);
      await page.press("#errors");
      await page.solved(() => page.paste(`${string}\nexact y = cos(x)`));
      await until(page.tab, "the fault", () => document.querySelector("#exactness > .loud") !== null);
      const [first, second] = await page.tab.evaluate(() => [...document.querySelectorAll("#exactness > p")].map(
        (p) => p.innerText));
      assert.match(first, /misses y\(0\) = 0 by 1/);
      assert.match(second, /differs by at most 1/);
      await accessible(page, "wrong exact solution");
    }));

  test("one's own numbers are compared, and the slip behind wrong ones is named", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste(string));
      const put = async (text) => {
        await page.put("numbers", text);
        return until(page.tab, "a verdict", () => !document.getElementById("verdict").classList.contains("awaited") &&
          document.getElementById("verdict").innerText);
      };
      const empty = await page.picture("figure");
      const f = (x) => Math.sin(x) / Math.sin(2);
      assert.match(await put([0.5, 1, 1.5].map((x) => `${x}\t${f(x).toFixed(6)}`).join("\n")),
        /right to the digits given/);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("#compared .wrong").length), 0);
      await eventually("them to be drawn", async () => (await page.picture("figure")).sum !== empty.sum);
      const g = (x) => Math.sinh(x) / Math.sinh(2); // the sign of y flipped
      const wrong = await put(["x;y", ...[0.5, 1, 1.5].map((x) => `${x};${g(x).toFixed(6)}`)].join("\n"));
      assert.match(wrong, /sign/);
      assert.equal(await page.tab.evaluate(() => document.querySelectorAll("#compared .wrong").length), 3);
      await accessible(page, "wrong numbers");
      assert.match(await put("0.5 half\n"), /not a number/);
      // They stay when the sheet changes, and are compared with the new one.
      await put([0.5, 1, 1.5].map((x) => `${x} ${g(x).toFixed(6)}`).join("\n"));
      await page.solved(() => page.paste("y'' - y = 0\ny(0) = 0\ny(2) = 1"));
      await until(page.tab, "the new verdict",
        () => /right to the digits/.test(document.getElementById("verdict").innerText));
      await page.tab.evaluate(() => {
        document.getElementById("numbers").value = "";
        document.getElementById("numbers").dispatchEvent(new Event("input", { bubbles: true }));
      });
      await until(page.tab, "the verdict to go", () => document.getElementById("verdict").innerText === "");
    }));

  test("eigenfunctions are chosen from a list", () =>
    inPage(at, async (page) => {
      await page.solved(() => page.paste("y'' + lambda y = 0\ny(0) = 0\ny(1) = 0\nlambda = ?"));
      assert.ok(await page.tab.evaluate(() => document.getElementById("mode").options.length === 5));
      await page.tab.focus("#mode");
      await page.solved(() => page.tab.evaluate(() => {
        const list = document.getElementById("mode");
        list.selectedIndex = 2;
        list.dispatchEvent(new Event("input", { bubbles: true }));
      }));
      assert.match((await page.text("answer")).replaceAll(/[\s\u2009]/g, ""), /^(𝜆|λ)=88\.826440/);
      assert.match(await page.text("figure-text"), /crosses zero at x = 0.333 and 0.667/);
      await until(page.tab, "why there is no ladder",
        () => /no ladder for an eigenvalue/.test(document.getElementById("ladder-text").innerText));
      await page.solved(() => page.paste(fin.sheet));
      assert.equal(await page.tab.evaluate(() => document.getElementById("mode-part").hidden), true);
    }));
}

